package ground

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"
)

// shape is one polygon from its rings.
func shape(rings ...[]geom.Coord) *geom.MultiPolygon {
	var closed [][]geom.Coord
	for _, r := range rings {
		closed = append(closed, append(r[:len(r):len(r)], r[0]))
	}
	return geom.NewMultiPolygon(geom.XY).MustSetCoords([][][]geom.Coord{closed})
}

func box(x, y, w, h float64) []geom.Coord {
	return []geom.Coord{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// A way round a square of 10 m, from 5 m in front of the middle of one side to 5 m behind the other: to its corner
// and on, by Pythagoras twice 5 root 2, and 10 along its side.
func ExampleField_To() {
	g := New(shape(box(0, 0, 10, 10)))
	way, length, _ := g.From(geom.Coord{-5, 5}).To(geom.Coord{15, 5})
	fmt.Printf("%.2f m over %d points\n", length, len(way))
	// Output: 24.14 m over 4 points
}

func TestWaysByHand(t *testing.T) {
	square := shape(box(0, 0, 10, 10))
	u := shape([]geom.Coord{{0, 0}, {30, 0}, {30, 20}, {20, 20}, {20, 10}, {10, 10}, {10, 20}, {0, 20}})
	yard := shape(box(0, 0, 30, 30), box(10, 10, 10, 10))
	for _, tt := range []struct {
		name      string
		obstacles []*geom.MultiPolygon
		a, b      geom.Coord
		want      float64 // infinite: no way
	}{
		{"nothing in the way", nil, geom.Coord{0, 0}, geom.Coord{30, 40}, 50},
		{"past a square", []*geom.MultiPolygon{square}, geom.Coord{-5, 20}, geom.Coord{15, 20}, 20},
		{"along a wall", []*geom.MultiPolygon{square}, geom.Coord{0, 0}, geom.Coord{10, 0}, 10},
		{"along a wall and beyond", []*geom.MultiPolygon{square}, geom.Coord{-3, 0}, geom.Coord{14, 0}, 17},
		{"corner to opposite corner", []*geom.MultiPolygon{square}, geom.Coord{0, 0}, geom.Coord{10, 10}, 20},
		{"middle of a wall to the middle of the opposite", []*geom.MultiPolygon{square}, geom.Coord{5, 0}, geom.Coord{5, 10}, 20},
		{"wall to wall round one corner", []*geom.MultiPolygon{square}, geom.Coord{5, 0}, geom.Coord{10, 3}, 8},
		{"into a U", []*geom.MultiPolygon{u}, geom.Coord{-5, 15}, geom.Coord{15, 15}, 5*math.Sqrt2 + 10 + 5*math.Sqrt2},
		{"within the U", []*geom.MultiPolygon{u}, geom.Coord{12, 12}, geom.Coord{15, 16}, 5},
		{"into a yard", []*geom.MultiPolygon{yard}, geom.Coord{-5, 15}, geom.Coord{15, 15}, math.Inf(1)},
		{"within the yard", []*geom.MultiPolygon{yard}, geom.Coord{11, 11}, geom.Coord{14, 15}, 5},
		{"two that overlap are one", []*geom.MultiPolygon{shape(box(0, 0, 6, 10)), shape(box(4, 0, 6, 10))}, geom.Coord{-5, 5}, geom.Coord{15, 5}, 10 + 10*math.Sqrt2},
		{"two that touch are one", []*geom.MultiPolygon{shape(box(0, 0, 5, 10)), shape(box(5, 0, 5, 10))}, geom.Coord{5, -5}, geom.Coord{5, 15}, 10 + 10*math.Sqrt2},
		{"between two", []*geom.MultiPolygon{shape(box(0, 0, 4, 10)), shape(box(6, 0, 4, 10))}, geom.Coord{5, -5}, geom.Coord{5, 15}, 20},
		{"out of an obstacle by the nearest way", []*geom.MultiPolygon{square}, geom.Coord{1, 5}, geom.Coord{-4, 5}, 5},
		{"out of one and round it", []*geom.MultiPolygon{square}, geom.Coord{5, 1}, geom.Coord{5, 10}, 21},
		{"from one to itself", []*geom.MultiPolygon{square}, geom.Coord{5, 0}, geom.Coord{5, 0}, 0},
		{"wound the other way", []*geom.MultiPolygon{shape([]geom.Coord{{0, 0}, {0, 10}, {10, 10}, {10, 0}})}, geom.Coord{-5, 5}, geom.Coord{15, 5}, 10 + 10*math.Sqrt2},
		{"corners twice and in a row", []*geom.MultiPolygon{shape([]geom.Coord{{0, 0}, {5, 0}, {5, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 4}})}, geom.Coord{-5, 5}, geom.Coord{15, 5}, 10 + 10*math.Sqrt2},
	} {
		way, got, ok := New(tt.obstacles...).From(tt.a).To(tt.b)
		if math.IsInf(tt.want, 1) {
			if ok {
				t.Errorf("%s: got a way of %.3f m, want none", tt.name, got)
			}
			continue
		}
		if !ok || math.Abs(got-tt.want) > 0.008 { // two millimetres or so a corner
			t.Errorf("%s: got %.3f m, %v by %v, want %.3f", tt.name, got, ok, way, tt.want)
			continue
		}
		if way[0][0] != tt.a[0] || way[0][1] != tt.a[1] || way[len(way)-1][0] != tt.b[0] || way[len(way)-1][1] != tt.b[1] {
			t.Errorf("%s: the way %v does not lead from %v to %v", tt.name, way, tt.a, tt.b)
		}
	}
}

func TestClear(t *testing.T) {
	g := New(shape(box(0, 0, 10, 10)))
	for _, tt := range []struct {
		a, b geom.Coord
		want bool
	}{
		{geom.Coord{-1, 5}, geom.Coord{11, 5}, false},
		{geom.Coord{-1, -1}, geom.Coord{11, 11}, false},
		{geom.Coord{0, 5}, geom.Coord{-3, 5}, true},
		{geom.Coord{0.0005, 5}, geom.Coord{-3, 5}, true}, // within a millimetre of the edge
		{geom.Coord{0.5, 5}, geom.Coord{-3, 5}, false},
		{geom.Coord{0, 0}, geom.Coord{10, 0}, true},
		{geom.Coord{0, 0}, geom.Coord{10, 10}, false},
		{geom.Coord{-5, 5}, geom.Coord{5, 16}, true},
	} {
		if got := g.Clear(tt.a, tt.b); got != tt.want || g.Clear(tt.b, tt.a) != tt.want {
			t.Errorf("from %v to %v: got %v, want %v, and the same back", tt.a, tt.b, got, tt.want)
		}
	}
}

// Behind a square of 10 m, seen from the middle of its front, the two ways round are equal in the middle: 5 + 10 + 5 m,
// though it is 15 m to either corner.
func TestMost(t *testing.T) {
	f := New(shape(box(0, 0, 10, 10))).From(geom.Coord{5, 0})
	for _, tt := range []struct {
		a, b   geom.Coord
		length float64
		x      float64
	}{
		{geom.Coord{0, 10}, geom.Coord{10, 10}, 20, 5},
		{geom.Coord{0, 10}, geom.Coord{3, 10}, 18, 3},
		{geom.Coord{0, -12}, geom.Coord{10, -12}, 13, 0},
		{geom.Coord{-3, 10}, geom.Coord{13, 10}, 20, 5},
	} {
		length, at := f.Most(tt.a, tt.b)
		if math.Abs(length-tt.length) > 0.012 || math.Abs(at[0]-tt.x) > 0.02 {
			t.Errorf("from %v to %v: got %.3f m at %.3f, want %.3f at x = %v", tt.a, tt.b, length, at, tt.length, tt.x)
		}
	}
}

// ngon is a convex polygon.
type ngon []geom.Coord

func someShapes(rng *rand.Rand, n int) (out []ngon) {
	for range n {
		x, y, turn := rng.Float64()*100, rng.Float64()*100, rng.Float64()*6
		a, b, corners := 2+rng.Float64()*12, 2+rng.Float64()*12, 3+rng.IntN(5)
		var p ngon
		for k := range corners {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(corners))
			st, ct := math.Sincos(turn)
			p = append(p, geom.Coord{x + a*c*ct - b*s*st, y + a*c*st + b*s*ct})
		}
		out = append(out, p)
	}
	return out
}

func shapes(ps []ngon) (out []*geom.MultiPolygon) {
	for _, p := range ps {
		out = append(out, shape(p))
	}
	return out
}

// within is how much of the line from a to b lies in the polygon: clipped by each of its sides in turn (Cyrus and Beck 1978; from memory).
func (p ngon) within(a, b geom.Coord) float64 {
	lo, hi := 0.0, 1.0
	for i := range p {
		c, d := p[i], p[(i+1)%len(p)]
		depth := func(q geom.Coord) float64 { return (d[0]-c[0])*(q[1]-c[1]) - (d[1]-c[1])*(q[0]-c[0]) }
		da, db := depth(a), depth(b)
		switch {
		case da <= 0 && db <= 0:
			return 0
		case da < 0:
			lo = max(lo, da/(da-db))
		case db < 0:
			hi = min(hi, da/(da-db))
		}
	}
	return max(hi-lo, 0) * math.Hypot(b[0]-a[0], b[1]-a[1])
}

// Against every way over all corners, by Floyd and Warshall's method, in which nothing is left out: what is in the way
// is found by clipping, for convex obstacles, overlapping ones among them.
func TestAgainstAllWays(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 1))
	bent, none := 0, 0
	for trial := range 60 {
		obstacles := someShapes(rng, 1+trial%12)
		var pts []geom.Coord
		for len(pts) < 8 {
			pts = append(pts, geom.Coord{rng.Float64() * 100, rng.Float64() * 100})
			for _, o := range obstacles {
				if q := pts[len(pts)-1]; o.within(q, geom.Coord{q[0] + 1e-3, q[1]}) > 0 {
					pts = pts[:len(pts)-1]
					break
				}
			}
		}
		for _, o := range obstacles {
			mx, my := 0.0, 0.0
			for _, c := range o {
				mx, my = mx+c[0]/float64(len(o)), my+c[1]/float64(len(o))
			}
			for _, c := range o { // a hair outside
				pts = append(pts, geom.Coord{mx + (c[0]-mx)*(1+1e-6), my + (c[1]-my)*(1+1e-6)})
			}
		}
		d := allWays(pts, obstacles)
		g := New(shapes(obstacles)...)
		for i := range 8 {
			f := g.From(pts[i])
			for k := range 8 {
				_, got, ok := f.To(pts[k])
				if want := d[i][k]; ok == math.IsInf(want, 1) || ok && math.Abs(got-want) > 0.02 {
					t.Errorf("trial %d: from %.1f to %.1f got %.3f m %v, want %.3f", trial, pts[i], pts[k], got, ok, want)
				}
				if !ok {
					none++
				} else if got > math.Hypot(pts[i][0]-pts[k][0], pts[i][1]-pts[k][1])+0.01 {
					bent++
				}
			}
		}
	}
	if bent < 500 {
		t.Errorf("only %d ways bend", bent)
	}
	t.Logf("%d ways bend, %d lead nowhere", bent, none)
}

