package mix

import (
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// AtMarks splits need as Tankfuls does, for a tank that is filled to a mark of its gauge each time: t.Marks apart, such as
// every 5 gal. What a mark leaves over or short is carried into the next filling; the last goes up to the next mark, and
// extra is the mix that it makes too much. The product follows each filling, so that the rate on the ground does not move.
func AtMarks(need unit.Volume, t Tank, s unit.System) (fills []Fill, extra unit.Volume, ps problem.List) {
	plain, ps := Tankfuls(need, t, s)
	step := s.VolumeStep()
	every := math.Round(t.Marks.In(step))
	if !unit.Positive(t.Marks) || every < 1 || math.Abs(t.Marks.In(step)-every) > 1e-6 {
		ps.Errorf("marks-unreadable", t.Where, "Enter how far apart the marks of the gauge are, in whole steps of "+s.Volume(step)+", such as 5 gal.",
			"the marks of the tank are %s apart", mixText(t.Marks, s))
	}
	if ps.HasErrors() {
		return nil, 0, ps
	}
	volume := func(steps float64) unit.Volume { return s.RoundVolume(unit.Volume(steps) * step) }
	usable, heelSteps := t.Steps(s)
	heel := float64(heelSteps)
	top := math.Floor((float64(usable)+heel)/every) * every
	if top-heel < 1 {
		ps.Errorf("marks-too-coarse", t.Where, "Fill by a water meter or a pail, or use a larger tank.",
			"the highest mark of the tank, %s, is no more than its heel, %s", s.Volume(volume(top)), s.Volume(volume(heel)))
		return nil, 0, ps
	}
	left := 0.0
	for _, f := range plain {
		left += math.Round(f.Volume.In(step))
	}
	if math.Ceil(left/(top-heel)) > mostTankfuls {
		ps.Errorf("absurd", t.Where, "Check the units of the volume, of the tank and of its marks.", "%s of mix to a mark of %s would take over %d tankfuls",
			s.Volume(need), s.Volume(volume(top)), mostTankfuls)
		return nil, 0, ps
	}
	for in := 0.0; left > 0; {
		gauge, out := top, top-heel
		if left <= out {
			out = left
			gauge = math.Ceil((heel+left)/every) * every
		}
		fills = append(fills, Fill{Volume: volume(out), Fill: volume(gauge - in), Gauge: volume(gauge)})
		left, extra, in = left-out, volume(gauge-heel-out), heel
	}
	return fills, extra, ps
}
