package pass

import (
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// cornerTries is how many places along the way back from a corner are tried for a way straight to the next leg.
const cornerTries = 16

// chain makes passes of the walked legs of a ring: one, unless something breaks it.
func (l *lapper) chain(steps []step) []Pass {
	n := len(steps)
	if n == 0 {
		return nil
	}
	for i := range steps {
		s, t := &steps[i], &steps[(i+1)%n]
		d := distance(s.leg.end(), t.leg.start())
		s.leg.off = s.leg.off || d > nearby
		s.ends = s.ends || d > 4*l.half
		if !s.ends && d > nearby {
			way, ok := l.corner(s, t)
			s.leg.way, s.ends = way, !ok
		}
	}
	first := l.begin(steps)
	if s, t := &steps[(first+n-1)%n].leg, &steps[first].leg; !s.off { // where the ring closes in a bend both ends cover its outside
		s.line[1].u = max(s.line[1].u, ends(s.cells).u1)
		t.line[0].u = min(t.line[0].u, ends(t.cells).u0)
	}
	var out []Pass
	for k := range n {
		before, s := &steps[(first+k+n-1)%n], &steps[(first+k)%n]
		if k == 0 || before.ends {
			out = append(out, Pass{Kind: Lap})
		}
		p := &out[len(out)-1]
		p.legs = append(p.legs, s.leg)
		if k+1 == n || s.ends {
			p.legs[len(p.legs)-1].off = false
		}
	}
	out[0].closed = len(out) == 1 && n > 2 && !steps[(first+n-1)%n].ends
	for i := range out {
		out[i].fill(l.setup)
	}
	return out
}

// begin is the leg to begin with: one after a break, else after a corner, that nearest the truck or, without one, furthest from the
// middle.
func (l *lapper) begin(steps []step) int {
	n, best, rank, far := len(steps), 0, -1, math.Inf(1)
	middle := geom.Coord{0, 0}
	for i := range steps {
		at := steps[i].leg.start()
		middle[0], middle[1] = middle[0]+at[0]/float64(n), middle[1]+at[1]/float64(n)
	}
	for i := range steps {
		before, at := &steps[(i+n-1)%n], steps[i].leg.start()
		r := 0
		switch {
		case before.ends:
			r = 2
		case before.leg.off:
			r = 1
		}
		d := -distance(middle, at)
		if len(l.lawn.Trucks) > 0 {
			d = distance(l.lawn.Trucks[0], at)
		}
		if r > rank || r == rank && d < far-1e-3 {
			best, rank, far = i, r, d
		}
	}
	return best
}

// corner is the way from the end of one leg to the start of the next, over turf: straight, or back along the leg from where it was
// run out into a tip. It is not ok where a building, water or too much else lies in the way: the lap breaks there.
func (l *lapper) corner(s, t *step) (way [][2]float64, ok bool) {
	from, to := planar(s.leg.end()), planar(t.leg.start())
	if l.over(from, to, nearby) {
		return nil, true
	}
	path := [][2]float64{from}
	for _, q := range [][2]float64{s.to, t.from, to} {
		if dist2(path[len(path)-1], q) > nearlyFlat {
			path = append(path, q)
		}
	}
	for i := 1; i < len(path); i++ {
		if !l.over(path[i-1], path[i], float64(l.setup.SideStep)) {
			return nil, false
		}
	}
	for i := 1; i < len(path)-1; i++ { // straight on from the first place that allows it
		for k := range cornerTries {
			f := float64(k) / cornerTries
			a, b := path[i-1], path[i]
			c := [2]float64{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])}
			if l.over(c, to, nearby) {
				return append(path[1:i:i], c), true
			}
		}
	}
	return path[1 : len(path)-1], true
}

func planar(c geom.Coord) [2]float64 { return [2]float64{c[0], c[1]} }

// over reports whether the way from a to b crosses no building or water, and leaves the turf for no stretch longer than most.
func (l *lapper) over(a, b [2]float64, most float64) bool {
	if slices.ContainsFunc(l.noWalk, func(e edge) bool { return e.crosses(point{a[0], a[1]}, point{b[0], b[1]}) }) {
		return false
	}
	x := newAxis(math.Atan2(b[1]-a[1], b[0]-a[0]))
	u0, v := x.to(a[0], a[1])
	u1, _ := x.to(b[0], b[1])
	soup := region{edges: l.turf}
	l.turned = soup.turned(x, l.turned)
	at, turf := u0, crossings(l.turned, v)
	for i := 0; i+1 < len(turf) && at < u1; i += 2 {
		if turf[i] > at && min(turf[i], u1)-at > most {
			return false
		}
		at = max(at, turf[i+1])
	}
	return u1-at <= most
}
