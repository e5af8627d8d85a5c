package plan_test

import (
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/plan"
)

// fedDay is the lawn of the hand-worked days with the contents of its feed: 10 lb/gal, 20-0-5, 5 % of the weight slow N.
func fedDay() *plan.Day {
	d := oddDay()
	d.Products[0].Density = 10 * unit.PoundPerGallon
	d.Products[0].Analysis = label.Analysis{N: 0.20, K2O: 0.05, SlowN: 0.05}
	d.Products[1].Analysis = label.Analysis{Other: map[string]label.Share{"Fe": 0.2}}
	return d
}

// limit is one of the place.
func limit(l label.Limit) label.Limit {
	l.Citation, l.Dated, l.Where = "a county", "2026-02-01", "limit"
	return l
}

func before(date string, rate unit.VolumePerArea, d *plan.Day) season.Applied {
	return season.Applied{Date: date, Property: "A", Product: d.Products[0], Rate: label.Rate{Liquid: rate}, Where: "record.csv:2"}
}

// weights holds sums in lb/1000 sq ft.
func weights(t *testing.T, list []season.Total, want map[string]float64) {
	t.Helper()
	if len(list) != len(want) {
		t.Errorf("got %+v, want %v", list, want)
	}
	for _, n := range list {
		if got := n.Weight.In(unit.PoundPerThousand); math.Abs(got-want[n.Of]) > 1e-12 {
			t.Errorf("%s: got %v lb/1000 sq ft, want %v", n.Of, got, want[n.Of])
		}
	}
}

// By hand: 4 fl oz is 1/32 gal, 0.3125 lb of feed on 1,000 sq ft: 0.0625 lb N, a quarter of it slow; 0.015625 lb K2O.
// Half a pound of iron powder with 20 % is 0.1 lb Fe.
func TestAddsByHand(t *testing.T) {
	d := fedDay()
	p := made(t, d)
	sn := p.Stops[0].Season
	weights(t, sn.Adds, map[string]float64{"N": 0.0625, "quick N": 0.046875, "slow N": 0.015625, "K2O": 0.015625, "Fe": 0.1})
	if len(sn.Year) != 0 || sn.Recorded || len(sn.Unknown) != 0 || len(p.Problems) != 0 {
		t.Errorf("without a record: got %+v and %v", sn, p.Problems)
	}
	checkJSON(t, d, p)

	// 16 fl oz on 2 March is four times that; what another property got, and last year's, is not this one's year.
	d.Recorded = true
	d.Past = []season.Applied{before("2026-03-02", 16*unit.FluidOuncePerThousand, d), before("2025-10-02", 16*unit.FluidOuncePerThousand, d)}
	other := before("2026-03-02", 16*unit.FluidOuncePerThousand, d)
	other.Property = "B"
	d.Past = append(d.Past, other)
	p = made(t, d)
	weights(t, p.Stops[0].Season.Year, map[string]float64{"N": 0.3125, "quick N": 0.234375, "slow N": 0.078125, "K2O": 0.078125, "Fe": 0.1})
	checkJSON(t, d, p)
}

// The published content of 28 % solution, 10.65 lb/gal: 2.982 lb of N in a gallon (Setting the Sprayer Flow Rate for
// Non-Water Solutions, Table 1, University of Nebraska-Lincoln, CropWatch, 2016). A gallon on 1,000 sq ft adds that much.
func TestAddsPublished(t *testing.T) {
	d := fedDay()
	d.Products[0].Density, d.Products[0].Analysis = 10.65*unit.PoundPerGallon, label.Analysis{N: 0.28}
	d.Products[0].Label.Most.Liquid = unit.GallonPerThousand
	d.Mixes[0].Products = []plan.MixProduct{{Product: "Feed", Rate: label.Rate{Liquid: unit.GallonPerThousand}}}
	weights(t, made(t, d).Stops[0].Season.Adds, map[string]float64{"N": 2.982, "quick N": 2.982})
}

