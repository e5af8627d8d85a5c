package overlay_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo/overlay"
)

// disc is a polygon of 256 corners on a circle.
func disc(x, y, r float64) []float64 {
	var out []float64
	for i := range 256 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 256)
		out = append(out, x+r*c, y+r*s)
	}
	return out
}

// By arithmetic; round corners are quarter circles.
func TestGrow(t *testing.T) {
	for _, c := range []struct {
		name  string
		mp    *geom.MultiPolygon
		by    float64
		want  float64
		parts int
	}{
		{"rectangle out", polygon(box(0, 0, 20, 10)), 2, 200 + 60*2 + math.Pi*4, 1},
		{"rectangle in", polygon(box(0, 0, 20, 10)), -2, 16 * 6, 1},
		{"rectangle away", polygon(box(0, 0, 20, 10)), -5.1, 0, 0},
		{"disc out", polygon(disc(3, 4, 10)), 2, math.Pi * 144, 1},
		{"disc in", polygon(disc(3, 4, 10)), -2, math.Pi * 64, 1},
		{"hole shrinks", polygon(box(0, 0, 20, 20), box(5, 5, 10, 10)), 1, 400 + 80 + math.Pi - 64, 1},
		{"hole grows", polygon(box(0, 0, 20, 20), box(5, 5, 10, 10)), -1, 18*18 - (100 + 40 + math.Pi), 1},
		{"hole goes", polygon(box(0, 0, 20, 20), box(5, 5, 1, 1)), 1, 400 + 80 + math.Pi, 1},
		{"neck breaks", polygon([]float64{0, 0, 10, 0, 10, 4, 20, 4, 20, 0, 30, 0, 30, 10, 20, 10, 20, 6, 10, 6, 10, 10, 0, 10}),
			-1.5, 2*49 + 4*(1.5-math.Sqrt(1.25)/2-1.125*math.Asin(1/1.5)), 2}, // each half bulges into the neck, between two arcs
		{"parts join", parts([][]float64{box(0, 0, 10, 10)}, [][]float64{box(10.6, 0, 10, 10)}),
			0.5, 2*(120+math.Pi/4) - 4 - (0.5*math.Acos(0.6) - 0.24), 1}, // less what they share: 0.4 x 10 and a lens
		{"parts with a slit", parts([][]float64{box(0, 0, 10, 10)}, [][]float64{box(10.0005, 0, 10, 10)}), -1, 18 * 8, 1},
		{"overlapping parts", parts([][]float64{box(0, 0, 10, 10)}, [][]float64{box(5, 0, 10, 10)}), -1, 13 * 8, 1},
		{"bow-tie", polygon([]float64{0, 0, 10, 10, 10, 0, 0, 10}), 0, 50, 2},
		{"nothing", geom.NewMultiPolygon(geom.XY), 3, 0, 0},
		{"half a millimetre", polygon(box(0, 0, 20, 10)), 0.0005, 200 + 0.03, 1},
	} {
		got, err := overlay.Grow(c.mp, unit.Length(c.by))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if a := float64(overlay.Area(got)); math.Abs(a-c.want) > 2e-4*c.want+0.002 {
			t.Errorf("%s: got %.4f m2, want %.4f", c.name, a, c.want)
		}
		if got.NumPolygons() != c.parts {
			t.Errorf("%s: got %d parts, want %d", c.name, got.NumPolygons(), c.parts)
		}
		checkWinding(t, c.name, got)
	}
}

func TestGrowRefuses(t *testing.T) {
	lawn := polygon(box(0, 0, 20, 10))
	for _, by := range []float64{math.NaN(), math.Inf(1), -1001} {
		if _, err := overlay.Grow(lawn, unit.Length(by)); err == nil || errors.Is(err, overlay.ErrUnsure) {
			t.Errorf("by %v m: got error %v", by, err)
		}
	}
	if _, err := overlay.Grow(polygon(box(49_990, 0, 5, 5)), 100); err == nil {
		t.Error("grown beyond the frame")
	}
}

