package calibrate

import (
	"math"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// The bounds outside which an entry is taken for a slip of the pen, not for a machine
// (common practice, no source): no lawn applicator covers less than 6 in or more than 60 ft
// in a pass, nobody sprays at a crawl under 0.3 mph or over 10 mph, and 0.05 to 20 gal/1000
// sq ft (20 to 8,150 L/ha) holds every spray from a low-volume boom to a drench.
const (
	leastSpacing = 6 * unit.Inch
	mostSpacing  = 60 * unit.Foot
	leastPace    = 0.3 * unit.MilePerHour
	mostPace     = 10 * unit.MilePerHour
	leastCarrier = 0.05 * unit.GallonPerThousand
	mostCarrier  = 20 * unit.GallonPerThousand
)

// LeastRuns is how many timed walks a test needs (Spray Gun calibration page, Pesticide
// Environmental Stewardship, NC State, n.d.: at least three timed runs, averaged).
const LeastRuns = 3

// MostSpread is (slowest - fastest) / mean above which the walks are called uneven: the pace,
// and with it the rate, is then known no better than that (common practice, no source).
const MostSpread = 0.10

// Result works the test out:
//
//	area         = course x spacing
//	mean         = mean of the runs, pace = course / mean
//	flow         = caught / time of the catch
//	carrier rate = flow x mean / area
//
// (Spray Gun calibration page, Pesticide Environmental Stewardship, NC State, n.d.). where is
// the test's place in the user's file. When the list has errors the Result is zero; an uneven
// pace is a warning. The course may treat any area: 1,000 sq ft is only the usual one. A plot
// walked in several passes is entered as the length of all passes together and their spacing.
func (c Catch) Result(where string) (Result, problem.List) {
	ps := c.entries(where)
	if ps.HasErrors() {
		return Result{}, ps
	}
	var sum unit.Time
	for _, t := range c.Runs {
		sum += t
	}
	r := Result{Area: c.Course.By(c.Spacing), Mean: sum / unit.Time(len(c.Runs))}
	r.Spread = float64((slices.Max(c.Runs) - slices.Min(c.Runs)) / r.Mean)
	r.Pace = c.Course.Per(r.Mean)
	in := c.CaughtIn
	if in == 0 {
		in = r.Mean
	}
	r.Flow = c.Caught.During(in)
	r.CarrierRate = r.Flow.For(r.Mean).Per(r.Area)

	ps = append(ps, r.doubts(c, where)...)
	if ps.HasErrors() {
		return Result{}, ps
	}
	return r, ps
}

// entries finds what is wrong with the figures one at a time.
func (c Catch) entries(where string) (ps problem.List) {
	if !positive(float64(c.Course)) {
		ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 143 ft.",
			"the course is %s long", unit.US.Length(c.Course))
	}
	switch {
	case !positive(float64(c.Spacing)):
		ps.Errorf("swath-zero", where, "Enter the pass spacing that the course was walked for, such as 7 ft.",
			"the pass spacing is %s", unit.US.Length(c.Spacing))
	case c.Spacing < leastSpacing || c.Spacing > mostSpacing:
		ps.Errorf("absurd", where, "Enter the distance between neighbouring walking lines, and check its unit: feet for inches, or metres for feet, is the usual slip.",
			"a pass spacing of %s (%s) is outside 0.5 ft to 60 ft", unit.US.Length(c.Spacing), unit.Metric.Length(c.Spacing))
	}
	if n := len(c.Runs); n < LeastRuns {
		ps.Errorf("too-few-runs", where, "Walk and time the course at least three times.",
			"%d timed runs are given; a test needs %d", n, LeastRuns)
	}
	for i, t := range c.Runs {
		if !positive(float64(t)) {
			ps.Errorf("run-zero", where, "Enter the time of every run, such as 32.4 s, or leave the run out.",
				"run %d took %s s", i+1, unit.Number(t.In(unit.Second), 1))
		}
	}
	if !positive(float64(c.Caught)) {
		ps.Errorf("catch-zero", where, "Enter the volume caught at the gun with its unit, such as 2.05 gal.",
			"the volume caught is %s", unit.US.Liquid(c.Caught))
	}
	if c.CaughtIn != 0 && !positive(float64(c.CaughtIn)) {
		ps.Errorf("catch-time-negative", where, "Enter for how long the gun ran into the bucket, or leave it out when that was the mean of the runs.",
			"the catch took %s s", unit.Number(c.CaughtIn.In(unit.Second), 1))
	}
	if c.Pressure != 0 && !positive(float64(c.Pressure)) {
		ps.Errorf("pressure-negative", where, "Enter the pressure read at the gun, or leave it out.",
			"the pressure is %s", unit.US.Pressure(c.Pressure))
	}
	return ps
}

// doubts finds what the figures say together.
func (r Result) doubts(c Catch, where string) (ps problem.List) {
	if r.Pace < leastPace || r.Pace > mostPace {
		ps.Errorf("absurd", where, "Check the course and the runs: seconds written as minutes, or a course in metres entered as feet, is the usual slip.",
			"%s in %s s is a pace of %s mph (%s), outside 0.3 mph to 10 mph", unit.US.Length(c.Course),
			unit.Number(r.Mean.In(unit.Second), 1), unit.Number(r.Pace.In(unit.MilePerHour), 2), unit.Metric.Speed(r.Pace))
	}
	if r.CarrierRate < leastCarrier || r.CarrierRate > mostCarrier {
		ps.Errorf("absurd", where, "Check the catch and its unit: fluid ounces for gallons, or a catch for one minute entered as the catch for the course, is the usual slip.",
			"a carrier rate of %s gal/1000 sq ft (%s) is outside 0.05 to 20 gal/1000 sq ft",
			unit.Number(r.CarrierRate.In(unit.GallonPerThousand), 4), unit.Metric.CarrierRate(r.CarrierRate))
	}
	if r.Spread > MostSpread+1e-9 {
		ps.Warnf("pace-uneven", where, "Practise until the runs agree, then time at least three again.",
			"the runs range over %s %% of their mean of %s s; up to %s %% is even", unit.Number(100*r.Spread, 1),
			unit.Number(r.Mean.In(unit.Second), 1), unit.Number(100*MostSpread, 0))
	}
	return ps
}

// positive reports whether x is a size: over zero and finite. NaN is not.
func positive(x float64) bool { return x > 0 && !math.IsInf(x, 1) }
