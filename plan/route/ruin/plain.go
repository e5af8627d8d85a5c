package ruin

import (
	"math"
	"math/rand/v2"
	"slices"
)

// plain searches a day in which trips do not touch each other: equal shifts that begin, fill and end at one place, one mix, no
// hours. Nothing but the volume of a trip and the ways within it count, so that a trial costs a few microseconds however
// many stops the day has. Node n stands for the place where trips begin and end.
type plain struct {
	m         *model
	n         int
	arc, arcT []float64 // (n+1) squared: from tail to head, and by head
	hold      int32
	legs      int     // the most trips
	perTrip   float64 // what a trip costs besides its ways
	drop      float64 // what a node in no trip costs
	near      [][]int32
	rng       *rand.Rand
	dice      uint64

	next, prev, trip        []int32
	onward                  []float64 // from a node to the next
	head, tail, load, count []int32
	free                    []int32 // trips of no node
	live, absent            int
	cost                    float64 // of the trips

	// What to take back: the nodes and trips as they were before the trial in hand.
	trial         int32
	nodeAt, runAt []int32
	nodes         []nodeWas
	runs          []runWas
	opened        []int32
	was           struct {
		live, absent int
		cost         float64
	}

	best     []int32 // the nodes trip after trip, n after each
	bestCost float64

	out    []int32
	key    []float64
	ruined []int32
	far    []float64
}

type nodeWas struct {
	node, next, prev, trip int32
	onward                 float64
}

type runWas struct{ run, head, tail, load, count int32 }

// isPlain reports whether plain knows all there is to the day.
func (m *model) isPlain() bool {
	if m.mixes != 1 || m.ranks || len(m.shift) == 0 {
		return false
	}
	for i := range m.shift {
		x := &m.shift[i]
		if !x.apart || x.like != 0 || x.load > 0 || x.dry != nil || !math.IsInf(x.until, 1) || x.uses[0].least[0] > 0 && m.d.Weights.Leftover > 0 {
			return false
		}
		if slices.Contains(x.may, false) {
			return false
		}
	}
	return !slices.Contains(m.mix, 1)
}

// besidePlain is how many neighbours of a node a place is looked for beside.
const besidePlain = 40

func newPlain(m *model, seed uint64) *plain {
	n := m.n
	x := &m.shift[0]
	p := &plain{m: m, n: n, hold: x.uses[0].hold[0], perTrip: float64(m.d.Weights.Load - m.d.LoadPrice()), drop: float64(m.d.Weights.Drop), rng: rand.New(rand.NewPCG(seed, 0x706c61696e))}
	for i := range m.shift {
		p.legs = min(n, p.legs+min(n, m.shift[i].legs))
	}
	w := n + 1
	p.arc, p.arcT = make([]float64, w*w), make([]float64, w*w)
	set := func(i, j int, t float64) { p.arc[i*w+j], p.arcT[j*w+i] = t, t }
	for i := range n {
		for j := range n {
			set(i, j, m.arc[i*n+j])
		}
		set(n, i, x.first[i])
		set(i, n, x.last[i])
		p.far = append(p.far, x.first[i])
	}
	for i := range n {
		p.near = append(p.near, m.near[i][:min(len(m.near[i]), besidePlain)])
	}
	p.dice = p.rng.Uint64() | 1
	p.next, p.prev, p.trip, p.nodeAt = make([]int32, n), make([]int32, n), make([]int32, n), make([]int32, n)
	p.onward = make([]float64, n)
	runs := 2 * n // a trial may empty as many as it opens: those it emptied are not opened again in it
	p.head, p.tail, p.load, p.count = make([]int32, runs), make([]int32, runs), make([]int32, runs), make([]int32, runs)
	p.runAt, p.ruined = make([]int32, runs), make([]int32, runs)
	p.key = make([]float64, n)
	p.clear()
	return p
}

// clear takes every node out.
func (p *plain) clear() {
	p.free = p.free[:0]
	for t := len(p.head) - 1; t >= 0; t-- {
		p.free = append(p.free, int32(t))
		p.count[t], p.load[t] = 0, 0
	}
	for v := range p.n {
		p.trip[v] = none
	}
	p.live, p.absent, p.cost = 0, p.n, 0
}

// value is what drafts are compared by.
func (p *plain) value() float64 { return p.cost + float64(p.absent)*p.drop }

// read takes the trips of a state over.
func (p *plain) read(s *state) {
	for i := range s.m.shift {
		for t := s.num[s.sHead+i]; t != none; t = s.num[s.after+int(t)] {
			run := int32(none)
			for v := s.num[s.head+int(t)]; v != none; v = s.num[s.next+int(v)] {
				if run == none {
					run = p.open(int(v))
				} else {
					p.insert(int(v), run, p.tail[run])
				}
			}
		}
	}
	p.remember()
}

// write puts the best trips into a new state.
func (p *plain) write(s *state) {
	for i := range s.dirty {
		s.dirty[i] = true
	}
	shift, t := 0, none
	for _, v := range p.best {
		switch {
		case int(v) == p.n:
			t = none
		case t == none:
			for int(s.num[s.sTrips+shift]) >= s.m.shift[shift].legs {
				shift++
			}
			s.put(int(v), found{shift: shift, t: none, p: s.num[s.sTail+shift]})
			t = int(s.num[s.sTail+shift])
		default:
			s.put(int(v), found{shift: shift, t: t, p: s.num[s.tail+t]})
		}
	}
}

