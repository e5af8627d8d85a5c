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
	// finalists is how many directions and offsets are laid as they would be walked, once the screen has ranked them.
	finalists = 12
	// offsetsKept is how many offsets of one direction are among them.
	offsetsKept = 2
	// refined is how many of the best directions are turned a little to look for a better one.
	refined = 3
	// sameDirection is how near two edges' directions are one, radians (a twentieth of a degree).
	sameDirection = 0.05 * math.Pi / 180
)

// refining is by how much the best direction is turned to look for a better one, radians: half, a quarter, an eighth of the
// grid's step.
var refining = []float64{math.Pi / gridSteps / 2, math.Pi / gridSteps / 4, math.Pi / gridSteps / 8}

// cheaper is by how much a cost must be lower to count, metres: less is rounding, and the first tried stays.
const cheaper = 1e-5

// offsets are the shares of the strips' spare width that are tried below the turf.
var offsets = []float64{0, 0.25, 0.5, 0.75, 1}

// layout divides one part of the turf and lays strips over its sections; its buffers serve many directions.
type layout struct {
	noWalk []edge
	setup  Setup
	region *region
	turned []edge
	walls  []edge
	strips [][]edge // the turned edges that reach into each strip,
	beside [][]edge // and the walls
	sweep  sweeper
	drafts []draft
	screen screen
}

// result is the passes of one section: of one region in one direction, or along a strip that bends.
type result struct {
	region  region
	passes  []Pass // of a strip that is followed: these, and no drafts
	theta   float64
	spacing float64 // of its strips
	drafts  []draft
	slivers []cell
}

// trial is a direction and offset with what it costs.
type trial struct {
	theta, offset, cost float64
	passes              int // 0 until it is laid
}

// asGood is the share by which one cost may be above another and still be no worse for sure: fewer passes decide then.
const asGood = 0.001

func newLayout(s Setup, noWalk []edge) *layout {
	return &layout{setup: s, noWalk: noWalk,
		screen: screen{swath: float64(s.Swath), turn: float64(s.TurnCost), even: s.Even}}
}

// given is the direction that the set-up asks for, if any.
func (l *layout) given() (theta float64, ok bool) {
	if b := l.setup.Bearing; b != nil {
		return math.Pi/2 - *b*math.Pi/180, true
	}
	return 0, false
}

// best is the cheapest direction and strip offset for the region: the screen ranks them, and the first ones are laid with their
// bends and breaks until the rest can not be cheaper.
func (l *layout) best(r *region) trial {
	laid := l.walked(r, l.rank(r))
	best := fewest(laid)
	if _, ok := l.given(); ok {
		return best
	}
	starts := []trial{best}
	for _, t := range laid {
		if len(starts) < refined && !slices.ContainsFunc(starts, func(s trial) bool { return turnBetween(s.theta, t.theta) < math.Pi/gridSteps }) {
			starts = append(starts, t)
		}
	}
	for _, at := range starts {
		for _, step := range refining {
			here := []trial{at}
			for _, theta := range []float64{at.theta + step, at.theta - step} {
				k := ranking{layout: l, most: len(offsets), limit: at.cost * (1 + asGood)}
				k.try(theta, offsets)
				here = append(here, l.walked(r, k.trials)...)
			}
			at = fewest(here)
		}
		best = fewest([]trial{best, at})
	}
	return best
}

// walked lays the trials with their bends and breaks, the cheapest by the screen first, and gives those that are no worse for
// sure than the cheapest before them.
func (l *layout) walked(r *region, trials []trial) (laid []trial) {
	l.region = r
	least := math.Inf(1)
	for _, t := range trials {
		if t.cost >= least*(1+asGood) {
			break
		}
		l.turn(t.theta)
		if t.cost, t.passes = l.cost(t.offset, least*(1+asGood)); t.passes > 0 {
			least = min(least, t.cost)
			laid = append(laid, t)
		}
	}
	slices.SortStableFunc(laid, func(a, b trial) int { return cmp.Compare(rounded(a.cost), rounded(b.cost)) })
	return laid
}

// fewest is the trial with the fewest passes of those that cost no more for sure than the cheapest, of these the cheapest.
func fewest(laid []trial) trial {
	best, least := trial{cost: math.Inf(1)}, math.Inf(1)
	for _, t := range laid {
		least = min(least, t.cost)
	}
	for _, t := range laid {
		if t.cost < least*(1+asGood) && (best.passes == 0 || t.passes < best.passes || t.passes == best.passes && t.cost < best.cost-cheaper) {
			best = t
		}
	}
	return best
}

// rank gives the finalists by the screen's cost, those tried first first where it is the same.
func (l *layout) rank(r *region) []trial {
	hull := r.hull()
	l.screen.load(r, hull)
	out := ranking{layout: l, most: finalists, limit: math.Inf(1)}
	if theta, ok := l.given(); ok {
		out.try(theta, offsets)
		return out.trials
	}
	directions := r.directions(hull, edgeDirections)
	for _, d := range directions {
		out.try(d, offsets)
	}
	var grid []float64
	for i := range gridSteps { // turned with the longest edge, so that turning the lawn changes nothing
		grid = append(grid, r.upright(directions[0]+math.Pi*(float64(i)+0.5)/gridSteps))
		out.try(grid[i], offsets[2:3])
	}
	for _, t := range slices.Clone(out.trials) {
		if slices.Contains(grid, t.theta) {
			out.try(t.theta, slices.Concat(offsets[:2], offsets[3:]))
		}
	}
	return out.trials
}

