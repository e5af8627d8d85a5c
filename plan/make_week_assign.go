package plan

import (
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/solve"
)

// assign finds the truck and the day of every visit: one route.Day whose shifts are the trucks of all days, with each visit kept to the shifts that suit it. A shift's
// clock starts anew each day, so that windows and hours hold on whichever day it is.
func (m *weekMaker) assign() {
	mk := m.maker
	r := &router{maker: mk}
	before := len(mk.problems)
	r.setUp()
	m.problems = append(m.problems, mk.problems[before:]...)
	if m.problems.HasErrors() {
		return
	}
	for i := range r.day.Stops {
		st := &r.day.Stops[i]
		st.Shifts = []int{}
		for s := range m.shifts {
			if no, _ := m.suits(i, s); no == "" {
				st.Shifts = append(st.Shifts, s)
			}
		}
	}
	m.route = r.day
	answer, err := solve.Day(&m.route, solve.Options{Seed: 1})
	if err != nil {
		before := len(mk.problems)
		mk.refuse(err)
		m.problems = append(m.problems, mk.problems[before:]...)
		return
	}
	out := answer.Plan.Left
	m.answer = m.withoutWaiting(answer)
	for _, l := range m.answer.Left {
		m.sayLater(r, l, m.waits(l.Stop) && !slices.Contains(out, l.Stop))
	}
}

// waits reports whether a visit can wait until after the week.
func (m *weekMaker) waits(i int) bool {
	due := m.due(i)
	return due.Until == "" || due.Until > m.last()
}

// missed is how many visits a plan leaves out that cannot wait.
func (m *weekMaker) missed(a *solve.Answer) int {
	n := 0
	for _, i := range a.Plan.Left {
		if !m.waits(i) {
			n++
		}
	}
	return n
}

// withoutWaiting plans what cannot wait first and gives the others what room is left, where that does more of what cannot wait; else the plan stays as it was.
func (m *weekMaker) withoutWaiting(was *solve.Answer) *solve.Answer {
	if m.missed(was) == 0 {
		return was
	}
	first := m.route
	first.Stops = slices.Clone(m.route.Stops)
	for i := range first.Stops {
		if m.waits(i) {
			first.Stops[i].Shifts = []int{}
		}
	}
	a, err := solve.Day(&first, solve.Options{Seed: 1})
	if err != nil || m.missed(a) >= m.missed(was) {
		return was
	}
	// A stop left out weighs the same whichever it is, so that those that can wait are let in again one by one, each when nothing that cannot wait gives way to it.
	least, left := m.missed(a), len(a.Plan.Left)
	tries := mostTries
	for i := range first.Stops {
		if !m.waits(i) || tries == 0 || len(m.route.Stops[i].Shifts) == 0 {
			continue
		}
		tries--
		first.Stops[i].Shifts = m.route.Stops[i].Shifts
		b, err := solve.Day(&first, solve.Options{Seed: 1})
		if err != nil || m.missed(b) > least || len(b.Plan.Left) >= left {
			first.Stops[i].Shifts = []int{}
			continue
		}
		a, left = b, len(b.Plan.Left)
	}
	return a
}

// mostTries is how many visits that can wait are tried in what room is left, each a search of its own.
const mostTries = 20

// stopsOf are the stops of a run, each once, in the order of their first visits.
func stopsOf(r *route.Run) []int {
	var out []int
	for _, leg := range r.Legs {
		for _, v := range leg.Visits {
			if !slices.Contains(out, v.Stop) {
				out = append(out, v.Stop)
			}
		}
	}
	return out
}

// sayLater says why a visit is on no day: what rules out the shift that came nearest to suiting it, or why it does not fit.
func (m *weekMaker) sayLater(r *router, l solve.LeftOut, gaveWay bool) {
	i := l.Stop
	v := m.visits[i]
	if gaveWay {
		m.later(v, CanWait, "it can wait until after the week, and gives way to visits that cannot", "Plan it next week.")
		return
	}
	nearest := []LaterReason{NoDay, NotLawful, NoTruck, NoLicence, WindowShut, ""}
	rank, why := 0, ""
	for s := range m.shifts {
		no, text := m.suits(i, s)
		if k := slices.Index(nearest, no); k >= rank {
			rank, why = k, text
		}
	}
	mix := m.stop(i).Mix
	switch nearest[rank] {
	case NoDay:
		m.later(v, NoDay, "it may be on no day that is worked", "Work another day, or mend when it is due.")
	case NotLawful:
		m.later(v, NotLawful, m.lawful[i].why, m.lawful[i].fix)
	case NoTruck:
		m.later(v, NoTruck, "no truck that works on its days has the operator of "+mix+" aboard", "Give its operator to a crew on one of its days, or the visit another truck.")
	case NoLicence:
		m.later(v, NoLicence, why, "Enter the licence, or give the visit a mix of somebody who holds it.")
	case WindowShut:
		m.later(v, WindowShut, "its window is not open within the hours of its days", "Widen its window, or work longer.")
	default:
		m.sayNoRoom(r, l)
	}
}

// sayNoRoom says why a visit that shifts suit has no room in them.
func (m *weekMaker) sayNoRoom(r *router, l solve.LeftOut) {
	v, reason := m.visits[l.Stop], NoRoom
	why, fix := r.whyOut(l, &m.maker.plan.Stops[l.Stop])
	switch l.Reason {
	case solve.Window:
		reason = WindowShut
	case solve.NoTank, solve.NoPoint, solve.NoShift:
		reason = NoTruck
	case solve.FullDay:
		why, fix = "with it even the emptiest of its days would be "+unit.Minutes(l.By)+" too long, or a window be missed by as much", "Work longer or another day, add a truck, or plan it next week."
	}
	m.later(v, reason, why, fix)
}
