package route

import (
	"errors"
	"fmt"
	"math"

	"tankful/calc/unit"
)

// Errors of a day that no plan can serve.
var (
	ErrNoStops  = errors.New("no stops")
	ErrNoShifts = errors.New("no shift")
	ErrNoFill   = errors.New("no fill point")
	// ErrNeedsNothing says that a stop with a mix takes none of it: it is below one tick.
	ErrNeedsNothing = errors.New("a stop needs no mix")
	// ErrChoices says that too many tanks are free for too many mixes to look at the ways of giving the mixes to them.
	ErrChoices = errors.New("too many ways of giving the mixes to the tanks")
	// ErrLoads says that a mix would take hundreds of tankfuls: a unit is wrong.
	ErrLoads = errors.New("more tankfuls than a day's work")
)

// MixError says that no tank of any shift may carry a mix.
type MixError struct{ Mix int }

func (e *MixError) Error() string { return fmt.Sprintf("no tank may carry mix %d", e.Mix) }

// mostChoices is how many ways there may be of giving the mixes in demand to the tanks of a shift.
const mostChoices = 10_000

// choices is the number of ways of giving the mixes in demand to the tanks of a shift.
func (d *Day) choices(s int) float64 {
	n := 1.0
	for t := range d.Shifts[s].Tanks {
		may := 0.0
		for m := range d.Mixes {
			if d.Shifts[s].Tanks[t].MayHold(m) && d.Demand(m) > 0 {
				may++
			}
		}
		n *= max(may, 1)
	}
	return n
}

// mostLoads is how many fillings of all tanks that may carry it a mix may take.
const mostLoads = 500

// Check reports what makes the day impossible for every plan: one of the errors above, a *MixError, or an index or a figure that is none.
func (d *Day) Check() error {
	switch {
	case len(d.Stops) == 0:
		return ErrNoStops
	case len(d.Shifts) == 0:
		return ErrNoShifts
	}
	if err := d.checkFigures(); err != nil {
		return err
	}
	fill := len(d.Fills) > 0
	for i := range d.Stops {
		st := &d.Stops[i]
		if st.Mix == NoMix {
			continue
		}
		if st.Need() <= 0 {
			return ErrNeedsNothing
		}
		if !fill && !d.heldSome() {
			return ErrNoFill
		}
	}
	for s := range d.Shifts {
		if d.choices(s) > mostChoices {
			return ErrChoices
		}
	}
	for m := range d.Mixes {
		need := d.Demand(m)
		hold := Ticks(0)
		for s := range d.Shifts {
			for t := range d.Shifts[s].Tanks {
				if tank := &d.Shifts[s].Tanks[t]; tank.MayHold(m) {
					hold += tank.Room()
				}
			}
		}
		switch {
		case need == 0:
		case hold <= 0:
			return &MixError{m}
		case need > mostLoads*hold:
			return ErrLoads
		}
	}
	return nil
}

// heldSome reports whether a tank holds some mix at the start.
func (d *Day) heldSome() bool {
	for s := range d.Shifts {
		for t := range d.Shifts[s].Tanks {
			if h := d.Shifts[s].Tanks[t].Held; h != nil && h.Left > 0 {
				return true
			}
		}
	}
	return false
}