// ranking is the cheapest trials of the region that the screen has loaded, the cheapest first; those tried first come first where
// the cost is the same.
type ranking struct {
	*layout
	trials []trial
	most   int
	limit  float64 // what a trial must be below
}

func (k *ranking) try(theta float64, offs []float64) {
	a := newAxis(theta)
	if k.screen.least(a) >= k.limit {
		return
	}
	k.screen.face(a)
	if k.setup.Even {
		offs = offs[:1]
	}
	for _, o := range offs {
		c := k.screen.cost(o, k.limit)
		if c >= k.limit-cheaper {
			continue
		}
		k.add(trial{theta: theta, offset: o, cost: c})
	}
}

// add puts a trial in its place; of one direction it keeps the best offsets only.
func (k *ranking) add(t trial) {
	at, same, last := len(k.trials), 0, 0
	for i, o := range k.trials {
		if t.cost < o.cost-cheaper {
			at = min(at, i)
		}
		if o.theta == t.theta {
			same, last = same+1, i
		}
	}
	if same == offsetsKept {
		if at > last {
			return
		}
		k.trials = slices.Delete(k.trials, last, last+1)
	}
	if k.trials = slices.Insert(k.trials, at, t); len(k.trials) > k.most {
		k.trials = k.trials[:k.most]
	}
	if len(k.trials) == k.most {
		k.limit = min(k.limit, k.trials[k.most-1].cost)
	}
}

func (l *layout) turn(theta float64) {
	a := newAxis(theta)
	l.turned = l.region.turned(a, l.turned)
	walls := region{edges: l.noWalk}
	l.walls = walls.turned(a, l.walls)
}

// frame is where the strips lie for an offset.
func (l *layout) frame(offset float64) frame {
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range l.turned {
		lo, hi = min(lo, l.turned[i].ay), max(hi, l.turned[i].ay)
	}
	return newFrame(lo, hi, float64(l.setup.Swath), offset, l.setup.Even)
}

// deal sorts edges into the strips, so that a strip looks only at those that reach into it or lie within slack of it; into is used again.
func (f frame) deal(edges []edge, slack float64, into [][]edge) [][]edge {
	for len(into) < f.n {
		into = append(into, nil)
	}
	for i := range f.n {
		into[i] = into[i][:0]
	}
	for _, e := range edges {
		for k := f.strip(min(e.ay, e.by) - slack); k <= f.strip(max(e.ay, e.by)+slack); k++ {
			into[k] = append(into[k], e)
		}
	}
	return into
}

// cost is the sprayed length plus the turn cost of the turned region's passes, and how many they are; +Inf and 0 once it
// cannot come below limit.
func (l *layout) cost(offset, limit float64) (cost float64, passes int) {
	turn := float64(l.setup.TurnCost)
	f := l.frame(offset)
	left, stopped := f.n, false
	l.each(f, false, func(ds []draft, _ []cell) bool {
		for i := range ds {
			cost += turn + ds[i].length()
		}
		passes += len(ds)
		left--
		stopped = cost+float64(left)*turn >= limit
		return !stopped
	})
	if stopped {
		return math.Inf(1), 0
	}
	return cost, passes
}

// lay gives the passes of a region for a direction and offset.
func (l *layout) lay(r *region, t trial) result {
	l.region = r
	l.turn(t.theta)
	f := l.frame(t.offset)
	res := result{region: *r, theta: t.theta, spacing: f.width}
	l.each(f, true, func(ds []draft, slivers []cell) bool {
		res.drafts = append(res.drafts, ds...)
		res.slivers = append(res.slivers, slivers...)
		return true
	})
	return res
}

// each calls f with the passes of every strip, until f says to stop.
func (l *layout) each(f frame, keep bool, do func(ds []draft, slivers []cell) bool) {
	l.strips, l.beside = f.deal(l.turned, seam, l.strips), f.deal(l.walls, fitSlack, l.beside)
	w := walker{swath: f.width, sideStep: float64(l.setup.SideStep), keep: keep,
		flick: min(mostFlick, l.region.area*flickShare)}
	for k := range f.n {
		lo, hi := f.border(k), f.border(k+1)
		w.lo, w.hi, w.noWalk = lo, hi, l.beside[k]
		if k == 0 {
			lo -= fitSlack // the first and last strip take what fitSlack let over
			w.lo = math.Inf(-1)
		}
		if k == f.n-1 {
			hi += fitSlack
			w.hi = math.Inf(1)
		}
		w.slivers = w.slivers[:0]
		l.drafts = w.passes(l.sweep.cut(l.strips[k], lo, hi), l.drafts[:0])
		if !do(l.drafts, w.slivers) {
			return
		}
	}
}
