package calibrate_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// refused wants the codes, whole problems, and no figure beside an error.
func refused(t *testing.T, name string, given bool, ps problem.List, want string) {
	t.Helper()
	if got := codeLine(ps); got != want {
		t.Errorf("%s: got %q, want %q", name, got, want)
	}
	for _, p := range ps {
		if p.Where != "here" || p.Severity == "" || p.What == "" || !strings.HasSuffix(p.Fix, ".") {
			t.Errorf("%s: half a problem: %+v", name, p)
		}
	}
	if given == ps.HasErrors() {
		t.Errorf("%s: figures are %v beside %v", name, given, ps)
	}
}

var (
	nan  = math.NaN()
	inf  = math.Inf(1)
	goal = calibrate.Use{Wanted: 5 * unit.GallonPerThousand}
)

func TestBadCatch(t *testing.T) {
	good := calibrate.Catch{Course: 200 * unit.Foot, Spacing: 5 * unit.Foot, Runs: seconds(77, 79, 78), Caught: 5.25 * unit.Gallon}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.Catch)
		want  string
	}{
		{"good", func(*calibrate.Catch) {}, ""},
		{"area, course and spacing", func(c *calibrate.Catch) { c.Area = unit.Thousand }, "plot-twice"},
		{"negative area", func(c *calibrate.Catch) { c.Area, c.Course = -1, 0 }, "area-zero"},
		{"NaN area", func(c *calibrate.Catch) { c.Area, c.Course, c.Spacing = unit.Area(nan), 0, 0 }, "area-zero"},
		{"area and negative course", func(c *calibrate.Catch) { c.Area, c.Course, c.Spacing = unit.Thousand, -1, 0 }, "course-zero"},
		{"area and negative spacing", func(c *calibrate.Catch) { c.Area, c.Course, c.Spacing = unit.Thousand, 0, -1 }, "swath-zero"},
		{"area of a mile-wide strip", func(c *calibrate.Catch) { c.Area, c.Course, c.Spacing = unit.Acre, 20*unit.Foot, 0 }, "absurd"},
		{"a swath of 700 ft", func(c *calibrate.Catch) { c.Spacing = 700 * unit.Foot }, "absurd"},
		{"a pace of 30 mph", func(c *calibrate.Catch) { c.Runs = seconds(4.5, 4.6, 4.5) }, "absurd"},
		{"negative passes", func(c *calibrate.Catch) { c.Passes = -1 }, "passes-negative"},
		{"a catch and a list", func(c *calibrate.Catch) { c.Catches = fluidOunces(600) }, "catch-twice"},
		{"a zero in the list", func(c *calibrate.Catch) { c.Caught, c.Catches = 0, fluidOunces(672, 0, nan) }, "catch-zero catch-zero"},
		{"uneven catches", func(c *calibrate.Catch) { c.Caught, c.Catches = 0, fluidOunces(600, 700, 650) }, "catches-uneven"},
		{"two pressures", func(c *calibrate.Catch) { c.Pressure, c.Setup.Pressure = unit.Bar, unit.PSI }, "pressure-twice"},
		{"negative setup", func(c *calibrate.Catch) {
			c.Setup = calibrate.Setup{Pressure: -1, PumpFlow: -1, Thrown: unit.Length(inf), Density: unit.Density(nan)}
		}, "pressure-negative pump-flow-negative thrown-negative density-negative"},
		{"negative use", func(c *calibrate.Catch) { c.Use = calibrate.Use{Wanted: -1, Spacing: -1, Density: -1} }, "wanted-negative swath-zero density-negative"},
		{"kg/L for lb/gal", func(c *calibrate.Catch) { c.Use.Density = 1.2 * unit.PoundPerGallon }, "absurd"},
		{"more than the pump gives", func(c *calibrate.Catch) { c.Setup.PumpFlow = 3.5 * unit.GallonPerMinute }, "over-pump"},
		{"a little more than its rating", func(c *calibrate.Catch) { c.Setup.PumpFlow = 4 * unit.GallonPerMinute }, ""},
		{"5 % over", func(c *calibrate.Catch) { c.Use = goal }, ""},
		{"6 % over", func(c *calibrate.Catch) { c.Use, c.Caught = goal, 5.3*unit.Gallon }, "rate-off"},
		{"10 % under", func(c *calibrate.Catch) { c.Use, c.Caught = goal, 4.5*unit.Gallon }, "rate-off"},
		{"11 % over", func(c *calibrate.Catch) { c.Use, c.Caught = goal, 5.55*unit.Gallon }, "rate-far-off"},
		{"planned at half", func(c *calibrate.Catch) { c.Use.Spacing = 2.5 * unit.Foot }, "spacing-differs"},
	} {
		catch := good
		c.spoil(&catch)
		r, ps := catch.Outcome("here")
		refused(t, c.name, r.CarrierRate > 0, ps, c.want)
	}
	// One pass of an 18.5 ft square in 75 s is 0.17 mph, which nobody walks; three passes are not, nor is the area alone.
	side := 18.5 * unit.Foot
	square := calibrate.Catch{Course: side, Spacing: side, Runs: seconds(75, 75, 75), Caught: 150 * unit.FluidOunce}
	r, ps := square.Result("here")
	refused(t, "one pass of 18.5 ft", r.CarrierRate > 0, ps, "absurd")
	square.Passes, square.Spacing = 3, side/3
	r, ps = square.Result("here")
	refused(t, "three passes", r.CarrierRate > 0, ps, "")
	wantRate(t, "three passes", r.CarrierRate, 149.2, 0.05)
	square = calibrate.Catch{Area: side.By(side), Passes: 3, Runs: square.Runs, Caught: square.Caught}
	r, ps = square.Result("here")
	refused(t, "the area", r.CarrierRate > 0, ps, "")
	wantRate(t, "the area", r.CarrierRate, 149.2, 0.05)
}

