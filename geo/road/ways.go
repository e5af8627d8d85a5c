package road

import (
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
)

// Drive is a way by road: OK is false where there is none.
type Drive struct {
	Time unit.Time
	Road unit.Length
	OK   bool
}

// Matrix gives the fastest drives from each spot to each other spot, by from and to.
func (g *Graph) Matrix(from, to []Spot) [][]Drive {
	s := g.newSearch()
	out := make([][]Drive, len(from))
	for i := range from {
		s.run(from[i], to)
		out[i] = make([]Drive, len(to))
		for j := range to {
			if a := s.arrive(from[i], to[j]); !math.IsInf(a.time, 1) {
				out[i][j] = Drive{unit.Time(a.time), unit.Length(a.road), true}
			}
		}
	}
	return out
}

// Path is the fastest way from spot to spot with its line in degrees, from and to included; OK is false where there is none.
func (g *Graph) Path(from, to Spot) (Drive, orb.LineString) {
	s := g.newSearch()
	s.run(from, []Spot{to})
	a := s.arrive(from, to)
	if math.IsInf(a.time, 1) {
		return Drive{}, nil
	}
	return Drive{unit.Time(a.time), unit.Length(a.road), true}, s.line(from, to, a)
}

// search is one search for fastest ways from a spot (Dijkstra, A note on two problems in connexion with graphs, Numerische Mathematik 1, 1959).
type search struct {
	g          *Graph
	time, road []float64
	by         []int32 // the arc that led to the node, -1 for none
	from       []int32 // where it came from
	round      []int32
	open       []int32 // the round in which the node is an end of a target that is not settled
	now        int32
	heap       []entry
}

type entry struct {
	time float64
	node int32
}

func (g *Graph) newSearch() *search {
	n := len(g.nodes)
	return &search{g: g, time: make([]float64, n), road: make([]float64, n), by: make([]int32, n), from: make([]int32, n), round: make([]int32, n), open: make([]int32, n)}
}

// reached is the time at a node, +Inf when it has none.
func (s *search) reached(node int32) float64 {
	if s.round[node] != s.now {
		return math.Inf(1)
	}
	return s.time[node]
}

func (s *search) reach(node int32, time, road float64, by, from int32) {
	if time >= s.reached(node) {
		return
	}
	s.round[node], s.time[node], s.road[node], s.by[node], s.from[node] = s.now, time, road, by, from
	s.push(entry{time, node})
}

// run searches from a spot until no target can be reached sooner.
func (s *search) run(from Spot, to []Spot) {
	s.now++
	s.heap = s.heap[:0]
	for _, e := range s.g.ends(from, true) {
		s.reach(e.node, e.time, e.road, -1, -1)
	}
	open := 0
	for _, t := range to {
		for _, e := range s.g.ends(t, false) {
			if s.open[e.node] != s.now {
				s.open[e.node] = s.now
				open++
			}
		}
	}
	for len(s.heap) > 0 && open > 0 {
		e := s.pop()
		if e.time > s.time[e.node] {
			continue
		}
		if s.open[e.node] == s.now {
			s.open[e.node] = 0
			open--
		}
		for k := s.g.first[e.node]; k < s.g.first[e.node+1]; k++ {
			a := &s.g.arcs[k]
			s.reach(a.to, e.time+a.time, s.road[e.node]+s.g.segs[a.seg].length, k, e.node)
		}
	}
}

// end is a junction beside a spot and the way between them.
type end struct {
	node       int32
	time, road float64
	there      bool // away from, or to, the b end of the spot's segment
}

// ends are the junctions that one comes to from a spot, or from which one comes to it.
func (g *Graph) ends(p Spot, away bool) []end {
	if p.node >= 0 {
		return []end{{node: p.node}}
	}
	s := &g.segs[p.seg]
	b := end{s.b, (1 - p.part) * s.there, (1 - p.part) * s.length, true}
	a := end{s.a, p.part * s.back, p.part * s.length, false}
	if !away { // from a by the way there, from b by the way back
		b = end{s.b, (1 - p.part) * s.back, (1 - p.part) * s.length, true}
		a = end{s.a, p.part * s.there, p.part * s.length, false}
	}
	var out []end
	for _, e := range []end{a, b} {
		if !math.IsInf(e.time, 1) && !math.IsNaN(e.time) {
			out = append(out, e)
		}
	}
	return out
}

