package ruin

import (
	"cmp"
	"math"
	"slices"
)

// How much is taken out, after the paper: ten nodes on average, strings of at most ten.
const (
	meanOut    = 10.0
	longString = 10.0
)

// blink is how often a place is passed over, in 2^-32: one in a hundred.
const blink = 42949673

// ruin takes out strings of nodes near a random one, of trips near each other. Nodes in no trip go to the list too.
func (s *state) ruin() {
	m := s.m
	s.out = s.out[:0]
	if s.num[s.absent] > 0 {
		for v := range m.n {
			if s.num[s.trip+v] == none {
				s.out = append(s.out, int32(v))
			}
		}
	}
	trips := 0
	for i := range m.shift {
		trips += int(s.num[s.sTrips+i])
	}
	if trips == 0 {
		return
	}
	mean := float64(m.n-len(s.out)) / float64(trips)
	long := math.Min(longString, mean)
	most := 4*meanOut/(1+long) - 1
	k := int(s.rng.Float64()*most + 1)
	seed := s.rng.IntN(m.n)
	s.stamp++
	if s.string(seed, long) {
		k--
	}
	for _, v := range m.near[seed] {
		if k <= 0 {
			break
		}
		if s.string(int(v), long) {
			k--
		}
	}
}

// string takes a string of nodes with v in it out of its trip, once a round; it may leave some in its middle.
func (s *state) string(v int, long float64) bool {
	t := s.num[s.trip+v]
	if t == none || s.ruined[t] == s.stamp {
		return false
	}
	s.ruined[t] = s.stamp
	n := int(s.num[s.count+int(t)])
	l := min(int(s.rng.Float64()*math.Min(float64(n), long)+1), n)
	keep := 0
	if l > 1 && l < n && s.rng.Float64() < 0.5 {
		keep = 1
		for l+keep < n && s.rng.Float64() > 0.01 {
			keep++
		}
	}
	s.scratch = s.scratch[:0]
	at := 0
	for u := s.num[s.head+int(t)]; u != none; u = s.num[s.next+int(u)] {
		if int(u) == v {
			at = len(s.scratch)
		}
		s.scratch = append(s.scratch, u)
	}
	all := l + keep
	lo, hi := max(0, at-all+1), min(at, n-all)
	from := lo
	if hi > lo {
		from += s.rng.IntN(hi - lo + 1)
	}
	gap := from + all
	if keep > 0 {
		gap = from + s.rng.IntN(l+1)
	}
	for i := from; i < from+all; i++ {
		if i >= gap && i < gap+keep {
			continue
		}
		u := s.scratch[i]
		s.take(int(u))
		s.out = append(s.out, u)
	}
	return true
}

// recreate puts the nodes that are out back, one by one, each where it costs least.
func (s *state) recreate() {
	s.sortOut()
	for _, v := range s.out {
		if f, ok := s.find(int(v)); ok {
			s.put(int(v), f)
		}
	}
}

// sortOut puts the nodes that are out in the order of going back: at random, the largest first, the farthest or the nearest first, the one with the narrowest window first.
func (s *state) sortOut() {
	m := s.m
	far := func(v int32) float64 {
		best := math.Inf(1)
		for i := range m.shift {
			best = min(best, m.shift[i].first[v])
			if i > 0 && m.shift[i].like == 0 {
				break
			}
		}
		return best
	}
	s.rng.Shuffle(len(s.out), func(a, b int) { s.out[a], s.out[b] = s.out[b], s.out[a] })
	kinds := 11
	if m.anyTimed() {
		kinds = 15
	}
	switch w := s.rng.IntN(kinds); {
	case w < 4:
	case w < 8:
		slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(m.vol[b], m.vol[a]) })
	case w < 10:
		slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(far(b), far(a)) })
	case w < 11:
		slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(far(a), far(b)) })
	case w < 13:
		slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(m.close[a]-m.open[a], m.close[b]-m.open[b]) })
	default:
		slices.SortStableFunc(s.out, func(a, b int32) int { return cmp.Compare(m.close[a], m.close[b]) })
	}
}

func (m *model) anyTimed() bool {
	for i := range m.shift {
		if m.shift[i].timed {
			return true
		}
	}
	return false
}

// granular is the number of nodes over which places are looked for beside a node's neighbours only.
const (
	granular = 5000
	beside   = 100
)

