package bound

import (
	"math"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// loads is a bound on driving and hook-ups by trips, less the set-ups that Of counts already: q-routes with prices on the stops (Christofides, Mingozzi and
// Toth, Exact algorithms for the vehicle routing problem, based on spanning tree and shortest path relaxations, Mathematical
// Programming 20, 1981; from memory).
//
// Every plan is a set of trips, each from a fill point (or, out of what tanks hold, from where a shift starts) through
// stops to a fill point or where a shift ends. A trip sprays no more than one truck's tanks hold. The bound is on the
// cheapest set of such trips that sprays all, each way in and out being the quickest there is, ways between stops as in the closure of
// the driving times, volumes rounded down to the units of a trip, and a trip free to come back to a stop, though not by way of one stop only.
// A stop that may be broken off is on any number of trips, for a stretch of whole passes on each, where it pays its set-up and the way back.
// Stops that may be broken off inside a pass are left out of it, which lowers it only. Where every truck has one tank, a trip carries one mix, and each mix has its trips.
func (b *bounder) loads() unit.Time {
	groups := [][]int{nil}
	for m := range b.d.Mixes {
		groups[0] = append(groups[0], m)
	}
	if b.oneTank() {
		groups = nil
		for m := range b.d.Mixes {
			groups = append(groups, []int{m})
		}
	}
	sum := 0.0
	t := closure(b.d.Drive)
	any := false
	for _, mixes := range groups {
		if n := b.newNet(mixes, t); n != nil {
			any = true
			sum += n.ascend() - n.set
		}
	}
	if any && !b.holds() {
		sum += b.toFill(t)
	}
	return unit.Time(max(sum, 0))
}

func (b *bounder) oneTank() bool {
	for s := range b.d.Shifts {
		if len(b.d.Shifts[s].Tanks) > 1 {
			return false
		}
	}
	return true
}

// holds reports whether some tank has mix in it at the start, so that a trip may begin without a fill.
func (b *bounder) holds() bool {
	for m := range b.d.Mixes {
		if n, _ := b.held(m); n > 0 {
			return true
		}
	}
	return false
}

// toFill is the quickest way from where a shift starts to a fill point: a shift that fills drives there before its first trip.
func (b *bounder) toFill(t [][]float64) float64 {
	least := math.Inf(1)
	for s := range b.d.Shifts {
		for _, f := range b.d.Fills {
			least = min(least, t[b.d.Shifts[s].Start][f.Place])
		}
	}
	return least
}

// part is what a trip may do at a stop: units of volume, rounded down, the share of the stop's need that this is, and what it costs beside driving.
type part struct {
	units int
	share float64
	cost  float64
}

// net is the stops of some mixes as nodes, with what a trip between them costs in seconds.
type net struct {
	units   int         // that a trip may spray
	exact   bool        // units are not rounded
	weight  []float64   // of each stop in units, not rounded
	asked   []float64   // of it, what parts of a unit and more spray at the least
	parts   [][]part    // of each stop
	set     float64     // set-ups in parts that Of counts already
	out, in []float64   // to the stop at the start of a trip, with the hook-up; from it at the end
	way     [][]float64 // from stop to stop
	least   int         // trips
	most    int         // trips, 0 for any number
}

// newNet makes the net of some mixes; nil when no stop of theirs counts in it.
func (b *bounder) newNet(mixes []int, t [][]float64) *net {
	v := b.volumes(mixes)
	if v == nil {
		return nil
	}
	n := &net{units: v.units, exact: v.exact}
	var at []int
	sites := map[int]int{}
	for i := range b.d.Stops {
		if !b.out[i] {
			sites[b.d.Stops[i].Site]++
		}
	}
	for _, i := range v.stops {
		st := &b.d.Stops[i]
		parts, asked := v.parts(b, i)
		if parts == nil {
			continue
		}
		if sites[st.Site] == 1 { // no other stop is there that might share the set-up
			n.set += float64(st.SetUp)
			for k := range parts {
				parts[k].cost += float64(st.SetUp)
			}
		}
		at = append(at, st.Place)
		_, weight := v.of(st.Need(), st.Mix)
		n.parts, n.weight, n.asked = append(n.parts, parts), append(n.weight, weight), append(n.asked, asked)
	}
	if len(at) == 0 {
		return nil
	}
	n.measure(b, at, t)
	sum, legs := 0.0, 0
	for _, w := range n.asked {
		sum += w
	}
	n.least = max(1, int(math.Ceil(sum/float64(n.units)-1e-6)))
	for s := range b.d.Shifts {
		if b.d.Shifts[s].Legs == 0 {
			legs = math.MinInt / 2
		}
		legs += b.d.Shifts[s].Legs
	}
	n.most = max(legs, 0)
	return n
}

// measure sets the ways of the net.
func (n *net) measure(b *bounder, at []int, t [][]float64) {
	dry := b.holds()
	for _, p := range at {
		out, in := math.Inf(1), math.Inf(1)
		for _, f := range b.d.Fills {
			out, in = min(out, t[f.Place][p]+float64(f.HookUp)), min(in, t[p][f.Place])
		}
		for s := range b.d.Shifts {
			in = min(in, t[p][b.d.Shifts[s].End])
			if dry {
				out = min(out, t[b.d.Shifts[s].Start][p])
			}
		}
		row := make([]float64, len(at))
		for j, q := range at {
			row[j] = t[p][q]
		}
		n.out, n.in, n.way = append(n.out, out), append(n.in, in), append(n.way, row)
	}
}

// volumes measures volumes of some mixes in units of what a trip sprays.
type volumes struct {
	units int
	exact bool
	one   route.Ticks // what a trip holds of the only mix, 0 for several mixes
	hold  []float64   // the most of each mix on a trip
	full  float64     // how many such holds a trip can have of all mixes together
	low   []float64   // the least hold of a shift that may carry the mix
	stops []int
}

// fewUnits are the units that a trip is counted in where ticks are many, mostUnits the most that are taken to have a unit for the smallest part.
const fewUnits, mostUnits = 100, 300

func (b *bounder) volumes(mixes []int) *volumes {
	v := &volumes{hold: make([]float64, len(b.d.Mixes)), low: make([]float64, len(b.d.Mixes))}
	in := make([]bool, len(b.d.Mixes))
	for _, m := range mixes {
		in[m] = b.need(m) > 0
		v.low[m] = math.Inf(1)
	}
	for s := range b.d.Shifts {
		b.holdOf(&b.d.Shifts[s], in, v)
	}
	for m := range in {
		in[m] = in[m] && v.hold[m] > 0
	}
	for s := range b.d.Shifts {
		v.full = max(v.full, b.fullOf(&b.d.Shifts[s], in, v.hold))
	}
	used := 0
	for m := range in {
		if in[m] {
			used++
			v.one = route.Ticks(v.hold[m])
		}
	}
	if used != 1 {
		v.one = 0
	}
	small := math.Inf(1)
	for i := range b.d.Stops {
		st := &b.d.Stops[i]
		if b.out[i] || st.Mix == route.NoMix || !in[st.Mix] || !b.breaks(i, v.low[st.Mix]).known {
			continue
		}
		v.stops = append(v.stops, i)
		small = min(small, float64(st.Need())/v.hold[st.Mix]/v.full)
	}
	if len(v.stops) == 0 || math.IsInf(small, 1) {
		return nil
	}
	v.units = min(max(fewUnits, int(math.Ceil(1/small))), mostUnits)
	if g := b.divisor(v); v.one > 0 && v.one/g <= mostUnits {
		v.units, v.exact = int(v.one/g), v.one%g == 0
	}
	return v
}

// divisor is the largest number of ticks that all passes of one mix are multiples of.
func (b *bounder) divisor(v *volumes) route.Ticks {
	g := v.one
	for _, i := range v.stops {
		for _, p := range b.d.Stops[i].Passes {
			for a := p; a != 0; {
				g, a = a, g%a
			}
		}
	}
	return max(g, 1)
}

// holdOf widens v by what a shift holds: no trip sprays more than its tanks' room, or its payload, or what they hold at the start.
func (b *bounder) holdOf(sh *route.Shift, in []bool, v *volumes) {
	heel, heaviest := route.Ticks(0), unit.Mass(0)
	for _, m := range b.d.Mixes {
		heaviest = max(heaviest, m.PerTick)
	}
	for t := range sh.Tanks {
		heel += sh.Tanks[t].Heel
	}
	for m := range in {
		if !in[m] {
			continue
		}
		room, left := route.Ticks(0), route.Ticks(0)
		for t := range sh.Tanks {
			if sh.Tanks[t].MayHold(m) {
				room += sh.Tanks[t].Room()
			}
			if h := sh.Tanks[t].Held; h != nil && h.Mix == m {
				left += h.Left
			}
		}
		high, low := float64(room), float64(room)
		if w := b.d.Mixes[m].PerTick; sh.Payload > 0 && w > 0 {
			high = min(high, math.Floor(float64(sh.Payload/w)*(1+1e-9)))
			low = min(low, float64((sh.Payload-unit.Mass(heel)*heaviest)/w)-1)
		}
		v.hold[m] = max(v.hold[m], high, float64(left))
		if room > 0 {
			v.low[m] = min(v.low[m], low)
		}
	}
}

// fullOf is how many holds of all mixes together a shift's tanks can have.
func (b *bounder) fullOf(sh *route.Shift, in []bool, hold []float64) float64 {
	tanks, mass := 0.0, 0.0
	for t := range sh.Tanks {
		k, most := &sh.Tanks[t], 0.0
		for m := range in {
			if in[m] && k.MayHold(m) {
				most = max(most, float64(k.Room())/hold[m])
			}
			if h := k.Held; h != nil && in[m] && h.Mix == m {
				most = max(most, float64(h.Left)/hold[m])
			}
		}
		tanks += most
	}
	for m := range in {
		switch {
		case !in[m]:
		case sh.Payload == 0 || b.d.Mixes[m].PerTick == 0 || b.holds():
			mass = math.Inf(1)
		default:
			mass = max(mass, float64(sh.Payload/b.d.Mixes[m].PerTick)/hold[m])
		}
	}
	return min(tanks, mass)
}

// breaking says where a stop may be broken off: at no place, or at the ends of passes, when that is known.
type breaking struct{ known, never bool }

func (b *bounder) breaks(i int, low float64) breaking {
	st := &b.d.Stops[i]
	if b.d.Mixes[st.Mix].Whole > 0 {
		return breaking{}
	}
	if st.Whole && float64(st.Need()) <= low {
		return breaking{known: true, never: true}
	}
	if n, _ := b.held(st.Mix); n > 0 {
		return breaking{}
	}
	for _, p := range st.Passes {
		if float64(p) > low {
			return breaking{}
		}
	}
	return breaking{known: true}
}

// of is so many ticks of a mix in units.
func (v *volumes) of(n route.Ticks, m int) (down int, is float64) {
	if v.one > 0 {
		return int(n * route.Ticks(v.units) / v.one), float64(n) * float64(v.units) / float64(v.one)
	}
	is = float64(n) / v.hold[m] / v.full * float64(v.units)
	return int(is - 1e-7), is
}

// parts are what trips may do at a stop: of each number of units the largest share and the least cost. Parts too small for a unit are not
// there; what they may spray at most is not asked of the others. nil when nothing is asked.
func (v *volumes) parts(b *bounder, i int) ([]part, float64) {
	st := &b.d.Stops[i]
	need := st.Need()
	down, weight := v.of(need, st.Mix)
	if b.breaks(i, v.low[st.Mix]).never {
		if down == 0 {
			return nil, 0
		}
		return []part{{down, 1, 0}}, weight
	}
	asked := need
	for _, p := range st.Passes {
		if u, _ := v.of(p, st.Mix); u == 0 {
			asked -= p
		}
	}
	if asked == 0 {
		return nil, 0
	}
	by := make([]part, v.units+1)
	for from := range st.Passes {
		n := route.Ticks(0)
		for to := from; to < len(st.Passes); to++ {
			n += st.Passes[to]
			u, _ := v.of(n, st.Mix)
			if u == 0 || u > v.units {
				continue
			}
			p := part{units: u, share: min(1, float64(n)/float64(asked))}
			if to < len(st.Passes)-1 && st.Back != nil {
				p.cost = float64(st.Back[to])
			}
			if was := by[u]; was.units > 0 {
				p.share, p.cost = max(p.share, was.share), min(p.cost, was.cost)
			}
			by[u] = p
		}
	}
	var out []part
	for _, p := range by {
		if p.units > 0 {
			out = append(out, p)
		}
	}
	return out, weight * float64(asked) / float64(need)
}
