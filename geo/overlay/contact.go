package overlay

import "slices"

// near is the distance in cells within which boundaries count as in contact: further apart
// than they are welded, by more than snapping them moves them.
const near = 4

// part is a polygon on the grid for exact tests, with what it is in contact with.
type part struct {
	shape
	rings [][]point // open; crossing points go to the nearest cell
	near  []bool    // by ring: it is near a ring of the other set
	tied  []bool    // by ring: it is near another ring of the part
	spare []bool    // by ring: a hole that the engine need not see
}

// contacts is how the boundaries of two sets of valid polygons lie to each other.
type contacts struct {
	parts []part // those of a, then those of b
	a     int    // how many are of a
	cross []bool // a part is near one of the other set
	own   []bool // a part is near another one of its own set
}

// contacts looks for boundaries that come near each other. Tests are exact on the grid.
func (g grid) contacts(a, b []shape) (*contacts, error) {
	c := &contacts{a: len(a), cross: make([]bool, len(a)+len(b)), own: make([]bool, len(a)+len(b))}
	n := 0
	for _, s := range slices.Concat(a, b) {
		c.parts = append(c.parts, g.part(s))
		for _, r := range c.parts[len(c.parts)-1].rings {
			n += len(r)
		}
	}
	edges := make([]edge, 0, n)
	margin := near / float64(g)
	reach := boxOfAll(b).grown(margin)
	for i := range c.parts {
		if i >= c.a || len(b) == 0 || c.parts[i].box.meets(reach) {
			edges = edgesOf(edges, i, c.parts[i].rings)
		}
	}
	return c, closePairs(edges, near, func(s, t *edge) bool {
		c.compare(s, t)
		return true
	})
}

func (g grid) part(s shape) part {
	flags := make([]bool, 3*len(s.rings))
	n := len(s.rings)
	p := part{shape: s, rings: make([][]point, n), near: flags[:n], tied: flags[n : 2*n], spare: flags[2*n:]}
	for i, r := range s.rings {
		p.rings[i], _ = g.points(r)
	}
	return p
}

// compare notes what two edges are near to.
func (c *contacts) compare(s, t *edge) {
	p, q := &c.parts[s.part], &c.parts[t.part]
	switch {
	case s.part != t.part && (s.part < c.a) == (t.part < c.a):
		if !(c.own[s.part] && c.own[t.part]) && areNear(s.segment, t.segment) {
			c.own[s.part], c.own[t.part] = true, true
		}
	case s.part != t.part:
		if !(p.near[s.ring] && q.near[t.ring]) && areNear(s.segment, t.segment) {
			p.near[s.ring], q.near[t.ring] = true, true
			c.cross[s.part], c.cross[t.part] = true, true
		}
	case s.ring != t.ring:
		if !(p.tied[s.ring] && p.tied[t.ring]) && areNear(s.segment, t.segment) {
			p.tied[s.ring], p.tied[t.ring] = true, true
		}
	}
}

// most holes times rings for which spare looks.
const mostSpared = 20_000_000

// spareHoles marks the holes of parts in contact that the engine need not see: those whose
// ring is near nothing and that hold no ring of a part in contact. Filled, they change
// nothing elsewhere, and their rings are kept or dropped whole, like those of free parts.
func (c *contacts) spareHoles() {
	holes, rings := 0, 0
	for i := range c.parts {
		if c.cross[i] {
			holes += len(c.parts[i].rings) - 1
			rings += len(c.parts[i].rings)
		}
	}
	if holes*rings > mostSpared {
		return
	}
	for i := range c.parts {
		p := &c.parts[i]
		for k := 1; c.cross[i] && !c.own[i] && k < len(p.rings); k++ {
			p.spare[k] = !p.near[k] && !p.tied[k] && !c.holdsRing(p, k)
		}
	}
}

// holdsRing reports whether a ring of a part in contact lies in hole k of p.
func (c *contacts) holdsRing(p *part, k int) bool {
	b := boxOf(p.shape.rings[k])
	for j := range c.parts {
		q := &c.parts[j]
		if !c.cross[j] || !q.box.meets(b) {
			continue
		}
		for l, r := range q.rings {
			if q == p && l == k || !b.holds(spot{q.shape.rings[l][0], q.shape.rings[l][1]}, 0) {
				continue
			}
			if in, on := pointInRing(r[0], p.rings[k]); in || on {
				return true
			}
		}
	}
	return false
}

// without is the part with its spare holes filled.
func (p *part) without() shape {
	if !slices.Contains(p.spare, true) {
		return p.shape
	}
	var rings [][]float64
	for k, r := range p.shape.rings {
		if !p.spare[k] {
			rings = append(rings, r)
		}
	}
	return shape{rings, p.box}
}

// areNear reports whether two edges come within near cells. Cross products and dot products
// are exact; one rounding follows, allowed for.
func areNear(s, t segment) bool {
	return touch(s, t) || nearEdge(s, t.a) || nearEdge(s, t.b) || nearEdge(t, s.a) || nearEdge(t, s.b)
}

func nearEdge(s segment, p point) bool {
	const most = near*near + 0.01
	dx, dy, px, py := s.b.x-s.a.x, s.b.y-s.a.y, p.x-s.a.x, p.y-s.a.y
	squares := func(x, y int64) float64 { return float64(x)*float64(x) + float64(y)*float64(y) }
	l2 := squares(dx, dy)
	switch dot := dx*px + dy*py; {
	case dot <= 0:
		return squares(px, py) <= most
	case float64(dot) >= l2:
		return squares(p.x-s.b.x, p.y-s.b.y) <= most
	}
	cross := float64(dx*py - dy*px)
	return cross*cross <= most*l2
}

// nested reports whether a part lies in the ground of another, given that none are near.
func (c *contacts) nested() bool {
	for i := range c.parts {
		for j := range c.parts {
			if i != j && c.parts[j].holds(c.parts[i].rings[0][0]) {
				return true
			}
		}
	}
	return false
}

// holds reports whether a point that is not near the part's boundary is in its ground.
func (p *part) holds(at point) bool {
	if in, _ := pointInRing(at, p.rings[0]); !in {
		return false
	}
	for _, h := range p.rings[1:] {
		if in, _ := pointInRing(at, h); in {
			return false
		}
	}
	return true
}
