// Package bound says what no plan of a day can go below: a time of driving, filling, rinsing and work, and a number of tankfuls.
//
// It knows the least filling, the least rinsing and a bound on driving: a tour through all stops and the fewest fill visits (Held and Karp). Every bound holds for every order, every split, every fill point and
// every sharing of the stops among shifts; windows, hours and lunch are ignored, which can only lower it.
package bound

import (
	"fmt"
	"math"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Bound is what no plan for the same stops can go below.
type Bound struct {
	// Time is of driving, filling, rinsing and work; Loads of tankfuls.
	Time  unit.Time
	Loads int
	// Unsplit is the time that no plan can go below that does each stop in one go.
	Unsplit unit.Time
	// Weighed is what no such plan's route.Plan.Weighed can go below. It is Time where the day's weights ask for no more than the minutes.
	Weighed unit.Time
}

// Of is the bound for all plans that do all stops of a day but those left out. It is zero for a day that is none.
// A plan breaks stops off only where it may: at the ends of passes, of one that is Whole not at all unless it needs more than the tanks hold.
func Of(d *route.Day, left []int) Bound {
	if d.Check() != nil {
		return Bound{}
	}
	b := bounder{d: d, out: make([]bool, len(d.Stops))}
	for _, i := range left {
		b.out[i] = true
	}
	out := b.least()
	out.Weighed = out.Time
	if d.Weighed() {
		out.Weighed = b.weighed(out)
	}
	return out
}

// least is the bound on the minutes of the day as it stands, and on its loads.
func (b *bounder) least() Bound {
	d := b.d
	work := unit.Time(0)
	sites := map[int]bool{}
	for i := range d.Stops {
		if b.out[i] {
			continue
		}
		st := &d.Stops[i]
		work += st.Work
		if !sites[st.Site] { // stops of one property may share their set-up
			sites[st.Site] = true
			work += b.leastSetUp(st.Site)
		}
	}
	visits, ticks, loads := b.leastFill()
	hooks, fill := unit.Time(0), unit.Time(0)
	if visits > 0 {
		hook, tick := b.quickest()
		hooks, fill = unit.Time(visits)*hook, unit.Time(ticks)*tick
	}
	rest := work + fill + b.leastRinse()
	unsplit, any := b.exact()
	out := Bound{Time: rest + max(b.drive(0)+hooks, b.drive(min(visits, mostVisits))+hooks, b.loads(), any), Loads: loads}
	out.Unsplit = max(out.Time, rest+unsplit)
	return out
}

// Say puts a plan beside its bound, for who works by it.
func (b Bound) Say(p *route.Plan) string {
	is := p.Minutes()
	stops := "these stops"
	if n := len(p.Left); n > 0 {
		stops = "the stops that are done"
	}
	s := fmt.Sprintf("No plan for %s can take less than %s of driving, filling and work (proved); this one takes %s", stops, unit.Minutes(b.Time), unit.Minutes(is))
	s += ": " + Above(is, b.Time)
	if p.Splits == 0 && over(is, b.Time) >= nothing && over(is, b.Unsplit) < nothing {
		s += ", and the best of all that do each stop in one go"
	}
	s += "."
	switch {
	case b.Loads < 2:
	case p.Loads == b.Loads:
		s += fmt.Sprintf(" Fewer than %d tankfuls are not possible.", b.Loads)
	default:
		s += fmt.Sprintf(" It fills %d tankfuls, and fewer than %d are not possible.", p.Loads, b.Loads)
	}
	return s
}

// SayWeighed puts what a plan weighs beside its bound.
func SayWeighed(is, least unit.Time) string {
	return fmt.Sprintf("With your weights no plan can come to less than %s (proved); this one comes to %s: %s.", unit.Minutes(least), unit.Minutes(is), Above(is, least))
}

// Above says how far a plan that takes a time may be above the best possible, when none can take less than another.
func Above(is, least unit.Time) string {
	if x := over(is, least); x >= nothing {
		return fmt.Sprintf("at most %s %% above the best possible", unit.Number(math.Ceil(x*1000-1e-9)/10, 1)) // tenths of a per cent, rounded up
	}
	return "none is better"
}

// nothing is a share of the time that is told as none.
const nothing = 5e-4

// over is the share by which a time is over another.
func over(is, least unit.Time) float64 { return float64(is-least) / math.Max(float64(least), 1) }

// bounder holds a day and which of its stops are not counted.
type bounder struct {
	d   *route.Day
	out []bool
	// split is what each further trip of a stop costs beside what the stop has for it.
	split float64
	// bare is the same without that, nil where there is none.
	bare *bounder
}

func (b *bounder) leastSetUp(site int) unit.Time {
	least := unit.Time(math.Inf(1))
	for i := range b.d.Stops {
		if st := &b.d.Stops[i]; st.Site == site && !b.out[i] {
			least = min(least, st.SetUp)
		}
	}
	return least
}

// need is what the stops that count take of a mix.
func (b *bounder) need(m int) route.Ticks {
	n := route.Ticks(0)
	for i := range b.d.Stops {
		if b.d.Stops[i].Mix == m && !b.out[i] {
			n += b.d.Stops[i].Need()
		}
	}
	return n
}

// hold is the most of a mix that one trip of any shift can spray; tank the most that one tank can.
func (b *bounder) hold(m int) (hold, tank route.Ticks) {
	for s := range b.d.Shifts {
		sum := route.Ticks(0)
		for t := range b.d.Shifts[s].Tanks {
			if k := &b.d.Shifts[s].Tanks[t]; k.MayHold(m) {
				sum += k.Room()
				tank = max(tank, k.Room())
			}
		}
		hold = max(hold, sum)
	}
	return hold, tank
}

// held is what all tanks hold of a mix at the start.
func (b *bounder) held(m int) (n route.Ticks, tanks int) {
	for s := range b.d.Shifts {
		for t := range b.d.Shifts[s].Tanks {
			if h := b.d.Shifts[s].Tanks[t].Held; h != nil && h.Mix == m {
				n += h.Left
				tanks++
			}
		}
	}
	return n, tanks
}

// leastFill is how many fill visits there must be, how many ticks must be taken on, and how many tankfuls: a visit fills a mix by no more
// than all tanks of one truck hold of it, a tankful by no more than one tank (routing notes P1: with loads of at most U, no fewer than
// D/U). What tanks hold at the start needs no filling; a mix that none holds brings the smallest heel of a tank that may carry it.
func (b *bounder) leastFill() (visits int, ticks route.Ticks, loads int) {
	for m := range b.d.Mixes {
		need := b.need(m)
		if need == 0 {
			continue
		}
		held, tanks := b.held(m)
		hold, tank := b.hold(m)
		fresh := max(0, need-held)
		loads += int((fresh+tank-1)/tank) + min(tanks, 1)*boolInt(fresh == 0)
		if fresh == 0 {
			continue
		}
		visits = max(visits, int((fresh+hold-1)/hold))
		ticks += fresh
		if tanks == 0 {
			ticks += b.leastHeel(m)
		}
	}
	return visits, ticks, loads
}

func boolInt(x bool) int {
	if x {
		return 1
	}
	return 0
}

func (b *bounder) leastHeel(m int) route.Ticks {
	least := route.Ticks(math.MaxInt)
	for s := range b.d.Shifts {
		for t := range b.d.Shifts[s].Tanks {
			if k := &b.d.Shifts[s].Tanks[t]; k.MayHold(m) {
				least = min(least, k.Heel)
			}
		}
	}
	return least
}

// quickest is the least hook-up and the strongest flow of any fill point.
func (b *bounder) quickest() (hook, tick unit.Time) {
	hook, tick = unit.Time(math.Inf(1)), unit.Time(math.Inf(1))
	for _, f := range b.d.Fills {
		hook, tick = min(hook, f.HookUp), min(tick, f.PerTick)
	}
	return hook, tick
}

// closure is the shortest driving times when detours over other places are allowed.
func closure(drive [][]unit.Time) [][]float64 {
	t := make([][]float64, len(drive))
	for i := range t {
		t[i] = make([]float64, len(drive))
		for j := range t[i] {
			t[i][j] = float64(drive[i][j])
		}
	}
	for k := range t {
		for i := range t {
			for j := range t {
				t[i][j] = min(t[i][j], t[i][k]+t[k][j])
			}
		}
	}
	return t
}

// stopPlaces are the places of the stops that count, each once.
func (b *bounder) stopPlaces() []int {
	var out []int
	for i := range b.d.Stops {
		if p := b.d.Stops[i].Place; !b.out[i] && !slices.Contains(out, p) {
			out = append(out, p)
		}
	}
	return out
}

// mostVisits is how many fill visits are put on the tour at the most: fewer leave it a bound.
const mostVisits = 200
