package draw

import (
	"image/color"
	"math"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/sheet"
)

// hatch is how a surface looks without color: lines at angles, or dots.
type hatch struct {
	angles  []float64 // degrees
	dist    float64   // mm between lines or dots
	thick   float64
	dots    bool
	outline float64
}

var hatches = map[geo.Surface]hatch{
	geo.Building:  {angles: []float64{45}, dist: 1.3, thick: 0.28, outline: 0.7},
	geo.Water:     {angles: []float64{0}, dist: 1.7, thick: 0.22, outline: 0.4},
	geo.Hardscape: {angles: []float64{-45}, dist: 3, thick: 0.18, outline: 0.4},
	geo.Bed:       {dots: true, dist: 1.9, thick: 0.5, outline: 0.4},
	geo.KeepOff:   {angles: []float64{45, -45}, dist: 2.6, thick: 0.2, outline: 0.7},
}

// belowMap is the space between a map and its scale bar, in millimetres.
const belowMap = 1.5

// mapBlock is the map in its frame with scale bar, north arrow and legend below.
func (e *engine) mapBlock(m sheet.Map, width float64) []box {
	leg := e.legend(m, width)
	room := e.mapRoom
	if m.High > 0 {
		room = min(room, m.High.In(unit.Millimetre))
	}
	l := layoutMap(m, width, max(leastMap, room-leg.h-belowMap-gap))
	if e.d != nil { // a map alone is zoomed into instead
		w, h := e.partSize()
		e.parts = e.mapParts(m, l, w, h)
		if len(m.Passes) > 0 {
			e.firstPass = m.Passes[0].N
		}
	}
	parts := e.parts
	return []box{
		{h: l.h + belowMap, glue: true, draw: func(x, y float64) { e.drawMap(m, l, parts, x, y) }},
		{h: leg.h, draw: func(x, y float64) { leg.draw(l, x, y) }},
	}
}

// drawing is one map on its way onto the page; ox, oy is the frame's lower left corner.
type drawing struct {
	e      *engine
	m      sheet.Map
	l      mapLayout
	ox, oy float64
	taken  []canvas.Rect // labels and marks already placed, in the frame's millimetres
	// turf and leftOut are what numbers and names keep off where they can.
	turf, leftOut [][]canvas.Point
	// names are texts that are placed before the numbers of passes and drawn over all lines.
	names []label
	// start is the number of the first pass of the walk, parts what else there is of the site on other sheets.
	start int
	parts []mapPart
}

// newDrawing is a map laid out, on a page from its lower left corner on.
func newDrawing(e *engine, m sheet.Map, l mapLayout, ox, oy float64) *drawing {
	d := &drawing{e: e, m: m, l: l, ox: ox, oy: oy, turf: l.rings(m.Turf)}
	for _, g := range m.LeftOut {
		d.leftOut = append(d.leftOut, l.rings(g.Shape)...)
	}
	return d
}

func (e *engine) drawMap(m sheet.Map, l mapLayout, parts []mapPart, x, y float64) {
	d := newDrawing(e, m, l, x, e.pen.h-y-l.h)
	if l.empty {
		e.pen.rect(x, y, l.w, l.h, white, ink, 0.4)
		e.pen.text(e.f.face(sizeBody, true), "No turf on this map.", x+5, y+10)
		return
	}
	if len(m.Passes) > 0 {
		d.start = m.Passes[0].N
	}
	d.parts = parts
	d.draw(x, y)
}

// draw draws the map with the frame's top left corner at x, y of the page.
func (d *drawing) draw(x, y float64) {
	e, m, l := d.e, d.m, d.l
	turf := d.put(pathOf(d.turf))
	e.pen.fill(turf, paleTurf)
	for i := len(m.LeftOut) - 1; i >= 0; i-- { // the first surface counts where two overlap
		d.ground(m.LeftOut[i].Surface, l.rings(m.LeftOut[i].Shape))
	}
	e.pen.stroke(turf, 0.5, ink)
	d.hose()
	d.zones()
	labelled := d.placeLabels()
	dimensions := d.placeDimensions()
	for i, p := range m.Passes {
		l, ok := labelled[i]
		if d.spacing() < tooClose && !ok && p.N != d.start {
			continue
		}
		d.pass(p, ok, p.N == d.start, l.into)
	}
	d.frames(d.parts)
	d.drawMarks()
	d.drawLabels(labelled)
	d.drawDimensions(dimensions)
	d.drawNames()
	e.pen.rect(x, y, l.w, l.h, color.NRGBA{}, ink, 0.4)
}

