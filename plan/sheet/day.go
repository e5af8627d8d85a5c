package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
)

// route lists the day's drive, fillings and stops in sequence.
func (w *writer) route() []Block {
	t := Table{Columns: []Column{{Head: "Stop", Align: Right}, {Head: "Where", Align: Left}, {Head: "Drive", Align: Right}, {Head: "Miles", Align: Right}, {Head: "Arrive", Align: Right}, {Head: "Begin", Align: Right}, {Head: "Done", Align: Right}, {Head: "Window", Align: Left}, {Head: "Notes", Align: Left}}}
	if w.u == unit.Metric {
		t.Columns[3].Head = "Km"
	}
	seen := map[int]bool{}
	for _, e := range w.day.Events {
		drive, dist := "-", "-"
		if e.Drive > 0 {
			drive, dist = unit.Minutes(e.Drive), w.distance(e.Dist)
		}
		switch e.Kind {
		case plan.Fill:
			t.Rows = append(t.Rows, Row{Bold: true, Cells: []string{"Fill", e.Place, drive, dist, w.clock(e.At - e.Wait), w.clock(e.At), w.clock(e.Until), "", w.rinses(&e) + w.numbers("fill load", e.Loads)}})
		case plan.Lunch:
			t.Rows = append(t.Rows, Row{Cells: []string{"", "Lunch", "-", "-", "", w.clock(e.At), w.clock(e.Until), "", ""}})
		case plan.Return:
			t.Rows = append(t.Rows, Row{Bold: true, Cells: []string{"Back", e.Place, drive, dist, w.clock(e.At), "", "", "", ""}})
		case plan.Work:
			s := w.stop(e.Stop)
			if s == nil {
				t.Rows = append(t.Rows, Row{Cells: []string{"", e.Place, drive, dist, "", w.clock(e.At), w.clock(e.Until), "", ""}})
				continue
			}
			n, notes, arrive := fmt.Sprint(s.N), s.Notes, w.clock(s.Arrive)
			if seen[s.N] {
				n, notes, arrive = fmt.Sprintf("%d again", s.N), w.numbers("load", e.Loads), w.clock(e.At)
			}
			if len(e.Spread) > 0 {
				notes = strings.TrimSuffix("spread "+w.portions(e.Spread)+"; "+notes, "; ")
			}
			seen[s.N] = true
			t.Rows = append(t.Rows, Row{Cells: []string{n, s.Name, drive, dist, arrive, w.clock(e.At), w.clock(e.Until), w.window(s.From, s.Until), notes}})
		}
	}
	return []Block{
		Heading{Text: "Route", Together: true},
		t,
		Text{Text: w.p.Driving + " Times on the road are never sure. A window says when work may begin.", Style: Small},
	}
}

// rinses says which tanks are rinsed before filling.
func (w *writer) rinses(e *plan.Event) string {
	s := ""
	for _, r := range e.Rinses {
		s += fmt.Sprintf("RINSE %s (%s), ", r.Tank, unit.Minutes(r.Time))
	}
	return s
}

func (w *writer) distance(l unit.Length) string {
	if w.u == unit.Metric {
		return unit.Number(l.In(unit.Kilometre), 1)
	}
	return unit.Number(l.In(unit.Mile), 1)
}

// numbers prints "fill load 1", "fill loads 1, 2".
func (w *writer) numbers(what string, loads []int) string {
	s := what
	for i, n := range loads {
		switch {
		case i > 0:
			s += ","
		case len(loads) > 1:
			s += "s"
		}
		s += fmt.Sprintf(" %d", n)
	}
	return s
}

