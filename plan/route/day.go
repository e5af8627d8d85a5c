// Package route is the crew's day in numbers: which stops, in which order, out of which
// tankfuls, filled where.
//
// This file and plan.go are its nouns: a Day is the question, a Draft says what is done in which order, and
// a Plan is that with every clock time, tankful and sum, which Clock alone reckons. Packages below it search
// (ruin), cut an order into trips (cut), prove (bound) and put these together (solve). It works on places with driving
// times, whole ticks of volume and the passes of each stop; it leaves out outlines, products, and
// where driving times come from.
package route

import "tankful/calc/unit"

// Ticks counts the smallest printed volume of mix, such as 0.1 gal: sums of ticks are exact.
type Ticks int

// NoMix is the Mix of a stop that no tank serves: granules out of bags, or a look round.
const NoMix = -1

// Day is the work to be planned: of one truck's day, of several trucks, or of several days. Places are indices
// into Drive.
type Day struct {
	// Drive is the driving time from place to place, Drive[from][to]; the diagonal is 0. It need not be the same both
	// ways, nor keep the triangle inequality.
	Drive [][]unit.Time
	// Toll is what each drive costs beside its time, as Drive; nil for nothing. No clock knows of it.
	Toll   [][]unit.Time
	Shifts []Shift
	Fills  []Fill
	Mixes  []Mix
	// Rinse is what changing a tank from one mix to another costs, Rinse[from][to]. Nil: no tank changes its mix.
	Rinse   [][]Rinse
	Stops   []Stop
	Weights Weights
}

// Shift is one truck with its crew on one day.
type Shift struct {
	// Start and End are the places where it begins and ends.
	Start, End int
	// From is when the truck is ready at Start, Until when it should be back at End, both after midnight of its own day. Until 0 is
	// open. After Until is overtime; of a Hard shift nothing may end after it.
	From, Until unit.Time
	Hard        bool
	// Lunch is a pause; one without a length is none.
	Lunch Lunch
	Tanks []Tank
	// Payload is the most mass of mix in all tanks together, 0 for no bound: see Mix.PerTick.
	Payload unit.Mass
	// Legs is the most legs, 0 for any number.
	Legs int
}

// Lunch is a pause that begins between From and Until, when the work in hand is done. It may lie in a wait for a window. One that begins later is told,
// see Run.LunchLate. When no work is left by From there is none.
type Lunch struct{ From, Until, Length unit.Time }

// Tank is one tank of a shift.
type Tank struct {
	// Usable is capacity less Heel, and Heel what the pump cannot draw.
	Usable, Heel Ticks
	// Least is the smallest volume, above the heel, that one filling of the tank may have: below it the agitator stands free. 0 for any.
	Least Ticks
	// Mark is the step of the marks that it is filled to, counted from empty, 0 for any level. It is filled to the mark at or above what is needed, and
	// the rest stays in it for its next filling.
	Mark Ticks
	// Mixes are those it may carry; nil for any.
	Mixes []int
	// Held is what it has in it at the shift's start; nil when it is empty and clean.
	Held *Held
}

// Held is what a tank has in it: Left ticks of Mix above the heel, which is of that mix too.
type Held struct {
	Mix  int
	Left Ticks
}

// Fill is a fill point: HookUp once a visit, then PerTick for each tick of mix. Filling may begin from Open until Close, after midnight; Close 0 is open.
type Fill struct {
	Place           int
	HookUp, PerTick unit.Time
	Open, Close     unit.Time
	// Shifts are those that may fill here; nil for all.
	Shifts []int
}

// Mix is one mix. PerTick is what a tick of it weighs, 0 when not known. Whole is how many ticks one whole container of a product makes, where all loads of
// a run of this mix but its last are to take whole containers; 0 for any loads. Such fillings, the first with its heel, are the multiples of it, rounded to ticks.
type Mix struct {
	PerTick unit.Mass
	Whole   float64
}

// Rinse is what a change of mix costs a tank, at the fill point before filling. Never forbids it.
type Rinse struct {
	Time  unit.Time
	Never bool
}

