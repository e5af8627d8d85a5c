package geodesic

import (
	"math"

	"tankful/calc/unit"
)

// What Area leaves out: it measures on the ellipsoid, near sea level and flat. The two
// factors turn its areas into those of ground that is high or tilted. Neither is part of
// any other figure of this package.

// MeanRadius is the mean radius of curvature sqrt(M N) of WGS 84 at a latitude in degrees:
// 6,357 km at the equator to 6,400 km at the poles.
func MeanRadius(lat float64) unit.Length {
	s := math.Sin(lat * degree)
	return unit.Length(math.Sqrt(semiMinor2) / (1 - ecc2*s*s))
}

// ElevationFactor is level ground at a height above the ellipsoid over its area on the
// ellipsoid, (1 + h/R)^2 with the mean radius R at the latitude in degrees: 1.0005 at
// 1,600 m. Height above sea level may stand in for h: the two differ by at most about 110 m,
// 0.0035 % of area. It is the square of the elevation factor of surveying, inverted
// (J. E. Stem, State Plane Coordinate System of 1983, NOAA Manual NOS NGS 5, 1989, section
// 4.2; from memory). Heights of -500 m to 9,000 m are sensible; none is refused.
func ElevationFactor(h unit.Length, lat float64) float64 {
	f := 1 + float64(h/MeanRadius(lat))
	return f * f
}

// SlopeFactor is the area of an evenly sloping surface over its area on a map,
// sqrt(1 + s^2), with the slope s as rise over run: 0.1 for a slope of 10 %, 1.005. The
// direction and the sign of the slope do not matter (arithmetic: the secant of the angle).
func SlopeFactor(s float64) float64 { return math.Hypot(1, s) }