func TestBadOthers(t *testing.T) {
	speed, runs := 4*unit.MilePerHour, seconds(27, 28, 27)
	boom := calibrate.Boom{Spacing: 20 * unit.Inch, Catches: fluidOunces(20, 20), CatchTime: 30, Speed: speed}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.Boom)
		want  string
	}{
		{"good", func(*calibrate.Boom) {}, ""},
		{"empty", func(b *calibrate.Boom) { *b = calibrate.Boom{} }, "swath-zero catch-zero catch-time-zero speed-missing"},
		{"NaN spacing", func(b *calibrate.Boom) { b.Spacing = unit.Length(nan) }, "swath-zero"},
		{"feet for inches", func(b *calibrate.Boom) { b.Spacing = 100 * unit.Foot }, "absurd"},
		{"a boom of 100 ft", func(b *calibrate.Boom) { b.Spacing = 50 * unit.Foot }, "absurd"},
		{"speed twice", func(b *calibrate.Boom) { b.Course, b.Runs = 200*unit.Foot, runs }, "speed-twice"},
		{"runs without a course", func(b *calibrate.Boom) { b.Speed, b.Runs = 0, runs }, "course-zero"},
		{"a course without runs", func(b *calibrate.Boom) { b.Speed, b.Course = 0, 200*unit.Foot }, "too-few-runs"},
		{"negative speed", func(b *calibrate.Boom) { b.Speed = -1 }, "speed-missing"},
		{"30 mph", func(b *calibrate.Boom) { b.Speed = 30 * unit.MilePerHour }, "absurd"},
		{"a dry nozzle", func(b *calibrate.Boom) { b.Catches = fluidOunces(20, 0) }, "catch-zero"},
		{"NaN time", func(b *calibrate.Boom) { b.CatchTime = unit.Time(nan) }, "catch-time-zero"},
		{"negative new flow", func(b *calibrate.Boom) { b.NewFlow = -1 }, "new-flow-negative"},
		{"a flood", func(b *calibrate.Boom) { b.CatchTime = 0.1 }, "absurd"},
	} {
		b := boom
		c.spoil(&b)
		r, ps := b.Result("here")
		refused(t, "boom, "+c.name, r.CarrierRate > 0, ps, c.want)
	}
	ride := calibrate.RideOn{Catches: fluidOunces(200), CatchTime: 60, Speed: speed}
	for _, c := range []struct {
		name, want string
		with       calibrate.RideOn
	}{
		{"no swath", "swath-zero", calibrate.RideOn{}},
		{"a swath of 700 ft", "absurd", calibrate.RideOn{Swath: 700 * unit.Foot}},
		{"swath and wetted", "swath-twice", calibrate.RideOn{Swath: 24 * unit.Foot, Wetted: 30 * unit.Foot}},
		{"a share of 80", "share-bad", calibrate.RideOn{Wetted: 0.5 * unit.Metre, Share: 80}},
		{"a share of NaN", "share-bad", calibrate.RideOn{Wetted: 30 * unit.Foot, Share: nan}},
		{"a share of nothing", "share-alone", calibrate.RideOn{Swath: 24 * unit.Foot, Share: 0.8}},
		{"a share", "", calibrate.RideOn{Wetted: 30 * unit.Foot, Share: 0.7}},
	} {
		o := ride
		o.Swath, o.Wetted, o.Share = c.with.Swath, c.with.Wetted, c.with.Share
		r, ps := o.Result("here")
		refused(t, "ride-on, "+c.name, r.CarrierRate > 0, ps, c.want)
	}
	r1, ps := calibrate.Formula{}.Result("here")
	refused(t, "formula, empty", r1.CarrierRate > 0, ps, "swath-zero flow-zero speed-missing")
	r2, ps := calibrate.Ounces{}.Result("here")
	refused(t, "ounces, empty", r2.CarrierRate > 0, ps, "course-zero swath-zero too-few-runs catch-zero")
	r3, ps := calibrate.Backpack{Width: unit.Length(inf)}.Result("here")
	refused(t, "backpack, endless", r3.CarrierRate > 0, ps, "course-zero swath-zero too-few-runs catch-zero")
	r4, ps := calibrate.Refill{}.Result("here")
	refused(t, "refill, empty", r4.CarrierRate > 0, ps, "course-zero swath-zero no-trials")
	refill := calibrate.Refill{Area: unit.Thousand, Trials: []calibrate.RefillTrial{{Refilled: 2 * unit.Gallon, Took: 60}, {Refilled: 2 * unit.Gallon}, {Refilled: -1, Took: -1}}}
	r4, ps = refill.Result("here")
	refused(t, "refill, halves", r4.CarrierRate > 0, ps, "catch-zero run-zero times-missing")
}

