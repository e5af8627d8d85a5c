// Package pass lays numbered passes over one turf: how it is divided, which strips are walked in
// which direction and in which order, how long each is, what it treats, where a tankful ends within it, how far
// the hose must reach, and how few any plan could have.
//
// It works in metres of one property's frame. It leaves out the file, the map, the mix and the day: volumes follow from the
// areas here and a rate known elsewhere. It knows neither slopes nor wind, nor fences, gates or other ground that no outline shows. Its
// plans are good ones, found by search, and not proven to be the best: only the bounds are proven. What is found depends on
// the input alone, never on time, cores or how the outlines were given.
package pass

import (
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// Kind is how a pass is walked.
type Kind string

const (
	// Straight is a pass along a strip; its line may step aside round a bed.
	Straight Kind = "straight"
	// Follow is a pass that follows a strip which bends, or goes on in the next section.
	Follow Kind = "follow"
	// Lap is a walk along the edge of the turf.
	Lap Kind = "edge lap"
	// TouchUp is a short piece beside something left out that no straight pass reaches.
	TouchUp Kind = "touch-up"
)

// Setup is the equipment and how it is walked.
type Setup struct {
	// Swath is the pass spacing, above 0, and at least a 20,000th of the longest way across any part of the turf.
	Swath unit.Length
	// Trims says that the operator closes the gun at the turf's edge (hand gun, backpack);
	// a fixed-width applicator (boom, ride-on, spreader) sprays its whole width over the whole pass.
	Trims bool
	// SideStep is the longest stretch of bed or hardscape that a pass walks across; a
	// longer one ends the pass or bends it. Buildings and water are never crossed.
	SideStep unit.Length
	// GunOff is the longest stretch of hardscape that a pass crosses with the gun off to go on in
	// another part of the turf; 0 keeps every pass within its part.
	GunOff unit.Length
	// Laps is how many walks along the turf's edge come before the strips, 0 to 2. A part of the turf whose mean width (twice its
	// area over its edge) is below two swaths has none where its legs would be shorter than two swaths in the mean.
	Laps int
	// Even draws the strips of a section together, so that they divide its width exactly: its spacing
	// is then at most Swath.
	Even bool
	// Bearing fixes the direction of the passes, in degrees clockwise from north, at least 0 and below 360; one and its opposite
	// are the same. Nil is the best directions.
	Bearing *float64
	// TurnCost is the walking that one more pass costs, as a length: the division of the turf, directions
	// and strip offsets minimise sprayed length + TurnCost x passes.
	TurnCost unit.Length
	// FarFirst begins at the end that is furthest from the truck along the hose, and works back, so that the hose is
	// drawn in over dry turf. It does nothing where Lawn.Trucks is empty: there is no far end without a truck.
	FarFirst bool
	// Hose is how far the hose reaches from the truck, 0 when there is none or it is not known.
	Hose unit.Length
}

// Lawn is the ground to cover, in metres of one frame.
type Lawn struct {
	// Net is the turf to treat. Winding does not matter; holes must lie in their shells.
	Net *geom.MultiPolygon
	// NoWalk is what no line may cross (buildings, water); nil for none.
	NoWalk *geom.MultiPolygon
	// LeftOut is all that was taken from the turf, by surface: buildings and water among it. Hoses and dead walks go round
	// buildings, water and beds; hardscape may be crossed with the gun off. Nil for none.
	LeftOut map[geo.Surface]*geom.MultiPolygon
	// Trucks is where the truck may stand, the first place first, anywhere; empty when not known: passes are
	// then numbered from an end that lies near the edge.
	Trucks []geom.Coord
}

// Stretch is a part of a walk, as lengths from its start.
type Stretch struct{ From, To unit.Length }

// Pass is one walk inside one strip, with the gun on but for the stretches that Off names.
type Pass struct {
	// N counts from 1 in walking order.
	N    int
	Kind Kind
	// Section is the section it begins in: an index into Plan.Sections.
	Section int
	// Line is the walk, at least two points, in walking order (metres).
	Line []geom.Coord
	// Length is what is walked with the gun on: that of Line less the Off stretches.
	Length unit.Length
	// Off is where the gun is off, in walking order; lengths along Line.
	Off []Stretch
	// Area is the turf this pass treats: turf within its strip, no other pass's.
	Area unit.Area
	// Sprayed is what goes out, as the area that it is meant for: swath x length with a fixed width. An applicator that
	// trims covers Area; on strips that Setup.Even draws together to a spacing below the swath it puts swath / spacing times as
	// much on it, at the same pace and flow: by the spacing of each stretch, where the pass goes through several.
	Sprayed unit.Area
	// WalkTo is the dead walk from the end of the pass before, 0 for the first; Way is that walk, at least two points,
	// round what is not walked over, nil for the first.
	WalkTo unit.Length
	Way    []geom.Coord
	// Hose is the longest stretch of hose that the pass needs, taut round what stands in its way, and Truck where it is
	// drawn from, an index into Lawn.Trucks; 0 when no truck is known.
	Hose  unit.Length
	Truck int

	legs   []leg // in walking order
	closed bool  // a lap that may begin at any of its corners: the way from its end to its beginning is walked like a corner
}

// leg is a stretch of a pass in one direction.
type leg struct {
	axis  axis
	cells []cell       // its turf, in the leg's own axes, by ascending u
	line  []point      // the walk in the leg's axes, u monotone, in walking order
	extra float64      // turf treated along with it, square metres
	off   bool         // the gun is off on the way from its end to the next leg
	way   [][2]float64 // where that way bends, or that back to the beginning of a lap; none when it is straight
	tight float64      // swath / spacing of its strips, 1 or more; 0 is 1
}

// Section is turf that is walked in one way.
type Section struct {
	Kind Kind // Straight, Follow or Lap
	// Bearing is the direction of its strips, degrees clockwise from north, in [0, 180); of a bent one the longest leg's.
	Bearing float64
	// Spacing is the distance between its lines, at most the swath; with Setup.Even, where those of its passes lie closest.
	Spacing unit.Length
	Passes  int
	Area    unit.Area

	across unit.Length // its extent across its strips
}

// Plan is the passes over one lawn and what they amount to.
type Plan struct {
	Setup    Setup
	Passes   []Pass
	Sections []Section
	// Bearing of the strips of the largest section, degrees clockwise from north, in [0, 180).
	Bearing float64
	// Net is the area of the turf given; the passes' areas add up to it within 1e-9.
	Net unit.Area
	// SprayedLength is the sum of the passes' lengths, DeadWalk what is walked with the gun off: the walks between passes and
	// the passes' own Off stretches.
	SprayedLength, DeadWalk unit.Length
	// Laps is how many passes are edge laps. Turns is the number of passes less one, and the corners of laps over 30 degrees.
	Laps, Turns int
	// Covered is the turf within half a swath of some line; Double is turf within that of more than one, where an
	// operator who trims narrows the throw; Overspray is what a fixed-width applicator puts
	// outside the turf, 0 when it trims. All three are found by scanning, to about 0.1 %.
	Covered, Double, Overspray unit.Area
	// Onto is Overspray by surface; what falls outside all outlines is under "".
	Onto map[geo.Surface]unit.Area
	// BoundPasses and BoundLength are what no plan with this swath can go below; BoundOneWay is the same for passes in
	// one direction a part.
	BoundPasses, BoundOneWay int
	BoundLength              unit.Length
	// Reach is what the hose has to do, nil when no truck is known.
	Reach *Reach
}

// Reach is how far the hose must go, taut from the truck round what stands in its way.
type Reach struct {
	// Most is the longest hose that any pass needs.
	Most unit.Length
	// Out are the numbers of the passes that Setup.Hose does not reach from any place of the truck; empty when Hose is 0.
	Out []int
	// OnWet is how many passes are walked with the hose lying on turf that is already sprayed.
	OnWet int
	// Second is a further place for the truck from which the hose reaches what is out of reach, with the least hose; nil when
	// nothing is out of reach or no place does.
	Second *geom.Coord
	// Bends are where the hose drags round a corner.
	Bends []geom.Coord
}

// Along is how far into the walk the pass has treated turf of area a: 0 for a <= 0, the whole walk
// for a >= Area. It is exact on slanted ends and beside beds, where a share of the length is not.
func (p *Pass) Along(a unit.Area) unit.Length {
	whole := 0.0
	for i := range p.legs {
		whole += p.legs[i].area()
	}
	switch {
	case a <= 0:
		return 0
	case a >= p.Area || whole <= 0:
		return lengthOf(p.Line)
	}
	rest := float64(a)
	if p.Area > 0 { // turf that came to the pass from elsewhere is spread over it
		rest *= whole / float64(p.Area)
	}
	at := unit.Length(0)
	for i := range p.legs {
		l := &p.legs[i]
		if rest < l.area() || i == len(p.legs)-1 {
			return at + l.along(rest)
		}
		rest -= l.area()
		at += unit.Length(l.length())
		if i+1 < len(p.legs) {
			at += l.stepTo(&p.legs[i+1])
		}
	}
	return lengthOf(p.Line)
}

// At is the point of the walk at a length along Line; its start below 0, its end beyond.
func (p *Pass) At(l unit.Length) geom.Coord {
	rest := float64(l)
	if rest <= 0 {
		return p.Line[0]
	}
	for i := 1; i < len(p.Line); i++ {
		a, b := p.Line[i-1], p.Line[i]
		d := distance(a, b)
		if d >= rest && d > 0 {
			return geom.Coord{a[0] + (b[0]-a[0])*rest/d, a[1] + (b[1]-a[1])*rest/d}
		}
		rest -= d
	}
	return p.end()
}

// stepTo is the length of the way from the leg's end to the next one.
func (l *leg) stepTo(next *leg) unit.Length {
	at, sum := l.end(), 0.0
	for _, q := range l.way {
		c := geom.Coord{q[0], q[1]}
		sum += distance(at, c)
		at = c
	}
	return unit.Length(sum + distance(at, next.start()))
}

func (l *leg) area() float64         { return totalArea(l.cells) + l.extra }
func (l *leg) start() geom.Coord     { q := l.line[0]; return l.axis.from(q.u, q.v) }
func (l *leg) end() geom.Coord       { q := l.line[len(l.line)-1]; return l.axis.from(q.u, q.v) }
func (l *leg) length() (sum float64) { return lineLength(l.line) }

// along is the walked length into the leg at which area a of its turf is treated.
func (l *leg) along(a float64) unit.Length {
	all := totalArea(l.cells)
	if all <= 0 {
		return 0
	}
	a *= all / l.area() // the extra is spread over it
	first, last := l.line[0].u, l.line[len(l.line)-1].u
	if first > last {
		a = all - a
	}
	lo, hi := min(first, last), max(first, last)
	for range 60 { // bisection: 2^-60 of a pass is far below a millimetre
		if mid := (lo + hi) / 2; areaUpTo(l.cells, mid) < a {
			lo = mid
		} else {
			hi = mid
		}
	}
	return l.lengthTo((lo + hi) / 2)
}

// lengthTo is the walked length from the start of the leg to where the walk reaches u.
func (l *leg) lengthTo(u float64) unit.Length {
	sum := 0.0
	for i := 1; i < len(l.line); i++ {
		a, b := l.line[i-1], l.line[i]
		step := lineLength(l.line[i-1 : i+1])
		if min(a.u, b.u) <= u && u <= max(a.u, b.u) && a.u != b.u {
			return unit.Length(sum + step*(u-a.u)/(b.u-a.u))
		}
		sum += step
	}
	return unit.Length(sum)
}
