package cut

import (
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// node is the best way known to have done the chunks before a place, with these contents in the tanks.
type node struct {
	cost, square float64 // square is the sum of squared loads, which decides between like costs: balanced loads
	tanks        int     // into cutter.contents
	from, prev   int     // the place where the last trip began, and the node there
	fill, use    int
	filled       uint32 // tanks, a bit each
}

// trips finds the trips of least cost: a shortest path over places for refills and what the tanks hold.
func (c *cutter) trips(fine, dry bool) ([]route.Trip, bool) {
	chunks, ok := c.chunks(fine, dry)
	if !ok || len(chunks) == 0 {
		return nil, false
	}
	n := len(chunks)
	at := make([][]node, n+1)
	at[0] = []node{{tanks: c.content(c.start())}}
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

// content numbers what tanks have in them.
func (c *cutter) content(tanks []int) int {
	for i := range c.contents {
		if slices.Equal(c.contents[i], tanks) {
			return i
		}
	}
	c.contents = append(c.contents, tanks)
	return len(c.contents) - 1
}

// leave tries every trip from a place: to every place after it, with every use of the tanks that holds its mix, from every fill point.
func (c *cutter) leave(chunks []chunk, at [][]node, p int, dry bool) {
	clear(c.used)
	way, mask := 0.0, 0
	for k, f := range c.fills {
		c.ways[k] = c.to(chunks, p, f) + float64(c.d.Fills[f].HookUp)
	}
	for q := p; q < len(chunks); q++ {
		c.work++
		k := chunks[q]
		if k.mix >= 0 {
			c.used[k.mix] += k.to - k.from
			mask |= 1 << k.mix
			if !c.room(mask, dry) {
				return
			}
		}
		way += c.step(chunks, p, q)
		if q+1 < len(chunks) && !chunks[q+1].may {
			continue
		}
		end := way + float64(c.breakOff(chunks, q))
		for _, u := range c.byMixes[mask] {
			if f := c.fit(u, dry); f.ok {
				c.arrive(chunks, at, p, q+1, u, f, end, dry)
			}
		}
	}
}

// room reports whether some use of the tanks may hold what is used of these mixes; what it lets through is looked at by fit.
func (c *cutter) room(mask int, dry bool) bool {
	for _, u := range c.byMixes[mask] {
		fits := true
		for k, m := range c.mixes {
			hold := c.useHolds[u][k]
			if dry {
				hold = int(c.held(m))
			}
			fits = fits && (c.used[k] == 0 || int(c.used[k]) <= hold)
		}
		if fits {
			return true
		}
	}
	return false
}

// fitting is how a trip's mix goes into its tanks.
type fitting struct {
	ok     bool
	total  route.Ticks // that is sprayed
	extra  route.Ticks // that agitation asks for besides
	square float64
	loads  int
	filled uint32 // tanks, a bit each
	mass   unit.Mass
}

// fit deals what a trip uses to the tanks of a use.
func (c *cutter) fit(use int, dry bool) fitting {
	f := fitting{}
	for k, m := range c.mixes {
		need := c.used[k]
		if need == 0 {
			continue
		}
		tanks := c.tanksOf[use][k]
		shares := c.oneShare[:1]
		shares[0] = need
		if len(tanks) != 1 || dry || need > c.sh.Tanks[tanks[0]].Room() {
			var ok bool
			if shares, ok = c.share(need, m, tanks, dry); !ok {
				return fitting{}
			}
		}
		for j, v := range shares {
			if v == 0 {
				continue
			}
			t := &c.sh.Tanks[tanks[j]]
			least := t.LeastLoad()
			if dry {
				least = 0
			}
			f.loads++
			f.filled |= 1 << tanks[j]
			f.total += v
			f.extra += max(0, least-v)
			f.square += float64(v) * float64(v)
			f.mass += c.d.Mixes[m].PerTick * unit.Mass(max(v, least))
		}
	}
	f.ok = true
	return f
}

// share deals a need to several tanks of a mix, or to what tanks hold of it.
func (c *cutter) share(need route.Ticks, m int, tanks []int, dry bool) ([]route.Ticks, bool) {
	of := make([]route.Vessel, len(tanks))
	for j, i := range tanks {
		t := &c.sh.Tanks[i]
		switch {
		case !dry:
			of[j] = route.Vessel{Most: t.Room(), Least: t.LeastLoad()}
		case t.Held != nil && t.Held.Mix == m:
			of[j] = route.Vessel{Most: t.Held.Left}
		}
	}
	return route.Share(need, of)
}

// arrive enters a trip from p to q with a use of the tanks, out of each node at p and each fill point.
func (c *cutter) arrive(chunks []chunk, at [][]node, p, q, u int, f fitting, way float64, dry bool) {
	if f.loads == 0 && p > 0 {
		return // nothing to fill for: the stops without mix go with the trip before
	}
	w := &c.d.Weights
	cost := way + float64(w.Leftover)*float64(f.extra) + float64(w.Load)*float64(f.loads)
	if p > 0 && chunks[p-1].stop == chunks[p].stop {
		cost += float64(w.Split)
	}
	for i := range at[p] {
		n := &at[p][i]
		x := c.change(n.tanks, u, f.filled)
		if !x.ok || !dry && c.sh.Payload > 0 && f.mass+x.heel > c.sh.Payload*(1+1e-12) {
			continue
		}
		next := node{tanks: x.after, from: p, prev: i, use: u, filled: f.filled, square: n.square + f.square}
		if dry || f.loads == 0 {
			next.fill = route.NoFill
			next.cost = n.cost + cost + c.to(chunks, p, route.NoFill)
			at[q] = keep(at[q], next)
			continue
		}
		for k, fp := range c.fills {
			next.fill = fp
			next.cost = n.cost + cost + c.ways[k] + float64(x.rinse) + float64(c.d.Fills[fp].PerTick)*float64(f.total+f.extra+x.heels)
			at[q] = keep(at[q], next)
		}
	}
}

// changing is what a trip does to the contents of the tanks.
type changing struct {
	ok    bool // false when the change is forbidden
	after int
	rinse unit.Time
	heels route.Ticks
	heel  unit.Mass // of all heels in the tanks after it
}

type change struct {
	tanks, use int
	filled     uint32
}

// change is what the tanks have in them after a trip that fills some of them, and what the change costs in rinsing and heels.
func (c *cutter) change(tanks, use int, filled uint32) changing {
	key := change{tanks, use, filled}
	if x, ok := c.changes[key]; ok {
		return x
	}
	x := changing{ok: true}
	after := slices.Clone(c.contents[tanks])
	for i, m := range c.uses[use] {
		if filled>>i&1 == 0 {
			continue
		}
		switch was := after[i]; {
		case was == m:
		case was == route.NoMix:
			x.heels += c.sh.Tanks[i].Heel
		case c.d.Rinse == nil || c.d.Rinse[was][m].Never:
			x.ok = false
		default:
			x.rinse += c.d.Rinse[was][m].Time
			x.heels += c.sh.Tanks[i].Heel
		}
		after[i] = m
	}
	if x.ok {
		x.after = c.content(after)
		for i, m := range after {
			if m != route.NoMix {
				x.heel += c.d.Mixes[m].PerTick * unit.Mass(c.sh.Tanks[i].Heel)
			}
		}
	}
	c.changes[key] = x
	return x
}

// mostContents is how many contents of the tanks are followed at a place: enough for all of two tanks with three mixes. Of more the cheapest are, and the
// cuts may then not be the best.
const mostContents = 16

// keep enters a node, one for each content of the tanks.
func keep(list []node, n node) []node {
	for i := range list {
		if list[i].tanks == n.tanks {
			if less(n.cost, n.square, &list[i]) {
				list[i] = n
			}
			return list
		}
	}
	if len(list) < mostContents {
		return append(list, n)
	}
	worst := 0
	for i := range list {
		if list[i].cost > list[worst].cost {
			worst = i
		}
	}
	if n.cost < list[worst].cost {
		list[worst] = n
	}
	return list
}

// to is the way from where the chunk before p was done to the first stop of the trip that begins there, over its fill point.
func (c *cutter) to(chunks []chunk, p, fill int) float64 {
	from := c.sh.Start
	if p > 0 {
		from = c.d.Stops[chunks[p-1].stop].Place
	}
	st := &c.d.Stops[chunks[p].stop]
	if fill == route.NoFill {
		return float64(c.d.Price(from, st.Place) + st.SetUp)
	}
	f := c.d.Fills[fill].Place
	return float64(c.d.Price(from, f) + c.d.Price(f, st.Place) + st.SetUp)
}

// step is the way from chunk q-1 to chunk q of a trip that begins with p.
func (c *cutter) step(chunks []chunk, p, q int) float64 {
	if q == p || chunks[q].stop == chunks[q-1].stop {
		return 0
	}
	a, b := &c.d.Stops[chunks[q-1].stop], &c.d.Stops[chunks[q].stop]
	way := c.d.Price(a.Place, b.Place) + chunks[q-1].back
	if a.Site != b.Site {
		way += b.SetUp
	}
	return float64(way)
}

// breakOff is what ending a trip after chunk q costs: the way back to the truck from within a stop, or the way home.
func (c *cutter) breakOff(chunks []chunk, q int) unit.Time {
	if q+1 == len(chunks) {
		return c.d.Price(c.d.Stops[chunks[q].stop].Place, c.sh.End)
	}
	return chunks[q].back
}

// back reads the trips off the path that ends with node last.
func (c *cutter) back(chunks []chunk, at [][]node, last int) []route.Trip {
	var out []route.Trip
	for q, i := len(chunks), last; q > 0; {
		n := &at[q][i]
		t := route.Trip{Fill: n.fill, Mixes: slices.Clone(c.uses[n.use])}
		for k := range t.Mixes {
			if n.filled>>k&1 == 0 {
				t.Mixes[k] = route.NoMix // it keeps what it has
			}
		}
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
