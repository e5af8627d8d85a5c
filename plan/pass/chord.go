package pass

import (
	"cmp"
	"math"
	"slices"
)

const (
	across     = 2.0  // a chord crosses a strip when the way round along the edge is this much longer at least
	snug       = 0.05 // a chord that ends this near to a corner ends in it, metres
	even       = 1e-3 // a corner that turns by less is none, radians
	fullest    = 800  // corners of an outline beyond which no strip is looked for
	mostChords = 72   // chords tried along a strip
)

// outline is a strip of turf whose edge is walked as one ring: two long sides and two ends. Where the ring was
// cut open, the cut runs along it twice.
type outline struct {
	ring  [][2]float64 // anticlockwise, the turf on its left
	cut   []int        // corners at which edges of the cut begin
	holes [][]edge     // beds and the like within the strip
}

// chord crosses the outline from corner a to corner b > a of its ring.
type chord struct {
	a, b   int
	length float64
	out    float64 // from the middle of the ring, in millimetres: a key that stays when the lawn is turned
}

// foot is where a chord from a corner meets the far side: on the edge that begins at corner k, a share t of it on.
type foot struct {
	from, k int
	t       float64
	length  float64
}

// at is corner i of the ring, counted round it.
func (o *outline) at(i int) [2]float64 { n := len(o.ring); return o.ring[((i%n)+n)%n] }

// feet are the ways across the strip from its corners: from an outward corner to the nearest point of the far side, from an
// inward one along the line that halves its angle.
func (o *outline) feet() []foot {
	cum := make([]float64, len(o.ring)+1)
	for i := range o.ring {
		cum[i+1] = cum[i] + dist2(o.at(i), o.at(i+1))
	}
	var out []foot
	for i := range o.ring {
		f, ok := foot{}, false
		switch {
		case o.onCut(i):
		case math.Abs(o.angle(i)) < even: // nothing bends here
		case o.angle(i) > 0:
			f, ok = o.nearestAcross(i, cum)
		default:
			f, ok = o.halving(i, cum)
		}
		if ok && o.inside(f) {
			out = append(out, f)
		}
	}
	return out
}

func (o *outline) onCut(i int) bool {
	n := len(o.ring)
	return slices.Contains(o.cut, i) || slices.Contains(o.cut, (i+n-1)%n)
}

// arc is the shorter way round from the corner to the foot.
func (f foot) arc(cum []float64) float64 {
	whole := cum[len(cum)-1]
	arc := math.Abs(cum[f.k] + f.t*(cum[f.k+1]-cum[f.k]) - cum[f.from])
	return min(arc, whole-arc)
}

// isAcross says that the way round to the foot is long against the chord.
func (f foot) isAcross(cum []float64) bool {
	return f.arc(cum) >= across*f.length-1e-6 && f.length > snug
}

// betters says that the foot is nearer than g, or as near and further round.
func (f foot) betters(g foot, cum []float64) bool {
	const same = 1e-6
	return f.length < g.length-same || f.length < g.length+same && f.arc(cum) > g.arc(cum)+same
}

func (o *outline) nearestAcross(i int, cum []float64) (best foot, ok bool) {
	p := o.at(i)
	best.length = math.Inf(1)
	for k := range o.ring {
		if slices.Contains(o.cut, k) {
			continue
		}
		t, d := onto(o.at(k), o.at(k+1), p)
		if f := (foot{i, k, t, d}); f.betters(best, cum) && f.isAcross(cum) {
			best, ok = f, true
		}
	}
	return best, ok
}

func (o *outline) halving(i int, cum []float64) (best foot, ok bool) {
	p, a, b := o.at(i), o.at(i-1), o.at(i+1)
	in, out := unitFrom(a, p), unitFrom(p, b)
	// Half of the way from the direction onwards to the one back, on the left of the edge.
	d := [2]float64{out[0] - in[0], out[1] - in[1]}
	if l := math.Hypot(d[0], d[1]); l < 1e-6 {
		d = [2]float64{-in[1], in[0]}
	} else {
		d = [2]float64{-d[0] / l, -d[1] / l}
	}
	best.length = math.Inf(1)
	for k := range o.ring {
		if k == i || k == (i+len(o.ring)-1)%len(o.ring) || slices.Contains(o.cut, k) {
			continue
		}
		q, r := o.at(k), o.at(k+1)
		ex, ey := r[0]-q[0], r[1]-q[1]
		det := d[0]*ey - d[1]*ex
		if math.Abs(det) < 1e-12 {
			continue
		}
		s := ((q[0]-p[0])*ey - (q[1]-p[1])*ex) / det
		t := ((q[0]-p[0])*d[1] - (q[1]-p[1])*d[0]) / det
		if s > 0 && t >= 0 && t <= 1 && s < best.length-1e-9 {
			best = foot{i, k, t, s}
		}
	}
	return best, !math.IsInf(best.length, 1) && best.isAcross(cum)
}

