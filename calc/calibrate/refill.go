package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Refill is the known-area test: a measured plot is sprayed from a tank filled to a mark, and what
// brings it back to that mark was put on. It serves any sprayer, and needs no watch.
type Refill struct {
	Setup Setup
	Use   Use
	// The plot, as in a Catch: Course and Spacing (and Passes), or Area alone or with one of the two.
	Course, Spacing unit.Length
	Passes          int
	Area            unit.Area
	// Trials are the fillings, each after the whole plot.
	Trials []RefillTrial
}

// RefillTrial is one spraying of the plot.
type RefillTrial struct {
	Refilled unit.Volume // to the mark again
	Took     unit.Time   // time sprayed, 0 when not noted; either all trials have it or none
}

// RefillResult is what the test says. Flow and Pace are 0 without times; Catches are the refills.
type RefillResult struct {
	Result
	Refilled unit.Volume `json:"refilled_l"` // mean
	Test     Refill      `json:"-"`
}

// Result works the test out: carrier rate = mean refill / area (Hose-end Sprayer Calibration (turf),
// Pesticide Environmental Stewardship, n.d.; Fact Sheet 204, Colorado State University, 2006: 250 sq ft, output x
// 4). When the list has errors the result is zero. One trial is enough and says nothing of how
// well it repeats.
func (t Refill) Result(where string) (RefillResult, problem.List) {
	ps := t.entries(where)
	if ps.HasErrors() {
		return RefillResult{}, ps
	}
	p := t.plot()
	r := RefillResult{Test: t}
	r.Area, r.Swath = p.size(), p.apart()
	r.Refilled, r.Catches = statsOf(t.refills())
	r.Within = r.Catches.Half
	r.CarrierRate = r.Refilled.Per(r.Area)
	if times := t.times(); len(times) > 0 {
		r.Mean, r.Times = statsOf(times)
		r.Spread = r.Times.Spread
		r.Flow = r.Refilled.During(r.Mean)
		if p.walked() != 0 {
			r.Pace = p.walked().Per(r.Mean)
		}
	}
	if r.Catches.N == 1 {
		ps.Notef("one-trial", where, "Spray and refill at least three times to know how well it repeats.", "one trial is given")
	}
	ps = append(ps, r.finish(t.Setup, t.Use, where)...)
	if ps.HasErrors() {
		return RefillResult{}, ps
	}
	return r, ps
}

func (t Refill) plot() plot { return plot{t.Course, t.Spacing, t.Passes, t.Area} }

func (t Refill) refills() (vs []unit.Volume) {
	for _, x := range t.Trials {
		vs = append(vs, x.Refilled)
	}
	return vs
}

// times are the times of the trials, none when they were not timed.
func (t Refill) times() (ts []unit.Time) {
	for _, x := range t.Trials {
		if x.Took != 0 {
			ts = append(ts, x.Took)
		}
	}
	return ts
}

func (t Refill) entries(where string) (ps problem.List) {
	ps = append(t.plot().check(where), checkVolumes(t.refills(), "refill", where)...)
	if len(t.Trials) == 0 {
		ps.Errorf("no-trials", where, "Enter what brought the tank back to its mark, such as 1.25 gal.", "no refill is given")
	}
	times := t.times()
	for i, x := range times {
		if !unit.Positive(x) {
			ps.Errorf("run-zero", where, "Enter the time sprayed in every trial, or in none.", "trial %d took %s", i+1, secondsText(x))
		}
	}
	if n := len(times); n != 0 && n != len(t.Trials) {
		ps.Errorf("times-missing", where, "Enter the time sprayed in every trial, or in none.", "%d of %d trials have a time", n, len(t.Trials))
	}
	return append(ps, append(t.Setup.check(where), t.Use.check(where)...)...)
}

// Facts are the printed lines.
func (r RefillResult) Facts(u unit.System) []working.Fact {
	first := []working.Fact{{Name: "ground", Text: r.Test.plot().text(u)}, {Name: "refilled", Text: catchesText(u, r.Test.refills(), r.Catches)}}
	if ts := r.Test.times(); len(ts) > 0 {
		first = append(first, working.Fact{Name: "time sprayed", Text: timesText(ts, r.Mean, r.Times)})
	}
	return r.facts(u, r.Test.Setup, r.Test.Use, first...)
}

// Working shows how the rate was come by.
func (r RefillResult) Working(u unit.System) (w working.Working) {
	t, in := r.Test, working.UnitsOf(u)
	area := t.plot().work(&w, in, "pass spacing")
	volume := volumeUnit(u, r.Refilled)
	refilled := workMean(&w, "mean refill", "refilled", "refills", t.refills(), r.Refilled, volume)
	if ts := t.times(); len(ts) > 0 {
		took := workMean(&w, "mean time", "time sprayed", "times sprayed", ts, r.Mean, "s")
		if r.Pace != 0 {
			w.Add("pace", working.Of("length covered", t.plot().walked(), in.Length).Over(took), r.Pace, in.Speed, "")
		}
		w.Add("flow", refilled.Over(took), r.Flow, in.Flow, "")
	}
	w.Add("carrier rate", refilled.Over(area), r.CarrierRate, in.Carrier, u.CarrierRate(r.CarrierRate),
		"What fills the tank to its mark again was put on the plot.", "That is "+rateText(u, r.CarrierRate)+".")
	workStats(&w, "refill", t.refills(), volume, volumeOne(u, r.Refilled))
	r.workEnd(&w, u, t.Setup, t.Use)
	return w
}

// Procedure is how the test is made.
func (t Refill) Procedure(u unit.System) []string {
	plot := fmt.Sprintf("Measure out a plot, %s or more: a small one is refilled with a small amount, which is hard to read. Count its passes at the usual pass spacing.", u.Area(usual(u)))
	if p := t.plot(); !t.plot().check("").HasErrors() {
		plot = fmt.Sprintf("Measure out the plot: %s.", p.text(u))
	}
	return numbered(
		"Stand the sprayer on level ground and mark where each wheel stands. Fill it with water to a mark that you can read again.",
		plot,
		"Spray the plot once, as you spray a lawn: pace, pressure, pass spacing. Time only while it sprays, if the flow is wanted too.",
		"Bring the sprayer back to the same place. Fill it to the same mark from a measured container, and note how much that takes.",
		"Do it at least three times.",
		"Carrier rate = mean refill / area of the plot.",
		accept(u, t.Use),
	)
}
