package pass

import (
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// lapLeg is a straight stretch of a lap between two knots.
type lapLeg struct {
	axis         axis
	from, to     [2]float64  // the knots
	before, next float64     // the turn there, to the left positive
	hub          *[2]float64 // the corner of the turf that it goes round at one of them, nil for none
	swaths       []convex    // the swath, cut where the neighbouring legs take over: one piece until something breaks it
	wides        []convex    // the same with the lip
	ring         int         // counts the rings of all laps
	joins, off   bool        // it goes on from the leg before without a stop; the gun is shut at its end
	cuts         []cut       // what bounds the swath at its ends
}

// cut is the line through p with the direction d: what lies to its left is kept.
type cut struct{ p, d [2]float64 }

// ring adds the legs of one closed walk, the longest first. Next to a leg that is left out the gun is shut.
func (l *lapper) ring(ks []knot) {
	legs := legsAlong(ks)
	n, ring := len(legs), 0
	if k := len(l.legs); k > 0 {
		ring = l.legs[k-1].ring + 1
	}
	kept := make([]bool, n)
	for i := range legs {
		kept[i] = i == 0 || !kept[i-1] || n < 4 || !l.stepped(&legs[i-1], &legs[i], &legs[(i+1)%n])
	}
	for i := range legs {
		j := (i + 1) % n
		if kept[i] && kept[j] {
			l.share(&legs[i], &legs[j])
		}
		legs[i].off = !kept[j] || math.Abs(legs[i].next) > sharp
		legs[j].joins = !legs[i].off
	}
	for i := range legs {
		if kept[i] {
			legs[i].ring = ring
			l.shape(&legs[i])
			l.legs = append(l.legs, legs[i])
		}
	}
}

// legsAlong is the legs between the knots of a closed walk, the longest first.
func legsAlong(ks []knot) (legs []lapLeg) {
	n, first := len(ks), 0
	at := func(i int) [2]float64 { return ks[(i+n)%n].at }
	for i := range ks {
		if dist2(at(i), at(i+1)) > dist2(at(first), at(first+1))+nearlyFlat {
			first = i
		}
	}
	for i := first; i < first+n; i++ {
		a, b := at(i), at(i+1)
		s := lapLeg{axis: newAxis(math.Atan2(b[1]-a[1], b[0]-a[0])), from: a, to: b,
			before: turnAt(at(i-1), a, b), next: turnAt(a, b, at(i+2)), hub: ks[i%n].hub}
		if s.hub == nil {
			s.hub = ks[(i+1)%n].hub
		}
		legs = append(legs, s)
	}
	return legs
}

// stepped reports whether s is so short that the walk steps over it with the gun off, from p to q: at a step in the turf's edge, and
// at the end of turf hardly wider than the swath. The swaths of p and q then end at the turf's own corner or edge.
func (l *lapper) stepped(p, s, q *lapLeg) bool {
	switch {
	case dist2(s.from, s.to) >= l.half || math.Abs(s.before) <= sharp || math.Abs(s.next) <= sharp:
		return false
	case s.before > steep && s.next > steep:
		c := s.border(-l.half)
		p.cuts, q.cuts = append(p.cuts, c), append(q.cuts, c)
		return true
	case s.before*s.next < 0 && s.hub != nil:
		d := [2]float64{p.axis.c + q.axis.c, p.axis.s + q.axis.s}
		p.cuts = append(p.cuts, cut{*s.hub, [2]float64{-d[1], d[0]}})
		q.cuts = append(q.cuts, cut{*s.hub, [2]float64{d[1], -d[0]}})
		return true
	}
	return false
}

// border is the line along the leg at v to its left.
func (s *lapLeg) border(v float64) cut {
	return cut{[2]float64{s.from[0] - v*s.axis.s, s.from[1] + v*s.axis.c}, [2]float64{s.axis.c, s.axis.s}}
}

// share divides the ground at the corner between two legs. At a square corner the first leg runs on to the far border
// of the second's swath, and the second begins beyond the first's; at an obtuse one both go to the line that halves it.
func (l *lapper) share(p, q *lapLeg) {
	back := func(c cut) cut { return cut{c.p, [2]float64{-c.d[0], -c.d[1]}} }
	switch turn := p.next; {
	case turn > steep:
		p.cuts = append(p.cuts, q.border(-l.half-lip))
		q.cuts = append(q.cuts, p.border(l.half))
	case turn < -steep:
		p.cuts = append(p.cuts, back(q.border(l.half)))
		q.cuts = append(q.cuts, back(p.border(-l.half)))
	default:
		d := [2]float64{p.axis.c + q.axis.c, p.axis.s + q.axis.s}
		p.cuts = append(p.cuts, cut{p.to, [2]float64{-d[1], d[0]}})
		q.cuts = append(q.cuts, cut{p.to, [2]float64{d[1], -d[0]}})
	}
}

// shape makes the leg's piece of ground from its swath and its cuts.
func (l *lapper) shape(s *lapLeg) {
	box := func(below float64) convex {
		far := runOn * 2 * l.half
		u0, v := s.axis.to(s.from[0], s.from[1])
		u1, _ := s.axis.to(s.to[0], s.to[1])
		var out convex
		swath := convex{{u0 - far, v - l.half - below}, {u1 + far, v - l.half - below}, {u1 + far, v + l.half}, {u0 - far, v + l.half}}
		for _, q := range swath {
			c := s.axis.from(q[0], q[1])
			out = append(out, [2]float64{c[0], c[1]})
		}
		for _, c := range s.cuts {
			out = out.left(c.p, [2]float64{c.p[0] + c.d[0], c.p[1] + c.d[1]})
		}
		return out
	}
	s.swaths, s.wides = []convex{box(0)}, []convex{box(lip)}
}

// swept is the swaths of the legs from the first on. Legs that go on from one another in gentle bends make one polygon: few
// are joined much faster than many.
func (l *lapper) swept(first int) (out []*geom.MultiPolygon) {
	var outer, inner [][2]float64 // the two sides of the polygon being made
	turned := 0.0
	flush := func() {
		if len(outer) > 0 {
			slices.Reverse(inner)
			out = append(out, polygon([][][2]float64{append(outer, inner...)}))
		}
		outer, inner, turned = nil, nil, 0
	}
	for i := first; i < len(l.legs); i++ {
		s := &l.legs[i]
		o, in, ok := s.sides()
		if !ok || !s.joins || i > first && l.legs[i-1].ring != s.ring || turned > mostMitre {
			flush()
		}
		if !ok {
			for _, c := range s.wides {
				if len(c) > 2 {
					out = append(out, polygon([][][2]float64{c}))
				}
			}
			continue
		}
		if n := len(outer); n > 0 {
			outer, inner = outer[:n-1], inner[:n-1]
		}
		outer, inner, turned = append(outer, o...), append(inner, in...), turned+math.Abs(s.next)
	}
	flush()
	return out
}

// sides is the outer and the inner side of the leg's swath, if it is a plain piece with four corners.
func (s *lapLeg) sides() (outer, inner [][2]float64, ok bool) {
	if len(s.wides) != 1 || len(s.wides[0]) != 4 {
		return nil, nil, false
	}
	c := slices.Clone(s.wides[0])
	along := func(p [2]float64) float64 { u, _ := s.axis.to(p[0]-s.from[0], p[1]-s.from[1]); return u }
	for _, p := range c {
		if _, v := s.axis.to(p[0]-s.from[0], p[1]-s.from[1]); v < 0 {
			outer = append(outer, p)
		} else {
			inner = append(inner, p)
		}
	}
	if len(outer) != 2 || len(inner) != 2 {
		return nil, nil, false
	}
	for _, side := range [][][2]float64{outer, inner} {
		if along(side[0]) > along(side[1]) {
			side[0], side[1] = side[1], side[0]
		}
		if along(side[1])-along(side[0]) < nearlyFlat {
			return nil, nil, false
		}
	}
	return outer, inner, true
}
