package pass

import "github.com/twpayne/go-geom"

// Swath is the turf that the pass treats, a trapezoid a polygon in walking order, metres: the first and third sides of each run
// along the walk, the second and fourth across it. Slivers that it takes along (below 0.3 m2 each) are not among them.
func (p *Pass) Swath() *geom.MultiPolygon {
	out := geom.NewMultiPolygon(geom.XY)
	for i := range p.legs {
		l := &p.legs[i]
		back := l.line[0].u > l.line[len(l.line)-1].u
		for k := range l.cells {
			c := &l.cells[k]
			if back {
				c = &l.cells[len(l.cells)-1-k]
			}
			var flat []float64
			for _, q := range []point{{c.u0, c.lo0}, {c.u1, c.lo1}, {c.u1, c.hi1}, {c.u0, c.hi0}, {c.u0, c.lo0}} {
				flat = append(flat, l.axis.from(q.u, q.v)...)
			}
			_ = out.Push(geom.NewPolygonFlat(geom.XY, flat, []int{len(flat)})) // all layouts are XY
		}
	}
	return out
}
