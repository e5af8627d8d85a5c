package overlay

import (
	"errors"
	"fmt"
	"math"

	"github.com/twpayne/go-geom"
)

// grid is a snapping grid by its cells per metre.
type grid float64

// furthest is how far from the frame's centre a coordinate may lie: 50 km. Beyond it the
// products of two differences on the grid would leave 64 bits, and the frame its bounds.
const furthest = 50_000.0

// errFar stops all grids.
var errFar = errors.New("a coordinate is further than 50 km from the centre or not a number")

// point is a corner on a grid, in cells.
type point struct{ x, y int64 }

func (g grid) snap(x, y float64) (point, error) {
	if !(math.Abs(x) <= furthest && math.Abs(y) <= furthest) {
		return point{}, errFar
	}
	return point{int64(math.Round(x * float64(g))), int64(math.Round(y * float64(g)))}, nil
}

// ring is a closed ring on the grid without repeated points, its last point left out.
func (g grid) ring(flat []float64) ([]point, error) {
	pts := make([]point, 0, len(flat)/2)
	for i := 0; i+1 < len(flat); i += 2 {
		p, err := g.snap(flat[i], flat[i+1])
		if err != nil {
			return nil, err
		}
		if len(pts) == 0 || pts[len(pts)-1] != p {
			pts = append(pts, p)
		}
	}
	for len(pts) > 1 && pts[0] == pts[len(pts)-1] {
		pts = pts[:len(pts)-1]
	}
	return pts, nil
}

func (g grid) flat(pts []point) []float64 {
	flat := make([]float64, 0, 2*len(pts)+2)
	for _, p := range pts {
		flat = append(flat, float64(p.x)/float64(g), float64(p.y)/float64(g))
	}
	return append(flat, flat[0], flat[1])
}

// polygons snaps each polygon and makes it valid on its own. Polygons may still overlap.
func (g grid) polygons(mp *geom.MultiPolygon) ([]shape, error) {
	if mp == nil {
		return nil, nil
	}
	var out []shape
	for i := range mp.NumPolygons() {
		polys, _, err := g.polygon(mp.Polygon(i))
		if err != nil {
			return nil, err
		}
		out = append(out, polys...)
	}
	return out, nil
}

// polygon snaps one polygon and makes it valid: a polygon that crosses itself is taken
// apart and may come back as several, one without area as none. what says how it was found.
func (g grid) polygon(p *geom.Polygon) (polys []shape, what found, err error) {
	rings := make([][]point, 0, p.NumLinearRings())
	flats := make([][]float64, 0, p.NumLinearRings())
	for i := range p.NumLinearRings() {
		pts, err := g.ring(p.LinearRing(i).FlatCoords())
		if err != nil {
			return nil, what, err
		}
		if len(pts) < 3 {
			if i == 0 {
				return nil, found{noArea: true}, nil
			}
			continue
		}
		rings = append(rings, pts)
		flats = append(flats, g.flat(pts))
	}
	if len(rings) == 0 {
		return nil, found{noArea: true}, nil
	}
	whole := newShape(flats...)
	verdict, err := soundnessOf(rings)
	switch {
	case err != nil:
		return nil, what, err
	case verdict == sound, verdict == touching && whole.toEngine().Validate() == nil:
		return []shape{whole}, what, nil
	}
	what.crossing = verdict == tangled
	what.invalid = true
	polys, at, err := g.rebuild(rings)
	what.at = at
	return polys, what, err
}

// found says what was wrong with a polygon: noArea, or invalid, and then crossing when a
// ring by itself is not simple; at is the first place where edges cross, nil for none.
type found struct {
	noArea, invalid, crossing bool
	at                        geom.Coord
}

// clean is the polygons of mp, valid and not overlapping one another, on the grid up to
// crossing points.
func (g grid) clean(mp *geom.MultiPolygon) ([]shape, error) {
	polys, err := g.polygons(mp)
	if err != nil || len(polys) < 2 {
		return polys, err
	}
	if g.apart(polys) {
		return polys, nil
	}
	polys, err = g.unionAll(polys)
	if err != nil {
		return nil, fmt.Errorf("join parts: %w", err)
	}
	return polys, nil
}