// find looks for the place of least cost for a node.
func (s *state) find(v int) (found, bool) {
	best := found{cost: math.Inf(1)}
	if s.m.n > granular {
		s.findNear(v, &best)
	} else {
		for i := range s.m.shift {
			if !s.m.shift[i].may[v] {
				continue
			}
			for t := s.num[s.sHead+i]; t != none; t = s.num[s.after+int(t)] {
				s.findIn(v, int(t), i, &best)
			}
		}
	}
	s.findNew(v, &best)
	if math.IsInf(best.cost, 1) && s.m.n > granular { // none beside a neighbour
		for i := range s.m.shift {
			if s.m.shift[i].may[v] {
				for t := s.num[s.sHead+i]; t != none; t = s.num[s.after+int(t)] {
					s.findIn(v, int(t), i, &best)
				}
			}
		}
	}
	return best, !math.IsInf(best.cost, 1)
}

// findIn tries all places in one trip.
func (s *state) findIn(v, t, shift int, best *found) {
	m := s.m
	x := &m.shift[shift]
	use, rinse := s.useFor(x, t, m.mix[v], m.vol[v])
	if use == none || rinse >= never/2 {
		return
	}
	base := rinse + s.more(x, t, use, v)
	if base >= best.cost {
		return
	}
	p := int32(none)
	q := s.num[s.head+t]
	n := m.n
	row, col := m.arc[v*n:v*n+n], m.arcT[v*n:v*n+n]
	next, way := s.num[s.next:s.next+n], s.sec[s.way:s.way+n]
	for {
		var c float64
		switch {
		case p != none && q != none:
			c = col[p] + row[q] - way[q]
		case p == none:
			c = s.in(t, shift, v) + row[q] - s.in(t, shift, int(q))
		default:
			b := s.num[s.after+t]
			c = col[p] + s.to(&x.ways, v, b) - s.to(&x.ways, int(p), b)
		}
		if c += base; c < best.cost {
			s.offer(v, found{c, shift, t, p, use}, q, best)
		}
		if q == none {
			return
		}
		p, q = q, next[q]
	}
}

// findNear tries the places beside the nearest nodes.
func (s *state) findNear(v int, best *found) {
	m := s.m
	n := m.n
	row, col := m.arc[v*n:v*n+n], m.arcT[v*n:v*n+n]
	next, prev, trip, way := s.num[s.next:s.next+n], s.num[s.prev:s.prev+n], s.num[s.trip:s.trip+n], s.sec[s.way:s.way+n]
	s.look++
	tried := 0
	for _, u := range m.near[v] {
		t := trip[u]
		if t == none {
			continue
		}
		if s.looked[t] != s.look {
			s.judge(v, int(t))
		}
		base := s.base[t]
		if base >= best.cost {
			continue
		}
		if tried++; tried > beside {
			break
		}
		shift := int(s.num[s.of+int(t)])
		p, q := prev[u], next[u]
		c := base + row[u]
		if p != none {
			c += col[p] - way[u]
		} else {
			c += s.in(int(t), shift, v) - s.in(int(t), shift, int(u))
		}
		if c < best.cost {
			s.offer(v, found{c, shift, int(t), p, s.allowed[t]}, u, best)
		}
		c = base + col[u]
		if q != none {
			c += row[q] - way[q]
		} else {
			b := s.num[s.after+int(t)]
			c += s.to(&m.shift[shift].ways, v, b) - s.to(&m.shift[shift].ways, int(u), b)
		}
		if c < best.cost {
			s.offer(v, found{c, shift, int(t), u, s.allowed[t]}, q, best)
		}
	}
}

// judge writes down under which use a trip takes a node, and what that costs besides the way.
func (s *state) judge(v, t int) {
	m := s.m
	s.looked[t], s.base[t] = s.look, math.Inf(1)
	x := &m.shift[s.num[s.of+t]]
	if !x.may[v] {
		return
	}
	use, rinse := s.useFor(x, t, m.mix[v], m.vol[v])
	if use == none || rinse >= never/2 {
		return
	}
	s.base[t], s.allowed[t] = rinse+s.more(x, t, use, v), use
}

// more is what a node makes of the lack to the least volumes of a trip, priced.
func (s *state) more(x *shiftModel, t int, use int32, v int) float64 {
	k := int(s.m.mix[v])
	if use < 0 || k == s.m.mixes || s.m.d.Weights.Leftover == 0 {
		return 0
	}
	used := s.usedBy(t)
	now := s.lacks(x, s.num[s.uses+t], used)
	copy(s.tempUsed, used)
	s.tempUsed[k] += s.m.vol[v]
	return (s.lacks(x, use, s.tempUsed) - now) * float64(s.m.d.Weights.Leftover)
}

