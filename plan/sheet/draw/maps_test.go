package draw

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"github.com/tdewolff/canvas"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

// lawns are maps of real lawns with their passes at 7 ft: those of the shared reference outlines, skipped aloud without them.
func lawns(t testing.TB) map[string]sheet.Map {
	t.Helper()
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("NOT CHECKED: TANKFUL_SHARED is not set, so the maps of real lawns are not drawn")
	}
	if len(laidLawns) > 0 {
		return laidLawns
	}
	out := laidLawns
	files, _ := filepath.Glob(filepath.Join(dir, "data", "*.geojson"))
	more, _ := filepath.Glob(filepath.Join(dir, "data", "*", "*.geojson"))
	for _, file := range append(files, more...) {
		data, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		list, _ := intake.Read(filepath.Base(file), data, intake.Options{})
		for i, p := range list {
			if i >= 3 {
				break
			}
			s := geo.Measure(p, geo.MeasureOptions{})
			if s.Net == nil || s.NetArea > 15_000 || s.NetArea < 50 {
				continue
			}
			a := plan.Applicator{Name: "gun", Kind: plan.Gun, Swath: 7 * unit.Foot, Hose: 150 * unit.Foot}
			laid, err := plan.LayPasses(s, &a, plan.Laying{})
			if err != nil {
				continue
			}
			passes, ground := plan.PassesOf(s, laid), plan.MapOf(s)
			out[fmt.Sprintf("%s %s", filepath.Base(file), p.ID)] = sheet.PassMap(&ground, &passes, unit.US)
		}
	}
	if len(out) < 12 {
		t.Fatalf("%d lawns in %s, want 12 at least", len(out), dir)
	}
	return out
}

// laidLawns are lawns, laid once for all tests.
var laidLawns = map[string]sheet.Map{}

// No label lies on another, on a mark or over the frame's edge: on the sheets of the demo, and on maps of real lawns in three sizes.
func TestNoLabelLiesOnAnother(t *testing.T) {
	for _, u := range []unit.System{unit.US, unit.Metric} {
		p := sheettest.Demo(t, u)
		d, err := sheet.Truck(p, p.Trucks[0].Truck, sheet.Options{Server: "http://10.0.0.5:8080"})
		if err != nil {
			t.Fatal(err)
		}
		pages, _, err := render(d)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range pages {
			checkPage(t, "demo "+string(u), i+1, record(c))
		}
	}
	n := 0
	for name, m := range lawns(t) {
		for _, size := range [][2]unit.Length{{190, 130}, {90, 100}} {
			c, err := mapAlone(m, size[0]*unit.Millimetre, size[1]*unit.Millimetre)
			if err != nil {
				t.Fatal(err)
			}
			r := record(c)
			for i, a := range r.texts {
				for _, b := range r.texts[:i] {
					if min(a.r.X1, b.r.X1)-max(a.r.X0, b.r.X0) > 0.15 && min(a.r.Y1, b.r.Y1)-max(a.r.Y0, b.r.Y0) > 0.15 {
						t.Errorf("%s, %v mm: %q lies on %q", name, size, a.text, b.text)
					}
				}
				if n++; a.r.X0 < 0 || a.r.X1 > r.w || a.r.Y0 < 0 || a.r.Y1 > r.h {
					t.Errorf("%s, %v mm: %q leaves the map", name, size, a.text)
				}
			}
		}
	}
	t.Logf("%d texts on maps of lawns", n)
}

// The turf that is drawn, measured back with the scale beside it, is the net turf to 0.1 %, and the bar is as long as the ground it names to
// 0.5 %, on every map, turned or not.
func TestMapsAreToScale(t *testing.T) {
	turned := 0
	check := func(name string, m sheet.Map, net unit.Area) {
		l := layoutMap(m, 190, 130)
		if l.turn != 0 {
			turned++
		}
		mm2 := 0.0
		for _, r := range l.rings(m.Turf) {
			mm2 += area(r)
		}
		per := float64(l.scale) / 1000
		if got := mm2 * per * per; math.Abs(got-net.In(unit.SquareMetre)) > 0.001*got {
			t.Errorf("%s: the drawn turf is %.2f m2, want %v", name, got, net)
		}
		b := l.scaleBar(m.Units)
		a, z := l.at(geom.Coord{0, 0}), l.at(geom.Coord{b.step.In(unit.Metre) * float64(b.parts), 0})
		if got, want := b.mm*float64(b.parts), z.Sub(a).Length(); math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: the bar is %v mm long, its ground %v mm", name, got, want)
		}
	}
	p := sheettest.Demo(t, unit.US)
	for i := range p.Stops {
		s := &p.Stops[i]
		check(s.Name, sheet.PassMap(&s.Map, &s.Passes, p.Units), s.Measure.Net)
	}
	for name, m := range lawns(t) {
		net := 0.0
		for i := range m.Turf.NumPolygons() {
			net += m.Turf.Polygon(i).Area()
		}
		check(name, m, unit.Area(net))
	}
	if turned == 0 {
		t.Error("no map is turned")
	}
	t.Logf("%d maps are turned", turned)
}