// Distances by brute force: what is left of a star is all ground far enough from its outline.
func TestGrowLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 24).Draw(t, "corners")
		ring := make([]float64, 0, 2*n)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := rapid.Float64Range(1, 30).Draw(t, "r")
			ring = append(ring, r*c, r*s)
		}
		mp := polygon(ring)
		d := rapid.Float64Range(0.05, 6).Draw(t, "offset")
		for _, by := range []float64{d, -d} {
			got, err := overlay.Grow(mp, unit.Length(by))
			if err != nil {
				t.Fatal(err)
			}
			for range 200 {
				x, y := rapid.Float64Range(-40, 40).Draw(t, "x"), rapid.Float64Range(-40, 40).Draw(t, "y")
				off := signedDistance(mp, x, y) // positive outside
				if math.Abs(off-by) < 0.005*d+0.001 {
					continue
				}
				if in := signedDistance(got, x, y) < 0; in != (off < by) {
					t.Fatalf("%.4f, %.4f is %.4f m outside the outline; in the result of %.4f m: %v", x, y, off, by, in)
				}
			}
		}
	})
}

// signedDistance is the distance from the nearest edge, negative inside by even-odd.
func signedDistance(mp *geom.MultiPolygon, x, y float64) float64 {
	nearest, inside := math.Inf(1), false
	for i := range mp.NumPolygons() {
		for j := range mp.Polygon(i).NumLinearRings() {
			r := mp.Polygon(i).LinearRing(j).FlatCoords()
			for k := 0; k+3 < len(r); k += 2 {
				ax, ay, bx, by := r[k]-x, r[k+1]-y, r[k+2]-x, r[k+3]-y
				if (ay > 0) != (by > 0) && ax+(bx-ax)*ay/(ay-by) > 0 {
					inside = !inside
				}
				dx, dy := bx-ax, by-ay
				t := 0.0
				if l := dx*dx + dy*dy; l > 0 {
					t = min(1, max(0, -(ax*dx+ay*dy)/l))
				}
				nearest = min(nearest, math.Hypot(ax+t*dx, ay+t*dy))
			}
		}
	}
	if inside {
		return -nearest
	}
	return nearest
}

func TestCorridor(t *testing.T) {
	for _, c := range []struct {
		name  string
		lines [][]geom.Coord
		want  float64
		parts int
	}{
		{"straight", [][]geom.Coord{{{0, 0}, {10, 0}}}, 20, 1},
		{"corner", [][]geom.Coord{{{0, 0}, {10, 0}, {10, 10}}}, 40 - 1 + math.Pi/4, 1}, // a square of 1 m is shared, a quarter disc is added
		{"cross", [][]geom.Coord{{{0, 0}, {10, 0}}, {{5, -5}, {5, 5}}}, 36, 1},
		{"apart", [][]geom.Coord{{{0, 0}, {10, 0}}, {{0, 5}, {10, 5}}}, 40, 2},
		{"twice the same", [][]geom.Coord{{{0, 0}, {10, 0}}, {{10, 0}, {0, 0}}}, 20, 1},
		{"repeated corner", [][]geom.Coord{{{0, 0}, {0, 0}, {10, 0}, {10, 0}}}, 20, 1},
		{"there and back part of the way", [][]geom.Coord{{{0, 0}, {10, 0}, {4, 0}}}, 20 + math.Pi/2, 1},
		{"there and back", [][]geom.Coord{{{0, 0}, {10, 0}, {0, 0}}}, 20 + math.Pi, 1},
		{"a twitch at the end", [][]geom.Coord{{{0, 0}, {10, 0}, {10, 0.0002}}}, 20, 1},
		{"loop", [][]geom.Coord{{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}}, 4*20 - 4 + math.Pi, 1},
		{"none", nil, 0, 0},
	} {
		got, err := overlay.Corridor(c.lines, 2)
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		if a := float64(overlay.Area(got)); math.Abs(a-c.want) > 2e-4*c.want+0.002 || got.NumPolygons() != c.parts {
			t.Errorf("%s: got %.4f m2 in %d parts, want %.4f in %d", c.name, a, got.NumPolygons(), c.want, c.parts)
		}
		checkWinding(t, c.name, got)
	}
	line := [][]geom.Coord{{{0, 0}, {10, 0}}}
	for name, f := range map[string]func() (*geom.MultiPolygon, error){
		"no width":     func() (*geom.MultiPolygon, error) { return overlay.Corridor(line, 0) },
		"not a number": func() (*geom.MultiPolygon, error) { return overlay.Corridor(line, unit.Length(math.NaN())) },
		"one point":    func() (*geom.MultiPolygon, error) { return overlay.Corridor([][]geom.Coord{{{1, 1}, {1, 1}}}, 2) },
		"far":          func() (*geom.MultiPolygon, error) { return overlay.Corridor([][]geom.Coord{{{0, 0}, {1e6, 0}}}, 2) },
	} {
		if _, err := f(); err == nil || errors.Is(err, overlay.ErrUnsure) {
			t.Errorf("%s: got error %v", name, err)
		}
	}
}

