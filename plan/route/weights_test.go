package route_test

import (
	"math"
	"os"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan/route"
	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
	"tankful/plan/route/solve"
)

// A day by hand: two stops of 60 ticks, a tank of 100, in a line: yard 0, stop at 100 s, stop at 200 s, the fill point in the yard with a hook-up of 50 s.
func lineDay() *route.Day {
	at := []float64{0, 100, 200}
	d := &route.Day{Weights: route.Usual, Mixes: make([]route.Mix, 1), Fills: []route.Fill{{HookUp: 50}},
		Shifts: []route.Shift{{Until: 600, Tanks: []route.Tank{{Usable: 100}}}}}
	for _, a := range at {
		row := make([]unit.Time, len(at))
		for j, b := range at {
			row[j] = unit.Time(math.Abs(a - b))
		}
		d.Drive = append(d.Drive, row)
	}
	for i := range 2 {
		d.Stops = append(d.Stops, route.Stop{Place: 1 + i, Site: i, Passes: []route.Ticks{60}, Whole: true})
	}
	return d
}

// Both trips are driven in 2*100 + 2*200 = 600 s with two hook-ups of 50 s: 700 s of work, of which 100 s are after the end at 600 s. With a toll of half each drive's
// time that is 300 s more, two loads at 40 s are 80 s, and overtime at three times itself is 300 s: 700 + 300 + 80 + 300 = 1380 s. Nothing can be done better, and the bound says so.
func TestWeighedByHand(t *testing.T) {
	d := lineDay()
	d.Weights.Load, d.Weights.Over = 40, 3
	for _, row := range d.Drive {
		half := make([]unit.Time, len(row))
		for j := range row {
			half[j] = row[j] / 2
		}
		d.Toll = append(d.Toll, half)
	}
	a, err := solve.Day(d, solve.Options{})
	if err != nil {
		t.Fatal(err)
	}
	p := a.Plan
	if p.Minutes() != 700 || p.Toll != 300 || p.Over != 100 || p.Loads != 2 || p.Weighed(d.Weights) != 1380 {
		t.Errorf("%v of work, %v toll, %v overtime, %d loads: weighs %v, want 700, 300, 100, 2: 1380 s", p.Minutes(), p.Toll, p.Over, p.Loads, p.Weighed(d.Weights))
	}
	if b := bound.Of(d, nil); math.Abs(float64(b.Time-700)) > 1e-6 || math.Abs(float64(b.Weighed-1380)) > 1e-6 {
		t.Errorf("bound of %v, weighed %v, want 700 and 1380 s", b.Time, b.Weighed)
	}
}

// What a split weighs decides: stops of 60 + 80 + 60 ticks (the middle one in passes of 40) are two tankfuls when it is split and three when not. A split is taken for the
// trip that it saves until it weighs more than that.
func TestSplitWeighs(t *testing.T) {
	d := lineDay()
	d.Shifts[0].Until = 0
	d.Stops = []route.Stop{{Place: 2, Site: 0, Passes: []route.Ticks{60}, Whole: true}, {Place: 2, Site: 1, Passes: []route.Ticks{40, 40}}, {Place: 2, Site: 2, Passes: []route.Ticks{60}, Whole: true}}
	for _, x := range []struct {
		split, weighs unit.Time
		splits        int
	}{
		{100, 2*450 + 100, 1}, // a trip is 2*200 s and a hook-up of 50 s
		{440, 2*450 + 440, 1},
		{460, 3 * 450, 0},
	} {
		d.Weights.Load, d.Weights.Split = 0, x.split
		a, err := solve.Day(d, solve.Options{})
		if err != nil {
			t.Fatal(err)
		}
		b := bound.Of(d, nil)
		if got := a.Plan.Weighed(d.Weights); a.Plan.Splits != x.splits || math.Abs(float64(got-x.weighs)) > 1e-6 || math.Abs(float64(b.Weighed-x.weighs)) > 1e-6 {
			t.Errorf("a split at %v: %d splits, weighs %v, bound %v, want %d and %v", x.split, a.Plan.Splits, got, b.Weighed, x.splits, x.weighs)
		}
	}
}

// Random days with weights, small enough to try everything: the plan weighs what the best does, and the bound is not above it. TANKFUL_ALL=1 looks at 300.
func TestWeighedAgainstTryingEverything(t *testing.T) {
	want := geotest.Fewer(5)
	if os.Getenv("TANKFUL_ALL") != "" {
		want = 300
	}
	seen, proven := 0, 0
	for seed := uint64(0); seen < want && seed < 100_000; seed++ {
		d := routetest.Random(seed, routetest.Kind{Stops: 8, Shifts: 1})
		d.Shifts[0].Until = 0
		routetest.Weigh(d, seed)
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
		if cost := a.Plan.Cost(d.Weights); math.Abs(float64(cost-best)) > 1e-3+1e-9*float64(best) {
			t.Errorf("day %d: %.3f s, the best plan %.3f s", seed, float64(cost), float64(best))
		}
		b := bound.Of(d, nil)
		if float64(b.Weighed) > float64(best)*(1+1e-9)+1e-6 {
			t.Errorf("day %d: a bound of %.3f s over the best plan, %.3f s", seed, float64(b.Weighed), float64(best))
		}
		if float64(b.Weighed) > float64(best)*(1-1e-9)-0.1 {
			proven++
		}
	}
	if proven == 0 {
		t.Error("no best plan is proven")
	}
	t.Logf("%d of %d proven", proven, seen)
}

// Random days of everything with weights: nothing in a plan contradicts the day, and no plan weighs less than the bound.
func TestWeighedPlansHold(t *testing.T) {
	n := geotest.Fewer(30)
	if os.Getenv("TANKFUL_ALL") != "" {
		n = 3000
	}
	over := 0
	for seed := range uint64(n) {
		d := routetest.Random(seed, routetest.Kind{Stops: 8, Shifts: 2, Windows: seed%2 == 0, Odd: seed%3 == 0})
		for i := range d.Shifts { // short days
			if seed%5 == 0 {
				d.Shifts[i].Until, d.Shifts[i].Hard = d.Shifts[i].From+unit.Hour, false
			}
		}
		routetest.Weigh(d, seed)
		a, err := solve.Day(d, solve.Options{Seed: 1, Effort: 0.1})
		if err != nil {
			continue
		}
		if a.Plan.Over > 0 {
			over++
		}
		for _, e := range routetest.Check(d, a.Plan) {
			t.Errorf("day %d: %v", seed, e)
		}
		if b, is := bound.Of(d, a.Plan.Left), a.Plan.Weighed(d.Weights); float64(b.Weighed) > float64(is)*(1+1e-9)+1e-6 || b.Weighed < b.Time {
			t.Errorf("day %d: a bound of %v (%v of work), the plan weighs %v", seed, b.Weighed, b.Time, is)
		}
	}
	if over == 0 {
		t.Error("no plan has overtime")
	}
}