func allWays(pts []geom.Coord, obstacles []ngon) [][]float64 {
	d := make([][]float64, len(pts))
	for i := range pts {
		d[i] = make([]float64, len(pts))
		for k := range pts {
			d[i][k] = math.Hypot(pts[i][0]-pts[k][0], pts[i][1]-pts[k][1])
			for _, o := range obstacles {
				if o.within(pts[i], pts[k]) > 1e-9 {
					d[i][k] = math.Inf(1)
				}
			}
		}
	}
	for m := range pts {
		for i := range pts {
			for k := range pts {
				d[i][k] = min(d[i][k], d[i][m]+d[m][k])
			}
		}
	}
	return d
}

// A way is as long back as forth, never longer over a third point, at least as long as the straight line, as long
// in a plane that is turned, and crosses no obstacle.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(rt, "seed"), 1))
		obstacles := someShapes(rng, rapid.IntRange(0, 15).Draw(rt, "obstacles"))
		g := New(shapes(obstacles)...)
		var p [3]geom.Coord
		for i := range p {
			p[i] = geom.Coord{rng.Float64() * 100, rng.Float64() * 100}
			free := g.free(of(p[i]))
			p[i] = free.coord() // laws of free ground: a way out of an obstacle is another matter
		}
		length := func(a, b geom.Coord) float64 { return g.From(a).Length(b) }
		ab, bc, ac := length(p[0], p[1]), length(p[1], p[2]), length(p[0], p[2])
		if back := length(p[1], p[0]); math.Abs(ab-back) > 1e-6 {
			rt.Fatalf("%.6f m forth, %.6f back", ab, back)
		}
		if ac > ab+bc+0.05 {
			rt.Fatalf("%.4f m straight on, %.4f over a third point", ac, ab+bc)
		}
		way, l, ok := g.From(p[0]).To(p[1])
		if !ok {
			return
		}
		if l < math.Hypot(p[1][0]-p[0][0], p[1][1]-p[0][1])-1e-9 || math.Abs(l-ab) > 0.004 {
			rt.Fatalf("a way of %.4f m, the length is given as %.4f", l, ab)
		}
		for i := 1; i < len(way); i++ {
			for _, o := range obstacles {
				if in := o.within(way[i-1], way[i]); in > 0.003 { // ends on an edge
					rt.Fatalf("%.4f m of the way lie in an obstacle", in)
				}
			}
		}
		turn := rapid.Float64Range(0, 7).Draw(rt, "turn")
		s, c := math.Sincos(turn)
		turned := func(q geom.Coord) geom.Coord { return geom.Coord{500 + c*q[0] - s*q[1], s*q[0] + c*q[1] - 300} }
		for _, o := range obstacles {
			for i := range o {
				o[i] = turned(o[i])
			}
		}
		if there := New(shapes(obstacles)...).From(turned(p[0])).Length(turned(p[1])); math.Abs(there-ab) > 0.05 {
			rt.Fatalf("%.4f m, and %.4f in a turned plane", ab, there)
		}
	})
}

