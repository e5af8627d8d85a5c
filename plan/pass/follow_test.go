package pass

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/geo/overlay"
)

// verge is a lawn of one polygon, in metres.
func verge(rings ...[]geom.Coord) Lawn {
	p := geom.NewPolygon(geom.XY)
	for _, r := range rings {
		if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(append(r[:len(r):len(r)], r[0]))); err != nil {
			panic(err)
		}
	}
	mp := geom.NewMultiPolygon(geom.XY)
	if err := mp.Push(p); err != nil {
		panic(err)
	}
	return Lawn{Net: mp}
}

// arc is points on a circle round the origin, a degree apart.
func arc(radius float64, from, to int) (out []geom.Coord) {
	step := 1
	if to < from {
		step = -1
	}
	for d := from; d != to+step; d += step {
		s, c := math.Sincos(float64(d) * math.Pi / 180)
		out = append(out, geom.Coord{radius * c, radius * s})
	}
	return out
}

// trailed lays one region along its edge and holds it against what must be true of every such plan.
func trailed(t rapid.TB, l Lawn, s Setup) (result, float64, bool) {
	t.Helper()
	r := regions(l.Net)[0]
	var walls []edge
	for _, w := range regions(l.NoWalk) {
		walls = append(walls, w.edges...)
	}
	res, cost, ok := newLayout(s, walls).follow(&r)
	if !ok {
		return res, cost, ok
	}
	area, want := 0.0, 0.0
	for i := range res.passes {
		p := &res.passes[i]
		area += float64(p.Area)
		want += float64(p.Length) + float64(s.TurnCost)
		if math.Abs(float64(p.Length)-float64(lengthOf(p.Line))) > 1e-6 {
			t.Errorf("pass %d: %v m, its line %v", i, p.Length, lengthOf(p.Line))
		}
		for k := 1; k < len(p.Line); k++ {
			inside(t, &r, p.Line[k-1], p.Line[k], float64(s.SideStep))
		}
	}
	if math.Abs(area-r.area) > 1e-9*r.area {
		t.Errorf("pass areas add up to %v m2 of %v", area, r.area)
	}
	if math.Abs(cost-want) > 1e-6 {
		t.Errorf("cost %v, want %v", cost, want)
	}
	least := 0.999
	if len(r.rings()) > 1 { // walks that bend round a bed leave corners of their strip
		least = 0.997
	}
	if share := reached(&r, res.passes, float64(s.Swath)); share < least && (1-share)*r.area > 2*sliver { // slivers are taken along
		t.Errorf("%.3f %% of %.1f m2 of turf near %.2f, %.2f is within half a swath of a line", 100*share, r.area, r.edges[0].ax, r.edges[0].ay)
	}
	return res, cost, true
}

// inside fails when the line is off the turf for longer than a side step.
func inside(t rapid.TB, r *region, a, b geom.Coord, step float64) {
	t.Helper()
	n := int(distance(a, b)/0.05) + 1
	off := 0.0
	for k := range n + 1 {
		f := float64(k) / float64(n)
		if r.clearance(a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1])) > -0.01 {
			off = 0
		} else if off += distance(a, b) / float64(n); off > step+0.1 {
			t.Errorf("the line from %v to %v is off the turf for %.2f m", a, b, off)
			return
		}
	}
}

// reached is the share of the region's turf within half a swath of a line, by random points.
func reached(r *region, ps []Pass, swath float64) float64 {
	rng := rand.New(rand.NewPCG(3, 4))
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, e := range r.edges {
		x0, x1, y0, y1 = min(x0, e.ax), max(x1, e.ax), min(y0, e.ay), max(y1, e.ay)
	}
	in, hit := 0, 0
	for in < 5000 {
		x, y := x0+rng.Float64()*(x1-x0), y0+rng.Float64()*(y1-y0)
		if r.clearance(x, y) < 0 {
			continue
		}
		in++
		for i := range ps {
			path := make([][2]float64, len(ps[i].Line))
			for k, c := range ps[i].Line {
				path[k] = [2]float64{c[0], c[1]}
			}
			if reaches(path, [2]float64{x, y}, (swath+fitSlack)/2) {
				hit++
				break
			}
		}
	}
	return float64(hit) / float64(in)
}