func TestBadHoseEnd(t *testing.T) {
	draw := calibrate.Draw{Start: 16 * unit.FluidOunce, End: 14.5 * unit.FluidOunce, Took: 20}
	good := calibrate.HoseEnd{Area: 250 * unit.SquareFoot, Draws: []calibrate.Draw{draw, draw, draw}, Bucket: 1.25 * unit.Gallon, BucketTime: 20}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.HoseEnd)
		want  string
	}{
		{"good", func(*calibrate.HoseEnd) {}, ""},
		{"empty", func(h *calibrate.HoseEnd) { *h = calibrate.HoseEnd{} }, "area-zero no-trials"},
		{"before and after swapped", func(h *calibrate.HoseEnd) { h.Draws[1].Start, h.Draws[1].End = h.Draws[1].End, h.Draws[1].Start }, "nothing-used"},
		{"NaN after", func(h *calibrate.HoseEnd) { h.Draws[0].End = unit.Volume(nan) }, "catch-zero"},
		{"no time", func(h *calibrate.HoseEnd) { h.Draws[2].Took = 0 }, "run-zero"},
		{"half a bucket", func(h *calibrate.HoseEnd) { h.BucketTime = 0 }, "bucket-half"},
		{"negative wanted", func(h *calibrate.HoseEnd) { h.Wanted = -1 }, "wanted-negative"},
		{"gallons for ounces once", func(h *calibrate.HoseEnd) { h.Draws[0].Start, h.Draws[0].End = 16*unit.Gallon, 14.5*unit.Gallon }, "catches-uneven"},
		{"more product than spray", func(h *calibrate.HoseEnd) { h.Area, h.Bucket = unit.Thousand, unit.FluidOunce }, "absurd absurd"},
		{"a flood of product", func(h *calibrate.HoseEnd) {
			h.Draws = []calibrate.Draw{{Start: 16 * unit.Gallon, Took: 20}, {Start: 16 * unit.Gallon, Took: 20}}
		}, "absurd"},
	} {
		h := good
		h.Draws = append([]calibrate.Draw(nil), good.Draws...)
		c.spoil(&h)
		r, ps := h.Result("here")
		refused(t, c.name, r.Product > 0, ps, c.want)
	}
}

