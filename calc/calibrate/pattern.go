package calibrate

import (
	"cmp"
	"math"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// PanTest is a row of pans across the walking line, which catches what a rotary spreader throws how far out.
type PanTest struct {
	Setup   Setup
	Setting float64 // mark of the spreader's own scale, 0 when not noted
	// Pans stand at the same distances left and right, one at the centre or two beside it.
	Pans []Pan
	// Passes is how often the spreader went over the row before the pans were emptied, always in the same
	// direction; three is the rule.
	Passes int
	// PanArea is the opening of one pan, 0 when not noted; with weights it gives the rate.
	PanArea unit.Area
	// Spacing is the pass spacing to look at, 0 for the effective swath itself.
	Spacing unit.Length
}

// Pan is one pan: where it stood and what it caught in all passes together. The catch is a Weight, or the
// Depth it fills a vial to; all pans of a row in one of the two. A pan may be empty.
type Pan struct {
	At     unit.Length `json:"at_m"` // from the walking line; left is negative
	Weight unit.Mass   `json:"weight_kg,omitempty"`
	Depth  unit.Length `json:"depth_m,omitempty"`
}

// PanResult is what a pattern test says. Catches are shares of the centre mean.
type PanResult struct {
	Centre    Pan         `json:"centre"`       // the centre mean
	HalfLeft  unit.Length `json:"half_left_m"`  // where the catch falls to half the centre mean
	HalfRight unit.Length `json:"half_right_m"` // the same on the right
	Swath     unit.Length `json:"swath_m"`      // effective swath: the two together
	LeftShare float64     `json:"left_share"`   // of what fell beside the centre
	Skew      PanSkew     `json:"skew"`
	// Chosen is the overlap at the spacing asked for, Best the one with the least CV to and fro among
	// Overlaps, which are near the effective swath.
	Chosen   PanOverlap   `json:"chosen"`
	Best     PanOverlap   `json:"best"`
	Overlaps []PanOverlap `json:"overlaps"`
	// Rate is the mean of the chosen overlap for one pass a line; 0 without weights and pan area.
	Rate unit.MassPerArea `json:"rate_kg_per_m2,omitempty"`

	test PanTest
	row  panRow
}

// PanSkew names the heavier side.
type PanSkew string

// The skews. Even is within MostSide.
const (
	PatternEven  PanSkew = "even"
	PatternLeft  PanSkew = "left"
	PatternRight PanSkew = "right"
)

const (
	// MostSide is the share of what fell beside the centre that one side may take before the pattern is
	// called skewed: 55 % (common practice, no source).
	MostSide = 0.55
	// PanPasses is how often the spreader goes over the row (Bulletin 817, Ohio State University
	// Extension, 2000: three passes in the same direction).
	PanPasses = 3
	// LeastRow is the least row as a multiple of the effective swath (the same: 1.5 to 2 times).
	LeastRow = 1.5
	// leastPans is a centre and two on each side: fewer show no pattern.
	leastPans = 5
	mostPans  = 200
)

// panPoint is the catch at a distance from the line, in kilograms or metres of vial.
type panPoint struct {
	at    unit.Length
	catch float64
}

// panRow is the row sorted from left to right.
type panRow struct {
	points  []panPoint
	weights bool
	centre  float64     // the centre mean
	gap     unit.Length // least distance between two pans
}

// Result works the test out. The effective swath is twice the distance from the line at which the catch is half the
// centre mean, read between two pans on a straight line, and on each side by itself (Calibrating Turfgrass Chemical
// Application Equipment, Bulletin 817, Ohio State University Extension, 2000). Overlaps see PanOverlap. where is the
// test's place in the user's file; when the list has errors the Result is zero.
func (t PanTest) Result(where string) (PanResult, problem.List) {
	ps := t.entries(where)
	if ps.HasErrors() {
		return PanResult{}, ps
	}
	r := PanResult{test: t, row: t.arrange()}
	r.Centre = r.row.pan(0, r.row.centre)
	left, okLeft := r.row.side(-1).half()
	right, okRight := r.row.side(1).half()
	if !okLeft || !okRight {
		reach := r.row.points[len(r.row.points)-1].at
		ps.Errorf("row-too-short", where, "Set pans farther out on both sides, until they catch less than half of the centre, and repeat.",
			"the outermost pans, %s from the line, still catch more than half of the centre mean", bothLengths(reach))
		return PanResult{}, ps
	}
	r.HalfLeft, r.HalfRight = left.distance, right.distance
	r.Swath = r.HalfLeft + r.HalfRight
	r.weighSides()
	spacing := t.Spacing
	if spacing == 0 {
		spacing = r.Swath
	}
	r.Chosen = r.row.overlap(spacing)
	r.Overlaps = r.row.near(r.Swath)
	r.Best = leastCV(r.Overlaps, r.Swath)
	if r.row.weights && t.PanArea > 0 {
		r.Rate = (unit.Mass(r.Chosen.Mean * r.row.centre)).Per(t.PanArea * unit.Area(t.Passes))
	}
	ps = append(ps, r.doubts(left, right, where)...)
	return r, ps
}

// arrange sorts the row; entries has found it sound.
func (t PanTest) arrange() panRow {
	row := panRow{gap: unit.Length(math.Inf(1))}
	for _, p := range t.Pans {
		row.weights = row.weights || p.Weight != 0
		row.points = append(row.points, panPoint{p.At, float64(p.Weight) + float64(p.Depth)})
	}
	slices.SortFunc(row.points, func(a, b panPoint) int { return cmp.Compare(a.at, b.at) })
	for i, p := range row.points[1:] {
		row.gap = min(row.gap, p.at-row.points[i].at)
	}
	row.centre = row.at(0)
	return row
}

// pan is a catch with its type.
func (w panRow) pan(at unit.Length, catch float64) Pan {
	if w.weights {
		return Pan{At: at, Weight: unit.Mass(catch)}
	}
	return Pan{At: at, Depth: unit.Length(catch)}
}

// at reads the pattern at a distance from the line, on a straight line between pans; beyond the row it is 0.
func (w panRow) at(x unit.Length) float64 {
	i, exact := slices.BinarySearchFunc(w.points, x, func(p panPoint, x unit.Length) int { return cmp.Compare(p.at, x) })
	if exact {
		return w.points[i].catch
	}
	if i == 0 || i == len(w.points) {
		return w.beside(x)
	}
	a, b := w.points[i-1], w.points[i]
	share := float64((x - a.at) / (b.at - a.at))
	return a.catch + (b.catch-a.catch)*share
}

// beside is the outermost pan for a distance that is its own but for the last bits, else 0.
func (w panRow) beside(x unit.Length) float64 {
	for _, p := range []panPoint{w.points[0], w.points[len(w.points)-1]} {
		if math.Abs(float64((x-p.at)/w.gap)) < adviceNoise {
			return p.catch
		}
	}
	return 0
}

// side is the pattern from the line outwards: the centre mean, then the pans. way is -1 for the left.
func (w panRow) side(way int) panSide {
	side := panSide{{0, w.centre}}
	for _, p := range w.points {
		if out := p.at * unit.Length(way); out > 0 {
			side = append(side, panPoint{out, p.catch})
		}
	}
	slices.SortFunc(side, func(a, b panPoint) int { return cmp.Compare(a.at, b.at) })
	return side
}

// panSide is one side of the row, distances growing.
type panSide []panPoint

// halfPoint is where a side falls to half, between two points; again tells that it rises over half farther out.
type halfPoint struct {
	inner, outer panPoint
	distance     unit.Length
	again        bool
}

// half finds the first place, going out, where the catch is half of the centre mean; not ok when there is none.
func (d panSide) half() (h halfPoint, ok bool) {
	half := d[0].catch / 2
	for i, outer := range d[1:] {
		if ok {
			h.again = h.again || outer.catch > half*(1+adviceNoise)
			continue
		}
		if outer.catch <= half {
			inner := d[i]
			share := (inner.catch - half) / (inner.catch - outer.catch)
			h = halfPoint{inner: inner, outer: outer, distance: inner.at + (outer.at-inner.at)*unit.Length(share)}
			ok = true
		}
	}
	return h, ok
}

// weighSides compares what fell on either side of the line.
func (r *PanResult) weighSides() {
	var left, all float64
	for _, p := range r.row.points {
		if p.at != 0 {
			all += p.catch
		}
		if p.at < 0 {
			left += p.catch
		}
	}
	r.LeftShare, r.Skew = 0.5, PatternEven
	if all > 0 {
		r.LeftShare = left / all
	}
	switch {
	case r.LeftShare > MostSide+adviceNoise:
		r.Skew = PatternLeft
	case r.LeftShare < 1-MostSide-adviceNoise:
		r.Skew = PatternRight
	}
}
