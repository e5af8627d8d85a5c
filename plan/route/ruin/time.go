package ruin

import (
	"math"
)

// clock is a shift's clock as the search runs it: like route.Day.Clock, but over the fill points that are nearest.
type clock struct {
	x     *shiftModel
	now   float64
	eaten bool
	late  float64
}

// pause takes the lunch when its time has come, before something that is to begin at t or later.
func (c *clock) pause() {
	if !c.eaten && c.now >= float64(c.x.lunch.From) {
		c.eaten = true
		c.now += float64(c.x.lunch.Length)
	}
}

func (c *clock) wait(t float64) {
	if from := math.Max(c.now, float64(c.x.lunch.From)); !c.eaten && from < t {
		c.now = from
		c.pause()
	}
	c.now = math.Max(c.now, t)
}

// timeShift runs a shift's clock and works out by node when work begins, when it is done, and the latest it may begin so that all after it is in time.
func (s *state) timeShift(shift int) {
	if !s.dirty[shift] {
		return
	}
	s.dirty[shift] = false
	c := s.clock(shift)
	s.run(&c, shift, func(v int, begin, done float64) { s.ready[v], s.done[v] = begin, done })
	x := &s.m.shift[shift]
	m := s.m
	limit := math.Inf(1)
	if x.hard {
		limit = x.until
	}
	for t := s.num[s.sTail+shift]; t != none; t = s.num[s.ahead+int(t)] {
		for v := s.num[s.tail+int(t)]; v != none; v = s.num[s.prev+int(v)] {
			q := s.num[s.next+int(v)]
			way := s.takes(int(t), shift, v, q)
			if b := s.num[s.after+int(t)]; q == none && b != none {
				way += s.load(x, int(b))
			}
			l := limit - way - m.work[v] // SetUp of the next is in the way: it begins when that is over, see begin
			limit = math.Min(l, m.close[v]+s.setUp(int(v)))
			s.latest[v] = limit
		}
	}
}

// takes is what the way of joint takes by the clock.
func (s *state) takes(t, shift int, a, b int32) float64 {
	w := &s.m.shift[shift].timeOf
	switch {
	case a == none && s.isDry(t, shift):
		return w.bare[b]
	case a == none:
		return s.from(w, s.num[s.ahead+t], int(b))
	case b == none:
		return s.to(w, int(a), s.num[s.after+t])
	}
	return s.m.arcC[int(a)*s.m.n+int(b)]
}

// setUp of a node's stop: a node begins, here, when that is done, since arcs hold it.
func (s *state) setUp(v int) float64 { return float64(s.m.d.Stops[s.m.stop[v]].SetUp) }

// load is the time that filling for a trip takes besides hooking up.
func (s *state) load(x *shiftModel, t int) float64 {
	n := int32(0)
	for _, u := range s.usedBy(t) {
		n += u
	}
	return x.per * float64(n)
}

func (s *state) clock(shift int) clock {
	x := &s.m.shift[shift]
	return clock{x: x, now: x.from, eaten: x.lunch.Length == 0}
}

// run runs the clock over a shift's trips and tells when each node begins and is done.
func (s *state) run(c *clock, shift int, each func(v int, begin, done float64)) {
	for t := s.num[s.sHead+shift]; t != none; t = s.num[s.after+int(t)] {
		for v := s.num[s.head+int(t)]; v != none; v = s.num[s.next+int(v)] {
			s.visit(c, int(t), shift, s.num[s.prev+int(v)], int(v), 0)
			each(int(v), c.now, c.now+s.m.work[v])
			c.now += s.m.work[v]
		}
	}
	if t := s.num[s.sTail+shift]; t != none {
		c.now += c.x.timeOf.last[s.num[s.tail+int(t)]]
	}
}

