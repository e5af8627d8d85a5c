package pass

import (
	"math"
	"slices"
)

// The smallest things that are walked, in metres and square metres.
const (
	sliver   = 0.02 // turf too small for a pass: the nearest pass takes it along (0.2 sq ft)
	scrap    = 1.0  // a pass smaller than this and shorter than the swath is a touch-up
	corridor = 0.3  // the narrowest turf that a line may squeeze through (1 ft)
	nearby   = 0.05 // turf this close along the strip is one pass
	straying = 0.05 // how far a drawn line may cut a bend
)

// point is a position in a strip's axes.
type point struct{ u, v float64 }

// draft is a pass before it has a number.
type draft struct {
	kind  Kind
	line  []point
	cells []cell
	area  float64
	extra float64 // slivers taken along
}

func (d *draft) length() float64 {
	l := 0.0
	for i := 1; i < len(d.line); i++ {
		l += math.Hypot(d.line[i].u-d.line[i-1].u, d.line[i].v-d.line[i-1].v)
	}
	return l
}

// reached is the area of the draft's cells within half of its line, measured across the strip:
// on a slanted stretch a little less than the swath covers.
func (d *draft) reached(half float64) float64 {
	const slices = 4
	a := 0.0
	for i := range d.cells {
		c := &d.cells[i]
		for k := range slices {
			u := c.u0 + (float64(k)+0.5)/slices*(c.u1-c.u0)
			if v, ok := lineAt(d.line, u); ok {
				lo, hi := c.at(u)
				a += max(0, min(hi, v+half)-max(lo, v-half)) * (c.u1 - c.u0) / slices
			}
		}
	}
	return min(a, d.area)
}

// walker turns the cells of one strip into passes.
type walker struct {
	swath, sideStep float64
	noWalk          []edge // turned into the strip's axes
	keep            bool   // keep the cells: false while directions are only compared
	slivers         []cell
}