// A quarter of a ring, 3.8 m wide from 30 m on, takes two lanes at 2 m. By hand: each lane is 1.9 m wide, their middles have
// radii of 30.95 and 32.85 m, so they are 48.62 and 51.60 m long; the areas are pi/4 times the differences of the squares of
// their radii.
func TestFollowQuarterRing(t *testing.T) {
	l := verge(append(arc(30, 0, 90), arc(33.8, 90, 0)...))
	res, _, ok := trailed(t, l, metric)
	if !ok || len(res.passes) != 2 {
		t.Fatalf("ok %v, %d passes, want 2", ok, len(res.passes))
	}
	inner, outer := res.passes[0], res.passes[1]
	if inner.Length > outer.Length {
		inner, outer = outer, inner
	}
	for _, c := range []struct {
		p            Pass
		radius, from float64
	}{{inner, 30.95, 30}, {outer, 32.85, 31.9}} {
		if want := math.Pi / 2 * c.radius; math.Abs(float64(c.p.Length)-want) > 0.01*want {
			t.Errorf("length %.2f m, want %.2f", float64(c.p.Length), want)
		}
		if want := math.Pi / 4 * ((c.from+1.9)*(c.from+1.9) - c.from*c.from); math.Abs(float64(c.p.Area)-want) > 0.03*want {
			t.Errorf("area %.2f m2, want %.2f", float64(c.p.Area), want)
		}
		if c.p.Kind != Follow {
			t.Errorf("kind %q, want %q", c.p.Kind, Follow)
		}
		// A lane is the same at both ends: half of its turf is half of its way.
		if got := c.p.Along(c.p.Area / 2); math.Abs(float64(got-c.p.Length/2)) > 0.1 {
			t.Errorf("half of the turf is %.2f m into %.2f", float64(got), float64(c.p.Length))
		}
	}
}

// Strips whose number of passes follows by hand from their widths in swaths of 2 m and their corners. The pieces of the square ring are
// mitred: their outer edges are 30 m long.
func TestFollowHandCases(t *testing.T) {
	ring := verge(arc(12, 0, 359), arc(10.1, 0, 359))
	square := func(x, y, w, h float64) []geom.Coord {
		return []geom.Coord{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
	}
	bend := []geom.Coord{{0, 0}, {30, 0}, {56, 15}, {56 - 3.6*math.Sin(math.Pi/6), 15 + 3.6*math.Cos(math.Pi/6)}, {29.04, 3.6}, {0, 3.6}}
	for _, c := range []struct {
		name   string
		lawn   Lawn
		passes int // 0: not followed
		metres float64
	}{
		{"a straight verge is combed", verge(square(0, 0, 90, 3)), 0, 0},
		{"turf that is no strip", verge(square(0, 0, 30, 30)), 0, 0},
		{"a ring of one lane goes round once", ring, 1, 2 * math.Pi * 11.05},
		{"a square ring turns too sharply at its corners", verge(square(0, 0, 30, 30), square(1.9, 1.9, 26.2, 26.2)), 4, 4 * 30},
		{"a bend of 30 degrees", verge(bend), 2, 120},
		{"a tree in one lane of it is stepped round", verge(bend, square(12, 1.2, 1, 1)), 2, 120},
	} {
		res, _, ok := trailed(t, c.lawn, metric)
		if ok != (c.passes > 0) || len(res.passes) != c.passes {
			t.Errorf("%s: followed %v with %d passes, want %d", c.name, ok, len(res.passes), c.passes)
			continue
		}
		sum := 0.0
		for _, p := range res.passes {
			sum += float64(p.Length)
		}
		if math.Abs(sum-c.metres) > 0.04*c.metres {
			t.Errorf("%s: %.1f m, want %.1f", c.name, sum, c.metres)
		}
	}
}

// A given direction is kept: nothing is followed.
func TestFollowHeedsTheBearing(t *testing.T) {
	s := metric
	north := 0.0
	s.Bearing = &north
	if _, _, ok := trailed(t, verge(append(arc(30, 0, 90), arc(33.8, 90, 0)...)), s); ok {
		t.Error("followed against the bearing")
	}
}

// turnedRegion is the region turned, moved, and with its rings begun elsewhere.
func turnedRegion(r region, theta, dx, dy float64, start int) region {
	out := region{area: r.area}
	a := newAxis(theta)
	for _, ring := range r.rings() {
		moved := make([][2]float64, len(ring))
		for k := range ring {
			p := ring[(k+start)%len(ring)]
			x, y := a.to(p[0], p[1])
			moved[k] = [2]float64{x + dx, y + dy}
		}
		out.edges = append(out.edges, edgesOf(moved)...)
	}
	return out
}

// Strips that bend at random by up to 25 degrees and change their width: whatever is followed keeps the laws that trailed checks, and
// the same strip turned, moved and begun elsewhere gives as many passes.
func TestFollowLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "legs")
		x, y, theta := 0.0, 0.0, 0.0
		wide := rapid.Float64Range(1, 5).Draw(t, "width")
		var right, left []geom.Coord
		for i := range n + 1 {
			turn := rapid.Float64Range(-0.43, 0.43).Draw(t, "turn")
			s, c := math.Sincos(theta + turn/2)
			w := wide * rapid.Float64Range(0.9, 1.1).Draw(t, "wider") / 2
			right = append(right, geom.Coord{x + w*s, y - w*c})
			left = append([]geom.Coord{{x - w*s, y + w*c}}, left...)
			if theta += turn; i < n {
				l := rapid.Float64Range(6, 20).Draw(t, "length")
				x, y = x+l*math.Cos(theta), y+l*math.Sin(theta)
			}
		}
		l := verge(append(right, left...))
		r := regions(l.Net)[0]
		if rs := r.rings(); len(rs) != 1 || selfCrossing(rs[0]) {
			t.Skip("a strip that crosses itself")
		}
		res, cost, ok := trailed(t, l, metric)
		q := turnedRegion(r, rapid.Float64Range(0, 6).Draw(t, "spin"), 40, -70, rapid.IntRange(0, n).Draw(t, "start"))
		again, c, also := newLayout(metric, nil).follow(&q)
		if ok != also || len(res.passes) != len(again.passes) || ok && math.Abs(cost-c) > 0.005*cost {
			t.Errorf("%d passes, cost %.2f; turned %d passes, cost %.2f", len(res.passes), cost, len(again.passes), c)
		}
	})
}

func selfCrossing(ring [][2]float64) bool {
	for i := range ring {
		for k := i + 2; k < len(ring); k++ {
			if (k+1)%len(ring) != i && meets(ring[i], ring[i+1], ring[k], ring[(k+1)%len(ring)]) {
				return true
			}
		}
	}
	return false
}

// The parts of the shared reference lawns and real sites: what is followed keeps the laws, and is the same however the lawn
// lies. Together the narrow parts take fewer passes than combed.
func TestFollowRealStrips(t *testing.T) {
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("TANKFUL_SHARED is not set: the real sites are not at hand")
	}
	rng := rand.New(rand.NewPCG(1, 2))
	strips, before, after := 0, 0, 0
	for _, pattern := range []string{"passes/d*.geojson", "properties/*.geojson"} {
		files, err := filepath.Glob(filepath.Join(dir, "data", pattern))
		if err != nil || len(files) == 0 {
			t.Fatalf("no files for %s: %v", pattern, err)
		}
		for _, f := range files {
			for k, l := range parts(t, f) {
				if k%5 > 0 && os.Getenv("TANKFUL_ALL") == "" {
					continue
				}
				n, m := compare(t, l, rng)
				if before += n; n > 0 {
					strips++
				}
				after += m
			}
		}
	}
	t.Logf("%d strips (every fifth part unless TANKFUL_ALL is set): %d passes combed in one direction, %d followed where that is cheaper", strips, before, after)
	if after >= before {
		t.Errorf("%d passes combed, %d followed", before, after)
	}
}

// compare gives the passes of a part combed, and in the cheaper way; 0 where nothing can be followed.
func compare(t *testing.T, l Lawn, rng *rand.Rand) (combed, best int) {
	t.Helper()
	s := Setup{Swath: 7 * unit.Foot, Trims: true, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre}
	r := regions(l.Net)[0]
	var walls []edge
	for _, w := range regions(l.NoWalk) {
		walls = append(walls, w.edges...)
	}
	res, cost, ok := trailed(t, l, s)
	if !ok {
		return 0, 0
	}
	q := turnedRegion(r, rng.Float64()*6, rng.Float64()*100, rng.Float64()*100, rng.IntN(50))
	free, open := newLayout(s, nil), newLayout(s, nil)
	a, c, _ := free.follow(&r)
	if b, d, ok := open.follow(&q); !ok || len(a.passes) != len(b.passes) || math.Abs(c-d) > 0.005*c {
		t.Errorf("%d passes, cost %.2f; turned %d passes, cost %.2f", len(a.passes), c, len(b.passes), d)
	}
	lay := newLayout(s, walls)
	one := lay.best(&r)
	combed = len(lay.lay(&r, one).drafts)
	if cost >= one.cost {
		return combed, combed
	}
	return combed, len(res.passes)
}

// parts is the connected parts of the turf of a file's properties, as lawns.
func parts(t *testing.T, file string) (out []Lawn) {
	t.Helper()
	b, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	opt := intake.Options{}
	if strings.Contains(file, "campus") {
		opt.GroupKey = "area"
	}
	props, _ := intake.Read(filepath.Base(file), b, opt)
	for _, p := range props {
		s := geo.Measure(p, geo.MeasureOptions{})
		if s.Problems.HasErrors() || s.Net == nil {
			continue
		}
		walls := geom.NewMultiPolygon(geom.XY)
		for _, k := range []geo.Surface{geo.Building, geo.Water} {
			if mp := s.Exclusions[k]; mp != nil {
				if walls, err = overlay.Union(walls, mp); err != nil {
					t.Fatal(err)
				}
			}
		}
		for i := range s.Net.NumPolygons() {
			mp := geom.NewMultiPolygon(geom.XY)
			if err := mp.Push(s.Net.Polygon(i)); err != nil {
				t.Fatal(err)
			}
			if rs := regions(mp); len(rs) == 1 && rs[0].area > 2 {
				out = append(out, Lawn{Net: mp, NoWalk: walls})
			}
		}
	}
	return out
}
