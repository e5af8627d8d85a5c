package local

import (
	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
)

// LineString takes a line from degrees to metres.
func (f *Frame) LineString(l orb.LineString) []geom.Coord {
	out := make([]geom.Coord, len(l))
	for i, p := range l {
		out[i] = f.Forward(p)
	}
	return out
}
