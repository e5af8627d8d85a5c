package draw

import (
	"image/color"
	"math"

	"github.com/tdewolff/canvas"

	"tankful/plan/sheet"
)

// A pass number may be left out when at most this share of those wanted does not fit; more
// than that, and only every second, fifth, tenth ... pass is numbered.
const mayDrop = 0.1

// Turf narrower than this on paper, in millimetres, has its numbers beside it, where they do
// not hide it.
const narrow = 6.0

// label is a pass number on its halo, in the frame's millimetres.
type label struct {
	n    int
	text string
	at   canvas.Rect
	size float64
	// into is how far along its pass a number stands, in millimetres; 0 beside it.
	into float64
	// from is where a number that stands beside the turf belongs.
	from   canvas.Point
	beside bool
}

// placeLabels reserves room for the marks, then numbers the passes: the first, the last
// and every k-th, k as small as keeps the numbers apart. The keys are indices of passes.
func (d *drawing) placeLabels() map[int]label {
	d.marks(false)
	for _, n := range d.names {
		d.taken = append(d.taken, n.at)
	}
	d.placeNames()
	marks := len(d.taken)
	for _, k := range []int{1, 2, 5, 10, 20, 50, 100, 1 << 30} {
		d.taken = d.taken[:marks]
		shown, wanted := map[int]label{}, 0
		for i, p := range d.m.Passes {
			if p.N == d.start && d.startNamed() {
				shown[i] = label{n: p.N} // the start mark carries the number
				continue
			}
			if i == 0 || i == len(d.m.Passes)-1 || p.N%k == 0 {
				wanted++
				if l, ok := d.place(p); ok {
					d.taken = append(d.taken, l.at)
					shown[i] = l
				}
			}
		}
		if float64(wanted-len(shown)) <= mayDrop*float64(wanted)+1 {
			return shown
		}
	}
	return nil
}

// place finds room for the number of a pass: beside narrow turf; else a little way into the
// pass, so that neighbours that end where it begins stay clear, and off ground that is left
// out when there is such a place near.
func (d *drawing) place(p sheet.MapPass) (label, bool) {
	pts := make([]canvas.Point, len(p.Line))
	for i, c := range p.Line {
		pts[i] = d.l.at(c)
	}
	l := label{n: p.N, text: p.Label(), size: 8.5}
	if d.besideTurf(&l, pts) {
		return l, true
	}
	if d.spacing() < 3.2 {
		l.size = 7
	}
	w, h := d.labelSize(l)
	var found label
	for _, more := range []float64{0, 2, 4} {
		into := min(w/2+0.8+more, length(pts)/2)
		at, _ := pointAt(pts, into)
		l.at, l.into = around(at, w, h), into
		switch {
		case !d.free(l.at):
		case !touches(l.at, d.leftOut):
			return l, true
		case found.n == 0:
			found = l
		}
	}
	return found, found.n != 0
}

// startNamed reports whether a mark stands where the first pass begins.
func (d *drawing) startNamed() bool {
	for _, m := range d.m.Marks {
		if m.Kind == sheet.AtStart {
			return true
		}
	}
	return false
}

func (d *drawing) labelSize(l label) (w, h float64) {
	return d.e.f.width(d.e.f.face(l.size, true), l.text) + 0.8, l.size * mmPerPoint * 0.95
}

func around(c canvas.Point, w, h float64) canvas.Rect {
	return canvas.Rect{X0: c.X - w/2, Y0: c.Y - h/2, X1: c.X + w/2, Y1: c.Y + h/2}
}

// besideTurf puts a number next to its pass's beginning, clear of all ground on the map,
// where the turf is narrow there.
func (d *drawing) besideTurf(l *label, pts []canvas.Point) bool {
	const step = 0.25
	at, dir := pointAt(pts, min(1.2, length(pts)/2))
	side := canvas.Point{X: -dir.Y, Y: dir.X}
	var out [2]float64 // to the edge of the turf, to the left and to the right
	for i, sign := range []float64{1, -1} {
		for out[i] < narrow && within(d.turf, at.X+sign*out[i]*side.X, at.Y+sign*out[i]*side.Y) {
			out[i] += step
		}
	}
	if out[0]+out[1] > narrow {
		return false
	}
	signs := []float64{1, -1}
	if out[1] < out[0] {
		signs = []float64{-1, 1}
	}
	w, h := d.labelSize(*l)
	half := math.Abs(side.X)*w/2 + math.Abs(side.Y)*h/2
	for far := half; far < half+0.75*narrow; far += step {
		for _, sign := range signs {
			r := around(at.Add(side.Mul(sign*far)), w, h)
			if d.free(r) && d.clear(r) {
				l.at, l.from, l.beside = r, at, true
				return true
			}
		}
	}
	return false
}

// clear reports whether a rectangle lies off turf and off ground that is left out.
func (d *drawing) clear(r canvas.Rect) bool { return !touches(r, d.turf) && !touches(r, d.leftOut) }

// touches reports whether a rectangle the size of a label lies on rings: whether one of its
// points on a fine grid, or a corner of a ring, is in the other.
func touches(r canvas.Rect, rings [][]canvas.Point) bool {
	const n = 4
	for i := range n + 1 {
		for j := range n + 1 {
			if within(rings, r.X0+(r.X1-r.X0)*float64(i)/n, r.Y0+(r.Y1-r.Y0)*float64(j)/n) {
				return true
			}
		}
	}
	for _, ring := range rings {
		for _, p := range ring {
			if p.X > r.X0 && p.X < r.X1 && p.Y > r.Y0 && p.Y < r.Y1 {
				return true
			}
		}
	}
	return false
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

func (d *drawing) drawLabels(shown map[int]label) {
	for i := range d.m.Passes {
		l, ok := shown[i]
		if !ok || l.text == "" {
			continue
		}
		if l.beside {
			line := &canvas.Path{}
			line.MoveTo(l.from.X, l.from.Y)
			line.LineTo((l.at.X0+l.at.X1)/2, (l.at.Y0+l.at.Y1)/2)
			d.e.pen.stroke(d.put(line), 0.2, ink)
		}
		d.halo(l)
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
	taken := d.taken
	d.taken = nil
	d.marks(true)
	d.taken = taken
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

// beside finds room for a text next to a mark: right, left, above, below, further out; off
// the ground when there is such room near the mark.
func (d *drawing) beside(p canvas.Point, w, h float64) canvas.Rect {
	const near = 6.0
	var first, free canvas.Rect
	for far := markSize + 0.6; far < 16; far += 2.5 {
		for _, c := range []canvas.Point{
			{X: p.X + far + w/2, Y: p.Y}, {X: p.X - far - w/2, Y: p.Y}, {X: p.X, Y: p.Y + far + h/2}, {X: p.X, Y: p.Y - far - h/2},
			{X: p.X + far + w/2, Y: p.Y + far}, {X: p.X - far - w/2, Y: p.Y + far}, {X: p.X + far + w/2, Y: p.Y - far}, {X: p.X - far - w/2, Y: p.Y - far},
		} {
			r := canvas.Rect{X0: c.X - w/2, Y0: c.Y - h/2, X1: c.X + w/2, Y1: c.Y + h/2}
			if first == (canvas.Rect{}) {
				first = r
			}
			switch {
			case !d.free(r):
			case d.clear(r) || far >= near:
				return r
			case free == (canvas.Rect{}):
				free = r
			}
		}
		if far+2.5 >= near && free != (canvas.Rect{}) {
			return free
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
		disc(p, 0, 0, s*0.85, 24)
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
