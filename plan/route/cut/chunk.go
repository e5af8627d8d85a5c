package cut

import (
	"math"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// chunks lists the order's stretches between the places where a refill may come. Fine ones end at every pass end, coarse ones
// where the tanks ask for it. dry adds the places where what the tanks hold runs out. It gives false for an order that breaks a stop off where that may not be.
func (c *cutter) chunks(fine, dry bool) ([]chunk, bool) {
	var out []chunk
	at, done := map[int]route.Ticks{}, map[int]route.Ticks{} // of each mix, and of each stop
	for _, k := range c.order {
		st := &c.d.Stops[k.Stop]
		if st.Mix == route.NoMix {
			out = append(out, chunk{stop: k.Stop, mix: -1, may: c.mayCut(at)})
			continue
		}
		hold, need := route.Ticks(c.hold[st.Mix]), st.Need()
		begin := done[k.Stop]
		end := begin + k.Volume
		if hold <= 0 || end > need || end < need && (st.Whole || c.d.Mixes[st.Mix].Whole > 0 || !slices.Contains(passEnds(st, math.MaxInt32, true), end)) {
			return nil, false
		}
		from := begin
		for _, e := range c.ends(st, at[st.Mix]-begin, hold, fine, dry) {
			if e <= begin || e > end {
				continue
			}
			may := from > begin || c.mayCut(at)
			if w := c.d.Mixes[st.Mix].Whole; w > 0 && from > begin {
				may = onWhole(at[st.Mix]+from+c.firstHeel(st.Mix), w)
			}
			ch := chunk{stop: k.Stop, mix: slices.Index(c.mixes, st.Mix), from: from, to: e, may: may}
			if e < need {
				ch.back = st.BackAt(e)
			}
			out = append(out, ch)
			from = e
		}
		if from < end { // coarse ends do not know of the part's end
			out = append(out, chunk{stop: k.Stop, mix: slices.Index(c.mixes, st.Mix), from: from, to: end, may: from > begin || c.mayCut(at), back: backAt(st, end, need)})
		}
		at[st.Mix] += k.Volume
		done[k.Stop] = end
	}
	return out, true
}

// ends are the ends of a stop's chunks, in ticks of the stop; at is how much of the mix comes before its first tick.
func (c *cutter) ends(st *route.Stop, at, hold route.Ticks, fine, dry bool) []route.Ticks {
	need := st.Need()
	var ends []route.Ticks
	switch whole := c.d.Mixes[st.Mix].Whole; {
	case whole > 0:
		heel := c.firstHeel(st.Mix)
		for k := math.Ceil(float64(at+heel) / whole); ; k++ {
			e := route.Ticks(math.Round(k*whole)) - heel - at
			if e >= need {
				break
			}
			if e > 0 {
				ends = append(ends, e)
			}
		}
	case !st.Whole || need > hold:
		ends = passEnds(st, hold, fine)
	}
	if h := c.held(st.Mix); dry && h > at && h < at+need && (!st.Whole || need > hold) {
		ends = append(ends, h-at)
	}
	ends = append(ends, need)
	slices.Sort(ends)
	return slices.Compact(ends)
}

func backAt(st *route.Stop, end, need route.Ticks) unit.Time {
	if end < need {
		return st.BackAt(end)
	}
	return 0
}

// passEnds are the ends of passes before the stop's own, all of them or those that tankfuls ask for, and places inside a pass that is over hold.
func passEnds(st *route.Stop, hold route.Ticks, fine bool) []route.Ticks {
	var ends []route.Ticks
	at, start := route.Ticks(0), route.Ticks(0)
	for _, p := range st.Passes {
		for rest := p; rest > 0; {
			n := min(rest, hold)
			if !fine && at > start && at+n-start > hold {
				ends = append(ends, at)
				start = at
			}
			at, rest = at+n, rest-n
			if fine || rest > 0 {
				ends = append(ends, at)
				start = at
			}
		}
	}
	return ends
}

// mayCut reports whether a refill may come between stops, each mix having been sprayed so far: where whole containers are wanted of a
// mix, only after a number of them or before the first and after the last of it.
func (c *cutter) mayCut(at map[int]route.Ticks) bool {
	for m, n := range at {
		if w := c.d.Mixes[m].Whole; w > 0 && n > 0 && n < c.demand(m) && !onWhole(n+c.firstHeel(m), w) {
			return false
		}
	}
	return true
}

// firstHeel is the heel that comes on top of the first load of a mix, where one clean tank may carry it: the first filling, heel and all, takes whole containers.
func (c *cutter) firstHeel(m int) route.Ticks {
	heel, n := route.Ticks(0), 0
	for i := range c.sh.Tanks {
		if t := &c.sh.Tanks[i]; t.MayHold(m) {
			n++
			if heel = t.Heel; t.Held != nil {
				heel = 0
			}
		}
	}
	if n != 1 {
		return 0
	}
	return heel
}

// onWhole reports whether n is a multiple of w, rounded to ticks.
func onWhole(n route.Ticks, w float64) bool {
	return route.Ticks(math.Round(math.Round(float64(n)/w)*w)) == n
}

func (c *cutter) demand(m int) route.Ticks {
	n := route.Ticks(0)
	for _, k := range c.order {
		if c.d.Stops[k.Stop].Mix == m {
			n += k.Volume
		}
	}
	return n
}
