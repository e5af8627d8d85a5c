package ruin

import (
	"math"
	"math/rand/v2"
)

// none is the end of a list.
const none = -1

// state is a draft that is being changed. All of it lies in one slice of numbers and one of seconds, so that changes are written down as they are
// made and taken back when they did not help.
type state struct {
	m   *model
	rng *rand.Rand

	num []int32
	sec []float64
	log []was
	lgf []wasSec
	on  bool // changes are written down

	// Where in num: by node next, prev, trip; by trip head, tail, its shift, the trips after and before it, nodes, use, and ticks by mix; by
	// shift its first and last trip and their number; the free trips.
	next, prev, trip                    int
	head, tail, of, after, ahead, count int
	uses, used                          int
	sHead, sTail, sTrips                int
	free, absent                        int
	trips                               int
	// Where in sec: by shift its seconds of driving, filling, rinsing and work, and what is wanting to the least volumes; the sum of all.
	// by node the way to it within its trip, for all but the first.
	dur, extra, sum, way int

	bestValue float64
	best      []int32

	out      []int32 // nodes taken out
	ruined   []int32
	stamp    int32
	scratch  []int32
	ready    []float64 // by node: when work there begins, and ends, see timeShift
	done     []float64
	latest   []float64
	dirty    []bool
	tempUsed []int32
	look     int // what findNear knows of trips for the node in hand
	looked   []int
	base     []float64
	allowed  []int32
	empty    []bool // by shift
	dice     uint64 // a quick xorshift generator, for blinks (Marsaglia, Xorshift RNGs, Journal of Statistical Software 8, 2003)
}

type was struct{ at, value int32 }
type wasSec struct {
	at    int32
	value float64
}

func newState(m *model, seed uint64) *state {
	s := &state{m: m, rng: rand.New(rand.NewPCG(seed, 0x7a6e6b66756c)), trips: m.n + 2*len(m.shift)}
	at := 0
	take := func(n int) int { at += n; return at - n }
	n, t, sh := m.n, s.trips, len(m.shift)
	s.next, s.prev, s.trip = take(n), take(n), take(n)
	s.head, s.tail, s.of, s.after, s.ahead, s.count, s.uses = take(t), take(t), take(t), take(t), take(t), take(t), take(t)
	s.used = take(t * m.mixes)
	s.sHead, s.sTail, s.sTrips = take(sh), take(sh), take(sh)
	s.free, s.absent = take(1), take(1)
	s.num = make([]int32, at)
	s.dur, s.extra, s.sum = 0, sh, 2*sh
	s.way = 2*sh + 1
	s.sec = make([]float64, 2*sh+1+n)
	s.looked, s.base, s.allowed = make([]int, t), make([]float64, t), make([]int32, t)
	for i := range n {
		s.num[s.trip+i] = none
	}
	for i := range t {
		s.num[s.after+i] = int32(i + 1) // the free list
	}
	s.num[s.after+t-1] = none
	for i := range sh {
		s.num[s.sHead+i], s.num[s.sTail+i] = none, none
	}
	s.num[s.absent] = int32(n)
	s.ruined = make([]int32, t)
	s.ready, s.done, s.latest = make([]float64, n), make([]float64, n), make([]float64, n)
	s.dirty = make([]bool, sh)
	s.tempUsed = make([]int32, m.mixes)
	s.empty = make([]bool, sh)
	s.dice = s.rng.Uint64() | 1
	s.bestValue = math.Inf(1)
	return s
}

func (s *state) set(at int, v int32) {
	if s.on {
		s.log = append(s.log, was{int32(at), s.num[at]})
	}
	s.num[at] = v
}

func (s *state) setSec(at int, v float64) {
	if s.on {
		s.lgf = append(s.lgf, wasSec{int32(at), s.sec[at]})
	}
	s.sec[at] = v
}

func (s *state) mark() { s.on, s.log, s.lgf = true, s.log[:0], s.lgf[:0] }

// takeBack takes all changes since mark back.
func (s *state) takeBack() {
	for i := len(s.log) - 1; i >= 0; i-- {
		s.num[s.log[i].at] = s.log[i].value
	}
	for i := len(s.lgf) - 1; i >= 0; i-- {
		s.sec[s.lgf[i].at] = s.lgf[i].value
	}
	for i := range s.dirty {
		s.dirty[i] = true
	}
	s.on = false
}

func (s *state) remember(value float64) {
	s.bestValue = value
	s.best = append(s.best[:0], s.num...)
}

func (s *state) restore() {
	if s.best != nil {
		copy(s.num, s.best)
	}
}

