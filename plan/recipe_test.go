package plan_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// What is wanted of a product, at 2.00 gal/1000 sq ft. By hand:
//
//	0.0625 lb N   0.0625 / (10 lb/gal x 0.2 x 1 gal / 128 fl oz) = 4 fl oz/1000 sq ft, 2 fl oz in a gallon
//	1 % v/v       0.01 x 128 = 1.28 fl oz/gal, x 2 = 2.56 fl oz/1000 sq ft; 6,000 sq ft: 15.4 fl oz
//	2 lb/100 gal  0.02 x 2 = 0.04 lb/1000 sq ft; 6,000 sq ft: 0.24 lb
func TestWantedByHand(t *testing.T) {
	for _, tt := range []struct {
		name                      string
		wanted                    plan.MixProduct
		text, rate, inMix, onStop string
	}{
		{"a nutrient", plan.MixProduct{Product: "Feed", Nutrient: "N", NutrientRate: 0.0625 * unit.PoundPerThousand},
			"0.0625 lb N/1000 sq ft", "4.00 fl oz/1000 sq ft", "2.00 fl oz/gal", "24.0 fl oz"},
		{"per cent", plan.MixProduct{Product: "Feed", InMix: label.Strength{Liquid: unit.PercentByVolume}},
			"1.28 fl oz/gal (1.00 % v/v)", "2.56 fl oz/1000 sq ft", "1.28 fl oz/gal", "15.4 fl oz"},
		{"weight in the mix", plan.MixProduct{Product: "Iron", InMix: label.Strength{Dry: unit.PoundPerGallon / 50}},
			"2.00 lb/100 gal", "0.04 lb/1000 sq ft", "2.00 lb/100 gal", "0.24 lb"},
		{"per area", plan.MixProduct{Product: "Iron", Rate: label.Rate{Dry: unit.PoundPerThousand / 2}},
			"0.50 lb/1000 sq ft", "0.50 lb/1000 sq ft", "25.00 lb/100 gal", "3.00 lb"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			d := fedDay()
			d.Mixes[0].Products = []plan.MixProduct{tt.wanted}
			p := made(t, d)
			q := p.Mixes[0].Products[0]
			equal(t, q.Wanted, tt.text, q.Rate.Text(p.Units), tt.rate, q.InMix.Text(p.Units), tt.inMix, p.Stops[0].Products[0].Amount.Text(p.Units), tt.onStop)
			checkJSON(t, d, p)
			has := func(name string) bool {
				for _, s := range p.Mixes[0].Working {
					if s.Name == name {
						return true
					}
				}
				return false
			}
			if !has("carrier rate") || !has(q.Name+" in the mix") && !has(q.Name+" per area") {
				t.Errorf("the working shows the calibration and the dose; got\n%s", p.Mixes[0].Working.Text())
			}
			d.Units = unit.Metric
			made(t, d)
		})
	}
}

