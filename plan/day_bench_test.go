package plan_test

import (
	"fmt"
	"math/rand/v2"
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

// BenchmarkFortyStops is a day of 40 lawns with a house each, of two mixes in two tanks, from outlines to the plan with its bound.
func BenchmarkFortyStops(b *testing.B) {
	rng := rand.New(rand.NewPCG(40, 1))
	d := &plan.Day{Date: "2026-05-04", Outfit: "Outfit", Units: unit.US, Start: 6 * unit.Hour, Where: "day", Yard: plan.Place{Name: "Yard", At: yard},
		Travel:     plan.Travel{Circuity: 1.35, Speed: 25 * unit.MilePerHour, Access: unit.Minute},
		FillPoints: []plan.FillPoint{{Place: plan.Place{Name: "Yard", At: yard}, Flow: 60 * unit.LitrePerMinute, HookUp: 4 * unit.Minute}, {Place: plan.Place{Name: "Hydrant", At: metresAway(4000, 1000)}, Flow: 100 * unit.LitrePerMinute, HookUp: 6 * unit.Minute}},
		Products:   []label.Product{liquid("Feed", 60*unit.LitrePerHectare)},
		Operators:  []plan.Operator{{Name: "Kim"}}}
	a := plan.Applicator{Name: "Gun", Kind: plan.Gun, Swath: 2.4, TurnTime: 3}
	d.Applicators = []plan.Applicator{a}
	d.Operators[0].Tests = []plan.Test{{Applicator: a.Name, Catch: catch(a.Swath, 800*unit.LitrePerHectare, 1.2)}}
	truck := plan.Truck{Name: "Truck", Where: "truck"}
	for k := range 2 {
		name := fmt.Sprintf("Mix %d", k)
		d.Mixes = append(d.Mixes, plan.Mix{Name: name, Operator: "Kim", Applicator: a.Name,
			Products: []plan.MixProduct{{Product: "Feed", Rate: label.Rate{Liquid: 20 * unit.LitrePerHectare}}}})
		truck.Tanks = append(truck.Tanks, plan.Tank{Name: name, Capacity: 750 * unit.Litre, Heel: 15 * unit.Litre, Mix: name})
	}
	d.Trucks = []plan.Truck{truck}
	for b.Loop() {
		d.Stops = nil
		for i := range 40 {
			id := fmt.Sprintf("P-%d", i)
			p := rectangle(id, 12_000*rng.Float64()-6000, 12_000*rng.Float64()-6000, 18+14*rng.Float64(), 25+20*rng.Float64(), true)
			d.Stops = append(d.Stops, plan.Stop{Site: measured(p), Mix: fmt.Sprintf("Mix %d", i%2), SetUp: 2 * unit.Minute, Where: "stop " + id})
		}
		p, found := plan.Make(d)
		if p == nil {
			b.Fatal(found)
		}
		b.ReportMetric(100*(float64(p.Minutes)/float64(p.BoundMinutes)-1), "gap-%")
	}
}
