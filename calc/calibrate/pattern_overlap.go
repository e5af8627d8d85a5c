package calibrate

import (
	"cmp"
	"math"
	"slices"

	"tankful/calc/unit"
)

// PanOverlap is the pattern of all passes together at one spacing, across one swath centred on a walking line.
//
// The swath is cut into an odd number of equal strips, each no wider than the least gap between pans, and the
// pattern is read in the middle of each, on straight lines between the pans; where the spacing is an odd number
// of gaps these places are the pans themselves. To and fro, every second pass throws the other way round.
type PanOverlap struct {
	Spacing unit.Length `json:"spacing_m"`
	// Places are distances from the walking line, Catches what falls there when the turf is walked to and
	// fro, as shares of the centre mean of one pass.
	Places  []unit.Length `json:"places_m"`
	Catches []float64     `json:"catches"`
	Mean    float64       `json:"mean"`
	// CV is the standard deviation over the mean (from memory; the sample's, divided by places less one). No
	// bound is set on it: none was found in a source. CVRound is the same walked round and round, all
	// passes throwing the same way.
	CV      float64 `json:"cv"`
	CVRound float64 `json:"cv_round"`
}

const (
	leastPlaces = 3
	mostPlaces  = 401
	// Overlaps are looked at from 0.75 to 1.25 of the effective swath (common practice, no source): a narrower
	// spacing always looks more even, because more passes overlap.
	nearLeast, nearMost = 0.75, 1.25
)

// overlap lays passes at the spacing beside one another.
func (w panRow) overlap(spacing unit.Length) PanOverlap {
	o := PanOverlap{Spacing: spacing}
	n := int(min(math.Ceil(float64(spacing/w.gap)-1e-6), mostPlaces))
	n = max(n, leastPlaces)
	if n%2 == 0 {
		n++
	}
	round := make([]float64, n)
	for i := range n {
		strips := float64(2*i+1-n) / 2 // from the middle one, which is 0
		x := spacing * unit.Length(strips/float64(n))
		o.Places = append(o.Places, x)
		catch := 0.0
		for k, p := range w.passes(spacing, x, true) {
			catch += p
			round[i] += w.passes(spacing, x, false)[k]
		}
		o.Catches = append(o.Catches, catch/w.centre)
		round[i] /= w.centre
	}
	mean, stats := statsOf(o.Catches)
	_, all := statsOf(round)
	o.Mean, o.CV, o.CVRound = mean, stats.Deviation, all.Deviation
	return o
}

// passes is what each pass puts at x: the one on this line, then its neighbours left and right in turn.
func (w panRow) passes(spacing, x unit.Length, toAndFro bool) []float64 {
	reach := max(-w.points[0].at, w.points[len(w.points)-1].at)
	most := int(float64(reach/spacing)) + 1
	puts := []float64{w.at(x)}
	for k := 1; k <= most; k++ {
		for _, line := range []unit.Length{spacing * unit.Length(-k), spacing * unit.Length(k)} {
			d := x - line
			if toAndFro && k%2 == 1 {
				d = -d
			}
			puts = append(puts, w.at(d))
		}
	}
	return puts
}

// near is the overlap at every half gap between 0.75 and 1.25 of the effective swath, and at the swath.
func (w panRow) near(swath unit.Length) []PanOverlap {
	step := w.gap / 2
	if most := swath / 40; step < most { // pans very close together
		step = most
	}
	var list []PanOverlap
	first := int(math.Ceil(float64(swath*nearLeast/step) - 1e-6))
	last := int(math.Floor(float64(swath*nearMost/step) + 1e-6))
	for i := first; i <= last; i++ {
		if s := step * unit.Length(i); s > 0 {
			list = append(list, w.overlap(s))
		}
	}
	list = append(list, w.overlap(swath))
	slices.SortFunc(list, func(a, b PanOverlap) int { return cmp.Compare(a.Spacing, b.Spacing) })
	return slices.CompactFunc(list, func(a, b PanOverlap) bool {
		return math.Abs(float64((b.Spacing-a.Spacing)/swath)) < adviceNoise
	})
}

// leastCV is the overlap with the least CV; of equals, the one nearest to the effective swath.
func leastCV(list []PanOverlap, swath unit.Length) PanOverlap {
	const alike = 1e-6
	from := func(o PanOverlap) float64 { return math.Abs(float64((o.Spacing - swath) / swath)) }
	return slices.MinFunc(list, func(a, b PanOverlap) int {
		return cmp.Or(cmp.Compare(unit.Round(a.CV, alike), unit.Round(b.CV, alike)), cmp.Compare(from(a), from(b)))
	})
}
