package calibrate

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Formula is a rate reckoned from a flow, a speed and a width as read or wanted, without a test.
type Formula struct {
	Setup Setup
	Use   Use
	Flow  unit.Flow
	Speed unit.Speed
	// Width is what the flow covers: one nozzle's spacing, a boom's width or a pass spacing.
	Width unit.Length
}

// FormulaResult is what the formula says; only Flow, Pace, Swath and the rates are set.
type FormulaResult struct {
	Result
	Test Formula `json:"-"`
}

// Result reckons carrier rate = flow / (speed x width). In gal/min, mph and inches that is the
// trade's 5,940 x flow / (speed x width) in gal/acre; the units give the factor (Calibrating Your Sprayer, Albany
// County (WY) Weed & Pest, n.d.). When the list has errors the result is zero.
func (f Formula) Result(where string) (FormulaResult, problem.List) {
	ps := checkWidth(f.Width, "the width", "Enter the nozzle spacing, the boom's width or the pass spacing, such as 20 in.", where)
	if !unit.Positive(f.Flow) {
		ps.Errorf("flow-zero", where, "Enter the flow that covers the width, such as 0.4 gal/min.", "the flow is %s", flowText(unit.US, f.Flow))
	}
	if !unit.Positive(f.Speed) {
		ps.Errorf("speed-missing", where, "Enter the speed, such as 3 mph.", "the speed is %s", unit.US.Speed(f.Speed))
	}
	ps = append(ps, append(f.Setup.check(where), f.Use.check(where)...)...)
	if ps.HasErrors() {
		return FormulaResult{}, ps
	}
	r := FormulaResult{Test: f}
	r.Flow, r.Pace, r.Swath = f.Flow, f.Speed, f.Width
	r.CarrierRate = f.Flow.Sweeping(f.Width, f.Speed)
	ps = append(ps, r.finish(f.Setup, f.Use, where)...)
	if ps.HasErrors() {
		return FormulaResult{}, ps
	}
	return r, ps
}

// Facts are the printed lines.
func (r FormulaResult) Facts(u unit.System) []working.Fact {
	return r.facts(u, r.Test.Setup, r.Test.Use, working.Fact{Name: "width", Text: narrowText(u, r.Swath)}, working.Fact{Name: "how", Text: "reckoned, not measured: catch the nozzles before work"})
}

// Working shows the formula with its units, and in US units where the trade's factor comes from.
func (r FormulaResult) Working(u unit.System) (w working.Working) {
	in := working.UnitsOf(u).Narrow()
	if u == unit.US {
		one := working.Of("flow", unit.GallonPerMinute, "gal/min").Over(working.Of("speed", unit.MilePerHour, "mph").Times(working.Of("width", unit.Inch, "in")))
		w.Add("the trade's factor", one, unit.GallonPerMinute.Sweeping(unit.Inch, unit.MilePerHour), "gal/acre", "",
			"1 gal/min, 1 mph and 1 in: the factor holds these units and nothing else.")
	}
	workSwept(&w, u, working.Of("flow", r.Flow, in.Flow), working.Of("speed", r.Pace, in.Speed), working.Of("width", r.Swath, in.Width), r.CarrierRate)
	r.workEnd(&w, u, r.Test.Setup, r.Test.Use)
	return w
}

// Procedure is where the three figures come from.
func (f Formula) Procedure(u unit.System) []string {
	return numbered(
		"Take the flow of one nozzle from its chart at your pressure, or catch it.",
		speedStep(u),
		"Take as width what that flow covers: the nozzle spacing for one nozzle, the whole boom for all of them.",
		"Carrier rate = flow / (speed x width).",
		"Before work, catch the nozzles: a chart knows nothing of wear.",
	)
}
