package pass

import (
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/pass/ground"
)

// stride is the most metres between the places of a pass at which it is seen over which turf the hose lies.
const stride = 5.0

// hoses is what the hose does for each pass, whatever their order.
type hoses struct {
	g      *ground.Ground
	fields []*ground.Field // one for each place of the truck
	most   []float64       // the longest hose
	far    []geom.Coord    // where that reaches to
	lost   []bool          // no way leads there
	under  [][]int32       // the other passes on whose turf the hose lies
}

// hoses pulls the hose taut to every pass, from the place of the truck that needs the least, and
// fills Pass.Hose and Pass.Truck; nil when no truck is known.
func (w *work) hoses(g *ground.Ground) *hoses {
	if len(w.lawn.Trucks) == 0 {
		return nil
	}
	n := len(w.passes)
	h := &hoses{g: g, most: make([]float64, n), far: make([]geom.Coord, n), lost: make([]bool, n), under: make([][]int32, n)}
	for _, c := range w.lawn.Trucks {
		h.fields = append(h.fields, g.From(c))
	}
	for i := range w.passes {
		p := &w.passes[i]
		h.most[i] = math.Inf(1)
		for k, f := range h.fields {
			if l, at := longest(f, p.Line, h.most[i]); l < h.most[i]-1e-3 {
				h.most[i], h.far[i], p.Truck = l, at, k
			}
		}
		if math.IsInf(h.most[i], 1) { // a yard: as the crow flies
			h.lost[i], h.most[i] = true, 0
			for _, c := range p.Line {
				if d := distance(w.lawn.Trucks[0], c); d >= h.most[i] {
					h.most[i], h.far[i] = d, c
				}
			}
		}
		p.Hose = unit.Length(h.most[i])
	}
	boxes := make([]box, n)
	for i := range w.passes {
		boxes[i] = w.passes[i].box()
	}
	for i := range w.passes {
		if !h.lost[i] {
			h.under[i] = w.under(i, h.fields[w.passes[i].Truck], boxes)
		}
	}
	return h
}

// longest is the longest way to the points of a line and the point that it leads to, within a centimetre; infinite when no way leads to
// some bend of it, and when it is not below most.
func longest(f *ground.Field, line []geom.Coord, most float64) (length float64, at geom.Coord) {
	at = line[0]
	for i := range line {
		l := f.Length(line[i])
		if l >= most {
			return math.Inf(1), at
		}
		if l > length {
			length, at = l, line[i]
		}
	}
	for i := 1; i < len(line); i++ {
		if l, c := f.Most(line[i-1], line[i]); l > length {
			length, at = l, c
		}
	}
	return length, at
}

// under is the other passes on whose turf the taut hose lies for more than half a swath while pass i is walked.
func (w *work) under(i int, f *ground.Field, boxes []box) (out []int32) {
	half := float64(w.setup.Swath) / 2
	var ways [][]geom.Coord
	p := &w.passes[i]
	for k := 1; k < len(p.Line); k++ {
		a, b := p.Line[k-1], p.Line[k]
		n := int(distance(a, b)/stride) + 1
		for s := range n + 1 {
			share := float64(s) / float64(n)
			if way, _, ok := f.To(geom.Coord{a[0] + share*(b[0]-a[0]), a[1] + share*(b[1]-a[1])}); ok && (s > 0 || k == 1) {
				ways = append(ways, way)
			}
		}
	}
	for k := range w.passes {
		if k == i {
			continue
		}
		for _, way := range ways {
			on := 0.0
			for s := 1; s < len(way); s++ {
				if boxes[k].meets(way[s-1], way[s]) {
					on += w.passes[k].over(way[s-1], way[s])
				}
			}
			if on > half {
				out = append(out, int32(k))
				break
			}
		}
	}
	return out
}

// box is a rectangle round something.
type box struct{ x0, y0, x1, y1 float64 }

// meets reports whether a line may touch the box: it leaves out those that pass beside it.
func (b *box) meets(p, q geom.Coord) bool {
	if max(p[0], q[0]) < b.x0 || min(p[0], q[0]) > b.x1 || max(p[1], q[1]) < b.y0 || min(p[1], q[1]) > b.y1 {
		return false
	}
	dx, dy := q[0]-p[0], q[1]-p[1]
	left, right := false, false
	for _, c := range [4][2]float64{{b.x0, b.y0}, {b.x1, b.y0}, {b.x0, b.y1}, {b.x1, b.y1}} {
		side := dx*(c[1]-p[1]) - dy*(c[0]-p[0])
		left, right = left || side >= 0, right || side <= 0
	}
	return left && right
}

// box is a rectangle round the turf of the pass.
func (p *Pass) box() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := range p.legs {
		a := p.legs[i].axis
		for _, c := range p.legs[i].cells {
			for _, q := range [4]geom.Coord{a.from(c.u0, c.lo0), a.from(c.u0, c.hi0), a.from(c.u1, c.lo1), a.from(c.u1, c.hi1)} {
				b = box{min(b.x0, q[0]), min(b.y0, q[1]), max(b.x1, q[0]), max(b.y1, q[1])}
			}
		}
	}
	return b
}

// over is how much of the line from a to b lies on the turf of the pass.
func (p *Pass) over(a, b geom.Coord) (l float64) {
	for i := range p.legs {
		leg := &p.legs[i]
		au, av := leg.axis.to(a[0], a[1])
		bu, bv := leg.axis.to(b[0], b[1])
		for k := range leg.cells {
			l += leg.cells[k].share(au, av, bu, bv)
		}
	}
	return l * distance(a, b)
}

// share is how much of a line lies in the cell, 0 to 1: what is left of it between its four sides.
func (c *cell) share(au, av, bu, bv float64) float64 {
	from, to := 0.0, 1.0
	keep := func(a, b float64) { // depths of both ends within a side
		switch {
		case a < 0 && b < 0:
			to = -1
		case a < 0:
			from = max(from, a/(a-b))
		case b < 0:
			to = min(to, a/(a-b))
		}
	}
	keep(au-c.u0, bu-c.u0)
	keep(c.u1-au, c.u1-bu)
	if w := c.u1 - c.u0; to > from && w > 0 {
		lo, hi := (c.lo1-c.lo0)/w, (c.hi1-c.hi0)/w
		keep(av-c.lo0-lo*(au-c.u0), bv-c.lo0-lo*(bu-c.u0))
		keep(c.hi0+hi*(au-c.u0)-av, c.hi0+hi*(bu-c.u0)-bv)
	}
	return max(to-from, 0)
}
