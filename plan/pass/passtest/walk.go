package passtest

import (
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/pass"
)

func walkOf(line []geom.Coord) []pt {
	out := make([]pt, len(line))
	for i, c := range line {
		out[i] = pt{c[0], c[1]}
	}
	return out
}

func lengthOf(walk []pt) (l float64) {
	for i := 1; i < len(walk); i++ {
		l += distance(walk[i-1], walk[i])
	}
	return l
}

// stretch is the part of the walk from one length along it to another.
func stretch(walk []pt, from, to float64) (out []pt) {
	at := 0.0
	for i := 1; i < len(walk); i++ {
		a, b := walk[i-1], walk[i]
		l := distance(a, b)
		lo, hi := max(from-at, 0), min(to-at, l)
		if l > 0 && lo < hi {
			if len(out) == 0 {
				out = append(out, between(a, b, lo/l))
			}
			out = append(out, between(a, b, hi/l))
		}
		at += l
	}
	return out
}

// sprayed gives the stretches of the pass that are walked with the gun on.
func sprayed(p *pass.Pass) (out [][]pt) {
	walk := walkOf(p.Line)
	at, whole := 0.0, lengthOf(walk)
	for _, o := range p.Off {
		if s := clean(stretch(walk, at, float64(o.From))); len(s) > 1 {
			out = append(out, s)
		}
		at = float64(o.To)
	}
	if s := clean(stretch(walk, at, whole)); len(s) > 1 {
		out = append(out, s)
	}
	return out
}

// clean leaves out points at which a walk does not bend: a swath is round at its bends only.
func clean(walk []pt) (out []pt) {
	for i, q := range walk {
		if n := len(out); n > 0 && distance(out[n-1], q) < 1e-6 {
			if i+1 == len(walk) && n > 1 {
				out[n-1] = q
			}
			continue
		}
		if n := len(out); n > 1 && math.Abs(turn(out[n-1].minus(out[n-2]), q.minus(out[n-1]))) < 1e-4 {
			out[n-1] = q
			continue
		}
		out = append(out, q)
	}
	return out
}

// swath gives what lies within half of the walk as convex shapes, which overlap: a box for every stretch, cut square at the
// two ends of the walk and round outside its bends.
func swath(walk []pt, half float64) (out []poly) {
	var ds []pt
	var qs []pt // without repeated points
	for i, q := range walk {
		if i == 0 {
			qs = append(qs, q)
			continue
		}
		last := qs[len(qs)-1]
		if l := distance(last, q); l > 1e-9 {
			qs, ds = append(qs, q), append(ds, q.minus(last).times(1/l))
		}
	}
	for i, d := range ds {
		n := d.rightNormal().times(half)
		out = append(out, poly{qs[i].plus(n), qs[i+1].plus(n), qs[i+1].minus(n), qs[i].minus(n)})
		if i == 0 {
			continue
		}
		out = append(out, wedge(qs[i], ds[i-1], turn(ds[i-1], d), half))
	}
	return out
}

// turn is the angle from one direction to the next, left positive.
func turn(a, b pt) float64 { return math.Atan2(a.cross(b), a.dot(b)) }

// wedge is the sector outside a bend where the direction d turns by angle.
func wedge(at, d pt, angle, half float64) poly {
	n := int(math.Abs(angle)/(5*math.Pi/180)) + 1
	step := math.Abs(angle) / float64(n)
	p := poly{at}
	r := d.rightNormal().times(half * math.Sqrt(step/math.Sin(step))) // as large as the sector
	if angle < 0 {
		r = r.times(-1)
	}
	for i := range n + 1 {
		p = append(p, at.plus(r.turned(angle*float64(i)/float64(n))))
	}
	if angle < 0 {
		for i, j := 0, len(p)-1; i < j; i, j = i+1, j-1 {
			p[i], p[j] = p[j], p[i]
		}
	}
	return p
}

// apart makes shapes that overlap into pieces that do not.
func apart(shapes []poly) (out []poly) {

	boxes := make([]box, len(shapes))
	for i, s := range shapes {
		boxes[i] = s.box()
		left := []poly{s}
		for k := range i {
			if !boxes[k].meets(boxes[i]) {
				continue
			}
			var next []poly
			for _, p := range left {
				next, _ = p.less(shapes[k], next)
			}
			left = next
		}
		out = append(out, left...)
	}
	return out
}

// Swath is what lies within half of the pass's line where the gun is on, as convex polygons that overlap.
func Swath(p *pass.Pass, half unit.Length) (out []*geom.MultiPolygon) {
	for _, walk := range sprayed(p) {
		for _, s := range swath(walk, float64(half)) {
			var flat []float64
			for _, q := range append(s[:len(s):len(s)], s[0]) {
				flat = append(flat, q.x, q.y)
			}
			out = append(out, geom.NewMultiPolygonFlat(geom.XY, flat, [][]int{{len(flat)}}))
		}
	}
	return out
}
