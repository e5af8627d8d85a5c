package plan

import (
	"cmp"
	"fmt"
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/route/bound"
)

// days plans each day with the visits that were given to it.
func (m *weekMaker) days() {
	for k := range m.week.Days {
		day := DayOfWeek{Date: m.week.Days[k].Date, Visits: []VisitOfDay{}, Trucks: []TruckOfDay{}}
		for s, on := range m.shifts {
			if on.day != k {
				continue
			}
			stops := stopsOf(&m.answer.Plan.Runs[s])
			slices.Sort(stops)
			for _, i := range stops {
				day.stops = append(day.stops, givenStop{m.visits[i], on.truck.Name})
			}
		}
		m.out.Days = append(m.out.Days, day)
		if len(day.stops) > 0 {
			m.day(k)
		}
	}
}

// DayOn is the day that a day of the plan was made from; w must be the week that the plan is of.
func (p *WeekPlan) DayOn(w *Week, day int) *Day {
	on := &w.Days[day]
	d := w.Day.Without(on.Off)
	d.Date, d.Start, d.End = on.Date, cmp.Or(on.Start, d.Start), cmp.Or(on.End, d.End)
	d.Stops = p.StopsOn(w, day)
	return d
}

// day plans one day; what is wrong with it is told with its date.
func (m *weekMaker) day(k int) {
	day := &m.out.Days[k]
	p, found := Make(m.out.DayOn(m.week, k))
	for _, q := range found {
		known := slices.ContainsFunc(m.problems, func(o problem.Problem) bool { return o.Code == q.Code && o.Where == q.Where && o.What == q.What })
		if known || q.Code == "drive-of-nowhere" { // told of the whole week, or a known drive to a property of another day
			continue
		}
		q.What = day.Date + ": " + q.What
		m.problems = append(m.problems, q)
	}
	day.Plan = p
	if p == nil {
		return
	}
	for i := range p.Stops {
		s := &p.Stops[i]
		v := VisitOfDay{Truck: s.Truck, N: s.N, Property: s.Property, Name: s.Name, Mix: s.Mix}
		due := &m.week.Due[m.visitOf(day, s)]
		v.From, v.Until, v.Overdue = due.From, due.Until, due.Until != "" && due.Until < m.first()
		day.Visits = append(day.Visits, v)
	}
	for i := range p.LeftOut {
		l := &p.LeftOut[i]
		m.later(m.visitOf(day, &l.Stop), NoRoom, "on "+day.Date+", "+l.Why, l.Fix)
	}
	for i := range p.Trucks {
		t := &p.Trucks[i]
		of := TruckOfDay{Truck: t.Truck, Start: t.Start, Finish: t.Finish, Minutes: t.busy().In(unit.Minute)}
		for _, s := range p.Stops {
			if s.Truck == t.Truck {
				of.Visits++
			}
		}
		for _, l := range p.Loads {
			if l.Truck == t.Truck {
				of.Loads++
			}
		}
		for _, e := range t.Events {
			of.Rinses += len(e.Rinses)
		}
		day.Trucks = append(day.Trucks, of)
	}
}

// visitOf is the visit of a day that became a stop of its plan.
func (m *weekMaker) visitOf(day *DayOfWeek, s *StopPlan) int {
	for _, g := range day.stops {
		if st := &m.week.Day.Stops[g.stop]; st.Mix == s.Mix && st.Site.Property.ID == s.Property {
			return g.stop
		}
	}
	return 0 // it was made from one of them
}

// sums adds up the days and puts the whole beside its bound.
func (m *weekMaker) sums() {
	o := m.out
	for k := range o.Days {
		if o.Days[k].Plan == nil {
			continue
		}
		for _, t := range o.Days[k].Trucks {
			o.Minutes += t.Minutes
			o.Loads += t.Loads
			o.Rinses += t.Rinses
			o.TruckDays++
		}
		o.WeighedMinutes += o.Days[k].Plan.WeighedMinutes
		for _, t := range o.Days[k].Plan.Trucks {
			for _, c := range t.Carry {
				m.carry(c.Product, k, c.Amount)
			}
		}
	}
	slices.SortFunc(o.Carry, func(a, b WeekCarry) int { return cmp.Compare(a.Product, b.Product) })
	m.bound()
}

// carry adds what a day takes of a product.
func (m *weekMaker) carry(product string, day int, a label.Amount) {
	c := byName(m.out.Carry, product, func(c *WeekCarry) string { return c.Product })
	if c == nil {
		m.out.Carry = append(m.out.Carry, WeekCarry{Product: product, Days: make([]label.Amount, len(m.week.Days))})
		c = &m.out.Carry[len(m.out.Carry)-1]
	}
	c.Amount, c.Days[day] = c.Amount.Plus(a), c.Days[day].Plus(a)
}

// bound says what no plan can go below that does the same visits.
func (m *weekMaker) bound() {
	o := m.out
	is := unit.Time(o.Minutes) * unit.Minute
	if len(m.week.Day.Travel.Known) > 0 {
		o.Bound = fmt.Sprintf("This plan takes %s of driving, filling and work. No bound is told: driving is fitted to the known drives of each day by itself.", unit.Minutes(is))
		return
	}
	done := map[int]bool{}
	for k := range o.Days {
		if p := o.Days[k].Plan; p != nil {
			for i := range p.Stops {
				done[m.visitOf(&o.Days[k], &p.Stops[i])] = true
			}
		}
	}
	var left []int
	for i, v := range m.visits {
		if !done[v] {
			left = append(left, i)
		}
	}
	b := bound.Of(&m.route, left)
	least := b.Time
	if over := least - is; over > 0 && over < 1e-9*is { // the same sum in another order
		least = is
	}
	o.BoundMinutes = least.In(unit.Minute)
	o.Bound = fmt.Sprintf("No plan for these visits can take less than %s of driving, filling and work, whatever the days and trucks (proved); this one takes %s: %s.", unit.Minutes(least), unit.Minutes(is), bound.Above(is, least))
	if m.route.Weighed() {
		is, least := unit.Time(o.WeighedMinutes)*unit.Minute, b.Weighed
		if over := least - is; over > 0 && over < 1e-9*is {
			least = is
		}
		o.BoundWeighedMinutes = least.In(unit.Minute)
		o.Bound += " " + bound.SayWeighed(is, least)
	}
}
