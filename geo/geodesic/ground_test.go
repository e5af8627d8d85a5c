package geodesic_test

import (
	"math"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// Percentages by arithmetic: twice 1,600 over 6,371,000; sqrt(1.01), sqrt(1.04), sqrt(1.1089).
func TestGroundFactors(t *testing.T) {
	for _, c := range []struct {
		name            string
		factor, percent float64
		decimals        int
	}{
		{"1,600 m up", geodesic.ElevationFactor(1600*unit.Metre, 45), 0.050, 3},
		{"sea level", geodesic.ElevationFactor(0, 45), 0, 15},
		{"430 m below", geodesic.ElevationFactor(-430*unit.Metre, 31), -0.0135, 4},
		{"slope 10 %", geodesic.SlopeFactor(0.10), 0.5, 1},
		{"slope 20 %", geodesic.SlopeFactor(0.20), 2.0, 1},
		{"slope 33 %", geodesic.SlopeFactor(0.33), 5.3, 1},
		{"falling 33 %", geodesic.SlopeFactor(-0.33), 5.3, 1},
		{"3 in 4, a 3-4-5 triangle", geodesic.SlopeFactor(0.75), 25, 12},
		{"flat", geodesic.SlopeFactor(0), 0, 15},
	} {
		got := (c.factor - 1) * 100
		if tol := 0.5 * math.Pow10(-c.decimals); !(math.Abs(got-c.percent) <= tol) {
			t.Errorf("%s: got %+.6f %%, want %+.*f %%", c.name, got, c.decimals, c.percent)
		}
	}
}

// Radii of curvature of WGS 84: b at the equator (sqrt(M N) = b), a^2/b at a pole
// (NIMA TR8350.2: b = 6,356,752.3142 m, polar radius of curvature 6,399,593.6258 m; from
// memory).
func TestMeanRadius(t *testing.T) {
	for lat, want := range map[float64]float64{0: 6356752.3142, 90: 6399593.6258, -90: 6399593.6258} {
		if got := float64(geodesic.MeanRadius(lat)); math.Abs(got-want) > 1e-3 {
			t.Errorf("at %v: got %.4f m, want %.4f", lat, got, want)
		}
	}
}
