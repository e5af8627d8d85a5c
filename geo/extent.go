package geo

import (
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// extent is a box in degrees whose east may pass 180: longitudes are counted from those of
// the first corner, the short way round.
type extent struct{ west, south, east, north float64 }

// boundsOf is the box of all corners of all outlines; ok is false when a corner is not on
// the Earth or there is none.
func boundsOf(outlines []Outline) (b extent, ok bool) {
	first := math.NaN()
	for i := range outlines {
		for _, p := range rings(&outlines[i]) {
			for _, r := range p {
				for _, pt := range r {
					if !(math.Abs(pt.Lon()) <= 360 && math.Abs(pt.Lat()) <= 90) {
						return b, false
					}
					if math.IsNaN(first) {
						first = pt.Lon()
						b = extent{first, pt.Lat(), first, pt.Lat()}
					}
					lon := first + math.Remainder(pt.Lon()-first, 360)
					b.west, b.east = min(b.west, lon), max(b.east, lon)
					b.south, b.north = min(b.south, pt.Lat()), max(b.north, pt.Lat())
				}
			}
		}
	}
	return b, !math.IsNaN(first)
}

func (b extent) middle() orb.Point {
	return orb.Point{math.Remainder((b.west+b.east)/2, 360), (b.south + b.north) / 2}
}

// diagonal is the distance between opposite corners; a box wider than half the Earth is
// given as half its circumference.
func (b extent) diagonal() unit.Length {
	if b.east-b.west >= 180 {
		return 20_004 * unit.Kilometre
	}
	return geodesic.Distance(orb.Point{b.west, b.south}, orb.Point{b.east, b.north})
}

// highest is the latitude furthest from the equator.
func (b extent) highest() float64 {
	if -b.south > b.north {
		return b.south
	}
	return b.north
}

// rings are the corners of an outline, whatever it is drawn as.
func rings(o *Outline) orb.MultiPolygon {
	out := o.Polygon
	for _, l := range o.Lines {
		out = append(out[:len(out):len(out)], orb.Polygon{orb.Ring(l)})
	}
	return out
}

func isEmpty(o *Outline) bool {
	for _, p := range rings(o) {
		for _, r := range p {
			if len(r) > 0 {
				return false
			}
		}
	}
	return true
}
