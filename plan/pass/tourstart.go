package pass

import "math"

// nearFirst begins with the best of some orders that always go to the nearest end: from the truck, and from ends that lie far apart.
func (t *tour) nearFirst() {
	starts := t.farApart()
	best, least := []int32(nil), math.Inf(1)
	for _, s := range starts {
		ready, next := t.lapsFirst()
		t.set(t.greedy(s, ready, next))
		if c := t.cost(); c < least-better {
			best, least = t.seq, c
		}
	}
	t.set(best)
}

// farApart is the end nearest the truck, if there is one, and ends that are each the furthest from those before.
func (t *tour) farApart() []int32 {
	const many = 6
	dist := make([]float64, len(t.e.at))
	first := int32(0)
	for i := range dist {
		dist[i] = math.Inf(1)
		if t.e.truck != nil && t.e.approach(int32(i)) < t.e.approach(first)-1e-3 {
			first = int32(i)
		}
	}
	out := []int32{first}
	for len(out) < min(many, len(dist)) {
		far := int32(0)
		for i := range dist {
			dist[i] = min(dist[i], distance(t.e.at[i], t.e.at[out[len(out)-1]]))
			if dist[i] > dist[far]+1e-3 {
				far = int32(i)
			}
		}
		out = append(out, far)
	}
	return out
}

// lapsFirst says which passes may come next: strips when the laps of their part are done. next is told of each pass taken.
func (t *tour) lapsFirst() (ready func(p int32) bool, next func(p int32)) {
	if t.laps == nil {
		return func(int32) bool { return true }, func(int32) {}
	}
	open := make([]int, t.laps.parts)
	for p, lap := range t.laps.lap {
		if lap {
			open[t.laps.part[p]]++
		}
	}
	ready = func(p int32) bool { return t.laps.lap[p] || open[t.laps.part[p]] == 0 }
	next = func(p int32) {
		if t.laps.lap[p] {
			open[t.laps.part[p]]--
		}
	}
	return ready, next
}

// greedy begins at an end, or at the nearest to it that is ready, and goes on to the nearest end that is ready.
func (t *tour) greedy(at int32, ready func(int32) bool, next func(int32)) []int32 {
	used := make([]bool, len(t.pos))
	seq := make([]int32, 0, len(t.pos))
	take := func(end int32) {
		used[end>>1] = true
		next(end >> 1)
		seq = append(seq, end)
		at = end ^ 1
	}
	if ready(at >> 1) {
		take(at)
	}
	for len(seq) < len(t.pos) {
		best, k := math.Inf(1), none
		try := func(end int32) {
			if !used[end>>1] && end>>1 != at>>1 && ready(end>>1) && t.e.least(at, end) < best-1e-3 {
				if c := t.e.cost(at, end); c < best-1e-3 {
					best, k = c, end
				}
			}
		}
		for _, end := range t.e.near[at] {
			try(end)
		}
		if k == none { // the nearest as the crow flies first, so that few others need a way
			first := math.Inf(1)
			for end := range int32(len(t.e.at)) {
				if !used[end>>1] && ready(end>>1) && t.e.least(at, end) < first-1e-3 {
					first, k = t.e.least(at, end), end
				}
			}
			best = t.e.cost(at, k)
			for end := range t.e.at {
				try(int32(end))
			}
		}
		take(k)
	}
	return seq
}

// farFirst begins at the end that is furthest along the hose and goes on to the nearest end among the passes that the hose
// does not lie on any more on its way to others. Where each lies in another's way, the furthest is next.
func (t *tour) farFirst(most []float64) {
	waits := make([]int, len(t.pos)) // how many passes still to be walked need hose over this one
	first := func(p, q int32) bool { // laps come before strips, whatever the hose does
		return t.laps == nil || !t.laps.lap[q] || t.laps.lap[p] || t.laps.part[p] != t.laps.part[q]
	}
	for p := range t.under {
		for _, q := range t.under[p] {
			if first(int32(p), q) {
				waits[q]++
			}
		}
	}
	lapsReady, lapsNext := t.lapsFirst()
	used := make([]bool, len(t.pos))
	open := 0 // the fewest that any pass waits for
	least := func() {
		open = math.MaxInt
		for p := range waits {
			if !used[p] && lapsReady(int32(p)) {
				open = min(open, waits[p])
			}
		}
	}
	least()
	next := func(p int32) {
		lapsNext(p)
		used[p] = true
		for _, q := range t.under[p] {
			if first(p, q) {
				waits[q]--
			}
		}
		least()
	}
	ready := func(p int32) bool { return lapsReady(p) && waits[p] == open }
	start := none
	for p := range waits {
		if ready(int32(p)) && (start == none || most[p] > most[start>>1]+1e-2) {
			start = 2*int32(p) + 1 // the passes lie with their far ends behind
		}
	}
	t.set(t.greedy(start, ready, next))
}
