package overlay

import "math"

// ground is polygons laid out for asking about many points: thousands of beds are thousands of holes.
type ground []plot

type plot struct {
	box   box
	rings []plotRing
}

type plotRing struct {
	box  box
	flat []float64
}

func groundOf(polys []shape) ground {
	out := make(ground, len(polys))
	for i, p := range polys {
		out[i].box = p.box
		out[i].rings = make([]plotRing, len(p.rings))
		for k, r := range p.rings {
			out[i].rings[k] = plotRing{boxOf(r), r}
		}
	}
	return out
}

// deepInside reports whether xy is in the ground and further than two cells from every
// edge: the middle of a sliver may fall on either side of a rounded edge.
func (g grid) deepInside(xy spot, in ground) bool {
	margin := 2 / float64(g)
	for i := range in {
		if !in[i].box.holds(xy, 0) {
			continue
		}
		inside, nearest := false, math.Inf(1)
		for k := range in[i].rings {
			r := &in[i].rings[k]
			if !r.box.holds(xy, margin) { // it does not go round xy, and is not near
				continue
			}
			for i := 0; i+3 < len(r.flat); i += 2 {
				ax, ay, bx, by := r.flat[i]-xy.X, r.flat[i+1]-xy.Y, r.flat[i+2]-xy.X, r.flat[i+3]-xy.Y
				if (ay > 0) != (by > 0) && ax+(bx-ax)*ay/(ay-by) > 0 {
					inside = !inside
				}
				nearest = min(nearest, distanceFromOrigin(ax, ay, bx, by))
			}
		}
		if inside && nearest > margin {
			return true
		}
	}
	return false
}

func distanceFromOrigin(ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	t := 0.0
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t = min(1, max(0, -(ax*dx+ay*dy)/l2))
	}
	return math.Hypot(ax+t*dx, ay+t*dy)
}
