package calibrate

import (
	"cmp"
	"math"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// entries finds what is wrong with the row and its figures.
func (t PanTest) entries(where string) (ps problem.List) {
	checkSetting(&ps, t.Setting, where)
	switch {
	case t.Passes < 1:
		ps.Errorf("passes-zero", where, "Enter how many passes, all in the same direction, fell into the pans.", "%d passes are given", t.Passes)
	case t.Passes > 50:
		ps.Errorf("absurd", where, "Count the passes that fell into the pans again.", "%d passes are given", t.Passes)
	case t.Passes < PanPasses:
		ps.Warnf("few-passes", where, "Go over the row three times in the same direction.", "%d passes fell into the pans; %d are the rule", t.Passes, PanPasses)
	}
	if t.PanArea != 0 && !(unit.Positive(t.PanArea) && t.PanArea <= mostPanArea) {
		ps.Errorf("absurd", where, "Enter the opening of one pan with its unit, such as 1 sq ft, or leave it out.", "a pan of %s", unit.US.Area(t.PanArea))
	}
	if t.Spacing != 0 && !(t.Spacing >= leastSpacing && t.Spacing <= mostSpacing) {
		ps.Errorf("absurd", where, "Enter the pass spacing to look at, and check its unit, or leave it out.", "a pass spacing of %s is outside 0.5 ft to 60 ft", bothLengths(t.Spacing))
	}
	if n := len(t.Pans); n < leastPans || n > mostPans {
		ps.Errorf("too-few-pans", where, "Set a pan at the centre and at least two on each side, one every foot or so.", "%d pans are given; %d to %d make a row", n, leastPans, mostPans)
		return ps
	}
	t.catches(&ps, where)
	if !ps.HasErrors() {
		t.layout(&ps, where)
	}
	return ps
}

const mostPanArea = 25 * unit.SquareFoot // common practice, no source: nobody lays out larger pans

// catches finds what is wrong with one pan at a time, and with the kinds together.
func (t PanTest) catches(ps *problem.List, where string) {
	weights, depths := 0, 0
	for i, p := range t.Pans {
		switch {
		case math.IsNaN(float64(p.At)) || p.At > mostSpacing || p.At < -mostSpacing:
			ps.Errorf("absurd", where, "Enter each pan's distance from the walking line, left as a negative one, and check its unit.", "pan %d stands %s from the line", i+1, bothLengths(p.At))
		case !(p.Weight >= 0) || !(p.Depth >= 0) || math.IsInf(float64(p.Weight), 1) || math.IsInf(float64(p.Depth), 1):
			ps.Errorf("weight-negative", where, "Enter what each pan caught as a weight or a depth, 0 for an empty one.", "pan %d caught %s, %s", i+1, gramsText(p.Weight), depthText(unit.US, p.Depth))
		}
		if p.Weight != 0 {
			weights++
		}
		if p.Depth != 0 {
			depths++
		}
	}
	if weights > 0 && depths > 0 {
		ps.Errorf("weights-and-depths", where, "Enter either weights or depths for the whole row.", "%d pans have a weight and %d a depth", weights, depths)
	}
	if weights+depths == 0 {
		ps.Errorf("catch-zero", where, "Enter what the pans caught.", "all pans are empty")
	}
}

// layout finds rows that cannot be read: no centre, places that do not match left and right.
func (t PanTest) layout(ps *problem.List, where string) {
	row := slices.Clone(t.Pans)
	slices.SortFunc(row, func(a, b Pan) int { return cmp.Compare(a.At, b.At) })
	const alike = 5 * unit.Millimetre // as well as a pan is set out
	for i, p := range row[1:] {
		if p.At-row[i].At < alike {
			ps.Errorf("pan-twice", where, "Enter each place once.", "two pans stand %s from the line", bothLengths(p.At))
			return
		}
	}
	for i, p := range row {
		if off := row[len(row)-1-i].At + p.At; off > alike || off < -alike {
			ps.Errorf("pans-lopsided", where, "Set the pans at the same distances left and right, and leave out any without a partner.",
				"the row goes from %s to %s with %d pans, and the pan at %s has no partner across the line", bothLengths(row[0].At), bothLengths(row[len(row)-1].At), len(row), bothLengths(p.At))
			return
		}
	}
	sorted := t.arrange()
	middle := len(row) / 2
	if row[middle].At != 0 && row[middle].At-row[middle-1].At > 2*(row[middle+1].At-row[middle].At) {
		ps.Errorf("no-centre-pan", where, "Set a pan on the walking line, or two close beside it, and repeat.", "the pans nearest to the line stand %s and %s from it", bothLengths(row[middle-1].At), bothLengths(row[middle].At))
	}
	if !(sorted.centre > 0) {
		ps.Errorf("centre-zero", where, "Check that the spreader went over the centre of the row with its gate open.", "the pans at the centre are empty")
	}
}

// doubts finds what the pattern itself says.
func (r PanResult) doubts(left, right halfPoint, where string) (ps problem.List) {
	points := r.row.points
	width := points[len(points)-1].at - points[0].at
	if width < LeastRow*r.Swath*(1-adviceNoise) {
		ps.Warnf("row-short", where, "Lay the row out 1.5 to 2 times as wide as the effective swath.", "the row is %s wide for an effective swath of %s", bothLengths(width), bothLengths(r.Swath))
	}
	if end := max(points[0].catch, points[len(points)-1].catch); end > edgeCatch*r.row.centre {
		ps.Warnf("row-cut-off", where, "Set pans farther out until they stay nearly empty; what falls beyond the row is missing from the overlap.",
			"an outermost pan still caught %s of the centre mean", percent(end/r.row.centre))
	}
	if left.again || right.again {
		ps.Warnf("pattern-uneven", where, "Check the gate, the impeller and the wind, and repeat.", "the catch rises above half of the centre mean again farther out than %s", bothLengths(min(r.HalfLeft, r.HalfRight)))
	}
	if r.Skew != PatternEven {
		ps.Warnf("pattern-skewed", where, "Shift the pattern as the spreader's book says, and repeat; until then the swath is not even.",
			"the %s side takes %s of what falls beside the centre; up to %s is even", string(r.Skew), percent(max(r.LeftShare, 1-r.LeftShare)), wholePercent(MostSide))
	}
	return ps
}

// edgeCatch is what an outermost pan may catch, as a share of the centre mean, before the row is called cut off
// (common practice, no source).
const edgeCatch = 0.10
