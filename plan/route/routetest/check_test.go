package routetest

import (
	"math"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// plantDay is a day with something of everything, and a draft of it that can be done: a stop split over two legs, a change of mix, lunch in a wait, a
// window missed, a fill point that has closed, overtime, a load below the least, a stop left out, and a second shift of one leg with two tanks.
func plantDay() (*route.Day, route.Draft) {
	d := &route.Day{
		Mixes:   []route.Mix{{PerTick: 0.4 * unit.Kilogram}, {PerTick: 0.5 * unit.Kilogram}},
		Rinse:   [][]route.Rinse{{{}, {Time: 600}}, {{Never: true}, {}}},
		Weights: route.Usual,
		Fills: []route.Fill{
			{Place: 0, HookUp: 120, PerTick: 2},
			{Place: 1, HookUp: 60, PerTick: 3, Open: 8 * unit.Hour, Close: 9 * unit.Hour, Shifts: []int{0}},
		},
		Shifts: []route.Shift{
			{From: 7 * unit.Hour, Until: 10 * unit.Hour, Payload: 60 * unit.Kilogram, Legs: 3, Lunch: route.Lunch{From: 8.5 * unit.Hour, Until: 9 * unit.Hour, Length: 1800}, Tanks: []route.Tank{{Usable: 100, Heel: 5, Least: 20}}},
			{From: 7 * unit.Hour, Tanks: []route.Tank{{Usable: 60, Heel: 2, Mixes: []int{0}}, {Usable: 60, Heel: 2}}},
		},
	}
	d.Drive = make([][]unit.Time, 8)
	for i := range d.Drive {
		d.Drive[i] = make([]unit.Time, 8)
		for j := range d.Drive[i] {
			d.Drive[i][j] = unit.Time(100 * math.Abs(float64(i-j)))
		}
	}
	d.Stops = []route.Stop{
		{Place: 2, Site: 0, Mix: 0, Passes: []route.Ticks{30, 30, 40}, Work: 1000, SetUp: 100, Back: []unit.Time{10, 20, 30}, Shifts: []int{0}},
		{Place: 3, Site: 1, Mix: 0, Passes: []route.Ticks{40}, Work: 400, SetUp: 100, Until: 7.1 * unit.Hour, Whole: true},
		{Place: 4, Site: 2, Mix: 1, Passes: []route.Ticks{15}, Work: 300, SetUp: 100, From: 9.5 * unit.Hour, Rank: 1},
		{Place: 5, Site: 3, Mix: 0, Passes: []route.Ticks{50, 30}, Work: 800, SetUp: 100},
		{Place: 5, Site: 3, Mix: route.NoMix, Work: 200, SetUp: 100},
		{Place: 7, Site: 5, Mix: 0, Passes: []route.Ticks{10}, Work: 100},
	}
	return d, route.Draft{
		{
			{Fill: 0, Mixes: []int{0}, Takes: []route.Take{{Stop: 0, Volume: 60}, {Stop: 1, Volume: 40}}},
			{Fill: 1, Mixes: []int{0}, Takes: []route.Take{{Stop: 0, Volume: 40}}},
			{Fill: 1, Mixes: []int{1}, Takes: []route.Take{{Stop: 2, Volume: 15}}},
		},
		{{Fill: 0, Mixes: []int{0, 0}, Takes: []route.Take{{Stop: 3, Volume: 80}, {Stop: 4, Volume: 0}}}},
	}
}

// The planted plan itself, reckoned by hand: what Clock says of it holds, and Check agrees.
func TestPlantedDayByHand(t *testing.T) {
	d, draft := plantDay()
	p, err := d.Clock(draft)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range Check(d, p) {
		t.Error(e)
	}
	// Shift 0: at the yard (place 0) 25200; 120+2*105 = 330 of filling, 25530. 200 to stop 0: 25730; 100 + 600 of work + 20 back, 26450. 100 to stop 1: 26550,
	// 990 after its window (25560); 100+400: 27050. 200 to fill point 1: 27250, opens 28800: waits 1550; 60+3*40 = 180: 28980. 100 to stop 0: 29080; 100+400:
	// 29580. 100 to fill point 1: 29680; rinse 600, fill 60+3*(15+5+5) = 135: 30415. 300 to stop 2: 30715, opens 34200: lunch is due at 30600, so it is taken
	// on arrival in the wait, 30715..32515; waits on to 34200, 1685 in all; 100+300: 34600. 400 home: 35000, until 36000.
	r := &p.Runs[0]
	for _, x := range []struct {
		what      string
		got, want unit.Time
	}{
		{"drive", r.Drive, 200 + 100 + 200 + 100 + 100 + 300 + 400}, {"fill", r.Fill, 330 + 180 + 135}, {"rinse", r.Rinse, 600},
		{"work", r.Work, 720 + 500 + 500 + 400}, {"wait", r.Wait, 1550 + 1685}, {"late", r.Late, 990}, {"over", r.Over, 0}, {"finish", r.Finish, 35000},
		// Shift 1: 25200; fill 120+2*84 = 288; 500 to stop 3; 100+800; stop 4 on the same property: 200; 500 home.
		{"finish 1", p.Runs[1].Finish, 25200 + 288 + 500 + 900 + 200 + 500},
	} {
		if !near(x.got, x.want) {
			t.Errorf("%s %v s, want %v s", x.what, float64(x.got), float64(x.want))
		}
	}
	if r.Lunch == nil || r.Lunch.At != 30715 || p.Leftover != 5 || p.Loads != 5 || p.Splits != 1 || len(p.Left) != 1 {
		t.Errorf("lunch %+v, %d left over, %d loads, %d splits, left out %v; want 30715, 5, 5, 1, one", r.Lunch, p.Leftover, p.Loads, p.Splits, p.Left)
	}
}

// Each fault, planted alone in a plan that holds, is found.
func TestPlantedFaults(t *testing.T) {
	leg := func(p *route.Plan, s, k int) *route.Leg { return &p.Runs[s].Legs[k] }
	faults := map[string]func(d *route.Day, p *route.Plan){
		"a run is missing":            func(_ *route.Day, p *route.Plan) { p.Runs = p.Runs[:1] },
		"a part is short":             func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Parts[0].Volume-- },
		"a load is short":             func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Volume-- },
		"more goes in":                func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Put++ },
		"the heel is mixed twice":     func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Loads[0].Put += 5 },
		"extra without a need":        func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Loads[0].Extra = 3 },
		"the least is not made":       func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Loads[0].Extra = 0 },
		"a tank too small":            func(d *route.Day, _ *route.Plan) { d.Shifts[0].Tanks[0].Usable = 99 },
		"too heavy":                   func(d *route.Day, _ *route.Plan) { d.Shifts[0].Payload = 41 * unit.Kilogram },
		"a mix not allowed":           func(d *route.Day, _ *route.Plan) { d.Shifts[1].Tanks[1].Mixes = []int{1} },
		"not rinsed":                  func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Rinsed = nil },
		"a rinse forbidden":           func(d *route.Day, _ *route.Plan) { d.Rinse[0][1].Never = true },
		"a rinse too short":           func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Rinsed[0].Time = 1 },
		"a rinse loses something":     func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Rinsed[0].Lost = 1 },
		"a rinse of no such tank":     func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Rinsed[0].Tank = 7 },
		"a load in no such tank":      func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Tank = 3 },
		"a part at no such stop":      func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Parts[0].Stop = 99 },
		"a part of no such pass":      func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Parts[0].To = 9 },
		"the wrong first pass":        func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Loads[0].Parts[0].From = 1 },
		"whole too early":             func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Loads[0].Parts[0].Whole = true },
		"a wrong place within a pass": func(_ *route.Day, p *route.Plan) { leg(p, 1, 0).Loads[0].Parts[0].IntoLast++ },
		"parts in the wrong order": func(_ *route.Day, p *route.Plan) {
			a, b := leg(p, 0, 0), leg(p, 0, 1)
			a.Loads[0].Parts[0], b.Loads[0].Parts[0] = b.Loads[0].Parts[0], a.Loads[0].Parts[0]
		},
		"a visit with another volume": func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Visits[0].Volume-- },
		"a visit to no such stop":     func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Visits[0].Stop = -1 },
		"visits in another order":     func(_ *route.Day, p *route.Plan) { v := leg(p, 0, 0).Visits; v[0], v[1] = v[1], v[0] },
		"a drive too short":           func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Visits[1].DriveTo-- },
		"an arrival of another time":  func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Visits[1].Arrive -= 50 },
		"an arrival to fill":          func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Arrive -= 50 },
		"begun early":                 func(_ *route.Day, p *route.Plan) { leg(p, 0, 2).Visits[0].Begin -= 60 },
		"done early":                  func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Visits[0].Done -= 20 },
		"no number":                   func(_ *route.Day, p *route.Plan) { leg(p, 0, 0).Visits[0].Done = unit.Time(math.NaN()) },
		"again untold":                func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Visits[0].Again = false },
		"joined untold":               func(_ *route.Day, p *route.Plan) { leg(p, 1, 0).Visits[1].Joined = false },
		"lateness untold":             func(_ *route.Day, p *route.Plan) { p.Runs[0].Lates = nil },
		"late told without":           func(_ *route.Day, p *route.Plan) { p.Runs[0].Lates = append(p.Runs[0].Lates, 2) },
		"shut untold":                 func(d *route.Day, _ *route.Plan) { d.Fills[1].Close = 8 * unit.Hour },
		"shut told without":           func(_ *route.Day, p *route.Plan) { p.Runs[0].Shut = []int{0} },
		"filling before it opens":     func(d *route.Day, _ *route.Plan) { d.Fills[1].Open = 8.02 * unit.Hour },
		"filling too quick":           func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).End -= 10 },
		"a fill point of others":      func(d *route.Day, _ *route.Plan) { d.Fills[1].Shifts = []int{1} },
		"no such fill point":          func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Fill = 4 },
		"no fill in mid-day":          func(_ *route.Day, p *route.Plan) { leg(p, 0, 1).Fill = route.NoFill },
		"a stop of another shift":     func(d *route.Day, _ *route.Plan) { d.Stops[3].Shifts = []int{0} },
		"ranks":                       func(d *route.Day, _ *route.Plan) { d.Stops[0].Rank = 2 },
		"too many legs":               func(d *route.Day, _ *route.Plan) { d.Shifts[0].Legs = 2 },
		"a whole stop split":          func(d *route.Day, _ *route.Plan) { d.Stops[0].Whole, d.Shifts[0].Payload = true, 0 },
		"no lunch":                    func(_ *route.Day, p *route.Plan) { p.Runs[0].Lunch = nil },
		"lunch too short":             func(_ *route.Day, p *route.Plan) { p.Runs[0].Lunch.Until -= 60 },
		"lunch too early":             func(_ *route.Day, p *route.Plan) { p.Runs[0].Lunch.At -= 3600; p.Runs[0].Lunch.Until -= 3600 },
		"lunch elsewhere":             func(_ *route.Day, p *route.Plan) { p.Runs[0].Lunch.Leg = 1 },
		"a late lunch untold":         func(d *route.Day, _ *route.Plan) { d.Shifts[0].Lunch.Until = 8.51 * unit.Hour },
		"a late lunch told without":   func(_ *route.Day, p *route.Plan) { p.Runs[0].LunchLate, p.LunchLate = 5, 5 },
		"the way home":                func(_ *route.Day, p *route.Plan) { p.Runs[0].Home -= 100 },
		"finished early":              func(_ *route.Day, p *route.Plan) { p.Runs[0].Finish -= 100 },
		"overtime untold":             func(d *route.Day, _ *route.Plan) { d.Shifts[0].Until = 9 * unit.Hour },
		"a hard end untold":           func(d *route.Day, _ *route.Plan) { d.Shifts[0].Until, d.Shifts[0].Hard = 9*unit.Hour, true },
		"left over untold":            func(_ *route.Day, p *route.Plan) { p.Runs[0].Leftover, p.Leftover = 0, 0 },
		"a sum of left over":          func(_ *route.Day, p *route.Plan) { p.Leftover = 0 },
		"a sum of driving":            func(_ *route.Day, p *route.Plan) { p.Drive-- },
		"a sum of waiting":            func(_ *route.Day, p *route.Plan) { p.Wait-- },
		"a sum of lateness":           func(_ *route.Day, p *route.Plan) { p.Late-- },
		"splits":                      func(_ *route.Day, p *route.Plan) { p.Splits = 0 },
		"loads":                       func(_ *route.Day, p *route.Plan) { p.Loads-- },
		"left out untold":             func(_ *route.Day, p *route.Plan) { p.Left = nil },
		"left out told without":       func(_ *route.Day, p *route.Plan) { p.Left = []int{3, 5} },
		"left out told twice":         func(_ *route.Day, p *route.Plan) { p.Left = []int{5, 5} },
	}
	for name, plant := range faults {
		d, draft := plantDay()
		p, err := d.Clock(draft)
		if err != nil {
			t.Fatal(err)
		}
		func() {
			defer func() {
				if x := recover(); x != nil {
					t.Errorf("%s: panic %v", name, x)
				}
			}()
			plant(d, p)
			if len(Check(d, p)) == 0 {
				t.Errorf("%s: not found", name)
			}
		}()
	}
	t.Logf("%d faults", len(faults))
}
