package pass

import (
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// walkOrder numbers the passes so that the dead walk between them is short: from the truck
// always to the nearest end, then improved by turning stretches of the walk round until no
// turn helps. Dead walks are straight lines.
func walkOrder(ps []Pass, l *Lawn) []Pass {
	start := southWest(ps)
	if len(l.Trucks) > 0 {
		start = l.Trucks[0]
	}
	order := nearestEnds(ps, start)
	turnStretches(order, start)
	at := start
	for i := range order {
		order[i].N = i + 1
		if i > 0 {
			order[i].WalkTo = unit.Length(distance(at, order[i].Line[0]))
			order[i].Way = []geom.Coord{at, order[i].Line[0]}
		}
		at = order[i].end()
	}
	return order
}

func (p *Pass) end() geom.Coord { return p.Line[len(p.Line)-1] }

// reverse turns the walk round.
func (p *Pass) reverse() {
	slices.Reverse(p.Line)
	slices.Reverse(p.legs)
	for i := range p.legs {
		if i+1 < len(p.legs) { // what lay before a leg lies behind it now
			p.legs[i].off = p.legs[i+1].off
		} else {
			p.legs[i].off = false
		}
		l := slices.Clone(p.legs[i].line) // drafts may share it
		slices.Reverse(l)
		p.legs[i].line = l
	}
	whole := lengthOf(p.Line)
	slices.Reverse(p.Off)
	for i, o := range p.Off {
		p.Off[i] = Stretch{whole - o.To, whole - o.From}
	}
}

func southWest(ps []Pass) geom.Coord {
	best := ps[0].Line[0]
	for i := range ps {
		for _, q := range []geom.Coord{ps[i].Line[0], ps[i].end()} {
			if q[0]+q[1] < best[0]+best[1] {
				best = q
			}
		}
	}
	return best
}

func nearestEnds(ps []Pass, at geom.Coord) []Pass {
	used := make([]bool, len(ps))
	out := make([]Pass, 0, len(ps))
	for range ps {
		best, k, back := math.Inf(1), -1, false
		for i := range ps {
			if used[i] {
				continue
			}
			// Closer by a millimetre or more: ties go to the earlier strip.
			if d := distance(at, ps[i].Line[0]); d < best-1e-3 {
				best, k, back = d, i, false
			}
			if d := distance(at, ps[i].end()); d < best-1e-3 {
				best, k, back = d, i, true
			}
		}
		used[k] = true
		p := ps[k]
		if back {
			p.reverse()
		}
		at = p.end()
		out = append(out, p)
	}
	return out
}

// turnStretches reverses stretches of the order while that shortens the dead walk (2-opt).
func turnStretches(ps []Pass, start geom.Coord) {
	before := func(i int) geom.Coord {
		if i == 0 {
			return start
		}
		return ps[i-1].end()
	}
	for again := true; again; {
		again = false
		for i := range ps {
			for j := i; j < len(ps); j++ {
				gain := distance(before(i), ps[i].Line[0]) - distance(before(i), ps[j].end())
				if j+1 < len(ps) {
					gain += distance(ps[j].end(), ps[j+1].Line[0]) - distance(ps[i].Line[0], ps[j+1].Line[0])
				}
				if gain > 1e-3 {
					for a, b := i, j; a < b; a, b = a+1, b-1 {
						ps[a], ps[b] = ps[b], ps[a]
					}
					for k := i; k <= j; k++ {
						ps[k].reverse()
					}
					again = true
				}
			}
		}
	}
}
