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

// What an earlier step said is not said again; a step that is only a sentence keeps it.
func TestWithoutRepeats(t *testing.T) {
	var w working.Working
	leaf := func() working.Expr { return working.Of("volume", 2*unit.Gallon, "gal").From("a jug") }
	w.Add("a", leaf(), 2*unit.Gallon, "gal", "", "why", "and more")
	w.Add("b", leaf(), 2*unit.Gallon, "gal", "", "why", "other")
	w.Say("c", "none", "why")
	w.Say("d", "none", "why", "new")
	got := w.WithoutRepeats()
	for i, want := range []string{"why|and more", "other", "why", "new"} {
		if notes := strings.Join(got[i].Notes, "|"); notes != want {
			t.Errorf("step %d: got %q, want %q", i+1, notes, want)
		}
	}
	if len(got[0].Sources) != 1 || len(got[1].Sources) != 0 || len(w[1].Notes) != 2 {
		t.Errorf("got sources %v and %v, and %v in the working itself", got[0].Sources, got[1].Sources, w[1].Notes)
	}
}

// Shares in per cent stay so, without another "x 100 %"; a sum before a factor stands in brackets; a line of units says something or
// is left out.
func TestReadsRight(t *testing.T) {
	var w working.Working
	w.AddPercent("quick", working.Percent("N", 0.18).Minus(working.Percent("slow", 0.04)), 0.14, "")
	w.AddPercent("P", working.Percent("P2O5", 0.05).Times(working.Number("P in P2O5", 0.4365)), 0.021825, "")
	w.AddPercent("share", working.Percent("slow", 0.04).Over(working.Percent("N", 0.16)), 0.25, "")
	w.Add("sum", working.Of("a", unit.Gallon, "gal").Plus(working.Of("b", unit.Gallon, "gal")), 2*unit.Gallon, "fl oz", "")
	w.Add("half", working.Of("rate", unit.PoundPerThousand, "lb/1000 sq ft").Over(working.Number("", 2)), unit.PoundPerThousand/2, "lb/1000 sq ft", "")
	w.Add("area", working.Of("l", 10*unit.Foot, "ft").Times(working.Of("b", 5*unit.Foot, "ft")), 50*unit.SquareFoot, "sq ft", "")
	w.Add("plots", working.Of("l", 120*unit.Inch, "in").Times(working.Of("b", 5*unit.Foot, "ft")), 50*unit.SquareFoot, "sq ft", "")
	if err := w.Verify(); err != nil {
		t.Fatal(err)
	}
	for i, want := range []struct{ filled, units string }{
		{"18 % - 4 %", ""}, {"5 % x 0.4365", ""}, {"4 % / 16 % x 100 %", ""}, {"(1 gal + 1 gal) x (128 fl oz/gal)", ""},
		{"(1 lb/1000 sq ft) / 2", ""}, {"10 ft x 5 ft", "ft x ft is sq ft"},
		{"120 in x 5 ft / (12 in/ft)", "in x ft: ft x ft is sq ft; gives sq ft"},
	} {
		if w[i].Filled != want.filled || w[i].Units != want.units {
			t.Errorf("%s: got %q, %q, want %q, %q", w[i].Name, w[i].Filled, w[i].Units, want.filled, want.units)
		}
	}
}