// A wandering line: the path is all ground within half the width of it, but for the ends.
func TestCorridorOfWanderingLines(t *testing.T) {
	rnd := rand.New(rand.NewPCG(9, 10))
	for range 100 {
		line := []geom.Coord{{0, 0}}
		for range 2 + rnd.IntN(30) {
			p := line[len(line)-1]
			line = append(line, geom.Coord{p.X() + 10*rnd.NormFloat64(), p.Y() + 10*rnd.NormFloat64()})
		}
		width := 0.2 + 5*rnd.Float64()
		got, err := overlay.Corridor([][]geom.Coord{line}, unit.Length(width))
		if err != nil {
			t.Fatalf("%v wide along %v: %v", width, line, err)
		}
		for range 200 {
			k := rnd.IntN(len(line) - 1)
			a, b, u := line[k], line[k+1], 0.01+0.98*rnd.Float64()
			l := math.Hypot(b.X()-a.X(), b.Y()-a.Y())
			side := width / 2 * 0.99 * (2*rnd.Float64() - 1)
			x, y := a.X()+u*(b.X()-a.X())-side*(b.Y()-a.Y())/l, a.Y()+u*(b.Y()-a.Y())+side*(b.X()-a.X())/l
			if signedDistance(got, x, y) > 0 {
				t.Fatalf("%.3f, %.3f is beside the line %v and not on the path of %.3f m", x, y, line, width)
			}
		}
	}
}

// A receiver's track of 1,000 fixes that tremble: joined half by half, within seconds.
func TestCorridorOfATrack(t *testing.T) {
	rnd := rand.New(rand.NewPCG(15, 16))
	line := []geom.Coord{{0, 0}}
	for range 1_000 {
		p := line[len(line)-1]
		line = append(line, geom.Coord{p.X() + 0.2 + 0.2*rnd.NormFloat64(), p.Y() + 0.2*rnd.NormFloat64()})
	}
	got, err := overlay.Corridor([][]geom.Coord{line}, 2)
	if err != nil {
		t.Fatal(err)
	}
	checkWinding(t, "track", got)
	first, last := line[0], line[len(line)-1]
	for _, p := range line {
		if math.Hypot(p.X()-first.X(), p.Y()-first.Y()) < 2 || math.Hypot(p.X()-last.X(), p.Y()-last.Y()) < 2 {
			continue // the ends are flat
		}
		if d := signedDistance(got, p.X(), p.Y()); d > -0.99 {
			t.Fatalf("the track is %.3f m from the edge of its path at %v", -d, p)
		}
	}
}

func TestGrowRefusesRagged(t *testing.T) {
	rnd := rand.New(rand.NewPCG(17, 18))
	var ring []float64
	for i := range 20_000 {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 20_000)
		r := 60 + 3*rnd.Float64()
		ring = append(ring, r*c, r*s)
	}
	if _, err := overlay.Grow(polygon(ring), 2); err == nil || errors.Is(err, overlay.ErrUnsure) {
		t.Errorf("got error %v", err)
	}
}
