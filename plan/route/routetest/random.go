package routetest

import (
	"math"
	"math/rand/v2"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Kind is what a random day may have.
type Kind struct {
	Stops, Shifts int // the most
	// Windows brings windows, lunch, hours and hard ends; Odd brings what tanks hold, marks, ranks, joined stops and stops without mix.
	Windows, Odd bool
}

// Random is a day drawn with a seed: the same seed gives the same day.
func Random(seed uint64, k Kind) *route.Day {
	r := rand.New(rand.NewPCG(seed, 0x646179))
	n, fills, mixes := 1+r.IntN(k.Stops), 1+r.IntN(2), 1+r.IntN(2)
	d := &route.Day{Weights: route.Usual, Mixes: make([]route.Mix, mixes)}
	xy := make([][2]float64, 1+n+fills)
	for i := range xy {
		xy[i] = [2]float64{1800 * r.Float64(), 1800 * r.Float64()}
		if i > 0 && r.IntN(8) == 0 {
			xy[i] = xy[i-1]
		}
	}
	skew := 1 + 0.3*float64(r.IntN(2))*r.Float64()
	for i := range xy {
		row := make([]unit.Time, len(xy))
		for j := range row {
			row[j] = unit.Time(math.Hypot(xy[i][0]-xy[j][0], xy[i][1]-xy[j][1]))
			if i < j {
				row[j] *= unit.Time(skew)
			}
		}
		d.Drive = append(d.Drive, row)
	}
	for m := range d.Mixes {
		d.Mixes[m].PerTick = unit.Mass(0.3+0.2*r.Float64()) * unit.Kilogram
	}
	if r.IntN(2) == 0 {
		d.Rinse = make([][]route.Rinse, mixes)
		for i := range d.Rinse {
			d.Rinse[i] = make([]route.Rinse, mixes)
			for j := range d.Rinse[i] {
				d.Rinse[i][j] = route.Rinse{Time: unit.Time(r.IntN(1200)), Never: i > j && r.IntN(4) == 0}
			}
		}
	}
	for i := range fills {
		f := route.Fill{Place: 1 + n + i, HookUp: unit.Time(r.IntN(400)), PerTick: unit.Time(0.1 + 0.4*r.Float64())}
		if k.Windows && r.IntN(4) == 0 {
			f.Open, f.Close = 7.5*unit.Hour, 15*unit.Hour
		}
		d.Fills = append(d.Fills, f)
	}
	most := 0
	for s := range 1 + r.IntN(k.Shifts) {
		sh := route.Shift{From: 7 * unit.Hour, Until: unit.Time(r.IntN(2)) * 9 * unit.Hour}
		if s > 0 && r.IntN(3) == 0 {
			sh.Start = 1
		}
		for range 1 + r.IntN(2) {
			t := route.Tank{Usable: route.Ticks(60 + r.IntN(240)), Heel: route.Ticks(r.IntN(10))}
			most = max(most, int(t.Usable))
			switch r.IntN(3) {
			case 0:
				t.Least = route.Ticks(r.IntN(int(t.Usable)))
			case 1:
				t.Least = 10
			}
			if r.IntN(3) == 0 {
				t.Mixes = []int{r.IntN(mixes)}
			}
			if k.Odd && r.IntN(4) == 0 {
				t.Held = &route.Held{Mix: r.IntN(mixes), Left: route.Ticks(r.IntN(int(t.Usable)))}
			}
			if k.Odd && r.IntN(5) == 0 {
				t.Mark = 5
			}
			sh.Tanks = append(sh.Tanks, t)
		}
		if r.IntN(4) == 0 {
			sh.Payload = unit.Mass(40+r.IntN(120)) * unit.Kilogram
		}
		if k.Windows && r.IntN(2) == 0 {
			sh.Lunch = route.Lunch{From: 9 * unit.Hour, Until: 10 * unit.Hour, Length: 30 * unit.Minute}
			sh.Hard = r.IntN(3) == 0
		}
		d.Shifts = append(d.Shifts, sh)
	}
	for i := range n {
		d.Stops = append(d.Stops, randomStop(r, d, i, most, k))
	}
	return d
}

// Weigh gives a random day weights drawn with a seed: tolls, and what loads, splits and overtime weigh, each or none.
func Weigh(d *route.Day, seed uint64) {
	r := rand.New(rand.NewPCG(seed, 0x77656967))
	if r.IntN(3) > 0 {
		per := unit.Time(2 * r.Float64())
		for i, row := range d.Drive {
			d.Toll = append(d.Toll, make([]unit.Time, len(row)))
			for j, t := range row { // a way by another road than the quickest: no share of the time
				d.Toll[i][j] = per * t * unit.Time(0.5+r.Float64())
			}
		}
	}
	if r.IntN(3) > 0 {
		d.Weights.Load = unit.Time(r.IntN(1800))
	}
	if r.IntN(3) > 0 {
		d.Weights.Split = unit.Time(r.IntN(1800))
	}
	if r.IntN(3) > 0 {
		d.Weights.Over = 5 * r.Float64()
	}
}

func randomStop(r *rand.Rand, d *route.Day, i, most int, k Kind) route.Stop {
	st := route.Stop{Place: 1 + i, Site: i, Mix: r.IntN(len(d.Mixes)), Work: unit.Time(r.IntN(3000)), SetUp: unit.Time(r.IntN(300)), Whole: r.IntN(2) == 0}
	for range 1 + r.IntN(3) {
		st.Passes = append(st.Passes, route.Ticks(1+r.IntN(max(2, most/3))))
	}
	if r.IntN(3) == 0 {
		for range st.Passes {
			st.Back = append(st.Back, unit.Time(r.IntN(100)))
		}
	}
	if k.Windows && r.IntN(3) == 0 {
		st.From = 7*unit.Hour + unit.Time(r.IntN(4*3600))
		if r.IntN(2) == 0 {
			st.Until = st.From + unit.Time(r.IntN(3*3600))
		}
	}
	if len(d.Shifts) > 1 && r.IntN(4) == 0 {
		st.Shifts = []int{r.IntN(len(d.Shifts))}
	}
	if k.Odd {
		switch r.IntN(8) {
		case 0:
			st.Mix, st.Passes, st.Back = route.NoMix, nil, nil
		case 1:
			st.Rank = r.IntN(3) - 1
		case 3:
			st.Rank = i // as in an order that is fixed by hand
		case 2:
			if i > 0 {
				st.Site, st.Place = d.Stops[i-1].Site, d.Stops[i-1].Place
			}
		}
	}
	return st
}
