package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

const (
	// bent is the turn from which a pass is no longer straight, radians.
	bent = 2 * math.Pi / 180
	// mostLost is the turf that may fall out of reach where two passes are joined, square metres, and lostShare what part of the
	// smaller pass.
	mostLost  = 0.012
	lostShare = 0.001
	// stance is the least of a stretch that joining may leave, metres.
	stance = 0.05
)

// join makes one pass of two where a strip goes on in the next section. A section all of whose passes went on in others is
// left out; its turf counts with theirs.
func (w *work) join() {
	j := joiner{noWalk: w.noWalk, setup: w.setup}
	for _, r := range regions(w.lawn.Net) {
		j.turf.edges = append(j.turf.edges, r.edges...)
	}
	w.passes = j.join(w.passes)
	w.dropEmpty(j.went)
}

// dropEmpty leaves out sections without passes; went says in which section the passes of another went on.
func (w *work) dropEmpty(went map[int]int) {
	count := make([]int, len(w.plan.Sections))
	for i := range w.passes {
		count[w.passes[i].Section]++
	}
	moved := make([]int, len(count))
	var kept []Section
	for i, s := range w.plan.Sections {
		if moved[i] = len(kept); count[i] > 0 {
			kept = append(kept, s)
		}
	}
	for i, s := range w.plan.Sections {
		if count[i] == 0 {
			k := &kept[moved[went[i]]]
			k.Area, k.Spacing = k.Area+s.Area, min(k.Spacing, s.Spacing)
		}
	}
	for i := range w.passes {
		w.passes[i].Section = moved[w.passes[i].Section]
	}
	w.plan.Sections = kept
}

// joiner joins passes end to end.
type joiner struct {
	turf   region // what may be walked; its edges are all that counts
	noWalk []edge
	setup  Setup
	shut   bool        // the gun is off from one pass to the next
	went   map[int]int // the section in which the last pass of each section that lost one went on
}

// tip is an end of a pass.
type tip struct {
	pass int
	back bool       // its beginning
	at   [2]float64 // where it is
	out  [2]float64 // the walk's direction beyond it
}

// joint is two tips that may be joined, and how well they meet.
type joint struct {
	a, b                   tip
	turn, gap, length, out float64 // rounded, so that noise does not decide; out is how far it lies from the middle of all tips
}

// join joins what meets: the straightest first, then the closest, then the longest.
func (j *joiner) join(ps []Pass) []Pass {
	tips := j.tips(ps)
	next := make([]int, len(tips)) // the tip that each is joined to
	chain := make([]int, len(ps))
	for i := range next {
		next[i] = -1
	}
	for i := range chain {
		chain[i] = i
	}
	for _, t := range j.joints(ps, tips) {
		a, b := number(t.a), number(t.b)
		if next[a] >= 0 || next[b] >= 0 || chain[t.a.pass] == chain[t.b.pass] || !j.meet(ps, t.a, t.b) {
			continue
		}
		next[a], next[b] = b, a
		old, now := chain[t.b.pass], chain[t.a.pass]
		for i := range chain {
			if chain[i] == old {
				chain[i] = now
			}
		}
	}
	return j.chains(ps, next)
}

// number counts the tips: those of pass i are 2i, its beginning, and 2i+1.
func number(t tip) int {
	if t.back {
		return 2 * t.pass
	}
	return 2*t.pass + 1
}

func (j *joiner) tips(ps []Pass) []tip {
	out := make([]tip, 0, 2*len(ps))
	for i := range ps {
		l := ps[i].Line
		n := len(l)
		ends := [2][2]geom.Coord{{l[1], l[0]}, {l[n-2], l[n-1]}}
		for k, e := range ends {
			p, q := [2]float64{e[0][0], e[0][1]}, [2]float64{e[1][0], e[1][1]}
			out = append(out, tip{i, k == 0, q, unitFrom(p, q)})
		}
	}
	return out
}

