package bound_test

import (
	"testing"

	"tankful/geo/geotest"
	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
	"tankful/plan/route/solve"
)

// No plan goes below the bound, nor does the best one there is.
func TestNoPlanIsBelow(t *testing.T) {
	tight := 0
	for seed := range uint64(geotest.Fewer(120)) {
		d := routetest.Random(seed, routetest.Kind{Stops: 8, Shifts: 2, Windows: seed%2 == 0, Odd: seed%3 == 0})
		a, err := solve.Day(d, solve.Options{Effort: 0.05})
		if err != nil {
			continue
		}
		b := bound.Of(d, a.Plan.Left)
		if float64(b.Time) > float64(a.Plan.Minutes())*(1+1e-9)+1e-6 || b.Loads > a.Plan.Loads {
			t.Errorf("day %d: bound %v and %d loads, plan %v and %d", seed, b.Time, b.Loads, a.Plan.Minutes(), a.Plan.Loads)
		}
		if float64(b.Time) > 0.97*float64(a.Plan.Minutes()) {
			tight++
		}
	}
	if tight == 0 {
		t.Error("no bound is within 3 % of its plan")
	}
	t.Logf("%d within 3 %%", tight)
	few := 0
	for seed := uint64(0); few < geotest.Fewer(10); seed++ {
		d := routetest.Random(seed, routetest.Kind{Stops: 5, Shifts: 1})
		d.Shifts[0].Until = 0
		if best, ok := routetest.Oracle(d); ok {
			few++
			if b := bound.Of(d, nil); float64(b.Time) > float64(best)*(1+1e-9) {
				t.Errorf("day %d: bound %v, the best plan costs %v", seed, b.Time, best)
			}
		}
	}
}
