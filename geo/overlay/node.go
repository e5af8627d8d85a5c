package overlay

import (
	"cmp"
	"errors"
	"math"
	"slices"
)

// segment is a piece of ring number ring, in the ring's direction.
type segment struct {
	a, b point
	ring int
}

var (
	errNoding    = errors.New("crossing edges did not come to rest on the grid")
	errScribbles = errors.New("the edges cross or pass each other too often")
)

// mostCuts bounds the work on a hostile outline; a lawn has a few crossings.
const mostCuts = 200_000

// node cuts segments at each other until they meet in their ends only. Crossings are
// rounded to the grid, which moves edges by up to half a cell and may make new crossings:
// hence the rounds. Orientation tests are exact. first is the first true crossing.
func node(segs []segment) (out []segment, first *point, err error) {
	for range 50 {
		cuts := make([][]point, len(segs))
		n := 0
		err := eachPair(segs, func(i, j int) bool {
			ci, cj, cross := meetings(segs[i], segs[j])
			if len(ci)+len(cj) == 0 {
				return true
			}
			n += len(ci) + len(cj)
			cuts[i] = append(cuts[i], ci...)
			cuts[j] = append(cuts[j], cj...)
			if first == nil && cross != nil {
				first = cross
			}
			return n <= mostCuts
		})
		switch {
		case err != nil:
			return nil, first, err
		case n == 0:
			return segs, first, nil
		case n > mostCuts:
			return nil, first, errScribbles
		}
		segs = cutAll(segs, cuts)
	}
	return nil, first, errNoding
}

// eachPair calls f for pairs whose boxes meet, by a sweep along x, until f says stop.
func eachPair(segs []segment, f func(i, j int) bool) error {
	looked := 0
	order := make([]int, len(segs))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(min(segs[i].a.x, segs[i].b.x), min(segs[j].a.x, segs[j].b.x)), cmp.Compare(i, j))
	})
	for n, i := range order {
		s := segs[i]
		right, lo, hi := max(s.a.x, s.b.x), min(s.a.y, s.b.y), max(s.a.y, s.b.y)
		for _, j := range order[n+1:] {
			t := segs[j]
			if min(t.a.x, t.b.x) > right {
				break
			}
			if looked++; looked > mostPairs {
				return errScribbles
			}
			if min(t.a.y, t.b.y) <= hi && max(t.a.y, t.b.y) >= lo {
				if !f(i, j) {
					return nil
				}
			}
		}
	}
	return nil
}

// meetings gives the points at which s and t must be cut; cross is a true crossing.
func meetings(s, t segment) (cutS, cutT []point, cross *point) {
	ta, tb := side(s.a, s.b, t.a), side(s.a, s.b, t.b)
	sa, sb := side(t.a, t.b, s.a), side(t.a, t.b, s.b)
	if ta*tb < 0 && sa*sb < 0 {
		p := crossing(s, t)
		if p != s.a && p != s.b {
			cutS = []point{p}
		}
		if p != t.a && p != t.b {
			cutT = []point{p}
		}
		return cutS, cutT, &p
	}
	for _, e := range []struct {
		side int
		p    point
	}{{ta, t.a}, {tb, t.b}} {
		if e.side == 0 && within(s, e.p) {
			cutS = append(cutS, e.p)
		}
	}
	for _, e := range []struct {
		side int
		p    point
	}{{sa, s.a}, {sb, s.b}} {
		if e.side == 0 && within(t, e.p) {
			cutT = append(cutT, e.p)
		}
	}
	return cutS, cutT, nil
}

// side is +1 when c lies left of a->b, -1 right, 0 on the line: exact, for coordinates up
// to 1e9 cells.
func side(a, b, c point) int {
	return cmp.Compare((b.x-a.x)*(c.y-a.y), (b.y-a.y)*(c.x-a.x))
}

// within reports whether p, which is on the line of s, lies between its ends.
func within(s segment, p point) bool {
	return p != s.a && p != s.b &&
		min(s.a.x, s.b.x) <= p.x && p.x <= max(s.a.x, s.b.x) &&
		min(s.a.y, s.b.y) <= p.y && p.y <= max(s.a.y, s.b.y)
}

func crossing(s, t segment) point {
	dx, dy := float64(s.b.x-s.a.x), float64(s.b.y-s.a.y)
	ex, ey := float64(t.b.x-t.a.x), float64(t.b.y-t.a.y)
	u := (float64(t.a.x-s.a.x)*ey - float64(t.a.y-s.a.y)*ex) / (dx*ey - dy*ex)
	u = min(1, max(0, u))
	return point{s.a.x + int64(math.Round(u*dx)), s.a.y + int64(math.Round(u*dy))}
}

func cutAll(segs []segment, cuts [][]point) []segment {
	out := make([]segment, 0, len(segs)+len(cuts))
	for i, s := range segs {
		c := cuts[i]
		slices.SortFunc(c, func(p, q point) int { return cmp.Compare(s.along(p), s.along(q)) })
		last := s.a
		for _, p := range append(c, s.b) {
			if p != last {
				out = append(out, segment{last, p, s.ring})
			}
			last = p
		}
	}
	return out
}

func (s segment) along(p point) float64 {
	return float64(s.b.x-s.a.x)*float64(p.x-s.a.x) + float64(s.b.y-s.a.y)*float64(p.y-s.a.y)
}
