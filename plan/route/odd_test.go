package route_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/routetest"
)

// Shares by hand.
func TestShareByHand(t *testing.T) {
	for _, x := range []struct {
		name string
		need route.Ticks
		of   []route.Vessel
		want []route.Ticks // nil: they do not hold it
	}{
		{"one tank", 60, []route.Vessel{{Most: 100}}, []route.Ticks{60}},
		{"just full", 100, []route.Vessel{{Most: 100}}, []route.Ticks{100}},
		{"one too many", 101, []route.Vessel{{Most: 100}}, nil},
		{"two, the first full", 150, []route.Vessel{{Most: 100}, {Most: 100}}, []route.Ticks{100, 50}},
		{"as few as hold it: the second alone", 80, []route.Vessel{{Most: 50}, {Most: 100}}, []route.Ticks{0, 80}},
		{"the first leaves the second its least", 110, []route.Vessel{{Most: 100}, {Most: 100, Least: 40}}, []route.Ticks{70, 40}},
		{"below every least: one tank, short", 10, []route.Vessel{{Most: 100, Least: 40}, {Most: 100, Least: 40}}, []route.Ticks{10, 0}},
		{"the least of the second is less", 30, []route.Vessel{{Most: 100, Least: 40}, {Most: 100, Least: 20}}, []route.Ticks{0, 30}},
		{"nothing to give", 0, []route.Vessel{{Most: 100}}, nil},
		{"no tank", 10, nil, nil},
	} {
		got, ok := route.Share(x.need, x.of)
		if ok != (x.want != nil) || ok && !slices.Equal(got, x.want) {
			t.Errorf("%s: %v %v, want %v", x.name, got, ok, x.want)
		}
	}
}

// A day with one figure or index out of range is refused by Check, by a plain error.
func TestOddDaysAreRefused(t *testing.T) {
	nan, inf := unit.Time(math.NaN()), unit.Time(math.Inf(1))
	for name, spoil := range map[string]func(d *route.Day){
		"drive NaN":          func(d *route.Day) { d.Drive[0][1] = nan },
		"drive without end":  func(d *route.Day) { d.Drive[1][0] = inf },
		"drive below zero":   func(d *route.Day) { d.Drive[1][0] = -1 },
		"drives missing":     func(d *route.Day) { d.Drive[1] = nil },
		"no drives":          func(d *route.Day) { d.Drive = nil },
		"place of a stop":    func(d *route.Day) { d.Stops[0].Place = 99 },
		"place below zero":   func(d *route.Day) { d.Stops[0].Place = -1 },
		"start":              func(d *route.Day) { d.Shifts[0].Start = 99 },
		"end":                func(d *route.Day) { d.Shifts[0].End = -1 },
		"place of a fill":    func(d *route.Day) { d.Fills[0].Place = 99 },
		"shift of a fill":    func(d *route.Day) { d.Fills[0].Shifts = []int{9} },
		"shift of a stop":    func(d *route.Day) { d.Stops[0].Shifts = []int{-1} },
		"mix of a stop":      func(d *route.Day) { d.Stops[0].Mix = 9 },
		"mix below none":     func(d *route.Day) { d.Stops[0].Mix = -2 },
		"mix of a tank":      func(d *route.Day) { d.Shifts[0].Tanks[0].Mixes = []int{9} },
		"mix held":           func(d *route.Day) { d.Shifts[0].Tanks[0].Held = &route.Held{Mix: 9, Left: 1} },
		"held below zero":    func(d *route.Day) { d.Shifts[0].Tanks[0].Held = &route.Held{Left: -1} },
		"held over the tank": func(d *route.Day) { d.Shifts[0].Tanks[0].Held = &route.Held{Left: d.Shifts[0].Tanks[0].Usable + 1} },
		"heel":               func(d *route.Day) { d.Shifts[0].Tanks[0].Heel = -1 },
		"mark":               func(d *route.Day) { d.Shifts[0].Tanks[0].Mark = -5 },
		"payload":            func(d *route.Day) { d.Shifts[0].Payload = unit.Mass(math.NaN()) },
		"pass below zero":    func(d *route.Day) { d.Stops[0].Passes[0] = -5 },
		"no passes":          func(d *route.Day) { d.Stops[0].Passes, d.Stops[0].Back = nil, nil },
		"passes over int":    func(d *route.Day) { d.Stops[0].Passes = []route.Ticks{math.MaxInt, math.MaxInt} },
		"ways back":          func(d *route.Day) { d.Stops[0].Back = []unit.Time{1, 2, 3, 4, 5, 6, 7, 8, 9} },
		"work":               func(d *route.Day) { d.Stops[0].Work = nan },
		"window":             func(d *route.Day) { d.Stops[0].From = inf },
		"hook-up":            func(d *route.Day) { d.Fills[0].HookUp = -1 },
		"lunch":              func(d *route.Day) { d.Shifts[0].Lunch.Length = -1 },
		"rinses missing":     func(d *route.Day) { d.Rinse = [][]route.Rinse{{}} },
		"weight of a mix":    func(d *route.Day) { d.Mixes[0].PerTick = -1 },
		"no stops":           func(d *route.Day) { d.Stops = nil },
		"no shifts":          func(d *route.Day) { d.Shifts = nil },
	} {
		d := routetest.Random(1, routetest.Kind{Stops: 4, Shifts: 1})
		if err := d.Check(); err != nil {
			t.Fatal(err)
		}
		spoil(d)
		if d.Check() == nil {
			t.Errorf("%s: not refused", name)
		}
	}
}

