package mix_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// Setting the Sprayer Flow Rate for Non-Water Solutions, University of Nebraska-Lincoln, CropWatch, 2016: a solution of 28 % N and 10.65 lb/gal
// has 2.982 lb N in a gallon, so that 75 lb N take 25.151 gal. Here 75 lb N go on an acre with 40 gal of mix.
func ExampleWanted_At() {
	w := mix.Wanted{Product: feed(100 * floz), Nutrient: "N", NutrientRate: 75 * unit.PoundPerAcre}
	d, problems := w.At(40*unit.GallonPerAcre, "")
	fmt.Println(unit.Number(d.Rate.Liquid.In(unit.GallonPerAcre), 3), "gal/acre", problems)
	steps := d.Working(unit.US)
	for _, line := range steps[len(steps)-1].Lines() {
		fmt.Println(line)
	}
	// Output:
	// 25.151 gal/acre []
	// Feed in the mix: 80.48 fl oz/gal (62.88 % v/v)
	//   = product rate / carrier rate
	//   = (73.90532 fl oz/1000 sq ft) / (0.9182736 gal/1000 sq ft)
	//   = 80.4829 fl oz/gal
	//   units: fl oz x 1000 sq ft / (1000 sq ft x gal): 1000 sq ft cancels; gives fl oz/gal
	//   A rate per area holds whatever the carrier rate: more carrier makes the mix weaker, never the ground richer.
}

// Backpack Sprayer Calibration Worksheet, NC State Extension, n.d.: 8 fl oz/acre at 7.5 gal/acre is 1.06 fl oz/gal (1.0667, cut off).
// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 32 fl oz/acre at 20 gal/acre.
func TestPublishedStrengths(t *testing.T) {
	for _, c := range []struct{ rate, carrier, want float64 }{{8, 7.5, 8 / 7.5}, {32, 20, 1.6}} {
		rate := label.Rate{Liquid: unit.VolumePerArea(c.rate) * unit.GallonPerAcre / 128}
		p := feed(100 * floz)
		d, _ := mix.Wanted{Product: p, Rate: rate}.At(unit.VolumePerArea(c.carrier)*unit.GallonPerAcre, "")
		if got := d.InMix.Liquid.In(unit.FluidOuncePerGallon); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("got %g fl oz/gal, want %g", got, c.want)
		}
	}
}

// By hand: 0.25 % v/v is 0.32 fl oz/gal; at 2 gal/1000 sq ft 0.64 fl oz/1000 sq ft. 3 lb/100 gal at 2 gal/1000 sq ft is 0.06
// lb/1000 sq ft. 1 lb of a 10.65 lb/gal liquid is 128/10.65 fl oz.
func TestWantedWays(t *testing.T) {
	powder := dry("Powder", label.Wettable, 0, 2*pound).Product
	powder.Analysis.K2O = 0.22
	for _, c := range []struct {
		name string
		w    mix.Wanted
		want float64 // fl oz or lb per 1,000 sq ft
	}{
		{"per cent", mix.Wanted{Product: feed(9 * floz), InMix: label.Strength{Liquid: 0.25 * unit.PercentByVolume}}, 0.64},
		{"ounces a gallon", mix.Wanted{Product: feed(9 * floz), InMix: label.Strength{Liquid: 2 * unit.FluidOuncePerGallon}}, 4},
		{"pounds a hundred gallons", mix.Wanted{Product: powder, InMix: label.Strength{Dry: 3 * unit.PoundPerGallon / 100}}, 0.06},
		{"liquid by weight in the mix", mix.Wanted{Product: feed(20 * floz), InMix: label.Strength{Dry: 0.5 * unit.PoundPerGallon}}, 128 / 10.65},
		{"liquid by weight", mix.Wanted{Product: feed(20 * floz), Rate: label.Rate{Dry: pound}}, 128 / 10.65},
		{"area", mix.Wanted{Product: feed(9 * floz), Rate: label.Rate{Liquid: 6 * floz}}, 6},
		{"potash", mix.Wanted{Product: powder, Nutrient: "K2O", NutrientRate: 0.11 * pound}, 0.5},
		{"potassium", mix.Wanted{Product: powder, Nutrient: "K", NutrientRate: 0.22 * 0.8301 * pound}, 1},
	} {
		d, ps := c.w.At(2*gal, "day.yaml:3")
		if ps.HasErrors() {
			t.Errorf("%s: %v", c.name, ps)
			continue
		}
		got := d.Rate.Liquid.In(floz) + d.Rate.Dry.In(pound)
		if math.Abs(got-c.want) > 1e-4*c.want {
			t.Errorf("%s: got %g, want %g", c.name, got, c.want)
		}
		sound(t, d)
	}
}