func (p *plain) remember() {
	p.bestCost, p.best = p.value(), p.best[:0]
	for t := range p.head {
		if p.count[t] == 0 {
			continue
		}
		for v := p.head[t]; int(v) != p.n; v = p.next[v] {
			p.best = append(p.best, v)
		}
		p.best = append(p.best, int32(p.n))
	}
}

func (p *plain) mark() {
	p.trial++
	p.nodes, p.runs, p.opened = p.nodes[:0], p.runs[:0], p.opened[:0]
	p.was.live, p.was.absent, p.was.cost = p.live, p.absent, p.cost
}

// keep gives the trips that were emptied back, and remembers what is the best.
func (p *plain) keep(value float64) {
	for i := range p.runs {
		if r := &p.runs[i]; r.count > 0 && p.count[r.run] == 0 {
			p.free = append(p.free, r.run)
		}
	}
	if value < p.bestCost-1e-9 {
		p.remember()
	}
}

func (p *plain) takeBack() {
	for i := range p.nodes {
		r := &p.nodes[i]
		p.next[r.node], p.prev[r.node], p.trip[r.node], p.onward[r.node] = r.next, r.prev, r.trip, r.onward
	}
	for i := range p.runs {
		r := &p.runs[i]
		p.head[r.run], p.tail[r.run], p.load[r.run], p.count[r.run] = r.head, r.tail, r.load, r.count
	}
	for _, t := range slices.Backward(p.opened) {
		p.free = append(p.free, t)
	}
	p.live, p.absent, p.cost = p.was.live, p.was.absent, p.was.cost
}

// touch writes a node down before its first change in a trial.
func (p *plain) touch(v int32) {
	if int(v) < p.n && p.nodeAt[v] != p.trial {
		p.nodeAt[v] = p.trial
		p.nodes = append(p.nodes, nodeWas{v, p.next[v], p.prev[v], p.trip[v], p.onward[v]})
	}
}

func (p *plain) touchRun(t int32) {
	if p.runAt[t] != p.trial {
		p.runAt[t] = p.trial
		p.runs = append(p.runs, runWas{t, p.head[t], p.tail[t], p.load[t], p.count[t]})
	}
}

// join makes b follow a in trip t; n stands for the trip's ends.
func (p *plain) join(t, a, b int32) {
	way := p.arc[int(a)*(p.n+1)+int(b)]
	if int(a) == p.n {
		p.head[t] = b
	} else {
		p.touch(a)
		p.next[a], p.onward[a] = b, way
	}
	if int(b) == p.n {
		p.tail[t] = a
	} else {
		p.touch(b)
		p.prev[b] = a
	}
}

// take takes a node out of its trip.
func (p *plain) take(v int32) {
	w := p.n + 1
	t, a, b := p.trip[v], p.prev[v], p.next[v]
	p.touch(v)
	p.touchRun(t)
	p.cost -= p.arc[int(a)*w+int(v)] + p.onward[v]
	p.trip[v] = none
	p.absent++
	p.load[t] -= p.m.vol[v]
	if p.count[t]--; p.count[t] == 0 {
		p.live--
		p.cost -= p.perTrip
		return
	}
	p.cost += p.arc[int(a)*w+int(b)]
	p.join(t, a, b)
}

// open begins a trip with a node.
func (p *plain) open(v int) int32 {
	t := p.free[len(p.free)-1]
	p.free = p.free[:len(p.free)-1]
	p.opened = append(p.opened, t)
	p.head[t], p.tail[t] = int32(p.n), int32(p.n)
	p.live++
	p.cost += p.perTrip
	p.insert(v, t, int32(p.n))
	return t
}

// insert puts a node into trip t after a, n for first.
func (p *plain) insert(v int, t, a int32) {
	w := p.n + 1
	p.touchRun(t)
	b := p.head[t]
	if int(a) != p.n {
		b = p.next[a]
	}
	p.cost += p.arc[int(a)*w+v] + p.arc[v*w+int(b)]
	if p.count[t] > 0 {
		p.cost -= p.arc[int(a)*w+int(b)]
	}
	p.touch(int32(v))
	p.trip[v] = t
	p.join(t, a, int32(v))
	p.join(t, int32(v), b)
	p.load[t] += p.m.vol[v]
	p.count[t]++
	p.absent--
}

// roll is the next number of a quick generator (see state.dice).
func (p *plain) roll() uint32 {
	p.dice ^= p.dice << 13
	p.dice ^= p.dice >> 7
	p.dice ^= p.dice << 17
	return uint32(p.dice >> 32)
}

// chance is a number over 0 and up to 1.
func (p *plain) chance() float64 { return (float64(p.roll()) + 1) / (1 << 32) }

// below is a whole number from 0 to n-1.
func (p *plain) below(n int) int { return int(uint64(p.roll()) * uint64(n) >> 32) }
