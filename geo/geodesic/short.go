package geodesic

import (
	"math"

	"github.com/paulmach/orb"
)

// vertex is a corner seen from the ring's first corner.
type vertex struct {
	phi, lam float64 // latitude and longitude less those of the first corner, radians
	w        float64 // authalic ordinate less that of the first corner, m2 per radian
	sin, cos float64 // of the latitude
	k        float64 // 1/sqrt(1 - e2 sin2): the radius of curvature N over the semi-major axis
	radius   float64 // of the parallel: N cos(latitude), metres
}

// shortArea is the signed area and the length of a ring of short geodesic edges, at least
// two corners, open; ok is false when an edge is beyond the limits.
//
// The area is the boundary integral of -w dlam, where w(lat) = integral of M N cos(lat) is
// the area of a strip one radian wide (the authalic ordinate: J. P. Snyder, Map Projections:
// A Working Manual, USGS Professional Paper 1395, 1987, equation 3-12; from memory). It is
// taken relative to the first corner, so that the large areas towards the equator, which
// cost the general algorithm its digits on a small lawn, never arise. Chords in (lam, w) are
// corrected for the bulge of the geodesic by the cubic through both ends with the geodesic's
// directions there (Gauss's mid-latitude formulas; our derivation).
//
// Speed comes from the first corner too: sines are taken once a ring, and turned to the
// other corners by a short series.
func shortArea(r orb.Ring) (area, length float64, ok bool) {
	o := newOrigin(r[0])
	var sum compensated
	// Corners are filled in place and passed by address: copying one costs as much as
	// forming it, as the copy waits for all its parts.
	var first vertex
	var others [2]vertex // the ends of an edge in turn
	o.vertex(r[0], &first)
	p := &first
	for i := 1; i <= len(r); i++ {
		q := &first
		if i < len(r) {
			q = &others[i&1]
			o.vertex(r[i], q)
		}
		l, a := edge(p, q)
		if !(l <= longestShortEdge && l*math.Abs(p.sin) <= longestConverging*p.cos) {
			return 0, 0, false
		}
		length += l
		sum.add(a)
		p = q
	}
	return sum.total + sum.lost, length, true
}

// origin is the first corner.
type origin struct {
	lon, lat float64 // degrees
	phi      float64 // radians
	sin, cos float64
	k2       float64 // 1/(1 - e2 sin2)
}

func newOrigin(p orb.Point) (o origin) {
	o.lon, o.lat, o.phi = p.Lon(), p.Lat(), p.Lat()*degree
	o.sin, o.cos = math.Sincos(o.phi)
	o.k2 = 1 / (1 - ecc2*o.sin*o.sin)
	return o
}

func (o *origin) vertex(p orb.Point, v *vertex) {
	v.phi = (p.Lat() - o.lat) * degree
	v.lam = wrap(p.Lon()-o.lon) * degree
	// sin(lat) - sin(lat of the origin), and the area of a strip between them. Differences
	// are formed before products so that nothing large cancels.
	dsin, small := 0.0, math.Abs(v.phi) <= smallTurn
	if small {
		s, c := turn(v.phi)
		dsin = o.cos*s - o.sin*c
		v.sin, v.cos = o.sin+dsin, o.cos-(o.sin*s+o.cos*c)
	} else {
		v.sin, v.cos = math.Sincos(p.Lat() * degree)
		dsin = 2 * math.Cos(o.phi+v.phi/2) * math.Sin(v.phi/2)
	}
	v.k = 1 / math.Sqrt(1-ecc2*v.sin*v.sin)
	v.radius = semiMajor * v.cos * v.k
	// w = b2/2 (sin k2 + atanh(e sin)/e), and the difference of two of them in closed form.
	ss := ecc2 * v.sin * o.sin
	x := dsin / (1 - ss) // atanh(e x) is the difference of the two atanh
	arc := 0.0
	if small {
		z := ecc2 * x * x
		arc = x * (1 + z*(1.0/3+z*(1.0/5)))
	} else {
		arc = math.Atanh(ecc*x) / ecc
	}
	v.w = semiMinor2 / 2 * (dsin*(1+ss)*v.k*v.k*o.k2 + arc)
}

// smallTurn is the angle in radians, 64 km of a meridian, up to which turn is exact to the
// last bit and three terms of atanh(e x) to 1e-15.
const smallTurn = 0.01

// turn is sin(d) and cos(d) - 1 with its sign changed, of a small angle.
func turn(d float64) (sin, versine float64) {
	d2 := d * d
	return d * (1 - d2*(1.0/6)*(1-d2*(1.0/20)*(1-d2*(1.0/42)))),
		d2 / 2 * (1 - d2*(1.0/12)*(1-d2*(1.0/30)))
}

// edge is the length of the geodesic between two corners and the area between it and the
// parallel of the first corner, negative going east.
func edge(p, q *vertex) (length, area float64) {
	dlam, dphi, dw := q.lam-p.lam, q.phi-p.phi, q.w-p.w
	l2, p2 := dlam*dlam, dphi*dphi
	// Means of both ends, brought to the mid latitude: right to (length/radius)^4.
	half := 0.5 + p2/16
	sin, cos := (p.sin+q.sin)*half, (p.cos+q.cos)*half
	s2, c2 := sin*sin, cos*cos
	k := (p.k+q.k)/2 - ecc2/8*p2*(c2-s2)
	east := semiMajor * k * cos * dlam * (1 - (l2*s2-p2)*(1.0/24))
	north := semiMajor * (1 - ecc2) * k * k * k * dphi * (1 - l2*(2*c2+3*s2)*(1.0/24))
	// Easting and northing at both ends are those in the middle, turned by half the change
	// of azimuth; over the radius and times it they are the directions in (lam, w).
	turned := dlam * sin / 2
	c := 1 - turned*turned/2
	x0, y0 := (east*c-north*turned)/p.radius, (north*c+east*turned)*p.radius
	x1, y1 := (east*c+north*turned)/q.radius, (north*c-east*turned)*q.radius
	// The cubic Hermite curve lies 0.1 D x (T1 - T0) - T0 x T1 / 60 off its chord D.
	bulge := 0.1*(dlam*(y1-y0)-dw*(x1-x0)) - (x0*y1-y0*x1)*(1.0/60)
	return math.Sqrt(east*east + north*north), bulge - (p.w+q.w)*dlam/2
}

// compensated is a sum with what rounding lost from it (D. E. Knuth, The Art of Computer
// Programming, volume 2, theorem 4.2.2B; from memory). Only the total waits for itself,
// which makes it faster than Kahan's sum.
type compensated struct{ total, lost float64 }

func (s *compensated) add(x float64) {
	t := s.total + x
	z := t - s.total
	s.lost += (s.total - (t - z)) + (x - z)
	s.total = t
}
