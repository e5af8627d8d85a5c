package pass

import (
	"math"
	"slices"
)

// screen counts the passes of a region for one direction after another, quickly: the passes of a strip are
// the stretches that its turf throws on the strip's direction. It knows nothing of lines that bend or
// break, so that its figure is what a direction costs at least, but for turf sprayed from the pass beside it.
type screen struct {
	swath, turn float64
	even        bool
	// of the region
	region *region
	hull   [][2]float64
	flick  float64
	// of the direction
	ends   []float64 // u and v of the edges' starts and ends, four an edge
	lo, hi float64
	// of the offset
	first    []int32 // where the edges of each strip begin in inStrip
	inStrip  []int32
	from, to []float64 // where stretches begin and end
	low, top []float64 // where the strip's borders cross edges

	work int // edges looked at so far
}

// hair is how thin turf must be to decide nothing: vertices lie on the borders of strips up to rounding, and what is
// thinner than this neither makes a pass nor joins two.
const hair = 1e-3

// load takes a region.
func (s *screen) load(r *region, hull [][2]float64) {
	s.region, s.hull = r, hull
	s.flick = min(mostFlick, r.area*flickShare)
}

// breadth is the region's extent across the direction.
func breadth(hull [][2]float64, a axis) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range hull {
		_, v := a.to(p[0], p[1])
		lo, hi = min(lo, v), max(hi, v)
	}
	return hi - lo
}

// strips is how many strips of the swath a breadth takes.
func strips(breadth, swath float64) int {
	return max(int(math.Ceil((breadth-fitSlack)/swath)), 1)
}

// least is what the region costs at least in a direction: a pass a strip, since it is connected, and its area.
func (s *screen) least(a axis) float64 {
	return float64(strips(breadth(s.hull, a), s.swath))*s.turn + s.region.area/s.swath
}

// face turns the region's edges into the direction's axes.
func (s *screen) face(a axis) {
	s.ends = s.ends[:0]
	s.lo, s.hi = math.Inf(1), math.Inf(-1)
	for i := range s.region.edges {
		e := &s.region.edges[i]
		ua, va := a.to(e.ax, e.ay)
		ub, vb := a.to(e.bx, e.by)
		s.ends = append(s.ends, ua, va, ub, vb)
		s.lo, s.hi = min(s.lo, va), max(s.hi, va)
	}
}

// cost is the turn cost of the passes and their length for an offset of the strips, +Inf once it can not come below limit.
func (s *screen) cost(offset, limit float64) float64 {
	f := newFrame(s.lo, s.hi, s.swath, offset, s.even)
	s.deal(f)
	total := 0.0
	for k := range f.n {
		lo, hi := f.border(k)+hair, f.border(k+1)-hair
		if k == 0 {
			lo = f.v - fitSlack
		}
		if k == f.n-1 {
			hi += hair + fitSlack
		}
		s.collect(s.inStrip[s.first[k]:s.first[k+1]], lo, hi)
		total += s.stretches(k, lo, hi)
		if total+float64(f.n-k-1)*s.turn >= limit {
			return math.Inf(1)
		}
	}
	return total
}

// deal sorts the edges into the strips that they reach into.
func (s *screen) deal(f frame) {
	s.first = append(s.first[:0], make([]int32, f.n+2)...)
	reach := func(i int) (from, to int) {
		a, b := s.ends[4*i+1], s.ends[4*i+3]
		if a > b {
			a, b = b, a
		}
		return f.strip(a - 2*hair), f.strip(b + 2*hair)
	}
	n := len(s.ends) / 4
	for i := range n {
		for k, to := reach(i); k <= to; k++ {
			s.first[k+2]++
		}
	}
	for k := 2; k < len(s.first); k++ {
		s.first[k] += s.first[k-1]
	}
	all := int(s.first[f.n+1])
	s.work += all
	s.inStrip = slices.Grow(s.inStrip[:0], all)[:all]
	for i := range n { // first[k+1] moves from the begin of strip k to its end
		for k, to := reach(i); k <= to; k++ {
			s.inStrip[s.first[k+1]] = int32(i)
			s.first[k+1]++
		}
	}
}

