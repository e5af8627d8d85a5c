package pass

import (
	"errors"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// ErrNoTurf says that a lawn has nothing to walk on: no part of it is as large as 0.2 sq ft.
var ErrNoTurf = errors.New("no turf to lay passes on")

// ErrLaps says that the turf's edge can not be followed inside: it has too many corners, or the overlay refuses it.
var ErrLaps = errors.New("no edge lap could be laid")

// Lay covers the lawn with numbered passes. Each connected part of the turf is divided into
// sections of one direction each, as pays; before that it gets its edge laps. It fails with ErrNoTurf or ErrLaps,
// on a setup that no equipment has, on corners that are not finite, and on turf 20,000 swaths long.
func Lay(l Lawn, s Setup) (*Plan, error) {
	if err := s.check(); err != nil {
		return nil, err
	}
	if err := l.check(s); err != nil {
		return nil, err
	}
	p := &Plan{Setup: s}
	parts := regions(l.Net)
	for i := range parts {
		p.Net += unit.Area(parts[i].area)
	}
	w := work{setup: s, lawn: &l, plan: p}
	for _, r := range regions(l.NoWalk) {
		w.noWalk = append(w.noWalk, r.edges...)
	}
	inner, err := w.edgeLaps(parts)
	if err != nil {
		return nil, err
	}
	w.layStrips(inner)
	if len(w.passes) == 0 {
		return nil, ErrNoTurf
	}
	w.giveSpecks()
	w.join()
	w.cross()
	w.walkOrder()
	p.sum()
	p.bound(inner)
	p.cover(&l, parts)
	return p, nil
}

// work is a plan being made.
type work struct {
	setup  Setup
	lawn   *Lawn
	plan   *Plan
	noWalk []edge
	passes []Pass
	specks []region // turf too small for a pass of its own
}

// strips lays the strips of one region, section by section.
func (w *work) strips(r *region) {
	for _, res := range newLayout(w.setup, w.noWalk).divide(r) {
		w.section(res)
	}
}

// section adds the passes of one section.
func (w *work) section(res result) {
	switch {
	case len(res.passes) > 0:
		tight := 1.0
		for i := range res.passes {
			for _, l := range res.passes[i].legs {
				tight = max(tight, l.tight)
			}
		}
		w.add(Section{Kind: Follow, Bearing: bearing(res.theta), Spacing: w.setup.Swath / unit.Length(tight), Area: unit.Area(res.region.area)}, res.passes)
	case len(res.drafts) > 0:
		w.add(Section{Kind: Straight, Bearing: bearing(res.theta), Spacing: unit.Length(res.spacing), Area: unit.Area(res.region.area),
			across: unit.Length(breadth(res.region.hull(), newAxis(res.theta)))}, res.number(w.setup))
	default:
		w.specks = append(w.specks, res.region)
	}
}

// add adds a section with its passes.
func (w *work) add(s Section, ps []Pass) {
	for i := range ps {
		ps[i].Section = len(w.plan.Sections)
	}
	w.plan.Sections = append(w.plan.Sections, s)
	w.passes = append(w.passes, ps...)
}

// number turns drafts into passes in the property's axes, gives the slivers to the nearest of
// them, and leaves the order to walkOrder.
func (r *result) number(s Setup) []Pass {
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
		out[i] = Pass{Kind: d.kind, legs: []leg{{axis: a, cells: d.cells, line: d.line, extra: d.extra, tight: float64(s.Swath) / r.spacing}}}
		out[i].fill(s)
	}
	return out
}

// fill takes the figures of a pass from its legs.
func (p *Pass) fill(s Setup) {
	p.Line, p.Off, p.Area = nil, nil, 0
	at, off := unit.Length(0), unit.Length(0)
	for i := range p.legs {
		l := &p.legs[i]
		if i > 0 {
			before := &p.legs[i-1]
			step := before.stepTo(l)
			for _, q := range before.way {
				p.Line = append(p.Line, geom.Coord{q[0], q[1]})
			}
			if before.off {
				p.Off = append(p.Off, Stretch{at, at + step})
				off += step
			}
			at += step
		}
		for _, q := range l.line {
			c := l.axis.from(q.u, q.v)
			if n := len(p.Line); n == 0 || distance(p.Line[n-1], c) > seam {
				p.Line = append(p.Line, c)
			}
		}
		at += unit.Length(l.length())
		p.Area += unit.Area(l.area())
	}
	p.Length = at - off
	p.Sprayed = p.Length.By(s.Swath)
	if s.Trims {
		p.Sprayed = 0
		for i := range p.legs {
			p.Sprayed += unit.Area(p.legs[i].area() * max(p.legs[i].tight, 1))
		}
	}
}

// giveSpecks gives turf too small for a pass to the pass whose ends or bends are nearest.
func (w *work) giveSpecks() {
	for i := range w.specks {
		r := &w.specks[i]
		at := geom.Coord{r.edges[0].ax, r.edges[0].ay}
		best, k := math.Inf(1), 0
		for j := range w.passes {
			for _, c := range w.passes[j].Line {
				if d := distance(at, c); d < best {
					best, k = d, j
				}
			}
		}
		p := &w.passes[k]
		p.legs[0].extra += r.area
		p.Area += unit.Area(r.area)
		if p.Sprayed < p.Area { // a fixed width covers it already
			p.Sprayed = p.Area
		}
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
		q := &p.Passes[i]
		p.SprayedLength += q.Length
		p.DeadWalk += q.WalkTo
		for _, o := range q.Off {
			p.DeadWalk += o.To - o.From
		}
		if q.Kind == Lap {
			p.Laps++
			p.Turns += q.corners()
		}
		p.Sections[q.Section].Passes++
	}
	largest := unit.Area(0)
	for _, s := range p.Sections {
		if s.Area > largest {
			largest, p.Bearing = s.Area, s.Bearing
		}
	}
	p.Turns += len(p.Passes) - 1
	p.BoundLength = p.Net.Divide(p.Setup.Swath)
}

func lengthOf(line []geom.Coord) (l unit.Length) {
	for i := 1; i < len(line); i++ {
		l += unit.Length(distance(line[i-1], line[i]))
	}
	return l
}