// Wrong wants: each one error, in the words of the recipe.
func TestWantedWrong(t *testing.T) {
	nan := math.NaN()
	for name, tt := range map[string]struct {
		wanted plan.MixProduct
		want   string
	}{
		"nothing":               {plan.MixProduct{Product: "Feed"}, "rate-zero"},
		"two ways":              {plan.MixProduct{Product: "Feed", Rate: label.Rate{Liquid: unit.FluidOuncePerThousand}, InMix: label.Strength{Liquid: unit.PercentByVolume}}, "wanted-twice"},
		"N of what has none":    {plan.MixProduct{Product: "Iron", Nutrient: "N", NutrientRate: unit.PoundPerThousand}, "nutrient-absent"},
		"N over the label":      {plan.MixProduct{Product: "Feed", Nutrient: "N", NutrientRate: 0.2 * unit.PoundPerThousand}, "rate-over-label"},
		"strength over":         {plan.MixProduct{Product: "Feed", InMix: label.Strength{Liquid: 4 * unit.PercentByVolume}}, "rate-over-label"},
		"negative N":            {plan.MixProduct{Product: "Feed", Nutrient: "N", NutrientRate: -1}, "rate-zero"},
		"NaN in the mix":        {plan.MixProduct{Product: "Feed", InMix: label.Strength{Liquid: unit.VolumePerVolume(nan)}}, "rate-zero"},
		"endless N":             {plan.MixProduct{Product: "Feed", Nutrient: "N", NutrientRate: unit.MassPerArea(math.Inf(1))}, "rate-zero"},
		"powder by volume":      {plan.MixProduct{Product: "Iron", InMix: label.Strength{Liquid: unit.PercentByVolume}}, "rate-wrong-kind"},
		"a nutrient of no name": {plan.MixProduct{Product: "Feed", Nutrient: "Q", NutrientRate: unit.PoundPerThousand}, "nutrient-unknown"},
	} {
		t.Run(name, func(t *testing.T) {
			d := fedDay()
			d.Mixes[0].Products = []plan.MixProduct{tt.wanted}
			p, found := plan.Make(d)
			checkProblems(t, found)
			if p != nil || !slices.ContainsFunc(found, func(q problem.Problem) bool {
				return q.Code == tt.want && q.Severity == problem.Error && q.Where == "mix"
			}) {
				t.Errorf("got plan %v and %v, want %s", p != nil, found, tt.want)
			}
		})
	}
}

// The order of adding: iron before feed by class; the user's order turns it round, by product or by class.
func TestOrderOfAdding(t *testing.T) {
	names := func(d *plan.Day) string {
		p := made(t, d)
		var out []string
		for _, q := range p.Loads[0].Products {
			out = append(out, q.Name)
		}
		return strings.Join(out, ", ")
	}
	d := oddDay()
	equal(t, names(d), "Iron, Feed")
	d.Mixes[0].Sequence = []string{"Feed"}
	equal(t, names(d), "Feed, Iron")
	d.Mixes[0].Sequence, d.Mixes[0].Order = nil, []label.Class{label.Emulsifiable}
	equal(t, names(d), "Feed, Iron")
	d.Mixes[0].Sequence, d.Mixes[0].Order = []string{"Feed", "Fedd"}, []label.Class{"goo"}
	_, found := plan.Make(d)
	if got := []string{found[0].Code, found[1].Code}; len(found) != 2 || strings.Join(got, " ") != "class-unknown product-unknown" {
		t.Errorf("got %v, want the class and the product unknown, once each", found)
	}
}

// Products that a label keeps apart, and a granule, are refused in one mix.
func TestProductsApart(t *testing.T) {
	d := oddDay()
	d.Products[0].Label.NotWith = []string{"wettable"}
	if p, found := plan.Make(d); p != nil || len(found) != 1 || found[0].Code != "not-with" {
		t.Errorf("got plan %v and %v, want not-with", p != nil, found)
	}
	d = oddDay()
	d.Products[1].Form, d.Products[1].Class, d.Products[1].InTank = label.Granule, "", 0
	if p, found := plan.Make(d); p != nil || len(found) != 1 || found[0].Code != "granule-in-tank" {
		t.Errorf("got plan %v and %v, want granule-in-tank", p != nil, found)
	}
}

// A mix of 10.65 lb/gal puts out 1/1.13 as much as water (Setting the Sprayer Flow Rate for Non-Water Solutions, University of
// Nebraska-Lincoln, CropWatch, 2016): a mix that is all of that solution. The carrier rate stays as measured.
func TestDenserMixPublished(t *testing.T) {
	d := fedDay()
	d.Products[0].Density = 10.65 * unit.PoundPerGallon
	d.Products[0].Label.Most.Liquid = 2 * unit.GallonPerThousand
	d.Mixes[0].Products = []plan.MixProduct{{Product: "Feed", Rate: label.Rate{Liquid: 2 * unit.GallonPerThousand}}}
	p := made(t, d)
	if len(p.Problems) != 1 || p.Problems[0].Code != "mix-denser" || p.Problems[0].Severity != problem.Warning || p.Problems[0].Where != "mix" ||
		!strings.Contains(p.Problems[0].What, "1/1.130 as much, about 1.77 gal/1000 sq ft instead of 2.00 gal/1000 sq ft") {
		t.Errorf("got %v, want mix-denser with 1.130", p.Problems)
	}
	equal(t, p.Units.CarrierRate(p.Mixes[0].Carrier), "2.00 gal/1000 sq ft")
	if got := p.Mixes[0].Density.In(unit.PoundPerGallon); math.Abs(got-10.65) > 1e-9 {
		t.Errorf("the mix weighs %v lb/gal, want 10.65", got)
	}
	checkJSON(t, d, p)
}

