package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// How finely cover looks: scan lines a 24th of the swath apart, for a small lawn a 32nd of its size, and not
// more than 6,000 of them.
const (
	linesPerSwath = 24
	linesPerLawn  = 32
	mostLines     = 6000
)

// cover measures what the swaths reach: a swath is half of Setup.Swath to either side of the line where the gun is on,
// whatever the lines' spacing, cut square where the gun opens and closes and round at bends. Covered and Double count
// turf within at least one and at least two of them, Overspray what falls outside the turf, each pass by itself.
//
// It adds up lengths along scan lines, which run askew to the passes: corners alone make an error, of the order of
// the spacing of the lines squared. Turf is scanned along with it and its known area sets the scale.
func (p *Plan) cover(l *Lawn, parts []region) {
	s := scan{axis: newAxis(p.askew()), half: float64(p.Setup.Swath) / 2}
	for i := range parts {
		s.addEdges(parts[i].edges, 0)
	}
	s.inner = make([]int, len(p.Passes))
	s.onto, s.inside = make([]float64, 1+len(geo.LeftOut)), make([]bool, 1+len(geo.LeftOut))
	for i := range p.Passes {
		for _, line := range p.Passes[i].sprayed() {
			s.addLine(i, line)
		}
	}
	if !p.Setup.Trims {
		for i, k := range geo.LeftOut {
			for _, r := range regions(l.LeftOut[k]) {
				s.addEdges(r.edges, i+1)
			}
		}
	}
	s.run(math.Sqrt(float64(p.Net)))
	if s.turf <= 0 {
		return
	}
	p.Covered = p.Net * unit.Area(s.once/s.turf)
	p.Double = p.Net * unit.Area(s.twice/s.turf)
	if p.Setup.Trims {
		return
	}
	p.Onto = map[geo.Surface]unit.Area{}
	for i, a := range s.onto {
		if a <= 0 {
			continue
		}
		p.Overspray += unit.Area(a)
		if i == 0 {
			p.Onto[""] = unit.Area(a)
		} else {
			p.Onto[geo.LeftOut[i-1]] = unit.Area(a)
		}
	}
}

// sprayed is the stretches of the line where the gun is on.
func (p *Pass) sprayed() [][]geom.Coord {
	if len(p.Off) == 0 {
		return [][]geom.Coord{p.Line}
	}
	var out [][]geom.Coord
	from := unit.Length(0)
	for _, o := range p.Off {
		out = append(out, p.between(from, o.From))
		from = o.To
	}
	return append(out, p.between(from, lengthOf(p.Line)))
}

// between is the line from one length along it to another.
func (p *Pass) between(from, to unit.Length) []geom.Coord {
	line, at := []geom.Coord{p.At(from)}, 0.0
	for i := 1; i < len(p.Line); i++ {
		if at += distance(p.Line[i-1], p.Line[i]); at > float64(from)+seam && at < float64(to)-seam {
			line = append(line, p.Line[i])
		}
	}
	return append(line, p.At(to))
}

// askew is the direction for the scan lines that lies least along the passes or along the ends of their swaths, square
// to them: of 90 directions in a right angle, turned with the largest section's, the one with the least length of pass near it.
func (p *Plan) askew() float64 {
	const n, span = 90, math.Pi / 2
	var along [n]float64
	base := math.Pi/2 - p.Bearing*math.Pi/180
	for i := range p.Passes {
		line := p.Passes[i].Line
		for k := 1; k < len(line); k++ {
			t := math.Atan2(line[k][1]-line[k-1][1], line[k][0]-line[k-1][0]) - base
			d := int(math.Round(math.Mod(t/span*n, n)))
			along[((d%n)+n)%n] += distance(line[k-1], line[k])
		}
	}
	best, least := 0, math.Inf(1)
	for i := range n {
		near := 0.0
		for d, l := range along {
			if l > 0 {
				near += l / (0.01 + math.Abs(math.Sin(2*float64(i-d)*span/n)))
			}
		}
		if near < least*(1-1e-6) {
			best, least = i, near
		}
	}
	return base + float64(best)*span/n
}

