package calibrate

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// SpreaderKind is how a spreader throws.
type SpreaderKind string

// A rotary spreader throws wider than its passes are apart; a drop spreader lets fall over the width of
// its hopper.
const (
	Rotary SpreaderKind = "rotary"
	Drop   SpreaderKind = "drop"
)

// SpreaderTest weighs what a spreader puts on a known area at one setting. The area is given in one of
// three ways: a Course walked for one Width; the wheel's Turns times its circumference, for one Width; or
// an Area, a tarp, pans under the hopper or a plot that was covered with passes at their usual spacing.
type SpreaderTest struct {
	Setup Setup
	Kind  SpreaderKind
	// Setting is the mark of the spreader's own scale, as a decimal number; where the scale has
	// letters, count A as 1. 0 is not noted.
	Setting float64
	// Width is the pass spacing: a rotary spreader's effective swath, a drop spreader's hopper. It is
	// not the width thrown. Not needed with an Area.
	Width unit.Length
	// Course is the length walked in each trial; or Turns, the whole wheel's revolutions, with Wheel, its
	// circumference; or Area.
	Course unit.Length
	Turns  float64
	Wheel  unit.Length
	Area   unit.Area
	// Time is how long one trial took on the course, 0 when not timed: the pace to keep.
	Time unit.Time
	// Trials are the weighings, all on the same area.
	Trials []SpreaderTrial
	// Wanted is the rate aimed at, 0 for none.
	Wanted unit.MassPerArea
}

// SpreaderTrial is one weighing: the spreader Before and After the course, or what was Caught. With
// Caught, Before may say what was in the hopper.
type SpreaderTrial struct {
	Before, After, Caught unit.Mass
}

// SpreaderResult is what a spreader test says.
type SpreaderResult struct {
	Setting   float64          `json:"setting,omitempty"`
	Course    unit.Length      `json:"course_m,omitempty"` // 0 when an area was given
	Area      unit.Area        `json:"area_m2"`
	Amounts   []unit.Mass      `json:"amounts_kg"` // spread on the area in each trial
	Mean      unit.Mass        `json:"mean_kg"`
	Weighings Stats            `json:"weighings"` // how the amounts agree
	Rate      unit.MassPerArea `json:"rate_kg_per_m2"`
	Pace      unit.Speed       `json:"pace_m_per_s,omitempty"` // 0 when not timed
	Off       float64          `json:"off,omitempty"`          // (rate - wanted) / wanted
	Judgement RateJudgement    `json:"judgement,omitempty"`    // "" when no rate was wanted

	test SpreaderTest
}

// The bounds outside which an entry is taken for a slip (common practice, no source): 0.02 to 200 lb/1000 sq ft (1 to 9,765
// kg/ha) holds everything from a fine seed to lime and compost. Spacing and pace have the bounds of a sprayer.
const (
	leastMassRate = 0.02 * unit.PoundPerThousand
	mostMassRate  = 200 * unit.PoundPerThousand
	mostWheel     = 20 * unit.Foot // around the wheel
)

const (
	// FewTrials is how many weighings make a mean (common practice, no source, after the three timed
	// runs of a sprayer); fewer are worked out with a warning.
	FewTrials = 3
	// MostTrialSpread is (most - least) / mean above which trials are called uneven (common practice, no source).
	MostTrialSpread = 0.10
)

// Result works the test out:
//
//	area   = course x width, or turns x wheel circumference x width, or as given
//	amount = weight before - weight after, or what was caught
//	rate   = mean of the amounts / area
//
// (Calibrating Your Spreader, NC Cooperative Extension, Onslow County, 2017; Dry chemical applicator calibration,
// Table 2, Univ. of Florida Agricultural Extension, whose 43 turns for 43.56 are not taken over: the area is the one
// that was walked). where is the test's place in the user's file. When the list has errors the Result is zero. A tarp
// that a wide throw only partly falls on says nothing of the rate: lay it so that passes at their usual spacing cover
// it, or enter its length as the course.
func (t SpreaderTest) Result(where string) (SpreaderResult, problem.List) {
	ps := t.entries(where)
	if ps.HasErrors() {
		return SpreaderResult{}, ps
	}
	r := SpreaderResult{test: t, Setting: t.Setting, Area: t.Area}
	if t.Area == 0 {
		if r.Course = t.Course; t.Turns != 0 {
			r.Course = t.Wheel * unit.Length(t.Turns)
		}
		r.Area = r.Course.By(t.Width)
		if t.Time != 0 {
			r.Pace = r.Course.Per(t.Time)
		}
	}
	for _, trial := range t.Trials {
		r.Amounts = append(r.Amounts, trial.amount())
	}
	r.Mean, r.Weighings = statsOf(r.Amounts)
	r.Rate = r.Mean.Per(r.Area)
	if t.Wanted != 0 {
		r.Off = float64((r.Rate - t.Wanted) / t.Wanted)
		r.Judgement = JudgeRate(r.Off)
	}
	ps = append(ps, r.doubts(where)...)
	if ps.HasErrors() {
		return SpreaderResult{}, ps
	}
	return r, ps
}

func (t SpreaderTrial) amount() unit.Mass {
	if t.Caught != 0 {
		return t.Caught
	}
	return t.Before - t.After
}
