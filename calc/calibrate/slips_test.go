package calibrate_test

import (
	"math"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Slips that were published, each with the right answer.
func TestPublishedSlips(t *testing.T) {
	flow := 0.15 * unit.GallonPerMinute
	f, _ := calibrate.Formula{Flow: flow, Speed: 5 * unit.MilePerHour, Width: 48 * unit.Inch}.Result("")
	for _, c := range []struct {
		name           string
		got, want, tol float64
	}{
		// Florida Pest Control Examinations, p. 213, Method I, n.d., says 327: its speed is not in feet a minute.
		{"0.15 gal/min, 48 in, 5 mph in gal/acre", f.CarrierRate.In(unit.GallonPerAcre), 3.7, 0.05},
		// The same page says .15.
		{"20 fl oz/min in gal/min", (20 * unit.FluidOunce).During(unit.Minute).In(unit.GallonPerMinute), 0.156, 0.0005},
		// How to Calibrate a Handgun, Mesa County (CO) Weed & Pest, n.d., says "divide 150 by 25".
		{"25 gal at 150 gal/acre in acres", (25 * unit.Gallon).At(150 * unit.GallonPerAcre).In(unit.Acre), 1.0 / 6, 1e-12},
		// A sprayer's manual says 9.34.
		{"1 gal/acre in L/ha", unit.GallonPerAcre.In(unit.LitrePerHectare), 9.354, 0.0005},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: got %v, want %v", c.name, c.got, c.want)
		}
	}
}

// Calibrating your knapsack sprayer, step 5 of 6, n.d.: who took 55 s for the course of 50 s is told to "slightly
// slow down". By hand: 55 / 50 is 10 % faster.
func TestLessTimeIsFaster(t *testing.T) {

	// 55 s on 25 m2 with half a litre in 50 s: 220 L/ha where 200 are wanted.
	c := calibrate.Catch{Area: 25 * unit.SquareMetre, Spacing: 0.75 * unit.Metre, Runs: seconds(55, 55, 55), Caught: 0.5 * unit.Litre, CaughtIn: 50,
		Use: calibrate.Use{Wanted: 200 * unit.LitrePerHectare}}
	r, ps := c.Outcome("")
	outcome(t, "knapsack", r, ps)
	if codeLine(ps) != "rate-off" {
		t.Errorf("got %v", ps)
	}
	if got := fact(r, unit.Metric, "by pace alone"); got != "50.0 s on the plot instead of 55.0 s: 10.0 % faster" {
		t.Errorf("got %q", got)
	}
	// 45 s where 50 are right puts on 180 L/ha: slower, 45 / 50 is 10 % less.
	c.Runs = seconds(45, 45, 45)
	r, _ = c.Outcome("")
	if got := fact(r, unit.Metric, "by pace alone"); got != "50.0 s on the plot instead of 45.0 s: 10.0 % slower" {
		t.Errorf("got %q", got)
	}
}

// fact is the text of one printed line, "" when there is none of that name.
func fact(o working.Outcome, u unit.System, name string) string {
	for _, f := range o.Facts(u) {
		if f.Name == name {
			return f.Text
		}
	}
	return ""
}

// The costliest slip of the trade: the thrown width for the pass spacing.
func TestThrownForSpacing(t *testing.T) {
	c := calibrate.Catch{Course: 100 * unit.Foot, Spacing: 10 * unit.Foot, Runs: seconds(30, 30, 30), Caught: 2 * unit.Gallon,
		Setup: calibrate.Setup{Thrown: 10 * unit.Foot}, Use: calibrate.Use{Spacing: 5 * unit.Foot}}
	r, ps := c.Result("")
	if codeLine(ps) != "spacing-differs spacing-is-thrown" || r.CarrierRate == 0 {
		t.Errorf("got %v", ps)
	}
	if !strings.Contains(ps[0].What, "2.00 times") {
		t.Errorf("no factor of 2 in %s", ps[0].What)
	}
	c.Spacing, c.Course = 5*unit.Foot, 200*unit.Foot
	if _, ps = c.Result(""); len(ps) > 0 {
		t.Errorf("half of the throw: %v", ps)
	}
	c.Setup.Thrown = 4 * unit.Foot
	if _, ps = c.Result(""); codeLine(ps) != "spacing-over-thrown" {
		t.Errorf("wider than thrown: %v", ps)
	}
}

