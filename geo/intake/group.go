package intake

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake/raw"
)

// feature is a feature of the file with what it means.
type feature struct {
	*raw.Feature
	surface    geo.Surface
	truck      bool
	tagged     bool   // an OpenStreetMap tag says the surface
	passedOver string // the kind of thing it is that counts for nothing, "" when it counts
}

// isArea reports whether the feature stands for ground, readable or not.
func (f *feature) isArea() bool { return len(f.Areas) > 0 || f.Broken }

// grouping is one property being put together from its features.
type grouping struct {
	*reader
	property *geo.Property
	id       string
	names    naming
	heights  raw.Heights
	passed   map[string]int
	idle     []*feature // lines and points that count for nothing
	list     problem.List
}

func (g *grouping) add(f *feature) {
	g.list = append(g.list, f.Problems...)
	id, _ := g.propertyID(f.Feature)
	if g.property == nil {
		g.id = id
		g.property = &geo.Property{ID: id, Where: fmt.Sprintf("%s: property %s", g.name, id)}
	} else if id != g.id { // two ids with one hash: once in 10^7 files of a million properties
		g.list.Errorf("property-clash", f.Where, "Give the property another id.", "the ids %q and %q can not be told apart", id, g.id)
		return
	}
	if f.passedOver != "" {
		if g.passed == nil {
			g.passed = map[string]int{}
		}
		g.passed[f.passedOver]++
		return
	}
	if f.truck && len(f.Points) > 0 {
		for _, at := range f.Points {
			if !slices.Contains(g.property.Trucks, at) {
				g.property.Trucks = append(g.property.Trucks, at)
			}
		}
		g.names.see(f)
	}
	width, ok := g.width(f)
	if len(f.Lines) > 0 && ok && !f.isArea() || f.isArea() {
		g.outline(f, width)
	}
	if len(f.Lines) > 0 && !(ok && width > 0) || len(f.Points) > 0 && !f.truck {
		g.idle = append(g.idle, f)
	}
}

// outline adds what the feature covers.
func (g *grouping) outline(f *feature, width unit.Length) {
	g.names.see(f)
	o := geo.Outline{ID: f.ID, Name: f.Members.Text("name"), Surface: f.surface, Zone: f.Members.Text("zone"), Where: f.Where,
		Decimals: f.Decimals, Step: unit.Length(f.Step)}
	if !f.Broken {
		o.Polygon = f.Areas
		if width > 0 {
			o.Lines, o.Width = f.Lines, width
		}
	}
	o.Slope = g.slope(f)
	g.property.Outlines = append(g.property.Outlines, o)
	g.property.Walked = g.property.Walked || f.Walked
	g.heights.Sum, g.heights.Count = g.heights.Sum+f.Heights.Sum, g.heights.Count+f.Heights.Count
}

// width is the width of a feature's lines; ok is false when it is not known or nothing says what the line is.
func (g *grouping) width(f *feature) (w unit.Length, ok bool) {
	if len(f.Lines) == 0 || f.surface == "" {
		return 0, false
	}
	text := f.Members.Text("width")
	if text == "" {
		return g.opt.LineWidth, g.opt.LineWidth > 0
	}
	w, err := unit.ParseLength(text)
	if err != nil && f.tagged {
		// A width without a unit is in metres (OpenStreetMap wiki, Key:width; from memory).
		w, err = unit.ParseLength(text + " m")
	}
	const narrowest, widest = unit.Centimetre, 200 * unit.Metre
	if err != nil || !(w >= narrowest && w <= widest) {
		g.list.Errorf("width-not-a-length", f.Where, "Write a width with its unit, such as \"5 ft\".", "the width %q of this line is not understood", raw.Clip(text))
		return 0, false
	}
	return w, true
}

// slope is the rise over run that a feature's member slope says, 0 for none.
func (g *grouping) slope(f *feature) float64 {
	text := f.Members.Text("slope")
	if text == "" {
		return 0
	}
	s, err := geo.ParseSlope(text)
	if err != nil {
		g.list.Errorf("slope-not-understood", f.Where, "Write a slope as \"10 %\" or \"6 deg\".", "%v", err)
		return 0
	}
	return s
}

// done is the property, nil when there is no ground in it.
func (g *grouping) done() (*geo.Property, problem.List) {
	g.reportPassedOver()
	g.reportIdle()
	p := g.property
	if p == nil || len(p.Outlines) == 0 && len(p.Trucks) == 0 {
		return nil, g.list
	}
	p.Name = g.names.choose(p.ID)
	if g.heights.Count > 0 {
		if h := g.heights.Sum / float64(g.heights.Count); !math.IsNaN(h) && !math.IsInf(h, 0) {
			p.Height = unit.Length(h)
		}
	}
	return p, g.list
}

// reportPassedOver tells of things on an OpenStreetMap extract that say nothing about the ground.
func (g *grouping) reportPassedOver() {
	var strange, plain []string
	for what, n := range g.passed {
		text := fmt.Sprintf("%d %s", n, what)
		if strings.Contains(what, "=") || strings.Contains(what, "tag") {
			strange = append(strange, text)
		} else {
			plain = append(plain, text)
		}
	}
	slices.Sort(plain)
	slices.Sort(strange)
	if len(plain) > 0 {
		g.list.Notef("passed-over", g.property.Where, "Nothing needs doing.",
			"outlines that say who uses the ground, not what covers it, or that lie under it, count for nothing: %s", strings.Join(plain, ", "))
	}
	if len(strange) > 0 {
		if len(strange) > 8 {
			strange = append(strange[:8], "...")
		}
		g.list.Warnf("tags-not-understood", g.property.Where, "Say what they are with --surface-map, such as landuse=orchard=bed.",
			"outlines whose tags are not understood are neither turf nor left out of it: %s", strings.Join(strange, ", "))
	}
}

// reportIdle warns of lines and points: they have no area to treat or to leave out.
func (g *grouping) reportIdle() {
	lines, points := 0, 0
	for _, f := range g.idle {
		if len(f.Lines) > 0 {
			lines++
		} else {
			points++
		}
	}
	where := func(ofLines bool) string {
		n, at := 0, ""
		for _, f := range g.idle {
			if (len(f.Lines) > 0) == ofLines {
				n, at = n+1, cmp.Or(at, f.Where)
			}
		}
		if n > 1 {
			return g.property.Where
		}
		return at
	}
	if lines > 0 {
		g.list.Warnf("not-an-area", where(true), "Draw it as an area if it covers turf, or give it a member \"width\", or all of them --line-width.",
			"%s drawn as a line without a width: no turf is taken away there", counted(lines, "path"))
	}
	if points > 0 {
		g.list.Warnf("not-an-area", where(false), "Draw it as an area if it covers turf.", "%s drawn as a point: no turf is taken away there", counted(points, "thing"))
	}
}

func counted(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// naming finds what people call a property: property_name when all features agree on it, or the
// name of its turf when that is one name only.
type naming struct{ property, turf []string }

func (n *naming) see(f *feature) {
	add := func(list *[]string, s string) {
		if s != "" && !slices.Contains(*list, s) && len(*list) < 2 {
			*list = append(*list, s)
		}
	}
	add(&n.property, f.Members.Text("property_name"))
	if f.surface == geo.Turf {
		add(&n.turf, f.Members.Text("name"))
	}
}

func (n *naming) choose(id string) string {
	switch {
	case len(n.property) == 1:
		return n.property[0]
	case len(n.property) == 0 && len(n.turf) == 1:
		return n.turf[0]
	}
	return id
}