func TestWantedProblems(t *testing.T) {
	powder := dry("Powder", label.Wettable, 0, 2*pound).Product
	thin := feed(9 * floz)
	thin.Density = 0
	weak := feed(0)
	weak.Label.Most, weak.Label.MostInMix = label.Rate{}, label.Strength{Liquid: unit.PercentByVolume}
	bound := feed(9 * floz)
	bound.Label.MostInMix, bound.Label.LeastInMix = label.Strength{Liquid: 2 * unit.FluidOuncePerGallon}, label.Strength{Liquid: unit.FluidOuncePerGallon}
	grit := powder
	grit.Form = label.Granule
	nan, inf := math.NaN(), math.Inf(1)
	rate := func(x float64) label.Rate { return label.Rate{Liquid: unit.VolumePerArea(x) * floz} }
	for _, c := range []struct {
		name    string
		w       mix.Wanted
		carrier unit.VolumePerArea
		want    string
	}{
		{"nothing", mix.Wanted{Product: feed(floz)}, gal, "error:rate-zero"},
		{"no carrier", mix.Wanted{Product: feed(9 * floz), Rate: rate(1)}, 0, "error:carrier-zero"},
		{"NaN carrier", mix.Wanted{Product: feed(9 * floz), Rate: rate(1)}, unit.VolumePerArea(nan), "error:carrier-zero"},
		{"NaN", mix.Wanted{Product: feed(9 * floz), Rate: rate(nan)}, gal, "error:rate-zero"},
		{"Inf", mix.Wanted{Product: feed(9 * floz), Rate: rate(inf)}, gal, "error:rate-zero"},
		{"negative", mix.Wanted{Product: feed(9 * floz), Rate: rate(-1)}, gal, "error:rate-zero"},
		{"two ways", mix.Wanted{Product: feed(9 * floz), Rate: rate(1), Nutrient: "N", NutrientRate: pound}, gal, "error:wanted-twice"},
		{"over the area", mix.Wanted{Product: feed(9 * floz), Rate: rate(10)}, 9 * gal, "error:rate-over-label"},
		{"over the area by nitrogen", mix.Wanted{Product: feed(9 * floz), Nutrient: "N", NutrientRate: pound}, 9 * gal, "error:rate-over-label"},
		{"over the area by strength", mix.Wanted{Product: feed(9 * floz), InMix: label.Strength{Liquid: 2 * unit.FluidOuncePerGallon}}, 5 * gal, "error:rate-over-label"},
		{"over the strength", mix.Wanted{Product: weak, Rate: rate(3)}, 2 * gal, "error:strength-over-label"},
		{"over the strength, within the area", mix.Wanted{Product: bound, Rate: rate(6)}, 2 * gal, "error:strength-over-label"},
		{"under the strength", mix.Wanted{Product: bound, Rate: rate(1)}, 2 * gal, "warning:strength-under-label"},
		{"just the strength", mix.Wanted{Product: bound, Rate: rate(4)}, 2 * gal, ""},
		{"volume of a powder", mix.Wanted{Product: powder, Rate: rate(1)}, gal, "error:rate-wrong-kind"},
		{"both kinds", mix.Wanted{Product: thin, Rate: label.Rate{Liquid: floz, Dry: pound}}, gal, "error:rate-wrong-kind"},
		{"weight without a density", mix.Wanted{Product: thin, Rate: label.Rate{Dry: pound}}, gal, "error:density-missing"},
		{"nitrogen without a density", mix.Wanted{Product: thin, Nutrient: "N", NutrientRate: pound}, gal, "error:density-missing"},
		{"no such nutrient", mix.Wanted{Product: feed(9 * floz), Nutrient: "K2O", NutrientRate: pound}, gal, "error:nutrient-absent"},
		{"nutrient without a rate", mix.Wanted{Product: feed(9 * floz), Nutrient: "N"}, gal, "error:rate-zero"},
		{"granule", mix.Wanted{Product: grit, Rate: label.Rate{Dry: pound}}, gal, "error:granule-in-tank"},
		{"no form", mix.Wanted{Product: label.Product{Name: "x"}, Rate: rate(1)}, gal, "error:form-unknown"},
	} {
		d, ps := c.w.At(c.carrier, "day.yaml:3")
		if got := codes(ps); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if ps.HasErrors() != (d.Carrier == 0) {
			t.Errorf("%s: a dose with errors, or none without: %+v", c.name, d)
		}
	}
	if _, _, ps := mix.NewRecipe(gal, []mix.Wanted{{Product: thin, Rate: label.Rate{Dry: pound}}, {Product: powder, Rate: rate(1)}}, ""); codes(ps) != "error:density-missing error:rate-wrong-kind" {
		t.Errorf("not every problem of a recipe: %s", codes(ps))
	}
	if r, doses, ps := mix.NewRecipe(gal, []mix.Wanted{{Product: feed(9 * floz), Rate: rate(1)}, {Product: powder, Rate: label.Rate{Dry: pound}}}, ""); len(ps) > 0 || len(doses) != 2 || len(r.Parts) != 2 || codes(r.Validate("")) != "" {
		t.Errorf("a recipe of two: %v %v", r, ps)
	}
}