// yards is a made-up site of 33 beds with 24 corners each, round and ragged.
func yards() []*geom.MultiPolygon {
	rng := rand.New(rand.NewPCG(7, 7))
	var out []*geom.MultiPolygon
	for i := range 33 {
		var ring []geom.Coord
		for k := range 24 {
			r := 6 + 2*rng.Float64()*float64(i%2)
			s, c := math.Sincos(2 * math.Pi * float64(k) / 24)
			ring = append(ring, geom.Coord{float64(i%6)*18 + r*c, float64(i/6)*18 + r*s})
		}
		out = append(out, shape(ring))
	}
	return out
}

// From 20 places to 400 points of free ground between 792 corners.
func BenchmarkTrucks(b *testing.B) {
	beds := yards()
	rng := rand.New(rand.NewPCG(7, 8))
	known := New(beds...)
	at := func() geom.Coord {
		for {
			if p := (xy{rng.Float64()*108 - 9, rng.Float64()*108 - 9}); !known.blocked(p) {
				return p.coord()
			}
		}
	}
	for b.Loop() {
		g := New(beds...)
		for range 20 {
			f := g.From(at())
			for range 400 {
				f.Length(at())
			}
		}
	}
}

func BenchmarkNew(b *testing.B) {
	beds := yards()
	for b.Loop() {
		New(beds...)
	}
}
