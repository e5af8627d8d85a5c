package pass

import (
	"math"
	"slices"
)

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

// extend lengthens the open walk by a line that begins where it ends, or across the strip from there; where
// something not to be walked over lies between, the line begins a walk of its own.
func (b *bender) extend(line []point, cells []cell, straight bool) {
	joined, ok := b.join(b.open.line, line, straight)
	if !ok {
		b.close()
		joined = slices.Clone(line)
	}
	b.open.kind = Straight
	b.open.line = joined
	b.open.area += totalArea(cells)
	if b.keep {
		b.open.cells = append(b.open.cells, cells...)
	}
}

// sidles are how far before a blocked stretch a walk begins to step aside, metres.
var sidles = []float64{0.5, 0.25, 1, 0.1, 0.05, 2, 0}

// join leads the walk from the end of a to the start of b slantwise instead of square across the
// strip: the straight one of the two is left early or met late. Of the ways that stay on the turf it takes the first that loses no
// more than a sliver of what the way square across reaches, else the one that loses least. Square across is the last resort, and
// not ok where walking there is not allowed.
func (w *bender) join(a, b []point, straight bool) (line []point, ok bool) {
	if len(a) == 0 {
		return slices.Clone(b), true
	}
	square := append(slices.Clone(a), b...)
	least := math.Inf(1)
	for _, sidle := range []func(a, b []point, straight bool, d float64) []point{w.sidle, w.step} {
		for _, d := range sidles {
			way := sidle(a, b, straight, d)
			if way == nil {
				continue
			}
			lost := w.lost(square, way, span{a[len(a)-1].u - d, b[0].u + d})
			if lost < sliver {
				return way, true
			}
			if lost < least-hair {
				line, least = way, lost
			}
		}
	}
	if line != nil {
		return line, true
	}
	return square, w.allowed(a[len(a)-1], b[0])
}

// step is the way that steps square across a length d before or after the bent line and on from there at its height.
func (w *bender) step(a, b []point, straight bool, d float64) []point {
	p, q := slices.Clone(a), slices.Clone(b)
	end, begin := p[len(p)-1], q[0]
	var mid point
	switch {
	case straight && begin.u+d < q[len(q)-1].u:
		q[0].u += d
		mid = point{q[0].u, end.v}
	case !straight && end.u-d > p[len(p)-2].u:
		p[len(p)-1].u -= d
		mid = point{end.u - d, begin.v}
	default:
		return nil
	}
	if !w.clear(p[len(p)-1], mid) || !w.clear(mid, q[0]) {
		return nil
	}
	return append(append(p, mid), q...)
}

// sidle is the way from a to b that leaves the straight one of them a length d before or after the bent one, which it meets at its
// first bend if that is clear; nil when it does not stay on the turf.
func (w *bender) sidle(a, b []point, straight bool, d float64) []point {
	p, q := slices.Clone(a), slices.Clone(b)
	if straight {
		if q[0].u+d >= q[len(q)-1].u && d > 0 {
			return nil
		}
		q[0].u += d
		if n := len(p); n > 2 && w.clear(p[n-2], q[0]) {
			return append(p[:n-1], q...)
		}
	} else {
		if n := len(p); p[n-1].u-d <= p[n-2].u && d > 0 {
			return nil
		}
		p[len(p)-1].u -= d
		if len(q) > 2 && w.clear(p[len(p)-1], q[1]) {
			return append(p, q[1:]...)
		}
	}
	if d == 0 {
		w.offFace(&p[len(p)-1], &q[0])
	}
	if w.clear(p[len(p)-1], q[0]) {
		return append(p, q...)
	}
	return nil
}

// lost is the strip's turf in a stretch that one way reaches and the other does not.
func (w *bender) lost(before, after []point, s span) float64 {
	half := w.swath/2 + fitSlack/2
	reach := span{s.u0 - half, s.u1 + half} // no more of a long walk counts
	was, is := flat(around(before, reach)), flat(around(after, reach))
	return unreached(within(w.cells, s), w.swath/24, func(u, v float64) bool {
		p := [2]float64{u, v}
		return reaches(is, p, half) || !reaches(was, p, half)
	})
}

// around is the stretches of a line, along the strip, that reach into s.
func around(line []point, s span) []point {
	from, to := 0, len(line)
	for from+1 < to && line[from+1].u < s.u0 {
		from++
	}
	for to-1 > from && line[to-2].u > s.u1 {
		to--
	}
	return line[from:to]
}

func flat(line []point) [][2]float64 {
	out := make([][2]float64, len(line))
	for i, p := range line {
		out[i] = [2]float64{p.u, p.v}
	}
	return out
}

// offFace moves a step square across the strip off the face of what it would run along.
func (w *bender) offFace(p, q *point) {
	at := func(d float64) bool { return w.clear(point{p.u + d, p.v}, point{q.u + d, q.v}) }
	switch left, right := at(-grazing), at(grazing); {
	case p.u != q.u || left == right:
	case left:
		p.u, q.u = p.u-grazing, q.u-grazing
	default:
		p.u, q.u = p.u+grazing, q.u+grazing
	}
}

