package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
)

// metric is a gun with a swath of 2 m.
var metric = Setup{Swath: 2 * unit.Metre, Trims: true, SideStep: 1.8 * unit.Metre, TurnCost: 8 * unit.Metre}

// along is a pass of one leg over turf 2 m wide, from (x, y) over the length in direction theta.
func along(x, y, theta, length float64) Pass {
	a := newAxis(theta)
	u, v := a.to(x, y)
	p := Pass{Kind: Straight, legs: []leg{{axis: a,
		cells: []cell{{u0: u, u1: u + length, lo0: v - 1, lo1: v - 1, hi0: v + 1, hi1: v + 1}},
		line:  []point{{u, v}, {u + length, v}}}}}
	p.fill(metric)
	return p
}

// wide is a joiner on turf of 200 x 200 m less the holes.
func wide(holes ...[]geom.Coord) joiner {
	square := []geom.Coord{{-100, -100}, {100, -100}, {100, 100}, {-100, 100}}
	mp := geom.NewMultiPolygon(geom.XY)
	p := geom.NewPolygon(geom.XY)
	for _, ring := range append([][]geom.Coord{square}, holes...) {
		if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(append(ring, ring[0]))); err != nil {
			panic(err)
		}
	}
	if err := mp.Push(p); err != nil {
		panic(err)
	}
	return joiner{turf: regions(mp)[0], setup: metric}
}

// Two passes of 10 m at 20 degrees to each other. By hand: one pass of 20 m and 40 m2 that bends after 10 m; 10 m2 are 5 m, 20 m2
// the bend, 30 m2 15 m, and the point 5 m beyond the bend lies at 10 + 5 cos 20, 5 sin 20.
func TestJoinAtASlant(t *testing.T) {
	const slant = 20 * math.Pi / 180
	first, second := along(0, 0, 0, 10), along(10, 0, slant, 10)
	back := along(10, 0, slant, 10)
	back.reverse()
	for name, ps := range map[string][]Pass{
		"as walked": {first, second}, "the other way round": {second, first}, "against each other": {first, back},
	} {
		j := wide()
		got := j.join(ps)
		if len(got) != 1 || got[0].Kind != Follow || len(got[0].legs) != 2 {
			t.Fatalf("%s: got %d passes, the first %v of %d legs", name, len(got), got[0].Kind, len(got[0].legs))
		}
		p := got[0]
		if p.Line[0][0] > 1 { // from the far end
			p.reverse()
		}
		if math.Abs(float64(p.Length)-20) > 1e-6 || math.Abs(float64(p.Area)-40) > 1e-9 || math.Abs(float64(p.Sprayed)-40) > 1e-9 {
			t.Errorf("%s: %v m, %v m2, sprayed %v; want 20, 40, 40", name, p.Length, p.Area, p.Sprayed)
		}
		for _, c := range []struct{ area, length float64 }{{0, 0}, {10, 5}, {19.999, 9.9995}, {20, 10}, {20.001, 10.0005}, {30, 15}, {40, 20}} {
			if got := float64(p.Along(unit.Area(c.area))); math.Abs(got-c.length) > 1e-6 {
				t.Errorf("%s: %v m2 are %v m into the pass, want %v", name, c.area, got, c.length)
			}
		}
		if got, want := p.At(15), (geom.Coord{10 + 5*math.Cos(slant), 5 * math.Sin(slant)}); distance(got, want) > 1e-6 {
			t.Errorf("%s: 15 m into the pass is %v, want %v", name, got, want)
		}
	}
}

// clipped is like along, over turf that is cut slantwise at its ends: at v across the pass, it begins v x s0 further on and ends v x s1.
func clipped(x, y, theta, length, s0, s1 float64) Pass {
	a := newAxis(theta)
	u, v := a.to(x, y)
	var w sweeper
	cells := w.cut(edgesOf([][2]float64{{u - s0, v - 1}, {u + length - s1, v - 1}, {u + length + s1, v + 1}, {u + s0, v + 1}}), v-2, v+2)
	p := Pass{Kind: Straight, legs: []leg{{axis: a, cells: cells,
		line: []point{{u - math.Abs(s0), v}, {u + length + math.Abs(s1), v}}}}}
	p.fill(metric)
	return p
}