// Measuring Pesticides: Overlooked Steps to Getting the Correct Rate, PPP-96, Purdue Extension: ounces of weight and of
// volume are different units. 16 oz wt of a liquid is no pint: with 10.65 lb/gal it is 12.02 fl oz.
func TestOunces(t *testing.T) {
	d, ps := mix.Wanted{Product: feed(20 * floz), Rate: label.Rate{Dry: 16 * unit.PoundPerThousand / 16}}.At(2*gal, "")
	if got := d.Rate.Liquid.In(floz); ps.HasErrors() || math.Abs(got-12.0188) > 1e-4 {
		t.Errorf("got %g fl oz/1000 sq ft, want 12.0188; %v", got, ps)
	}
	if !strings.Contains(d.Working(unit.US).Text(), "by the density alone") {
		t.Error("the working does not name the density")
	}
}

// A rate per area holds under any carrier rate, and a strength too; the other follows.
func TestCarrierMovesOne(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		carrier := func(name string) unit.VolumePerArea {
			return unit.VolumePerArea(rapid.Float64Range(0.5, 9).Draw(t, name)) * gal
		}
		a, b := carrier("a"), carrier("b")
		x := rapid.Float64Range(0.01, 2).Draw(t, "x")
		for _, w := range []mix.Wanted{
			{Product: feed(900 * floz), Rate: label.Rate{Liquid: unit.VolumePerArea(x) * floz}},
			{Product: feed(900 * floz), Nutrient: "N", NutrientRate: unit.MassPerArea(x) * pound},
			{Product: feed(900 * floz), InMix: label.Strength{Liquid: unit.VolumePerVolume(x) * unit.FluidOuncePerGallon}},
		} {
			d, ps := w.At(a, "")
			e, more := w.At(b, "")
			if ps.HasErrors() || more.HasErrors() {
				t.Skip("no room") // 2 lb N in half a gallon
			}
			same, moved := float64(d.Rate.Liquid/e.Rate.Liquid), float64(d.InMix.Liquid/e.InMix.Liquid)*float64(a/b)
			if w.InMix != (label.Strength{}) {
				same, moved = float64(d.InMix.Liquid/e.InMix.Liquid), float64(d.Rate.Liquid/e.Rate.Liquid)*float64(b/a)
			}
			if math.Abs(same-1) > 1e-12 || math.Abs(moved-1) > 1e-12 {
				t.Fatalf("%+v: %g and %g, want 1", w, same, moved)
			}
			sound(t, d)
		}
	})
}
