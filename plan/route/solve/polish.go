package solve

import (
	"math/rand/v2"
	"slices"

	"tankful/plan/route"
	"tankful/plan/route/cut"
)

// What polishing may cost: how often orders are cut, times their length. Budgets count work, never time.
const (
	coarseWork = 60_000
	fineWork   = 1_500
	everyOrder = 5 // stops up to which every order of a single shift is tried
)

// polish improves the orders with the cost of their cuts: first few cuts, then all of them, which tells where a stop is better begun with
// one load and ended with the next.
func (s *search) polish(opt Options) {
	rng := rand.New(rand.NewPCG(opt.Seed, 2))
	s.work = int(coarseWork * opt.Effort)
	s.improve(coarse)
	for s.work > 0 && s.shake(rng) {
	}
	s.work = int(fineWork * opt.Effort)
	s.refine()
	s.improve(cut.Shift)
	if order := s.shifts[0].order; len(s.shifts) == 1 && len(order) <= everyOrder {
		s.every(slices.Sorted(slices.Values(order)))
	}
}

// every tries every order of a single shift; of like ones it takes the first, as the stops are listed.
func (s *search) every(order []int) {
	found := shiftPlan{cost: s.shifts[0].cost + like}
	best := found.cost
	permute(order, 0, func(o []int) {
		if !s.ranked(o) {
			return
		}
		if p, ok := s.price(0, o, cut.Shift); ok && p.cost < best-like {
			found, best = p, p.cost
		} else if ok && found.trips == nil && p.cost < best {
			found, best = p, p.cost
		}
	})
	if found.trips != nil {
		s.shifts[0] = found
	}
}

// coarse cuts where the tanks ask for it only.
func coarse(d *route.Day, shift int, order []int) ([]route.Trip, bool) {
	return cut.Coarse(d, shift, order)
}

// refine cuts every order again at every pass end.
func (s *search) refine() {
	for i := range s.shifts {
		if p, ok := s.price(i, s.shifts[i].order, cut.Shift); ok && p.cost < s.shifts[i].cost-like {
			s.shifts[i] = p
		}
	}
}

func permute(order []int, k int, f func([]int)) {
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

// accept prices an order of a shift and takes it when it is better.
func (s *search) accept(shift int, order []int, how func(*route.Day, int, []int) ([]route.Trip, bool)) bool {
	if !s.ranked(order) {
		return false
	}
	s.work -= len(order)
	p, ok := s.price(shift, order, how)
	if !ok || p.cost >= s.shifts[shift].cost-like {
		return false
	}
	s.shifts[shift] = p
	return true
}

// ranked reports whether an order keeps the ranks.
func (s *search) ranked(order []int) bool {
	return slices.IsSortedFunc(order, func(a, b int) int { return s.d.Stops[a].Rank - s.d.Stops[b].Rank })
}

type cutting = func(*route.Day, int, []int) ([]route.Trip, bool)

// improve turns, moves and swaps stops within shifts, and moves and swaps them between shifts, while that helps and the budget lasts.
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
		trial := make([]int, n)
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
	return better
}

// between moves stops from shift a to shift b, or swaps two.
func (s *search) between(a, b int, how cutting) bool {
	better := false
	for i := 0; i < len(s.shifts[a].order); i++ {
		stop := s.shifts[a].order[i]
		if s.work <= 0 {
			return better
		}
		if !route.Allows(s.d.Stops[stop].Shifts, b) {
			continue
		}
		without := slices.Delete(slices.Clone(s.shifts[a].order), i, i+1)
		if !s.moved(a, b, without, stop, how) {
			continue
		}
		better = true
		i--
	}
	return better
}

// moved moves a stop to the best place of shift b when that is better for both together.
func (s *search) moved(a, b int, without []int, stop int, how cutting) bool {
	s.work -= len(without)
	left, ok := s.price(a, without, how)
	if !ok {
		return false
	}
	best, found := shiftPlan{}, false
	for at := range len(s.shifts[b].order) + 1 {
		order := slices.Insert(slices.Clone(s.shifts[b].order), at, stop)
		if !s.ranked(order) {
			continue
		}
		s.work -= len(order)
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
func (s *search) shake(rng *rand.Rand) bool {
	i := rng.IntN(len(s.shifts))
	kept := s.shifts[i]
	n := len(kept.order)
	if n < 3 {
		s.work -= 50
		return true
	}
	order := slices.Clone(kept.order)
	for range 2 + rng.IntN(min(4, n-1)) {
		k := rng.IntN(n)
		stop := order[k]
		order = slices.Insert(slices.Delete(order, k, k+1), rng.IntN(n), stop)
	}
	slices.SortStableFunc(order, func(a, b int) int { return s.d.Stops[a].Rank - s.d.Stops[b].Rank })
	p, ok := s.price(i, order, coarse)
	s.work -= n
	if !ok {
		return true
	}
	s.shifts[i] = p
	for s.work > 0 && s.within(i, coarse) {
	}
	if s.shifts[i].cost >= kept.cost-like {
		s.shifts[i] = kept
	}
	return true
}

// moves write a changed order into out and report whether it is one worth pricing.
var moves = []func(out, order []int, i, j int) bool{turn, shift(1), shift(2), shift(3), swap}

// turn reverses the stretch from i to j.
func turn(out, order []int, i, j int) bool {
	if j <= i {
		return false
	}
	copy(out, order)
	slices.Reverse(out[i : j+1])
	return true
}

// shift moves n stops from i to before what is then at j.
func shift(n int) func(out, order []int, i, j int) bool {
	return func(out, order []int, i, j int) bool {
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
func swap(out, order []int, i, j int) bool {
	if j <= i+1 {
		return false
	}
	copy(out, order)
	out[i], out[j] = out[j], out[i]
	return true
}