// visit brings the clock to where work at v begins, its set-up done, coming from p in trip t; more is ticks that the trip takes besides.
func (s *state) visit(c *clock, t, shift int, p int32, v int, more float64) {
	c.pause()
	if p == none {
		s.fill(c, t, v, shift, more)
	} else {
		s.arrive(c, s.m.arcC[int(p)*s.m.n+v], v, s.m.d.Stops[s.m.stop[p]].Site == s.m.d.Stops[s.m.stop[v]].Site)
	}
}

// fill drives over the fill point to v, as the first of trip t.
func (s *state) fill(c *clock, t, v, shift int, more float64) {
	before := int32(none)
	load := more * c.x.per
	if t != none {
		before = s.num[s.ahead+t]
		load += s.load(c.x, t)
		if s.isDry(t, shift) {
			s.arrive(c, c.x.timeOf.bare[v], v, false)
			return
		}
	}
	s.fillAfter(c, before, v, load)
}

// fillAfter drives over the fill point to v, the first of a trip after another.
func (s *state) fillAfter(c *clock, before int32, v int, load float64) {
	m := s.m
	way := s.from(&c.x.timeOf, before, v)
	f := c.x.fstF[v]
	from := 0.0
	if before == none {
		if f >= 0 {
			from = c.x.timeOf.first[v] - s.onward(int(f), v)
		}
	} else {
		tail := int(s.num[s.tail+int(before)])
		if f = c.x.refF[tail*m.n+v]; f >= 0 {
			from = c.x.timeOf.ref[tail*m.n+v] - s.onward(int(f), v)
		}
	}
	if f < 0 {
		c.late += never
		return
	}
	fp := &m.d.Fills[f]
	c.now += from - float64(fp.HookUp)
	c.wait(float64(fp.Open))
	if fp.Close > 0 && c.now > float64(fp.Close) {
		c.late += c.now - float64(fp.Close)
	}
	c.now += float64(fp.HookUp) + load
	c.pause()
	s.arrive(c, way-from, v, false)
}

// onward is the way from a fill point to a node, its set-up included.
func (s *state) onward(f, v int) float64 {
	st := &s.m.d.Stops[s.m.stop[v]]
	return float64(s.m.d.Drive[s.m.d.Fills[f].Place][st.Place] + st.SetUp)
}

// arrive drives a way that holds the set-up, waits for the window and sets up.
func (s *state) arrive(c *clock, way float64, v int, joined bool) {
	if joined {
		c.now += way
		return
	}
	set := s.setUp(v)
	c.now += way - set
	c.wait(s.m.open[v])
	if c.now > s.m.close[v] {
		c.late += c.now - s.m.close[v]
	}
	c.now += set
}

// finish is the clock at the end of a shift.
func (s *state) finish(shift int) float64 {
	c := s.clock(shift)
	s.run(&c, shift, func(int, float64, float64) {})
	return c.now
}

// later reports whether a node may go to a place without anything coming too late, and what it adds in overtime.
func (s *state) later(v int, f found, q int32) (more float64, ok bool) {
	x := &s.m.shift[f.shift]
	w := &s.m.d.Weights
	if !x.timed {
		now := s.over(f.shift, s.sec[s.dur+f.shift])
		add := f.cost + s.m.work[v]
		if k := int(s.m.mix[v]); k < s.m.mixes {
			add += x.per * float64(s.m.vol[v])
		}
		end := x.from + s.sec[s.dur+f.shift] + add + float64(x.lunch.Length)
		return math.Max(0, end-x.until)*w.Over - now, true
	}
	s.timeShift(f.shift)
	if !x.walk && f.t != none {
		return s.squeeze(v, f, q)
	}
	return s.replay(v, f, q)
}

