package shape

import (
	"cmp"
	"math"
	"slices"

	"tankful/geo/intake/raw"
)

// maxNestingTests bounds the comparisons of corners with edges spent on one shape: a second or less.
// deepestNesting is how many rings may lie inside each other.
const (
	maxNestingTests = 200_000_000
	deepestNesting  = 64
)

// shell is an outer ring with its holes, by index.
type shell struct {
	outer int
	holes []int
}

// nest groups a flat list of rings by containment: a ring inside an odd number of others is a hole of the innermost, any other
// is an outer ring. consistent is false when the rings' directions say something else: the white paper (page 8) winds outer
// rings clockwise and holes counter-clockwise, and files exist with all rings wound alike or one of them astray. All of them
// the wrong way round is consistent.
func nest(rings [][]corner) (shells []shell, consistent bool, err error) {
	if len(rings) == 1 {
		return []shell{{outer: 0}}, true, nil
	}
	n := newNester(rings)
	if err := n.findContainers(); err != nil {
		return nil, false, err
	}
	at := make([]int, len(rings)) // index into shells
	for _, i := range n.order {   // containers come before what they contain
		if len(n.containers[i])%2 == 0 {
			at[i] = len(shells)
			shells = append(shells, shell{outer: i})
			continue
		}
		at[i] = at[n.parent(i)]
		shells[at[i]].holes = append(shells[at[i]].holes, i)
	}
	slices.SortFunc(shells, func(a, b shell) int { return cmp.Compare(a.outer, b.outer) })
	return shells, n.consistent(), nil
}

// nester holds what is known of each ring.
type nester struct {
	rings      [][]corner
	boxes      []box
	areas      []float64 // counter-clockwise is positive
	order      []int     // the larger first: a ring's containers come before it
	containers [][]int32
	tests      int
}

type box struct{ x0, y0, x1, y1 float64 }

// meets reports whether two boxes have a point in common.
func (b box) meets(o box) bool {
	return b.x0 <= o.x1 && o.x0 <= b.x1 && b.y0 <= o.y1 && o.y0 <= b.y1
}

func newNester(rings [][]corner) *nester {
	n := &nester{rings: rings, boxes: make([]box, len(rings)), areas: make([]float64, len(rings)), containers: make([][]int32, len(rings))}
	for i, r := range rings {
		b := box{r[0].x, r[0].y, r[0].x, r[0].y}
		o := r[0] // sums about a corner keep their digits far from the origin
		for k, c := range r {
			b = box{min(b.x0, c.x), min(b.y0, c.y), max(b.x1, c.x), max(b.y1, c.y)}
			d := r[(k+1)%len(r)]
			n.areas[i] += ((c.x-o.x)*(d.y-o.y) - (d.x-o.x)*(c.y-o.y)) / 2
		}
		n.boxes[i] = b
		n.order = append(n.order, i)
	}
	slices.SortStableFunc(n.order, func(i, j int) int { return cmp.Compare(math.Abs(n.areas[j]), math.Abs(n.areas[i])) })
	return n
}

// findContainers sweeps from left to right and compares rings whose boxes meet, the smaller with the larger. A box that
// sticks out is no matter: so may a hole, by mistake.
func (n *nester) findContainers() error {
	rank := make([]int, len(n.order))
	for k, i := range n.order {
		rank[i] = k
	}
	sweep := slices.Clone(n.order)
	slices.SortStableFunc(sweep, func(i, j int) int { return cmp.Compare(n.boxes[i].x0, n.boxes[j].x0) })
	var active []int
	for _, i := range sweep {
		open := active[:0]
		for _, j := range active {
			if n.boxes[j].x1 < n.boxes[i].x0 {
				continue
			}
			open = append(open, j)
			n.tests++
			small, large := i, j
			if rank[i] < rank[j] {
				small, large = j, i
			}
			if n.boxes[i].meets(n.boxes[j]) && n.inside(small, large) {
				n.containers[small] = append(n.containers[small], int32(large))
				if len(n.containers[small]) > deepestNesting {
					return raw.Faultf("nested-too-deep", "Split the shape.", "more than %d of its rings lie inside each other", deepestNesting)
				}
			}
			if n.tests > maxNestingTests {
				return raw.Faultf("shape-too-long", "Split the shape.", "its %d rings have too many corners for telling which lies inside which", len(n.rings))
			}
		}
		active = append(open, i)
	}
	return nil
}

// inside reports whether most of ring i lies inside ring j. A few corners decide when they agree; rings that cross take more.
func (n *nester) inside(i, j int) bool {
	vote := func(samples int, middle float64) (in, out int) {
		r := n.rings[i]
		samples = min(samples, len(r))
		for k := range samples {
			at := k * len(r) / samples
			a, b := r[at], r[(at+1)%len(r)]
			switch n.side(corner{a.x + (b.x-a.x)*middle, a.y + (b.y-a.y)*middle}, j) {
			case 1:
				in++
			case -1:
				out++
			}
		}
		return in, out
	}
	in, out := vote(3, 0)
	if in > 0 && out > 0 || in+out == 0 {
		in, out = vote(32, 0)
	}
	if in == out {
		in, out = vote(32, 0.5)
	}
	if in == out { // the same ring twice: a hole only when it is wound the other way
		return n.areas[i]*n.areas[j] < 0
	}
	return in > out
}

// side is 1 when p lies inside ring j, -1 outside, 0 on it.
func (n *nester) side(p corner, j int) int {
	r := n.rings[j]
	n.tests += len(r)
	in := -1
	a := r[len(r)-1]
	for _, b := range r {
		cross := (b.x-a.x)*(p.y-a.y) - (b.y-a.y)*(p.x-a.x)
		if cross == 0 && min(a.x, b.x) <= p.x && p.x <= max(a.x, b.x) && min(a.y, b.y) <= p.y && p.y <= max(a.y, b.y) {
			return 0
		}
		if (a.y > p.y) != (b.y > p.y) && (cross > 0) == (b.y > a.y) {
			in = -in
		}
		a = b
	}
	return in
}

// parent is the smallest ring of even depth that contains i; without one, which only rings that cross can bring about,
// the smallest that contains it.
func (n *nester) parent(i int) int {
	best, even := -1, false
	for _, j := range n.containers[i] {
		e := len(n.containers[j])%2 == 0
		if best < 0 || e && !even || e == even && math.Abs(n.areas[j]) < math.Abs(n.areas[best]) {
			best, even = int(j), e
		}
	}
	return best
}

// consistent reports whether all outer rings are wound one way and all holes the other.
func (n *nester) consistent() bool {
	way := 0.0
	for i, a := range n.areas {
		if len(n.containers[i])%2 == 1 {
			a = -a
		}
		if a*way < 0 {
			return false
		}
		if a != 0 {
			way = math.Copysign(1, a)
		}
	}
	return true
}
