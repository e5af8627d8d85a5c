// Package pass lays numbered passes over one turf: which strips are walked in which
// direction, how long each is, what it treats, and how few any plan could have.
//
// It works in metres of one property's frame. It leaves out the file, the map, the mix
// and the day: volumes follow from the areas here and a rate known elsewhere.
package pass

import (
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// Kind is how a pass is walked.
type Kind string

const (
	// Straight is a pass along a strip; its line may step aside round a bed.
	Straight Kind = "straight"
	// TouchUp is a short piece beside something left out that no straight pass reaches.
	TouchUp Kind = "touch-up"
)

// Setup is the equipment and how it is walked.
type Setup struct {
	// Swath is the pass spacing, > 0.
	Swath unit.Length
	// Trims says that the operator closes the gun at the turf's edge (hand gun, backpack);
	// a fixed-width applicator (boom, ride-on) sprays its whole width over the whole pass.
	Trims bool
	// SideStep is the longest stretch of bed or hardscape that a pass walks across; a
	// longer one ends the pass or bends it. Buildings and water are never crossed.
	SideStep unit.Length
	// Bearing fixes the direction of the passes, in degrees clockwise from north, 0 to 180; nil is
	// the best direction.
	Bearing *float64
	// TurnCost is the walking that one more pass costs, as a length: direction and strip
	// offsets minimise sprayed length + TurnCost x passes.
	TurnCost unit.Length
}

// Lawn is the ground to cover, in metres of one frame.
type Lawn struct {
	// Net is the turf to treat. Winding does not matter; holes must lie in their shells.
	Net *geom.MultiPolygon
	// NoWalk is what no line may cross (buildings, water); nil for none.
	NoWalk *geom.MultiPolygon
	// Truck is where the hose starts, nil when not known: passes are then numbered from the
	// end of the plan that is nearest the south-west.
	Truck *geom.Coord
}

// Pass is one walk with the gun on inside one strip.
type Pass struct {
	// N counts from 1 in walking order.
	N    int
	Kind Kind
	// Line is the walk, at least two points, in walking order (metres).
	Line []geom.Coord
	// Length is that of Line.
	Length unit.Length
	// Area is the turf this pass treats: turf within its strip, no other pass's.
	Area unit.Area
	// Sprayed is the area the applicator covers: Area when it trims, else swath x length.
	Sprayed unit.Area
	// WalkTo is the dead walk from the end of the pass before, straight, 0 for the first.
	WalkTo unit.Length

	cells []cell // of its turf, in the strip's own axes, by ascending u
	axis  axis
	walkU []float64 // u of each point of Line, monotone
}

// Along is how far into the walk the pass has treated turf of area a: 0 for a <= 0, Length
// for a >= Area. It is exact on slanted ends and beside beds, where a share of the length is not.
func (p *Pass) Along(a unit.Area) unit.Length {
	switch {
	case a <= 0:
		return 0
	case a >= p.Area:
		return p.Length
	}
	backwards := p.walkU[0] > p.walkU[len(p.walkU)-1]
	if backwards {
		a = p.Area - a
	}
	lo, hi := min(p.walkU[0], p.walkU[len(p.walkU)-1]), max(p.walkU[0], p.walkU[len(p.walkU)-1])
	for range 60 { // bisection: 2^-60 of a pass is far below a millimetre
		if mid := (lo + hi) / 2; areaUpTo(p.cells, mid) < float64(a) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return p.lengthTo((lo + hi) / 2)
}

// lengthTo is the walked length from the start of Line to where the walk reaches u.
func (p *Pass) lengthTo(u float64) unit.Length {
	l := 0.0
	for i := 1; i < len(p.Line); i++ {
		step := distance(p.Line[i-1], p.Line[i])
		u0, u1 := p.walkU[i-1], p.walkU[i]
		if min(u0, u1) <= u && u <= max(u0, u1) && u0 != u1 {
			return unit.Length(l + step*(u-u0)/(u1-u0))
		}
		l += step
	}
	return unit.Length(l)
}

// Plan is the passes over one lawn and what they amount to.
type Plan struct {
	Setup  Setup
	Passes []Pass
	// Bearing of the strips, degrees clockwise from north, in [0, 180).
	Bearing float64
	// Net is the area of the turf given; the passes' areas add up to it within 1e-9.
	Net unit.Area
	// SprayedLength is the sum of the passes' lengths, DeadWalk of the walks between them.
	SprayedLength, DeadWalk unit.Length
	// Turns is the number of passes less one.
	Turns int
	// Covered is the turf within half a swath of some line; Double is turf within that of more than one, where an
	// operator who trims narrows the throw; Overspray is what a fixed-width applicator puts
	// outside the turf, 0 when it trims. All three are found by scanning, to about 0.1 %.
	Covered, Double, Overspray unit.Area
	// BoundPasses and BoundLength are what no plan with this swath can go below.
	BoundPasses int
	BoundLength unit.Length
}
