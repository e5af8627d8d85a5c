package overlay

import (
	"cmp"
	"slices"
)

// mostPairs bounds the work on a hostile outline: pairs of edges that are looked at.
// An outline of ten thousand corners has fifty million at the very most.
const mostPairs = 200_000_000

// edge is one side of a ring of a part.
type edge struct {
	segment                // its ring is the number of the ring in the part
	part, index            int
	minX, minY, maxX, maxY int64
}

func newEdge(a, b point, part, ring, index int) edge {
	return edge{segment{a, b, ring}, part, index, min(a.x, b.x), min(a.y, b.y), max(a.x, b.x), max(a.y, b.y)}
}

// edgesOf appends the edges of a part's open rings.
func edgesOf(edges []edge, part int, rings [][]point) []edge {
	for r, pts := range rings {
		last := len(pts) - 1
		for i, p := range pts[:last] {
			edges = append(edges, newEdge(p, pts[i+1], part, r, i))
		}
		edges = append(edges, newEdge(pts[last], pts[0], part, r, last))
	}
	return edges
}

// closePairs calls f for the pairs of edges whose boxes come within so many cells of each
// other, until f says stop. It sorts edges along the axis on which they are shorter.
func closePairs(edges []edge, within int64, f func(s, t *edge) bool) error {
	var dx, dy int64
	for i := range edges {
		dx, dy = dx+edges[i].maxX-edges[i].minX, dy+edges[i].maxY-edges[i].minY
	}
	order := make([]*edge, len(edges))
	for i := range edges {
		order[i] = &edges[i]
	}
	alongX := dx <= dy
	slices.SortFunc(order, func(s, t *edge) int {
		if alongX {
			return cmp.Compare(s.minX, t.minX)
		}
		return cmp.Compare(s.minY, t.minY)
	})
	looked := 0
	for n, s := range order {
		for _, t := range order[n+1:] {
			if alongX && t.minX > s.maxX+within || !alongX && t.minY > s.maxY+within {
				break
			}
			if looked++; looked > mostPairs {
				return errScribbles
			}
			if t.minX <= s.maxX+within && s.minX <= t.maxX+within && t.minY <= s.maxY+within && s.minY <= t.maxY+within && !f(s, t) {
				return nil
			}
		}
	}
	return nil
}

// touch reports whether two edges have a point in common, exactly.
func touch(s, t segment) bool {
	ta, tb := side(s.a, s.b, t.a), side(s.a, s.b, t.b)
	if ta == tb && ta != 0 {
		return false
	}
	sa, sb := side(t.a, t.b, s.a), side(t.a, t.b, s.b)
	if sa == sb && sa != 0 {
		return false
	}
	if ta*tb < 0 && sa*sb < 0 {
		return true
	}
	on := func(s segment, p point) bool { return p == s.a || p == s.b || within(s, p) }
	return ta == 0 && on(s, t.a) || tb == 0 && on(s, t.b) || sa == 0 && on(t, s.a) || sb == 0 && on(t, s.b)
}

// soundness is what exact tests say of a polygon's rings.
type soundness int

const (
	sound    soundness = iota // a valid polygon
	tangled                   // a ring crosses, touches or retraces itself
	mislaid                   // holes lie outside the shell or in one another
	touching                  // simple rings cross or touch one another: it may be valid
)

// soundnessOf judges open rings on the grid without repeated points. The error says that they are
// too intricate to be judged.
func soundnessOf(rings [][]point) (soundness, error) {
	if len(rings) == 1 && len(rings[0]) <= fewCorners {
		if simple(rings[0]) {
			return sound, nil
		}
		return tangled, nil
	}
	n := 0
	for _, r := range rings {
		n += len(r)
	}
	edges := edgesOf(make([]edge, 0, n), 0, rings)
	verdict := sound
	err := closePairs(edges, 0, func(s, t *edge) bool {
		switch {
		case s.ring != t.ring:
			if verdict == sound && touch(s.segment, t.segment) {
				verdict = touching
			}
		case s.index < t.index && meetWrongly(s.segment, t.segment, s.index, t.index, len(rings[s.ring])),
			s.index > t.index && meetWrongly(t.segment, s.segment, t.index, s.index, len(rings[s.ring])):
			verdict = tangled
		}
		return verdict != tangled
	})
	if err != nil || verdict != sound {
		return verdict, err
	}
	return nesting(rings)
}

// fewCorners is the size of a ring for which comparing all edges is quicker than sorting them.
const fewCorners = 24

