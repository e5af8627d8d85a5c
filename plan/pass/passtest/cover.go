package passtest

import (
	"maps"
	"math"
	"math/rand/v2"
	"slices"

	"github.com/twpayne/go-geom"
)

// trapezoid is one piece of turf that a pass treats.
type trapezoid struct {
	pass int
	poly poly
	box  box
}

func cellsOf(mp *geom.MultiPolygon) (out []poly) {
	for i := range mp.NumPolygons() {
		flat := mp.Polygon(i).FlatCoords()
		var p poly
		for k := 0; k+3 < len(flat); k += 2 {
			p = append(p, pt{flat[k], flat[k+1]})
		}
		out = append(out, p)
	}
	return out
}

// treated checks the trapezoids of each pass: their area is the pass's but for slivers it takes along, they lie on the turf
// and within the swath of its own line.
func (r *run) treated() {
	outside, loose, extra := 0.0, 0.0, 0.0
	for i := range r.Plan.Passes {
		q := &r.Plan.Passes[i]
		own, area := newPieces(0, 0, 1), 0.0
		for _, c := range cellsOf(r.Treated(q)) {
			a := c.area()
			area += a
			outside += a - r.net.within(c)
			own.add(c)
		}
		more := float64(q.Area) - area
		extra += math.Abs(more)
		if more < -3e-4*area || more > 2*mostExtra && more > 0.05*area {
			r.fault(Treated, "pass %d treats %.4f m2, its trapezoids are %.4f", q.N, float64(q.Area), area)
		}
		for _, s := range r.rough[i] {
			own.take(s)
		}
		left := own.area()
		loose += left
		if left > r.lim.LoosePass*area && left > mostLoose {
			r.fault(Treated, "pass %d: %.3f m2 of its %.3f m2 are out of reach of its line, such as %.2f", q.N, left, area, own.some())
		}
	}
	r.report.Loose, r.report.Extra = loose/r.net.size, extra/r.net.size
	if outside > 1e-4*r.net.size {
		r.fault(Treated, "%.4f m2 of the trapezoids are outside the turf", outside)
	}
	if r.report.Loose > r.lim.Loose {
		r.fault(Treated, "%.4f of the turf is out of reach of the line of its own pass", r.report.Loose)
	}
	if r.report.Extra > r.lim.Extra {
		r.fault(Treated, "%.5f of the turf is in no trapezoid of its pass", r.report.Extra)
	}
}

const (
	mostExtra = 0.3 // m2 of slivers at one place that are sprayed from the pass beside them
	mostLoose = 0.1 // m2 of a pass that count for nothing
)

// overlaps checks that the trapezoids of passes do not overlap.
func (r *run) overlaps() {
	var all []trapezoid
	for i := range r.Plan.Passes {
		for _, c := range cellsOf(r.Treated(&r.Plan.Passes[i])) {
			all = append(all, trapezoid{i, c, c.box()})
		}
	}
	slices.SortFunc(all, func(a, b trapezoid) int {
		if a.box.x0 < b.box.x0 {
			return -1
		}
		return 1
	})
	sum, worst, pair := 0.0, 0.0, [2]int{}
	for i := range all {
		for k := i + 1; k < len(all) && all[k].box.x0 < all[i].box.x1; k++ {
			a, b := &all[i], &all[k]
			if !a.box.meets(b.box) || a.poly.apart(b.poly) || b.poly.apart(a.poly) {
				continue
			}
			both := a.poly.common(b.poly).area()
			if sum += both; both > worst {
				worst, pair = both, [2]int{a.pass + 1, b.pass + 1}
			}
		}
	}
	if sum > 0.001*r.net.size {
		r.fault(Overlaps, "trapezoids overlap by %.4f m2 in all, such as %d and %d by %.4f", sum, pair[0], pair[1], worst)
	}
}

