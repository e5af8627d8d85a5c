package ruin

import (
	"cmp"
	"math"
	"slices"

	"tankful/plan/route"
)

// model is a day in flat arrays: seconds and ticks. A node is a stop, or a part of one that is over what a trip holds, or with
// unit passes any number of ticks of it.
type model struct {
	d     *route.Day
	n     int // nodes
	mixes int
	stop  []int32
	vol   []int32
	mix   []int32 // mixes is that of no mix
	work  []float64
	open  []float64
	close []float64
	rank  []int32
	arc   []float64 // n*n: the price of the drive and the set-up of the head
	arcT  []float64 // the same, by head
	arcC  []float64 // arc by the clock: without tolls
	shift []shiftModel
	near  [][]int32 // other nodes, nearest first
	wide  float64   // the longest arc
	ranks bool      // some node is not of rank 0
	unit  bool      // stops may be split at every tick
}

// shiftModel is a shift in flat arrays.
type shiftModel struct {
	like   int     // the first shift that is the same in all that counts
	may    []bool  // by node
	ways           // what they cost
	timeOf ways    // what they take by the clock
	refF   []int16 // the fill points of ref and first
	fstF   []int16
	uses   []use
	rinse  []float64 // between uses, len(uses)+1 squared; the last is the start
	dry    []int32   // what the tanks hold at the start, by mix; nil when a first trip without filling is of no use
	legs   int
	from   float64
	until  float64 // +Inf when open
	hard   bool
	per    float64 // s a tick, of the quickest fill point
	timed  bool    // windows or hours are to be looked at
	walk   bool    // ... by running through the whole shift
	lunch  route.Lunch
	mass   []float64 // of a tick, by mix, with payload
	load   float64   // payload, 0 for none
	apart  bool      // trips do not touch each other: one fill point where the shift begins and ends, one use, no hours
}

// ways are those of a shift that are no arcs, by node.
type ways struct {
	ref   []float64 // n*n: over a fill point
	first []float64 // from the start over a fill point
	bare  []float64 // from the start without one
	last  []float64 // to the end
}

// use is what the tanks carry on a trip.
type use struct {
	mix  []int
	hold []int32 // by mix
	// least is by mix the least that the tanks of it may be filled for, where one tank carries it.
	least []int32
	heel  float64 // mass of the heels
}

const never = 1e12 // s: what cannot be done

func newModel(d *route.Day) *model {
	m := &model{d: d, mixes: len(d.Mixes), unit: unitPasses(d)}
	holds := m.bestHolds()
	for i := range d.Stops {
		m.addStop(i, holds)
	}
	m.n = len(m.stop)
	m.arcs()
	for s := range d.Shifts {
		m.shift = append(m.shift, m.newShift(s))
	}
	m.alike()
	m.nearest()
	return m
}

// unitPasses reports whether stops may be split at every tick: all passes are of one tick, and there are some.
func unitPasses(d *route.Day) bool {
	some := false
	for i := range d.Stops {
		st := &d.Stops[i]
		for _, p := range st.Passes {
			if p != 1 {
				return false
			}
		}
		some = some || !st.Whole && len(st.Passes) > 1
	}
	return some
}

// bestHolds is the most that one trip of any shift holds of each mix.
func (m *model) bestHolds() []int32 {
	out := make([]int32, m.mixes+1)
	out[m.mixes] = math.MaxInt32
	for s := range m.d.Shifts {
		for mix := range m.mixes {
			sum := route.Ticks(0)
			for i := range m.d.Shifts[s].Tanks {
				if t := &m.d.Shifts[s].Tanks[i]; t.MayHold(mix) {
					sum += t.Room()
				}
			}
			if sh := &m.d.Shifts[s]; sh.Payload > 0 && m.d.Mixes[mix].PerTick > 0 {
				sum = min(sum, route.Ticks(float64(sh.Payload/m.d.Mixes[mix].PerTick)))
			}
			out[mix] = max(out[mix], int32(sum))
		}
	}
	return out
}

