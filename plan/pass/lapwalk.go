package pass

import (
	"math"
)

const (
	lastCrumb = 0.0005 // turf at the end of a leg that is not worth another step, square metres
)

// step is a walked leg of a lap, the knots of its line, and whether the lap breaks off at its end.
type step struct {
	leg      leg
	from, to [2]float64
	ends     bool
}

// passes walks the legs, ring by ring. A leg treats what is turf in its piece and in no earlier leg's.
func (l *lapper) passes() []Pass {
	var out []Pass
	for i := 0; i < len(l.legs); {
		var steps []step
		ring := l.legs[i].ring
		for ; i < len(l.legs) && l.legs[i].ring == ring; i++ {
			steps = append(steps, l.walk(i)...)
		}
		out = append(out, l.chain(steps)...)
	}
	return out
}

// walk gives the leg's walk: one, none where other legs have its turf, or several where something on its line breaks it.
func (l *lapper) walk(i int) []step {
	s := &l.legs[i]
	own, reached, all := l.own(i)
	if totalArea(own) < sliver {
		return nil
	}
	u0, v := s.axis.to(s.from[0], s.from[1])
	u1, _ := s.axis.to(s.to[0], s.to[1])
	line := ends(reached)
	if s.joins {
		line.u0 = u0
	}
	if !s.off {
		line.u1 = u1
	}
	var out []step
	clear := l.clearOf(s, all, line, v)
	swaths, wides := s.swaths, s.wides
	s.swaths, s.wides = nil, nil
	for k, p := range clear {
		g := leg{axis: s.axis, cells: own, line: []point{{p.u0, v}, {p.u1, v}}, off: s.off}
		if p != line { // what lies beyond is for the strips
			g.cells = within(own, p)
		}
		if totalArea(g.cells) < sliver {
			continue
		}
		out = append(out, step{leg: g, from: s.from, to: s.to, ends: k+1 < len(clear)})
		if p == line {
			s.swaths, s.wides = swaths, wides
			break
		}
		for i := range swaths {
			s.swaths = append(s.swaths, swaths[i].between(s.axis, p))
			s.wides = append(s.wides, wides[i].between(s.axis, p))
		}
	}
	return out
}

// clearOf is the stretches of the line at v that may be walked.
func (l *lapper) clearOf(s *lapLeg, all []cell, line span, v float64) (out []span) {
	walls := region{edges: l.noWalk}
	w := walker{sideStep: float64(l.setup.SideStep), noWalk: walls.turned(s.axis, nil)}
	for _, g := range w.blocked(all, line.u0, line.u1, v) {
		if g.u0 > line.u0+nearby {
			out = append(out, span{line.u0, g.u0})
		}
		line.u0 = g.u1
	}
	if line.u1 > line.u0+nearby {
		out = append(out, line)
	}
	return out
}

// own is the turf that the leg treats, what no swath before reaches of it or of the lips of those, and all turf in its swath, as cells
// in its axes.
func (l *lapper) own(i int) (own, reached, all []cell) {
	s := &l.legs[i]
	wide := s.wides[0].in(s.axis)
	if len(wide) < 3 {
		return nil, nil, nil
	}
	lo, hi := wide.box()
	soup := region{edges: l.turf}
	l.turned = soup.turned(s.axis, l.turned)
	all = within(l.sweep.cut(l.turned, lo[1], hi[1]), span{lo[0], hi[0]})
	var swaths, wides []convex
	for k := range l.legs[:i] {
		for n, p := range l.legs[k].wides {
			if len(p) < 3 || !p.meets(s.wides[0]) {
				continue
			}
			wides = append(wides, p.in(s.axis))
			if q := l.legs[k].swaths[n]; len(q) > 2 {
				swaths = append(swaths, q.in(s.axis))
			}
		}
	}
	return without(all, wide, wides), without(all, wide, swaths), all
}

// without is the cells' turf in the piece and in none of the earlier ones.
func without(cells []cell, piece convex, earlier []convex) (out []cell) {
	for c := range cells {
		left := []convex{cells[c].convex().and(piece)}
		for _, e := range earlier {
			var next []convex
			for _, p := range left {
				next = p.less(e, next)
			}
			left = next
		}
		for _, p := range left {
			out = p.cells(out)
		}
	}
	sortCells(out)
	return out
}

// ends is how far the cells reach along the leg, but for the last crumbs.
func ends(cells []cell) span {
	all := totalArea(cells)
	at := func(a float64) float64 {
		lo, hi := cells[0].u0, cells[0].u1
		for i := range cells {
			hi = max(hi, cells[i].u1)
		}
		for range 60 {
			if mid := (lo + hi) / 2; areaUpTo(cells, mid) < a {
				lo = mid
			} else {
				hi = mid
			}
		}
		return (lo + hi) / 2
	}
	s := span{at(lastCrumb), at(all - lastCrumb)}
	for i := range cells { // a blunt end is reached in full
		if c := &cells[i]; s.u0-c.u0 < nearlyFlat {
			s.u0 = min(s.u0, c.u0)
		}
		if c := &cells[i]; c.u1-s.u1 < nearlyFlat {
			s.u1 = max(s.u1, c.u1)
		}
	}
	return s
}

// corners counts the bends of over 30 degrees between the legs of a lap.
func (p *Pass) corners() (n int) {
	if p.Kind != Lap {
		return 0
	}
	for i := 1; i < len(p.legs); i++ {
		a, b := p.legs[i-1].line, p.legs[i].line
		if turn := p.legs[i].headingTo(b[0], b[1]) - p.legs[i-1].headingTo(a[len(a)-2], a[len(a)-1]); math.Abs(math.Remainder(turn, 2*math.Pi)) > sharp {
			n++
		}
	}
	return n
}

// headingTo is the direction of the walk from p to q, anticlockwise from east, radians.
func (l *leg) headingTo(p, q point) float64 {
	return math.Atan2(q.v-p.v, q.u-p.u) + math.Atan2(l.axis.s, l.axis.c)
}
