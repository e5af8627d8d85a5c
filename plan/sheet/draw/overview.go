package draw

import (
	"math"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/sheet"
)

// overviewHeight is the most height of an overview map on a page with other things, in millimetres.
const overviewHeight = 120.0

// overview is one overview map on its way onto the page.
type overview struct {
	drawing
	o     sheet.Overview
	tags  []tag
	spots []canvas.Point // as o.Places
}

// tag is the text of a place: where it stands, and the place it belongs to.
type tag struct {
	text string
	kind sheet.SpotKind
	at   canvas.Rect
	spot canvas.Point
}

// overviewBlock is the overview in its frame with the scale and what lines mean below.
func (e *engine) overviewBlock(o sheet.Overview, width float64) []box {
	notes := e.overviewNotes(o, width)
	below := barHeight + float64(len(notes))*leading(sizeSmall)
	room := min(e.mapRoom, overviewHeight)
	if e.h == 0 { // alone
		room = e.mapRoom
	}
	l := layoutGround(overviewExtent(o), o.Scales, width, max(leastMap, room-below-belowMap))
	return []box{
		{h: l.h + belowMap, glue: true, draw: func(x, y float64) { e.drawOverview(o, l, x, y) }},
		{h: below, draw: func(x, y float64) {
			e.scaleLine(o.Units, l, x, y)
			e.lines(e.f.face(sizeSmall, false), sizeSmall, notes, x, y+barHeight)
		}},
	}
}

// overviewNotes say what the lines are.
func (e *engine) overviewNotes(o sheet.Overview, width float64) []string {
	text := "Numbers are stops as visited, black boxes fill visits in their order. Thick, dashed and dotted drives take turns from fill visit to fill visit."
	straight := false
	for _, d := range o.Drives {
		straight = straight || !d.Roads
	}
	if straight {
		text += " A straight line says where to go next, not by which road."
	}
	if o.Credit != "" {
		text += " " + o.Credit
	}
	return e.f.wrap(e.f.face(sizeSmall, false), text, width)
}

func (e *engine) drawOverview(o sheet.Overview, l mapLayout, x, y float64) {
	d := overview{drawing: drawing{e: e, l: l, ox: x, oy: e.pen.h - y - l.h}, o: o}
	e.pen.rect(x, y, l.w, l.h, white, ink, 0.4)
	if l.empty {
		e.pen.text(e.f.face(sizeBody, true), "No places on this map.", x+5, y+10)
		return
	}
	for _, s := range o.Places {
		d.spots = append(d.spots, l.at(s.At))
	}
	for _, w := range o.Drives {
		d.drive(w)
	}
	d.placeTags()
	for _, t := range d.tags {
		d.leader(t)
	}
	for _, t := range d.tags {
		d.tag(t)
	}
}

// drive draws one way, thick for the first fill visit, then dashed, then dotted, with arrow heads.
func (d *overview) drive(w sheet.Drive) {
	pts := d.onPaper(w.Line)
	line, thick := polyline(pts), 0.7
	switch w.Loads % 3 {
	case 2:
		line, thick = line.Dash(0, 3, 1.5), 0.5
	case 0:
		line, thick = line.Dash(0, 0.7, 1.1), 0.6
	}
	d.e.pen.stroke(d.put(line), thick, ink)
	if n := length(pts); n > 6 {
		heads := max(1, math.Floor(n/45))
		for i := 1.0; i <= heads; i++ {
			d.arrow(pts, min(1, i/(heads+1)+1.3/n), 2.6)
		}
	}
}

// placeTags finds each place a spot for its text: on itself, else as near as there is room.
func (d *overview) placeTags() {
	for i, s := range d.o.Places {
		w, h := d.tagSize(s.Text)
		t := tag{text: s.Text, kind: s.Kind, spot: d.spots[i], at: d.inFrame(around(d.spots[i], w, h))}
		for step := 0; step < 16*60 && !d.roomy(t.at); step++ {
			sin, cos := math.Sincos(float64(step%16) * math.Pi / 8)
			out := float64(step/16+1) * 2.5
			aside := around(d.spots[i].Add(canvas.Point{X: cos * (out + w/2), Y: sin * (out + h/2)}), w, h)
			if d.inFrame(aside) == aside {
				t.at = aside
			}
		}
		d.taken = append(d.taken, t.at)
		d.tags = append(d.tags, t)
	}
}