// addStop adds a stop's node, or nodes of full trips and the rest.
func (m *model) addStop(i int, holds []int32) {
	st := &m.d.Stops[i]
	mix := int32(st.Mix)
	if st.Mix == route.NoMix {
		mix = int32(m.mixes)
	}
	need := int32(st.Need())
	for rest := need; ; {
		v := rest
		switch h := holds[mix]; {
		case rest > h && h > 0:
			v = fullPasses(st, need-rest, h)
		case m.unit && !st.Whole:
			v = part(rest, h)
		}
		share := 1.0
		if need > 0 {
			share = float64(v) / float64(need)
		}
		m.stop, m.vol, m.mix = append(m.stop, int32(i)), append(m.vol, v), append(m.mix, mix)
		m.work = append(m.work, float64(st.Work)*share)
		end := math.Inf(1)
		if st.Until > 0 {
			end = float64(st.Until)
		}
		m.open, m.close = append(m.open, float64(st.From)), append(m.close, end)
		m.rank = append(m.rank, int32(st.Rank))
		m.ranks = m.ranks || st.Rank != 0
		if rest -= v; rest <= 0 {
			return
		}
	}
}

// part is how much of what a stop needs is a node of its own, where it may be split at every tick: a fifth, a tenth or a twentieth
// of what a trip holds, or the rest (after Chen, Golden, Wang and Wasil, A novel approach to solve the split delivery vehicle
// routing problem, International Transactions in Operational Research 24, 2017; from memory).
func part(rest, hold int32) int32 {
	for _, n := range []int32{5, 10, 20} {
		if p := hold / n; p > 0 && rest >= p {
			return p
		}
	}
	return rest
}

// fullPasses is the most of whole passes after the first ticks of a stop that a trip holds; the hold itself when one pass is over it.
func fullPasses(st *route.Stop, from, hold int32) int32 {
	at, best := int32(0), int32(0)
	for _, p := range st.Passes {
		at += int32(p)
		if at > from && at-from <= hold {
			best = at - from
		}
	}
	if best == 0 {
		return hold
	}
	return best
}

func (m *model) arcs() {
	m.arc, m.arcT = make([]float64, m.n*m.n), make([]float64, m.n*m.n)
	for i := range m.n {
		a := &m.d.Stops[m.stop[i]]
		for j := range m.n {
			b := &m.d.Stops[m.stop[j]]
			t := float64(m.d.Price(a.Place, b.Place))
			if a.Site != b.Site {
				t += float64(b.SetUp)
			}
			m.arc[i*m.n+j], m.arcT[j*m.n+i] = t, t
			m.wide = max(m.wide, t)
		}
	}
	m.arcC = m.arc
	if m.d.Toll == nil {
		return
	}
	m.arcC = slices.Clone(m.arc)
	for i, a := range m.stop {
		for j, b := range m.stop {
			m.arcC[i*m.n+j] -= float64(m.d.Toll[m.d.Stops[a].Place][m.d.Stops[b].Place])
		}
	}
}

func (m *model) newShift(s int) shiftModel {
	d, sh := m.d, &m.d.Shifts[s]
	x := shiftModel{like: s, legs: math.MaxInt32, from: float64(sh.From), until: math.Inf(1), hard: sh.Hard, lunch: sh.Lunch}
	if sh.Legs > 0 {
		x.legs = sh.Legs
	}
	if sh.Until > 0 {
		x.until = float64(sh.Until)
	}
	fills := []int{}
	x.per = math.Inf(1)
	for f := range d.Fills {
		if route.Allows(d.Fills[f].Shifts, s) {
			fills = append(fills, f)
			x.per = min(x.per, float64(d.Fills[f].PerTick))
			x.walk = x.walk || d.Fills[f].Open > sh.From || d.Fills[f].Close > 0
		}
	}
	if len(fills) == 0 {
		x.per = 0
	}
	m.waysOf(&x, sh, fills)
	m.usesOf(&x, sh)
	m.dryOf(&x, sh)
	for i := range m.n {
		st := &d.Stops[m.stop[i]]
		may := route.Allows(st.Shifts, s) && m.fitsSome(&x, i)
		x.may = append(x.may, may)
		windowed := st.Until > 0 || st.From > sh.From
		x.timed = x.timed || may && windowed
	}
	priced := d.Toll != nil || d.LoadPrice() > 0 // what a shift costs is not what it takes
	x.timed = x.timed || x.walk || (x.hard || priced) && !math.IsInf(x.until, 1)
	x.walk = x.timed && (x.walk || priced || x.per > 0 || x.lunch.Length > 0)
	x.apart = !x.timed && len(fills) == 1 && d.Fills[fills[0]].Place == sh.Start && sh.Start == sh.End && len(x.uses) == 1 && !m.ranks
	return x
}

