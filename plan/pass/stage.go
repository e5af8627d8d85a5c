package pass

import (
	"cmp"
	"math"
	"slices"
)

// stage is the part of a strip between two chords of its way, walked in one direction. Its lanes lead from evenly spaced
// points of one chord to those of the other, so that they meet the next stage's; at the strip's ends they are parallel.
type stage struct {
	ok     bool
	theta  float64 // from the first chord to the second
	lanes  int
	length float64 // of all lanes
	bow    float64 // how far its edges bow out from straight ones, metres
	combed bool    // its lanes are strips in theta that do not heed the chords: beds lie in it, or it widens
	centre float64 // of such strips, in the axis of theta

	spacing float64 // of its lanes where they lie furthest apart, metres; not of combed ones
}

// reachable is how far from its line turf may lie: half a strip, with what fitSlack lets over.
func (t *trail) reachable() float64 { return (t.swath + fitSlack) / 2 }

// stage looks for the way to walk the turf between chords i and j with the fewest lanes.
func (t *trail) stage(i, j int) stage {
	ring := t.ringOf(i, j)
	if _, twice := centroid(ring); twice < 2*smallest {
		return stage{}
	}
	from, to := t.middles(i, j, ring)
	if dist2(from, to) < max(snug, t.swath/4) {
		return stage{}
	}
	way := unitFrom(from, to)
	best := stage{}
	switch {
	case t.holed(ring):
	case i > 0 && j < t.last():
		best = t.between(i, j, way)
	case i > 0 || j < t.last():
		for _, d := range directions(ring, way) {
			if s := t.atEnd(i, j, ring, d); s.betters(&best) {
				best = s
			}
		}
	}
	if best.ok {
		return best
	}
	for _, d := range directions(ring, way) {
		if s := t.comb(i, j, ring, d); s.betters(&best) {
			best = s
		}
	}
	best.bow = t.swath / 2 // its lanes may lie aside of the next stage's
	return best
}

// betters reports whether the stage has fewer lanes, or as many and is straighter.
func (s *stage) betters(b *stage) bool {
	return s.ok && (!b.ok || s.lanes < b.lanes || s.lanes == b.lanes && s.bow < b.bow-0.001)
}

// middles is the middle of the two chords; of the turf where there is none.
func (t *trail) middles(i, j int, ring [][2]float64) (from, to [2]float64) {
	from, _ = centroid(ring)
	to = from
	if i > 0 {
		from = t.mid(t.way[i-1])
	}
	if j < t.last() {
		to = t.mid(t.way[j-1])
	}
	return from, to
}

func (t *trail) holed(ring [][2]float64) bool {
	return slices.ContainsFunc(t.holes, func(h []edge) bool { return inRing(ring, [2]float64{h[0].ax, h[0].ay}) })
}

// on is the point a share f of chord i on from its right end.
func (t *trail) on(i int, f float64) [2]float64 {
	a, b := t.at(t.way[i-1].a), t.at(t.way[i-1].b)
	return [2]float64{a[0] + f*(b[0]-a[0]), a[1] + f*(b[1]-a[1])}
}

// lane is the outline of lane k of n between chords i and j, anticlockwise, and its line.
func (t *trail) lane(i, j, k, n int) (ring [][2]float64, from, to [2]float64) {
	f := func(k float64) float64 { return k / float64(n) }
	if k == 0 {
		ring = t.arc(t.way[i-1].a, t.way[j-1].a)
	} else {
		ring = [][2]float64{t.on(i, f(float64(k))), t.on(j, f(float64(k)))}
	}
	if k == n-1 {
		ring = append(ring, t.arc(t.way[j-1].b, t.way[i-1].b)...)
	} else {
		ring = append(ring, t.on(j, f(float64(k+1))), t.on(i, f(float64(k+1))))
	}
	return ring, t.on(i, f(float64(k)+0.5)), t.on(j, f(float64(k)+0.5))
}