// Setting the Sprayer Flow Rate for Non-Water Solutions, Table 1, University of Nebraska-Lincoln, CropWatch, 2016, and
// Spraying Solutions Other Than Water, Table 1, University of Georgia Extension, n.d.
func TestDensityFactor(t *testing.T) {
	for _, c := range []struct{ density, want float64 }{{6.6, 0.89}, {7, 0.92}, {8, 0.98}, {8.34, 1}, {9, 1.04}, {10, 1.10},
		{10.65, 1.13}, {11.06, 1.15}, {11.5, 1.17}, {12, 1.20}, {14, 1.30}} {
		d := unit.Density(c.density) * unit.PoundPerGallon
		if got := calibrate.DensityFactor(d, unit.Water); math.Abs(got-c.want) > 0.006 {
			t.Errorf("%g lb/gal: got %.4f, want %g", c.density, got, c.want)
		}
	}
}

// The same source, Example 2: 20 gal/acre of a solution of 10.65 lb/gal is 22.6 gal/acre of water. A test with water
// that gives 22.6 is therefore 20 of the solution.
func TestSprayedIsDenser(t *testing.T) {
	use := calibrate.Use{Product: "28-0-0 (invented)", Density: 10.65 * unit.PoundPerGallon, Wanted: 20 * unit.GallonPerAcre}
	f := calibrate.Formula{Flow: (22.6 * unit.GallonPerAcre).Sweeping(20*unit.Inch, 4*unit.MilePerHour), Speed: 4 * unit.MilePerHour, Width: 20 * unit.Inch, Use: use}
	r, ps := f.Result("")
	outcome(t, "formula", r, ps)
	wantRate(t, "solution", r.Sprayed, 20, 0.05)
	wantRate(t, "water", r.CarrierRate, 22.6, 1e-9)
	if codeLine(ps) != "density-differs" {
		t.Errorf("got %v", ps)
	}
	if w := r.Working(unit.US).Text(); !strings.Contains(w, "source of density caught: 8.34 lb/gal") {
		t.Errorf("water's density is not shown: %s", w)
	}
	// Water for the other density only where water was caught.
	for _, c := range []struct {
		name  string
		setup calibrate.Setup
		use   calibrate.Use
		codes string
		want  float64
	}{
		{"nothing said", calibrate.Setup{}, calibrate.Use{}, "", 1},
		{"the product was caught", calibrate.Setup{Product: "mix"}, calibrate.Use{Product: "mix"}, "", 1},
		{"the product was caught, its density known", calibrate.Setup{Product: "mix", Density: 1200}, calibrate.Use{Product: "mix", Density: 1200}, "", 1},
		{"the product has no density", calibrate.Setup{}, calibrate.Use{Product: "mix"}, "density-unknown", 1},
		{"what was caught has no density", calibrate.Setup{Product: "a"}, calibrate.Use{Product: "b", Density: 1200}, "density-unknown", 1},
		{"lighter", calibrate.Setup{Density: 1000}, calibrate.Use{Density: 810}, "density-differs", 0.9},
		{"denser", calibrate.Setup{Density: 1000}, calibrate.Use{Density: 1210}, "density-differs", 1.1},
	} {
		f.Setup, f.Use = c.setup, c.use
		r, ps := f.Result("")
		outcome(t, c.name, r, ps)
		if codeLine(ps) != c.codes || math.Abs(r.Factor-c.want) > 1e-12 || !near(float64(r.Sprayed)*c.want, float64(r.CarrierRate), 1e-12) {
			t.Errorf("%s: factor %v, %v", c.name, r.Factor, ps)
		}
	}
}
