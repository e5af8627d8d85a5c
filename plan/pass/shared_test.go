package pass_test

import (
	"encoding/csv"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan/pass"
)

// shared is a file of the shared reference data, which is not part of the repository.
func shared(t testing.TB, path string) string {
	t.Helper()
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("TANKFUL_SHARED is not set: the reference lawns are not at hand")
	}
	return filepath.Join(dir, "data", path)
}

// measured reads and measures an outline file.
func measured(t testing.TB, path string, opt intake.Options) []*geo.Site {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	props, _ := intake.Read(filepath.Base(path), b, opt)
	var out []*geo.Site
	for _, p := range props {
		out = append(out, geo.Measure(p, geo.MeasureOptions{}))
	}
	return out
}

func lawnOf(s *geo.Site) pass.Lawn {
	l := pass.Lawn{Net: s.Net, NoWalk: geom.NewMultiPolygon(geom.XY)}
	for _, k := range []geo.Surface{geo.Building, geo.Water} {
		if mp := s.Exclusions[k]; mp != nil {
			for i := range mp.NumPolygons() {
				if err := l.NoWalk.Push(mp.Polygon(i)); err != nil {
					panic(err)
				}
			}
		}
	}
	return l
}

var gun7 = pass.Setup{Swath: 7 * unit.Foot, Trims: true, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre}