// shape is what a scan line crosses: an edge of a surface, or a piece of a swath, from y0 to y1.
type shape struct {
	edge   bool
	of     int // surface of an edge, 0 for turf; pass of a piece
	y0, y1 float64
	lo, hi [2]affine // the piece begins at the greater of lo and ends at the lesser of hi; an edge is at lo[0]
}

// affine is from + rise x v.
type affine struct{ from, rise float64 }

func (f affine) of(v float64) float64 { return f.from + f.rise*v }

// scan is shapes in an axis in which scan lines run along u, and what was found.
type scan struct {
	axis              axis
	half              float64
	shapes            []shape
	turf, once, twice float64
	// onto is what falls outside the turf: at 0 on no surface, at i on the i-th of geo.LeftOut.
	onto   []float64
	ends   []end
	inside []bool // the turf and the surfaces that the scan line runs in
	inner  []int  // how many shapes of each pass it runs in
}

// end is where a scan line enters (+1) or leaves (-1) a shape or crosses an edge (0).
type end struct {
	u     float64
	shape *shape
	step  int
}

func (s *scan) to(c geom.Coord) point {
	u, v := s.axis.to(c[0], c[1])
	return point{u, v}
}

// addEdges adds the edges of a surface, 0 for turf.
func (s *scan) addEdges(edges []edge, surface int) {
	for _, e := range edges {
		a, b := s.to(geom.Coord{e.ax, e.ay}), s.to(geom.Coord{e.bx, e.by})
		if a.v != b.v {
			s.shapes = append(s.shapes, shape{edge: true, of: surface, y0: min(a.v, b.v), y1: max(a.v, b.v), lo: [2]affine{through(a, b)}})
		}
	}
}

// through is the u of the line from a to b, which must differ in v.
func through(a, b point) affine {
	rise := (b.u - a.u) / (b.v - a.v)
	return affine{a.u - rise*a.v, rise}
}

// addLine adds the swath along a line of pass n.
func (s *scan) addLine(n int, line []geom.Coord) {
	for i := 1; i < len(line); i++ {
		a, b := s.to(line[i-1]), s.to(line[i])
		s.addStretch(n, a, b)
		if i > 1 {
			s.addBend(n, s.to(line[i-2]), a, b)
		}
	}
	if last := len(line) - 1; last > 2 && distance(line[0], line[last]) < seam { // a closed walk
		s.addBend(n, s.to(line[last-1]), s.to(line[0]), s.to(line[1]))
	}
}

// chordTurn is the most that a bend turns within one chord of its round, radians: 7.5 degrees, which leaves out 0.3 % of it.
const chordTurn = math.Pi / 24

// addBend adds the round outside of the bend at b, between the ends of the swaths before and after, as triangles.
func (s *scan) addBend(n int, a, b, c point) {
	from := math.Atan2(b.v-a.v, b.u-a.u)
	turn := math.Remainder(math.Atan2(c.v-b.v, c.u-b.u)-from, 2*math.Pi)
	if a == b || b == c || turn == 0 {
		return
	}
	side := from - math.Copysign(math.Pi/2, turn) // outwards: to the right of a walk that turns left
	at := func(t float64) point {
		sin, cos := math.Sincos(side + t*turn)
		return point{b.u + s.half*cos, b.v + s.half*sin}
	}
	steps := math.Ceil(math.Abs(turn) / chordTurn)
	for i := range int(steps) {
		p, q := at(float64(i)/steps), at(float64(i+1)/steps)
		if turn < 0 {
			p, q = q, p
		}
		s.addConvex(n, b, p, q)
	}
}

// addStretch adds the rectangle along a to b.
func (s *scan) addStretch(n int, a, b point) {
	l := math.Hypot(b.u-a.u, b.v-a.v)
	if l == 0 {
		return
	}
	du, dv := (b.u-a.u)/l*s.half, (b.v-a.v)/l*s.half
	s.addConvex(n, point{a.u - dv, a.v + du}, point{a.u + dv, a.v - du}, point{b.u + dv, b.v - du}, point{b.u - dv, b.v + du})
}

