package draw

import (
	"math"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/sheet"
)

// mapLayout is where a map's ground lies on paper: metres to millimetres from the lower
// left corner of its frame.
type mapLayout struct {
	scale  int // 300 for 1:300
	w, h   float64
	cx, cy float64 // the ground at the middle of the frame
	// turn is how far the ground is turned counter-clockwise on paper, in radians; 0 is north up.
	turn  float64
	empty bool
}

const (
	mapEdge  = 6.0  // mm of ground kept free inside the frame, for labels
	leastMap = 45.0 // mm, least height of a frame
)

// layoutMap takes the first scale at which turf and passes fit into a frame of width w and
// at most height h; the frame is then no higher than needed. North is up, but where turning the ground makes the map larger by a
// quarter at least.
func layoutMap(m sheet.Map, w, h float64) mapLayout {
	up := layoutGround(extent(m, 0), m.Scales, w, h)
	best, least := up, math.Inf(1)
	for deg := -90 + turnStep; deg <= 90; deg += turnStep {
		turn := float64(deg) * math.Pi / 180
		b := extent(m, turn)
		l := layoutGround(b, m.Scales, w, h)
		l.turn = turn
		// Of turns of one scale the one whose box is the smallest stands along the paper; boxes that differ by less than a per cent are alike.
		box := (b.Max(0) - b.Min(0)) * (b.Max(1) - b.Min(1))
		tighter := l.scale == best.scale && best.turn != 0 && (box < 0.99*least || box < 1.01*least && math.Abs(turn) < math.Abs(best.turn))
		if !l.empty && (l.scale < best.scale || tighter) {
			best, least = l, box
		}
	}
	if float64(best.scale)*1.25 > float64(up.scale) {
		return up
	}
	// The middle of the turned ground, turned back.
	sin, cos := math.Sincos(-best.turn)
	best.cx, best.cy = best.cx*cos-best.cy*sin, best.cx*sin+best.cy*cos
	return best
}

// turnStep is the step in which directions of a map are tried, in degrees.
const turnStep = 5

func layoutGround(b *geom.Bounds, scales []int, w, h float64) mapLayout {
	if b.IsEmpty() {
		return mapLayout{empty: true, w: w, h: leastMap, scale: 1}
	}
	gw, gh := b.Max(0)-b.Min(0), b.Max(1)-b.Min(1)
	fits := func(s int) bool {
		k := 1000 / float64(s)
		return gw*k+2*mapEdge <= w && gh*k+2*mapEdge <= h
	}
	scale := 0
	for _, s := range scales {
		if fits(s) {
			scale = s
			break
		}
	}
	for s := 1; scale == 0; s *= 10 { // ground beyond the list: 1, 2 or 5 times a power of ten
		for _, k := range []int{1, 2, 5} {
			if scale == 0 && fits(k*s) || k*s >= 1e9 {
				scale = k * s
				break
			}
		}
	}
	l := mapLayout{scale: scale, w: w, cx: (b.Min(0) + b.Max(0)) / 2, cy: (b.Min(1) + b.Max(1)) / 2}
	l.h = min(h, max(leastMap, gh*l.perMetre()+2*mapEdge))
	return l
}

