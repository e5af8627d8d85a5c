package calc_test

import (
	"math"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// Fourteen slips that stand in print. Ours is the right figure, and far from the printed one.
func TestPublishedSlips(t *testing.T) {
	formula := func(f unit.Flow, speed unit.Speed, width unit.Length) float64 {
		r, problems := calibrate.Formula{Flow: f, Speed: speed, Width: width}.Result("here")
		if problems.HasErrors() {
			t.Error(problems)
		}
		return r.CarrierRate.In(unit.GallonPerAcre)
	}
	wheel := func(caught unit.Mass, turns float64) float64 {
		r, problems := calibrate.SpreaderTest{Kind: calibrate.Drop, Width: 8 * unit.Foot, Wheel: 9 * unit.Foot, Turns: turns,
			Trials: []calibrate.SpreaderTrial{{Caught: caught}}}.Result("here")
		if problems.HasErrors() {
			t.Error(problems)
		}
		return r.Rate.In(unit.PoundPerAcre)
	}
	filling := func(tank unit.Volume, rate unit.VolumePerArea) float64 {
		g, problems := mix.Recipe{Carrier: rate}.Filling(mix.Fill{Volume: tank, Fill: tank, Gauge: tank}, unit.US, "here")
		if problems.HasErrors() {
			t.Error(problems)
		}
		return g.Covers.In(unit.Acre)
	}
	// A pace in seconds over 33.3 m: the shorter time is the faster walk.
	faster := func(slow, quick unit.Time) float64 {
		course := 33.3 * unit.Metre
		return course.Per(quick).In(unit.MetrePerSecond) / course.Per(slow).In(unit.MetrePerSecond)
	}
	for _, c := range []struct {
		where                string
		ours, right, tol     float64
		printed              float64
		printedIn, rightUnit string
	}{
		{"Florida Pest Control Examinations, p. 213, Method I: a speed that is not in ft/min",
			formula(0.15*unit.GallonPerMinute, 5*unit.MilePerHour, 48*unit.Inch), 3.7, 0.05, 327, "gal/acre", "gal/acre"},
		{"the same page: 20 oz/min called .15 gal/min", (20 * unit.FluidOunce).During(unit.Minute).In(unit.GallonPerMinute), 0.156, 0.0005, 0.15, "gal/min", "gal/min"},
		{"Dry chemical applicator calibration, Univ. of Florida: 43 turns of the wheel for 43.56", wheel(20*unit.Pound, 43), 281, 0.5, 277, "lb/acre", "lb/acre"},
		{"the same page: 29 pounds in the text, 20 in the sum", wheel(20*unit.Pound, 43) / wheel(29*unit.Pound, 43), 20.0 / 29, 1e-9, 1, "", ""},
		{"How to Calibrate a Handgun, Mesa County (CO): divide 150 by 25", filling(25*unit.Gallon, 150*unit.GallonPerAcre), 1.0 / 6, 1e-9, 6, "acre", "acre"},
		{"a fertilizer statistics page: a hectare of 2.471 yards", unit.Hectare.In(unit.Acre), 2.471, 0.0005, 2.471 * unit.SquareYard.In(unit.Acre), "acre", "acre"},
		{"the same page: an acre of 4,480 sq yd", unit.Acre.In(unit.SquareYard), 4840, 1e-6, 4480, "sq yd", "sq yd"},
		{"an irrigation circular: an acre-inch of 3,360 cubic ft", float64(unit.Acre) * float64(unit.Inch) / math.Pow(float64(unit.Foot), 3), 3630, 1e-6, 3360, "cubic ft", "cubic ft"},
		{"a spreader manual: an acre of 43,600 sq ft", unit.Acre.In(unit.SquareFoot), 43_560, 1e-6, 43_600, "sq ft", "sq ft"},
		{"the same manual: x 43.6 from 1,000 sq ft to an acre", unit.GallonPerThousand.In(unit.GallonPerAcre), 43.56, 1e-9, 43.6, "", ""},
		{"a sprayer manual: L/ha = gal/acre x 9.34", unit.GallonPerAcre.In(unit.LitrePerHectare), 9.354, 0.0005, 9.34, "L/ha", "L/ha"},
		{"Virginia DWR: a hectare of 107.640 sq ft", unit.Hectare.In(unit.SquareFoot), 107_639, 0.2, 107.640, "sq ft", "sq ft"},
		{"a knapsack course: 55 s, slightly slow down to 50 s", faster(55, 50), 1.1, 1e-9, 50.0 / 55, "", ""},
		// DEFRA's 3.2 to 6.5 km/h is force 2 at the height of the spray (from memory); Victoria's table, health.vic.gov.au, has
		// 6 to 11 km/h. Which one a figure is only its height tells, so that the unit alone must not: 6.5 km/h is 4.0 mph in both.
		{"DEFRA: force 2 is 3.2 to 6.5 km/h, without its height", (6.5 * unit.KilometrePerHour).In(unit.MilePerHour), 4.04, 0.005, 6.5, "mph", "mph"},
	} {
		if !(math.Abs(c.ours-c.right) <= c.tol) {
			t.Errorf("%s: got %.6g %s, want %g", c.where, c.ours, c.rightUnit, c.right)
		}
		if math.Abs(c.ours-c.printed) <= 2*c.tol {
			t.Errorf("%s: got the printed slip, %g %s", c.where, c.printed, c.printedIn)
		}
	}
}

// Working factors of the trade that are no conversions: an ounce of weight is no fluid ounce, and
// a 30 mL cup is not one either.
func TestOuncesStayApart(t *testing.T) {
	for text, want := range map[string]string{"4 oz": "fl oz", "4 oz/1000 sq ft": "oz wt"} {
		if _, err := unit.Parse(text); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: got %v, want it refused with the choice of %s", text, err, want)
		}
	}
	if unit.FluidOunce.In(unit.Millilitre) == 30 {
		t.Error("a fluid ounce of 30 mL")
	}
}