// Days without an analysis and without a limit are as they were: nothing added, nothing said.
func TestNoSeasonWithoutContents(t *testing.T) {
	d := oddDay()
	p := made(t, d)
	if sn := p.Stops[0].Season; len(sn.Adds)+len(sn.Year)+len(sn.Limits) != 0 || len(p.Problems) != 0 {
		t.Errorf("got %+v and %v", sn, p.Problems)
	}
}

// A limit that the visit breaks stops the plan at the stop; one that it keeps to is a line. By hand as above: the visit has
// 0.0625 lb N, and 16 fl oz before it had 0.25 lb.
func TestLimitsHold(t *testing.T) {
	most := func(lb unit.MassPerArea) label.Rate { return label.Rate{Dry: lb * unit.PoundPerThousand} }
	tests := []struct {
		name   string
		change func(d *plan.Day)
		want   string // the error's code; "" is a plan
	}{
		{"per application, just", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: most(0.0625)})}
		}, ""},
		{"per application, over", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: most(0.0624)})}
		}, "limit-over"},
		{"quick N alone is less", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Basis: label.Quick, Per: label.PerApplication, Most: most(0.05)})}
		}, ""},
		{"per year, with what went before", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerYear, Most: most(0.3124)})}
		}, "limit-over"},
		{"per year, just", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerYear, Most: most(0.3125)})}
		}, ""},
		{"blackout", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", From: "05-01", To: "05-31"})}
		}, "in-blackout"},
		{"outside the blackout", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", From: "11-15", To: "03-01"})}
		}, ""},
		{"too little slow", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", LeastSlow: 0.26})}
		}, "slow-part-low"},
		{"for another grass", func(d *plan.Day) {
			d.Stops[0].Grass = "fescue"
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: most(0.01), Grass: "bermuda"})}
		}, ""},
		{"for this grass", func(d *plan.Day) {
			d.Stops[0].Grass = "Bermuda"
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: most(0.01), Grass: "bermuda"})}
		}, "limit-over"},
		{"for a boom", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: most(0.01), Applicator: "boom"})}
		}, ""},
		{"the label's interval", func(d *plan.Day) { d.Products[0].Label.IntervalDays = 64 }, "interval-short"},
		{"the label's interval, just", func(d *plan.Day) { d.Products[0].Label.IntervalDays = 63 }, ""}, // 2 March to 4 May
		{"the label's applications", func(d *plan.Day) {
			d.Products[0].Label.Limits = []label.Limit{limit(label.Limit{Of: "Feed", Per: label.PerYear, Times: 1})}
		}, "limit-times"},
		{"a limit of nothing known", func(d *plan.Day) {
			d.Limits = []label.Limit{limit(label.Limit{Of: "Fedd", Per: label.PerYear, Times: 1})}
		}, "limit-of-unknown"},
		{"no analysis where a limit asks for it", func(d *plan.Day) {
			d.Products[1].Analysis = label.Analysis{}
			d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerYear, Most: most(9)})}
		}, "analysis-missing"},
		{"a record of a day that is none", func(d *plan.Day) { d.Past[0].Date = "2026-02-30" }, "date-invalid"},
		{"a record of NaN", func(d *plan.Day) { d.Past[0].Rate.Liquid = unit.VolumePerArea(math.NaN()) }, "rate-zero"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := fedDay()
			d.Recorded, d.Past = true, []season.Applied{before("2026-03-02", 16*unit.FluidOuncePerThousand, d)}
			tt.change(d)
			p, found := plan.Make(d)
			checkProblems(t, found)
			var errors []string
			for _, q := range found {
				if q.Severity == problem.Error {
					errors = append(errors, q.Code)
				}
			}
			if strings.Join(errors, " ") != tt.want || (p != nil) != (tt.want == "") {
				t.Fatalf("got plan %v and %v; want %q", p != nil, found, tt.want)
			}
			limits := []string{"limit-over", "in-blackout", "slow-part-low", "interval-short", "limit-times"}
			if slices.Contains(limits, tt.want) && found[0].Where != "stop A" {
				t.Errorf("the error stands at %q, want the stop", found[0].Where)
			}
			if p != nil {
				checkPlan(t, d, p)
				checkJSON(t, d, p)
			}
		})
	}
}

