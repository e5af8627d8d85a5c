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
	radius   float64 // of the parallel: N cos(latitude), metres
}

// shortArea is the signed area and the length of a ring of short geodesic edges, at least
// two corners, open; ok is false when an edge or a latitude is beyond the limits.
//
// The area is the boundary integral of -w dlam, where w(lat) = integral of M N cos(lat) is
// the area of a strip one radian wide (the authalic ordinate: J. P. Snyder, Map Projections:
// A Working Manual, USGS Professional Paper 1395, 1987, equation 3-12 expanded in sin(lat);
// from memory). It is taken relative to the first corner, so that the large areas towards
// the equator, which cost the general algorithm its digits on a small lawn, never arise.
// Chords in (lam, w) are corrected for the bulge of the geodesic by the cubic through both
// ends with the geodesic's directions there (Gauss's mid-latitude formulas; our derivation).
func shortArea(r orb.Ring) (area, length float64, ok bool) {
	base := newOrigin(r[0])
	if math.Abs(r[0].Lat()) > highestShortLat {
		return 0, 0, false
	}
	var sum kahan
	first := base.vertex(r[0])
	p := first
	for i := 1; i <= len(r); i++ {
		q := first
		if i < len(r) {
			if math.Abs(r[i].Lat()) > highestShortLat {
				return 0, 0, false
			}
			q = base.vertex(r[i])
		}
		e := newEdge(p, q)
		if !(e.length <= longestShortEdge) {
			return 0, 0, false
		}
		length += e.length
		sum.add(-(p.w + q.w) * (q.lam - p.lam) / 2)
		sum.add(e.bulge(p, q))
		p = q
	}
	return sum.total, length, true
}

// origin is the first corner with the powers of its sine.
type origin struct {
	lon, lat float64
	sinPow   [2*terms - 1]float64
}

// terms of the series of w; the next one is below 1e-17.
const terms = 9

// seriesOfW are the coefficients (k+1)/(2k+1) e^2k of sin(lat)^(2k+1), over b2.
var seriesOfW = func() (g [terms]float64) {
	e := 1.0
	for k := range g {
		g[k] = float64(k+1) / float64(2*k+1) * e
		e *= ecc2
	}
	return g
}()

func newOrigin(p orb.Point) *origin {
	o := &origin{lon: p.Lon(), lat: p.Lat()}
	s := math.Sin(o.lat * degree)
	o.sinPow[0] = 1
	for i := 1; i < len(o.sinPow); i++ {
		o.sinPow[i] = o.sinPow[i-1] * s
	}
	return o
}

func (o *origin) vertex(p orb.Point) (v vertex) {
	v.phi = (p.Lat() - o.lat) * degree
	v.lam = wrap(p.Lon()-o.lon) * degree
	v.sin, v.cos = math.Sincos(p.Lat() * degree)
	// sin^n - sin0^n = (sin - sin0) h(n-1), h(n) the sum of all sin^i sin0^(n-i).
	dsin := 2 * math.Cos((p.Lat()+o.lat)*degree/2) * math.Sin(v.phi/2)
	h, sum := 1.0, seriesOfW[0]
	for k := 1; k < terms; k++ {
		h = v.sin*h + o.sinPow[2*k-1]
		h = v.sin*h + o.sinPow[2*k]
		sum += seriesOfW[k] * h
	}
	v.w = semiMinor2 * dsin * sum
	v.radius = semiMajor * v.cos / math.Sqrt(1-ecc2*v.sin*v.sin)
	return v
}

// edge is a geodesic by its length and by its easting and northing at both ends, metres.
type edge struct {
	length        float64
	east0, north0 float64
	east1, north1 float64
}

func newEdge(p, q vertex) (e edge) {
	dlam, dphi := q.lam-p.lam, q.phi-p.phi
	k := (1 + dphi*dphi/8) / 2
	sin, cos := (p.sin+q.sin)*k, (p.cos+q.cos)*k // of the mid latitude, to (length/radius)^2
	w2 := 1 - ecc2*sin*sin
	n := semiMajor / math.Sqrt(w2)
	m := n * (1 - ecc2) / w2
	l2 := dlam * dlam
	east := n * cos * dlam * (1 - l2*sin*sin/24 + dphi*dphi/24)
	north := m * dphi * (1 - l2*cos*cos/12 - l2*sin*sin/8)
	e.length = math.Sqrt(east*east + north*north)
	half := dlam * sin / 2 // half the change of azimuth
	c := 1 - half*half/2
	e.east0, e.north0 = east*c-north*half, north*c+east*half
	e.east1, e.north1 = east*c+north*half, north*c-east*half
	return e
}

// bulge is the signed area between the geodesic and its chord in (lam, w), from the cubic
// Hermite curve: 0.1 D x (T1 - T0) - T0 x T1 / 60 with the chord D and end tangents T.
func (e *edge) bulge(p, q vertex) float64 {
	x0, y0 := e.east0/p.radius, p.radius*e.north0
	x1, y1 := e.east1/q.radius, q.radius*e.north1
	dlam, dw := q.lam-p.lam, q.w-p.w
	return 0.1*(dlam*(y1-y0)-dw*(x1-x0)) - (x0*y1-y0*x1)/60
}

// kahan is a compensated sum.
type kahan struct{ total, lost float64 }

func (k *kahan) add(x float64) {
	y := x - k.lost
	t := k.total + y
	k.lost = (t - k.total) - y
	k.total = t
}
