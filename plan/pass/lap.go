package pass

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/overlay"
)

const (
	// lip is how far beyond the swath's edge turf goes with a lap: the engine's insets are exact to about half of it, metres.
	lip = 0.005

	// runOn is how far a leg may go on past a corner to reach the last of an acute tip, in swaths.
	runOn = 8.0
)

// edgeLaps lays the laps along the edges of the parts and gives the turf that they leave.
func (w *work) edgeLaps(parts []region) ([]region, error) {
	if w.setup.Laps == 0 {
		return parts, nil
	}
	var inner []region
	for i := range parts {
		rest, err := w.lapPart(&parts[i])
		if err != nil {
			return nil, fmt.Errorf("lay edge laps: %w", err)
		}
		inner = append(inner, rest...)
	}
	return inner, nil
}

// lapPart lays the laps of one part. The second lap goes along what the first leaves of the ground, so that it is the
// same half swath inside; the strips get what all leave of the turf, and the laps the rest of the part's area.
func (w *work) lapPart(part *region) ([]region, error) {
	ground := w.lapped(part)
	l := lapper{work: w, turf: part.edges, half: float64(w.setup.Swath) / 2}
	first := 0
	for k := range w.setup.Laps {
		if k > 0 && len(l.legs) > first {
			var err error
			if ground, err = less(ground, l.swept(first)); err != nil {
				return nil, err
			}
		}
		first = len(l.legs)
		if err := l.along(ground); err != nil {
			return nil, err
		}
	}
	passes := l.passes()
	if len(passes) == 0 {
		return []region{*part}, nil
	}
	rest, err := l.rest(part)
	if err != nil {
		return nil, err
	}
	left := 0.0
	for i := range rest {
		left += rest[i].area
	}
	l.settle(passes, part.area-left)
	w.add(Section{Kind: Lap, Bearing: l.bearing(), Spacing: w.setup.Swath, Area: unit.Area(part.area - left)}, passes)
	return rest, nil
}

// lapped is the part without its holes that are narrower than the swath: laps leave those to the strips, unless they
// lie in a lap's way and can not be walked across.
func (w *work) lapped(part *region) *geom.MultiPolygon {
	rings := part.rings()
	kept, small := rings[:1:1], [][][2]float64(nil)
	for _, ring := range rings[1:] {
		hole := region{edges: edgesOf(ring)}
		switch width, _ := leastWidth(hole.hull()); {
		case width >= float64(w.setup.Swath):
			kept = append(kept, ring)
		case hole.chord() > float64(w.setup.SideStep) || w.solid(ring):
			small = append(small, ring)
		}
	}
	reach := float64(w.setup.Swath) * float64(w.setup.Laps)
	for again := true; again; {
		again = false
		for i, ring := range small {
			if ring != nil && slices.ContainsFunc(kept, func(k [][2]float64) bool { return near(ring, k, reach) }) {
				kept, small[i], again = append(kept, ring), nil, true
			}
		}
	}
	return polygon(kept)
}

// solid reports whether a building or water lies in or along the ring of a hole.
func (w *work) solid(ring [][2]float64) bool {
	hole := region{edges: edgesOf(ring)}
	return slices.ContainsFunc(w.noWalk, func(e edge) bool { return hole.clearance(e.ax, e.ay) > -nearby })
}

// near reports whether two rings come nearer to each other than reach.
func near(a, b [][2]float64, reach float64) bool {
	ra, rb := region{edges: edgesOf(a)}, region{edges: edgesOf(b)}
	return slices.ContainsFunc(a, func(p [2]float64) bool { return math.Abs(rb.clearance(p[0], p[1])) < reach }) ||
		slices.ContainsFunc(b, func(p [2]float64) bool { return math.Abs(ra.clearance(p[0], p[1])) < reach })
}

// lapper lays the laps of one part.
type lapper struct {
	*work
	turf []edge
	half float64
	legs []lapLeg

	sweep  sweeper
	turned []edge
}

// lapLeg is a straight stretch of a lap between two knots.
type lapLeg struct {
	axis         axis
	from, to     [2]float64 // the knots
	before, next float64    // the turn there, to the left positive
	swaths       []convex   // the swath, cut where the neighbouring legs take over: one piece until something breaks it
	wides        []convex   // the same with the lip
	ring         int        // counts the rings of all laps
	joins, off   bool       // it goes on from the leg before without a stop; the gun is shut at its end
	cuts         []cut      // what bounds the swath at its ends
}

// cut is the line through p with the direction d: what lies to its left is kept.
type cut struct{ p, d [2]float64 }

// along lays a lap half a swath inside of the ground, the legs of each ring from the longest on.
func (l *lapper) along(ground *geom.MultiPolygon) error {
	inset, err := overlay.Grow(ground, unit.Length(-l.half))
	if err != nil {
		return err
	}
	lines, corners := ringsOf(inset), []([2]float64){}
	for _, ring := range ringsOf(ground) {
		corners = append(corners, ring...)
	}
	for _, ring := range lines {
		if knots := lapLine(ring, corners, l.half); len(knots) > 2 {
			l.ring(knots)
		}
	}
	return nil
}

