package mix

import (
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Tank is one tank. Heel is what the pump cannot draw; it may be zero. Where is its place in
// the user's file.
type Tank struct {
	Capacity, Heel unit.Volume
	// Marks is how far apart the marks of the gauge are, for AtMarks and Run; zero is the printed step.
	Marks unit.Volume
	Where string
}

// Steps is what one filling can put on turf, and the heel, in whole steps of s: a capacity is
// rounded down and a heel up, so that nothing is planned with what may not be there. usable is
// below 1 when the tank is no larger than its heel.
func (t Tank) Steps(s unit.System) (usable, heel int) {
	const noise = 1e-6 // of a step
	heel = int(math.Ceil(t.Heel.In(s.VolumeStep()) - noise))
	return int(math.Floor(t.Capacity.In(s.VolumeStep())+noise)) - heel, heel
}

// Usable is what one filling can put on turf, in whole steps of s, never below zero.
func (t Tank) Usable(s unit.System) unit.Volume {
	usable, _ := t.Steps(s)
	return s.RoundVolume(unit.Volume(max(usable, 0)) * s.VolumeStep())
}

// Fill is one filling of a tank. Every volume is a whole number of the system's VolumeStep.
type Fill struct {
	// Volume is what goes onto turf before the tank is down to its heel.
	Volume unit.Volume
	// Fill is what goes into the tank: Volume, and in the first filling the heel as well.
	Fill unit.Volume
	// Gauge is the reading after filling: heel + Volume.
	Gauge unit.Volume
}

// mostTankfuls is more than any day's work; a count over it is a slip in a unit.
const mostTankfuls = 10_000

// Tankfuls splits need, the mix to be put on turf, into fillings of one tank that starts
// empty: full ones, then a part tankful that ends exactly at the heel. The fillings' Fill
// less one heel add up to need. A need between two steps of s is rounded and noted.
func Tankfuls(need unit.Volume, t Tank, s unit.System) ([]Fill, problem.List) {
	ps := t.Validate(s)
	if !unit.Positive(need) {
		ps.Errorf("volume-zero", t.Where, "Give a volume of mix over zero.", "%s of mix is to be split into tankfuls", s.Volume(need))
	}
	if ps.HasErrors() {
		return nil, ps
	}
	step := s.VolumeStep()
	volume := func(steps float64) unit.Volume { return s.RoundVolume(unit.Volume(steps) * step) }

	left := math.Round(need.In(step))
	if exact := need.In(step); math.Abs(exact-left) > 1e-6 {
		left = math.Round(s.RoundVolume(need).In(step))
		ps.Notef("volume-rounded", t.Where, "Round the volume of each stop before adding up.",
			"%s of mix is between two steps of the gauge and is taken as %s", need, s.Volume(volume(left)))
	}
	usableSteps, heelSteps := t.Steps(s)
	usable, heel := float64(usableSteps), float64(heelSteps)
	if left == 0 {
		ps.Errorf("volume-zero", t.Where, "Give a volume of mix of at least "+s.Volume(step)+".", "%s of mix is less than can be measured", need)
		return nil, ps
	}
	if n := math.Ceil(left / usable); n > mostTankfuls {
		ps.Errorf("absurd", t.Where, "Check the units of the volume and of the tank.",
			"%s of mix in a tank that puts out %s would take %s tankfuls", s.Volume(volume(left)), s.Volume(volume(usable)), unit.Number(n, 0))
		return nil, ps
	}
	var fills []Fill
	for extra := heel; left > 0; extra = 0 {
		out := min(left, usable)
		fills = append(fills, Fill{Volume: volume(out), Fill: volume(out + extra), Gauge: volume(heel + out)})
		left -= out
	}
	return fills, ps
}

// Validate finds what is wrong with the tank itself when its volumes are read in steps of s.
func (t Tank) Validate(s unit.System) (ps problem.List) {
	if !unit.Positive(t.Capacity) {
		ps.Errorf("tank-capacity-zero", t.Where, "Enter what the tank holds with its unit, such as 150 gal.", "the tank holds %s", s.Volume(t.Capacity))
	}
	if !(t.Heel >= 0) || math.IsInf(float64(t.Heel), 1) {
		ps.Errorf("heel-negative", t.Where, "Enter what the pump leaves in the tank with its unit, such as 2 gal, or 0 gal.", "the heel is %s", s.Volume(t.Heel))
	}
	if ps.HasErrors() {
		return ps
	}
	if usable, _ := t.Steps(s); usable <= 0 {
		ps.Errorf("tank-smaller-than-heel", t.Where, "Enter a heel that is smaller than the tank.",
			"the tank holds %s and the pump leaves %s, so that nothing can be sprayed", s.Volume(t.Capacity), s.Volume(t.Heel))
	}
	return ps
}
