package calibrate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

func seconds(ts ...float64) []unit.Time {
	runs := make([]unit.Time, len(ts))
	for i, t := range ts {
		runs[i] = unit.Time(t)
	}
	return runs
}

// Spray Gun (calibration page), Pesticide Environmental Stewardship, NC State, n.d.: a
// 5 ft swath makes a 200 ft course; runs of 77, 79 and 78 s; 5.25 gal caught in the mean time
// is 5.25 gal/1000 sq ft, 228.7 gal/acre.
func ExampleCatch_Result() {
	c := calibrate.Catch{Course: unit.Thousand.Divide(5 * unit.Foot), Spacing: 5 * unit.Foot,
		Runs: seconds(77, 79, 78), Caught: 5.25 * unit.Gallon}
	r, problems := c.Result("day.yaml:12 operators[0].tests[0]")
	fmt.Println(unit.US.Length(c.Course), "in", r.Mean.In(unit.Second), "s")
	fmt.Println(unit.US.CarrierRate(r.CarrierRate), "=", unit.Number(r.CarrierRate.In(unit.GallonPerAcre), 1), "gal/acre")
	fmt.Println(unit.US.Speed(r.Pace), unit.US.Flow(r.Flow), len(problems), "problems")
	// Output:
	// 200 ft in 78 s
	// 5.25 gal/1000 sq ft = 228.7 gal/acre
	// 1.7 mph 4.04 gal/min 0 problems
}

func TestResult(t *testing.T) {
	floz := unit.FluidOunce
	for _, c := range []struct {
		name      string
		catch     calibrate.Catch
		want, tol float64 // gal/acre
	}{
		// How to Calibrate a Handgun, Mesa County (CO) Weed & Pest, n.d.: 150 fl oz on an 18.5 ft
		// square is 150 gal/acre by the 1/128 acre rule; the square is 342.25 sq ft, not 340.3,
		// so that it is 149.2. Walked here in three passes.
		{"18.5 ft square", calibrate.Catch{Course: 3 * 18.5 * unit.Foot, Spacing: 18.5 * unit.Foot / 3, Runs: seconds(75, 75, 75),
			Caught: 150 * floz, CaughtIn: 75}, 149.2, 0.05},
		// The shape does not matter, the area does.
		{"10 by 34 ft", calibrate.Catch{Course: 34 * unit.Foot, Spacing: 10 * unit.Foot, Runs: seconds(75, 75, 75),
			Caught: 150 * floz}, 150, 0.2},
		// Hose-end Sprayer Calibration (turf), Pesticide Environmental Stewardship, n.d.: 250 sq ft,
		// 1.25 gal in 20 s; 5 gal/1000 sq ft worked out here = 217.8 gal/acre.
		{"250 sq ft", calibrate.Catch{Course: 50 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(20, 20, 20),
			Caught: 1.25 * unit.Gallon}, 217.8, 0.05},
		// Ounces Equal Gallons, LSU AgCenter, n.d.: one nozzle per 40 in, 102 ft in 17 s, 14 fl oz.
		{"boom nozzle", calibrate.Catch{Course: 102 * unit.Foot, Spacing: 40 * unit.Inch, Runs: seconds(17, 17, 17),
			Caught: 14 * floz}, 14, 0.1},
		// Florida Pest Control Examinations, p. 213, Method II, n.d.: 12 gal over 660 ft by 10 ft.
		{"660 ft", calibrate.Catch{Course: 660 * unit.Foot, Spacing: 10 * unit.Foot, Runs: seconds(120, 120, 120),
			Caught: 12 * unit.Gallon}, 79.2, 0.05},
		// A catch of twice the time brings twice the volume and says the same.
		{"caught for longer", calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(77, 79, 78),
			Caught: 10.5 * unit.Gallon, CaughtIn: 156}, 228.7, 0.05},
	} {
		r, problems := c.catch.Result("here")
		if len(problems) > 0 {
			t.Errorf("%s: %v", c.name, problems)
		}
		if got := r.CarrierRate.In(unit.GallonPerAcre); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: got %.2f gal/acre, want %g", c.name, got, c.want)
		}
	}
}

// The costliest slip of the trade: a course walked for the thrown width, passes spaced at half
// of it. The same catch then stands for half the area, and the rate is double.
func TestSpacingIsTheRate(t *testing.T) {
	c := calibrate.Catch{Course: 100 * unit.Foot, Spacing: 10 * unit.Foot, Runs: seconds(30, 30, 30), Caught: 2 * unit.Gallon}
	thrown, _ := c.Result("")
	c.Spacing /= 2
	walked, _ := c.Result("")
	if ratio := float64(walked.CarrierRate / thrown.CarrierRate); math.Abs(ratio-2) > 1e-12 {
		t.Errorf("half the spacing: got %g times the rate, want 2", ratio)
	}
}

