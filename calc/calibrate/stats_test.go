package calibrate_test

import (
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

// The UNIVARIATE Procedure, Example 4.9 (computing confidence limits for the mean), SAS Institute,
// n.d.: the 95 % interval of 75 heights is 64.06 to 65.07.
func TestPublishedInterval(t *testing.T) {
	heights := []float64{64.1, 60.9, 64.1, 64.7, 66.7, 65.0, 63.7, 67.4, 64.9, 63.7,
		64.0, 67.5, 62.8, 63.9, 65.9, 62.3, 64.1, 60.6, 68.6, 68.6,
		63.7, 63.0, 64.7, 68.2, 66.7, 62.8, 64.0, 64.1, 62.1, 62.9,
		62.7, 60.9, 61.6, 64.6, 65.7, 66.6, 66.7, 66.0, 68.5, 64.4,
		60.5, 63.0, 60.0, 61.6, 64.3, 60.2, 63.5, 64.7, 66.0, 65.1,
		63.6, 62.0, 63.6, 65.8, 66.0, 65.4, 63.5, 66.3, 66.2, 67.5,
		65.8, 63.1, 65.8, 64.4, 64.0, 64.9, 65.7, 61.0, 64.1, 65.5,
		68.6, 66.6, 65.7, 65.1, 70.0}
	r, _ := calibrate.Catch{Course: 100 * unit.Foot, Spacing: 10 * unit.Foot, Runs: seconds(heights...), Caught: 2 * unit.Gallon}.Result("")
	half := r.Times.Half * r.Mean.In(unit.Second)
	if low, high := r.Mean.In(unit.Second)-half, r.Mean.In(unit.Second)+half; math.Abs(low-64.06) > 0.005 || math.Abs(high-65.07) > 0.005 {
		t.Errorf("got %.4f to %.4f, want 64.06 to 65.07", low, high)
	}
}

// NIST Technical Note 1297, Table B.1 (1994): t for 95 %, two decimals.
func TestStudentT(t *testing.T) {
	for _, c := range []struct {
		freedom int
		want    float64
	}{{1, 12.71}, {2, 4.30}, {3, 3.18}, {4, 2.78}, {5, 2.57}, {6, 2.45}, {7, 2.36}, {8, 2.31}, {9, 2.26}, {10, 2.23},
		{11, 2.20}, {12, 2.18}, {13, 2.16}, {14, 2.14}, {15, 2.13}, {16, 2.12}, {17, 2.11}, {18, 2.10}, {19, 2.09}, {20, 2.09},
		{25, 2.06}, {30, 2.04}, {35, 2.03}, {40, 2.02}, {45, 2.01}, {50, 2.01}, {100, 1.984}, {1 << 40, 1.960}} {
		if got := calibrate.StudentT(c.freedom); math.Abs(got-c.want) > 0.0051 {
			t.Errorf("%d degrees of freedom: got %.4f, want %g", c.freedom, got, c.want)
		}
	}
	for n := 1; n < 2000; n++ {
		if calibrate.StudentT(n+1) > calibrate.StudentT(n) {
			t.Fatalf("t rises from %d to %d degrees of freedom", n, n+1)
		}
	}
}

// By hand: 77, 79, 78 s have mean 78, standard deviation 1 and, with t = 4.303 for two degrees of
// freedom, 4.303 x 1 / 1.7321 / 78 = 3.185 %. Two catches of 5.2 and 5.3 gal: deviation 0.070711,
// 12.706 x 0.070711 / 1.4142 / 5.25 = 12.101 %; together the root of 3.185^2 + 12.101^2, 12.513 %.
func TestWithin(t *testing.T) {
	c := calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(77, 79, 78), Caught: 5.25 * unit.Gallon}
	r, _ := c.Result("")
	if math.Abs(r.Within-0.03185) > 5e-6 || r.Times.N != 3 || math.Abs(r.Times.Deviation-1/78.0) > 1e-12 {
		t.Errorf("one catch: got within %.5f, %+v", r.Within, r.Times)
	}
	c.Caught, c.Catches = 0, []unit.Volume{5.2 * unit.Gallon, 5.3 * unit.Gallon}
	if r, _ = c.Result(""); math.Abs(r.Within-0.12513) > 1e-5 {
		t.Errorf("two catches: got within %.5f, want 0.12513", r.Within)
	}
	// 3.182 x 1.2821 % / 2 = 2.04 % for four, so that four runs are sure of 2.1 %; and no runs of
	// one reading can tell.
	if n := r.Times.RunsFor(0.021); n != 4 {
		t.Errorf("got %d runs for 2.1 %%, want 4", n)
	}
	if n := (calibrate.Stats{N: 1}).RunsFor(0.05); n != 0 {
		t.Errorf("got %d runs from a single one, want 0", n)
	}
	if n := (calibrate.Stats{N: 3, Deviation: 0.5}).RunsFor(0.05); n != 0 {
		t.Errorf("got %d runs for a scatter of 50 %%, want none", n)
	}
}

