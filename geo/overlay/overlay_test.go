package overlay_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/geo/geotest"
	"tankful/geo/overlay"
)

// polygon makes a polygon from rings of x, y, left open.
func polygon(rings ...[]float64) *geom.MultiPolygon {
	return parts(rings)
}

func parts(polys ...[][]float64) *geom.MultiPolygon {
	mp := geom.NewMultiPolygon(geom.XY)
	for _, rings := range polys {
		var flat []float64
		var ends []int
		for _, r := range rings {
			flat = append(append(flat, r...), r[0], r[1])
			ends = append(ends, len(flat))
		}
		if err := mp.Push(geom.NewPolygonFlat(geom.XY, flat, ends)); err != nil {
			panic(err)
		}
	}
	return mp
}

func box(x, y, w, h float64) []float64 { return []float64{x, y, x + w, y, x + w, y + h, x, y + h} }

func near(t *testing.T, what string, mp *geom.MultiPolygon, err error, want float64) {
	t.Helper()
	if err != nil {
		t.Errorf("%s: %v", what, err)
		return
	}
	if got := float64(overlay.Area(mp)); math.Abs(got-want) > 1e-3 {
		t.Errorf("%s: got %.4f m2, want %.4f", what, got, want)
	}
	checkWinding(t, what, mp)
}

func checkWinding(t *testing.T, what string, mp *geom.MultiPolygon) {
	t.Helper()
	for i := range mp.NumPolygons() {
		for j := range mp.Polygon(i).NumLinearRings() {
			r := mp.Polygon(i).LinearRing(j).FlatCoords()
			var twice float64
			for k := 0; k+3 < len(r); k += 2 {
				twice += (r[k]-r[0])*(r[k+3]-r[1]) - (r[k+2]-r[0])*(r[k+1]-r[1])
			}
			if (twice > 0) != (j == 0) {
				t.Errorf("%s: ring %d of polygon %d is wound wrongly", what, j, i)
			}
		}
	}
}

func TestOperations(t *testing.T) {
	lawn := polygon(box(0, 0, 10, 10))
	ringLawn := polygon(box(0, 0, 10, 10), box(4, 4, 2, 2))
	for _, c := range []struct {
		name                string
		a, b                *geom.MultiPolygon
		union, common, left float64
	}{
		{"apart", lawn, polygon(box(20, 0, 2, 2)), 104, 0, 100},
		{"overlapping", lawn, polygon(box(8, 8, 4, 4)), 112, 4, 96},
		{"bed inside", lawn, polygon(box(2, 2, 3, 3)), 100, 9, 91},
		{"bed on the edge", lawn, polygon(box(0, 3, 2, 2)), 100, 4, 96},
		{"edge in common outside", lawn, polygon(box(10, 3, 2, 2)), 104, 0, 100},
		{"corner in common", lawn, polygon(box(10, 10, 2, 2)), 104, 0, 100},
		{"the same", lawn, lawn, 100, 100, 0},
		{"covering", lawn, polygon(box(-1, -1, 12, 12)), 144, 100, 0},
		{"bed in the hole", ringLawn, polygon(box(4.5, 4.5, 1, 1)), 97, 0, 96},
		{"bed filling the hole", ringLawn, polygon(box(4, 4, 2, 2)), 100, 0, 96},
		{"cut in two", lawn, polygon(box(4, -1, 1, 12)), 102, 10, 90},
		{"nothing to take", lawn, geom.NewMultiPolygon(geom.XY), 100, 0, 100},
		{"nothing to take from", geom.NewMultiPolygon(geom.XY), lawn, 100, 0, 0},
		{"overlapping beds", lawn, parts([][]float64{box(1, 1, 4, 4)}, [][]float64{box(3, 3, 4, 4)}), 100, 28, 72},
	} {
		u, err := overlay.Union(c.a, c.b)
		near(t, c.name+": union", u, err, c.union)
		i, err := overlay.Intersection(c.a, c.b)
		near(t, c.name+": intersection", i, err, c.common)
		d, err := overlay.Difference(c.a, c.b)
		near(t, c.name+": difference", d, err, c.left)
	}
	cut, _ := overlay.Difference(lawn, polygon(box(4, -1, 1, 12)))
	if cut.NumPolygons() != 2 {
		t.Errorf("a lawn cut in two has %d parts", cut.NumPolygons())
	}
}