// findNew tries trips of its own in every shift.
func (s *state) findNew(v int, best *found) {
	m := s.m
	for i := range s.empty {
		s.empty[i] = false
	}
	for i := range m.shift {
		x := &m.shift[i]
		if !x.may[v] || int(s.num[s.sTrips+i]) >= x.legs {
			continue
		}
		if s.num[s.sTrips+i] == 0 {
			if s.empty[x.like] {
				continue
			}
			s.empty[x.like] = true
		}
		s.findTrip(v, i, best)
	}
}

// findTrip tries a trip of its own at every place between the trips of a shift; at the end only, where it does not matter.
func (s *state) findTrip(v, shift int, best *found) {
	m := s.m
	x := &m.shift[shift]
	k, vol := m.mix[v], m.vol[v]
	load := float64(m.d.Weights.Load - m.d.LoadPrice()) // where it weighs, the ways over fill points have it
	firstTrip := s.num[s.sHead+shift]
	if x.dry != nil && (firstTrip == none || s.num[s.uses+int(firstTrip)] != dryUse) && (int(k) == m.mixes || vol <= x.dry[k]) {
		c := x.bare[v]
		if firstTrip == none {
			c += x.last[v]
		} else {
			c += s.from2(x, v, firstTrip) - s.link(x, none, firstTrip)
		}
		if c < best.cost {
			s.offer(v, found{c, shift, none, none, dryUse}, none, best)
		}
	}
	if int(k) == m.mixes {
		return // nothing to fill
	}
	a := int32(none)
	if x.apart { // where a trip comes does not matter
		a = s.num[s.sTail+shift]
	}
	for {
		b := firstTrip
		if a != none {
			b = s.num[s.after+int(a)]
		}
		if b == none || s.num[s.uses+int(b)] != dryUse {
			s.tripBetween(v, shift, a, b, load, best)
		}
		if b == none {
			return
		}
		a = b
	}
}

// from2 is the way from node v, the last of a trip, over a fill point to trip b.
func (s *state) from2(x *shiftModel, v int, b int32) float64 {
	return x.ref[v*s.m.n+int(s.num[s.head+int(b)])]
}

// tripBetween prices a trip of its own between trips a and b.
func (s *state) tripBetween(v, shift int, a, b int32, load float64, best *found) {
	m := s.m
	x := &m.shift[shift]
	c := s.from(&x.ways, a, v) + s.to(&x.ways, v, b) - s.link(x, a, b) + load
	if c >= best.cost {
		return
	}
	ua, ub := s.useOf(a), s.useOf(b)
	now := s.rinse(x, ua, ub)
	use, rinse := int32(none), never/2
	for u := range x.uses {
		if x.uses[u].hold[m.mix[v]] < m.vol[v] {
			continue
		}
		r := s.rinse(x, ua, int32(u)) + s.rinse(x, int32(u), ub) - now
		r += float64(max(0, x.uses[u].least[m.mix[v]]-m.vol[v])) * float64(m.d.Weights.Leftover)
		if r < rinse {
			use, rinse = int32(u), r
		}
	}
	if use == none {
		return
	}
	if c += rinse; c < best.cost {
		s.offer(v, found{c, shift, none, a, use}, none, best)
	}
}

// offer takes a place that is better than the best so far, unless it is passed over, breaks the order of ranks, or the time does not allow it.
func (s *state) offer(v int, f found, q int32, best *found) {
	s.dice ^= s.dice << 13
	s.dice ^= s.dice >> 7
	s.dice ^= s.dice << 17
	if uint32(s.dice>>32) < blink {
		return
	}
	m := s.m
	if m.ranks && !s.ranked(v, f, q) {
		return
	}
	x := &m.shift[f.shift]
	if x.timed || !isInf(x.until) {
		more, ok := s.later(v, f, q)
		if !ok || f.cost+more >= best.cost {
			return
		}
		f.cost += more
	}
	*best = f
}

// ranked reports whether a node's neighbours in the shift are of no higher and no lower rank.
func (s *state) ranked(v int, f found, q int32) bool {
	p := f.p
	var before, after int32 = none, none // trips
	if f.t == none {
		before = f.p
		p, q = none, none
		after = s.num[s.sHead+f.shift]
		if before != none {
			after = s.num[s.after+int(before)]
		}
	} else {
		before, after = s.num[s.ahead+f.t], s.num[s.after+f.t]
	}
	if p == none && before != none {
		p = s.num[s.tail+int(before)]
	}
	if q == none && after != none {
		q = s.num[s.head+int(after)]
	}
	r := s.m.rank
	return (p == none || r[p] <= r[v]) && (q == none || r[v] <= r[q])
}

func isInf(x float64) bool { return math.IsInf(x, 1) }
