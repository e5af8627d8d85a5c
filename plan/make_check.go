package plan

import (
	"math"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/date"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// Farthest is the longest way from the yard that is taken for earnest: swapped coordinates, or a
// yard left at longitude 0, latitude 0, are the usual reason for a longer one.
const Farthest = 300 * unit.Kilometre

// mostCapacity is more than any spray truck carries: over it a unit is wrong.
const mostCapacity = 100 * unit.CubicMetre

// check finds what no plan can stand on in the day itself, before anything is laid or split: a
// Day need not come from a file that was checked.
func (m *maker) check() {
	d := m.day
	if d.Units != unit.US && d.Units != unit.Metric {
		m.problems.Errorf("unknown-units", d.Where, "Say how the sheets print: us or metric.", "the day's units are %q", string(d.Units))
	}
	if !finite(d.Start) || !finite(d.End) || d.End > 0 && d.End <= d.Start {
		m.problems.Errorf("ends-before-start", d.Where, "Enter the end of the day after its start, or leave it open.",
			"the day runs from %s to %s", Clock(d.Start), Clock(d.End))
	}
	if _, err := date.Parse(d.Date); err != nil {
		m.problems.Errorf("date-invalid", d.Where, "Write year-month-day, such as 2026-04-14.", "the day's date: %v", err)
	}
	m.checkNames()
	m.checkTravel()
	m.checkWeights()
	for i := range d.Trucks {
		m.checkTruck(&d.Trucks[i])
	}
	twice := map[[2]string]bool{}
	for i := range d.Stops {
		st := &d.Stops[i]
		m.checkStop(st)
		if st.Site == nil || st.Site.Property == nil {
			continue
		}
		key := [2]string{st.Site.Property.ID, st.Mix}
		if twice[key] {
			m.problems.Errorf("stop-twice", st.Where, "Remove one of the two stops, or give one another mix.",
				"property %q gets mix %q twice", key[0], key[1])
		}
		twice[key] = true
	}
}

// checkNames refuses names that do not tell things apart: everything refers by name.
func (m *maker) checkNames() {
	d := m.day
	unique(&m.problems, "product", d.Where, d.Products, func(i int) (string, string) { return d.Products[i].Name, d.Where })
	unique(&m.problems, "mix", d.Where, d.Mixes, func(i int) (string, string) { return d.Mixes[i].Name, d.Mixes[i].Where })
	unique(&m.problems, "applicator", d.Where, d.Applicators, func(i int) (string, string) { return d.Applicators[i].Name, d.Applicators[i].Where })
	unique(&m.problems, "operator", d.Where, d.Operators, func(i int) (string, string) { return d.Operators[i].Name, d.Operators[i].Where })
	unique(&m.problems, "truck", d.Where, d.Trucks, func(i int) (string, string) { return d.Trucks[i].Name, d.Trucks[i].Where })
	unique(&m.problems, "fill point", d.Where, d.FillPoints, func(i int) (string, string) { return d.FillPoints[i].Name, d.FillPoints[i].Where })
	for _, o := range d.Operators {
		unique(&m.problems, "test with", o.Where, o.Tests, func(i int) (string, string) { return o.Tests[i].Name(), o.Tests[i].Where })
	}
}

// unique reports elements without a name and names given twice. name gives an element's name
// and place; an element without a place has its parent's.
func unique[T any](l *problem.List, kind, parent string, list []T, name func(i int) (name, where string)) {
	seen := map[string]bool{}
	for i := range list {
		n, where := name(i)
		if where == "" {
			where = parent
		}
		switch {
		case strings.TrimSpace(n) == "":
			l.Errorf("name-missing", where, "Give every "+kind+" a name.", "%s %d has no name", kind, i+1)
		case seen[n]:
			l.Errorf("duplicate-name", where, "Give each "+kind+" a name of its own.", "there is another %s named %q", kind, n)
		}
		seen[n] = true
	}
}

// checkTravel holds the figures that times are computed from.
func (m *maker) checkTravel() {
	d, t := m.day, m.day.Travel
	if !(t.Circuity >= 1) || math.IsInf(t.Circuity, 0) {
		m.problems.Errorf("circuity-below-one", d.Where, "Enter how much longer than straight the roads are, such as 1.35.",
			"the circuity is %g: no road is shorter than the straight line", t.Circuity)
	}
	if len(t.Speeds) > 0 {
		if err := t.Speeds.Check(); err != nil {
			m.problems.Errorf("speeds-order", d.Where, "Enter the speeds by ascending distance, each within a longer one, and the last without a distance.", "the speeds of drives are no curve: %v", err)
		}
	} else if !positive(t.Speed) {
		m.problems.Errorf("speed-zero", d.Where, "Enter the driving speed with its unit, such as 25 mph.", "the driving speed is %s", d.Units.Speed(t.Speed))
	}
	m.duration(t.Access, d.Where, "the access time of a drive")
	m.duration(d.Lunch.Length, d.Where, "the lunch")
	m.hours(d.Lunch.From, d.Lunch.Until, d.Where, "the hours of the lunch")
	for _, r := range d.Rinses {
		m.duration(r.Time, orElse(r.Where, d.Where), "the time of a rinse")
	}
	m.place(&d.Yard, "the yard")
	if len(d.FillPoints) == 0 && !d.NoFilling && slices.ContainsFunc(d.Stops, func(s Stop) bool { return !d.Spread(s.Mix) }) {
		m.problems.Errorf("no-fill-point", d.Where, "Enter where the tanks are filled.", "the day has no fill point")
	}
	for i := range d.FillPoints {
		f := &d.FillPoints[i]
		if m.place(&f.Place, "fill point "+f.Name) {
			m.near(f.At, f.Where, "fill point "+f.Name)
		}
		if !positive(f.Flow) {
			m.problems.Errorf("flow-zero", f.Where, "Enter what the fill point gives with its unit, such as 40 gal/min.",
				"the flow of fill point %s is %s", f.Name, d.Units.Flow(f.Flow))
		}
		m.duration(f.HookUp, f.Where, "the hook-up time of fill point "+f.Name)
		m.hours(f.Open, f.Close, f.Where, "the hours of fill point "+f.Name)
	}
}

func (m *maker) checkTruck(t *Truck) {
	unique(&m.problems, "tank of "+t.Name, t.Where, t.Tanks, func(i int) (string, string) { return t.Tanks[i].Name, t.Tanks[i].Where })
	units := m.day.Units
	if (t.Rated == 0) != (t.Empty == 0) {
		m.problems.Errorf("payload-unknown", t.Where, "Enter both: rated is on the door label, empty is the truck with crew and gear and empty tanks.",
			"%s has only one of rated and empty", t.Name)
	}
	m.hours(t.From, t.Until, t.Where, "the hours of "+t.Name)
	if t.Start != nil && m.place(t.Start, "where "+t.Name+" starts") {
		m.near(t.Start.At, orElse(t.Start.Where, t.Where), "where "+t.Name+" starts")
	}
	for _, name := range t.Crew {
		if byName(m.day.Operators, name, func(o *Operator) string { return o.Name }) == nil {
			m.problems.Errorf("unknown-operator", t.Where, "Name one of the day's operators.", "%q of the crew of %s is not among the operators", name, t.Name)
		}
	}
	for i := range t.Tanks {
		k := &t.Tanks[i]
		m.checkLeast(t, k)
		if k.Capacity > mostCapacity {
			m.problems.Errorf("absurd", k.Where, "Check the tank's volume and its unit.",
				"tank %s holds %s; up to %s is taken", k.Name, units.Volume(k.Capacity), units.Volume(mostCapacity))
		} else {
			m.problems = append(m.problems, mix.Tank{Capacity: k.Capacity, Heel: k.Heel, Where: k.Where}.Validate(units)...)
		}
		if k.Mix != "" && byName(m.day.Mixes, k.Mix, func(x *Mix) string { return x.Name }) == nil {
			m.problems.Errorf("unknown-mix", k.Where, "Name one of the day's mixes, or none and let the plan choose.",
				"tank %s is for mix %q, which is not among the mixes", k.Name, k.Mix)
		}
		m.checkGranules(k)
	}
}

func (m *maker) checkStop(st *Stop) {
	if len(m.day.Trucks) == 0 || st.Truck != "" && byName(m.day.Trucks, st.Truck, func(t *Truck) string { return t.Name }) == nil {
		m.problems.Errorf("no-truck", st.Where, "Name one of the day's trucks, or none for any.", "the stop's truck is %q, and the day has %d", st.Truck, len(m.day.Trucks))
	}
	if st.First && st.Last {
		m.problems.Errorf("first-and-last", st.Where, "Keep one of the two.", "the stop is to be both first and last")
	}
	m.duration(st.SetUp, st.Where, "the set-up time of the stop")
	if !finite(st.From) || !finite(st.Until) || st.Until > 0 && st.Until < st.From {
		m.problems.Errorf("window-ends-before-start", st.Where, "Enter the earlier time first, or leave the window open.",
			"the window of the stop runs from %s until %s", Clock(st.From), Clock(st.Until))
	}
	if st.Site != nil && st.Site.Frame != nil && st.Site.Property != nil && !st.Site.Problems.HasErrors() {
		m.near(standing(st.Site), st.Where, "the property")
	}
}

// checkLeast refuses a least volume, marks or a reading that the tank does not have.
func (m *maker) checkLeast(t *Truck, k *Tank) {
	units := m.day.Units
	for _, x := range []struct {
		v    unit.Volume
		what string
	}{{k.Agitates, "the least volume that " + k.Name + " agitates"}, {k.Marks, "the step of the marks of " + k.Name}} {
		if !(x.v >= 0) || x.v > k.Capacity {
			m.problems.Errorf("over-tank", k.Where, "Enter a volume up to the tank's.", "%s is %s, and the tank holds %s", x.what, units.Volume(x.v), units.Volume(k.Capacity))
		}
	}
	if h := k.Holds; h != nil {
		if !(h.Reading >= 0) || h.Reading > k.Capacity {
			m.problems.Errorf("over-tank", k.Where, "Enter the gauge reading.", "tank %s of %s is said to hold %s, and its volume is %s", k.Name, t.Name, units.Volume(h.Reading), units.Volume(k.Capacity))
		}
		if byName(m.day.Mixes, h.Mix, func(x *Mix) string { return x.Name }) == nil {
			m.problems.Errorf("unknown-mix", k.Where, "Name one of the day's mixes.", "tank %s holds mix %q, which is not among the mixes", k.Name, h.Mix)
		}
	}
}

// hours refuses hours that are none; 0 is open.
func (m *maker) hours(from, until unit.Time, where, what string) {
	if !finite(from) || !finite(until) || until > 0 && until < from {
		m.problems.Errorf("window-ends-before-start", where, "Enter the earlier time first, or leave it open.", "%s run from %s until %s", what, Clock(from), Clock(until))
	}
}

// duration refuses a time that is below zero or no number.
func (m *maker) duration(t unit.Time, where, what string) {
	if !finite(t) {
		m.problems.Errorf("time-negative", where, "Enter the time with its unit, such as 4 min, or 0 min.", "%s is %s min", what, unit.Number(t.In(unit.Minute), 1))
	}
}

// place reports whether the place is one on the Earth.
func (m *maker) place(p *Place, what string) bool {
	ok := math.Abs(p.At[0]) <= 180 && math.Abs(p.At[1]) <= 90
	if !ok {
		m.problems.Errorf("not-a-place", orElse(p.Where, m.day.Where), "Enter longitude -180 to 180 and latitude -90 to 90, longitude first.",
			"%s is at longitude %g, latitude %g", what, p.At[0], p.At[1])
	}
	return ok
}

// near refuses what lies too far from the yard for a day's work.
func (m *maker) near(at orb.Point, where, what string) {
	yard := m.day.Yard.At
	if !(math.Abs(yard[0]) <= 180 && math.Abs(yard[1]) <= 90) { // reported
		return
	}
	if far := geodesic.Distance(yard, at); !(far <= Farthest) {
		m.problems.Errorf("far-from-yard", where, "Check the longitude and latitude here and at the yard.",
			"%s lies %s from the yard; up to %s is taken", what, m.day.Units.Distance(far), m.day.Units.Distance(Farthest))
	}
}

// finite reports whether a time is a number from zero up.
func finite(t unit.Time) bool { return t >= 0 && !math.IsInf(float64(t), 1) }

func positive[Q ~float64](q Q) bool { return q > 0 && !math.IsInf(float64(q), 1) }

func orElse(s, other string) string {
	if s == "" {
		return other
	}
	return s
}
