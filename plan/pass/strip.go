package pass

import (
	"cmp"
	"math"
	"slices"
)

// cell is a trapezoid of turf within a strip: between u0 and u1, from the line lo0-lo1 up to hi0-hi1.
type cell struct {
	u0, u1             float64
	lo0, lo1, hi0, hi1 float64
}

func (c *cell) area() float64 { return (c.u1 - c.u0) * (c.hi0 - c.lo0 + c.hi1 - c.lo1) / 2 }

// at interpolates the cell's floor and ceiling at u.
func (c *cell) at(u float64) (lo, hi float64) {
	t := (u - c.u0) / (c.u1 - c.u0)
	return c.lo0 + t*(c.lo1-c.lo0), c.hi0 + t*(c.hi1-c.hi0)
}

// cut is the part of the cell between u0 and u1, which must overlap it.
func (c *cell) cut(u0, u1 float64) cell {
	d := *c
	if u0 > c.u0 {
		d.u0 = u0
		d.lo0, d.hi0 = c.at(u0)
	}
	if u1 < c.u1 {
		d.u1 = u1
		d.lo1, d.hi1 = c.at(u1)
	}
	return d
}

// areaUpTo is the area of the cells' parts left of u.
func areaUpTo(cells []cell, u float64) float64 {
	a := 0.0
	for i := range cells {
		c := &cells[i]
		if c.u1 <= u {
			a += c.area()
		} else if c.u0 < u {
			d := c.cut(c.u0, u)
			a += d.area()
		}
	}
	return a
}

func totalArea(cells []cell) float64 {
	a := 0.0
	for i := range cells {
		a += cells[i].area()
	}
	return a
}

// side is a clipped edge within a strip, left to right; floor says that turf lies above it.
type side struct {
	u0, v0, u1, v1 float64
	floor          bool
}

func (s *side) at(u float64) float64 { return s.v0 + (u-s.u0)/(s.u1-s.u0)*(s.v1-s.v0) }

// sweeper cuts strips into cells; its buffers are reused from strip to strip.
type sweeper struct {
	sides  []side
	events []float64
	enter  []float64 // where the strip's lower border runs into turf and,
	leave  []float64 // sorted likewise, out of it
	active []int
	cells  []cell
}

// cut gives the cells of the turf in v0 <= v <= v1, by ascending u0. The areas of all strips'
// cells add up to the region's: nothing is shrunk or widened. The result is valid until the next call.
func (w *sweeper) cut(edges []edge, v0, v1 float64) []cell {
	w.collect(edges, v0, v1)
	slices.Sort(w.events)
	w.events = slices.Compact(w.events)
	slices.SortFunc(w.sides, func(a, b side) int { return cmp.Compare(a.u0, b.u0) })
	slices.Sort(w.enter)
	slices.Sort(w.leave)
	w.cells = w.cells[:0]
	w.active = w.active[:0]
	next, in, out := 0, 0, 0
	for i := 0; i+1 < len(w.events); i++ {
		ua, ub := w.events[i], w.events[i+1]
		mid := (ua + ub) / 2
		for ; next < len(w.sides) && w.sides[next].u0 <= ua; next++ {
			w.active = append(w.active, next)
		}
		w.active = slices.DeleteFunc(w.active, func(k int) bool { return w.sides[k].u1 <= ua })
		for ; in < len(w.enter) && w.enter[in] < mid; in++ {
		}
		for ; out < len(w.leave) && w.leave[out] < mid; out++ {
		}
		w.slab(ua, ub, mid, v0, v1, in > out)
	}
	return w.cells
}

// collect clips the edges to the strip and notes where its lower border enters and leaves turf.
func (w *sweeper) collect(edges []edge, v0, v1 float64) {
	w.sides, w.events, w.enter, w.leave = w.sides[:0], w.events[:0], w.enter[:0], w.leave[:0]
	for i := range edges {
		e := &edges[i]
		ua, va, ub, vb := e.ax, e.ay, e.bx, e.by
		// Half-open rule: a vertex on the border belongs to the ground below it.
		if (va <= v0) != (vb <= v0) {
			u := ua + (v0-va)/(vb-va)*(ub-ua)
			if va > v0 { // downward: turf lies on its left, to the east
				w.enter = append(w.enter, u)
			} else {
				w.leave = append(w.leave, u)
			}
		}
		if (va <= v0 && vb <= v0) || (va >= v1 && vb >= v1) {
			continue
		}
		ua, va, ub, vb = clip(ua, va, ub, vb, v0, v1)
		w.events = append(w.events, ua, ub)
		switch {
		case ua < ub:
			w.sides = append(w.sides, side{ua, va, ub, vb, true})
		case ub < ua:
			w.sides = append(w.sides, side{ub, vb, ua, va, false})
		}
	}
	w.events = append(w.events, w.enter...)
	w.events = append(w.events, w.leave...)
}

// clip cuts a segment to v0 <= v <= v1; it must reach into the strip.
func clip(ua, va, ub, vb, v0, v1 float64) (float64, float64, float64, float64) {
	at := func(v float64) float64 { return ua + (v-va)/(vb-va)*(ub-ua) }
	na, nva, nb, nvb := ua, va, ub, vb
	if va < v0 {
		na, nva = at(v0), v0
	} else if va > v1 {
		na, nva = at(v1), v1
	}
	if vb < v0 {
		nb, nvb = at(v0), v0
	} else if vb > v1 {
		nb, nvb = at(v1), v1
	}
	return na, nva, nb, nvb
}

// slab adds the cells between two neighbouring events. below says that turf lies at the
// strip's lower border; it decides only where no edge crosses the slab.
func (w *sweeper) slab(ua, ub, mid, v0, v1 float64, below bool) {
	if len(w.active) == 0 {
		if below {
			w.cells = append(w.cells, cell{u0: ua, u1: ub, lo0: v0, lo1: v0, hi0: v1, hi1: v1})
		}
		return
	}
	slices.SortFunc(w.active, func(i, j int) int {
		return cmp.Or(cmp.Compare(w.sides[i].at(mid), w.sides[j].at(mid)), cmp.Compare(i, j))
	})
	depth := 0
	if !w.sides[w.active[0]].floor {
		depth = 1
	}
	floor := side{ua, v0, ub, v0, true}
	for _, k := range w.active {
		s := w.sides[k]
		if s.floor {
			if depth++; depth == 1 {
				floor = s
			}
			continue
		}
		if depth--; depth == 0 {
			w.add(ua, ub, floor, s)
		}
	}
	if depth > 0 {
		w.add(ua, ub, floor, side{ua, v1, ub, v1, false})
	}
}

func (w *sweeper) add(ua, ub float64, floor, roof side) {
	c := cell{u0: ua, u1: ub, lo0: floor.at(ua), lo1: floor.at(ub), hi0: roof.at(ua), hi1: roof.at(ub)}
	if c.area() > 0 {
		w.cells = append(w.cells, c)
	}
}

// seam is closer than the grid that outlines are snapped to, metres.
const seam = 1e-6

// touch reports whether two cells meet along a stretch of their common border at a.u1 = b.u0.
func touch(a, b *cell) bool {
	return math.Abs(a.u1-b.u0) < seam && math.Min(a.hi1, b.hi0)-math.Max(a.lo1, b.lo0) > seam
}