// Walks run on to the last of their turf, so that over a slanted cut their ends overlap: they are drawn back to
// where the lines meet. The cut is turned by phi against square to the first pass, the second pass by 20 degrees; by hand, 20 m and
// 40 m2. A cut far from the line that halves the bend would leave a corner out of reach: there the walk makes a small step.
func TestJoinDrawsEndsTogether(t *testing.T) {
	const deg = math.Pi / 180
	for _, phi := range []float64{10, 0, 20, -10, 35} {
		exact := 1e-6
		if math.Abs(phi-10) > 10 {
			exact = 0.1
		}
		a := clipped(0, 0, 0, 10, 0, -math.Tan(phi*deg))
		b := clipped(10, 0, 20*deg, 10, -math.Tan((phi-20)*deg), 0)
		j := wide()
		got := j.join([]Pass{a, b})
		if len(got) != 1 || math.Abs(float64(got[0].Length)-20) > exact || len(got[0].Line) > 4 || math.Abs(float64(got[0].Area)-40) > 1e-9 {
			t.Errorf("cut at %v degrees: %d passes, %v m, line %v; want one of 20 m", phi, len(got), got[0].Length, got[0].Line)
		}
	}
	j := wide()
	if got := j.join([]Pass{along(0, 0, 0, 9.6), along(10+0.4*math.Cos(20*deg), 0.4*math.Sin(20*deg), 20*deg, 9.6)}); len(got) != 1 ||
		math.Abs(float64(got[0].Length)-20) > 1e-6 {
		t.Errorf("over a gap: %d passes of %v m, want one of 20", len(got), got[0].Length)
	}
	// Straight on, 0.8 m aside: one walk of 20 m and a step aside.
	j = wide()
	got := j.join([]Pass{along(0, 0, 0, 10), along(10, 0.8, 0, 10)})
	if len(got) != 1 || got[0].Kind != Straight {
		t.Fatalf("straight on: %d passes, %v", len(got), got[0].Kind)
	}
	if l := float64(got[0].Length); l < 20 || l > 20.8+1e-6 {
		t.Errorf("straight on with a step of 0.8 m: %v m", l)
	}
}

// A cut at 45 degrees through a pass of 20 m changes nothing: it is one leg again, of 2 m2 a metre everywhere. So it is when the second part
// was laid in the opposite direction.
func TestJoinStraightOn(t *testing.T) {
	b := clipped(10, 0, 0, 10, -1, 0)
	against := clipped(20, 0, math.Pi, 10, 0, -1)
	for name, q := range map[string]Pass{"along": b, "against": against} {
		j := wide()
		got := j.join([]Pass{clipped(0, 0, 0, 10, 0, -1), q})
		if len(got) != 1 || len(got[0].legs) != 1 || got[0].Kind != Straight {
			t.Fatalf("%s: %d passes, the first %v of %d legs", name, len(got), got[0].Kind, len(got[0].legs))
		}
		for _, x := range []float64{1, 9, 9.5, 10, 10.5, 11, 19} {
			if l := float64(got[0].Along(unit.Area(2 * x))); math.Abs(l-x) > 1e-6 {
				t.Errorf("%s: %v m2 are %v m into the pass, want %v", name, 2*x, l, x)
			}
		}
	}
}

// What does not go on stays apart.
func TestJoinLeavesApart(t *testing.T) {
	hedge := []geom.Coord{{10.1, -3}, {10.3, -3}, {10.3, 3}, {10.1, 3}}
	wall := wide()
	wall.noWalk = []edge{{10.2, -3, 10.2, 3}}
	deg := math.Pi / 180
	for _, c := range []struct {
		name string
		j    joiner
		b    Pass
		want int
	}{
		{"straight on", wide(), along(10, 0, 0, 10), 1},
		{"a turn of 29 degrees", wide(), along(10, 0, 29*deg, 10), 1},
		{"a turn of 31 degrees", wide(), along(10, 0, 31*deg, 10), 2},
		{"a turn back", wide(), along(10, 0.5, 175*deg, 10), 2},
		{"the strip beside it", wide(), along(10, 2, 0, 10), 2},
		{"more than half a swath aside", wide(), along(10, 1.1, 0, 10), 2},
		{"a gap of less than half a swath", wide(), along(10.9, 0, 0, 10), 1},
		{"a gap of more", wide(), along(11.1, 0, 0, 10), 2},
		{"a bed in the gap", wide(hedge), along(10.4, 0, 0, 10), 2},
		{"a wall in the gap", wall, along(10.4, 0, 0, 10), 2},
	} {
		if got := c.j.join([]Pass{along(0, 0, 0, 10), c.b}); len(got) != c.want {
			t.Errorf("%s: %d passes, want %d", c.name, len(got), c.want)
		}
	}
}

