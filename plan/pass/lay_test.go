package pass

import (
	"fmt"
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// lawn builds a lawn from rings in feet; the first ring of each polygon is its shell.
func lawn(polys ...[][]geom.Coord) Lawn {
	mp := geom.NewMultiPolygon(geom.XY)
	for _, rings := range polys {
		p := geom.NewPolygon(geom.XY)
		for _, ring := range rings {
			var cs []geom.Coord
			for _, c := range append(ring[:len(ring):len(ring)], ring[0]) {
				cs = append(cs, geom.Coord{c[0] * 0.3048, c[1] * 0.3048})
			}
			if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(cs)); err != nil {
				panic(err)
			}
		}
		if err := mp.Push(p); err != nil {
			panic(err)
		}
	}
	return Lawn{Net: mp}
}

func rect(x, y, w, h float64) []geom.Coord {
	return []geom.Coord{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

func gun(swath unit.Length) Setup {
	return Setup{Swath: swath, Trims: true, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre}
}

// 100 x 49 ft at 7 ft is seven passes of 100 ft, by hand: 49 / 7 = 7, and 4,900 sq ft / 7 ft = 700 ft.
func ExampleLay() {
	p, err := Lay(lawn([][]geom.Coord{rect(0, 0, 100, 49)}), gun(7*unit.Foot))
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%d passes, %s, at least %d passes and %s\n", len(p.Passes), unit.US.Length(p.SprayedLength), p.BoundPasses, unit.US.Length(p.BoundLength))
	for _, q := range p.Passes[:2] {
		fmt.Printf("pass %d: %s, %s\n", q.N, unit.US.Length(q.Length), unit.US.Area(q.Area))
	}
	// Output:
	// 7 passes, 700 ft, at least 7 passes and 700 ft
	// pass 1: 100 ft, 700 sq ft
	// pass 2: 100 ft, 700 sq ft
}

// Each expected count and length follows by hand from the dimensions.
func TestLayHandCases(t *testing.T) {
	tests := []struct {
		name   string
		lawn   Lawn
		swath  unit.Length
		passes int
		feet   float64
	}{
		{"exact fit", lawn([][]geom.Coord{rect(0, 0, 100, 49)}), 7 * unit.Foot, 7, 700},
		{"a hair over is no eighth pass", lawn([][]geom.Coord{rect(0, 0, 100, 49.00001)}), 7 * unit.Foot, 7, 700},
		{"an inch over is an eighth pass", lawn([][]geom.Coord{rect(0, 0, 100, 49+1/12.0)}), 7 * unit.Foot, 8, 800},
		{"hole on the strip lines", lawn([][]geom.Coord{rect(0, 0, 70, 70), rect(28, 28, 14, 14)}), 7 * unit.Foot, 12, 672},
		{"two parts", lawn([][]geom.Coord{rect(0, 0, 50, 14)}, [][]geom.Coord{rect(60, 0, 14, 50)}), 7 * unit.Foot, 4, 200},
		{"a verge of 8 ft", lawn([][]geom.Coord{rect(0, 0, 90, 8)}), 7 * unit.Foot, 2, 180},
		{"narrower than the swath", lawn([][]geom.Coord{rect(0, 0, 90, 5)}), 7 * unit.Foot, 1, 90},
		{"metric", lawn([][]geom.Coord{rect(0, 0, 100/0.3048, 12/0.3048)}), 3 * unit.Metre, 4, 400 / 0.3048},
		{"a tree ring is stepped round", lawn([][]geom.Coord{rect(0, 0, 100, 49), rect(40, 22, 5, 5)}), 7 * unit.Foot, 7, 700},
	}
	for _, tt := range tests {
		p, err := Lay(tt.lawn, gun(tt.swath))
		if err != nil {
			t.Errorf("%s: %v", tt.name, err)
			continue
		}
		if got := p.SprayedLength.In(unit.Foot); len(p.Passes) != tt.passes || math.Abs(got-tt.feet) > 0.01 {
			t.Errorf("%s: got %d passes of %.2f ft together, want %d of %.2f ft", tt.name, len(p.Passes), got, tt.passes, tt.feet)
		}
		check(t, tt.name, tt.lawn, p)
	}
}

// check holds a plan against what must be true of every plan.
func check(t *testing.T, name string, l Lawn, p *Plan) {
	t.Helper()
	sum := unit.Area(0)
	for i, q := range p.Passes {
		sum += q.Area
		if q.N != i+1 {
			t.Errorf("%s: pass %d has number %d", name, i+1, q.N)
		}
		if len(q.Line) < 2 || !(q.Length >= 0) || !(q.Area > 0) {
			t.Errorf("%s: pass %d has %d points, length %v, area %v", name, q.N, len(q.Line), q.Length, q.Area)
		}
	}
	want := turfArea(l.Net)
	if d := math.Abs(float64(sum-want)) / float64(want); d > 1e-9 {
		t.Errorf("%s: pass areas add up to %v, the turf is %v (off by %.2g)", name, sum, want, d)
	}
	if len(p.Passes) < p.BoundPasses {
		t.Errorf("%s: %d passes are below the bound of %d", name, len(p.Passes), p.BoundPasses)
	}
	if float64(p.SprayedLength) < float64(p.BoundLength)*(1-1e-6)-0.01 {
		t.Errorf("%s: length %v is below the bound of %v", name, p.SprayedLength, p.BoundLength)
	}
}

// turfArea is shells less holes, by the library's ring area, whatever the winding.
func turfArea(mp *geom.MultiPolygon) unit.Area {
	a := 0.0
	for i := range mp.NumPolygons() {
		p := mp.Polygon(i)
		for k := range p.NumLinearRings() {
			ring := math.Abs(p.LinearRing(k).Area())
			if k > 0 {
				ring = -ring
			}
			a += ring
		}
	}
	return unit.Area(a)
}

// A house fills the middle of the lot; no line may cross it though it is narrower than the side step.
func TestNoLineCrossesABuilding(t *testing.T) {
	house := rect(40, 21, 5, 5)
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49), house})
	l.NoWalk = lawn([][]geom.Coord{house}).Net
	p, err := Lay(l, gun(7*unit.Foot))
	if err != nil {
		t.Fatal(err)
	}
	check(t, "house", l, p)
	for _, q := range p.Passes {
		for i := 1; i < len(q.Line); i++ {
			for k := range 101 { // every hundredth of each stretch
				f := float64(k) / 100
				x := (q.Line[i-1][0] + f*(q.Line[i][0]-q.Line[i-1][0])) / 0.3048
				y := (q.Line[i-1][1] + f*(q.Line[i][1]-q.Line[i-1][1])) / 0.3048
				if x > 40.1 && x < 44.9 && y > 21.1 && y < 25.9 {
					t.Fatalf("pass %d runs over the house at %.1f, %.1f ft", q.N, x, y)
				}
			}
		}
	}
	if len(p.Passes) != 7 {
		t.Errorf("got %d passes, want 7: the walk bends round the house", len(p.Passes))
	}
}

