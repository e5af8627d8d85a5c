package passtest

import (
	"math"

	"tankful/calc/unit"
	"tankful/plan/pass"
)

// along checks where a pass has treated a part of its area, and the places along its line.
func (r *run) along() {
	for i := range r.Plan.Passes {
		r.alongPass(&r.Plan.Passes[i])
	}
}

func (r *run) alongPass(q *pass.Pass) {
	walk := walkOf(q.Line)
	whole := lengthOf(walk)
	if a, b := float64(r.Along(q, 0)), float64(r.Along(q, q.Area)); a != 0 || math.Abs(b-whole) > 1e-6 {
		r.fault(Along, "pass %d: nothing is treated until %.3f m, all at %.3f of %.3f", q.N, a, b, whole)
	}
	legs := legsOf(sprayed(q), cellsOf(r.Treated(q)))
	if whole < float64(r.Plan.Setup.Swath) { // a step or two, often across the strip
		legs = nil
	}
	before := 0.0
	for _, share := range []float64{0.05, 0.3, 0.5, 0.8, 0.95} {
		l := float64(r.Along(q, q.Area*unit.Area(share)))
		if !(l >= before-1e-6 && l <= whole+1e-6) {
			r.fault(Along, "pass %d: %.0f %% are treated at %.3f m, after %.3f, of %.3f", q.N, share*100, l, before, whole)
			return
		}
		before = l
		c := q.At(unit.Length(l))
		at := pt{c[0], c[1]}
		if own := stretch(walk, 0, l); len(own) > 0 && distance(own[len(own)-1], at) > 1e-6 {
			r.fault(Along, "pass %d: the point %.3f m along is %.4f m off the line's", q.N, l, distance(own[len(own)-1], at))
		}
		if off := r.offTarget(legs, walk, at, share, float64(q.Area)); off > 0 {
			r.fault(Along, "pass %d: at %.3f of %.3f m it should have treated %.0f %%, and is %.3f m2 off", q.N, l, whole, share*100, off)
		}
	}
}

// strip is the trapezoids of one direction, in walking order.
type strip struct {
	ahead pt // unit length
	cells []poly
	area  float64
}

// offTarget is by how much the area behind a point differs from the share of the pass, 0 when that is less than what a 3 mm step of
// the swath treats. The point may be in any leg: it is not known here which. At a bend from one leg to the next the turf beyond the
// end of the one and before the start of the other is treated at one point.
func (r *run) offTarget(legs []strip, walk []pt, at pt, share, area float64) float64 {
	own := 0.0
	for _, l := range legs {
		own += l.area
	}
	slack := 0.003*2*r.half + math.Abs(area-own)
	bend := false
	for _, q := range walk[1 : len(walk)-1] {
		bend = bend || distance(q, at) < 0.003
	}
	best, before := math.Inf(1), 0.0
	for i, l := range legs {
		lo := before + behind(at, l)
		hi := lo
		before += l.area
		if bend && i+1 < len(legs) {
			hi = before + behind(at, legs[i+1])
		}
		best = min(best, max(lo-share*area, share*area-hi, 0))
	}
	if best <= slack || len(legs) == 0 {
		return 0
	}
	return best
}

func behind(at pt, l strip) (sum float64) {
	side := at.plus(pt{-l.ahead.y, l.ahead.x}) // what is left of at-side is behind
	for _, c := range l.cells {
		left, _ := c.split(at, side)
		sum += left.area()
	}
	return sum
}

// legsOf sorts trapezoids, which come in walking order, by the direction square to their second and fourth sides. A
// triangle with a side too short to tell goes with the one before.
func legsOf(walks [][]pt, cells []poly) (out []strip) {
	for _, c := range cells {
		side := c[2].minus(c[1])
		if o := c[3].minus(c[0]); o.length() > side.length() {
			side = o
		}
		ahead := side.rightNormal()
		l := ahead.length()
		n := len(out)
		if n == 0 || l > 0.01 && math.Abs(out[n-1].ahead.cross(ahead)) > 1e-6*l {
			if l < 1e-6 {
				continue
			}
			out = append(out, strip{ahead: ahead.times(1 / l)})
			n++
		}
		out[n-1].cells = append(out[n-1].cells, c)
		out[n-1].area += c.area()
	}
	for i := range out {
		out[i].turn(walks)
	}
	return out
}

// turn makes the strip's direction that of the walk with the gun on where it is nearest to the middle of the strip.
func (s *strip) turn(walks [][]pt) {
	mid := pt{}
	for _, c := range s.cells {
		mid = mid.plus(c[0].plus(c[1]).plus(c[2]).plus(c[3]).times(c.area() / s.area / 4))
	}
	near, along := math.Inf(1), 0.0
	for _, walk := range walks {
		for i := 1; i < len(walk); i++ {
			d := walk[i].minus(walk[i-1])
			dot := d.dot(s.ahead)
			if far := segmentDistance(mid, walk[i-1], walk[i]); far < near && math.Abs(dot) > 0.3*d.length() {
				near, along = far, dot
			}
		}
	}
	if along < 0 {
		s.ahead = s.ahead.times(-1)
	}
}
