package draw

import (
	"fmt"
	"image/color"

	"github.com/tdewolff/canvas"

	"tankful/plan/sheet"
)

// A pass number may be left out when at most this share of those wanted does not fit; more
// than that, and only every second, fifth, tenth ... pass is numbered.
const mayDrop = 0.1

// label is a pass number on its halo, in the frame's millimetres.
type label struct {
	n    int
	text string
	at   canvas.Rect
	size float64
}

// placeLabels reserves room for the marks, then numbers the passes: the first, the last
// and every k-th, k as small as keeps the numbers apart.
func (d *drawing) placeLabels() map[int]bool {
	d.marks(false)
	marks := len(d.taken)
	for _, k := range []int{1, 2, 5, 10, 20, 50, 100, 1 << 30} {
		d.taken = d.taken[:marks]
		shown, wanted := map[int]bool{}, 0
		for i, p := range d.m.Passes {
			if i == 0 || i == len(d.m.Passes)-1 || p.N%k == 0 {
				wanted++
				if l := d.label(p); d.free(l.at) {
					d.taken = append(d.taken, l.at)
					shown[p.N] = true
				}
			}
		}
		if float64(wanted-len(shown)) <= mayDrop*float64(wanted)+1 {
			return shown
		}
	}
	return nil
}

// label is the number of a pass a little way into it, so that neighbours that end where it
// begins stay clear.
func (d *drawing) label(p sheet.MapPass) label {
	l := label{n: p.N, text: fmt.Sprint(p.N), size: 8.5}
	if d.spacing() < 3.2 {
		l.size = 7
	}
	pts := make([]canvas.Point, len(p.Line))
	for i, c := range p.Line {
		pts[i] = d.l.at(c)
	}
	w := d.e.f.width(d.e.f.face(l.size, true), l.text) + 0.8
	h := l.size * mmPerPoint * 0.95
	at, _ := pointAt(pts, min(w/2+0.8, length(pts)/2))
	l.at = canvas.Rect{X0: at.X - w/2, Y0: at.Y - h/2, X1: at.X + w/2, Y1: at.Y + h/2}
	return l
}

// free reports whether a label would lie in the frame and on no other.
func (d *drawing) free(r canvas.Rect) bool {
	if r.X0 < 0.5 || r.Y0 < 0.5 || r.X1 > d.l.w-0.5 || r.Y1 > d.l.h-0.5 {
		return false
	}
	for _, t := range d.taken {
		if r.X0 < t.X1 && t.X0 < r.X1 && r.Y0 < t.Y1 && t.Y0 < r.Y1 {
			return false
		}
	}
	return true
}

func (d *drawing) drawLabels(shown map[int]bool) {
	for _, p := range d.m.Passes {
		if shown[p.N] {
			d.halo(d.label(p))
		}
	}
}

// halo writes a text on white.
func (d *drawing) halo(l label) {
	x, top := d.ox+l.at.X0, d.e.pen.h-d.oy-l.at.Y1
	w, h := l.at.X1-l.at.X0, l.at.Y1-l.at.Y0
	d.e.pen.rect(x, top, w, h, white, color.NRGBA{}, 0)
	d.e.pen.text(d.e.f.face(l.size, true), l.text, x+0.4, top+h/2+l.size*mmPerPoint*0.36)
}

const markSize = 1.8 // mm, half the width of a mark

func (d *drawing) drawMarks() {
	d.taken = nil
	d.marks(true)
}

// marks places every mark with its text beside it, and draws it when asked to. A mark
// beyond the frame stands at the frame's edge and says so.
func (d *drawing) marks(show bool) {
	var at []canvas.Point
	texts := make([]string, len(d.m.Marks))
	for i, k := range d.m.Marks {
		p := d.l.at(k.At)
		texts[i] = k.Text
		if !d.l.inside(p) {
			texts[i] += " (beyond the map)"
		}
		p.X = min(max(p.X, markSize+1), d.l.w-markSize-1)
		p.Y = min(max(p.Y, markSize+1), d.l.h-markSize-1)
		at = append(at, p)
		d.taken = append(d.taken, canvas.Rect{X0: p.X - markSize, Y0: p.Y - markSize, X1: p.X + markSize, Y1: p.Y + markSize})
	}
	const size = 9.0
	for i := range d.m.Marks {
		w := d.e.f.width(d.e.f.face(size, true), d.e.f.clean(texts[i])) + 0.8
		h := size * mmPerPoint
		r := d.beside(at[i], w, h)
		d.taken = append(d.taken, r)
		if show {
			d.e.mark(d.m.Marks[i].Kind, d.ox+at[i].X, d.oy+at[i].Y)
			d.halo(label{text: texts[i], at: r, size: size})
		}
	}
}

// beside finds room for a text next to a mark: right, left, above, below, further out.
func (d *drawing) beside(p canvas.Point, w, h float64) canvas.Rect {
	var first canvas.Rect
	for far := markSize + 0.6; far < 16; far += 2.5 {
		for _, c := range []canvas.Point{
			{X: p.X + far + w/2, Y: p.Y}, {X: p.X - far - w/2, Y: p.Y}, {X: p.X, Y: p.Y + far + h/2}, {X: p.X, Y: p.Y - far - h/2},
			{X: p.X + far + w/2, Y: p.Y + far}, {X: p.X - far - w/2, Y: p.Y + far}, {X: p.X + far + w/2, Y: p.Y - far}, {X: p.X - far - w/2, Y: p.Y - far},
		} {
			r := canvas.Rect{X0: c.X - w/2, Y0: c.Y - h/2, X1: c.X + w/2, Y1: c.Y + h/2}
			if first == (canvas.Rect{}) {
				first = r
			}
			if d.free(r) {
				return r
			}
		}
	}
	return first
}

// mark draws a mark's shape at a point of the page, from the bottom left.
func (e *engine) mark(k sheet.MarkKind, x, y float64) {
	p := &canvas.Path{}
	const s = markSize
	switch k {
	case sheet.AtStart:
		p = canvas.Circle(s * 0.85)
	case sheet.AtTruck:
		p = canvas.Rectangle(2*s, 1.3*s).Translate(-s, -0.65*s)
	default:
		p.MoveTo(0, s*1.2)
		p.LineTo(-s*1.2, 0)
		p.LineTo(0, -s*1.2)
		p.LineTo(s*1.2, 0)
		p.Close()
		e.pen.fill(p.Copy().Translate(x, y), white)
		e.pen.stroke(p.Translate(x, y), 0.7, ink)
		return
	}
	p = p.Translate(x, y)
	e.pen.stroke(p, 0.8, white)
	e.pen.fill(p, ink)
}
