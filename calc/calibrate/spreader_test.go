package calibrate_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// sound fails when a working does not lead to its result, or a printed line is empty or no number.
func sound(t interface {
	Helper()
	Errorf(string, ...any)
}, name string, o working.Outcome) {
	t.Helper()
	for _, s := range []unit.System{unit.US, unit.Metric} {
		w := o.Working(s)
		if err := w.Verify(); err != nil || len(w) == 0 {
			t.Errorf("%s, %s: %v in\n%s", name, s, err, w.Text())
		}
		text := w.Text()
		for _, f := range o.Facts(s) {
			if f.Name == "" || f.Text == "" {
				t.Errorf("%s, %s: half a fact: %+v", name, s, f)
			}
			text += f.Text
		}
		for _, bad := range []string{"NaN", "Inf", "%!"} {
			if strings.Contains(text, bad) {
				t.Errorf("%s, %s: prints %s in\n%s", name, s, bad, text)
			}
		}
	}
}

// codes lists the codes in order, and fails on half a problem.
func codes(t *testing.T, name string, ps problem.List) string {
	t.Helper()
	var list []string
	for _, p := range ps {
		list = append(list, p.Code)
		if p.Where != "here" || p.Severity == "" || p.What == "" || !strings.HasSuffix(p.Fix, ".") || strings.Contains(p.What, "%!") {
			t.Errorf("%s: half a problem: %+v", name, p)
		}
	}
	return strings.Join(list, " ")
}

// Calibrating Your Spreader, NC Cooperative Extension, Onslow County, 2017: an 8 ft swath makes a course
// of 125 ft; the weights are invented. Rotary Spreader Calibration Procedures, UMass Extension, n.d.: 4.75 to 5.25
// is accepted for 5.00.
func ExampleSpreaderTest_Result() {
	test := calibrate.SpreaderTest{Kind: calibrate.Rotary, Setting: 5.5, Width: 8 * unit.Foot, Course: unit.Thousand.Divide(8 * unit.Foot),
		Time: 28.4, Wanted: 5 * unit.PoundPerThousand, Trials: []calibrate.SpreaderTrial{
			{Before: 45 * unit.Pound, After: 39.8 * unit.Pound},
			{Before: 39.8 * unit.Pound, After: 34.7 * unit.Pound},
			{Before: 34.7 * unit.Pound, After: 29.7 * unit.Pound}}}
	r, problems := test.Result("here")
	fmt.Println(unit.US.Length(test.Course), len(problems), "problems")
	for _, f := range r.Facts(unit.US) {
		fmt.Printf("%s: %s\n", f.Name, f.Text)
	}
	// Output:
	// 125 ft 0 problems
	// product rate: 5.10 lb/1000 sq ft (222.2 lb/acre)
	// wanted: 5.00 lb/1000 sq ft; accepted from 4.75 lb/1000 sq ft to 5.25 lb/1000 sq ft
	// off the wanted rate: +2.0 %
	// judgement: within 5 % of the wanted rate: accept
	// setting: 5.5 on the spreader's own scale
	// pass spacing: 8.0 ft
	// area of a trial: 1,000 sq ft
	// put out in a trial: 5.10 lb, mean of 3
	// spread of the trials: 3.9 % of their mean
	// pace: 3.00 mph (125 ft in 28.4 s)
}

// caught is a test with one weight swept up from the given ground.
func caught(m unit.Mass, ground calibrate.SpreaderTest) calibrate.SpreaderTest {
	if ground.Kind == "" {
		ground.Kind = calibrate.Drop
	}
	ground.Trials = []calibrate.SpreaderTrial{{Caught: m}}
	return ground
}

