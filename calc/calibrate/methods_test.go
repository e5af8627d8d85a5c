package calibrate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// outcome checks what every method owes: figures without errors, workings that lead to them in both
// systems, and lines that are not empty.
func outcome(t testing.TB, name string, o working.Outcome, ps problem.List) {
	t.Helper()
	if ps.HasErrors() {
		t.Errorf("%s: %v", name, ps)
		return
	}
	for _, u := range []unit.System{unit.US, unit.Metric} {
		w := o.Working(u)
		if err := w.Verify(); err != nil || len(w) == 0 {
			t.Errorf("%s in %s: %d steps, %v", name, u, len(w), err)
		}
		text := w.Text()
		for _, f := range o.Facts(u) {
			if text += f.Text + "\n"; f.Name == "" || f.Text == "" {
				t.Errorf("%s in %s: half a line: %+v", name, u, f)
			}
		}
		if strings.Contains(text, "NaN") || strings.Contains(text, "Inf") || strings.Contains(text, "%!") {
			t.Errorf("%s in %s: %s", name, u, text)
		}
	}
}

func fluidOunces(xs ...float64) (vs []unit.Volume) {
	for _, x := range xs {
		vs = append(vs, unit.Volume(x)*unit.FluidOunce)
	}
	return vs
}

func wantRate(t testing.TB, name string, got unit.VolumePerArea, want, tol float64) {
	t.Helper()
	if x := got.In(unit.GallonPerAcre); !(math.Abs(x-want) <= tol) {
		t.Errorf("%s: got %.4f gal/acre, want %g within %g", name, x, want, tol)
	}
}

// The worked example of Spray Gun (calibration page), Pesticide Environmental Stewardship, NC State, n.d., as it is
// printed. By hand: 4.303 x 1 s / 1.7321 / 78 s = 3.2 %; 5.25 x 9.354 x 43.56 = 2,139 L/ha.
func ExampleCatch_Outcome() {
	c := calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(77, 79, 78), Caught: 5.25 * unit.Gallon,
		Use: calibrate.Use{Wanted: 5 * unit.GallonPerThousand}}
	r, _ := c.Outcome("day.yaml:12")
	for _, f := range r.Facts(unit.US) {
		fmt.Printf("%s: %s\n", f.Name, f.Text)
	}
	// Output:
	// carrier rate: 5.25 gal/1000 sq ft (228.7 gal/acre, 2,139 L/ha), within 3.2 % at 95 %
	// wanted: 5.00 gal/1000 sq ft (217.8 gal/acre, 2,037 L/ha); this is 5.0 % over
	// judgement: within 5 % of the wanted rate: accept
	// test liquid: water
	// ground: 200 ft x 5.0 ft = 1,000 sq ft
	// runs: 77.0, 79.0, 78.0 s; mean 78.0 s, standard deviation 1.0 s, spread 2.6 %
	// caught: 5.25 gal in 78.0 s
	// pace: 1.75 mph
	// flow: 4.04 gal/min
}

// How to Calibrate a Handgun, Mesa County (CO) Weed & Pest, n.d.: 150 fl oz in 75 s on an 18.5 ft square
// is called 150 gal/acre. The square is 342.25 sq ft and 1/128 acre 340.3, so that it is 149.2.
func ExampleOunces_Result() {
	side := 18.5 * unit.Foot
	o := calibrate.Ounces{Area: side.By(side), Runs: seconds(75, 75, 75), Catches: []unit.Volume{150 * unit.FluidOunce}}
	r, _ := o.Result("")
	fmt.Println("exact", unit.Number(r.CarrierRate.In(unit.GallonPerAcre), 1), "by the rule", unit.Number(r.Rule.In(unit.GallonPerAcre), 1))
	fmt.Println("pace", r.Pace.In(unit.MilePerHour))
	// Output:
	// exact 149.2 by the rule 150.0
	// pace 0
}

// Calibrating a cluster nozzle / boomless sprayer, LSU AgCenter, 2020: 80 % of 30 ft wetted is 24 ft.
func ExampleEffectiveSwath() {
	fmt.Println(unit.US.Length(calibrate.EffectiveSwath(30*unit.Foot, calibrate.BoomlessShare)))
	// Output: 24 ft
}

// Spray the Right Rate, reprint of Ohio State University Extension's 1/128-acre method, 2016: a nozzle
// outside 10 % of the mean is replaced; of 20 fl oz that is under 18 and over 22.
func ExampleNozzleLimits() {
	least, most := calibrate.NozzleLimits(20 * unit.FluidOunce)
	fmt.Println(unit.US.Liquid(least), unit.US.Liquid(most))
	// Output: 18.0 fl oz 22.0 fl oz
}

// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 3.75 gal/min, or 480 fl oz/min, over
// 222 in at 5 mph is 20 gal/acre; 5,940, 495 (feet for inches) and 136 (1,000 sq ft for an acre) come of
// the units.
func TestFormula(t *testing.T) {
	f := calibrate.Formula{Flow: (480 * unit.FluidOunce).During(unit.Minute), Speed: 5 * unit.MilePerHour, Width: 222 * unit.Inch}
	r, ps := f.Result("")
	outcome(t, "formula", r, ps)
	wantRate(t, "formula", r.CarrierRate, 20, 0.1)
	if w := r.Working(unit.US); !strings.Contains(w.Text(), "the trade's factor: 5,940 gal/acre") {
		t.Errorf("no 5,940 in %s", w.Text())
	}
	one := func(width unit.Length, in unit.VolumePerArea) float64 {
		return unit.GallonPerMinute.Sweeping(width, unit.MilePerHour).In(in)
	}
	for _, c := range []struct{ got, want, tol float64 }{
		{one(unit.Inch, unit.GallonPerAcre), 5940, 1e-9},
		{one(unit.Foot, unit.GallonPerAcre), 495, 1e-9},
		{one(unit.Inch, unit.GallonPerThousand), 136.36, 0.005},
		// 60,000 with L/min, km/h and cm (CRAN package AgroTech, n.d.)
		{unit.LitrePerMinute.Sweeping(unit.Centimetre, unit.KilometrePerHour).In(unit.LitrePerHectare), 60_000, 1e-6},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("got a factor of %v, want %v", c.got, c.want)
		}
	}
}

func TestOunces(t *testing.T) {
	// Ounces Equal Gallons, LSU AgCenter, n.d.: 40 in makes 102 ft; 14 fl oz in 17 s are 14 gal/acre.
	o := calibrate.Ounces{Width: 40 * unit.Inch, Runs: seconds(17, 17, 17), Catches: fluidOunces(14)}
	r, ps := o.Result("")
	outcome(t, "ounces", r, ps)
	wantRate(t, "ounces", r.CarrierRate, 14, 1e-9)
	wantRate(t, "ounces by the rule", r.Rule, 14, 1e-9)
	if steps := strings.Join(o.Procedure(unit.US), "\n"); !strings.Contains(steps, "course of 102 ft: 340.3 sq ft (1/128 acre) / 40.0 in") {
		t.Errorf("the course is not worked out: %s", steps)
	}
	// Sprayer calibration table for band-spraying, University of Florida Agricultural Extension, n.d.: 26 fl
	// oz on 300 ft of a 12 in band are 29.5 gal/acre. It is not 1/128 acre, so that the rule is silent.
	o = calibrate.Ounces{Width: 12 * unit.Inch, Course: 300 * unit.Foot, Runs: seconds(60, 60, 60), Catches: fluidOunces(26)}
	r, ps = o.Result("")
	outcome(t, "band", r, ps)
	wantRate(t, "band", r.CarrierRate, 29.5, 0.05)
	if r.Rule != 0 {
		t.Errorf("the rule speaks of %s", unit.US.Area(r.Area))
	}
}

func TestBackpack(t *testing.T) {
	// Backpack Sprayer Calibration Worksheet, NC State Extension, n.d.: 6 ft makes a course of 57 ft; 7.5 fl oz are
	// 7.5 gal/acre.
	b := calibrate.Backpack{Width: 6 * unit.Foot, Runs: seconds(20, 21, 19), Catches: fluidOunces(7.5)}
	r, ps := b.Result("")
	outcome(t, "backpack", r, ps)
	wantRate(t, "backpack", r.CarrierRate, 7.5, 1e-9)
	if got := (r.Area.Divide(r.Swath)).In(unit.Foot); math.Abs(got-57) > 0.5 {
		t.Errorf("got a course of %.2f ft, want 57", got)
	}
	// Calibrating your knapsack sprayer, step 5 of 6, n.d.: 25 m2 / 0.75 m is 33.3 m; 50 s is 0.67 m/s, 2.4 km/h; half
	// a litre (0.5 x 400) is 200 L/ha.
	b = calibrate.Backpack{Area: 25 * unit.SquareMetre, Width: 0.75 * unit.Metre, Runs: seconds(50, 50, 50), Catches: []unit.Volume{0.5 * unit.Litre}}
	r, ps = b.Result("")
	outcome(t, "knapsack", r, ps)
	if got := r.CarrierRate.In(unit.LitrePerHectare); math.Abs(got-200) > 1e-9 {
		t.Errorf("got %v L/ha, want 200", got)
	}
	if got := r.Pace.In(unit.KilometrePerHour); math.Abs(got-2.4) > 1e-9 || math.Abs(r.Pace.In(unit.MetrePerSecond)-0.67) > 0.005 {
		t.Errorf("got %v km/h, want 2.4", got)
	}
	if steps := strings.Join(b.Procedure(unit.Metric), "\n"); !strings.Contains(steps, "course of 33.3 m: 25 m2 / 0.75 m") || !strings.Contains(steps, "x 400 = litres a hectare") {
		t.Errorf("the course is not worked out: %s", steps)
	}
}

