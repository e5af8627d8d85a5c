package offer

import (
	"math"

	"github.com/paulmach/orb"

	"tankful/geo"
)

// squareProperty is a lawn of side degrees of latitude each way.
func squareProperty(p *Property, at orb.Point, side float64) *geo.Property {
	w := side / math.Cos(at[1]*math.Pi/180)
	ring := orb.Ring{at, {at[0] + w, at[1]}, {at[0] + w, at[1] + side}, {at[0], at[1] + side}, at}
	return &geo.Property{ID: p.ID, Name: p.Name, Where: p.Where, Outlines: []geo.Outline{{Surface: geo.Turf, Polygon: orb.MultiPolygon{{ring}}, Where: p.Where}}}
}
