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

	// busyLeg is the mean length of a leg, in swaths, below which a lap stops too often to be worth walking on narrow turf (common
	// practice, no source).
	busyLeg = 2

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
			return nil, fmt.Errorf("%w: %w", ErrLaps, err)
		}
		inner = append(inner, rest...)
	}
	return inner, nil
}

// lapPart lays the laps of one part. The second lap goes along what the first leaves of the ground, so that it is the
// same half swath inside; the strips get what all leave of the turf, and the laps the rest of the part's area. A part
// whose mean width is below two swaths has none where it would stop every few steps: it is walked along its edge anyway.
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
	if len(passes) == 0 || busy(passes, w.setup.Swath) && overlay.MeanWidth(ground) < narrow*w.setup.Swath {
		return []region{*part}, nil
	}
	rest, crumbs, err := l.rest(part)
	if err != nil {
		return nil, err
	}
	for i := range crumbs {
		l.take(passes, &crumbs[i])
	}
	left := 0.0
	for i := range rest {
		left += rest[i].area
	}
	l.settle(passes, part.area-left)
	w.add(Section{Kind: Lap, Bearing: l.bearing(), Spacing: w.setup.Swath, Area: unit.Area(part.area - left)}, passes)
	return rest, nil
}

// busy reports whether the laps stop so often that their legs are shorter than two swaths in the mean.
func busy(laps []Pass, swath unit.Length) bool {
	length, stops := unit.Length(0), len(laps)
	for i := range laps {
		length += laps[i].Length
		stops += len(laps[i].Off)
	}
	return float64(length) < busyLeg*float64(stops)*float64(swath)
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

// less is the ground without what is swept.
func less(ground *geom.MultiPolygon, swept []*geom.MultiPolygon) (*geom.MultiPolygon, error) {
	all, err := overlay.Union(swept...)
	if err != nil {
		return nil, err
	}
	return overlay.Difference(ground, all)
}

// rest is the turf of the part that no lap sweeps, and apart from it what is too thin or small to be walked.
func (l *lapper) rest(part *region) (out, crumbs []region, err error) {
	left, err := less(polygon(part.rings()), l.swept(0))
	if err != nil {
		return nil, nil, err
	}
	small := max(sliver, min(mostFlick, part.area*flickShare))
	for i := range left.NumPolygons() {
		one := overlay.Alone(left.Polygon(i))
		for _, r := range regions(one) {
			if r.area > small && float64(overlay.MeanWidth(one)) > fitSlack {
				out = append(out, r)
			} else {
				crumbs = append(crumbs, r)
			}
		}
	}
	return out, crumbs, nil
}

// take gives a crumb of turf to the leg whose line is nearest.
func (l *lapper) take(passes []Pass, crumb *region) {
	x, y := crumb.centroid()
	near, best := math.Inf(1), (*leg)(nil)
	for i := range passes {
		for k := range passes[i].legs {
			g := &passes[i].legs[k]
			a, b := g.start(), g.end()
			e := edge{a[0], a[1], b[0], b[1]}
			if d := distance(e.nearest(geom.Coord{x, y}), geom.Coord{x, y}); d < near-nearlyFlat {
				near, best = d, g
			}
		}
	}
	l.turned = crumb.turned(best.axis, l.turned)
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, e := range l.turned {
		lo, hi = min(lo, e.ay), max(hi, e.ay)
	}
	best.cells = append(slices.Clone(best.cells), l.sweep.cut(l.turned, lo-1, hi+1)...)
	sortCells(best.cells)
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

// settle makes the passes' areas add up to the area given: their cells are exact, but what is left was taken on a grid.
func (l *lapper) settle(passes []Pass, area float64) {
	sum := 0.0
	for i := range passes {
		for k := range passes[i].legs {
			sum += totalArea(passes[i].legs[k].cells)
		}
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
