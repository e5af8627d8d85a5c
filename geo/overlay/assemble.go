package overlay

import (
	"cmp"
	"slices"
)

// assemble puts simple rings that do not cross into polygons: counter-clockwise rings are
// shells, each clockwise ring is a hole of the smallest shell around it.
func (g grid) assemble(rings [][]point) []shape {
	var shells, holes [][]point
	for _, r := range rings {
		if len(r) < 3 {
			continue
		}
		if doubleArea(r) > 0 {
			shells = append(shells, r)
		} else {
			holes = append(holes, r)
		}
	}
	slices.SortStableFunc(shells, func(a, b []point) int { return cmp.Compare(doubleArea(a), doubleArea(b)) })
	parts := make([][][]float64, len(shells))
	for i, s := range shells {
		parts[i] = [][]float64{g.flat(s)}
	}
	for _, h := range holes {
		for i, s := range shells {
			if ringInRing(h, s) {
				parts[i] = append(parts[i], g.flat(h))
				break
			}
		}
	}
	polys := make([]shape, len(parts))
	for i, p := range parts {
		polys[i] = newShape(p...)
	}
	return polys
}

// doubleArea is twice the signed area in cells. Sums may pass 64 bits on the way and come
// back: the true result always fits.
func doubleArea(r []point) int64 {
	var sum int64
	for i, p := range r {
		q := r[(i+1)%len(r)]
		sum += (p.x-r[0].x)*(q.y-r[0].y) - (q.x-r[0].x)*(p.y-r[0].y)
	}
	return sum
}

// ringInRing reports whether hole h lies in shell s; they may touch in points. The first
// corner of h that is not on s decides, and then the middle of an edge.
func ringInRing(h, s []point) bool {
	for _, p := range h {
		if in, on := pointInRing(p, s); !on {
			return in
		}
	}
	twice := make([]point, len(s))
	for i, p := range s {
		twice[i] = point{2 * p.x, 2 * p.y}
	}
	for i, p := range h {
		q := h[(i+1)%len(h)]
		if in, on := pointInRing(point{p.x + q.x, p.y + q.y}, twice); !on {
			return in
		}
	}
	return false
}

func pointInRing(p point, r []point) (in, on bool) {
	for i, a := range r {
		b := r[(i+1)%len(r)]
		s := side(a, b, p)
		if p == a || s == 0 && within(segment{a: a, b: b}, p) {
			return false, true
		}
		if (a.y > p.y) != (b.y > p.y) && (b.y > a.y) == (s > 0) {
			in = !in
		}
	}
	return in, false
}
