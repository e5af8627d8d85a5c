package calibrate

import (
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// entries finds what is wrong with the figures one at a time.
func (t SpreaderTest) entries(where string) (ps problem.List) {
	if t.Kind != Rotary && t.Kind != Drop {
		ps.Errorf("unknown-kind", where, "Say whether the spreader is rotary or drop.", "the kind of spreader is %q", string(t.Kind))
	}
	checkSetting(&ps, t.Setting, where)
	ps = append(ps, t.ground(where)...)
	if t.Time != 0 && !unit.Positive(t.Time) {
		ps.Errorf("run-zero", where, "Enter how long one trial took, such as 32.4 s, or leave it out.", "a trial took %s", secondsText(t.Time))
	}
	if t.Wanted != 0 {
		checkWantedMass(&ps, t.Wanted, where)
	}
	if len(t.Trials) == 0 {
		ps.Errorf("too-few-runs", where, "Weigh what the spreader puts out on the area at least once, better three times.", "no trial is given")
	}
	for i, trial := range t.Trials {
		trial.entries(&ps, i+1, where)
	}
	return ps
}

// ground finds what is wrong with the area that a trial covers.
func (t SpreaderTest) ground(where string) (ps problem.List) {
	ways := 0
	for _, given := range []bool{t.Course != 0, t.Turns != 0 || t.Wheel != 0, t.Area != 0} {
		if given {
			ways++
		}
	}
	if ways != 1 {
		ps.Errorf("course-zero", where, "Give either the course with its width, the wheel's turns and circumference with the width, or the area covered.",
			"the area of a trial is given in %d ways", ways)
	}
	switch {
	case t.Area != 0 && !unit.Positive(t.Area):
		ps.Errorf("area-zero", where, "Enter the area covered in a trial with its unit, such as 100 sq ft.", "the area is %s", unit.US.Area(t.Area))
	case t.Area != 0 && t.Width == 0:
		return ps
	case !unit.Positive(t.Width):
		ps.Errorf("swath-zero", where, "Enter the distance between neighbouring passes with its unit: the effective swath of a rotary spreader, the hopper of a drop spreader.",
			"the pass spacing is %s", unit.US.Length(t.Width))
	case t.Width < leastSpacing || t.Width > mostSpacing:
		ps.Errorf("absurd", where, "Enter the distance between neighbouring passes, and check its unit: feet for inches, or metres for feet, is the usual slip.",
			"a pass spacing of %s is outside 0.5 ft to 60 ft", bothLengths(t.Width))
	}
	if t.Course != 0 && !unit.Positive(t.Course) {
		ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 125 ft.", "the course is %s long", unit.US.Length(t.Course))
	}
	if t.Turns == 0 && t.Wheel == 0 {
		return ps
	}
	if !unit.Positive(t.Turns) {
		ps.Errorf("turns-zero", where, "Count the wheel's turns on the course by a mark on its rim, and enter them.", "the wheel made %s turns", unit.Number(t.Turns, 2))
	}
	if !unit.Positive(t.Wheel) || t.Wheel > mostWheel {
		ps.Errorf("wheel-zero", where, "Measure once around the wheel, or roll it one turn on the ground, and enter that length.",
			"the wheel is %s around", bothLengths(t.Wheel))
	}
	return ps
}

func (t SpreaderTrial) entries(ps *problem.List, n int, where string) {
	for _, m := range []unit.Mass{t.Before, t.After, t.Caught} {
		if !(m >= 0) || math.IsInf(float64(m), 1) {
			ps.Errorf("weight-negative", where, "Enter the weights of every trial with their unit, such as 20.5 lb.", "trial %d has a weight of %s", n, unit.US.Mass(m))
			return
		}
	}
	switch {
	case t.Caught != 0 && t.After != 0:
		ps.Errorf("two-weighings", where, "Give either the weights before and after or the weight caught.", "trial %d has both a weight after and a weight caught", n)
	case t.Caught != 0 && t.Before != 0 && t.Caught > t.Before*(1+adviceNoise):
		ps.Errorf("more-than-hopper", where, "Weigh again: no more can fall than the hopper held.", "trial %d caught %s and the hopper held %s", n, unit.US.Mass(t.Caught), unit.US.Mass(t.Before))
	case t.Caught != 0:
	case t.Before == 0 && t.After == 0:
		ps.Errorf("catch-zero", where, "Enter the weights before and after the trial, or the weight caught.", "trial %d has no weights", n)
	case t.After == 0:
		ps.Errorf("hopper-empty", where, "Weigh the spreader again with what is left in it; a hopper that runs empty on the course says nothing of the rate.",
			"trial %d has no weight after it", n)
	case t.After > t.Before:
		ps.Errorf("more-than-hopper", where, "Check which weight is from before and which from after.",
			"trial %d began with %s and ended with %s", n, unit.US.Mass(t.Before), unit.US.Mass(t.After))
	case t.After == t.Before:
		ps.Errorf("catch-zero", where, "Open the gate wider or walk a longer course, until the scale shows a difference.", "in trial %d the weight of %s did not change", n, unit.US.Mass(t.Before))
	}
}

// doubts finds what the figures say together.
func (r SpreaderResult) doubts(where string) (ps problem.List) {
	if !(r.Rate >= leastMassRate*(1-adviceNoise) && r.Rate <= mostMassRate*(1+adviceNoise)) {
		ps.Errorf("absurd", where, "Check the weights and the area: ounces for pounds, or the plot for the course, is the usual slip.",
			"a rate of %s lb/1000 sq ft (%s) is outside 0.02 to 200 lb/1000 sq ft", unit.Number(r.Rate.In(unit.PoundPerThousand), 4), unit.Metric.MassRate(r.Rate))
	}
	if r.Pace != 0 {
		checkCourse(&ps, r.Course, r.test.Time, where)
	}
	if n := len(r.Amounts); n < FewTrials {
		ps.Warnf("few-trials", where, "Repeat the trial until there are three, with the same product on the same course.", "%d trials of the usual %d were made", n, FewTrials)
	}
	if r.Weighings.Spread > MostTrialSpread+adviceNoise {
		ps.Warnf("trials-uneven", where, "Keep one pace and one hand on the gate, and repeat the trials until they agree.",
			"the trials range over %s of their mean of %s; up to %s is even", percent(r.Weighings.Spread), unit.US.Mass(r.Mean), wholePercent(MostTrialSpread))
	}
	warnRate(&ps, r.Judgement, r.Off, "the rate of "+bothMassRates(unit.US, r.Rate), where)
	return ps
}

// warnRate warns of a rate that is not accepted.
func warnRate(ps *problem.List, j RateJudgement, off float64, what, where string) {
	switch j {
	case RateToAdjust:
		ps.Warnf("rate-off", where, "Adjust the setting or the pace, and repeat the test.", "%s is %s the wanted rate; up to %s is accepted", what, offText(off), wholePercent(AcceptShare))
	case RateRefused:
		ps.Warnf("rate-far-off", where, "Treat no lawn with it: adjust, and repeat the test.", "%s is %s the wanted rate; over %s nothing is put on a lawn", what, offText(off), wholePercent(RefuseShare))
	}
}

// checkSetting refuses what cannot be a mark on a scale; 0 is not noted.
func checkSetting(ps *problem.List, setting float64, where string) {
	if setting != 0 && !(unit.Positive(setting) && setting <= mostSetting) {
		ps.Errorf("setting-negative", where, "Enter the mark of the spreader's own scale as a number, A as 1 where it has letters.", "the setting is %s", unit.Number(setting, 2))
	}
}

// mostSetting is above every scale on a spreader (common practice, no source).
const mostSetting = 1000

// checkWantedMass refuses a wanted rate that is none.
func checkWantedMass(ps *problem.List, wanted unit.MassPerArea, where string) {
	switch {
	case !unit.Positive(wanted):
		ps.Errorf("rate-zero", where, "Enter the wanted rate of product with its unit, such as 5 lb/1000 sq ft.", "the wanted rate is %s", unit.US.MassRate(wanted))
	case wanted < leastMassRate*(1-adviceNoise) || wanted > mostMassRate*(1+adviceNoise):
		ps.Errorf("absurd", where, "Check the unit of the wanted rate: a rate per acre entered per 1,000 sq ft is the usual slip.",
			"a wanted rate of %s (%s) is outside 0.02 to 200 lb/1000 sq ft", unit.US.MassRate(wanted), unit.Metric.MassRate(wanted))
	}
}