// The reference is GEOS MakeValid with the structure method, or arithmetic.
func TestRepair(t *testing.T) {
	for _, c := range []struct {
		name string
		mp   *geom.MultiPolygon
		area float64
		kind overlay.ChangeKind
		part int
	}{
		{"sound", polygon(box(0, 0, 10, 10)), 100, "", 1},
		{"clockwise", polygon([]float64{0, 0, 0, 10, 10, 10, 10, 0}), 100, "", 1},
		{"repeated points", polygon([]float64{0, 0, 10, 0, 10, 0, 10, 10, 0, 10, 0, 10}), 100, "", 1},
		{"bow-tie, both lobes", polygon([]float64{0, 0, 10, 10, 10, 0, 0, 10}), 50, overlay.Uncrossed, 2},
		// Edges (10,0)-(2,12) and (8,12)-(0,0) cross at 5, 7.5: triangles 10 x 7.5 / 2 and 6 x 4.5 / 2.
		{"uneven bow-tie", polygon([]float64{0, 0, 10, 0, 2, 12, 8, 12}), 37.5 + 13.5, overlay.Uncrossed, 2},
		{"spike", polygon([]float64{0, 0, 10, 0, 10, 5, 20, 5, 10, 5, 10, 10, 0, 10}), 100, overlay.Uncrossed, 1},
		{"walked twice", polygon([]float64{0, 0, 10, 0, 10, 8, 2, 8, 2, 2, 8, 2, 8, 10, 0, 10}), 80 + 20 - 4, overlay.Uncrossed, 1},
		{"hole touching the edge in a line", polygon(box(0, 0, 10, 10), box(0, 4, 2, 2)), 96, overlay.HolesMended, 1},
		{"hole leaving the shell", polygon(box(0, 0, 10, 10), box(8, 4, 4, 2)), 96, overlay.HolesMended, 1},
		{"hole outside the shell", polygon(box(0, 0, 10, 10), box(20, 4, 2, 3)), 100, overlay.HolesMended, 1},
		{"overlapping holes", polygon(box(0, 0, 10, 10), box(1, 1, 4, 4), box(3, 3, 4, 4)), 72, overlay.HolesMended, 1},
		{"bow-tie hole", polygon(box(0, 0, 10, 10), []float64{2, 2, 6, 6, 6, 2, 2, 6}), 92, overlay.Uncrossed, 1},
		{"hole of the whole shell", polygon(box(0, 0, 10, 10), box(0, 0, 10, 10)), 0, overlay.HolesMended, 0},
		{"pinched: ring touches itself in a point", polygon([]float64{0, 0, 5, 5, 10, 0, 10, 10, 5, 5, 0, 10}), 50, overlay.Uncrossed, 2},
		{"overlapping parts", parts([][]float64{box(0, 0, 10, 10)}, [][]float64{box(5, 0, 10, 10)}), 150, overlay.PartsOverlap, 1},
		{"no area", polygon([]float64{0, 0, 10, 10, 5, 5}), 0, overlay.Uncrossed, 0},
		{"one point", polygon([]float64{3, 3}), 0, overlay.NoArea, 0},
	} {
		got, changes, err := overlay.Repair(c.mp)
		near(t, c.name, got, err, c.area)
		if got != nil && got.NumPolygons() != c.part {
			t.Errorf("%s: got %d parts, want %d", c.name, got.NumPolygons(), c.part)
		}
		switch {
		case c.kind == "" && len(changes) > 0:
			t.Errorf("%s: got changes %v, want none", c.name, changes)
		case c.kind != "" && (len(changes) != 1 || changes[0].Kind != c.kind):
			t.Errorf("%s: got changes %v, want %s", c.name, changes, c.kind)
		}
	}
}

