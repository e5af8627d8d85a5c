package pass

import (
	"math"
	"slices"
)

const (
	// narrow is the mean width, twice the area over the edge, in swaths, below which turf may be a strip that is walked
	// along its edge: straight passes over such strips that bend waste 40 to 75 % (measured on verges).
	narrow = 2
	// sharpest is the turn at which a walk goes on, radians: beyond 30 degrees its strip's outer corner is out of reach.
	sharpest = 30 * math.Pi / 180
	// knotCost is what one more bend costs in walking, metres; between equal plans the straighter one is better.
	knotCost = 0.2
	// bowCost is what a lane costs more, as a share, for each swath that the strip's edge bows away from it: a walk keeps to
	// the middle of its lane where that takes few bends.
	bowCost = 0.2
	// smallest is the least turf between two bends, square metres.
	smallest = 1.0
)

// follow lays a region that is a narrow strip along its edge: the strip is cut across where it bends, each piece is laid
// in its own direction, and the lanes of neighbouring pieces are joined. It gives the passes and what they cost, length and turns;
// false for a region that is no strip, one that is combed as well, or where the direction is given.
func (l *layout) follow(r *region) (best result, cost float64, ok bool) {
	edge := 0.0
	for _, e := range r.edges {
		edge += math.Hypot(e.bx-e.ax, e.by-e.ay)
	}
	if l.setup.Bearing != nil || len(r.edges) > fullest || 2*r.area >= narrow*float64(l.setup.Swath)*edge {
		return result{}, 0, false
	}
	cost = math.Inf(1)
	for _, o := range outlines(rings(r.edges)) {
		if res, c, fits := l.trail(r, &o); fits && c < cost-0.01 {
			best, cost, ok = res, c, true
		}
	}
	return best, cost, ok
}

// outlines is the ways to see a strip in the rings: the shell with beds in it; with one hole also what lies round it, cut open.
func outlines(rs []([]edge)) []outline {
	shell := slices.IndexFunc(rs, func(r []edge) bool { return signedArea(r) > 0 })
	if shell < 0 {
		return nil
	}
	holes := slices.Delete(slices.Clone(rs), shell, shell+1)
	if slices.ContainsFunc(holes, func(r []edge) bool { return signedArea(r) > 0 }) {
		return nil
	}
	out := []outline{{ring: corners(rs[shell]), holes: holes}}
	if len(holes) == 1 {
		out = append(out, open(corners(rs[shell]), corners(holes[0]))...)
	}
	return out
}

// open cuts what lies between two rings across: where it is narrowest, and at the sharpest corner of the inner ring.
func open(shell, hole [][2]float64) []outline {
	narrowest, sharp := [2]int{}, [2]int{}
	least, turn := math.Inf(1), -1.0
	for j, q := range hole {
		near, k := math.Inf(1), 0
		for i, p := range shell {
			if d := dist2(p, q); d < near-1e-6 {
				near, k = d, i
			}
		}
		if near < least-0.01 {
			least, narrowest = near, [2]int{k, j}
		}
		a, b := unitFrom(hole[(j+len(hole)-1)%len(hole)], q), unitFrom(q, hole[(j+1)%len(hole)])
		if t := math.Round(math.Acos(min(max(a[0]*b[0]+a[1]*b[1], -1), 1)) * 36 / math.Pi); t > turn {
			turn, sharp = t, [2]int{k, j}
		}
	}
	out := []outline{openAt(shell, hole, narrowest)}
	if sharp != narrowest {
		out = append(out, openAt(shell, hole, sharp))
	}
	return out
}

func openAt(shell, hole [][2]float64, at [2]int) outline {
	i, j := at[0], at[1]
	ring := append(slices.Clone(shell[i:]), shell[:i+1]...)
	first := len(ring) - 1
	ring = append(append(ring, hole[j:]...), hole[:j+1]...)
	return outline{ring: ring, cut: []int{first, len(ring) - 1}}
}

// trail is a strip with its chords in order, from the beginning to the end of its ring, and a way over some of them.
type trail struct {
	*outline
	way   []chord
	swath float64
	turn  float64 // cost of a pass
}

