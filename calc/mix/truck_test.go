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

// Setting the Sprayer Flow Rate for Non-Water Solutions, University of Nebraska-Lincoln, CropWatch, 2016: water is 8.34 lb/gal, the solution
// 10.65. By hand: 200 gal at 2 gal/1000 sq ft with 6 fl oz are 600 fl oz, 4.6875 gal; water is 195.3125 gal, 1,628.91 lb. Two
// jugs of 2.5 gal are aboard, 53.25 lb; with 400 lb of people 2,082.16 lb.
func ExampleTruck_Weigh() {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{{Product: feed(9 * floz), Rate: label.Rate{Liquid: 6 * floz}}}}
	run, _ := r.Run(200*unit.Gallon, mix.Tank{Capacity: 200 * unit.Gallon}, mix.Held{}, unit.US, "")
	truck := mix.Truck{Rated: 10_000 * unit.Pound, Empty: 7_000 * unit.Pound, Other: []mix.Item{{Name: "two people and gear", Mass: 400 * unit.Pound}}}
	w, _ := truck.Weigh([]mix.Aboard{run.Aboard("tank 1")}, mix.Totals(run.Fillings...), unit.US, "")
	fmt.Print(text(w, unit.US))
	// Output:
	// water in tank 1: 195.3 gal, 1,629 lb
	// Feed: 5.0 gal, 53 lb
	// two people and gear: 400 lb
	// load: 2,082 lb
	// payload: 3,000 lb
	// margin: 918 lb
	// note: Arithmetic from entered weights, containers not weighed. It does not say that the load is legal: weigh the truck full.
}

func TestWeighProblems(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal}
	lb, g := unit.Pound, unit.Gallon
	one := []mix.Aboard{{Name: "t", Recipe: r, Capacity: 200 * g, Fullest: 200 * g}}
	two := []mix.Aboard{{Name: "a", Recipe: r, Capacity: 500 * g, Fullest: 150 * g}, {Name: "b", Recipe: r, Capacity: 500 * g, Fullest: 250 * g}}
	nan := math.NaN()
	light := feed(9 * floz)
	light.Density = 0
	for _, c := range []struct {
		name   string
		truck  mix.Truck
		tanks  []mix.Aboard
		totals []mix.Total
		want   string
	}{
		{"good", mix.Truck{Rated: 10_000 * lb, Empty: 7000 * lb}, one, nil, ""},
		{"payload not known", mix.Truck{Rated: 10_000 * lb}, one, nil, "warning:payload-unknown"},
		{"over", mix.Truck{Rated: 8000 * lb, Empty: 7000 * lb}, one, nil, "error:over-payload"},
		{"empty over rated", mix.Truck{Rated: 7000 * lb, Empty: 8000 * lb}, one, nil, "error:empty-over-rated"},
		{"NaN", mix.Truck{Rated: unit.Mass(nan), Empty: -lb, Other: []mix.Item{{"x", 0}}, Clean: unit.Volume(nan)}, nil, nil,
			"error:weight-negative error:weight-negative error:weight-negative error:volume-negative"},
		{"an empty tank", mix.Truck{Rated: 10_000 * lb, Empty: 7000 * lb}, []mix.Aboard{{Name: "t"}}, nil, "error:volume-zero"},
		{"no carrier", mix.Truck{Rated: 10_000 * lb, Empty: 7000 * lb}, []mix.Aboard{{Name: "t", Fullest: g}}, nil, "error:carrier-zero"},
		{"no density", mix.Truck{Rated: 10_000 * lb, Empty: 7000 * lb}, nil, []mix.Total{{Product: light, Aboard: label.Amount{Liquid: g}}}, "warning:density-missing"},
		// 400 gal together is not over; two tanks of 500 gal are 1,000.
		{"a tank vehicle", mix.Truck{Rated: 20_000 * lb, Empty: 7000 * lb}, two, nil, "warning:tank-vehicle"},
		{"over 400 gal", mix.Truck{Rated: 20_000 * lb, Empty: 7000 * lb}, []mix.Aboard{{Name: "t", Recipe: r, Capacity: 500 * g, Fullest: 401 * g}}, nil, "warning:over-400-gal"},
	} {
		w, ps := c.truck.Weigh(c.tanks, c.totals, unit.US, "")
		if got := codes(ps); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if w.Total > 0 {
			sound(t, w)
		}
	}
	if w, _ := (mix.Truck{Rated: 8000 * lb, Empty: 7000 * lb}).Weigh(one, nil, unit.US, ""); !w.Known || math.Abs(w.Margin.In(lb)+668) > 1e-9 {
		t.Errorf("over the payload the weight is shown all the same: %+v", w)
	}
}

// The load is its parts, and the margin what is left of the payload.
func TestWeightAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s, tank := anyRecipe(t), anySystem(t), anyTank(t)
		run, ps := r.Run(s.RoundVolume(unit.Volume(rapid.Float64Range(30, 300).Draw(t, "need"))*unit.Gallon), tank, mix.Held{}, s, "")
		if ps.HasErrors() {
			t.Skip("a last tankful of a thimble")
		}
		truck := mix.Truck{Rated: 9 * unit.Tonne, Empty: 3 * unit.Tonne, Clean: 20 * unit.Gallon}
		w, ps := truck.Weigh([]mix.Aboard{run.Aboard("t")}, mix.Totals(run.Fillings...), s, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		var sum unit.Mass
		for _, l := range w.Loads {
			sum += l.Mass
		}
		if math.Abs(float64((w.Total+w.Margin)/w.Payload)-1) > 1e-12 || math.Abs(float64(sum/w.Total)-1) > 1e-12 {
			t.Fatalf("%+v", w)
		}
		sound(t, w)
	})
}
