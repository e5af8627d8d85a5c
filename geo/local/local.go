// Package local is the step between degrees and metres: a plane around one property in
// which areas are those of the WGS 84 ellipsoid.
//
// It knows the projection in both directions, for points and polygons. It leaves out set
// operations (geo/overlay), lengths and areas on the ellipsoid (geo/geodesic) and every
// other coordinate reference system.
package local

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
)

// WGS 84: semi-major axis in metres and flattening (NIMA TR8350.2, Department of Defense
// World Geodetic System 1984; from memory).
const (
	semiMajor  = 6378137.0
	flattening = 1 / 298.257223563
	ecc2       = flattening * (2 - flattening)
	degree     = math.Pi / 180
)

// Frame is a plane in metres east and north of a centre: the plane tangent to the
// ellipsoid there (east, north, up, with up left out), stretched outwards by the factor
// 1 + (x2/N2 + y2/M2)/8, N and M being the radii of curvature. That factor gives back the
// area which a tangent plane loses with distance, so that areas agree to second order.
//
// Within 10 km of the centre, for latitudes of up to 70 degrees, areas of outlines with
// edges of at most 100 m are right to 1e-9 of themselves, distances to 4e-7 and a round
// trip to 1e-8 m; at 20 km distances are right to 1.4e-6. Tests hold these bounds.
type Frame struct {
	centre         orb.Point
	lat0, sin, cos float64 // of the centre
	w0, n0, m0     float64 // sqrt(1 - e2 sin2), N and M at the centre
	kx, ky         float64 // 1/(8 N2), 1/(8 M2)
}

// NewFrame is the frame around centre, which must be finite and within 89 degrees of the
// equator: nearer the poles east has no use as a direction.
func NewFrame(centre orb.Point) *Frame {
	f := &Frame{centre: centre, lat0: centre.Lat() * degree}
	f.sin, f.cos = math.Sincos(f.lat0)
	f.w0 = math.Sqrt(1 - ecc2*f.sin*f.sin)
	f.n0 = semiMajor / f.w0
	f.m0 = semiMajor * (1 - ecc2) / (f.w0 * f.w0 * f.w0)
	f.kx, f.ky = 1/(8*f.n0*f.n0), 1/(8*f.m0*f.m0)
	return f
}

// Centre is where the frame touches the ellipsoid; it is the plane's (0, 0).
func (f *Frame) Centre() orb.Point { return f.centre }

// Forward takes a point in degrees to metres east and north of the centre. Longitudes may
// be on the other side of the antimeridian.
func (f *Frame) Forward(p orb.Point) geom.Coord {
	x, y := f.forward(p)
	return geom.Coord{x, y}
}

func (f *Frame) forward(p orb.Point) (x, y float64) {
	t := f.tangent((p.Lat()-f.centre.Lat())*degree, wrap(p.Lon()-f.centre.Lon())*degree)
	q := 1 + t.x*t.x*f.kx + t.y*t.y*f.ky
	return t.x * q, t.y * q
}

// Inverse takes metres back to degrees, longitude in [-180, 180].
func (f *Frame) Inverse(c geom.Coord) orb.Point {
	x, y := c.X(), c.Y()
	for range 4 { // undo the stretch; each round gains a factor of about 1e6 at 10 km
		q := 1 + x*x*f.kx + y*y*f.ky
		x, y = c.X()/q, c.Y()/q
	}
	dphi, dlam := y/f.m0, x/(f.n0*f.cos)
	for range 6 { // Newton; the derivatives are exact
		t := f.tangent(dphi, dlam)
		m := semiMajor * (1 - ecc2) / (t.w * t.w * t.w)
		xp, xl := -m*t.sin*t.sinLam, t.n*t.cos*t.cosLam
		yp, yl := m*(f.cos*t.cos+f.sin*t.sin*t.cosLam), f.sin*t.n*t.cos*t.sinLam
		ex, ey, det := t.x-x, t.y-y, xp*yl-xl*yp
		if det == 0 {
			break
		}
		dp, dl := (ex*yl-xl*ey)/det, (xp*ey-yp*ex)/det
		dphi, dlam = dphi-dp, dlam-dl
		if math.Abs(dp)+math.Abs(dl) < 1e-16 {
			break
		}
	}
	return orb.Point{wrap(f.centre.Lon() + dlam/degree), f.centre.Lat() + dphi/degree}
}

// tangentPoint is a point of the tangent plane with what its derivatives need.
type tangentPoint struct {
	x, y           float64
	sin, cos, w, n float64 // of the point's latitude
	sinLam, cosLam float64
}

// tangent is the east and north of the point that lies dphi, dlam (radians) from the
// centre. Differences are taken before products, so that nothing large cancels: the error
// is 1e-9 m, not the 1e-8 m of subtracting two earth-centred positions.
func (f *Frame) tangent(dphi, dlam float64) (t tangentPoint) {
	lat := f.lat0 + dphi
	t.sin, t.cos = math.Sincos(lat)
	t.w = math.Sqrt(1 - ecc2*t.sin*t.sin)
	t.n = semiMajor / t.w
	t.sinLam, t.cosLam = math.Sincos(dlam)
	half := math.Sin(dlam / 2)
	dsin := 2 * math.Cos(f.lat0+dphi/2) * math.Sin(dphi/2) // sin lat - sin lat0
	dn := semiMajor * ecc2 * dsin * (t.sin + f.sin) / (t.w * f.w0 * (t.w + f.w0))
	t.x = t.n * t.cos * t.sinLam
	t.y = t.n*math.Sin(dphi) - ecc2*f.cos*(t.n*dsin+dn*f.sin) + 2*half*half*f.sin*t.n*t.cos
	return t
}

// wrap brings a longitude or a difference of longitudes into [-180, 180].
func wrap(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}