// joints is the pairs of tips that face each other.
func (j *joiner) joints(ps []Pass, tips []tip) []joint {
	w := float64(j.setup.Swath)
	order := slices.Clone(tips)
	slices.SortStableFunc(order, func(a, b tip) int { return cmp.Compare(a.at[0], b.at[0]) })
	var out []joint
	var middle [2]float64
	for _, t := range tips {
		middle[0] += t.at[0] / float64(len(tips))
		middle[1] += t.at[1] / float64(len(tips))
	}
	for i, a := range order {
		for _, b := range order[i+1:] {
			if b.at[0]-a.at[0] > 2*w {
				break
			}
			if a.pass == b.pass || ps[a.pass].Kind == Lap || ps[b.pass].Kind == Lap {
				continue
			}
			if t, ok := j.facing(a, b, w); ok {
				t.length = math.Round(float64(ps[a.pass].Length+ps[b.pass].Length) * 100)
				t.out = math.Round(1000 * (dist2(middle, a.at) + dist2(middle, b.at)))
				out = append(out, t)
			}
		}
	}
	slices.SortStableFunc(out, func(a, b joint) int {
		return cmp.Or(cmp.Compare(a.turn, b.turn), cmp.Compare(a.gap, b.gap), cmp.Compare(b.length, a.length), cmp.Compare(b.out, a.out))
	})
	return out
}

// facing reports whether the walk that leaves by a could go on by b: it turns by at most 30 degrees, steps aside by
// at most half a swath, and the gap is not longer; where a cut is slanted the ends overlap.
func (j *joiner) facing(a, b tip, w float64) (joint, bool) {
	turn := math.Acos(min(max(-a.out[0]*b.out[0]-a.out[1]*b.out[1], -1), 1))
	if turn > sharpest+1e-6 {
		return joint{}, false
	}
	d := between(a.out, b.out)
	dx, dy := b.at[0]-a.at[0], b.at[1]-a.at[1]
	along, aside := dx*d[0]+dy*d[1], math.Abs(dy*d[0]-dx*d[1])
	if along > w/2 || along < -1.5*w || aside > w/2 {
		return joint{}, false
	}
	gap := math.Hypot(max(along, 0), aside)
	return joint{a: a, b: b, turn: math.Round(turn * 360 / math.Pi), gap: math.Round(gap * 100)}, true
}

// between is the direction halfway from a to the opposite of b.
func between(a, b [2]float64) [2]float64 {
	x, y := a[0]-b[0], a[1]-b[1]
	l := math.Hypot(x, y)
	return [2]float64{x / l, y / l}
}

// meet moves the two tips to where the walks are joined, if there is a way of joining them that stays on the turf and
// loses none.
func (j *joiner) meet(ps []Pass, a, b tip) bool {
	p, q := &ps[a.pass], &ps[b.pass]
	before := [][][2]float64{pathTo(p, a.back), pathTo(q, b.back)}
	most := min(mostLost, lostShare*float64(min(p.Area, q.Area)))
	for _, at := range j.places(a, b) {
		x, ok := moved(before[0], at[0])
		y, fits := moved(before[1], at[1])
		if !ok || !fits {
			continue
		}
		whole := append(slices.Clone(x), reversed(y)...)
		if j.walkable(a.at, at[0], at[1], b.at) && j.lost(p.endLeg(a.back), a, before, whole)+j.lost(q.endLeg(b.back), b, before, whole) <= most {
			p.setEnd(a.back, at[0])
			q.setEnd(b.back, at[1])
			return true
		}
	}
	return false
}

// places is where the ends could be moved to, best first: to where the two lines cross; slantwise from one to the
// other; square across, in the middle of their overlap or gap.
func (j *joiner) places(a, b tip) [][2][2]float64 {
	w := float64(j.setup.Swath)
	var out [][2][2]float64
	det := a.out[0]*b.out[1] - a.out[1]*b.out[0]
	dx, dy := b.at[0]-a.at[0], b.at[1]-a.at[1]
	if math.Abs(det) > 0.01 {
		s, t := (dx*b.out[1]-dy*b.out[0])/det, (dx*a.out[1]-dy*a.out[0])/det
		if s < w/2 && t < w/2 && s > -2*w && t > -2*w {
			x := [2]float64{a.at[0] + s*a.out[0], a.at[1] + s*a.out[1]}
			out = append(out, [2][2]float64{x, x})
		}
	}
	d := between(a.out, b.out)
	mid := ((a.at[0]+b.at[0])*d[0] + (a.at[1]+b.at[1])*d[1]) / 2
	aside := math.Abs(dy*d[0] - dx*d[1])
	for _, slant := range []float64{1, 0.5, 0.25, 0} {
		back := slant * aside
		out = append(out, [2][2]float64{a.reach(d, mid-back), b.reach(d, mid+back)})
	}
	return out
}

// reach is the point of the tip's line that lies at x in direction d.
func (t *tip) reach(d [2]float64, x float64) [2]float64 {
	s := (x - t.at[0]*d[0] - t.at[1]*d[1]) / (t.out[0]*d[0] + t.out[1]*d[1])
	return [2]float64{t.at[0] + s*t.out[0], t.at[1] + s*t.out[1]}
}

