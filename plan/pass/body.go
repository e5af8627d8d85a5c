package pass

import (
	"cmp"
	"container/heap"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// chord is the greatest distance of two of the region's corners.
func (r *region) chord() (far float64) {
	h := r.hull()
	for i := range h {
		for j := range h[:i] {
			far = max(far, math.Hypot(h[i][0]-h[j][0], h[i][1]-h[j][1]))
		}
	}
	return far
}

// body is convex turf round a point of it: all that is left of a square when each edge that reaches into it, the nearest first,
// cuts off what lies beyond its point nearest to c, square to the way there. Such a cut takes the whole edge off, because
// an edge is convex.
func (r *region) body(c geom.Coord) region {
	far := r.chord()
	var cuts []halfPlane
	for _, d := range []geom.Coord{{1, 0}, {0, 1}, {-1, 0}, {0, -1}} {
		cuts = append(cuts, halfPlane{d, d[0]*c[0] + d[1]*c[1] + far})
	}
	edges := slices.Clone(r.edges)
	slices.SortFunc(edges, func(a, b edge) int { return cmp.Compare(distance(a.nearest(c), c), distance(b.nearest(c), c)) })
	for _, e := range edges {
		for _, h := range cuts {
			if e = h.clip(e); math.Hypot(e.bx-e.ax, e.by-e.ay) < seam {
				break
			}
		}
		if math.Hypot(e.bx-e.ax, e.by-e.ay) < seam {
			continue
		}
		q := e.nearest(c)
		l := distance(c, q)
		if l < seam {
			return region{}
		}
		n := geom.Coord{(q[0] - c[0]) / l, (q[1] - c[1]) / l}
		cuts = append(cuts, halfPlane{n, n[0]*q[0] + n[1]*q[1]})
	}
	return polygonOf(cuts)
}

// halfPlane is the points whose product with n is at most d.
type halfPlane struct {
	n geom.Coord
	d float64
}

func (h *halfPlane) beyond(x, y float64) float64 { return h.n[0]*x + h.n[1]*y - h.d }

// clip keeps the part of an edge in the half-plane; an edge of no length when there is none.
func (h *halfPlane) clip(e edge) edge {
	a, b := h.beyond(e.ax, e.ay), h.beyond(e.bx, e.by)
	if a >= 0 && b >= 0 {
		return edge{}
	}
	if a > 0 {
		t := a / (a - b)
		e.ax, e.ay = e.ax+t*(e.bx-e.ax), e.ay+t*(e.by-e.ay)
	} else if b > 0 {
		t := b / (b - a)
		e.bx, e.by = e.bx+t*(e.ax-e.bx), e.by+t*(e.ay-e.by)
	}
	return e
}

// polygonOf is the polygon that half-planes, four of them a square, leave.
func polygonOf(cuts []halfPlane) region {
	var r region
	cuts = distinct(cuts)
	for i, h := range cuts {
		at := geom.Coord{h.n[0] * h.d, h.n[1] * h.d}
		const long = 1e7 // metres: more than any ground
		e := edge{at[0] + long*h.n[1], at[1] - long*h.n[0], at[0] - long*h.n[1], at[1] + long*h.n[0]}
		for k := range cuts {
			if k != i {
				e = cuts[k].clip(e)
			}
		}
		if math.Hypot(e.bx-e.ax, e.by-e.ay) > seam {
			r.edges = append(r.edges, e)
		}
	}
	return r
}

// nearest is the point of the edge that is nearest to c.
func (e *edge) nearest(c geom.Coord) geom.Coord {
	t, _ := onto([2]float64{e.ax, e.ay}, [2]float64{e.bx, e.by}, [2]float64{c[0], c[1]})
	return geom.Coord{e.ax + t*(e.bx-e.ax), e.ay + t*(e.by-e.ay)}
}

// roomiest is the centres of the largest few discs of turf that were found, the last near the largest there is (within 1 %):
// squares are searched in the order of the largest disc they could hold.
func (r *region) roomiest() (centres []geom.Coord) {
	const few = 6
	best := 0.0
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, e := range r.edges {
		x0, x1 = min(x0, e.ax), max(x1, e.ax)
		y0, y1 = min(y0, e.ay), max(y1, e.ay)
	}
	half := min(x1-x0, y1-y0) / 2
	if half <= 0 {
		return nil
	}
	q := &squares{}
	for x := x0; x < x1; x += 2 * half {
		for y := y0; y < y1; y += 2 * half {
			heap.Push(q, r.square(x+half, y+half, half))
		}
	}
	for tries := 0; q.Len() > 0 && tries < 4000; tries++ {
		s := heap.Pop(q).(square)
		if s.most <= best*1.01 {
			break
		}
		if s.here > best {
			best = s.here
			if centres = append(centres, geom.Coord{s.x, s.y}); len(centres) > few {
				centres = centres[1:]
			}
		}
		for _, d := range [][2]float64{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
			if t := r.square(s.x+d[0]*s.half/2, s.y+d[1]*s.half/2, s.half/2); t.most > best*1.01 {
				heap.Push(q, t)
			}
		}
	}
	return centres
}

// square is a square with the disc round its centre and the largest any point of it could have.
type square struct{ x, y, half, here, most float64 }

func (r *region) square(x, y, half float64) square {
	d := r.clearance(x, y)
	return square{x, y, half, d, d + half*math.Sqrt2}
}

// clearance is the distance from a point to the edge of the turf, negative outside.
func (r *region) clearance(x, y float64) float64 {
	near := math.Inf(1) // squared
	for i := range r.edges {
		e := &r.edges[i]
		dx, dy := e.bx-e.ax, e.by-e.ay
		px, py := x-e.ax, y-e.ay
		if d := dx*dx + dy*dy; d > 0 {
			t := min(max((px*dx+py*dy)/d, 0), 1)
			px, py = px-t*dx, py-t*dy
		}
		near = min(near, px*px+py*py)
	}
	if !r.holds(x, y) {
		return -math.Sqrt(near)
	}
	return math.Sqrt(near)
}

// squares is a heap, the most promising square first; ties by place, so that the search is repeatable.
type squares []square

func (s squares) Len() int { return len(s) }
func (s squares) Less(i, j int) bool {
	if s[i].most != s[j].most {
		return s[i].most > s[j].most
	}
	return s[i].x < s[j].x || s[i].x == s[j].x && s[i].y < s[j].y
}
func (s squares) Swap(i, j int) { s[i], s[j] = s[j], s[i] }
func (s *squares) Push(x any)   { *s = append(*s, x.(square)) }
func (s *squares) Pop() any {
	o := *s
	x := o[len(o)-1]
	*s = o[:len(o)-1]
	return x
}

// distinct leaves of cuts in the same direction the nearest: alike, each would cut the other's side off.
func distinct(cuts []halfPlane) (out []halfPlane) {
	for _, h := range cuts {
		i := slices.IndexFunc(out, func(o halfPlane) bool { return distance(o.n, h.n) < seam })
		if i < 0 {
			out = append(out, h)
		} else if h.d < out[i].d {
			out[i] = h
		}
	}
	return out
}

// blunt is what is left of a convex body when from every side the cap of area tip is taken off it: whatever such tips a plan leaves
// to the passes beside them, its strips cover this. Sides are taken every two degrees and along the edges; between them
// the body is by a hair's breadth too large, which bluntHair takes off.
func (r *region) blunt(tip float64) region {
	h := r.hull()
	var cuts []halfPlane
	add := func(theta float64) {
		sin, cos := math.Sincos(theta)
		n := geom.Coord{cos, sin}
		cuts = append(cuts, halfPlane{n, capAt(h, n, tip) - bluntHair})
	}
	const sides = 180
	for i := range sides {
		add(2 * math.Pi * float64(i) / sides)
	}
	for i := range h {
		a, b := h[i], h[(i+1)%len(h)]
		add(math.Atan2(a[0]-b[0], b[1]-a[1]))
	}
	return polygonOf(cuts)
}

// bluntHair is how far a body reaches beyond what sides two degrees apart leave of it, metres: by less than this where caps are as small as
// a tip may be.
const bluntHair = 0.001

// capAt is how far along n a convex polygon may reach so that beyond lies the area tip of it, by bisection.
func capAt(h [][2]float64, n geom.Coord, tip float64) float64 {
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range h {
		d := p[0]*n[0] + p[1]*n[1]
		lo, hi = min(lo, d), max(hi, d)
	}
	for range 30 {
		mid := (lo + hi) / 2
		if beyond(h, n, mid) > tip {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

// beyond is the area of a convex polygon, anticlockwise, where the product with n is over d.
func beyond(h [][2]float64, n geom.Coord, d float64) float64 {
	var first, last [2]float64
	count, twice := 0, 0.0
	put := func(x, y float64) {
		p := [2]float64{x, y}
		if count > 0 {
			twice += last[0]*p[1] - p[0]*last[1]
		} else {
			first = p
		}
		last = p
		count++
	}
	for i, p := range h {
		q := h[(i+1)%len(h)]
		a, b := p[0]*n[0]+p[1]*n[1]-d, q[0]*n[0]+q[1]*n[1]-d
		if a >= 0 {
			put(p[0], p[1])
		}
		if (a >= 0) != (b >= 0) {
			t := a / (a - b)
			put(p[0]+t*(q[0]-p[0]), p[1]+t*(q[1]-p[1]))
		}
	}
	if count < 3 {
		return 0
	}
	twice += last[0]*first[1] - first[0]*last[1]
	return twice / 2
}
