package draw

import (
	"cmp"
	"fmt"
	"image/color"
	"math"
	"slices"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/sheet"
)

// A mapPart is a piece of a site that is too large for one sheet of paper, on a sheet of its own.
type mapPart struct {
	name     string // A, B ... in the order of the walk
	m        sheet.Map
	l        mapLayout
	col, row int
	first    int // numbers of its first and its last pass
	last     int
	beside   map[side]string
}

type side int

const (
	leftSide side = iota
	rightSide
	topSide
	bottomSide
)

const (
	legibleSpacing = 1.5 // mm between passes on paper: below it a site gets parts
	partSpacing    = 2.2 // mm, in a part
	mostParts      = 12
	partOverlap    = 8.0 // mm on each side that the neighbour shows too
)

// mapParts divides a map whose passes lie too close together, or are too many to be numbered, into parts of w x h millimetres, at the smallest scale at which
// they do not, or at the largest that takes no more than mostParts; nil where one sheet will do.
func (e *engine) mapParts(m sheet.Map, l mapLayout, w, h float64) []mapPart {
	swath := m.Swath.In(unit.Metre)
	if l.empty || len(m.Passes) < 2 || swath*l.perMetre() >= legibleSpacing && !e.crowded(m, l) {
		return nil
	}
	var best []mapPart
	for i := len(m.Scales) - 1; i >= 0; i-- {
		s := m.Scales[i]
		if float64(s) > 0.7*float64(l.scale) {
			continue
		}
		parts := tile(m, l.turn, s, w, h)
		if len(parts) > mostParts {
			break
		}
		best = parts
		if swath*1000/float64(s) >= partSpacing {
			break
		}
	}
	if len(best) < 2 {
		return nil
	}
	return best
}

// crowded reports whether under numberedShare of many passes find room for their numbers.
func (e *engine) crowded(m sheet.Map, l mapLayout) bool {
	const numberedShare, many, roomySpacing = 0.6, 20, 2.6 // mm: further apart the numbers of neighbours do not touch
	if len(m.Passes) < many || m.Swath.In(unit.Metre)*l.perMetre() > roomySpacing {
		return false
	}
	d := newDrawing(e, m, l, 0, 0)
	d.start = m.Passes[0].N
	return float64(len(d.placeLabels())) < numberedShare*float64(len(m.Passes))
}

// tile lays tiles of w x h millimetres over a map and keeps those that a pass goes through, in the order of the walk. Of a few ways to shift the
// tiles the one with the fewest is taken.
func tile(m sheet.Map, turn float64, scale int, w, h float64) []mapPart {
	const shifts = 3
	var best []mapPart
	for i := range shifts * shifts {
		parts := tileAt(m, turn, scale, w, h, float64(i%shifts)/shifts, float64(i/shifts)/shifts)
		if best == nil || len(parts) < len(best) {
			best = parts
		}
		if len(parts) > 4*mostParts {
			break // no shift saves so many
		}
	}
	return named(best)
}

// tileAt lays the tiles shifted by shares of a tile.
func tileAt(m sheet.Map, turn float64, scale int, w, h, shiftX, shiftY float64) (out []mapPart) {
	b := extent(m, turn)
	k := 1000 / float64(scale)
	innerW, innerH := (w-2*partOverlap)/k, (h-2*partOverlap)/k
	cols := max(1, int(math.Ceil((b.Max(0)-b.Min(0))/innerW+shiftX)))
	rows := max(1, int(math.Ceil((b.Max(1)-b.Min(1))/innerH+shiftY)))
	if cols*rows > 20*mostParts {
		return make([]mapPart, 4*mostParts+1) // too many; they are not looked at
	}
	midX, midY := (b.Min(0)+b.Max(0)-shiftX*innerW)/2, (b.Min(1)+b.Max(1)-shiftY*innerH)/2
	sin, cos := math.Sincos(-turn)
	for row := range rows {
		for col := range cols {
			x := midX + (float64(col)-float64(cols-1)/2)*innerW
			y := midY + (float64(row)-float64(rows-1)/2)*innerH
			p := mapPart{col: col, row: row, l: mapLayout{scale: scale, w: w, h: h, turn: turn, cx: x*cos - y*sin, cy: x*sin + y*cos}}
			if p.m = clipped(m, p.l, partOverlap/2); len(p.m.Passes) == 0 { // not worth a sheet
				continue
			}
			p.m = clipped(m, p.l, 0)
			p.first, p.last = p.m.Passes[0].N, p.m.Passes[len(p.m.Passes)-1].N
			out = append(out, p)
		}
	}
	return out
}

