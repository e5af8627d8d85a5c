package calibrate

import (
	"fmt"
	"strings"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// panBounce is said with every pattern: an abstract on the ASAE S341.2 pan test against cups set in turf found it.
const panBounce = "Granules bounce: pans on a hard floor overstate both width and rate for large heavy granules (abstract of a comparison of the ASAE S341.2 pan test with cups in the turf)."

// noCVMark is said with every CV.
const noCVMark = "CV = standard deviation / mean (from memory). No pass mark is set: none was found in a source. A narrower spacing always looks more even."

func gramsText(m unit.Mass) string { return unit.Number(m.In(unit.Gram), 1) + " g" }

func depthText(s unit.System, l unit.Length) string {
	if s == unit.Metric {
		return unit.Number(l.In(unit.Millimetre), 0) + " mm"
	}
	return unit.Number(l.In(unit.Inch), 2) + " in"
}

// swathText is a length with two decimals: a swath is read to an inch.
func swathText(s unit.System, l unit.Length) string {
	if s == unit.Metric {
		return unit.Number(l.In(unit.Metre), 2) + " m"
	}
	return unit.Number(l.In(unit.Foot), 2) + " ft"
}

// panText prints what a pan caught.
func (r PanResult) panText(s unit.System, p Pan) string {
	if r.row.weights {
		return gramsText(p.Weight)
	}
	return depthText(s, p.Depth)
}

// Facts are the lines that every page and sheet prints.
func (r PanResult) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{
		{Name: "effective swath", Text: swathText(s, r.Swath)},
		{Name: "centre mean", Text: r.panText(s, r.Centre)},
		{Name: "falls to half", Text: fmt.Sprintf("%s left, %s right", swathText(s, r.HalfLeft), swathText(s, r.HalfRight))},
		{Name: "sides", Text: fmt.Sprintf("left %s, right %s of what fell beside the centre%s", percent(r.LeftShare), percent(1-r.LeftShare), r.Skew.text())},
		{Name: "overlap at " + swathText(s, r.Chosen.Spacing), Text: r.Chosen.text()},
		{Name: "least CV nearby", Text: swathText(s, r.Best.Spacing) + ": " + r.Best.text()},
	}
	if r.Rate != 0 {
		fs = append(fs, working.Fact{Name: "product rate in the pans", Text: bothMassRates(s, r.Rate)})
	}
	return append(fs, working.Fact{Name: "what a CV says", Text: noCVMark}, working.Fact{Name: "caution", Text: panBounce})
}

func (k PanSkew) text() string {
	if k == PatternEven {
		return ""
	}
	return ": skewed to the " + string(k)
}

func (o PanOverlap) text() string {
	return fmt.Sprintf("CV %s to and fro, %s round and round", percent(o.CV), percent(o.CVRound))
}

// Working shows the swath, the overlap and, with weights and pan area, the rate.
func (r PanResult) Working(s unit.System) working.Working {
	var w working.Working
	var caught []string
	for _, p := range r.row.points {
		q := r.row.pan(p.at, p.catch)
		caught = append(caught, working.Figures(unit.Round(p.at.In(lengthOne(s)), 0.001))+": "+r.panText(s, q))
	}
	w.Say("caught, by the distance from the line in "+working.UnitsOf(s).Length+", left negative", strings.Join(caught, "; "), panBounce)
	centre := "the pan on the walking line"
	if !r.row.hasCentrePan() {
		centre = "the two pans beside the walking line, on a straight line between them"
	}
	w.Say("centre mean", r.panText(s, r.Centre), centre)
	half := r.pointOf("centre mean", panPoint{0, r.row.centre}, s).Over(working.Number("", 2))
	w.Add("half of it", half, r.quantity(r.row.centre/2), r.catchUnit(s), "")
	r.workHalf(&w, s, "left", -1)
	r.workHalf(&w, s, "right", 1)
	in := working.UnitsOf(s).Length
	w.Add("effective swath", working.Of("half-rate distance left", r.HalfLeft, in).Plus(working.Of("half-rate distance right", r.HalfRight, in)), r.Swath, in, swathText(s, r.Swath),
		"Twice the distance at which the catch is half of the centre mean (Ohio State University Extension, Bulletin 817).")
	w.Say("left and right", fmt.Sprintf("%s and %s", percent(r.LeftShare), percent(1-r.LeftShare)), fmt.Sprintf("up to %s on a side is called even (common practice, no source)", wholePercent(MostSide)))
	r.workOverlap(&w, s)
	return w
}

// workHalf shows the straight line between the two pans where the catch falls to half.
func (r PanResult) workHalf(w *working.Working, s unit.System, name string, way int) {
	h, _ := r.row.side(way).half()
	in := working.UnitsOf(s).Length
	inner, outer, half := r.pointOf("inner pan", h.inner, s), r.pointOf("outer pan", h.outer, s), r.pointOf("half", panPoint{0, r.row.centre / 2}, s)
	share := (h.inner.catch - r.row.centre/2) / (h.inner.catch - h.outer.catch)
	w.AddNumber("share of the gap, "+name, inner.Minus(half).Over(inner.Minus(outer)), share, "",
		fmt.Sprintf("Between %s and %s from the line.", swathText(s, h.inner.at), swathText(s, h.outer.at)))
	part := (h.outer.at - h.inner.at) * unit.Length(share)
	w.Add("part of the gap, "+name, working.Of("outer distance", h.outer.at, in).Minus(working.Of("inner distance", h.inner.at, in)).Times(working.Number("share", share)), part, in, "")
	w.Add("half-rate distance "+name, working.Of("inner distance", h.inner.at, in).Plus(working.Of("part of the gap", part, in)), h.distance, in, swathText(s, h.distance))
}

