package overlay

import (
	"math"

	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/twpayne/go-geom"
)

// shape is one polygon: closed rings of x, y in metres, the shell first, wound either way.
// Rings are never changed once they are part of a shape.
type shape struct {
	rings [][]float64
	box   box
}

func newShape(rings ...[]float64) shape { return shape{rings, boxOf(rings[0])} }

// spot is a place in metres.
type spot struct{ X, Y float64 }

type box struct{ minX, minY, maxX, maxY float64 }

func boxOf(flat []float64) box {
	b := box{math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)}
	for i := 0; i+1 < len(flat); i += 2 {
		b.minX, b.maxX = min(b.minX, flat[i]), max(b.maxX, flat[i])
		b.minY, b.maxY = min(b.minY, flat[i+1]), max(b.maxY, flat[i+1])
	}
	return b
}

func boxOfAll(polys []shape) box {
	b := boxOf(nil)
	for _, p := range polys {
		b = box{min(b.minX, p.box.minX), min(b.minY, p.box.minY), max(b.maxX, p.box.maxX), max(b.maxY, p.box.maxY)}
	}
	return b
}

func (b box) meets(c box) bool {
	return b.minX <= c.maxX && c.minX <= b.maxX && b.minY <= c.maxY && c.minY <= b.maxY
}

func (b box) holds(xy spot, margin float64) bool {
	return xy.X >= b.minX-margin && xy.X <= b.maxX+margin && xy.Y >= b.minY-margin && xy.Y <= b.maxY+margin
}

// grown is the box with a margin all round.
func (b box) grown(by float64) box { return box{b.minX - by, b.minY - by, b.maxX + by, b.maxY + by} }

func (s shape) area() float64 {
	sum := math.Abs(shoelace(s.rings[0]))
	for _, r := range s.rings[1:] {
		sum -= math.Abs(shoelace(r))
	}
	return sum
}

func areaOf(polys []shape) (sum float64) {
	for _, p := range polys {
		sum += p.area()
	}
	return sum
}

func lengthOf(polys []shape) (sum float64) {
	for _, p := range polys {
		for _, r := range p.rings {
			for i := 0; i+3 < len(r); i += 2 {
				sum += math.Hypot(r[i+2]-r[i], r[i+3]-r[i+1])
			}
		}
	}
	return sum
}

// toEngine and fromEngine are the only ways to and from the engine's types.
func (s shape) toEngine() sf.Polygon { return sf.NewPolygonXY(s.rings...) }

func toEngine(polys []shape) sf.MultiPolygon {
	out := make([]sf.Polygon, len(polys))
	for i, p := range polys {
		out[i] = p.toEngine()
	}
	return sf.NewMultiPolygon(out)
}

// fromEngine takes the areas out of a result; touching inputs also give lines and points.
func fromEngine(g sf.Geometry) []shape {
	switch g.Type() {
	case sf.TypePolygon:
		if g.IsEmpty() {
			return nil
		}
		return []shape{shapeOf(g.MustAsPolygon())}
	case sf.TypeMultiPolygon:
		var out []shape
		for _, p := range g.MustAsMultiPolygon().Dump() {
			if !p.IsEmpty() {
				out = append(out, shapeOf(p))
			}
		}
		return out
	case sf.TypeGeometryCollection:
		var out []shape
		for _, part := range g.MustAsGeometryCollection().Dump() {
			out = append(out, fromEngine(part)...)
		}
		return out
	}
	return nil
}

func shapeOf(p sf.Polygon) shape {
	var rings [][]float64
	for _, r := range p.DumpRings() {
		seq := r.Coordinates()
		flat := make([]float64, 0, 2*seq.Length())
		for i := range seq.Length() {
			xy := seq.GetXY(i)
			flat = append(flat, xy.X, xy.Y)
		}
		rings = append(rings, flat)
	}
	return newShape(rings...)
}

// multiPolygon winds shells counter-clockwise and holes clockwise.
func multiPolygon(polys []shape) *geom.MultiPolygon {
	n := 0
	for _, p := range polys {
		for _, r := range p.rings {
			n += len(r)
		}
	}
	flat := make([]float64, 0, n)
	endss := make([][]int, len(polys))
	for i, p := range polys {
		endss[i] = make([]int, len(p.rings))
		for k, r := range p.rings {
			start := len(flat)
			flat = append(flat, r...)
			if (shoelace(r) > 0) != (k == 0) {
				reversePoints(flat[start:])
			}
			endss[i][k] = len(flat)
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