// fitsSome reports whether a node's mix goes into the shift's tanks at all.
func (m *model) fitsSome(x *shiftModel, i int) bool {
	k := m.mix[i]
	if int(k) == m.mixes {
		return true
	}
	for u := range x.uses {
		if x.uses[u].hold[k] >= m.vol[i] || m.unit && x.uses[u].hold[k] > 0 {
			return true
		}
	}
	return x.dry != nil && x.dry[k] >= m.vol[i]
}

// waysOf fills in the ways over fill points: from node to node, from the start, and home. Over a fill point they cost what a load weighs besides.
func (m *model) waysOf(x *shiftModel, sh *route.Shift, fills []int) {
	d := m.d
	place := func(i int) int { return d.Stops[m.stop[i]].Place }
	via := func(from, j int) (float64, int16) {
		best, f := never, int16(-1)
		for _, k := range fills {
			t := float64(d.Price(from, d.Fills[k].Place) + d.Fills[k].HookUp + d.Price(d.Fills[k].Place, place(j)) + d.LoadPrice())
			if t < best {
				best, f = t, int16(k)
			}
		}
		return best + float64(d.Stops[m.stop[j]].SetUp), f
	}
	x.ref, x.refF = make([]float64, m.n*m.n), make([]int16, m.n*m.n)
	x.first, x.fstF, x.last, x.bare = make([]float64, m.n), make([]int16, m.n), make([]float64, m.n), make([]float64, m.n)
	for j := range m.n {
		x.first[j], x.fstF[j] = via(sh.Start, j)
		x.bare[j] = float64(d.Price(sh.Start, place(j)) + d.Stops[m.stop[j]].SetUp)
		x.last[j] = float64(d.Price(place(j), sh.End))
		for i := range m.n {
			x.ref[i*m.n+j], x.refF[i*m.n+j] = via(place(i), j)
		}
	}
	x.timeOf = m.timesOf(x, sh)
}

// timesOf are a shift's ways by the clock, over the fill points that cost least.
func (m *model) timesOf(x *shiftModel, sh *route.Shift) ways {
	d := m.d
	if d.Toll == nil && d.LoadPrice() == 0 {
		return x.ways
	}
	w := ways{slices.Clone(x.ref), slices.Clone(x.first), slices.Clone(x.bare), slices.Clone(x.last)}
	toll := func(a, b int) float64 { return float64(d.Price(a, b) - d.Drive[a][b]) }
	over := func(from int, f int16, to int) float64 {
		if f < 0 {
			return 0
		}
		at := d.Fills[f].Place
		return toll(from, at) + toll(at, to) + float64(d.LoadPrice())
	}
	for j, stop := range m.stop {
		to := d.Stops[stop].Place
		w.first[j] -= over(sh.Start, x.fstF[j], to)
		w.bare[j] -= toll(sh.Start, to)
		w.last[j] -= toll(to, sh.End)
		for i, from := range m.stop {
			w.ref[i*m.n+j] -= over(d.Stops[from].Place, x.refF[i*m.n+j], to)
		}
	}
	return w
}

// mostUses bounds the ways of giving mixes to the tanks of a shift.
const mostUses = 32

// usesOf lists what the tanks may carry on one trip, each filled with something where it can be, and the rinses between.
func (m *model) usesOf(x *shiftModel, sh *route.Shift) {
	asked := make([]bool, m.mixes)
	for _, k := range m.mix {
		if int(k) < m.mixes {
			asked[k] = true
		}
	}
	cur := make([]int, len(sh.Tanks))
	var rec func(i int)
	rec = func(i int) {
		if len(x.uses) >= mostUses {
			return
		}
		if i == len(cur) {
			x.uses = append(x.uses, m.newUse(sh, slices.Clone(cur)))
			return
		}
		some := false
		for mix := range m.mixes {
			if asked[mix] && sh.Tanks[i].MayHold(mix) {
				some = true
				cur[i] = mix
				rec(i + 1)
			}
		}
		if !some {
			cur[i] = route.NoMix
			rec(i + 1)
		}
	}
	rec(0)
	if sh.Payload > 0 {
		x.load = float64(sh.Payload)
		for mix := range m.d.Mixes {
			x.mass = append(x.mass, float64(m.d.Mixes[mix].PerTick))
		}
	}
	m.rinsesOf(x, sh)
}