// pathTo is the walk of the pass's last leg towards its end, or towards its beginning.
func pathTo(p *Pass, back bool) [][2]float64 {
	l := p.endLeg(back)
	out := make([][2]float64, len(l.line))
	for i, q := range l.line {
		c := l.axis.from(q.u, q.v)
		out[i] = [2]float64{c[0], c[1]}
	}
	if back {
		slices.Reverse(out)
	}
	return out
}

func (p *Pass) endLeg(back bool) *leg {
	if back {
		return &p.legs[0]
	}
	return &p.legs[len(p.legs)-1]
}

// setEnd moves an end of the pass along its line; drafts may share the line.
func (p *Pass) setEnd(back bool, to [2]float64) {
	l := p.endLeg(back)
	l.line = slices.Clone(l.line)
	u, v := l.axis.to(to[0], to[1])
	if back {
		l.line[0] = point{u, v}
	} else {
		l.line[len(l.line)-1] = point{u, v}
	}
}

// moved is the path with its end moved; false when nothing of its last stretch would be left.
func moved(path [][2]float64, to [2]float64) ([][2]float64, bool) {
	n := len(path)
	a, d := path[n-2], unitFrom(path[n-2], path[n-1])
	if !((to[0]-a[0])*d[0]+(to[1]-a[1])*d[1] >= stance) { // no direction: nothing is left either
		return nil, false
	}
	out := slices.Clone(path)
	out[n-1] = to
	return out, true
}

func reversed(path [][2]float64) [][2]float64 {
	out := slices.Clone(path)
	slices.Reverse(out)
	return out
}

// walkable reports whether the way from a's end over the joint to b's end stays on the turf, crosses no wall and runs along
// none. Where the ends are drawn back it runs over what was walked before.
func (j *joiner) walkable(way ...[2]float64) bool {
	const step, foot = 0.1, 0.02 // metres
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range way {
		lo, hi = min(lo, p[1]-foot), max(hi, p[1]+foot)
	}
	turf, walls := j.turf.level(lo, hi), (&region{edges: j.noWalk}).level(lo, hi)
	for i := 1; i < len(way); i++ {
		p, q := way[i-1], way[i]
		for _, e := range walls.edges {
			if e.crosses(point{p[0], p[1]}, point{q[0], q[1]}) {
				return false
			}
		}
		n := samples(dist2(p, q), step)
		for k := range n + 1 {
			f := float64(k) / float64(n)
			x, y := p[0]+f*(q[0]-p[0]), p[1]+f*(q[1]-p[1])
			if turf.clearance(x, y) < -foot || 0 < k && k < n && walls.clearance(x, y) > -grazing {
				return false
			}
		}
	}
	return true
}

// lost is the turf of the leg near its tip that the two walks reached and their joint does not.
func (j *joiner) lost(l *leg, t tip, before [][][2]float64, whole [][2]float64) (area float64) {
	w := float64(j.setup.Swath)
	half := w/2 + fitSlack/2
	u, _ := l.axis.to(t.at[0], t.at[1])
	return unreached(within(l.cells, span{u - 1.5*w, u + 1.5*w}), w/24, func(u, v float64) bool {
		g := l.axis.from(u, v)
		p := [2]float64{g[0], g[1]}
		return reaches(whole, p, half) || !reaches(before[0], p, half) && !reaches(before[1], p, half)
	})
}

// unreached is the area of the cells where reached is false, by points a step apart at most.
func unreached(cells []cell, step float64, reached func(u, v float64) bool) (area float64) {
	for _, c := range cells {
		nu := samples(c.u1-c.u0, step)
		for i := range nu {
			u := c.u0 + (float64(i)+0.5)*(c.u1-c.u0)/float64(nu)
			lo, hi := c.at(u)
			nv := samples(hi-lo, step)
			for k := range nv {
				if !reached(u, lo+(float64(k)+0.5)*(hi-lo)/float64(nv)) {
					area += (c.u1 - c.u0) / float64(nu) * (hi - lo) / float64(nv)
				}
			}
		}
	}
	return area
}

// samples is in how many parts of at most the step a length is looked at; a length of whole steps, as the height of a full strip, is
// so many whatever its noise.
func samples(l, step float64) int { return max(1, int(math.Ceil(l/step-1e-6))) }

// reaches reports whether the point lies in the swath along the path, which is cut square at its ends and round at its bends.
func reaches(path [][2]float64, p [2]float64, half float64) bool {
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		l := dist2(a, b)
		if l > 0 {
			along := ((p[0]-a[0])*(b[0]-a[0]) + (p[1]-a[1])*(b[1]-a[1])) / l
			if along >= 0 && along <= l && math.Abs(cross(a, b, p))/l <= half {
				return true
			}
		}
		if i > 1 && dist2(a, p) <= half {
			return true
		}
	}
	return false
}

