package ruin

import "math"

// ruin takes out strings as state.ruin does.
func (p *plain) ruin() {
	p.out = p.out[:0]
	if p.absent > 0 {
		for v := range p.n {
			if p.trip[v] == none {
				p.out = append(p.out, int32(v))
			}
		}
	}
	if p.live == 0 {
		return
	}
	long := math.Min(longString, float64(p.n-len(p.out))/float64(p.live))
	strings := int(p.chance()*(4*meanOut/(1+long)-1) + 1)
	seed := p.below(p.n)
	if p.string(int32(seed), long) {
		strings--
	}
	for _, v := range p.m.near[seed] {
		if strings <= 0 {
			break
		}
		if t := p.trip[v]; t != none && p.ruined[t] != p.trial && p.string(v, long) {
			strings--
		}
	}
}

// string takes a string of nodes with v in it out of its trip, once a trial; it may leave some in its middle.
func (p *plain) string(v int32, long float64) bool {
	t := p.trip[v]
	if t == none || p.ruined[t] == p.trial {
		return false
	}
	p.ruined[t] = p.trial
	n := int(p.count[t])
	l := min(int(p.chance()*math.Min(float64(n), long)+1), n)
	keep := 0
	if l > 1 && l < n && p.roll()&1 == 0 {
		keep = 1
		for l+keep < n && p.roll() > blink {
			keep++
		}
	}
	all := l + keep
	// The string begins as many nodes before v as chance says, within the trip.
	back, ahead := int32(v), 0
	for ahead < all-1 && int(p.prev[back]) != p.n {
		back = p.prev[back]
		ahead++
	}
	follow, behind := v, 0
	for behind < all-1 && int(p.next[follow]) != p.n {
		follow = p.next[follow]
		behind++
	}
	room := ahead + behind + 1 - all
	for range p.below(room + 1) {
		back = p.next[back]
	}
	gap := all
	if keep > 0 {
		gap = p.below(l + 1)
	}
	for i := range all {
		u := back
		back = p.next[u]
		if i < gap || i >= gap+keep {
			p.take(u)
			p.out = append(p.out, u)
		}
	}
	return true
}

// recreate puts the nodes that are out back, one by one, each where it costs least.
func (p *plain) recreate() {
	p.sortOut()
	for _, v := range p.out {
		p.place(int(v))
	}
}

// sortOut is the order of going back, as state's.
func (p *plain) sortOut() {
	for i := len(p.out) - 1; i > 0; i-- {
		j := p.below(i + 1)
		p.out[i], p.out[j] = p.out[j], p.out[i]
	}
	switch w := p.below(11); {
	case w < 4:
		return
	case w < 8:
		for _, v := range p.out {
			p.key[v] = -float64(p.m.vol[v])
		}
	case w < 10:
		for _, v := range p.out {
			p.key[v] = -p.far[v]
		}
	default:
		for _, v := range p.out {
			p.key[v] = p.far[v]
		}
	}
	for i := 1; i < len(p.out); i++ {
		v := p.out[i]
		j := i
		for ; j > 0 && p.key[p.out[j-1]] > p.key[v]; j-- {
			p.out[j] = p.out[j-1]
		}
		p.out[j] = v
	}
}

// place puts a node beside one of its neighbours, or into a trip of its own, or, when these have no room, anywhere.
func (p *plain) place(v int) {
	n := int32(p.n)
	w := p.n + 1
	row, col := p.arc[v*w:v*w+w], p.arcT[v*w:v*w+w]
	room := p.hold - p.m.vol[v]
	best, at, in := math.Inf(1), n, int32(none)
	try := func(c float64, t, after int32) {
		if p.roll() >= blink {
			best, in, at = c, t, after
		}
	}
	if p.live < p.legs {
		try(row[n]+col[n]+p.perTrip, none, n)
	}
	for _, u := range p.near[v] {
		t := p.trip[u]
		if t == none || p.load[t] > room {
			continue
		}
		q := p.next[u]
		if c := col[u] + row[q] - p.onward[u]; c < best {
			try(c, t, u)
		}
		a := p.prev[u]
		on := 0.0
		if a == n {
			on = p.arcT[int(u)*w+int(n)]
		} else {
			on = p.onward[a]
		}
		if c := col[a] + row[u] - on; c < best {
			try(c, t, a)
		}
	}
	if in == none {
		best, in, at = p.anywhere(v, best, at)
	}
	switch {
	case in != none:
		p.insert(v, in, at)
	case !math.IsInf(best, 1):
		p.open(v)
	}
}

// anywhere looks at every place of every trip for one that costs less.
func (p *plain) anywhere(v int, best float64, at int32) (float64, int32, int32) {
	n := int32(p.n)
	w := p.n + 1
	row, col := p.arc[v*w:v*w+w], p.arcT[v*w:v*w+w]
	in := int32(none)
	for t := range p.head {
		if p.count[t] == 0 || p.load[t] > p.hold-p.m.vol[v] {
			continue
		}
		a := n
		for b := p.head[t]; ; b = p.next[a] {
			if c := col[a] + row[b] - p.arc[int(a)*w+int(b)]; c < best {
				best, in, at = c, int32(t), a
			}
			if b == n {
				break
			}
			a = b
		}
	}
	return best, in, at
}