func (m *model) newUse(sh *route.Shift, mix []int) use {
	u := use{mix: mix, hold: make([]int32, m.mixes), least: make([]int32, m.mixes)}
	count := make([]int, m.mixes)
	for i, k := range mix {
		if k == route.NoMix {
			continue
		}
		t := &sh.Tanks[i]
		u.hold[k] += int32(t.Room())
		if count[k]++; count[k] == 1 || int32(t.LeastLoad()) < u.least[k] {
			u.least[k] = int32(t.LeastLoad()) // of several tanks a trip may use the one with the smallest
		}
		u.heel += float64(m.d.Mixes[k].PerTick) * float64(t.Heel)
	}
	return u
}

// rinsesOf is what changing the tanks from one use to another costs; from the start, what they held.
func (m *model) rinsesOf(x *shiftModel, sh *route.Shift) {
	n := len(x.uses)
	x.rinse = make([]float64, (n+1)*n)
	for a := range n + 1 {
		for b := range n {
			cost := 0.0
			for t := range sh.Tanks {
				was, is := route.NoMix, x.uses[b].mix[t]
				if a < n {
					was = x.uses[a].mix[t]
				} else if h := sh.Tanks[t].Held; h != nil {
					was = h.Mix
				}
				switch {
				case was == is || was == route.NoMix || is == route.NoMix:
				case m.d.Rinse == nil || m.d.Rinse[was][is].Never:
					cost += never
				default:
					cost += float64(m.d.Rinse[was][is].Time)
				}
			}
			x.rinse[a*n+b] = cost
		}
	}
}

// dryOf is what a first trip without filling has.
func (m *model) dryOf(x *shiftModel, sh *route.Shift) {
	some := slices.Contains(m.mix, int32(m.mixes))
	dry := make([]int32, m.mixes)
	for i := range sh.Tanks {
		if h := sh.Tanks[i].Held; h != nil && h.Left > 0 {
			dry[h.Mix] += int32(h.Left)
			some = true
		}
	}
	if some {
		x.dry = dry
	}
}

// alike finds shifts that are the same in all that counts, so that an empty one need be tried once.
func (m *model) alike() {
	for s := range m.shift {
		for k := range s {
			if m.same(k, s) {
				m.shift[s].like = m.shift[k].like
				break
			}
		}
	}
}

func (m *model) same(a, b int) bool {
	x, y := &m.d.Shifts[a], &m.d.Shifts[b]
	return x.Start == y.Start && x.End == y.End && x.From == y.From && x.Until == y.Until && x.Hard == y.Hard && x.Lunch == y.Lunch && x.Payload == y.Payload &&
		x.Legs == y.Legs && slices.EqualFunc(x.Tanks, y.Tanks, func(p, q route.Tank) bool {
		return p.Usable == q.Usable && p.Heel == q.Heel && p.Least == q.Least && p.Mark == q.Mark && slices.Equal(p.Mixes, q.Mixes) && p.Held == nil && q.Held == nil
	}) && slices.Equal(m.shift[a].may, m.shift[b].may) && slices.Equal(m.shift[a].first, m.shift[b].first)
}

// mostNear is how many neighbours of a node are kept.
const mostNear = 600

func (m *model) nearest() {
	m.near = make([][]int32, m.n)
	all := make([]int32, m.n)
	for i := range all {
		all[i] = int32(i)
	}
	for i := range m.n {
		by := slices.Clone(all)
		way := func(j int32) float64 { return m.arc[i*m.n+int(j)] + m.arc[int(j)*m.n+i] }
		slices.SortStableFunc(by, func(a, b int32) int { return cmp.Compare(way(a), way(b)) })
		by = slices.DeleteFunc(by, func(j int32) bool { return int(j) == i })
		m.near[i] = slices.Clone(by[:min(len(by), mostNear)])
	}
}

// heat is the first and the last temperature, by how far apart stops are.
func (m *model) heat() (hot, cold float64) {
	hot = 0.1 * m.wide
	return max(hot, 1e-3), max(0.001*m.wide, 1e-5)
}
