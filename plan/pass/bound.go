package pass

import (
	"math"
	"slices"
)

// bound fills the bounds on passes from the parts of the turf that the strips get: what no plan can go below that has this plan's
// swath and edge laps, and takes strips together as often. A pass is a strip; where the plan made one of two that meet, or of a
// narrow strip's bends, the strips are bounded and the joints taken off. Parts that gun-off crossings may bring together, or that a
// pass goes on across, count as the one that needs most.
func (p *Plan) bound(parts []region) {
	w := float64(p.Setup.Swath)
	joints := p.joints(parts)
	any, oneWay := make([]int, len(parts)), make([]int, len(parts))
	for i := range parts {
		if parts[i].area < scrap { // it may go with a pass beside it
			continue
		}
		any[i] = max(parts[i].boundStrips(w)-joints[i], 1)
		oneWay[i] = max(any[i], parts[i].boundOneWay(w)-joints[i])
	}
	group := groups(parts, float64(p.Setup.GunOff))
	p.shared(parts, group)
	for i := range parts {
		if group[i] != i {
			continue
		}
		most, mostOneWay := 0, 0
		for k := range parts {
			if group[k] == i {
				most, mostOneWay = max(most, any[k]), max(mostOneWay, oneWay[k])
			}
		}
		p.BoundPasses += most
		p.BoundOneWay += mostOneWay
	}
	p.BoundPasses = max(p.BoundPasses+p.Laps, 1)
	p.BoundOneWay = max(p.BoundOneWay+p.Laps, 1)
}

// shared puts parts into one group that one pass of the plan treats together: neighbours that touch, which a pass goes on across.
func (p *Plan) shared(parts []region, group []int) {
	for i := range p.Passes {
		q, first := &p.Passes[i], -1
		if q.Kind == Lap || len(q.legs) < 2 {
			continue
		}
		for k := range parts {
			switch {
			case !q.within(&parts[k]):
			case first < 0:
				first = k
			default:
				merge(group, first, k)
			}
		}
	}
}

// merge puts the groups of two parts together, under the first of their parts.
func merge(group []int, a, b int) {
	from, to := max(group[a], group[b]), min(group[a], group[b])
	for j := range group {
		if group[j] == from {
			group[j] = to
		}
	}
}

// joints counts, by part, how often the plan's passes go on from one strip in another.
func (p *Plan) joints(parts []region) []int {
	n := make([]int, len(parts))
	for i := range p.Passes {
		q := &p.Passes[i]
		if q.Kind == Lap || len(q.legs) < 2 {
			continue
		}
		here := 0
		for k := 1; k < len(q.legs); k++ {
			if !sameStrip(&q.legs[k-1], &q.legs[k]) {
				here++
			}
		}
		for k := range parts {
			if here > 0 && q.within(&parts[k]) {
				n[k] += here
			}
		}
	}
	return n
}

// sameStrip reports whether two legs lie in one strip.
func sameStrip(a, b *leg) bool {
	if math.Abs(a.axis.c-b.axis.c) > 1e-9 || math.Abs(a.axis.s-b.axis.s) > 1e-9 || len(a.cells) == 0 || len(b.cells) == 0 {
		return false
	}
	lo, hi := heights(a.cells)
	lo2, hi2 := heights(b.cells)
	return min(hi, hi2)-max(lo, lo2) > min(hi-lo, hi2-lo2)/2
}

func heights(cells []cell) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for i := range cells {
		c := &cells[i]
		lo, hi = min(lo, c.lo0, c.lo1), max(hi, c.hi0, c.hi1)
	}
	return lo, hi
}

// within reports whether the pass treats turf of the part.
func (p *Pass) within(r *region) bool {
	return slices.ContainsFunc(p.legs, func(l leg) bool {
		if len(l.cells) == 0 {
			return false
		}
		c := &l.cells[0]
		u := (c.u0 + c.u1) / 2
		lo, hi := c.at(u)
		at := l.axis.from(u, (lo+hi)/2)
		return r.clearance(at[0], at[1]) > 0
	})
}

// groups gives for each part the first of those that it hangs together with by gaps of at most gap; itself when gap is 0.
func groups(parts []region, gap float64) []int {
	group := make([]int, len(parts))
	for i := range group {
		group[i] = i
		for k := range i {
			if gap <= 0 || group[k] == group[i] || !parts[i].near(&parts[k], gap+fitSlack) {
				continue
			}
			merge(group[:i+1], i, k)
		}
	}
	return group
}

// near reports whether some corner of one part lies within gap of an edge of the other: the least distance of
// parts that do not overlap is at a corner.
func (r *region) near(o *region, gap float64) bool {
	for _, e := range r.edges {
		if math.Abs(o.clearance(e.ax, e.ay)) <= gap {
			return true
		}
	}
	for _, e := range o.edges {
		if math.Abs(r.clearance(e.ax, e.ay)) <= gap {
			return true
		}
	}
	return false
}

// boundOneWay is what no plan in one direction can go below on a connected part: the strips must cover the turf's
// width across them, which is least along an edge of the hull (see leastWidth). It counts every tip.
func (r *region) boundOneWay(w float64) int {
	width, _ := leastWidth(r.hull())
	return int(math.Ceil((width - fitSlack) / w))
}

// boundStrips is what no plan of strips of width w can go below on a part:
//
//   - strips that cover a convex body have widths that sum to its least width at least (Bang, A solution of the "plank
//     problem", Proc. Amer. Math. Soc. 2, 1951; from memory), so there are width/w of them for any convex body of turf, less the
//     tips that go with the pass beside them;
//   - the turf in one strip is at most w x the part's longest chord, so there are area/(w x chord).
//
// Strips may be exceeded by fitSlack in all, as they are laid.
func (r *region) boundStrips(w float64) int {
	width, best := 0.0, region{}
	for _, c := range r.roomiest() {
		body := r.body(c)
		if len(body.edges) < 3 {
			continue
		}
		if least, _ := leastWidth(body.hull()); least > width {
			width, best = least, body
		}
	}
	if len(best.edges) > 0 {
		best = best.blunt(max(sliver, min(mostFlick, r.area*flickShare)))
		if width = 0; len(best.edges) > 2 {
			width, _ = leastWidth(best.hull())
		}
	}
	return int(math.Ceil((max(width, (1-tipShare)*r.area/r.chord())-fitSlack)/w - 1e-9))
}

// tipShare is more of a part than all tips together that its strips leave to the passes beside them: 0.12 % at most on 860
// real sites, measured.
const tipShare = 0.002