// simple reports whether an open ring of few corners keeps clear of itself.
func simple(r []point) bool {
	n := len(r)
	for i, p := range r {
		s := segment{a: p, b: r[(i+1)%n]}
		minX, maxX, minY, maxY := min(s.a.x, s.b.x), max(s.a.x, s.b.x), min(s.a.y, s.b.y), max(s.a.y, s.b.y)
		for j := i + 1; j < n; j++ {
			t := segment{a: r[j], b: r[(j+1)%n]}
			if min(t.a.x, t.b.x) <= maxX && max(t.a.x, t.b.x) >= minX && min(t.a.y, t.b.y) <= maxY && max(t.a.y, t.b.y) >= minY &&
				meetWrongly(s, t, i, j, n) {
				return false
			}
		}
	}
	return true
}

// meetWrongly judges edges i < j of a ring of n: neighbours may share their corner and not fold
// back, others must not touch.
func meetWrongly(s, t segment, i, j, n int) bool {
	if i == 0 && j == n-1 && n > 2 {
		s, t = t, s
	} else if j != i+1 {
		return touch(s, t)
	}
	return side(s.a, s.b, t.b) == 0 && (s.b.x-s.a.x)*(t.b.x-t.a.x)+(s.b.y-s.a.y)*(t.b.y-t.a.y) < 0
}

// nesting judges rings that do not touch: each hole in the shell, none in another hole.
func nesting(rings [][]point) (soundness, error) {
	type hole struct {
		pts                    []point
		minX, minY, maxX, maxY int64
	}
	holes := make([]hole, len(rings)-1)
	work := 0
	for i, pts := range rings[1:] {
		if work += len(rings[0]); work > mostPairs {
			return sound, errScribbles
		}
		if in, _ := pointInRing(pts[0], rings[0]); !in {
			return mislaid, nil
		}
		h := hole{pts, pts[0].x, pts[0].y, pts[0].x, pts[0].y}
		for _, p := range pts {
			h.minX, h.maxX = min(h.minX, p.x), max(h.maxX, p.x)
			h.minY, h.maxY = min(h.minY, p.y), max(h.maxY, p.y)
		}
		holes[i] = h
	}
	slices.SortFunc(holes, func(a, b hole) int { return cmp.Or(cmp.Compare(a.minX, b.minX), cmp.Compare(b.maxX, a.maxX)) })
	for i, h := range holes { // a hole in h has its box in that of h and comes later
		for _, k := range holes[i+1:] {
			if k.minX > h.maxX {
				break
			}
			if work++; work > mostPairs {
				return sound, errScribbles
			}
			if k.maxX > h.maxX || k.minY < h.minY || k.maxY > h.maxY {
				continue
			}
			work += len(h.pts)
			if in, _ := pointInRing(k.pts[0], h.pts); in {
				return mislaid, nil
			}
		}
	}
	return sound, nil
}

// points is the open ring of a closed one in metres; onGrid is false when a corner was moved by it.
func (g grid) points(flat []float64) (pts []point, onGrid bool) {
	pts = make([]point, 0, len(flat)/2-1)
	onGrid = true
	for i := 0; i+3 < len(flat); i += 2 {
		p, err := g.snap(flat[i], flat[i+1])
		at := g.metres(p)
		onGrid = onGrid && err == nil && at == spot{flat[i], flat[i+1]}
		pts = append(pts, p)
	}
	return pts, onGrid
}

// valid reports whether a polygon is valid: exactly when it is on the grid and its rings keep
// clear of each other, else by the engine's word.
func (g grid) valid(s shape) bool {
	rings := make([][]point, len(s.rings))
	for i, r := range s.rings {
		var ok bool
		if rings[i], ok = g.points(r); !ok {
			return s.toEngine().Validate() == nil
		}
	}
	switch verdict, err := soundnessOf(rings); {
	case err != nil:
		return false
	case verdict == touching:
		return s.toEngine().Validate() == nil
	default:
		return verdict == sound
	}
}

// apart reports whether valid polygons make a valid set: they may touch in points. It is
// exact when their boxes or edges keep clear of each other, else the engine's word.
func (g grid) apart(polys []shape) bool {
	boxes := slices.Clone(polys)
	slices.SortFunc(boxes, func(a, b shape) int { return cmp.Compare(a.box.minX, b.box.minX) })
	for i, p := range boxes {
		for _, q := range boxes[i+1:] {
			if q.box.minX > p.box.maxX {
				break
			}
			if p.box.meets(q.box) {
				c, err := g.contacts(polys, nil)
				if err != nil {
					return false
				}
				if slices.Contains(c.own, true) || c.nested() {
					return toEngine(polys).Validate() == nil
				}
				return true
			}
		}
	}
	return true
}