// inFrame moves a rectangle into the frame.
func (d *overview) inFrame(r canvas.Rect) canvas.Rect {
	const rim = 0.8
	dx := max(rim-r.X0, 0) + min(d.l.w-rim-r.X1, 0)
	dy := max(rim-r.Y0, 0) + min(d.l.h-rim-r.Y1, 0)
	return canvas.Rect{X0: r.X0 + dx, Y0: r.Y0 + dy, X1: r.X1 + dx, Y1: r.Y1 + dy}
}

// roomy reports whether a tag there lies on no other.
func (d *overview) roomy(r canvas.Rect) bool {
	const apart = 0.5
	for _, t := range d.taken {
		if r.X0 < t.X1+apart && t.X0 < r.X1+apart && r.Y0 < t.Y1+apart && t.Y0 < r.Y1+apart {
			return false
		}
	}
	return true
}

const tagSize = 9.5 // points

func (d *overview) tagSize(text string) (w, h float64) {
	return d.e.f.width(d.e.f.face(tagSize, true), text) + 2, tagSize*mmPerPoint*0.95 + 1.2
}

// leader ties a tag that stands aside to its place.
func (d *overview) leader(t tag) {
	if t.at.X0 <= t.spot.X && t.spot.X <= t.at.X1 && t.at.Y0 <= t.spot.Y && t.spot.Y <= t.at.Y1 {
		return
	}
	to := canvas.Point{X: min(max(t.spot.X, t.at.X0), t.at.X1), Y: min(max(t.spot.Y, t.at.Y0), t.at.Y1)}
	d.e.pen.stroke(d.put(polyline([]canvas.Point{t.spot, to})), 0.25, ink)
	dot := &canvas.Path{}
	disc(dot, t.spot.X, t.spot.Y, 0.9, 16)
	d.e.pen.fill(d.put(dot), ink)
}

func (d *overview) tag(t tag) {
	back, text, edge := white, ink, 0.3
	switch t.kind {
	case sheet.FillSpot:
		back, text = ink, white
	case sheet.StartSpot:
		edge = 0.9
	}
	x, y := d.ox+t.at.X0, d.e.pen.h-d.oy-t.at.Y1
	d.e.pen.rect(x, y, t.at.X1-t.at.X0, t.at.Y1-t.at.Y0, back, ink, edge)
	d.e.pen.text(d.e.f.colored(tagSize, true, text), t.text, x+1, y+0.6+ascent(tagSize)*0.86)
}

// LayoutOverview puts an overview map of its own, at most so large, on one sheet of its size, ready to be written in any format: width and height are 60 mm to 2 m.
func LayoutOverview(o sheet.Overview, width, height unit.Length) (*Sheets, error) {
	c, err := overviewAlone(o, width, height)
	if err != nil {
		return nil, err
	}
	return &Sheets{title: o.Title, subject: "Overview of the day's drives", pages: []*canvas.Canvas{c}}, nil
}

func overviewAlone(o sheet.Overview, width, height unit.Length) (*canvas.Canvas, error) {
	return alone(width, height, func(e *engine, w float64) []box {
		head := e.overviewHead(o, w)
		e.mapRoom -= height1(head)
		return append(head, e.overviewBlock(o, w)...)
	})
}

// overviewHead is what stands over an overview map of its own: the mark of invented data, and whose day it is.
func (e *engine) overviewHead(o sheet.Overview, width float64) []box {
	var out []box
	if o.Invented {
		out = append(out, box{h: markHeight + 2, glue: true, draw: func(x, y float64) { e.inventedMark(x, y, width) }})
	}
	if lines := e.f.wrap(e.f.face(sizeBody, true), o.Title, width); len(lines) > 0 {
		lines = lines[:min(len(lines), 3)]
		out = append(out, box{h: float64(len(lines))*leading(sizeBody) + 1, glue: true, draw: func(x, y float64) {
			e.lines(e.f.face(sizeBody, true), sizeBody, lines, x, y)
		}})
	}
	return out
}

// extent is what has to be on an overview map.
func overviewExtent(o sheet.Overview) *geom.Bounds {
	b := geom.NewBounds(geom.XY)
	add := func(p geom.Coord) {
		if len(p) >= 2 && finite(p[0]) && finite(p[1]) {
			b.Extend(geom.NewPointFlat(geom.XY, []float64{p[0], p[1]}))
		}
	}
	for _, s := range o.Places {
		add(s.At)
	}
	for _, d := range o.Drives {
		for _, c := range d.Line {
			add(c)
		}
	}
	return b
}
