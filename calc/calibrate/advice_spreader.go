package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// SpreaderAdvice asks what to change so that a spreader puts on the wanted rate.
type SpreaderAdvice struct {
	Setup        Setup
	Rate, Wanted unit.MassPerArea
	// Tried are the marks tried, as in SettingSearch; with fewer than two the setting is left open.
	Tried []SettingTrial
	Step  float64
	// Course was walked in Time; both 0 when not timed, and the pace is left open.
	Course unit.Length
	Time   unit.Time
	Ridden bool
}

// SpreaderAdviceResult is two ways to the wanted rate; each one by itself reaches it.
type SpreaderAdviceResult struct {
	Off       float64        `json:"off"` // (rate - wanted) / wanted
	Judgement RateJudgement  `json:"judgement"`
	Setting   *SettingResult `json:"setting,omitempty"` // nil when the marks tried do not give it
	Pace      *PaceOption    `json:"pace,omitempty"`    // nil when the course was not timed

	asked SpreaderAdvice
	pace  unit.Speed
}

// steadyGate is said with every change of a spreader's pace.
const steadyGate = "A gate lets about the same through in a minute at any pace, so the rate is inverse to the pace; the throw changes with the pace, so test the pattern again (common practice, no source)."

// Result works the two ways out. The setting comes first: a straight line between marks that were tried, see SettingSearch.
// The pace is the second, as a rough rule (common practice, no source). A setting beyond the marks is a warning.
// When the list has errors the Result is zero.
func (a SpreaderAdvice) Result(where string) (SpreaderAdviceResult, problem.List) {
	var ps problem.List
	checkWantedMass(&ps, a.Wanted, where)
	if !(a.Rate >= leastMassRate*(1-adviceNoise) && a.Rate <= mostMassRate*(1+adviceNoise)) {
		ps.Errorf("rate-zero", where, "Enter the rate that was weighed with its unit, such as 4.2 lb/1000 sq ft, and check the unit.", "the rate is %s", unit.US.MassRate(a.Rate))
	}
	timed := a.Course != 0 || a.Time != 0
	if timed && !unit.Positive(a.Course) {
		ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 125 ft, or leave out the time too.", "the course is %s long", unit.US.Length(a.Course))
	}
	if timed && !unit.Positive(a.Time) {
		ps.Errorf("run-zero", where, "Enter the mean time of the course, such as 32.4 s, or leave out the course too.", "the course took %s", secondsText(a.Time))
	}
	if ps.HasErrors() {
		return SpreaderAdviceResult{}, ps
	}
	r := SpreaderAdviceResult{asked: a, Off: float64((a.Rate - a.Wanted) / a.Wanted)}
	r.Judgement = JudgeRate(r.Off)
	if timed {
		r.changePace(&ps, where)
	}
	if len(a.Tried) > 0 {
		r.Setting = PassPlan{Setup: a.Setup, Tried: a.Tried, Step: a.Step}.setting(&ps, a.Wanted, "the wanted rate", where)
	}
	if ps.HasErrors() {
		return SpreaderAdviceResult{}, ps
	}
	return r, ps
}

func (r *SpreaderAdviceResult) changePace(ps *problem.List, where string) {
	a := r.asked
	if r.pace = a.Course.Per(a.Time); !checkCourse(ps, a.Course, a.Time, where) {
		return
	}
	least, most := RateAdvice{Ridden: a.Ridden}.paceRange()
	ratio := ratioOf(a.Rate, a.Wanted)
	pace := r.pace * unit.Speed(ratio)
	r.Pace = &PaceOption{Pace: pace, Time: a.Course.Over(pace), Sensible: pace >= least*(1-adviceNoise) && pace <= most*(1+adviceNoise)}
}

// Facts are the lines that every page and sheet prints.
func (r SpreaderAdviceResult) Facts(s unit.System) []working.Fact {
	a := r.asked
	return append([]working.Fact{
		{Name: "product rate", Text: bothMassRates(s, a.Rate)},
		{Name: "wanted", Text: bothMassRates(s, a.Wanted)},
		{Name: "off the wanted rate", Text: percentText(r.Off)},
		{Name: "judgement", Text: r.Judgement.Text()},
	}, r.Ways(s)...)
}

// Ways are the facts of what to change, without the question.
func (r SpreaderAdviceResult) Ways(s unit.System) (fs []working.Fact) {
	a := r.asked
	if r.Setting != nil {
		fs = append(fs, working.Fact{Name: "change the setting", Text: fmt.Sprintf("to %s on the spreader's own scale: %s", working.Figures(r.Setting.Setting), s.MassRate(r.Setting.Rate))})
	} else {
		fs = append(fs, working.Fact{Name: "change the setting", Text: "try marks until two lie on either side of the wanted rate; nothing is guessed beyond them"})
	}
	if p := r.Pace; p != nil {
		t := fmt.Sprintf("%s in %s instead of %s: %s instead of %s", s.Length(a.Course), secondsText(p.Time), secondsText(a.Time), paceText(s, p.Pace), paceText(s, r.pace))
		if !p.Sensible {
			least, most := RateAdvice{Ridden: a.Ridden}.paceRange()
			t += fmt.Sprintf("; outside %s to %s, which nobody keeps up (common practice, no source)", s.Speed(least), s.Speed(most))
		}
		fs = append(fs, working.Fact{Name: "or the pace", Text: t}, working.Fact{Name: "caution", Text: steadyGate})
	}
	return append(fs, working.Fact{Name: "then", Text: repeatCatch})
}

// Working shows the two ways.
func (r SpreaderAdviceResult) Working(s unit.System) working.Working {
	var w working.Working
	b, a := working.UnitsOf(s), r.asked
	rate, wanted := working.Of("rate", a.Rate, b.MassRate), working.Of("wanted", a.Wanted, b.MassRate)
	sayJudgement(&w, rate, wanted, r.Off)
	if r.Setting != nil {
		w.Append(r.Setting.Working(s))
	}
	if p := r.Pace; p != nil {
		w.Add("pace", working.Of("course", a.Course, b.Length).Over(working.Of("time", a.Time, "s")), r.pace, b.Speed, paceText(s, r.pace))
		w.Add("or the pace", working.Of("pace", r.pace, b.Speed).Times(rate).Over(wanted), p.Pace, b.Speed, paceText(s, p.Pace), steadyGate)
		w.Add("its time for the course", working.Of("course", a.Course, b.Length).Over(working.Of("new pace", p.Pace, b.Speed)), p.Time, "s", secondsText(p.Time))
	}
	w.Say("then", repeatCatch)
	return w
}

// Procedure is what to do with the advice.
func (a SpreaderAdvice) Procedure(unit.System) []string {
	return numbered(
		"Change the setting first, and keep the pace.",
		"Change the pace only where the scale is too coarse, and test the pattern again.",
		"Repeat the weighing, and accept it within "+wholePercent(AcceptShare)+" of the wanted rate.")
}
