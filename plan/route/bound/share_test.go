package bound_test

import (
	"math/rand/v2"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/plan/route"
	"tankful/plan/route/bound"
	"tankful/plan/route/routetest"
)

// Stops that may be broken off after every tick: what splitting saves at best is in the bound, and the best plan found by trying everything is never below it. On every
// other day a load and a split weigh something.
func TestSharedStops(t *testing.T) {
	days := geotest.Fewer(60)
	below, proven, gains := 0, 0, 0
	for seed := range uint64(days) {
		r := rand.New(rand.NewPCG(seed, 7))
		n := 3 + r.IntN(3)
		d := &route.Day{Mixes: make([]route.Mix, 1), Fills: []route.Fill{{HookUp: unit.Time(r.IntN(100))}}, Weights: route.Usual,
			Shifts: []route.Shift{{Tanks: []route.Tank{{Usable: route.Ticks(3 + r.IntN(3))}}}}}
		d.Weights.Load, d.Weights.Split = 0, 0
		if seed%2 == 1 {
			d.Weights.Load, d.Weights.Split = unit.Time(r.IntN(300)), unit.Time(1+r.IntN(600))
		}
		xy := make([][2]float64, n+1)
		for i := range xy {
			xy[i] = [2]float64{1000 * r.Float64(), 1000 * r.Float64()}
		}
		for i := range xy {
			row := make([]unit.Time, len(xy))
			for j := range row {
				row[j] = unit.Time(abs(xy[i][0]-xy[j][0]) + abs(xy[i][1]-xy[j][1]))
			}
			d.Drive = append(d.Drive, row)
		}
		for i := range n {
			st := route.Stop{Place: 1 + i, Site: i, Passes: make([]route.Ticks, 1+r.IntN(int(d.Shifts[0].Tanks[0].Usable)-1))}
			for k := range st.Passes {
				st.Passes[k] = 1
			}
			d.Stops = append(d.Stops, st)
		}
		best, ok := routetest.Oracle(d)
		if !ok {
			continue
		}
		b := bound.Of(d, nil)
		switch {
		case b.Weighed > best*(1+1e-9)+1e-6 || b.Time > b.Weighed:
			t.Errorf("day %d: bound %.3f, weighed %.3f, over the best plan, %.3f", seed, float64(b.Time), float64(b.Weighed), float64(best))
		case near(b.Weighed, best):
			proven++
		default:
			below++
		}
		if seed%2 == 0 && b.Unsplit > best*(1+1e-9) {
			gains++
		}
	}
	if proven < days/2 || gains == 0 && days > 20 {
		t.Errorf("%d proven, %d below, %d where splitting helps", proven, below, gains)
	}
	t.Logf("%d proven, %d below, %d where splitting helps", proven, below, gains)
}

func abs(x float64) float64 { return max(x, -x) }
