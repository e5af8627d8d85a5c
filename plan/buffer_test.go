package plan_test

import (
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
)

// byWater is the lawn of 100 ft x 60 ft with a ditch along its south side, a gap away, and what is kept off along it.
func byWater(gap, strip unit.Length) *geo.Site {
	f := local.NewFrame(yard)
	box := func(x0, y0, x1, y1 unit.Length) orb.MultiPolygon {
		at := func(x, y unit.Length) orb.Point { return f.Inverse(geom.Coord{float64(x), float64(y)}) }
		return orb.MultiPolygon{{{at(x0, y0), at(x1, y0), at(x1, y1), at(x0, y1), at(x0, y0)}}}
	}
	p := &geo.Property{ID: "A", Name: "Lawn A", Where: "test: property A", Outlines: []geo.Outline{
		{Surface: geo.Turf, Polygon: box(0, 0, 100*unit.Foot, 60*unit.Foot), Where: "test: turf"},
		{Surface: geo.Water, Polygon: box(0, -gap-10*unit.Foot, 100*unit.Foot, -gap), Where: "test: ditch"}}}
	opt := geo.MeasureOptions{}
	if strip > 0 {
		opt.Strips = map[geo.Surface]unit.Length{geo.Water: strip}
	}
	return geo.Measure(p, opt)
}

// A label that asks for 25 ft from water, and a lawn that comes as near as the gap or what is kept off.
func TestBuffers(t *testing.T) {
	ft := unit.Foot
	for _, tt := range []struct {
		name       string
		gap, strip unit.Length
		buffer     label.Buffer
		says       string // "" is no warning
	}{
		{"at the water", 0, 0, label.Buffer{Near: "water"}, "as near as 0.0 ft to water (no strip is kept off along it), and the label of Feed asks for 25 ft from water [made up]"},
		{"too near", 20 * ft, 0, label.Buffer{Near: "open water"}, "as near as 20 ft to water"},
		{"just", 25 * ft, 0, label.Buffer{Near: "Water"}, ""},
		{"far", 40 * ft, 0, label.Buffer{Near: "water"}, ""},
		{"a strip too narrow", 0, 10 * ft, label.Buffer{Near: "water"}, "(the strip kept off along it is 10.0 ft wide)"},
		{"a strip that fits", 0, 25 * ft, label.Buffer{Near: "water"}, ""},
		{"a gap and a strip", 10 * ft, 26 * ft, label.Buffer{Near: "water"}, ""},
		{"for a boom", 0, 0, label.Buffer{Near: "water", Applicator: "boom"}, ""},
		{"for a gun", 0, 0, label.Buffer{Near: "water", Applicator: "gun"}, "as near as 0.0 ft"},
		{"from a well", 0, 0, label.Buffer{Near: "well"}, ""},
		{"from a building", 0, 0, label.Buffer{Near: "building"}, ""}, // the lawn has none
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := oddDay()
			d.Stops[0].Site = byWater(tt.gap, tt.strip)
			tt.buffer.Distance, tt.buffer.Citation, tt.buffer.Dated = 25*ft, "made up", "2026-01-05"
			d.Products[0].Label.Buffers = []label.Buffer{tt.buffer}
			p := made(t, d)
			checkProblems(t, p.Problems)
			switch found := p.Problems; {
			case tt.says == "" && len(found) == 0:
			case tt.says == "" || len(found) != 1 || found[0].Code != "buffer-not-kept" || found[0].Severity != problem.Warning || found[0].Where != "stop A" || !strings.Contains(found[0].What, tt.says):
				t.Errorf("got %v, want %q", found, tt.says)
			}
			if told := p.Mixes[0].Products[1].Buffers; (len(told) == 0) != (tt.buffer.Applicator == "boom") {
				t.Errorf("the sheet is told of %+v", told)
			}
		})
	}
}

// Points of two outlines that are nearest within a side, at a corner, and beyond what is asked for.
func TestBufferCorner(t *testing.T) {
	d := oddDay()
	d.Products[0].Label.Buffers = []label.Buffer{{Near: "water", Distance: 5 * unit.Metre, Citation: "made up", Dated: "2026-01-05"}}
	d.Units = unit.Metric
	p := rectangle("A", 0, 0, 30, 20, false)
	// A pond 3 m east and 3 m north of the corner: 4.2 m away, by Pythagoras.
	pond := rectangle("pond", 33, 23, 10, 10, false)
	pond.Outlines[0].Surface = geo.Water
	p.Outlines = append(p.Outlines, pond.Outlines[0])
	d.Stops[0].Site = measured(p)
	made := made(t, d)
	if len(made.Problems) != 1 || !strings.Contains(made.Problems[0].What, "as near as 4.2") {
		t.Errorf("got %v, want 4.2 m", made.Problems)
	}
	if b := made.Mixes[0].Products[1].Buffers[0]; b.Surface != geo.Water || b.Distance != 5*unit.Metre {
		t.Errorf("got %+v", b)
	}
}
