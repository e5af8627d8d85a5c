package main

import (
	"math"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// passShape is what is said of a pass on a map.
type passShape struct {
	N        int         `json:"n"`
	Property string      `json:"property"`
	Kind     string      `json:"kind"`
	Area     unit.Area   `json:"area_m2"`
	Length   unit.Length `json:"length_m"`
	Swath    unit.Length `json:"swath_m"`
	Section  int         `json:"section"`
	Bearing  float64     `json:"bearing_deg"`
	// Off is where the gun is off, from and to along the line.
	Off    [][2]unit.Length `json:"off_m,omitempty"`
	WalkTo unit.Length      `json:"walk_to_m"`
	Hose   unit.Length      `json:"hose_m,omitempty"`
}

// writePasses writes every pass as a LineString in lon/lat degrees.
func writePasses(path string, laid []covered) error {
	return writePassShapes(path, laid, func(c covered, i int) (string, any) {
		p := &c.plan.List[i]
		line := make(orb.LineString, len(p.Line))
		for i, at := range p.Line {
			line[i] = c.site.Frame.Inverse(at)
		}
		return "LineString", line
	})
}

// thinnest is the least piece of a pass's turf that is written: a corner off the strip's axis by rounding leaves less.
const thinnest = 1e-3 * unit.SquareMetre

// writeStrips writes the turf of every pass as a MultiPolygon in lon/lat degrees.
func writeStrips(path string, laid []covered) error {
	return writePassShapes(path, laid, func(c covered, i int) (string, any) {
		swath := c.laid.Passes[i].Swath()
		out := orb.MultiPolygon{}
		for k := range swath.NumPolygons() {
			if p := swath.Polygon(k); math.Abs(p.Area()) > float64(thinnest) {
				out = append(out, orb.Polygon{ringOf(c, p.LinearRing(0))})
			}
		}
		return "MultiPolygon", out
	})
}

func ringOf(c covered, r *geom.LinearRing) orb.Ring {
	out := make(orb.Ring, r.NumCoords())
	for i := range out {
		out[i] = c.site.Frame.Inverse(r.Coord(i))
	}
	return out
}

func writePassShapes(path string, laid []covered, shape func(c covered, i int) (kind string, coordinates any)) error {
	file, err := newShapeFile(path)
	if err != nil {
		return err
	}
	for _, c := range laid {
		for i := range c.plan.List {
			p := &c.plan.List[i]
			kind, coordinates := shape(c, i)
			if err := file.add(kind, coordinates, passShape{p.N, c.plan.ID, p.Kind, p.Area, p.Length, c.plan.Swath, p.Section, p.Bearing, p.Off, p.WalkTo, p.Hose}); err != nil {
				file.discard()
				return err
			}
		}
	}
	return file.close()
}
