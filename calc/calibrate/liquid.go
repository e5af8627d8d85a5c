package calibrate

import (
	"fmt"
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// overPump is how far a catch may be over what the pump is rated for: a rating is a round
// figure (common practice, no source).
const overPump = 0.10

// wholeThrow is the share of the thrown width from which on the spacing is taken for that width.
const wholeThrow = 0.95

// check finds what is wrong with a setup's figures.
func (s Setup) check(where string) (ps problem.List) {
	if s.Pressure != 0 && !unit.Positive(s.Pressure) {
		ps.Errorf("pressure-negative", where, "Enter the pressure read at the gun, or leave it out.", "the pressure is %s", unit.US.Pressure(s.Pressure))
	}
	if s.PumpFlow != 0 && !unit.Positive(s.PumpFlow) {
		ps.Errorf("pump-flow-negative", where, "Enter what the pump is rated for, such as 10 gal/min, or leave it out.", "the pump is rated for %s", unit.US.Flow(s.PumpFlow))
	}
	if s.Thrown != 0 && !unit.Positive(s.Thrown) {
		ps.Errorf("thrown-negative", where, "Enter the width that the spray wets, or leave it out.", "the thrown width is %s", unit.US.Length(s.Thrown))
	}
	return append(ps, checkDensity(s.Density, "the density of what was caught", where)...)
}

// check finds what is wrong with what the rate is wanted for.
func (use Use) check(where string) (ps problem.List) {
	if use.Wanted != 0 && !unit.Positive(use.Wanted) {
		ps.Errorf("wanted-negative", where, "Enter the carrier rate that is wanted, such as 2 gal/1000 sq ft, or leave it out.", "the wanted rate is %s", unit.US.CarrierRate(use.Wanted))
	}
	if use.Spacing != 0 && !unit.Positive(use.Spacing) {
		ps.Errorf("swath-zero", where, "Enter the pass spacing that is planned, such as 7 ft, or leave it out.", "the planned pass spacing is %s", unit.US.Length(use.Spacing))
	}
	return append(ps, checkDensity(use.Density, "the density of what will be sprayed", where)...)
}

func checkDensity(d unit.Density, name, where string) (ps problem.List) {
	switch {
	case d == 0 || d >= leastDensity && d <= mostDensity:
	case !unit.Positive(d):
		ps.Errorf("density-negative", where, "Enter the density from the label, such as 10.4 lb/gal, or leave it out.", "%s is %s", name, unit.US.BothDensities(d))
	default:
		ps.Errorf("absurd", where, "Check the density and its unit: pounds a gallon of water are 8.34.", "%s is %s, outside 5 to 17 lb/gal", name, unit.US.BothDensities(d))
	}
	return ps
}

// finish judges the figures together once area, times, flow and rate stand: what is absurd, what
// scatters, what another liquid does, and how far it is from what is wanted.
func (r *Result) finish(s Setup, use Use, where string) (ps problem.List) {
	ps = append(r.absurd(where), r.overPump(s, where)...)
	if ps.HasErrors() {
		return ps
	}
	if r.Spread > MostSpread+adviceNoise {
		ps.Warnf("pace-uneven", where, "Practise until the runs agree, then time at least three again.",
			"the runs range over %s of their mean of %s; up to %s is even", percent(r.Spread), secondsText(r.Mean), wholePercent(MostSpread))
	}
	if r.Catches.Spread > MostSpread+adviceNoise {
		ps.Warnf("catches-uneven", where, "Check the pressure and the watch, then measure at least three again.",
			"the volumes range over %s of their mean; up to %s is even", percent(r.Catches.Spread), wholePercent(MostSpread))
	}
	ps = append(ps, r.spacings(s, use, where)...)
	ps = append(ps, r.correct(s, use, where)...)
	return append(ps, r.against(use, where)...)
}

// absurd finds figures that no machine has. A pace of 0 is not known.
func (r Result) absurd(where string) (ps problem.List) {
	if r.Pace != 0 && !(r.Pace >= leastPace && r.Pace <= mostPace) {
		ps.Errorf("absurd", where, "Check the course and the runs: seconds written as minutes, or a course in metres entered as feet, is the usual slip.",
			"a pace of %s mph (%s) is outside 0.3 mph to 10 mph", unit.Number(r.Pace.In(unit.MilePerHour), 2), unit.Metric.Speed(r.Pace))
	}
	if !(r.CarrierRate >= leastCarrier && r.CarrierRate <= mostCarrier) {
		ps.Errorf("absurd", where, "Check the volumes and their units: fluid ounces for gallons, or a catch for one minute entered as the catch for the course, is the usual slip.",
			"a carrier rate of %s gal/1000 sq ft (%s) is outside 0.05 to 20 gal/1000 sq ft",
			unit.Number(r.CarrierRate.In(unit.GallonPerThousand), 4), unit.Metric.CarrierRate(r.CarrierRate))
	}
	return ps
}

// overPump finds more flow than the pump has.
func (r Result) overPump(s Setup, where string) (ps problem.List) {
	if s.PumpFlow != 0 && r.Flow > s.PumpFlow*unit.Flow(1+overPump+adviceNoise) {
		ps.Errorf("over-pump", where, "Check the catch, its unit and its time, or the rating of the pump.",
			"%s was caught and the pump is rated for %s", flowText(unit.US, r.Flow), flowText(unit.US, s.PumpFlow))
	}
	return ps
}

// spacings finds the trade's costliest slip: the thrown width for the spacing of the passes.
func (r Result) spacings(s Setup, use Use, where string) (ps problem.List) {
	if r.Swath == 0 {
		return ps
	}
	for _, p := range CheckSpacing(r.Swath, use.Spacing, where) {
		p.Severity = problem.Warning // the test stands; the plan refuses what does not go with it
		ps = append(ps, p)
	}
	if s.Thrown == 0 {
		return ps
	}
	switch share := float64(r.Swath / s.Thrown); {
	case share > 1+adviceNoise:
		ps.Warnf("spacing-over-thrown", where, "Measure the wetted width again, or walk closer together.",
			"the passes are %s apart and the spray is %s wide: a strip between them stays dry", unit.US.Length(r.Swath), unit.US.Length(s.Thrown))
	case share >= wholeThrow:
		ps.Warnf("spacing-is-thrown", where, "Enter the distance between neighbouring walking lines; a hand gun's passes overlap by half of the thrown width.",
			"the pass spacing of %s is the thrown width of %s: walked at half of it, twice the rate goes on", unit.US.Length(r.Swath), unit.US.Length(s.Thrown))
	}
	return ps
}

// offBy is how far rate is from wanted, as a share of wanted: 0.02 is 2 % over.
func offBy(rate, wanted unit.VolumePerArea) float64 { return float64((rate - wanted) / wanted) }

// against compares what goes on with what is wanted.
func (r Result) against(use Use, where string) (ps problem.List) {
	if use.Wanted == 0 {
		return ps
	}
	off := offBy(r.Sprayed, use.Wanted)
	code, fix := "rate-off", "Change the pace, the pressure or the nozzle, and make the test again."
	switch JudgeRate(off) {
	case RateAccepted:
		return ps
	case RateRefused:
		code, fix = "rate-far-off", "Treat no lawn with it: change the pace, the pressure or the nozzle, and make the test again."
	}
	ps.Warnf(code, where, fix, "%s is %s the wanted %s; up to %s is accepted",
		rateText(unit.US, r.Sprayed), offText(off), rateText(unit.US, use.Wanted), wholePercent(AcceptShare))
	return ps
}

// offText is "2.5 % over" or "2.5 % under".
func offText(off float64) string {
	if off < 0 {
		return percent(-off) + " under"
	}
	return percent(off) + " over"
}

// facts are the lines that every liquid method prints: first what a person wants to know, the rate and whether it will
// do; then whose test it is, what only the method knows, and the rest.
func (r Result) facts(u unit.System, s Setup, use Use, method ...working.Fact) (fs []working.Fact) {
	add := func(name, text string) { fs = append(fs, working.Fact{Name: name, Text: text}) }
	corrected := r.Factor != 0 && r.Factor != 1
	if r.CarrierRate != 0 {
		add("carrier rate", rateText(u, r.CarrierRate)+r.sure())
	}
	if corrected {
		add("goes on", rateText(u, r.Sprayed)+", worked out for the other liquid")
	}
	if use.Wanted != 0 && r.CarrierRate != 0 {
		off := offBy(r.Sprayed, use.Wanted)
		add("wanted", fmt.Sprintf("%s; this is %s", rateText(u, use.Wanted), offText(off)))
		add("judgement", JudgeRate(off).Text())
	}
	fs = append(append(fs, s.facts(u)...), method...)
	if r.Pace != 0 {
		add("pace", paceText(u, r.Pace))
	}
	if r.Flow != 0 {
		add("flow", flowText(u, r.Flow))
	}
	if more := r.more(); more != "" {
		add("to be surer", more)
	}
	if corrected {
		add("density factor", unit.Number(r.Factor, 3))
	}
	return fs
}

// sure is ", within 3.2 % at 95 %".
func (r Result) sure() string {
	if r.Within == 0 {
		return ""
	}
	return ", within " + percent(r.Within) + " at 95 %"
}

// parts are the half-widths that the carrier rate's comes from; 0 for the times of a refill or the
// volumes of a hose-end sprayer, on which it does not hang.
func (r Result) parts() (times, volumes float64) {
	switch r.Within {
	case math.Hypot(r.Times.Half, r.Catches.Half):
		return r.Times.Half, r.Catches.Half
	case r.Times.Half:
		return r.Times.Half, 0
	}
	return 0, r.Catches.Half
}

// more says how many runs or catches bring the rate within 5 %, when it is not.
func (r Result) more() string {
	if r.Within <= AcceptShare {
		return ""
	}
	times, volumes := r.parts()
	one, n := "timed runs", 0
	switch {
	case times > 0 && volumes > 0:
		one = "timed runs and as many measured volumes"
		for n = 2; n <= mostRuns && math.Hypot(r.Times.halfOf(n), r.Catches.halfOf(n)) > AcceptShare; n++ {
		}
		if n > mostRuns {
			n = 0
		}
	case volumes > 0:
		one, n = "measured volumes", r.Catches.RunsFor(AcceptShare)
	default:
		n = r.Times.RunsFor(AcceptShare)
	}
	if n == 0 {
		return fmt.Sprintf("practise until the %s agree better: over %d like these would be needed for %s", one, mostRuns, wholePercent(AcceptShare))
	}
	return fmt.Sprintf("%d %s that agree like these would bring it within %s", n, one, wholePercent(AcceptShare))
}

// workEnd shows what every liquid method ends with: how sure the rate is, the density, the wanted rate.
func (r Result) workEnd(w *working.Working, u unit.System, s Setup, use Use) {
	r.workWithin(w)
	r.workDensity(w, u, s, use)
	if use.Wanted == 0 {
		return
	}
	in := working.UnitsOf(u)
	sayJudgement(w, working.Of("carrier rate", r.Sprayed, in.Carrier), working.Of("wanted rate", use.Wanted, in.Carrier), offBy(r.Sprayed, use.Wanted))
}

// facts are whose test it is and with what.
func (s Setup) facts(u unit.System) (fs []working.Fact) {
	for _, f := range []working.Fact{{Name: "date", Text: s.Date}, {Name: "operator", Text: s.Operator}, {Name: "applicator", Text: s.Applicator}, {Name: "nozzle", Text: s.Nozzle}} {
		if f.Text != "" {
			fs = append(fs, f)
		}
	}
	if s.Pressure != 0 {
		fs = append(fs, working.Fact{Name: "pressure", Text: u.Pressure(s.Pressure)})
	}
	caught := s.Product
	if caught == "" {
		caught = "water"
	}
	if s.Density != 0 {
		caught += ", " + u.BothDensities(s.Density)
	}
	return append(fs, working.Fact{Name: "test liquid", Text: caught})
}
