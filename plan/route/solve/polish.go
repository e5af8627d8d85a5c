package solve

import (
	"math"
	"math/rand/v2"
	"slices"

	"tankful/plan/route"
	"tankful/plan/route/cut"
)

// What polishing may cost, in trips that cutting looks at: work is counted, never time. A third of fineWork goes to shaken orders.
const (
	coarseWork = 200_000
	fineWork   = 700_000
	everyOrder = 5 // stops up to which every order of a single shift is tried
)

type cutting = func(*route.Day, int, []route.Take) ([]route.Trip, int, bool)

// polish improves the orders with the cost of their cuts: first few cuts, then all of them, which tells where a stop is better begun with
// one load and ended with another.
func (s *search) polish(opt Options, start uint64) {
	rng := rand.New(rand.NewPCG(opt.Seed+start, 2))
	share := math.Min(1, math.Max(0.1, float64(len(s.d.Stops))/12)) * opt.Effort // small days need less
	s.work = int(coarseWork * share)
	s.improve(cut.Coarse)
	for s.work > 0 && s.shake(rng, cut.Coarse) {
	}
	s.work = int(fineWork * share)
	s.refine()
	s.enterLeft()
	s.improve(cut.Fine)
	if order := s.shifts[0].order; len(s.shifts) == 1 && len(order) <= everyOrder {
		s.every(order)
	}
	s.explode()
	s.improve(cut.Fine)
	for s.work > 0 && s.shake(rng, cut.Fine) {
	}
	for s.dealing = int(redealWork * share); s.redeal(); {
		s.work = max(s.work, int(coarseWork*share)/4)
		s.improve(cut.Fine)
	}
	s.dropLate()
}

// dropLate leaves stops out of shifts that are too late, as long as that costs less: what the search took to be in time may be late with its exact cuts, and where
// ranks leave no other order nothing else helps.
func (s *search) dropLate() {
	for i := range s.shifts {
		for s.late(i, s.shifts[i].trips) > 0 {
			best, least := shiftPlan{}, s.shifts[i].cost-s.d.Weights.Drop-like
			tried := map[int]bool{}
			for _, k := range s.shifts[i].order {
				if tried[k.Stop] {
					continue
				}
				tried[k.Stop] = true
				rest := slices.DeleteFunc(slices.Clone(s.shifts[i].order), func(x route.Take) bool { return x.Stop == k.Stop })
				if p, ok := s.price(i, rest, cut.Fine); ok && p.cost < least {
					best, least = p, p.cost
				}
			}
			if best.order == nil {
				break
			}
			s.shifts[i] = best
		}
	}
}

// mostParts is up to how many passes a shift's stops are looked at pass by pass.
const mostParts = 30

// explode takes every stop of a shift that may be split as its passes, one after the other: the same work, of which each pass may then be moved.
func (s *search) explode() {
	for i := range s.shifts {
		var order []route.Take
		done := map[int]route.Ticks{}
		for _, k := range s.shifts[i].order {
			from := done[k.Stop]
			done[k.Stop] += k.Volume
			if st := &s.d.Stops[k.Stop]; !st.Whole {
				for _, e := range ends(st) {
					if e > from && e < done[k.Stop] {
						order = append(order, route.Take{Stop: k.Stop, Volume: e - from})
						from = e
					}
				}
			}
			order = append(order, route.Take{Stop: k.Stop, Volume: done[k.Stop] - from})
		}
		if len(order) <= mostParts {
			s.shifts[i].order = order
		}
	}
}

// refine cuts every order again at every pass end.
func (s *search) refine() {
	for i := range s.shifts {
		if p, ok := s.price(i, s.shifts[i].order, cut.Fine); ok && p.cost < s.shifts[i].cost-like {
			s.shifts[i] = p
		}
	}
}

// enterLeft puts stops that are in no shift where they cost least, cut at pass ends, as long as that keeps the hours better than leaving them out.
func (s *search) enterLeft() {
	in := make([]bool, len(s.d.Stops))
	for i := range s.shifts {
		for _, k := range s.shifts[i].order {
			in[k.Stop] = true
		}
	}
	for stop := range in {
		if in[stop] {
			continue
		}
		best, at, found := shiftPlan{}, 0, s.d.Weights.Drop
		for i := range s.shifts {
			if !route.Allows(s.d.Stops[stop].Shifts, i) {
				continue
			}
			for k := range len(s.shifts[i].order) + 1 {
				order := slices.Insert(slices.Clone(s.shifts[i].order), k, cut.Whole(s.d, stop)...)
				if !s.ranked(order) {
					continue
				}
				if p, ok := s.price(i, order, cut.Fine); ok && p.cost-s.shifts[i].cost < found {
					best, at, found = p, i, p.cost-s.shifts[i].cost
				}
			}
		}
		if best.trips != nil {
			s.shifts[at] = best
		}
	}
}

