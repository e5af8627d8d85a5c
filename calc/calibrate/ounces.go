package calibrate

import (
	"fmt"
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// SmallPlot is 1/128 acre, 340.3 sq ft: an acre has 128 such plots and a gallon 128 fluid ounces, so
// that the fluid ounces put on one are the gallons put on an acre (Ounces Equal Gallons: Sprayer
// Calibration, LSU AgCenter, n.d.).
const SmallPlot = unit.Acre / 128

// ruleReach is how far a plot may be off 1/128 acre for the rule to be shown beside the exact
// rate: the usual 18.5 ft square is 0.6 % larger (common practice, no source).
const ruleReach = 0.05

// Ounces is the 1/128-acre test of one nozzle of a boom.
type Ounces struct {
	Setup Setup
	Use   Use
	// Width is the nozzle spacing (of a backpack, the pass spacing). Course 0 is the length that
	// makes 1/128 acre of it. Passes and Area are as in a Catch.
	Width, Course unit.Length
	Passes        int
	Area          unit.Area
	// Runs are the timed runs over the course. Catches are what one nozzle gave, each in the time
	// CaughtIn; 0 is the mean of the runs.
	Runs     []unit.Time
	Catches  []unit.Volume
	CaughtIn unit.Time
}

// Backpack is the same test of a backpack or hand-can sprayer: on 1/128 acre, or on any plot that
// was measured.
type Backpack Ounces

// OuncesResult is what such a test says.
type OuncesResult struct {
	CatchResult
	// Rule is fluid ounces caught as gallons an acre, beside the exact CarrierRate; 0 when the plot
	// is not 1/128 acre within 5 %.
	Rule unit.VolumePerArea `json:"rule_l_per_m2,omitempty"`
}

// Result works the test out exactly, and by the rule (Spray the Right Rate, reprint of Ohio State
// University Extension's 1/128-acre method, 2016). When the list has errors the result is zero.
func (o Ounces) Result(where string) (OuncesResult, problem.List) {
	return o.result(catchWords{run: "run", at: "nozzle", width: "nozzle spacing", narrow: true}, where)
}

// Result works the test out exactly, and by the rule (Backpack Sprayer Calibration Worksheet, NC State
// Extension, n.d.). When the list has errors the result is zero.
func (b Backpack) Result(where string) (OuncesResult, problem.List) {
	return Ounces(b).result(catchWords{run: "run", at: "nozzle", width: "pass spacing"}, where)
}

func (o Ounces) result(words catchWords, where string) (OuncesResult, problem.List) {
	c, ps := o.catch().outcome(words, where)
	if ps.HasErrors() {
		return OuncesResult{}, ps
	}
	r := OuncesResult{CatchResult: c}
	if off := float64(c.Area/SmallPlot) - 1; math.Abs(off) <= ruleReach+adviceNoise {
		r.Rule = c.Flow.For(c.Mean).Per(SmallPlot)
	}
	return r, ps
}

// catch is the test as a timed catch.
func (o Ounces) catch() Catch {
	course := o.Course
	if course == 0 && o.Area == 0 && unit.Positive(o.Width) {
		course = SmallPlot.Divide(o.Width)
	}
	return Catch{Course: course, Spacing: o.Width, Passes: o.Passes, Area: o.Area, Runs: o.Runs,
		Catches: o.Catches, CaughtIn: o.CaughtIn, Setup: o.Setup, Use: o.Use}
}

// Facts are the printed lines.
func (r OuncesResult) Facts(u unit.System) []working.Fact {
	fs := r.CatchResult.Facts(u)
	if r.Rule != 0 && u == unit.US {
		fs = append(fs, working.Fact{Name: "by the rule", Text: fmt.Sprintf("%s fl oz on 1/128 acre = %s gal/acre; this plot is %s sq ft, 1/128 acre %s sq ft",
			unit.Number(r.Flow.For(r.Mean).In(unit.FluidOunce), 1), unit.Number(r.Rule.In(unit.GallonPerAcre), 1),
			unit.Number(r.Area.In(unit.SquareFoot), 1), unit.Number(SmallPlot.In(unit.SquareFoot), 1))})
	}
	return fs
}

// Working shows the exact way, and in US units the rule beside it.
func (r OuncesResult) Working(u unit.System) (w working.Working) {
	w = r.CatchResult.Working(u)
	if r.Rule == 0 || u != unit.US {
		return w
	}
	onPlot := r.Flow.For(r.Mean)
	e := working.Of("put on the plot", onPlot, "fl oz").Over(working.Of("1/128 acre", SmallPlot, "sq ft"))
	w.Add("by the rule of the fluid ounces", e, r.Rule, "gal/acre", "",
		"128 fl oz are a gallon and 128 such plots an acre: fluid ounces are gallons an acre.",
		"The rule takes the plot for 1/128 acre; the carrier rate above takes it as it is.")
	return w
}

// Procedure is how the test is made (Ounces Equal Gallons: Sprayer Calibration, LSU AgCenter, n.d.).
func (o Ounces) Procedure(u unit.System) []string {
	return numbered(
		"Rinse the boom, clean the screens, half fill the tank with water, and set the pressure and the gear that you spray with.",
		o.courseStep(u, "nozzle spacing"),
		"Come up to speed before the line. Drive the course and time it, at least three times, as often one way as the other. Take the mean of the times.",
		"Standing, with the same pressure, catch one nozzle for just that time. Catch every nozzle of the boom in turn: one that is 5 % off their mean wants watching, one that is 10 % off cleaning or replacing.",
		rule(u),
		accept(u, o.Use),
	)
}

// Procedure is how the test is made (Backpack Sprayer Calibration Worksheet, NC State Extension,
// n.d.; FABE-531, Ohio State University Extension, 2020: pace, pressure and height held steady).
func (b Backpack) Procedure(u unit.System) []string {
	o := Ounces(b)
	return numbered(
		"Half fill the tank with water and pump to the pressure that you spray with. Spray on dry pavement: the pass spacing is the distance between walking lines at which the wet film is even.",
		o.courseStep(u, "pass spacing"),
		"Start spraying before the line and walk the course at the pace you can keep all day, with the nozzle at one height. Time it, at least three times. Take the mean.",
		"Hold the nozzle in a measuring jug for just that time, pumping as you did.",
		rule(u),
		"Do it again later in the day: the pace of a tired walker is another.",
		accept(u, o.Use),
	)
}

// metricPlot is the plot of a knapsack in metric units: 25 m2, of which an hectare has 400
// (calibrating your knapsack sprayer, step 5 of 6, n.d.: 25 m2 / 0.75 m is a course of 33.3 m).
const metricPlot = 25 * unit.SquareMetre

// courseStep is the step that lays out the course, with its length where the width is known.
func (o Ounces) courseStep(u unit.System, width string) string {
	plot, name, per := SmallPlot, unit.Number(SmallPlot.In(unit.SquareFoot), 1)+" sq ft (1/128 acre)", "ft"
	if u == unit.Metric {
		plot, name, per = metricPlot, "25 m2", "m"
	}
	if !unit.Positive(o.Width) {
		return fmt.Sprintf("Mark out a course as long as %s / %s in %s.", name, width, per)
	}
	return fmt.Sprintf("Mark out a course of %s: %s / %s of %s.", u.Length(plot.Divide(o.Width)), name, narrowText(u, o.Width), width)
}

// rule is the step that reads the rate off the jug.
func rule(u unit.System) string {
	if u == unit.Metric {
		plots := unit.Hectare.In(metricPlot)
		return fmt.Sprintf("Litres caught x %s = litres a hectare: a hectare has %[1]s plots of 25 m2.", unit.Number(plots, 0))
	}
	return fmt.Sprintf("Fluid ounces caught = gallons an acre. Divide by %s for gallons per 1,000 sq ft.", unit.Number(unit.GallonPerThousand.In(unit.GallonPerAcre), 2))
}