// inside reports whether the chord to the foot crosses no other edge and runs over the turf.
func (o *outline) inside(f foot) bool {
	n := len(o.ring)
	p, a, b := o.at(f.from), o.at(f.k), o.at(f.k+1)
	q := [2]float64{a[0] + f.t*(b[0]-a[0]), a[1] + f.t*(b[1]-a[1])}
	for k := range o.ring {
		if k == f.k || k == f.from || (k+1)%n == f.from {
			continue
		}
		if dist2(a, q) < snug && (k+1)%n == f.k || dist2(b, q) < snug && k == (f.k+1)%n {
			continue
		}
		if meets(p, q, o.at(k), o.at(k+1)) {
			return false
		}
	}
	for _, h := range o.holes {
		for _, e := range h {
			if meets(p, q, [2]float64{e.ax, e.ay}, [2]float64{e.bx, e.by}) {
				return false
			}
		}
	}
	return inRing(o.ring, [2]float64{(p[0] + q[0]) / 2, (p[1] + q[1]) / 2})
}

// chords puts the feet into the ring as corners and gives the chords that do not cross each other, short ones
// first where they do.
func (o *outline) chords() []chord {
	feet := o.feet()
	index := o.insert(feet)
	middle, _ := centroid(o.ring)
	var out []chord
	for i, f := range feet {
		a, b := min(index[i][0], index[i][1]), max(index[i][0], index[i][1])
		if b-a > 1 && b-a < len(o.ring)-1 {
			c := chord{a: a, b: b, length: math.Round(f.length*100) / 100}
			c.out = math.Round(dist2(middle, o.mid(c)) * 1000)
			out = append(out, c)
		}
	}
	slices.SortFunc(out, func(x, y chord) int {
		return cmp.Or(cmp.Compare(x.length, y.length), cmp.Compare(x.out, y.out), cmp.Compare(x.a, y.a), cmp.Compare(x.b, y.b))
	})
	kept := out[:0]
	for _, c := range out {
		if !slices.ContainsFunc(kept, func(d chord) bool { return c.crosses(d) || c.a == d.a && c.b == d.b }) {
			kept = append(kept, c)
		}
	}
	return kept
}

func (c chord) crosses(d chord) bool {
	return c.a < d.a && d.a < c.b && c.b < d.b || d.a < c.a && c.a < d.b && d.b < c.b
}

// insert makes corners of the feet and gives each chord's two corners.
func (o *outline) insert(feet []foot) [][2]int {
	order := make([]int, len(feet))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(i, j int) int {
		return cmp.Or(cmp.Compare(feet[i].k, feet[j].k), cmp.Compare(feet[i].t, feet[j].t))
	})
	var ring [][2]float64
	var cut []int
	at := make([]int, len(o.ring)) // where the old corners are
	out := make([][2]int, len(feet))
	ends := make([]int, len(feet)) // feet that are the end of an edge: that edge + 1
	next := 0
	for k := range o.ring {
		at[k] = len(ring)
		if slices.Contains(o.cut, k) {
			cut = append(cut, len(ring))
		}
		ring = append(ring, o.ring[k])
		a, b := o.at(k), o.at(k+1)
		l := dist2(a, b)
		for ; next < len(order) && feet[order[next]].k == k; next++ {
			i := order[next]
			f := feet[i]
			switch last := ring[len(ring)-1]; {
			case (1-f.t)*l < snug:
				ends[i] = k + 1
				continue
			case f.t*l-dist2(a, last) >= snug: // else the corner before will do
				ring = append(ring, [2]float64{a[0] + f.t*(b[0]-a[0]), a[1] + f.t*(b[1]-a[1])})
			}
			out[i][1] = len(ring) - 1
		}
	}
	for i, f := range feet {
		out[i][0] = at[f.from]
		if ends[i] > 0 {
			out[i][1] = at[ends[i]%len(at)]
		}
	}
	o.ring, o.cut = ring, cut
	return out
}

// sorted gives the chords from one end of the strip to the other: the longest way over chords each of which lies between
// its neighbours. The ring is turned so that its first corner lies at the strip's beginning.
func (o *outline) sorted(cs []chord) []chord {
	if len(cs) == 0 {
		return nil
	}
	// The far end of the longest way from any chord is an end of the longest way of all, as in a tree.
	there, back := o.longest(cs, cs[0].a, cs[0].b), o.longest(cs, cs[0].b, cs[0].a)
	end := there
	if wayLength(o, back) > wayLength(o, there) {
		end = back
	}
	from := end[len(end)-1]
	way := o.longest(cs, from.b, from.a)
	if last := way[len(way)-1]; last.out > way[0].out { // begin at the outer end
		from = last
		way = o.longest(cs, from.b, from.a)
	}
	for i, c := range way { // from.b is the first corner now
		way[i].a, way[i].b = o.turnedTo(c.a, from.b), o.turnedTo(c.b, from.b)
	}
	o.begin(from.b)
	return way
}

