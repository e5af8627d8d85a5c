package pass

import (
	"errors"
	"fmt"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// ErrNoTurf says that a lawn has nothing to walk on: no part of it is as large as 0.2 sq ft.
var ErrNoTurf = errors.New("no turf to lay passes on")

// Lay covers the lawn with numbered passes. Each connected part of the turf gets strips of
// its own in its own best direction: a pass never leaves its part. It fails with ErrNoTurf,
// or on a setup that no equipment has.
func Lay(l Lawn, s Setup) (*Plan, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	var walls []edge
	for _, r := range regions(l.NoWalk) {
		walls = append(walls, r.edges...)
	}
	p := &Plan{Setup: s}
	var passes []Pass
	var specks []region // parts too small for a pass
	largest := 0.0
	parts := regions(l.Net)
	for _, r := range parts {
		p.Net += unit.Area(r.area)
		lay := layout{region: &r, noWalk: walls, setup: s}
		res := lay.best()
		if r.area > largest {
			largest, p.Bearing = r.area, bearing(res.theta)
		}
		p.BoundPasses += r.boundPasses(float64(s.Swath))
		if len(res.drafts) == 0 {
			specks = append(specks, r)
		}
		passes = append(passes, res.number(float64(s.Swath), s.Trims)...)
	}
	if len(passes) == 0 {
		return nil, ErrNoTurf
	}
	for _, r := range specks {
		take(passes, geom.Coord{r.edges[0].ax, r.edges[0].ay}, unit.Area(r.area))
	}
	p.Passes = walkOrder(passes, l.Truck)
	p.sum()
	p.cover(parts)
	return p, nil
}

func (s Setup) check() error {
	switch {
	case !(s.Swath > 0) || math.IsInf(float64(s.Swath), 0):
		return fmt.Errorf("swath of %v is not above zero", s.Swath)
	case !(s.SideStep >= 0):
		return fmt.Errorf("side step of %v is below zero", s.SideStep)
	case !(s.TurnCost >= 0):
		return fmt.Errorf("turn cost of %v is below zero", s.TurnCost)
	case s.Bearing != nil && !(*s.Bearing >= 0 && *s.Bearing < 360):
		return fmt.Errorf("bearing of %v degrees is outside 0 to 360", *s.Bearing)
	}
	return nil
}

// number turns drafts into passes in the property's axes, gives the slivers to the nearest of
// them, and leaves the order to walkOrder.
func (r *result) number(swath float64, trims bool) []Pass {
	for i := range r.slivers {
		c := &r.slivers[i]
		if d := nearest(r.drafts, (c.u0+c.u1)/2, (c.lo0+c.hi1)/2); d != nil {
			d.extra += c.area()
		}
	}
	a := newAxis(r.theta)
	out := make([]Pass, len(r.drafts))
	for i := range r.drafts {
		d := &r.drafts[i]
		p := Pass{Kind: d.kind, Length: unit.Length(d.length()), Area: unit.Area(d.area + d.extra), axis: a, cells: d.cells}
		for _, q := range d.line {
			p.Line = append(p.Line, a.from(q.u, q.v))
			p.walkU = append(p.walkU, q.u)
		}
		p.Sprayed = p.Area
		if !trims {
			p.Sprayed = p.Length.By(unit.Length(swath))
		}
		out[i] = p
	}
	return out
}

// take gives turf too small for a pass to the pass whose ends or bends are nearest.
func take(passes []Pass, at geom.Coord, a unit.Area) {
	best, k := math.Inf(1), 0
	for i := range passes {
		for _, c := range passes[i].Line {
			if d := distance(at, c); d < best {
				best, k = d, i
			}
		}
	}
	passes[k].Area += a
	if passes[k].Sprayed < passes[k].Area { // a fixed width covers it already
		passes[k].Sprayed = passes[k].Area
	}
}

func nearest(ds []draft, u, v float64) *draft {
	best, at := math.Inf(1), -1
	for i := range ds {
		for _, q := range ds[i].line {
			if d := math.Hypot(q.u-u, q.v-v); d < best {
				best, at = d, i
			}
		}
		// A straight line is near along its whole length, not only at its ends.
		a, b := ds[i].line[0], ds[i].line[len(ds[i].line)-1]
		if u > min(a.u, b.u) && u < max(a.u, b.u) {
			if d := min(math.Abs(a.v-v), math.Abs(b.v-v)); d < best {
				best, at = d, i
			}
		}
	}
	if at < 0 {
		return nil
	}
	return &ds[at]
}

// sum fills the totals from the ordered passes.
func (p *Plan) sum() {
	for i := range p.Passes {
		p.SprayedLength += p.Passes[i].Length
		p.DeadWalk += p.Passes[i].WalkTo
	}
	p.Turns = len(p.Passes) - 1
	p.BoundLength = p.Net.Divide(p.Setup.Swath)
}

// walkOrder numbers the passes so that the dead walk between them is short: from the truck
// always to the nearest end, then improved by turning stretches of the walk round until no
// turn helps. Dead walks are straight lines.
func walkOrder(ps []Pass, truck *geom.Coord) []Pass {
	start := southWest(ps)
	if truck != nil {
		start = *truck
	}
	order := nearestEnds(ps, start)
	turnStretches(order, start)
	at := start
	for i := range order {
		order[i].N = i + 1
		if i > 0 {
			order[i].WalkTo = unit.Length(distance(at, order[i].Line[0]))
		}
		at = order[i].end()
	}
	return order
}

func (p *Pass) end() geom.Coord { return p.Line[len(p.Line)-1] }

// reverse turns the walk round.
func (p *Pass) reverse() {
	for i, j := 0, len(p.Line)-1; i < j; i, j = i+1, j-1 {
		p.Line[i], p.Line[j] = p.Line[j], p.Line[i]
		p.walkU[i], p.walkU[j] = p.walkU[j], p.walkU[i]
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
