package sheet

import (
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

// labelled is the small plan with what labels and a record add to it. The first stop has water on it.
func labelled(recorded bool) *plan.Plan {
	p := sheettest.Plan()
	weed := &p.Mixes[0].Products[1]
	weed.PPE = []string{"Gloves", "Long sleeves."}
	weed.Wanted, weed.MostInMix = "0.25 lb N/1000 sq ft", label.Strength{Liquid: 4 * unit.FluidOuncePerGallon}
	weed.Buffers = []plan.Buffer{{Near: "open water", Distance: 25 * unit.Foot, Citation: "a county, 2026", Surface: geo.Water},
		{Near: "wells", Distance: 50 * unit.Foot, Citation: weed.Citation}}
	p.Stops[0].Map.LeftOut[geo.Water] = p.Stops[0].Map.LeftOut[geo.Bed]
	for i := range p.Stops {
		s := &p.Stops[i].Season
		s.Recorded = recorded
		s.Adds = []season.Total{{Of: "N", Weight: 0.23 * unit.PoundPerThousand}, {Of: "quick N", Weight: 0.2 * unit.PoundPerThousand},
			{Of: "slow N", Weight: 0.03 * unit.PoundPerThousand}, {Of: "K2O", Weight: 0.05 * unit.PoundPerThousand}}
		if recorded {
			s.Year = []season.Total{{Of: "N", Weight: 1.23 * unit.PoundPerThousand}, {Of: "quick N", Weight: 0.9 * unit.PoundPerThousand}}
		}
		s.Unknown = []string{"Example granule 75 WG"}
		dry := func(x unit.MassPerArea) label.Rate { return label.Rate{Dry: x * unit.PoundPerThousand} }
		s.Limits = []season.Line{
			{Kind: season.Cap, Title: "N per year", Period: "2027", Used: dry(1), Adds: dry(0.23), Most: dry(4), Citation: "a county", Dated: "2027-01-05"},
			{Kind: season.Cap, Title: "N per application", Period: "2027-04-12", Adds: dry(0.23), Most: dry(0.7), Citation: "a county"},
			{Kind: season.Times, Title: "applications of weed control per year", Period: "2027", UsedTimes: 1, AddsTimes: 1, MostTimes: 3, Citation: "a label"},
			{Kind: season.Interval, Title: "weed control, 28 days apart", Days: 28, Last: "2027-03-01", Citation: "a label"},
			{Kind: season.SlowPart, Title: "slow part of the N", Slow: 0.13, LeastSlow: 0.1, Citation: "a county"},
			{Kind: season.Blackout, Title: "blackout of N, 11-15 to 03-01", Period: "11-15 to 03-01", Citation: "a county"},
			{Kind: season.Cap, Title: "P2O5 per year", Most: dry(1), Citation: "a county"},
		}
	}
	return p
}

func section(d *Document, page int) string {
	return strings.Join(strings.Fields((&Document{Pages: d.Pages[page : page+1]}).Text()), " ")
}

func has(t *testing.T, text string, wants ...string) {
	t.Helper()
	for _, want := range wants {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing from\n%s", want, text)
		}
	}
}

func hasNot(t *testing.T, text string, nots ...string) {
	t.Helper()
	for _, not := range nots {
		if strings.Contains(text, not) {
			t.Errorf("%q is in\n%s", not, text)
		}
	}
}

// With a record: what the visit adds, how the year stands, and each limit that it touches.
func TestSeasonOnTheSheet(t *testing.T) {
	d := document(t, labelled(true))
	stop := section(d, 1)
	has(t, stop, "Adds: 0.23 lb N/1000 sq ft (quick 0.20), 0.05 lb K2O/1000 sq ft.", "This calendar year with this visit: 1.23 lb N/1000 sq ft (quick 0.90).",
		"Not counted, because no analysis is entered: Example granule 75 WG.",
		"N per year (2027) 1.23 lb/1000 sq ft up to 4.00 lb/1000 sq ft a county, read 2027-01-05", "N per application 0.23 lb/1000 sq ft up to 0.70 lb/1000 sq ft",
		"applications of weed control per year (2027) 2 up to 3", "weed control, 28 days apart nearest other on 2027-03-01 28 days apart",
		"slow part of the N 13 % slow at least 10 %", "blackout of N, 11-15 to 03-01 outside it none from 11-15 to 03-01")
	hasNot(t, stop, "P2O5")
	hasNot(t, section(d, 0), "No record")
}

// Without one: what hangs on earlier applications is left to the crew's books, once, on the load sheet.
func TestSeasonWithoutARecord(t *testing.T) {
	d := document(t, labelled(false))
	has(t, section(d, 1), "Adds: 0.23 lb N", "N per application", "slow part of the N")
	hasNot(t, section(d, 1), "This calendar year", "N per year", "28 days")
	load := section(d, 0)
	has(t, load, "No record of earlier applications was given. Check in yours, stop by stop: N per year (up to 4.00 lb/1000 sq ft); applications of weed control per year (up to 3); weed control, 28 days apart.")
	if strings.Count(load, "No record") != 1 {
		t.Error("the load sheet says it more than once")
	}
	hasNot(t, section(document(t, sheettest.Plan()), 1), "Adds", "Limit")
}

