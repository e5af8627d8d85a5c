package bound_test

import (
	"math/rand/v2"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/bound"
)

// BenchmarkProven is the bound of 16 stops that are done in one go, with the best plan among what it looks at.
func BenchmarkProven(b *testing.B) {
	r := rand.New(rand.NewPCG(1, 1))
	d := &route.Day{Mixes: make([]route.Mix, 1), Fills: []route.Fill{{}}, Shifts: []route.Shift{{Tanks: []route.Tank{{Usable: 100}}}}}
	xy := make([][2]float64, 17)
	for i := range xy {
		xy[i] = [2]float64{r.Float64(), r.Float64()}
	}
	for i := range xy {
		row := make([]unit.Time, len(xy))
		for j := range row {
			row[j] = unit.Time(1000 * (abs(xy[i][0]-xy[j][0]) + abs(xy[i][1]-xy[j][1])))
		}
		d.Drive = append(d.Drive, row)
		if i > 0 {
			d.Stops = append(d.Stops, route.Stop{Place: i, Site: i, Passes: []route.Ticks{route.Ticks(5 + r.IntN(30))}})
		}
	}
	for b.Loop() {
		if bound.Of(d, nil).Unsplit == 0 {
			b.Fatal("no bound")
		}
	}
}
