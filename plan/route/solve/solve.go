// Package solve plans a day of work: it searches for the order and the tankfuls of every shift.
//
// It knows how to put the search (ruin) and the cuts of an order (cut) together, how parts of stops may lie apart, and what to say of stops that do not
// fit. It leaves out how good the plan is, which bound says, and everything that is not in a route.Day. A plan is the best found, not proven the best.
package solve

import (
	"math"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/cut"
	"tankful/plan/route/ruin"
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
}

// LeftOut is a stop that does not fit and why.
type LeftOut struct {
	Stop   int
	Reason Reason
	// By is how much is missing: the time after a window, a fill point's hours or the end of a hard shift, at the least that was found. 0 where that is not the reason.
	By unit.Time
}

// Reason is why a stop is left out.
type Reason string

// Reasons.
const (
	NoShift Reason = "no-shift" // no shift may do it
	NoTank  Reason = "no-tank"  // no tank of a shift that may do it carries its mix, or not a pass of it
	NoPoint Reason = "no-fill"  // the shifts that may do it have no fill point, and their tanks do not hold enough
	Window  Reason = "window"   // even alone it cannot be done in time
	NoRinse Reason = "no-rinse" // alone it fits, but a tank would have to change its mix and may not
	FullDay Reason = "full-day" // alone it fits, but not with the others
)

// Day plans the day. The error tells a day that cannot be planned at all, see route.Day.Check.
func Day(d *route.Day, opt Options) (*Answer, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	if opt.Effort == 0 {
		opt.Effort = 1
	}
	s := &search{d: d, shifts: make([]shiftPlan, len(d.Shifts))}
	var found, draft route.Draft
	best := unit.Time(math.Inf(1))
	for k := range starts {
		from := ruin.Search(d, ruin.Options{Seed: opt.Seed + uint64(k), Trials: trials(d, opt.Effort)})
		s.shifts = make([]shiftPlan, len(d.Shifts))
		s.enter(from)
		s.polish(opt, uint64(k))
		p, err := d.Clock(s.draft())
		if err == nil && p.Cost(d.Weights) < best-like {
			best, draft, found = p.Cost(d.Weights), s.draft(), from
			s.best = slices.Clone(s.shifts)
		}
	}
	s.shifts = s.best
	p, err := d.Clock(draft)
	if q, e := d.Clock(found); e == nil && legal(d, found) && (err != nil || q.Cost(d.Weights) < p.Cost(d.Weights)-like) {
		draft, p, err = found, q, nil
	}
	if err != nil {
		return nil, err
	}
	a := &Answer{Draft: draft, Plan: p}
	for _, i := range p.Left {
		a.Left = append(a.Left, s.why(i))
	}
	return a, nil
}

// starts is how many searches a plan is the best of: each begins with chance of its own.
const starts = 4

// like is a difference of cost that decides nothing, in seconds.
const like = 1e-6 * unit.Second

// trials is the number of trials for a day: more than enough for small ones.
func trials(d *route.Day, effort float64) int {
	n := float64(len(d.Stops))
	return int(effort * math.Min(20*n*n+1000, 30_000))
}

// legal reports whether a draft breaks stops off only where that may be: at pass ends, when they are not Whole.
func legal(d *route.Day, draft route.Draft) bool {
	if slices.ContainsFunc(d.Mixes, func(m route.Mix) bool { return m.Whole > 0 }) {
		return false // the search does not know of whole containers
	}
	done := make([]route.Ticks, len(d.Stops))
	for _, trips := range draft {
		for _, t := range trips {
			for _, k := range t.Takes {
				st := &d.Stops[k.Stop]
				done[k.Stop] += k.Volume
				if n := done[k.Stop]; n < st.Need() && (st.Whole || !slices.Contains(ends(st), n)) {
					return false
				}
			}
		}
	}
	return true
}

// ends are a stop's pass ends in ticks.
func ends(st *route.Stop) []route.Ticks {
	out, at := make([]route.Ticks, len(st.Passes)), route.Ticks(0)
	for i, p := range st.Passes {
		at += p
		out[i] = at
	}
	return out
}

// search improves the orders of the shifts, each priced by its best cuts.
type search struct {
	d      *route.Day
	shifts []shiftPlan
	best   []shiftPlan
	// What is left of the budgets: of cutting, and of dealing trips anew.
	work, dealing int
}

// shiftPlan is the order of a shift, its trips and their cost.
type shiftPlan struct {
	order []route.Take
	trips []route.Trip
	cost  unit.Time
}

