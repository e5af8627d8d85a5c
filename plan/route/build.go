package route

import (
	"slices"

	"tankful/calc/unit"
)

// build cuts the splitter's chunks and runs the day's clock over the result.
func (s *search) build() *Solution { return s.clock(false) }

// rehearse is build for comparing orders: it keeps the times only, and takes all heels on at the
// first fill.
func (s *search) rehearse() *Solution { return s.clock(true) }

func (s *search) clock(rehearsal bool) *Solution {
	s.split.split()
	from, to, fill := s.split.legs()
	sol := &Solution{TankMix: s.tankMix}
	b := builder{day: s.day, sol: sol, rehearsal: rehearsal, at: s.day.Yard, clock: s.day.Start, begun: make([]bool, len(s.day.Stops)),
		wetted: make([]bool, len(s.day.Tanks))}
	for k := range from {
		b.leg(s.split.chunks[from[k]:to[k]], fill[k])
	}
	home := s.day.Drive[b.at][s.day.Yard]
	sol.Drive += home
	sol.Finish = b.clock + home
	return sol
}

// builder runs the clock.
type builder struct {
	rehearsal bool
	day       *Day
	sol       *Solution
	at        int
	clock     unit.Time
	begun     []bool // stops that have been visited before
	// wetted are the tanks that hold their heel of mix already
	wetted []bool
}

func (b *builder) drive(place int) unit.Time {
	t := b.day.Drive[b.at][place]
	b.sol.Drive += t
	b.clock += t
	b.at = place
	return t
}

// leg fills the tanks at fill point f and works the chunks off. A tank's first fill brings
// its heel too.
func (b *builder) leg(chunks []chunk, f int) {
	fp := b.day.Fills[f]
	l := Leg{Fill: f, DriveTo: b.drive(fp.Place)}
	total := Ticks(0)
	for _, c := range chunks {
		total += c.to - c.from
	}
	if !b.rehearsal {
		l.Loads = b.loads(chunks)
	}
	for t := range b.wetted {
		filled := b.rehearsal || slices.ContainsFunc(l.Loads, func(ld Load) bool { return ld.Tank == t })
		if filled && !b.wetted[t] {
			b.wetted[t] = true
			total += b.day.Tanks[t].Heel
		}
	}
	l.Begin = b.clock
	b.clock += fp.HookUp + fp.PerTick*unit.Time(total)
	b.sol.Fill += b.clock - l.Begin
	l.End = b.clock
	for len(chunks) > 0 {
		n, stop := 1, chunks[0].stop
		for n < len(chunks) && chunks[n].stop == stop {
			n++
		}
		l.Visits = append(l.Visits, b.visit(stop, chunks[n-1].to-chunks[0].from))
		chunks = chunks[n:]
	}
	b.sol.Legs = append(b.sol.Legs, l)
}

func (b *builder) visit(stop int, volume Ticks) Visit {
	st := &b.day.Stops[stop]
	v := Visit{Stop: stop, DriveTo: b.drive(st.Place), Arrive: b.clock, Again: b.begun[stop], Volume: volume}
	if !v.Again {
		b.sol.Order = append(b.sol.Order, stop)
		if wait := st.From - b.clock; wait > 0 {
			b.sol.Wait += wait
			b.clock = st.From
		}
		if late := b.clock - st.Until; st.Until > 0 && late > 0 {
			b.sol.Late += late
			b.sol.Lates = append(b.sol.Lates, stop)
		}
	}
	b.begun[stop] = true
	v.Begin = b.clock
	work := st.SetUp + (st.Service-st.SetUp)*unit.Time(volume)/unit.Time(st.Need())
	b.clock += work
	b.sol.Work += work
	v.Done = b.clock
	return v
}

// loads deals a leg's chunks to the tanks: each mix to its tanks in their order, one after the
// other to the last tick.
func (b *builder) loads(chunks []chunk) []Load {
	var out []Load
	for t, m := range b.sol.TankMix {
		room := b.day.Tanks[t].Usable
		skip := Ticks(0) // what the tanks before this one took of the mix
		left := Ticks(0) // of the mix in this leg
		for _, c := range chunks {
			if b.day.Stops[c.stop].Mix == m {
				left += c.to - c.from
			}
		}
		for _, ld := range out {
			if b.sol.TankMix[ld.Tank] == m {
				skip += ld.Volume
			}
		}
		left -= skip
		if over := left - room; over > 0 && over < leastLoad && room > 2*leastLoad {
			room -= leastLoad // the next tank gets a load that can be measured for
		}
		ld := Load{Tank: t}
		for _, c := range chunks {
			if b.day.Stops[c.stop].Mix != m {
				continue
			}
			drop := min(skip, c.to-c.from)
			skip -= drop
			c.from += drop
			c.to = min(c.to, c.from+room)
			if n := c.to - c.from; n > 0 {
				ld.Volume += n
				room -= n
				ld.Parts = b.day.addPart(ld.Parts, c)
			}
		}
		if ld.Volume > 0 {
			out = append(out, ld)
		}
	}
	return out
}

// addPart joins a chunk to the parts of a load and finds the passes it covers.
func (d *Day) addPart(parts []Part, c chunk) []Part {
	st := &d.Stops[c.stop]
	p := Part{Stop: c.stop, From: -1, Volume: c.to - c.from, Whole: c.to == st.Need()}
	at := Ticks(0)
	for k, n := range st.Passes {
		if p.From < 0 && (at+n > c.from || n == 0 && at >= c.from) { // a pass too small for a tick goes with the next
			p.From = k
		}
		if at < c.to {
			p.To = k
			p.Within = at+n > c.to
			p.IntoLast = c.to - at
		}
		at += n
	}
	if p.Whole { // passes too small for a tick of their own end the stop all the same
		p.To, p.Within = len(st.Passes)-1, false
	}
	if k := len(parts); k > 0 && parts[k-1].Stop == c.stop {
		p.From, p.Volume = parts[k-1].From, parts[k-1].Volume+p.Volume
		parts[k-1] = p
		return parts
	}
	return append(parts, p)
}
