package bound

import (
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// weighed is a bound on what plans weigh, given that on their minutes.
//
// It is the bound on the minutes of another day, every plan of which takes as long as the same plan of this day weighs, overtime left out: drives take their price, each
// fill visit is longer by one load's weight (it fills a load at least), and breaking a stop off takes a split's besides the way back (there are as many
// splits as stops broken off). Where trucks have several tanks a visit fills several loads, so that the least number of loads, each at its weight, is put on visits as they are
// instead where that is more. Stops that take more than a trip holds are split at the least so often; that is counted instead of the splits themselves where it is more. So tours, q-routes and sets of trips hold as they do for minutes. Of trees of trips that share stops, k trips have k-1 splits at the least, and taking a
// ring of shared stops apart takes visits away, so that it adds no split.
//
// Overtime is bounded apart: the shifts are at work for no less than the bound on the minutes, and each is in overtime for what it works beyond its hours. It is not counted where
// a shift is open or Hard. Waiting, lunch that is late and whole containers are left out, which lowers the bound only.
func (b *bounder) weighed(minutes Bound) unit.Time {
	least := minutes.Time
	w := &b.d.Weights
	if b.d.Toll != nil || w.Load > 0 || w.Split > 0 {
		least = max(least, b.dearer(w.Load, w.Split).least().Time)
		n := b.leastSplits()
		if n > 0 && w.Split > 0 {
			least = max(least, b.dearer(w.Load, 0).least().Time+unit.Time(n)*w.Split)
		}
		if !b.oneTank() && w.Load > 0 {
			least = max(least, b.dearer(0, 0).least().Time+unit.Time(minutes.Loads)*w.Load+unit.Time(n)*w.Split)
		}
	}
	return least + unit.Time(w.Over)*b.leastOver(minutes.Time)
}

// leastSplits is how many splits there must be: of stops that take more than a trip holds.
func (b *bounder) leastSplits() int {
	n := 0
	for i := range b.d.Stops {
		st := &b.d.Stops[i]
		if b.out[i] || st.Mix == route.NoMix {
			continue
		}
		hold, _ := b.hold(st.Mix)
		for _, h := range b.heldMost() {
			hold = max(hold, h[st.Mix])
		}
		if hold > 0 {
			n += int((st.Need() - 1) / hold)
		}
	}
	return n
}

// heldMost is what the tanks of each shift hold at the start, by mix: a first trip may be out of that.
func (b *bounder) heldMost() [][]route.Ticks {
	var out [][]route.Ticks
	for s := range b.d.Shifts {
		held := make([]route.Ticks, len(b.d.Mixes))
		for _, t := range b.d.Shifts[s].Tanks {
			if t.Held != nil {
				held[t.Held.Mix] += t.Held.Left
			}
		}
		out = append(out, held)
	}
	return out
}

// dearer is the bounder of the day whose minutes are what this one's plans weigh, each fill visit and each split by so much.
func (b *bounder) dearer(load, split unit.Time) *bounder {
	d := *b.d
	d.Toll, d.Drive = nil, make([][]unit.Time, len(b.d.Drive))
	for i := range d.Drive {
		d.Drive[i] = make([]unit.Time, len(d.Drive))
		for j := range d.Drive[i] {
			d.Drive[i][j] = b.d.Price(i, j)
		}
	}
	d.Fills = slices.Clone(b.d.Fills)
	for i := range d.Fills {
		d.Fills[i].HookUp += load
	}
	bare := &bounder{d: &d, out: b.out}
	if split == 0 {
		return bare
	}
	with := d
	with.Stops = slices.Clone(d.Stops)
	for i := range with.Stops {
		with.Stops[i].Back = backs(&d.Stops[i], split)
	}
	return &bounder{d: &with, out: b.out, split: float64(split), bare: bare}
}

// backs are a stop's ways back with what a split weighs.
func backs(st *route.Stop, split unit.Time) []unit.Time {
	if st.Mix == route.NoMix {
		return nil
	}
	back := make([]unit.Time, len(st.Passes))
	copy(back, st.Back)
	for k := range back {
		back[k] += split
	}
	return back
}

// leastOver is the overtime of all shifts together at the least when they work for so long.
func (b *bounder) leastOver(work unit.Time) unit.Time {
	for i := range b.d.Shifts {
		sh := &b.d.Shifts[i]
		if sh.Until == 0 || sh.Hard {
			return 0
		}
		work -= max(0, sh.Until-sh.From)
	}
	return max(0, work)
}