func TestSpreader(t *testing.T) {
	thousand, acre := unit.PoundPerThousand, unit.PoundPerAcre
	for _, c := range []struct {
		name      string
		test      calibrate.SpreaderTest
		in        unit.MassPerArea
		want, tol float64
	}{
		// Calibrating Your Spreader, NC Cooperative Extension, Onslow County, 2017: a tarp of 10 by 10 ft, times 10.
		{"tarp", caught(unit.Pound, calibrate.SpreaderTest{Kind: calibrate.Rotary, Area: (10 * unit.Foot).By(10 * unit.Foot)}), thousand, 10, 0.01},
		// How to calibrate a drop spreader, consumer magazine, 2006: 0.5 lb on 50 sq ft.
		{"drop spreader", caught(unit.Pound/2, calibrate.SpreaderTest{Course: 25 * unit.Foot, Width: 2 * unit.Foot}), thousand, 10, 0.01},
		// Dry chemical applicator calibration, Table 2, Univ. of Florida Agricultural Extension, n.d.: 20 lb, 8 ft,
		// 43 turns of 9 ft. The table prints 277, with 43 turns for 43.56; its text says 29 pounds where its sum takes
		// 20. 20 lb on 43 x 9 ft x 8 ft = 3,096 sq ft is 281.4 lb/acre.
		{"43 turns", caught(20*unit.Pound, calibrate.SpreaderTest{Turns: 43, Wheel: 9 * unit.Foot, Width: 8 * unit.Foot}), acre, 281.4, 0.05},
		{"43.56 turns", caught(20*unit.Pound, calibrate.SpreaderTest{Turns: 43.56, Wheel: 9 * unit.Foot, Width: 8 * unit.Foot}), acre, 277.78, 0.01},
		{"29 pounds are not what was reckoned", caught(29*unit.Pound, calibrate.SpreaderTest{Turns: 43, Wheel: 9 * unit.Foot, Width: 8 * unit.Foot}), acre, 408.0, 0.1},
		// Fundamentals of Tropical Turf Management, appendix: 2 kg/100 m2 is 120 g on 6 m2.
		{"metric", caught(120*unit.Gram, calibrate.SpreaderTest{Course: 10 * unit.Metre, Width: 0.6 * unit.Metre}), unit.Kilogram.Per(100 * unit.SquareMetre), 2, 1e-9},
		// A spreader manual has 43,600 sq ft to the acre and multiplies by 43.6: an acre is 43,560.
		{"acre", caught(43.56*unit.Pound, calibrate.SpreaderTest{Area: unit.Acre}), acre, 43.56, 1e-9},
		{"acre by its feet", caught(43.56*unit.Pound, calibrate.SpreaderTest{Course: 4356 * unit.Foot, Width: 10 * unit.Foot}), thousand, 1, 1e-9},
	} {
		r, problems := c.test.Result("here")
		if got := codes(t, c.name, problems); got != "few-trials" {
			t.Errorf("%s: got %q, want one trial to be called few", c.name, problems)
		}
		if got := r.Rate.In(c.in); math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: got %.4f, want %g", c.name, got, c.want)
		}
		sound(t, c.name, r)
		for _, line := range c.test.Procedure(unit.US) {
			if !strings.HasSuffix(line, ".") {
				t.Errorf("%s: %q", c.name, line)
			}
		}
	}
}

// 1 lb/1000 sq ft is 43.56 lb/acre, not 43.6 (a spreader manual's slip).
func TestPoundsPerAcre(t *testing.T) {
	if got := unit.PoundPerThousand.In(unit.PoundPerAcre); math.Abs(got-43.56) > 1e-9 {
		t.Errorf("got %v, want 43.56", got)
	}
}

// Rotary Spreader Calibration Procedures, UMass Extension, n.d.: 4.75 to 5.25 for 5.00; and the rule of 5 and 10 %.
func TestAcceptBand(t *testing.T) {
	least, most := calibrate.AcceptBand(5 * unit.PoundPerThousand)
	if l, m := least.In(unit.PoundPerThousand), most.In(unit.PoundPerThousand); math.Abs(l-4.75) > 1e-12 || math.Abs(m-5.25) > 1e-12 {
		t.Errorf("got %v to %v, want 4.75 to 5.25", l, m)
	}
	for _, c := range []struct {
		rate float64 // lb/1000 sq ft, 5 is wanted
		want calibrate.RateJudgement
	}{{4.75, calibrate.RateAccepted}, {5.25, calibrate.RateAccepted}, {5.26, calibrate.RateToAdjust}, {4.74, calibrate.RateToAdjust},
		{5.5, calibrate.RateToAdjust}, {4.5, calibrate.RateToAdjust}, {5.51, calibrate.RateRefused}, {4.49, calibrate.RateRefused}, {0, calibrate.RateRefused}} {
		if got := calibrate.JudgeRate((c.rate - 5) / 5); got != c.want {
			t.Errorf("%g for 5: got %s, want %s", c.rate, got, c.want)
		}
	}
	for _, off := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if got := calibrate.JudgeRate(off); got != calibrate.RateRefused {
			t.Errorf("%v: got %s, want refused", off, got)
		}
	}
}

