package solve

import (
	"math"
	"math/bits"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// item is work at a stop that is dealt: all of it, or, where another trip does a part as well, the part on one trip, which stays there.
type item struct {
	stop   int
	volume route.Ticks
	pinned int           // the trip, -1 for any
	ends   []route.Ticks // where it may be split
}

// deal is the work of some trips and the best way found to deal it.
type deal struct {
	s     *search
	shift int
	of    []int
	was   []route.Trip // of the shift, filled as they are to be
	items []item
	room  [][]route.Ticks // by trip and mix
	cost  [][]float64     // by trip and set of items
	by    [][][]int8      // the last item of the quickest way, by trip, set; -1

	sets   [mostTrips]int // of items on each trip
	split  []parting
	looks  int
	lead   float64 // see leads
	least  float64
	best   *dealing
	volume [mostTrips][]route.Ticks // unsplit, by mix
}

// parting is an item that is on several trips: its set of trips.
type parting struct{ item, on int }

// dealing is one way of dealing: the items of each trip and how much of each split item is on it.
type dealing struct {
	sets   [mostTrips]int
	shares map[int][mostTrips]route.Ticks // by item
}

// newDeal lists what is on the trips; nil when it is too much.
func (s *search) newDeal(shift int, trips []route.Trip, of []int) *deal {
	d := &deal{s: s, shift: shift, of: of, was: trips, least: math.Inf(1)}
	on := map[int]int{} // trips of the shift by stop
	for _, t := range trips {
		for _, k := range t.Takes {
			on[k.Stop]++
		}
	}
	seen := map[int]int{}
	for i, t := range of {
		for _, k := range trips[t].Takes {
			seen[k.Stop]++
			st := &s.d.Stops[k.Stop]
			switch {
			case on[k.Stop] > len(of) || !s.inside(trips, of, k.Stop, on[k.Stop]):
				d.items = append(d.items, item{k.Stop, k.Volume, i, nil})
			case seen[k.Stop] == 1:
				x := item{k.Stop, st.Need(), -1, nil}
				if e := ends(st); !st.Whole && len(e) > 1 && s.d.Mixes[st.Mix].Whole == 0 {
					x.ends = e[:len(e)-1]
				}
				d.items = append(d.items, x)
			}
		}
	}
	if len(d.items) > mostDealt {
		return nil
	}
	d.rooms()
	d.ways()
	d.lead = d.leads()
	return d
}

// inside reports whether all parts of a stop are on the trips that are dealt.
func (s *search) inside(trips []route.Trip, of []int, stop, on int) bool {
	n := 0
	for _, t := range of {
		if slices.ContainsFunc(trips[t].Takes, func(k route.Take) bool { return k.Stop == stop }) {
			n++
		}
	}
	return n == on
}

// rooms are what each trip may spray of each mix, as its tanks are used.
func (d *deal) rooms() {
	trips := d.was
	sh := &d.s.d.Shifts[d.shift]
	for _, t := range d.of {
		room := make([]route.Ticks, len(d.s.d.Mixes))
		for i, m := range trips[t].Mixes {
			if m == route.NoMix {
				continue
			}
			most := sh.Tanks[i].Room()
			if trips[t].Fill == route.NoFill {
				most = 0
				if h := sh.Tanks[i].Held; h != nil && h.Mix == m {
					most = h.Left
				}
			}
			room[m] += most
		}
		for m := range room { // heels are in the payload too
			if per := d.s.d.Mixes[m].PerTick; sh.Payload > 0 && per > 0 {
				heels := unit.Mass(0)
				for i, k := range trips[t].Mixes {
					if k == m {
						heels += per * unit.Mass(sh.Tanks[i].Heel)
					}
				}
				room[m] = min(room[m], route.Ticks(max(0, math.Floor(float64((sh.Payload-heels)/per)+1e-9))))
			}
		}
		d.room = append(d.room, room)
	}
	for i := range d.of {
		d.volume[i] = make([]route.Ticks, len(d.s.d.Mixes))
	}
}

// ways are the quickest ways through every set of items on each trip, by sets.
func (d *deal) ways() {
	trips := d.was
	day, n := d.s.d, len(d.items)
	for _, t := range d.of {
		from, to := day.Shifts[d.shift].Start, day.Shifts[d.shift].End
		if f := trips[t].Fill; f != route.NoFill {
			from = day.Fills[f].Place
		}
		if t+1 < len(trips) {
			to = day.Fills[trips[t+1].Fill].Place
		}
		at, by := make([]float64, n<<n), make([]int8, n<<n)
		for i := range at {
			at[i] = math.Inf(1)
		}
		step := func(a, b int) float64 { // from item to item
			x, y := &day.Stops[d.items[a].stop], &day.Stops[d.items[b].stop]
			w := float64(day.Price(x.Place, y.Place))
			if x.Site != y.Site {
				w += float64(y.SetUp)
			}
			return w
		}
		for i := range n {
			st := &day.Stops[d.items[i].stop]
			at[(1<<i)*n+i], by[(1<<i)*n+i] = float64(day.Price(from, st.Place)+st.SetUp), -1
		}
		cost, last := make([]float64, 1<<n), make([]int8, 1<<n)
		for set := 1; set < 1<<n; set++ {
			cost[set] = math.Inf(1)
			for r := set; r > 0; r &= r - 1 {
				i := bits.TrailingZeros(uint(r))
				is := at[set*n+i]
				if c := is + float64(day.Price(day.Stops[d.items[i].stop].Place, to)); c < cost[set] {
					cost[set], last[set] = c, int8(i)
				}
				for q := (1<<n - 1) &^ set; q > 0; q &= q - 1 {
					j := bits.TrailingZeros(uint(q))
					if c := is + step(i, j); c < at[(set|1<<j)*n+j] {
						at[(set|1<<j)*n+j], by[(set|1<<j)*n+j] = c, int8(i)
					}
				}
			}
		}
		if f := trips[t].Fill; f != route.NoFill { // an empty trip has no fill visit
			for set := 1; set < 1<<n; set++ {
				cost[set] += float64(day.Fills[f].HookUp)
			}
		}
		d.cost = append(d.cost, cost)
		d.by = append(d.by, [][]int8{by, last})
	}
}

// is is what the trips come to as they are.
func (d *deal) is() float64 {
	day, sum := d.s.d, d.lead
	for t, k := range d.of {
		trip := &d.was[k]
		at := day.Shifts[d.shift].Start
		if trip.Fill != route.NoFill {
			at = day.Fills[trip.Fill].Place
			sum += float64(day.Fills[trip.Fill].HookUp)
		}
		site := -1
		for _, x := range trip.Takes {
			st := &day.Stops[x.Stop]
			sum += float64(day.Price(at, st.Place))
			if at = st.Place; st.Site != site {
				sum += float64(st.SetUp)
			}
			site = st.Site
			if st.Mix != route.NoMix {
				d.volume[t][st.Mix] += x.Volume
			}
		}
		to := day.Shifts[d.shift].End
		if k+1 < len(d.was) {
			to = day.Fills[d.was[k+1].Fill].Place
		}
		sum += float64(day.Price(at, to))
	}
	sum += d.extra() + d.backs()
	for t := range d.of {
		clear(d.volume[t])
	}
	return sum
}

// backs are the ways back from where items that are not pinned are broken off now, and what the splits weigh.
func (d *deal) backs() float64 {
	sum := unit.Time(0)
	for _, x := range d.items {
		if x.pinned >= 0 {
			continue
		}
		st := &d.s.d.Stops[x.stop]
		done := route.Ticks(0)
		for _, k := range d.of {
			for _, take := range d.was[k].Takes {
				if take.Stop == x.stop {
					if done += take.Volume; done < st.Need() {
						sum += st.BackAt(done) + d.s.d.Weights.Split
					}
				}
			}
		}
	}
	return float64(sum)
}

// leads is what it takes to come to the fill points of the trips from work that is not dealt.
func (d *deal) leads() float64 {
	day, sum := d.s.d, 0.0
	for _, k := range d.of {
		if d.was[k].Fill == route.NoFill || k > 0 && slices.Contains(d.of, k-1) {
			continue
		}
		from := day.Shifts[d.shift].Start
		if k > 0 {
			takes := d.was[k-1].Takes
			from = day.Stops[takes[len(takes)-1].Stop].Place
		}
		sum += float64(day.Price(from, day.Fills[d.was[k].Fill].Place))
	}
	return sum
}

// sum is what the trips' ways come to.
func (d *deal) sum() float64 {
	c := d.lead
	for t := range d.of {
		c += d.cost[t][d.sets[t]]
	}
	return c
}

// run deals item i and those after it, with so many splits so far.
func (d *deal) run(i, splits int) {
	d.looks++
	if d.sum() >= d.least-1e-9 || d.looks > redealWork {
		return
	}
	if i == len(d.items) {
		d.end()
		return
	}
	x := &d.items[i]
	m := d.s.d.Stops[x.stop].Mix
	for t := range d.of {
		if x.pinned >= 0 && x.pinned != t {
			continue
		}
		if m != route.NoMix && d.volume[t][m]+x.volume > d.room[t][m] {
			continue
		}
		d.sets[t] |= 1 << i
		if m != route.NoMix {
			d.volume[t][m] += x.volume
		}
		d.run(i+1, splits)
		if m != route.NoMix {
			d.volume[t][m] -= x.volume
		}
		d.sets[t] &^= 1 << i
	}
	most := len(d.of) - 1
	if len(d.items) > mostDealt2 {
		most = 1
	}
	if x.ends == nil || x.pinned >= 0 || splits >= most {
		return
	}
	for on := 3; on < 1<<len(d.of); on++ {
		n := bits.OnesCount(uint(on))
		if n < 2 || splits+n-1 > most || len(x.ends) < n-1 {
			continue
		}
		for t := range d.of {
			if on>>t&1 == 1 {
				d.sets[t] |= 1 << i
			}
		}
		d.split = append(d.split, parting{i, on})
		d.run(i+1, splits+n-1)
		d.split = d.split[:len(d.split)-1]
		for t := range d.of {
			if on>>t&1 == 1 {
				d.sets[t] &^= 1 << i
			}
		}
	}
}

// end finds the least dear sizes of the parts, and keeps the way when it is the best.
func (d *deal) end() {
	d.part(0, d.sum(), map[int][mostTrips]route.Ticks{})
}

// part chooses the parts of the splits from k on.
func (d *deal) part(k int, cost float64, shares map[int][mostTrips]route.Ticks) {
	if cost >= d.least-1e-9 {
		return
	}
	if k == len(d.split) {
		if cost += d.extra(); cost >= d.least-1e-9 {
			return
		}
		best := &dealing{sets: d.sets, shares: map[int][mostTrips]route.Ticks{}}
		for i, v := range shares {
			best.shares[i] = v
		}
		d.least, d.best = cost, best
		return
	}
	x := &d.items[d.split[k].item]
	m := d.s.d.Stops[x.stop].Mix
	var on []int
	for t := range d.of {
		if d.split[k].on>>t&1 == 1 {
			on = append(on, t)
		}
	}
	give := func(v [mostTrips]route.Ticks, back unit.Time) {
		for t, n := range v {
			if n > 0 && d.volume[t][m]+n > d.room[t][m] {
				return
			}
		}
		d.looks++
		for t, n := range v {
			if n > 0 {
				d.volume[t][m] += n
			}
		}
		shares[d.split[k].item] = v
		d.part(k+1, cost+float64(back+unit.Time(len(on)-1)*d.s.d.Weights.Split), shares)
		delete(shares, d.split[k].item)
		for t, n := range v {
			if n > 0 {
				d.volume[t][m] -= n
			}
		}
	}
	st := &d.s.d.Stops[x.stop]
	for i, e := range x.ends {
		if e <= 0 || e >= x.volume || i > 0 && e == x.ends[i-1] {
			continue
		}
		var v [mostTrips]route.Ticks
		v[on[0]] = e
		if len(on) == 2 {
			v[on[1]] = x.volume - e
			give(v, st.BackAt(e))
			continue
		}
		for _, f := range x.ends[i+1:] {
			if f > e && f < x.volume {
				v[on[1]], v[on[2]] = f-e, x.volume-f
				give(v, st.BackAt(e)+st.BackAt(f))
			}
		}
	}
}

// extra is the time that filling takes, what the loads weigh, and what the trips' mixes fall short of the least that their tanks may be filled with, at its weight; +Inf for what their tanks do not hold, or the
// payload does not bear.
func (d *deal) extra() float64 {
	sh, trips := &d.s.d.Shifts[d.shift], d.was
	short, fill := route.Ticks(0), unit.Time(0) // fill has what loads weigh
	for t, of := range d.of {
		if trips[of].Fill == route.NoFill {
			continue
		}
		mass := unit.Mass(0)
		for m, v := range d.volume[t] {
			if v == 0 {
				continue
			}
			mass += unit.Mass(v) * d.s.d.Mixes[m].PerTick
			fill += d.s.d.Fills[trips[of].Fill].PerTick * unit.Time(v)
			var vessels []route.Vessel
			for i, k := range trips[of].Mixes {
				if k == m {
					vessels = append(vessels, route.Vessel{Most: sh.Tanks[i].Room(), Least: sh.Tanks[i].LeastLoad()})
				}
			}
			shares, ok := route.Share(v, vessels)
			if !ok {
				return math.Inf(1)
			}
			for i, n := range shares {
				if n > 0 {
					fill += d.s.d.Weights.Load
					short += max(0, vessels[i].Least-n)
				}
			}
		}
		if sh.Payload > 0 && mass+d.heels(of) > sh.Payload*(1+1e-12) {
			return math.Inf(1)
		}
	}
	return float64(unit.Time(short)*d.s.d.Weights.Leftover + fill)
}

// heels are what the heels of all tanks weigh that have something in them on a trip.
func (d *deal) heels(trip int) unit.Mass {
	sum := unit.Mass(0)
	for i := range d.s.d.Shifts[d.shift].Tanks {
		k := &d.s.d.Shifts[d.shift].Tanks[i]
		m := route.NoMix
		if k.Held != nil {
			m = k.Held.Mix
		}
		for _, t := range d.was[:trip+1] {
			if t.Mixes[i] != route.NoMix {
				m = t.Mixes[i]
			}
		}
		if m != route.NoMix {
			sum += unit.Mass(k.Heel) * d.s.d.Mixes[m].PerTick
		}
	}
	return sum
}

// trips are the shift's trips with the best way in them; a trip without work is none.
func (d *deal) trips() []route.Trip {
	var out []route.Trip
	for k := range d.was {
		t := slices.Index(d.of, k)
		if t < 0 {
			out = append(out, d.was[k])
			continue
		}
		set := d.best.sets[t]
		if set == 0 {
			continue
		}
		trip := route.Trip{Fill: d.was[k].Fill, Mixes: slices.Clone(d.was[k].Mixes)}
		used := map[int]bool{}
		n, last := len(d.items), -1
		for set > 0 {
			i := int(d.by[t][1][set])
			if last >= 0 {
				i = int(d.by[t][0][(set|1<<last)*n+last])
			}
			last = i
			x := &d.items[i]
			v := x.volume
			if shares, ok := d.best.shares[i]; ok {
				v = shares[t]
			}
			trip.Takes = append(trip.Takes, route.Take{Stop: x.stop, Volume: v})
			used[d.s.d.Stops[x.stop].Mix] = true
			set &^= 1 << i
		}
		slices.Reverse(trip.Takes)
		for i, m := range trip.Mixes {
			if m != route.NoMix && !used[m] {
				trip.Mixes[i] = route.NoMix
			}
		}
		out = append(out, trip)
	}
	return out
}