// value is what drafts are compared by: seconds, with what the weights make of the rest.
func (s *state) value() float64 {
	w := &s.m.d.Weights
	v := s.sec[s.sum] + float64(s.num[s.absent])*float64(w.Drop)
	for i := range s.m.shift {
		v += s.over(i, s.sec[s.dur+i]) + s.sec[s.extra+i]*float64(w.Leftover)
	}
	return v
}

// over is the price of a shift of so many seconds that ends late, waiting not counted.
func (s *state) over(shift int, dur float64) float64 {
	x := &s.m.shift[shift]
	if s.num[s.sTrips+shift] == 0 || math.IsInf(x.until, 1) {
		return 0
	}
	late := x.from + dur + float64(x.lunch.Length) - x.until
	if x.timed {
		s.timeShift(shift)
		late = s.finish(shift) - x.until
	}
	if late <= 0 {
		return 0
	}
	if x.hard {
		return late * s.m.d.Weights.Late
	}
	return late * s.m.d.Weights.Over
}

// in is the way to a node that begins a trip: from the trip before, or the shift's start.
func (s *state) in(t, shift, v int) float64 {
	x := &s.m.shift[shift]
	if s.isDry(t, shift) {
		return x.bare[v]
	}
	return s.from(&x.ways, s.num[s.ahead+t], v)
}

// from is the way over a fill point to a node after trip p, none for the shift's start.
func (s *state) from(x *ways, p int32, v int) float64 {
	if p == none {
		return x.first[v]
	}
	return x.ref[int(s.num[s.tail+int(p)])*s.m.n+v]
}

// to is the way from a node that ends a trip to trip q, none for the shift's end.
func (s *state) to(x *ways, v int, q int32) float64 {
	if q == none {
		return x.last[v]
	}
	return x.ref[v*s.m.n+int(s.num[s.head+int(q)])]
}

// dryUse is the use of a trip that goes out of what the tanks hold.
const dryUse = -2

func (s *state) isDry(t, _ int) bool { return s.num[s.uses+t] == dryUse }

// rinse is what changing from the use of one trip to that of the next costs; none stands for the start and for no next trip.
func (s *state) rinse(x *shiftModel, a, b int32) float64 {
	if b == none || b == dryUse {
		return 0
	}
	if a == none || a == dryUse {
		a = int32(len(x.uses))
	}
	return x.rinse[int(a)*len(x.uses)+int(b)]
}

// useOf is the use of a trip, none of none.
func (s *state) useOf(t int32) int32 {
	if t == none {
		return none
	}
	return s.num[s.uses+int(t)]
}

// lacks is what a trip's loads are below the least that their tanks may be filled for, in ticks.
func (s *state) lacks(x *shiftModel, use int32, used []int32) float64 {
	if use < 0 {
		return 0
	}
	sum := int32(0)
	for k, n := range used {
		if n > 0 {
			sum += max(0, x.uses[use].least[k]-n)
		}
	}
	return float64(sum)
}

// usedBy is the ticks of each mix on a trip.
func (s *state) usedBy(t int) []int32 {
	return s.num[s.used+t*s.m.mixes : s.used+(t+1)*s.m.mixes]
}

// holds reports whether a use holds what a trip uses and so many ticks more of a mix.
func (s *state) holds(x *shiftModel, use int32, used []int32, k, v int32) bool {
	if int(k) == s.m.mixes {
		return true
	}
	if use == dryUse {
		return used[k]+v <= x.dry[k]
	}
	u := &x.uses[use]
	if used[k]+v > u.hold[k] {
		return false
	}
	if x.load > 0 {
		mass := u.heel + x.mass[k]*float64(v)
		for i, n := range used {
			mass += x.mass[i] * float64(n)
		}
		return mass <= x.load*(1+1e-12)
	}
	return true
}

// useFor is the use under which a trip between two others holds what it uses and so much more, at the least rinsing, its own first; and the change in
// rinsing. It gives none when there is none.
func (s *state) useFor(x *shiftModel, t int, k, v int32) (int32, float64) {
	own, used := s.num[s.uses+t], s.usedBy(t)
	if s.holds(x, own, used, k, v) {
		return own, 0
	}
	if own == dryUse || len(x.uses) == 1 {
		return none, 0
	}
	a, b := s.useOf(s.num[s.ahead+t]), s.useOf(s.num[s.after+t])
	now := s.rinse(x, a, own) + s.rinse(x, own, b)
	best, bestCost := int32(none), never
	for u := range x.uses {
		fits := true
		for i, n := range used {
			fits = fits && n <= x.uses[u].hold[i]
		}
		if !fits || !s.holds(x, int32(u), used, k, v) {
			continue
		}
		if c := s.rinse(x, a, int32(u)) + s.rinse(x, int32(u), b); c < bestCost {
			best, bestCost = int32(u), c
		}
	}
	return best, bestCost - now
}
