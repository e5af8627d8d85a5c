package unit_test

import (
	"math"
	"testing"

	"tankful/calc/unit"
)

func TestSizes(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		x               float64
		positive, sound bool
	}{{1, true, true}, {1e-300, true, true}, {0, false, true}, {-1, false, false}, {nan, false, false}, {inf, false, false}, {-inf, false, false}} {
		if p, s := unit.Positive(unit.Length(c.x)), unit.Sound(unit.Length(c.x)); p != c.positive || s != c.sound {
			t.Errorf("%v: got %v, %v", c.x, p, s)
		}
	}
	for x, want := range map[unit.Mass]bool{2: false, 2 * (1 + 5e-10): false, 2 * (1 + 2e-9): true, 1: false, unit.Mass(nan): false, unit.Mass(inf): true} {
		if got := unit.Exceeds(x, 2*unit.Kilogram); got != want {
			t.Errorf("%v over 2 kg: got %v", x, got)
		}
	}
}

func TestPercents(t *testing.T) {
	for _, c := range []struct {
		share        float64
		decimals     int
		text, signed string
	}{{0.032, 1, "3.2 %", "+3.2 %"}, {-0.06, 1, "-6.0 %", "-6.0 %"}, {0.0004, 1, "0.0 %", "0.0 %"}, {-0.0004, 1, "0.0 %", "0.0 %"}, {0.05, 0, "5 %", "+5 %"}, {12.5, 0, "1,250 %", "+1,250 %"}} {
		if got := unit.Percent(c.share, c.decimals); got != c.text {
			t.Errorf("%v: got %q, want %q", c.share, got, c.text)
		}
		if got := unit.SignedPercent(c.share, c.decimals); got != c.signed {
			t.Errorf("%v: got %q, want %q", c.share, got, c.signed)
		}
	}
}

// The printers and roundings that amounts and strengths share.
func TestSharedPrinters(t *testing.T) {
	for x, want := range map[float64]string{4.5: "4.50", 0.18365: "0.1837", 12: "12.00", 1.5625: "1.563", 0: "0.00"} {
		if got := unit.Short(x); got != want {
			t.Errorf("%v: got %s, want %s", x, got, want)
		}
	}
	if got := unit.US.BothDensities(10.65 * unit.PoundPerGallon); got != "10.65 lb/gal (1.276 kg/L)" {
		t.Error(got)
	}
	if got := unit.Metric.BothDensities(10.65 * unit.PoundPerGallon); got != "1.276 kg/L (10.65 lb/gal)" {
		t.Error(got)
	}
	for _, s := range []unit.System{unit.US, unit.Metric} {
		if v := s.LiquidStep(); math.Abs(float64(s.RoundLiquid(v)/v-1)) > 1e-12 || s.RoundLiquid(v*0.4) != 0 || math.Abs(float64(s.RoundLiquid(v*1.6)/v-2)) > 1e-12 {
			t.Errorf("%s: the step of a liquid is not what is rounded to", s)
		}
		if m := s.MassStep(); math.Abs(float64(s.RoundMass(m)/m-1)) > 1e-12 || s.RoundMass(m*0.4) != 0 || math.Abs(float64(s.RoundMass(m*1.6)/m-2)) > 1e-12 {
			t.Errorf("%s: the step of a weight is not what is rounded to", s)
		}
	}
}
