package draw

import (
	"math"
	"strings"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/sheet"
)

// legendBox is what stands under a map.
type legendBox struct {
	h    float64
	draw func(l mapLayout, x, y float64)
}

// legendItem is a sample and its name.
type legendItem struct {
	name   string
	sample func(x, y, w, h float64) // top left corner of the sample
}

const (
	sampleW, sampleH = 8.0, 4.2
	barHeight        = 10.0
)

// legend lists what occurs on the map, in rows that fit the width, under the scale bar.
func (e *engine) legend(m sheet.Map, width float64) legendBox {
	items := e.legendItems(m)
	face := e.f.face(sizeSmall, false)
	type spot struct{ x, y float64 }
	spots := make([]spot, len(items))
	x, y := 0.0, 0.0
	for i, it := range items {
		items[i].name = e.f.clip(face, it.name, width-sampleW-1.5)
		w := sampleW + 1.5 + e.f.width(face, items[i].name) + 4
		if x+w > width+4 && x > 0 {
			x, y = 0, y+sampleH+1.6
		}
		spots[i] = spot{x, y}
		x += w
	}
	return legendBox{h: barHeight + y + sampleH + 1, draw: func(l mapLayout, left, top float64) {
		e.scaleLine(m.Units, l, left, top)
		for i, it := range items {
			sx, sy := left+spots[i].x, top+barHeight+spots[i].y
			it.sample(sx, sy, sampleW, sampleH)
			e.pen.text(face, it.name, sx+sampleW+1.5, sy+sampleH/2+1.05)
		}
	}}
}

func (e *engine) legendItems(m sheet.Map) []legendItem {
	turf := "Turf to spray"
	if len(m.Passes) == 0 {
		turf = "Turf"
	}
	if m.Spread {
		turf = "Turf to spread"
	}
	items := []legendItem{{turf, func(x, y, w, h float64) { e.pen.rect(x, y, w, h, paleTurf, ink, 0.5) }}}
	for _, g := range m.LeftOut {
		items = append(items, legendItem{g.Label, func(x, y, w, h float64) { e.sampleGround(g.Surface, x, y, w, h) }})
	}
	straight, touch, off, walk := false, false, false, false
	for _, p := range m.Passes {
		straight, touch = straight || !p.TouchUp, touch || p.TouchUp
		off, walk = off || len(p.Off) > 0, walk || len(p.Way) > 1
	}
	if straight {
		items = append(items, legendItem{"Pass, numbered at its start (some only, where close)", e.samplePass(sheet.MapPass{}, false)},
			legendItem{"First pass", e.samplePass(sheet.MapPass{}, true)})
	}
	if touch {
		items = append(items, legendItem{"Touch-up", e.samplePass(sheet.MapPass{TouchUp: true}, false)})
	}
	if off {
		items = append(items, legendItem{"Gun shut", e.samplePass(sheet.MapPass{Off: [][2]unit.Length{{2 * unit.Metre, 5 * unit.Metre}}}, false)})
	}
	if walk {
		items = append(items, legendItem{"Walk without spraying", e.sampleWay})
	}
	for _, p := range m.Passes {
		if p.Beyond {
			items = append(items, legendItem{"Beyond the hose", func(x, y, w, h float64) { e.pen.text(e.f.face(8.5, true), "9!", x+1.5, y+h-1) }})
			break
		}
	}
	if m.Hose > 0 && hasTruck(m) {
		items = append(items, legendItem{"Hose, straight from the truck: " + m.Units.Length(m.Hose), func(x, y, w, h float64) {
			e.pen.stroke(polyline([]canvas.Point{{X: x, Y: e.pen.h - y - h/2}, {X: x + w, Y: e.pen.h - y - h/2}}).Dash(0, hoseDash...), 0.35, ink)
		}})
	}
	if len(m.Edges) > 0 {
		items = append(items, legendItem{"Length of an edge", func(x, y, w, h float64) {
			_, name, _ := strings.Cut(m.Edges[0].Text, " ")
			e.pen.text(e.f.face(dimensionSize, false), "... "+name, x, y+h-1)
		}})
	}
	return items // marks and laps have their names beside them
}

func (e *engine) sampleGround(s geo.Surface, x, y, w, h float64) {
	d := drawing{e: e, ox: x, oy: e.pen.h - y - h}
	d.ground(s, [][]canvas.Point{{{X: 0, Y: 0}, {X: w, Y: 0}, {X: w, Y: h}, {X: 0, Y: h}}})
}

// sample is a drawing at 1:1000, at which a metre is a millimetre, in a frame without size, which has its origin at 0, 0.
func (e *engine) sample(x, y, h float64) *drawing {
	return &drawing{e: e, m: sheet.Map{Swath: 4 * unit.Metre}, l: mapLayout{scale: 1000}, ox: x, oy: e.pen.h - y - h}
}

func (e *engine) samplePass(p sheet.MapPass, first bool) func(x, y, w, h float64) {
	return func(x, y, w, h float64) {
		p.Line = []geom.Coord{{0, h / 2}, {w, h / 2}}
		e.sample(x, y, h).pass(p, true, first, 0)
	}
}

func (e *engine) sampleWay(x, y, w, h float64) {
	e.sample(x, y, h).way([]geom.Coord{{0, h / 2}, {w, h / 2}})
}

// scaleLine draws the scale bar with its figures, the scale in words and the north arrow.
func (e *engine) scaleLine(units unit.System, l mapLayout, x, y float64) {
	if l.empty {
		return
	}
	b := l.scaleBar(units)
	face := e.f.face(sizeSmall, false)
	for i := range b.parts {
		fill := white
		if i%2 == 0 {
			fill = ink
		}
		e.pen.rect(x+float64(i)*b.mm, y+0.5, b.mm, 1.8, fill, ink, 0.25)
	}
	per := b.step.In(b.one)
	e.pen.text(face, "0", x, y+6)
	end := x
	for i := 1; i <= b.parts; i++ {
		s := number(float64(i) * per)
		at := x + float64(i)*b.mm
		if i == b.parts {
			e.pen.text(face, s+" "+b.unit, at-e.f.width(face, s)/2, y+6)
			end = at + e.f.width(face, s+" "+b.unit)
		} else if b.mm > e.f.width(face, s)+3 {
			e.pen.text(face, s, at-e.f.width(face, s)/2, y+6)
		}
	}
	words := e.f.face(10, true)
	for _, s := range []string{l.scaleText(units) + " printed full size", l.scaleText(units)} {
		if end+6+e.f.width(words, s) < x+l.w-18 {
			e.pen.text(words, s, end+6, y+4.2)
			break
		}
	}
	e.north(x+l.w-10, y+4.2, l.turn)
}

func number(x float64) string {
	for places := range 2 {
		if s := unit.Number(x, places); math.Abs(x-unit.Round(x, math.Pow10(-places))) < 1e-6 {
			return s
		}
	}
	return unit.Number(x, 2)
}

// north draws the arrow with its middle at x, y, turned as the ground is; the letter stays upright beside it.
func (e *engine) north(x, y, turn float64) {
	p := &canvas.Path{}
	p.MoveTo(0, 3.6)
	p.LineTo(-2.2, -3.2)
	p.LineTo(0, -1.6)
	p.LineTo(2.2, -3.2)
	p.Close()
	e.pen.fill(p.Transform(canvas.Identity.Rotate(turn*180/math.Pi)).Translate(x, e.pen.h-y), ink)
	e.pen.text(e.f.face(11, true), "N", x+4.6, y+1.5)
}
