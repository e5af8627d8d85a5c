// Package nest sorts closed rings into polygons with holes by which lies in which.
//
// It knows containment of rings in lon/lat degrees. It leaves out rings that cross each other: those are
// taken by where most of them would lie, and geo/overlay repairs what comes of it.
package nest

import (
	"math"
	"slices"

	"github.com/paulmach/orb"
)

// Sorter sorts rings within a budget of steps, so that a hostile file can not keep it busy. The zero value has no budget.
type Sorter struct{ Steps int }

// Budget is enough for 5,000 holes in a shell of 20,000 corners, five times over.
const Budget = 500_000_000

// Depths tells for each ring in how many others it lies, and in which one directly, -1 for none. Rings may be closed
// or open. ok is false when the budget is used up. Of two rings that are the same the earlier lies outside.
func (s *Sorter) Depths(rings []orb.Ring) (depth, parent []int, ok bool) {
	n := len(rings)
	flat, boxes, sizes, order := make([]orb.Ring, n), make([]orb.Bound, n), make([]float64, n), make([]int, n)
	depth, parent = make([]int, n), make([]int, n)
	for i, r := range rings {
		flat[i] = unwrap(r, rings[0])
		boxes[i] = flat[i].Bound()
		sizes[i] = math.Abs(doubleArea(flat[i]))
		order[i], parent[i] = i, -1
		s.Steps -= len(r)
	}
	slices.SortStableFunc(order, func(a, b int) int { // the largest first
		switch {
		case sizes[a] > sizes[b]:
			return -1
		case sizes[a] < sizes[b]:
			return 1
		}
		return 0
	})
	for k, i := range order {
		for j := k - 1; j >= 0; j-- { // the smallest that holds it is its parent
			o := order[j]
			if s.Steps--; s.Steps < 0 {
				return nil, nil, false
			}
			if !within(boxes[i], boxes[o]) {
				continue
			}
			if s.inside(flat[i], flat[o]) {
				parent[i], depth[i] = o, depth[o]+1
				break
			}
			if s.Steps < 0 {
				return nil, nil, false
			}
		}
	}
	return depth, parent, true
}

// Polygons makes every ring at an even depth a shell with the rings directly inside it as holes, in the order
// of the rings. ok is false when the budget is used up.
func (s *Sorter) Polygons(rings []orb.Ring) (mp orb.MultiPolygon, ok bool) {
	if len(rings) == 0 {
		return nil, true
	}
	depth, parent, ok := s.Depths(rings)
	if !ok {
		return nil, false
	}
	return Build(rings, depth, parent), true
}

// Build makes polygons of rings whose depths and parents are known.
func Build(rings []orb.Ring, depth, parent []int) (mp orb.MultiPolygon) {
	at := make([]int, len(rings))
	for i, r := range rings {
		if depth[i]%2 == 0 {
			at[i] = len(mp)
			mp = append(mp, orb.Polygon{r})
		}
	}
	for i, r := range rings {
		if depth[i]%2 == 1 {
			k := at[parent[i]]
			mp[k] = append(mp[k], r)
		}
	}
	return mp
}

// Inside reports whether ring a lies in ring b with all of its corners, touching allowed.
func (s *Sorter) Inside(a, b orb.Ring) bool {
	if len(a) == 0 || len(b) == 0 {
		return false
	}
	fa, fb := unwrap(a, b), unwrap(b, b)
	if !within(fa.Bound(), fb.Bound()) {
		return false
	}
	for _, p := range fa {
		if s.Steps -= len(fb); s.Steps < 0 || side(p, fb) < 0 {
			return false
		}
	}
	return true
}

// inside looks at corners and edge middles of a until one is off the edge of b.
func (s *Sorter) inside(a, b orb.Ring) bool {
	for _, middle := range []bool{false, true} {
		for i, p := range a {
			if middle {
				q := a[(i+1)%len(a)]
				p = orb.Point{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2}
			}
			if s.Steps -= len(b); s.Steps < 0 {
				return false
			}
			if where := side(p, b); where != 0 {
				return where > 0
			}
		}
	}
	return true // the same ring
}

func within(a, b orb.Bound) bool {
	return a.Min[0] >= b.Min[0] && a.Max[0] <= b.Max[0] && a.Min[1] >= b.Min[1] && a.Max[1] <= b.Max[1]
}

// side is 1 for a point in the ring, -1 for one outside, 0 for one on its edge.
func side(p orb.Point, r orb.Ring) int {
	in := false
	for i := range r {
		a, b := r[i], r[(i+1)%len(r)]
		cross := (b[0]-a[0])*(p[1]-a[1]) - (b[1]-a[1])*(p[0]-a[0])
		if cross == 0 && min(a[0], b[0]) <= p[0] && p[0] <= max(a[0], b[0]) && min(a[1], b[1]) <= p[1] && p[1] <= max(a[1], b[1]) {
			return 0
		}
		if (a[1] > p[1]) != (b[1] > p[1]) && (cross > 0) == (b[1] > a[1]) {
			in = !in
		}
	}
	if in {
		return 1
	}
	return -1
}

// unwrap puts a ring beside the first corner of another, so that the 180th meridian does not tear it.
func unwrap(r, beside orb.Ring) orb.Ring {
	out := make(orb.Ring, len(r))
	if len(beside) == 0 {
		return out
	}
	from := beside[0][0]
	for i, p := range r {
		out[i] = orb.Point{from + math.Remainder(p[0]-from, 360), p[1]}
	}
	return out
}

func doubleArea(r orb.Ring) (a float64) {
	for i := range r {
		p, q := r[i], r[(i+1)%len(r)]
		a += (p[0]-r[0][0])*(q[1]-r[0][1]) - (q[0]-r[0][0])*(p[1]-r[0][1])
	}
	return a
}
