package calibrate_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

func draw(t *rapid.T, name string, low, high float64) float64 {
	return rapid.Float64Range(low, high).Draw(t, name)
}

func sameRate(t *rapid.T, what string, a, b unit.VolumePerArea) {
	t.Helper()
	if !(a > 0) || math.Abs(float64(a/b)-1) > 1e-9 {
		t.Fatalf("%s: %v and %v", what, a, b)
	}
}

// rate is the rate of a test that must have no errors and an honest working.
func rate(t *rapid.T, o working.Outcome, r calibrate.Result, ps problem.List) unit.VolumePerArea {
	t.Helper()
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	for _, u := range []unit.System{unit.US, unit.Metric} {
		if err := o.Working(u).Verify(); err != nil {
			t.Fatal(u, err)
		}
	}
	return r.CarrierRate
}

// The rate depends on the area, not on its shape: one pass, several, an area alone or with a width;
// by catch, by refill, by one nozzle, by flow over speed times width.
func TestSameGroundSameRate(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		course, spacing := unit.Length(draw(t, "course", 20, 60)), unit.Length(draw(t, "spacing", 0.6, 4))
		passes := rapid.IntRange(1, 6).Draw(t, "passes")
		runs := seconds(draw(t, "run", 20, 40), draw(t, "run", 20, 40), draw(t, "run", 20, 40))
		caught := unit.Volume(draw(t, "caught", 0.002, 0.008))
		use := calibrate.Use{Wanted: unit.VolumePerArea(draw(t, "wanted", 1e-4, 5e-4)), Density: unit.Density(draw(t, "density", 700, 1500))}
		one := calibrate.Catch{Course: course, Spacing: spacing, Runs: runs, Caught: caught, Use: use}
		o, ps := one.Outcome("")
		r := rate(t, o, o.Result, ps)

		short := one
		short.Course, short.Passes = course/unit.Length(passes), passes
		o, ps = short.Outcome("")
		sameRate(t, "several passes", r, rate(t, o, o.Result, ps))
		if o.Pace != 0 && math.Abs(float64(o.Pace/course.Per(o.Mean))-1) > 1e-9 {
			t.Fatalf("several passes: a pace of %v", o.Pace)
		}
		area := calibrate.Catch{Area: course.By(spacing), Runs: runs, Caught: caught}
		o, ps = area.Outcome("")
		sameRate(t, "area", r, rate(t, o, o.Result, ps))
		area.Spacing = spacing
		withPace, ps := area.Outcome("")
		sameRate(t, "area and spacing", r, rate(t, withPace, withPace.Result, ps))
		if o.Pace != 0 || math.Abs(float64(withPace.Pace/course.Per(o.Mean))-1) > 1e-9 {
			t.Fatalf("paces of %v and %v", o.Pace, withPace.Pace)
		}
		area.Spacing, area.Course = 0, course
		o, ps = area.Outcome("")
		sameRate(t, "area and course", r, rate(t, o, o.Result, ps))

		oz, ps := calibrate.Ounces{Width: spacing, Course: course, Runs: runs, Catches: []unit.Volume{caught}}.Result("")
		sameRate(t, "one nozzle", r, rate(t, oz, oz.Result, ps))
		refill := calibrate.Refill{Course: course, Spacing: spacing, Trials: []calibrate.RefillTrial{{Refilled: caught, Took: o.Mean}}}
		re, ps := refill.Result("")
		sameRate(t, "refill", r, rate(t, re, re.Result, ps))
		ride, ps := calibrate.RideOn{Swath: spacing, Course: course, Runs: runs, Catches: []unit.Volume{caught}, CatchTime: o.Mean}.Result("")
		sameRate(t, "ride-on", r, rate(t, ride, ride.Result, ps))
		f, ps := calibrate.Formula{Flow: ride.Flow, Speed: ride.Pace, Width: spacing}.Result("")
		sameRate(t, "formula", r, rate(t, f, f.Result, ps))
	})
}