// The 26 invented reference lawns (made for this project; bounds and best passes found by a
// scratch program, coverage confirmed with GEOS): no lawn is below the published bounds, and
// every plan passes the independent checks. The counts beside the best known are printed.
func TestReferenceLawns(t *testing.T) {
	f, err := os.Open(shared(t, "passes/expected_w7ft.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	col := map[string]int{}
	for i, name := range rows[0] {
		col[name] = i
	}
	total, oneDir, broken := 0, 0, 0
	for _, row := range rows[1:] {
		num := func(name string) float64 {
			x, err := strconv.ParseFloat(row[col[name]], 64)
			if err != nil {
				t.Fatalf("%s: %v", name, err)
			}
			return x
		}
		for _, s := range measured(t, shared(t, "passes/"+row[0]+".geojson"), intake.Options{}) {
			l := lawnOf(s)
			p, err := pass.Lay(l, gun7)
			if err != nil {
				t.Errorf("%s: %v", row[0], err)
				continue
			}
			inspect(t, row[0], l, p)
			if got := s.NetArea.In(unit.SquareMetre); math.Abs(got-num("area_m2")) > 1e-4*got {
				t.Errorf("%s: net turf %.2f m2, published %.2f", row[0], got, num("area_m2"))
			}
			if len(p.Passes) < int(num("LB_passes_any")) {
				t.Errorf("%s: %d passes are below the published bound of %v", row[0], len(p.Passes), num("LB_passes_any"))
			}
			if p.BoundPasses > int(num("best_passes")) {
				t.Errorf("%s: our bound of %d is above a published plan of %v passes", row[0], p.BoundPasses, num("best_passes"))
			}
			touch := 0
			for _, q := range p.Passes {
				if q.Kind == pass.TouchUp {
					touch++
				}
			}
			total += len(p.Passes)
			oneDir += int(num("onedir_passes"))
			broken += int(num("best_passes_if_broken_at_6ft_chord"))
			t.Logf("%-18s %4d passes (%d touch-up), one direction %v, best %v, best if broken %v, ours at least %d; L*w/A %.3f, dead walk %.0f m", row[0],
				len(p.Passes), touch, num("onedir_passes"), num("best_passes"), num("best_passes_if_broken_at_6ft_chord"), p.BoundPasses, float64(p.SprayedLength/p.BoundLength), float64(p.DeadWalk))
		}
	}
	t.Logf("all: %d passes; published %d in one direction, %d best if broken", total, oneDir, broken)
}

// inspect holds a plan against the turf by means of its own: the areas add up, points of the
// turf lie within a swath of some line, no line runs over a building or water, nor off the turf for long.
func inspect(t *testing.T, name string, l pass.Lawn, p *pass.Plan) {
	t.Helper()
	sum := unit.Area(0)
	for _, q := range p.Passes {
		sum += q.Area
	}
	// Parts too small for a pass have none.
	if d := float64((p.Net - sum) / p.Net); d > 1e-4 || d < -1e-9 {
		t.Errorf("%s: pass areas add up to %.4f m2 of %.4f", name, float64(sum), float64(p.Net))
	}
	rng := rand.New(rand.NewPCG(1, 2))
	b := l.Net.Bounds()
	tried, missed := 0, 0
	for tried < 2000 {
		x := b.Min(0) + rng.Float64()*(b.Max(0)-b.Min(0))
		y := b.Min(1) + rng.Float64()*(b.Max(1)-b.Min(1))
		if !contains(l.Net, x, y) {
			continue
		}
		tried++
		if !swathed(p, x, y) {
			missed++
		}
	}
	if missed > 2000/500 { // a bent line leaves corners of its strip to the operator's reach
		t.Errorf("%s: %d of %d points of the turf are in no swath", name, missed, tried)
	}
	for _, q := range p.Passes {
		offStretch, worst := 0.0, 0.0
		for i := 1; i < len(q.Line); i++ {
			a, c := q.Line[i-1], q.Line[i]
			d := math.Hypot(c[0]-a[0], c[1]-a[1])
			n := int(d/0.05) + 1
			for k := range n {
				f := (float64(k) + 0.5) / float64(n)
				x, y := a[0]+f*(c[0]-a[0]), a[1]+f*(c[1]-a[1])
				if contains(l.Net, x, y) {
					offStretch = 0
					continue
				}
				offStretch += d / float64(n)
				worst = max(worst, offStretch)
				if contains(l.NoWalk, x, y) && edgeDistance(l.NoWalk, x, y) > 0.12 {
					t.Errorf("%s: pass %d runs over a building or water at %.2f, %.2f", name, q.N, x, y)
					return
				}
			}
		}
		if worst > float64(p.Setup.SideStep)+0.3 {
			t.Errorf("%s: pass %d is off the turf for %.1f m", name, q.N, worst)
		}
	}
}

// contains counts crossings to the east over all rings.
func contains(mp *geom.MultiPolygon, x, y float64) bool {
	in := false
	for i := range mp.NumPolygons() {
		for k := range mp.Polygon(i).NumLinearRings() {
			ring := mp.Polygon(i).LinearRing(k).FlatCoords()
			for a, b := len(ring)-2, 0; b < len(ring); a, b = b, b+2 {
				if (ring[a+1] > y) != (ring[b+1] > y) && x < ring[a]+(y-ring[a+1])/(ring[b+1]-ring[a+1])*(ring[b]-ring[a]) {
					in = !in
				}
			}
		}
	}
	return in
}

func edgeDistance(mp *geom.MultiPolygon, x, y float64) float64 {
	near := math.Inf(1)
	for i := range mp.NumPolygons() {
		for k := range mp.Polygon(i).NumLinearRings() {
			ring := mp.Polygon(i).LinearRing(k).FlatCoords()
			for a := 0; a+3 < len(ring); a += 2 {
				near = min(near, segmentDistance(x, y, ring[a], ring[a+1], ring[a+2], ring[a+3]))
			}
		}
	}
	return near
}

func segmentDistance(x, y, ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	f := 0.0
	if l := dx*dx + dy*dy; l > 0 {
		f = min(max(((x-ax)*dx+(y-ay)*dy)/l, 0), 1)
	}
	return math.Hypot(x-ax-f*dx, y-ay-f*dy)
}

// swathed reports whether the point is within half a swath of a line, square to it, or at a bend.
func swathed(p *pass.Plan, x, y float64) bool {
	half := float64(p.Setup.Swath)/2 + 1e-4 + 0.005 // strips may exceed the swath by 1 cm in all
	for i := range p.Passes {
		line := p.Passes[i].Line
		for k := 1; k < len(line); k++ {
			a, b := line[k-1], line[k]
			dx, dy := b[0]-a[0], b[1]-a[1]
			l := math.Hypot(dx, dy)
			if l == 0 {
				continue
			}
			along, across := ((x-a[0])*dx+(y-a[1])*dy)/l, ((y-a[1])*dx-(x-a[0])*dy)/l
			if math.Abs(across) <= half && along >= -1e-4 && along <= l+1e-4 {
				return true
			}
			if k > 1 && math.Hypot(x-a[0], y-a[1]) <= half {
				return true
			}
		}
	}
	return false
}

// Every real site of the shared data can be covered, and passes the same checks.
func TestRealSites(t *testing.T) {
	files, err := filepath.Glob(shared(t, "properties/*.geojson"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no sites found: %v", err)
	}
	n := 0
	for _, f := range files {
		opt := intake.Options{}
		if strings.Contains(f, "campus") {
			opt.GroupKey = "area"
		}
		for k, s := range measured(t, f, opt) {
			if s.Problems.HasErrors() || s.NetArea < 1 || testing.Short() && k%10 > 0 {
				continue
			}
			l := lawnOf(s)
			p, err := pass.Lay(l, gun7)
			if err != nil {
				t.Errorf("%s: %v", s.Property.ID, err)
				continue
			}
			inspect(t, s.Property.ID, l, p)
			n++
		}
	}
	t.Logf("%d sites covered", n)
}

func BenchmarkLay(b *testing.B) {
	for _, name := range []string{"d06_house_lot", "d15_park_pond", "d23_big_500v"} {
		b.Run(name, func(b *testing.B) {
			l := lawnOf(measured(b, shared(b, "passes/"+name+".geojson"), intake.Options{})[0])
			for b.Loop() {
				if _, err := pass.Lay(l, gun7); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
