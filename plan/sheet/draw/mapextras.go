package draw

import (
	"math"
	"strings"

	"github.com/tdewolff/canvas"

	"tankful/calc/unit"
	"tankful/plan/sheet"
)

// dimensionSize is the type of lengths of edges, in points: lighter and smaller than the numbers of passes.
const dimensionSize = 7.5

// hoseDash is how the reach of the hose is drawn: a long dash, a dot.
var hoseDash = []float64{3, 1, 0.6, 1}

// placeDimensions finds room for the lengths of the main edges, outside the turf beside their middles and clear of everything else; those
// that find none are left out.
func (d *drawing) placeDimensions() (out []label) {
	for _, e := range d.m.Edges {
		a, b := d.l.at(e.From), d.l.at(e.To)
		if b.Sub(a).Length() < 8 {
			continue
		}
		o := d.l.at(e.Out).Sub(d.l.at([]float64{0, 0}))
		o = o.Mul(1 / o.Length())
		l := label{text: e.Text, size: dimensionSize}
		w, h := d.e.f.width(d.e.f.face(l.size, false), l.text)+0.8, l.size*mmPerPoint*0.95
		off := math.Abs(o.X)*w/2 + math.Abs(o.Y)*h/2 + 0.9
		for _, share := range []float64{0.5, 0.4, 0.6, 0.3, 0.7} {
			c := canvas.Point{X: a.X + (b.X-a.X)*share, Y: a.Y + (b.Y-a.Y)*share}
			l.at = around(c.Add(o.Mul(off)), w, h)
			if d.free(l.at) && d.clear(l.at) {
				d.taken = append(d.taken, l.at)
				out = append(out, l)
				break
			}
		}
	}
	return out
}

func (d *drawing) drawDimensions(list []label) {
	face := d.e.f.face(dimensionSize, false)
	for _, l := range list {
		d.e.pen.text(face, l.text, d.ox+l.at.X0+0.4, d.e.pen.h-d.oy-l.at.Y0-0.5)
	}
}

func hasTruck(m sheet.Map) bool {
	for _, k := range m.Marks {
		if k.Kind == sheet.AtTruck {
			return true
		}
	}
	return false
}

// hose draws how far the hose goes straight from each place of the truck, where that is on the map; round what stands in its way it goes less far.
func (d *drawing) hose() {
	if d.m.Hose <= 0 {
		return
	}
	r := d.m.Hose.In(unit.Metre) * d.l.perMetre()
	for _, k := range d.m.Marks {
		if k.Kind != sheet.AtTruck {
			continue
		}
		c := d.l.at(k.At)
		const corners = 360
		var piece []canvas.Point
		flush := func() {
			if len(piece) > 1 {
				d.e.pen.stroke(d.put(polyline(piece).Dash(0, hoseDash...)), 0.35, ink)
			}
			piece = nil
		}
		for i := range corners + 1 {
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / corners)
			p := canvas.Point{X: c.X + r*cos, Y: c.Y + r*sin}
			if !d.l.inside(p) {
				flush()
				continue
			}
			piece = append(piece, p)
		}
		flush()
	}
}

// zones draws where one zone ends and another begins.
func (d *drawing) zones() {
	for _, z := range d.m.Zones {
		for _, ring := range d.l.rings(z.Shape) {
			d.e.pen.stroke(d.put(polyline(append(ring, ring[0])).Dash(0, 2, 1.2)), 0.3, ink)
		}
	}
}

// placeNames finds room for the names of zones inside them, as far from their edges as may be.
func (d *drawing) placeNames() {
	for _, z := range d.m.Zones {
		l := label{text: d.e.f.clip(d.e.f.face(9, true), strings.ToUpper(z.Name), 40), size: 9}
		w, h := d.labelSize(l)
		rings := d.l.rings(z.Shape)
		b := bounds(rings)
		best := -1.0
		const n = 12
		for i := range n * n {
			c := canvas.Point{X: b.X0 + (b.X1-b.X0)*(float64(i%n)+0.5)/n, Y: b.Y0 + (b.Y1-b.Y0)*(float64(i/n)+0.5)/n}
			r := around(c, w, h)
			if !within(rings, c.X, c.Y) || !d.free(r) || touches(r, d.leftOut) {
				continue
			}
			if far := clearance(rings, c); far > best {
				best, l.at = far, r
			}
		}
		if best >= 0 {
			d.taken = append(d.taken, l.at)
			d.names = append(d.names, l)
		}
	}
}

func (d *drawing) drawNames() {
	for _, l := range d.names {
		d.halo(l)
	}
}

func bounds(rings [][]canvas.Point) canvas.Rect {
	b := canvas.Rect{X0: math.Inf(1), Y0: math.Inf(1), X1: math.Inf(-1), Y1: math.Inf(-1)}
	for _, r := range rings {
		for _, p := range r {
			b = canvas.Rect{X0: min(b.X0, p.X), Y0: min(b.Y0, p.Y), X1: max(b.X1, p.X), Y1: max(b.Y1, p.Y)}
		}
	}
	return b
}

// clearance is how far a point is from the nearest edge of rings.
func clearance(rings [][]canvas.Point, c canvas.Point) float64 {
	best := math.Inf(1)
	for _, r := range rings {
		for i, a := range r {
			ab := r[(i+1)%len(r)].Sub(a)
			t := 0.0
			if n := ab.Dot(ab); n > 0 {
				t = min(max(c.Sub(a).Dot(ab)/n, 0), 1)
			}
			best = min(best, c.Sub(a.Add(ab.Mul(t))).Length())
		}
	}
	return best
}
