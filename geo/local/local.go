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
	eccPrime2  = ecc2 / (1 - ecc2)
	degree     = math.Pi / 180
)

// Frame is a plane in metres east and north of a centre: the plane tangent to the
// ellipsoid there (east, north, up, with up left out), stretched outwards by the factor
// 1 + (x2/N2 + y2/M2)/8, N and M being the radii of curvature. That factor gives back the
// area which a tangent plane loses with distance, so that areas agree to second order.
//
// What was measured, worst of latitudes from -70 to 70 and of all directions; areas against
// the area with geodesic edges (geo/geodesic), distances against Karney's algorithm. Areas
// are of squares, hexagons and L shapes so far across around the centre: first with their few
// long edges as they are, which the plane makes straight, then with edges cut at 100 m along
// the geodesic. Distances are between points no farther from the centre than the first figure.
//
//	metres    area     edges cut   distance
//	   100    3e-11      2e-11          -
//	   600    6e-10      3e-11        1e-9
//	 1,000    2e-9       3e-11        3e-9
//	 2,000    6e-9       3e-11      1.1e-8
//	 5,000    4e-8       6e-11        7e-8
//	10,000  1.5e-7       5e-11        3e-7
//	20,000    6e-7       4e-11      1.1e-6
//
// The tests hold these: area to 1e-9 for sites up to 600 m across, or up to 20 km with edges
// cut; distances to 1e-8 within 1 km; and a round trip to 1e-8 m within 200 km. A lawn of
// 100 m that lies 10 km from the centre has its area to 5e-10, at 20 km to 1e-9.
type Frame struct {
	centre   orb.Point
	sin, cos float64 // of the centre's latitude
	w0, n0   float64 // sqrt(1 - e2 sin2) and N at the centre
	kx, ky   float64 // 1/(8 N2), 1/(8 M2)
}

// NewFrame is the frame around centre, which must be finite and within 89 degrees of the
// equator: nearer the poles east has no use as a direction.
func NewFrame(centre orb.Point) *Frame {
	f := &Frame{centre: centre}
	f.sin, f.cos = math.Sincos(centre.Lat() * degree)
	f.w0 = math.Sqrt(1 - ecc2*f.sin*f.sin)
	f.n0 = semiMajor / f.w0
	m0 := semiMajor * (1 - ecc2) / (f.w0 * f.w0 * f.w0)
	f.kx, f.ky = 1/(8*f.n0*f.n0), 1/(8*m0*m0)
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
	x, y = f.tangent((p.Lat()-f.centre.Lat())*degree, wrap(p.Lon()-f.centre.Lon())*degree)
	q := 1 + x*x*f.kx + y*y*f.ky
	return x * q, y * q
}

// tangent is the east and north of the point that lies dphi, dlam (radians) from the
// centre. Differences are taken before products, so that nothing large cancels: the error
// is 1e-9 m, not the 1e-8 m of subtracting two earth-centred positions.
func (f *Frame) tangent(dphi, dlam float64) (x, y float64) {
	sinPhi, verPhi := turn(dphi)
	sinLam, verLam := turn(dlam)
	dsin := f.cos*sinPhi - f.sin*verPhi // sin lat - sin lat0
	sin, cos := f.sin+dsin, f.cos-(f.sin*sinPhi+f.cos*verPhi)
	w := math.Sqrt(1 - ecc2*sin*sin)
	n := semiMajor / w
	dn := n * ecc2 * dsin * (sin + f.sin) / (f.w0 * (w + f.w0)) // N - N0
	x = n * cos * sinLam
	y = n*sinPhi - ecc2*f.cos*(n*dsin+dn*f.sin) + verLam*f.sin*n*cos
	return x, y
}

// turn is sin(d) and 1 - cos(d): by series to the last bit up to 0.01 radians, 64 km, which
// is where frames are used.
func turn(d float64) (sin, versine float64) {
	if math.Abs(d) > 0.01 {
		half := math.Sin(d / 2)
		return math.Sin(d), 2 * half * half
	}
	d2 := d * d
	return d * (1 - d2*(1.0/6)*(1-d2*(1.0/20)*(1-d2*(1.0/42)))),
		d2 / 2 * (1 - d2*(1.0/12)*(1-d2*(1.0/30)))
}

// Inverse takes metres back to degrees, longitude in [-180, 180]. It is in closed form but
// for the stretch. Metres that are beyond the edge of the Earth seen from above the centre
// go to that edge.
func (f *Frame) Inverse(c geom.Coord) orb.Point {
	x, y := c.X(), c.Y()
	q := 1 + unstretch(x*x*f.kx+y*y*f.ky)
	x, y = x/q, y/q
	// The point u above the tangent plane (below: u < 0) is on the ellipsoid where
	// a u2 + 2 b u + c = 0; then dlam and dphi are angles between vectors that are formed
	// relative to the centre, so that, as in tangent, nothing large cancels.
	s2, c2, sc := f.sin*f.sin, f.cos*f.cos, f.sin*f.cos
	a := c2 + s2/(1-ecc2)
	b := f.n0 + y*sc*eccPrime2
	k := s2 + c2/(1-ecc2)
	r := x*x + y*y*k
	u := -r / (b + math.Sqrt(max(b*b-a*r, 0)))
	out := f.n0*f.cos - y*f.sin + u*f.cos // from the axis, in the centre's meridian plane
	axis := math.Hypot(x, out)
	away := axis - out
	if out > 0 {
		away = x * x / (axis + out)
	}
	north := y*k + u*sc*eccPrime2 - f.sin*away
	up := b + u*a + f.cos*away
	dphi, dlam := math.Atan2(north, up), math.Atan2(x, out)
	return orb.Point{wrap(f.centre.Lon() + dlam/degree), f.centre.Lat() + dphi/degree}
}

// unstretch is the g for which g (1 + g)^2 = s, s >= 0.
func unstretch(s float64) float64 {
	if s <= 1e-5 { // 57 km; the next term is -30 s^4
		return s * (1 - s*(2-7*s))
	}
	g := min(s, math.Cbrt(s)) // Newton comes down from there
	for range 10 {
		g -= (g*(1+g)*(1+g) - s) / ((1 + g) * (1 + 3*g))
	}
	return g
}

// wrap brings a longitude or a difference of longitudes into [-180, 180].
func wrap(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}
