package bound

import (
	"math"
	"math/bits"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// mostExact is how many stops a group of trips may have for the cheapest set of trips to be found by trying all, mostChains how many where trips
// may share stops.
const mostExact, mostChains = 16, 12

// group is the stops whose trips are looked at together. Sets of them are bits.
type group struct {
	b     *bounder
	stops []int
	t     [][]float64   // driving, closed
	need  []route.Ticks // of each stop
	hold  route.Ticks   // the most that a trip sprays, 0 where the group has several mixes
	split bool          // some stop may be done on several trips
	setUp []float64     // of each stop, where it is not left to Of
	set   float64       // what Of counts of them

	volume  []route.Ticks // by set
	fits    []bool        // by set: one trip may spray it whole
	reached []bool        // by set: some trip may lead through it
	between [][][]float64 // by fill points from and to, and set: the cheapest trip, hook-up included
	home    [][]float64   // by fill point and set: one that ends where a shift may
}

// exact is the least that driving and hook-ups can come to, less the set-ups that Of counts already: unsplit of plans that do every stop on one trip, any of all
// plans. Both are 0 where there are too many stops, or more is shared than is looked at here.
//
// The cheapest trip through each set of stops is a shortest path by sets (Held and Karp, A dynamic programming approach
// to sequencing problems, Journal of SIAM 10, 1962; from memory), and so is the cheapest division into sets that a trip can spray. Where trips may share stops, there is a
// best plan in which trips and the stops that they share form trees (Dror and Trudeau, Savings by split delivery routing, Transportation Science 23, 1989; from memory), as
// driving is closed and parts of any size are allowed, which lowers it only: pairs and trees of three trips are looked at, and larger ones left to the bound of q-routes on four trips and more.
//
// The trips of a shift are a walk over fill points. Prices of being at each, which cancel over a walk, are raised where there are two; with more they stay 0. Hours and
// rinses are left out, and where every truck has one tank each mix has its trips.
func (b *bounder) exact() (unsplit, any unit.Time) {
	t := closure(b.d.Drive)
	mixes := b.groups()
	var groups []*group
	for _, of := range mixes {
		if g := b.newGroup(of, t); g != nil {
			groups = append(groups, g)
		}
	}
	split := false
	for _, g := range groups {
		split = split || g.split
		if len(g.stops) > mostExact {
			return 0, 0
		}
	}
	if len(groups) == 0 || b.holds() {
		return 0, 0
	}
	for _, g := range groups {
		g.measure()
	}
	unsplit = unit.Time(b.priced(groups, t, false))
	switch {
	case !split:
		any = unsplit
	case !slices.ContainsFunc(groups, func(g *group) bool { return g.split && (g.hold == 0 || len(g.stops) > mostChains) }):
		any = unit.Time(min(b.priced(groups, t, true), b.manyTrips(mixes, t)))
	}
	return max(unsplit, 0), max(any, 0)
}

// groups are the mixes whose trips have nothing to do with each other: each where every truck has one tank, else all.
func (b *bounder) groups() [][]int {
	var all []int
	var each [][]int
	for m := range b.d.Mixes {
		if b.need(m) > 0 {
			all, each = append(all, m), append(each, []int{m})
		}
	}
	if b.oneTank() {
		return each
	}
	return [][]int{all}
}

// manyTrips is the bound of q-routes where one group has four trips or more that share stops: three splits at the least.
func (b *bounder) manyTrips(mixes [][]int, t [][]float64) float64 {
	if b.bare != nil {
		return max(b.fourTrips(mixes, t), b.bare.fourTrips(mixes, t)+3*b.split)
	}
	return b.fourTrips(mixes, t)
}

func (b *bounder) fourTrips(mixes [][]int, t [][]float64) float64 {
	sum, more := 0.0, math.Inf(1)
	for _, of := range mixes {
		n := b.newNet(of, t)
		if n == nil {
			return 0
		}
		is := n.ascend()
		sum += is - n.set
		n.least = max(n.least, 4)
		more = min(more, max(n.ascend()-is, 0))
	}
	return sum + more + b.toFill(t)
}

// newGroup lists the stops of some mixes; nil without any.
func (b *bounder) newGroup(mixes []int, t [][]float64) *group {
	g := &group{b: b, t: t}
	v := &volumes{hold: make([]float64, len(b.d.Mixes)), low: make([]float64, len(b.d.Mixes))}
	in := make([]bool, len(b.d.Mixes))
	for _, m := range mixes {
		in[m], v.low[m] = true, math.Inf(1)
	}
	for s := range b.d.Shifts {
		b.holdOf(&b.d.Shifts[s], in, v)
	}
	if len(mixes) == 1 {
		g.hold = route.Ticks(v.hold[mixes[0]])
	}
	outside := map[int]bool{} // sites with a stop of another group
	for i := range b.d.Stops {
		st := &b.d.Stops[i]
		if b.out[i] {
			continue
		}
		if st.Mix == route.NoMix || !in[st.Mix] {
			outside[st.Site] = true
			continue
		}
		g.stops = append(g.stops, i)
		g.need = append(g.need, st.Need())
		g.split = g.split || !b.breaks(i, v.low[st.Mix]).never
	}
	counted := map[int]bool{}
	for _, i := range g.stops {
		st := &b.d.Stops[i]
		if outside[st.Site] {
			g.setUp = append(g.setUp, 0)
			continue
		}
		g.setUp = append(g.setUp, float64(st.SetUp))
		if !counted[st.Site] {
			counted[st.Site] = true
			g.set += float64(b.leastSetUp(st.Site))
		}
	}
	if len(g.stops) == 0 {
		return nil
	}
	return g
}

// measure finds what the trips through every set cost.
func (g *group) measure() {
	n := len(g.stops)
	sets := 1 << n
	g.volume, g.fits, g.reached = make([]route.Ticks, sets), make([]bool, sets), make([]bool, sets)
	rooms := g.rooms()
	used := make([]route.Ticks, len(g.b.d.Mixes))
	for s := 1; s < sets; s++ {
		k := bits.TrailingZeros(uint(s))
		g.volume[s] = g.volume[s&(s-1)] + g.need[k]
		clear(used)
		for r := s; r > 0; r &= r - 1 {
			i := bits.TrailingZeros(uint(r))
			used[g.b.d.Stops[g.stops[i]].Mix] += g.need[i]
		}
		g.fits[s] = slices.ContainsFunc(rooms, func(r room) bool { return r.takes(g.b.d, used) })
		g.reached[s] = g.fits[s] || g.split && g.hold > 0 && g.volume[s]-g.largest(s) <= g.hold
	}
	way := make([][]float64, n)
	for i, a := range g.stops {
		way[i] = make([]float64, n)
		for j, b := range g.stops {
			way[i][j] = g.t[g.b.d.Stops[a].Place][g.b.d.Stops[b].Place]
			if g.b.d.Stops[a].Site != g.b.d.Stops[b].Site {
				way[i][j] += g.setUp[j]
			}
		}
	}
	for f := range g.b.d.Fills {
		g.from(f, way)
	}
}

// largest is the volume of the two largest stops of a set: a trip may share two with others.
func (g *group) largest(s int) route.Ticks {
	a, b := route.Ticks(0), route.Ticks(0)
	for ; s > 0; s &= s - 1 {
		if q := g.need[bits.TrailingZeros(uint(s))]; q > a {
			a, b = q, a
		} else {
			b = max(b, q)
		}
	}
	return a + b
}

// from finds the trips from one fill point.
func (g *group) from(fill int, way [][]float64) {
	n, d := len(g.stops), g.b.d
	sets := 1 << n
	at := make([]float64, sets*n)
	for i := range at {
		at[i] = math.Inf(1)
	}
	f := &d.Fills[fill]
	for i, k := range g.stops {
		at[(1<<i)*n+i] = float64(f.HookUp) + g.t[f.Place][d.Stops[k].Place] + g.setUp[i]
	}
	to := make([][]float64, len(d.Fills))
	for k := range to {
		to[k] = infinite(sets)
	}
	home := infinite(sets)
	in := make([][]float64, len(d.Fills))
	end := infinite(n)
	for i, k := range g.stops {
		p := d.Stops[k].Place
		for s := range d.Shifts {
			end[i] = min(end[i], g.t[p][d.Shifts[s].End])
		}
		for x := range d.Fills {
			in[x] = append(in[x], g.t[p][d.Fills[x].Place])
		}
	}
	for s := 1; s < sets; s++ {
		if !g.reached[s] {
			continue
		}
		for r := s; r > 0; r &= r - 1 {
			last := bits.TrailingZeros(uint(r))
			is := at[s*n+last]
			for x := range to {
				to[x][s] = min(to[x][s], is+in[x][last])
			}
			home[s] = min(home[s], is+end[last])
			for q := (sets - 1) &^ s; q > 0; q &= q - 1 {
				next := bits.TrailingZeros(uint(q))
				k := (s|1<<next)*n + next
				at[k] = min(at[k], is+way[last][next])
			}
		}
	}
	g.between, g.home = append(g.between, to), append(g.home, home)
}

func infinite(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = math.Inf(1)
	}
	return out
}