func TestLabelsOnTheSheet(t *testing.T) {
	d := document(t, labelled(true))
	has(t, section(d, 0), "WEAR for Example weed control L: Gloves. Long sleeves.")
	has(t, section(d, 1), "KEEP 25 ft FROM OPEN WATER (Example weed control L).", "Keep 25 ft from open water [a county, 2026]. Keep 50 ft from wells. Wear: Gloves. Long sleeves.",
		"6.00 fl oz per 1000 sq ft, for 0.25 lb N/1000 sq ft", "8.00 fl oz per 1000 sq ft; 4.00 fl oz/gal of mix", "INV-6")
	hasNot(t, section(d, 2), "KEEP 25") // no water there
}

func TestCalibrationOnTheSheet(t *testing.T) {
	p := sheettest.Plan()
	m := &p.Mixes[0]
	m.Nozzle, m.TestLiquid, m.CoursePasses = "red tip", "Spring", 3
	has(t, section(document(t, p), 0), "Course: 100 ft x 10.0 ft x 3 passes = 1,000 sq ft", "Caught: 2.05 gal of Spring", "Nozzle: red tip")
	m.Course = 0
	has(t, section(document(t, p), 0), "Course: 1,000 sq ft")
}

func TestWeightOnTheSheet(t *testing.T) {
	p := sheettest.Plan()
	p.Trucks[0].Weight = &plan.Weight{Load: 2100 * unit.Pound, Payload: 3000 * unit.Pound, Margin: 900 * unit.Pound,
		Items: []plan.WeightItem{{Name: "water in Front", Mass: 1500 * unit.Pound}, {Name: "Example", Mass: 600 * unit.Pound}}}
	has(t, section(document(t, p), 0), "Weight at the fullest: 2,100 lb, of a payload of 3,000 lb; 900 lb to spare. (water in Front 1,500 lb, Example 600 lb; containers not counted.")
}

// What is said of several places stands once.
func TestWarningsAreFolded(t *testing.T) {
	p := sheettest.Plan()
	for _, where := range []string{"day.yaml:1", "day.yaml:2", "day.yaml:3", "day.yaml:4"} {
		p.Problems.Warnf("grass-unknown", where, "Enter the grass.", "the grass is not known")
	}
	p.Problems.Warnf("other", "day.yaml:5", "Mend it.", "another thing")
	p.Problems.Warnf("other", "day.yaml:6", "Mend it.", "another thing")
	load := section(document(t, p), 0)
	has(t, load, "CHECK: The grass is not known. Enter the grass. [day.yaml:1, day.yaml:2, 2 more]", "CHECK: Another thing. Mend it. [day.yaml:5, day.yaml:6]")
	if n := strings.Count(load, "CHECK:"); n != 2 {
		t.Errorf("%d boxes, want 2", n)
	}
}

func TestHolds(t *testing.T) {
	for _, tt := range []struct {
		u    unit.System
		a    label.Amount
		want string
	}{
		{unit.US, label.Amount{Liquid: 2.5 * unit.Gallon}, "2.5 gal"}, {unit.US, label.Amount{Liquid: unit.Gallon}, "1 gal"},
		{unit.US, label.Amount{Liquid: 16 * unit.FluidOunce}, "16.0 fl oz"}, {unit.US, label.Amount{Dry: 50 * unit.Pound}, "50 lb"},
		{unit.US, label.Amount{Liquid: 30 * unit.Gallon}, "30 gal"}, {unit.US, label.Amount{Dry: 1.25 * unit.Pound}, "1.25 lb"},
		{unit.Metric, label.Amount{Liquid: 10 * unit.Litre}, "10 L"}, {unit.Metric, label.Amount{Dry: 20 * unit.Kilogram}, "20 kg"},
		{unit.Metric, label.Amount{Liquid: 2.5 * unit.Gallon}, "9.46 L"}, {unit.Metric, label.Amount{Liquid: 500 * unit.Millilitre}, "500 mL"},
	} {
		w := writer{u: tt.u}
		if got := w.holds(plan.Container{Holds: tt.a}); got != tt.want {
			t.Errorf("got %q, want %q", got, tt.want)
		}
	}
}

// The appendix says each formula and each reason once.
func TestAppendixIsFolded(t *testing.T) {
	d := document(t, sheettest.Plan())
	text := section(d, len(d.Pages)-1)
	for _, once := range []string{"fill / carrier rate x product rate", "Half of the final reading", "on turf / carrier rate"} {
		if n := strings.Count(text, once); n != 1 {
			t.Errorf("%q stands %d times, want once", once, n)
		}
	}
	has(t, text, "60 gal / (2.05 gal/1000 sq ft) x (6 fl oz/1000 sq ft) = 175.6098 fl oz")
}
