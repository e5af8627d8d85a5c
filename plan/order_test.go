package plan_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan"
)

// ordersOf are the properties of a plan's visits, truck by truck, each where it is first visited.
func ordersOf(p *plan.Plan) map[string][]string {
	out := map[string][]string{}
	for i := range p.Stops {
		out[p.Stops[i].Truck] = append(out[p.Stops[i].Truck], p.Stops[i].Property)
	}
	return out
}

// fewStops is the demo with some of its stops.
func fewStops(t *testing.T, ids ...string) *plan.Day {
	t.Helper()
	d := demoDay(t, "us")
	d.Stops = slices.DeleteFunc(d.Stops, func(s plan.Stop) bool { return !slices.Contains(ids, s.Site.Property.ID) })
	for i := range d.Stops {
		d.Stops[i].From, d.Stops[i].Until = 0, 0
	}
	return d
}

var sixStops = []string{"gull-row-4", "gull-row-6", "kelp-circle-3", "kelp-circle-8", "spray-street-12", "spray-street-15"}

// Whatever order is fixed is kept, and its price is the difference between two plans that are made apart.
func TestOrderByHand(t *testing.T) {
	found := must(t, fewStops(t, sixStops...))
	rng := rand.New(rand.NewPCG(4, 2))
	for range geotest.Fewer(4) {
		order := slices.Clone(sixStops)
		rng.Shuffle(len(order), func(i, j int) { order[i], order[j] = order[j], order[i] })
		d := fewStops(t, sixStops...)
		d.Orders = []plan.Order{{Truck: "Truck 1", Stops: order}}
		p := made(t, d)
		if got := ordersOf(p)["Truck 1"]; !slices.Equal(got, order) {
			t.Errorf("fixed %v, and the plan goes to %v", order, got)
		}
		h := p.ByHand
		if h == nil || math.Abs(h.Found.In(unit.Minute)-found.Minutes) > 1e-6 || h.FoundLeftOut != 0 {
			t.Fatalf("%+v, want the %g minutes of the plan without an order", h, found.Minutes)
		}
		more := unit.Minutes(unit.Time(p.Minutes-found.Minutes) * unit.Minute)
		if p.Minutes-found.Minutes >= 1 && !strings.Contains(h.Price, "takes "+more+" more than with the order found without it ("+unit.Minutes(unit.Time(found.Minutes)*unit.Minute)+")") {
			t.Errorf("%g against %g minutes: %s", p.Minutes, found.Minutes, h.Price)
		}
		if p.Minutes < found.Minutes-1e-6 {
			t.Errorf("%v takes %g minutes, and %g were found for any order", order, p.Minutes, found.Minutes)
		}
		if p.BoundMinutes != found.BoundMinutes {
			t.Errorf("no plan can be under %g minutes with an order, %g without", p.BoundMinutes, found.BoundMinutes)
		}
	}
	d := fewStops(t, sixStops...)
	d.Orders = []plan.Order{{Truck: "Truck 1", Stops: ordersOf(found)["Truck 1"]}}
	if p := made(t, d); math.Abs(p.Minutes-found.Minutes) > 1e-6 || !strings.Contains(p.ByHand.Price, "takes as long as with the order found") {
		t.Errorf("the order that was found takes %g minutes, and %g when it is fixed: %s", found.Minutes, p.Minutes, p.ByHand.Price)
	}
	if found.ByHand != nil {
		t.Error("no order is fixed, and the plan says what it costs")
	}
}

// Of two trucks one has an order: it does that and nothing else, and the other does the rest.
func TestOrderOfOneTruck(t *testing.T) {
	d := fewStops(t, sixStops...)
	other := d.Trucks[0]
	other.Name = "Truck 2"
	d.Trucks = append(d.Trucks, other)
	d.Orders = []plan.Order{{Truck: "Truck 2", Stops: []string{"spray-street-15", "gull-row-4"}}}
	p := must(t, d)
	got := ordersOf(p)
	if !slices.Equal(got["Truck 2"], d.Orders[0].Stops) || len(got["Truck 1"]) != 4 || len(p.LeftOut) != 0 {
		t.Errorf("the trucks do %v", got)
	}
	d.Trucks = d.Trucks[1:] // nobody is left for the others
	if p := must(t, d); len(p.LeftOut) != 4 || !strings.Contains(p.ByHand.Price, "leaves out 4 stops more") {
		t.Errorf("left out: %d; %s", len(p.LeftOut), p.ByHand.Price)
	}
}

// A window that the order misses is told as ever: the stop is left out, and the price says so. The rest of the day keeps the order, until a truck breaks down.
func TestOrderAndTheDay(t *testing.T) {
	d := fewStops(t, sixStops...)
	order := []string{"spray-street-15", "kelp-circle-8", "kelp-circle-3", "spray-street-12", "gull-row-6", "gull-row-4"}
	d.Orders = []plan.Order{{Truck: "Truck 1", Stops: order}}
	for i := range d.Stops {
		if d.Stops[i].Site.Property.ID == "gull-row-4" {
			d.Stops[i].Until = 7*unit.Hour + 30*unit.Minute
		}
	}
	if p := must(t, d); len(p.LeftOut) != 1 || p.LeftOut[0].Reason != "full-day" || !strings.Contains(p.ByHand.Price, "leaves out 1 stop more") {
		t.Errorf("left out: %+v; %s", p.LeftOut, p.ByHand.Price)
	}
	for i := range d.Stops {
		d.Stops[i].Until = 0
	}
	rest, told := plan.MakeRest(d, &plan.Progress{Now: 9 * unit.Hour, Trucks: []plan.TruckProgress{{Truck: "Truck 1", Done: order[:2], Where: "truck"}}, Where: "progress"})
	if rest == nil {
		t.Fatal(told.Err())
	}
	if got := ordersOf(rest)["Truck 1"]; !slices.Equal(got, order[2:]) || rest.ByHand == nil {
		t.Errorf("the rest of the day goes to %v, want %v", got, order[2:])
	}
	other := d.Trucks[0]
	other.Name = "Truck 2"
	d.Trucks = append(d.Trucks, other)
	rest, told = plan.MakeRest(d, &plan.Progress{Now: 9 * unit.Hour, Trucks: []plan.TruckProgress{{Truck: "Truck 1", Done: order[:2], Out: true, Where: "truck"}}, Where: "progress"})
	if rest == nil {
		t.Fatal(told.Err())
	}
	if got := ordersOf(rest); len(got["Truck 2"]) != 4 || rest.ByHand != nil {
		t.Errorf("truck 1 is broken down, and the rest is %v", got)
	}
}

// An order that cannot keep the windows leaves stops out, so that what is done is done in time; it is not refused.
func TestOrderIsNotLate(t *testing.T) {
	d := demoDay(t, "us")
	d.Orders = []plan.Order{{Truck: "Truck 1", Stops: []string{"windward-park", "gull-row-4", "gull-row-6", "gull-row-9", "spray-street-12", "gull-row-11", "shoal-field", "spray-street-15", "harbour-office", "long-quay",
		"drift-lane", "mirror-pond", "kelp-circle-8", "kelp-circle-5", "kelp-circle-3", "tern-chapel"}}}
	p := made(t, d)
	if len(p.LeftOut) == 0 || !strings.Contains(p.ByHand.Price, "leaves out") {
		t.Errorf("left out: %+v; %s", p.LeftOut, p.ByHand.Price)
	}
	for i := range p.Stops {
		if s := &p.Stops[i]; s.Until > 0 && s.Begin > s.Until {
			t.Errorf("%s begins at %v, and its window ends at %v", s.Name, s.Begin, s.Until)
		}
	}
}
