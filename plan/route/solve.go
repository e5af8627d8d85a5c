package route

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"tankful/calc/unit"
)

// lateWeight makes a second of lateness dearer than any drive; waitWeight prefers working to waiting.
const (
	lateWeight = 1000
	waitWeight = 0.1
)

// searchBudget bounds the orders that are compared for one assignment of mixes to tanks, so
// that the same day gives the same plan on any machine.
const searchBudget = 40_000

// everyOrder is up to how many stops every order is tried with all places to cut: 120 of five.
const everyOrder = 5

// What is searched, and what is refused as no day's work: the ways of giving mixes to tanks that
// are searched for an order, those that are looked at, and the tankfuls of one mix.
const (
	mostSearched = 8
	mostChoices  = 10_000
	mostLoads    = 500
)

// What polishing may cost: orders, and orders x chunks squared.
const (
	polishOrders = 2000
	polishWork   = 4_000_000
)

// Solve orders the stops and cuts them into tankfuls. For each way of giving mixes to tanks it
// starts from the nearest-stop order and the order of windows, moves, turns and swaps stops while
// that shortens the day, and tries again from shaken orders, with a fixed seed and budget: the
// same day gives the same plan. Orders are compared with few places to cut, at the end with all of
// them as far as that is cheap, and of up to five stops every order is; the cuts between tankfuls are exact for the order found. The errors are those of Check.
func Solve(d *Day) (*Solution, error) {
	if err := d.Check(); err != nil {
		return nil, err
	}
	var best *Solution
	for _, mixes := range d.likely() {
		s := newSearch(d, mixes)
		order := s.run()
		keep := func(order []int, chunk func([]int)) {
			chunk(order)
			if sol := s.build(); best == nil || sol.cost() < best.cost()-1e-6*unit.Second {
				best = sol
			}
		}
		keep(order, s.split.fine)
		keep(order, s.split.coarse) // the cuts of least time may come at the price of a window: fewer places to cut then do better
		s.polish(order)
		keep(order, s.split.fine)
		if len(d.Stops) <= everyOrder {
			orders(len(d.Stops), func(order []int) { keep(order, s.split.fine) })
		}
	}
	return best, nil
}

// orders calls f with every order of n stops.
func orders(n int, f func([]int)) {
	order := make([]int, n)
	for i := range order {
		order[i] = i
	}
	var rec func(k int)
	rec = func(k int) {
		if k == n {
			f(slices.Clone(order))
			return
		}
		for i := k; i < n; i++ {
			order[k], order[i] = order[i], order[k]
			rec(k + 1)
			order[k], order[i] = order[i], order[k]
		}
	}
	rec(0)
}

// likely is the ways of giving mixes to tanks that are worth a search: all of them when they
// are few, else those that do best with the nearest-stop order.
func (d *Day) likely() [][]int {
	all := d.assignments()
	if len(all) <= mostSearched {
		return all
	}
	price := make(map[int]unit.Time, len(all))
	rank := make([]int, len(all))
	for i, mixes := range all {
		s := newSearch(d, mixes)
		rank[i], price[i] = i, s.price(s.nearest())
	}
	slices.SortStableFunc(rank, func(a, b int) int { return cmp.Compare(price[a], price[b]) })
	out := make([][]int, mostSearched)
	for i := range out {
		out[i] = all[rank[i]]
	}
	return out
}

func (s *Solution) cost() unit.Time {
	return s.Drive + s.Fill + s.Work + lateWeight*s.Late + waitWeight*s.Wait
}

// Check reports what makes the day impossible: ErrNoStops, ErrNoFill,
// ErrNeedsNothing, ErrChoices, ErrLoads, a *MixError or ErrMixes.
func (d *Day) Check() error {
	switch {
	case len(d.Stops) == 0:
		return ErrNoStops
	case len(d.Fills) == 0:
		return ErrNoFill
	case slices.ContainsFunc(d.Stops, func(s Stop) bool { return s.Need() <= 0 }):
		return ErrNeedsNothing
	case d.choices() > mostChoices:
		return ErrChoices
	case d.tooManyLoads():
		return ErrLoads
	case len(d.assignments()) > 0:
		return nil
	}
	for m := range d.Mixes {
		held := slices.ContainsFunc(d.Tanks, func(t Tank) bool { return t.Usable > 0 && (t.Mix == m || t.Mix < 0) })
		if d.demand(m) > 0 && !held {
			return &MixError{m}
		}
	}
	return ErrMixes
}

// choices is the number of ways of giving the mixes in demand to the tanks that are free.
func (d *Day) choices() float64 {
	mixes, n := 0.0, 1.0
	for m := range d.Mixes {
		if d.demand(m) > 0 {
			mixes++
		}
	}
	for _, t := range d.Tanks {
		if t.Mix < 0 {
			n *= mixes
		}
	}
	return n
}

// tooManyLoads reports whether a mix would take more than mostLoads fillings of all tanks that could carry it.
func (d *Day) tooManyLoads() bool {
	for m := range d.Mixes {
		hold := Ticks(0)
		for _, t := range d.Tanks {
			if t.Mix == m || t.Mix < 0 {
				hold += max(t.Usable, 0)
			}
		}
		if hold > 0 && d.demand(m) > mostLoads*hold {
			return true
		}
	}
	return false
}

func (d *Day) demand(mix int) Ticks {
	n := Ticks(0)
	for i := range d.Stops {
		if d.Stops[i].Mix == mix {
			n += d.Stops[i].Need()
		}
	}
	return n
}