func (l *layout) trail(r *region, o *outline) (result, float64, bool) {
	t := trail{outline: o, swath: float64(l.setup.Swath), turn: float64(l.setup.TurnCost)}
	t.way = o.sorted(o.chords())
	t.thin()
	if len(t.way) == 0 {
		return result{}, 0, false
	}
	knots, stages := t.best()
	if len(stages) < 2 { // combing does as well
		return result{}, 0, false
	}
	res := result{region: *r}
	area, longest := 0.0, 0.0
	for i, s := range stages {
		ps := t.lay(l, &s, knots[i], knots[i+1])
		if ps == nil {
			return result{}, 0, false
		}
		for j := range ps {
			area += float64(ps[j].Area)
		}
		res.passes = append(res.passes, ps...)
		if s.length > longest {
			longest, res.theta = s.length, s.theta
		}
	}
	if math.Abs(area-r.area) > 1e-10*r.area {
		return result{}, 0, false // a chord that is none
	}
	j := joiner{turf: region{edges: r.edges}, noWalk: l.noWalk, setup: l.setup}
	res.passes = j.join(res.passes)
	cost := 0.0
	for i := range res.passes {
		cost += t.turn + float64(lengthOf(res.passes[i].Line))
	}
	return res, cost, true
}

// thin leaves out chords that lie close together, where there are more than can be tried.
func (t *trail) thin() {
	if len(t.way) <= mostChords {
		return
	}
	apart := wayLength(t.outline, t.way) / mostChords
	kept := t.way[:1]
	for _, c := range t.way[1:] {
		if dist2(t.mid(kept[len(kept)-1]), t.mid(c)) >= apart {
			kept = append(kept, c)
		}
	}
	t.way = kept
}

// last is the number of the strip's end; 0 is its beginning, and its chords lie between.
func (t *trail) last() int { return len(t.way) + 1 }

// ringOf is the outline's corners between two chords, anticlockwise.
func (t *trail) ringOf(i, j int) [][2]float64 {
	n := len(t.ring)
	switch {
	case i == 0 && j == t.last():
		return t.ring
	case i == 0:
		return t.arc(t.way[j-1].b, t.way[j-1].a+n)
	case j == t.last():
		return t.arc(t.way[i-1].a, t.way[i-1].b)
	}
	a, b := t.way[i-1], t.way[j-1]
	out := t.arc(a.a, b.a)
	return append(out, t.arc(b.b, a.b)...)
}

func (t *trail) arc(from, to int) [][2]float64 {
	out := make([][2]float64, 0, to-from+1)
	for i := from; i <= to; i++ {
		out = append(out, t.at(i))
	}
	return out
}

// region is the turf between two chords.
func (t *trail) region(i, j int) region {
	ring := t.ringOf(i, j)
	r := region{edges: edgesOf(ring)}
	for _, h := range t.holes {
		if inRing(ring, [2]float64{h[0].ax, h[0].ay}) {
			r.edges = append(r.edges, h...)
		}
	}
	r.area = signedArea(r.edges)
	return r
}

// best chooses the chords at which the strip is cut: the sum of lanes x length, of the passes begun and of the bends is least.
func (t *trail) best() (knots []int, stages []stage) {
	n := t.last() + 1
	all := make([]stage, n*n)
	cost := make([]float64, n*n) // up to the end of the stage from i to j
	from := make([]int, n*n)
	for j := 1; j < n; j++ {
		for i := range j {
			s := t.stage(i, j)
			all[i*n+j] = s
			cost[i*n+j] = math.Inf(1)
			if !s.ok {
				continue
			}
			if i == 0 {
				cost[j] = t.cost(&s, s.lanes)
			}
			for h := range i {
				b := &all[h*n+i]
				if c := cost[h*n+i] + t.cost(&s, t.begun(b, &s, i)) + knotCost; b.ok && c < cost[i*n+j]-1e-6 {
					cost[i*n+j], from[i*n+j] = c, h
				}
			}
		}
	}
	end, i := n-1, 0
	for k := range end {
		if cost[k*n+end] < cost[i*n+end]-1e-6 {
			i = k
		}
	}
	if math.IsInf(cost[i*n+end], 1) {
		return nil, nil
	}
	knots = []int{end}
	for j := end; ; {
		knots, stages = append(knots, i), append(stages, all[i*n+j])
		if i == 0 {
			break
		}
		i, j = from[i*n+j], i
	}
	slices.Reverse(knots)
	slices.Reverse(stages)
	return knots, stages
}

func (t *trail) cost(s *stage, begun int) float64 {
	return s.length*(1+bowCost*s.bow/t.swath) + float64(begun)*t.turn
}

// begun is how many passes begin with stage b after a, which meet at chord i: all of them where the walk would turn too
// sharply or step too far aside.
func (t *trail) begun(a, b *stage, i int) int {
	if math.Abs(math.Remainder(b.theta-a.theta, 2*math.Pi)) > sharpest {
		return b.lanes
	}
	p := t.mid(t.way[i-1])
	off := func(s *stage) float64 {
		if !s.combed {
			return 0
		}
		_, v := newAxis(s.theta).to(p[0], p[1])
		return v - s.centre
	}
	if math.Abs(off(a)-off(b)) > t.swath/2 {
		return b.lanes
	}
	return max(b.lanes-a.lanes, 0)
}