// put moves a path from the frame's millimetres to the page's.
func (d *drawing) put(p *canvas.Path) *canvas.Path { return p.Translate(d.ox, d.oy) }

func (d *drawing) ground(s geo.Surface, rings [][]canvas.Point) {
	if len(rings) == 0 {
		return
	}
	shape := pathOf(rings)
	d.e.pen.fill(d.put(shape.Copy()), white)
	h := hatches[s]
	if h.dots {
		d.e.pen.fill(d.put(dots(rings, h)), ink)
	}
	for _, a := range h.angles {
		d.e.pen.fill(d.put(lines(shape, a, h)), ink)
	}
	d.e.pen.stroke(d.put(shape), h.outline, ink)
}

// lines hatches a shape. Canvas's clipping is known to fail on rare shapes; the outline then
// stands without its hatch.
func lines(shape *canvas.Path, angle float64, h hatch) (p *canvas.Path) {
	defer func() {
		if recover() != nil {
			p = &canvas.Path{}
		}
	}()
	return canvas.NewLineHatch(ink, angle, h.dist, h.thick).Tile(shape)
}

// dots stipples a shape, every other row shifted by half.
func dots(rings [][]canvas.Point, h hatch) *canvas.Path {
	b := bounds(rings)
	out := &canvas.Path{}
	for row := 0; b.Y0+float64(row)*h.dist*0.7 < b.Y1; row++ {
		y := b.Y0 + (float64(row)+0.5)*h.dist*0.7
		for x := b.X0 + h.dist*0.5*float64(row%2+1); x < b.X1; x += h.dist {
			if within(rings, x, y) {
				disc(out, x, y, h.thick/2, 8)
			}
		}
	}
	return out
}

// disc adds a polygon of n corners: arcs by the hundred make a PDF slow to write, and some programs that show SVG stop at one.
func disc(p *canvas.Path, x, y, r float64, n int) {
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi / float64(n) * float64(i))
		if i == 0 {
			p.MoveTo(x+r*cos, y+r*sin)
		} else {
			p.LineTo(x+r*cos, y+r*sin)
		}
	}
	p.Close()
}

// within reports whether a point is in rings by the even-odd rule.
func within(rings [][]canvas.Point, x, y float64) bool {
	in := false
	for _, r := range rings {
		for i, p := range r {
			q := r[(i+1)%len(r)]
			if p.Y > y != (q.Y > y) && x < p.X+(q.X-p.X)*(y-p.Y)/(q.Y-p.Y) {
				in = !in
			}
		}
	}
	return in
}

// spacing is the swath on paper, in millimetres.
func (d *drawing) spacing() float64 { return d.m.Swath.In(unit.Metre) * d.l.perMetre() }

// Passes less than this apart on paper, in millimetres, would be one black surface: only the numbered ones are drawn.
const tooClose = 0.7

// pass draws one pass with its arrow head; touch-up passes are dashed, where the gun is off there are dots. The first is
// thick, with a head near its beginning: at the start mark it says which way to walk. A line begins at its number, from
// millimetres along it: a stump before "6" reads as ".6" or "-6".
func (d *drawing) pass(p sheet.MapPass, labelled, first bool, from float64) {
	d.way(p.Way)
	pts := d.onPaper(p.Line)
	on, off := d.stretches(pts, p.Off, from)
	thick := min(0.3, max(0.15, 0.25*d.spacing()))
	if first {
		thick = 0.7
	}
	for _, s := range on {
		line := polyline(s)
		if p.TouchUp {
			line = line.Dash(0, 1.2, 0.8)
		}
		d.e.pen.stroke(d.put(line), thick, ink)
	}
	for _, s := range off {
		d.e.pen.stroke(d.put(polyline(s).Dash(0, 0.4, 0.8)), 0.4, ink)
	}
	size := min(max(0.5*d.spacing(), 1.0), 2.2)
	if n := length(pts); first && n > 0 {
		d.arrow(pts, min(1, 8/n), 2.6)
	}
	if d.spacing() < 1.4 && !labelled {
		return
	}
	d.arrow(pts, 1, size)
	if n := math.Floor(length(pts) / 50); p.Lap {
		for i := 1.0; i <= n; i++ { // all the way round
			d.arrow(pts, i/(n+1), size)
		}
	} else if n > 0 {
		d.arrow(pts, 0.5, size)
	}
}