// room is what the tanks of a shift can spray of each mix on one trip, when they carry it so, and the payload.
type room struct {
	of      []route.Ticks
	payload unit.Mass
}

func (r *room) takes(d *route.Day, used []route.Ticks) bool {
	mass := unit.Mass(0)
	for m, n := range used {
		if n > r.of[m] {
			return false
		}
		mass += unit.Mass(n) * d.Mixes[m].PerTick
	}
	return r.payload == 0 || mass <= r.payload*(1+1e-9)
}

// rooms are all ways in which a shift's tanks may carry mixes. With many tanks each is taken to carry all at once, which lowers the bound only.
func (g *group) rooms() []room {
	const many = 5
	var out []room
	for s := range g.b.d.Shifts {
		sh := &g.b.d.Shifts[s]
		of := []room{{make([]route.Ticks, len(g.b.d.Mixes)), sh.Payload}}
		for t := range sh.Tanks {
			k := &sh.Tanks[t]
			var with []room
			for _, r := range of {
				for m := range r.of {
					if !k.MayHold(m) {
						continue
					}
					if len(with) == 0 || len(sh.Tanks) <= many {
						with = append(with, room{slices.Clone(r.of), r.payload})
					}
					with[len(with)-1].of[m] += k.Room()
				}
			}
			if len(with) > 0 {
				of = with
			}
		}
		out = append(out, of...)
	}
	return out
}

