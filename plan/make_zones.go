package plan

import (
	"math"

	"github.com/twpayne/go-geom"

	"tankful/geo"
)

// PassZone is how many passes are walked for one zone of a property: those of which the longest part lies in it. The zones' passes add up to all passes.
type PassZone struct {
	Zone   string `json:"zone"`
	Passes int    `json:"passes"`
}

// zonesOf counts the passes of each zone; nil without zones, or where all turf is in one without a name.
func zonesOf(s *geo.Site, list []PassLine) []PassZone {
	if len(s.Zones) == 0 || len(s.Zones) == 1 && s.Zones[0].Name == "" {
		return nil
	}
	out := make([]PassZone, len(s.Zones))
	for i, z := range s.Zones {
		out[i].Zone = z.Name
	}
	for i := range list {
		out[zoneOf(s.Zones, list[i].Line)].Passes++
	}
	return out
}

// zoneOf is the zone that most of a line lies in: places along it are looked up, half a metre apart, and at most some thousand. A line that lies in
// none of them is counted with the first.
func zoneOf(zones []geo.Zone, line []geom.Coord) int {
	const apart, most = 0.5, 2000
	long := 0.0
	for i := 1; i < len(line); i++ {
		long += math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1])
	}
	step := max(apart, long/most)
	hits := make([]int, len(zones))
	at := step / 2
	for i := 1; i < len(line); i++ {
		dx, dy := line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]
		d := math.Hypot(dx, dy)
		for ; at < d; at += step {
			c := geom.Coord{line[i-1][0] + dx*at/d, line[i-1][1] + dy*at/d}
			for k, z := range zones {
				if within(z.Shape, c) {
					hits[k]++
					break
				}
			}
		}
		at -= d
	}
	best := 0
	for k, n := range hits {
		if n > hits[best] {
			best = k
		}
	}
	return best
}

// within reports whether a point lies inside a shape: a ray to the east crosses its rings an odd number of times.
func within(mp *geom.MultiPolygon, c geom.Coord) bool {
	odd := false
	for i := range mp.NumPolygons() {
		p := mp.Polygon(i)
		for k := range p.NumLinearRings() {
			f := p.LinearRing(k).FlatCoords()
			for j := 0; j+3 < len(f); j += 2 {
				x0, y0, x1, y1 := f[j], f[j+1], f[j+2], f[j+3]
				if (y0 > c[1]) != (y1 > c[1]) && c[0] < x0+(c[1]-y0)*(x1-x0)/(y1-y0) {
					odd = !odd
				}
			}
		}
	}
	return odd
}

// MapZone is the ground of a zone, for drawing.
type MapZone struct {
	Zone  string `json:"zone"`
	Shape Shape  `json:"shape"`
}

// mapZones are the zones of a property's map; nil where there is nothing to tell apart.
func mapZones(s *geo.Site) []MapZone {
	if len(s.Zones) < 2 {
		return nil
	}
	var out []MapZone
	for _, z := range s.Zones {
		out = append(out, MapZone{z.Name, Shape{z.Shape}})
	}
	return out
}

// ZoneName is a zone as it is printed.
func ZoneName(zone string) string {
	if zone == "" {
		return "no zone"
	}
	return zone
}