// assignments lists the ways of giving the day's mixes to its tanks, each mix in a tank at least.
func (d *Day) assignments() [][]int {
	var out [][]int
	cur := make([]int, len(d.Tanks))
	var rec func(i int)
	rec = func(i int) {
		if i == len(cur) {
			if d.allHeld(cur) {
				out = append(out, slices.Clone(cur))
			}
			return
		}
		if m := d.Tanks[i].Mix; m >= 0 {
			cur[i] = m
			rec(i + 1)
			return
		}
		for m := range d.Mixes {
			if d.demand(m) > 0 {
				cur[i] = m
				rec(i + 1)
			}
		}
	}
	rec(0)
	return out
}

func (d *Day) allHeld(tankMix []int) bool {
	for m, h := range d.holds(tankMix) {
		if h <= 0 && d.demand(m) > 0 {
			return false
		}
	}
	return true
}

// holds is what the tanks of each mix hold together.
func (d *Day) holds(tankMix []int) []Ticks {
	holds := make([]Ticks, d.Mixes)
	for i, m := range tankMix {
		holds[m] += max(d.Tanks[i].Usable, 0)
	}
	return holds
}

// search looks for a good order under one assignment of mixes to tanks.
type search struct {
	day      *Day
	tankMix  []int
	split    splitter
	windowed bool
	left     int
	finely   bool // compare orders with cuts at every pass end: exact, and slow where passes are many
}

func newSearch(d *Day, tankMix []int) *search {
	return &search{day: d, tankMix: tankMix, left: searchBudget,
		windowed: slices.ContainsFunc(d.Stops, func(s Stop) bool { return s.Until > 0 || s.From > d.Start }),
		split:    splitter{day: d, holds: d.holds(tankMix), used: make([]Ticks, d.Mixes)}}
}

// price is the cost by which orders are compared: the time besides the work, and what
// windows add to it.
func (s *search) price(order []int) unit.Time {
	s.left--
	if s.finely {
		s.split.fine(order)
	} else {
		s.split.coarse(order)
	}
	if s.windowed {
		return s.rehearse().cost()
	}
	return s.split.split()
}

// run improves two orders and goes on from the better one: stops near each other are taken out of
// it and put back elsewhere, and what comes of that is kept when it is better, until the budget is
// spent or nothing has helped for long.
func (s *search) run() []int {
	var best []int
	bestCost := unit.Time(math.Inf(1))
	for _, start := range [][]int{s.nearest(), s.byWindow()} {
		if c := s.improve(start); c < bestCost-1e-6*unit.Second {
			best, bestCost = start, c
		}
	}
	rng := rand.New(rand.NewPCG(1, 1)) // a fixed seed: the same day, the same plan
	for idle := 0; s.left > 0 && len(best) > 3 && idle < patience; idle++ {
		trial := s.shake(best, rng)
		if c := s.improve(trial); c < bestCost-1e-6*unit.Second {
			best, bestCost, idle = trial, c, 0
		}
	}
	return best
}

// polish goes on from the order found with cuts at every pass end, as far as that is cheap: it
// tells where a stop of several passes is better begun with one load and ended with the next.
func (s *search) polish(order []int) {
	s.split.fine(order)
	n := len(s.split.chunks)
	s.finely, s.left = true, min(polishOrders, polishWork/(n*n))
	s.improve(order)
}

// patience is how many shakes in a row may fail.
const patience = 40

// shake takes a few stops near a random one out of the order and puts them back at random places.
func (s *search) shake(order []int, rng *rand.Rand) []int {
	centre := s.day.Stops[order[rng.IntN(len(order))]].Place
	near := slices.Clone(order)
	slices.SortStableFunc(near, func(a, b int) int {
		return cmp.Compare(s.day.Drive[centre][s.day.Stops[a].Place], s.day.Drive[centre][s.day.Stops[b].Place])
	})
	near = near[:2+rng.IntN(min(5, len(order)-2))]
	out := slices.DeleteFunc(slices.Clone(order), func(i int) bool { return slices.Contains(near, i) })
	for _, i := range near {
		out = slices.Insert(out, rng.IntN(len(out)+1), i)
	}
	return out
}

// nearest is the order of always driving to the nearest stop not yet visited.
func (s *search) nearest() []int {
	d, at := s.day, s.day.Yard
	done := make([]bool, len(d.Stops))
	var order []int
	for range d.Stops {
		next := -1
		for i := range d.Stops {
			if !done[i] && (next < 0 || d.Drive[at][d.Stops[i].Place] < d.Drive[at][d.Stops[next].Place]) {
				next = i
			}
		}
		done[next] = true
		order = append(order, next)
		at = d.Stops[next].Place
	}
	return order
}

// byWindow is the nearest-stop order with the stops that must be begun early put first.
func (s *search) byWindow() []int {
	order := s.nearest()
	due := func(i int) unit.Time {
		if u := s.day.Stops[i].Until; u > 0 {
			return u
		}
		return 24 * unit.Hour
	}
	slices.SortStableFunc(order, func(a, b int) int {
		switch da, db := due(a), due(b); {
		case da < db:
			return -1
		case da > db:
			return 1
		}
		return 0
	})
	return order
}

// improve changes order in place until no move helps or the budget is spent, and gives its price.
func (s *search) improve(order []int) unit.Time {
	cost := s.price(order)
	trial := make([]int, len(order))
	for again := true; again; {
		again = false
		for _, move := range moves {
			for i := range order {
				for j := range order {
					if s.left <= 0 {
						return cost
					}
					if !move(trial, order, i, j) {
						continue
					}
					if c := s.price(trial); c < cost-1e-6*unit.Second {
						copy(order, trial)
						cost, again = c, true
					}
				}
			}
		}
	}
	return cost
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
