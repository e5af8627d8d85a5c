package unit_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
)

// Published factors and answers. Sources:
//
//	VCE  Conversion Factors Needed for Common Fertilizer Calculations, SPES-201NP, Table 1, Virginia Cooperative Extension, n.d.
//	CTP  Turfgrass Mathematics Review/Practice Worksheet, turf certification course, n.d.
func TestNutrientFactors(t *testing.T) {
	for _, c := range []struct {
		source    string
		from, to  unit.Nutrient
		x         float64
		want, tol float64
	}{
		{"VCE P to P2O5", unit.P, unit.P2O5, 1, 2.2910, 0.0001},
		{"VCE P2O5 to P", unit.P2O5, unit.P, 1, 0.4365, 0},
		// The table's 1.2051 is 0.04 % over the inverse of its own 0.8301; ours goes there and back.
		{"VCE K to K2O", unit.K, unit.K2O, 1, 1.2051, 0.0005},
		{"VCE K2O to K", unit.K2O, unit.K, 1, 0.8301, 0},
		{"VCE 49.8 % K is 60 % K2O", unit.K, unit.K2O, 49.8, 60, 0.1},
		{"CTP 125 lb P2O5 is 55 lb P, by 0.44", unit.P2O5, unit.P, 125, 55, 0.6},
		{"N is N", unit.N, unit.N, 7, 7, 0},
	} {
		f, ok := c.from.As(c.to)
		if got := c.x * f; !ok || math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: got %v (%v), want %v", c.source, got, ok, c.want)
		}
	}
	for _, c := range [][2]unit.Nutrient{{unit.N, unit.P}, {unit.P, unit.K}, {unit.P2O5, unit.K2O}, {unit.N, ""}, {"", unit.N}, {"", ""}} {
		if f, ok := c[0].As(c[1]); ok {
			t.Errorf("%q as %q: got the factor %v", c[0], c[1], f)
		}
	}
	for _, c := range []struct {
		n     unit.Nutrient
		round float64
	}{{unit.P2O5, 0.44}, {unit.K, 0.83}, {unit.N, 1}} {
		if published, round := c.n.Share(); round != c.round || math.Abs(published-round) > 0.005 {
			t.Errorf("%s: got %v and %v, want the trade's %v", c.n, published, round, c.round)
		}
	}
}

func TestNutrientThereAndBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.SampledFrom([]unit.Nutrient{unit.P, unit.P2O5, unit.K, unit.K2O}).Draw(t, "nutrient")
		there, ok := n.As(n.Other())
		back, ok2 := n.Other().As(n)
		if !ok || !ok2 || math.Abs(there*back-1) > 1e-15 {
			t.Fatalf("%s to %s and back is %v", n, n.Other(), there*back)
		}
	})
}

func TestParseNutrient(t *testing.T) {
	perThousand := unit.PoundPerThousand.SI()
	for _, c := range []struct {
		text string
		n    unit.Nutrient
		kind unit.Kind
		want float64
	}{
		{"0.75 lb N/M", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"0.75 lb N / 1,000 sq ft", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"0.75 lb of N per 1000 sq ft", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"3/4 lb nitrogen per M", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"¾ lb actual N/M", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"0.75 lb/M of N", unit.N, unit.KindMassPerArea, 0.75 * perThousand},
		{"2 lb potash/M", unit.K2O, unit.KindMassPerArea, 2 * perThousand},
		{"36 kg n/ha", unit.N, unit.KindMassPerArea, 0.0036},
		{"125 lb P2O5", unit.P2O5, unit.KindMass, 56.69904625},
		{"125 lb P₂O₅", unit.P2O5, unit.KindMass, 56.69904625},
		{"1 lb 8 oz wt phosphate", unit.P2O5, unit.KindMass, 0.680388555},
		{"10 kg P", unit.P, unit.KindMass, 10},
		{"10 kg k", unit.K, unit.KindMass, 10},
		{"2.982 lb N/gal", unit.N, unit.KindDensity, 2.982 * 119.826427317},
	} {
		n, q, err := unit.ParseNutrient(c.text)
		if err != nil || n != c.n || q.Kind() != c.kind || math.Abs(q.SI()-c.want) > 1e-9*c.want {
			t.Errorf("%q: got %s %v (%v), want %s %v", c.text, n, q, err, c.n, c.want)
		}
		if r, err := unit.ParseMassPerArea(c.text); err == nil {
			t.Errorf("%q is read as the rate of a product, %v", c.text, r)
		}
	}
	for _, c := range []struct{ text, why string }{
		{"0.75 lb/M", "names no nutrient"},
		{"0.75 lb N/M of K", "two nutrients"},
		{"2 lb phosphorus/M", `"P" or "P2O5"`},
		{"2 lb potassium", `"K" or "K2O"`},
		{"2 gal N/M", "volume per area"},
		{"5 ft P", "is a length"},
		{"2 oz N/M", `"oz wt"`},
		{"N", "missing|begin with a number|empty"},
		{"2 lb N/1000", "per 1000 of what"},
	} {
		n, q, err := unit.ParseNutrient(c.text)
		var pe *unit.ParseError
		if !errors.As(err, &pe) || n != "" || q != nil || pe.Text != c.text {
			t.Errorf("%q: got %s %v, %v; want a ParseError", c.text, n, q, err)
			continue
		}
		found := false
		for why := range strings.SplitSeq(c.why, "|") {
			found = found || strings.Contains(pe.Why, why)
		}
		if !found {
			t.Errorf("%q: got %s, want a reason with %s", c.text, pe.Why, c.why)
		}
	}
	if n, r, err := unit.ParseNutrientRate("0.75 lb N/M"); err != nil || n != unit.N || r != 0.75*unit.PoundPerThousand {
		t.Errorf("got %s %v, %v", n, r, err)
	}
	if _, r, err := unit.ParseNutrientRate("125 lb P2O5"); err == nil {
		t.Errorf("a weight is read as the rate %v", r)
	}
}

// Densities join weight and volume both ways.
func TestDensityJoins(t *testing.T) {
	// Calculating how much of an element is applied in a liquid fertilizer, turfgrass science blog, 2015:
	// 6 fl oz/1000 sq ft of 10.68 lb/gal. The page has 0.498 by way of a rounded 0.083; exactly it is 0.5006.
	d := 10.68 * unit.PoundPerGallon
	if got := d.OfRate(6 * unit.FluidOuncePerThousand).In(unit.PoundPerThousand); math.Abs(got-0.498) > 0.003 || math.Abs(got-0.500625) > 1e-9 {
		t.Errorf("got %v lb/1000 sq ft, want 0.500625", got)
	}
	rapid.Check(t, func(t *rapid.T) {
		d := unit.Density(rapid.Float64Range(200, 3000).Draw(t, "kg/m3"))
		x := rapid.Float64Range(1e-9, 1e3).Draw(t, "x")
		for name, back := range map[string]float64{
			"volume": float64(d.VolumeOf(d.Of(unit.Volume(x)))),
			"rate":   float64(d.VolumeOfRate(d.OfRate(unit.VolumePerArea(x)))),
			"share":  float64(d.ShareOf(d.OfShare(unit.VolumePerVolume(x)))),
		} {
			if math.Abs(back-x) > 1e-15*x*2 {
				t.Fatalf("%s: %v comes back as %v", name, x, back)
			}
		}
	})
}
