package route

import "tankful/calc/unit"

// Draft says what each shift does in which order, as Day.Shifts. Every part of a stop is in one shift, its parts in order; a stop in
// no leg is left out.
type Draft [][]Trip

// Trip is a fill visit and the work until the next. All tanks are at their heels when it ends, but for what Held leaves over.
type Trip struct {
	// Fill is an index into Day.Fills, or NoFill for work before the first fill visit: without mix, or out of what the tanks hold.
	Fill int
	// Mixes is what each tank carries on this trip, as Shift.Tanks: NoMix for one that is not filled, which keeps what it has.
	Mixes []int
	Takes []Take
}

// NoFill is the Fill of a trip that begins without one.
const NoFill = -1

// Take is work at a stop: so many ticks of its mix, going on where the last part ended; of a stop without a mix, all of it. A stop comes once on a trip.
type Take struct {
	Stop   int
	Volume Ticks
}

// Plan is a Draft with its clock, its tankfuls and its sums.
type Plan struct {
	Runs []Run // as Day.Shifts
	// Left are the stops of no shift, in order; why is for the solver to say.
	Left []int
	// Sums over the runs.
	Drive, Fill, Rinse, Work, Wait, Over, Late unit.Time
	LunchLate                                  unit.Time
	// Toll is what the drives cost beside their time, see Day.Toll; in no sum of times.
	Toll unit.Time
	// Leftover is mix above the heels at the end or at a change of mix: what agitation asked for, or what tanks held and nothing took.
	Leftover      Ticks
	Loads, Splits int
}

// Run is one shift's day.
type Run struct {
	Legs []Leg
	// Lunch is nil without one; LunchLate is how long after its window it began.
	Lunch     *Pause
	LunchLate unit.Time
	// Home is the drive to the shift's end. Finish is the clock there.
	Home, Finish                               unit.Time
	Drive, Fill, Rinse, Work, Wait, Over, Late unit.Time
	// Toll is that of the drives.
	Toll unit.Time
	// Lates are stops begun after their window, Shut the legs whose fill point had closed.
	Lates, Shut []int
	Leftover    Ticks
}

// Pause is a lunch; it comes before the drive to visit Visit of leg Leg, or to leg Leg's fill point when Visit is -1, or in the wait there.
type Pause struct {
	At, Until  unit.Time
	Leg, Visit int
}

// Leg is one fill visit and what is sprayed until the next.
type Leg struct {
	Fill  int // NoFill when it begins without one
	Mixes []int
	Loads []Load
	// Visits are the stops worked on this leg, in order.
	Visits []Visit
	// DriveTo is the drive to the fill point; Begin and End are the clock there, rinsing included, after Arrive and any wait.
	DriveTo            unit.Time
	Arrive, Begin, End unit.Time
	Rinsed             []Rinsed
}

// Rinsed is a tank that changes its mix. Lost is what it held above the heel.
type Rinsed struct {
	Tank, From, To int
	Time           unit.Time
	Lost           Ticks
}

// Load is one filling of one tank, or, on a leg without a fill, what the tank held.
type Load struct {
	Tank, Mix int
	// Volume is what is sprayed of it. Put is what goes into the tank: Volume, the heel where the tank was clean or rinsed, and Extra; 0 when the tank held it.
	Volume, Put Ticks
	// Extra is mix beyond need, made so that the agitator works. It is left over: it does not serve the next filling.
	Extra Ticks
	Parts []Part
}

// Part is a stretch of one stop's passes drawn from one load. Passes count from 0, both ends
// included. Within says that the part ends inside the last pass, IntoLast ticks into it
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
	// Again is a second visit after a refill, Joined one that goes on at the property where the last one ended.
	Again, Joined bool
	Volume        Ticks
}

// Cost is what plans are compared by: seconds of driving, filling, rinsing and work, and what the weights make of the rest.
func (p *Plan) Cost(w Weights) unit.Time {
	return p.Weighed(w) + unit.Time(w.Wait)*p.Wait + unit.Time(w.Late)*p.Late + unit.Time(len(p.Left))*w.Drop + unit.Time(p.Leftover)*w.Leftover
}

// Weighed is the part of Cost that is told: Minutes and tolls, and what overtime, loads and splits weigh. What must not be (too late, left out, left over) and waiting are not in it.
func (p *Plan) Weighed(w Weights) unit.Time {
	return p.Minutes() + p.Toll + unit.Time(w.Over)*(p.Over+p.LunchLate) + unit.Time(p.Loads)*w.Load + unit.Time(p.Splits)*w.Split
}

// Minutes is driving, filling, rinsing and work: waiting, lunch and overtime's price are not in it.
func (p *Plan) Minutes() unit.Time { return p.Drive + p.Fill + p.Rinse + p.Work }
