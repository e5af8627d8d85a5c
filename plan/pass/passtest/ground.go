package passtest

import (
	"math"
	"math/rand/v2"
	"slices"
	"sort"

	"github.com/twpayne/go-geom"
)

// ground is polygons as rings: shells anticlockwise, holes clockwise, whatever they were.
type ground struct {
	rings []poly
	boxes []box
	size  float64 // square metres
}

func groundOf(mp *geom.MultiPolygon) *ground {
	g := &ground{}
	if mp == nil {
		return g
	}
	for i := range mp.NumPolygons() {
		for k := range mp.Polygon(i).NumLinearRings() {
			g.ring(mp.Polygon(i).LinearRing(k).FlatCoords(), k == 0)
		}
	}
	return g
}

func (g *ground) ring(flat []float64, shell bool) {
	var r poly
	for i := 0; i+1 < len(flat); i += 2 {
		if q := (pt{flat[i], flat[i+1]}); len(r) == 0 || r[len(r)-1] != q {
			r = append(r, q)
		}
	}
	if len(r) > 1 && r[0] == r[len(r)-1] {
		r = r[:len(r)-1]
	}
	if (r.area() > 0) != shell {
		slices.Reverse(r)
	}
	g.rings, g.boxes, g.size = append(g.rings, r), append(g.boxes, r.box()), g.size+r.area()
}

func (g *ground) rotated(d pt) *ground {
	out := &ground{size: g.size}
	for _, r := range g.rings {
		r = r.rotated(d)
		out.rings, out.boxes = append(out.rings, r), append(out.boxes, r.box())
	}
	return out
}

func (g *ground) edges(f func(a, b pt)) {
	for _, r := range g.rings {
		for i := range r {
			f(r[i], r[(i+1)%len(r)])
		}
	}
}

// has counts crossings to the east.
func (g *ground) has(q pt) bool {
	in := false
	g.edges(func(a, b pt) {
		if (a.y > q.y) != (b.y > q.y) && q.x < a.x+(q.y-a.y)/(b.y-a.y)*(b.x-a.x) {
			in = !in
		}
	})
	return in
}

// edgeDistance is how far the nearest edge is, inside or outside.
func (g *ground) edgeDistance(q pt) float64 {
	near := math.Inf(1)
	g.edges(func(a, b pt) { near = min(near, segmentDistance(q, a, b)) })
	return near
}

// within is how much of the ground lies in c: its rings clipped to c (Sutherland and Hodgman 1974; from memory).
func (g *ground) within(c poly) float64 {
	sum, b := 0.0, c.box()
	for i, r := range g.rings {
		if g.boxes[i].meets(b) {
			sum += r.common(c).area()
		}
	}
	return sum
}

// trapezoids cuts the ground at the height of every corner.
func (g *ground) trapezoids() (out []poly) {
	var ys []float64
	type edge struct{ a, b pt } // upward
	var es []edge
	g.edges(func(a, b pt) {
		ys = append(ys, a.y)
		if a.y < b.y {
			es = append(es, edge{a, b})
		} else if b.y < a.y {
			es = append(es, edge{b, a})
		}
	})
	slices.Sort(ys)
	ys = slices.Compact(ys)
	slices.SortFunc(es, func(p, q edge) int {
		if p.a.y < q.a.y {
			return -1
		}
		return 1
	})
	next := 0
	var active []edge
	for i := 0; i+1 < len(ys); i++ {
		lo, hi := ys[i], ys[i+1]
		for ; next < len(es) && es[next].a.y <= lo; next++ {
			active = append(active, es[next])
		}
		active = slices.DeleteFunc(active, func(e edge) bool { return e.b.y <= lo })
		at := func(e edge, y float64) float64 { return e.a.x + (y-e.a.y)/(e.b.y-e.a.y)*(e.b.x-e.a.x) }
		slices.SortFunc(active, func(p, q edge) int {
			if at(p, (lo+hi)/2) < at(q, (lo+hi)/2) {
				return -1
			}
			return 1
		})
		for k := 0; k+1 < len(active); k += 2 {
			l, r := active[k], active[k+1]
			p := poly{{at(l, lo), lo}, {at(r, lo), lo}, {at(r, hi), hi}, {at(l, hi), hi}}
			if p.area() > 0 {
				out = append(out, p)
			}
		}
	}
	return out
}

