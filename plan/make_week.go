package plan

import (
	"cmp"
	"fmt"
	"slices"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/solve"
)

// MakeWeek gives each visit a truck and a day, all days at once as one search does the trucks of a day, and plans every day with what it was given. A visit that was due
// before the week comes on any day of it; when not all fit, those that can wait until after it give way. Limits of labels and of the place are held for each day that a
// visit might be on, all other visits of the week to its property counted as made before. Each mix of a property is a visit of its own, and may be on another day. Tanks
// are clean each morning, and cleaning them at night is in no sum. The WeekPlan is nil when the list has an error in it.
func MakeWeek(w *Week) (*WeekPlan, problem.List) {
	m := &weekMaker{week: w, out: &WeekPlan{Outfit: w.Day.Outfit, Invented: w.Day.Invented, Units: w.Day.Units, Days: []DayOfWeek{}, Later: []Later{}, Carry: []WeekCarry{}}}
	for _, step := range []func(){m.check, m.pool, m.limits, m.assign, m.days, m.sums} {
		if !m.problems.HasErrors() {
			step()
		}
	}
	m.problems = m.problems.Distinct()
	if m.problems.HasErrors() {
		return nil, m.problems
	}
	m.out.Problems = m.problems
	return m.out, m.problems
}

// weekMaker makes one week's plan.
type weekMaker struct {
	week     *Week
	out      *WeekPlan
	problems problem.List
	// maker has the pooled day: the visits that may be this week as its stops, every truck of every day as its trucks.
	maker  *maker
	visits []int // by stop of the pooled day: which of Week.Day.Stops
	shifts []truckOn
	route  route.Day
	answer *solve.Answer
	lawful []lawful // by stop of the pooled day
}

// truckOn is a truck of the pooled day: which day it is of, and what it is on that day.
type truckOn struct {
	day   int
	truck Truck
}

// lawful is on which days limits allow a visit, and what the last one says that does not.
type lawful struct {
	on       []bool
	why, fix string
}

func (m *weekMaker) first() string { return m.week.Days[0].Date }
func (m *weekMaker) last() string  { return m.week.Days[len(m.week.Days)-1].Date }

// stop is the visit of a stop of the pooled day, as the week has it, and due is when it is.
func (m *weekMaker) stop(i int) *Stop { return &m.week.Day.Stops[m.visits[i]] }
func (m *weekMaker) due(i int) *Due   { return &m.week.Due[m.visits[i]] }

// check holds the days and dates.
func (m *weekMaker) check() {
	w := m.week
	if len(w.Days) == 0 {
		m.problems.Errorf("no-days", w.Where, "Enter the days that are worked.", "the week has no day")
	}
	last := ""
	for i := range w.Days {
		d := &w.Days[i]
		where := orElse(d.Where, w.Where)
		if m.date(d.Date, where, "a day of the week") && d.Date <= last {
			m.problems.Errorf("days-order", where, "Enter each day once, in order.", "%s comes after %s", d.Date, last)
		}
		last = d.Date
		for _, name := range d.Off {
			if byName(w.Day.Trucks, name, func(t *Truck) string { return t.Name }) == nil && byName(w.Day.Operators, name, func(o *Operator) string { return o.Name }) == nil {
				m.problems.Errorf("unknown-name", where, "Name a truck or an operator.", "%q is neither a truck nor an operator", name)
			}
		}
	}
	for i := range w.Day.Trucks {
		for _, k := range w.Day.Trucks[i].Tanks {
			if k.Holds != nil {
				m.problems.Errorf("holds-in-a-week", k.Where, "Remove holds; spray it out with `tankful day` first.", "tank %s of %s is said to hold something: a week begins with clean tanks", k.Name, w.Day.Trucks[i].Name)
			}
		}
	}
	if len(w.Due) != len(w.Day.Stops) {
		m.problems.Errorf("no-plan", w.Where, "Say of every visit when it is due.", "%d of %d visits say when they are due", len(w.Due), len(w.Day.Stops))
		return
	}
	for i := range w.Due {
		d, where := &w.Due[i], w.Day.Stops[i].Where
		for _, text := range append([]string{d.From, d.Until}, d.NotOn...) {
			if text != "" {
				m.date(text, where, "when the visit is due")
			}
		}
		if d.Until != "" && d.Until < d.From {
			m.problems.Errorf("due-ends-before-start", where, "Write the earlier date first.", "the visit is due from %s to %s", d.From, d.Until)
		}
	}
}

// date reports whether a text is a date.
func (m *weekMaker) date(text, where, what string) bool {
	_, err := date.Parse(text)
	if err != nil {
		m.problems.Errorf("date-invalid", where, "Write year-month-day, such as 2026-04-14.", "%s: %v", what, err)
	}
	return err == nil
}

