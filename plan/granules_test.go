package plan_test

import (
	"math"
	"slices"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// granuleDay is handDay with granules at 5 lb/1000 sq ft on the same lawn, out of bags of 20 lb. The spreader walks a course of
// 100 ft x 10 ft = 1,000 sq ft in 25 s, which is 4 ft/s, and is 5 lb lighter each time.
func granuleDay(tanks ...plan.Tank) *plan.Day {
	d := handDay(tanks...)
	lb := unit.Pound
	d.Products = append(d.Products, label.Product{Name: "Pellets", Form: label.Granule, Analysis: label.Analysis{N: 0.2},
		Containers: []label.Container{{Name: "bag", Holds: label.Amount{Dry: 20 * lb}}},
		Label:      label.Label{Most: label.Rate{Dry: 6 * unit.PoundPerThousand}, Citation: "made up, 2026"}})
	d.Applicators = append(d.Applicators, plan.Applicator{Name: "Spreader", Kind: plan.Spreader, Throws: calibrate.Rotary, Swath: 10 * unit.Foot, TurnTime: 2, Laps: new(int), Where: "spreader"})
	d.Operators[0].Tests = append(d.Operators[0].Tests, plan.Test{Applicator: "Spreader", Where: "spreader test", Spreader: &calibrate.SpreaderTest{
		Setup: calibrate.Setup{Product: "Pellets", Date: "2026-05-01"}, Course: 100 * unit.Foot, Width: 10 * unit.Foot, Time: 25,
		Trials: []calibrate.SpreaderTrial{{Caught: 5.1 * lb}, {Caught: 4.9 * lb}, {Caught: 5 * lb}}}})
	d.Mixes = append(d.Mixes, plan.Mix{Name: "Granules", Operator: "Kim", Applicator: "Spreader", Where: "granules", Products: []plan.MixProduct{
		{Product: "Pellets", Rate: label.Rate{Dry: 5 * unit.PoundPerThousand}}}})
	s := d.Stops[0]
	s.Mix, s.Where = "Granules", "stop A, granules"
	d.Stops = append(d.Stops, s)
	return d
}

// Spray and granules on one lawn. By hand:
//
//	spray     as in TestTwoLoadsByHand, out of one load: 12 gal and a heel of 1 gal; fill 120 + 78 s; set-up 300, walk 195 + 15 = 510 s
//	granules  6,000 sq ft x 5 lb/1000 sq ft = 30 lb, which is 2 bags of 20 lb with 10 lb back
//	walk      600 ft + 5 side steps of 10 ft = 650 ft at 4 ft/s = 162.5 s; 5 turns of 2 s = 172.5 s; the set-up is the spray's
//	day       198 + 510 + 172.5 = 880.5 s
func TestSprayAndGranulesByHand(t *testing.T) {
	p := made(t, granuleDay(tank("tank", 20*unit.Gallon, unit.Gallon)))
	u := p.Units
	i := slices.IndexFunc(p.Stops, func(s plan.StopPlan) bool { return s.Mix == "Granules" })
	if len(p.Stops) != 2 || len(p.Loads) != 1 || i < 0 {
		t.Fatalf("%d stops and %d loads, want 2 and 1", len(p.Stops), len(p.Loads))
	}
	s, mp, day := p.Stops[i], p.Mixes[1], p.Trucks[0]
	equal(t, u.Area(s.Area), "6,000 sq ft", s.Products[0].Name, "Pellets", s.Products[0].Amount.Text(u), "30.00 lb", u.Volume(s.Volume), "0.0 gal", u.Volume(p.Volume), "12.0 gal",
		u.Mass(mp.Granules.Total), "30.00 lb", mp.Products[0].Total.Text(u), "30.00 lb", mp.Products[0].Wanted, "5.00 lb/1000 sq ft", u.MassRate(mp.Granules.Test.Rate), "5.00 lb/1000 sq ft",
		string(mp.Granules.Test.Judgement), "accept")
	c := day.Carry[slices.IndexFunc(day.Carry, func(c plan.Carry) bool { return c.Product == "Pellets" })]
	equal(t, c.Amount.Text(u), "30.00 lb", c.Containers[0].String(), "2 bags", c.Back.Text(u), "10.00 lb")
	if len(c.Loads) != 0 || !slices.Equal(c.Stops, []int{s.N}) {
		t.Errorf("carried for loads %v and stops %v, want none and %d", c.Loads, c.Stops, s.N)
	}
	seconds(t, s.Passes.Walk, 172.5, day.Work, 682.5, day.Fill, 198, day.Finish, 7*unit.Hour+880.5, unit.Time(p.Minutes)*unit.Minute, 880.5)
	spread := 0
	for _, e := range day.Events {
		for _, x := range e.Spread {
			spread++
			equal(t, x.Amount.Text(u), "30.00 lb")
		}
	}
	if spread != 1 {
		t.Errorf("%d events spread something, want 1", spread)
	}
	if adds := s.Season.Adds; len(adds) == 0 || adds[0].Of != "N" || math.Abs(adds[0].Weight.In(unit.PoundPerThousand)-1) > 1e-9 { // 20 % of 5 lb
		t.Errorf("the granules add %+v, want 1 lb N/1000 sq ft", adds)
	}
}

// Granules alone need no tank, no fill point and no load. By hand: set-up 300 s and walk 172.5 s, from the yard on.
func TestGranulesAloneByHand(t *testing.T) {
	d := granuleDay()
	d.Stops, d.FillPoints = d.Stops[1:], nil
	p := made(t, d)
	if len(p.Loads) != 0 || len(p.Mixes) != 1 || p.BoundLoads != 0 {
		t.Fatalf("%d loads, at least %d, and %d mixes; want 0, 0 and 1", len(p.Loads), p.BoundLoads, len(p.Mixes))
	}
	seconds(t, p.Trucks[0].Finish, 7*unit.Hour+472.5, unit.Time(p.BoundMinutes)*unit.Minute, 472.5)
}

// Half of what is asked for by a nutrient: 0.5 lb N/1000 sq ft of 20 % is 2.5 lb/1000 sq ft, 15 lb in all.
func TestGranulesByNutrient(t *testing.T) {
	d := granuleDay()
	d.Stops, d.FillPoints = d.Stops[1:], nil
	d.Mixes[1].Products[0] = plan.MixProduct{Product: "Pellets", Nutrient: "N", NutrientRate: unit.PoundPerThousand / 2}
	for i := range d.Operators[0].Tests[1].Spreader.Trials {
		d.Operators[0].Tests[1].Spreader.Trials[i].Caught = 2.5 * unit.Pound
	}
	p := made(t, d)
	equal(t, p.Stops[0].Products[0].Amount.Text(p.Units), "15.00 lb", p.Mixes[0].Products[0].Wanted, "0.50 lb N/1000 sq ft")
}

// Bags ride from the yard on and are used up. By hand: 12 gal and a heel of 1 gal are about 111 lb with their products, two bags 40 lb, together 151 lb.
//
//	160 lb of payload                  one load, 40 lb of bags aboard
//	130 lb                             two loads: 130 - 40 = 90 lb of mix are under 11 gal at 8.34 lb and more
//	130 lb, granules on B from 7:00   one load: 10 lb are left in the bags by then, 121 lb in all
func TestBagsInThePayload(t *testing.T) {
	for _, c := range []struct {
		payload unit.Mass
		first   bool
		loads   int
		bags    string
		least   unit.Mass
	}{{160 * unit.Pound, false, 1, "40.00 lb", 150 * unit.Pound}, {130 * unit.Pound, false, 2, "40.00 lb", 80 * unit.Pound}, {130 * unit.Pound, true, 1, "10.00 lb", 120 * unit.Pound}} {
		d := granuleDay(tank("tank", 20*unit.Gallon, unit.Gallon))
		d.Products[0].Density = unit.Water
		d.Trucks[0].Rated, d.Trucks[0].Empty = 5000*unit.Pound, 5000*unit.Pound-c.payload
		if c.first {
			d.Stops[1].Site = lawn("B", 100*unit.Foot, 60*unit.Foot)
			d.Stops[1].Until = 7*unit.Hour + unit.Minute // before the tank is filled, which takes 198 s
		}
		p := made(t, d)
		w := p.Trucks[0].Weight
		bags := w.Items[slices.IndexFunc(w.Items, func(x plan.WeightItem) bool { return x.Name == "Pellets" })]
		equal(t, p.Units.Mass(bags.Mass), c.bags)
		if len(p.Loads) != c.loads || w.Margin < 0 || w.Load < c.least {
			t.Errorf("payload of %s: %d loads and %s aboard, want %d and %s or more", p.Units.TruckWeight(c.payload), len(p.Loads), p.Units.TruckWeight(w.Load), c.loads, p.Units.TruckWeight(c.least))
		}
	}
}

func TestGranulesRefused(t *testing.T) {
	lb := unit.Pound
	test := func(d *plan.Day) *calibrate.SpreaderTest { return d.Operators[0].Tests[1].Spreader }
	for _, c := range []struct {
		name  string
		spoil func(d *plan.Day)
		want  string
	}{
		{"no test", func(d *plan.Day) { d.Operators[0].Tests = d.Operators[0].Tests[:1] }, "no-catch-test"},
		{"a test with another product", func(d *plan.Day) { test(d).Setup.Product = "Feed" }, "no-catch-test"},
		{"a catch of water", func(d *plan.Day) { d.Operators[0].Tests[1].Spreader = nil }, "not-a-spreader-test"},
		{"not timed", func(d *plan.Day) { test(d).Time = 0 }, "course-missing"},
		{"another spacing", func(d *plan.Day) { d.Applicators[1].Swath = 8 * unit.Foot }, "spacing-differs"},
		{"over the label", func(d *plan.Day) { d.Mixes[1].Products[0].Rate.Dry = 7 * unit.PoundPerThousand }, "rate-over-label"},
		{"weighed over the label", func(d *plan.Day) {
			d.Mixes[1].Products[0].Rate.Dry = 5.9 * unit.PoundPerThousand
			test(d).Trials = []calibrate.SpreaderTrial{{Caught: 6.1 * lb}, {Caught: 6.1 * lb}, {Caught: 6.1 * lb}}
		}, "spreader-over-label"},
		{"far off", func(d *plan.Day) { d.Mixes[1].Products[0].Rate.Dry = 4 * unit.PoundPerThousand }, "rate-far-off"},
		{"two products", func(d *plan.Day) { d.Mixes[1].Products = append(d.Mixes[1].Products, d.Mixes[0].Products[0]) }, "granules-one-product"},
		{"a liquid", func(d *plan.Day) { d.Mixes[1].Products[0].Product = "Feed"; test(d).Setup.Product = "Feed" }, "not-granules"},
		{"no product of the day", func(d *plan.Day) { d.Mixes[1].Products[0].Product = "Sand"; test(d).Setup.Product = "Sand" }, "unknown-product"},
		{"in a mix", func(d *plan.Day) {
			d.Mixes[1].Products[0] = plan.MixProduct{Product: "Pellets", InMix: label.Strength{Dry: 0.1 * unit.PoundPerGallon}}
		}, "granules-in-tank"},
		{"no rate", func(d *plan.Day) { d.Mixes[1].Products[0].Rate = label.Rate{} }, "rate-zero"},
		{"an order", func(d *plan.Day) { d.Mixes[1].Sequence = []string{"Pellets"} }, "granules-in-tank"},
		{"in a tank", func(d *plan.Day) { d.Trucks[0].Tanks[0].Mix = "Granules" }, "granules-in-tank"},
		{"a tank holds them", func(d *plan.Day) { d.Trucks[0].Tanks[0].Holds = &plan.Held{Mix: "Granules"} }, "granules-in-tank"},
		{"neither rotary nor drop", func(d *plan.Day) { d.Applicators[1].Throws = "" }, "unknown-kind"},
		{"bags over the payload", func(d *plan.Day) { d.Trucks[0].Rated, d.Trucks[0].Empty = 5000*lb, 4965*lb }, "bags-over-payload"},
		{"granules sprayed", func(d *plan.Day) { d.Mixes[1].Applicator = "Gun" }, "granule-in-tank"},
	} {
		d := granuleDay(tank("tank", 20*unit.Gallon, unit.Gallon))
		c.spoil(d)
		p, found := plan.Make(d)
		if p != nil || !slices.ContainsFunc(found, func(x problem.Problem) bool { return x.Code == c.want && x.Fix != "" && x.Where != "" }) {
			t.Errorf("%s: got plan %v and %v, want %s", c.name, p != nil, found, c.want)
		}
	}
}

// spread reports whether a stop is of granules.
func (c *checker) spread(s *plan.StopPlan) bool {
	return slices.ContainsFunc(c.p.Mixes, func(m plan.MixPlan) bool { return m.Name == s.Mix && m.Granules != nil })
}

// spreadEvent holds a visit with granules against its stop: all of it at once, in the minutes of its passes.
func (c *checker) spreadEvent(s *plan.StopPlan, e *plan.Event, setUp unit.Time) {
	if want := setUp + s.Passes.Walk; math.Abs(float64(want-(e.Until-e.At))) > 1e-4 || e.Until != s.Done {
		c.Errorf("stop %d: %v of work until %v, want %v until %v", s.N, e.Until-e.At, e.Until, want, s.Done)
	}
	if !slices.Equal(e.Spread, s.Products) || e.Spread[0].Amount.Dry <= 0 {
		c.Errorf("stop %d: %v are spread, stated %v", s.N, e.Spread, s.Products)
	}
}

// What is done at a property is done with its granules; passes that are begun are the spray's.
func TestGranulesOfTheRest(t *testing.T) {
	d := granuleDay(tank("tank", 20*unit.Gallon, unit.Gallon))
	d.Stops = append(d.Stops, plan.Stop{Site: lawn("B", 100*unit.Foot, 60*unit.Foot), Mix: "Granules", Last: true, Where: "stop B"})
	p := made(t, d)
	spray := p.Stops[slices.IndexFunc(p.Stops, func(s plan.StopPlan) bool { return s.Mix == "Spring" })].N
	for _, c := range []struct {
		name     string
		progress plan.TruckProgress
		done     int
		left     []string // property and mix
	}{
		{"by name", plan.TruckProgress{Done: []string{"A"}}, 2, []string{"B Granules"}},
		{"by number", plan.TruckProgress{DoneTo: spray}, 2, []string{"B Granules"}},
		{"begun", plan.TruckProgress{Begun: "A", Passes: 2}, 0, []string{"A Granules", "A Spring", "B Granules"}},
		{"granules begun", plan.TruckProgress{Done: []string{"A"}, Begun: "B", Passes: 2}, 2, []string{"B Granules"}},
	} {
		c.progress.Truck, c.progress.Where = "Truck", "truck"
		rest, found := plan.MakeRest(d, &plan.Progress{Now: 8 * unit.Hour, Trucks: []plan.TruckProgress{c.progress}, Where: "progress"})
		if rest == nil {
			t.Fatalf("%s: %v", c.name, found)
		}
		var left []string
		for _, s := range rest.Stops {
			left = append(left, s.Property+" "+s.Mix)
			if begun := s.Mix == "Spring" || s.Property == "B" && c.progress.Begun == "B"; (s.DonePasses > 0) != (begun && c.progress.Passes > 0) {
				t.Errorf("%s: %s of %s has %d passes done", c.name, s.Mix, s.Property, s.DonePasses)
			}
			if s.Property == "B" && s.DonePasses == 2 { // 4 of 6 passes are left: 20 of 30 lb
				equal(t, s.Products[0].Amount.Text(p.Units), "20.00 lb")
			}
		}
		slices.Sort(left)
		if len(rest.Rest.Done) != c.done || !slices.Equal(left, c.left) {
			t.Errorf("%s: %d done, and left are %v; want %d and %v", c.name, len(rest.Rest.Done), left, c.done, c.left)
		}
	}
}

// Granules go on the truck whose crew has their operator.
func TestGranulesByCrew(t *testing.T) {
	d := granuleDay()
	d.Stops, d.FillPoints = d.Stops[1:], nil
	d.Operators = append(d.Operators, plan.Operator{Name: "Lee"})
	other := d.Trucks[0]
	other.Name, other.Crew = "Other", []string{"Lee"}
	d.Trucks = []plan.Truck{other, d.Trucks[0]}
	d.Trucks[1].Crew = []string{"Kim"}
	if p := made(t, d); p.Stops[0].Truck != "Truck" {
		t.Errorf("they are on %s", p.Stops[0].Truck)
	}
	d.Trucks = d.Trucks[:1]
	if p, found := plan.Make(d); p != nil || !slices.ContainsFunc(found, func(x problem.Problem) bool { return x.Code == "stop-left-out" }) {
		t.Errorf("without their operator: %v", found)
	}
}
