package ruin

import (
	"cmp"
	"slices"

	"tankful/plan/route"
)

// begin puts in what a draft has, and then all other nodes, the farthest first.
func (s *state) begin(start route.Draft) {
	for i := range s.dirty {
		s.dirty[i] = true
	}
	s.enter(start)
	s.out = s.out[:0]
	for v := range s.m.n {
		if s.num[s.trip+v] == none {
			s.out = append(s.out, int32(v))
		}
	}
	far := func(v int32) float64 {
		d := 0.0
		for i := range s.m.shift {
			d = max(d, s.m.shift[i].last[v])
		}
		return d
	}
	slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(far(b), far(a)) })
	for _, v := range s.out {
		if f, ok := s.find(int(v)); ok {
			s.put(int(v), f)
		}
	}
	s.remember(s.value())
}

// enter puts the trips of a draft in, as far as its stops are nodes of their own.
func (s *state) enter(start route.Draft) {
	node := make([]int, len(s.m.d.Stops))
	for i := range node {
		node[i] = none
	}
	for v, i := range s.m.stop {
		if node[i]--; node[i] == none-1 {
			node[i] = v
		} else {
			node[i] = none
		}
	}
	for shift, trips := range start {
		for _, t := range trips {
			use := s.useNamed(shift, t)
			a, first := s.num[s.sTail+shift], true
			for _, k := range t.Takes {
				v := node[k.Stop]
				if use == none || v < 0 || s.num[s.trip+v] != none || s.m.vol[v] != int32(k.Volume) {
					continue
				}
				if first {
					s.put(v, found{shift: shift, t: none, p: a, use: use})
					first = false
					continue
				}
				at := int(s.num[s.sTail+shift])
				if s.holds(&s.m.shift[shift], use, s.usedBy(at), s.m.mix[v], s.m.vol[v]) {
					s.put(v, found{shift: shift, t: at, p: s.num[s.tail+at], use: use})
				}
			}
		}
	}
}

// useNamed is the use that agrees with a trip's tanks.
func (s *state) useNamed(shift int, t route.Trip) int32 {
	if t.Fill == route.NoFill {
		if s.m.shift[shift].dry == nil {
			return none
		}
		return dryUse
	}
	for u := range s.m.shift[shift].uses {
		agrees := true
		for i, k := range t.Mixes {
			agrees = agrees && (k == route.NoMix || k == s.m.shift[shift].uses[u].mix[i])
		}
		if agrees {
			return int32(u)
		}
	}
	return none
}

// draft is the state in the day's own nouns.
func (s *state) draft() route.Draft {
	out := make(route.Draft, len(s.m.shift))
	for shift := range s.m.shift {
		for t := s.num[s.sHead+shift]; t != none; t = s.num[s.after+int(t)] {
			out[shift] = append(out[shift], s.tripOf(shift, int(t)))
		}
	}
	return out
}

func (s *state) tripOf(shift, t int) route.Trip {
	m := s.m
	x := &m.shift[shift]
	head := int(s.num[s.head+t])
	trip := route.Trip{Fill: route.NoFill}
	if !s.isDry(t, shift) {
		trip.Fill = int(x.fstF[head])
		if a := s.num[s.ahead+t]; a != none {
			trip.Fill = int(x.refF[int(s.num[s.tail+int(a)])*m.n+head])
		}
	}
	for v := int32(head); v != none; v = s.num[s.next+int(v)] {
		stop, vol := int(m.stop[v]), route.Ticks(m.vol[v])
		if k := len(trip.Takes); k > 0 && trip.Takes[k-1].Stop == stop {
			trip.Takes[k-1].Volume += vol
			continue
		}
		trip.Takes = append(trip.Takes, route.Take{Stop: stop, Volume: vol})
	}
	trip.Mixes = s.tanksOf(shift, t)
	return trip
}

// tanksOf is what each tank is filled with: of a use's tanks those that the trip needs.
func (s *state) tanksOf(shift, t int) []int {
	sh := &s.m.d.Shifts[shift]
	out := make([]int, len(sh.Tanks))
	for i := range out {
		out[i] = route.NoMix
	}
	for k, need := range s.usedBy(t) {
		if need == 0 {
			continue
		}
		var of []route.Vessel
		var at []int
		for i := range sh.Tanks {
			switch h := sh.Tanks[i].Held; {
			case s.isDry(t, shift):
				if h != nil && h.Mix == k {
					of, at = append(of, route.Vessel{Most: h.Left}), append(at, i)
				}
			case s.m.shift[shift].uses[s.num[s.uses+t]].mix[i] == k:
				of, at = append(of, route.Vessel{Most: sh.Tanks[i].Room(), Least: sh.Tanks[i].LeastLoad()}), append(at, i)
			}
		}
		shares, _ := route.Share(route.Ticks(need), of)
		for j, v := range shares {
			if v > 0 {
				out[at[j]] = k
			}
		}
	}
	return out
}