// Whatever is measured: the order does not matter, the unit neither, more of the same scatter
// never makes less sure, and RunsFor is the least number that does it.
func TestStatsLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		times := rapid.SliceOfN(rapid.Float64Range(20, 60), 3, 40).Draw(t, "times")
		c := calibrate.Catch{Course: 40 * unit.Metre, Spacing: 2 * unit.Metre, Runs: seconds(times...), Caught: 8 * unit.Litre, CaughtIn: 60}
		a, problems := c.Result("")
		if problems.HasErrors() {
			t.Fatal(problems)
		}
		slices.Reverse(c.Runs)
		b, _ := c.Result("")
		if !near(a.Times.Deviation, b.Times.Deviation, 1e-9) || !near(a.Times.Spread, b.Times.Spread, 1e-9) {
			t.Fatalf("%+v backwards is %+v", a.Times, b.Times)
		}
		for i := range c.Runs {
			c.Runs[i] *= 1.5
		}
		if b, _ = c.Result(""); !near(a.Times.Half, b.Times.Half, 1e-9) {
			t.Fatalf("%+v in other units is %+v", a.Times, b.Times)
		}
		within := rapid.Float64Range(0.01, 0.2).Draw(t, "within")
		half := func(n int) float64 { return calibrate.StudentT(n-1) * a.Times.Deviation / math.Sqrt(float64(n)) }
		switch n := a.Times.RunsFor(within); {
		case n == 0 && a.Times.Deviation > 0 && half(60) <= within:
			t.Fatalf("no number of runs for %g, and 60 do", within)
		case n > 0 && (half(n) > within || n > 2 && half(n-1) <= within):
			t.Fatalf("%d runs for %g: %g, one less %g", n, within, half(n), half(n-1))
		}
	})
}

// near compares within the share tol, and within 1e-12, for shares that are all noise.
func near(a, b, tol float64) bool {
	return math.Abs(a-b) <= tol*max(math.Abs(a), math.Abs(b))+1e-12
}

// By hand, as above: the times of 77, 79, 78 s are known within 3.185 %, the refills of 1.25, 1.3,
// 1.2 gal within 4.303 x 0.05 / 1.7321 / 1.25 = 9.937 %. A boom and a hose-end's carrier hang on the times, a
// refill on the volumes.
func TestWhatTheRateHangsOn(t *testing.T) {
	times, gal := seconds(77, 79, 78), unit.Gallon
	boom, ps := calibrate.Boom{Spacing: 20 * unit.Inch, Catches: fluidOunces(20, 20.5), CatchTime: 30, Course: 200 * unit.Foot, Runs: times}.Result("")
	outcome(t, "boom", boom, ps)
	refill := calibrate.Refill{Area: 250 * unit.SquareFoot}
	hose := calibrate.HoseEnd{Area: 250 * unit.SquareFoot, Bucket: 1.25 * gal, BucketTime: 30}
	for i, v := range []unit.Volume{1.25 * gal, 1.3 * gal, 1.2 * gal} {
		refill.Trials = append(refill.Trials, calibrate.RefillTrial{Refilled: v, Took: times[i]})
		hose.Draws = append(hose.Draws, calibrate.Draw{Start: v, End: v / 2, Took: times[i]})
	}
	r, ps := refill.Result("")
	outcome(t, "refill", r, ps)
	h, ps := hose.Result("")
	outcome(t, "hose-end", h, ps)
	for _, c := range []struct {
		name      string
		got, want float64
	}{{"boom", boom.Within, 0.03185}, {"refill", r.Within, 0.09937}, {"hose-end", h.Within, 0.03185}, {"hose-end product", h.Catches.Half, 0.09937}} {
		if math.Abs(c.got-c.want) > 6e-6 {
			t.Errorf("%s: got within %.5f, want %.5f", c.name, c.got, c.want)
		}
	}
	if got := fact(r, unit.US, "to be surer"); got != "5 measured volumes that agree like these would bring it within 5 %" {
		t.Errorf("refill: got %q", got)
	}
}

// By hand: runs of 33, 32, 34 s deviate by 3.0303 %, catches of 2.05, 2.1, 2.0 gal by 2.4390 %. Of five each, 2.776 /
// 2.2361 x the root of both squared is 4.83 %; of four each 6.19 %.
func TestToBeSurer(t *testing.T) {
	c := calibrate.Catch{Course: 143 * unit.Foot, Spacing: 7 * unit.Foot, Runs: seconds(33, 32, 34),
		Catches: []unit.Volume{2.05 * unit.Gallon, 2.1 * unit.Gallon, 2 * unit.Gallon}}
	for _, step := range []struct{ name, want string }{
		{"both", "5 timed runs and as many measured volumes that agree like these would bring it within 5 %"},
		// 3.182 / 2 x 3.0303 % is 4.82 %.
		{"times alone", "4 timed runs that agree like these would bring it within 5 %"},
		// A deviation of 21 % and 60 runs: about 2.0 / 7.746 x 21 % = 5.4 %.
		{"hopeless", "practise until the timed runs agree better: over 60 like these would be needed for 5 %"},
	} {
		r, ps := c.Outcome("")
		outcome(t, step.name, r, ps)
		if got := fact(r, unit.US, "to be surer"); got != step.want {
			t.Errorf("%s: got %q", step.name, got)
		}
		if c.Catches = c.Catches[:1]; step.name == "times alone" {
			c.Runs = seconds(33, 26, 40)
		}
	}
}
