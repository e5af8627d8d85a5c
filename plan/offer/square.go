package offer

import (
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo"
)

func sqrt(x float64) float64 { return math.Sqrt(x) }

// squareProperty is a lawn of about side degrees of latitude each way.
func squareProperty(p *Property, at orb.Point, side unit.Length) *geo.Property {
	h := float64(side)
	w := h / math.Cos(at[1]*math.Pi/180)
	ring := orb.Ring{at, {at[0] + w, at[1]}, {at[0] + w, at[1] + h}, {at[0], at[1] + h}, at}
	return &geo.Property{ID: p.ID, Name: p.Name, Where: p.Where, Outlines: []geo.Outline{{Surface: geo.Turf, Polygon: orb.MultiPolygon{{ring}}, Where: p.Where}}}
}