func (o *outline) turnedTo(i, origin int) int { n := len(o.ring); return (i - origin + n) % n }

// longest is the longest way over chords within the ring's stretch from corner a on to corner b, that begins with the chord from a to b.
// Its chords run in the ring's direction, the first from a to b.
func (o *outline) longest(cs []chord, a, b int) []chord {
	n := len(o.ring)
	span := (b - a + n) % n
	type seen struct {
		x, y, from int // corners counted from a
		sum        float64
		c          chord
	}
	in := []seen{{x: 0, y: span, from: -1, c: chord{a: a, b: b}}}
	for _, c := range cs {
		if min(a, b) == c.a && max(a, b) == c.b {
			in[0].c.length, in[0].c.out = c.length, c.out
		}
		x, y := (c.a-a+n)%n, (c.b-a+n)%n
		if x > y {
			x, y = y, x
			c.a, c.b = c.b, c.a
		}
		if y <= span && (x != 0 || y != span) {
			in = append(in, seen{x: x, y: y, c: c, from: -1})
		}
	}
	slices.SortFunc(in[1:], func(p, q seen) int {
		return cmp.Or(cmp.Compare(q.y-q.x, p.y-p.x), cmp.Compare(p.x, q.x))
	})
	best := 0
	for i := 1; i < len(in); i++ {
		for j := range i {
			if in[j].x <= in[i].x && in[i].y <= in[j].y {
				// A chord counts for a little itself: one halfway between two is not to be there or not by noise.
				if s := in[j].sum + dist2(o.mid(in[j].c), o.mid(in[i].c)) + snug; s > in[i].sum+1e-6 {
					in[i].sum, in[i].from = s, j
				}
			}
		}
		if in[i].sum > in[best].sum+1e-6 {
			best = i
		}
	}
	var out []chord
	for i := best; i >= 0; i = in[i].from {
		out = append(out, in[i].c)
	}
	slices.Reverse(out)
	return out
}

func (o *outline) mid(c chord) [2]float64 {
	a, b := o.at(c.a), o.at(c.b)
	return [2]float64{(a[0] + b[0]) / 2, (a[1] + b[1]) / 2}
}

func wayLength(o *outline, cs []chord) (l float64) {
	for i := 1; i < len(cs); i++ {
		l += dist2(o.mid(cs[i-1]), o.mid(cs[i]))
	}
	return l
}

// capped looks for the edges that close the strip at its two ends: those of the cut, else the longest edge beyond the outermost
// chord that turns sharply at both corners. They are put into the way as chords.
func (o *outline) capped(way []chord) (out []chord, first, last bool) {
	n := len(o.ring)
	if k := o.closing(way[0].b, n, way[0]); k >= 0 {
		first = true
		o.begin((k + 1) % n)
		for i, c := range way {
			way[i].a, way[i].b = (c.a-k-1+2*n)%n, (c.b-k-1+n)%n
		}
		way = append([]chord{{a: 0, b: n - 1, length: dist2(o.at(0), o.at(n-1))}}, way...)
	}
	end := way[len(way)-1]
	if k := o.closing(end.a, end.b, end); k >= 0 {
		last = true
		way = append(way, chord{a: k, b: k + 1, length: dist2(o.at(k), o.at(k+1))})
	}
	return way, first, last
}

// closing is the edge between two corners of the ring that closes the strip beyond a chord, -1 when there is none.
func (o *outline) closing(from, to int, c chord) int {
	const sharp = math.Pi / 4 // radians
	best, length := -1, math.Max(snug, c.length/4)
	for k := from; k < to; k++ {
		if slices.Contains(o.cut, k) {
			return k
		}
		l := dist2(o.at(k), o.at(k+1))
		if o.angle(k) > sharp && o.angle(k+1) > sharp && l > length+1e-6 && l < 2*c.length {
			best, length = k, l
		}
	}
	return best
}

// angle is the turn at corner i, above zero for an outward one, radians.
func (o *outline) angle(i int) float64 {
	p, q, r := o.at(i-1), o.at(i), o.at(i+1)
	dot := (q[0]-p[0])*(r[0]-q[0]) + (q[1]-p[1])*(r[1]-q[1])
	return math.Atan2(cross(p, q, r), dot)
}

// begin makes corner k the ring's first.
func (o *outline) begin(k int) {
	n := len(o.ring)
	for i := range o.cut {
		o.cut[i] = (o.cut[i] - k + n) % n
	}
	o.ring = append(slices.Clone(o.ring[k:]), o.ring[:k]...)
}