// A touch-up that prolongs a pass becomes a part of it; a lap stays by itself.
func TestJoinKinds(t *testing.T) {
	touch := along(10, 0, 0, 1)
	touch.Kind = TouchUp
	j := wide()
	if got := j.join([]Pass{along(0, 0, 0, 10), touch}); len(got) != 1 || got[0].Kind != Straight || math.Abs(float64(got[0].Area)-22) > 1e-9 {
		t.Errorf("a touch-up at the end: %d passes, %v of %v m2; want one straight of 22", len(got), got[0].Kind, got[0].Area)
	}
	lap := along(10, 0, 0, 5)
	lap.Kind = Lap
	if got := j.join([]Pass{along(0, 0, 0, 10), lap}); len(got) != 2 {
		t.Errorf("a lap: %d passes, want 2", len(got))
	}
}

// Eighteen legs of 10 m that turn by 20 degrees each meet in a ring: they become one pass of 180 m, open at one joint, wherever the list
// begins.
func TestJoinClosesNoRing(t *testing.T) {
	var ring []Pass
	x, y := 0.0, 0.0
	for i := range 18 {
		theta := float64(i) * 20 * math.Pi / 180
		p := along(x, y, theta, 10)
		p.Section = i
		ring = append(ring, p)
		x, y = x+10*math.Cos(theta), y+10*math.Sin(theta)
	}
	for start := range ring {
		ps := append(append([]Pass(nil), ring[start:]...), ring[:start]...)
		j := wide()
		got := j.join(ps)
		if len(got) != 1 || math.Abs(float64(got[0].Length)-180) > 1e-6 || len(got[0].Line) != 19 {
			t.Fatalf("from leg %d: %d passes, the first of %v m with %d points", start, len(got), got[0].Length, len(got[0].Line))
		}
	}
}

// A joined pass belongs to the section of its largest part, and a section that loses all its passes gives up its area.
func TestJoinSections(t *testing.T) {
	short, long, other := along(0, 0, 0, 5), along(5, 0, 0, 20), along(0, 10, 0, 5)
	short.Section, long.Section, other.Section = 0, 1, 2
	square := geom.NewMultiPolygon(geom.XY)
	p := geom.NewPolygon(geom.XY).MustSetCoords([][]geom.Coord{{{-50, -50}, {50, -50}, {50, 50}, {-50, 50}, {-50, -50}}})
	if err := square.Push(p); err != nil {
		t.Fatal(err)
	}
	w := work{setup: metric, lawn: &Lawn{Net: square}, plan: &Plan{Sections: []Section{{Area: 10}, {Area: 40}, {Area: 10}}},
		passes: []Pass{short, long, other}}
	w.join()
	s := w.plan.Sections
	if len(w.passes) != 2 || len(s) != 2 || s[0].Area != 50 || s[1].Area != 10 || w.passes[0].Section != 0 || w.passes[1].Section != 1 {
		t.Errorf("%d passes, sections %+v", len(w.passes), s)
	}
}

// Whatever meets: turf and its sum stay, no pass is lost, the second time nothing is left to join, and turning all of it
// changes neither the count nor the length.
func TestJoinLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 8).Draw(t, "legs")
		spin := rapid.Float64Range(0, 2*math.Pi).Draw(t, "spin")
		var a, b []Pass
		x, y, theta, area := 0.0, 0.0, 0.0, 0.0
		for range n {
			theta += rapid.Float64Range(-0.7, 0.7).Draw(t, "turn")
			l := rapid.Float64Range(2, 12).Draw(t, "length")
			a = append(a, along(x, y, theta, l))
			c := newAxis(-spin)
			u, v := c.to(x, y)
			b = append(b, along(u, v, theta+spin, l))
			area += 2 * l
			x, y = x+l*math.Cos(theta), y+l*math.Sin(theta)
		}
		j := wide()
		one, two := j.join(a), j.join(b)
		if len(one) != len(two) {
			t.Fatalf("%d passes, %d when turned", len(one), len(two))
		}
		sum, legs := 0.0, 0
		for i := range one {
			sum += float64(one[i].Area)
			legs += len(one[i].legs)
			if d := math.Abs(float64(one[i].Length) - float64(lengthOf(one[i].Line))); d > 1e-6 {
				t.Fatalf("length is off its line by %v", d)
			}
			if got := one[i].Along(one[i].Area / 2); !(got > 0 && got < one[i].Length) {
				t.Fatalf("half of the turf is %v into %v", got, one[i].Length)
			}
		}
		if legs > n || math.Abs(sum-area) > 1e-9*area {
			t.Fatalf("%d legs of %d, %v m2 of %v", legs, n, sum, area)
		}
	})
}
