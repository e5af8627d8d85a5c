package mix_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// Pesticides in the Military, MD0173, ed. 100, US Army Medical Department Center and School, 2006: 55 gal of 1 % from a 48 % concentrate take
// 1.146 gal; 5 gal of 2 % from an 80 % powder take 1.04 lb.
func ExampleDilute() {
	d, _ := mix.Dilute(55*unit.Gallon, 0.01, 0.48, label.Liquid, "")
	fmt.Println(unit.Number(d.Product.Liquid.In(unit.Gallon), 3), "gal")
	d, _ = mix.Dilute(5*unit.Gallon, 0.02, 0.80, label.Dry, "")
	fmt.Println(unit.Number(d.Product.Dry.In(unit.Pound), 2), "lb")
	fmt.Print(d.Working(unit.US).Text())
	// Output:
	// 1.146 gal
	// 1.04 lb
	// concentrate: 1.04 lb
	//   = finished mix x wanted strength x weight of water / strength of the concentrate
	//   = 5 gal x 2 % x (8.34 lb/gal) / 80 %
	//   = 1.0425 lb
	//   units: gal x lb / gal: gal cancels; gives lb
	//   source of weight of water: 8.34 lb/gal, University of Nebraska-Lincoln, 2016
}

// New England Vegetable Management Guide, dilution tables, n.d.: 1 lb per 100 gal is 0.25 lb in 25 gal, 4 qt per 100 gal 1 qt. By hand: 0.25 % v/v of
// 100 gal is 32 fl oz.
func TestPerVolume(t *testing.T) {
	x, ps := mix.PerVolume(label.Strength{Dry: unit.PoundPerGallon / 100}, label.Dry, 25*unit.Gallon, "")
	if got := x.Product.Dry.In(unit.Pound); ps.HasErrors() || math.Abs(got-0.25) > 1e-12 {
		t.Errorf("got %g lb, want 0.25; %v", got, ps)
	}
	sound(t, x)
	x, ps = mix.PerVolume(label.Strength{Liquid: (4 * unit.Quart).PerVolume(100 * unit.Gallon)}, label.Liquid, 25*unit.Gallon, "")
	if got := x.Product.Liquid.In(unit.Quart); ps.HasErrors() || math.Abs(got-1) > 1e-12 {
		t.Errorf("got %g qt, want 1; %v", got, ps)
	}
	sound(t, x)
	x, _ = mix.PerVolume(label.Strength{Liquid: 0.25 * unit.PercentByVolume}, label.Liquid, 100*unit.Gallon, "")
	if got := x.Product.Liquid.In(unit.FluidOunce); math.Abs(got-32) > 1e-9 {
		t.Errorf("got %g fl oz, want 32", got)
	}
}

func TestDiluteProblems(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name  string
		final unit.Volume
		s, k  label.Share
		form  label.Form
		want  string
	}{
		{"zero", 0, 0, 0, label.Liquid, "error:volume-zero error:strength-share error:strength-share"},
		{"NaN", unit.Volume(nan), label.Share(nan), label.Share(nan), label.Liquid, "error:volume-zero error:strength-share error:strength-share"},
		{"per cent for a share", unit.Gallon, 1, 48, label.Liquid, "error:strength-share"},
		{"too strong", unit.Gallon, 0.5, 0.4, label.Liquid, "error:stronger-than-concentrate"},
		{"granule", unit.Gallon, 0.1, 0.4, label.Granule, "error:granule-in-tank"},
		{"no form", unit.Gallon, 0.1, 0.4, "", "error:form-unknown"},
		{"as it comes", unit.Gallon, 0.4, 0.4, label.Liquid, ""},
	} {
		d, ps := mix.Dilute(c.final, c.s, c.k, c.form, "")
		if got := codes(ps); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if !ps.HasErrors() {
			sound(t, d)
		}
	}
	for _, x := range []label.Strength{{}, {Dry: unit.PoundPerGallon}, {Liquid: unit.VolumePerVolume(nan)}} {
		if _, ps := mix.PerVolume(x, label.Liquid, unit.Gallon, ""); !ps.HasErrors() {
			t.Errorf("%+v of a liquid is taken", x)
		}
	}
	if _, ps := mix.PerVolume(label.Strength{Dry: 1}, label.Dry, 0, ""); codes(ps) != "error:volume-zero" {
		t.Errorf("no volume: %s", codes(ps))
	}
}

// Concentrate and water make up the mix, and the strength comes out as wanted.
func TestDiluteAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		final := unit.Volume(rapid.Float64Range(0.1, 500).Draw(t, "final")) * unit.Gallon
		k := rapid.Float64Range(0.01, 1).Draw(t, "concentrate")
		s := k * rapid.Float64Range(0.001, 1).Draw(t, "part")
		d, ps := mix.Dilute(final, label.Share(s), label.Share(k), label.Liquid, "")
		if ps.HasErrors() || math.Abs(float64((d.Product.Liquid+d.Water)/final)-1) > 1e-12 || math.Abs(float64(d.Product.Liquid/final)*k/s-1) > 1e-12 {
			t.Fatalf("%+v %v", d, ps)
		}
		sound(t, d)
	})
}
