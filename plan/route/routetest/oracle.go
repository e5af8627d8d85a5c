package routetest

import (
	"math"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Oracle is the least cost of any plan that does all stops of a day of one shift, by trying everything: from every state that a trip can end in (passes done
// at each stop, place, contents of the tanks), every trip that can come next, stop by stop and pass end by pass end. Parts of a stop are on trips of their own, which need not follow each other. It
// gives false for a day that it does not cover: with several shifts, hours, windows, lunch, tanks that hold something or are filled to marks, whole containers,
// passes over a tank, joined stops, or so many states that it would take too long; and where no plan does all.
func Oracle(d *route.Day) (unit.Time, bool) {
	o := oracle{d: d}
	if !o.covers() {
		return 0, false
	}
	return o.solve()
}

type oracle struct {
	d      *route.Day
	sh     *route.Shift
	radix  []int // places for refills at each stop, and one: ends[i]
	ends   [][]route.Ticks
	states int
	uses   [][]int
}

const mostStates = 3000

func (o *oracle) covers() bool {
	d := o.d
	if len(d.Shifts) != 1 || d.Check() != nil {
		return false
	}
	o.sh = &d.Shifts[0]
	if o.sh.Lunch.Length > 0 || o.sh.Until > 0 || o.sh.Legs > 0 || len(o.sh.Tanks) > 2 {
		return false
	}
	for _, f := range d.Fills {
		if f.Open > 0 || f.Close > 0 || f.Shifts != nil {
			return false
		}
	}
	for _, m := range d.Mixes {
		if m.Whole > 0 {
			return false
		}
	}
	for _, t := range o.sh.Tanks {
		if t.Held != nil || t.Mark > 0 {
			return false
		}
	}
	o.states = 1
	for i := range d.Stops {
		st := &d.Stops[i]
		if st.From > 0 || st.Until > 0 || st.Mix == route.NoMix || st.Rank != 0 || st.Site != i || st.Shifts != nil {
			return false
		}
		ends, at := []route.Ticks{0}, route.Ticks(0)
		for k, p := range st.Passes {
			if at += p; !st.Whole || k == len(st.Passes)-1 {
				ends = append(ends, at)
			}
		}
		for k := 1; k < len(ends); k++ {
			if ends[k]-ends[k-1] > o.room(st.Mix) {
				return false
			}
		}
		o.ends, o.radix = append(o.ends, ends), append(o.radix, len(ends))
		o.states *= len(ends)
		if o.states > mostStates {
			return false
		}
	}
	o.ways(nil)
	return true
}

// room is what one trip can hold of a mix.
func (o *oracle) room(m int) route.Ticks {
	sum := route.Ticks(0)
	heel := unit.Mass(0)
	for _, t := range o.sh.Tanks {
		if route.Allows(t.Mixes, m) {
			sum += t.Usable
			heel += o.d.Mixes[m].PerTick * unit.Mass(t.Heel)
		}
	}
	if o.sh.Payload > 0 {
		sum = min(sum, route.Ticks((o.sh.Payload-heel)/o.d.Mixes[m].PerTick))
	}
	return sum
}

// ways lists what tanks may carry on a trip: a mix each, or nothing.
func (o *oracle) ways(u []int) {
	if len(u) == len(o.sh.Tanks) {
		o.uses = append(o.uses, append([]int(nil), u...))
		return
	}
	o.ways(append(u, route.NoMix))
	for m := range o.d.Mixes {
		if route.Allows(o.sh.Tanks[len(u)].Mixes, m) && o.sh.Tanks[len(u)].Usable > 0 {
			o.ways(append(u, m))
		}
	}
}

func (o *oracle) code(tanks []int) int {
	n := 0
	for _, m := range tanks {
		n = n*(len(o.d.Mixes)+1) + m + 1
	}
	return n
}

func (o *oracle) decode(n int) []int {
	out := make([]int, len(o.sh.Tanks))
	for i := len(out) - 1; i >= 0; i-- {
		out[i] = n%(len(o.d.Mixes)+1) - 1
		n /= len(o.d.Mixes) + 1
	}
	return out
}

func (o *oracle) digits(state int) []int {
	out := make([]int, len(o.radix))
	for i, r := range o.radix {
		out[i] = state % r
		state /= r
	}
	return out
}

// solve goes through the states in the order of their numbers: a trip leads to a larger one.
func (o *oracle) solve() (unit.Time, bool) {
	contents := 1
	for range o.sh.Tanks {
		contents *= len(o.d.Mixes) + 1
	}
	n := len(o.d.Stops)
	best := make([]float64, o.states*(n+1)*contents) // last stop n: none
	for i := range best {
		best[i] = math.Inf(1)
	}
	clean := make([]int, len(o.sh.Tanks))
	for i := range clean {
		clean[i] = route.NoMix
	}
	best[n*contents+o.code(clean)] = 0
	for state := range o.states - 1 {
		for last := range n + 1 {
			for c := range contents {
				if cost := best[(state*(n+1)+last)*contents+c]; !math.IsInf(cost, 1) {
					o.leave(best, contents, state, last, c, cost)
				}
			}
		}
	}
	least := math.Inf(1)
	for last := range n {
		for c := range contents {
			home := o.way(o.d.Stops[last].Place, o.sh.End)
			least = min(least, best[((o.states-1)*(n+1)+last)*contents+c]+float64(home))
		}
	}
	return unit.Time(least), !math.IsInf(least, 1)
}

// leave tries every trip out of a state: within it the cheapest way to every progress and last stop.
func (o *oracle) leave(best []float64, contents, state, last, c int, cost float64) {
	n := len(o.d.Stops)
	from := o.digits(state)
	start := o.sh.Start
	if last < n {
		start = o.d.Stops[last].Place
	}
	for f := range o.d.Fills {
		trip := make([]float64, (o.states-state)*n)
		for i := range trip {
			trip[i] = math.Inf(1)
		}
		o.extend(trip, state, state, from, start, f, -1, cost)
		for s := state + 1; s < o.states; s++ {
			if !o.above(from, s) {
				continue
			}
			for i := range n {
				at := trip[(s-state)*n+i]
				if math.IsInf(at, 1) {
					continue
				}
				o.end(best, contents, from, s, i, c, f, at)
				o.extend(trip, state, s, from, 0, f, i, at)
			}
		}
	}
}

func (o *oracle) above(from []int, s int) bool {
	for i, k := range o.digits(s) {
		if k < from[i] {
			return false
		}
	}
	return true
}

// extend goes on from stop i, none for the fill point, to every stop and pass end; trips that no tanks hold are ended by end.
func (o *oracle) extend(trip []float64, base, s int, from []int, start, f, i int, cost float64) {
	n := len(o.d.Stops)
	now := o.digits(s)
	step := 1
	for j := range n {
		st := &o.d.Stops[j]
		for k := now[j] + 1; k < o.radix[j] && now[j] == from[j]; k++ { // a stop is visited once on a leg
			a, b := o.ends[j][now[j]], o.ends[j][k]
			way := o.way(o.d.Fills[f].Place, st.Place)
			if i < 0 {
				way += o.way(start, o.d.Fills[f].Place)
			} else {
				way = o.way(o.d.Stops[i].Place, st.Place)
			}
			need := o.ends[j][o.radix[j]-1]
			work := st.SetUp + st.Work*unit.Time(b-a)/unit.Time(need)
			if b < need && st.Back != nil {
				sum := route.Ticks(0)
				for q, p := range st.Passes {
					if sum += p; sum >= b {
						work += st.Back[q]
						break
					}
				}
			}
			to := (s + (k-now[j])*step - base) * n
			trip[to+j] = min(trip[to+j], cost+float64(way+work))
		}
		step *= o.radix[j]
	}
}

// way is what a drive costs.
func (o *oracle) way(from, to int) unit.Time {
	if o.d.Toll != nil {
		return o.d.Drive[from][to] + o.d.Toll[from][to]
	}
	return o.d.Drive[from][to]
}

// end fills the tanks for a trip in every way that holds it.
func (o *oracle) end(best []float64, contents int, from []int, s, i, c, f int, cost float64) {
	n := len(o.d.Stops)
	to := o.digits(s)
	need := make([]route.Ticks, len(o.d.Mixes))
	splits := 0
	for j := range to {
		if to[j] > from[j] {
			need[o.d.Stops[j].Mix] += o.ends[j][to[j]] - o.ends[j][from[j]]
			if from[j] > 0 {
				splits++
			}
		}
	}
	was := o.decode(c)
	for _, u := range o.uses {
		fill, ok := o.fill(need, was, u, f)
		if !ok {
			continue
		}
		after := append([]int(nil), was...)
		for t, m := range u {
			if m != route.NoMix {
				after[t] = m
			}
		}
		at := (s*(n+1)+i)*contents + o.code(after)
		best[at] = min(best[at], cost+fill+float64(splits)*float64(o.d.Weights.Split))
	}
}

// fill is the cost of filling what is needed into the tanks of a use, every one of which takes something.
func (o *oracle) fill(need []route.Ticks, was, u []int, f int) (float64, bool) {
	w := &o.d.Weights
	cost, put := o.d.Fills[f].HookUp, route.Ticks(0)
	mass, loads, extra := unit.Mass(0), 0, route.Ticks(0)
	for m, q := range need {
		tanks, room, least := 0, route.Ticks(0), route.Ticks(0)
		for t, k := range u {
			if k == m {
				tanks++
				room += o.sh.Tanks[t].Usable
				least += max(o.sh.Tanks[t].Least, 1)
			}
		}
		if q > room || q < route.Ticks(tanks) || q == 0 && tanks > 0 {
			return 0, false
		}
		short := max(0, least-q)
		if tanks == 1 && least == 1 {
			short = 0
		}
		loads, extra, put = loads+tanks, extra+short, put+q+short
		mass += o.d.Mixes[m].PerTick * unit.Mass(q+short)
	}
	for t, m := range u {
		now := was[t]
		switch {
		case m == route.NoMix:
		case now == m:
			now = m
		case now == route.NoMix:
			put += o.sh.Tanks[t].Heel
			now = m
		case o.d.Rinse == nil || o.d.Rinse[now][m].Never:
			return 0, false
		default:
			cost += o.d.Rinse[now][m].Time
			put += o.sh.Tanks[t].Heel
			now = m
		}
		if now != route.NoMix {
			mass += o.d.Mixes[now].PerTick * unit.Mass(o.sh.Tanks[t].Heel)
		}
	}
	if o.sh.Payload > 0 && mass > o.sh.Payload*(1+1e-12) {
		return 0, false
	}
	cost += o.d.Fills[f].PerTick * unit.Time(put)
	return float64(cost) + float64(w.Leftover)*float64(extra) + float64(w.Load)*float64(loads), true
}