// Stop is the work with one mix on one property.
type Stop struct {
	Place int
	// Site tells stops of one property: of two in a row on one leg the second costs no SetUp, and its window is not asked again.
	Site int
	// Mix is an index into Day.Mixes, or NoMix; then Passes are empty.
	Mix int
	// Passes is the mix that each pass takes, in walking order; their sum is the stop's need.
	Passes []Ticks
	// Work is the walking; SetUp what each visit costs before it. Back is, per pass, what breaking off in or after that pass costs besides the
	// SetUp of coming back: walking to the truck and out again. Nil for none. It is not asked of the last pass when that is done.
	Work, SetUp unit.Time
	Back        []unit.Time
	// From and Until bound when the first visit begins, after midnight; Until 0 is open.
	From, Until unit.Time
	// Shifts are those that may do it; nil for all. All parts of a stop are done in one shift.
	Shifts []int
	// Rank orders the work of a shift: all of a lower rank comes before any of a higher one. The usual is 0, first is -1, last 1.
	Rank int
	// Whole says that it may not be split over two legs, unless it needs more than the tanks of its shift hold.
	Whole bool
}

// Need is the mix that the stop takes.
func (s *Stop) Need() Ticks {
	n := Ticks(0)
	for _, p := range s.Passes {
		n += p
	}
	return n
}

// Weights say what counts how much beside a second of driving, filling, rinsing or work. See Usual.
type Weights struct {
	// Late is for each second after a window, a fill point's hours or the end of a hard shift, Over for each of overtime or of a late lunch, Wait for each of waiting.
	Late, Over, Wait float64
	// Drop is for each stop left out; Leftover for each tick that is mixed and not sprayed.
	Drop, Leftover unit.Time
	// Load is for each tankful, Split for each further leg that a stop is spread over.
	Load, Split unit.Time
}

// Usual puts what cannot be done first, then what is left over, then the minutes, then loads, then splits: a second too late weighs more than a stop left out, which weighs 10,000 h, a tick
// left over 1 h, a second of overtime as much as two of work; loads and splits, at 0.01 and 0.001 s, decide between like times.
var Usual = Weights{Late: 1e8, Over: 1, Wait: 0.1, Drop: 10_000 * unit.Hour, Leftover: unit.Hour, Load: 0.01 * unit.Second, Split: 0.001 * unit.Second}

// Price is what a drive counts for: its time and its toll.
func (d *Day) Price(from, to int) unit.Time {
	if d.Toll == nil {
		return d.Drive[from][to]
	}
	return d.Drive[from][to] + d.Toll[from][to]
}

// Weighed reports whether plans are compared by more than their minutes: drives have tolls, or loads, splits or overtime weigh otherwise than Usual has them.
func (d *Day) Weighed() bool { return d.priced() || d.Weights.Over != Usual.Over }

// priced reports whether drives, loads or splits cost enough beside their time to decide against it.
func (d *Day) priced() bool {
	return d.Toll != nil || d.Weights.Load > unit.Second || d.Weights.Split > unit.Second
}

// LoadPrice is what the first load of a fill visit is to add to the way over the fill point where loads weigh; 0 where they decide between like times only.
func (d *Day) LoadPrice() unit.Time {
	if !d.priced() {
		return 0
	}
	return d.Weights.Load
}

// Demand is what all stops take of a mix.
func (d *Day) Demand(mix int) Ticks {
	n := Ticks(0)
	for i := range d.Stops {
		if d.Stops[i].Mix == mix {
			n += d.Stops[i].Need()
		}
	}
	return n
}

// Allows reports whether a shift is one of a list; nil allows all.
func Allows(shifts []int, s int) bool {
	if shifts == nil {
		return true
	}
	for _, k := range shifts {
		if k == s {
			return true
		}
	}
	return false
}

// Room is the most that one filling can spray: Usable, or up to the highest mark.
func (t *Tank) Room() Ticks {
	if t.Mark <= 0 {
		return t.Usable
	}
	return min(t.Usable, (t.Usable+t.Heel)/t.Mark*t.Mark-t.Heel)
}

// LeastLoad is the smallest volume that one filling may have: Least, as far as the tank has room for it.
func (t *Tank) LeastLoad() Ticks { return min(t.Least, max(t.Room(), 0)) }

// MayHold reports whether the tank may carry the mix.
func (t *Tank) MayHold(mix int) bool { return t.Usable > 0 && Allows(t.Mixes, mix) }