// A grass that is not entered is a warning, and the limit is held to.
func TestGrassUnknown(t *testing.T) {
	d := fedDay()
	d.Limits = []label.Limit{limit(label.Limit{Of: "N", Per: label.PerApplication, Most: label.Rate{Dry: unit.PoundPerThousand}, Grass: "bermuda"})}
	p := made(t, d)
	if len(p.Problems) != 1 || p.Problems[0].Code != "grass-unknown" || p.Problems[0].Severity != problem.Warning || p.Problems[0].Where != "stop A" {
		t.Errorf("got %v, want the warning grass-unknown at the stop", p.Problems)
	}
	if lines := p.Stops[0].Season.Limits; len(lines) != 1 || lines[0].Title != "N per application" {
		t.Errorf("got %+v, want the one line", lines)
	}
}

// Two stops of a day on one property are one application in two parts: each is within the label's 8 fl oz, together they are not.
func TestTwoStopsOnOneProperty(t *testing.T) {
	day := func(second unit.VolumePerArea) *plan.Day {
		d := fedDay()
		m := d.Mixes[0]
		m.Name, m.Products = "Again", []plan.MixProduct{{Product: "Feed", Rate: label.Rate{Liquid: second}}}
		d.Mixes = append(d.Mixes, m)
		d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, tank("rear", 20*unit.Gallon, unit.Gallon))
		d.Stops = append(d.Stops, d.Stops[0])
		d.Stops[1].Mix, d.Stops[1].Where = "Again", "stop A again"
		return d
	}
	if p, found := plan.Make(day(4.01 * unit.FluidOuncePerThousand)); p != nil || len(found) != 2 || found[0].Code != "limit-over" || found[1].Where != "stop A again" {
		t.Errorf("got plan %v and %v; want limit-over at both stops", p != nil, found)
	}
	d := day(4 * unit.FluidOuncePerThousand)
	d.Recorded = true
	p := made(t, d)
	for _, s := range p.Stops { // each visit adds its own, and the year has both
		n := func(list []season.Total) float64 {
			return list[slices.IndexFunc(list, func(x season.Total) bool { return x.Of == "N" })].Weight.In(unit.PoundPerThousand)
		}
		if math.Abs(n(s.Season.Adds)-0.0625) > 1e-12 || math.Abs(n(s.Season.Year)-0.125) > 1e-12 {
			t.Errorf("stop with %s adds %v and makes the year %v lb N, want 0.0625 and 0.125", s.Mix, n(s.Season.Adds), n(s.Season.Year))
		}
	}
}

// Whatever nutrient rate is wanted and whatever the carrier rate, the visit adds it, and the loads and the stop hold it.
func TestNutrientWantedIsAdded(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := fedDay()
		d.Units = draw(t, "units", unit.US, unit.Metric)
		wanted := unit.MassPerArea(number(t, "wanted", 0.01, 0.12)) * unit.PoundPerThousand
		d.Operators[0].Tests[0].Catch.Caught = unit.Volume(number(t, "caught", 1, 4)) * unit.Gallon
		d.Trucks[0].Tanks[0].Capacity = 60 * unit.Gallon
		d.Mixes[0].Products = []plan.MixProduct{{Product: "Feed", Nutrient: "N", NutrientRate: wanted}}
		p, found := plan.Make(d)
		if p == nil {
			t.Fatalf("no plan: %v", found)
		}
		checkPlan(t, d, p)
		if got := p.Stops[0].Season.Adds[0]; got.Of != "N" || math.Abs(float64(got.Weight/wanted)-1) > 1e-9 {
			t.Errorf("adds %+v, want %v", got, wanted)
		}
		m, s := p.Mixes[0], p.Stops[0]
		onGround := m.Products[0].InMix.In(m.Carrier.Over(s.Area)).Liquid
		if n := 0.2 * d.Products[0].Density.Of(onGround); math.Abs(float64(n/wanted.Over(s.Area))-1) > 1e-9 {
			t.Errorf("the stop's mix holds %v of N, want %v", n, wanted.Over(s.Area))
		}
	})
}