func TestRefuses(t *testing.T) {
	for _, x := range []float64{math.NaN(), math.Inf(1), 1e308, 60_000} {
		_, err := overlay.Union(polygon([]float64{0, 0, x, 0, 0, 10}))
		if err == nil || errors.Is(err, overlay.ErrUnsure) {
			t.Errorf("a corner at %v m: got error %v", x, err)
		}
	}
}

// An outline made to waste time is refused in good time.
func TestRefusesScribbles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(7, 8))
	ring := make([]float64, 6000)
	for i := range ring {
		ring[i] = 1000 * rnd.Float64()
	}
	if _, _, err := overlay.Repair(polygon(ring)); err == nil {
		t.Error("3,000 corners at random were repaired")
	}
}

// lawnAndBed is the everyday case: a bed one edge of which lies on an edge of the lawn, up to
// round-off, turned at random. left is the area that remains.
func lawnAndBed(rnd *rand.Rand) (lawn, bed *geom.MultiPolygon, left float64) {
	n := 4 + rnd.IntN(12)
	turn := rnd.Float64() * 2 * math.Pi
	ring := make([]float64, 0, 2*n)
	for i := range n {
		s, c := math.Sincos(turn + 2*math.Pi*float64(i)/float64(n))
		r := 10 + 30*rnd.Float64()
		ring = append(ring, r*c, r*s)
	}
	ax, ay, bx, by := ring[0], ring[1], ring[2], ring[3]
	u, v := 0.1+0.3*rnd.Float64(), 0.6+0.3*rnd.Float64()
	at := func(t float64) (float64, float64) { return ax + (bx-ax)*t, ay + (by-ay)*t }
	px, py := at(u)
	qx, qy := at(v)
	// The bed is a triangle towards the middle, which the star's ring is convex enough to hold.
	depth := 0.2 + 0.3*rnd.Float64()
	mx, my := (px+qx)/2*(1-depth), (py+qy)/2*(1-depth)
	bedArea := math.Abs((qx-px)*(my-py)-(mx-px)*(qy-py)) / 2
	lawn, bed = polygon(ring), polygon([]float64{px, py, qx, qy, mx, my})
	return lawn, bed, float64(overlay.Area(lawn)) - bedArea
}

// On unsnapped coordinates the engine drops the whole bed in 0.4 % of these pairs.
func TestBedOnTheLawnsEdge(t *testing.T) {
	pairs := 4_000
	if !testing.Short() {
		pairs = geotest.Fewer(20_000)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	wrong := 0
	for range pairs {
		lawn, bed, left := lawnAndBed(rnd)
		got, err := overlay.Difference(lawn, bed)
		if err != nil {
			t.Errorf("refused: %v", err)
			continue
		}
		if math.Abs(float64(overlay.Area(got))-left) > 0.02 {
			wrong++
		}
	}
	if wrong > 0 {
		t.Errorf("%d of %d nets are wrong", wrong, pairs)
	}
}

// The checks catch what the engine gets wrong without snapping, and nothing else.
func TestChecksCatchALostBed(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	wrong := 0
	for range 4_000 {
		lawn, bed, left := lawnAndBed(rnd)
		got, err := overlay.Unsnapped(lawn, bed)
		lost := math.Abs(got-left) > 0.3
		if lost {
			wrong++
		}
		if lost != errors.Is(err, overlay.ErrUnsure) {
			t.Errorf("net %.3f m2, want %.3f: the checks say %v", got, left, err)
		}
	}
	if wrong == 0 {
		t.Error("the engine lost no bed: this test checks nothing any more")
	}
	t.Logf("%d of 4,000 beds were lost and caught", wrong)
}

// Union and difference of random stars obey the laws of sets, whatever the order.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		star := func(name string) *geom.MultiPolygon {
			n := rapid.IntRange(3, 30).Draw(t, name+" corners")
			ring := make([]float64, 0, 2*n)
			x, y := rapid.Float64Range(-20, 20).Draw(t, name+" x"), rapid.Float64Range(-20, 20).Draw(t, name+" y")
			for i := range n {
				s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
				r := rapid.Float64Range(1, 30).Draw(t, name+" r")
				ring = append(ring, x+r*c, y+r*s)
			}
			return polygon(ring)
		}
		a, b := star("a"), star("b")
		area := func(mp *geom.MultiPolygon, err error) float64 {
			if err != nil {
				t.Fatal(err)
			}
			return float64(overlay.Area(mp))
		}
		ab, ba := area(overlay.Union(a, b)), area(overlay.Union(b, a))
		inA, inB := area(overlay.Difference(a, b)), area(overlay.Difference(b, a))
		both := area(overlay.Intersection(a, b))
		// Snapping moves each of up to 60 edges of up to 60 m by up to 0.07 mm.
		for _, d := range []float64{ab - ba, ab - inA - inB - both, area(overlay.Union(a)) - inA - both} {
			if math.Abs(d) > 0.05 {
				t.Fatalf("areas do not add up by %.4f m2", d)
			}
		}
	})
}

