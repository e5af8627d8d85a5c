package plan_test

import (
	"slices"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan"
)

// withGranules puts granules on some stops of a day, on the same property or alone, and sometimes a payload on its trucks.
func withGranules(t *rapid.T, d *plan.Day) {
	kg := unit.Kilogram
	pellets := label.Product{Name: "Pellets", Form: label.Granule, Label: label.Label{Most: label.Rate{Dry: 400 * unit.KilogramPerHectare}, Citation: "made up"}}
	if draw(t, "in bags", true, true, false) {
		pellets.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: 22 * kg}}}
	}
	d.Products = append(d.Products, pellets)
	swath := unit.Length(number(t, "spreader's swath", 1, 5))
	d.Applicators = append(d.Applicators, plan.Applicator{Name: "Spreader", Kind: plan.Spreader, Throws: calibrate.Rotary, Swath: swath, TurnTime: 2})
	rate := unit.MassPerArea(number(t, "granules", 50, 380)) * unit.KilogramPerHectare
	course := 40 * unit.Metre
	caught := rate.Over(course.By(swath))
	d.Operators[0].Tests = append(d.Operators[0].Tests, plan.Test{Applicator: "Spreader", Spreader: &calibrate.SpreaderTest{Setup: calibrate.Setup{Product: "Pellets"},
		Course: course, Width: swath, Time: course.Over(unit.Speed(number(t, "spreader's pace", 0.5, 2))), Trials: []calibrate.SpreaderTrial{{Caught: caught}, {Caught: caught}, {Caught: caught}}}})
	d.Mixes = append(d.Mixes, plan.Mix{Name: "Granules", Operator: "Kim", Applicator: "Spreader", Products: []plan.MixProduct{{Product: "Pellets", Rate: label.Rate{Dry: rate}}}})
	for _, s := range slices.Clone(d.Stops) {
		with := s
		with.Mix = "Granules"
		switch draw(t, "spread", 0, 1, 2, 3) {
		case 0:
			d.Stops = append(d.Stops, with)
		case 1:
			d.Stops[slices.IndexFunc(d.Stops, func(x plan.Stop) bool { return x.Site == s.Site })] = with
		}
	}
	for i := range d.Trucks {
		if draw(t, "weighed", false, true) {
			d.Trucks[i].Rated, d.Trucks[i].Empty = 5000*kg, 5000*kg-unit.Mass(number(t, "payload", 30, 1500))*kg
		}
	}
}

// Laws of days with granules: a plan that holds together, within every payload, or an error that says what to do.
func TestRandomDaysWithGranules(t *testing.T) {
	checks(t, 15)
	planned, spread, refused := 0, 0, map[string]int{}
	rapid.Check(t, func(t *rapid.T) {
		d := randomDay(t)
		withGranules(t, d)
		p := held(t, d, refused)
		if p == nil {
			return
		}
		planned++
		for i := range p.Stops {
			if p.Spread(&p.Stops[i]) {
				spread++
			}
		}
		for _, x := range p.Trucks {
			if x.Weight != nil && unit.Exceeds(x.Weight.Load, x.Weight.Payload) {
				t.Errorf("%s is %v over", x.Truck, -x.Weight.Margin)
			}
			for _, c := range x.Carry {
				if c.Product == "Pellets" && (len(c.Loads) > 0 || len(c.Stops) == 0) {
					t.Errorf("carry %+v", c)
				}
			}
		}
	})
	t.Logf("%d planned, %d stops spread, refused for %v", planned, spread, refused)
	if spread == 0 && geotest.Fewer(100) == 100 {
		t.Errorf("%d days planned, and no stop is spread: the days are too alike", planned)
	}
}
