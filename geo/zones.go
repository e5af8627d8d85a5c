package geo

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/overlay"
)

// Part is one connected piece of the net turf.
type Part struct {
	Area      unit.Area
	Perimeter unit.Length
}

// parts are the pieces of the net turf, the largest first, and the length of all their rings.
func parts(net *geom.MultiPolygon, degrees orb.MultiPolygon) (list []Part, perimeter unit.Length) {
	list = make([]Part, net.NumPolygons())
	for i := range list {
		p := net.Polygon(i)
		_, length := geodesic.MultiPolygon(degrees[i : i+1])
		list[i] = Part{overlay.Area(overlay.Alone(p)), length}
		perimeter += length
	}
	slices.SortStableFunc(list, func(a, b Part) int { return cmp.Compare(b.Area, a.Area) })
	return list, perimeter
}

// Zone is the net turf of one part of the property.
type Zone struct {
	// Name is the outlines' member zone, "" for turf that says none.
	Name      string
	Net       unit.Area
	Perimeter unit.Length
	Pieces    int
	// Shape is the zone's net turf in the site's frame.
	Shape *geom.MultiPolygon
}

// zones divides the net turf by zone and by slope. Turf in two zones counts with the first.
func (m *measuring) zones() {
	s := m.site
	shares, ok := divide(m, func(o *Outline) string { return o.Zone })
	if !ok {
		return
	}
	for _, sh := range shares {
		if len(shares) == 1 {
			s.Zones = []Zone{{sh.key, sh.area, s.Perimeter, s.Pieces, s.Net}}
			break
		}
		_, length := geodesic.MultiPolygon(s.Frame.InverseMultiPolygon(m.corners.Restore(sh.shape)))
		s.Zones = append(s.Zones, Zone{sh.key, sh.area, length, sh.shape.NumPolygons(), sh.shape})
	}
	slopes, ok := divide(m, func(o *Outline) float64 { return cmp.Or(o.Slope, m.opt.Slope) })
	if !ok {
		return
	}
	for _, sh := range slopes {
		s.Ground += sh.area * unit.Area(geodesic.SlopeFactor(sh.key))
	}
}

// share is the net turf of the outlines with one key.
type share[K comparable] struct {
	key   K
	shape *geom.MultiPolygon
	area  unit.Area
}

// divide shares the net turf out by what keyOf says of the turf outlines, in their order. The areas add up to the
// net area whatever rounds.
func divide[K comparable](m *measuring, keyOf func(*Outline) K) ([]share[K], bool) {
	var keys []K
	shapesOf := map[K][]*geom.MultiPolygon{}
	for _, d := range m.turf {
		k := keyOf(d.outline)
		if shapesOf[k] == nil {
			keys = append(keys, k)
		}
		shapesOf[k] = append(shapesOf[k], d.shape)
	}
	rest, left := m.site.Net, m.site.NetArea
	var out []share[K]
	for _, k := range keys[:len(keys)-1] {
		union, ok := m.try(overlay.Union(shapesOf[k]...))
		if !ok {
			return nil, false
		}
		in, ok := m.try(overlay.Intersection(rest, union))
		if !ok {
			return nil, false
		}
		next, area, ok := m.less(rest, left, union)
		if !ok {
			return nil, false
		}
		out = append(out, share[K]{k, overlay.DropSlivers(in, sliver), left - area})
		rest, left = next, area
	}
	return append(out, share[K]{keys[len(keys)-1], rest, left}), true
}

// checkOptions refuses what the caller can not have meant.
func (m *measuring) checkOptions() {
	l, where := &m.site.Problems, m.property.Where
	for s, w := range m.opt.Strips {
		switch {
		case s != Turf && !slices.Contains(LeftOut, s):
			l.Errorf("strip-of-unknown-surface", where, "Name turf, "+surfaceNames()+".", "a strip is asked for along %q, which is no surface", string(s))
		case !(w >= 0 && w <= widestStrip):
			l.Errorf("strip-not-a-width", where, fmt.Sprintf("Write a width of at most %s.", unit.Metric.Length(widestStrip)), "a strip of %g m along %s is not a width", float64(w), s)
		}
	}
	if s := m.opt.Slope; !(s >= 0 && s <= steepest) {
		l.Errorf("slope-not-understood", where, "Write a slope as \"10 %\" or \"6 deg\".", "a slope of %g is not between level and 45 degrees", s)
	}
	if e := m.site.Edges; e != geodesic.LonLat && e != geodesic.Geodesic {
		l.Errorf("edges-not-known", where, fmt.Sprintf("Write %s or %s.", geodesic.LonLat, geodesic.Geodesic), "edges %q are not a way to read an edge", string(e))
	}
}
