package road

import (
	"math"

	"github.com/paulmach/orb"
)

// grid finds segments by place.
type grid struct {
	side       int64 // of a cell, in 1e-7 degrees
	w, s       int64 // of the corner, in cells
	cols, rows int64
	first      []int32 // by cell
	segs       []int32
}

// leastCell is the side of the smallest cells, in 1e-7 degrees: about 200 m north.
const leastCell = 20_000

// newGrid enters every segment that may be snapped to into all cells that its line's parts have in their bounds. Cells are made twice as wide until neither the cells nor
// what is in them are many more than the parts of lines are: memory is bounded by the roads, however widely they are spread.
func (g *Graph) newGrid() grid {
	lo, hi := point{math.MaxInt32, math.MaxInt32}, point{math.MinInt32, math.MinInt32}
	parts := int64(0)
	g.stretches(func(_ int32, a, b point) {
		parts++
		lo = point{min(lo.lon, a.lon, b.lon), min(lo.lat, a.lat, b.lat)}
		hi = point{max(hi.lon, a.lon, b.lon), max(hi.lat, a.lat, b.lat)}
	})
	if parts == 0 {
		return grid{side: leastCell}
	}
	enough := min(10_000+8*parts, math.MaxInt32)
	for side := int64(leastCell); ; side *= 2 {
		k := grid{side: side, w: down(lo.lon, side), s: down(lo.lat, side)}
		k.cols, k.rows = down(hi.lon, side)-k.w+1, down(hi.lat, side)-k.s+1
		if k.cols*k.rows > enough {
			continue
		}
		entries := int64(0)
		g.stretches(func(_ int32, a, b point) {
			x0, x1, y0, y1 := k.bounds(a, b)
			entries += (x1 - x0 + 1) * (y1 - y0 + 1)
		})
		if entries > enough {
			continue
		}
		k.fill(g)
		return k
	}
}

// stretches gives every straight stretch of a segment that one gets to and back from: both its ends are in one part.
func (g *Graph) stretches(f func(seg int32, a, b point)) {
	for i := range g.segs {
		s := &g.segs[i]
		if g.part[s.a] < 0 || g.part[s.a] != g.part[s.b] {
			continue
		}
		at := g.nodes[s.a]
		for _, p := range g.shape[s.from:s.to] {
			f(int32(i), at, p)
			at = p
		}
		f(int32(i), at, g.nodes[s.b])
	}
}

// fill enters the segments: counted first, so that there is one list.
func (k *grid) fill(g *Graph) {
	k.first = make([]int32, k.cols*k.rows+1)
	each := func(f func(cell int64, seg int32)) {
		g.stretches(func(seg int32, a, b point) {
			x0, x1, y0, y1 := k.bounds(a, b)
			for y := y0; y <= y1; y++ {
				for x := x0; x <= x1; x++ {
					f(y*k.cols+x, seg)
				}
			}
		})
	}
	each(func(c int64, _ int32) { k.first[c+1]++ })
	for i := range k.cols * k.rows {
		k.first[i+1] += k.first[i]
	}
	k.segs = make([]int32, k.first[len(k.first)-1])
	next := append([]int32(nil), k.first...)
	each(func(c int64, s int32) {
		k.segs[next[c]] = s
		next[c]++
	})
}

// bounds are the columns and rows of a stretch.
func (k *grid) bounds(a, b point) (x0, x1, y0, y1 int64) {
	return down(min(a.lon, b.lon), k.side) - k.w, down(max(a.lon, b.lon), k.side) - k.w, down(min(a.lat, b.lat), k.side) - k.s, down(max(a.lat, b.lat), k.side) - k.s
}

// down divides and rounds down.
func down(x int32, side int64) int64 {
	q := int64(x) / side
	if int64(x)%side < 0 {
		q--
	}
	return q
}

// around gives the segments of the cells around a place, ring by ring. After each ring it asks with seg -1 whether to go on, where nothing nearer than reach metres is left.
func (k *grid) around(p orb.Point, f plane, within float64, found func(seg int32, reach float64) bool) {
	if len(k.segs) == 0 {
		return
	}
	at := pointOf(p)
	cx, cy := down(at.lon, k.side)-k.w, down(at.lat, k.side)-k.s
	side := min(f.kx, f.ky) * float64(k.side) / 1e7
	first := max(0, -cx, cx-k.cols+1, -cy, cy-k.rows+1) // rings before it have no cell of the grid
	last := max(cx, k.cols-1-cx, cy, k.rows-1-cy)
	if float64(first-1)*side > within {
		return
	}
	for ring := first; ring <= last; ring++ {
		for y := max(0, cy-ring); y <= min(k.rows-1, cy+ring); y++ {
			if y == cy-ring || y == cy+ring {
				for x := max(0, cx-ring); x <= min(k.cols-1, cx+ring); x++ {
					k.cell(x, y, found)
				}
				continue
			}
			k.cell(cx-ring, y, found)
			k.cell(cx+ring, y, found)
		}
		if reach := float64(ring) * side; !(reach <= within) || !found(-1, reach) {
			return
		}
	}
}

// cell gives the segments of a cell, if it is one of the grid.
func (k *grid) cell(x, y int64, found func(seg int32, reach float64) bool) {
	if x < 0 || x >= k.cols {
		return
	}
	c := y*k.cols + x
	for _, s := range k.segs[k.first[c]:k.first[c+1]] {
		found(s, 0)
	}
}
