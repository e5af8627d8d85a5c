package pass

import (
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// lapCorner is a leg with which a lap may begin, and the ends of the walk then.
type lapCorner struct {
	leg        int
	start, end geom.Coord
}

// lapCorners is where a lap may begin: where it does, and after each corner at which the gun is shut.
func (p *Pass) lapCorners() []lapCorner {
	out := []lapCorner{{0, p.legs[0].start(), p.legs[len(p.legs)-1].end()}}
	for i := 1; i < len(p.legs); i++ {
		if p.legs[i-1].off {
			out = append(out, lapCorner{i, p.legs[i].start(), p.legs[i-1].end()})
		}
	}
	return out
}

// beginAt has the lap begin with another leg. Where it began the gun is shut as at its other corners.
func (p *Pass) beginAt(leg int, s Setup) {
	if leg == 0 {
		return
	}
	p.legs = append(slices.Clone(p.legs[leg:]), p.legs[:leg]...)
	p.legs[len(p.legs)-leg-1].off = true
	p.legs[len(p.legs)-1].off = false
	sprayed := p.Sprayed
	p.fill(s)
	p.Sprayed = max(p.Sprayed, sprayed) // specks that a fixed width covers
}

// startLaps has every lap begin at the corner from which the least is walked to and from its neighbours in the order.
func (t *tour) startLaps(ps []Pass, s Setup) {
	way := func(a, b geom.Coord) float64 {
		_, l := wayBetween(t.e.g, a, b)
		return float64(l)
	}
	for i, end := range t.seq {
		p := &ps[end>>1]
		if !p.closed {
			continue
		}
		best, leg := math.Inf(1), 0
		for _, c := range p.lapCorners() {
			if end&1 == 1 {
				c.start, c.end = c.end, c.start
			}
			walk := 0.0
			if before := t.leave(i - 1); before != none {
				walk = way(t.e.at[before], c.start)
			} else if t.e.truck != nil {
				walk = t.e.truck.Length(c.start)
			}
			if next := t.enter(i + 1); next != none {
				walk += way(c.end, t.e.at[next])
			}
			if walk < best-1e-3 {
				best, leg = walk, c.leg
			}
		}
		p.beginAt(leg, s)
		t.e.at[2*(end>>1)], t.e.at[2*(end>>1)+1] = p.Line[0], p.end()
	}
}