// pool puts the visits that may be this week together, for the trucks of every day, and lays their passes.
func (m *weekMaker) pool() {
	w := m.week
	d := *w.Day
	d.Date, d.Stops = m.first(), nil
	for i := range w.Day.Stops {
		s, due := w.Day.Stops[i], &w.Due[i]
		switch {
		case due.From > m.last():
			m.later(i, NotDue, "it is due from "+due.From+" on", "Plan it in a later week.")
			continue
		case due.Until != "" && due.Until < m.first():
			m.problems.Warnf("overdue", s.Where, "Tell the customer, or mend the dates.", "%s was due until %s: it is planned for any day of this week", nameOf(&s), due.Until)
		}
		s.Truck, s.Needs = "", nil // for the pooled trucks have other names: assign knows
		d.Stops, m.visits = append(d.Stops, s), append(m.visits, i)
	}
	if len(d.Stops) == 0 {
		m.problems.Errorf("no-stops", w.Where, "Enter visits that are due, or another week.", "no visit is due this week")
		return
	}
	m.trucks(&d)
	if len(d.Trucks) == 0 {
		m.problems.Errorf("no-truck", w.Where, "Take a truck and an operator off the list of who is off.", "no truck works on any day of the week")
		return
	}
	m.maker = &maker{day: &d, plan: &Plan{Date: d.Date, Units: d.Units}}
	m.maker.check()
	m.maker.mixes()
	m.maker.stops()
	m.problems = append(m.problems, m.maker.problems...)
}

// trucks gives the pooled day every truck of every day, less who is off.
func (m *weekMaker) trucks(d *Day) {
	d.Trucks = nil
	names := map[string][]string{}
	for k := range m.week.Days {
		day := &m.week.Days[k]
		for _, t := range m.week.Day.Without(day.Off).Trucks {
			m.shifts = append(m.shifts, truckOn{k, t})
			own := t.Name
			t.Name, t.known = fmt.Sprintf("%s on %s", own, day.Date), own
			t.From, t.Until = cmp.Or(t.From, day.Start, d.Start), cmp.Or(t.Until, day.End, d.End)
			names[own] = append(names[own], t.Name)
			d.Trucks = append(d.Trucks, t)
		}
	}
	d.Start, d.End = 0, 0 // each truck has its own
	var fills []FillPoint
	for _, f := range d.FillPoints {
		var of []string
		for _, name := range f.Trucks {
			of = append(of, names[name]...)
		}
		if len(f.Trucks) == 0 || len(of) > 0 {
			f.Trucks = of
			fills = append(fills, f)
		}
	}
	d.FillPoints = fills
}

// limits finds on which days the limits of labels and place allow each visit.
func (m *weekMaker) limits() {
	mk := m.maker
	kept := mk.problems
	m.lawful = make([]lawful, len(mk.work))
	for i := range mk.work {
		l := &m.lawful[i]
		l.on = make([]bool, len(m.week.Days))
		for k := range m.week.Days {
			mk.day.Date, mk.problems = m.week.Days[k].Date, nil
			mk.season(i)
			l.on[k] = !mk.problems.HasErrors()
			for _, p := range mk.problems {
				if p.Severity == problem.Error {
					l.why, l.fix = fmt.Sprintf("on %s %s", mk.day.Date, p.What), p.Fix
				}
			}
		}
	}
	mk.day.Date, mk.problems = m.first(), kept
}

// later enters a visit of no day; i is its index in Week.Day.Stops.
func (m *weekMaker) later(i int, reason LaterReason, why, fix string) {
	s, due := &m.week.Day.Stops[i], &m.week.Due[i]
	l := Later{Name: nameOf(s), Mix: s.Mix, From: due.From, Until: due.Until, Reason: reason, Why: why, Fix: fix}
	if s.Site != nil && s.Site.Property != nil {
		l.Property = s.Site.Property.ID
	}
	m.out.Later = append(m.out.Later, l)
	if reason != NotDue {
		m.problems.Warnf("visit-later", s.Where, fix, "%s (%s) is on no day of the week: %s", l.Name, l.Mix, why)
	}
}

func nameOf(s *Stop) string {
	if s.Site != nil && s.Site.Property != nil {
		return s.Site.Property.Name
	}
	return s.Mix
}

// window reports whether a visit's window is open within the hours of a day's truck.
func window(s *Stop, from, until unit.Time) bool {
	return (s.Until == 0 || s.Until >= from) && (until == 0 || s.From < until)
}

// suits tells whether a visit may be in a shift, and if not, why.
func (m *weekMaker) suits(i, shift int) (LaterReason, string) {
	s, on := m.stop(i), &m.shifts[shift]
	day := &m.week.Days[on.day]
	t := &m.maker.day.Trucks[shift]
	if !m.due(i).may(day.Date, m.first()) {
		return NoDay, ""
	}
	if !m.lawful[i].on[on.day] {
		return NotLawful, ""
	}
	if s.Truck != "" && s.Truck != on.truck.Name {
		return NoTruck, ""
	}
	if mx := byName(m.week.Day.Mixes, s.Mix, func(x *Mix) string { return x.Name }); len(t.Crew) > 0 && !slices.Contains(t.Crew, mx.Operator) {
		return NoTruck, ""
	}
	if why := m.week.Day.lacks(s, &on.truck, day.Date); why != "" {
		return NoLicence, why
	}
	if !window(s, t.From, t.Until) || !window(s, cmp.Or(day.Start, m.week.Day.Start), cmp.Or(day.End, m.week.Day.End)) {
		return WindowShut, ""
	}
	return "", ""
}