// enter takes the orders of a draft: each stop where it first comes.
func (s *search) enter(draft route.Draft) {
	seen := make([]bool, len(s.d.Stops))
	for i, trips := range draft {
		var stops []int
		for _, t := range trips {
			for _, k := range t.Takes {
				if !seen[k.Stop] {
					seen[k.Stop] = true
					stops = append(stops, k.Stop)
				}
			}
		}
		if plan, ok := s.price(i, cut.Whole(s.d, stops...), cut.Fine); ok {
			s.shifts[i] = plan
		}
	}
}

// price cuts an order and asks the clock what it costs.
func (s *search) price(shift int, order []route.Take, how cutting) (shiftPlan, bool) {
	p := shiftPlan{order: slices.Clone(order)}
	if len(order) == 0 {
		return p, true
	}
	trips, work, ok := how(s.d, shift, order)
	s.work -= work + setUp
	if p.trips = trips; !ok {
		return p, false
	}
	cost, ok := s.clock(shift, p.trips)
	p.cost = cost
	return p, ok
}

// clock is the cost of one shift's trips, stops left out not counted.
func (s *search) clock(shift int, trips []route.Trip) (unit.Time, bool) {
	draft := make(route.Draft, len(s.d.Shifts))
	draft[shift] = trips
	p, err := s.d.Clock(draft)
	if err != nil {
		return 0, false
	}
	return p.Cost(s.d.Weights) - unit.Time(len(p.Left))*s.d.Weights.Drop - s.idle(shift), true
}

// idle is what the other shifts cost when they do nothing: what their tanks hold is left over.
func (s *search) idle(shift int) unit.Time {
	n := route.Ticks(0)
	for i := range s.d.Shifts {
		for t := range s.d.Shifts[i].Tanks {
			if h := s.d.Shifts[i].Tanks[t].Held; h != nil && i != shift {
				n += h.Left
			}
		}
	}
	return unit.Time(n) * s.d.Weights.Leftover
}

func (s *search) draft() route.Draft {
	out := make(route.Draft, len(s.shifts))
	for i := range s.shifts {
		out[i] = s.shifts[i].trips
	}
	return out
}

// why tells why a stop is in no shift.
func (s *search) why(stop int) LeftOut {
	st := &s.d.Stops[stop]
	l := LeftOut{Stop: stop, Reason: NoShift}
	least := unit.Time(math.Inf(1))
	rank := map[Reason]int{NoShift: 0, NoTank: 1, NoPoint: 2, Window: 3, NoRinse: 4, FullDay: 5}
	for i := range s.d.Shifts {
		if !route.Allows(st.Shifts, i) {
			continue
		}
		r, by := s.inShift(stop, i)
		if rank[r] > rank[l.Reason] || r == l.Reason && by < least {
			l.Reason, least = r, by
		}
	}
	if l.Reason == Window || l.Reason == FullDay {
		l.By = least
	}
	return l
}

// inShift tells why a stop is not in one shift that may do it, and how late it would be made or make others.
func (s *search) inShift(stop, shift int) (Reason, unit.Time) {
	trips, ok := cut.Shift(s.d, shift, cut.Whole(s.d, stop))
	if !ok {
		if s.d.Stops[stop].Mix != route.NoMix && !slices.ContainsFunc(s.d.Fills, func(f route.Fill) bool { return route.Allows(f.Shifts, shift) }) {
			return NoPoint, 0
		}
		return NoTank, 0
	}
	if late := s.late(shift, trips); late > 0 {
		return Window, late
	}
	least := unit.Time(math.Inf(1))
	order := s.shifts[shift].order
	for at := range len(order) + 1 {
		if trips, ok := cut.Shift(s.d, shift, slices.Insert(slices.Clone(order), at, cut.Whole(s.d, stop)...)); ok {
			least = min(least, s.late(shift, trips))
		}
	}
	if math.IsInf(float64(least), 1) {
		return NoRinse, 0
	}
	return FullDay, least
}

// late is how long after windows and hours a shift's trips are, in all.
func (s *search) late(shift int, trips []route.Trip) unit.Time {
	draft := make(route.Draft, len(s.d.Shifts))
	draft[shift] = trips
	p, err := s.d.Clock(draft)
	if err != nil {
		return unit.Time(math.Inf(1))
	}
	return p.Late
}

// setUp is the work of cutting and timing an order beside the trips that are looked at.
const setUp = 150