// chains puts the joined passes together: next is the tip that each tip is joined to, or -1.
func (j *joiner) chains(ps []Pass, next []int) []Pass {
	used := make([]bool, len(ps))
	j.went = map[int]int{}
	var out []Pass
	for i := range ps {
		if used[i] {
			continue
		}
		first := i
		for in := 2 * i; next[in] >= 0; { // back to the chain's beginning, by the ends that passes begin with
			in = next[in] ^ 1
			first = in / 2
			if next[in] < 0 {
				if in%2 == 1 {
					ps[first].turnRound(next, first)
				}
				break
			}
		}
		chain := []Pass{ps[first]}
		used[first] = true
		for at := 2*first + 1; next[at] >= 0; at = next[at] ^ 1 {
			k := next[at] / 2
			used[k] = true
			p := ps[k]
			if next[at]%2 == 1 {
				p.reverse()
			}
			chain = append(chain, p)
		}
		out = append(out, j.merge(chain))
	}
	return out
}

// turnRound reverses pass k and its two tips.
func (p *Pass) turnRound(next []int, k int) {
	p.reverse()
	a, b := next[2*k], next[2*k+1]
	next[2*k], next[2*k+1] = b, a
	if a >= 0 {
		next[a] = 2*k + 1
	}
	if b >= 0 {
		next[b] = 2 * k
	}
}

// merge makes one pass of a chain.
func (j *joiner) merge(chain []Pass) Pass {
	p := chain[0]
	if len(chain) == 1 {
		return p
	}
	largest := p.Area
	p.legs = slices.Clone(p.legs)
	for _, q := range chain[1:] {
		p.legs[len(p.legs)-1].off = j.shut
		p.legs = append(p.legs, q.legs...)
		if q.Area > largest {
			largest, p.Section = q.Area, q.Section
		}
	}
	for _, q := range chain {
		j.went[q.Section] = p.Section
	}
	p.Kind = Straight
	p.legs = straightened(p.legs)
	for i := range p.legs[1:] {
		a, b := &p.legs[i], &p.legs[i+1]
		if math.Abs(math.Remainder(a.heading()-b.heading(), 2*math.Pi)) > bent {
			p.Kind = Follow
		}
	}
	p.fill(j.setup)
	return p
}

// straightened makes one leg of those that go straight on: beside a slanted cut, turf of the next leg lies behind the walk before
// that leg begins.
func straightened(legs []leg) []leg {
	const parallel = 1e-6 // radians: 0.1 mm in 100 m
	out := legs[:1:1]
	for _, l := range legs[1:] {
		last := &out[len(out)-1]
		if last.off || math.Abs(math.Remainder(l.heading()-last.heading(), 2*math.Pi)) > parallel {
			out = append(out, l)
			continue
		}
		last.cells, last.line = slices.Clone(last.cells), slices.Clone(last.line)
		for _, c := range l.cells {
			last.cells = append(last.cells, c.onto(l.axis, last.axis))
		}
		slices.SortStableFunc(last.cells, func(a, b cell) int { return cmp.Compare(a.u0, b.u0) })
		for _, q := range l.line {
			at := l.axis.from(q.u, q.v)
			u, v := last.axis.to(at[0], at[1])
			last.line = append(last.line, point{u, v})
		}
		last.extra += l.extra
		last.off = l.off
	}
	return out
}

// onto is the cell of axis a in axis b, which is parallel to it.
func (c *cell) onto(a, b axis) cell {
	u, v := (c.u0+c.u1)/2, (c.lo0+c.hi1)/2
	at := a.from(u, v)
	x, y := b.to(at[0], at[1])
	if a.c*b.c+a.s*b.s < 0 {
		return cell{x + u - c.u1, x + u - c.u0, y + v - c.hi1, y + v - c.hi0, y + v - c.lo1, y + v - c.lo0}
	}
	return cell{x - u + c.u0, x - u + c.u1, y - v + c.lo0, y - v + c.lo1, y - v + c.hi0, y - v + c.hi1}
}

// heading is the direction in which the leg is walked, radians anticlockwise from east.
func (l *leg) heading() float64 {
	t := math.Atan2(l.axis.s, l.axis.c)
	if l.line[0].u > l.line[len(l.line)-1].u {
		t += math.Pi
	}
	return t
}
