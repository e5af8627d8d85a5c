package route_test

import (
	"math"
	"os"
	"testing"

	"tankful/geo/geotest"
	"tankful/plan/route/routetest"
	"tankful/plan/route/solve"
)

// Random days small enough to try everything: the solver's plan costs what the best plan does. TANKFUL_ALL=1 looks at a thousand that the oracle covers, else at fewer.
func TestAgainstTryingEverything(t *testing.T) {
	want := geotest.Fewer(12)
	if os.Getenv("TANKFUL_ALL") != "" {
		want = 1000
	}
	seen, agree := 0, 0
	for seed := uint64(0); seen < want && seed < 100_000; seed++ {
		d := routetest.Random(seed, routetest.Kind{Stops: 9, Shifts: 1})
		d.Shifts[0].Until = 0
		best, ok := routetest.Oracle(d)
		if !ok {
			continue
		}
		seen++
		a, err := solve.Day(d, solve.Options{Seed: 1})
		if err != nil {
			t.Errorf("day %d: %v", seed, err)
			continue
		}
		cost := a.Plan.Cost(d.Weights)
		switch {
		case math.Abs(float64(cost-best)) <= 1e-3+1e-9*float64(best):
			agree++
		case cost < best:
			t.Errorf("day %d: %.3f s, better than the best, %.3f s", seed, float64(cost), float64(best))
		default:
			t.Errorf("day %d: %d stops, %d mixes, %d tanks: %.3f s, the best plan %.3f s (left %d)", seed, len(d.Stops), len(d.Mixes), len(d.Shifts[0].Tanks), float64(cost), float64(best), len(a.Plan.Left))
		}
	}
	t.Logf("%d of %d days at the best cost", agree, seen)
}

// Ten thousand random days of everything (a part of them without TANKFUL_ALL): nothing in a plan contradicts the day.
func TestPlansHold(t *testing.T) {
	n := geotest.Fewer(100)
	if os.Getenv("TANKFUL_ALL") != "" {
		n = 10_000
	}
	left, over := 0, 0
	for seed := range uint64(n) {
		d := routetest.Random(seed, routetest.Kind{Stops: 8, Shifts: 2, Windows: seed%2 == 0, Odd: seed%3 == 0})
		a, err := solve.Day(d, solve.Options{Seed: 1, Effort: 0.1})
		if err != nil {
			continue // a day that is none
		}
		left += len(a.Plan.Left)
		if a.Plan.Leftover > 0 {
			over++
		}
		for _, e := range routetest.Check(d, a.Plan) {
			t.Errorf("day %d: %v", seed, e)
		}
		if len(a.Left) != len(a.Plan.Left) {
			t.Errorf("day %d: %d reasons for %d stops left out", seed, len(a.Left), len(a.Plan.Left))
		}
	}
	t.Logf("%d stops left out, %d days with mix left over", left, over)
}
