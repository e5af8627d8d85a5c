package travel

import (
	"errors"
	"math"

	"tankful/calc/unit"
)

// Curve is how fast a drive goes, by how far it leads: short drives are along slow streets. The way up to the first Within is driven at the first Speed, the
// way from there to the next at the next, and what is beyond all at the last, whose Within is 0.
type Curve []Pace

// Pace is one stretch of a Curve.
type Pace struct {
	Within unit.Length
	Speed  unit.Speed
}

// Errors of Curve.Check.
var (
	ErrCurveEnd   = errors.New("the last speed, and it alone, is for all ways beyond")
	ErrCurveOrder = errors.New("each distance is longer than the one before")
	ErrCurveSpeed = errors.New("each speed is above zero")
)

// Check reports what is wrong with a curve.
func (c Curve) Check() error {
	last := unit.Length(0)
	for i, p := range c {
		switch {
		case !(p.Speed > 0) || math.IsInf(float64(p.Speed), 0):
			return ErrCurveSpeed
		case (p.Within == 0) != (i == len(c)-1):
			return ErrCurveEnd
		case p.Within != 0 && (!(p.Within > last) || math.IsInf(float64(p.Within), 0)):
			return ErrCurveOrder
		}
		last = p.Within
	}
	if len(c) == 0 {
		return ErrCurveEnd
	}
	return nil
}

// Time is the driving time of a way by road.
func (c Curve) Time(road unit.Length) unit.Time {
	sum, from := unit.Time(0), unit.Length(0)
	for i, p := range c {
		to := p.Within
		if i == len(c)-1 || road < to {
			return sum + (road - from).Over(p.Speed)
		}
		sum += (to - from).Over(p.Speed)
		from = to
	}
	return sum
}
