package pass

import (
	"cmp"
	"math"
	"slices"

	"tankful/geo"
)

const (
	// drawnApart is how far two outlines that were drawn as one edge may lie apart, in all along a crossing, metres.
	drawnApart = 0.1
	// throughTried is how many directions of a whole group are tried, besides that of its least width.
	throughTried = 4
)

// layStrips lays the strips of what the laps leave. Parts that lie within a gun-off crossing of each other are laid each by
// itself and all in one direction, and the cheaper way stays: one direction makes one pass of a strip cut by drives.
func (w *work) layStrips(inner []region) {
	if w.setup.GunOff == 0 {
		for i := range inner {
			w.strips(&inner[i])
		}
		return
	}
	group := groups(inner, float64(w.setup.GunOff))
	for i := range inner {
		if group[i] != i {
			continue
		}
		var parts []region
		for k := range inner {
			if group[k] == i {
				parts = append(parts, inner[k])
			}
		}
		w.cheapest(parts)(w)
	}
}

// cheapest is the way of laying a group of parts that costs least once passes are joined over drives.
func (w *work) cheapest(parts []region) func(*work) {
	best := func(t *work) {
		for i := range parts {
			t.strips(&parts[i])
		}
	}
	if len(parts) == 1 {
		return best
	}
	least := w.try(best)
	var all region
	for _, r := range parts {
		all.edges = append(all.edges, r.edges...)
		all.area += r.area
	}
	directions := all.directions(all.hull(), throughTried)
	if b := w.setup.Bearing; b != nil {
		directions = []float64{math.Pi/2 - *b*math.Pi/180}
	}
	for _, theta := range directions {
		through := func(t *work) {
			b, s := bearing(theta), t.setup
			s.Bearing = &b
			l := newLayout(s, t.noWalk)
			t.section(l.lay(&all, l.best(&all)))
		}
		if c := w.try(through); c < least-cheaper {
			best, least = through, c
		}
	}
	return best
}

// try is what the group's passes cost, laid and joined apart from all else: the way along them and the turns.
func (w *work) try(lay func(*work)) (cost float64) {
	t := work{setup: w.setup, lawn: w.lawn, noWalk: w.noWalk, plan: &Plan{Setup: w.setup}}
	lay(&t)
	t.join()
	t.cross()
	for i := range t.passes {
		cost += float64(t.setup.TurnCost + lengthOf(t.passes[i].Line))
	}
	return cost
}

// cross makes one pass of two that lie in line on the two sides of a drive: the gun is shut on the way over.
func (w *work) cross() {
	if w.setup.GunOff == 0 || len(w.passes) < 2 {
		return
	}
	c := crossing{work: w, joiner: joiner{setup: w.setup, shut: true}}
	c.turf, c.hard = allEdges(regions(w.lawn.Net)), allEdges(regions(w.lawn.LeftOut[geo.Hardscape]))
	for _, s := range geo.LeftOut {
		if s != geo.Hardscape {
			c.never = append(c.never, allEdges(regions(w.lawn.LeftOut[s])))
		}
	}
	c.never = append(c.never, w.noWalk)
	if len(c.hard) == 0 {
		return
	}
	tips := c.tips(w.passes)
	next, chain := make([]int, len(tips)), make([]int, len(w.passes))
	for i := range next {
		next[i] = -1
	}
	for i := range chain {
		chain[i] = i
	}
	for _, t := range c.crossings(tips) {
		a, b := number(t.a), number(t.b)
		if next[a] >= 0 || next[b] >= 0 || chain[t.a.pass] == chain[t.b.pass] {
			continue
		}
		next[a], next[b] = b, a
		old := chain[t.b.pass]
		for i := range chain {
			if chain[i] == old {
				chain[i] = chain[t.a.pass]
			}
		}
	}
	w.passes = c.chains(w.passes, next)
	w.dropEmpty(c.went)
}

func allEdges(rs []region) (out []edge) {
	for i := range rs {
		out = append(out, rs[i].edges...)
	}
	return out
}

// crossing looks for passes that go on beyond a drive.
type crossing struct {
	joiner
	work       *work
	turf, hard []edge
	never      [][]edge // what is crossed by no pass: beds, buildings, water, ground kept off
	buf        []edge
}

// crossings is the pairs of tips between which only hardscape lies, the closest first, then the straightest, then the longest.
func (c *crossing) crossings(tips []tip) (out []joint) {
	order := slices.Clone(tips)
	slices.SortStableFunc(order, func(a, b tip) int { return cmp.Compare(a.at[0], b.at[0]) })
	most := float64(c.setup.GunOff) + fitSlack
	ps := c.work.passes
	for i, a := range order {
		for _, b := range order[i+1:] {
			if b.at[0]-a.at[0] > most {
				break
			}
			gap := dist2(a.at, b.at)
			if a.pass == b.pass || gap > most || gap < seam || ps[a.pass].Kind == Lap || ps[b.pass].Kind == Lap {
				continue
			}
			d := unitFrom(a.at, b.at)
			turn := max(math.Acos(min(max(a.out[0]*d[0]+a.out[1]*d[1], -1), 1)), math.Acos(min(max(-b.out[0]*d[0]-b.out[1]*d[1], -1), 1)))
			if turn > sharp || !c.allowed(a.at, b.at) {
				continue
			}
			length := float64(ps[a.pass].Length + ps[b.pass].Length)
			out = append(out, joint{a: a, b: b, turn: math.Round(turn * 360 / math.Pi), gap: math.Round(gap * 100), length: math.Round(length * 100)})
		}
	}
	slices.SortStableFunc(out, func(a, b joint) int {
		return cmp.Or(cmp.Compare(a.gap, b.gap), cmp.Compare(a.turn, b.turn), cmp.Compare(b.length, a.length))
	})
	return out
}

// allowed reports whether the way from a to b lies on hardscape but for turf at its ends, and on nothing that is not crossed.
func (c *crossing) allowed(a, b [2]float64) bool {
	d := unitFrom(a, b)
	x := axis{d[0], d[1]}
	u0, v := x.to(a[0], a[1])
	u1, _ := x.to(b[0], b[1])
	on := func(edges []edge) []span {
		soup := region{edges: edges}
		c.buf = soup.turned(x, c.buf)
		var out []span
		for us := crossings(c.buf, v); len(us) > 1; us = us[2:] {
			if s := (span{max(us[0], u0), min(us[1], u1)}); s.u1 > s.u0 {
				out = append(out, s)
			}
		}
		return out
	}
	for _, n := range c.never {
		if blockedLength(on(n)) > drawnApart {
			return false
		}
	}
	hard := on(c.hard)
	all := append(on(c.turf), hard...)
	slices.SortFunc(all, func(a, b span) int { return cmp.Compare(a.u0, b.u0) })
	at, bare := u0, 0.0
	for _, s := range all {
		bare += max(s.u0-at, 0)
		at = max(at, s.u1)
	}
	return blockedLength(hard) > drawnApart && bare+max(u1-at, 0) <= drawnApart
}
