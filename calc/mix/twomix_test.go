package mix_test

import (
	"fmt"
	"math"
	"testing"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// visit is feed from one tank at 2 gal/1000 sq ft and weed liquid from another at 1, on the same two lots. A wetter is in both.
func visit(wetter unit.VolumePerArea) mix.Visit {
	wet := func(rate unit.VolumePerArea) mix.Part { return liquid("Wetter", label.Surfactant, rate, wetter) }
	return mix.Visit{
		Mixes: []mix.TankMix{
			{Name: "feed", Recipe: mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4*floz, 5*floz), wet(0.5 * floz)}}, Tank: mix.Tank{Capacity: 200 * unit.Gallon, Heel: 2 * unit.Gallon}},
			{Name: "weed", Recipe: mix.Recipe{Carrier: gal, Parts: []mix.Part{liquid("Weed", label.Emulsifiable, floz, 1.5*floz), wet(0.5 * floz)}}, Tank: mix.Tank{Capacity: 50 * unit.Gallon, Heel: unit.Gallon}},
		},
		Stops: []mix.Stop{{"Lot 4", 5000 * unit.SquareFoot}, {"Lot 7", 8000 * unit.SquareFoot}},
	}
}

// By hand: 13,000 sq ft take 26 gal of feed and 13 gal of weed mix; with the heels 28 and 14 gal hold 56 fl oz of Feed, 14 of Weed, and 7 + 7 of
// Wetter, which comes to 1 fl oz/1000 sq ft on the same ground.
func ExampleVisit_Plan() {
	p, _ := visit(1*floz).Plan(unit.US, "visit 1")
	for i, r := range p.Runs {
		fmt.Println(p.Visit.Mixes[i].Name, unit.US.Volume(r.Need), "on turf, fill", unit.US.Volume(r.Fillings[0].Fill.Fill))
	}
	for _, x := range p.Sums {
		fmt.Println(x.Product.Name, x.Rate.Text(unit.US), "from", x.From)
	}
	for _, x := range p.Totals {
		fmt.Println(x.Product.Name, x.Amount.Text(unit.US))
	}
	// Output:
	// feed 26.0 gal on turf, fill 28.0 gal
	// weed 13.0 gal on turf, fill 14.0 gal
	// Wetter 1.00 fl oz/1000 sq ft from [feed weed]
	// Feed 56.0 fl oz
	// Wetter 14.0 fl oz
	// Weed 14.0 fl oz
}

func TestVisit(t *testing.T) {
	p, ps := visit(floz).Plan(unit.US, "")
	if len(ps) > 0 {
		t.Fatal(ps)
	}
	sound(t, p)
	// Each mix is within the label of the wetter, 0.9; both together are not.
	if _, ps := visit(0.9*floz).Plan(unit.US, ""); codes(ps) != "error:rate-over-label" {
		t.Errorf("the sum over the label: %s", codes(ps))
	}
	// The smaller of two entries counts, and one that is not entered does not.
	for _, most := range [][2]unit.VolumePerArea{{9, 0.9}, {0.9, 9}, {0.9, 0}, {0, 0.9}} {
		v := visit(floz)
		v.Mixes[0].Recipe.Parts[1].Product.Label.Most.Liquid, v.Mixes[1].Recipe.Parts[1].Product.Label.Most.Liquid = most[0]*floz, most[1]*floz
		if _, ps := v.Plan(unit.US, ""); !ps.HasErrors() {
			t.Errorf("mosts of %g and %g: the sum of 1 is let through", float64(most[0]), float64(most[1]))
		}
	}
	same := visit(floz)
	same.Mixes[1].Name = "feed"
	same.Mixes[1].Recipe.Carrier = unit.VolumePerArea(math.NaN())
	if _, ps := same.Plan(unit.US, ""); codes(ps) != "error:mix-twice error:carrier-zero error:carrier-zero" {
		t.Errorf("twice the name, no carrier: %s", codes(ps))
	}
	if _, ps := (mix.Visit{}).Plan(unit.US, ""); codes(ps) != "error:visit-without-mix error:visit-without-stops" {
		t.Errorf("nothing: %s", codes(ps))
	}
	bare := visit(floz)
	bare.Stops[0].Area = 0
	if _, ps := bare.Plan(unit.US, ""); codes(ps) != "error:area-zero error:area-zero" {
		t.Errorf("a stop without turf: %s", codes(ps))
	}
}
