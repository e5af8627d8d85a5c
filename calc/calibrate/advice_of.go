package calibrate

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Advice is what to change when a test's rate is not the one wanted: an Outcome whose Ways are the facts without the
// question, for printing below the test's own.
type Advice interface {
	working.Outcome
	Ways(unit.System) []working.Fact
}

// Advice is what to change so that the wanted rate goes on, of the liquid that will be sprayed. ok is false
// where no rate is wanted, where it is accepted, and for a plot without a course to keep a pace on.
func (r CatchResult) Advice(where string) (a RateAdviceResult, ps problem.List, ok bool) {
	c := r.Test
	if c.Use.Wanted == 0 || c.Course == 0 || r.Swath == 0 || JudgeRate(offBy(r.Sprayed, c.Use.Wanted)) == RateAccepted {
		return a, nil, false
	}
	a, ps = RateAdvice{Setup: c.setup(), Rate: r.Sprayed, Wanted: c.Use.Wanted, Course: c.Course, Time: c.Course.Over(r.Pace), Spacing: r.Swath}.Result(where)
	return a, ps, !ps.HasErrors()
}

// Advice is what to change so that the wanted rate goes on; ok is false where none is wanted or it is accepted.
func (r SpreaderResult) Advice(where string) (a SpreaderAdviceResult, ps problem.List, ok bool) {
	t := r.test
	if t.Wanted == 0 || r.Judgement == RateAccepted {
		return a, nil, false
	}
	ask := SpreaderAdvice{Setup: t.Setup, Rate: r.Rate, Wanted: t.Wanted}
	if t.Course != 0 && t.Time != 0 {
		ask.Course, ask.Time = t.Course, t.Time
	}
	a, ps = ask.Result(where)
	return a, ps, !ps.HasErrors()
}
