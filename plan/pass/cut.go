package pass

import (
	"cmp"
	"math"
	"slices"
)

// node is a corner of a region's rings, linked to the next with the turf on the left.
type node struct {
	x, y       float64
	prev, next int
	ring       int     // the ring it belonged to before cutting
	off        float64 // distance from the line of the cut, positive to its left, 0 on it
}

// event is where a line meets the edge of the turf.
type event struct {
	t             float64 // along the line
	node          int
	ahead, behind bool // turf lies there along the line
}

// line is a line through a corner, to cut the turf along.
type line struct {
	x, y, du, dv float64
	weight       float64 // of the edges that speak for it
}

// cutter cuts regions in two or more along lines; its buffers serve many cuts.
type cutter struct {
	nodes  []node
	events []event
	outer  []bool    // which rings are shells
	across []float64 // each ring's extent, the longest distance from its first corner
	turf   *region
	line   line
	work   int // corners looked at so far
}

// load takes the region's rings.
func (c *cutter) load(r *region) {
	c.turf = r
	c.nodes, c.outer, c.across = c.nodes[:0], c.outer[:0], c.across[:0]
	for _, ring := range r.rings() {
		first, far := len(c.nodes), 0.0
		for i, p := range ring {
			far = max(far, dist2(ring[0], p))
			c.nodes = append(c.nodes, node{x: p[0], y: p[1], prev: first + i - 1, next: first + i + 1, ring: len(c.outer)})
		}
		last := len(c.nodes) - 1
		c.nodes[first].prev, c.nodes[last].next = last, first
		_, twice := centroid(ring)
		c.outer, c.across = append(c.outer, twice > 0), append(c.across, far)
	}
}

// onTheLine is how near a corner must be to a line to lie on it, metres: far below the grid of the outlines.
const onTheLine = 1e-6

// meet finds where the line meets the edges of the turf, in order along it, and reports whether turf and what is not turf take
// turns there, as they do unless rings touch.
func (c *cutter) meet(l line) bool {
	c.line = l
	c.events = c.events[:0]
	n := len(c.turf.edges)
	c.nodes = c.nodes[:n]
	for i := range c.nodes {
		p := &c.nodes[i]
		if p.off = l.du*(p.y-l.y) - l.dv*(p.x-l.x); math.Abs(p.off) < onTheLine {
			p.off = 0
		}
	}
	for i := range n {
		p := &c.nodes[i]
		if p.off == 0 {
			if ahead, behind := c.opens(i, 1), c.opens(i, -1); ahead || behind {
				c.events = append(c.events, event{l.along(p.x, p.y), i, ahead, behind})
			}
			continue
		}
		q := c.nodes[p.next]
		if p.off*q.off >= 0 {
			continue
		}
		f := p.off / (p.off - q.off)
		x, y := p.x+f*(q.x-p.x), p.y+f*(q.y-p.y)
		ahead := p.off > 0 // the edge runs down across the line: turf on its left is ahead
		c.events = append(c.events, event{l.along(x, y), len(c.nodes), ahead, !ahead})
		c.nodes = append(c.nodes, node{x: x, y: y, prev: i, next: p.next, ring: p.ring})
	}
	slices.SortFunc(c.events, func(a, b event) int { return cmp.Compare(a.t, b.t) })
	for i := range c.events {
		e := &c.events[i]
		if e.ahead != (i+1 < len(c.events) && c.events[i+1].behind) || e.behind != (i > 0 && c.events[i-1].ahead) {
			return false
		}
	}
	return true
}

func (l *line) along(x, y float64) float64 { return l.du*(x-l.x) + l.dv*(y-l.y) }

// opens reports whether turf lies at a node on the line along it: sign 1 ahead, -1 behind.
func (c *cutter) opens(i int, sign float64) bool {
	p := &c.nodes[i]
	a, b := &c.nodes[p.prev], &c.nodes[p.next]
	in, out := sign*a.off > 0, sign*b.off < 0 // on the left of the edge that comes in, of the one that goes out
	if (p.x-a.x)*(b.y-p.y)-(p.y-a.y)*(b.x-p.x) < 0 {
		return in || out
	}
	return in && out
}