// A test written in other units is the same test: what is parsed from US text and from metric text
// gives one rate, and a catch of k times the time brings k times the volume.
func TestUnitsAndTimeDoNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		c := calibrate.Catch{Course: unit.Length(draw(t, "course", 20, 60)), Spacing: unit.Length(draw(t, "spacing", 0.6, 4)),
			Runs: seconds(30, draw(t, "run", 20, 40), 31), Catches: []unit.Volume{unit.Volume(draw(t, "caught", 0.002, 0.008)), 0.006}}
		a, ps := c.Outcome("")
		r := rate(t, a, a.Result, ps)
		feet := func(l unit.Length) unit.Length { return unit.Length(l.In(unit.Foot)) * unit.Foot }
		other := c
		other.Course, other.Spacing = feet(c.Course), feet(c.Spacing)
		k := unit.Time(draw(t, "k", 0.3, 3))
		other.CaughtIn, other.Catches = a.Mean*k, nil
		for _, v := range c.Catches {
			other.Catches = append(other.Catches, unit.Volume(v.In(unit.Gallon))*unit.Gallon*unit.Volume(k))
		}
		b, ps := other.Outcome("")
		sameRate(t, "other units", r, rate(t, b, b.Result, ps))
		if !near(a.Within, b.Within, 1e-9) {
			t.Fatalf("within %v and %v", a.Within, b.Within)
		}
	})
}

// The order of the nozzles does not matter, a boom is as good as its nozzles one by one, and flow x
// the time on the course falls on the course's area.
func TestBoomLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := calibrate.Boom{Spacing: unit.Length(draw(t, "spacing", 0.25, 1)), CatchTime: unit.Time(draw(t, "time", 20, 70)),
			Course: unit.Length(draw(t, "course", 30, 90)), Runs: seconds(40, draw(t, "run", 30, 60), 41)}
		for range rapid.IntRange(1, 12).Draw(t, "nozzles") {
			b.Catches = append(b.Catches, unit.Volume(draw(t, "catch", 0.00095, 0.00105)))
		}
		r, ps := b.Result("")
		want := rate(t, r, r.Result, ps)
		if put := r.CarrierRate.Over(r.Area); math.Abs(float64(put/r.Flow.For(r.Mean))-1) > 1e-9 {
			t.Fatalf("%v on the course, %v out of the nozzles", put, r.Flow.For(r.Mean))
		}
		b.Catches = rapid.Permutation(b.Catches).Draw(t, "order")
		again, ps := b.Result("")
		sameRate(t, "another order", want, rate(t, again, again.Result, ps))
		ride, ps := calibrate.RideOn{Swath: r.Swath, Course: b.Course, Runs: b.Runs, Catches: b.Catches, CatchTime: b.CatchTime}.Result("")
		sameRate(t, "as a swath", want, rate(t, ride, ride.Result, ps))
		var sum unit.VolumePerArea
		for _, v := range b.Catches {
			o, ps := calibrate.Ounces{Width: b.Spacing, Course: b.Course, Runs: b.Runs, Catches: []unit.Volume{v}, CaughtIn: b.CatchTime}.Result("")
			sum += rate(t, o, o.Result, ps)
		}
		sameRate(t, "nozzle by nozzle", want, sum/unit.VolumePerArea(len(b.Catches)))
	})
}

// Hose-end: what was drawn is on the ground, and it is a share of the spray.
func TestHoseEndLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		h := calibrate.HoseEnd{Area: unit.Area(draw(t, "area", 15, 60)), Bucket: unit.Volume(draw(t, "bucket", 0.004, 0.02)), BucketTime: unit.Time(draw(t, "bucket time", 15, 60))}
		for range rapid.IntRange(1, 5).Draw(t, "draws") {
			start := unit.Volume(draw(t, "start", 2e-4, 1e-3))
			h.Draws = append(h.Draws, calibrate.Draw{Start: start, End: start * unit.Volume(draw(t, "left", 0, 0.9)), Took: unit.Time(draw(t, "took", 20, 60))})
		}
		r, ps := h.Result("")
		if ps.HasErrors() {
			return // more product than spray, or a flood: refused
		}
		rate(t, r, r.Result, ps)
		if a, b := r.Product.Over(r.Area), r.Strength.Of(r.CarrierRate.Over(r.Area)); !near(float64(a/b), 1, 1e-9) {
			t.Fatalf("%v drawn, %v in the spray", a, b)
		}
	})
}
