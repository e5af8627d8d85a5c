package bound_test

import (
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan/route"
	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
)

// On days that one truck with one tank does with one mix, no stop split, the bound is what the best plan found by trying everything takes.
func TestExactIsTheOracle(t *testing.T) {
	seen := 0
	for seed := uint64(0); seen < geotest.Fewer(40) && seed < 5000; seed++ {
		d := routetest.Random(seed, routetest.Kind{Stops: 8, Shifts: 1})
		if len(d.Mixes) > 1 || len(d.Shifts[0].Tanks) > 1 {
			continue
		}
		d.Shifts[0].Until, d.Shifts[0].Tanks[0].Least = 0, 0
		for i := range d.Stops {
			d.Stops[i].Whole = true
			if d.Stops[i].Need() > d.Shifts[0].Tanks[0].Usable {
				d.Stops[i].Passes = []route.Ticks{d.Shifts[0].Tanks[0].Usable}
				d.Stops[i].Back = nil
			}
		}
		d.Shifts[0].Payload = 0
		for k := range d.Drive { // a detour is never quicker
			for i := range d.Drive {
				for j := range d.Drive {
					d.Drive[i][j] = min(d.Drive[i][j], d.Drive[i][k]+d.Drive[k][j])
				}
			}
		}
		d.Weights.Load, d.Weights.Split = 0, 0
		best, ok := routetest.Oracle(d)
		if !ok {
			continue
		}
		seen++
		if b := bound.Of(d, nil); !near(b.Time, best) && len(d.Fills) == 1 || b.Time > best*(1+1e-9) || !near(b.Unsplit, best) && len(d.Fills) == 1 {
			t.Errorf("day %d: %d stops, %d fill points: bound %.3f, unsplit %.3f, the best plan %.3f", seed, len(d.Stops), len(d.Fills), float64(b.Time), float64(b.Unsplit), float64(best))
		}
	}
	if seen < geotest.Fewer(40) {
		t.Errorf("only %d days", seen)
	}
}

func near(a, b unit.Time) bool { return a > b*(1-1e-9)-1e-6 && a < b*(1+1e-9)+1e-6 }
