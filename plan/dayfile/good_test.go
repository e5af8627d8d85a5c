package dayfile_test

import (
	"math"
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/testdata/demo"
)

func demoDay(t testing.TB) *plan.Day {
	t.Helper()
	text, err := demo.Files.ReadFile(demo.DayFile)
	if err != nil {
		t.Fatal(err)
	}
	day, problems := dayfile.Parse(demo.DayFile, text, demo.Files.ReadFile, intake.Options{})
	for _, p := range problems {
		t.Errorf("the demo: %v", p)
	}
	return day
}

// The expected figures are those written in day.yaml, converted by hand.
func TestDemo(t *testing.T) {
	d := demoDay(t)
	if d.Date != "2026-04-14" || d.Units != unit.US || !d.Invented || d.Start != 7*unit.Hour || d.End != 17*unit.Hour {
		t.Errorf("head: got %s %s %v %v-%v", d.Date, d.Units, d.Invented, d.Start, d.End)
	}
	if len(d.Products) != 4 || len(d.Mixes) != 2 || len(d.Applicators) != 2 || len(d.Operators) != 2 || len(d.Trucks) != 1 || len(d.FillPoints) != 2 || len(d.Stops) != 16 {
		t.Fatalf("counts: %d products, %d mixes, %d applicators, %d operators, %d trucks, %d fill points, %d stops",
			len(d.Products), len(d.Mixes), len(d.Applicators), len(d.Operators), len(d.Trucks), len(d.FillPoints), len(d.Stops))
	}
	if d.FillPoints[0].At != d.Yard.At || d.Yard.At.Lon() != -41.2 || d.Yard.At.Lat() != 38.5 {
		t.Errorf("yard at %v, its hydrant at %v", d.Yard.At, d.FillPoints[0].At)
	}
	iron := d.Products[2]
	if iron.Form != label.Dry || iron.Label.Most.Dry.In(unit.PoundPerThousand) != 0.25 || iron.Label.Citation != "invented label, 2026" {
		t.Errorf("iron: got %+v, want dry, at most 0.25 lb/1000 sq ft", iron)
	}
	if feed, weed := d.Products[0], d.Products[3]; feed.Analysis.Grade() != "18-0-4" || feed.Analysis.SlowN != 0.06 || feed.Label.IntervalDays != 21 || len(feed.Containers) != 2 ||
		iron.Analysis.Other["Fe"] != 0.2 || !weed.Analysis.None || weed.Active != 0.3 || weed.Label.Buffers[0].Near != "water" || weed.Label.Limits[0].Times != 3 {
		t.Errorf("analysis, intervals and limits: got %+v\n%+v", feed, weed)
	}
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-9*want {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	near("feed rate, fl oz/1000 sq ft", d.Mixes[0].Products[0].Rate.Liquid.In(unit.FluidOuncePerThousand), 16)
	near("swath, m", float64(d.Applicators[0].Swath), 2.1336)
	near("heel, gal", d.Trucks[0].Tanks[1].Heel.In(unit.Gallon), 4)
	near("flow, gal/min", d.FillPoints[1].Flow.In(unit.GallonPerMinute), 30)
	near("caught, gal", d.Operators[0].Tests[0].Catch.Caught.In(unit.Gallon), 2.04)
	if s := d.Stops[0]; s.SetUp != 4*unit.Minute || s.Site.Property.Name != "4 Gull Row, front" || s.Site.Property.ID != "gull-row-4" {
		t.Errorf("first stop: got %v at %q", s.SetUp, s.Site.Property.Name)
	}
	if s := d.Stops[9]; s.From != 7*unit.Hour || s.Until != 10.5*unit.Hour || s.SetUp != 6*unit.Minute {
		t.Errorf("chapel: window %v to %v, set-up %v", s.From, s.Until, s.SetUp)
	}
	if got, want := d.Mixes[1].Products[0].Where, "day.yaml:174 mixes[1].products[0]"; got != want {
		t.Errorf("a place: got %q, want %q", got, want)
	}
}

// Every surface occurs in the demo, every stop has its truck's place, and the turf is what a
// crew can treat in a day.
func TestDemoGround(t *testing.T) {
	d := demoDay(t)
	seen := map[geo.Surface]bool{}
	var total unit.Area
	for _, s := range d.Stops {
		total += s.Site.NetArea
		if len(s.Site.Property.Trucks) == 0 {
			t.Errorf("%s has no place for the truck", s.Site.Property.ID)
		}
		for _, o := range s.Site.Property.Outlines {
			seen[o.Surface] = true
		}
		if a := s.Site.NetArea.In(unit.SquareFoot); a < 1200 || a > 80_000 {
			t.Errorf("%s: %.0f sq ft of turf, want 1,200 to 80,000", s.Site.Property.ID, a)
		}
	}
	for _, s := range append(geo.LeftOut, geo.Turf) {
		if !seen[s] {
			t.Errorf("no outline is %s", s)
		}
	}
	if a := total.In(unit.SquareFoot); a < 250_000 || a > 350_000 {
		t.Errorf("the turf is %.0f sq ft, want 250,000 to 350,000", a)
	}
}
