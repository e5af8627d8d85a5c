package overlay_test

import (
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/geo/geotest"
	"tankful/geo/overlay"
)

// rectangles of a lattice, left, bottom, right and top.
type rectangle [4]int

func (r rectangle) holds(x, y int) bool { return r[0] <= x && x < r[2] && r[1] <= y && y < r[3] }

// nestedRectangles are shells with holes, islands in holes and neighbours, often not touching: even-odd of
// rectangles one in another, each polygon a ring between two of them.
func nestedRectangles(rnd *rand.Rand, in rectangle, depth int) (polys [][]rectangle) {
	gap := func() int { return rnd.IntN(3) }
	r := rectangle{in[0] + gap(), in[1] + gap(), in[2] - gap(), in[3] - gap()}
	if depth == 0 || r[2]-r[0] < 2 || r[3]-r[1] < 2 {
		return nil
	}
	if r[2]-r[0] > 12 && rnd.IntN(3) == 0 { // two side by side
		mid := (r[0] + r[2]) / 2
		left := nestedRectangles(rnd, rectangle{r[0], r[1], mid - 1, r[3]}, depth)
		return append(left, nestedRectangles(rnd, rectangle{mid + 1, r[1], r[2], r[3]}, depth)...)
	}
	hole := rectangle{r[0] + 1 + gap(), r[1] + 1 + gap(), r[2] - 1 - gap(), r[3] - 1 - gap()}
	if hole[2]-hole[0] < 1 || hole[3]-hole[1] < 1 {
		return [][]rectangle{{r}}
	}
	island := nestedRectangles(rnd, rectangle{hole[0] + 1, hole[1] + 1, hole[2] - 1, hole[3] - 1}, depth-1)
	return append(island, []rectangle{r, hole})
}

func ground(polys [][]rectangle) *geom.MultiPolygon {
	var out [][][]float64
	for _, p := range polys {
		var rings [][]float64
		for _, r := range p {
			rings = append(rings, box(float64(r[0]), float64(r[1]), float64(r[2]-r[0]), float64(r[3]-r[1])))
		}
		out = append(out, rings)
	}
	return parts(out...)
}

// Rings that are kept or dropped whole, rings that the engine cuts, and both at once: areas are
// counted in squares of a lattice, and every result must be one that a repair finds nothing wrong with.
func TestNestedGround(t *testing.T) {
	rnd := rand.New(rand.NewPCG(21, 22))
	for n := range geotest.Fewer(400) {
		a := nestedRectangles(rnd, rectangle{0, 0, 40, 40}, 4)
		b := nestedRectangles(rnd, rectangle{rnd.IntN(4), rnd.IntN(4), 37 + rnd.IntN(9), 37 + rnd.IntN(9)}, 4)
		has := func(polys [][]rectangle, x, y int) bool {
			for _, p := range polys {
				if p[0].holds(x, y) && !(len(p) > 1 && p[1].holds(x, y)) {
					return true
				}
			}
			return false
		}
		var either, both, left float64
		for x := range 50 {
			for y := range 50 {
				inA, inB := has(a, x, y), has(b, x, y)
				for area, in := range map[*float64]bool{&either: inA || inB, &both: inA && inB, &left: inA && !inB} {
					if in {
						*area++
					}
				}
			}
		}
		ga, gb := ground(a), ground(b)
		for _, c := range []struct {
			name string
			op   func(a, b *geom.MultiPolygon) (*geom.MultiPolygon, error)
			want float64
		}{
			{"union", func(a, b *geom.MultiPolygon) (*geom.MultiPolygon, error) { return overlay.Union(a, b) }, either},
			{"intersection", overlay.Intersection, both},
			{"difference", overlay.Difference, left},
		} {
			got, err := c.op(ga, gb)
			near(t, c.name, got, err, c.want)
			if again, changes, err := overlay.Repair(got); err != nil || len(changes) > 0 || again.NumPolygons() != got.NumPolygons() {
				t.Errorf("%s: the result is repaired again: %v, %v, %d of %d parts", c.name, changes, err, again.NumPolygons(), got.NumPolygons())
			}
			if t.Failed() {
				t.Fatalf("case %d: a %v, b %v", n, a, b)
			}
		}
	}
}