// ringsOf is the rings without their closing corners, the longest box first.
func ringsOf(mp *geom.MultiPolygon) (out [][][2]float64) {
	for i := range mp.NumPolygons() {
		for k := range mp.Polygon(i).NumLinearRings() {
			flat := mp.Polygon(i).LinearRing(k).FlatCoords()
			var ring [][2]float64
			for a := 0; a+3 < len(flat); a += 2 {
				ring = append(ring, [2]float64{flat[a], flat[a+1]})
			}
			out = append(out, ring)
		}
	}
	slices.SortStableFunc(out, func(a, b [][2]float64) int { return cmp.Compare(ringLength(b), ringLength(a)) })
	return out
}

func ringLength(ring [][2]float64) (sum float64) {
	for i, p := range ring {
		q := ring[(i+1)%len(ring)]
		sum += math.Hypot(q[0]-p[0], q[1]-p[1])
	}
	return sum
}

// ring adds the legs of one closed walk.
func (l *lapper) ring(ks []knot) {
	n, first := len(ks), 0
	at := func(i int) [2]float64 { return ks[(i+n)%n].at }
	long := func(i int) float64 { return math.Hypot(at(i + 1)[0]-at(i)[0], at(i + 1)[1]-at(i)[1]) }
	for i := range ks {
		if long(i) > long(first)+nearlyFlat {
			first = i
		}
	}
	var legs []lapLeg
	for k := range n {
		i := first + k
		a, b := at(i), at(i+1)
		legs = append(legs, lapLeg{axis: newAxis(math.Atan2(b[1]-a[1], b[0]-a[0])), from: a, to: b,
			before: turnAt(at(i-1), a, b), next: turnAt(a, b, at(i+2))})
	}
	hub := func(i int) *[2]float64 { return ks[(first+i)%n].hub }
	ring := 0
	if k := len(l.legs); k > 0 {
		ring = l.legs[k-1].ring + 1
	}
	kept := make([]bool, n)
	for i := range legs {
		kept[i] = true
		p, s, q := &legs[(i+n-1)%n], &legs[i], &legs[(i+1)%n]
		short := long(first+i) < l.half && math.Abs(s.before) > sharp && math.Abs(s.next) > sharp && n > 3
		switch {
		case !short || !kept[(i+n-1)%n]:
		case s.before > steep && s.next > steep: // the end of turf hardly wider than the swath
			kept[i] = false
			c := s.border(-l.half)
			p.cuts, q.cuts = append(p.cuts, c), append(q.cuts, c)
		case s.before*s.next < 0: // a step in the edge
			v := hub(i)
			if v == nil {
				v = hub(i + 1)
			}
			if v == nil {
				break
			}
			kept[i] = false
			d := [2]float64{p.axis.c + q.axis.c, p.axis.s + q.axis.s}
			p.cuts = append(p.cuts, cut{*v, [2]float64{-d[1], d[0]}})
			q.cuts = append(q.cuts, cut{*v, [2]float64{d[1], -d[0]}})
		}
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

// less is the ground without what is swept.
func less(ground *geom.MultiPolygon, swept []*geom.MultiPolygon) (*geom.MultiPolygon, error) {
	all, err := overlay.Union(swept...)
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ground, all)
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

// rest is the turf of the part that no lap sweeps, without what is too thin or small to be walked.
func (l *lapper) rest(part *region) ([]region, error) {
	left, err := less(polygon(part.rings()), l.swept(0))
	if err != nil {
		return nil, err
	}
	small := max(sliver, min(mostFlick, part.area*flickShare))
	var out []region
	for i := range left.NumPolygons() {
		one := overlay.Alone(left.Polygon(i))
		if rs := regions(one); len(rs) == 1 && rs[0].area > small && overlay.MeanWidth(one) > fitSlack {
			out = append(out, rs[0])
		}
	}
	return out, nil
}

// bearing is that of the longest leg.
func (l *lapper) bearing() float64 {
	best, b := 0.0, 0.0
	for i := range l.legs {
		s := &l.legs[i]
		if d := math.Hypot(s.to[0]-s.from[0], s.to[1]-s.from[1]); d > best+nearlyFlat {
			best, b = d, bearing(math.Atan2(s.axis.s, s.axis.c))
		}
	}
	return b
}

// squeeze narrows the leg's cells towards its line to a share of their area: by less than the engine's grid.
func (g *leg) squeeze(share float64) {
	v := g.line[0].v
	for i := range g.cells {
		c := &g.cells[i]
		for _, x := range []*float64{&c.lo0, &c.lo1, &c.hi0, &c.hi1} {
			*x = v + (*x-v)*share
		}
	}
}

// settle makes the passes' areas add up to the area given: their cells are exact, but what is left was taken on a grid, and
// hairs of turf go with the laps.
func (l *lapper) settle(passes []Pass, area float64) {
	sum := 0.0
	for i := range passes {
		sum += float64(passes[i].Area)
	}
	for i := range passes {
		for k := range passes[i].legs {
			g := &passes[i].legs[k]
			if share := area / sum; share >= 1 {
				g.extra = totalArea(g.cells) * (share - 1)
			} else {
				g.squeeze(share)
			}
		}
		passes[i].fill(l.setup)
	}
}