// A boom puts out swath x length. By hand: a right triangle of 70 x 70 ft has ten strips of 7 ft, the
// k-th 70 - 7k ft long at its longer border: 7 x (70 + 63 + ... + 7) = 2,695 sq ft on 2,450 sq ft of turf.
func TestFixedWidthSpraysWholeSwath(t *testing.T) {
	s := gun(7 * unit.Foot)
	s.Trims = false
	east := 90.0
	s.Bearing = &east
	l := lawn([][]geom.Coord{{{0, 0}, {70, 0}, {0, 70}}})
	p, err := Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	sprayed := unit.Area(0)
	for _, q := range p.Passes {
		sprayed += q.Sprayed
	}
	if got := sprayed.In(unit.SquareFoot); math.Abs(got-2695) > 0.01 {
		t.Errorf("sprayed %.2f sq ft, want 2695", got)
	}
	if got := p.Overspray.In(unit.SquareFoot); math.Abs(got-245) > 0.01 {
		t.Errorf("overspray %.2f sq ft, want 245", got)
	}
}

// By hand: 100 x 49 1/12 ft at 7 ft is seven full strips and one of an inch. The line of the eighth pass lies half an
// inch inside the edge: its swath puts 3.5 - 1/24 ft of its width on the seventh strip and as much outside.
func TestNarrowStripIsSprayedTwice(t *testing.T) {
	want := 100 * (3.5 - 1/24.0)
	for _, trims := range []bool{true, false} {
		s := gun(7 * unit.Foot)
		s.Trims = trims
		p, err := Lay(lawn([][]geom.Coord{rect(0, 0, 100, 49+1/12.0)}), s)
		if err != nil {
			t.Fatal(err)
		}
		if got := p.Double.In(unit.SquareFoot); math.Abs(got-want) > 1 {
			t.Errorf("trims %v: double %.2f sq ft, want %.2f", trims, got, want)
		}
		outside := want
		if trims {
			outside = 0
		}
		if got := p.Overspray.In(unit.SquareFoot); math.Abs(got-outside) > 1 {
			t.Errorf("trims %v: overspray %.2f sq ft, want %.2f", trims, got, outside)
		}
		if math.Abs(float64(p.Covered/p.Net)-1) > 1e-9 {
			t.Errorf("trims %v: covered %v of %v m2", trims, p.Covered, p.Net)
		}
	}
}

