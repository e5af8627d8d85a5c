package pass

import (
	"cmp"
	"math"
	"slices"
)

const (
	// narrow is the mean width, twice the area over the edge, in swaths, below which turf may be a strip that is walked
	// along its edge: straight passes over such strips that bend waste 40 to 75 % (measured on verges).
	narrow = 2
	// sharpest is the turn at which a walk goes on, radians: beyond 30 degrees its strip's outer corner is out of reach.
	sharpest = 30 * math.Pi / 180
	// cosSharpest is its cosine, half the root of 3.
	cosSharpest = 1.7320508075688772 / 2
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
	for _, o := range outlines(r.rings()) {
		if res, c, fits := l.trail(r, &o); fits && c < cost-0.01 {
			best, cost, ok = res, c, true
		}
	}
	return best, cost, ok
}

// outlines is the ways to see a strip in the rings: the shell with beds in it; with one hole also what lies round it, cut open.
func outlines(rings [][][2]float64) []outline {
	var shells, holes [][][2]float64
	for _, r := range rings {
		if _, twice := centroid(r); twice > 0 {
			shells = append(shells, r)
		} else {
			holes = append(holes, r)
		}
	}
	if len(shells) != 1 {
		return nil
	}
	o := outline{ring: shells[0]}
	for _, h := range holes {
		o.holes = append(o.holes, edgesOf(h))
	}
	out := []outline{o}
	if len(holes) == 1 {
		out = append(out, open(shells[0], holes[0])...)
	}
	return out
}

// bridge is a way from a corner of a hole to the nearest point of the shell.
type bridge struct {
	corner, side int     // of the hole, of the shell
	share        float64 // of the side
	// Keys that stay when the lawn is turned: length and distance from the hole's middle in millimetres, turn in 5 degrees.
	length, out, turn float64
}

// open cuts what lies between two rings across: where it is narrowest, and at the sharpest corners of the inner ring.
func open(shell, hole [][2]float64) []outline {
	const tries = 3
	middle, _ := centroid(hole)
	var all []bridge
	for j, p := range hole {
		b := bridge{corner: j, length: math.Inf(1), out: math.Round(dist2(middle, p) * 1000)}
		for k, a := range shell {
			t, d := onto(a, shell[(k+1)%len(shell)], p)
			if d = math.Round(d * 1000); d < b.length {
				b.side, b.share, b.length = k, t, d
			}
		}
		in, out := unitFrom(hole[(j+len(hole)-1)%len(hole)], p), unitFrom(p, hole[(j+1)%len(hole)])
		b.turn = math.Round(math.Acos(min(max(in[0]*out[0]+in[1]*out[1], -1), 1)) * 36 / math.Pi)
		all = append(all, b)
	}
	narrow := func(a, b bridge) int {
		return cmp.Or(cmp.Compare(a.length, b.length), cmp.Compare(b.turn, a.turn), cmp.Compare(a.out, b.out))
	}
	sharp := func(a, b bridge) int { return cmp.Or(cmp.Compare(b.turn, a.turn), narrow(a, b)) }
	var out []outline
	seen := map[int]bool{}
	for _, by := range []func(a, b bridge) int{narrow, sharp} {
		slices.SortStableFunc(all, by)
		for _, b := range all[:min(len(all), tries)] {
			if !seen[b.corner] {
				seen[b.corner] = true
				out = append(out, b.cut(shell, hole))
			}
		}
	}
	return out
}

// cut opens the rings at the bridge: the ring goes round the shell, over the bridge, round the hole and back.
func (b *bridge) cut(shell, hole [][2]float64) outline {
	i, j := (b.side+1)%len(shell), b.corner
	p, q := shell[b.side], shell[i]
	l := dist2(p, q)
	ring := append(slices.Clone(shell[i:]), shell[:i]...) // from the far end of the side round to its near end
	switch {
	case b.share*l < snug:
		ring = append([][2]float64{p}, ring...)
	case (1-b.share)*l < snug:
		ring = append(ring, q)
	default:
		at := [2]float64{p[0] + b.share*(q[0]-p[0]), p[1] + b.share*(q[1]-p[1])}
		ring = append(append([][2]float64{at}, ring...), at)
	}
	first := len(ring) - 1
	ring = append(append(ring, hole[j:]...), hole[:j+1]...)
	return outline{ring: ring, cut: []int{first, len(ring) - 1}}
}

// trail is a strip with its chords in order, from the beginning to the end of its ring, and a way over some of them.
type trail struct {
	*outline
	way []chord
	// first and final say that an edge of the ring is the first or last chord: the strip begins or ends with it.
	first, final bool
	swath        float64
	turn         float64 // cost of a pass
}

func (l *layout) trail(r *region, o *outline) (result, float64, bool) {
	t := trail{outline: o, swath: float64(l.setup.Swath), turn: float64(l.setup.TurnCost)}
	if t.way = o.sorted(o.chords()); len(t.way) == 0 {
		return result{}, 0, false
	}
	t.thin()
	t.way, t.first, t.final = o.capped(t.way)
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
	r.measure()
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
			if i == 0 || i == 1 && t.first {
				cost[i*n+j], from[i*n+j] = t.cost(&s, s.lanes), -1
			}
			for h := range i {
				b := &all[h*n+i]
				if c := cost[h*n+i] + t.cost(&s, t.begun(b, &s, i)) + knotCost; b.ok && c < cost[i*n+j]-1e-6 {
					cost[i*n+j], from[i*n+j] = c, h
				}
			}
		}
	}
	i, end, least := 0, n-1, math.Inf(1)
	for _, j := range []int{n - 1, n - 2} {
		for k := range j {
			if c := cost[k*n+j]; c < least-1e-6 && (j == n-1 || t.final) {
				i, end, least = k, j, c
			}
		}
	}
	if math.IsInf(least, 1) {
		return nil, nil
	}
	knots = []int{end}
	for j := end; i >= 0; {
		knots, stages = append(knots, i), append(stages, all[i*n+j])
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
