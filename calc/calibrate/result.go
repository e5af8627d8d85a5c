package calibrate

import (
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
//	area         = course x spacing (x passes)
//	mean         = mean of the runs, pace = course (x passes) / mean
//	flow         = mean of the catches / time of the catch
//	carrier rate = flow x mean / area
//
// (Spray Gun calibration page, Pesticide Environmental Stewardship, NC State, n.d.). where is
// the test's place in the user's file. When the list has errors the Result is zero; an uneven
// pace is a warning. The plot may have any area and shape: 1,000 sq ft is only the usual one.
func (c Catch) Result(where string) (Result, problem.List) {
	r, ps := c.Outcome(where)
	return r.Result, ps
}

// entries finds what is wrong with the figures one at a time.
func (c Catch) entries(where string) (ps problem.List) {
	ps = append(c.plot().check(where), checkRuns(c.Runs, where)...)
	switch {
	case c.Caught != 0 && len(c.Catches) > 0:
		ps.Errorf("catch-twice", where, "List every catch, or give one, not both.", "one catch of %s and a list of %d catches are given", unit.US.Liquid(c.Caught), len(c.Catches))
	case len(c.Catches) == 0 && !unit.Positive(c.Caught):
		ps.Errorf("catch-zero", where, "Enter the volume caught at the gun with its unit, such as 2.05 gal.",
			"the volume caught is %s", unit.US.Liquid(c.Caught))
	}
	ps = append(ps, checkVolumes(c.Catches, "catch", where)...)
	if c.CaughtIn != 0 && !unit.Positive(c.CaughtIn) {
		ps.Errorf("catch-time-negative", where, "Enter for how long the gun ran into the bucket, or leave it out when that was the mean of the runs.",
			"the catch took %s", secondsText(c.CaughtIn))
	}
	if c.Pressure != 0 && c.Setup.Pressure != 0 && c.Pressure != c.Setup.Pressure {
		ps.Errorf("pressure-twice", where, "Enter the pressure once.", "the pressure is %s and %s", unit.US.Pressure(c.Pressure), unit.US.Pressure(c.Setup.Pressure))
	}
	return ps
}

// checkRuns finds too few runs, and those that took no time.
func checkRuns(runs []unit.Time, where string) (ps problem.List) {
	if n := len(runs); n < LeastRuns {
		ps.Errorf("too-few-runs", where, "Time the course at least three times.",
			"%d timed runs are given; a test needs %d", n, LeastRuns)
	}
	for i, t := range runs {
		if !unit.Positive(t) {
			ps.Errorf("run-zero", where, "Enter the time of every run, such as 32.4 s, or leave the run out.",
				"run %d took %s", i+1, secondsText(t))
		}
	}
	return ps
}

// checkVolumes finds the volumes of a list that are none; one is what each is called.
func checkVolumes(vs []unit.Volume, one, where string) (ps problem.List) {
	for i, v := range vs {
		if !unit.Positive(v) {
			ps.Errorf("catch-zero", where, "Enter every volume with its unit, such as 2.05 gal, or leave it out.", "%s %d is %s", one, i+1, unit.US.Liquid(v))
		}
	}
	return ps
}