// between tries lanes from chord to chord.
func (t *trail) between(i, j int, way [2]float64) stage {
	wide := max(t.way[i-1].length, t.way[j-1].length)
	side := func(i int) float64 { // how wide chord i is, square to the way
		p, q := t.on(i, 0), t.on(i, 1)
		return way[0]*(q[1]-p[1]) - way[1]*(q[0]-p[0])
	}
	n := max(int(math.Ceil((max(side(i), side(j))-2*fitSlack)/t.swath)), 1)
	for lanes := n; lanes <= n+1; lanes++ {
		s := stage{ok: true, theta: math.Atan2(way[1], way[0]), lanes: lanes, spacing: max(side(i), side(j)) / float64(lanes)}
		for k := 0; k < lanes && s.ok; k++ {
			ring, from, to := t.lane(i, j, k, lanes)
			s.add(ring, from, to, t.reachable(), wide/float64(2*lanes))
		}
		if s.ok {
			return s
		}
	}
	return stage{}
}

// add adds a lane to the stage, whose wider end is twice half; the stage is not ok when the lane's turf reaches too far from its line, or the line leaves it.
func (s *stage) add(ring [][2]float64, from, to [2]float64, reach, half float64) {
	l := dist2(from, to)
	d := unitFrom(from, to)
	if l < snug || d[0]*math.Cos(s.theta)+d[1]*math.Sin(s.theta) < math.Cos(sharpest) {
		s.ok = false
		return
	}
	far := 0.0
	for _, p := range ring {
		far = max(far, math.Abs(cross(from, to, p))/l)
	}
	if far > reach || !inLane(ring, from, to) {
		s.ok = false
		return
	}
	s.length += l
	s.bow = max(s.bow, far-max(half, reach/2))
}

// inLane reports whether the line keeps to its lane between its ends, which lie on the lane's edge.
func inLane(ring [][2]float64, from, to [2]float64) bool {
	p, q := toward(from, to), toward(to, from)
	for k, a := range ring {
		if meets(p, q, a, ring[(k+1)%len(ring)]) {
			return false
		}
	}
	return inRing(ring, p)
}

// toward is a point a hundredth of the way from a to b.
func toward(a, b [2]float64) [2]float64 {
	return [2]float64{a[0] + (b[0]-a[0])/100, a[1] + (b[1]-a[1])/100}
}

// atEnd tries lanes in direction d from the strip's end to its first chord, or from its last.
func (t *trail) atEnd(i, j int, ring [][2]float64, d [2]float64) stage {
	c := max(i, 1)
	if i == 0 {
		c = j
	}
	a := axis{d[0], d[1]}
	u0, u1 := extentOf(ring, d)
	lo, hi := extentOf(ring, [2]float64{-d[1], d[0]})
	reach := t.reachable()
	right, left := t.on(c, 0), t.on(c, 1)
	_, v0 := a.to(right[0], right[1])
	_, v1 := a.to(left[0], left[1])
	n := max(int(math.Ceil((v1-v0-2*fitSlack)/t.swath)), 1)
	for lanes := n; lanes <= n+1; lanes++ {
		half := (v1 - v0) / float64(2*lanes)
		if half > reach || half <= 0 || v0+half-lo > reach || hi-v1+half > reach {
			continue
		}
		s := stage{ok: true, theta: math.Atan2(d[1], d[0]), lanes: lanes, bow: max(v0-lo, hi-v1) - max(reach/2-half, 0), spacing: 2 * half}
		for k := range lanes {
			p := t.on(c, (float64(k)+0.5)/float64(lanes))
			u, _ := a.to(p[0], p[1])
			if i == 0 {
				s.length += u - u0
			} else {
				s.length += u1 - u
			}
		}
		s.bow = max(s.bow, 0)
		return s
	}
	return stage{}
}

// comb tries strips in direction d.
func (t *trail) comb(i, j int, ring [][2]float64, d [2]float64) stage {
	lo, hi := extentOf(ring, [2]float64{-d[1], d[0]})
	u0, u1 := extentOf(ring, d)
	from, to := t.middles(i, j, ring)
	if i > 0 {
		u0 = from[0]*d[0] + from[1]*d[1]
	}
	if j < t.last() {
		u1 = to[0]*d[0] + to[1]*d[1]
	}
	if u1-u0 < t.swath/2 {
		return stage{}
	}
	lanes := max(int(math.Ceil((hi-lo-fitSlack)/t.swath)), 1)
	return stage{ok: true, theta: math.Atan2(d[1], d[0]), lanes: lanes, length: float64(lanes) * (u1 - u0),
		bow: hi - lo, combed: true, centre: (lo + hi) / 2}
}

