package calibrate

import (
	"fmt"
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// CatchResult is what a timed catch says, with the test that it comes from.
type CatchResult struct {
	Result
	Test Catch `json:"-"`
	// In is how long the gun ran into the bucket.
	In unit.Time `json:"catch_time_s"`

	words catchWords
}

// catchWords are what the same arithmetic is called on another machine.
type catchWords struct {
	run, at, width string
	narrow         bool // widths in inches
}

var gunWords = catchWords{run: "run", at: "gun", width: "pass spacing"}

// Outcome works the test out as Result does, with what it takes to show how.
func (c Catch) Outcome(where string) (CatchResult, problem.List) { return c.outcome(gunWords, where) }

func (c Catch) outcome(words catchWords, where string) (CatchResult, problem.List) {
	s := c.setup()
	ps := append(c.entries(where), append(s.check(where), c.Use.check(where)...)...)
	if ps.HasErrors() {
		return CatchResult{}, ps
	}
	r := CatchResult{Test: c, In: c.CaughtIn, words: words}
	p := c.plot()
	r.Area, r.Swath = p.size(), p.apart()
	r.Mean, r.Times = statsOf(c.Runs)
	r.Spread = r.Times.Spread
	if walked := p.walked(); walked != 0 {
		r.Pace = walked.Per(r.Mean)
	}
	if r.In == 0 {
		r.In = r.Mean
	}
	caught, agree := statsOf(c.caught())
	r.Catches, r.Flow = agree, caught.During(r.In)
	r.CarrierRate = r.Flow.For(r.Mean).Per(r.Area)
	r.Within = math.Hypot(r.Times.Half, r.Catches.Half)

	ps = append(ps, r.finish(s, c.Use, where)...)
	if ps.HasErrors() {
		return CatchResult{}, ps
	}
	return r, ps
}

func (c Catch) plot() plot { return plot{c.Course, c.Spacing, c.Passes, c.Area} }

// setup is Setup with the pressure and date that stand outside it.
func (c Catch) setup() Setup {
	s := c.Setup
	if s.Pressure == 0 {
		s.Pressure = c.Pressure
	}
	if s.Date == "" {
		s.Date = c.Date
	}
	return s
}

// caught is every catch; one when only Caught is given.
func (c Catch) caught() []unit.Volume {
	if len(c.Catches) > 0 {
		return c.Catches
	}
	return []unit.Volume{c.Caught}
}

// PaceAlone is the name of the fact that says which pace would do, for plots that Advice has no course for, too.
const PaceAlone = "by pace alone"

// Facts are the printed lines of a timed catch.
func (r CatchResult) Facts(u unit.System) []working.Fact {
	c := r.Test
	first := []working.Fact{
		{Name: "ground", Text: c.plot().text(u)},
		{Name: r.words.run + "s", Text: timesText(c.Runs, r.Mean, r.Times)},
		{Name: "caught", Text: catchesText(u, c.caught(), r.Catches) + " in " + secondsText(r.In)},
	}
	fs := r.facts(u, c.setup(), c.Use, first...)
	if c.Use.Wanted != 0 && JudgeRate(offBy(r.Sprayed, c.Use.Wanted)) != RateAccepted {
		took := r.Flow.To(c.Use.Wanted.Over(r.Area)) * unit.Time(r.Factor) // a denser liquid flows slower
		fs = append(fs, working.Fact{Name: PaceAlone, Text: fmt.Sprintf("%s on the plot instead of %s: %s", secondsText(took), secondsText(r.Mean), fasterBy(r.Mean, took))})
	}
	return fs
}

// fasterBy says how to come from one time on a plot to another: "10.0 % faster" from 55 s to 50 s.
// Less time is faster. Both must be positive.
func fasterBy(took, wanted unit.Time) string {
	switch change := float64((took - wanted) / wanted); {
	case change > 0:
		return percent(change) + " faster"
	case change < 0:
		return percent(-change) + " slower"
	}
	return "the same pace"
}

// timesText is "77.0, 79.0, 78.0 s; mean 78.0 s, standard deviation 1.0 s, spread 2.6 %".
func timesText(ts []unit.Time, mean unit.Time, s Stats) string {
	if s.N < 2 {
		return clockList(ts)
	}
	return fmt.Sprintf("%s; mean %s, standard deviation %s, spread %s", clockList(ts), secondsText(mean),
		secondsText(unit.Time(s.Deviation)*mean), percent(s.Spread))
}

// catchesText is "5.25 gal", or several with their mean and scatter.
func catchesText(u unit.System, vs []unit.Volume, s Stats) string {
	if s.N < 2 {
		return caughtList(u, vs)
	}
	mean, _ := statsOf(vs)
	return fmt.Sprintf("%s; mean %s, standard deviation %s, spread %s", caughtList(u, vs), caughtText(u, mean),
		percent(s.Deviation), percent(s.Spread))
}

// Working shows how the rate was come by, from the runs to how sure it is.
func (r CatchResult) Working(u unit.System) (w working.Working) {
	c, in, run := r.Test, working.UnitsOf(u), r.words.run
	if r.words.narrow {
		in = in.Narrow()
	}
	meanTime := workMean(&w, "mean time", "time of the "+run, run+"s", c.Runs, r.Mean, "s")
	area := c.plot().work(&w, in, r.words.width)
	if r.Pace != 0 {
		w.Add("pace", working.Of("length covered", c.plot().walked(), in.Length).Over(meanTime), r.Pace, in.Speed, "")
	}
	mean, _ := statsOf(c.caught())
	caught := workMean(&w, "mean catch", "caught", "catches", c.caught(), mean, volumeUnit(u, mean))
	note := ""
	if c.CaughtIn == 0 {
		note = "Caught for the mean time of the " + run + "s."
	}
	catchTime := working.Of("time of the catch", r.In, "s")
	w.Add("flow at the "+r.words.at, caught.Over(catchTime), r.Flow, in.Flow, "", notes(note)...)
	workRate(&w, u, caught, catchTime, meanTime, area, r)
	workStats(&w, run, c.Runs, "s", unit.Second)
	workStats(&w, "catch", c.caught(), volumeUnit(u, mean), volumeOne(u, mean))
	r.workEnd(&w, u, c.setup(), c.Use)
	return w
}

// workRate shows the carrier rate; a catch for the mean time of the runs is what the plot gets.
func workRate(w *working.Working, u unit.System, caught, catchTime, meanTime, area working.Expr, r CatchResult) {
	e := caught.Over(catchTime).Times(meanTime).Over(area)
	note := "Flow times the time on the plot is what the plot gets."
	if r.In == r.Mean {
		e, note = caught.Over(area), "The catch took as long as the plot, so the plot gets what was caught."
	}
	w.Add("carrier rate", e, r.CarrierRate, working.UnitsOf(u).Carrier, u.CarrierRate(r.CarrierRate), note, "That is "+rateText(u, r.CarrierRate)+".")
}

// workMean shows a mean and gives it as later steps use it; a single measurement keeps its name, one.
func workMean[Q measured](w *working.Working, name, one, of string, xs []Q, mean Q, in string) working.Expr {
	if len(xs) == 1 {
		return working.Of(one, mean, in)
	}
	var es []working.Expr
	for _, x := range xs {
		es = append(es, working.Of("", x, in))
	}
	w.Add(name, working.Mean("the "+of, es...), mean, in, "")
	return working.Of(name, mean, in)
}

// notes leaves out empty ones.
func notes(list ...string) (out []string) {
	for _, n := range list {
		if n != "" {
			out = append(out, n)
		}
	}
	return out
}

// Procedure is how the test is made (Spray Gun calibration page, Pesticide Environmental
// Stewardship, NC State, n.d.; Spray Gun Calibration, UF/IFAS PI225). Spacing and a wanted rate are
// worked into the steps when they are known.
func (c Catch) Procedure(u unit.System) []string {
	spacing, lengthUnit := c.Spacing, "ft"
	if u == unit.Metric {
		lengthUnit = "m"
	}
	course := fmt.Sprintf("Mark out a course as long as %s / pass spacing in %s.", u.Area(usual(u)), lengthUnit)
	if unit.Positive(spacing) {
		course = fmt.Sprintf("Mark out a course of %s: %s / %s of pass spacing.", u.Length(usual(u).Divide(spacing)), u.Area(usual(u)), u.Length(spacing))
	}
	return numbered(
		"Fill the tank with water. Lay the hose out as on a lawn. Set the pressure that you spray with, and read it at the gun: a long hose takes some of it.",
		"Spray on dry pavement first. The wet film shows the width and whether it is even. The pass spacing is the distance between walking lines, about half of that width for a hand gun, and not the width itself.",
		course+" Any plot will do when its area is measured: length x pass spacing x passes.",
		"Start spraying before the line. Walk the course as on a lawn, same arm, same height, and time it from line to line. Do so at least three times.",
		"Take the mean of the times. Hold the gun in a bucket and let it run for just that long. Measure what is in the bucket; do it three times to know how well it repeats.",
		"Carrier rate = caught / area of the course.",
		accept(u, c.Use),
	)
}

// accept is the last step of a procedure: what to do with the rate.
func accept(u unit.System, use Use) string {
	band := "Accept it within 5 % of the rate you want."
	if unit.Positive(use.Wanted) {
		band = fmt.Sprintf("Accept it from %s to %s: within 5 %% of %s.", u.CarrierRate(use.Wanted*(1-AcceptShare)), u.CarrierRate(use.Wanted*(1+AcceptShare)), u.CarrierRate(use.Wanted))
	}
	return band + " Else change the pace, the pressure or the nozzle, and test again. The result holds for this operator, machine, nozzle, pressure and spacing."
}
