package pass

import (
	"math"
	"slices"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// metres is a lawn from rings in metres.
func metres(rings ...[]geom.Coord) *geom.MultiPolygon {
	for _, r := range rings {
		for i := range r {
			r[i] = geom.Coord{r[i][0] / 0.3048, r[i][1] / 0.3048}
		}
	}
	return lawn(rings).Net
}

// behind is a house of 20 x 10 m in a lawn, the truck 5 m before the middle of its front, and one pass behind it, up to
// 2 m beyond its middle.
func behind(hose unit.Length) *work {
	l := &Lawn{Net: metres(rect(-10, -4, 40, 20), rect(0, 0, 20, 10)), NoWalk: metres(rect(0, 0, 20, 10)),
		LeftOut: map[geo.Surface]*geom.MultiPolygon{geo.Hardscape: metres(rect(-16, -5, 3, 20))},
		Trucks:  []geom.Coord{{10, -5}}}
	return &work{lawn: l, plan: &Plan{}, setup: Setup{Swath: 2, Hose: hose}, passes: []Pass{stroke(0, geom.Coord{0, 12}, geom.Coord{12, 12})}}
}

// By hand: to a front corner root(10^2 + 5^2), along the side 10, and to the middle behind root(10^2 + 2^2), where the ways
// round both sides are equal: 31.378 m. It bends at two corners.
func TestHoseRoundAHouse(t *testing.T) {
	want := math.Sqrt(125) + 10 + math.Sqrt(104)
	for _, hose := range []unit.Length{0, 31.4, 31.3} {
		w := behind(hose)
		w.walkOrder()
		p, r := w.plan.Passes[0], w.plan.Reach
		if math.Abs(float64(p.Hose)-want) > 0.015 || r.Most != p.Hose {
			t.Errorf("hose of %v: needs %.3f m, at most %.3f; want %.3f", hose, float64(p.Hose), float64(r.Most), want)
		}
		if out := hose == 31.3; out != slices.Equal(r.Out, []int{1}) || out != (r.Second != nil) {
			t.Errorf("hose of %v: out of reach %v, second place %v", hose, r.Out, r.Second)
		}
		if len(r.Bends) < 2 || len(r.Bends) > 4 {
			t.Errorf("bends at %v, want two corners of the house on the side that the hose takes", r.Bends)
		}
	}
}

// The drive west of the house ends 15 m north of the street: from its east edge, level with the pass, 13 + 12 m reach all of it.
// With less than 25 m of hose no place will do. From the street, 3, 6, 9 m and so on from the truck, it is the least from 9 m to the
// west: root(1^2 + 5^2) to the front corner, 10 along the side and root(12^2 + 2^2) behind, 27.27 m.
func TestSecondPlace(t *testing.T) {
	for _, tt := range []struct {
		hose  unit.Length
		drive bool
		want  float64 // the hose from there, 0 for no place
	}{{26, true, 25}, {24.9, true, 0}, {29.5, false, math.Sqrt(26) + 10 + math.Sqrt(148)}, {27.1, false, 0}} {
		w := behind(tt.hose)
		if !tt.drive {
			w.lawn.LeftOut = nil
		}
		w.walkOrder()
		c := w.plan.Reach.Second
		if (c == nil) != (tt.want == 0) {
			t.Errorf("hose of %v: second place %v, want one: %v", tt.hose, c, tt.want > 0)
			continue
		}
		if c == nil {
			continue
		}
		f := w.lawn.ground().From(*c)
		got, _ := f.Most(geom.Coord{0, 12}, geom.Coord{12, 12})
		if got > tt.want+0.1 { // places lie up to 3 m apart
			t.Errorf("hose of %v: %.2f m from the second place %v, want %.2f", tt.hose, got, *c, tt.want)
		}
		if tt.drive && math.Abs((*c)[0]+13) > 1e-6 && math.Abs((*c)[0]+16) > 1e-6 {
			t.Errorf("the second place %v is not on the drive's edge", *c)
		}
	}
}

// A yard within a house: no hose gets there, whatever its length.
func TestYardIsOutOfReach(t *testing.T) {
	l := &Lawn{NoWalk: metres(rect(0, 0, 30, 30), rect(10, 10, 10, 10)), Net: metres(rect(10, 10, 10, 10)), Trucks: []geom.Coord{{15, -5}}}
	w := work{lawn: l, plan: &Plan{}, setup: Setup{Swath: 2, Hose: 200}, passes: []Pass{stroke(0, geom.Coord{11, 11}, geom.Coord{19, 11})}}
	w.walkOrder()
	if r := w.plan.Reach; !slices.Equal(r.Out, []int{1}) || r.Second != nil {
		t.Errorf("out of reach %v, second place %v", r.Out, r.Second)
	}
}

// Of two places, each pass takes the nearer along the hose. By hand: a lawn of 100 x 49 ft, trucks south and north of its middle.
func TestTwoTrucks(t *testing.T) {
	east := 90.0
	s := gun(7 * unit.Foot)
	s.Bearing = &east
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
	l.Trucks = []geom.Coord{{50 * 0.3048, -1}, {50 * 0.3048, 49*0.3048 + 1}}
	p, err := Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	for _, q := range p.Passes {
		y := q.Line[0][1]
		want := math.Hypot(50*0.3048, min(y, 49*0.3048-y)+1)
		truck := 0
		if y > 24.6*0.3048 {
			truck = 1
		}
		if math.Abs(float64(q.Hose)-want) > 0.005 || q.Truck != truck {
			t.Errorf("pass at %.2f m: %.3f m from truck %d, want %.3f from %d", y, float64(q.Hose), q.Truck, want, truck)
		}
	}
}

// By hand: five strips along a street, the truck before their middle. From the near edge on, the hose lies on the strips
// that are done for all but the first; from the far edge on, for none.
func TestHoseOnWetTurf(t *testing.T) {
	east := 90.0
	for _, far := range []bool{false, true} {
		s := gun(7 * unit.Foot)
		s.Bearing, s.FarFirst = &east, far
		l := lawn([][]geom.Coord{rect(0, 0, 100, 35)})
		l.Trucks = []geom.Coord{{50 * 0.3048, -2}}
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		want, first := 4, 3.5
		if far {
			want, first = 0, 31.5
		}
		if got := p.Passes[0].Line[0][1] / 0.3048; p.Reach.OnWet != want || math.Abs(got-first) > 0.01 {
			t.Errorf("far end first %v: hose on wet turf for %d passes, the first at %.1f ft; want %d, %.1f", far, p.Reach.OnWet, got, want, first)
		}
	}
}

// By hand: a line through the middle of a trapezoid from 2 to 4 m high, 10 m long, lies in it for its length; one along
// a slanted side just outside of it does not; one across at its middle for 3 m of 6.
func TestShareOfACell(t *testing.T) {
	c := cell{u0: 0, u1: 10, lo0: 0, lo1: 0, hi0: 2, hi1: 4}
	for _, tt := range []struct{ au, av, bu, bv, want float64 }{
		{0, 1, 10, 1, 1}, {-10, 1, 10, 1, 0.5}, {0, 2.01, 10, 4.01, 0}, {5, -1, 5, 5, 0.5}, {5, 5, 5, -1, 0.5}, {11, 0, 11, 4, 0}, {-1, -1, 11, -1, 0},
	} {
		if got := c.share(tt.au, tt.av, tt.bu, tt.bv); math.Abs(got-tt.want) > 1e-9 {
			t.Errorf("from %v, %v to %v, %v: got %v, want %v", tt.au, tt.av, tt.bu, tt.bv, got, tt.want)
		}
	}
}
