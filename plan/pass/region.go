package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// edge is a directed boundary edge with the turf on its left, metres.
type edge struct{ ax, ay, bx, by float64 }

// region is one connected part of the turf: its edges, ring by ring, each ring's in order.
type region struct {
	edges []edge
	area  float64
}

// axis is a rotated frame: u runs along the passes, v across them to the left.
type axis struct{ c, s float64 }

func (a axis) to(x, y float64) (u, v float64) { return a.c*x + a.s*y, -a.s*x + a.c*y }

func (a axis) from(u, v float64) geom.Coord { return geom.Coord{a.c*u - a.s*v, a.s*u + a.c*v} }

func newAxis(theta float64) axis { s, c := math.Sincos(theta); return axis{c, s} }

// bearing is the compass direction of theta (anticlockwise from east), in [0, 180).
func bearing(theta float64) float64 {
	b := math.Mod(90-theta*180/math.Pi, 180)
	if b < 0 {
		b += 180
	}
	if 180-b < 1e-9 {
		b = 0
	}
	return b
}

// regions splits a multi-polygon into its parts, shells anticlockwise and holes clockwise
// whatever their winding was. The largest part comes first, its shell before its holes, the largest first, and each ring from its most
// western corner on: how they were given is not to show in the plan.
func regions(mp *geom.MultiPolygon) []region {
	if mp == nil {
		return nil
	}
	var out []region
	for i := range mp.NumPolygons() {
		poly := mp.Polygon(i)
		var rings []region
		for k := range poly.NumLinearRings() {
			if r := ringOf(poly.LinearRing(k), k == 0); len(r.edges) > 0 {
				rings = append(rings, r)
			}
		}
		if len(rings) == 0 || rings[0].area <= 0 {
			continue
		}
		slices.SortStableFunc(rings, bySize)
		var r region
		for _, o := range rings {
			r.edges = append(r.edges, o.edges...)
			r.area += o.area
		}
		if r.area > 0 {
			out = append(out, r)
		}
	}
	slices.SortStableFunc(out, bySize)
	return out
}

// bySize puts the larger first; of two that are as large, the one that begins further west, or south.
func bySize(a, b region) int {
	p, q := a.edges[0], b.edges[0]
	return cmp.Or(cmp.Compare(math.Abs(rounded(b.area)), math.Abs(rounded(a.area))), cmp.Compare(p.ax, q.ax), cmp.Compare(p.ay, q.ay))
}

// ringOf is a ring with its area, below zero for a hole; no edges for one without corners.
func ringOf(ring *geom.LinearRing, shell bool) (r region) {
	pts := ring.Coords()
	first := 0
	for i := range pts {
		a, b := pts[i], pts[(i+1)%len(pts)]
		if a[0] == b[0] && a[1] == b[1] {
			continue
		}
		if o := pts[first]; a[0] < o[0] || a[0] == o[0] && a[1] < o[1] {
			first = i
		}
		r.edges = append(r.edges, edge{a[0], a[1], b[0], b[1]})
	}
	if len(r.edges) == 0 {
		return region{}
	}
	if r.measure(); (r.area > 0) != shell {
		slices.Reverse(r.edges) // edges follow each other round the ring
		for i, e := range r.edges {
			r.edges[i] = edge{e.bx, e.by, e.ax, e.ay}
		}
	}
	o := pts[first]
	k := slices.IndexFunc(r.edges, func(e edge) bool { return e.ax == o[0] && e.ay == o[1] })
	r.edges = append(slices.Clone(r.edges[k:]), r.edges[:k]...)
	r.measure()
	return r
}

// measure takes the region's area from its edges, about its first corner, so that it keeps its digits.
func (r *region) measure() {
	o, twice := r.edges[0], 0.0
	for _, e := range r.edges {
		twice += (e.ax-o.ax)*(e.by-o.ay) - (e.bx-o.ax)*(e.ay-o.ay)
	}
	r.area = twice / 2
}

// holds reports whether the point lies in the region; on its edge it may be either.
func (r *region) holds(x, y float64) bool { return encloses(r.edges, x, y) }

// encloses reports whether rings of edges hold a point inside: an odd number of them lies to its right.
func encloses(edges []edge, x, y float64) bool {
	in := false
	for i := range edges {
		e := &edges[i]
		if (e.ay > y) != (e.by > y) && x < e.ax+(y-e.ay)/(e.by-e.ay)*(e.bx-e.ax) {
			in = !in
		}
	}
	return in
}

// rings are the region's rings, each from its first edge on, shells anticlockwise and holes clockwise. A ring that touches itself where it
// begins is two.
func (r *region) rings() (out [][][2]float64) {
	var ring [][2]float64
	for i, e := range r.edges {
		ring = append(ring, [2]float64{e.ax, e.ay})
		if e.bx == ring[0][0] && e.by == ring[0][1] || i+1 == len(r.edges) {
			out, ring = append(out, ring), nil
		}
	}
	return out
}

// level is the edges that reach between y0 and y1: all that count for what is there, and for which of it the region holds.
func (r *region) level(y0, y1 float64) (out region) {
	for _, e := range r.edges {
		if max(e.ay, e.by) >= y0 && min(e.ay, e.by) <= y1 {
			out.edges = append(out.edges, e)
		}
	}
	return out
}

// centroid is the region's centre of area. Sums are taken from its first corner, so that they keep their digits.
func (r *region) centroid() (x, y float64) {
	o := r.edges[0]
	sx, sy, twice := 0.0, 0.0, 0.0
	for _, e := range r.edges {
		ax, ay, bx, by := e.ax-o.ax, e.ay-o.ay, e.bx-o.ax, e.by-o.ay
		c := ax*by - bx*ay
		sx, sy, twice = sx+c*(ax+bx), sy+c*(ay+by), twice+c
	}
	return o.ax + sx/(3*twice), o.ay + sy/(3*twice)
}

// turned is the edges in the axes of a, appended to buf[:0].
func (r *region) turned(a axis, buf []edge) []edge {
	buf = buf[:0]
	for _, e := range r.edges {
		ax, ay := a.to(e.ax, e.ay)
		bx, by := a.to(e.bx, e.by)
		buf = append(buf, edge{ax, ay, bx, by})
	}
	return buf
}

// hull is the convex hull of the region, anticlockwise (monotone chain, Andrew 1979; from memory).
func (r *region) hull() [][2]float64 {
	pts := make([][2]float64, len(r.edges))
	for i, e := range r.edges {
		pts[i] = [2]float64{e.ax, e.ay}
	}
	slices.SortFunc(pts, func(a, b [2]float64) int { return cmp.Or(cmp.Compare(a[0], b[0]), cmp.Compare(a[1], b[1])) })
	var h [][2]float64
	half := func(at int, p [2]float64) {
		for len(h) > at+1 && cross(h[len(h)-2], h[len(h)-1], p) <= 0 {
			h = h[:len(h)-1]
		}
		h = append(h, p)
	}
	for _, p := range pts {
		half(0, p)
	}
	top := len(h) - 1
	for i := len(pts) - 2; i >= 0; i-- {
		half(top, pts[i])
	}
	return h[:len(h)-1]
}

func distance(a, b geom.Coord) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }
