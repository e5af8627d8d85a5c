package pass

import "math"

// What there is to know of points, lines and rings in the plane, metres. A ring is its corners, without the first again at the end.

// cross is above zero where b lies to the left of the line from o to a: twice the triangle's area.
func cross(o, a, b [2]float64) float64 {
	return (a[0]-o[0])*(b[1]-o[1]) - (a[1]-o[1])*(b[0]-o[0])
}

func dist2(a, b [2]float64) float64 { return math.Hypot(b[0]-a[0], b[1]-a[1]) }

// unitFrom is the direction from a to b, which must differ.
func unitFrom(a, b [2]float64) [2]float64 {
	l := dist2(a, b)
	return [2]float64{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
}

// onto is the point of the line a-b nearest to p, as a share of it, and how far away it is; a share of 0 of a line without length.
func onto(a, b, p [2]float64) (share, d float64) {
	dx, dy := b[0]-a[0], b[1]-a[1]
	if l := dx*dx + dy*dy; l > 0 {
		share = min(max(((p[0]-a[0])*dx+(p[1]-a[1])*dy)/l, 0), 1)
	}
	return share, math.Hypot(a[0]+share*dx-p[0], a[1]+share*dy-p[1])
}

// meets reports whether the lines p-q and a-b have a point in common.
func meets(p, q, a, b [2]float64) bool {
	return cross(p, q, a)*cross(p, q, b) <= 0 && cross(a, b, p)*cross(a, b, q) <= 0
}

// inRing reports whether p lies in the ring; on its edge it may be either.
func inRing(ring [][2]float64, p [2]float64) bool {
	in := false
	for i, a := range ring {
		b := ring[(i+1)%len(ring)]
		if (a[1] > p[1]) != (b[1] > p[1]) && p[0] < a[0]+(p[1]-a[1])/(b[1]-a[1])*(b[0]-a[0]) {
			in = !in
		}
	}
	return in
}

// centroid of the ring's area, and twice that area; taken from its first corner, so that it loses no digits far from
// the frame's origin.
func centroid(ring [][2]float64) (c [2]float64, twice float64) {
	o := ring[0]
	for k, p := range ring {
		q := ring[(k+1)%len(ring)]
		z := cross(o, p, q)
		twice += z
		c[0] += z * (p[0] + q[0] - 2*o[0])
		c[1] += z * (p[1] + q[1] - 2*o[1])
	}
	if twice == 0 {
		return o, 0
	}
	return [2]float64{o[0] + c[0]/(3*twice), o[1] + c[1]/(3*twice)}, twice
}

// extentOf is the range of the ring's corners in a direction.
func extentOf(ring [][2]float64, d [2]float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range ring {
		x := p[0]*d[0] + p[1]*d[1]
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}

// edgesOf is the ring's edges that have a length.
func edgesOf(ring [][2]float64) []edge {
	var out []edge
	for k, p := range ring {
		if q := ring[(k+1)%len(ring)]; p != q {
			out = append(out, edge{p[0], p[1], q[0], q[1]})
		}
	}
	return out
}
