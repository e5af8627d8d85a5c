package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
)

// By hand: an L of two arms of 100 x 20 ft has one reflex corner, at (20, 20). Along either of its edges it falls into 100 x 20 and
// 80 x 20 ft: 2,000 and 1,600 sq ft.
func TestCutsOfAnL(t *testing.T) {
	r := regions(lawn([][]geom.Coord{{{0, 0}, {100, 0}, {100, 20}, {20, 20}, {20, 100}, {0, 100}}}).Net)[0]
	var c cutter
	c.load(&r)
	lines := c.lines(nil, 2, 30)
	if len(lines) != 2 {
		t.Fatalf("%d lines, want 2", len(lines))
	}
	for _, l := range lines {
		if !c.meet(l) {
			t.Fatal("turf and edge do not take turns")
		}
		ks := c.choices()
		if len(ks) != 1 {
			t.Fatalf("%d choices, want 1: %v", len(ks), ks)
		}
		parts := c.cut(ks[0])
		if len(parts) != 2 {
			t.Fatalf("%d parts, want 2", len(parts))
		}
		foot := 0.3048 * 0.3048
		if a, b := parts[0].area/foot, parts[1].area/foot; math.Abs(a-2000) > 1e-6 || math.Abs(b-1600) > 1e-6 {
			t.Errorf("parts of %.3f and %.3f sq ft, want 2000 and 1600", a, b)
		}
	}
}

// A chord that meets a hole goes on behind it: along the lower edge of a 10 x 10 ft hole in the middle of 50 x 50 ft the turf
// falls into 50 x 20 ft, and the rest with the hole as a notch.
func TestCutThroughAHole(t *testing.T) {
	r := regions(lawn([][]geom.Coord{rect(0, 0, 50, 50), rect(20, 20, 10, 10)}).Net)[0]
	var c cutter
	c.load(&r)
	found := false
	for _, l := range c.lines(nil, 2, 30) {
		if !c.meet(l) {
			t.Fatal("turf and edge do not take turns")
		}
		for _, k := range c.choices() {
			parts, sum := c.cut(k), 0.0
			if parts == nil { // a chord to the hole and no further only slits the turf
				continue
			}
			for _, p := range parts {
				sum += p.area
			}
			if math.Abs(sum-r.area) > 1e-9*r.area {
				t.Errorf("parts add up to %.9f of %.9f m2", sum, r.area)
			}
			foot := 0.3048 * 0.3048
			found = found || len(parts) == 2 && math.Abs(parts[0].area/foot-1400) < 1e-6 && math.Abs(parts[1].area/foot-1000) < 1e-6
		}
	}
	if !found {
		t.Error("no cut along the hole's edge from side to side")
	}
}

// Where nothing is in the way, the screen's cost is that of the passes as they are laid; shrinking strips by a millimetre
// moves slanted ends by centimetres, but for those that hardly slant.
func TestScreenIsWhatIsLaid(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 9).Draw(t, "corners")
		var ring []geom.Coord
		for i := range n {
			a := 2 * math.Pi * (float64(i) + rapid.Float64Range(0.1, 0.9).Draw(t, "turn")) / float64(n)
			const d = 80.0 // all corners on a circle: convex
			ring = append(ring, geom.Coord{d * math.Cos(a), d * math.Sin(a)})
		}
		rs := regions(lawn([][]geom.Coord{ring}).Net)
		if len(rs) != 1 || rs[0].area < 100 {
			return
		}
		l := newLayout(gun(7*unit.Foot), nil)
		l.region = &rs[0]
		l.screen.load(l.region, l.region.hull())
		theta := rapid.Float64Range(0, math.Pi).Draw(t, "theta")
		for _, e := range rs[0].edges {
			if turnBetween(theta, math.Atan2(e.by-e.ay, e.bx-e.ax)) < 0.02 {
				return // ends in a wedge a millimetre thick and metres long
			}
		}
		l.screen.face(newAxis(theta))
		l.turn(theta)
		for _, o := range offsets {
			screened := l.screen.cost(o, math.Inf(1))
			laid, _ := l.cost(o, math.Inf(1))
			tip := 8 + 7*0.3048 // a pass in a tip that is just large enough for one
			if screened > laid+0.1 || screened < laid*0.995-tip {
				t.Fatalf("offset %v: screened %.3f m, laid %.3f m", o, screened, laid)
			}
		}
	})
}
