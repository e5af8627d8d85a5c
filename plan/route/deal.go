package route

import (
	"fmt"
	"slices"

	"tankful/calc/unit"
)

// deal gives a trip's mix to its tanks, fills them, and cuts what each of them sprays into parts.
func (c *clock) deal(t *Trip) error {
	total := Ticks(0)
	for _, m := range c.mixesOf(t) {
		need := Ticks(0)
		for _, k := range t.Takes {
			if c.day.Stops[k.Stop].Mix == m {
				need += k.Volume
			}
		}
		volumes, err := c.shares(t, m, need)
		if err != nil {
			return err
		}
		from := Ticks(0)
		for i, v := range volumes {
			if v == 0 {
				continue
			}
			l := c.load(t, i, m, v)
			l.Parts = c.parts(t, m, from, from+v)
			from += v
			total += l.Put
			c.leg.Loads = append(c.leg.Loads, l)
		}
	}
	if t.Fill == NoFill {
		return nil
	}
	if total == 0 {
		return fmt.Errorf("a fill visit with nothing to fill")
	}
	f := &c.day.Fills[t.Fill]
	filling := f.HookUp + f.PerTick*unit.Time(total)
	c.run.Fill += filling
	c.now += filling
	c.leg.End = c.now
	return c.weigh()
}

// mixesOf are the mixes that the trip's stops take, in the order of their first stop.
func (c *clock) mixesOf(t *Trip) []int {
	var out []int
	for _, k := range t.Takes {
		if m := c.day.Stops[k.Stop].Mix; m != NoMix && !slices.Contains(out, m) {
			out = append(out, m)
		}
	}
	return out
}

// shares is what each tank gives of a mix that the trip needs so much of.
func (c *clock) shares(t *Trip, m int, need Ticks) ([]Ticks, error) {
	var of []Vessel
	var at []int
	for i, k := range t.Mixes {
		tank := &c.sh.Tanks[i]
		switch {
		case k != m:
		case t.Fill == NoFill && c.tanks[i].mix == m:
			of, at = append(of, Vessel{Most: c.tanks[i].left}), append(at, i)
		case t.Fill != NoFill && tank.MayHold(m):
			of, at = append(of, Vessel{Most: tank.Room(), Least: tank.LeastLoad(), Held: c.tanks[i].left}), append(at, i)
		default:
			return nil, fmt.Errorf("tank %d does not carry mix %d", i, m)
		}
	}
	shares, ok := Share(need, of)
	if !ok {
		return nil, fmt.Errorf("%d ticks of mix %d do not go into its tanks", need, m)
	}
	out := make([]Ticks, len(t.Mixes))
	for i, v := range shares {
		out[at[i]] = v
	}
	return out, nil
}

// Vessel is a tank as Share sees it: Most and Least it gives on one trip, and what it Held already of it.
type Vessel struct{ Most, Least, Held Ticks }

// Share deals a need to tanks: to as few as hold it, of those to the first, each but the last as full as leaves every later one its
// Least. Where no choice of tanks gives each its Least, the least is missing in all. It reports whether the tanks hold the need.
func Share(need Ticks, of []Vessel) ([]Ticks, bool) {
	const many = 12 // tanks up to which every choice of them is looked at
	best, bestShort, bestCount := []Ticks(nil), Ticks(0), 0
	for set := 1; set < 1<<min(len(of), many); set++ {
		shares, short, count, ok := share(need, of, set)
		if ok && (best == nil || short < bestShort || short == bestShort && count < bestCount) {
			best, bestShort, bestCount = shares, short, count
		}
	}
	return best, best != nil
}

// share deals a need to the tanks of a set; each gets something. short is what is missing to their Least.
func share(need Ticks, of []Vessel, set int) (shares []Ticks, short Ticks, count int, ok bool) {
	most, least := Ticks(0), Ticks(0)
	for i := range of {
		if set>>i&1 == 1 {
			most, least = most+of[i].Most, least+max(of[i].Least, 1)
			count++
		}
	}
	if need > most || need < Ticks(count) {
		return nil, 0, 0, false
	}
	shares = make([]Ticks, len(of))
	left, rest := need, count
	for i := range of {
		if set>>i&1 == 0 {
			continue
		}
		rest--
		least -= max(of[i].Least, 1)
		most -= of[i].Most
		v := min(of[i].Most, max(left-least, left-most, 1), left-Ticks(rest))
		shares[i] = v
		left -= v
		if v > of[i].Held {
			short += max(0, of[i].Least-v)
		}
	}
	return shares, short, count, left == 0
}

// load fills a tank for a trip and takes out what it sprays.
func (c *clock) load(t *Trip, tank, m int, v Ticks) Load {
	k := &c.tanks[tank]
	l := Load{Tank: tank, Mix: m, Volume: v}
	if t.Fill == NoFill || v <= k.left {
		k.left -= v
		return l
	}
	of := &c.sh.Tanks[tank]
	l.Extra = max(0, of.LeastLoad()-v)
	above := v + l.Extra
	if of.Mark > 0 {
		above = (above+of.Heel+of.Mark-1)/of.Mark*of.Mark - of.Heel
	}
	l.Put = above - k.left
	if k.mix == NoMix {
		l.Put += of.Heel
	}
	*k = content{m, above - v - l.Extra}
	c.run.Leftover += l.Extra
	return l
}

// weigh holds the tanks as they leave the fill point against the payload.
func (c *clock) weigh() error {
	mass := unit.Mass(0)
	if c.sh.Payload == 0 {
		return nil
	}
	for i, k := range c.tanks {
		if k.mix == NoMix {
			continue
		}
		in := c.sh.Tanks[i].Heel + k.left // the rest below a mark is in it
		for _, l := range c.leg.Loads {
			if l.Tank == i {
				in += l.Volume + l.Extra
			}
		}
		mass += c.day.Mixes[k.mix].PerTick * unit.Mass(in)
	}
	if mass > c.sh.Payload*(1+1e-12) {
		return fmt.Errorf("%.1f kg of mix, and the payload is %.1f kg", mass.In(unit.Kilogram), c.sh.Payload.In(unit.Kilogram))
	}
	return nil
}

// parts are the stretches of passes that the ticks from..to of a trip's mix cover.
func (c *clock) parts(t *Trip, m int, from, to Ticks) []Part {
	var out []Part
	at := Ticks(0)
	taken := map[int]Ticks{}
	for _, k := range t.Takes {
		if c.day.Stops[k.Stop].Mix != m {
			continue
		}
		begun := c.done[k.Stop] + taken[k.Stop]
		taken[k.Stop] += k.Volume
		lo, hi := max(from, at), min(to, at+k.Volume)
		if lo < hi {
			out = append(out, c.day.Stops[k.Stop].part(k.Stop, begun+lo-at, begun+hi-at))
		}
		at += k.Volume
	}
	return out
}

// part is the stretch of passes that a stop's ticks from..to cover.
func (s *Stop) part(stop int, from, to Ticks) Part {
	p := Part{Stop: stop, From: -1, Volume: to - from, Whole: to == s.Need()}
	at := Ticks(0)
	for k, n := range s.Passes {
		if p.From < 0 && (at+n > from || n == 0 && at >= from) { // a pass too small for a tick goes with the next
			p.From = k
		}
		if at < to {
			p.To = k
			p.Within = at+n > to
			p.IntoLast = to - at
		}
		at += n
	}
	if p.Whole { // passes too small for a tick of their own end the stop all the same
		p.To, p.Within = len(s.Passes)-1, false
	}
	return p
}