// Whatever is entered: no panic, no NaN, nothing infinite; figures or an error.
func TestAnythingIsSound(t *testing.T) {
	odd := rapid.OneOf(rapid.Float64(), rapid.SampledFrom([]float64{0, nan, inf, -inf, 1e-308, 1e308, -1, 5e-324}), rapid.Float64Range(0.01, 100))
	rapid.Check(t, func(t *rapid.T) {
		n := func(name string) float64 { return odd.Draw(t, name) }
		var runs []unit.Time
		var vs []unit.Volume
		for range rapid.IntRange(0, 4).Draw(t, "n") {
			runs, vs = append(runs, unit.Time(n("run"))), append(vs, unit.Volume(n("volume")))
		}
		s := calibrate.Setup{Density: unit.Density(n("density")), PumpFlow: unit.Flow(n("pump")), Thrown: unit.Length(n("thrown"))}
		use := calibrate.Use{Density: unit.Density(n("density")), Wanted: unit.VolumePerArea(n("wanted")), Spacing: unit.Length(n("planned"))}
		a, b, x, y := unit.Length(n("a")), unit.Length(n("b")), unit.Area(n("x")), unit.Time(n("y"))
		check := func(r calibrate.Result, ps problem.List) {
			for _, f := range []float64{float64(r.Area), float64(r.Mean), r.Spread, float64(r.Pace), float64(r.Flow), float64(r.CarrierRate), float64(r.Swath),
				r.Within, r.Factor, float64(r.Sprayed), r.Times.Half, r.Times.Deviation, r.Catches.Half, r.Catches.Deviation} {
				if !(f >= 0) || math.IsInf(f, 0) || f > 0 && ps.HasErrors() {
					t.Fatalf("%+v beside %v", r, ps)
				}
			}
		}
		c, ps := calibrate.Catch{Course: a, Spacing: b, Area: x, Runs: runs, Catches: vs, CaughtIn: y, Setup: s, Use: use}.Outcome("")
		check(c.Result, ps)
		o, ps := calibrate.Ounces{Width: a, Course: b, Runs: runs, Catches: vs, Setup: s, Use: use}.Result("")
		check(o.Result, ps)
		m, ps := calibrate.Boom{Spacing: a, Course: b, Runs: runs, Catches: vs, CatchTime: y, Setup: s, Use: use}.Result("")
		check(m.Result, ps)
		d, ps := calibrate.RideOn{Wetted: a, Share: n("share"), Speed: unit.Speed(n("speed")), Catches: vs, CatchTime: y, Setup: s, Use: use}.Result("")
		check(d.Result, ps)
		f, ps := calibrate.Formula{Flow: unit.Flow(n("flow")), Speed: unit.Speed(n("speed")), Width: a, Setup: s, Use: use}.Result("")
		check(f.Result, ps)
		refill, hose := calibrate.Refill{Area: x, Spacing: a, Setup: s, Use: use}, calibrate.HoseEnd{Area: x, Bucket: unit.Volume(n("bucket")), BucketTime: y, Setup: s, Use: use}
		for i, v := range vs {
			refill.Trials = append(refill.Trials, calibrate.RefillTrial{Refilled: v, Took: runs[i]})
			hose.Draws = append(hose.Draws, calibrate.Draw{Start: v, End: unit.Volume(n("end")), Took: runs[i]})
		}
		r, ps := refill.Result("")
		check(r.Result, ps)
		h, ps := hose.Result("")
		check(h.Result, ps)
	})
}

// A procedure is numbered from 1, whole sentences, and never has a figure that is none.
func TestProcedures(t *testing.T) {
	type method interface {
		Procedure(unit.System) []string
	}
	for _, m := range []method{calibrate.Catch{}, calibrate.Catch{Spacing: 7 * unit.Foot, Use: goal}, calibrate.Ounces{}, calibrate.Ounces{Width: 20 * unit.Inch},
		calibrate.Backpack{}, calibrate.Backpack{Width: unit.Metre}, calibrate.Refill{}, calibrate.Refill{Area: unit.Thousand}, calibrate.Boom{},
		calibrate.Boom{Spacing: 20 * unit.Inch, Catches: fluidOunces(1, 1)}, calibrate.RideOn{}, calibrate.RideOn{Wetted: 30 * unit.Foot}, calibrate.Formula{}, calibrate.HoseEnd{},
		calibrate.HoseEnd{Area: unit.Thousand}, calibrate.Catch{Spacing: unit.Length(nan), Use: calibrate.Use{Wanted: unit.VolumePerArea(inf)}}} {
		for _, u := range []unit.System{unit.US, unit.Metric} {
			steps := m.Procedure(u)
			for i, s := range steps {
				if !strings.HasPrefix(s, string(rune('1'+i))+". ") || !strings.HasSuffix(s, ".") || strings.Contains(s, "NaN") || strings.Contains(s, "Inf") || strings.Contains(s, "%!") {
					t.Errorf("%T in %s: %q", m, u, s)
				}
			}
			if len(steps) < 5 {
				t.Errorf("%T in %s: %d steps", m, u, len(steps))
			}
		}
	}
}
