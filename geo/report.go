package geo

import (
	"fmt"
	"math"
	"strings"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/overlay"
)

// reportDrawing notes what is odd in a sound outline and changes no figure.
func (m *measuring) reportDrawing(o *Outline, drawn, shape *geom.MultiPolygon, changes []overlay.Change) {
	if len(changes) > 0 {
		return // what the repair did is told
	}
	if at := retraced(drawn); at != nil {
		p := m.site.Frame.Inverse(at)
		m.site.Problems.Notef("edge-retraced", o.Where, "Remove the corner there.",
			"the outline runs back along its own edge at %.6f, %.6f; the strip between has no width and counts for nothing", p.Lon(), p.Lat())
	}
	if n := drawn.NumPolygons(); shape.NumPolygons() < n {
		m.site.Problems.Notef("parts-joined", o.Where, "Nothing needs doing.", "%d parts of this outline share edges and are measured as %d", n, shape.NumPolygons())
	}
}

// retraced is the first corner at which a ring turns back along the edge it came by, to within a millimetre; nil for none.
func retraced(mp *geom.MultiPolygon) geom.Coord {
	for i := range mp.NumPolygons() {
		for j := range mp.Polygon(i).NumLinearRings() {
			flat := mp.Polygon(i).LinearRing(j).FlatCoords()
			n := len(flat)/2 - 1
			for k := 0; n > 2 && k < n; k++ {
				before, after := 2*((k+n-1)%n), 2*((k+1)%n)
				ux, uy := flat[before]-flat[2*k], flat[before+1]-flat[2*k+1]
				vx, vy := flat[after]-flat[2*k], flat[after+1]-flat[2*k+1]
				longer := math.Max(math.Hypot(ux, uy), math.Hypot(vx, vy))
				if ux*vx+uy*vy > 0 && math.Abs(ux*vy-uy*vx) < sliver.In(unit.Metre)*longer {
					return geom.Coord{flat[2*k], flat[2*k+1]}
				}
			}
		}
	}
	return nil
}

// worthAWord is the change of an area, in square metres, below which a repair is only noted.
const worthAWord = 0.05

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
		if math.Abs(moved.In(unit.SquareMetre)) < worthAWord {
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
	case math.Abs(moved.In(unit.SquareMetre)) < worthAWord:
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

// leastHeightEffect is the share of the area from which the height of a place is worth a word.
const leastHeightEffect = 1e-4

// reportHeight says how much more ground there is at the height of the place than on the ellipsoid.
func (m *measuring) reportHeight() {
	h := m.property.Height
	if h == 0 {
		h = m.opt.Height
	}
	more := geodesic.ElevationFactor(h, m.site.Frame.Centre().Lat()) - 1
	if math.Abs(more) < leastHeightEffect {
		return
	}
	m.site.Problems.Notef("height", m.property.Where, "Nothing needs doing.",
		"areas are those of the ellipsoid; at a height of %s (%s) the ground is %s %% larger, %s here, which is not added",
		unit.US.Length(h), unit.Metric.Length(h), unit.Number(100*more, 3), bothUnits(m.site.NetArea*unit.Area(more)))
}
