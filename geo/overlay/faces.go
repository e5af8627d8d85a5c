package overlay

import (
	"cmp"
	"slices"

	"github.com/twpayne/go-geom"
)

// rebuild makes valid polygons from rings on the grid, the first of which is the shell: the
// rings' edges are cut at each other, every face gets its winding number round each ring,
// and a face is kept when its number round the shell is not zero and round every hole is.
func (g grid) rebuild(rings [][]point) ([]shape, geom.Coord, error) {
	var segs []segment
	for r, pts := range rings {
		for i, p := range pts {
			segs = append(segs, segment{p, pts[(i+1)%len(pts)], r})
		}
	}
	segs, first, err := node(segs)
	if err != nil {
		return nil, nil, err
	}
	var at geom.Coord
	if first != nil {
		at = geom.Coord{float64(first.x) / float64(g), float64(first.y) / float64(g)}
	}
	a := newArrangement(segs, len(rings))
	a.windAll()
	return g.assemble(a.boundaries()), at, nil
}

// half is one side of an edge. Halves 2i and 2i+1 are twins.
type half struct {
	from, to point
	next     int   // around the face on the left
	turns    []int // how often each ring runs along it, less how often against
	winding  []int // of the face on the left, nil until known
}

// arrangement is the faces made by edges that meet in their ends only.
type arrangement struct {
	rings  int
	halves []half
	out    map[point][]int // halves leaving a point, counter-clockwise
}

// newArrangement merges equal edges. Edges that every ring runs both ways alike, such as
// spikes, bound nothing and are dropped.
func newArrangement(segs []segment, rings int) *arrangement {
	type key struct{ a, b point }
	turns := make(map[key][]int, len(segs))
	var order []key
	for _, s := range segs {
		k, way := key{s.a, s.b}, 1
		if comparePoints(s.b, s.a) < 0 {
			k, way = key{s.b, s.a}, -1
		}
		if turns[k] == nil {
			turns[k] = make([]int, rings)
			order = append(order, k)
		}
		turns[k][s.ring] += way
	}
	a := &arrangement{rings: rings, out: make(map[point][]int, len(order))}
	for _, k := range order {
		t := turns[k]
		if !slices.ContainsFunc(t, func(n int) bool { return n != 0 }) {
			continue
		}
		back := make([]int, rings)
		for i, n := range t {
			back[i] = -n
		}
		n := len(a.halves)
		a.halves = append(a.halves, half{from: k.a, to: k.b, turns: t}, half{from: k.b, to: k.a, turns: back})
		a.out[k.a] = append(a.out[k.a], n)
		a.out[k.b] = append(a.out[k.b], n+1)
	}
	for _, hs := range a.out {
		slices.SortFunc(hs, func(i, j int) int { return a.compareAngles(i, j) })
	}
	a.link(func(int) bool { return true })
	return a
}

func comparePoints(a, b point) int { return cmp.Or(cmp.Compare(a.x, b.x), cmp.Compare(a.y, b.y)) }

// compareAngles orders halves that leave the same point by direction, exactly.
func (a *arrangement) compareAngles(i, j int) int {
	h, k := a.halves[i], a.halves[j]
	upper := func(h half) int {
		if h.to.y > h.from.y || h.to.y == h.from.y && h.to.x > h.from.x {
			return 0
		}
		return 1
	}
	return cmp.Or(cmp.Compare(upper(h), upper(k)), -side(h.from, h.to, k.to))
}

// link sets next among the halves that are used: at the end of a half the face on its left
// goes on with the first used half clockwise from the twin.
func (a *arrangement) link(used func(int) bool) {
	for _, hs := range a.out {
		for n, h := range hs {
			twin := h ^ 1 // arrives here
			if !used(twin) {
				continue
			}
			for m := 1; m <= len(hs); m++ {
				if k := hs[(n-m+len(hs))%len(hs)]; used(k) {
					a.halves[twin].next = k
					break
				}
			}
		}
	}
}

// windAll gives every half the winding numbers of the face on its left. Across an edge
// they differ by its turns; where a connected part starts they are counted along a ray.
func (a *arrangement) windAll() {
	for i := range a.halves {
		if a.halves[i].winding != nil {
			continue
		}
		start, w := a.startOf(i)
		a.flood(start, w)
	}
}

// startOf finds, in the connected part of half i, a half whose left face is surely known:
// at the leftmost, then lowest point the face to the west is outside the part.
func (a *arrangement) startOf(i int) (start int, winding []int) {
	seen := map[point]bool{}
	stack := []point{a.halves[i].from}
	west := stack[0]
	for len(stack) > 0 {
		p := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if seen[p] {
			continue
		}
		seen[p] = true
		if comparePoints(p, west) < 0 {
			west = p
		}
		for _, h := range a.out[p] {
			stack = append(stack, a.halves[h].to)
		}
	}
	// Halves leaving the westmost point lie within (-90, 90] degrees. The face to the west is
	// on the left of the most counter-clockwise one, the last with a direction up to 90.
	for _, h := range a.out[west] {
		if a.halves[h].to.y > west.y || a.halves[h].to.y == west.y {
			start = h + 1
		}
	}
	if start == 0 {
		start = a.out[west][len(a.out[west])-1] + 1
	}
	return start - 1, a.windingAt(west, seen)
}

// windingAt counts the winding numbers at p of the edges that are not among the points
// skip, along a ray to the west.
func (a *arrangement) windingAt(p point, skip map[point]bool) []int {
	w := make([]int, a.rings)
	for i := 0; i < len(a.halves); i += 2 {
		h := &a.halves[i]
		if skip[h.from] || (h.from.y > p.y) == (h.to.y > p.y) {
			continue
		}
		up := h.to.y > h.from.y
		if s := side(h.from, h.to, p); up != (s < 0) || s == 0 {
			continue // the edge lies east of p
		}
		for r, n := range h.turns {
			if up {
				n = -n
			}
			w[r] += n
		}
	}
	return w
}

func (a *arrangement) flood(start int, w []int) {
	type item struct {
		h int
		w []int
	}
	stack := []item{{start, w}}
	for len(stack) > 0 {
		it := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if a.halves[it.h].winding != nil {
			continue
		}
		for h := it.h; a.halves[h].winding == nil; h = a.halves[h].next {
			a.halves[h].winding = it.w
			across := make([]int, a.rings)
			for r, n := range it.w {
				across[r] = n - a.halves[h].turns[r]
			}
			stack = append(stack, item{h ^ 1, across})
		}
	}
}

// inside reports whether the face on the left of h is ground.
func (a *arrangement) inside(h int) bool {
	w := a.halves[h].winding
	return w[0] != 0 && !slices.ContainsFunc(w[1:], func(n int) bool { return n != 0 })
}

// boundaries walks the edges that have ground on their left only, as simple rings: a walk
// that comes back to a point it has passed drops a ring there.
func (a *arrangement) boundaries() [][]point {
	edge := func(h int) bool { return a.inside(h) && !a.inside(h^1) }
	a.link(edge)
	done := make([]bool, len(a.halves))
	var rings [][]point
	for i := range a.halves {
		if done[i] || !edge(i) {
			continue
		}
		var walk []point
		index := map[point]int{}
		for h := i; !done[h]; h = a.halves[h].next {
			done[h] = true
			p := a.halves[h].from
			if n, passed := index[p]; passed {
				rings = append(rings, slices.Clone(walk[n:]))
				for _, q := range walk[n:] {
					delete(index, q)
				}
				walk = walk[:n]
			}
			index[p] = len(walk)
			walk = append(walk, p)
		}
		rings = append(rings, walk)
	}
	return rings
}
