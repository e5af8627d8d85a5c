package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// PassPlan asks how to put a rate on: in one full pass or in two of half the rate. The extension services do
// not agree on the two, so both are given with who advises them.
type PassPlan struct {
	Setup  Setup
	Wanted unit.MassPerArea
	// Spacing is the pass spacing that the settings were tried for: the effective swath.
	Spacing unit.Length
	// Tried are the marks tried, as in SettingSearch; with none the settings are left open.
	Tried []SettingTrial
	Step  float64
}

// PassOption is one way to walk.
type PassOption struct {
	Name string `json:"name"`
	// Passes is how many passes are walked for each one of the full-rate way; 2 doubles the walking.
	Passes int `json:"passes"`
	// Rate is what the setting of each pass gives when it is weighed for the full Spacing of the plan.
	Rate    unit.MassPerArea `json:"rate_kg_per_m2"`
	Spacing unit.Length      `json:"spacing_m"`
	// Setting is nil when none was tried on both sides of Rate.
	Setting *SettingResult `json:"setting,omitempty"`
	Advice  string         `json:"advice"` // who advises it, and why
}

// PassResult is the three ways: one full pass, two half-rate passes parallel, two at right angles.
type PassResult struct {
	Options []PassOption `json:"options"`

	plan PassPlan
}

// Who advises what, as printed with each way.
const (
	adviceOne      = "common practice, no source: least walking; a pattern that is not even stripes"
	adviceParallel = "Ohio State University Extension (Bulletin 817, 2000) and LSU AgCenter (2004): right angles only turn stripes into a checkerboard"
	adviceAngles   = "UMass Extension (Rotary Spreader Calibration Procedures) and the University of Minnesota: half the rate each way"
)

// Result works the three ways out. With the setting of half the rate, passes half as far apart, or twice over
// the same ground, put on the whole:
//
//	rate on the turf = rate of the setting at the full spacing x full spacing / spacing walked
//
// A setting that the tried marks do not give is left open with a warning; the way itself stands.
func (p PassPlan) Result(where string) (PassResult, problem.List) {
	var ps problem.List
	checkWantedMass(&ps, p.Wanted, where)
	switch {
	case !unit.Positive(p.Spacing):
		ps.Errorf("swath-zero", where, "Enter the effective swath with its unit, such as 12 ft.", "the pass spacing is %s", unit.US.Length(p.Spacing))
	case p.Spacing < leastSpacing || p.Spacing > mostSpacing:
		ps.Errorf("absurd", where, "Check the unit of the effective swath: feet for inches, or metres for feet, is the usual slip.", "a pass spacing of %s is outside 0.5 ft to 60 ft", bothLengths(p.Spacing))
	}
	if ps.HasErrors() {
		return PassResult{}, ps
	}
	r := PassResult{plan: p, Options: []PassOption{
		{Name: "one full-rate pass", Passes: 1, Rate: p.Wanted, Spacing: p.Spacing, Advice: adviceOne},
		{Name: "two half-rate passes, parallel at half the spacing", Passes: 2, Rate: p.Wanted / 2, Spacing: p.Spacing / 2, Advice: adviceParallel},
		{Name: "two half-rate passes at right angles", Passes: 2, Rate: p.Wanted / 2, Spacing: p.Spacing, Advice: adviceAngles},
	}}
	if len(p.Tried) == 0 {
		return r, ps
	}
	full := p.setting(&ps, p.Wanted, "the full rate", where)
	if ps.HasErrors() {
		return PassResult{}, ps
	}
	half := p.setting(&ps, p.Wanted/2, "half the rate", where)
	r.Options[0].Setting, r.Options[1].Setting, r.Options[2].Setting = full, half, half
	return r, ps
}

// setting searches the tried marks; a rate beyond them is a warning here.
func (p PassPlan) setting(ps *problem.List, rate unit.MassPerArea, name, where string) *SettingResult {
	r, found := SettingSearch{Setup: p.Setup, Tried: p.Tried, Wanted: rate, Step: p.Step}.Result(where)
	for i := range found {
		found[i].What = name + ": " + found[i].What
		if found[i].Code == "beyond-tried" || found[i].Code == "absurd" {
			found[i].Severity = problem.Warning
		}
	}
	*ps = append(*ps, found...)
	if r.search.Wanted == 0 {
		return nil
	}
	return &r
}

// Facts are the lines that every page and sheet prints, one a way.
func (r PassResult) Facts(s unit.System) []working.Fact {
	var fs []working.Fact
	for _, o := range r.Options {
		set := "setting not known: try marks on both sides of that rate"
		if o.Setting != nil {
			set = "setting " + working.Figures(o.Setting.Setting)
		}
		walk := "as many passes as the turf is wide"
		if o.Passes > 1 {
			walk = "twice the passes"
		}
		fs = append(fs, working.Fact{Name: o.Name, Text: fmt.Sprintf("%s; each pass %s, passes %s apart, %s. Advised by: %s", set, s.MassRate(o.Rate), passSpacing(s, o.Spacing), walk, o.Advice)})
	}
	return fs
}

// passSpacing prints a spacing with its second decimal where the first would move it: half of 8.5 ft.
func passSpacing(s unit.System, l unit.Length) string {
	one, in := unit.Foot, "ft"
	if s == unit.Metric {
		one, in = unit.Metre, "m"
	}
	return working.Figures(unit.Round(l.In(one), 0.01)) + " " + in
}

// Working shows that every way puts the wanted rate on, and how its setting is found.
func (r PassResult) Working(s unit.System) working.Working {
	var w working.Working
	b, full := working.UnitsOf(s), r.plan.Spacing
	for i, o := range r.Options {
		w.Say(o.Name, passSpacing(s, o.Spacing)+" apart", "Advised by: "+o.Advice+".")
		if o.Passes > 1 {
			w.Add("rate of each pass", working.Of("wanted", r.plan.Wanted, b.MassRate).Over(working.Number("", 2)), o.Rate, b.MassRate, s.MassRate(o.Rate),
				"The setting is weighed for the full spacing of "+passSpacing(s, full)+", not for half of it.")
		}
		switch rate := working.Of("rate of each pass", o.Rate, b.MassRate); {
		case o.Passes == 1:
			w.Say("put on in all", s.MassRate(r.plan.Wanted), "one pass over the ground")
		case o.Spacing < full:
			w.Add("put on in all", rate.Times(working.Of("full spacing", full, b.Length)).Over(working.Of("spacing walked", o.Spacing, b.Length)), r.plan.Wanted, b.MassRate, s.MassRate(r.plan.Wanted))
		default:
			w.Add("put on in all", rate.Times(working.Number("passes over the ground", float64(o.Passes))), r.plan.Wanted, b.MassRate, s.MassRate(r.plan.Wanted))
		}
		switch {
		case o.Setting != nil && i < 2:
			w.Append(o.Setting.Working(s))
		case o.Setting != nil:
			w.Say("setting", working.Figures(o.Setting.Setting), "the same half rate as above")
		}
	}
	return w
}

// Procedure is how two half-rate passes are laid out.
func (p PassPlan) Procedure(s unit.System) []string {
	return numbered(
		"Run a pattern test first: the effective swath is the full spacing.",
		"Find the setting for half the rate, weighed for the full spacing.",
		"Parallel: set flags at half the spacing and walk each line at that setting; the same way round or to and fro makes no odds when the pattern is good.",
		"Or at right angles: walk the turf at the full spacing, then again across. Choose one of the two, and never both: that would be twice the rate.",
		"Walk the ends with the gate shut while turning.")
}
