package calc_test

import (
	"math"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// figure is one result and what it is by hand, to seven figures.
type figure struct {
	name      string
	got, want float64
}

func hold(t *testing.T, figures []figure) {
	t.Helper()
	for _, f := range figures {
		if !(math.Abs(f.got-f.want) <= 5e-7*math.Abs(f.want)) {
			t.Errorf("%s: got %.8g, want %.8g", f.name, f.got, f.want)
		}
	}
}

// must gives a result that has no error.
func must[R any](t *testing.T) func(R, problem.List) R {
	return func(r R, ps problem.List) R {
		t.Helper()
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		return r
	}
}

// Every method of calibration, worked by hand beside each line.
func TestCalibrationsByHand(t *testing.T) {
	ft, gal, floz, perAcre, mph := unit.Foot, unit.Gallon, unit.FluidOunce, unit.GallonPerAcre, unit.MilePerHour
	gun := must[calibrate.CatchResult](t)(calibrate.Catch{Course: 200 * ft, Spacing: 5 * ft, Runs: []unit.Time{77, 79, 78}, Caught: 5.25 * gal, CaughtIn: 60}.Outcome(""))
	metric := must[calibrate.CatchResult](t)(calibrate.Catch{Course: 50 * unit.Metre, Spacing: 2 * unit.Metre, Runs: []unit.Time{48, 50, 49}, Caught: 8.2 * unit.Litre, CaughtIn: 60}.Outcome(""))
	refill := must[calibrate.RefillResult](t)(calibrate.Refill{Course: 100 * ft, Spacing: 5 * ft, Passes: 4, Trials: []calibrate.RefillTrial{{Refilled: 3.9 * gal, Took: 100}, {Refilled: 4.1 * gal, Took: 100}}}.Result(""))
	var ten, six []unit.Volume
	for range 10 {
		ten = append(ten, 20*floz)
	}
	for range 6 {
		six = append(six, 400*unit.Millilitre)
	}
	boom := must[calibrate.BoomResult](t)(calibrate.Boom{Spacing: 20 * unit.Inch, Catches: ten, CatchTime: 30, Speed: 4 * mph}.Result(""))
	boomM := must[calibrate.BoomResult](t)(calibrate.Boom{Spacing: 50 * unit.Centimetre, Catches: six, CatchTime: 30, Speed: 6 * unit.KilometrePerHour}.Result(""))
	ride := must[calibrate.BoomResult](t)(calibrate.RideOn{Wetted: 30 * ft, Catches: []unit.Volume{4 * gal}, CatchTime: 30, Speed: 4 * mph}.Result(""))
	nozzle := must[calibrate.OuncesResult](t)(calibrate.Ounces{Width: 40 * unit.Inch, Course: 102 * ft, Runs: []unit.Time{17, 17, 17}, Catches: []unit.Volume{14 * floz}}.Result(""))
	pack := must[calibrate.OuncesResult](t)(calibrate.Backpack{Width: unit.Metre, Course: 25 * unit.Metre, Runs: []unit.Time{39, 39, 39}, Catches: []unit.Volume{600 * unit.Millilitre}}.Result(""))
	sum := must[calibrate.FormulaResult](t)(calibrate.Formula{Flow: 0.4 * unit.GallonPerMinute, Speed: 3 * mph, Width: 20 * unit.Inch}.Result(""))
	hose := must[calibrate.HoseEndResult](t)(calibrate.HoseEnd{Area: 500 * unit.SquareFoot, Draws: []calibrate.Draw{{Start: 16 * floz, End: 8 * floz, Took: 60}}, Bucket: 2.4 * gal, BucketTime: 60}.Result(""))
	dense := func(caught, sprayed unit.Density) float64 {
		c := calibrate.Catch{Area: unit.Thousand, Runs: []unit.Time{60, 60, 60}, Caught: 2 * gal, Setup: calibrate.Setup{Density: caught}, Use: calibrate.Use{Density: sprayed}}
		return must[calibrate.CatchResult](t)(c.Outcome("")).Sprayed.In(unit.GallonPerThousand)
	}
	hold(t, []figure{
		{"gun: 5.25 x 78 / 60", gun.CarrierRate.In(unit.GallonPerThousand), 6.825},
		{"pace: 200 / 78 x 3600 / 5280", gun.Pace.In(mph), 1.748252},
		{"metric gun: 8.2 x 49 / 60 L on 100 m2", metric.CarrierRate.In(unit.LitrePerHectare), 669.6667},
		{"refill: 4 gal on 2,000 sq ft", refill.CarrierRate.In(unit.GallonPerThousand), 2},
		{"refill, flow: 4 gal in 100 s", refill.Flow.In(unit.GallonPerMinute), 2.4},
		{"boom: 5940 x 0.3125 / (4 x 20)", boom.CarrierRate.In(perAcre), 23.203125},
		{"metric boom: 60000 x 0.8 / (6 x 50)", boomM.CarrierRate.In(unit.LitrePerHectare), 160},
		{"ride-on: 495 x 8 / (4 x 24)", ride.CarrierRate.In(perAcre), 41.25},
		{"1/128 acre: 14 / 128 x 43560 / 340", nozzle.CarrierRate.In(perAcre), 14.01287},
		{"the rule: fluid ounces are gal/acre", nozzle.Rule.In(perAcre), 14},
		{"metric knapsack: 0.6 L x 400", pack.CarrierRate.In(unit.LitrePerHectare), 240},
		{"formula: 5940 x 0.4 / (3 x 20)", sum.CarrierRate.In(perAcre), 39.6},
		{"hose-end, product: 8 fl oz x 2", hose.Product.In(unit.FluidOuncePerThousand), 16},
		{"hose-end, carrier: 2.4 gal x 2", hose.CarrierRate.In(unit.GallonPerThousand), 4.8},
		{"hose-end, strength: 8 / 307.2", hose.Strength.In(unit.PercentByVolume), 2.604167},
		{"water caught, 10.65 sprayed: 2 / sqrt(10.65 / 8.34), less", dense(0, 10.65*unit.PoundPerGallon), 1.769857},
		{"12 caught, water sprayed: 2 x sqrt(12 / 8.34), more", dense(12*unit.PoundPerGallon, unit.Water), 2.399041},
	})
}

// What to change, and spreaders.
func TestAdviceByHand(t *testing.T) {
	ft, lb, mph, thousand := unit.Foot, unit.Pound, unit.MilePerHour, unit.PoundPerThousand
	press := func(c calibrate.PressureChange) calibrate.PressureResult {
		return must[calibrate.PressureResult](t)(c.Result(""))
	}
	to := must[calibrate.RateAdviceResult](t)(calibrate.RateAdvice{Setup: calibrate.Setup{Pressure: 40 * unit.PSI}, Rate: 2.1 * unit.GallonPerThousand, Wanted: 1.9 * unit.GallonPerThousand,
		Course: 88 * ft, Time: 20, Spacing: 7 * ft}.Result(""))
	speed := must[calibrate.SpeedResult](t)(calibrate.SpeedChange{Rate: 20 * unit.GallonPerAcre, Pace: 3 * mph, ToRate: 24 * unit.GallonPerAcre, Course: 220 * ft}.Result(""))
	rotary := must[calibrate.SpreaderResult](t)(calibrate.SpreaderTest{Kind: calibrate.Rotary, Width: 10 * ft, Course: 100 * ft, Wanted: 4.7 * thousand,
		Trials: []calibrate.SpreaderTrial{{Before: 40 * lb, After: 35 * lb}, {Before: 35 * lb, After: 29.9 * lb}, {Caught: 4.95 * lb}}}.Result(""))
	drop := must[calibrate.SpreaderResult](t)(calibrate.SpreaderTest{Kind: calibrate.Drop, Width: 3 * unit.Metre, Course: 50 * unit.Metre, Trials: []calibrate.SpreaderTrial{{Caught: 3}}}.Result(""))
	turns := must[calibrate.SpreaderResult](t)(calibrate.SpreaderTest{Kind: calibrate.Drop, Width: 8 * ft, Turns: 43, Wheel: 9 * ft, Trials: []calibrate.SpreaderTrial{{Caught: 20 * lb}}}.Result(""))
	var row []calibrate.Pan
	for i, depth := range []float64{0.4, 1.6, 3.2, 3.9, 4, 3.5, 2.4, 0.8, 0.1} {
		row = append(row, calibrate.Pan{At: unit.Length(2*(i-4)) * ft, Depth: unit.Length(depth) * unit.Inch})
	}
	pans := must[calibrate.PanResult](t)(calibrate.PanTest{Passes: 3, Pans: row}.Result(""))
	tried := []calibrate.SettingTrial{{Setting: 3, Rate: 2.1 * thousand}, {Setting: 5, Rate: 4.4 * thousand}, {Setting: 6, Rate: 5.6 * thousand}}
	passes := must[calibrate.PassResult](t)(calibrate.PassPlan{Tried: tried, Wanted: 4.6 * thousand, Spacing: 8.5 * ft}.Result(""))
	one, parallel, angles := passes.Options[0], passes.Options[1], passes.Options[2]
	hold(t, []figure{
		{"6.41 x sqrt(50 / 40)", press(calibrate.PressureChange{Flow: 6.41 * unit.GallonPerMinute, Pressure: 40 * unit.PSI, ToPressure: 50 * unit.PSI}).Flow.In(unit.GallonPerMinute), 7.166598},
		{"double the flow: 20 x 4", press(calibrate.PressureChange{Flow: unit.GallonPerMinute, Pressure: 20 * unit.PSI, ToFlow: 2 * unit.GallonPerMinute}).Pressure.In(unit.PSI), 80},
		{"metric, 1.2 of the flow: 3 bar x 1.44", press(calibrate.PressureChange{Flow: 10 * unit.LitrePerMinute, Pressure: 3 * unit.Bar, ToFlow: 12 * unit.LitrePerMinute}).Pressure.In(unit.Bar), 4.32},
		{"less rate, quicker: 3 x 2.1 / 1.9", to.Pace.Pace.In(mph), 3.315789},
		{"its time: 20 x 1.9 / 2.1", to.Pace.Time.In(unit.Second), 18.09524},
		{"less pressure: 40 x (1.9 / 2.1)^2", to.Pressure.Pressure.In(unit.PSI), 32.74376},
		{"a smaller nozzle: 1.9 gal on 1,000 sq ft at 7 ft x 264 ft/min", to.Nozzle.Flow.In(unit.GallonPerMinute), 3.5112},
		{"more rate, slower: 3 x 20 / 24", speed.Pace.In(mph), 2.5},
		{"220 ft at 220 ft/min", speed.Time.In(unit.Second), 60},
		{"rotary: (5 + 5.1 + 4.95) / 3", rotary.Rate.In(thousand), 5.016667},
		{"rotary, off: 5.016667 / 4.7 - 1", rotary.Off, 0.06737589},
		{"metric drop: 3 kg on 150 m2", drop.Rate.In(unit.KilogramPerHectare), 200},
		{"43 turns: 20 / 3,096 x 43,560", turns.Rate.In(unit.PoundPerAcre), 281.3953},
		{"swath: (4 + 2 x 1.2 / 1.6) + (4 + 2 x 0.4 / 1.6)", pans.Swath.In(ft), 10},
		{"overlap at +4 ft: 2.4 / 4 and, mirrored, 0.8 / 4", pans.Chosen.Catches[4], 0.8},
		{"overlap at -4 ft: 3.2 / 4 and, mirrored, 1.6 / 4", pans.Chosen.Catches[0], 1.2},
		{"one pass: 5 + 0.2 / 1.2, to a tenth", one.Setting.Setting, 5.2},
		{"half the rate: 3 + 2 x 0.2 / 2.3, to a tenth", parallel.Setting.Setting, 3.2},
		{"parallel: 2.3 at 8.5, walked at 4.25", (parallel.Rate * unit.MassPerArea(8.5*ft/parallel.Spacing)).In(thousand), 4.6},
		{"right angles: 2.3 twice at 8.5", (angles.Rate * unit.MassPerArea(angles.Passes) * unit.MassPerArea(8.5*ft/angles.Spacing)).In(thousand), 4.6},
	})
}

// Mixes: what is wanted, part tankfuls, a heel of another mix, what is left, rinses, weight.
func TestMixesByHand(t *testing.T) {
	gal, floz := unit.GallonPerThousand, unit.FluidOuncePerThousand
	feed := label.Product{Name: "Feed", Form: label.Liquid, Class: label.Soluble, Density: 10.65 * unit.PoundPerGallon, Analysis: label.Analysis{N: 0.28},
		Label: label.Label{Most: label.Rate{Liquid: 50 * floz}, Citation: "invented"}}
	light := feed
	light.Density, light.Analysis, light.Label.Most.Liquid = 1.2*unit.KilogramPerLitre, label.Analysis{N: 0.18}, 200*unit.LitrePerHectare
	dose := func(w mix.Wanted, carrier unit.VolumePerArea) mix.Dose { return must[mix.Dose](t)(w.At(carrier, "")) }
	weed := label.Product{Name: "Weed", Form: label.Liquid, Class: label.Emulsifiable, Label: label.Label{Most: label.Rate{Liquid: 5 * floz}, Citation: "invented"}}
	recipe := func(p label.Product, r unit.VolumePerArea) mix.Recipe {
		return mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{{Product: p, Rate: label.Rate{Liquid: r}}}}
	}
	tank := mix.Tank{Capacity: 100 * unit.Gallon, Heel: 2 * unit.Gallon}
	run := must[mix.Run](t)(recipe(feed, 4*floz).Run(120*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: recipe(weed, 4*floz)}, unit.US, ""))
	most := feed
	most.Label.Most.Liquid = 9 * floz
	left := must[mix.Leftover](t)(recipe(most, 6*floz).Leftover(6.25*unit.Gallon, unit.US, ""))
	rinse := must[mix.Rinse](t)(recipe(feed, 6*floz).Rinse(2*unit.Gallon, 10*unit.Gallon, 3, unit.US, ""))
	clean := must[mix.Rinse](t)(recipe(feed, 6*floz).RinseTo(2*unit.Gallon, 2, mix.CleanFactor, unit.US, ""))
	weight := must[mix.Weight](t)(mix.Truck{}.Weigh([]mix.Aboard{{Name: "t", Recipe: recipe(feed, 6*floz), Capacity: 200 * unit.Gallon, Fullest: 200 * unit.Gallon}}, nil, unit.US, ""))
	hold(t, []figure{
		{"0.5 lb N / (10.65 x 0.28) x 128", dose(mix.Wanted{Product: feed, Nutrient: "N", NutrientRate: 0.5 * unit.PoundPerThousand}, 2*gal).Rate.Liquid.In(floz), 21.46211},
		{"metric: 40 kg N / 0.18 / 1.2", dose(mix.Wanted{Product: light, Nutrient: "N", NutrientRate: 40 * unit.KilogramPerHectare}, 800*unit.LitrePerHectare).Rate.Liquid.In(unit.LitrePerHectare), 185.1852},
		{"0.25 % of 2 gal", dose(mix.Wanted{Product: feed, InMix: label.Strength{Liquid: unit.PercentByVolume / 4}}, 2*gal).Rate.Liquid.In(floz), 0.64},
		{"0.25 % of 100 gal is a quart", (label.Strength{Liquid: unit.PercentByVolume / 4}).In(100 * unit.Gallon).Liquid.In(unit.Quart), 1},
		{"first tankful: 90 gal on 10, feed for 100 / 2 x 4", run.Fillings[0].Portions[0].Amount.Liquid.In(unit.FluidOunce), 200},
		{"part tankful: 22 / 2 x 4", run.Fillings[1].Portions[0].Amount.Liquid.In(unit.FluidOunce), 44},
		{"weed of the heel on the first 49,000 sq ft: 20 x 98 / 100", run.Ground[0][1].Amount.Liquid.In(unit.FluidOunce), 19.6},
		{"and on the next 11,000: 0.4 x 22 / 24", run.Ground[1][1].Amount.Liquid.In(unit.FluidOunce), 0.3666667},
		{"feed on the first: 200 x 98 / 100 on 49", run.Ground[0][0].Rate.Liquid.In(floz), 4},
		{"room for half the rate: 6.25 gal brought to", left.Diluted.In(unit.Gallon), 12.5},
		{"over 12.5 / 2", left.AgainCovers.In(unit.SquareFoot), 6250},
		{"three rinses: (12 / 2)^3", rinse.Factor, 216},
		{"to a factor of 300 in two: 2 x (sqrt(300) - 1) = 32.64, up", clean.Each.In(unit.Gallon), 32.7},
		{"200 gal less 600 fl oz, x 8.34", weight.Total.In(unit.Pound), 1628.90625},
	})
}
