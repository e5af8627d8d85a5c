package solve

import (
	"slices"

	"tankful/plan/route"
)

// What dealing trips anew may cost: trips at once, the stops on them by how many are split, and work in ways looked at.
const (
	mostTrips   = 3
	mostDealt   = 11
	mostDealt2  = 9 // where two may be split
	redealWork  = 3_000_000
	leastRedeal = 2
)

// redeal deals the work of every two and every three trips of a shift anew among them, the best of all ways in which a stop is on one of them or
// split, two stops of three trips, and keeps what is better. Trips that share stops form trees then, which moves of single stops do not find.
func (s *search) redeal() bool {
	if slices.ContainsFunc(s.d.Mixes, func(m route.Mix) bool { return m.Whole > 0 }) {
		return false // it does not know of whole containers
	}
	better := false
	for i := range s.shifts {
		for again := true; again && s.dealing > 0; {
			again = false
			n := len(s.shifts[i].trips)
			for a := 0; a < n && !again; a++ {
				for b := a + 1; b < n && !again; b++ {
					again = s.dealt(i, []int{a, b})
					for c := b + 1; c < n && !again && s.dealing > 0; c++ {
						again = s.dealt(i, []int{a, b, c})
					}
				}
			}
			better = better || again
		}
	}
	return better
}

// dealt deals the work of some trips anew when that is better, from every fill point, two trips with every use of their tanks.
func (s *search) dealt(shift int, of []int) bool {
	trips := slices.Clone(s.shifts[shift].trips)
	now := s.newDeal(shift, trips, of)
	if now == nil || len(now.items) < leastRedeal {
		return false
	}
	most := now.is()
	var vary func(k int) bool
	vary = func(k int) bool {
		if k == len(of) {
			return s.dealing > 0 && s.dealtSo(shift, trips, of, most)
		}
		was := trips[of[k]]
		for _, f := range s.fillsOf(shift, was.Fill) {
			for _, u := range s.usesOf(shift, was, len(of)) {
				trips[of[k]].Fill, trips[of[k]].Mixes = f, u
				if vary(k + 1) {
					return true
				}
			}
		}
		trips[of[k]] = was
		return false
	}
	return vary(0)
}

// fillsOf are the fill points that a trip may begin at in place of one.
func (s *search) fillsOf(shift, fill int) []int {
	out := []int{fill}
	for f := range s.d.Fills {
		if fill != route.NoFill && f != fill && route.Allows(s.d.Fills[f].Shifts, shift) {
			out = append(out, f)
		}
	}
	return out[:min(len(out), 3)]
}

// usesOf are the mixes that a trip's tanks may carry in place of what they do, where two trips are dealt and there are few tanks.
func (s *search) usesOf(shift int, t route.Trip, trips int) [][]int {
	out := [][]int{t.Mixes}
	tanks := s.d.Shifts[shift].Tanks
	if trips > 2 || len(tanks) > 2 || len(s.d.Mixes) == 1 && len(tanks) == 1 || t.Fill == route.NoFill {
		return out
	}
	var use func(u []int)
	use = func(u []int) {
		if len(u) == len(tanks) {
			if !slices.Equal(u, t.Mixes) && slices.ContainsFunc(u, func(m int) bool { return m != route.NoMix }) {
				out = append(out, slices.Clone(u))
			}
			return
		}
		use(append(u, route.NoMix))
		for m := range s.d.Mixes {
			if tanks[len(u)].MayHold(m) {
				use(append(u, m))
			}
		}
	}
	use(make([]int, 0, len(tanks)))
	return out[:min(len(out), 8)]
}

// dealtSo deals the work of some trips anew, filled as trips have it, when that is better than most by what the dealing counts, and by the clock.
func (s *search) dealtSo(shift int, was []route.Trip, of []int, most float64) bool {
	d := s.newDeal(shift, was, of)
	d.least = most
	s.dealing -= len(d.items) << len(d.items)
	d.run(0, 0)
	s.dealing -= d.looks
	if d.best == nil {
		return false
	}
	trips := d.trips()
	cost, ok := s.clock(shift, trips)
	if !ok || cost >= s.shifts[shift].cost-like {
		return false
	}
	var order []route.Take
	for _, t := range trips {
		order = append(order, t.Takes...)
	}
	s.shifts[shift] = shiftPlan{order: order, trips: trips, cost: cost}
	return true
}
