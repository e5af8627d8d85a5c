package pass

import (
	"cmp"
	"math"
	"slices"
)

// How the search for sections goes.
const (
	mostCuts    = 30      // lines tried a plot
	widest      = 8       // cuts of a plot that are followed further
	worthACut   = 0.002   // share of the cost that a cut must save: less is not worth another section, and no better for sure
	deepest     = 6       // cuts after one another
	mainTried   = 6       // directions of a plot's own edges that are tried while dividing
	plotFinals  = 3       // directions and offsets that are laid with bends and breaks while dividing
	turnsAhead  = 2       // passes that a cut may cost at first to be followed further
	lengthAhead = 0.03    // and the share of the cost
	followWork  = 10_000  // what following a plot counts for
	mostWork    = 600_000 // edges looked at a part of the turf: about 50 ms
	overWork    = 10      // times as many at most, so that the first cuts of a large part may be looked at
)

// plotOffsets are the offsets tried while dividing.
var plotOffsets = []float64{0, 0.5, 1}

// plot is a part of the turf while it is divided.
type plot struct {
	region region
	hull   [][2]float64
	least  float64 // what it costs at least
	walked bool    // the cost is that of passes with bends and breaks
	follow *result // the passes along a narrow strip, when they cost less
	trials []trial // by the screen, the cheapest first; none when it costs more than was asked
}

func (p *plot) cost() float64 {
	if len(p.trials) == 0 {
		return math.Inf(1)
	}
	return p.trials[0].cost
}

// plotKey tells plots apart, whichever cuts they came by.
type plotKey struct{ area, x, y float64 }

func (r *region) key() plotKey {
	x, y := r.centroid()
	return plotKey{rounded(r.area), rounded(x), rounded(y)}
}

// division is plots with the cost of all.
type division struct {
	plots []*plot
	cost  float64
}

// divider searches the sections of a region.
type divider struct {
	*layout
	cutter   cutter
	main     []float64 // directions of the whole
	known    map[plotKey][]trial
	cuts     map[uint64][]option
	solved   map[uint64]division
	followed map[uint64]*followed
	beam     int
	budget   int
}

// divide gives the sections that are the cheapest way to lay the region, each with its passes.
func (l *layout) divide(r *region) []result {
	whole := l.best(r)
	if _, ok := l.given(); ok {
		return []result{l.lay(r, whole)}
	}
	d := divider{layout: l, known: map[plotKey][]trial{}, cuts: map[uint64][]option{}, followed: map[uint64]*followed{}, budget: mostWork}
	p := d.plot(*r)
	d.main = r.directions(p.hull, 4)
	p.trials, p.walked = []trial{whole}, true
	d.along(p)
	best := division{[]*plot{p}, p.cost()}
	for d.beam = 1; d.budget > 0 && d.beam <= widest; d.beam *= 2 { // a wider search while there is time
		d.solved = map[uint64]division{}
		if s := d.solve(p, deepest); s.cost < best.cost-cheaper {
			best = s
		}
	}
	var out []result
	for _, p := range best.plots {
		if p.follow != nil {
			out = append(out, *p.follow)
			continue
		}
		t := l.best(&p.region)
		if p.trials[0].cost < t.cost+cheaper {
			t = p.trials[0]
		}
		out = append(out, l.lay(&p.region, t))
	}
	return out
}

func (d *divider) plot(r region) *plot {
	p := &plot{region: r, hull: r.hull()}
	width, _ := leastWidth(p.hull)
	p.least = float64(strips(width, d.screen.swath))*d.screen.turn + r.area/d.screen.swath
	return p
}

// try ranks a plot's directions and offsets by the screen, as far as they are below limit.
func (d *divider) try(p *plot, limit float64) {
	if p.trials != nil || p.least >= limit {
		return
	}
	k := p.region.key()
	if t, ok := d.known[k]; ok {
		p.trials = t
		return
	}
	d.screen.load(&p.region, p.hull)
	r := ranking{layout: d.layout, most: plotFinals, limit: limit}
	for _, theta := range p.region.directions(p.hull, mainTried) {
		r.try(theta, plotOffsets)
	}
	for _, theta := range d.main {
		r.try(p.region.upright(theta), plotOffsets)
	}
	d.budget -= d.screen.work
	d.screen.work = 0
	if p.trials = r.trials; len(p.trials) > 0 {
		d.known[k] = p.trials
	}
}

