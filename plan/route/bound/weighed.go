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
// instead where that is more. So tours, q-routes and sets of trips hold as they do for minutes. Of trees of trips that share stops, k trips have k-1 splits at the least, and taking a
// ring of shared stops apart takes visits away, so that it adds no split.
//
// Overtime is bounded apart: the shifts are at work for no less than the bound on the minutes, and each is in overtime for what it works beyond its hours. It is not counted where
// a shift is open or Hard. Waiting, lunch that is late and whole containers are left out, which lowers the bound only.
func (b *bounder) weighed(minutes Bound) unit.Time {
	least := minutes.Time
	w := &b.d.Weights
	if priced := b.dearer(w.Load); priced != nil {
		least = max(least, priced.least().Time)
		if !b.oneTank() {
			least = max(least, b.dearer(0).least().Time+unit.Time(minutes.Loads)*w.Load)
		}
	}
	return least + unit.Time(w.Over)*b.leastOver(minutes.Time)
}

// dearer is the bounder of the day whose minutes are what this one's plans weigh, each fill visit by so much; nil where that is this day.
func (b *bounder) dearer(load unit.Time) *bounder {
	if b.d.Toll == nil && b.d.Weights.Load == 0 && b.d.Weights.Split == 0 {
		return nil
	}
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
	split := b.d.Weights.Split
	d.Stops = slices.Clone(b.d.Stops)
	for i := range d.Stops {
		st := &d.Stops[i]
		if st.Mix == route.NoMix {
			continue
		}
		back := make([]unit.Time, len(st.Passes))
		copy(back, st.Back)
		for k := range back {
			back[k] += split
		}
		st.Back = back
	}
	return &bounder{d: &d, out: b.out, split: float64(split)}
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