// A polygon with random corners crosses itself nearly everywhere. Its area by the non-zero
// rule is compared with a count of points on a lattice.
func TestRepairOfScribbles(t *testing.T) {
	rnd := rand.New(rand.NewPCG(3, 4))
	for range 60 {
		n := 4 + rnd.IntN(20)
		ring := make([]float64, 2*n)
		for i := range ring {
			ring[i] = math.Round(rnd.Float64()*100) / 10 // coarse, so that corners and edges meet
		}
		got, _, err := overlay.Repair(polygon(ring))
		if err != nil {
			t.Errorf("%v: %v", ring, err)
			continue
		}
		const steps = 150
		inside := 0
		for i := range steps {
			for j := range steps {
				if winding(ring, (float64(i)+0.37)*10/steps, (float64(j)+0.41)*10/steps) != 0 {
					inside++
				}
			}
		}
		want := float64(inside) * 100 / (steps * steps)
		if a := float64(overlay.Area(got)); math.Abs(a-want) > 1 {
			t.Errorf("%v: got %.2f m2, the lattice says %.2f", ring, a, want)
		}
		checkWinding(t, "scribble", got)
		again, changes, err := overlay.Repair(got)
		if err != nil || len(changes) > 0 || math.Abs(float64(overlay.Area(again)-overlay.Area(got))) > 1e-6 {
			t.Errorf("%v: the repaired polygon is repaired again: %v, %v", ring, changes, err)
		}
	}
}

func winding(ring []float64, x, y float64) (w int) {
	n := len(ring) / 2
	for i := range n {
		ax, ay, bx, by := ring[2*i]-x, ring[2*i+1]-y, ring[2*((i+1)%n)]-x, ring[2*((i+1)%n)+1]-y
		if (ay > 0) != (by > 0) && ax+(bx-ax)*ay/(ay-by) > 0 {
			if by > ay {
				w++
			} else {
				w--
			}
		}
	}
	return w
}

func TestDropSlivers(t *testing.T) {
	mp := parts([][]float64{box(0, 0, 10, 10), box(2, 2, 5, 0.0005), box(2, 4, 5, 0.01)},
		[][]float64{box(20, 0, 10, 0.0005)}, [][]float64{box(40, 0, 10, 0.01)})
	got := overlay.DropSlivers(mp, 0.001)
	if got.NumPolygons() != 2 || got.Polygon(0).NumLinearRings() != 2 {
		t.Errorf("got %v", got.Coords())
	}
	if a := float64(overlay.Area(got)); math.Abs(a-(100-0.05+0.1)) > 1e-9 {
		t.Errorf("got %v m2, want 100.05", a)
	}
}

func BenchmarkDifference(b *testing.B) {
	lawn, bed, _ := lawnAndBed(rand.New(rand.NewPCG(1, 2)))
	for b.Loop() {
		if _, err := overlay.Difference(lawn, bed); err != nil {
			b.Fatal(err)
		}
	}
}