// allowed reports whether the step from p to q leaves the turf for no longer than the side step and goes through no
// building or water: p and q may lie at the foot of one.
func (w *bender) allowed(p, q point) bool {
	const step, foot = 0.05, 0.01
	l := math.Hypot(q.u-p.u, q.v-p.v)
	n := int(l/step) + 2
	off, most := 0.0, 0.0
	for i := 1; i < n; i++ {
		f := float64(i) / float64(n)
		u, v := p.u+f*(q.u-p.u), p.v+f*(q.v-p.v)
		if onTurf(w.cells, u, v) {
			off = 0
			continue
		}
		if f*l > foot && (1-f)*l > foot && w.walled(u, v) {
			return false
		}
		if off += step; off > most {
			most = off
		}
	}
	if most == 0 || l <= 2*foot {
		return true
	}
	du, dv := (q.u-p.u)*foot/l, (q.v-p.v)*foot/l
	p, q = point{p.u + du, p.v + dv}, point{q.u - du, q.v - dv}
	return most <= w.sideStep && !slices.ContainsFunc(w.noWalk, func(e edge) bool { return e.crosses(p, q) })
}

// walled reports whether a building or water is there.
func (w *walker) walled(u, v float64) bool { return encloses(w.noWalk, u, v) }

// crosses reports whether the edge and the line from p to q cross.
func (e *edge) crosses(p, q point) bool {
	a, b := [2]float64{e.ax, e.ay}, [2]float64{e.bx, e.by}
	c, d := [2]float64{p.u, p.v}, [2]float64{q.u, q.v}
	return cross(a, b, c)*cross(a, b, d) < 0 && cross(c, d, a)*cross(c, d, b) < 0
}

// clear reports whether the line from p to q, p before q along the strip, stays on the cells and cuts no corner of a building or
// water.
func (w *bender) clear(p, q point) bool {
	cells := w.cells
	if slices.ContainsFunc(w.noWalk, func(e edge) bool { return e.crosses(p, q) }) {
		return false
	}
	const step = 0.25 // metres: nothing that matters on a lawn is narrower
	n := int(math.Hypot(q.u-p.u, q.v-p.v)/step) + 2
	for i := 1; i < n; i++ {
		f := float64(i) / float64(n)
		if !onTurf(cells, p.u+f*(q.u-p.u), p.v+f*(q.v-p.v)) {
			return false
		}
	}
	return true
}

func onTurf(cells []cell, u, v float64) bool {
	return slices.ContainsFunc(cells, func(c cell) bool {
		if u < c.u0 || u > c.u1 {
			return false
		}
		lo, hi := c.at(u)
		return v >= lo && v <= hi
	})
}

func (b *bender) close() {
	if len(b.open.line) > 0 {
		b.open.line = b.smooth(b.open.line)
		l := b.open.line
		if b.open.area < scrap && l[len(l)-1].u-l[0].u < b.swath {
			b.open.kind = TouchUp
		}
		if b.open.area < sliver {
			b.slivers = append(b.slivers, b.open.cells...)
		} else {
			b.out = append(b.out, b.open)
		}
	}
	b.open = draft{}
}

// smooth drops points of a line as far as it strays little and gets no nearer to a building or water than it was.
func (w *walker) smooth(line []point) []point {
	for _, tol := range []float64{straying, grazing} {
		out := trim(simplify(line, tol))
		hits := false
		for i := 1; i < len(out) && !hits; i++ {
			hits = slices.ContainsFunc(w.noWalk, func(e edge) bool { return e.crosses(out[i-1], out[i]) })
		}
		if !hits {
			return out
		}
	}
	return trim(line)
}

// around deals with the turf beside one blocked stretch: the best piece that leads past it
// joins the walks on its two sides; else the largest dead ends lengthen them; what is left
// is walked by itself.
func (b *bender) around(cells []cell, g span, left, right bool) {
	pieces := b.piecesIn(within(cells, g))
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
	if b.hop(pieces, used, fromLeft, toRight, g, right) {
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

// hop leads the walk past a blocked stretch over what may be stepped across: along dead ends to where the stretch is shorter. It
// takes the shortest step there is, and reports whether there is one.
func (b *bender) hop(pieces []piece, used []bool, fromLeft, toRight func(*piece) bool, g span, right bool) bool {
	if len(b.open.line) == 0 || !right {
		return false
	}
	at := b.open.line[len(b.open.line)-1]
	shortest, from, to := math.Inf(1), -1, -1
	try := func(i, j int, p, q point) {
		if d := math.Hypot(q.u-p.u, q.v-p.v); d < shortest-seam && d <= b.sideStep && b.allowed(p, q) {
			shortest, from, to = d, i, j
		}
	}
	for j := -1; j < len(pieces); j++ { // -1: straight on from, or to, the line itself
		q := point{g.u1, at.v}
		if j >= 0 {
			if r := &pieces[j]; used[j] || r.narrowest < corridor || !toRight(r) {
				continue
			}
			q = pieces[j].line[0]
		}
		for i := -1; i < len(pieces); i++ {
			if i < 0 {
				try(i, j, at, q)
			} else if p := &pieces[i]; i != j && !used[i] && p.narrowest >= corridor && fromLeft(p) {
				try(i, j, p.line[len(p.line)-1], q)
			}
		}
	}
	if math.IsInf(shortest, 1) {
		return false
	}
	for _, k := range []int{from, to} {
		if k >= 0 {
			used[k] = true
			b.extend(pieces[k].line, pieces[k].cells, false)
		}
	}
	return true
}

// alone makes walks of their own of the pieces not used, and lets slivers go along with
// their neighbours.
func (b *bender) alone(pieces []piece, used []bool) {
	for i := range pieces {
		if used[i] {
			continue
		}
		p := &pieces[i]
		if p.area < sliver || p.area < b.flick && p.length() < b.swath {
			if b.keep {
				b.slivers = append(b.slivers, p.cells...)
			}
			continue
		}
		d := draft{kind: TouchUp, area: p.area, line: b.smooth(p.line)}
		if b.keep {
			d.cells = p.cells
		}
		b.out = append(b.out, d)
	}
}
