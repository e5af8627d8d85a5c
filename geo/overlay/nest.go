package overlay

import (
	"cmp"
	"fmt"
	"slices"
)

// operation is a set operation: how the engine does it for parts in contact, and which
// rings of parts that are not bound its result.
//
// A ring whose part comes near no boundary of the other set lies wholly in the other set's
// ground or wholly outside it. So no edge is cut: the ring bounds the result whole or not at
// all, which exact tests of one corner tell.
type operation struct {
	name   string
	engine func(*meeting) ([]shape, error)
	// Whether rings of a bound the result where they lie in b, else where they do not, and
	// rings of b where they lie in a.
	aKeptIn, bKeptIn bool
	// reversed is set when ground of b is taken off: its shells become holes.
	reversed bool
	// coreLoses is set when rings that the engine made are dropped in ground that it did not see.
	coreLoses bool
}

var (
	union        = operation{"union", (*meeting).union, false, false, false, true}
	intersection = operation{"intersection", (*meeting).intersection, true, true, false, false}
	difference   = operation{"difference", (*meeting).difference, false, true, true, true}
)

// apply runs an operation on valid sets of polygons: parts in contact go through the engine,
// rings of others are kept or dropped whole.
func (g grid) apply(op *operation, a, b []shape) ([]shape, error) {
	c, err := g.contacts(a, b)
	if err != nil {
		return nil, err
	}
	if op.reversed && slices.Contains(c.own[c.a:], true) {
		// Beds that touch one another may part the ground between them: rings do not tell.
		return op.engine(g.meet(a, b))
	}
	c.spareHoles()
	near, whole := c.inContact()
	var core []shape
	if len(near[0]) > 0 {
		if core, err = op.engine(g.meet(near[0], near[1])); err != nil || whole {
			return core, err
		}
	}
	out, ok := c.nest(g, op, core)
	if !ok {
		return op.engine(g.meet(a, b))
	}
	return out, op.checkSum(areaOf(out), areaOf(a), areaOf(b), (lengthOf(a)+lengthOf(b))/float64(g))
}

// inContact is what the engine must see of both sets; whole is set when that is everything.
func (c *contacts) inContact() (near [2][]shape, whole bool) {
	whole = true
	for i := range c.parts {
		p := &c.parts[i]
		set := 0
		if i >= c.a {
			set = 1
		}
		if c.cross[i] {
			near[set] = append(near[set], p.without())
		}
		whole = whole && c.cross[i] && !slices.Contains(p.spare, true)
	}
	return near, whole
}

// piece is a ring of the result.
type piece struct {
	flat  []float64
	pts   []point
	box   box
	shell bool
	home  int   // the polygon that it was part of, with its shell or holes; -1 when it was turned over
	twice int64 // its area
}

// nest collects the rings that bound the result and puts holes into shells. It gives up, ok
// false, where a ring is too near another to tell, and where the areas do not add up.
func (c *contacts) nest(g grid, op *operation, core []shape) (out []shape, ok bool) {
	var pieces []piece
	for i, s := range core {
		p := g.part(s)
		for k := range s.rings {
			if op.coreLoses {
				in, known := c.inFree(&p, k, op)
				if !known {
					return nil, false
				}
				if in {
					continue
				}
			}
			pieces = append(pieces, p.piece(k, len(c.parts)+i, false))
		}
	}
	for i := range c.parts {
		p := &c.parts[i]
		kept, flip := op.aKeptIn, false
		if i >= c.a {
			kept, flip = op.bKeptIn, op.reversed
		}
		for k := range p.rings {
			// Rings that the engine saw are in the core, unless they lie in parts that it did not see.
			seen := c.cross[i] && !p.spare[k]
			if in := c.inOther(i, k, seen); in != kept || seen && !in {
				continue
			}
			home := i
			if flip || p.spare[k] {
				home = -1
			}
			pieces = append(pieces, p.piece(k, home, flip))
		}
	}
	return assembleNested(pieces)
}

