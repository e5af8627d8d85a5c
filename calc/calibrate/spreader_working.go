package calibrate

import (
	"fmt"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// Facts are the lines that every page and sheet prints.
func (r SpreaderResult) Facts(s unit.System) []working.Fact {
	var fs []working.Fact
	add := func(name, text string) { fs = append(fs, working.Fact{Name: name, Text: text}) }
	t := r.test
	add("product rate", bothMassRates(s, r.Rate))
	if r.Judgement != "" {
		least, most := AcceptBand(t.Wanted)
		add("wanted", fmt.Sprintf("%s; accepted from %s to %s", s.MassRate(t.Wanted), s.MassRate(least), s.MassRate(most)))
		add("off the wanted rate", percentText(r.Off))
		add("judgement", r.Judgement.Text())
	}
	if t.Setup.Product != "" {
		add("product", t.Setup.Product)
	}
	if r.Setting != 0 {
		add("setting", working.Figures(r.Setting)+" on the spreader's own scale")
	}
	if t.Width != 0 {
		add("pass spacing", s.Length(t.Width))
	}
	add("area of a trial", s.Area(r.Area))
	add("put out in a trial", fmt.Sprintf("%s, mean of %d", s.Mass(r.Mean), len(r.Amounts)))
	if r.Weighings.N > 1 {
		add("spread of the trials", percent(r.Weighings.Spread)+" of their mean")
	}
	if r.Pace != 0 {
		add("pace", fmt.Sprintf("%s (%s in %s)", paceText(s, r.Pace), s.Length(r.Course), secondsText(t.Time)))
	}
	return fs
}

// Working shows how the rate was come by, in the units of s.
func (r SpreaderResult) Working(s unit.System) working.Working {
	var w working.Working
	b, t := working.UnitsOf(s), r.test
	r.workGround(&w, s)
	amounts := make([]working.Expr, len(r.Amounts))
	for i, m := range r.Amounts {
		if trial := t.Trials[i]; trial.Caught == 0 {
			e := working.Of("weight before", trial.Before, b.Mass).Minus(working.Of("weight after", trial.After, b.Mass))
			w.Add(fmt.Sprintf("put out in trial %d", i+1), e, m, b.Mass, "")
		}
		amounts[i] = working.Of("", m, b.Mass)
	}
	mean := working.Of("put out", r.Mean, b.Mass)
	if len(amounts) > 1 {
		w.Add("mean put out in a trial", working.Mean("the trials", amounts...), r.Mean, b.Mass, "")
		workStats(&w, "trial", r.Amounts, b.Mass, massOne(s))
		mean = working.Of("mean put out", r.Mean, b.Mass)
	}
	w.Add("product rate", mean.Over(working.Of("area", r.Area, b.Area)), r.Rate, b.MassRate, s.MassRate(r.Rate))
	if s != unit.Metric {
		w.Add("the same per acre", working.Of("product rate", r.Rate, b.MassRate), r.Rate, "lb/acre", unit.Number(r.Rate.In(unit.PoundPerAcre), 1)+" lb/acre")
	}
	if r.Judgement != "" {
		workBand(&w, t.Wanted, s)
		sayJudgement(&w, working.Of("product rate", r.Rate, b.MassRate), working.Of("wanted", t.Wanted, b.MassRate), r.Off)
	}
	return w
}

// workGround shows how the area of a trial and the pace were come by.
func (r SpreaderResult) workGround(w *working.Working, s unit.System) {
	b, t := working.UnitsOf(s), r.test
	if t.Area != 0 {
		w.Say("area of a trial", s.Area(r.Area), "as given: what was caught or spread is what fell on it")
		return
	}
	if t.Turns != 0 {
		e := working.Number("wheel turns", t.Turns).Times(working.Of("around the wheel", t.Wheel, b.Length))
		w.Add("course", e, r.Course, b.Length, "", "The turns that were counted, not a round number near them.")
	}
	width, why := "effective swath", "A rotary spreader throws wider than this: its passes overlap, and each stands for the distance to the next."
	if t.Kind == Drop {
		width, why = "width of the hopper", "A drop spreader covers the width of its hopper."
	}
	e := working.Of("course", r.Course, b.Length).Times(working.Of(width, t.Width, b.Length))
	w.Add("area of a trial", e, r.Area, b.Area, "", why)
	if r.Pace != 0 {
		w.Add("pace", working.Of("course", r.Course, b.Length).Over(working.Of("time of a trial", t.Time, "s")), r.Pace, b.Speed, paceText(s, r.Pace))
	}
}

// workBand shows the least and the most rate that is accepted.
func workBand(w *working.Working, wanted unit.MassPerArea, s unit.System) {
	b := working.UnitsOf(s)
	least, most := AcceptBand(wanted)
	rule := fmt.Sprintf("%s either way is accepted (UMass Extension, Rotary Spreader Calibration Procedures).", wholePercent(AcceptShare))
	w.Add("least that is accepted", working.Of("wanted", wanted, b.MassRate).Times(working.Percent("", 1-AcceptShare)), least, b.MassRate, s.MassRate(least), rule)
	w.Add("most that is accepted", working.Of("wanted", wanted, b.MassRate).Times(working.Percent("", 1+AcceptShare)), most, b.MassRate, s.MassRate(most))
}

func massOne(s unit.System) unit.Mass {
	if s == unit.Metric {
		return unit.Kilogram
	}
	return unit.Pound
}

// Procedure is how the test is done, a step a line (Calibrating Your Spreader, NC Cooperative
// Extension, Onslow County, 2017; Granular Spreader Calibration For Lawn Care, Illinois, n.d.; Rotary
// Spreader Calibration Procedures, UMass Extension, n.d.). It follows the kind and what the area is given by.
func (t SpreaderTest) Procedure(s unit.System) []string {
	area, large, tarp := "1,000 sq ft", "5,000 sq ft", "10 by 10 ft"
	if s == unit.Metric {
		area, large, tarp = "100 m2", "500 m2", "3 by 3 m"
	}
	width, plot := "the effective swath of a pattern test, not the width thrown", "a rotary spreader wants a large area, such as "+large
	if t.Kind == Drop {
		width, plot = "the width of the hopper", "such as "+area
	}
	fill := "Fill the hopper half, with the product that will be spread: every product flows in its own way, and so does a damp one."
	where := "Measure a course. Course times pass spacing is the area: " + plot + "; the pass spacing is " + width + "."
	walk := "Come up to pace before the line, open the gate on it, keep the pace, and close the gate on the far line."
	weigh := "Weigh the spreader with its product before and after; the difference was spread."
	switch {
	case t.Area != 0:
		where = "Lay out a clean tarp, such as " + tarp + ", or hang a pan under a drop spreader, and measure the area it stands for."
		walk = "Come up to pace before the tarp and push over it, in passes at their usual spacing so that all of it is covered as a lawn would be."
		weigh = "Sweep up what fell and weigh it; weigh the empty container too."
	case t.Turns != 0 || t.Wheel != 0:
		where = "Mark the wheel's rim. Measure once around the wheel on the ground, loaded as in work."
		walk = "Push, or turn the raised wheel at working pace, and count the turns, parts of a turn too."
	}
	return numbered(where, fill, "Set the gate to one mark of its scale and write the mark down.", walk, weigh,
		"Do it three times and take the mean; time the course, because the pace is part of the rate.",
		fmt.Sprintf("Hold the rate against the wanted one: within %s is accepted, up to %s adjust and repeat, above that treat no lawn.", wholePercent(AcceptShare), wholePercent(RefuseShare)),
		"Repeat for every product.")
}
