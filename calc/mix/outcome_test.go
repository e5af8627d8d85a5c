package mix_test

import (
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// sound asserts that an outcome's working leads to its results, and that nothing broken is printed, in both systems.
func sound(t interface {
	Helper()
	Errorf(string, ...any)
}, o working.Outcome) {
	t.Helper()
	for _, s := range []unit.System{unit.US, unit.Metric} {
		w := o.Working(s)
		if err := w.Verify(); err != nil {
			t.Errorf("%T, %s: %v\n%s", o, s, err, w.Text())
		}
		text := w.Text()
		for _, f := range o.Facts(s) {
			if f.Name == "" || f.Text == "" {
				t.Errorf("%T, %s: half a fact %+v", o, s, f)
			}
			text += f.Name + f.Text
		}
		for _, bad := range []string{"%!", "NaN", "Inf", "no rate", "no strength"} {
			if strings.Contains(text, bad) {
				t.Errorf("%T, %s: %q in %s", o, s, bad, text)
			}
		}
	}
}

func text(o working.Outcome, s unit.System) string {
	var b strings.Builder
	for _, f := range o.Facts(s) {
		b.WriteString(f.Name + ": " + f.Text + "\n")
	}
	return b.String()
}

// feed is an invented liquid fertilizer of 28 % N and 10.65 lb/gal in 2.5 gal jugs.
func feed(most unit.VolumePerArea) label.Product {
	return label.Product{Name: "Feed", Form: label.Liquid, Class: label.Soluble, Density: 10.65 * unit.PoundPerGallon,
		Analysis:   label.Analysis{N: 0.28},
		Containers: []label.Container{{Name: "jug", Holds: label.Amount{Liquid: 2.5 * unit.Gallon}}},
		Label:      label.Label{Most: label.Rate{Liquid: most}, Citation: "invented label, 2026"}}
}

// anyRecipe draws a recipe of a liquid and a dry product within their labels.
func anyRecipe(t *rapid.T) mix.Recipe {
	most := unit.VolumePerArea(rapid.Float64Range(1, 9).Draw(t, "most")) * floz
	share := rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(0.3, 1)).Draw(t, "share")
	a := liquid("a", label.Soluble, most*unit.VolumePerArea(share), most)
	a.Product.Density = unit.Density(rapid.SampledFrom([]float64{0, 8.5, 10.65}).Draw(t, "lb/gal")) * unit.PoundPerGallon
	a.Product.Measure.Liquid = rapid.SampledFrom([]unit.Volume{0, unit.FluidOunce / 2, 5 * unit.Millilitre}).Draw(t, "mark")
	b := dry("b", label.Wettable, unit.MassPerArea(rapid.Float64Range(0.1, 3).Draw(t, "lb"))*pound, 3*pound)
	b.Product.InTank = unit.Density(rapid.SampledFrom([]float64{0, 12}).Draw(t, "in tank")) * unit.PoundPerGallon
	return mix.Recipe{Carrier: unit.VolumePerArea(rapid.Float64Range(0.8, 5).Draw(t, "carrier")) * gal, Parts: []mix.Part{a, b}}
}

func anySystem(t *rapid.T) unit.System {
	return rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
}

// anyTank draws a tank of 20 to 500 gal with a heel.
func anyTank(t *rapid.T) mix.Tank {
	return mix.Tank{Capacity: unit.Volume(rapid.IntRange(20, 500).Draw(t, "tank")) * unit.Gallon, Heel: unit.Volume(rapid.IntRange(0, 60).Draw(t, "heel")) * unit.Gallon / 10}
}

var _ testing.TB
