package sheet

import (
	"fmt"
	"strings"

	"tankful/calc/label"
	"tankful/calc/season"
	"tankful/plan"
)

// adds says what the visit puts on of each nutrient, how the year then stands, and how that is with the limits. It is
// nothing where no nutrient is known and no limit is entered.
func (w *writer) adds(s *plan.StopPlan) []Block {
	sn := &s.Season
	var said []string // one paragraph: the back of a stop is full
	if t := w.nutrients(sn.Adds); t != "" {
		said = append(said, "Adds: "+t+".")
	}
	if t := w.nutrients(sn.Year); t != "" {
		said = append(said, "This calendar year with this visit: "+t+".")
	}
	var out []Block
	if len(said) > 0 {
		out = append(out, Text{Text: strings.Join(said, " ")})
	}
	if len(sn.Unknown) > 0 && len(sn.Adds)+len(sn.Year) > 0 {
		out = append(out, Text{Text: "Not counted, because no analysis is entered: " + strings.Join(sn.Unknown, ", ") + ".", Style: Small})
	}
	return append(out, w.limits(sn)...)
}

// unrecorded names, once for the truck, the limits that hang on what went on before, when no record says what that is.
func (w *writer) unrecorded() []Block {
	var open []string
	said := map[string]bool{}
	for _, s := range w.stops {
		for _, l := range s.Season.Limits {
			if t := l.Title + w.atMost(l); before(l) && !s.Season.Recorded && !untouched(l) && !said[t] {
				said[t] = true
				open = append(open, t)
			}
		}
	}
	if len(open) == 0 {
		return nil
	}
	return []Block{Text{Text: "No record of earlier applications was given. Check in yours, stop by stop: " + strings.Join(open, "; ") + "."}}
}

// nutrients prints totals on one line: "0.23 lb N/1000 sq ft (quick 0.20), 0.05 lb K2O/1000 sq ft".
func (w *writer) nutrients(list []season.Total) string {
	of := map[string]season.Total{}
	for _, n := range list {
		of[n.Of] = n
	}
	var parts []string
	for _, n := range list {
		switch n.Of {
		case "quick N", "slow N":
			continue
		}
		t := label.NutrientRate(w.u, n.Weight, n.Of)
		if n.Of == label.Nitrogen {
			quick, _, _ := strings.Cut(label.NutrientRate(w.u, of["quick N"].Weight, n.Of), " ")
			t += " (quick " + quick + ")"
		}
		parts = append(parts, t)
	}
	return strings.Join(parts, ", ")
}

// limits lists how the visit stands with each limit. Without a record, those that hang on what went on before cannot be
// told, see unrecorded.
func (w *writer) limits(sn *plan.Season) []Block {
	t := Table{Fine: true, Columns: []Column{{Head: "Limit", Align: Left}, {Head: "With this visit", Align: Left}, {Head: "Allowed", Align: Left}, {Head: "Source", Align: Left}}}
	for _, l := range sn.Limits {
		stands, allowed := w.stands(l)
		if before(l) && !sn.Recorded || untouched(l) {
			continue
		}
		source := l.Citation
		if l.Dated != "" {
			source += ", read " + l.Dated
		}
		title := l.Title
		if l.Period != "" && l.Period != w.p.Date && l.Kind != season.Blackout {
			title += " (" + l.Period + ")"
		}
		t.Rows = append(t.Rows, Row{Cells: []string{title, stands, allowed, source}})
	}
	if len(t.Rows) == 0 {
		return nil
	}
	return []Block{t}
}

// before reports whether a limit hangs on what went on before the day.
func before(l season.Line) bool {
	switch l.Kind {
	case season.Interval, season.Times:
		return true
	case season.Cap:
		return !strings.HasSuffix(l.Title, "per "+string(label.PerApplication))
	}
	return false
}

// untouched reports whether the visit has nothing of what is limited.
func untouched(l season.Line) bool {
	switch l.Kind {
	case season.Cap:
		return l.Adds.IsZero()
	case season.SlowPart:
		return l.Slow == 0 // with nitrogen in it, a visit without a slow part is not allowed
	}
	return false
}

// stands is how the visit stands with a limit, and what that allows.
func (w *writer) stands(l season.Line) (stands, allowed string) {
	switch l.Kind {
	case season.Cap:
		return l.Used.Plus(l.Adds).Text(w.u), "up to " + l.Most.Text(w.u)
	case season.Times:
		return fmt.Sprint(l.UsedTimes + l.AddsTimes), fmt.Sprintf("up to %d", l.MostTimes)
	case season.SlowPart:
		return l.Slow.Text() + " slow", "at least " + l.LeastSlow.Text()
	case season.Interval:
		if l.Last == "" {
			return "no other", fmt.Sprintf("%d days apart", l.Days)
		}
		return "nearest other on " + l.Last, fmt.Sprintf("%d days apart", l.Days)
	case season.Blackout:
		return "outside it", "none from " + l.Period
	}
	return "-", "-"
}

// atMost is what a limit allows, in brackets.
func (w *writer) atMost(l season.Line) string {
	switch l.Kind {
	case season.Cap:
		return " (up to " + l.Most.Text(w.u) + ")"
	case season.Times:
		return fmt.Sprintf(" (up to %d)", l.MostTimes)
	}
	return ""
}
