package overlay

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/twpayne/go-geom"
)

// run calls the engine. A panic inside it is a failed check like any other: the caller
// tries the next grid.
func run(op func(a, b sf.Geometry) (sf.Geometry, error), a, b []sf.Polygon) (polys []sf.Polygon, err error) {
	defer func() {
		if r := recover(); r != nil {
			polys, err = nil, fmt.Errorf("%w: %v", ErrUnsure, r)
		}
	}()
	g, err := op(sf.NewMultiPolygon(a).AsGeometry(), sf.NewMultiPolygon(b).AsGeometry())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrUnsure, err)
	}
	return polygonsOf(g), nil
}

// polygonsOf takes the areas out of a result; touching inputs also give lines and points.
func polygonsOf(g sf.Geometry) []sf.Polygon {
	switch g.Type() {
	case sf.TypePolygon:
		if g.IsEmpty() {
			return nil
		}
		return []sf.Polygon{g.MustAsPolygon()}
	case sf.TypeMultiPolygon:
		return g.MustAsMultiPolygon().Dump()
	case sf.TypeGeometryCollection:
		var out []sf.Polygon
		for _, part := range g.MustAsGeometryCollection().Dump() {
			out = append(out, polygonsOf(part)...)
		}
		return out
	}
	return nil
}

// unionAll merges valid polygons pair by pair, neighbours first, so that every step is
// small and is checked.
func (g grid) unionAll(polys []sf.Polygon) ([]sf.Polygon, error) {
	slices.SortStableFunc(polys, func(a, b sf.Polygon) int {
		return cmp.Compare(boxOf(a).minX, boxOf(b).minX)
	})
	return g.unionRange(polys)
}

func (g grid) unionRange(polys []sf.Polygon) ([]sf.Polygon, error) {
	if len(polys) < 2 {
		return polys, nil
	}
	a, err := g.unionRange(polys[:len(polys)/2])
	if err != nil {
		return nil, err
	}
	b, err := g.unionRange(polys[len(polys)/2:])
	if err != nil {
		return nil, err
	}
	ma, apartA := meetingParts(a, b)
	mb, apartB := meetingParts(b, a)
	out := slices.Concat(apartA, apartB)
	if len(ma) == 0 || len(mb) == 0 {
		return slices.Concat(out, ma, mb), nil
	}
	u, err := g.meet(ma, mb).union()
	return append(out, u...), err
}

// meetingParts divides a into the polygons whose box meets the box of some polygon of b
// and those that lie apart.
func meetingParts(a, b []sf.Polygon) (meet, apart []sf.Polygon) {
	boxes := make([]box, len(b))
	for i, p := range b {
		boxes[i] = boxOf(p)
	}
	for _, p := range a {
		if slices.ContainsFunc(boxes, boxOf(p).meets) {
			meet = append(meet, p)
		} else {
			apart = append(apart, p)
		}
	}
	return meet, apart
}

type box struct{ minX, minY, maxX, maxY float64 }

func boxOf(p interface{ Envelope() sf.Envelope }) box {
	lo, hi, ok := p.Envelope().MinMaxXYs()
	if !ok {
		return box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	}
	return box{lo.X, lo.Y, hi.X, hi.Y}
}

func (b box) meets(c box) bool {
	return b.minX <= c.maxX && c.minX <= b.maxX && b.minY <= c.maxY && c.minY <= b.maxY
}

func areaOf(polys []sf.Polygon) (sum float64) {
	for _, p := range polys {
		for i, r := range p.DumpRings() {
			a := math.Abs(shoelace(flatOf(r)))
			if i > 0 {
				a = -a
			}
			sum += a
		}
	}
	return sum
}

func lengthOf(polys []sf.Polygon) (sum float64) {
	for _, p := range polys {
		for _, r := range p.DumpRings() {
			sum += r.Length()
		}
	}
	return sum
}

// interiorPoint is a point inside p; slivers that have no room for one are let off.
func interiorPoint(p sf.Polygon) (sf.XY, bool) {
	return p.PointOnSurface().XY()
}

// ground is polygons laid out for asking about many points: thousands of beds are thousands of holes.
type ground []plot

type plot struct {
	box   box
	rings []plotRing
}

type plotRing struct {
	box  box
	flat []float64
}

func groundOf(polys []sf.Polygon) ground {
	out := make(ground, len(polys))
	for i, p := range polys {
		out[i].box = boxOf(p)
		for _, r := range p.DumpRings() {
			out[i].rings = append(out[i].rings, plotRing{boxOf(r), flatOf(r)})
		}
	}
	return out
}

// deepInside reports whether xy is in the ground and further than two cells from every
// edge: the middle of a sliver may fall on either side of a rounded edge.
func (g grid) deepInside(xy sf.XY, in ground) bool {
	margin := 2 / float64(g)
	for i := range in {
		if !in[i].box.holds(xy, 0) {
			continue
		}
		inside, nearest := false, math.Inf(1)
		for k := range in[i].rings {
			r := &in[i].rings[k]
			if !r.box.holds(xy, margin) { // it does not go round xy, and is not near
				continue
			}
			for i := 0; i+3 < len(r.flat); i += 2 {
				ax, ay, bx, by := r.flat[i]-xy.X, r.flat[i+1]-xy.Y, r.flat[i+2]-xy.X, r.flat[i+3]-xy.Y
				if (ay > 0) != (by > 0) && ax+(bx-ax)*ay/(ay-by) > 0 {
					inside = !inside
				}
				nearest = min(nearest, distanceFromOrigin(ax, ay, bx, by))
			}
		}
		if inside && nearest > margin {
			return true
		}
	}
	return false
}

func (b box) holds(xy sf.XY, margin float64) bool {
	return xy.X >= b.minX-margin && xy.X <= b.maxX+margin && xy.Y >= b.minY-margin && xy.Y <= b.maxY+margin
}

func distanceFromOrigin(ax, ay, bx, by float64) float64 {
	dx, dy := bx-ax, by-ay
	t := 0.0
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t = min(1, max(0, -(ax*dx+ay*dy)/l2))
	}
	return math.Hypot(ax+t*dx, ay+t*dy)
}

func flatOf(r sf.LineString) []float64 {
	seq := r.Coordinates()
	flat := make([]float64, 0, 2*seq.Length())
	for i := range seq.Length() {
		xy := seq.GetXY(i)
		flat = append(flat, xy.X, xy.Y)
	}
	return flat
}

// fromEngine winds shells counter-clockwise and holes clockwise.
func fromEngine(polys []sf.Polygon) *geom.MultiPolygon {
	var flat []float64
	endss := make([][]int, 0, len(polys))
	for _, p := range polys {
		var ends []int
		for i, r := range p.DumpRings() {
			ring := flatOf(r)
			if (shoelace(ring) > 0) != (i == 0) {
				reversePoints(ring)
			}
			flat = append(flat, ring...)
			ends = append(ends, len(flat))
		}
		if len(ends) > 0 {
			endss = append(endss, ends)
		}
	}
	return geom.NewMultiPolygonFlat(geom.XY, flat, endss)
}

func reversePoints(flat []float64) {
	for i, j := 0, len(flat)-2; i < j; i, j = i+2, j-2 {
		flat[i], flat[j] = flat[j], flat[i]
		flat[i+1], flat[j+1] = flat[j+1], flat[i+1]
	}
}
