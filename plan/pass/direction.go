package pass

import (
	"cmp"
	"math"
	"slices"
)

// course is a direction in which edges of a region run, with their length together, and how far the longest of them is from the
// region's centre.
type course struct{ theta, length, out float64 }

// longer puts the longer course first, and of two that are as long the one nearer to the centre.
func longer(a, b course) int {
	return cmp.Or(cmp.Compare(rounded(b.length), rounded(a.length)), cmp.Compare(rounded(a.out), rounded(b.out)))
}

// directions is the directions of the region's longest edges, the longest first, those that are the same
// added together, and of its least width.
func (r *region) directions(hull [][2]float64, most int) []float64 {
	x, y := r.centroid()
	all := make([]course, len(r.edges))
	for i, e := range r.edges {
		all[i] = course{theta: half(math.Atan2(e.by-e.ay, e.bx-e.ax)), length: math.Hypot(e.bx-e.ax, e.by-e.ay),
			out: math.Hypot((e.ax+e.bx)/2-x, (e.ay+e.by)/2-y)}
	}
	slices.SortStableFunc(all, longer)
	sum := together(all)
	slices.SortStableFunc(sum, longer)
	sum = sum[:min(len(sum), most)]
	out := make([]float64, 0, len(sum)+1)
	for _, c := range sum {
		out = append(out, r.upright(c.theta))
	}
	_, theta := leastWidth(hull)
	return append(out, r.upright(theta))
}

// together adds courses up: each that is left, the longest first, takes those beside it along.
func together(all []course) (sum []course) {
	order, place := make([]int, len(all)), make([]int, len(all)) // by direction
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int { return cmp.Compare(all[i].theta, all[j].theta) })
	for k, i := range order {
		place[i] = k
	}
	used := make([]bool, len(all))
	for i, c := range all {
		if used[i] {
			continue
		}
		s := course{theta: c.theta, out: c.out}
		for _, step := range []int{1, -1} {
			for k, n := place[i], 0; n < len(all); k, n = (k+step+len(all))%len(all), n+1 {
				j := order[k]
				if turnBetween(all[j].theta, s.theta) >= sameDirection {
					break
				}
				if !used[j] {
					s.length += all[j].length
					used[j] = true
				}
			}
		}
		sum = append(sum, s)
	}
	return sum
}

// half brings an angle into [0, pi).
func half(theta float64) float64 {
	theta = math.Mod(theta, math.Pi)
	if theta < 0 {
		theta += math.Pi
	}
	return theta
}

// turnBetween is the angle between two directions without sense, 0 to pi/2.
func turnBetween(a, b float64) float64 {
	d := half(a - b)
	return min(d, math.Pi-d)
}

// rounded is a length on a grid of 0.1 mm on which no round figure of either system lies halfway: what is equal on the lawn
// compares equal however it is turned.
func rounded(l float64) float64 { return math.Floor(l*1e4 + 0.317) }

// upright is the direction or its opposite, the one that has more of the turf on its right: which side is up
// then does not hang on how the lawn is turned.
func (r *region) upright(theta float64) float64 {
	a := newAxis(theta)
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range r.edges {
		_, v := a.to(r.edges[i].ax, r.edges[i].ay)
		lo, hi = min(lo, v), max(hi, v)
	}
	x, y := r.centroid()
	if _, v := a.to(x, y); v > (lo+hi)/2+seam {
		return theta + math.Pi
	}
	return theta
}

// leastWidth is the least width of a hull and the direction of the edge it is flush
// with (Houle and Toussaint, Computing the width of a set, IEEE PAMI 1988; from memory).
func leastWidth(h [][2]float64) (width, theta float64) {
	width = math.Inf(1)
	for i := range h {
		a, b := h[i], h[(i+1)%len(h)]
		l := math.Hypot(b[0]-a[0], b[1]-a[1])
		if l == 0 {
			continue
		}
		far := 0.0
		for _, p := range h {
			far = max(far, cross(a, b, p)/l)
		}
		if far < width-cheaper {
			width, theta = far, math.Atan2(b[1]-a[1], b[0]-a[0])
		}
	}
	return width, theta
}
