package passtest

import "math"

// pt is a point of the plane, metres.
type pt struct{ x, y float64 }

func (a pt) minus(b pt) pt          { return pt{a.x - b.x, a.y - b.y} }
func (a pt) plus(b pt) pt           { return pt{a.x + b.x, a.y + b.y} }
func (a pt) times(f float64) pt     { return pt{a.x * f, a.y * f} }
func (a pt) dot(b pt) float64       { return a.x*b.x + a.y*b.y }
func (a pt) cross(b pt) float64     { return a.x*b.y - a.y*b.x }
func (a pt) length() float64        { return math.Hypot(a.x, a.y) }
func distance(a, b pt) float64      { return b.minus(a).length() }
func between(a, b pt, f float64) pt { return a.plus(b.minus(a).times(f)) }
func (a pt) rightNormal() pt        { return pt{a.y, -a.x} }
func (a pt) turned(angle float64) pt {
	s, c := math.Sincos(angle)
	return pt{c*a.x - s*a.y, s*a.x + c*a.y}
}
func segmentDistance(q, a, b pt) float64 { return distance(q, between(a, b, foot(q, a, b))) }

// foot is where on a-b, as a share of it, the point nearest to q lies.
func foot(q, a, b pt) float64 {
	d := b.minus(a)
	l := d.dot(d)
	if l == 0 {
		return 0
	}
	return min(max(q.minus(a).dot(d)/l, 0), 1)
}

// poly is a convex polygon, anticlockwise.
type poly []pt

func (p poly) area() float64 {
	if len(p) < 3 {
		return 0
	}
	sum := 0.0
	for i := 2; i < len(p); i++ { // from the first corner: far from the origin no digits are lost
		sum += p[i-1].minus(p[0]).cross(p[i].minus(p[0]))
	}
	return sum / 2
}

// rotated turns the polygon by the angle that d has to the x axis; d has unit length.
func (p poly) rotated(d pt) poly {
	out := make(poly, len(p))
	for i, q := range p {
		out[i] = pt{d.x*q.x - d.y*q.y, d.y*q.x + d.x*q.y}
	}
	return out
}

type box struct{ x0, y0, x1, y1 float64 }

func (p poly) box() box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for _, q := range p {
		b = box{min(b.x0, q.x), min(b.y0, q.y), max(b.x1, q.x), max(b.y1, q.y)}
	}
	return b
}

func (b box) meets(c box) bool {
	return b.x0 <= c.x1 && c.x0 <= b.x1 && b.y0 <= c.y1 && c.y0 <= b.y1
}

// split cuts the polygon along the line through a and b: what lies left of it and what lies right. It takes any
// ring: of one that is not convex the areas are right, though its parts hang together by seams.
func (p poly) split(a, b pt) (left, right poly) {
	d := b.minus(a)
	for i, q := range p {
		r := p[(i+1)%len(p)]
		u, v := d.cross(q.minus(a)), d.cross(r.minus(a))
		if u >= 0 {
			left = append(left, q)
		}
		if u <= 0 {
			right = append(right, q)
		}
		if u > 0 && v < 0 || u < 0 && v > 0 {
			m := between(q, r, u/(u-v))
			left, right = append(left, m), append(right, m)
		}
	}
	return left, right
}

// apart reports whether an edge of p has all of q outside.
func (p poly) apart(q poly) bool {
	for i, a := range p {
		d := p[(i+1)%len(p)].minus(a)
		if d.length() < hair {
			continue
		}
		out := true
		for _, r := range q {
			if d.cross(r.minus(a)) > 0 {
				out = false
				break
			}
		}
		if out {
			return true
		}
	}
	return false
}

// common is the part of p within c.
func (p poly) common(c poly) poly {
	if c.area() < speck { // its edges may all be hairs, which cut nothing off
		return nil
	}
	for i, a := range c {
		b := c[(i+1)%len(c)]
		if distance(a, b) < hair {
			continue
		}
		if p, _ = p.split(a, b); len(p) < 3 {
			return nil
		}
	}
	return p
}

// speck is less than any figure here can tell, square metres; the direction of an edge below a hair, metres, is noise.
const speck, hair = 1e-10, 1e-7

// less gives the parts of p outside c, appended to out, and the part within; none when they do not meet, and then p is whole.
func (p poly) less(c poly, out []poly) ([]poly, poly) {
	if c.area() < speck || p.apart(c) || c.apart(p) {
		return append(out, p), nil
	}
	rest, whole := p, len(out)
	for i, a := range c {
		b := c[(i+1)%len(c)]
		if distance(a, b) < hair {
			continue
		}
		var off poly
		if rest, off = rest.split(a, b); off.area() > speck {
			out = append(out, off)
		}
		if rest.area() < speck {
			return append(out[:whole], p), nil
		}
	}
	return out, rest
}