func TestRefill(t *testing.T) {
	// Florida Pest Control Examinations, p. 213, Method II, n.d.: 12 gal over 660 ft by 10 ft are 79.2 gal/acre.
	f := calibrate.Refill{Course: 660 * unit.Foot, Spacing: 10 * unit.Foot, Trials: []calibrate.RefillTrial{{Refilled: 12 * unit.Gallon}}}
	r, ps := f.Result("")
	outcome(t, "refill", r, ps)
	wantRate(t, "refill", r.CarrierRate, 79.2, 0.05)
	if r.Flow != 0 || r.Pace != 0 || r.Within != 0 || len(ps) != 1 || ps[0].Code != "one-trial" {
		t.Errorf("an untimed trial: %+v, %v", r.Result, ps)
	}
	// Fact Sheet 204, Colorado State University, 2006: 250 sq ft, output x 4 = per 1,000 sq ft. Hose-end Sprayer Calibration
	// (turf), Pesticide Environmental Stewardship, n.d.: 1.25 gal in 20 s. By hand: 3.75 gal/min.
	trial := calibrate.RefillTrial{Refilled: 1.25 * unit.Gallon, Took: 20}
	f = calibrate.Refill{Area: 250 * unit.SquareFoot, Spacing: 5 * unit.Foot, Trials: []calibrate.RefillTrial{trial, trial, trial}}
	r, ps = f.Result("")
	outcome(t, "timed refill", r, ps)
	if got := r.CarrierRate.In(unit.GallonPerThousand); math.Abs(got-5) > 1e-9 || math.Abs(r.Flow.In(unit.GallonPerMinute)-3.75) > 1e-9 {
		t.Errorf("got %v gal/1000 sq ft and %v, want 5 and 3.75 gal/min", got, r.Flow)
	}
}

func TestBoom(t *testing.T) {
	// By hand: four nozzles of 20, 20.5, 21.4 and 19.2 fl oz in 30 s, mean 20.275; the third is 5.55 % over and
	// the fourth 5.30 % under. Together 162.2 fl oz/min = 1.26719 gal/min over 80 in; 200 ft in 27.5 s is
	// 4.95868 mph; 5,940 x 1.26719 / (4.95868 x 80) = 18.975 gal/acre.
	b := calibrate.Boom{Spacing: 20 * unit.Inch, Catches: fluidOunces(20, 20.5, 21.4, 19.2), CatchTime: 30,
		Course: 200 * unit.Foot, Runs: seconds(27, 28, 27, 28), NewFlow: (40 * unit.FluidOunce).During(unit.Minute)}
	r, ps := b.Result("boom")
	outcome(t, "boom", r, ps)
	wantRate(t, "boom", r.CarrierRate, 18.975, 0.001)
	if got := codeLine(ps); got != "nozzle-uneven nozzle-uneven" {
		t.Errorf("got %s", got)
	}
	if !strings.Contains(ps[0].What, "nozzle 3 of 4") || !strings.Contains(ps[1].What, "nozzle 4 of 4") {
		t.Errorf("the wrong nozzles: %v", ps)
	}
	// One of twelve is 12 % off: the boom is refused and its table is still there.
	b.Catches = fluidOunces(20, 20, 20, 23)
	if _, ps = b.Result("boom"); codeLine(ps) != "nozzle-worn nozzle-off" || !strings.Contains(ps[1].What, "nozzle 4 of 4 gave 23.0 fl oz (680 mL), 10.8 % over") {
		t.Errorf("got %v", ps)
	}
	if list := calibrate.CheckNozzles(b.Catches, b.CatchTime); len(list) != 4 || list[3].Verdict != calibrate.NozzleReject || list[0].Verdict != calibrate.NozzleGood {
		t.Errorf("got %+v", list)
	}
	if list := calibrate.CheckNozzles(fluidOunces(20, 0), 30); list != nil {
		t.Errorf("a table of a zero catch: %+v", list)
	}
}

// Just 5 % and just 10 % off are still good and watched.
func TestNozzleBounds(t *testing.T) {
	list := calibrate.CheckNozzles(fluidOunces(19, 21, 18, 22, 20, 17.9, 22.1), 60)
	want := []calibrate.NozzleVerdict{calibrate.NozzleGood, calibrate.NozzleGood, calibrate.NozzleWatch, calibrate.NozzleWatch,
		calibrate.NozzleGood, calibrate.NozzleReject, calibrate.NozzleReject}
	for i, n := range list {
		if n.Verdict != want[i] {
			t.Errorf("nozzle %d, %.4f off: got %q, want %q", i+1, n.Off, n.Verdict, want[i])
		}
	}
}

