package geo

import (
	"fmt"
	"math"
	"slices"
	"strings"

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
	// that it is guessed, 0.5 m or the rounding of the file's coordinates.
	Accuracy unit.Length
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
	}}
	m.accuracy(opt)
	if m.place() && m.outlines() {
		m.overlay()
	}
	m.site.Problems.Sort()
	return m.site
}

// measuring is one property on its way to a Site.
type measuring struct {
	property *Property
	site     *Site
	turf     []*geom.MultiPolygon
	leftOut  map[Surface][]drawn
}

// drawn is one repaired outline.
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
		if isEmpty(o.Polygon) {
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
		if slices.ContainsFunc(m.property.Outlines, func(o Outline) bool { return !isEmpty(o.Polygon) }) {
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
		shape, changes, err := overlay.Repair(m.site.Frame.MultiPolygon(geodesic.DensifyMultiPolygon(o.Polygon)))
		if err != nil {
			m.site.Problems.Errorf("outline-not-repaired", o.Where, "Draw this outline again without crossing edges.",
				"this %s outline can not be made valid: %v", o.Surface, err)
			continue
		}
		m.report(o, changes)
		if o.Surface == Turf {
			m.turf = append(m.turf, shape)
		} else {
			m.leftOut[o.Surface] = append(m.leftOut[o.Surface], drawn{o, shape})
		}
	}
	return !m.site.Problems.HasErrors()
}

// overlay takes the surfaces from the turf one by one, so that ground under two of them
// counts with the first, and the figures add up to the gross area whatever rounds.
func (m *measuring) overlay() {
	s := m.site
	rest, ok := m.try(overlay.Union(m.turf...))
	if !ok {
		return
	}
	rest = overlay.DropSlivers(rest, sliver)
	if s.Gross = overlay.Area(rest); s.Gross <= 0 {
		s.Problems.Errorf("no-turf", m.property.Where, "Draw the turf as an area.", "the turf outlines enclose no ground")
		return
	}
	turf := rest
	for _, surface := range LeftOut {
		if len(m.leftOut[surface]) == 0 {
			continue
		}
		shapes := make([]*geom.MultiPolygon, len(m.leftOut[surface]))
		for i, d := range m.leftOut[surface] {
			shapes[i] = d.shape
		}
		union, ok := m.try(overlay.Union(shapes...))
		if !ok {
			return
		}
		next, ok := m.try(overlay.Difference(rest, union))
		if !ok {
			return
		}
		if next = overlay.DropSlivers(next, sliver); overlay.Area(next) > overlay.Area(rest) {
			next = rest // only snapping moved an edge
		}
		s.Exclusions[surface] = union
		s.Excluded[surface] = overlay.Area(rest) - overlay.Area(next)
		rest = next
	}
	m.finish(turf, rest)
}

// try passes a result on, or says that the property is refused.
func (m *measuring) try(mp *geom.MultiPolygon, err error) (*geom.MultiPolygon, bool) {
	if err != nil {
		m.site.Problems.Errorf("overlay-unsure", m.property.Where, "Simplify the outlines that share an edge, or draw them again.",
			"the net turf can not be told for sure: %v", err)
	}
	return mp, err == nil
}

func (m *measuring) finish(turf, net *geom.MultiPolygon) {
	s := m.site
	s.Net, s.NetArea, s.Pieces = net, overlay.Area(net), net.NumPolygons()
	_, s.Perimeter = geodesic.MultiPolygon(s.Frame.InverseMultiPolygon(net))
	s.PlusMinus = plusMinus(net, s.Frame, s.Accuracy)
	m.reportOutside(turf)
	if s.Pieces == 0 {
		// A warning: no turf is a figure as sure as any other.
		s.Problems.Warnf("nothing-left", m.property.Where, "Check which outlines are turf and which are to be left out.",
			"what is left out covers all %s of turf", bothUnits(s.Gross))
	}
}

// report turns what the repair of an outline did into problems.
func (m *measuring) report(o *Outline, changes []overlay.Change) {
	l := &m.site.Problems
	for _, c := range changes {
		at := ""
		if c.At != nil {
			p := m.site.Frame.Inverse(c.At)
			at = fmt.Sprintf(" near %.6f, %.6f", p.Lon(), p.Lat())
		}
		moved := c.After - c.Before
		add := l.Warnf
		if math.Abs(moved.In(unit.SquareMetre)) < 0.01 {
			add = l.Notef
		}
		switch c.Kind {
		case overlay.NoArea:
			l.Warnf("ring-without-area", o.Where, "Draw this outline with at least three corners that are not in one line, or remove it.",
				"a ring of this %s outline encloses no ground and counts for nothing", o.Surface)
		case overlay.Uncrossed:
			add("ring-crosses-itself", o.Where, "Check the outline there and draw it without crossing edges.",
				"the outline crosses or touches itself%s; every loop counts, ground walked round twice counts once: %s, %s the plain sum",
				at, bothUnits(c.After), against(moved))
		case overlay.HolesMended:
			add("holes-overlap", o.Where, "Check the holes of this outline.",
				"holes overlap, touch along an edge or leave the outline%s; shared ground is taken off once: %s, %s the plain sum",
				at, bothUnits(c.After), against(moved))
		case overlay.PartsOverlap:
			add("parts-overlap", o.Where, "Check the parts of this outline.",
				"parts of this outline overlap; shared ground counts once: %s, %s the plain sum", bothUnits(c.After), against(moved))
		}
	}
}

// reportOutside notes outlines that take nothing from the turf.
func (m *measuring) reportOutside(turf *geom.MultiPolygon) {
	var names []string
	for _, surface := range LeftOut {
		for _, d := range m.leftOut[surface] {
			if d.shape.NumPolygons() > 0 && !overlay.Meet(turf, d.shape) {
				names = append(names, shortPlace(d.outline.Where))
			}
		}
	}
	if len(names) == 0 {
		return
	}
	n := len(names)
	if n > 5 {
		names = append(names[:5], fmt.Sprintf("%d more", n-5))
	}
	m.site.Problems.Notef("outside-the-turf", m.property.Where, "Nothing needs doing unless one of them should lie on the turf.",
		"%s left out lie outside the turf and take nothing from it: %s", count(n, "outline"), strings.Join(names, ", "))
}

// bothUnits prints an area for either reader: "538 sq ft (50.0 m2)".
func bothUnits(a unit.Area) string {
	return unit.US.Area(a) + " (" + unit.Metric.Area(a) + ")"
}

func against(moved unit.Area) string {
	switch {
	case math.Abs(float64(moved)) < 0.05:
		return "the same as"
	case moved > 0:
		return bothUnits(moved) + " more than"
	}
	return bothUnits(-moved) + " less than"
}

func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

func surfaceNames() string {
	names := make([]string, len(LeftOut))
	for i, s := range LeftOut {
		names[i] = string(s)
	}
	return strings.Join(names, ", ")
}

// shortPlace is a place without its file.
func shortPlace(where string) string {
	if _, after, ok := strings.Cut(where, ": "); ok {
		return after
	}
	return where
}