// A strip that runs north-east gets a larger map turned. By hand: 200 m x 10 m at 45 degrees is 148.5 m each way, which takes 1:1440 in a frame of
// 190 x 130 mm less 6 mm all round; turned, 1:1200 at least, and no more than 1:960, as the frame's diagonal is 214 mm.
func TestMapIsTurned(t *testing.T) {
	at := func(x, y float64) geom.Coord { return geom.Coord{(x - y) * math.Sqrt2 / 2, (x + y) * math.Sqrt2 / 2} }
	ring := []geom.Coord{at(0, 0), at(200, 0), at(200, 10), at(0, 10), at(0, 0)}
	m := sheet.Map{Units: unit.US, Swath: 2 * unit.Metre, Scales: []int{600, 720, 840, 960, 1080, 1200, 1440, 1800},
		Turf: geom.NewMultiPolygon(geom.XY).MustSetCoords([][][]geom.Coord{{ring}})}
	l := layoutMap(m, 190, 130)
	if l.scale > 1152 || l.scale < 960 || l.turn == 0 {
		t.Errorf("1:%d turned by %.0f degrees, want 1:960 to 1:1152", l.scale, l.turn*180/math.Pi)
	}
	for _, c := range ring {
		if p := l.at(c); !l.inside(p) {
			t.Errorf("%v is outside the frame", p)
		}
	}
	// North on paper is where the arrow points.
	a, b := l.at(geom.Coord{0, 0}), l.at(geom.Coord{0, 10})
	if dir := b.Sub(a); math.Abs(math.Atan2(-dir.X, dir.Y)-l.turn) > 1e-9 {
		t.Errorf("north is at %v, the arrow at %v", math.Atan2(-dir.X, dir.Y), l.turn)
	}
}

// The turf in the file that is written, measured back from its path with the scale beside it, is the net turf to 0.1 %: on every map of the demo.
func TestTurfInTheFile(t *testing.T) {
	turf := regexp.MustCompile(`<path d="([^"]*)" fill="#eaf2e2"`)
	for _, u := range []unit.System{unit.US, unit.Metric} {
		p := sheettest.Demo(t, u)
		for i := range p.Stops {
			s := &p.Stops[i]
			m := sheet.PassMap(&s.Map, &s.Passes, u)
			var b bytes.Buffer
			if err := MapSVG(&b, m, 190*unit.Millimetre, 160*unit.Millimetre); err != nil {
				t.Fatal(err)
			}
			found := turf.FindAllStringSubmatch(b.String(), -1) // the first is the ground, the last a sample in the legend
			if len(found) != 2 {
				t.Fatalf("%s: %d paths of turf", s.Name, len(found))
			}
			path, err := canvas.ParseSVGPath(found[0][1])
			if err != nil {
				t.Fatal(err)
			}
			mm2 := 0.0
			for _, ring := range path.Split() {
				pts := ring.Coords()
				mm2 += area(pts)
			}
			e := &engine{}
			e.f, _ = newFonts()
			const rim = 2.0
			l := layoutMap(m, 190-2*rim, max(leastMap, 160-2*rim-e.legend(m, 190-2*rim).h-belowMap-gap))
			per := float64(l.scale) / 1000
			got, want := math.Abs(mm2)*per*per, s.Measure.Net.In(unit.SquareMetre)
			if math.Abs(got-want) > 0.001*want {
				t.Errorf("%s: the file's turf is %.2f m2, want %.2f", s.Name, got, want)
			}
		}
	}
}