func TestProblems(t *testing.T) {
	good := calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(77, 79, 78), Caught: 5.25 * unit.Gallon}
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.Catch)
		want  string // codes
	}{
		{"good", func(*calibrate.Catch) {}, ""},
		{"empty", func(c *calibrate.Catch) { *c = calibrate.Catch{} }, "course-zero swath-zero too-few-runs catch-zero"},
		{"two runs", func(c *calibrate.Catch) { c.Runs = c.Runs[:2] }, "too-few-runs"},
		{"a zero run", func(c *calibrate.Catch) { c.Runs[1] = 0 }, "run-zero"},
		{"two bad runs", func(c *calibrate.Catch) { c.Runs = seconds(-1, 78, nan) }, "run-zero run-zero"},
		{"no catch", func(c *calibrate.Catch) { c.Caught = 0 }, "catch-zero"},
		{"endless catch", func(c *calibrate.Catch) { c.Caught = unit.Volume(inf) }, "catch-zero"},
		{"NaN course", func(c *calibrate.Catch) { c.Course = unit.Length(nan) }, "course-zero"},
		{"negative spacing", func(c *calibrate.Catch) { c.Spacing = -5 }, "swath-zero"},
		{"feet for inches", func(c *calibrate.Catch) { c.Spacing = 84 * unit.Foot }, "absurd"},
		{"inches for feet", func(c *calibrate.Catch) { c.Spacing = 5 * unit.Inch }, "absurd"},
		{"least spacing", func(c *calibrate.Catch) { c.Spacing, c.Caught = 6*unit.Inch, unit.Gallon }, ""},
		{"minutes for seconds", func(c *calibrate.Catch) { c.Runs, c.CaughtIn = seconds(77*60, 79*60, 78*60), 78 }, "absurd absurd"},
		{"a sprint", func(c *calibrate.Catch) { c.Runs = seconds(10, 10, 10) }, "absurd"},
		{"ounces for gallons", func(c *calibrate.Catch) { c.Caught = 5.25 * unit.FluidOunce }, "absurd"},
		{"gallons for ounces", func(c *calibrate.Catch) { c.Caught = 150 * unit.Gallon }, "absurd"},
		{"negative catch time", func(c *calibrate.Catch) { c.CaughtIn = -1 }, "catch-time-negative"},
		{"negative pressure", func(c *calibrate.Catch) { c.Pressure = -40 * unit.PSI }, "pressure-negative"},
		{"spread of 10 %", func(c *calibrate.Catch) { c.Runs = seconds(95, 100, 105) }, ""},
		{"spread of 11 %", func(c *calibrate.Catch) { c.Runs = seconds(94.5, 100, 105.5) }, "pace-uneven"},
	} {
		catch := good
		catch.Runs = append([]unit.Time(nil), good.Runs...)
		c.spoil(&catch)
		r, problems := catch.Result("day.yaml:12")
		var codes []string
		for _, p := range problems {
			codes = append(codes, p.Code)
			if p.Where != "day.yaml:12" || p.Severity == "" || p.What == "" || !strings.HasSuffix(p.Fix, ".") {
				t.Errorf("%s: half a problem: %+v", c.name, p)
			}
		}
		if got := strings.Join(codes, " "); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if given := r.CarrierRate > 0; given == problems.HasErrors() {
			t.Errorf("%s: a rate of %v beside %v", c.name, r.CarrierRate, problems)
		}
	}
}

// Whatever is entered, the result is finite and positive or there is an error; and flow x
// mean time put on the course's area is the carrier rate.
func TestResultIsSound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := []float64{
			rapid.Float64Range(10, 60).Draw(t, "course"), rapid.Float64Range(0.3, 5).Draw(t, "spacing"),
			rapid.Float64Range(20, 60).Draw(t, "run"), rapid.Float64Range(20, 60).Draw(t, "run"), rapid.Float64Range(20, 60).Draw(t, "run"),
			rapid.Float64Range(0.002, 0.02).Draw(t, "m3 caught"), rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(10, 100)).Draw(t, "caught in"),
		}
		if i := rapid.IntRange(0, 2*len(f)).Draw(t, "spoilt"); i < len(f) {
			f[i] = rapid.OneOf(rapid.Float64(), rapid.Just(math.NaN()), rapid.Just(math.Inf(1))).Draw(t, "with")
		}
		c := calibrate.Catch{Course: unit.Length(f[0]), Spacing: unit.Length(f[1]), Runs: seconds(f[2:5]...),
			Caught: unit.Volume(f[5]), CaughtIn: unit.Time(f[6])}
		r, problems := c.Result("")
		if problems.HasErrors() {
			if r != (calibrate.Result{}) {
				t.Fatalf("figures beside errors: %+v", r)
			}
			return
		}
		for _, x := range []float64{float64(r.Area), float64(r.Mean), float64(r.Pace), float64(r.Flow), float64(r.CarrierRate)} {
			if !(x > 0) || math.IsInf(x, 0) {
				t.Fatalf("%+v of %+v", r, c)
			}
		}
		if put := r.CarrierRate.Over(r.Area); math.Abs(float64(put/r.Flow.For(r.Mean)-1)) > 1e-12 {
			t.Fatalf("%v on the course, %v out of the gun", put, r.Flow.For(r.Mean))
		}
	})
}