// extent is what has to be on the map: turf, passes, and the truck when it stands near, turned by so many radians about the origin.
func extent(m sheet.Map, turn float64) *geom.Bounds {
	sin, cos := math.Sincos(turn)
	b := geom.NewBounds(geom.XY)
	flat := []float64{0, 0}
	point := geom.NewPointFlat(geom.XY, flat)
	turned := func(p geom.Coord) geom.Coord { return geom.Coord{p[0]*cos - p[1]*sin, p[0]*sin + p[1]*cos} }
	add := func(p geom.Coord) {
		if len(p) >= 2 && finite(p[0]) && finite(p[1]) {
			flat[0], flat[1] = p[0]*cos-p[1]*sin, p[0]*sin+p[1]*cos
			b.Extend(point)
		}
	}
	if m.Turf != nil {
		for i := range m.Turf.NumPolygons() {
			for _, p := range m.Turf.Polygon(i).LinearRing(0).Coords() {
				add(p)
			}
		}
	}
	for _, p := range m.Passes {
		for _, c := range p.Line {
			add(c)
		}
	}
	for _, k := range m.Marks {
		if k.Kind == sheet.AtTruck && !b.IsEmpty() && len(k.At) >= 2 && near(b, turned(k.At)) {
			add(k.At)
		}
	}
	return b
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// near reports whether p is within a third of the ground's own size, or 15 m, of it.
func near(b *geom.Bounds, p geom.Coord) bool {
	reach := max(15, (b.Max(0)-b.Min(0)+b.Max(1)-b.Min(1))/6)
	return len(p) >= 2 && p[0] > b.Min(0)-reach && p[0] < b.Max(0)+reach && p[1] > b.Min(1)-reach && p[1] < b.Max(1)+reach
}

// perMetre is millimetres of paper for a metre of ground.
func (l mapLayout) perMetre() float64 { return 1000 / float64(l.scale) }

func (l mapLayout) at(p geom.Coord) canvas.Point {
	k := l.perMetre()
	x, y := (p[0]-l.cx)*k, (p[1]-l.cy)*k
	if l.turn != 0 {
		sin, cos := math.Sincos(l.turn)
		x, y = x*cos-y*sin, x*sin+y*cos
	}
	return canvas.Point{X: l.w/2 + x, Y: l.h/2 + y}
}

// inside reports whether a point on paper is within the frame.
func (l mapLayout) inside(p canvas.Point) bool {
	return p.X >= 0 && p.X <= l.w && p.Y >= 0 && p.Y <= l.h
}

// rings are a shape's rings on paper, cut at the frame, shells counter-clockwise and holes
// clockwise, last point not repeated.
func (l mapLayout) rings(mp *geom.MultiPolygon) [][]canvas.Point {
	var out [][]canvas.Point
	if mp == nil {
		return nil
	}
	for i := range mp.NumPolygons() {
		poly := mp.Polygon(i)
		for j := range poly.NumLinearRings() {
			var ring []canvas.Point
			for _, p := range poly.LinearRing(j).Coords() {
				if finite(p[0]) && finite(p[1]) {
					ring = append(ring, l.at(p))
				}
			}
			if n := len(ring); n > 1 && ring[0] == ring[n-1] {
				ring = ring[:n-1]
			}
			ring = l.cut(ring)
			if len(ring) < 3 {
				continue
			}
			if a := area(ring); a < 0 == (j == 0) {
				for x, y := 0, len(ring)-1; x < y; x, y = x+1, y-1 {
					ring[x], ring[y] = ring[y], ring[x]
				}
			}
			out = append(out, ring)
		}
	}
	return out
}

// area is the signed area of a ring, positive when it runs counter-clockwise.
func area(ring []canvas.Point) float64 {
	s := 0.0
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		s += (p.X-ring[0].X)*(q.Y-ring[0].Y) - (q.X-ring[0].X)*(p.Y-ring[0].Y)
	}
	return s / 2
}

// cut keeps the part of a ring within the frame (Sutherland and Hodgman, 1974).
func (l mapLayout) cut(ring []canvas.Point) []canvas.Point {
	sides := []func(p canvas.Point) float64{
		func(p canvas.Point) float64 { return p.X },
		func(p canvas.Point) float64 { return l.w - p.X },
		func(p canvas.Point) float64 { return p.Y },
		func(p canvas.Point) float64 { return l.h - p.Y },
	}
	for _, in := range sides {
		var out []canvas.Point
		for i, p := range ring {
			q := ring[(i+1)%len(ring)]
			dp, dq := in(p), in(q)
			if dp >= 0 {
				out = append(out, p)
			}
			if dp >= 0 != (dq >= 0) {
				t := dp / (dp - dq)
				out = append(out, canvas.Point{X: p.X + (q.X-p.X)*t, Y: p.Y + (q.Y-p.Y)*t})
			}
		}
		ring = out
	}
	return ring
}

func pathOf(rings [][]canvas.Point) *canvas.Path {
	p := &canvas.Path{}
	for _, r := range rings {
		p.MoveTo(r[0].X, r[0].Y)
		for _, q := range r[1:] {
			p.LineTo(q.X, q.Y)
		}
		p.Close()
	}
	return p
}

// farScale is the scale beyond which a bar counts miles or kilometres.
const farScale = 10_000

// bar is the scale bar: parts equal steps of a round length in the user's units.
type bar struct {
	step  unit.Length
	one   unit.Length // of its unit
	parts int
	unit  string
	mm    float64 // of one part on paper
}

// scaleBar chooses a bar of 30 to 75 mm.
func (l mapLayout) scaleBar(u unit.System) bar {
	b := bar{parts: 4, unit: "ft", one: unit.Foot}
	least := 1.0
	switch far := l.scale > farScale; {
	case far && u == unit.Metric:
		b.one, b.unit, least = unit.Kilometre, "km", 0.1
	case u == unit.Metric:
		b.one, b.unit = unit.Metre, "m"
	case far:
		b.one, b.unit, least = unit.Mile, "mi", 0.1
	}
	for k := least; k < 1e7; k *= 10 {
		for _, n := range []float64{1, 2, 2.5, 5} {
			if n == 2.5 && k == least {
				continue
			}
			b.step = unit.Length(n*k) * b.one
			b.mm = b.step.In(unit.Metre) * l.perMetre()
			if b.mm*float64(b.parts) >= 30 {
				for b.mm*float64(b.parts) > 75 && b.parts > 1 {
					b.parts--
				}
				return b
			}
		}
	}
	return b
}

// scaleText names the scale: "1 in = 25 ft (1:300)", "1:250".
func (l mapLayout) scaleText(u unit.System) string {
	s := "1:" + unit.Number(float64(l.scale), 0)
	if u == unit.US && l.scale%12 == 0 && l.scale <= farScale {
		return "1 in = " + unit.Number(float64(l.scale)/12, 0) + " ft (" + s + ")"
	}
	return s
}
