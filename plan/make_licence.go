package plan

import "fmt"

// Licence is a licence or a skill that an operator or a truck holds, by a name of the user's own, until a date, "" for no end. Which work needs which is the
// user's entry: no law comes with the program.
type Licence struct{ Name, Until string }

// lacks is what a stop needs that neither the operator of its mix nor a truck holds on a date, in words; "" when nothing.
func (d *Day) lacks(st *Stop, t *Truck, date string) string {
	held := []Licence{}
	who := "the operator of mix " + st.Mix
	if mx := byName(d.Mixes, st.Mix, func(x *Mix) string { return x.Name }); mx != nil {
		if op := byName(d.Operators, mx.Operator, func(o *Operator) string { return o.Name }); op != nil {
			held, who = append(held, op.Licences...), op.Name
		}
	}
	held = append(held, t.Licences...)
	for _, need := range st.Needs {
		over, has := "", false
		for _, l := range held {
			switch {
			case l.Name != need:
			case l.Until == "" || l.Until >= date:
				has = true
			default:
				over = max(over, l.Until)
			}
		}
		switch {
		case has:
		case over != "":
			return fmt.Sprintf("it needs the licence %s, which ran out on %s", need, over)
		default:
			return fmt.Sprintf("it needs the licence %s, which neither %s nor %s holds", need, who, t.Name)
		}
	}
	return ""
}

// licences refuses a stop that nobody may do: its operator and each truck that it may be on lack what it needs.
func (m *maker) licences() {
	for i := range m.work {
		st := m.work[i].stop
		if len(st.Needs) == 0 || len(m.licensed(st)) > 0 {
			continue
		}
		why := ""
		for k := range m.day.Trucks {
			if t := &m.day.Trucks[k]; st.Truck == "" || st.Truck == t.Name {
				why = m.day.lacks(st, t, m.day.Date)
			}
		}
		m.problems.Errorf("not-licensed", st.Where, "Give it a mix of an operator or a truck that holds it, or enter the licence.", "%s cannot be sprayed on %s: %s",
			m.plan.Stops[i].Name, m.day.Date, orElse(why, "it has no truck"))
	}
}

// licensed are the trucks that a stop may be on by what it needs; never nil.
func (m *maker) licensed(st *Stop) []int {
	out := []int{}
	for i := range m.day.Trucks {
		if t := &m.day.Trucks[i]; (st.Truck == "" || st.Truck == t.Name) && m.day.lacks(st, t, m.day.Date) == "" {
			out = append(out, i)
		}
	}
	return out
}
