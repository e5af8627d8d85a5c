package geodesic

import (
	"math"

	"github.com/paulmach/orb"
)

// LongestEdge is the edge length in metres above which DensifyRing cuts an edge: up to it, the
// line that is straight in degrees, the geodesic and the straight line of a local.Frame
// lie within 0.6 mm of each other below 70 degrees of latitude.
const LongestEdge = 100.0

// DensifyRing cuts edges longer than 100 m into equal parts that are straight in longitude
// and latitude, which is what a GeoJSON edge is (RFC 7946, The GeoJSON Format, 2016, section
// 3.1.1). The ring comes back closed, a copy; an edge across the antimeridian goes the short
// way. The caller refuses continents first: an edge gets a point per 100 m.
func DensifyRing(r orb.Ring) orb.Ring {
	if len(r) == 0 {
		return nil
	}
	out := make(orb.Ring, 0, len(r)+1)
	for i, p := range r {
		out = append(out, p)
		q := r[0]
		if i+1 < len(r) {
			q = r[i+1]
		}
		out = appendCuts(out, p, q)
	}
	if out[len(out)-1] != r[0] {
		out = append(out, r[0])
	}
	return out
}

// DensifyMultiPolygon cuts the long edges of every ring.
func DensifyMultiPolygon(mp orb.MultiPolygon) orb.MultiPolygon {
	out := make(orb.MultiPolygon, len(mp))
	for i, p := range mp {
		out[i] = make(orb.Polygon, len(p))
		for j, r := range p {
			out[i][j] = DensifyRing(r)
		}
	}
	return out
}

func appendCuts(out orb.Ring, p, q orb.Point) orb.Ring {
	dlon, dlat := wrap(q.Lon()-p.Lon()), q.Lat()-p.Lat()
	// A sphere of the semi-major axis overstates an edge by at most 0.7 %: good enough to
	// choose the number of cuts.
	l := semiMajor * degree * math.Hypot(dlat, dlon*math.Cos((p.Lat()+q.Lat())/2*degree))
	if !(l > LongestEdge) {
		return out
	}
	n := int(math.Ceil(l / LongestEdge))
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		out = append(out, orb.Point{wrap(p.Lon() + dlon*t), p.Lat() + dlat*t})
	}
	return out
}