// arrival is how a spot is reached: by way of a junction beside it, or along the segment that both spots are on.
type arrival struct {
	time, road float64
	by         end
	direct     bool
}

func (s *search) arrive(from, to Spot) arrival {
	best := arrival{time: math.Inf(1)}
	if from.node < 0 && to.node < 0 && from.seg == to.seg {
		q := &s.g.segs[from.seg]
		part, time := to.part-from.part, q.there
		if part < 0 {
			part, time = -part, q.back
		}
		if part == 0 {
			return arrival{direct: true}
		}
		if !math.IsInf(time, 1) {
			best = arrival{time: part * time, road: part * q.length, direct: true}
		}
	}
	for _, e := range s.g.ends(to, false) {
		if t := s.reached(e.node) + e.time; t < best.time {
			best = arrival{time: t, road: s.road[e.node] + e.road, by: e}
		}
	}
	return best
}

// line is the way to an arrival.
func (s *search) line(from, to Spot, a arrival) orb.LineString {
	if a.direct {
		return append(append(orb.LineString{from.At}, s.g.piece(from.seg, from.part, to.part)...), to.At)
	}
	var back []int32 // arcs, the last first
	node := a.by.node
	for s.by[node] >= 0 {
		back = append(back, s.by[node])
		node = s.from[node]
	}
	out := orb.LineString{from.At}
	if from.node < 0 {
		edge := 0.0
		if node == s.g.segs[from.seg].b && (node != s.g.segs[from.seg].a || (1-from.part)*s.g.segs[from.seg].there <= from.part*s.g.segs[from.seg].back) {
			edge = 1
		}
		out = append(out, s.g.piece(from.seg, from.part, edge)...)
		out = append(out, s.g.nodes[node].orb())
	}
	for i := len(back) - 1; i >= 0; i-- {
		a := &s.g.arcs[back[i]]
		if a.there {
			out = append(out, s.g.piece(a.seg, 0, 1)...)
		} else {
			out = append(out, s.g.piece(a.seg, 1, 0)...)
		}
		out = append(out, s.g.nodes[a.to].orb())
	}
	if to.node < 0 {
		edge := 0.0
		if a.by.there {
			edge = 1
		}
		out = append(append(out, s.g.piece(to.seg, edge, to.part)...), to.At)
	}
	if len(out) == 1 { // from a junction to itself
		out = append(out, to.At)
	}
	return out
}

// piece are the shape points of a segment between two parts of its length, which are not in it.
func (g *Graph) piece(seg int32, from, to float64) orb.LineString {
	line := g.line(seg)
	f := planeAt(line[0].orb())
	at, total := make([]float64, len(line)), 0.0
	for i := 1; i < len(line); i++ {
		ax, ay := f.of(line[i-1])
		bx, by := f.of(line[i])
		total += math.Hypot(bx-ax, by-ay)
		at[i] = total
	}
	var out orb.LineString
	for i := 1; i < len(line)-1; i++ {
		if k := at[i] / max(total, 1e-9); k > min(from, to) && k < max(from, to) {
			out = append(out, line[i].orb())
		}
	}
	if from > to {
		out.Reverse()
	}
	return out
}

// push and pop keep the entry of least time first: a heap of four children.
func (s *search) push(e entry) {
	h := append(s.heap, e)
	i := len(h) - 1
	for i > 0 {
		up := (i - 1) / 4
		if h[up].time <= e.time {
			break
		}
		h[i] = h[up]
		i = up
	}
	h[i] = e
	s.heap = h
}

func (s *search) pop() entry {
	h := s.heap
	top, e := h[0], h[len(h)-1]
	h = h[:len(h)-1]
	i := 0
	for len(h) > 0 {
		child := 4*i + 1
		if child >= len(h) {
			break
		}
		least := child
		for k := child + 1; k < min(child+4, len(h)); k++ {
			if h[k].time < h[least].time {
				least = k
			}
		}
		if h[least].time >= e.time {
			break
		}
		h[i] = h[least]
		i = least
	}
	if len(h) > 0 {
		h[i] = e
	}
	s.heap = h
	return top
}
