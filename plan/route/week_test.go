package route_test

import (
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan/route"
	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
	"tankful/plan/route/solve"
)

// Several days are shifts of one Day, and a stop may be in those of its days. Random weeks small enough to try every sharing of the stops among the shifts, each shift's part by the oracle:
// the solver's plan costs what the best does, and no bound is above it. TANKFUL_ALL=1 looks at 300, else at fewer.
func TestWeeksAgainstTryingEverything(t *testing.T) {
	want := geotest.Fewer(8)
	if os.Getenv("TANKFUL_ALL") != "" {
		want = 300
	}
	seen, agree := 0, 0
	for seed := uint64(0); seen < want && seed < 10_000; seed++ {
		d := randomWeek(seed)
		best := sharings(d)
		if math.IsInf(best, 1) {
			continue
		}
		seen++
		a, err := solve.Day(d, solve.Options{Seed: 1})
		if err != nil {
			t.Errorf("week %d: %v", seed, err)
			continue
		}
		for _, e := range routetest.Check(d, a.Plan) {
			t.Errorf("week %d: %v", seed, e)
		}
		cost := float64(a.Plan.Cost(d.Weights))
		switch {
		case math.Abs(cost-best) <= 1e-3+1e-9*best:
			agree++
		case cost < best:
			t.Errorf("week %d: %.3f s, better than the best, %.3f s", seed, cost, best)
		default:
			t.Errorf("week %d: %d stops, %d shifts: %.3f s, the best %.3f s (left %d)", seed, len(d.Stops), len(d.Shifts), cost, best, len(a.Plan.Left))
		}
		if b := float64(bound.Of(d, nil).Time); len(a.Plan.Left) == 0 && b > best+1e-6 {
			t.Errorf("week %d: a bound of %.3f s over the best, %.3f s", seed, b, best)
		}
	}
	t.Logf("%d of %d weeks at the best cost", agree, seen)
}

// randomWeek is a random day of one shift, that shift two or three times, each stop in some of them.
func randomWeek(seed uint64) *route.Day {
	r := rand.New(rand.NewPCG(seed, 0x7765656b))
	d := routetest.Random(seed, routetest.Kind{Stops: 5, Shifts: 1})
	d.Shifts[0].Until = 0
	for len(d.Shifts) < 2+int(seed%2) {
		d.Shifts = append(d.Shifts, d.Shifts[0])
	}
	for i := range d.Stops {
		d.Stops[i].Shifts = nil
		if r.IntN(3) == 0 {
			continue
		}
		d.Stops[i].Shifts = []int{r.IntN(len(d.Shifts))}
		for s := range d.Shifts {
			if s != d.Stops[i].Shifts[0] && r.IntN(3) == 0 {
				d.Stops[i].Shifts = append(d.Stops[i].Shifts, s)
			}
		}
	}
	return d
}

// sharings is the least cost of all ways of sharing the stops among the shifts, infinite where the oracle covers none.
func sharings(d *route.Day) float64 {
	known := map[[2]int]float64{}
	part := func(shift, stops int) float64 {
		if stops == 0 {
			return 0
		}
		key := [2]int{shift, stops}
		if c, ok := known[key]; ok {
			return c
		}
		one := *d
		one.Shifts, one.Stops = d.Shifts[shift:shift+1], nil
		for i := range d.Stops {
			if stops>>i&1 == 1 {
				st := d.Stops[i]
				st.Shifts, st.Site = nil, len(one.Stops)
				one.Stops = append(one.Stops, st)
			}
		}
		c := unit.Time(math.Inf(1))
		if best, ok := routetest.Oracle(&one); ok {
			c = best
		}
		known[key] = float64(c)
		return float64(c)
	}
	masks := make([]int, len(d.Shifts))
	var try func(i int) float64
	try = func(i int) float64 {
		if i == len(d.Stops) {
			sum := 0.0
			for s, m := range masks {
				sum += part(s, m)
			}
			return sum
		}
		best := math.Inf(1)
		for s := range d.Shifts {
			if route.Allows(d.Stops[i].Shifts, s) {
				masks[s] |= 1 << i
				best = min(best, try(i+1))
				masks[s] &^= 1 << i
			}
		}
		return best
	}
	return try(0)
}
