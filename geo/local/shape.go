package local

import (
	"slices"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
)

// Polygon takes a polygon from degrees to metres. Rings are closed when they are not;
// their winding is kept.
func (f *Frame) Polygon(p orb.Polygon) *geom.Polygon {
	flat, ends := f.rings(p, nil)
	return geom.NewPolygonFlat(geom.XY, flat, ends)
}

// MultiPolygon takes polygons from degrees to metres. Rings are closed when they are not;
// their winding is kept.
func (f *Frame) MultiPolygon(mp orb.MultiPolygon) *geom.MultiPolygon {
	var flat []float64
	endss := make([][]int, len(mp))
	for i, p := range mp {
		flat, endss[i] = f.rings(p, flat)
	}
	return geom.NewMultiPolygonFlat(geom.XY, flat, endss)
}

func (f *Frame) rings(p orb.Polygon, flat []float64) ([]float64, []int) {
	ends := make([]int, 0, len(p))
	for _, r := range p {
		start := len(flat)
		flat = slices.Grow(flat, 2*len(r)+2)
		for _, pt := range r {
			x, y := f.forward(pt)
			flat = append(flat, x, y)
		}
		if n := len(r); n > 0 && r[0] != r[n-1] {
			flat = append(flat, flat[start], flat[start+1])
		}
		ends = append(ends, len(flat))
	}
	return flat, ends
}

// InversePolygon takes a polygon from metres to degrees.
func (f *Frame) InversePolygon(p *geom.Polygon) orb.Polygon {
	out := make(orb.Polygon, p.NumLinearRings())
	for i := range out {
		out[i] = f.inverseRing(p.LinearRing(i).FlatCoords())
	}
	return out
}

// InverseMultiPolygon takes polygons from metres to degrees.
func (f *Frame) InverseMultiPolygon(mp *geom.MultiPolygon) orb.MultiPolygon {
	out := make(orb.MultiPolygon, mp.NumPolygons())
	for i := range out {
		out[i] = f.InversePolygon(mp.Polygon(i))
	}
	return out
}

// inverseRing closes exactly what was closed: the last point is a copy of the first.
func (f *Frame) inverseRing(flat []float64) orb.Ring {
	n := len(flat) / 2
	r := make(orb.Ring, n)
	for i := range r {
		x, y := flat[2*i], flat[2*i+1]
		if i == n-1 && i > 0 && x == flat[0] && y == flat[1] {
			r[i] = r[0]
			break
		}
		r[i] = f.Inverse(geom.Coord{x, y})
	}
	return r
}
