package crs

import "math"

const degree = math.Pi / 180

// ellipsoid is an ellipsoid of revolution: semi-major axis in metres and flattening.
type ellipsoid struct{ a, f float64 }

// The ellipsoids of the accepted datums (EPSG Dataset v10.076: ellipsoids 7030 and 7019). They differ by 0.1 mm at the
// pole; each projection is computed on its own, so that published coordinates come out to the last digit.
var (
	wgs84 = ellipsoid{6378137, 1 / 298.257223563}
	grs80 = ellipsoid{6378137, 1 / 298.257222101}
)

func (e ellipsoid) ecc() float64 { return math.Sqrt(e.f * (2 - e.f)) }

// conformal takes the tangent of a latitude to the tangent of its conformal latitude; ecc is the eccentricity.
// Formulas 7 to 9 of C. F. F. Karney, Transverse Mercator with an accuracy of a few nanometers, Journal of Geodesy 85 (2011).
func conformal(tau, ecc float64) float64 {
	t1 := math.Hypot(1, tau)
	s := math.Sinh(ecc * math.Atanh(ecc*tau/t1))
	return tau*math.Hypot(1, s) - s*t1
}

// geographic is the inverse of conformal: Newton's method, formulas 19 to 21 of the same paper. It settles in two or
// three steps, each of which squares the error, so that one below 1e-9 is the last; the bound on the steps is a guard only.
func geographic(taup, ecc float64) float64 {
	e2m := 1 - ecc*ecc
	tau := taup / e2m
	if math.Abs(taup) > 70 { // near a pole the other starting value converges (Karney, GeographicLib 2.x, from memory)
		tau = taup * math.Exp(ecc*math.Atanh(ecc))
	}
	for range 8 {
		t := conformal(tau, ecc)
		d := (taup - t) * (1 + e2m*tau*tau) / (e2m * math.Hypot(1, tau) * math.Hypot(1, t))
		tau += d
		if !(math.Abs(d) > 1e-9*math.Max(1, math.Abs(tau))) {
			break
		}
	}
	return tau
}

// turn brings a difference of longitudes, degrees, to -180...180.
func turn(d float64) float64 {
	if d >= -180 && d <= 180 {
		return d
	}
	return math.Remainder(d, 360)
}

func finite(xs ...float64) bool {
	for _, x := range xs {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			return false
		}
	}
	return true
}
