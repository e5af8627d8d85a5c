package pass

import (
	"fmt"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/geo"
)

// mostStrips is how many strips the turf may be wide or long: more than any equipment walks in a season, and a swath in the wrong
// unit asks for it. It bounds time and memory.
const mostStrips = 20_000

// check refuses a setup that no equipment has.
func (s Setup) check() error {
	bad := func(x float64) bool { return !(x >= 0) || math.IsInf(x, 0) }
	switch {
	case bad(float64(s.Swath)) || s.Swath == 0:
		return fmt.Errorf("swath of %v is not above zero", s.Swath)
	case bad(float64(s.SideStep)):
		return fmt.Errorf("side step of %v is not zero or above", s.SideStep)
	case bad(float64(s.GunOff)):
		return fmt.Errorf("gun-off crossing of %v is not zero or above", s.GunOff)
	case bad(float64(s.Hose)):
		return fmt.Errorf("hose of %v is not zero or above", s.Hose)
	case s.Laps < 0 || s.Laps > 2:
		return fmt.Errorf("%d edge laps are not 0, 1 or 2", s.Laps)
	case bad(float64(s.TurnCost)):
		return fmt.Errorf("turn cost of %v is not zero or above", s.TurnCost)
	case s.Bearing != nil && !(*s.Bearing >= 0 && *s.Bearing < 360):
		return fmt.Errorf("bearing of %v degrees is outside 0 to 360", *s.Bearing)
	}
	return nil
}

// check refuses a lawn with a place that is none, and turf of which a swath is too small a part.
func (l *Lawn) check(s Setup) error {
	grounds := []*geom.MultiPolygon{l.Net, l.NoWalk}
	for _, k := range geo.LeftOut {
		grounds = append(grounds, l.LeftOut[k])
	}
	for _, mp := range grounds {
		if mp != nil && !finite(mp.FlatCoords()) {
			return fmt.Errorf("an outline has a corner that is not a number of metres")
		}
	}
	for _, c := range l.Trucks {
		if len(c) < 2 || !finite(c[:2]) {
			return fmt.Errorf("the truck's place %v is not two numbers of metres", c)
		}
	}
	for i, r := range regions(l.Net) {
		if d := r.chord(); d > mostStrips*float64(s.Swath) {
			return fmt.Errorf("part %d of the turf is %.0f m long: that is more than %d swaths of %v", i+1, d, mostStrips, s.Swath)
		}
	}
	return nil
}

func finite(xs []float64) bool {
	return !slices.ContainsFunc(xs, func(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) })
}
