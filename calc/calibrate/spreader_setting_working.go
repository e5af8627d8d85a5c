package calibrate

import (
	"fmt"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// ownScale is said with every setting.
const ownScale = "Marks are of this spreader's own scale, as decimal numbers; another spreader's mean another gate."

// Facts are the lines that every page and sheet prints.
func (r SettingResult) Facts(s unit.System) []working.Fact {
	mark, does := r.PerMark, "adds"
	if mark < 0 {
		mark, does = -mark, "takes away"
	}
	return []working.Fact{
		{Name: "setting", Text: working.Figures(r.Setting) + " on the spreader's own scale"},
		{Name: "rate at it", Text: bothMassRates(s, r.Rate)},
		{Name: "off the wanted rate", Text: percentText(r.Off)},
		{Name: "between", Text: fmt.Sprintf("%s (%s) and %s (%s)", working.Figures(r.Below.Setting), s.MassRate(r.Below.Rate), working.Figures(r.Above.Setting), s.MassRate(r.Above.Rate))},
		{Name: "one mark more", Text: fmt.Sprintf("%s %s there", does, s.MassRate(mark))},
	}
}

// Working shows the straight line between the two marks, and the rate at the mark that can be set.
func (r SettingResult) Working(s unit.System) working.Working {
	var w working.Working
	rate := func(name string, m unit.MassPerArea) working.Expr {
		return working.Of(name, m, working.UnitsOf(s).MassRate)
	}
	a, b, wanted := r.Below, r.Above, r.search.Wanted
	w.Say("marks on either side", fmt.Sprintf("%s gave %s, %s gave %s", working.Figures(a.Setting), s.MassRate(a.Rate), working.Figures(b.Setting), s.MassRate(b.Rate)), ownScale)
	share := float64((wanted - a.Rate) / (b.Rate - a.Rate))
	w.AddNumber("share of the way", rate("wanted", wanted).Minus(rate("rate at the lower mark", a.Rate)).
		Over(rate("rate at the upper mark", b.Rate).Minus(rate("rate at the lower mark", a.Rate))), share, "",
		"A straight line between the two marks; beyond what was tried nothing is guessed.")
	marks := share * (b.Setting - a.Setting)
	w.AddNumber("marks above the lower one", working.Number("upper mark", b.Setting).Minus(working.Number("lower mark", a.Setting)).Times(working.Number("share", share)), marks, "")
	w.AddNumber("setting by the line", working.Number("lower mark", a.Setting).Plus(working.Number("marks above it", marks)), r.Between, "")
	r.workScale(&w, s)
	return w
}

// workScale shows the rounding to the scale and what it does to the rate.
func (r SettingResult) workScale(w *working.Working, s unit.System) {
	in := working.UnitsOf(s).MassRate
	rate := func(name string, m unit.MassPerArea) working.Expr { return working.Of(name, m, in) }
	note := fmt.Sprintf("the scale is set to %s of a mark", working.Figures(r.step))
	if r.search.Step == 0 {
		note += " (default, common practice, no source)"
	}
	if r.Setting == r.Between && unit.Round(r.Between, r.step) != r.Between {
		note = fmt.Sprintf("no step of %s lies between the marks tried; set it by eye", working.Figures(r.step))
	}
	w.Say("setting", working.Figures(r.Setting), note)

	i := bracketSetting(r.sorted, r.Setting)
	a, b := r.sorted[i], r.sorted[i+1]
	perMark, over := r.perMark(i), r.Setting-a.Setting
	w.Add("one mark does", rate("rate at mark "+working.Figures(b.Setting), b.Rate).Minus(rate("rate at mark "+working.Figures(a.Setting), a.Rate)).
		Over(working.Number("marks between them", b.Setting-a.Setting)), perMark, in, "")
	w.AddNumber("marks above "+working.Figures(a.Setting), working.Number("setting", r.Setting).Minus(working.Number("mark", a.Setting)), over, "")
	more := unit.MassPerArea(over) * perMark
	w.Add("that much more", rate("one mark", perMark).Times(working.Number("marks", over)), more, in, "")
	w.Add("rate at the setting", rate("rate at mark "+working.Figures(a.Setting), a.Rate).Plus(rate("that much more", more)), r.Rate, in, s.MassRate(r.Rate))
	w.AddPercent("off the wanted rate", rate("rate at the setting", r.Rate).Minus(rate("wanted", r.search.Wanted)).Over(rate("wanted", r.search.Wanted)),
		r.Off, percentText(r.Off), "Try the setting by weight before a lawn is treated with it.")
}

// Procedure is how the marks are tried (common practice, no source, on the weighing of Calibrating Your
// Spreader, NC Cooperative Extension, Onslow County, 2017).
func (q SettingSearch) Procedure(unit.System) []string {
	return numbered(
		"Begin with the mark on the bag or in the spreader's book, and weigh what it gives on a known area.",
		"Try a second mark, so that one gives less than the wanted rate and the other more; keep product, pace and pass spacing.",
		"Write the marks as numbers of this spreader's own scale, A as 1 where it has letters.",
		"Take the mark that lies between in the same share as the wanted rate, to a step of the scale. A rate beyond both marks is not guessed: try another mark.",
		"Set it, and weigh again.")
}