// every tries every order of a single shift; of like ones it takes the first, as the stops are listed.
func (s *search) every(order []route.Take) {
	order = slices.Clone(order)
	slices.SortStableFunc(order, func(a, b route.Take) int { return a.Stop - b.Stop })
	found := shiftPlan{cost: s.shifts[0].cost + like}
	best := found.cost
	permute(order, 0, func(o []route.Take) {
		if !s.ranked(o) {
			return
		}
		if p, ok := s.price(0, o, cut.Fine); ok && (p.cost < best-like || found.trips == nil && p.cost < best) {
			found, best = p, p.cost
		}
	})
	if found.trips != nil {
		s.shifts[0] = found
	}
}

func permute(order []route.Take, k int, f func([]route.Take)) {
	if k == len(order) {
		f(order)
		return
	}
	for i := k; i < len(order); i++ {
		order[k], order[i] = order[i], order[k]
		permute(order, k+1, f)
		order[k], order[i] = order[i], order[k]
	}
}

// unranked is the work of making an order that the ranks forbid: where they leave few orders nearly all are.
const unranked = 10

// accept prices an order of a shift and takes it when it is better.
func (s *search) accept(shift int, order []route.Take, how cutting) bool {
	if !s.ranked(order) {
		s.work -= unranked
		return false
	}
	p, ok := s.price(shift, order, how)
	if !ok || p.cost >= s.shifts[shift].cost-like {
		return false
	}
	s.shifts[shift] = p
	return true
}

// ranked reports whether an order keeps the ranks.
func (s *search) ranked(order []route.Take) bool {
	return slices.IsSortedFunc(order, func(a, b route.Take) int { return s.d.Stops[a.Stop].Rank - s.d.Stops[b.Stop].Rank })
}

// improve turns, moves, swaps, divides and joins stops within shifts, and moves them between shifts, while that helps and the budget lasts.
func (s *search) improve(how cutting) {
	for again := true; again && s.work > 0; {
		again = false
		for i := range s.shifts {
			again = s.within(i, how) || again
			for j := range s.shifts {
				if i != j {
					again = s.between(i, j, how) || again
				}
			}
		}
	}
}

// within tries all changes of one shift's order once.
func (s *search) within(shift int, how cutting) bool {
	better := false
	for _, move := range moves {
		n := len(s.shifts[shift].order)
		trial := make([]route.Take, n)
		for i := range n {
			for j := range n {
				if s.work <= 0 {
					return better
				}
				if move(trial, s.shifts[shift].order, i, j) && s.accept(shift, trial, how) {
					better = true
				}
			}
		}
	}
	return s.divide(shift, how) || better
}

// divide splits stops in two at pass ends, the parts at any two places, and makes one of parts again.
func (s *search) divide(shift int, how cutting) bool {
	for k := range s.shifts[shift].order {
		order := s.shifts[shift].order
		take := order[k]
		st := &s.d.Stops[take.Stop]
		rest := slices.DeleteFunc(slices.Clone(order), func(x route.Take) bool { return x.Stop == take.Stop })
		if len(rest) < len(order)-1 { // in parts already: one again
			for i := range len(rest) + 1 {
				if s.work > 0 && s.accept(shift, slices.Insert(slices.Clone(rest), i, cut.Whole(s.d, take.Stop)...), how) {
					return true
				}
			}
			continue
		}
		if st.Whole || take.Volume != st.Need() {
			continue
		}
		for _, first := range ends(st) {
			if first <= 0 || first >= take.Volume {
				continue
			}
			for i := range len(rest) + 1 {
				for j := i + 1; j <= len(rest); j++ {
					if s.work <= 0 {
						return false
					}
					parts := slices.Insert(slices.Clone(rest), j, route.Take{Stop: take.Stop, Volume: take.Volume - first})
					parts = slices.Insert(parts, i, route.Take{Stop: take.Stop, Volume: first})
					if s.accept(shift, parts, how) {
						return true
					}
				}
			}
		}
	}
	return false
}

