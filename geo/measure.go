package geo

import (
	"cmp"
	"fmt"
	"slices"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/local"
	"tankful/geo/overlay"
)

// Limits of what is measured.
const (
	// Widest is how far apart a property's outlines may lie.
	Widest = 20 * unit.Kilometre
	// highestLat refuses the poles, where east has no use as a direction.
	highestLat = 85.0
	// sliver is the mean width below which a part of the net turf is two drawings of one edge.
	sliver = unit.Millimetre
)

// MeasureOptions says what the file does not.
type MeasureOptions struct {
	// Accuracy is the standard deviation of an outline's corner in each direction; 0 means
	// that it is guessed, and the Site says how.
	Accuracy unit.Length
	// Bias is by how much outlines may be drawn too wide or too narrow all along; 0 means a guess.
	Bias unit.Length
	// Edges is how an edge runs between its corners; "" is geodesic.LonLat, as RFC 7946 has it.
	Edges geodesic.Edges
	// Strips are kept off along the edge of surfaces, by width: along the inside of turf, round the others.
	Strips map[Surface]unit.Length
	// Slope is the rise over run of turf that says none; 0 is level.
	Slope float64
	// Height is how high the place lies, for a property whose outlines do not say; 0 is not known.
	Height unit.Length
}

// Measure takes a property's turf, leaves out everything else and says how much is left
// and how sure that is. It fills every field of Site; when Problems has an error the
// figures are what could be had, often none.
//
// Edges longer than 100 m are first cut into short ones, straight in longitude and
// latitude. Areas are taken in the equal-area plane around the property at every size: for
// squares of 100 m to 14 km they are within 2e-8 of the geodesic area of the same outline,
// most of it the snapping to 0.1 mm (a test holds it). A second, geodesic figure for large
// sites would gain nothing and would part NetArea from Gross - sum(Excluded).
func Measure(p *Property, opt MeasureOptions) *Site {
	m := &measuring{property: p, site: &Site{
		Property: p, Net: geom.NewMultiPolygon(geom.XY), Frame: local.NewFrame(orb.Point{}),
		Exclusions: map[Surface]*geom.MultiPolygon{}, Excluded: map[Surface]unit.Area{},
		Edges: cmp.Or(opt.Edges, geodesic.LonLat), Strips: opt.Strips,
	}, opt: opt, corners: overlay.NewCorners()}
	m.accuracy()
	m.checkOptions()
	if m.place() && m.outlines() {
		m.overlay()
	}
	m.site.Problems.Sort()
	return m.site
}

// measuring is one property on its way to a Site.
type measuring struct {
	property *Property
	opt      MeasureOptions
	site     *Site
	corners  *overlay.Corners // as they were drawn, before snapping
	turf     []drawn
	leftOut  map[Surface][]drawn
}

// drawn is one repaired outline; a keep-off strip has no outline.
type drawn struct {
	outline *Outline
	shape   *geom.MultiPolygon
}

// place looks for what can not be measured at all and puts the frame at the middle.
func (m *measuring) place() bool {
	l, where := &m.site.Problems, m.property.Where
	hasTurf := false
	for i := range m.property.Outlines {
		o := &m.property.Outlines[i]
		if o.Surface == Turf {
			hasTurf = true
		} else if !slices.Contains(LeftOut, o.Surface) {
			what := fmt.Sprintf("the surface %q is not known", string(o.Surface))
			if o.Surface == "" {
				what = "what this outline is, is not known"
			}
			l.Errorf("unknown-surface", o.Where, "Say what this outline is: turf, "+surfaceNames()+".",
				"%s, so it can not be counted in or left out", what)
		}
		if isEmpty(o) {
			l.Errorf("outline-unreadable", o.Where, "Mend or remove this outline and measure again.",
				"this %s outline has no usable corners, so the property's net turf is not known", o.Surface)
		}
	}
	if !hasTurf {
		l.Errorf("no-turf", where, "Add an outline of the turf, or say which surface word means turf.",
			"there is no turf among the property's outlines (%d)", len(m.property.Outlines))
	}
	b, ok := boundsOf(m.property.Outlines)
	if !ok {
		// With no corner at all, what is wrong was said above.
		if slices.ContainsFunc(m.property.Outlines, func(o Outline) bool { return !isEmpty(&o) }) {
			l.Errorf("not-a-place", where, "Correct the coordinates: longitude -180 to 180, latitude -90 to 90.",
				"a coordinate is not a number or not on the Earth")
		}
		return false
	}
	if b.north > highestLat || b.south < -highestLat {
		l.Errorf("too-near-a-pole", where, "Check the order of the coordinates: longitude first, then latitude.",
			"the outlines reach latitude %.4f; nothing is measured beyond %.0f degrees", b.highest(), highestLat)
		return false
	}
	if w := b.diagonal(); w > Widest {
		l.Errorf("property-too-wide", where, "Name the member that tells the properties apart with --group-key.",
			"the outlines of this one property lie up to %.1f km (%.1f miles) apart, more than the %.0f km that one frame holds",
			w.In(unit.Kilometre), w.In(unit.Mile), Widest.In(unit.Kilometre))
		return false
	}
	m.site.Frame = local.NewFrame(b.middle())
	return !l.HasErrors()
}

