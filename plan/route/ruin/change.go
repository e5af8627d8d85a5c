package ruin

// take takes a node out of its trip.
func (s *state) take(v int) {
	m := s.m
	t := int(s.num[s.trip+v])
	shift := int(s.num[s.of+t])
	x := &m.shift[shift]
	p, q := s.num[s.prev+v], s.num[s.next+v]
	before, after := s.num[s.ahead+t], s.num[s.after+t]
	delta := -m.work[v]
	if k := int(m.mix[v]); k < m.mixes {
		delta -= x.per * float64(m.vol[v])
	}
	s.lack(t, shift, m.mix[v], -m.vol[v])
	if p == none && q == none {
		delta += s.link(x, before, after) - s.in(t, shift, v) - s.to(&x.ways, v, after)
		use := s.num[s.uses+t]
		delta += s.rinse(x, s.useOf(before), s.useOf(after)) - s.rinse(x, s.useOf(before), use) - s.rinse(x, use, s.useOf(after))
		s.unlink(t, shift)
	} else {
		delta += s.joint(t, shift, p, q) - s.joint(t, shift, p, int32(v)) - s.joint(t, shift, int32(v), q)
		if p == none {
			s.set(s.head+t, q)
		} else {
			s.set(s.next+int(p), q)
		}
		if q == none {
			s.set(s.tail+t, p)
		} else {
			s.set(s.prev+int(q), p)
			if p != none {
				s.setSec(s.way+int(q), m.arc[int(p)*m.n+int(q)])
			}
		}
		s.set(s.count+t, s.num[s.count+t]-1)
	}
	s.set(s.trip+v, none)
	s.set(s.absent, s.num[s.absent]+1)
	s.spend(shift, delta)
}

// joint is the way from one node of a trip to the next, none for what comes before the first and after the last.
func (s *state) joint(t, shift int, a, b int32) float64 {
	switch {
	case a == none:
		return s.in(t, shift, int(b))
	case b == none:
		return s.to(&s.m.shift[shift].ways, int(a), s.num[s.after+t])
	}
	return s.m.arc[int(a)*s.m.n+int(b)]
}

// link is the way from one trip to another that come to follow each other; none for the shift's start and end.
func (s *state) link(x *shiftModel, a, b int32) float64 {
	switch {
	case a == none && b == none:
		return 0
	case b == none:
		return x.last[s.num[s.tail+int(a)]]
	}
	return s.from(&x.ways, a, int(s.num[s.head+int(b)]))
}

// spend adds seconds to a shift.
func (s *state) spend(shift int, delta float64) {
	s.setSec(s.dur+shift, s.sec[s.dur+shift]+delta)
	s.setSec(s.sum, s.sec[s.sum]+delta)
	s.dirty[shift] = true
}

// lack changes what a trip uses of a mix, and what its loads lack.
func (s *state) lack(t, shift int, k, v int32) {
	if int(k) == s.m.mixes {
		return
	}
	x := &s.m.shift[shift]
	before := s.lacks(x, s.num[s.uses+t], s.usedBy(t))
	s.set(s.used+t*s.m.mixes+int(k), s.usedBy(t)[k]+v)
	if after := s.lacks(x, s.num[s.uses+t], s.usedBy(t)); after != before {
		s.setSec(s.extra+shift, s.sec[s.extra+shift]+after-before)
	}
}

// unlink gives an empty trip back.
func (s *state) unlink(t, shift int) {
	a, b := s.num[s.ahead+t], s.num[s.after+t]
	if a == none {
		s.set(s.sHead+shift, b)
	} else {
		s.set(s.after+int(a), b)
	}
	if b == none {
		s.set(s.sTail+shift, a)
	} else {
		s.set(s.ahead+int(b), a)
	}
	s.set(s.sTrips+shift, s.num[s.sTrips+shift]-1)
	s.set(s.after+t, s.num[s.free])
	s.set(s.free, int32(t))
}

// found is a place for a node: in trip t after node p (none: first), or in a new trip of a shift after trip p; and what it costs.
type found struct {
	cost  float64
	shift int
	t     int // none: a new trip
	p     int32
	use   int32
}

// put puts a node where it was found to fit.
func (s *state) put(v int, f found) {
	m := s.m
	x := &m.shift[f.shift]
	t := f.t
	delta := m.work[v]
	if int(m.mix[v]) < m.mixes {
		delta += x.per * float64(m.vol[v])
	}
	if t == none {
		t = s.newTrip(f.shift, f.p, f.use)
		a, b := s.num[s.ahead+t], s.num[s.after+t]
		delta += s.rinse(x, s.useOf(a), f.use) + s.rinse(x, f.use, s.useOf(b)) - s.rinse(x, s.useOf(a), s.useOf(b))
		delta += s.in(t, f.shift, v) + s.to(&x.ways, v, b) - s.link(x, a, b)
		s.set(s.head+t, int32(v))
		s.set(s.tail+t, int32(v))
		s.set(s.prev+v, none)
		s.set(s.next+v, none)
		s.set(s.count+t, 1)
	} else {
		if own := s.num[s.uses+t]; own != f.use {
			a, b := s.useOf(s.num[s.ahead+t]), s.useOf(s.num[s.after+t])
			delta += s.rinse(x, a, f.use) + s.rinse(x, f.use, b) - s.rinse(x, a, own) - s.rinse(x, own, b)
			before := s.lacks(x, own, s.usedBy(t))
			s.set(s.uses+t, f.use)
			s.setSec(s.extra+f.shift, s.sec[s.extra+f.shift]+s.lacks(x, f.use, s.usedBy(t))-before)
		}
		p := f.p
		q := s.num[s.head+t]
		if p != none {
			q = s.num[s.next+int(p)]
		}
		delta += s.joint(t, f.shift, p, int32(v)) + s.joint(t, f.shift, int32(v), q) - s.joint(t, f.shift, p, q)
		s.set(s.prev+v, p)
		s.set(s.next+v, q)
		if p == none {
			s.set(s.head+t, int32(v))
		} else {
			s.set(s.next+int(p), int32(v))
			s.setSec(s.way+v, m.arc[int(p)*m.n+v])
		}
		if q == none {
			s.set(s.tail+t, int32(v))
		} else {
			s.set(s.prev+int(q), int32(v))
			s.setSec(s.way+int(q), m.arc[v*m.n+int(q)])
		}
		s.set(s.count+t, s.num[s.count+t]+1)
	}
	s.lack(t, f.shift, m.mix[v], m.vol[v])
	s.set(s.trip+v, int32(t))
	s.set(s.absent, s.num[s.absent]-1)
	s.spend(f.shift, delta)
}

// newTrip opens a trip of a shift after trip a, none: before all.
func (s *state) newTrip(shift int, a, use int32) int {
	t := int(s.num[s.free])
	s.set(s.free, s.num[s.after+t])
	b := s.num[s.sHead+shift]
	if a != none {
		b = s.num[s.after+int(a)]
		s.set(s.after+int(a), int32(t))
	} else {
		s.set(s.sHead+shift, int32(t))
	}
	if b != none {
		s.set(s.ahead+int(b), int32(t))
	} else {
		s.set(s.sTail+shift, int32(t))
	}
	s.set(s.ahead+t, a)
	s.set(s.after+t, b)
	s.set(s.of+t, int32(shift))
	s.set(s.uses+t, use)
	s.set(s.count+t, 0)
	for k := range s.m.mixes {
		s.set(s.used+t*s.m.mixes+k, 0)
	}
	s.set(s.sTrips+shift, s.num[s.sTrips+shift]+1)
	return t
}