// directions is where a piece may be walked to: the way given, and those of its longest edges that lie near it.
func directions(ring [][2]float64, way [2]float64) [][2]float64 {
	const longest = 3
	type side struct {
		d      [2]float64
		length float64
	}
	var sides []side // the longest so far, by length
	for k, p := range ring {
		q := ring[(k+1)%len(ring)]
		d := [2]float64{q[0] - p[0], q[1] - p[1]}
		dot := d[0]*way[0] + d[1]*way[1]
		square := d[0]*d[0] + d[1]*d[1]
		if dot*dot <= square*cosSharpest*cosSharpest {
			continue
		}
		length := math.Round(math.Sqrt(square)*1000) / 1000
		if len(sides) == longest && length <= sides[longest-1].length {
			continue
		}
		if dot < 0 {
			d = [2]float64{-d[0], -d[1]}
		}
		l := math.Sqrt(square)
		sides = append(sides, side{[2]float64{d[0] / l, d[1] / l}, length})
		slices.SortStableFunc(sides, func(a, b side) int { return cmp.Compare(b.length, a.length) })
		sides = sides[:min(len(sides), longest)]
	}
	out := [][2]float64{way}
	for _, s := range sides {
		out = append(out, s.d)
	}
	return out
}

// lay gives the passes of a stage, none when it cannot be laid.
func (t *trail) lay(l *layout, s *stage, i, j int) []Pass {
	piece := t.region(i, j)
	if !s.combed {
		if ps := t.lanes(l, s, i, j, &piece); ps != nil {
			return ps
		}
	}
	laid := newLayout(l.setup, l.noWalk).lay(&piece, trial{theta: s.theta, offset: 0.5})
	if len(laid.drafts) == 0 {
		return nil
	}
	return laid.number(l.setup)
}

// lanes lays a stage that no bed lies in. A lane runs on to the last of its turf: where the next one takes it up, joining
// draws it back.
func (t *trail) lanes(l *layout, s *stage, i, j int, piece *region) []Pass {
	var out []Pass
	spare, tight := 0.0, 1.0
	if l.setup.Even { // else the throw is narrowed to the lane
		tight = t.swath / s.spacing
	}
	for k := range s.lanes {
		a, edges, v0, v1, v := newAxis(s.theta), piece.edges, math.Inf(-1), math.Inf(1), 0.0
		if i > 0 && j < t.last() {
			ring, from, to := t.lane(i, j, k, s.lanes)
			d := unitFrom(from, to)
			a, edges = axis{d[0], d[1]}, edgesOf(ring)
			_, v = a.to(from[0], from[1])
		} else {
			v0, v, v1 = t.strip(a, max(i, 1)*min(i, 1)+j*(1-min(i, 1)), k, s.lanes)
		}
		r := region{edges: edges}
		turned := r.turned(a, nil)
		lo, hi := math.Inf(1), math.Inf(-1)
		for _, e := range turned {
			lo, hi = min(lo, e.ay), max(hi, e.ay)
		}
		cells := slices.Clone(l.sweep.cut(turned, max(v0, lo-1), min(v1, hi+1)))
		area := totalArea(cells)
		if area < sliver {
			spare += area
			continue
		}
		start, end := cells[0].u0, cells[0].u1
		for _, c := range cells {
			end = max(end, c.u1)
		}
		walls := region{edges: l.noWalk}
		w := walker{swath: t.swath, sideStep: float64(l.setup.SideStep), noWalk: walls.turned(a, nil)}
		if len(w.blocked(cells, start, end, v)) > 0 {
			return nil
		}
		out = append(out, Pass{Kind: Straight, legs: []leg{{axis: a, cells: cells, line: []point{{start, v}, {end, v}}, tight: tight}}})
	}
	if len(out) > 0 {
		out[0].legs[0].extra += spare
	}
	for k := range out {
		out[k].fill(l.setup)
	}
	return out
}

// strip is where lane k of n lies at an end of the strip, by the points of chord c: its right border, line and left border.
func (t *trail) strip(a axis, c, k, n int) (v0, v, v1 float64) {
	at := func(f float64) float64 {
		p := t.on(c, f/float64(n))
		_, v := a.to(p[0], p[1])
		return v
	}
	v0, v, v1 = at(float64(k)), at(float64(k)+0.5), at(float64(k+1))
	if k == 0 {
		v0 = math.Inf(-1)
	}
	if k == n-1 {
		v1 = math.Inf(1)
	}
	return v0, v, v1
}