// By hand: 64 fl oz of 14 lb/gal in 2 gal is 7 lb, and 1.5 gal of water 12.51 lb: 19.51 / 2 = 9.755 lb/gal; the square root of
// 9.755 / 8.34 is 1.0815. A test with a liquid of 9.7 lb/gal is within 2 % of it, and so is one with the mix itself.
func TestDenserMixByHand(t *testing.T) {
	day := func(change func(d *plan.Day)) *plan.Plan {
		d := fedDay()
		d.Products[0].Density = 14 * unit.PoundPerGallon
		d.Products[0].Label.Most.Liquid = 64 * unit.FluidOuncePerThousand
		d.Mixes[0].Products = []plan.MixProduct{{Product: "Feed", Rate: label.Rate{Liquid: 64 * unit.FluidOuncePerThousand}}}
		change(d)
		return made(t, d)
	}
	setup := func(product string, density unit.Density) func(d *plan.Day) {
		return func(d *plan.Day) {
			s := &d.Operators[0].Tests[0].Catch.Setup
			s.Product, s.Density = product, density*unit.PoundPerGallon
		}
	}
	for _, tt := range []struct {
		name   string
		change func(d *plan.Day)
		want   string // code and part of what is said
		says   string
	}{
		{"water", setup("", 0), "mix-denser", "(9.755 lb/gal against 8.34 lb/gal): at the same pressure and pace it puts out 1/1.082"},
		{"metric", func(d *plan.Day) { d.Units = unit.Metric }, "mix-denser", "(1.169 kg/L against "},
		{"a liquid near it", setup("Old mix", 9.7), "", ""},
		{"the mix itself", setup("Spring", 0), "", ""},
		{"the product", setup("Feed", 0), "mix-lighter", "1/0.835"}, // sqrt(9.755 / 14)
		{"something unknown", setup("Old mix", 0), "density-unknown", "Old mix"},
		{"a product whose density is not known", func(d *plan.Day) { d.Products[0].Density = 0; d.Products[0].Analysis = label.Analysis{None: true} }, "", ""},
	} {
		t.Run(tt.name, func(t *testing.T) {
			p := day(tt.change)
			if tt.want == "" && len(p.Problems) == 0 {
				return
			}
			if len(p.Problems) != 1 || p.Problems[0].Code != tt.want || p.Problems[0].Severity != problem.Warning || !strings.Contains(p.Problems[0].What, tt.says) {
				t.Errorf("got %v, want %q that says %q", p.Problems, tt.want, tt.says)
			}
		})
	}
}

// A catch test given by its plot: 3 passes of 100 ft x 10 ft are 3,000 sq ft; caught 6 gal in their 30 s: the same 2.00
// gal/1000 sq ft at three times the pace. An area alone tells neither pace nor spacing.
func TestPlotsByHand(t *testing.T) {
	d := oddDay()
	c := &d.Operators[0].Tests[0].Catch
	c.Passes, c.Caught, c.Catches = 3, 0, []unit.Volume{5.9 * unit.Gallon, 6 * unit.Gallon, 6.1 * unit.Gallon}
	p := made(t, d)
	equal(t, p.Units.CarrierRate(p.Mixes[0].Carrier), "2.00 gal/1000 sq ft", p.Units.Area(p.Mixes[0].Test.Area), "3,000 sq ft")
	c.Passes, c.Course, c.Area = 0, 0, 3000*unit.SquareFoot
	p = made(t, d)
	equal(t, p.Units.CarrierRate(p.Mixes[0].Carrier), "2.00 gal/1000 sq ft", p.Units.Length(p.Mixes[0].Test.Swath), "10.0 ft")
	seconds(t, p.Stops[0].Service, 300+65+15) // 650 ft at 10 ft/s
	checkJSON(t, d, p)
	c.Spacing = 0
	if p, found := plan.Make(d); p != nil || len(found) != 1 || found[0].Code != "course-missing" {
		t.Errorf("got plan %v and %v, want course-missing", p != nil, found)
	}
}

