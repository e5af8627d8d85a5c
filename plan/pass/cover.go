package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// How finely cover looks: scan lines a 24th of the swath apart, for a small lawn a 32nd of its size, and not
// more than 6,000 of them.
const (
	linesPerSwath = 24
	linesPerLawn  = 32
	mostLines     = 6000
	askew         = 1.0 // radians between the scan lines and the passes
)

// cover measures what the swaths reach: a swath is half the spacing to either side of the
// line, cut square at its two ends and round at its bends. Covered and Double count turf within at
// least one and at least two of them, Overspray what falls outside the turf, each pass by itself.
//
// It adds up lengths along scan lines, which run askew to the passes: corners alone make an error, of the order of
// the spacing of the lines squared. Turf is scanned along with it and its known area sets the scale.
func (p *Plan) cover(regions []region) {
	s := scan{axis: newAxis(math.Pi/2 - p.Bearing*math.Pi/180 + askew), half: float64(p.Setup.Swath) / 2}
	for i := range regions {
		for _, e := range regions[i].edges {
			s.addEdge(e)
		}
	}
	for i := range p.Passes {
		q := &p.Passes[i]
		at := unit.Length(0)
		for _, o := range q.Off { // where the gun is off nothing is sprayed
			s.addPass(i, q.between(at, o.From))
			at = o.To
		}
		s.addPass(i, q.between(at, lengthOf(q.Line)))
	}
	s.run(math.Sqrt(float64(p.Net)))
	if s.turf <= 0 {
		return
	}
	p.Covered = p.Net * unit.Area(s.once/s.turf)
	p.Double = p.Net * unit.Area(s.twice/s.turf)
	if !p.Setup.Trims {
		p.Overspray = unit.Area(s.outside)
	}
}

// shape is an edge of the turf (pass -1), a stretch of a swath or the disc at a bend, from y0 to y1.
type shape struct {
	pass   int
	y0, y1 float64
	a, b   point // u, v in the scan's axis; a disc has a == b
}

// scan is shapes in an axis in which scan lines run along u, and what was found.
type scan struct {
	axis                       axis
	half                       float64
	shapes                     []shape
	turf, once, twice, outside float64
	ends                       []end
	runs                       []run
}

// end is where a scan line enters (+1) or leaves (-1) a swath or crosses the turf's edge (0).
type end struct {
	u    float64
	step int
}

// run is a stretch of a scan line within a pass.
type run struct {
	pass   int
	u0, u1 float64
}

func (s *scan) to(c geom.Coord) point {
	u, v := s.axis.to(c[0], c[1])
	return point{u, v}
}

func (s *scan) addEdge(e edge) {
	a, b := s.to(geom.Coord{e.ax, e.ay}), s.to(geom.Coord{e.bx, e.by})
	s.shapes = append(s.shapes, shape{-1, min(a.v, b.v), max(a.v, b.v), a, b})
}

func (s *scan) addPass(n int, line []geom.Coord) {
	for i := 1; i < len(line); i++ {
		a, b := s.to(line[i-1]), s.to(line[i])
		s.shapes = append(s.shapes, shape{n, min(a.v, b.v) - s.half, max(a.v, b.v) + s.half, a, b})
		if i > 1 {
			s.shapes = append(s.shapes, shape{n, a.v - s.half, a.v + s.half, a, a})
		}
	}
}

func (s *scan) run(size float64) {
	slices.SortFunc(s.shapes, func(a, b shape) int { return cmp.Compare(a.y0, b.y0) })
	lo, hi := math.Inf(1), math.Inf(-1)
	for i := range s.shapes {
		lo, hi = min(lo, s.shapes[i].y0), max(hi, s.shapes[i].y1)
	}
	step := max(min(2*s.half/linesPerSwath, size/linesPerLawn), (hi-lo)/mostLines)
	var active []shape
	next := 0
	for v := lo + step/2; v < hi; v += step {
		for ; next < len(s.shapes) && s.shapes[next].y0 <= v; next++ {
			active = append(active, s.shapes[next])
		}
		active = slices.DeleteFunc(active, func(h shape) bool { return h.y1 <= v })
		s.line(active, v, step)
	}
}

// line adds one scan line's lengths.
func (s *scan) line(active []shape, v, step float64) {
	s.ends, s.runs = s.ends[:0], s.runs[:0]
	for i := range active {
		h := &active[i]
		if h.pass < 0 {
			s.ends = append(s.ends, end{h.a.u + (v-h.a.v)/(h.b.v-h.a.v)*(h.b.u-h.a.u), 0})
		} else if u0, u1 := h.within(v, s.half); u0 < u1 {
			s.runs = append(s.runs, run{h.pass, u0, u1})
		}
	}
	slices.SortFunc(s.runs, func(a, b run) int { return cmp.Or(cmp.Compare(a.pass, b.pass), cmp.Compare(a.u0, b.u0)) })
	for i := 0; i < len(s.runs); {
		r := s.runs[i]
		for i++; i < len(s.runs) && s.runs[i].pass == r.pass && s.runs[i].u0 <= r.u1; i++ {
			r.u1 = max(r.u1, s.runs[i].u1)
		}
		s.ends = append(s.ends, end{r.u0, 1}, end{r.u1, -1})
	}
	slices.SortFunc(s.ends, func(a, b end) int { return cmp.Compare(a.u, b.u) })
	on, count := false, 0
	for i, e := range s.ends {
		if i > 0 {
			s.add(on, count, (e.u-s.ends[i-1].u)*step)
		}
		if count += e.step; e.step == 0 {
			on = !on
		}
	}
}

func (s *scan) add(on bool, count int, area float64) {
	if !on {
		s.outside += float64(count) * area
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

// within is where the scan line at v runs inside the stretch or disc; u0 >= u1 when nowhere.
func (h *shape) within(v, half float64) (u0, u1 float64) {
	du, dv := h.b.u-h.a.u, h.b.v-h.a.v
	l := math.Hypot(du, dv)
	if l == 0 {
		r := math.Sqrt(max(half*half-(v-h.a.v)*(v-h.a.v), 0))
		return h.a.u - r, h.a.u + r
	}
	du, dv = du/l, dv/l
	u0, u1 = math.Inf(-1), math.Inf(1)
	// lo <= rise x (u - a.u) + from <= hi
	clip := func(rise, from, lo, hi float64) {
		if math.Abs(rise) < 1e-12 {
			if from < lo || from > hi {
				u0, u1 = 1, 0
			}
			return
		}
		p, q := (lo-from)/rise, (hi-from)/rise
		u0, u1 = max(u0, h.a.u+min(p, q)), min(u1, h.a.u+max(p, q))
	}
	clip(du, (v-h.a.v)*dv, 0, l)
	clip(dv, -(v-h.a.v)*du, -half, half)
	return u0, u1
}

// between is the walk from one length along Line to another.
func (p *Pass) between(from, to unit.Length) []geom.Coord {
	out := []geom.Coord{p.At(from)}
	at := unit.Length(0)
	for i := 1; i < len(p.Line); i++ {
		if at += unit.Length(distance(p.Line[i-1], p.Line[i])); at > from && at < to {
			out = append(out, p.Line[i])
		}
	}
	return append(out, p.At(to))
}
