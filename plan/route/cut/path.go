package cut

import (
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// node is the best way known to have done the chunks before a place, with these mixes in the tanks.
type node struct {
	cost, square float64 // square is the sum of squared loads, which decides between like costs: balanced loads
	tanks        []int   // what each tank has had in it last, as the clock's
	from, prev   int     // the place where the last trip began, and the node there
	fill, use    int
}

// trips finds the trips of least cost: a shortest path over places for refills and what the tanks hold.
func (c *cutter) trips(fine, dry bool) ([]route.Trip, bool) {
	chunks, ok := c.chunks(fine, dry)
	if !ok || len(chunks) == 0 {
		return nil, false
	}
	n := len(chunks)
	at := make([][]node, n+1)
	at[0] = []node{{tanks: c.start()}}
	for p := range n {
		if len(at[p]) == 0 || !chunks[p].may {
			continue
		}
		c.leave(chunks, at, p, dry && p == 0)
	}
	last := 0
	if len(at[n]) == 0 {
		return nil, false
	}
	for i := range at[n] {
		if less(at[n][i].cost, at[n][i].square, &at[n][last]) {
			last = i
		}
	}
	return c.back(chunks, at, last), true
}

func less(cost, square float64, than *node) bool {
	const like = 1e-7 // s
	return cost < than.cost-like || cost < than.cost+like && square < than.square-0.5
}

// start is what the tanks have in them: the mix of each, NoMix when clean.
func (c *cutter) start() []int {
	out := make([]int, len(c.sh.Tanks))
	for i := range out {
		out[i] = route.NoMix
		if h := c.sh.Tanks[i].Held; h != nil {
			out[i] = h.Mix
		}
	}
	return out
}

// leave tries every trip from a place: to every place after it, with every use of the tanks that holds its mix, from every fill point.
func (c *cutter) leave(chunks []chunk, at [][]node, p int, dry bool) {
	used := map[int]route.Ticks{}
	way := 0.0
	for q := p; q < len(chunks); q++ {
		k := chunks[q]
		st := &c.d.Stops[k.stop]
		if st.Mix != route.NoMix {
			used[st.Mix] += k.to - k.from
		}
		way += c.step(chunks, p, q)
		if q+1 < len(chunks) && !chunks[q+1].may {
			if !c.any(used, dry) {
				return
			}
			continue
		}
		end := way + float64(c.breakOff(chunks, q))
		fits := false
		for u := range c.uses {
			fit := c.fit(used, c.uses[u], dry)
			fits = fits || fit.ok
			if fit.ok && c.lean(used, c.uses[u]) {
				c.arrive(chunks, at, p, q+1, u, fit, end, dry)
			}
		}
		if !fits {
			return
		}
	}
}

// any reports whether some use of the tanks holds what is used.
func (c *cutter) any(used map[int]route.Ticks, dry bool) bool {
	return slices.ContainsFunc(c.uses, func(u []int) bool { return c.fit(used, u, dry).ok })
}

// lean reports whether a use has no tank for a mix that the trip does not need: a tank not filled keeps what it has.
func (c *cutter) lean(used map[int]route.Ticks, u []int) bool {
	for _, m := range u {
		if m != route.NoMix && used[m] == 0 {
			return false
		}
	}
	return true
}

// fitting is how a trip's mix goes into its tanks.
type fitting struct {
	ok     bool
	total  route.Ticks // that is sprayed
	extra  route.Ticks // that agitation asks for besides
	square float64
	loads  int
	filled []bool
}

// fit deals what a trip uses to the tanks of a use; every tank of it must be needed.
func (c *cutter) fit(used map[int]route.Ticks, u []int, dry bool) fitting {
	f := fitting{filled: make([]bool, len(u))}
	mass := unit.Mass(0)
	for _, m := range c.mixes {
		need := used[m]
		if need == 0 {
			continue
		}
		var of []route.Vessel
		var tank []int
		for i, k := range u {
			if k != m {
				continue
			}
			t := &c.sh.Tanks[i]
			v := route.Vessel{Most: t.Room(), Least: t.Least}
			if dry {
				v = route.Vessel{}
				if t.Held != nil && t.Held.Mix == m {
					v.Most = t.Held.Left
				}
			}
			of, tank = append(of, v), append(tank, i)
		}
		shares, ok := route.Share(need, of)
		if !ok {
			return fitting{}
		}
		for j, v := range shares {
			if v == 0 {
				continue
			}
			i := tank[j]
			f.loads++
			f.filled[i] = true
			f.total += v
			f.extra += max(0, of[j].Least-v)
			f.square += float64(v) * float64(v)
			mass += c.d.Mixes[m].PerTick * unit.Mass(max(v, of[j].Least)+c.sh.Tanks[i].Heel)
		}
	}
	f.ok = dry || c.sh.Payload == 0 || mass <= c.sh.Payload*(1+1e-12)
	return f
}

// arrive enters a trip from p to q with a use of the tanks, out of each node at p and each fill point.
func (c *cutter) arrive(chunks []chunk, at [][]node, p, q, u int, f fitting, way float64, dry bool) {
	w := c.d.Weights
	cost := way + float64(w.Leftover)*float64(f.extra) + float64(w.Load)*float64(f.loads)
	if f.loads == 0 && p > 0 {
		return // nothing to fill for: the stops without mix go with the trip before
	}
	if p > 0 && chunks[p-1].stop == chunks[p].stop {
		cost += float64(w.Split)
	}
	for i := range at[p] {
		n := &at[p][i]
		tanks, rinse, heels, ok := c.change(n.tanks, c.uses[u], f)
		if !ok {
			continue
		}
		next := node{tanks: tanks, from: p, prev: i, use: u, square: n.square + f.square}
		if dry || f.loads == 0 && p == 0 {
			next.fill = route.NoFill
			next.cost = n.cost + cost + c.to(chunks, p, route.NoFill)
			at[q] = keep(at[q], next)
			continue
		}
		for _, fp := range c.fills {
			fill := &c.d.Fills[fp]
			next.fill = fp
			next.cost = n.cost + cost + c.to(chunks, p, fp) + float64(rinse+fill.HookUp) + float64(fill.PerTick)*float64(f.total+f.extra+heels)
			at[q] = keep(at[q], next)
		}
	}
}

// change is what the tanks have in them after a trip, and what the change costs in rinsing and heels; false when it is forbidden.
func (c *cutter) change(tanks, u []int, f fitting) (after []int, rinse unit.Time, heels route.Ticks, ok bool) {
	after = slices.Clone(tanks)
	for i, m := range u {
		if !f.filled[i] {
			continue
		}
		switch was := tanks[i]; {
		case was == m:
		case was == route.NoMix:
			heels += c.sh.Tanks[i].Heel
		case c.d.Rinse == nil || c.d.Rinse[was][m].Never:
			return nil, 0, 0, false
		default:
			rinse += c.d.Rinse[was][m].Time
			heels += c.sh.Tanks[i].Heel
		}
		after[i] = m
	}
	return after, rinse, heels, true
}

// keep enters a node, one for each content of the tanks.
func keep(list []node, n node) []node {
	for i := range list {
		if slices.Equal(list[i].tanks, n.tanks) {
			if less(n.cost, n.square, &list[i]) {
				list[i] = n
			}
			return list
		}
	}
	return append(list, n)
}

// to is the way from where the chunk before p was done to the first stop of the trip that begins there, over its fill point.
func (c *cutter) to(chunks []chunk, p, fill int) float64 {
	from := c.sh.Start
	if p > 0 {
		from = c.d.Stops[chunks[p-1].stop].Place
	}
	st := &c.d.Stops[chunks[p].stop]
	if fill == route.NoFill {
		return float64(c.d.Drive[from][st.Place] + st.SetUp)
	}
	f := c.d.Fills[fill].Place
	return float64(c.d.Drive[from][f] + c.d.Drive[f][st.Place] + st.SetUp)
}

// step is the way from chunk q-1 to chunk q of a trip that begins with p.
func (c *cutter) step(chunks []chunk, p, q int) float64 {
	if q == p || chunks[q].stop == chunks[q-1].stop {
		return 0
	}
	a, b := &c.d.Stops[chunks[q-1].stop], &c.d.Stops[chunks[q].stop]
	way := c.d.Drive[a.Place][b.Place]
	if a.Site != b.Site {
		way += b.SetUp
	}
	return float64(way)
}

// breakOff is what ending a trip after chunk q costs: the way back to the truck from within a stop, or the way home.
func (c *cutter) breakOff(chunks []chunk, q int) unit.Time {
	st := &c.d.Stops[chunks[q].stop]
	if q+1 == len(chunks) {
		return c.d.Drive[st.Place][c.sh.End]
	}
	if chunks[q+1].stop != chunks[q].stop || st.Back == nil {
		return 0
	}
	return st.PartWork(0, chunks[q].to) - st.Work*unit.Time(chunks[q].to)/unit.Time(st.Need())
}

// back reads the trips off the path that ends with node last.
func (c *cutter) back(chunks []chunk, at [][]node, last int) []route.Trip {
	var out []route.Trip
	for q, i := len(chunks), last; q > 0; {
		n := &at[q][i]
		t := route.Trip{Fill: n.fill, Mixes: slices.Clone(c.uses[n.use])}
		for k := n.from; k < q; k++ {
			ch := chunks[k]
			if j := len(t.Takes); j > 0 && t.Takes[j-1].Stop == ch.stop {
				t.Takes[j-1].Volume += ch.to - ch.from
				continue
			}
			t.Takes = append(t.Takes, route.Take{Stop: ch.stop, Volume: ch.to - ch.from})
		}
		out = append(out, t)
		q, i = n.from, n.prev
	}
	slices.Reverse(out)
	return out
}