// A test that is a year old is due; the plan stands. One of the day is not.
func TestCalibrationAge(t *testing.T) {
	for date, due := range map[string]bool{"2026-05-04": false, "2025-06-04": false, "2025-05-04": true, "2024-01-01": true} {
		d := oddDay()
		d.Operators[0].Tests[0].Catch.Date = date
		p := made(t, d)
		told := slices.ContainsFunc(p.Problems, func(q problem.Problem) bool {
			return q.Code == "calibration-due" && q.Severity == problem.Warning && strings.Contains(q.What, date)
		})
		if told != due {
			t.Errorf("a test of %s on %s: got %v, want the warning: %v", date, d.Date, p.Problems, due)
		}
	}
	d := oddDay()
	d.Operators[0].Tests[0].Catch.Date = "2026-06-01"
	if p, found := plan.Make(d); len(found) == 0 {
		t.Errorf("a test after the day: got plan %v and nothing said", p != nil)
	}
}

// The truck of the hand-worked days against its payload: too heavy stops the plan, and so does half an entry.
func TestPayloadByHand(t *testing.T) {
	d := oddDay()
	d.Products[0].Density = 10 * unit.PoundPerGallon
	d.Trucks[0].Rated, d.Trucks[0].Empty = 5000*unit.Pound, 4880*unit.Pound
	// 13 gal of mix: feed 13 / 2 x 4 = 26 fl oz = 0.203125 gal, 2.03125 lb; iron 3.25 lb, at 2 kg/L 0.19473 gal;
	// water 13 - 0.203125 - 0.19473 = 12.60215 gal x 8.34 = 105.10 lb; together 110.38 lb of 120.
	p := made(t, d)
	w := p.Trucks[0].Weight
	if w == nil {
		t.Fatal("no weight")
	}
	if got := w.Load.In(unit.Pound); math.Abs(got-110.38) > 0.01 || math.Abs(w.Margin.In(unit.Pound)-9.62) > 0.01 || len(w.Items) != 3 {
		t.Errorf("got %v lb, %v to spare, %+v; want 110.38 and 9.62", got, w.Margin.In(unit.Pound), w.Items)
	}
	checkJSON(t, d, p)
	d.Units = unit.Metric
	made(t, d)
	// For 100 lb the 13 gal are too much at once: two loads, each with less in the tank, and never over.
	d.Trucks[0].Rated = 4980 * unit.Pound
	light := made(t, d)
	if len(light.Loads) != 2 || light.Trucks[0].Weight.Margin < 0 {
		t.Errorf("%d loads, %v to spare; want two and nothing over", len(light.Loads), light.Trucks[0].Weight.Margin)
	}
	for _, tt := range []struct {
		name         string
		rated, empty unit.Mass
		want         string
	}{
		{"rated alone", 5000, 0, "payload-unknown"}, {"empty alone", 0, 4880, "payload-unknown"},
		{"empty over rated", 4880, 5000, "empty-over-rated"}, {"negative", -1, 4880, "weight-negative"}, {"NaN", unit.Mass(math.NaN()), 4880, "weight-negative"},
	} {
		d.Trucks[0].Rated, d.Trucks[0].Empty = tt.rated*unit.Pound, tt.empty*unit.Pound
		p, found := plan.Make(d)
		if p != nil || len(found) != 1 || found[0].Code != tt.want || found[0].Severity != problem.Error || found[0].Where != "truck" {
			t.Errorf("%s: got plan %v and %v, want %s at the truck", tt.name, p != nil, found, tt.want)
		}
	}
}
