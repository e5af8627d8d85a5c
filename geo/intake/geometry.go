package intake

import (
	"errors"
	"math"

	"github.com/paulmach/orb"
)

// readGeometry reads a feature's geometry and looks at every ring.
func (r *reader) readGeometry(f *feature) {
	var g geometry
	err := g.add(f.raw, 0)
	f.decimals, f.points, f.lines = g.decimals, g.points, g.lines
	if err == nil {
		err = checkRange(&g)
	}
	var bad *fault
	if errors.As(err, &bad) {
		f.broken = g.hasArea || len(g.points) == 0 && g.lines == 0
		f.points, f.lines = nil, 0
		r.problems.Errorf(bad.code, f.where, bad.fix, "%s", bad.what)
		return
	}
	wrapped := wrapAll(&g)
	if wrapped {
		r.problems.Notef("longitude-past-180", f.where, "Nothing needs doing.", "longitudes beyond 180 degrees are taken as the same place counted the other way round")
	}
	for _, p := range g.areas {
		if q, ok := r.polygon(f, p); ok {
			f.areas = append(f.areas, q)
		}
	}
	if g.hasArea && len(g.areas) == 0 {
		r.problems.Warnf("no-geometry", f.where, "Draw it or remove it.", "the polygon has no coordinates and counts for nothing")
	}
}

// checkRange tells degrees from metres and longitude from latitude.
func checkRange(g *geometry) error {
	var worst orb.Point
	bad, swapped := 0, true
	each(g, func(p *orb.Point) {
		if math.Abs(p.Lon()) > 90 || math.Abs(p.Lat()) > 180 {
			swapped = false
		}
		if !(math.Abs(p.Lon()) <= 360 && math.Abs(p.Lat()) <= 90) {
			if bad++; bad == 1 {
				worst = *p
			}
		}
	})
	switch size := max(math.Abs(worst.Lon()), math.Abs(worst.Lat())); {
	case bad == 0:
		return nil
	case swapped:
		return faultf("lon-lat-swapped", "Write longitude first, then latitude.",
			"%d positions have a latitude beyond 90 degrees, the first is %g, %g: latitude seems to be written first", bad, worst.Lon(), worst.Lat())
	case size > 1e9:
		return faultf("coordinate-out-of-range", "Correct that coordinate.", "the coordinate %g, %g is not on the Earth", worst.Lon(), worst.Lat())
	}
	return faultf("projected-coordinates", "Export the outlines again in longitude and latitude, WGS 84 (EPSG:4326).",
		"%d positions are not degrees, the first is %g, %g: they seem to be metres or feet of a map projection", bad, worst.Lon(), worst.Lat())
}

func each(g *geometry, f func(*orb.Point)) {
	for _, p := range g.areas {
		for _, r := range p {
			for i := range r {
				f(&r[i])
			}
		}
	}
	for i := range g.points {
		f(&g.points[i])
	}
}

func wrapAll(g *geometry) (wrapped bool) {
	each(g, func(p *orb.Point) {
		if lon := wrapLon(p[0]); lon != p[0] {
			p[0], wrapped = lon, true
		}
	})
	return wrapped
}

// polygon checks the rings of one polygon and closes them. ok is false when it is not to
// be used; f is then broken unless the polygon is only empty.
func (r *reader) polygon(f *feature, p orb.Polygon) (out orb.Polygon, ok bool) {
	open, short := 0, 0
	for i, ring := range p {
		if distinct(ring) < 3 {
			if i == 0 {
				if len(ring) == 0 && len(p) == 1 {
					r.problems.Warnf("no-geometry", f.where, "Draw it or remove it.", "the polygon has no coordinates and counts for nothing")
					return nil, false
				}
				r.problems.Errorf("ring-too-short", f.where, "Draw it with at least three corners, or remove it.",
					"the outline has %d different corners; an area needs 3", distinct(ring))
				f.broken = true
				return nil, false
			}
			short++
			continue
		}
		if !r.nullIsland(f, ring) {
			return nil, false
		}
		if ring[0] != ring[len(ring)-1] {
			open++
			ring = append(ring, ring[0])
		}
		out = append(out, ring)
	}
	if open > 0 {
		r.problems.Notef("ring-not-closed", f.where, "Check that no corner is missing at the end.",
			"%d of %d rings do not end where they start; each is closed with a straight edge", open, len(p))
	}
	if short > 0 {
		r.problems.Warnf("ring-too-short", f.where, "Check the holes of this outline.", "%d holes have fewer than 3 different corners and take nothing away", short)
	}
	return out, len(out) > 0
}

// distinct counts different corners, up to 3.
func distinct(r orb.Ring) int {
	var seen []orb.Point
	for _, p := range r {
		known := false
		for _, q := range seen {
			known = known || p == q
		}
		if !known {
			if seen = append(seen, p); len(seen) == 3 {
				break
			}
		}
	}
	return len(seen)
}

// nullIsland looks for corners at exactly 0, 0, which is where missing coordinates end up.
// One far from the ring's other corners spoils it; a ring around it is only strange.
func (r *reader) nullIsland(f *feature, ring orb.Ring) bool {
	zero, far := false, false
	for _, p := range ring {
		if p == (orb.Point{}) {
			zero = true
		} else if math.Abs(p.Lon()) > 1 || math.Abs(p.Lat()) > 1 {
			far = true
		}
	}
	switch {
	case zero && far:
		r.problems.Errorf("corner-at-zero", f.where, "Correct or remove that corner.", "a corner lies at longitude 0, latitude 0, far from the others")
		f.broken = true
		return false
	case zero:
		r.problems.Warnf("corner-at-zero", f.where, "Check the coordinates.", "the outline lies around longitude 0, latitude 0, in the sea off Africa")
	}
	return true
}
