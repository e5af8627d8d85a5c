package calibrate_test

import (
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/calc/working/workingtest"
)

// boards are typical tests, one of each method and more where a method prints in several ways. The figures are invented.
func boards() (list []workingtest.Case) {
	return append(liquidBoards(), append(spreaderBoards(), adviceBoards()...)...)
}

func board[O working.Outcome](name string, procedure func(unit.System) []string, result func(string) (O, problem.List)) workingtest.Case {
	o, ps := result("here")
	return workingtest.Case{Name: name, Outcome: o, Problems: ps, Procedure: procedure}
}

func ounces(xs ...float64) (vs []unit.Volume) {
	for _, x := range xs {
		vs = append(vs, unit.Volume(x)*unit.FluidOunce)
	}
	return vs
}

func liquidBoards() []workingtest.Case {
	gun := calibrate.Catch{Course: 143 * unit.Foot, Spacing: 7 * unit.Foot, Runs: []unit.Time{33, 32, 34}, Caught: 2.1 * unit.Gallon,
		Setup: calibrate.Setup{Operator: "A", Applicator: "gun 1", Nozzle: "4 gal", Pressure: 40 * unit.PSI, Date: "2027-04-05", PumpFlow: 10 * unit.GallonPerMinute, Thrown: 7.1 * unit.Foot},
		Use:   calibrate.Use{Product: "feed", Density: 10.65 * unit.PoundPerGallon, Wanted: 2 * unit.GallonPerThousand, Spacing: 14 * unit.Foot}}
	wide := calibrate.Catch{Area: 300 * unit.SquareMetre, Course: 50 * unit.Metre, Passes: 3, Runs: []unit.Time{150, 148, 155}, CaughtIn: 60,
		Catches: []unit.Volume{8.2 * unit.Litre, 8.0 * unit.Litre, 8.1 * unit.Litre}, Use: calibrate.Use{Wanted: 700 * unit.LitrePerHectare}}
	refill := calibrate.Refill{Course: 100 * unit.Foot, Spacing: 5 * unit.Foot, Passes: 4, Trials: []calibrate.RefillTrial{{3.9 * unit.Gallon, 95}, {4.1 * unit.Gallon, 97}, {4 * unit.Gallon, 96}}}
	boom := calibrate.Boom{Spacing: 20 * unit.Inch, Catches: ounces(19.5, 20, 21.5, 19, 20), CatchTime: 30, Course: 200 * unit.Foot, Runs: []unit.Time{34, 34.5, 34}, NewFlow: 0.3 * unit.GallonPerMinute}
	ride := calibrate.RideOn{Wetted: 30 * unit.Foot, Catches: ounces(240, 300), Unlike: true, CatchTime: 30, Speed: 4 * unit.MilePerHour}
	nozzle := calibrate.Ounces{Width: 40 * unit.Inch, Course: 102 * unit.Foot, Runs: []unit.Time{17, 17, 17}, Catches: ounces(14)}
	pack := calibrate.Backpack{Width: 1 * unit.Metre, Course: 25 * unit.Metre, Runs: []unit.Time{38, 40, 39}, Catches: []unit.Volume{600 * unit.Millilitre, 610 * unit.Millilitre}}
	sum := calibrate.Formula{Flow: 0.4 * unit.GallonPerMinute, Speed: 3 * unit.MilePerHour, Width: 20 * unit.Inch}
	hose := calibrate.HoseEnd{Area: 500 * unit.SquareFoot, Draws: []calibrate.Draw{{16 * unit.FluidOunce, 8 * unit.FluidOunce, 61}, {16.4 * unit.FluidOunce, 8 * unit.FluidOunce, 63}},
		Bucket: 2.4 * unit.Gallon, BucketTime: 60, Wanted: 18 * unit.FluidOuncePerThousand}
	return []workingtest.Case{
		board("gun", gun.Procedure, gun.Outcome), board("gun on an area", wide.Procedure, wide.Outcome), board("refill", refill.Procedure, refill.Result),
		board("boom", boom.Procedure, boom.Result), board("ride-on", ride.Procedure, ride.Result), board("nozzle", nozzle.Procedure, nozzle.Result),
		board("backpack", pack.Procedure, pack.Result), board("formula", sum.Procedure, sum.Result), board("hose-end", hose.Procedure, hose.Result),
	}
}

