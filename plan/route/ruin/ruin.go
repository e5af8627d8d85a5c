// Package ruin searches for good drafts of a day: parts of a plan are taken out and put back at least cost, over and over,
// and what is worse is kept with a probability that falls (Christiaens and Vanden Berghe, Slack Induction by String Removals
// for Vehicle Routing Problems, Transportation Science 54(2), 2020; their parameters from memory).
//
// It knows shifts of several trips, what tanks hold of each mix, fill points, rinses, windows, lunch, overtime, ranks and stops that
// must not be split. It estimates a few things that route.Day.Clock reckons exactly (which fill point is quickest at
// which volume, how a mix is dealt to tanks), and leaves cutting stops at pass ends to package cut: stops are put on trips
// whole, or by the tick where all passes are of one tick. The same day and Options give the same draft on any machine.
package ruin

import (
	"math"

	"tankful/plan/route"
)

// Options are how long and from where to search.
type Options struct {
	Seed uint64
	// Trials is how many times the plan is ruined and recreated.
	Trials int
	// Start is a draft to begin with; nil begins with none.
	Start route.Draft
}

// Search gives the best draft found. Every trip's mixes are those of tanks that hold its volume; stops that found no place are in no trip. A stop that needs more than a
// trip holds is spread over trips of full tanks.
func Search(d *route.Day, opt Options) route.Draft {
	m := newModel(d)
	if m.n == 0 {
		return make(route.Draft, len(d.Shifts))
	}
	s := newState(m, opt.Seed)
	s.begin(opt.Start)
	if m.isPlain() {
		p := newPlain(m, opt.Seed)
		p.read(s)
		anneal(p, m, opt.Trials)
		s = newState(m, opt.Seed)
		p.write(s)
		return s.draft()
	}
	anneal(s, m, opt.Trials)
	s.restore()
	return s.draft()
}

// annealed is a draft that is changed trial by trial.
type annealed interface {
	value() float64
	chance() float64
	mark()
	ruin()
	recreate()
	keep(value float64) // and remember it when it is the best
	takeBack()
}

// anneal ruins and recreates, and keeps what is better, or worse with a probability that falls.
func anneal(a annealed, m *model, trials int) {
	hot, cold := m.heat()
	fall := math.Pow(cold/hot, 1/math.Max(1, float64(trials)))
	temp := hot
	for range trials {
		before := a.value()
		a.mark()
		a.ruin()
		a.recreate()
		if after := a.value(); after < before-temp*math.Log(a.chance()) {
			a.keep(after)
		} else {
			a.takeBack()
		}
		temp *= fall
	}
}

func (s *state) chance() float64 { return s.rng.Float64() }

func (s *state) keep(value float64) {
	if value < s.bestValue-1e-9 {
		s.remember(value)
	}
}