// way draws a walk without spraying, thin.
func (d *drawing) way(line []geom.Coord) {
	if len(line) < 2 {
		return
	}
	d.e.pen.stroke(d.put(polyline(d.onPaper(line)).Dash(0, 0.8, 1)), 0.25, faint)
}

func (d *drawing) onPaper(line []geom.Coord) []canvas.Point {
	pts := make([]canvas.Point, len(line))
	for i, c := range line {
		pts[i] = d.l.at(c)
	}
	return pts
}

func polyline(pts []canvas.Point) *canvas.Path {
	line := &canvas.Path{}
	for i, p := range pts {
		if i == 0 {
			line.MoveTo(p.X, p.Y)
		} else {
			line.LineTo(p.X, p.Y)
		}
	}
	return line
}

// stretches cuts a line, from millimetres along it on, into where the gun is on and where it is off.
func (d *drawing) stretches(pts []canvas.Point, offs [][2]unit.Length, at float64) (on, off [][]canvas.Point) {
	for _, o := range offs {
		from, to := o[0].In(unit.Metre)*d.l.perMetre(), o[1].In(unit.Metre)*d.l.perMetre()
		if to <= at {
			continue
		}
		if from > at {
			on, at = append(on, stretch(pts, at, from)), from
		}
		off, at = append(off, stretch(pts, at, to)), to
	}
	return append(on, stretch(pts, at, length(pts))), off
}

// stretch is a line from one length along it to another.
func stretch(pts []canvas.Point, from, to float64) []canvas.Point {
	first, _ := pointAt(pts, from)
	last, _ := pointAt(pts, to)
	out, at := []canvas.Point{first}, 0.0
	for i := 1; i < len(pts); i++ {
		if at += pts[i].Sub(pts[i-1]).Length(); at > from && at < to {
			out = append(out, pts[i])
		}
	}
	return append(out, last)
}

func length(pts []canvas.Point) float64 {
	s := 0.0
	for i := 1; i < len(pts); i++ {
		s += pts[i].Sub(pts[i-1]).Length()
	}
	return s
}

// arrow draws a head whose tip is at a share of the line's length.
func (d *drawing) arrow(pts []canvas.Point, share, size float64) {
	tip, dir := pointAt(pts, share*length(pts))
	if dir.Length() == 0 {
		return
	}
	side := canvas.Point{X: -dir.Y, Y: dir.X}
	a := tip.Sub(dir.Mul(size)).Add(side.Mul(size * 0.38))
	b := tip.Sub(dir.Mul(size)).Sub(side.Mul(size * 0.38))
	head := &canvas.Path{}
	head.MoveTo(tip.X, tip.Y)
	head.LineTo(a.X, a.Y)
	head.LineTo(b.X, b.Y)
	head.Close()
	d.e.pen.fill(d.put(head), ink)
}

// pointAt is the point at a walked distance along a line, and the direction there.
func pointAt(pts []canvas.Point, walk float64) (p, dir canvas.Point) {
	for i := 1; i < len(pts); i++ {
		step := pts[i].Sub(pts[i-1])
		n := step.Length()
		if n == 0 {
			continue
		}
		dir = step.Mul(1 / n)
		if walk <= n || i == len(pts)-1 {
			return pts[i-1].Add(dir.Mul(min(walk, n))), dir
		}
		walk -= n
	}
	return pts[len(pts)-1], dir
}
