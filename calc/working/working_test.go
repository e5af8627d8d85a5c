package working_test

import (
	"fmt"
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// Spray Gun (calibration page), Pesticide Environmental Stewardship, NC State, n.d.: 5.25 gal
// caught in 78 s on a course of 200 ft by 5 ft walked in 78 s.
func ExampleWorking_Add() {
	var w working.Working
	runs := working.Mean("the walks", working.Of("", 77*unit.Second, "s"), working.Of("", 79*unit.Second, "s"), working.Of("", 78*unit.Second, "s"))
	w.Add("mean time", runs, 78*unit.Second, "s", "78.0 s")
	e := working.Of("caught", 5.25*unit.Gallon, "gal").Over(working.Of("time of the catch", 78*unit.Second, "s")).
		Times(working.Of("mean time", 78*unit.Second, "s")).
		Over(working.Of("course", 200*unit.Foot, "ft").Times(working.Of("spacing", 5*unit.Foot, "ft")))
	w.Add("carrier rate", e, 5.25*unit.GallonPerThousand, "gal/1000 sq ft", "5.25 gal/1000 sq ft")
	fmt.Print(w.Text())
	fmt.Println(w.Verify())
	// Output:
	// mean time: 78.0 s
	//   = mean of the walks
	//   = (77 s + 79 s + 78 s) / 3
	//   = 78 s
	//
	// carrier rate: 5.25 gal/1000 sq ft
	//   = caught / time of the catch x mean time / (course x spacing)
	//   = 5.25 gal / 78 s x 78 s / (200 ft x 5 ft) x 1,000
	//   = 5.25 gal/1000 sq ft
	//   units: gal x s / (s x ft x ft): s cancels; ft x ft is sq ft; gives gal/1000 sq ft
	// <nil>
}

// GPA = 5940 x GPM / (MPH x W): the factor that the trade learns by heart is 5280 ft/mi,
// 12 in/ft, 43,560 sq ft/acre and 60 min/h. Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.
func TestFactors(t *testing.T) {
	var w working.Working
	e := working.Of("flow", 3.75*unit.GallonPerMinute, "gal/min").Over(working.Of("speed", 5*unit.MilePerHour, "mph").Times(working.Of("width", 222*unit.Inch, "in")))
	w.Add("carrier rate", e, (3.75*unit.GallonPerMinute).Sweeping(222*unit.Inch, 5*unit.MilePerHour), "gal/acre", "")
	e = working.Of("rate", 6*unit.FluidOuncePerThousand, "fl oz/1000 sq ft").Over(working.Of("carrier", 2*unit.GallonPerThousand, "gal/1000 sq ft")).Times(working.Of("fill", 200*unit.Gallon, "gal"))
	w.Add("product", e, 600*unit.FluidOunce, "fl oz", "")
	w.Add("product", e, 600*unit.FluidOunce, "gal", "")
	w.AddPercent("share", working.Of("a", unit.FluidOunce, "fl oz").Over(working.Of("b", unit.Gallon, "gal")), 1.0/128, "")
	w.AddNumber("ratio", working.Root(working.Of("now", 40*unit.PSI, "psi").Over(working.Of("then", 10*unit.PSI, "psi"))), 2, "")
	w.Add("mass", working.Of("volume", 2*unit.Gallon, "gal").Times(working.Of("density", 10*unit.PoundPerGallon, "lb/gal")), 20*unit.Pound, "lb", "")
	w.Add("nitrogen", working.Of("product", 20*unit.Pound, "lb").Times(working.Percent("nitrogen", 0.28)), 5.6*unit.Pound, "lb", "")
	w.Add("rate", working.Of("p", 20*unit.Kilogram, "kg").Over(working.Of("area", 2000*unit.SquareMetre, "m2")), 100*unit.KilogramPerHectare, "kg/ha", "")
	if err := w.Verify(); err != nil {
		t.Error(err)
	}
	t.Log("\n" + w.Text())
	if got := w[0].Filled; !strings.Contains(got, "5,280 ft/mi") || !strings.Contains(got, "12 in/ft") || !strings.Contains(got, "43,560 sq ft/acre") || !strings.Contains(got, "60 min/h") {
		t.Errorf("got %s", got)
	}
}

// A working that does not lead to its result is found.
func TestVerifyFinds(t *testing.T) {
	vol := working.Of("volume", 2*unit.Gallon, "gal")
	for name, add := range map[string]func(w *working.Working){
		"wrong result":     func(w *working.Working) { w.Add("x", vol, 2.0001*unit.Gallon, "gal", "") },
		"wrong unit":       func(w *working.Working) { w.Add("x", vol, 2*unit.Gallon, "lb", "") },
		"unknown unit":     func(w *working.Working) { w.Add("x", vol, 2*unit.Gallon, "firkin", "") },
		"unit of an input": func(w *working.Working) { w.Add("x", working.Of("v", 2*unit.Gallon, "lb"), 2*unit.Gallon, "gal", "") },
		"dimension": func(w *working.Working) {
			w.Add("x", vol.Over(working.Of("t", 2*unit.Second, "s")), 2*unit.Gallon, "gal", "")
		},
		"sum of kinds": func(w *working.Working) {
			w.Add("x", vol.Plus(working.Of("t", 2*unit.Second, "s")), 2*unit.Gallon, "gal", "")
		},
		"product in a sum": func(w *working.Working) {
			w.Add("x", vol.Plus(vol.Times(working.Number("n", 2))), 6*unit.Gallon, "gal", "")
		},
		"not a number":      func(w *working.Working) { w.Add("x", vol.Over(working.Number("n", 0)), 2*unit.Gallon, "gal", "") },
		"root with a unit":  func(w *working.Working) { w.AddNumber("x", working.Root(vol), 2, "") },
		"share for a count": func(w *working.Working) { w.AddPercent("x", working.Number("n", 5), 0.05, "") },
	} {
		var w working.Working
		if add(&w); w.Verify() == nil {
			t.Errorf("%s: not found in %q", name, w.Text())
		}
	}
}