// chords are stretches of turf along the line, from event From to event To.
type chords struct{ from, to int }

// choices are the ways to cut along the line met last: from the corner that it is laid through to the outer edge ahead and
// behind, and along all of it. A chord that meets a hole goes on behind it.
func (c *cutter) choices() []chords {
	at := slices.IndexFunc(c.events, func(e event) bool { return math.Abs(e.t) < onTheLine })
	last := len(c.events) - 1
	if at < 0 || last < 1 {
		return nil
	}
	shell := func(i int) bool { return c.outer[c.nodes[c.events[i].node].ring] }
	ahead, behind := at, at
	if c.events[at].ahead || !shell(at) {
		for ahead++; ahead < last && !shell(ahead); ahead++ {
		}
	}
	if c.events[at].behind || !shell(at) {
		for behind--; behind > 0 && !shell(behind); behind-- {
		}
	}
	ahead, behind = min(ahead, last), max(behind, 0)
	var out []chords
	for _, k := range []chords{{at, ahead}, {behind, at}, {behind, ahead}, {0, last}} {
		if k.from < k.to && !slices.Contains(out, k) {
			out = append(out, k)
		}
	}
	return out
}

// cut gives the parts into which the chords cut the turf, nil when it stays whole or a part would be too small for a pass. The
// two sides of a cut share its points.
func (c *cutter) cut(k chords) []region {
	work := slices.Clone(c.nodes)
	for i := len(c.turf.edges); i < len(work); i++ { // crossings become corners
		p := &work[i]
		work[p.prev].next, work[p.next].prev = i, i
	}
	w := cutter{nodes: work}
	copies := map[int][]int{}
	var links [][2]int
	pick := func(i int, sign float64) int {
		for _, j := range append([]int{i}, copies[i]...) {
			if w.opens(j, sign) {
				return j
			}
		}
		return -1
	}
	for i := k.from; i < k.to; i++ {
		if !c.events[i].ahead {
			continue
		}
		n, m := c.events[i].node, c.events[i+1].node
		a, b := pick(n, 1), pick(m, -1)
		if a < 0 || b < 0 {
			return nil
		}
		copies[n], copies[m] = append(copies[n], len(w.nodes)), append(copies[m], len(w.nodes)+1)
		w.link(a, b)
		links = append(links, [2]int{a, b})
	}
	parts := w.parts()
	c.work += len(w.nodes) + w.work
	for _, l := range links { // a chord with the same part on both sides only slits it
		if parts == nil || w.nodes[l[0]].ring == w.nodes[l[1]].ring {
			return nil
		}
	}
	return parts
}

// link cuts from node a to node b: both are doubled, one for each side.
func (c *cutter) link(a, b int) {
	a2, b2 := len(c.nodes), len(c.nodes)+1
	c.nodes = append(c.nodes, c.nodes[a], c.nodes[b])
	an, bn := c.nodes[a].next, c.nodes[b].next
	c.nodes[a].next, c.nodes[b2].prev = b2, a
	c.nodes[b2].next, c.nodes[bn].prev = bn, b2
	c.nodes[b].next, c.nodes[a2].prev = a2, b
	c.nodes[a2].next, c.nodes[an].prev = an, a2
}

