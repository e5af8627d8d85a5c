package overlay

import (
	"cmp"
	"slices"
)

// outline is the boundary of a set of polygons, every edge with its ground on the left.
type outline struct {
	rings   [][]spot // open
	boxes   []box    // of rings
	corners map[spot]bool
	cuts    map[[2]int][]spot // by ring and edge: where edges of the other set cross it
}

// stretch is a piece of an edge between corners and crossings.
type stretch [2]spot

// sharedArea is the area that two valid, welded sets have in common, without the engine: the
// boundary of what they share is the stretches of either boundary that lie in the other's
// ground, and those that both have in the same direction. Where rounding hides on which side
// a stretch lies the figure is far off, which a comparison of areas shows.
func sharedArea(a, b []shape) float64 {
	la, lb := newOutline(a), newOutline(b)
	crossings(la, lb)
	edges := lb.edges()
	o := spot{boxOfAll(a).minX, boxOfAll(a).minY}
	twice := 0.0
	add := func(s stretch) { twice += (s[0].X-o.X)*(s[1].Y-o.Y) - (s[1].X-o.X)*(s[0].Y-o.Y) }
	both := map[stretch]bool{}
	la.walk(lb, func(s stretch) (known, in bool) {
		switch {
		case edges[s]:
			both[s] = true
			return true, true
		case edges[stretch{s[1], s[0]}]:
			both[stretch{s[1], s[0]}] = true
			return true, false
		}
		return false, false
	}, add)
	lb.walk(la, func(s stretch) (known, in bool) { return both[s], false }, add)
	return twice / 2
}

func newOutline(polys []shape) *outline {
	l := &outline{corners: map[spot]bool{}, cuts: map[[2]int][]spot{}}
	for _, s := range polys {
		for k, r := range s.rings {
			pts := make([]spot, 0, len(r)/2)
			for i := 0; i+3 < len(r); i += 2 {
				pts = append(pts, spot{r[i], r[i+1]})
				l.corners[pts[len(pts)-1]] = true
			}
			if (shoelace(r) > 0) != (k == 0) {
				slices.Reverse(pts)
			}
			l.rings, l.boxes = append(l.rings, pts), append(l.boxes, boxOf(r))
		}
	}
	return l
}

// edges is the set of whole edges: welded boundaries have the same corners, so that stretches
// in common are whole edges of both unless something else crosses them.
func (l *outline) edges() map[stretch]bool {
	out := make(map[stretch]bool, len(l.corners))
	for i, r := range l.rings {
		for k := range r {
			last := r[k]
			for _, p := range append(l.cuts[[2]int{i, k}], r[(k+1)%len(r)]) {
				out[stretch{last, p}] = true
				last = p
			}
		}
	}
	return out
}

// crossings finds where edges of two outlines cross between their ends, and sorts them along each edge.
func crossings(a, b *outline) {
	type item struct {
		box      box
		ring, at int
		p, q     spot
		ofA      bool
	}
	var items []item
	collect := func(l, other *outline, ofA bool) {
		all := boxOf(nil)
		for _, c := range other.boxes {
			all = box{min(all.minX, c.minX), min(all.minY, c.minY), max(all.maxX, c.maxX), max(all.maxY, c.maxY)}
		}
		for i, r := range l.rings {
			for k, p := range r {
				q := r[(k+1)%len(r)]
				c := box{min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)}
				if c.meets(all) {
					items = append(items, item{c, i, k, p, q, ofA})
				}
			}
		}
	}
	collect(a, b, true)
	collect(b, a, false)
	slices.SortFunc(items, func(s, t item) int { return cmp.Compare(s.box.minX, t.box.minX) })
	for n := range items {
		s := &items[n]
		for m := n + 1; m < len(items) && items[m].box.minX <= s.box.maxX; m++ {
			t := &items[m]
			if s.ofA == t.ofA || t.box.minY > s.box.maxY || t.box.maxY < s.box.minY {
				continue
			}
			at, ok := crossAt(s.p, s.q, t.p, t.q)
			if !ok {
				continue
			}
			ka, kb := [2]int{s.ring, s.at}, [2]int{t.ring, t.at}
			if !s.ofA {
				ka, kb = kb, ka
			}
			a.cuts[ka], b.cuts[kb] = append(a.cuts[ka], at), append(b.cuts[kb], at)
		}
	}
	for _, l := range []*outline{a, b} {
		for k, cuts := range l.cuts {
			p, q := l.rings[k[0]][k[1]], l.rings[k[0]][(k[1]+1)%len(l.rings[k[0]])]
			slices.SortFunc(cuts, func(s, t spot) int {
				return cmp.Compare((s.X-p.X)*(q.X-p.X)+(s.Y-p.Y)*(q.Y-p.Y), (t.X-p.X)*(q.X-p.X)+(t.Y-p.Y)*(q.Y-p.Y))
			})
		}
	}
}

// crossAt is where p-q and r-s cross between their ends.
func crossAt(p, q, r, s spot) (spot, bool) {
	left := func(a, b, c spot) float64 { return (b.X-a.X)*(c.Y-a.Y) - (b.Y-a.Y)*(c.X-a.X) }
	if p == r || p == s || q == r || q == s {
		return spot{}, false
	}
	d1, d2 := left(p, q, r), left(p, q, s)
	if !(d1 > 0 && d2 < 0 || d1 < 0 && d2 > 0) {
		return spot{}, false
	}
	d3, d4 := left(r, s, p), left(r, s, q)
	if !(d3 > 0 && d4 < 0 || d3 < 0 && d4 > 0) {
		return spot{}, false
	}
	u := d3 / (d3 - d4)
	return spot{p.X + u*(q.X-p.X), p.Y + u*(q.Y-p.Y)}, true
}

// walk calls add for the stretches in the other's ground. On which side a stretch lies is
// asked anew only after a corner in common or a crossing.
func (l *outline) walk(other *outline, know func(stretch) (known, in bool), add func(stretch)) {
	for i, r := range l.rings {
		asked, in := false, false
		for k, p := range r {
			asked = asked && !other.corners[p]
			cuts := l.cuts[[2]int{i, k}]
			for n := range len(cuts) + 1 {
				q := r[(k+1)%len(r)]
				if n < len(cuts) {
					q = cuts[n]
				}
				s := stretch{p, q}
				if known, both := know(s); known {
					asked = false
					if both {
						add(s)
					}
				} else {
					if !asked {
						in, asked = other.holds(spot{(p.X + q.X) / 2, (p.Y + q.Y) / 2}), true
					}
					if in {
						add(s)
					}
				}
				if n < len(cuts) {
					asked = false
				}
				p = q
			}
		}
	}
}

// holds reports whether a place is in the ground of an outline, by even-odd.
func (l *outline) holds(xy spot) (in bool) {
	for i, r := range l.rings {
		if !l.boxes[i].holds(xy, 0) {
			continue
		}
		b := r[len(r)-1]
		for _, a := range r {
			if (a.Y > xy.Y) != (b.Y > xy.Y) && a.X-xy.X+(b.X-a.X)*(a.Y-xy.Y)/(a.Y-b.Y) > 0 {
				in = !in
			}
			b = a
		}
	}
	return in
}