// checkFigures finds an index that points nowhere and a figure that is below zero or no number.
func (d *Day) checkFigures() error {
	c := figures{places: len(d.Drive), shifts: len(d.Shifts), mixes: len(d.Mixes)}
	for i := range d.Drive {
		if len(d.Drive[i]) != c.places {
			return fmt.Errorf("driving times from place %d: %d of %d", i, len(d.Drive[i]), c.places)
		}
		c.times("driving time", d.Drive[i]...)
	}
	if d.Toll != nil && len(d.Toll) != c.places {
		return fmt.Errorf("tolls from %d of %d places", len(d.Toll), c.places)
	}
	for i := range d.Toll {
		if len(d.Toll[i]) != c.places {
			return fmt.Errorf("tolls from place %d: %d of %d", i, len(d.Toll[i]), c.places)
		}
		c.times("toll", d.Toll[i]...)
	}
	w := &d.Weights
	c.times("weight", w.Drop, w.Leftover, w.Load, w.Split, unit.Time(w.Late), unit.Time(w.Over), unit.Time(w.Wait))
	if d.Rinse != nil {
		if len(d.Rinse) != c.mixes {
			return fmt.Errorf("rinses from %d of %d mixes", len(d.Rinse), c.mixes)
		}
		for i := range d.Rinse {
			if len(d.Rinse[i]) != c.mixes {
				return fmt.Errorf("rinses from mix %d: %d of %d", i, len(d.Rinse[i]), c.mixes)
			}
			for j := range d.Rinse[i] {
				c.times("rinse", d.Rinse[i][j].Time)
			}
		}
	}
	for i := range d.Fills {
		f := &d.Fills[i]
		c.place("fill point", f.Place)
		c.list("fill point", f.Shifts)
		c.times("fill point", f.HookUp, f.PerTick, f.Open, f.Close)
	}
	for i := range d.Shifts {
		c.shift(&d.Shifts[i])
	}
	for i := range d.Stops {
		c.stop(&d.Stops[i])
	}
	for i := range d.Mixes {
		if x := float64(d.Mixes[i].PerTick); !(x >= 0) || !(d.Mixes[i].Whole >= 0) || math.IsInf(x, 0) || math.IsInf(d.Mixes[i].Whole, 0) {
			c.fail("mix %d: a figure is none", i)
		}
	}
	return c.err
}

// figures looks at figures and keeps the first fault.
type figures struct {
	places, shifts, mixes int
	err                   error
}

func (c *figures) fail(format string, args ...any) {
	if c.err == nil {
		c.err = fmt.Errorf(format, args...)
	}
}

func (c *figures) place(what string, p int) {
	if p < 0 || p >= c.places {
		c.fail("%s: place %d of %d", what, p, c.places)
	}
}

func (c *figures) times(what string, ts ...unit.Time) {
	for _, t := range ts {
		if !(t >= 0) || math.IsInf(float64(t), 0) {
			c.fail("%s: %v is no time", what, float64(t))
		}
	}
}

func (c *figures) ticks(what string, ns ...Ticks) {
	for _, n := range ns {
		if n < 0 || n > math.MaxInt32 {
			c.fail("%s: %d ticks", what, n)
		}
	}
}

func (c *figures) mix(what string, m int) {
	if m < 0 || m >= c.mixes {
		c.fail("%s: mix %d of %d", what, m, c.mixes)
	}
}

func (c *figures) list(what string, shifts []int) {
	for _, s := range shifts {
		if s < 0 || s >= c.shifts {
			c.fail("%s: shift %d of %d", what, s, c.shifts)
		}
	}
}

func (c *figures) shift(s *Shift) {
	c.place("shift", s.Start)
	c.place("shift", s.End)
	c.times("shift", s.From, s.Until, s.Lunch.From, s.Lunch.Until, s.Lunch.Length)
	if x := float64(s.Payload); !(x >= 0) || math.IsInf(x, 0) {
		c.fail("shift: a payload of %v", x)
	}
	for i := range s.Tanks {
		t := &s.Tanks[i]
		c.ticks("tank", t.Heel, t.Least, t.Mark, max(t.Usable, 0))
		for _, m := range t.Mixes {
			c.mix("tank", m)
		}
		if t.Held != nil {
			c.mix("what a tank holds", t.Held.Mix)
			c.ticks("what a tank holds", t.Held.Left)
			if t.Held.Left > t.Usable {
				c.fail("a tank that holds %d above its heel has room for %d", t.Held.Left, t.Usable)
			}
		}
	}
}

func (c *figures) stop(s *Stop) {
	c.place("stop", s.Place)
	c.list("stop", s.Shifts)
	c.times("stop", s.Work, s.SetUp, s.From, s.Until)
	c.times("way back", s.Back...)
	c.ticks("stop", s.Passes...)
	c.ticks("stop", s.Need())
	switch {
	case s.Mix != NoMix:
		c.mix("stop", s.Mix)
	case len(s.Passes) > 0:
		c.fail("a stop without mix has passes")
	}
	if s.Back != nil && len(s.Back) != len(s.Passes) {
		c.fail("%d ways back for %d passes", len(s.Back), len(s.Passes))
	}
}
