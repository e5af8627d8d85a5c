package geodesic

import (
	"errors"
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	karney "github.com/tidwall/geodesic"
)

// Edges is what the line between two corners of an outline is taken to be. The empty value
// is LonLat. It is a pflag.Value.
type Edges string

const (
	// LonLat edges are straight in longitude and latitude, which is what a GeoJSON edge is
	// (RFC 7946, The GeoJSON Format, 2016, section 3.1.1).
	LonLat Edges = "lon-lat"
	// Geodesic edges are shortest lines on the ellipsoid, which is what a stretched string
	// and a line of sight are, and what the software of some geographic databases takes.
	Geodesic Edges = "geodesic"
)

// String is the text of the value.
func (e Edges) String() string { return string(e) }

// Type is the name of the values in the help of a command.
func (e Edges) Type() string { return "edges" }

// Set takes the text of a constant.
func (e *Edges) Set(text string) error {
	if v := Edges(text); v == LonLat || v == Geodesic {
		*e = v
		return nil
	}
	return fmt.Errorf("edges %q are not known: write %s or %s", text, LonLat, Geodesic)
}

const (
	// LongestEdge is the edge length in metres above which an edge is cut: up to it, the line
	// that is straight in degrees, the geodesic and the straight line of a local.Frame lie
	// within 0.6 mm of each other below 70 degrees of latitude.
	LongestEdge = 100.0
	// LongestCut is the edge length in metres up to which the parts are no longer than
	// LongestEdge. It bounds the points that a hostile file can ask for to 2,000 a corner.
	LongestCut = 200_000.0
)

// ErrEdgeTooLong says that an edge is longer than LongestCut.
var ErrEdgeTooLong = errors.New("an edge is longer than 200 km")

// Densify cuts edges longer than 100 m into equal parts that lie on the edge as
// e reads it. Every ring comes back closed, a copy; an edge across the antimeridian goes the
// short way. An edge cut backwards gives the same points to the last bit, so that outlines
// that shared an edge still share it. The error is ErrEdgeTooLong or an unknown e.
func Densify(mp orb.MultiPolygon, e Edges) (orb.MultiPolygon, error) {
	c, err := newCutter(e)
	if err != nil {
		return nil, err
	}
	out := c.multiPolygon(mp)
	return out, c.err
}

// DensifyLine cuts the edges of a line as Densify does those of a ring. The
// line is not closed.
func DensifyLine(l orb.LineString, e Edges) (orb.LineString, error) {
	c, err := newCutter(e)
	if err != nil || len(l) == 0 {
		return nil, err
	}
	return c.line(l), c.err
}

// cutter cuts edges; err is the first edge that was too long.
type cutter struct {
	geodesic bool
	err      error
}

func newCutter(e Edges) (*cutter, error) {
	if e != "" {
		if err := new(Edges).Set(string(e)); err != nil {
			return nil, err
		}
	}
	return &cutter{geodesic: e == Geodesic}, nil
}

func (c *cutter) multiPolygon(mp orb.MultiPolygon) orb.MultiPolygon {
	out := make(orb.MultiPolygon, len(mp))
	for i, p := range mp {
		out[i] = make(orb.Polygon, len(p))
		for j, r := range p {
			out[i][j] = c.ring(r)
		}
	}
	return out
}

func (c *cutter) ring(r orb.Ring) orb.Ring {
	if len(r) == 0 {
		return nil
	}
	out := c.line(orb.LineString(r))
	if first := r[0]; out[len(out)-1] != first {
		out = append(c.edge(out, r[len(r)-1], first), first)
	}
	return orb.Ring(out)
}

func (c *cutter) line(l orb.LineString) orb.LineString {
	out := append(make(orb.LineString, 0, len(l)+1), l[0])
	for i := 1; i < len(l); i++ {
		out = append(c.edge(out, l[i-1], l[i]), l[i])
	}
	return out
}

// edge appends the points between p and q.
func (c *cutter) edge(out orb.LineString, p, q orb.Point) orb.LineString {
	l := atMost(p, q)
	if !(l > LongestEdge) || math.IsInf(l, 1) {
		return out
	}
	if l > LongestCut && c.err == nil {
		c.err = fmt.Errorf("%w: %.0f km from %v to %v", ErrEdgeTooLong, l/1000, p, q)
	}
	n := int(math.Ceil(min(l, LongestCut) / LongestEdge))
	start := len(out)
	backwards := q.Lat() < p.Lat() || q.Lat() == p.Lat() && q.Lon() < p.Lon()
	if backwards {
		p, q = q, p
	}
	if c.geodesic {
		out = appendGeodesic(out, p, q, n)
	} else {
		out = appendLonLat(out, p, q, n)
	}
	if backwards {
		slices.Reverse(out[start:])
	}
	return out
}

// atMost is a length that the edge does not pass, nor its longest hundredth times a hundred:
// on a sphere of the polar radius of curvature, 6,399.6 km, along the parallel of the end
// nearer the equator. Good enough to choose the number of parts: 1 % too much for a short
// edge at any latitude.
func atMost(p, q orb.Point) float64 {
	nearest := min(math.Abs(p.Lat()), math.Abs(q.Lat()))
	if p.Lat()*q.Lat() < 0 {
		nearest = 0
	}
	return 6.4e6 * degree * math.Hypot(q.Lat()-p.Lat(), wrap(q.Lon()-p.Lon())*math.Cos(nearest*degree))
}

func appendLonLat(out orb.LineString, p, q orb.Point, n int) orb.LineString {
	dlon, dlat := wrap(q.Lon()-p.Lon()), q.Lat()-p.Lat()
	for i := 1; i < n; i++ {
		t := float64(i) / float64(n)
		out = append(out, orb.Point{wrap(p.Lon() + dlon*t), p.Lat() + dlat*t})
	}
	return out
}

func appendGeodesic(out orb.LineString, p, q orb.Point, n int) orb.LineString {
	var length, azimuth float64
	karney.WGS84.Inverse(p.Lat(), p.Lon(), q.Lat(), q.Lon(), &length, &azimuth, nil)
	line := karney.WGS84.LineInit(p.Lat(), p.Lon(), azimuth, karney.Latitude|karney.Longitude|karney.DistanceIn)
	for i := 1; i < n; i++ {
		var lat, lon float64
		line.Position(length*float64(i)/float64(n), &lat, &lon, nil)
		out = append(out, orb.Point{lon, lat})
	}
	return out
}