// between moves stops from shift a to shift b.
func (s *search) between(a, b int, how cutting) bool {
	better := false
	for i := 0; i < len(s.shifts[a].order); i++ {
		stop := s.shifts[a].order[i].Stop
		if s.work <= 0 {
			return better
		}
		if !route.Allows(s.d.Stops[stop].Shifts, b) {
			continue
		}
		without := slices.DeleteFunc(slices.Clone(s.shifts[a].order), func(x route.Take) bool { return x.Stop == stop })
		if s.moved(a, b, without, stop, how) {
			better = true
			i--
		}
	}
	return better
}

// moved moves a stop to the best place of shift b when that is better for both together.
func (s *search) moved(a, b int, without []route.Take, stop int, how cutting) bool {
	left, ok := s.price(a, without, how)
	if !ok {
		return false
	}
	best, found := shiftPlan{}, false
	for at := range len(s.shifts[b].order) + 1 {
		order := slices.Insert(slices.Clone(s.shifts[b].order), at, cut.Whole(s.d, stop)...)
		if !s.ranked(order) {
			continue
		}
		if p, ok := s.price(b, order, how); ok && (!found || p.cost < best.cost) {
			best, found = p, true
		}
	}
	if !found || left.cost+best.cost >= s.shifts[a].cost+s.shifts[b].cost-like {
		return false
	}
	s.shifts[a], s.shifts[b] = left, best
	return true
}

// shake moves a few stops of a shift to random places, improves, and keeps what is better. It gives false when there is nothing to shake.
func (s *search) shake(rng *rand.Rand, how cutting) bool {
	i := rng.IntN(len(s.shifts))
	kept := s.shifts[i]
	n := len(kept.order)
	if n < 3 {
		s.work -= coarseWork / 20
		return true
	}
	order := slices.Clone(kept.order)
	for range 2 + rng.IntN(min(4, n-1)) {
		k := rng.IntN(n)
		stop := order[k]
		order = slices.Insert(slices.Delete(order, k, k+1), rng.IntN(n), stop)
	}
	if rng.IntN(3) == 0 {
		order = s.torn(order, rng)
	}
	slices.SortStableFunc(order, func(a, b route.Take) int { return s.d.Stops[a.Stop].Rank - s.d.Stops[b.Stop].Rank })
	p, ok := s.price(i, order, how)
	if !ok {
		return true
	}
	s.shifts[i] = p
	for s.work > 0 && s.within(i, how) {
	}
	if s.shifts[i].cost >= kept.cost-like {
		s.shifts[i] = kept
	}
	return true
}

// torn splits a random stop at a random pass end, the rest at a random place; where that may not be, the order stays.
func (s *search) torn(order []route.Take, rng *rand.Rand) []route.Take {
	k := rng.IntN(len(order))
	take := order[k]
	st := &s.d.Stops[take.Stop]
	if st.Whole || len(st.Passes) < 2 || take.Volume != st.Need() {
		return order
	}
	first := ends(st)[rng.IntN(len(st.Passes)-1)]
	if first <= 0 || first >= take.Volume {
		return order
	}
	out := slices.Clone(order)
	out[k].Volume = first
	return slices.Insert(out, k+1+rng.IntN(len(out)-k), route.Take{Stop: take.Stop, Volume: take.Volume - first})
}

// moves write a changed order into out and report whether it is one worth pricing.
var moves = []func(out, order []route.Take, i, j int) bool{turn, shift(1), shift(2), shift(3), swap}

// turn reverses the stretch from i to j.
func turn(out, order []route.Take, i, j int) bool {
	if j <= i {
		return false
	}
	copy(out, order)
	slices.Reverse(out[i : j+1])
	return true
}

// shift moves n stops from i to before what is then at j.
func shift(n int) func(out, order []route.Take, i, j int) bool {
	return func(out, order []route.Take, i, j int) bool {
		if i+n > len(order) || j+n > len(order) || i == j {
			return false
		}
		rest := append(slices.Clone(order[:i]), order[i+n:]...)
		copy(out, rest[:j])
		copy(out[j:], order[i:i+n])
		copy(out[j+n:], rest[j:])
		return true
	}
}

// swap exchanges the stops at i and j.
func swap(out, order []route.Take, i, j int) bool {
	if j <= i+1 {
		return false
	}
	copy(out, order)
	out[i], out[j] = out[j], out[i]
	return true
}
