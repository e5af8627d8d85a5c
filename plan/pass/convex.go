package pass

import (
	"cmp"
	"slices"
)

// convex is the corners of a convex polygon, anticlockwise. Cutting convex polygons by lines is all the geometry that the
// turf beside a leg needs: whole outlines are the business of geo/overlay.
type convex [][2]float64

// crumb is ground that is lost in cutting, square metres.
const crumb = 1e-9

func (c convex) area() float64 {
	twice := 0.0
	for i := 2; i < len(c); i++ {
		twice += cross(c[0], c[i-1], c[i])
	}
	return twice / 2
}

// left is the part of c to the left of the line from a to b.
func (c convex) left(a, b [2]float64) convex {
	var out convex
	for i, p := range c {
		q := c[(i+1)%len(c)]
		dp, dq := cross(a, b, p), cross(a, b, q)
		if dp >= 0 {
			out = append(out, p)
		}
		if dp > 0 && dq < 0 || dp < 0 && dq > 0 {
			t := dp / (dp - dq)
			out = append(out, [2]float64{p[0] + t*(q[0]-p[0]), p[1] + t*(q[1]-p[1])})
		}
	}
	return out
}

// and is what c and d share.
func (c convex) and(d convex) convex {
	for i := range d {
		if c = c.left(d[i], d[(i+1)%len(d)]); len(c) < 3 {
			return nil
		}
	}
	return c
}

// less adds c without d to out, in convex pieces.
func (c convex) less(d convex, out []convex) []convex {
	if !c.meets(d) || c.and(d).area() < crumb {
		return append(out, c)
	}
	for i := range d {
		a, b := d[i], d[(i+1)%len(d)]
		if beyond := c.left(b, a); beyond.area() > crumb {
			out = append(out, beyond)
		}
		c = c.left(a, b)
	}
	return out
}

// meets reports whether the boxes of c and d meet.
func (c convex) meets(d convex) bool {
	cl, ch := c.box()
	dl, dh := d.box()
	return cl[0] < dh[0] && dl[0] < ch[0] && cl[1] < dh[1] && dl[1] < ch[1]
}

func (c convex) box() (lo, hi [2]float64) {
	if len(c) == 0 {
		return
	}
	lo, hi = c[0], c[0]
	for _, p := range c {
		lo[0], hi[0] = min(lo[0], p[0]), max(hi[0], p[0])
		lo[1], hi[1] = min(lo[1], p[1]), max(hi[1], p[1])
	}
	return lo, hi
}

// in is c in the axes of a.
func (c convex) in(a axis) convex {
	out := make(convex, len(c))
	for i, p := range c {
		out[i][0], out[i][1] = a.to(p[0], p[1])
	}
	return out
}

// between is the part of c within s along the axis.
func (c convex) between(a axis, s span) convex {
	at := func(u, v float64) [2]float64 { p := a.from(u, v); return [2]float64{p[0], p[1]} }
	return c.left(at(s.u0, 1), at(s.u0, 0)).left(at(s.u1, 0), at(s.u1, 1))
}

// cells adds c as trapezoids to out.
func (c convex) cells(out []cell) []cell {
	us := make([]float64, len(c))
	for i, p := range c {
		us[i] = p[0]
	}
	slices.Sort(us)
	for k := 1; k < len(us); k++ {
		t := cell{u0: us[k-1], u1: us[k]}
		if t.u1-t.u0 < crumb {
			continue
		}
		mid := (t.u0 + t.u1) / 2
		for i, p := range c {
			q := c[(i+1)%len(c)]
			s := side{p[0], p[1], q[0], q[1], false}
			switch {
			case p[0] <= mid && mid < q[0]:
				t.lo0, t.lo1 = s.at(t.u0), s.at(t.u1)
			case q[0] <= mid && mid < p[0]:
				t.hi0, t.hi1 = s.at(t.u0), s.at(t.u1)
			}
		}
		if t.area() > crumb {
			out = append(out, t)
		}
	}
	return out
}

// convex is the cell as a polygon.
func (c *cell) convex() convex {
	return convex{{c.u0, c.lo0}, {c.u1, c.lo1}, {c.u1, c.hi1}, {c.u0, c.hi0}}
}

func sortCells(cells []cell) {
	slices.SortFunc(cells, func(a, b cell) int { return cmp.Or(cmp.Compare(a.u0, b.u0), cmp.Compare(a.lo0, b.lo0)) })
}
