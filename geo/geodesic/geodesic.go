// Package geodesic measures on the WGS 84 ellipsoid: areas and perimeters of rings,
// distances, and the cutting of long edges.
//
// It knows degrees in and square metres and metres out. It leaves out planes (geo/local),
// validity and overlap of rings (geo/overlay): a ring that crosses itself gets the signed
// sum of its loops here.
package geodesic

import (
	"math"

	"github.com/paulmach/orb"
	karney "github.com/tidwall/geodesic"

	"tankful/calc/unit"
)

// WGS 84, as in geo/local.
const (
	semiMajor  = 6378137.0
	flattening = 1 / 298.257223563
	ecc2       = flattening * (2 - flattening)
	semiMinor2 = semiMajor * semiMajor * (1 - ecc2)
	ecc        = 0.0818191908426214957 // sqrt(ecc2)
	degree     = math.Pi / 180
)

// Where the short-edge formula ends: beyond either limit its error passes 1e-9.
const (
	longestShortEdge = 10_000.0 // metres
	// longestConverging bounds an edge times the tangent of its latitude, metres: it is how
	// fast the meridians close in along it. 10 km at 56 degrees, 5.5 km at 70, 1.3 km at 85.
	longestConverging = 15_000.0
)

// Area is the area of a ring with geodesic edges, never negative, and its perimeter. The
// ring may be open, of either winding, and may cross the antimeridian. Fewer than 3 points
// give zero area and the length of going there and back; a ring round a pole gives the
// smaller of its two sides (see HoldsPole).
//
// Edges of up to 10 km below 56 degrees of latitude, shorter ones towards the poles (5.5 km
// at 70, 1.3 km at 85): area to 1e-9 of itself plus 1e-6 m2, perimeter to 1e-9, against the
// quad-precision GeographicLib figures of the reference set (the tests). A ring with any
// longer edge: Karney's algorithm in double precision, area to about 2e-3 m2.
func Area(r orb.Ring) (unit.Area, unit.Length) {
	a, l := SignedArea(r)
	return unit.Area(math.Abs(float64(a))), l
}

// SignedArea is Area with the sign of the winding: counter-clockwise is positive.
func SignedArea(r orb.Ring) (unit.Area, unit.Length) {
	if n := len(r); n > 1 && r[0] == r[n-1] {
		r = r[:n-1]
	}
	if len(r) < 2 {
		return 0, 0
	}
	a, l, ok := shortArea(r)
	if !ok {
		a, l = longArea(r)
	}
	if len(r) < 3 {
		a = 0
	}
	return unit.Area(a), unit.Length(l)
}

// MultiPolygon is the area of polygons that do not overlap, shells less holes, and the
// length of all their rings.
func MultiPolygon(mp orb.MultiPolygon) (unit.Area, unit.Length) {
	var area unit.Area
	var length unit.Length
	for _, p := range mp {
		for i, r := range p {
			a, l := Area(r)
			if i > 0 {
				a = -a
			}
			area, length = area+a, length+l
		}
	}
	return area, length
}

// Distance is the geodesic distance between two points.
func Distance(a, b orb.Point) unit.Length {
	var s float64
	karney.WGS84.Inverse(a.Lat(), a.Lon(), b.Lat(), b.Lon(), &s, nil, nil)
	return unit.Length(s)
}

func longArea(r orb.Ring) (area, length float64) {
	p := karney.WGS84.PolygonInit(false)
	for _, pt := range r {
		p.AddPoint(pt.Lat(), pt.Lon())
	}
	p.Compute(false, true, &area, &length)
	return area, length
}

// wrap brings a difference of longitudes into [-180, 180].
func wrap(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}
