// Package solve plans a day of work: it searches for the order and the tankfuls, and says how much better any plan could be.
//
// It knows which method to take for which day, and what to say of stops that do not fit. The search itself is in ruin, exact
// and cut, the proofs are in exact and bound.
package solve

import (
	"tankful/calc/unit"
	"tankful/plan/route"
)

// Options are how a plan is sought. The same day with the same Options gives the same plan on any machine.
type Options struct {
	// Seed of the search; any number.
	Seed uint64
	// Effort scales the number of trials; 0 is 1, the usual.
	Effort float64
}

// Answer is a plan and what is known of how good it is.
type Answer struct {
	Draft route.Draft
	Plan  *route.Plan
	// Left says of each stop of Plan.Left why it is left out.
	Left []LeftOut
	// Bound is a time of driving, filling, rinsing and work that no plan with the same stops done can go below. Loads is the same for tankfuls. Proven
	// says that the plan is the best there is of those that the note tells; Whole that only plans without split stops were looked at for it.
	Bound         unit.Time
	Loads         int
	Proven, Whole bool
}

// LeftOut is a stop that does not fit and why.
type LeftOut struct {
	Stop   int
	Reason Reason
	// By is how much is missing: the time after the window or the end of the shift, at the least found.
	By unit.Time
}

// Reason is why a stop is left out.
type Reason string

// Reasons.
const (
	NoTank  Reason = "no-tank"  // no tank of a shift that may do it carries its mix
	NoShift Reason = "no-shift" // no shift may do it
	Window  Reason = "window"   // its window cannot be reached even when it is done first
	FullDay Reason = "full-day" // the hours of the shifts that may do it are used by others
	NoPoint Reason = "no-fill"  // no fill point is open to the shifts that may do it
	Clash   Reason = "clash"    // its window and those of other stops exclude each other
	NoRinse Reason = "no-rinse" // its mix would need a change of mix that is not allowed
)

// Day plans the day. The error tells a day that cannot be planned at all, see route.Day.Check.
func Day(d *route.Day, opt Options) (*Answer, error) {
	panic("not yet")
}