// The middle line of a strip runs along the upper edge of a bed that fills the lower half of it for 20 ft: it
// keeps clear of the edge, on the turf's side, and is one pass.
func TestLineKeepsOffAnEdgeAlongIt(t *testing.T) {
	for _, y := range []float64{0.001, 3.501} { // in the lower or the upper half
		l := lawn([][]geom.Coord{rect(0, 0, 100, 7), {{40, y}, {60, y}, {60, y + 3.498}, {40, y + 3.498}}})
		l.NoWalk = lawn([][]geom.Coord{{{40, y}, {60, y}, {60, y + 3.498}, {40, y + 3.498}}}).Net
		p, err := Lay(l, gun(7*unit.Foot))
		if err != nil {
			t.Fatal(err)
		}
		want := 3.5*0.3048 + 0.005
		if y > 1 {
			want = 3.5*0.3048 - 0.005
		}
		if len(p.Passes) != 1 || len(p.Passes[0].Line) != 2 || math.Abs(p.Passes[0].Line[0][1]-want) > 1e-9 {
			t.Errorf("bed from %v ft: %d passes, line %v, want one at %.4f m", y, len(p.Passes), p.Passes[0].Line, want)
		}
	}
}

// A building fills the upper part of a strip for 20 ft, and a wall runs on from its lower corner: past the building the
// walk may not step up through that wall.
func TestBendDoesNotStepThroughAWall(t *testing.T) {
	for _, hole := range [][]geom.Coord{
		{{40, 2}, {70, 2}, {70, 3}, {60, 3}, {60, 6.9}, {40, 6.9}},
		{{40, 0.1}, {60, 0.1}, {60, 6.9}, {56, 6.9}, {56, 3.5}, {44, 3.5}, {44, 6.9}, {40, 6.9}}, // the line runs along a face
		{{0.2, 2}, {99.8, 2}, {99.8, 6.9}, {0.2, 6.9}},                                           // no room to step aside slantwise: up along its face
	} {
		checkWalls(t, hole)
	}
}

