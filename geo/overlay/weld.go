package overlay

import (
	"cmp"
	"math"
	"slices"
)

// weld makes boundaries of a and b that run within two cells of each other one line: corners
// of b go to corners of a that near, and each side's edges get the other's corners that
// lie on them up to rounding. Without it a bed drawn on the lawn's edge leaves a strip of
// turf 0.1 mm wide, which costs no area but counts twice in the perimeter. What would
// become invalid by it is left as it was.
func (g grid) weld(a, b []shape) (wa, wb []shape) {
	within := 2 / float64(g)
	ca := cornersOf(a)
	moved := g.change(b, func(flat []float64) []float64 { return ca.pull(flat, within) })
	cb := cornersOf(moved)
	wa = g.change(a, func(flat []float64) []float64 { return cb.insert(flat, within) })
	wb = g.change(moved, func(flat []float64) []float64 { return ca.insert(flat, within) })
	return wa, wb
}

// change applies f to every ring, polygon by polygon, where the result is valid.
func (g grid) change(polys []shape, f func(flat []float64) []float64) []shape {
	out := slices.Clone(polys)
	for i, p := range polys {
		flats := make([][]float64, len(p.rings))
		changed := false
		for j, old := range p.rings {
			flats[j] = f(old)
			changed = changed || !slices.Equal(old, flats[j])
		}
		if !changed {
			continue
		}
		if q := newShape(flats...); g.valid(q) {
			out[i] = q
		}
	}
	if len(out) > 1 && !g.apart(out) {
		return polys
	}
	return out
}

// byX are corners in the order of x.
type byX []spot

func cornersOf(polys []shape) byX {
	var out byX
	for _, p := range polys {
		for _, r := range p.rings {
			for i := 0; i+3 < len(r); i += 2 {
				out = append(out, spot{r[i], r[i+1]})
			}
		}
	}
	slices.SortFunc(out, func(p, q spot) int { return cmp.Or(cmp.Compare(p.X, q.X), cmp.Compare(p.Y, q.Y)) })
	return slices.Compact(out)
}

// between are the corners with x in the range.
func (c byX) between(lo, hi float64) byX {
	i, _ := slices.BinarySearchFunc(c, lo, func(p spot, x float64) int { return cmp.Compare(p.X, x) })
	j := i
	for j < len(c) && c[j].X <= hi {
		j++
	}
	return c[i:j]
}

// pull moves points of a closed ring to corners nearer than within.
func (c byX) pull(flat []float64, within float64) []float64 {
	out := make([]float64, 0, len(flat))
	for i := 0; i < len(flat); i += 2 {
		x, y := flat[i], flat[i+1]
		best, at := within, spot{X: x, Y: y}
		for _, p := range c.between(x-within, x+within) {
			if d := math.Hypot(p.X-x, p.Y-y); d <= best {
				best, at = d, p
			}
		}
		if n := len(out); n == 0 || out[n-2] != at.X || out[n-1] != at.Y {
			out = append(out, at.X, at.Y)
		}
	}
	return out
}

// insert puts corners nearer than within to an edge of a closed ring into that edge.
func (c byX) insert(flat []float64, within float64) []float64 {
	out := make([]float64, 0, len(flat))
	for i := 0; i+3 < len(flat); i += 2 {
		ax, ay, bx, by := flat[i], flat[i+1], flat[i+2], flat[i+3]
		out = append(out, ax, ay)
		l := math.Hypot(bx-ax, by-ay)
		type stop struct{ along, x, y float64 }
		var stops []stop
		for _, p := range c.between(min(ax, bx)-within, max(ax, bx)+within) {
			if p.Y < min(ay, by)-within || p.Y > max(ay, by)+within {
				continue
			}
			along := ((p.X-ax)*(bx-ax) + (p.Y-ay)*(by-ay)) / l
			off := math.Abs((p.X-ax)*(by-ay)-(p.Y-ay)*(bx-ax)) / l
			if off <= within && along > within && along < l-within {
				stops = append(stops, stop{along, p.X, p.Y})
			}
		}
		slices.SortFunc(stops, func(p, q stop) int { return cmp.Compare(p.along, q.along) })
		for _, s := range stops {
			out = append(out, s.x, s.y)
		}
	}
	n := len(flat)
	return append(out, flat[n-2], flat[n-1])
}