// parts traces the rings and gives each hole to the shell that it lies in.
func (c *cutter) parts() []region {
	var shells, holes []region
	for i := range c.nodes {
		c.nodes[i].ring = -1
	}
	rings := 0
	var ringOfShell, ringOfHole []int
	for i := range c.nodes {
		if c.nodes[i].ring >= 0 {
			continue
		}
		r := c.trace(i, rings)
		rings++
		if len(r.edges) == 0 {
			continue
		}
		if r.measure(); r.area > 0 {
			shells, ringOfShell = append(shells, r), append(ringOfShell, rings-1)
		} else {
			holes, ringOfHole = append(holes, r), append(ringOfHole, rings-1)
		}
	}
	if len(shells) < 2 {
		return nil
	}
	owner := make([]int, rings)
	for k, i := range ringOfShell {
		owner[i] = k
	}
	for k, at := range c.owners(shells, holes) {
		if at < 0 {
			return nil
		}
		owner[ringOfHole[k]] = at
		shells[at].edges = append(shells[at].edges, holes[k].edges...)
		shells[at].area += holes[k].area
	}
	if slices.ContainsFunc(shells, func(s region) bool { return s.area < leastPart }) {
		return nil
	}
	for i := range c.nodes {
		c.nodes[i].ring = owner[c.nodes[i].ring]
	}
	slices.SortStableFunc(shells, func(a, b region) int { return cmp.Compare(rounded(b.area), rounded(a.area)) })
	return shells
}

// trace is the ring that goes through node i; its nodes are given the number.
func (c *cutter) trace(i, number int) (r region) {
	for j := i; c.nodes[j].ring < 0; j = c.nodes[j].next {
		p, q := &c.nodes[j], &c.nodes[c.nodes[j].next]
		p.ring = number
		if p.x != q.x || p.y != q.y {
			r.edges = append(r.edges, edge{p.x, p.y, q.x, q.y})
		}
	}
	return r
}

// owners is the shell that each hole lies in, -1 for none.
func (c *cutter) owners(shells, holes []region) []int {
	out := make([]int, len(holes))
	for k, h := range holes {
		e := h.edges[0]
		out[k] = slices.IndexFunc(shells, func(s region) bool {
			c.work += len(s.edges) / 8 // an edge is passed over in an eighth of the time that a corner takes to trace
			return s.holds((e.ax+e.bx)/2, (e.ay+e.by)/2)
		})
	}
	return out
}

// leastPart is the smallest part that a cut may leave, square metres.
const leastPart = scrap

// lines are the lines along which a cut may pay, the best first and at most that many: along the edges at each reflex corner, and in the main
// directions where the turf's edge turns back from them.
func (c *cutter) lines(main []float64, swath float64, most int) []line {
	var out []line
	for i := range c.turf.edges {
		p := &c.nodes[i]
		if c.across[p.ring] < swath {
			continue
		}
		a, b := &c.nodes[p.prev], &c.nodes[p.next]
		l1, l2 := math.Hypot(p.x-a.x, p.y-a.y), math.Hypot(b.x-p.x, b.y-p.y)
		u1, v1, u2, v2 := (p.x-a.x)/l1, (p.y-a.y)/l1, (b.x-p.x)/l2, (b.y-p.y)/l2
		if u1*v2-v1*u2 > -0.01 { // hardly a corner
			continue
		}
		if l1 > longEdge*swath {
			out = append(out, line{p.x, p.y, u1, v1, l1})
		}
		if l2 > longEdge*swath {
			out = append(out, line{p.x, p.y, -u2, -v2, l2})
		}
		for _, t := range main {
			s, co := math.Sincos(t)
			if d1, d2 := co*v1-s*u1, co*v2-s*u2; d1*d2 < -1e-6 {
				out = append(out, line{p.x, p.y, co, s, (l1 + l2) / 2})
			}
		}
	}
	x, y := c.turf.centroid()
	slices.SortStableFunc(out, func(a, b line) int {
		return cmp.Or(cmp.Compare(rounded(b.weight), rounded(a.weight)),
			cmp.Compare(rounded(math.Hypot(a.x-x, a.y-y)), rounded(math.Hypot(b.x-x, b.y-y))),
			cmp.Compare(rounded(math.Abs(a.along(x, y))), rounded(math.Abs(b.along(x, y)))))
	})
	return out[:min(len(out), most)]
}

// longEdge is how long an edge must be to be cut along, in swaths.
const longEdge = 0.4
