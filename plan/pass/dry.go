package pass

import (
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// DryPoint is where a tankful ends within the passes: where the hose goes back on after filling.
type DryPoint struct {
	// Pass is the number of the pass, Into how far along its Line, from 0 to its whole length.
	Pass int
	Into unit.Length
	// At is that point of the walk, metres.
	At geom.Coord
	// Load counts the tankfuls from 1, what is on board at the start being the first.
	Load int
}

const (
	// mostLoads is more tankfuls than any lawn takes; over it a unit is wrong.
	mostLoads = 10_000
	// evenly is the share of a tankful that rounding may make of a load which ends with the last pass.
	evenly = 1e-9
)

// DryPoints are the points at which tankfuls run dry, in walking order: several on a lawn, and several in a pass where it takes
// more than a tank. What is on board at the start covers area, each later tankful covers each; both are at the rate of a
// swath at its full spacing, as Pass.Sprayed is. There is no point where the mix lasts to the end of the last pass, one at the
// start of the first pass when area is 0, and none for areas that are no tankfuls: area below 0, or each so small that it takes
// more than 10,000 of them. each of 0 says that no further tankful is known of: one point at most.
func (p *Plan) DryPoints(area, each unit.Area) []DryPoint {
	whole := unit.Area(0)
	for i := range p.Passes {
		whole += p.Passes[i].Sprayed
	}
	if !(area >= 0) || !(each >= 0) || each > 0 && whole > mostLoads*each {
		return nil
	}
	var out []DryPoint
	end, before := area, unit.Area(0) // where the load ends, and where the pass begins
	for i := 0; i < len(p.Passes) && end < whole*(1-evenly); {
		q := &p.Passes[i]
		if end > before+q.Sprayed*(1+evenly) {
			before += q.Sprayed
			i++
			continue
		}
		into := p.SprayedAt(q.N, end-before)
		out = append(out, DryPoint{Pass: q.N, Into: into, At: q.At(into), Load: len(out) + 1})
		if each == 0 {
			break
		}
		end += each
	}
	return out
}

// SprayedAt is how far along its Line the pass of number n, which must exist, has put out what covers area: by turf treated for an
// applicator that trims, by length with the gun on for one of fixed width. It is 0 for area <= 0, and the whole line for
// all that the pass puts out or more.
func (p *Plan) SprayedAt(n int, area unit.Area) unit.Length {
	q := &p.Passes[n-1]
	switch {
	case area <= 0:
		return 0
	case area >= q.Sprayed || q.Sprayed <= 0:
		return lengthOf(q.Line)
	}
	share := float64(area / q.Sprayed)
	if p.Setup.Trims {
		return q.Along(unit.Area(share * float64(q.Area)))
	}
	return q.along(unit.Length(share * float64(q.Length)))
}

// along is how far along the line a length with the gun on reaches: the stretches with it off come on top.
func (p *Pass) along(on unit.Length) unit.Length {
	for _, o := range p.Off {
		if on <= o.From {
			break
		}
		on += o.To - o.From
	}
	return on
}

// Minutes is how long the walk takes at a pace, which must be above 0, with turn for each turn: the passes, the dead walk
// between and within them, and the turns.
func (p *Plan) Minutes(pace unit.Speed, turn unit.Time) unit.Time {
	return (p.SprayedLength + p.DeadWalk).Over(pace) + unit.Time(p.Turns)*turn
}