// collect notes the stretches that a strip's edges and borders throw on its direction.
func (s *screen) collect(edges []int32, lo, hi float64) {
	s.from, s.to, s.low, s.top = s.from[:0], s.to[:0], s.low[:0], s.top[:0]
	for _, i := range edges {
		e := s.ends[4*i : 4*i+4]
		ua, va, ub, vb := e[0], e[1], e[2], e[3]
		if (va <= lo) != (vb <= lo) {
			s.low = append(s.low, ua+(lo-va)/(vb-va)*(ub-ua))
		}
		if (va <= hi) != (vb <= hi) {
			s.top = append(s.top, ua+(hi-va)/(vb-va)*(ub-ua))
		}
		if va <= lo && vb <= lo || va >= hi && vb >= hi {
			continue
		}
		u0, _, u1, _ := clip(ua, va, ub, vb, lo, hi)
		s.from, s.to = append(s.from, min(u0, u1)), append(s.to, max(u0, u1))
	}
	ascending(s.low)
	ascending(s.top)
	for _, border := range [][]float64{s.low, s.top} { // turf lies between the first crossing and the second, and so on
		for i := 0; i+1 < len(border); i += 2 {
			s.from, s.to = append(s.from, border[i]), append(s.to, border[i+1])
		}
	}
	ascending(s.from)
	ascending(s.to)
}

// stretches is the cost of the strip's passes. Begins and ends are sorted apart: where as many have ended as have begun
// before the next begins, a pass ends.
func (s *screen) stretches(k int, lo, hi float64) float64 {
	total := 0.0
	for i := 0; i < len(s.from); {
		start := s.from[i]
		for i++; i < len(s.from) && s.from[i] <= s.to[i-1]+nearby; i++ {
		}
		l := s.to[i-1] - start
		if l < s.swath && s.little(k, start, s.to[i-1], lo, hi) {
			continue
		}
		total += s.turn + l
	}
	return total
}

// little reports whether the strip's turf between u0 and u1, which is bounded by nothing there, is too small for a pass.
func (s *screen) little(k int, u0, u1, lo, hi float64) bool {
	a := 0.0
	for i := 0; i+1 < len(s.top); i += 2 {
		if s.top[i] >= u0-seam && s.top[i+1] <= u1+seam {
			a += (s.top[i+1] - s.top[i]) * (hi - lo)
		}
	}
	for _, i := range s.inStrip[s.first[k]:s.first[k+1]] {
		e := s.ends[4*i : 4*i+4]
		ua, va, ub, vb := e[0], e[1], e[2], e[3]
		if va <= lo && vb <= lo || va >= hi && vb >= hi {
			continue
		}
		ua, va, ub, vb = clip(ua, va, ub, vb, lo, hi)
		if min(ua, ub) >= u0-seam && max(ua, ub) <= u1+seam {
			a -= (ub - ua) * ((va+vb)/2 - lo)
		}
	}
	return a < sliver || a < s.flick
}

// frame is where strips lie: from v up, n of them, each of a width.
type frame struct {
	v, width float64
	n        int
}

// newFrame lays strips over lo to hi; offset is the share of their spare width that lies below the turf. Even ones have
// none to spare.
func newFrame(lo, hi, swath, offset float64, even bool) frame {
	n := strips(hi-lo, swath)
	slack := float64(n)*swath - (hi - lo)
	switch {
	case slack < 0: // within fitSlack: share the excess
		return frame{lo - slack/2, swath, n}
	case even:
		return frame{lo, (hi - lo) / float64(n), n}
	}
	return frame{lo - slack*offset, swath, n}
}

func (f frame) border(k int) float64 { return f.v + float64(k)*f.width }

// strip is the strip that v lies in, the nearest when in none.
func (f frame) strip(v float64) int {
	return min(max(int(math.Floor((v-f.v)/f.width)), 0), f.n-1)
}

// ascending sorts in place. A strip has few stretches, none of them NaN, which the general sort does not know.
func ascending(xs []float64) {
	if len(xs) > 40 {
		slices.Sort(xs)
		return
	}
	for i := 1; i < len(xs); i++ {
		x, k := xs[i], i
		for ; k > 0 && xs[k-1] > x; k-- {
			xs[k] = xs[k-1]
		}
		xs[k] = x
	}
}