// squeeze asks the times of the neighbours only: right where filling takes no time and there is no lunch.
func (s *state) squeeze(v int, f found, q int32) (more float64, ok bool) {
	m := s.m
	x := &m.shift[f.shift]
	c := clock{x: x, eaten: true}
	if f.p == none {
		if b := s.num[s.ahead+f.t]; b != none {
			c.now = s.done[s.num[s.tail+int(b)]]
		} else {
			c.now = x.from
		}
		s.fill(&c, f.t, v, f.shift, 0)
	} else {
		c.now = s.done[f.p]
		s.visit(&c, f.t, f.shift, f.p, v, 0)
	}
	if c.late > 0 {
		return 0, false
	}
	c.now += m.work[v]
	after := s.num[s.after+f.t]
	switch {
	case q != none:
		s.visit(&c, f.t, f.shift, int32(v), int(q), 0)
	case after == none:
		c.now += x.timeOf.last[v]
		return 0, !x.hard || c.now <= x.until+1e-9
	default:
		q = s.num[s.head+int(after)]
		c.now += s.to(&x.timeOf, v, after) - s.setUp(int(q))
		c.now = math.Max(c.now, m.open[q]) + s.setUp(int(q))
	}
	return 0, c.late == 0 && c.now <= s.latest[q]+1e-9
}

// replay runs the whole shift with the node in its place.
func (s *state) replay(v int, f found, q int32) (more float64, ok bool) {
	m := s.m
	x := &m.shift[f.shift]
	w := &m.d.Weights
	c := s.clock(f.shift)
	vol := 0.0
	if int(m.mix[v]) < m.mixes {
		vol = float64(m.vol[v])
	}
	placed := false
	own := func(before int32) { // the node as a trip of its own
		c.pause()
		if f.use == dryUse {
			s.arrive(&c, x.timeOf.bare[v], v, false)
		} else {
			s.fillAfter(&c, before, v, vol*x.per)
		}
		c.now += m.work[v]
		placed = true
	}
	if f.t == none && f.p == none {
		own(none)
	}
	for t := s.num[s.sHead+f.shift]; t != none; t = s.num[s.after+int(t)] {
		p := int32(none)
		add := 0.0
		if int(t) == f.t {
			add = vol
		}
		for u := s.num[s.head+int(t)]; u != none; u = s.num[s.next+int(u)] {
			if int(t) == f.t && p == f.p && !placed {
				s.visit(&c, int(t), f.shift, p, v, add)
				c.now += m.work[v]
				placed = true
				p = int32(v)
			}
			if p == none && f.t == none && placed && s.num[s.ahead+int(t)] == f.p {
				s.afterOwn(&c, v, int(t), int(u), f.shift)
			} else {
				s.visit(&c, int(t), f.shift, p, int(u), add)
			}
			c.now += m.work[u]
			p = u
		}
		if int(t) == f.t && !placed {
			s.visit(&c, int(t), f.shift, p, v, add)
			c.now += m.work[v]
			placed = true
		}
		if f.t == none && t == f.p {
			own(t)
		}
		if c.late > 0 {
			return 0, false
		}
	}
	lastNode := v
	if t := s.num[s.sTail+f.shift]; t != none && !(f.t == none && t == f.p) && !(int(t) == f.t && q == none) {
		lastNode = int(s.num[s.tail+int(t)])
	}
	c.now += x.timeOf.last[lastNode]
	if c.late > 0 || x.hard && c.now > x.until+1e-9 {
		return 0, false
	}
	now := s.over(f.shift, s.sec[s.dur+f.shift])
	return math.Max(0, c.now-x.until)*w.Over - now, true
}

// afterOwn drives from node v, a trip of its own, over a fill point to u, the first of trip t.
func (s *state) afterOwn(c *clock, v, t, u, shift int) {
	m := s.m
	f := c.x.refF[v*m.n+u]
	if f < 0 {
		c.late += never
		return
	}
	fp := &m.d.Fills[f]
	c.pause()
	c.now += c.x.timeOf.ref[v*m.n+u] - s.onward(int(f), u) - float64(fp.HookUp)
	c.wait(float64(fp.Open))
	if fp.Close > 0 && c.now > float64(fp.Close) {
		c.late += c.now - float64(fp.Close)
	}
	c.now += float64(fp.HookUp) + s.load(c.x, t)
	c.pause()
	s.arrive(c, s.onward(int(f), u), u, false)
}
