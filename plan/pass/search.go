package pass

import (
	"cmp"
	"math"
	"slices"
)

const (
	// fitSlack is how much a strip may be exceeded before another one is needed: 49.000001 ft is
	// seven strips of 7 ft, an inch more is eight.
	fitSlack = 0.01
	// gridSteps directions are tried besides those of the edges. Edge directions and a fine grid
	// find the best of a 720-direction scan on all of 52 measured lawns.
	gridSteps = 60
	// edgeDirections is how many directions of long edges are tried with several offsets.
	edgeDirections = 10
)

// offsets are the shares of the strips' spare width that are tried below the turf.
var offsets = []float64{0, 0.25, 0.5, 0.75, 1}

// layout evaluates strips over one region; its buffers serve many directions.
type layout struct {
	region *region
	noWalk []edge
	setup  Setup
	turned []edge
	walls  []edge
	strips [][]edge
	sweep  sweeper
	drafts []draft
}

// result is the passes of one section: of one region in one direction, or along a strip that bends.
type result struct {
	region  region
	passes  []Pass // of a strip that is followed: these, and no drafts
	theta   float64
	drafts  []draft
	slivers []cell
}

// divide gives the sections that are the cheapest way to lay the region, each with its passes.
func (l *layout) divide(r *region) []result {
	if f, c, ok := l.follow(r); ok {
		l.region = r
		b := l.best()
		d := 0.0
		for i := range b.drafts {
			d += float64(l.setup.TurnCost) + b.drafts[i].length()
		}
		if c < d {
			return []result{f}
		}
	}
	l.region = r
	return []result{l.best()}
}

// best is the cheapest direction and strip offset for the region.
func (l *layout) best() result {
	if b := l.setup.Bearing; b != nil {
		return l.lay(math.Pi/2-*b*math.Pi/180, l.bestOffset(math.Pi/2-*b*math.Pi/180))
	}
	bestTheta, bestOffset, bestCost := 0.0, 0.0, math.Inf(1)
	try := func(theta float64, offs []float64) {
		l.turn(theta)
		for _, o := range offs {
			if c := l.cost(o, bestCost); c < bestCost-1e-9 {
				bestTheta, bestOffset, bestCost = theta, o, c
			}
		}
	}
	directions := l.edgeDirections()
	for _, d := range directions {
		try(d, offsets)
	}
	for i := range gridSteps { // turned with the longest edge, so that turning the lawn changes nothing
		try(directions[0]+math.Pi*(float64(i)+0.5)/gridSteps, offsets[2:3])
	}
	return l.lay(bestTheta, bestOffset)
}

func (l *layout) bestOffset(theta float64) float64 {
	l.turn(theta)
	best, cost := 0.0, math.Inf(1)
	for _, o := range offsets {
		if c := l.cost(o, cost); c < cost-1e-9 {
			best, cost = o, c
		}
	}
	return best
}

// edgeDirections is the directions of the region's longest edges, those within a twentieth
// of a degree added together, and of its least width; the longest first.
func (l *layout) edgeDirections() []float64 {
	type dir struct{ theta, length float64 }
	var ds []dir
	for _, e := range l.region.edges {
		t := math.Mod(math.Atan2(e.by-e.ay, e.bx-e.ax)+2*math.Pi, math.Pi)
		ds = append(ds, dir{t, math.Hypot(e.bx-e.ax, e.by-e.ay)})
	}
	slices.SortFunc(ds, func(a, b dir) int { return cmp.Compare(a.theta, b.theta) })
	const same = 0.05 * math.Pi / 180
	merged := ds[:0]
	for _, d := range ds {
		if n := len(merged); n > 0 && d.theta-merged[n-1].theta < same {
			if d.length > merged[n-1].length {
				merged[n-1].theta = d.theta
			}
			merged[n-1].length += d.length
			continue
		}
		merged = append(merged, d)
	}
	slices.SortStableFunc(merged, func(a, b dir) int { return cmp.Compare(b.length, a.length) })
	if len(merged) > edgeDirections {
		merged = merged[:edgeDirections]
	}
	var out []float64
	for _, d := range merged {
		out = append(out, d.theta)
	}
	_, theta := l.region.leastWidth()
	return append(out, theta)
}

