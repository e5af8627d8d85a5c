package calibrate

import (
	"fmt"
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// FlowAtPressure is the flow of a nozzle at another pressure: q2 = q1 x sqrt(p2 / p1) (National Pesticide Applicator
// Certification Core Manual, ch. 11, as summarised). It holds for one nozzle and one liquid, near the pressures it
// was made for. All three must be positive.
func FlowAtPressure(q1 unit.Flow, p1, p2 unit.Pressure) unit.Flow {
	return q1 * unit.Flow(math.Sqrt(ratioOf(p2, p1)))
}

// PressureForFlow is the pressure at which a nozzle gives another flow: p2 = p1 x (q2 / q1)^2; double the flow
// takes four times the pressure (the same source). All three must be positive.
func PressureForFlow(p1 unit.Pressure, q1, q2 unit.Flow) unit.Pressure {
	r := ratioOf(q2, q1)
	return p1 * unit.Pressure(r*r)
}

// RateAtSpeed is the rate at another speed with the flow unchanged: rate x speed / other (The Calibration
// of Turfgrass Boom Sprayers and Spreaders, NC State Extension, n.d.). Speeds must be positive.
func RateAtSpeed(rate unit.VolumePerArea, speed, other unit.Speed) unit.VolumePerArea {
	return rate * unit.VolumePerArea(ratioOf(speed, other))
}

// SpeedForRate is the speed that makes the wanted rate of the one measured at speed, with the flow unchanged (the
// same source). All three must be positive.
func SpeedForRate(speed unit.Speed, rate, wanted unit.VolumePerArea) unit.Speed {
	return speed * unit.Speed(ratioOf(rate, wanted))
}

// FlowForRate is the flow that puts a rate on a swath at a speed: all nozzles of the swath together.
func FlowForRate(rate unit.VolumePerArea, width unit.Length, speed unit.Speed) unit.Flow {
	return rate.Sweeping(width, speed)
}

// ratioOf is a / b as a plain number.
func ratioOf[Q ~float64](a, b Q) float64 { return float64(a) / float64(b) }

// HoseNote is the published figure for the pressure that a hose takes; the pressure that counts is read at the gun. It is
// a note: nothing is worked out from it (circular on hose friction, publisher not seen; 13 psi per 100 ft is for
// 3 gal/min of water through 1/2-in hose).
func HoseNote(s unit.System) string {
	const lost, along, through, bore = 13 * unit.PSI, 100 * unit.Foot, 3 * unit.GallonPerMinute, unit.Inch / 2
	if s == unit.Metric {
		return fmt.Sprintf("Read the pressure at the gun: %s through a %s hose loses %s in %s.", s.Flow(through), depthText(s, bore), s.Pressure(lost), s.Length(along))
	}
	return fmt.Sprintf("Read the pressure at the gun: 3 gal/min through a 1/2-in hose loses %s in %s.", s.Pressure(lost), s.Length(along))
}

// MostPressureChange is the ratio above which, or below its inverse, a change of pressure also changes the
// droplets, and the nozzle leaves the range it was made for (common practice, no source).
const MostPressureChange = 2.0

// PressureChange asks what one nozzle does at another pressure, or which pressure gives another flow. Flow and
// Pressure were measured; one of ToFlow and ToPressure is given.
type PressureChange struct {
	Flow       unit.Flow
	Pressure   unit.Pressure
	ToFlow     unit.Flow
	ToPressure unit.Pressure
}

// PressureResult is the nozzle after the change.
type PressureResult struct {
	Flow     unit.Flow     `json:"flow_l_per_min"`
	Pressure unit.Pressure `json:"pressure_kpa"`
	Ratio    float64       `json:"ratio"` // new pressure / old
	Far      bool          `json:"far"`   // more than twofold: the droplets change too

	asked PressureChange
}

// Bounds outside which an entry is taken for a slip (common practice, no source).
const (
	mostPressure = 1000 * unit.PSI
	mostFlow     = 200 * unit.GallonPerMinute
)

// Result works the change out; where is its place in the user's file. A change beyond twofold is a warning. Bad figures
// give a zero result with errors.
func (c PressureChange) Result(where string) (PressureResult, problem.List) {
	var ps problem.List
	checkFlow(&ps, c.Flow, where)
	checkPressure(&ps, c.Pressure, where)
	switch {
	case (c.ToFlow != 0) == (c.ToPressure != 0):
		ps.Errorf("one-of-two", where, "Give either the wanted flow or the new pressure.", "the new flow and the new pressure are both given, or neither")
	case c.ToFlow != 0:
		checkFlow(&ps, c.ToFlow, where)
	default:
		checkPressure(&ps, c.ToPressure, where)
	}
	if ps.HasErrors() {
		return PressureResult{}, ps
	}
	r := PressureResult{asked: c, Flow: c.ToFlow, Pressure: c.ToPressure}
	if c.ToFlow != 0 {
		r.Pressure = PressureForFlow(c.Pressure, c.Flow, c.ToFlow)
	} else {
		r.Flow = FlowAtPressure(c.Flow, c.Pressure, c.ToPressure)
	}
	r.Ratio = ratioOf(r.Pressure, c.Pressure)
	if r.Far = farPressure(r.Ratio); r.Far {
		ps.Warnf("pressure-far", where, "Choose another nozzle rather than such a pressure.", "%s is %s times the %s measured: the droplets change with it", bothPressures(r.Pressure), unit.Number(r.Ratio, 2), bothPressures(c.Pressure))
	}
	return r, ps
}

func farPressure(ratio float64) bool {
	return ratio > MostPressureChange*(1+adviceNoise) || ratio < (1-adviceNoise)/MostPressureChange
}

func bothPressures(p unit.Pressure) string {
	return unit.US.Pressure(p) + " (" + unit.Metric.Pressure(p) + ")"
}

func checkFlow(ps *problem.List, q unit.Flow, where string) {
	if !unit.Positive(q) || q > mostFlow {
		ps.Errorf("flow-zero", where, "Enter the flow with its unit, such as 3.5 gal/min, and check it.", "the flow is %s", unit.US.Flow(q))
	}
}

func checkPressure(ps *problem.List, p unit.Pressure, where string) {
	if !unit.Positive(p) || p > mostPressure {
		ps.Errorf("pressure-zero", where, "Enter the pressure read at the gun with its unit, such as 40 psi, and check it.", "the pressure is %s", unit.US.Pressure(p))
	}
}

// Facts are the lines that every page and sheet prints.
func (r PressureResult) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{{Name: "flow", Text: flowText(s, r.Flow)}, {Name: "pressure", Text: s.Pressure(r.Pressure)}}
	if r.Far {
		fs = append(fs, working.Fact{Name: "caution", Text: "more than twofold: the droplets change with the pressure; take another nozzle"})
	}
	return append(fs, working.Fact{Name: "hose", Text: HoseNote(s)}, working.Fact{Name: "then", Text: repeatCatch})
}