// sample gives n points of the pieces, one of each n-th of their area.
func sample(turf []poly, n int, rng *rand.Rand) []pt {
	ends := make([]float64, len(turf))
	sum := 0.0
	for i, p := range turf {
		sum += p.area()
		ends[i] = sum
	}
	out := make([]pt, 0, n)
	for i := range n {
		at := (float64(i) + rng.Float64()) / float64(n) * sum
		p := turf[min(sort.SearchFloat64s(ends, at), len(ends)-1)]
		k, share := 2, rng.Float64()*p.area() // a triangle of the fan, by area
		for ; k < len(p)-1; k++ {
			if t := p[k-1].minus(p[0]).cross(p[k].minus(p[0])) / 2; share > t {
				share -= t
			} else {
				break
			}
		}
		u, v := rng.Float64(), rng.Float64()
		if u+v > 1 {
			u, v = 1-u, 1-v
		}
		out = append(out, p[0].plus(p[k-1].minus(p[0]).times(u)).plus(p[k].minus(p[0]).times(v)))
	}
	return out
}

// stay is a stretch of a walk within the ground or outside it, as lengths from its start.
type stay struct {
	from, to float64
	deep     float64 // the furthest from the edge that was found
	where    pt
}

// stays gives the stretches of the walk, longer than least, that lie in the ground (inside) or out of it, and by more than
// depth somewhere.
func (g *ground) stays(walk []pt, inside bool, least, depth float64) (out []stay) {
	at := 0.0
	for i := 1; i < len(walk); i++ {
		a, b := walk[i-1], walk[i]
		l := distance(a, b)
		cuts := g.cuts(a, b)
		for k := 1; k < len(cuts); k++ {
			f0, f1 := cuts[k-1], cuts[k]
			if (f1-f0)*l < 1e-9 || g.has(between(a, b, (f0+f1)/2)) != inside {
				continue
			}
			if n := len(out); n > 0 && at+f0*l-out[n-1].to < 1e-6 {
				out[n-1].to = at + f1*l
			} else {
				out = append(out, stay{from: at + f0*l, to: at + f1*l})
			}
		}
		at += l
	}
	kept := out[:0]
	for _, s := range out {
		if s.to-s.from > least && g.deepest(walk, &s, depth) {
			kept = append(kept, s)
		}
	}
	return kept
}

// deepest finds where a stretch is furthest from the edge, and whether that is further than depth.
func (g *ground) deepest(walk []pt, s *stay, depth float64) bool {
	part := stretch(walk, s.from, s.to)
	for i := 1; i < len(part); i++ {
		for j := range 9 {
			q := between(part[i-1], part[i], float64(j+1)/10)
			if d := g.edgeDistance(q); d > s.deep {
				s.deep, s.where = d, q
			}
		}
	}
	return s.deep > depth
}

// cuts is where a-b crosses edges, as sorted shares, with 0 and 1.
func (g *ground) cuts(a, b pt) []float64 {
	cuts := []float64{0, 1}
	d := b.minus(a)
	line := poly{a, b}.box()
	for i, r := range g.rings {
		if !g.boxes[i].meets(line) {
			continue
		}
		for k, p := range r {
			q := r[(k+1)%len(r)]
			e := q.minus(p)
			n := d.cross(e)
			if n == 0 {
				continue
			}
			f, h := p.minus(a).cross(e)/n, p.minus(a).cross(d)/n
			if f > 0 && f < 1 && h >= -1e-12 && h <= 1+1e-12 {
				cuts = append(cuts, f)
			}
		}
	}
	slices.Sort(cuts)
	return cuts
}
