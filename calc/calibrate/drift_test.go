package calibrate_test

import (
	"math"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

// By hand: 126 gal for 120 is 5 % more and just accepted, 127 is not; 114 for 120 is 5 % less.
func TestDrift(t *testing.T) {
	for _, tt := range []struct {
		sprayed, planned, want float64
		over                   bool
	}{{126, 120, 1.05, false}, {127, 120, 127.0 / 120, true}, {114, 120, 0.95, false}, {113, 120, 113.0 / 120, true}, {0, 120, 1, false}, {120, 0, 1, false}, {math.NaN(), 1, 1, false}} {
		got, over := calibrate.Drift(unit.Volume(tt.sprayed)*unit.Gallon, unit.Volume(tt.planned)*unit.Gallon)
		if math.Abs(got-tt.want) > 1e-12 || over != tt.over {
			t.Errorf("%v for %v: got %v, %v", tt.sprayed, tt.planned, got, over)
		}
	}
}