func TestRideOn(t *testing.T) {
	// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 480 fl oz/min over 222 in at 5 mph, 20 gal/acre.
	o := calibrate.RideOn{Swath: 222 * unit.Inch, Catches: fluidOunces(240, 240), CatchTime: 60, Speed: 5 * unit.MilePerHour}
	r, ps := o.Result("")
	outcome(t, "ride-on", r, ps)
	wantRate(t, "ride-on", r.CarrierRate, 20, 0.1)
	if r.Within != 0 {
		t.Errorf("a speed that was read is known within %v", r.Within)
	}
	// By hand: 30 ft wetted, 24 ft; 100 ft in 20 and 30 s, mean 25 s, is 4 ft/s; 2 gal/min / (24 ft x 240 ft/min) is
	// 2 / 5,760 sq ft, 15.125 gal/acre. The mean of the speeds, 4.1667 ft/s, would say 14.52.
	o = calibrate.RideOn{Wetted: 30 * unit.Foot, Catches: []unit.Volume{2 * unit.Gallon}, CatchTime: 60, Course: 100 * unit.Foot, Runs: seconds(20, 30, 20, 30)}
	r, ps = o.Result("")
	outcome(t, "boomless", r, ps)
	wantRate(t, "boomless", r.CarrierRate, 15.125, 0.0005)
	if w := r.Working(unit.US).Text(); !strings.Contains(w, "source of share that counts: default, 80 %") {
		t.Errorf("the default is not shown: %s", w)
	}
	if codeLine(ps) != "pace-uneven" {
		t.Errorf("got %v", ps)
	}
	// Outlets that are not meant to be alike are not compared.
	o = calibrate.RideOn{Swath: 10 * unit.Foot, Catches: fluidOunces(60, 30), CatchTime: 60, Speed: 4 * unit.MilePerHour, Unlike: true}
	r, ps = o.Result("")
	outcome(t, "unlike outlets", r, ps)
	o.Unlike = false
	if _, ps = o.Result(""); codeLine(ps) != "nozzle-off nozzle-off" {
		t.Errorf("got %v", ps)
	}
}

func TestHoseEnd(t *testing.T) {
	// Hose-end Sprayer Calibration (turf), Pesticide Environmental Stewardship, n.d.: 250 sq ft, 1.25 gal in 20 s. By hand: 5
	// gal/1000 sq ft of spray; 1.5 fl oz drawn are 6 fl oz/1000 sq ft, 1.2 fl oz in a gallon.
	d := calibrate.Draw{Start: 16 * unit.FluidOunce, End: 14.5 * unit.FluidOunce, Took: 20}
	h := calibrate.HoseEnd{Area: 250 * unit.SquareFoot, Draws: []calibrate.Draw{d, d, d}, Bucket: 1.25 * unit.Gallon, BucketTime: 20,
		Wanted: 6 * unit.FluidOuncePerThousand}
	r, ps := h.Result("")
	outcome(t, "hose-end", r, ps)
	if got := r.CarrierRate.In(unit.GallonPerThousand); math.Abs(got-5) > 1e-9 {
		t.Errorf("got %v gal/1000 sq ft, want 5", got)
	}
	if got := r.Product.In(unit.FluidOuncePerThousand); math.Abs(got-6) > 1e-9 || math.Abs(r.Strength.In(unit.FluidOuncePerGallon)-1.2) > 1e-9 {
		t.Errorf("got %v fl oz/1000 sq ft at %v, want 6 at 1.2 fl oz/gal", got, r.Strength)
	}
	// Without a bucket there is a product rate and no carrier rate.
	h.Bucket, h.BucketTime, h.Draws = 0, 0, h.Draws[:1]
	r, ps = h.Result("")
	outcome(t, "no bucket", r, ps)
	if r.CarrierRate != 0 || r.Strength != 0 || r.Product == 0 || codeLine(ps) != "one-trial" {
		t.Errorf("got %+v, %v", r, ps)
	}
	h.Wanted = 5 * unit.FluidOuncePerThousand
	if r, ps = h.Result(""); codeLine(ps) != "one-trial product-far-off" {
		t.Errorf("20 %% over: %v", ps)
	}
	outcome(t, "off", r, ps)
}

func codeLine(ps problem.List) string {
	var list []string
	for _, p := range ps {
		list = append(list, p.Code)
	}
	return strings.Join(list, " ")
}
