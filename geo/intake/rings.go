package intake

import (
	"math"

	"github.com/paulmach/orb"
)

// checkRings looks at every ring of a feature, and brings its coordinates onto the Earth or refuses it.
func (r *reader) checkRings(f *feature) {
	if f.checkRange(); f.Broken {
		f.Areas, f.Lines, f.Points = nil, nil, nil
		return
	}
	if f.wrapAll() {
		f.Problems.Notef("longitude-past-180", f.Where, "Nothing needs doing.", "longitudes beyond 180 degrees are taken as the same place counted the other way round")
	}
	areas := f.Areas
	f.Areas = nil
	for _, p := range areas {
		if q, ok := f.polygon(p); ok {
			f.Areas = append(f.Areas, q)
		}
	}
}

// checkRange tells degrees from metres and longitude from latitude.
func (f *feature) checkRange() {
	var worst orb.Point
	bad, swapped := 0, true
	f.each(func(p *orb.Point) {
		if !(math.Abs(p.Lon()) <= 90 && math.Abs(p.Lat()) <= 180) {
			swapped = false
		}
		if !(math.Abs(p.Lon()) <= 360 && math.Abs(p.Lat()) <= 90) {
			if bad++; bad == 1 {
				worst = *p
			}
		}
	})
	if bad == 0 {
		return
	}
	list := &f.Problems
	f.Broken = f.Ground || len(f.Areas) > 0
	switch size := max(math.Abs(worst.Lon()), math.Abs(worst.Lat())); {
	case swapped:
		list.Errorf("lon-lat-swapped", f.Where, "Write longitude first, then latitude.",
			"%d positions have a latitude beyond 90 degrees, the first is %g, %g: latitude seems to be written first", bad, worst.Lon(), worst.Lat())
	case !(size <= 1e9):
		list.Errorf("coordinate-out-of-range", f.Where, "Correct that coordinate.", "the coordinate %g, %g is not on the Earth", worst.Lon(), worst.Lat())
	default:
		list.Errorf("projected-coordinates", f.Where, "Name the coordinate system with --crs, such as --crs \"UTM 15N\", or export in longitude and latitude, WGS 84.",
			"%d positions are not degrees, the first is %g, %g: they seem to be metres or feet of a map projection", bad, worst.Lon(), worst.Lat())
	}
	if !f.Broken { // lines and points that are nowhere
		f.Lines, f.Points = nil, nil
	}
}

func (f *feature) each(visit func(*orb.Point)) {
	for _, p := range f.Areas {
		for _, r := range p {
			for i := range r {
				visit(&r[i])
			}
		}
	}
	for _, l := range f.Lines {
		for i := range l {
			visit(&l[i])
		}
	}
	for i := range f.Points {
		visit(&f.Points[i])
	}
}

func (f *feature) wrapAll() (wrapped bool) {
	f.each(func(p *orb.Point) {
		if lon := wrapLon(p[0]); lon != p[0] {
			p[0], wrapped = lon, true
		}
	})
	return wrapped
}

// wrapLon brings a longitude of up to two turns into [-180, 180].
func wrapLon(lon float64) float64 {
	if lon >= -180 && lon <= 180 {
		return lon
	}
	return math.Remainder(lon, 360)
}

// polygon checks the rings of one polygon and closes them. ok is false when it is not to
// be used; f is then broken unless the polygon is only empty.
func (f *feature) polygon(p orb.Polygon) (out orb.Polygon, ok bool) {
	open, short := 0, 0
	for i, ring := range p {
		if distinct(ring) < 3 {
			if i == 0 {
				if len(ring) == 0 && len(p) == 1 {
					f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the polygon has no coordinates and counts for nothing")
					return nil, false
				}
				f.Problems.Errorf("ring-too-short", f.Where, "Draw it with at least three corners, or remove it.",
					"the outline has %d different corners; an area needs 3", distinct(ring))
				f.Broken = true
				return nil, false
			}
			short++
			continue
		}
		if !f.nullIsland(ring) {
			return nil, false
		}
		if ring[0] != ring[len(ring)-1] {
			open++
			ring = append(ring, ring[0])
		}
		out = append(out, ring)
	}
	if open > 0 && !f.Walked { // nobody ends a walk on the inch
		f.Problems.Notef("ring-not-closed", f.Where, "Check that no corner is missing at the end.",
			"%d of %d rings do not end where they start; each is closed with a straight edge", open, len(p))
	}
	if short > 0 {
		f.Problems.Warnf("ring-too-short", f.Where, "Check the holes of this outline.", "%d holes have fewer than 3 different corners and take nothing away", short)
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
func (f *feature) nullIsland(ring orb.Ring) bool {
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
		f.Problems.Errorf("corner-at-zero", f.Where, "Correct or remove that corner.", "a corner lies at longitude 0, latitude 0, far from the others")
		f.Broken = true
		return false
	case zero:
		f.Problems.Warnf("corner-at-zero", f.Where, "Check the coordinates.", "the outline lies around longitude 0, latitude 0, in the sea off Africa")
	}
	return true
}
