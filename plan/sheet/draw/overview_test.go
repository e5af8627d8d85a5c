package draw

import (
	"bytes"
	"fmt"
	"image/png"
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

// Crowded places: no text lies on another or leaves the frame, and each is tied to its place.
func TestOverviewTags(t *testing.T) {
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	rapid.Check(t, func(t *rapid.T) {
		o := sheet.Overview{Units: unit.US, Scales: []int{2000, 5000, 10_000, 50_000, 100_000}}
		wide := rapid.SampledFrom([]float64{1, 500, 20_000}).Draw(t, "wide")
		for i := range rapid.IntRange(1, 45).Draw(t, "places") {
			at := geom.Coord{rapid.Float64Range(0, wide).Draw(t, "x"), rapid.Float64Range(0, wide).Draw(t, "y")}
			o.Places = append(o.Places, sheet.Spot{Kind: sheet.StopSpot, At: at, Text: fmt.Sprint(i + 1)})
		}
		l := layoutGround(overviewExtent(o), o.Scales, 180, 120)
		d := overview{drawing: drawing{e: &engine{f: f}, l: l}, o: o}
		for _, s := range o.Places {
			d.spots = append(d.spots, l.at(s.At))
		}
		d.placeTags()
		for i, a := range d.tags {
			if a.at.X0 < 0 || a.at.Y0 < 0 || a.at.X1 > l.w || a.at.Y1 > l.h {
				t.Fatalf("tag %s leaves the frame: %v", a.text, a.at)
			}
			for _, b := range d.tags[:i] {
				if a.at.X0 < b.at.X1 && b.at.X0 < a.at.X1 && a.at.Y0 < b.at.Y1 && b.at.Y0 < a.at.Y1 {
					t.Fatalf("tags %s and %s overlap", a.text, b.text)
				}
			}
		}
	})
}

// The bar's length on paper is its length on the ground, in miles, kilometres, feet and metres.
func TestFarScaleBar(t *testing.T) {
	for _, test := range []struct {
		scale int
		units unit.System
		one   unit.Length
		name  string
	}{{50_000, unit.US, unit.Mile, "mi"}, {50_000, unit.Metric, unit.Kilometre, "km"}, {15_000, unit.US, unit.Mile, "mi"},
		{5000, unit.US, unit.Foot, "ft"}, {5000, unit.Metric, unit.Metre, "m"}, {1_000_000, unit.Metric, unit.Kilometre, "km"}} {
		b := mapLayout{scale: test.scale}.scaleBar(test.units)
		if b.unit != test.name || b.one != test.one {
			t.Errorf("1:%d %s: got %+v, want %s", test.scale, test.units, b, test.name)
		}
		if all := b.mm * float64(b.parts); all < 30 || all > 75 {
			t.Errorf("1:%d %s: the bar is %.1f mm long", test.scale, test.units, all)
		}
		if want := b.step.In(unit.Millimetre) / float64(test.scale); math.Abs(b.mm-want) > 1e-9*want {
			t.Errorf("1:%d %s: a step is %.3f mm, want %.3f", test.scale, test.units, b.mm, want)
		}
	}
}

func TestOverviewAlone(t *testing.T) {
	o, err := sheet.TruckOverview(sheettest.Plan(), "T1")
	if err != nil {
		t.Fatal(err)
	}
	var a, b bytes.Buffer
	for _, w := range []*bytes.Buffer{&a, &b} {
		s, err := LayoutOverview(o, 160*unit.Millimetre, 150*unit.Millimetre)
		if err != nil {
			t.Fatal(err)
		}
		if err := s.SVG(w, 1); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) || !bytes.HasPrefix(a.Bytes(), []byte("<svg")) {
		t.Error("the overview is not the same SVG twice")
	}
	if _, err := LayoutOverview(sheet.Overview{Units: unit.US}, 160*unit.Millimetre, 120*unit.Millimetre); err != nil {
		t.Errorf("an empty overview: %v", err)
	}
	if _, err := LayoutOverview(o, 0, 0); err == nil {
		t.Error("an overview of no size is drawn")
	}
	c, err := overviewAlone(o, 160*unit.Millimetre, 150*unit.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, x := range record(c).texts {
		seen[x.text] = true
	}
	for _, s := range o.Places {
		if !seen[s.Text] {
			t.Errorf("%q is not on the map", s.Text)
		}
	}
}

// One drawing is written in three formats, each as often as one likes: the PDF has one page of the drawing's size with its texts to be selected, the picture as many dots as that
// size has at the resolution, and all say whose day it is and that it is made up.
func TestOverviewFormats(t *testing.T) {
	o, err := sheet.TruckOverview(sheettest.Plan(), "T1")
	if err != nil {
		t.Fatal(err)
	}
	s, err := LayoutOverview(o, 160*unit.Millimetre, 150*unit.Millimetre)
	if err != nil {
		t.Fatal(err)
	}
	c := s.pages[0]
	if s.Len() != 1 || c.W != 160 || c.H > 150 {
		t.Fatalf("%d pages, %.1f x %.1f mm", s.Len(), c.W, c.H)
	}
	var first, again, pdf, picture bytes.Buffer
	for _, write := range []func() error{
		func() error { return s.SVG(&first, 1) }, func() error { return s.PDF(&pdf) }, func() error { return s.PNG(&picture, 1, 127) }, func() error { return s.SVG(&again, 1) },
	} {
		if err := write(); err != nil {
			t.Fatal(err)
		}
	}
	if !bytes.Equal(first.Bytes(), again.Bytes()) {
		t.Error("writing the drawing changes it")
	}
	box := fmt.Sprintf("/MediaBox[0 0 %.2f", 160/25.4*72)
	if !bytes.HasPrefix(pdf.Bytes(), []byte("%PDF-1.")) || !bytes.Contains(pdf.Bytes(), []byte("/ToUnicode")) || bytes.Count(pdf.Bytes(), []byte("/MediaBox")) != 1 || !bytes.Contains(pdf.Bytes(), []byte(box)) {
		t.Errorf("no PDF of one page 160 mm wide: want %q", box)
	}
	img, err := png.Decode(&picture)
	if err != nil {
		t.Fatal(err)
	}
	if got := img.Bounds().Dx(); got != 800 { // 160 mm are 800 fifths of a millimetre, 127 dots an inch
		t.Errorf("the picture is %d dots wide, want 800", got)
	}
	seen := map[string]bool{}
	for _, x := range record(c).texts {
		seen[x.text] = true
	}
	if !seen[sheet.InventedMark] || !seen["Example Turf Crew, truck T1, 2027-04-12, plan 3f2a9c41"] {
		t.Errorf("the map does not say what it is of: %v", seen)
	}
}
