package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// RateAdvice asks what to change so that a calibrated sprayer puts on the wanted carrier rate.
type RateAdvice struct {
	Setup Setup // its Pressure is the one at the catch, 0 when not noted
	Rate  unit.VolumePerArea
	// Wanted is the rate aimed at. Course was walked in Time at the pass spacing Spacing.
	Wanted  unit.VolumePerArea
	Course  unit.Length
	Time    unit.Time
	Spacing unit.Length
	// Ridden is true where nobody walks: the pace then has the range of a machine.
	Ridden bool
}

// A pace on foot that can be kept all day, and the range of a machine on turf (common practice, no source).
const (
	LeastFootPace = 1.5 * unit.MilePerHour
	MostFootPace  = 4.5 * unit.MilePerHour
	leastRidePace = 1 * unit.MilePerHour
	mostRidePace  = 10 * unit.MilePerHour
)

// RateAdviceResult is three ways to the wanted rate; each one by itself reaches it.
type RateAdviceResult struct {
	Off       float64       `json:"off"` // (rate - wanted) / wanted
	Judgement RateJudgement `json:"judgement"`
	Pace      PaceOption    `json:"pace"`
	// Pressure is what the pressure would become; nil when it was not noted.
	Pressure *PressureOption `json:"pressure,omitempty"`
	Nozzle   NozzleOption    `json:"nozzle"`

	asked RateAdvice
	pace  unit.Speed
	flow  unit.Flow
}

// PaceOption keeps flow and spacing and changes the pace.
type PaceOption struct {
	Pace     unit.Speed `json:"pace_m_per_s"`
	Time     unit.Time  `json:"course_time_s"` // for the same course
	Sensible bool       `json:"sensible"`
}

// PressureOption keeps pace and nozzle and changes the pressure at the gun.
type PressureOption struct {
	Pressure unit.Pressure `json:"pressure_kpa"`
	Ratio    float64       `json:"ratio"` // new / old
	Sensible bool          `json:"sensible"`
}

// NozzleOption keeps pace and pressure and changes the nozzle: Flow is what all of the swath's nozzles must give.
type NozzleOption struct {
	Flow  unit.Flow `json:"flow_l_per_min"`
	Ratio float64   `json:"ratio"` // new / old
}

// Result works the three ways out:
//
//	pace     = pace x rate / wanted
//	pressure = pressure x (wanted / rate)^2
//	flow     = flow x wanted / rate
//
// (The Calibration of Turfgrass Boom Sprayers and Spreaders, NC State Extension, n.d., and the National Pesticide
// Applicator Certification Core Manual, ch. 11, as summarised; the three levers are those of the Spray Gun
// calibration page, Pesticide Environmental Stewardship, n.d., whose pattern width is left alone, because the passes
// hang on it). When the list has errors the Result is zero; a way outside its sensible range is given with Sensible
// false, and with a warning when none of pace and pressure is sensible.
func (a RateAdvice) Result(where string) (RateAdviceResult, problem.List) {
	ps := a.entries(where)
	if ps.HasErrors() {
		return RateAdviceResult{}, ps
	}
	r := RateAdviceResult{asked: a, pace: a.Course.Per(a.Time)}
	least, most := a.paceRange()
	if !checkCourse(&ps, a.Course, a.Time, where) {
		return RateAdviceResult{}, ps
	}
	r.flow = FlowForRate(a.Rate, a.Spacing, r.pace)
	r.Off = float64((a.Rate - a.Wanted) / a.Wanted)
	r.Judgement = JudgeRate(r.Off)
	pace := SpeedForRate(r.pace, a.Rate, a.Wanted)
	r.Pace = PaceOption{Pace: pace, Time: a.Course.Over(pace), Sensible: pace >= least*(1-adviceNoise) && pace <= most*(1+adviceNoise)}
	r.Nozzle = NozzleOption{Flow: FlowForRate(a.Wanted, a.Spacing, r.pace), Ratio: ratioOf(a.Wanted, a.Rate)}
	if p := a.Setup.Pressure; p != 0 {
		square := r.Nozzle.Ratio * r.Nozzle.Ratio
		r.Pressure = &PressureOption{Pressure: PressureForFlow(p, r.flow, r.Nozzle.Flow), Ratio: square, Sensible: !farPressure(square)}
	}
	if !r.Pace.Sensible && (r.Pressure == nil || !r.Pressure.Sensible) {
		ps.Warnf("only-nozzle", where, "Choose another nozzle, and repeat the catch.", "the wanted rate is %s times the one measured: too much for the pace or the pressure alone", unit.Number(r.Nozzle.Ratio, 2))
	}
	return r, ps
}

func (a RateAdvice) paceRange() (least, most unit.Speed) {
	if a.Ridden {
		return leastRidePace, mostRidePace
	}
	return LeastFootPace, MostFootPace
}

// entries finds what is wrong with the figures one at a time.
func (a RateAdvice) entries(where string) (ps problem.List) {
	for _, rate := range []struct {
		name string
		is   unit.VolumePerArea
	}{{"calibrated", a.Rate}, {"wanted", a.Wanted}} {
		checkCarrier(&ps, rate.name, rate.is, where)
	}
	if !unit.Positive(a.Course) {
		ps.Errorf("course-zero", where, "Enter the length of the course with its unit, such as 143 ft.", "the course is %s long", unit.US.Length(a.Course))
	}
	if !unit.Positive(a.Time) {
		ps.Errorf("run-zero", where, "Enter the mean time of the course, such as 32.4 s.", "the course took %s", secondsText(a.Time))
	}
	if !(a.Spacing >= leastSpacing && a.Spacing <= mostSpacing) {
		ps.Errorf("absurd", where, "Enter the distance between neighbouring passes with its unit, and check it.", "a pass spacing of %s is outside 0.5 ft to 60 ft", bothLengths(a.Spacing))
	}
	if a.Setup.Pressure != 0 {
		checkPressure(&ps, a.Setup.Pressure, where)
	}
	return ps
}

