package pass

import (
	"math"
	"slices"
)

// The smallest things that are walked, in metres and square metres.
const (
	sliver     = 0.02   // turf too small for a pass: the nearest pass takes it along (0.2 sq ft)
	scrap      = 1.0    // a pass smaller than this and shorter than the swath is a touch-up
	corridor   = 0.3    // the narrowest turf that a line may squeeze through (1 ft)
	mostFlick  = 0.3    // turf sprayed from the pass beside it, at most (3 sq ft),
	flickShare = 0.0003 // and of its part of the lawn
	nearby     = 0.05   // turf this close along the strip is one pass
	straying   = 0.05   // how far a drawn line may cut a bend
	grazing    = 0.005  // a line this close to the edge of what is not walked runs along it
)

// point is a position in a strip's axes.
type point struct{ u, v float64 }

// draft is a pass of one leg before it has a number.
type draft struct {
	kind  Kind
	line  []point
	cells []cell
	area  float64
	extra float64 // slivers taken along
}

func (d *draft) length() float64 { return lineLength(d.line) }

func lineLength(line []point) (l float64) {
	for i := 1; i < len(line); i++ {
		l += math.Hypot(line[i].u-line[i-1].u, line[i].v-line[i-1].v)
	}
	return l
}

// walker turns the cells of one strip into passes.
type walker struct {
	swath, sideStep float64
	lo, hi          float64 // the strip's borders beyond which turf may go on
	noWalk          []edge  // turned into the strip's axes
	keep            bool    // keep the cells: false while directions are only compared
	slivers         []cell
	// flick is the area below which a piece shorter than the swath is no pass of its own: the
	// operator sprays it from the nearest one.
	flick float64
}

// passes groups a strip's cells into walks. Turf that overlaps along the strip is one walk,
// though a bed lies between: the walker sprays both sides.
func (w *walker) passes(cells []cell, out []draft) []draft {
	cells = slices.DeleteFunc(cells, func(c cell) bool {
		thin := c.hi0-c.lo0 < hair && c.hi1-c.lo1 < hair
		if thin && w.keep {
			w.slivers = append(w.slivers, c)
		}
		return thin
	})
	for len(cells) > 0 {
		end, n := cells[0].u1, 1
		for n < len(cells) && cells[n].u0 <= end+nearby {
			end = max(end, cells[n].u1)
			n++
		}
		out = w.walk(cells[:n], end, out)
		cells = cells[n:]
	}
	return out
}

func (w *walker) walk(cells []cell, end float64, out []draft) []draft {
	area := totalArea(cells)
	if area < sliver || area < w.flick && end-cells[0].u0 < w.swath {
		if w.keep {
			w.slivers = append(w.slivers, cells...)
		}
		return out
	}
	start, v := cells[0].u0, middle(cells)
	v, gaps := w.offEdge(cells, start, end, v, w.blocked(cells, start, end, v))
	if len(gaps) == 0 {
		d := draft{kind: Straight, area: area, line: []point{{start, v}, {end, v}}}
		if w.keep {
			d.cells = slices.Clone(cells)
		}
		if area < scrap && end-start < w.swath {
			d.kind = TouchUp
		}
		return append(out, d)
	}
	return w.bend(cells, start, end, v, gaps, out)
}

// middle is halfway between the lowest and the highest turf of the cells.
func middle(cells []cell) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range cells {
		if c := &cells[i]; c.u1-c.u0 > seam { // an end thinner than the grid may lie anywhere
			lo = min(lo, c.lo0, c.lo1)
			hi = max(hi, c.hi0, c.hi1)
		}
	}
	return (lo + hi) / 2
}

// offEdge moves a line aside that runs within grazing of an edge along which it would be blocked; it gives where
// the line is blocked then.
func (w *walker) offEdge(cells []cell, start, end, v float64, gaps []span) (float64, []span) {
	if !w.keep { // no count or length depends on it
		return v, gaps
	}
	here, best, bestGaps := blockedLength(gaps), v, gaps
	for _, side := range []float64{grazing, -grazing} {
		if blockedLength(w.blocked(cells, start, end, v+side)) <= here+nearby {
			continue
		}
		if g := w.blocked(cells, start, end, v-side); blockedLength(g) <= here+nearby {
			best, bestGaps = v-side, g
		}
	}
	return best, bestGaps
}

func blockedLength(gaps []span) (l float64) {
	for _, g := range gaps {
		l += g.u1 - g.u0
	}
	return l
}

// span is a stretch along a strip.
type span struct{ u0, u1 float64 }

// blocked is the stretches between start and end where the line at v leaves the turf for
// longer than the side step, or crosses a building or water.
func (w *walker) blocked(cells []cell, start, end, v float64) []span {
	at, gaps := start, []span(nil)
	var walls []float64
	note := func(g span) {
		if g.u1-g.u0 < 0.01 {
			return
		}
		if g.u1-g.u0 <= w.sideStep {
			if walls == nil {
				walls = crossings(w.noWalk, v)
			}
			if !overlaps(walls, g) {
				return
			}
		}
		gaps = append(gaps, g)
	}
	for i := range cells { // cells come by ascending u0
		on, ok := onLine(&cells[i], v)
		if !ok {
			continue
		}
		if on.u0 > at {
			note(span{at, on.u0})
		}
		at = max(at, on.u1)
	}
	if end > at {
		note(span{at, end})
	}
	return gaps
}

// onLine is where the line at v runs within the cell.
func onLine(c *cell, v float64) (span, bool) {
	s := span{c.u0, c.u1}
	ok := s.clip(c.u0, c.u1, v-c.lo0, v-c.lo1) && s.clip(c.u0, c.u1, c.hi0-v, c.hi1-v)
	return s, ok && s.u1 > s.u0
}

// clip keeps the part of s where the linear function from f0 at u0 to f1 at u1 is not negative.
func (s *span) clip(u0, u1, f0, f1 float64) bool {
	if f0 < 0 && f1 < 0 {
		return false
	}
	if f0 < 0 {
		s.u0 = max(s.u0, u0+(u1-u0)*f0/(f0-f1))
	} else if f1 < 0 {
		s.u1 = min(s.u1, u0+(u1-u0)*f0/(f0-f1))
	}
	return true
}

// crossings is the sorted u at which the line at v crosses the edges; between the first and
// the second it runs inside, and so on.
func crossings(edges []edge, v float64) []float64 {
	us := []float64{}
	for i := range edges {
		e := &edges[i]
		if (e.ay <= v) != (e.by <= v) {
			us = append(us, e.ax+(v-e.ay)/(e.by-e.ay)*(e.bx-e.ax))
		}
	}
	slices.Sort(us)
	return us
}

func overlaps(crossings []float64, g span) bool {
	const graze = 0.01
	for i := 0; i+1 < len(crossings); i += 2 {
		if min(crossings[i+1], g.u1)-max(crossings[i], g.u0) > graze {
			return true
		}
	}
	return false
}