// named puts parts in the order of the walk, names them and tells them their neighbours.
func named(out []mapPart) []mapPart {
	slices.SortStableFunc(out, func(a, b mapPart) int { return cmp.Compare(a.first, b.first) })
	names := map[[2]int]string{}
	for i := range out {
		out[i].name = string(rune('A' + i%26))
		names[[2]int{out[i].col, out[i].row}] = out[i].name
	}
	for i := range out {
		p := &out[i]
		p.beside = map[side]string{}
		for s, d := range map[side][2]int{leftSide: {-1, 0}, rightSide: {1, 0}, topSide: {0, 1}, bottomSide: {0, -1}} {
			if n, ok := names[[2]int{p.col + d[0], p.row + d[1]}]; ok {
				p.beside[s] = n
			}
		}
	}
	return out
}

// clipped is a map with only those stretches of passes, walks and marks that lie in a frame, less a rim of so many millimetres.
func clipped(m sheet.Map, l mapLayout, rim float64) sheet.Map {
	out := m
	out.Passes, out.Marks = nil, nil
	for _, p := range m.Passes {
		way := p.Way
		for _, part := range l.inFrame(p.Line, rim) {
			q := p
			q.Line, q.Off, q.Way = part.line, nil, nil
			for _, o := range p.Off {
				from, to := max(o[0]-part.from, 0), min(o[1]-part.from, part.to-part.from)
				if from < to {
					q.Off = append(q.Off, [2]unit.Length{from, to})
				}
			}
			if len(way) > 1 && part.from == 0 && l.inside(l.at(way[0])) {
				q.Way = way
			}
			out.Passes = append(out.Passes, q)
		}
	}
	for _, k := range m.Marks {
		if l.inside(l.at(k.At)) {
			out.Marks = append(out.Marks, k)
		}
	}
	return out
}

// piece is a stretch of a line, from one length along it to another.
type piece struct {
	line     []geom.Coord
	from, to unit.Length
}

// inFrame cuts a line into the stretches that lie in the frame less a rim (Liang and Barsky, 1984, segment by segment).
func (l mapLayout) inFrame(line []geom.Coord, rim float64) (out []piece) {
	at, joined := unit.Length(0), false
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		long := unit.Length(math.Hypot(b[0]-a[0], b[1]-a[1])) * unit.Metre
		t0, t1, ok := l.crossing(l.at(a), l.at(b), rim)
		if !ok {
			joined, at = false, at+long
			continue
		}
		point := func(t float64) geom.Coord { return geom.Coord{a[0] + (b[0]-a[0])*t, a[1] + (b[1]-a[1])*t} }
		if !joined || t0 > 0 {
			out = append(out, piece{line: []geom.Coord{point(t0)}, from: at + long*unit.Length(t0)})
		}
		last := &out[len(out)-1]
		last.line, last.to = append(last.line, point(t1)), at+long*unit.Length(t1)
		joined, at = t1 == 1, at+long
	}
	return out
}