// outlines cuts long edges, goes to metres and repairs.
func (m *measuring) outlines() bool {
	m.leftOut = map[Surface][]drawn{}
	for i := range m.property.Outlines {
		o := &m.property.Outlines[i]
		shape, changes, err := m.shape(o)
		if err != nil {
			m.site.Problems.Errorf("outline-not-repaired", o.Where, "Draw this outline again without crossing edges.",
				"this %s outline can not be made valid: %v", o.Surface, err)
			continue
		}
		m.report(o, changes)
		if o.Surface == Turf {
			m.turf = append(m.turf, drawn{o, shape})
		} else {
			m.leftOut[o.Surface] = append(m.leftOut[o.Surface], drawn{o, shape})
		}
	}
	return !m.site.Problems.HasErrors()
}

// shape is an outline in the frame, sound.
func (m *measuring) shape(o *Outline) (*geom.MultiPolygon, []overlay.Change, error) {
	areas, err := geodesic.Densify(o.Polygon, m.site.Edges)
	if err != nil {
		return nil, nil, err
	}
	shape := m.site.Frame.MultiPolygon(areas)
	for _, l := range o.Lines {
		line, err := geodesic.DensifyLine(l, m.site.Edges)
		if err != nil {
			return nil, nil, err
		}
		strip, err := overlay.Corridor([][]geom.Coord{m.site.Frame.LineString(line)}, o.Width)
		if err != nil {
			return nil, nil, err
		}
		for i := range strip.NumPolygons() {
			if err := shape.Push(strip.Polygon(i)); err != nil {
				return nil, nil, err
			}
		}
	}
	m.corners.Add(shape)
	sound, changes, err := overlay.Repair(shape)
	if err == nil {
		m.reportDrawing(o, shape, sound, changes)
	}
	return sound, changes, err
}

// overlay takes the surfaces from the turf one by one, so that ground under two of them
// counts with the first, and the figures add up to the gross area whatever rounds.
func (m *measuring) overlay() {
	s := m.site
	turf, ok := m.try(overlay.Union(shapes(m.turf)...))
	if !ok {
		return
	}
	turf = overlay.DropSlivers(turf, sliver)
	if s.Gross = m.area(turf); s.Gross <= 0 {
		s.Problems.Errorf("no-turf", m.property.Where, "Draw the turf as an area.", "the turf outlines enclose no ground")
		return
	}
	if !m.strip(Turf, turf) {
		return
	}
	rest, left := turf, s.Gross
	for _, surface := range LeftOut {
		if len(m.leftOut[surface]) == 0 {
			continue
		}
		union, ok := m.try(overlay.Union(shapes(m.leftOut[surface])...))
		if !ok || !m.strip(surface, union) {
			return
		}
		next, area, ok := m.less(rest, left, union)
		if !ok {
			return
		}
		s.Exclusions[surface] = union
		s.Excluded[surface] = left - area
		rest, left = next, area
	}
	s.Net, s.NetArea, s.Pieces = rest, left, rest.NumPolygons()
	m.finish(turf)
}

// less is what remains of ground of a known area without what is taken off, and its area.
func (m *measuring) less(ground *geom.MultiPolygon, area unit.Area, off *geom.MultiPolygon) (*geom.MultiPolygon, unit.Area, bool) {
	next, ok := m.try(overlay.Difference(ground, off))
	if !ok {
		return nil, 0, false
	}
	next = overlay.DropSlivers(next, sliver)
	if a := m.area(next); a <= area {
		return next, a, true
	}
	return ground, area, true // only snapping moved an edge
}

// area is that of a shape with its corners where they were drawn.
func (m *measuring) area(mp *geom.MultiPolygon) unit.Area {
	return overlay.Area(m.corners.Restore(mp))
}

func shapes(list []drawn) []*geom.MultiPolygon {
	out := make([]*geom.MultiPolygon, len(list))
	for i, d := range list {
		out[i] = d.shape
	}
	return out
}

// strip adds the keep-off strip along the edge of a surface, when one is asked for.
func (m *measuring) strip(s Surface, shape *geom.MultiPolygon) bool {
	width := m.opt.Strips[s]
	if width <= 0 {
		return true
	}
	by := width
	if s == Turf {
		by = -width
	}
	strip, ok := m.try(overlay.Grow(shape, by))
	if ok && s == Turf {
		strip, ok = m.try(overlay.Difference(shape, strip))
	}
	if ok {
		if m.leftOut == nil {
			m.leftOut = map[Surface][]drawn{}
		}
		m.leftOut[KeepOff] = append(m.leftOut[KeepOff], drawn{shape: strip})
	}
	return ok
}

// try passes a result on, or says that the property is refused.
func (m *measuring) try(mp *geom.MultiPolygon, err error) (*geom.MultiPolygon, bool) {
	if err != nil {
		m.site.Problems.Errorf("overlay-unsure", m.property.Where, "Simplify the outlines that share an edge, or draw them again.",
			"the net turf can not be told for sure: %v", err)
	}
	return mp, err == nil
}

func (m *measuring) finish(turf *geom.MultiPolygon) {
	s := m.site
	net := m.corners.Restore(s.Net)
	if overlay.Valid(net) { // nearly always: a hair of 0.1 mm makes the difference
		s.Net = net
	}
	degrees := s.Frame.InverseMultiPolygon(net)
	s.Parts, s.Perimeter = parts(net, degrees)
	s.PlusMinus = plusMinus(net, degrees, s.Frame.Centre(), s.Accuracy)
	s.PlusMinusBias = biasOf(s.Perimeter, s.Bias)
	m.zones()
	m.reportOutside(turf)
	m.reportHeight()
	if s.Pieces == 0 {
		// A warning: no turf is a figure as sure as any other.
		s.Problems.Warnf("nothing-left", m.property.Where, "Check which outlines are turf and which are to be left out.",
			"what is left out covers all %s of turf", bothUnits(s.Gross))
	}
}