// Facts are the lines that every page and sheet prints: the three ways side by side.
func (r RateAdviceResult) Facts(s unit.System) []working.Fact {
	a := r.asked
	return append([]working.Fact{
		{Name: "carrier rate", Text: rateText(s, a.Rate)},
		{Name: "wanted", Text: rateText(s, a.Wanted)},
		{Name: "off the wanted rate", Text: percentText(r.Off)},
		{Name: "judgement", Text: r.Judgement.Text()},
	}, r.Ways(s)...)
}

// Ways are the facts of what to change, without the question.
func (r RateAdviceResult) Ways(s unit.System) []working.Fact {
	a := r.asked
	return []working.Fact{
		{Name: "change the pace", Text: fmt.Sprintf("%s in %s instead of %s: %s instead of %s%s", s.Length(a.Course), secondsText(r.Pace.Time), secondsText(a.Time), paceText(s, r.Pace.Pace), paceText(s, r.pace), r.paceDoubt(s))},
		{Name: "or the pressure", Text: r.pressureText(s)},
		{Name: "or the nozzle", Text: fmt.Sprintf("one that gives %s at the same pressure instead of %s", flowText(s, r.Nozzle.Flow), flowText(s, r.flow))},
		{Name: "hose", Text: HoseNote(s)},
		{Name: "then", Text: repeatCatch},
	}
}

func (r RateAdviceResult) paceDoubt(s unit.System) string {
	if r.Pace.Sensible {
		return ""
	}
	least, most := r.asked.paceRange()
	return fmt.Sprintf("; outside %s to %s, which nobody keeps up (common practice, no source)", s.Speed(least), s.Speed(most))
}

func (r RateAdviceResult) pressureText(s unit.System) string {
	p := r.Pressure
	if p == nil {
		return fmt.Sprintf("to %s times what it is; it was not noted: read it at the gun", unit.Number(r.Nozzle.Ratio*r.Nozzle.Ratio, 2))
	}
	t := fmt.Sprintf("%s at the gun instead of %s", s.Pressure(p.Pressure), s.Pressure(r.asked.Setup.Pressure))
	if !p.Sensible {
		t += "; more than twofold changes the droplets: take another nozzle"
	}
	return t
}

// Working shows the three ways.
func (r RateAdviceResult) Working(s unit.System) working.Working {
	var w working.Working
	b, a := working.UnitsOf(s), r.asked
	rate, wanted := working.Of("rate", a.Rate, b.Carrier), working.Of("wanted", a.Wanted, b.Carrier)
	sayJudgement(&w, rate, wanted, r.Off)
	w.Add("pace", working.Of("course", a.Course, b.Length).Over(working.Of("time", a.Time, "s")), r.pace, b.Speed, paceText(s, r.pace))
	w.Add("flow", rate.Times(working.Of("spacing", a.Spacing, b.Length)).Times(working.Of("pace", r.pace, b.Speed)), r.flow, b.Flow, flowText(s, r.flow))
	least, most := a.paceRange()
	w.Add("first way, the pace", working.Of("pace", r.pace, b.Speed).Times(rate).Over(wanted), r.Pace.Pace, b.Speed, paceText(s, r.Pace.Pace),
		"At the same flow, the slower the more falls on each place.", fmt.Sprintf("Sensible from %s to %s (common practice, no source).", s.Speed(least), s.Speed(most)))
	w.Add("its time for the course", working.Of("course", a.Course, b.Length).Over(working.Of("new pace", r.Pace.Pace, b.Speed)), r.Pace.Time, "s", secondsText(r.Pace.Time))
	if p := r.Pressure; p != nil {
		e := working.Of("pressure", a.Setup.Pressure, b.Pressure).Times(wanted).Over(rate).Times(wanted).Over(rate)
		w.Add("second way, the pressure", e, p.Pressure, b.Pressure, s.Pressure(p.Pressure),
			"Flow goes with the square root of the pressure, so pressure goes with the square of the flow.", "Beyond twofold the droplets change too (common practice, no source).", HoseNote(s))
	} else {
		w.AddNumber("second way, the pressure, times", wanted.Over(rate).Times(wanted).Over(rate), r.Nozzle.Ratio*r.Nozzle.Ratio, "", "The pressure at the catch was not noted.")
	}
	w.Add("third way, the nozzle", working.Of("flow", r.flow, b.Flow).Times(wanted).Over(rate), r.Nozzle.Flow, b.Flow, flowText(s, r.Nozzle.Flow), "All nozzles of the swath together, at the same pressure and pace.")
	w.Say("then", repeatCatch)
	return w
}

// Procedure is what to do with the advice.
func (a RateAdvice) Procedure(s unit.System) []string {
	return numbered(
		"Change one thing only: the pace, the pressure or the nozzle. The pass spacing stays.",
		"Pace: practise until three walks of the course take the new time.",
		"Pressure: "+HoseNote(s)+" More than twofold changes the droplets.",
		"Nozzle: take one that gives the wanted flow at the pressure you keep.",
		"Repeat the catch, and accept it within "+wholePercent(AcceptShare)+" of the wanted rate.")
}
