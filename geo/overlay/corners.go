package overlay

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// Corners remembers where corners were drawn before they were snapped, so that an area or a
// length can be taken of what was drawn: snapping moves the area of a small lawn by up to
// 1e-5 of itself. Restored shapes are for measuring only; their edges may cross by a hair.
type Corners struct {
	drawn []drawnCorner
	tidy  bool // drawn is in order, one a cell
}

// drawnCorner is the first corner that was drawn in a cell of the finest grid.
type drawnCorner struct {
	cell uint64
	x, y float64
}

// NewCorners remembers nothing yet.
func NewCorners() *Corners { return &Corners{} }

// Add remembers the corners of shapes as they were drawn, in metres of the frame. Of several
// corners in one cell the first added counts. Corners that no operation takes, further than
// 50 km from the centre or not a number, are left out.
func (c *Corners) Add(mp *geom.MultiPolygon) {
	if mp == nil {
		return
	}
	g, flat := grid(grids[0]), mp.FlatCoords()
	c.drawn = slices.Grow(c.drawn, len(flat)/2)
	for i := 0; i+1 < len(flat); i += 2 {
		if p, err := g.snap(flat[i], flat[i+1]); err == nil {
			c.drawn = append(c.drawn, drawnCorner{p.key(), flat[i], flat[i+1]})
		}
	}
	c.tidy = false
}

// Restore is a copy of mp whose corners go back from the middle of a remembered cell to
// where they were drawn. Corners that crossing edges made stay, and so do all on the coarse grid.
func (c *Corners) Restore(mp *geom.MultiPolygon) *geom.MultiPolygon {
	if !c.tidy {
		slices.SortStableFunc(c.drawn, func(a, b drawnCorner) int { return cmp.Compare(a.cell, b.cell) })
		c.drawn = slices.CompactFunc(c.drawn, func(a, b drawnCorner) bool { return a.cell == b.cell })
		c.tidy = true
	}
	g := grid(grids[0])
	flat := slices.Clone(mp.FlatCoords())
	for i := 0; i+1 < len(flat); i += 2 {
		p, err := g.snap(flat[i], flat[i+1])
		if err != nil || math.Abs(float64(p.x)/float64(g)-flat[i]) > roundOff || math.Abs(float64(p.y)/float64(g)-flat[i+1]) > roundOff {
			continue
		}
		if k, ok := slices.BinarySearchFunc(c.drawn, p.key(), func(d drawnCorner, key uint64) int { return cmp.Compare(d.cell, key) }); ok {
			flat[i], flat[i+1] = c.drawn[k].x, c.drawn[k].y
		}
	}
	endss := make([][]int, mp.NumPolygons())
	for i, ends := range mp.Endss() {
		endss[i] = slices.Clone(ends)
	}
	return geom.NewMultiPolygonFlat(geom.XY, flat, endss)
}

// roundOff is how far, in metres, the engine may leave a corner from the middle of its cell.
const roundOff = 1e-9

// key packs a point into one number: 50 km are 5e8 cells, which 32 bits hold.
func (p point) key() uint64 { return uint64(uint32(int32(p.x)))<<32 | uint64(uint32(int32(p.y))) }

// Valid reports whether a restored result of this package is valid: rings that keep clear of themselves and each other
// but for points, holes inside. Edges of what was restored may cross by a hair.
func Valid(mp *geom.MultiPolygon) bool {
	if mp.NumPolygons() == 1 && mp.Polygon(0).NumLinearRings() == 1 && keepsClear(mp.FlatCoords()) {
		return true
	}
	polys := make([]shape, mp.NumPolygons())
	for i := range polys {
		p := mp.Polygon(i)
		rings := make([][]float64, p.NumLinearRings())
		for j := range rings {
			rings[j] = p.LinearRing(j).FlatCoords()
		}
		polys[i] = newShape(rings...)
	}
	return toEngine(polys).Validate() == nil
}

// keepsClear reports whether every corner of a ring of few corners keeps so far from every edge that is not its own that restoring,
// which moves a corner by less than a cell, can not have made edges cross that did not before.
func keepsClear(flat []float64) bool {
	n := len(flat)/2 - 1
	if n > fewCorners {
		return false
	}
	const cells = 4
	margin := cells / grids[0]
	for i := range n {
		x, y := flat[2*i], flat[2*i+1]
		for j := range n {
			if j == i || (j+1)%n == i {
				continue // the edges that end in the corner
			}
			if distanceFromOrigin(flat[2*j]-x, flat[2*j+1]-y, flat[2*j+2]-x, flat[2*j+3]-y) < margin {
				return false
			}
		}
	}
	return true
}