// inOther reports whether ring k of part i lies in ground of the other set; of a ring seen by
// the engine, in parts not seen.
func (c *contacts) inOther(i, k int, seen bool) bool {
	from, to := c.a, len(c.parts)
	if i >= c.a {
		from, to = 0, c.a
	}
	for j := from; j < to; j++ {
		if !(seen && c.cross[j]) && c.parts[j].holds(c.parts[i].rings[k][0]) {
			return true
		}
	}
	return false
}

// inFree reports whether ring k of what the engine made lies in ground that is free of
// contact: of b for a difference, of either set for a union. known is false when the ring keeps too near.
func (c *contacts) inFree(p *part, k int, op *operation) (in, known bool) {
	for j := range c.parts {
		q := &c.parts[j]
		if c.cross[j] || op.reversed && j < c.a || !q.box.meets(p.box) {
			continue
		}
		at, ok := clearOf(p.rings[k], q.rings)
		if !ok {
			return false, false
		}
		if q.holds(at) {
			return true, true
		}
	}
	return false, true
}

// clearOf is a corner of a ring that is not near any edge of others.
func clearOf(r []point, others [][]point) (point, bool) {
next:
	for _, p := range r {
		for _, o := range others {
			for i, a := range o {
				if nearEdge(segment{a: a, b: o[(i+1)%len(o)]}, p) {
					continue next
				}
			}
		}
		return p, true
	}
	return point{}, false
}

func (p *part) piece(k, home int, flip bool) piece {
	return piece{p.shape.rings[k], p.rings[k], boxOf(p.shape.rings[k]), (k == 0) != flip, home, abs(doubleArea(p.rings[k]))}
}

func abs(x int64) int64 { return max(x, -x) }

// assembleNested puts each hole into the smallest shell around it, its own or one of another part.
func assembleNested(pieces []piece) ([]shape, bool) {
	var shells []int
	own := map[int]int{} // by home
	for i, p := range pieces {
		if p.shell {
			shells = append(shells, i)
			if p.home >= 0 {
				own[p.home] = i
			}
		}
	}
	slices.SortStableFunc(shells, func(i, j int) int { return cmp.Compare(pieces[i].twice, pieces[j].twice) })
	rings := make(map[int][][]float64, len(shells))
	for _, i := range shells {
		rings[i] = [][]float64{pieces[i].flat}
	}
	for _, h := range pieces {
		if h.shell {
			continue
		}
		at, ok := h.shellAmong(pieces, shells, own)
		if !ok {
			return nil, false
		}
		rings[at] = append(rings[at], h.flat)
	}
	out := make([]shape, 0, len(shells))
	for _, i := range shells {
		out = append(out, newShape(rings[i]...))
	}
	return out, true
}

// shellAmong looks for the smallest shell around a hole, shells in the order of their size.
func (h *piece) shellAmong(pieces []piece, shells []int, own map[int]int) (at int, ok bool) {
	mine, has := own[h.home]
	for _, i := range shells {
		s := &pieces[i]
		if has && i == mine {
			return i, true
		}
		if s.twice < h.twice || !s.box.meets(h.box) {
			continue
		}
		p, ok := clearOf(h.pts, [][]point{s.pts})
		if !ok {
			return 0, false
		}
		if in, _ := pointInRing(p, s.pts); in {
			return i, true
		}
	}
	return 0, false
}

// checkSum is the least that areas must obey, whichever way a result was made.
func (op *operation) checkSum(got, a, b, slack float64) error {
	low, high := max(a, b), a+b
	switch op {
	case &intersection:
		low, high = 0, min(a, b)
	case &difference:
		low, high = a-b, a
	}
	if !(got >= low-slack && got <= high+slack) {
		return fmt.Errorf("%w: a %s of %.6g m2, not between %.6g and %.6g", ErrUnsure, op.name, got, low, high)
	}
	return nil
}