// passes groups a strip's cells into walks. Turf that overlaps along the strip is one walk,
// though a bed lies between: the walker sprays both sides.
func (w *walker) passes(cells []cell, out []draft) []draft {
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
	if area < sliver {
		if w.keep {
			w.slivers = append(w.slivers, cells...)
		}
		return out
	}
	start, v := cells[0].u0, middle(cells)
	gaps := w.blocked(cells, start, end, v)
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

// bend breaks a walk at its blocked stretches and leads it round them where there is turf
// to walk on.
func (w *walker) bend(cells []cell, start, end, v float64, gaps []span, out []draft) []draft {
	b := bender{walker: w, out: out, cells: cells}
	at := start
	for _, g := range gaps {
		if g.u0 > at {
			b.straight(cells, span{at, g.u0}, v)
		}
		b.around(cells, g, g.u0 > start, g.u1 < end)
		at = g.u1
	}
	if at < end {
		b.straight(cells, span{at, end}, v)
	}
	b.close()
	return b.out
}

// bender builds the walks of one bent strip from left to right.
type bender struct {
	*walker
	out   []draft
	open  draft  // the walk being built; no line yet when len(line) == 0
	cells []cell // all turf of the strip's stretch
}

func (b *bender) straight(cells []cell, s span, v float64) {
	b.extend([]point{{s.u0, v}, {s.u1, v}}, within(cells, s), true)
}

// extend lengthens the open walk by a line that begins where it ends, or across the strip from there.
func (b *bender) extend(line []point, cells []cell, straight bool) {
	b.open.kind = Straight
	b.open.line = b.join(b.open.line, line, straight)
	b.open.area += totalArea(cells)
	if b.keep {
		b.open.cells = append(b.open.cells, cells...)
	}
}

// sidles are how far before a blocked stretch a walk begins to step aside, metres; the first
// that stays on the turf is taken.
var sidles = []float64{0.5, 1, 0.25, 2, 0.1, 0}

// join leads the walk from the end of a to the start of b slantwise instead of square across the
// strip: the straight one of the two is left early or met late, the bent one at its first bend if that is clear.
func (w *bender) join(a, b []point, straight bool) []point {
	if len(a) == 0 {
		return slices.Clone(b)
	}
	for _, d := range sidles {
		p, q := slices.Clone(a), slices.Clone(b)
		if straight {
			if q[0].u+d >= q[len(q)-1].u && d > 0 {
				continue
			}
			q[0].u += d
			if n := len(p); n > 2 && clear(w.cells, p[n-2], q[0]) {
				return append(p[:n-1], q...)
			}
		} else {
			if n := len(p); p[n-1].u-d <= p[n-2].u && d > 0 {
				continue
			}
			p[len(p)-1].u -= d
			if len(q) > 2 && clear(w.cells, p[len(p)-1], q[1]) {
				return append(p, q[1:]...)
			}
		}
		if clear(w.cells, p[len(p)-1], q[0]) {
			return append(p, q...)
		}
	}
	return append(slices.Clone(a), b...)
}

// clear reports whether the line from p to q, p before q along the strip, stays on the cells.
func clear(cells []cell, p, q point) bool {
	const step = 0.25 // metres: nothing that matters on a lawn is narrower
	n := int((q.u-p.u)/step) + 2
	for i := 1; i < n; i++ {
		f := float64(i) / float64(n)
		u, v := p.u+f*(q.u-p.u), p.v+f*(q.v-p.v)
		on := slices.ContainsFunc(cells, func(c cell) bool {
			if u < c.u0 || u > c.u1 {
				return false
			}
			lo, hi := c.at(u)
			return v >= lo && v <= hi
		})
		if !on {
			return false
		}
	}
	return true
}

func (b *bender) close() {
	if len(b.open.line) > 0 {
		b.open.line = simplify(b.open.line, straying)
		if b.open.area < sliver {
			b.slivers = append(b.slivers, b.open.cells...)
		} else {
			b.out = append(b.out, b.open)
		}
	}
	b.open = draft{}
}

// around deals with the turf beside one blocked stretch: the best piece that leads past it
// joins the walks on its two sides; else the largest dead ends lengthen them; what is left
// is walked by itself.
func (b *bender) around(cells []cell, g span, left, right bool) {
	pieces := piecesIn(within(cells, g), b.swath)
	used := make([]bool, len(pieces))
	pick := func(fits func(p *piece) bool) *piece {
		for i := range pieces {
			if !used[i] && pieces[i].narrowest >= corridor && fits(&pieces[i]) {
				used[i] = true
				return &pieces[i]
			}
		}
		return nil
	}
	fromLeft := func(p *piece) bool { return left && p.line[0].u-g.u0 < nearby }
	toRight := func(p *piece) bool { return right && g.u1-p.line[len(p.line)-1].u < nearby }
	if p := pick(func(p *piece) bool { return fromLeft(p) && toRight(p) }); p != nil {
		b.extend(p.line, p.cells, false)
		b.alone(pieces, used)
		return
	}
	if p := pick(fromLeft); p != nil {
		b.extend(p.line, p.cells, false)
	}
	tail := pick(toRight)
	b.close()
	b.alone(pieces, used)
	if tail != nil {
		b.extend(tail.line, tail.cells, false)
	}
}

// alone makes walks of their own of the pieces not used, and lets slivers go along with
// their neighbours.
func (b *bender) alone(pieces []piece, used []bool) {
	for i := range pieces {
		if used[i] {
			continue
		}
		p := &pieces[i]
		if p.area < sliver {
			if b.keep {
				b.slivers = append(b.slivers, p.cells...)
			}
			continue
		}
		d := draft{kind: TouchUp, area: p.area, line: simplify(p.line, straying)}
		if b.keep {
			d.cells = p.cells
		}
		b.out = append(b.out, d)
	}
}