// crossing is from where to where, as shares of the segment, it lies in the frame less a rim.
func (l mapLayout) crossing(a, b canvas.Point, rim float64) (t0, t1 float64, ok bool) {
	t0, t1 = 0, 1
	dx, dy := b.X-a.X, b.Y-a.Y
	for _, e := range [4][2]float64{{-dx, a.X - rim}, {dx, l.w - rim - a.X}, {-dy, a.Y - rim}, {dy, l.h - rim - a.Y}} {
		p, q := e[0], e[1]
		switch {
		case p == 0 && q < 0:
			return 0, 0, false
		case p < 0:
			t0 = max(t0, q/p)
		case p > 0:
			t1 = min(t1, q/p)
		}
	}
	return t0, t1, t0 < t1
}

// drawPart draws a part with the names of its neighbours at its sides.
func (e *engine) drawPart(p mapPart, x, y float64) {
	d := newDrawing(e, p.m, p.l, x, e.pen.h-y-p.l.h)
	d.start = e.firstPass
	for s := leftSide; s <= bottomSide; s++ {
		name, ok := p.beside[s]
		if !ok {
			continue
		}
		n := label{text: "to " + name, size: 10}
		w, h := d.labelSize(n)
		c := map[side]canvas.Point{leftSide: {X: w/2 + 1, Y: p.l.h / 2}, rightSide: {X: p.l.w - w/2 - 1, Y: p.l.h / 2},
			topSide: {X: p.l.w / 2, Y: p.l.h - h/2 - 1}, bottomSide: {X: p.l.w / 2, Y: h/2 + 1}}[s]
		n.at = around(c, w, h)
		d.names = append(d.names, n)
	}
	d.draw(x, y)
}

// frames shows on the whole site's map where the parts lie.
func (d *drawing) frames(parts []mapPart) {
	for _, p := range parts {
		k := float64(p.l.scale) / float64(d.l.scale)
		w, h := (p.l.w-2*partOverlap)*k, (p.l.h-2*partOverlap)*k
		c := d.l.at(geom.Coord{p.l.cx, p.l.cy})
		r := around(c, w, h)
		r = canvas.Rect{X0: max(r.X0, 0.4), Y0: max(r.Y0, 0.4), X1: min(r.X1, d.l.w-0.4), Y1: min(r.Y1, d.l.h-0.4)}
		d.e.pen.rect(d.ox+r.X0, d.e.pen.h-d.oy-r.Y1, r.X1-r.X0, r.Y1-r.Y0, color.NRGBA{}, ink, 0.6)
		n := label{text: p.name, size: 14}
		lw, lh := d.labelSize(n)
		for _, at := range []canvas.Point{{X: r.X0 + lw/2 + 1, Y: r.Y1 - lh/2 - 1}, {X: r.X1 - lw/2 - 1, Y: r.Y1 - lh/2 - 1}, {X: r.X0 + lw/2 + 1, Y: r.Y0 + lh/2 + 1}, {X: r.X1 - lw/2 - 1, Y: r.Y0 + lh/2 + 1}, c} {
			if n.at = around(at, lw, lh); d.free(n.at) {
				d.taken = append(d.taken, n.at)
				d.names = append(d.names, n)
				break
			}
		}
	}
}

// partSheets puts the parts of a page's map on sheets of their own.
func (e *engine) partSheets(p *sheet.Page) {
	for i, part := range e.parts {
		e.newSheet()
		y := e.header(p, true)
		text := fmt.Sprintf("Map, part %s of %d: passes between %d and %d. The frames on the first map show where the parts lie.", part.name, len(e.parts), part.first, part.last)
		e.content(fmt.Sprintf("Map, part %s", part.name), y, true)
		for _, b := range e.boxes(sheet.Text{Text: text, Style: sheet.Strong}, e.inner()) {
			b.draw(margin, y)
			y += b.h
		}
		e.drawPart(e.parts[i], margin, y)
		e.scaleLine(part.m.Units, part.l, margin, y+part.l.h+belowMap)
	}
	e.parts = nil
}

// partSize is the frame of a part on a sheet of its own.
func (e *engine) partSize() (w, h float64) {
	const head = 30.0 // mark, title, the line above and the scale below
	return e.inner(), e.h - 2*margin - footer - head - barHeight
}