// Any draft, however wrong, of a day that is one gives an error or a plan that holds.
func TestAnyDraftIsRefusedOrHolds(t *testing.T) {
	held := 0
	for seed := range uint64(20_000) {
		d := routetest.Random(seed, routetest.Kind{Stops: 3, Shifts: 2, Windows: seed%2 == 0, Odd: seed%3 == 0})
		if d.Check() != nil {
			continue
		}
		draft := anyDraft(rand.New(rand.NewPCG(seed, 1)), d)
		func() {
			defer func() {
				if x := recover(); x != nil {
					t.Errorf("day %d, draft %v: panic %v", seed, draft, x)
				}
			}()
			p, err := d.Clock(draft)
			if err != nil {
				return
			}
			held++
			for _, e := range routetest.Check(d, p) {
				t.Errorf("day %d, draft %v: %v", seed, draft, e)
			}
		}()
		if t.Failed() {
			return
		}
	}
	if held < 100 {
		t.Errorf("only %d drafts can be done", held)
	}
	t.Logf("%d drafts can be done", held)
}

// anyDraft is mostly nearly right: each index is sometimes one that is not there, each volume sometimes another.
func anyDraft(r *rand.Rand, d *route.Day) route.Draft {
	wrong := func(n int) bool { return r.IntN(n) == 0 }
	draft := make(route.Draft, len(d.Shifts))
	for i := range d.Stops {
		st, s := &d.Stops[i], r.IntN(len(d.Shifts))
		t := route.Trip{Fill: r.IntN(len(d.Fills)), Takes: []route.Take{{Stop: i, Volume: st.Need()}}}
		for range d.Shifts[s].Tanks {
			m := st.Mix
			if wrong(20) {
				m = r.IntN(5) - 2
			}
			t.Mixes = append(t.Mixes, m)
		}
		if wrong(20) {
			t.Fill = r.IntN(5) - 2
		}
		if wrong(30) {
			t.Takes[0].Stop = r.IntN(9) - 2
		}
		if wrong(10) {
			t.Takes[0].Volume = route.Ticks(r.IntN(300) - 50)
		}
		if k := len(draft[s]); k > 0 && wrong(3) {
			draft[s][k-1].Takes = append(draft[s][k-1].Takes, t.Takes...)
			continue
		}
		draft[s] = append(draft[s], t)
	}
	return draft
}

// Ranks are any numbers: only their order counts.
func TestRanksBelowFirst(t *testing.T) {
	d := routetest.Random(1, routetest.Kind{Stops: 4, Shifts: 1})
	d.Stops = d.Stops[:1]
	d.Stops[0].Mix, d.Stops[0].Passes, d.Stops[0].Back, d.Stops[0].Rank = route.NoMix, nil, nil, -2
	none := make([]int, len(d.Shifts[0].Tanks))
	for i := range none {
		none[i] = route.NoMix
	}
	if _, err := d.Clock(route.Draft{{{Fill: route.NoFill, Mixes: none, Takes: []route.Take{{Stop: 0}}}}}); err != nil {
		t.Error(err)
	}
}
