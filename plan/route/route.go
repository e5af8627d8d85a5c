// Package route puts one truck's stops in order and splits their mix into tankfuls, so that
// every tank is at its heel when it is filled again and when the day ends.
//
// It works on places with driving times, whole ticks of volume and the passes of each stop.
// It knows time windows, several fill points and several tanks, each with one mix for the
// day; it leaves out outlines, products, rinsing, agitation minima, payload and more than one
// truck. The order is a heuristic (see Solve); the bound beside it is proven (see Bound).
package route

import (
	"errors"
	"fmt"

	"tankful/calc/unit"
)

// Ticks counts the smallest printed volume of mix, such as 0.1 gal: sums of ticks are exact.
type Ticks int

// Day is one truck's work.
type Day struct {
	// Drive is the driving time between places, Drive[from][to]; the diagonal is 0.
	Drive [][]unit.Time
	// Yard is the place where the day begins and ends.
	Yard  int
	Fills []Fill
	Tanks []Tank
	Stops []Stop
	// Mixes is the number of mixes; stops and tanks refer to them from 0.
	Mixes int
	// Start is when the truck is ready in the yard, after midnight.
	Start unit.Time
}

// Fill is a fill point: HookUp once a visit, then PerTick for each tick of mix.
type Fill struct {
	Place   int
	HookUp  unit.Time
	PerTick unit.Time
}

// Tank is one tank. Usable is capacity less heel. Mix is -1 when the plan may choose.
type Tank struct {
	Usable, Heel Ticks
	Mix          int
}

// Stop is one visit.
type Stop struct {
	Place int
	Mix   int
	// Passes is the mix that each pass takes, in walking order; their sum is the stop's need.
	Passes []Ticks
	// Service is set-up and walking; SetUp is the part that a second visit costs again.
	Service, SetUp unit.Time
	// From and Until bound when the work begins; Until 0 is open.
	From, Until unit.Time
}

// Need is the mix that the stop takes.
func (s *Stop) Need() Ticks {
	n := Ticks(0)
	for _, p := range s.Passes {
		n += p
	}
	return n
}

// Solution is an order with its tankfuls.
type Solution struct {
	TankMix []int // per tank; -1 when not used
	Order   []int // stops in visit order
	// Legs are fill visits, each with the work done before the next one.
	Legs []Leg
	// Drive + Fill + Work is the cost in time; Wait is idle time for windows, Late the sum of
	// lateness over stops whose window is missed, Finish the clock back in the yard.
	Drive, Fill, Work, Wait, Late, Finish unit.Time
	// Lates are the stops that begin after their window.
	Lates []int
}

// Leg is one fill visit and what is sprayed until the next.
type Leg struct {
	Fill  int // fill point
	Loads []Load
	// Visits are the stops worked on this leg, in order.
	Visits []Visit
	// DriveTo is the drive to the fill point; Begin and End are the clock there.
	DriveTo    unit.Time
	Begin, End unit.Time
}

// Load is one filling of one tank.
type Load struct {
	Tank   int
	Volume Ticks
	Parts  []Part
}

// Part is a stretch of one stop's passes drawn from one load. Passes count from 0, both ends
// included. Within says that the load runs dry inside the last pass, IntoLast ticks into it
// (counted from that pass's start).
type Part struct {
	Stop, From, To int
	Volume         Ticks
	Within         bool
	IntoLast       Ticks
	// Whole says that the stop is finished with this part.
	Whole bool
}

// Visit is work at a stop.
type Visit struct {
	Stop          int
	DriveTo       unit.Time
	Arrive, Begin unit.Time
	Done          unit.Time
	Again         bool // a second visit after a refill: it costs SetUp again
	Volume        Ticks
}

// Errors of a day that no plan can satisfy.
var (
	ErrNoStops = errors.New("no stops")
	ErrNoFill  = errors.New("no fill point")
	// ErrNeedsNothing says that a stop takes no mix: it is below one tick.
	ErrNeedsNothing = errors.New("a stop needs no mix")
	// ErrMixes says that each mix has a tank that could carry it, but not all of them on one day.
	ErrMixes = errors.New("more mixes than tanks")
	// ErrChoices says that too many tanks are free for too many mixes to look at every way.
	ErrChoices = errors.New("too many ways of giving the mixes to the tanks")
	// ErrLoads says that a mix would take hundreds of tankfuls: a unit is wrong.
	ErrLoads = errors.New("more tankfuls than a day's work")
)

// MixError says that a mix finds no tank.
type MixError struct{ Mix int }

func (e *MixError) Error() string { return fmt.Sprintf("no tank is free for mix %d", e.Mix) }