func checkWalls(t *testing.T, hole []geom.Coord) {
	t.Helper()
	l := lawn([][]geom.Coord{rect(0, 0, 100, 7), hole})
	l.NoWalk = lawn([][]geom.Coord{hole}).Net
	east := 90.0
	s := gun(7 * unit.Foot)
	s.Bearing = &east
	p, err := Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	walls := regions(l.NoWalk)[0]
	for _, q := range p.Passes {
		for i := 1; i < len(q.Line); i++ {
			a, b := q.Line[i-1], q.Line[i]
			for k := range 1001 {
				f := float64(k) / 1000
				if d := walls.clearance(a[0]+f*(b[0]-a[0]), a[1]+f*(b[1]-a[1])); d > 0.02 || d > -0.001 && k > 50 && k < 950 {
					t.Fatalf("pass %d goes %.3f m into the wall or along its face: %v", q.N, d, q.Line)
				}
			}
		}
	}
}

// Turf thinner than a line is drawn makes no walk of its own across the strip.
func TestTrim(t *testing.T) {
	for _, c := range []struct{ in, want []point }{
		{[]point{{0, 1}, {0.001, 0}, {5, 0}}, []point{{0.001, 0}, {5, 0}}},
		{[]point{{0, 0}, {5, 0}, {5.004, 1}, {5.004, 2}}, []point{{0, 0}, {5, 0}}},
		{[]point{{0, 0}, {0.001, 1}}, []point{{0, 0}, {0.001, 1}}},
		{[]point{{0, 0}, {2, 1}, {2, 2}, {5, 2}}, []point{{0, 0}, {2, 1}, {2, 2}, {5, 2}}},
	} {
		if got := trim(c.in); fmt.Sprint(got) != fmt.Sprint(c.want) {
			t.Errorf("trim(%v) = %v, want %v", c.in, got, c.want)
		}
	}
}

// A bend is covered once however its stretches overlap: a swath of 2 m along a right angle with legs of 10 m covers
// 2 x 20 m2, less the 1 x 1 m2 that both legs reach, and a quarter disc of radius 1 m outside the corner.
func TestCoverOfABend(t *testing.T) {
	net := lawn([][]geom.Coord{rect(-100, -100, 200, 200)}).Net
	p := Plan{Setup: Setup{Swath: 2 * unit.Metre}, Net: unit.Area(200 * 200 * 0.3048 * 0.3048),
		Passes: []Pass{{Line: []geom.Coord{{0, 0}, {10, 0}, {10, 10}}}}}
	p.cover(&Lawn{}, regions(net))
	if want := 39 + math.Pi/4; math.Abs(float64(p.Covered)-want) > 0.02 || p.Double > 0.01 || p.Overspray > 0.01 {
		t.Errorf("covered %.3f m2, double %.3f, overspray %.3f; want %.3f, 0, 0", p.Covered, p.Double, p.Overspray, want)
	}
}

// By hand: the strip of the triangle next to its base runs from 70 to 63 ft. The area of its first s
// feet from the square end is 7s while s <= 63; 441 + 24.5 sq ft in all. 441 sq ft are reached at 63 ft;
// 453.25 sq ft (half of the slanted end's 24.5) at 63 + 7 - 7/sqrt(2) ft.
func TestAlongIsExactOnSlantedEnds(t *testing.T) {
	east := 90.0
	s := gun(7 * unit.Foot)
	s.Bearing = &east
	p, err := Lay(lawn([][]geom.Coord{{{0, 0}, {70, 0}, {0, 70}}}), s)
	if err != nil {
		t.Fatal(err)
	}
	var base *Pass
	for i := range p.Passes {
		if p.Passes[i].Line[0][1] < 7*0.3048 {
			base = &p.Passes[i]
		}
	}
	fromSquareEnd := base.Line[0][0] < base.Line[1][0]
	for _, tt := range []struct{ area, feet float64 }{{0, 0}, {70, 10}, {441, 63}, {453.25, 70 - 7/math.Sqrt2}, {465.5, 70}} {
		a := unit.Area(tt.area) * unit.SquareFoot
		want := tt.feet
		if !fromSquareEnd {
			a, want = base.Area-a, 70-tt.feet
		}
		if got := base.Along(a).In(unit.Foot); math.Abs(got-want) > 1e-3 {
			t.Errorf("%.2f sq ft: got %.4f ft into the pass, want %.4f", tt.area, got, want)
		}
	}
}