func TestSpreaderProblems(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	lb := unit.Pound
	good := func() calibrate.SpreaderTest {
		return calibrate.SpreaderTest{Kind: calibrate.Rotary, Setting: 4, Width: 10 * unit.Foot, Course: 100 * unit.Foot, Time: 25, Wanted: 5 * unit.PoundPerThousand,
			Trials: []calibrate.SpreaderTrial{{Before: 40 * lb, After: 35 * lb}, {Before: 35 * lb, After: 29.9 * lb}, {Caught: 4.95 * lb, Before: 29.9 * lb}}}
	}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.SpreaderTest)
		want  string
	}{
		{"good", func(*calibrate.SpreaderTest) {}, ""},
		{"empty", func(s *calibrate.SpreaderTest) { *s = calibrate.SpreaderTest{} }, "unknown-kind course-zero swath-zero too-few-runs"},
		{"kind", func(s *calibrate.SpreaderTest) { s.Kind = "gun" }, "unknown-kind"},
		{"two grounds", func(s *calibrate.SpreaderTest) { s.Area = unit.Thousand }, "course-zero"},
		{"swath of 700 ft", func(s *calibrate.SpreaderTest) { s.Width = 700 * unit.Foot }, "absurd"},
		{"swath NaN", func(s *calibrate.SpreaderTest) { s.Width = unit.Length(nan) }, "swath-zero"},
		{"course without end", func(s *calibrate.SpreaderTest) { s.Course = unit.Length(inf) }, "course-zero"},
		{"course negative", func(s *calibrate.SpreaderTest) { s.Course = -1 }, "course-zero"},
		{"area negative", func(s *calibrate.SpreaderTest) { s.Course, s.Area = 0, -1 }, "area-zero"},
		{"turns without a wheel", func(s *calibrate.SpreaderTest) { s.Course, s.Turns = 0, 43 }, "wheel-zero"},
		{"a wheel without turns", func(s *calibrate.SpreaderTest) { s.Course, s.Wheel = 0, 9*unit.Foot }, "turns-zero"},
		{"turns NaN", func(s *calibrate.SpreaderTest) { s.Course, s.Turns, s.Wheel = 0, nan, 9*unit.Foot }, "turns-zero"},
		{"a wheel of inches as feet", func(s *calibrate.SpreaderTest) { s.Course, s.Turns, s.Wheel = 0, 10, 40*unit.Foot }, "wheel-zero"},
		{"30 mph", func(s *calibrate.SpreaderTest) { s.Time = 100 * unit.Foot.Over(30*unit.MilePerHour) }, "absurd"},
		{"time negative", func(s *calibrate.SpreaderTest) { s.Time = -3 }, "run-zero"},
		{"setting negative", func(s *calibrate.SpreaderTest) { s.Setting = -3 }, "setting-negative"},
		{"setting NaN", func(s *calibrate.SpreaderTest) { s.Setting = nan }, "setting-negative"},
		{"no trial", func(s *calibrate.SpreaderTest) { s.Trials = nil }, "too-few-runs"},
		{"empty trial", func(s *calibrate.SpreaderTest) { s.Trials[0] = calibrate.SpreaderTrial{} }, "catch-zero"},
		{"nothing spread", func(s *calibrate.SpreaderTest) { s.Trials[0].After = s.Trials[0].Before }, "catch-zero"},
		{"swapped", func(s *calibrate.SpreaderTest) {
			s.Trials[0] = calibrate.SpreaderTrial{Before: 35 * lb, After: 40 * lb}
		}, "more-than-hopper"},
		{"more caught than held", func(s *calibrate.SpreaderTest) { s.Trials[2].Caught = 30 * lb }, "more-than-hopper"},
		{"more lost than held", func(s *calibrate.SpreaderTest) { s.Trials[0].After = -2 * lb }, "weight-negative"},
		{"weight NaN", func(s *calibrate.SpreaderTest) { s.Trials[1].Before = unit.Mass(nan) }, "weight-negative"},
		{"weight without end", func(s *calibrate.SpreaderTest) { s.Trials[1].Before = unit.Mass(inf) }, "weight-negative"},
		{"ran empty", func(s *calibrate.SpreaderTest) { s.Trials[0].After = 0 }, "hopper-empty"},
		{"three weights", func(s *calibrate.SpreaderTest) { s.Trials[0].Caught = 5 * lb }, "two-weighings"},
		{"one trial", func(s *calibrate.SpreaderTest) { s.Trials = s.Trials[:1] }, "few-trials"},
		{"uneven", func(s *calibrate.SpreaderTest) { s.Trials[2].Caught = 4.5 * lb }, "trials-uneven"},
		{"7 % over", func(s *calibrate.SpreaderTest) { s.Wanted = 4.68 * unit.PoundPerThousand }, "rate-off"},
		{"20 % under", func(s *calibrate.SpreaderTest) { s.Wanted = 6.3 * unit.PoundPerThousand }, "rate-far-off"},
		{"ounces as pounds", func(s *calibrate.SpreaderTest) {
			s.Trials, s.Wanted = []calibrate.SpreaderTrial{{Caught: 1000 * lb}}, 0
		}, "absurd few-trials"},
		{"wanted negative", func(s *calibrate.SpreaderTest) { s.Wanted = -1 }, "rate-zero"},
		{"wanted per acre as per 1000", func(s *calibrate.SpreaderTest) { s.Wanted = 218 * unit.PoundPerThousand }, "absurd"},
	} {
		test := good()
		c.spoil(&test)
		r, problems := test.Result("here")
		if got := codes(t, c.name, problems); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if given := r.Rate > 0; given == problems.HasErrors() {
			t.Errorf("%s: a rate of %v beside %v", c.name, r.Rate, problems)
		}
		if r.Rate > 0 {
			sound(t, c.name, r)
		}
	}
}