// addConvex adds a triangle or rectangle, its corners anticlockwise: a scan line runs in it between its left and its right sides, of
// which there are at most two each.
func (s *scan) addConvex(n int, c ...point) {
	h := shape{of: n, y0: math.Inf(1), y1: math.Inf(-1)}
	always, never := affine{from: math.Inf(-1)}, affine{from: math.Inf(1)}
	h.lo, h.hi = [2]affine{always, always}, [2]affine{never, never}
	lo, hi := 0, 0
	for i, p := range c {
		q := c[(i+1)%len(c)]
		h.y0, h.y1 = min(h.y0, p.v), max(h.y1, p.v)
		switch { // inside lies to the left of a side
		case q.v > p.v && hi < 2:
			h.hi[hi] = through(p, q)
			hi++
		case q.v < p.v && lo < 2:
			h.lo[lo] = through(p, q)
			lo++
		}
	}
	s.shapes = append(s.shapes, h)
}

// ends gives where the scan line at v enters and leaves the shape.
func (h *shape) ends(v float64) (u0, u1 float64) {
	if h.edge {
		u := h.lo[0].of(v)
		return u, u
	}
	u0, u1 = max(h.lo[0].of(v), h.lo[1].of(v)), min(h.hi[0].of(v), h.hi[1].of(v))
	return u0, max(u0, u1) // rounding at a corner
}

// run goes through the scan lines. The ends stay in the order of the line before, which is nearly that of the next.
func (s *scan) run(size float64) {
	slices.SortFunc(s.shapes, func(a, b shape) int { return cmp.Compare(a.y0, b.y0) })
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range s.shapes {
		if h := &s.shapes[i]; !h.edge || h.of == 0 {
			lo, hi = min(lo, h.y0), max(hi, h.y1)
		}
	}
	step := max(min(2*s.half/linesPerSwath, size/linesPerLawn), (hi-lo)/mostLines)
	next := 0
	for v := lo + step/2; v < hi; v += step {
		for ; next < len(s.shapes) && s.shapes[next].y0 <= v; next++ {
			if h := &s.shapes[next]; h.edge {
				s.ends = append(s.ends, end{shape: h})
			} else {
				s.ends = append(s.ends, end{shape: h, step: 1}, end{shape: h, step: -1})
			}
		}
		s.ends = slices.DeleteFunc(s.ends, func(e end) bool { return e.shape.y1 <= v })
		s.line(v, step)
	}
}

// line adds one scan line's lengths.
func (s *scan) line(v, step float64) {
	for i := range s.ends {
		e := &s.ends[i]
		u0, u1 := e.shape.ends(v)
		if e.u = u0; e.step < 0 {
			e.u = u1
		}
	}
	sortNearly(s.ends)
	for i := range s.inside {
		s.inside[i] = false
	}
	count, at := 0, 0.0
	for i := range s.ends {
		e := &s.ends[i]
		if count > 0 || s.inside[0] {
			s.add(count, (e.u-at)*step)
		}
		at = e.u
		switch n := &e.shape.of; {
		case e.step == 0:
			s.inside[*n] = !s.inside[*n]
		case e.step > 0:
			if s.inner[*n]++; s.inner[*n] == 1 {
				count++
			}
		default:
			if s.inner[*n]--; s.inner[*n] == 0 {
				count--
			}
		}
	}
}

// sortNearly sorts by u what is nearly sorted: insertion sort, in time that goes with how much is out of order.
func sortNearly(ends []end) {
	for i := 1; i < len(ends); i++ {
		e, k := ends[i], i
		for ; k > 0 && ends[k-1].u > e.u; k-- {
			ends[k] = ends[k-1]
		}
		ends[k] = e
	}
}

// add adds an area within count passes, at the place that inside says.
func (s *scan) add(count int, area float64) {
	if !s.inside[0] {
		on := 0
		for i := 1; i < len(s.inside) && on == 0; i++ {
			if s.inside[i] {
				on = i
			}
		}
		s.onto[on] += float64(count) * area
		return
	}
	s.turf += area
	if count > 0 {
		s.once += area
	}
	if count > 1 {
		s.twice += area
	}
}