// coverage subtracts the swaths from the turf one by one, and holds the plan's own figures against what is found.
func (r *run) coverage() {
	r.turfWalk()
	p := r.Plan
	if c := r.report.Covered; c < r.lim.Covered {
		r.fault(Coverage, "%.5f of the turf is covered", c)
	}
	figure := func(name string, given, found float64) {
		if math.Abs(given-found) > r.lim.Figure*r.net.size {
			r.fault(Figures, "%s: %.2f m2 found, given as %.2f", name, found, given)
		}
	}
	figure("covered", float64(p.Covered), r.report.Covered*r.net.size)
	figure("double", float64(p.Double), r.report.Double*r.net.size)
	figure("overspray", float64(p.Overspray), r.report.Overspray*r.net.size)
	sum := 0.0
	for _, k := range slices.Sorted(maps.Keys(p.Onto)) {
		sum += float64(p.Onto[k])
	}
	if p.Onto != nil {
		figure("overspray by surface", sum, r.report.Overspray*r.net.size)
	}
}

// turfWalk finds what is covered, what is covered twice, and what falls outside.
func (r *run) turfWalk() {
	y0, y1 := math.Inf(1), math.Inf(-1)
	for _, p := range r.turf {
		b := p.rotated(r.level).box()
		y0, y1 = min(y0, b.y0), max(y1, b.y1)
	}
	left, once, outside := newPieces(y0, y1, r.half), newPieces(y0, y1, r.half), 0.0
	for _, p := range r.turf {
		left.add(p.rotated(r.level))
	}
	for _, set := range r.sets {
		var first []poly
		for _, s := range set {
			if !r.Plan.Setup.Trims {
				outside += s.area() - r.net.within(s)
			}
			s = s.rotated(r.level)
			once.take(s)
			first = append(first, left.take(s)...)
		}
		once.add(first...)
	}
	r.report.Covered = 1 - left.area()/r.net.size
	r.report.Double = r.report.Covered - once.area()/r.net.size
	r.report.Overspray = outside / r.net.size
}

// points tries points of the turf, by distance to the stretches that are sprayed.
func (r *run) points() {
	if r.lim.Points == 0 {
		return
	}
	var walks [][]pt
	for i := range r.Plan.Passes {
		walks = append(walks, sprayed(&r.Plan.Passes[i])...)
	}
	missed, first := 0, pt{}
	for i, q := range sample(r.turf, r.lim.Points, rand.New(rand.NewPCG(1, 2))) {
		if i%16 == 0 && !r.net.has(q) && r.net.edgeDistance(q) > 1e-6 {
			r.fault(Points, "the trapezoids have a point outside the turf at %.3f, %.3f", q.x, q.y)
		}
		if !inSwath(walks, q, r.half) {
			missed++
			first = q
		}
	}
	r.report.Missed = float64(missed) / float64(r.lim.Points)
	n, bad := float64(r.lim.Points), 1-r.lim.Covered
	if float64(missed) > n*bad+3*math.Sqrt(n*bad)+1 { // three deviations of the draw
		r.fault(Points, "%d of %d points are in no swath, such as %.2f, %.2f", missed, r.lim.Points, first.x, first.y)
	}
	if d := math.Abs(1 - r.report.Covered - r.report.Missed); d > 4*math.Sqrt(max(1-r.report.Covered, 1/n)/n)+1/n {
		r.fault(Points, "points miss %.5f, by subtraction it is %.5f", r.report.Missed, 1-r.report.Covered)
	}
}

// inSwath reports whether a point is square to a stretch within half, or that near to a bend and outside it.
func inSwath(walks [][]pt, q pt, half float64) bool {
	for _, w := range walks {
		past := false // the end of the stretch before
		for k := 1; k < len(w); k++ {
			a, b := w[k-1], w[k]
			d := b.minus(a)
			l := d.length()
			if l == 0 {
				continue
			}
			along, across := q.minus(a).dot(d)/l, d.cross(q.minus(a))/l
			if math.Abs(across) <= half && along >= 0 && along <= l || past && along < 0 && distance(a, q) <= half {
				return true
			}
			past = along > l
		}
	}
	return false
}