// workOverlap shows what falls at each place when passes lie side by side, and its CV.
func (r PanResult) workOverlap(w *working.Working, s unit.System) {
	o := r.Chosen
	why := "the spacing asked for"
	if r.test.Spacing == 0 {
		why = "no spacing was asked for: the effective swath is taken"
	}
	w.Say("pass spacing looked at", swathText(s, o.Spacing), why)
	var puts []working.Expr
	for i, p := range r.row.passes(o.Spacing, 0, true) {
		if p > 0 || i == 0 {
			puts = append(puts, working.Number("a pass", p/r.row.centre))
		}
	}
	w.AddNumber("overlap on the walking line", working.Sum(puts...), o.Catches[len(o.Catches)/2], "",
		"Shares of the centre mean: this pass and its neighbours, every second one thrown the other way round.")
	var places []string
	var catches []working.Expr
	var squares []working.Expr
	for i, c := range o.Catches {
		places = append(places, working.Figures(unit.Round(o.Places[i].In(lengthOne(s)), 0.01))+": "+unit.Number(c, 3))
		catches = append(catches, working.Number("", c))
		d := c/o.Mean - 1
		squares = append(squares, working.Number("", d*d))
	}
	w.Say("the same at all places across a swath, in "+working.UnitsOf(s).Length+" from the line", strings.Join(places, "; "), fmt.Sprintf("the middles of %d equal strips, read on straight lines between the pans", len(o.Places)))
	w.AddNumber("mean of the overlap", working.Mean("the places", catches...), o.Mean, unit.Number(o.Mean, 3))
	if o.CV > 0 {
		n := float64(len(squares))
		e := working.Root(working.Mean("the squares of (place / mean - 1)", squares...).Times(working.Number("places", n)).Over(working.Number("places less one", n-1)))
		w.AddPercent("CV, to and fro", e, o.CV, percent(o.CV), noCVMark)
	} else {
		w.Say("CV, to and fro", percent(o.CV), noCVMark)
	}
	w.Say("CV, round and round", percent(o.CVRound), "the same sum with every pass thrown the same way")
	var near []string
	for _, n := range r.Overlaps {
		near = append(near, swathText(s, n.Spacing)+": "+percent(n.CV))
	}
	w.Say("CV at other spacings, to and fro", strings.Join(near, "; "), fmt.Sprintf("looked at from %s to %s of the effective swath (common practice, no source); least at %s", wholePercent(nearLeast), wholePercent(nearMost), swathText(s, r.Best.Spacing)))
	if r.Rate != 0 {
		r.workRate(w, s)
	}
}

// workRate shows the rate that the mean of the overlap makes.
func (r PanResult) workRate(w *working.Working, s unit.System) {
	b := working.UnitsOf(s)
	mean := unit.Mass(r.Chosen.Mean * r.row.centre)
	w.Add("mean catch of a pan in the overlap", working.Of("centre mean", r.Centre.Weight, "g").Times(working.Number("mean of the overlap", r.Chosen.Mean)), mean, "g", "")
	w.Add("product rate in the pans", working.Of("mean catch", mean, "g").Over(working.Of("pan", r.test.PanArea, b.Area).Times(working.Number("passes", float64(r.test.Passes)))), r.Rate, b.MassRate, s.MassRate(r.Rate),
		"All passes of the test fell into each pan; a lawn gets one.")
}

func (w panRow) hasCentrePan() bool {
	for _, p := range w.points {
		if p.at == 0 {
			return true
		}
	}
	return false
}

// quantity is a catch as what it is.
func (r PanResult) quantity(catch float64) unit.Quantity {
	if r.row.weights {
		return unit.Mass(catch)
	}
	return unit.Length(catch)
}

func (r PanResult) catchUnit(s unit.System) string {
	if r.row.weights {
		return "g"
	}
	return working.UnitsOf(s).Depth
}

func (r PanResult) pointOf(name string, p panPoint, s unit.System) working.Expr {
	return working.Of(name, r.quantity(p.catch), r.catchUnit(s))
}

func lengthOne(s unit.System) unit.Length {
	if s == unit.Metric {
		return unit.Metre
	}
	return unit.Foot
}

// Procedure is how the pattern is tested (Bulletin 817, Ohio State University Extension, 2000).
func (t PanTest) Procedure(s unit.System) []string {
	pan, gap := "1 sq ft", "1 ft"
	if s == unit.Metric {
		pan, gap = "0.1 m2", "30 cm"
	}
	return numbered(
		"Choose a level place and a still hour.",
		fmt.Sprintf("Set out a row of shallow boxes across the walking line, all alike, about %s, one to two fingers deep and divided so that nothing bounces out, one every %s: one on the line and as many left as right.", pan, gap),
		"Make the row 1.5 to 2 times as wide as the swath that you expect; leave room for the wheels.",
		"Fill the hopper half with the product that will be spread.",
		"Come up to pace well before the row and go over it three times, always in the same direction.",
		"Weigh each box, or pour each into a vial of the same bore and measure the depth; write left distances as negative.",
		"The effective swath is twice the distance at which a box holds half of what the centre holds. If the outermost boxes hold more than that, the row is too short.",
		"Repeat for every product and every setting that throws otherwise. "+panBounce)
}
