package calibrate

import (
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// SpeedChange asks what rate another pace makes, or which pace makes another rate, with flow and spacing as they
// are. Rate and Pace were measured; one of ToRate and ToPace is given.
type SpeedChange struct {
	Rate   unit.VolumePerArea
	Pace   unit.Speed
	ToRate unit.VolumePerArea
	ToPace unit.Speed
	// Course is the length to give a time for, 0 for none.
	Course unit.Length
}

// SpeedResult is the sprayer after the change.
type SpeedResult struct {
	Rate unit.VolumePerArea `json:"carrier_l_per_m2"`
	Pace unit.Speed         `json:"pace_m_per_s"`
	Time unit.Time          `json:"course_time_s,omitempty"` // 0 without a course

	asked SpeedChange
}

// Result works the change out: the rate is inverse to the pace at a steady flow (The Calibration of Turfgrass Boom
// Sprayers and Spreaders, NC State Extension, n.d.). A sprayer that steers its flow by the speed keeps its rate, and
// needs four times the pressure for double the speed. Bad figures give a zero result with errors; so does a change
// that ends outside 0.3 to 10 mph or 0.05 to 20 gal/1000 sq ft.
func (c SpeedChange) Result(where string) (SpeedResult, problem.List) {
	var ps problem.List
	checkCarrier(&ps, "measured", c.Rate, where)
	checkPace(&ps, "measured", c.Pace, where)
	switch {
	case (c.ToRate != 0) == (c.ToPace != 0):
		ps.Errorf("one-of-two", where, "Give either the wanted rate or the new pace.", "the wanted rate and the new pace are both given, or neither")
	case c.ToRate != 0:
		checkCarrier(&ps, "wanted", c.ToRate, where)
	default:
		checkPace(&ps, "new", c.ToPace, where)
	}
	if c.Course != 0 && !unit.Positive(c.Course) {
		ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 143 ft, or leave it out.", "the course is %s long", unit.US.Length(c.Course))
	}
	if ps.HasErrors() {
		return SpeedResult{}, ps
	}
	r := SpeedResult{asked: c, Rate: c.ToRate, Pace: c.ToPace}
	if c.ToRate != 0 {
		r.Pace = SpeedForRate(c.Pace, c.Rate, c.ToRate)
		checkPace(&ps, "resulting", r.Pace, where)
	} else {
		r.Rate = RateAtSpeed(c.Rate, c.Pace, c.ToPace)
		checkCarrier(&ps, "resulting", r.Rate, where)
	}
	if ps.HasErrors() {
		return SpeedResult{}, ps
	}
	if c.Course != 0 {
		r.Time = c.Course.Over(r.Pace)
	}
	return r, ps
}

// checkCarrier refuses a carrier rate that no sprayer puts on.
func checkCarrier(ps *problem.List, name string, r unit.VolumePerArea, where string) {
	if !(r >= leastCarrier*(1-adviceNoise) && r <= mostCarrier*(1+adviceNoise)) {
		ps.Errorf("rate-zero", where, "Enter the carrier rate with its unit, such as 2 gal/1000 sq ft, and check the unit.",
			"the %s rate is %s gal/1000 sq ft; 0.05 to 20 is usual", name, unit.Number(r.In(unit.GallonPerThousand), 4))
	}
}

// checkPace refuses a pace that nobody sprays at.
func checkPace(ps *problem.List, name string, v unit.Speed, where string) {
	if !(v >= leastPace*(1-adviceNoise) && v <= mostPace*(1+adviceNoise)) {
		ps.Errorf("absurd", where, "Enter the pace with its unit, such as 3 mph, and check it.", "the %s pace is %s (%s), outside 0.3 mph to 10 mph", name, unit.US.Speed(v), unit.Metric.Speed(v))
	}
}

// checkCourse refuses a course and its time, both sizes, that make a pace that nobody keeps.
func checkCourse(ps *problem.List, course unit.Length, took unit.Time, where string) bool {
	pace := course.Per(took)
	if pace >= leastPace && pace <= mostPace {
		return true
	}
	ps.Errorf("absurd", where, "Check the course and its time: seconds written as minutes, or a course in metres entered as feet, is the usual slip.",
		"%s in %s is a pace of %s (%s), outside 0.3 mph to 10 mph", bothLengths(course), secondsText(took), unit.US.Speed(pace), unit.Metric.Speed(pace))
	return false
}

// Facts are the lines that every page and sheet prints.
func (r SpeedResult) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{{Name: "carrier rate", Text: rateText(s, r.Rate)}, {Name: "pace", Text: paceText(s, r.Pace)}}
	if r.Time != 0 {
		fs = append(fs, working.Fact{Name: "time for " + s.Length(r.asked.Course), Text: secondsText(r.Time)})
	}
	return append(fs, working.Fact{Name: "then", Text: repeatCatch})
}

// Working shows the proportion.
func (r SpeedResult) Working(s unit.System) working.Working {
	var w working.Working
	b, c := working.UnitsOf(s), r.asked
	rate, pace := working.Of("rate", c.Rate, b.Carrier), working.Of("pace", c.Pace, b.Speed)
	const why = "At the same flow the rate is inverse to the pace (NC State Extension, The Calibration of Turfgrass Boom Sprayers and Spreaders)."
	if c.ToRate != 0 {
		w.Add("new pace", pace.Times(rate).Over(working.Of("wanted rate", c.ToRate, b.Carrier)), r.Pace, b.Speed, paceText(s, r.Pace), why)
	} else {
		w.Add("new rate", rate.Times(pace).Over(working.Of("new pace", c.ToPace, b.Speed)), r.Rate, b.Carrier, s.CarrierRate(r.Rate), why)
	}
	if r.Time != 0 {
		w.Add("time for the course", working.Of("course", c.Course, b.Length).Over(working.Of("new pace", r.Pace, b.Speed)), r.Time, "s", secondsText(r.Time))
	}
	w.Say("then", repeatCatch)
	return w
}

// Procedure is how the change is made.
func (c SpeedChange) Procedure(unit.System) []string {
	return numbered("Keep pressure, nozzle and pass spacing.", "Walk the course until three runs take the new time.", "Then "+repeatCatch+".")
}