// repeatCatch ends every advice.
const repeatCatch = "repeat the catch: what is worked out here is a start, not a calibration"

// Working shows the square root, or the square.
func (r PressureResult) Working(s unit.System) working.Working {
	var w working.Working
	b, c := working.UnitsOf(s), r.asked
	flow, pressure := working.Of("flow", c.Flow, b.Flow), working.Of("pressure", c.Pressure, b.Pressure)
	const why = "Flow goes with the square root of the pressure (National Pesticide Applicator Certification Core Manual, ch. 11): double the flow takes four times the pressure."
	if c.ToFlow != 0 {
		to := working.Of("wanted flow", c.ToFlow, b.Flow)
		w.Add("new pressure", pressure.Times(to).Over(flow).Times(to).Over(flow), r.Pressure, b.Pressure, s.Pressure(r.Pressure), why)
	} else {
		to := working.Of("new pressure", c.ToPressure, b.Pressure)
		w.Add("new flow", flow.Times(working.Root(to.Over(pressure))), r.Flow, b.Flow, flowText(s, r.Flow), why)
	}
	w.AddNumber("change of the pressure, times", working.Of("new pressure", r.Pressure, b.Pressure).Over(pressure), r.Ratio, unit.Number(r.Ratio, 2),
		"Beyond twofold the droplets change too (common practice, no source).", HoseNote(s))
	w.Say("then", repeatCatch)
	return w
}

// Procedure is how the change is made.
func (c PressureChange) Procedure(s unit.System) []string {
	return numbered(HoseNote(s), "Change the pressure with the hose laid out as in work and the gun running.", "Let it settle, read it again, and "+repeatCatch+".")
}