// priced is the least for all groups together, with the prices of fill points that make it most.
func (b *bounder) priced(groups []*group, t [][]float64, split bool) float64 {
	price := make([]float64, len(b.d.Fills))
	at := func(x float64) float64 {
		price[len(price)-1] = x
		return b.atPrices(groups, t, price, split)
	}
	best := at(0)
	if len(b.d.Fills) != 2 {
		return best
	}
	// The least is concave in the price: golden section between ways that no price exceeds.
	wide := 0.0
	for _, row := range t {
		wide = max(wide, slices.Max(row))
	}
	const golden, most, mostSets = 0.6180339887, 14, 3e7
	sets := 0.0
	for _, g := range groups {
		sets += math.Pow(3, float64(len(g.stops)-1))
	}
	looks := min(most, int(mostSets/sets)-2)
	if looks < 1 {
		return best
	}
	lo, hi := -wide, wide
	a, c := hi-golden*(hi-lo), lo+golden*(hi-lo)
	fa, fc := at(a), at(c)
	for range looks {
		best = max(best, fa, fc)
		if fa >= fc {
			hi, c, fc = c, a, fa
			a = hi - golden*(hi-lo)
			fa = at(a)
		} else {
			lo, a, fa = a, c, fc
			c = lo + golden*(hi-lo)
			fc = at(c)
		}
	}
	return best
}

// atPrices is the least for all groups together at some prices of fill points: one trip at least ends where a shift does, and each of those brings the way from where
// the shift begins to its first fill point.
func (b *bounder) atPrices(groups []*group, t [][]float64, price []float64, split bool) float64 {
	begin := math.Inf(1)
	for s := range b.d.Shifts {
		for f := range b.d.Fills {
			begin = min(begin, t[b.d.Shifts[s].Start][b.d.Fills[f].Place]-price[f])
		}
	}
	sum, more := 0.0, math.Inf(1)
	for _, g := range groups {
		no, one := g.least(price, begin, split)
		sum += no - g.set
		more = min(more, one-no)
	}
	if math.IsInf(sum, 0) || math.IsNaN(more) { // no such plan
		return 0
	}
	return sum + more
}