// time says where the day goes and how much better any plan could be.
func (w *writer) time() []Block {
	d := w.day
	work := "Spraying"
	switch {
	case len(w.loads) == 0 && w.spreads():
		work = "Spreading"
	case w.spreads():
		work = "Spraying and spreading"
	}
	out := []Block{
		Heading{Text: "Time", Together: true},
		Facts{Items: []Fact{
			{"Driving", unit.Minutes(d.Drive) + ", " + w.u.Distance(d.Driven)},
			{"Filling", unit.Minutes(d.Fill)},
			{work, unit.Minutes(d.Work)},
			{"Waiting", unit.Minutes(d.Wait)},
		}},
	}
	if d.Rinse > 0 {
		f := out[1].(Facts)
		f.Items = append(f.Items, Fact{"Rinsing", unit.Minutes(d.Rinse)})
		out[1] = f
	}
	text := w.p.Bound
	if len(w.p.Trucks) > 1 {
		text += fmt.Sprintf(" These are the times of %s together.", count(len(w.p.Trucks), "truck"))
	}
	parts := 0.0
	for _, t := range []unit.Time{d.Drive, d.Fill, d.Rinse, d.Work} { // as in plan.Plan.Minutes: no waiting
		parts += unit.Round(t.In(unit.Minute), 1)
	}
	if len(w.p.Trucks) == 1 && parts != unit.Round(w.p.Minutes, 1) {
		text += " Each time is rounded by itself; the last minute may not add up."
	}
	return append(out, Text{Text: text})
}

// withinFivePercent is how far a catch may be from the wanted rate: "Spray Gun"
// (calibration page), Pesticide Environmental Stewardship, NC State, no date.
const withinFivePercent = 0.05

// calibration prints the catch test that the mix's amounts rest on.
func (w *writer) calibration(m *plan.MixPlan) []Block {
	if m.Granules != nil {
		return w.spreaderTest(m)
	}
	facts := []Fact{
		{"Operator", m.Operator}, {"Licence", orDash(m.Licence)},
		{"Equipment", fmt.Sprintf("%s (%s)", m.Applicator, methodWords[m.Kind])},
		{"Pass spacing", w.u.Length(m.Swath)},
		{"Tested", orDash(m.TestDate)},
		{"Course", w.course(m)},
		{"Mean time", unit.Number(m.Test.Mean.In(unit.Second), 1) + " s"},
		{"Caught", w.caught(m.Caught) + " of " + cmp.Or(m.TestLiquid, "water")},
		{"Pace", w.u.Speed(m.Test.Pace)},
		{"Pressure", w.pressure(m.Pressure)},
		{"Carrier rate", w.u.CarrierRate(m.Carrier)},
	}
	if m.Nozzle != "" {
		facts = append(facts, Fact{"Nozzle", m.Nozzle})
	}
	out := []Block{Heading{Text: "Calibration in force: mix " + m.Name, Together: true}, Facts{Items: facts}}
	if catch := m.Test.Flow.For(unit.Minute); catch > 0 {
		out = append(out, Text{Style: Strong, Text: fmt.Sprintf(
			"60-second check: catch %s in 60 s at that pressure. Below %s or above %s (5 %%): do not spray; catch a new test and plan again.",
			w.caught(catch), w.caught(catch*(1-withinFivePercent)), w.caught(catch*(1+withinFivePercent)))})
	}
	if m.Course > 0 && m.Test.Pace > 0 {
		out = append(out, Text{Style: Strong, Text: fmt.Sprintf("Pace check: walk %s of the course in %s s.", w.u.Length(m.Course), unit.Number(m.Course.Over(m.Test.Pace).In(unit.Second), 1))})
	}
	return append(out, Fields{Items: []Field{{"Today: caught in 60 s", 1}, {"Today: course walked in (s)", 1}, {"Today: pressure", 1}, {"Checked by, time", 1}}})
}

// course is the ground of the test: "143 ft x 7.0 ft = 1,001 sq ft", or its area alone.
func (w *writer) course(m *plan.MixPlan) string {
	area := w.u.Area(m.Test.Area)
	switch {
	case m.Course == 0:
		return area
	case m.CoursePasses > 1:
		return fmt.Sprintf("%s x %s x %d passes = %s", w.u.Length(m.Course), w.u.Length(cmp.Or(m.Test.Swath, m.Swath)), m.CoursePasses, area)
	}
	return fmt.Sprintf("%s x %s = %s", w.u.Length(m.Course), w.u.Length(cmp.Or(m.Test.Swath, m.Swath)), area)
}

// caught prints a caught volume to 0.01 gal or L: a bucket is read finer than a tank.
func (w *writer) caught(v unit.Volume) string {
	if w.u == unit.Metric {
		return unit.Number(v.In(unit.Litre), 2) + " L"
	}
	return unit.Number(v.In(unit.Gallon), 2) + " gal"
}

func (w *writer) pressure(p unit.Pressure) string {
	if p == 0 {
		return "not noted"
	}
	return w.u.Pressure(p)
}
