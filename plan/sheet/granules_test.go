package sheet

import (
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

// spreading is the plan of sheettest with granules on its first stop besides, as a last stop: 6,000 sq ft x 4 lb/1000 sq ft = 24 lb, which is
// a bag of 20 lb and 4 lb.
func spreading() *plan.Plan {
	p := sheettest.Plan()
	amount := label.Amount{Dry: 24 * unit.Pound}
	rate := label.Rate{Dry: 4 * unit.PoundPerThousand}
	p.Mixes = append(p.Mixes, plan.MixPlan{Name: "Granules", Operator: "Sam Example", Licence: "EX-1234", Applicator: "Spreader 1", Kind: plan.Spreader, Swath: 8 * unit.Foot,
		Products: []plan.ProductPlan{{Name: "Pellets", Form: label.Granule, Rate: rate, Most: label.Rate{Dry: 5 * unit.PoundPerThousand}, Citation: "made up", Cautions: []string{"Keep dry."}}},
		Granules: &plan.GranulePlan{Throws: calibrate.Rotary, Total: amount.Dry, Test: calibrate.SpreaderResult{Setting: 12.5}, Facts: []working.Fact{{Name: "product rate", Text: "4.00 lb/1000 sq ft"}}}})
	last := 0
	for i := range p.Stops {
		if p.Stops[i].Truck == "T1" {
			last = max(last, p.Stops[i].N)
		}
	}
	s := p.Stops[0]
	s.N, s.Mix, s.Volume, s.Area, s.Products = last+1, "Granules", 0, 6000*unit.SquareFoot, []plan.LoadProduct{{Name: "Pellets", Amount: amount}}
	p.Stops = append(p.Stops, s)
	for i := range p.Trucks {
		if t := &p.Trucks[i]; t.Truck == "T1" {
			t.Carry = append(t.Carry, plan.Carry{Product: "Pellets", Amount: amount, Back: label.Amount{Dry: 16 * unit.Pound}, Stops: []int{s.N}, Loads: []int{},
				Containers: []plan.Container{{Name: "bag", Holds: label.Amount{Dry: 20 * unit.Pound}, Count: 2}}})
			home := len(t.Events) - 1
			work := plan.Event{Kind: plan.Work, Place: s.Property, Stop: s.N, At: t.Events[home].At, Until: t.Events[home].At, Loads: []int{}, Spread: s.Products, Lon: s.Lon, Lat: s.Lat}
			t.Events = append(t.Events[:home:home], work, t.Events[home])
		}
	}
	return p
}

// Granules have their own part of the load sheet and a page without a tank or a gauge.
func TestGranules(t *testing.T) {
	d := document(t, spreading())
	text := d.Text()
	for _, want := range []string{
		"2 bags of 20 lb", "Granules, spread out of bags", "1 bag of 20 lb and 4.00 lb", "spread 24.00 lb Pellets", "Spraying and spreading", "Calibration in force: granules Granules",
		"Spread here", "setting 12.5", "6,000 sq ft x 4.00 lb/1000 sq ft = 24.00 lb", "Under 22.80 lb or over 25.20 lb", "Walk spreading", "Weight before", "Product used",
	} {
		if !strings.Contains(text, want) {
			t.Errorf("the document does not say %q", want)
		}
	}
	page := d.Pages[len(d.Pages)-1]
	for i := range d.Pages {
		if strings.Contains(d.Pages[i].Subtitle, "granules") {
			page = d.Pages[i]
		}
	}
	alone := (&Document{Pages: []Page{page}}).Text()
	for _, not := range []string{"Gauge", "gal", "Load "} {
		if strings.Contains(alone, not) {
			t.Errorf("the page of granules says %q:\n%s", not, alone)
		}
	}
	if m := page.Map(); m == nil || !m.Spread {
		t.Error("the map is not one of spreading")
	}
}

// Without granules nothing of them is said.
func TestNoGranules(t *testing.T) {
	if text := document(t, sheettest.Plan()).Text(); strings.Contains(text, "preading") || strings.Contains(text, "Granules") {
		t.Error("the document of a day without granules speaks of them")
	}
}
