package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom/xy"
)

// within is the parts of the cells between s.u0 and s.u1.
func within(cells []cell, s span) []cell {
	var out []cell
	for i := range cells {
		if cells[i].u0 < s.u1 && cells[i].u1 > s.u0 {
			if c := cells[i].cut(s.u0, s.u1); c.area() > 0 {
				out = append(out, c)
			}
		}
	}
	return out
}

// piece is connected turf beside a blocked stretch, with the line through its middle.
type piece struct {
	cells     []cell
	line      []point
	area      float64
	narrowest float64
}

// length is how far the piece's line goes along the strip.
func (p *piece) length() float64 { return p.line[len(p.line)-1].u - p.line[0].u }

// piecesIn splits cells into connected pieces that one line can serve, largest first. Cells come
// by ascending u0.
func (w *walker) piecesIn(cells []cell) []piece {
	parent := make([]int, len(cells))
	for i := range parent {
		parent[i] = i
	}
	var root func(i int) int
	root = func(i int) int {
		if parent[i] != i {
			parent[i] = root(parent[i])
		}
		return parent[i]
	}
	for i := range cells {
		for j := range cells {
			if touch(&cells[i], &cells[j]) {
				parent[root(j)] = root(i)
			}
		}
	}
	index := map[int]int{}
	var out []piece
	for i := range cells {
		r := root(i)
		if _, ok := index[r]; !ok {
			index[r] = len(out)
			out = append(out, piece{})
		}
		p := &out[index[r]]
		p.cells = append(p.cells, cells[i])
		p.area += cells[i].area()
	}
	for i := range out {
		if beyond := out[i].thread(w); len(beyond) > 0 {
			out = append(out, w.piecesIn(beyond)...)
		}
	}
	slices.SortStableFunc(out, func(a, b piece) int { return cmp.Compare(b.area, a.area) })
	return out
}

// thread lays the line through the piece along the strip: of the ways from its first cells to
// its far end, the one whose narrowest opening is widest, through the middle of each opening.
// Cells are convex, so that the line stays on the turf. Cells whose middle is beyond half a swath of
// the line are taken out and given back.
func (p *piece) thread(w *walker) (beyond []cell) {
	n := len(p.cells)
	width := make([]float64, n) // of the narrowest opening on the best way to each cell
	from := make([]int, n)
	end := 0
	for i := range p.cells {
		c := &p.cells[i]
		from[i] = -1
		if c.u0 < p.cells[0].u0+nearby {
			width[i] = math.Inf(1)
		}
		for j := range i {
			if d := &p.cells[j]; touch(d, c) {
				if o := min(width[j], w.opening(max(d.lo1, c.lo0), min(d.hi1, c.hi0))); o > width[i] {
					width[i], from[i] = o, j
				}
			}
		}
		if e := &p.cells[end]; c.u1 > e.u1+nearby && width[i] >= min(corridor, width[end]) || c.u1 > e.u1-nearby && width[i] > width[end] {
			end = i
		}
	}
	p.narrowest = width[end]
	last := &p.cells[end]
	p.line = []point{{last.u1, (last.lo1 + last.hi1) / 2}}
	i := end
	for ; from[i] >= 0; i = from[i] {
		d, c := &p.cells[from[i]], &p.cells[i]
		p.line = append(p.line, point{d.u1, (min(d.hi1, c.hi0) + max(d.lo1, c.lo0)) / 2})
	}
	first := &p.cells[i]
	p.line = append(p.line, point{first.u0, (first.lo0 + first.hi0) / 2})
	slices.Reverse(p.line)
	if math.IsInf(p.narrowest, 1) { // one cell: its widest end
		p.narrowest = max(w.opening(first.lo0, first.hi0), w.opening(first.lo1, first.hi1))
	}
	kept := p.cells[:0:0]
	for _, c := range p.cells {
		u := (c.u0 + c.u1) / 2
		lo, hi := c.at(u)
		if v, ok := lineAt(p.line, u); ok && math.Abs(v-(lo+hi)/2) <= w.swath/2 {
			kept = append(kept, c)
		} else {
			beyond = append(beyond, c)
		}
	}
	p.cells, p.area = kept, totalArea(kept)
	return beyond
}

// opening is how wide turf from lo to hi across the strip is to walk through. Where it reaches the strip's border the turf
// goes on in the strip beside, and there is room to walk.
func (w *walker) opening(lo, hi float64) float64 {
	if hi-lo > 4*grazing && (lo <= w.lo || hi >= w.hi) {
		return hi - lo + corridor
	}
	return hi - lo
}

// lineAt is the v of a line at u, if it gets there.
func lineAt(line []point, u float64) (v float64, ok bool) {
	for i := 1; i < len(line); i++ {
		a, b := line[i-1], line[i]
		if a.u <= u && u <= b.u && a.u < b.u {
			return a.v + (u-a.u)/(b.u-a.u)*(b.v-a.v), true
		}
	}
	return 0, false
}

// trim takes off a first or last stretch that runs square across the strip: it is made by turf thinner than a line at
// an end, along a wall's face as likely as not.
func trim(line []point) []point {
	for len(line) > 2 && math.Abs(line[1].u-line[0].u) < grazing {
		line = line[1:]
	}
	for n := len(line); n > 2 && math.Abs(line[n-1].u-line[n-2].u) < grazing; n = len(line) {
		line = line[:n-1]
	}
	return line
}

// simplify drops points of a line within tol of the line without them.
func simplify(line []point, tol float64) []point {
	flat := make([]float64, 0, 2*len(line))
	for _, p := range line {
		flat = append(flat, p.u, p.v)
	}
	var out []point
	for _, i := range xy.SimplifyFlatCoords(flat, tol, 2) {
		out = append(out, line[i])
	}
	return out
}