// leastWidth is the least width of the region's hull and the direction of the edge it is flush
// with (Houle and Toussaint, Computing the width of a set, IEEE PAMI 1988; from memory).
func (r *region) leastWidth() (width, theta float64) {
	h := r.hull()
	width = math.Inf(1)
	for i := range h {
		a, b := h[i], h[(i+1)%len(h)]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		if l == 0 {
			continue
		}
		far := 0.0
		for _, p := range h {
			far = max(far, cross(a, b, p)/l)
		}
		if far < width-1e-9 {
			width, theta = far, math.Atan2(b[1]-a[1], b[0]-a[0])
		}
	}
	return width, theta
}

func (l *layout) turn(theta float64) {
	a := newAxis(theta)
	l.turned = l.region.turned(a, l.turned)
	walls := region{edges: l.noWalk}
	l.walls = walls.turned(a, l.walls)
}

// extent is the range of v over the turned edges.
func (l *layout) extent() (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range l.turned {
		lo, hi = min(lo, l.turned[i].ay), max(hi, l.turned[i].ay)
	}
	return lo, hi
}

// deal sorts the turned edges into n strips of the given width above v, so that a strip looks
// only at the edges that reach into it.
func (l *layout) deal(v, width float64, n int) {
	for len(l.strips) < n {
		l.strips = append(l.strips, nil)
	}
	for i := range n {
		l.strips[i] = l.strips[i][:0]
	}
	at := func(y float64) int { return min(max(int(math.Floor((y-v)/width)), 0), n-1) }
	const margin = 1e-9
	for _, e := range l.turned {
		for k := at(min(e.ay, e.by) - margin); k <= at(max(e.ay, e.by)+margin); k++ {
			l.strips[k] = append(l.strips[k], e)
		}
	}
}

// frame is where the strips lie for an offset: the lowest border, and how many.
func (l *layout) frame(offset float64) (v float64, n int) {
	lo, hi := l.extent()
	w := float64(l.setup.Swath)
	n = max(int(math.Ceil((hi-lo-fitSlack)/w)), 1)
	slack := float64(n)*w - (hi - lo)
	if slack < 0 { // within fitSlack: share the excess
		return lo - slack/2, n
	}
	return lo - slack*offset, n
}

// cost is the sprayed length plus the turn cost of the turned region's passes, or +Inf once it
// cannot come below limit.
func (l *layout) cost(offset, limit float64) float64 {
	v, n := l.frame(offset)
	turn := float64(l.setup.TurnCost)
	if float64(n)*turn+l.region.area/float64(l.setup.Swath) >= limit { // the region is connected: a pass a strip at least
		return math.Inf(1)
	}
	total := 0.0
	l.each(v, n, false, func(ds []draft, _ []cell) bool {
		for i := range ds {
			total += turn + ds[i].length()
		}
		return total < limit
	})
	return total
}

// lay gives the passes for a direction and offset.
func (l *layout) lay(theta, offset float64) result {
	l.turn(theta)
	v, n := l.frame(offset)
	r := result{region: *l.region, theta: theta}
	l.each(v, n, true, func(ds []draft, slivers []cell) bool {
		r.drafts = append(r.drafts, ds...)
		r.slivers = append(r.slivers, slivers...)
		return true
	})
	return r
}

// each calls f with the passes of every strip, until f says to stop.
func (l *layout) each(v float64, n int, keep bool, f func(ds []draft, slivers []cell) bool) {
	width := float64(l.setup.Swath)
	l.deal(v, width, n)
	w := walker{swath: width, sideStep: float64(l.setup.SideStep), noWalk: l.walls, keep: keep,
		flick: min(mostFlick, l.region.area*flickShare)}
	for k := range n {
		lo, hi := v+float64(k)*width, v+float64(k+1)*width
		if k == 0 {
			lo -= fitSlack // the first and last strip take what fitSlack let over
		}
		if k == n-1 {
			hi += fitSlack
		}
		w.slivers = w.slivers[:0]
		l.drafts = w.passes(l.sweep.cut(l.strips[k], lo, hi), l.drafts[:0])
		if !f(l.drafts, w.slivers) {
			return
		}
	}
}
