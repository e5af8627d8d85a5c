package ruin

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// The search's own sums are those of the clock, after any number of changes.
func TestSumsAgreeWithClock(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		d := randomDay(t)
		m := newModel(d)
		s := newState(m, 7)
		s.begin(nil)
		for range 30 {
			s.mark()
			s.ruin()
			s.recreate()
			if s.rng.IntN(2) == 0 {
				s.takeBack()
			}
			p, err := d.Clock(s.draft())
			if err != nil {
				t.Fatal(err)
			}
			if got, want := s.value(), float64(p.Cost(d.Weights)); math.Abs(got-want) > 1e-6*(1+want) {
				t.Fatalf("the search has %v, the clock %v", got, want)
			}
		}
	})
}

// randomDay is a day whose cost the search knows exactly: one fill rate, no heels.
func randomDay(t *rapid.T) *route.Day {
	n := rapid.IntRange(1, 14).Draw(t, "stops")
	fills := rapid.IntRange(1, 2).Draw(t, "fills")
	at := make([][2]float64, 1+n+fills)
	for i := range at {
		at[i] = [2]float64{rapid.Float64Range(0, 1000).Draw(t, "x"), rapid.Float64Range(0, 1000).Draw(t, "y")}
	}
	d := &route.Day{Mixes: []route.Mix{{}}, Weights: route.Weights{Late: 1000, Over: 1, Drop: 100 * unit.Hour}}
	for i := range at {
		row := make([]unit.Time, len(at))
		for j := range row {
			row[j] = unit.Time(math.Hypot(at[i][0]-at[j][0], at[i][1]-at[j][1]))
		}
		d.Drive = append(d.Drive, row)
	}
	for i := range n {
		d.Stops = append(d.Stops, route.Stop{Place: 1 + i, Site: i, Passes: []route.Ticks{route.Ticks(rapid.IntRange(1, 300).Draw(t, "ticks"))}, Whole: true,
			Work: 300, SetUp: 60, Rank: rapid.IntRange(-1, 1).Draw(t, "rank") * rapid.IntRange(0, 1).Draw(t, "ranked")})
	}
	for i := range fills {
		d.Fills = append(d.Fills, route.Fill{Place: 1 + n + i, HookUp: 200, PerTick: 0.5})
	}
	for range rapid.IntRange(1, 2).Draw(t, "shifts") {
		d.Shifts = append(d.Shifts, route.Shift{From: 1000, Until: unit.Time(rapid.IntRange(0, 1).Draw(t, "ends") * 5000), Tanks: []route.Tank{{Usable: 400}}})
	}
	return d
}