// option is a way to cut a plot.
type option struct {
	parts []*plot
	cost  float64
}

// solve is the cheapest division known of a plot that has been tried, with at most depth cuts after one another.
func (d *divider) solve(p *plot, depth int) division {
	best := division{[]*plot{p}, d.walked(p)}
	if depth == 0 || d.budget < 0 || best.cost < 2*d.screen.turn {
		return best
	}
	k := p.region.hash()
	if s, ok := d.solved[k]; ok {
		return s
	}
	whole := best.cost
	options, ok := d.cuts[k]
	if !ok {
		options = d.options(p, best.cost)
		d.cuts[k] = options
	}
	for _, o := range options[:min(len(options), d.beam)] {
		var sum division
		for _, part := range o.parts {
			s := d.solve(part, depth-1)
			sum.plots = append(sum.plots, s.plots...)
			sum.cost += s.cost
		}
		if sum.cost < best.cost-cheaper && sum.cost < whole*(1-worthACut) {
			best = sum
		}
	}
	d.solved[k] = best
	return best
}

// hash is the same for the same edges in whatever order.
func (r *region) hash() uint64 {
	sum := uint64(0)
	for _, e := range r.edges {
		h := uint64(14695981039346656037) // FNV-1a, by words
		for _, x := range [4]float64{e.ax, e.ay, e.bx, e.by} {
			h = (h ^ math.Float64bits(x)) * 1099511628211
			h ^= h >> 29
		}
		sum += h
	}
	return sum
}

// walked is the cost of a plot's best direction and offset with bends and breaks.
func (d *divider) walked(p *plot) float64 {
	if !p.walked {
		p.trials, p.walked = []trial{fewest(d.layout.walked(&p.region, p.trials))}, true
		d.budget -= 10 * len(p.region.edges)
		d.along(p)
	}
	return p.trials[0].cost
}

// along takes the way along a plot that is a narrow strip, where that is cheaper.
func (d *divider) along(p *plot) {
	best := p.trials[0].cost
	if best < 2.5*d.screen.turn+p.region.area/d.screen.swath { // two passes with little waste
		return
	}
	k := p.region.hash()
	f, ok := d.followed[k]
	if !ok {
		f = &followed{cost: math.Inf(1)}
		if res, cost, ok := d.layout.follow(&p.region); ok {
			*f = followed{res, cost}
		}
		d.followed[k] = f
		d.budget -= followWork
	}
	if f.cost < best-cheaper {
		p.trials, p.follow = []trial{{theta: f.result.theta, cost: f.cost}}, &f.result
	}
}

// followed is what following a plot gave.
type followed struct {
	result result
	cost   float64
}

// options are the ways to cut a plot once that may pay, the cheapest first.
func (d *divider) options(p *plot, cost float64) []option {
	var out []option
	limit := cost*(1+lengthAhead) + turnsAhead*d.screen.turn
	d.cutter.load(&p.region)
	seen := map[plotKey]bool{}
	for _, l := range d.cutter.lines(d.main, d.screen.swath, mostCuts) {
		if d.budget < -overWork*mostWork {
			break
		}
		if !d.cutter.meet(l) {
			continue
		}
		for _, c := range d.cutter.choices() {
			parts := d.cutter.cut(c)
			d.budget -= d.cutter.work
			d.cutter.work = 0
			if parts == nil {
				continue
			}
			if k := parts[0].key(); !seen[k] {
				seen[k] = true
				if o := d.option(parts, limit); o.cost < limit {
					out = append(out, o)
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b option) int { return cmp.Compare(rounded(a.cost), rounded(b.cost)) })
	return out
}

// option tries the parts that a cut leaves; its cost is +Inf when they come to limit or more.
func (d *divider) option(parts []region, limit float64) option {
	var o option
	for _, r := range parts {
		p := d.plot(r)
		o.parts = append(o.parts, p)
		o.cost += p.least
	}
	for _, p := range o.parts {
		if o.cost >= limit {
			break
		}
		d.try(p, limit-o.cost+p.least)
		o.cost += p.cost() - p.least
	}
	if !(o.cost < limit) {
		o.cost = math.Inf(1)
	}
	return o
}