func spreaderBoards() []workingtest.Case {
	lb, rate := unit.Pound, unit.PoundPerThousand
	rotary := calibrate.SpreaderTest{Setup: calibrate.Setup{Product: "granule"}, Kind: calibrate.Rotary, Setting: 4.25, Width: 10 * unit.Foot, Course: 100 * unit.Foot, Time: 25, Wanted: 4.7 * rate,
		Trials: []calibrate.SpreaderTrial{{Before: 40 * lb, After: 35 * lb}, {Before: 35 * lb, After: 29.9 * lb}, {Caught: 4.95 * lb}}}
	drop := calibrate.SpreaderTest{Kind: calibrate.Drop, Width: 8 * unit.Foot, Turns: 43, Wheel: 9 * unit.Foot, Trials: []calibrate.SpreaderTrial{{Caught: 20 * lb}}}
	tarp := calibrate.SpreaderTest{Kind: calibrate.Rotary, Area: 100 * unit.SquareFoot, Trials: []calibrate.SpreaderTrial{{Caught: 1 * lb}}}
	vials := calibrate.PanTest{Setting: 4, Passes: 3}
	for i, depth := range []float64{0.4, 1.6, 3.2, 3.9, 4, 3.5, 2.4, 0.8, 0.1} {
		vials.Pans = append(vials.Pans, calibrate.Pan{At: unit.Length(2*(i-4)) * unit.Foot, Depth: unit.Length(depth) * unit.Inch})
	}
	pans := calibrate.PanTest{Passes: 3, PanArea: 1 * unit.SquareFoot, Spacing: 7 * unit.Foot}
	for i, grams := range []float64{0.5, 5, 11, 15, 15, 11, 5, 0.5} {
		pans.Pans = append(pans.Pans, calibrate.Pan{At: unit.Length(2*i-7) * unit.Foot, Weight: unit.Mass(grams) * unit.Gram})
	}
	tried := []calibrate.SettingTrial{{Setting: 3, Rate: 2.1 * rate}, {Setting: 5, Rate: 4.4 * rate}, {Setting: 6, Rate: 5.6 * rate}}
	search := calibrate.SettingSearch{Tried: tried, Wanted: 3.6 * rate}
	falling := calibrate.SettingSearch{Tried: []calibrate.SettingTrial{{Setting: 3, Rate: 5.6 * rate}, {Setting: 3.4, Rate: 2.1 * rate}}, Wanted: 3 * rate, Step: 0.25}
	passes := calibrate.PassPlan{Tried: tried, Wanted: 4.6 * rate, Spacing: 8.5 * unit.Foot}
	open := calibrate.PassPlan{Tried: tried, Wanted: 4 * rate, Spacing: 12 * unit.Foot}
	return []workingtest.Case{
		board("rotary", rotary.Procedure, rotary.Result), board("drop by turns", drop.Procedure, drop.Result), board("tarp", tarp.Procedure, tarp.Result),
		board("pattern in vials", vials.Procedure, vials.Result), board("pattern by weight", pans.Procedure, pans.Result), board("setting", search.Procedure, search.Result),
		board("setting of a falling scale", falling.Procedure, falling.Result), board("passes", passes.Procedure, passes.Result), board("passes, half not tried", open.Procedure, open.Result),
	}
}

func adviceBoards() []workingtest.Case {
	rate := unit.PoundPerThousand
	change := calibrate.RateAdvice{Rate: 2.1 * unit.GallonPerThousand, Wanted: 1.9 * unit.GallonPerThousand, Course: 143 * unit.Foot, Time: 33, Spacing: 7 * unit.Foot}
	pressed := change
	pressed.Setup.Pressure, pressed.Wanted = 40*unit.PSI, 4.5*unit.GallonPerThousand
	spreader := calibrate.SpreaderAdvice{Rate: 4 * rate, Wanted: 4.6 * rate, Course: 100 * unit.Foot, Time: 12,
		Tried: []calibrate.SettingTrial{{Setting: 4, Rate: 4 * rate}, {Setting: 5, Rate: 5 * rate}}}
	alone := calibrate.SpreaderAdvice{Rate: 4 * rate, Wanted: 4.1 * rate}
	speed := calibrate.SpeedChange{Rate: 20 * unit.GallonPerAcre, Pace: 3 * unit.MilePerHour, ToPace: 6 * unit.MilePerHour, Course: 200 * unit.Foot}
	slower := calibrate.SpeedChange{Rate: 2 * unit.GallonPerThousand, Pace: 3 * unit.MilePerHour, ToRate: 2.4 * unit.GallonPerThousand}
	flow := calibrate.PressureChange{Flow: 6.41 * unit.GallonPerMinute, Pressure: 40 * unit.PSI, ToPressure: 50 * unit.PSI}
	double := calibrate.PressureChange{Flow: 0.5 * unit.GallonPerMinute, Pressure: 20 * unit.PSI, ToFlow: 1 * unit.GallonPerMinute}
	due := calibrate.CalibrationAge{Last: calibrate.Setup{Date: "2026-03-01", Operator: "A", Pressure: 40 * unit.PSI, Product: "granule"},
		Now: calibrate.Setup{Date: "2027-04-05", Operator: "B", Pressure: 46 * unit.PSI}, Since: 4, Granules: true, HoseChanged: true}
	check := calibrate.CalibrationAge{Last: calibrate.Setup{Date: "2027-03-01"}, Now: calibrate.Setup{Date: "2027-04-05", Operator: "B", Pressure: 40 * unit.PSI}}
	none := calibrate.CalibrationAge{Now: calibrate.Setup{Date: "2027-04-05"}}
	return []workingtest.Case{
		board("to a rate", change.Procedure, change.Result), board("to a rate, pressure noted", pressed.Procedure, pressed.Result), board("spreader to a rate", spreader.Procedure, spreader.Result),
		board("spreader, nothing tried", alone.Procedure, alone.Result), board("another pace", speed.Procedure, speed.Result), board("another rate", slower.Procedure, slower.Result),
		board("another pressure", flow.Procedure, flow.Result), board("another flow", double.Procedure, double.Result),
		board("due", nil, due.Due), board("check", nil, check.Due), board("first use", nil, none.Due),
	}
}

// What is printed of every method, in both systems.
func TestBoard(t *testing.T) { workingtest.Check(t, boards()) }
