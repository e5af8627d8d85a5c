package route

import (
	"math"

	"tankful/calc/unit"
)

// chunk is a stretch of one stop's mix between two places where a refill may come: at a stop's
// ends, after whole passes, and inside a pass only where one pass needs more than the tanks hold.
type chunk struct {
	stop     int
	from, to Ticks // of the stop's mix
}

// splitter cuts an order into legs at the least cost. Its buffers are reused.
type splitter struct {
	day    *Day
	holds  []Ticks // per mix: what its tanks hold together
	chunks []chunk
	cost   []unit.Time
	prev   []int
	fill   []int
	used   []Ticks
}

// fine lists the chunks of an order at every pass end.
func (s *splitter) fine(order []int) {
	s.chunks = s.chunks[:0]
	for _, i := range order {
		st := &s.day.Stops[i]
		at := Ticks(0)
		for _, p := range st.Passes {
			for rest := p; rest > 0; {
				n := min(rest, s.holds[st.Mix])
				s.chunks = append(s.chunks, chunk{i, at, at + n})
				at, rest = at+n, rest-n
			}
		}
	}
}

// coarse lists the chunks of an order with as few cuts inside stops as the tanks allow: the
// search compares orders by it.
func (s *splitter) coarse(order []int) {
	s.chunks = s.chunks[:0]
	for _, i := range order {
		st := &s.day.Stops[i]
		hold, start, at := s.holds[st.Mix], Ticks(0), Ticks(0)
		for _, p := range st.Passes {
			for rest := p; rest > 0; {
				n := min(rest, hold)
				if at+n-start > hold {
					s.chunks = append(s.chunks, chunk{i, start, at})
					start = at
				}
				at, rest = at+n, rest-n
			}
		}
		if at > start {
			s.chunks = append(s.chunks, chunk{i, start, at})
		}
	}
}

// detour is what a fill visit at f costs in driving and set-up when it comes before chunk p.
func (s *splitter) detour(p, f int) unit.Time {
	d, at := s.day, s.day.Fills[f].Place
	next := d.Stops[s.chunks[p].stop].Place
	if p == 0 {
		return d.Drive[d.Yard][at] + d.Drive[at][next]
	}
	last := d.Stops[s.chunks[p-1].stop].Place
	if s.chunks[p-1].stop == s.chunks[p].stop {
		return d.Drive[last][at] + d.Drive[at][next] + d.Stops[s.chunks[p].stop].SetUp
	}
	return d.Drive[last][at] + d.Drive[at][next] - d.Drive[last][next]
}

// split finds the cuts of least time for the chunks: a shortest path over the places where a
// refill may come. It is exact for the order and the chunks given. The time excludes the work, and counts an hour
// for each load below leastLoad.
func (s *splitter) split() unit.Time {
	n := len(s.chunks)
	s.cost = append(s.cost[:0], make([]unit.Time, n+1)...)
	s.prev = append(s.prev[:0], make([]int, n+1)...)
	s.fill = append(s.fill[:0], make([]int, n+1)...)
	for i := 1; i <= n; i++ {
		s.cost[i] = unit.Time(math.Inf(1))
	}
	for p := range n {
		for m := range s.used {
			s.used[m] = 0
		}
		total := Ticks(0)
		for q := p; q < n; q++ {
			c := s.chunks[q]
			m := s.day.Stops[c.stop].Mix
			s.used[m] += c.to - c.from
			if s.used[m] > s.holds[m] {
				break
			}
			total += c.to - c.from
			scraps := s.scraps()
			for f := range s.day.Fills {
				fp := &s.day.Fills[f]
				t := s.cost[p] + s.detour(p, f) + fp.HookUp + fp.PerTick*unit.Time(total) + scraps
				if t < s.cost[q+1]-1e-9*unit.Second {
					s.cost[q+1], s.prev[q+1], s.fill[q+1] = t, p, f
				}
			}
		}
	}
	return s.cost[n] + s.between()
}

// leastLoad is the volume below which a load is too small to measure products for; where it can
// be helped none is made.
const leastLoad Ticks = 10

// scraps is what the loads of a leg that are too small weigh in the choice of cuts.
func (s *splitter) scraps() unit.Time {
	t := unit.Time(0)
	for _, n := range s.used {
		if n > 0 && n < leastLoad {
			t += unit.Hour
		}
	}
	return t
}

// between is the driving from stop to stop and home, without fill visits.
func (s *splitter) between() unit.Time {
	d, t := s.day, unit.Time(0)
	for i := 1; i < len(s.chunks); i++ {
		t += d.Drive[d.Stops[s.chunks[i-1].stop].Place][d.Stops[s.chunks[i].stop].Place]
	}
	return t + d.Drive[d.Stops[s.chunks[len(s.chunks)-1].stop].Place][d.Yard]
}

// legs reads the cuts of the last split: chunk ranges and their fill points, in order.
func (s *splitter) legs() (from, to, fill []int) {
	for q := len(s.chunks); q > 0; q = s.prev[q] {
		from = append(from, s.prev[q])
		to = append(to, q)
		fill = append(fill, s.fill[q])
	}
	for i, j := 0, len(from)-1; i < j; i, j = i+1, j-1 {
		from[i], from[j] = from[j], from[i]
		to[i], to[j] = to[j], to[i]
		fill[i], fill[j] = fill[j], fill[i]
	}
	return from, to, fill
}