// The mean rate over the area of all trials is all that was spread, whatever way the area is given.
func TestSpreaderMassBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		test := calibrate.SpreaderTest{Kind: rapid.SampledFrom([]calibrate.SpreaderKind{calibrate.Rotary, calibrate.Drop}).Draw(t, "kind"),
			Width: unit.Length(rapid.Float64Range(0.5, 18).Draw(t, "width")), Course: unit.Length(rapid.Float64Range(3, 300).Draw(t, "course")),
			Wanted: unit.MassPerArea(rapid.Float64Range(0.001, 0.9).Draw(t, "wanted"))}
		var spread unit.Mass
		for range rapid.IntRange(1, 5).Draw(t, "trials") {
			m := unit.Mass(rapid.Float64Range(0.01, 40).Draw(t, "loss"))
			after := unit.Mass(rapid.Float64Range(1, 50).Draw(t, "after"))
			test.Trials = append(test.Trials, calibrate.SpreaderTrial{Before: after + m, After: after})
			spread += (after + m) - after
		}
		r, problems := test.Result("here")
		if problems.HasErrors() {
			return
		}
		if back := r.Rate.Over(r.Area) * unit.Mass(len(test.Trials)); math.Abs(float64(back/spread-1)) > 1e-12 {
			t.Fatalf("%v on the ground, %v out of the hopper", back, spread)
		}
		sound(t, "drawn", r)
		turns := test
		turns.Course, turns.Wheel = 0, unit.Length(rapid.Float64Range(0.5, 3).Draw(t, "wheel"))
		turns.Turns = float64(test.Course / turns.Wheel)
		byTurns, _ := turns.Result("here")
		plot := test
		plot.Course, plot.Width, plot.Area = 0, 0, test.Course.By(test.Width)
		byArea, _ := plot.Result("here")
		for _, other := range []calibrate.SpreaderResult{byTurns, byArea} {
			if math.Abs(float64(other.Rate/r.Rate-1)) > 1e-12 {
				t.Fatalf("%v by one way, %v by another", r.Rate, other.Rate)
			}
			sound(t, "drawn", other)
		}
	})
}
