package plan

import (
	"math"
	"slices"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// carried is a mix in use with what carries it.
type carried struct {
	recipe     mix.Recipe
	applicator *Applicator
	pace       unit.Speed
}

// mixes resolves every mix that a stop uses: its calibration, its carrier rate and its recipe.
func (m *maker) mixes() {
	for i := range m.day.Mixes {
		mx := &m.day.Mixes[i]
		used := byName(m.day.Stops, mx.Name, func(s *Stop) string { return s.Mix })
		if used == nil {
			continue
		}
		if p, c, ok := m.carry(mx); ok {
			m.plan.Mixes = append(m.plan.Mixes, p)
			m.carried = append(m.carried, c)
		}
	}
}

// carry is one mix with its calibration; not ok when a part of it is missing or wrong.
func (m *maker) carry(mx *Mix) (p MixPlan, c carried, ok bool) {
	d, where := m.day, mx.Where
	app := byName(d.Applicators, mx.Applicator, func(a *Applicator) string { return a.Name })
	if app == nil {
		m.problems.Errorf("unknown-applicator", where, "Name one of the day's applicators.", "mix %q is put on with %q, which is not among the applicators", mx.Name, mx.Applicator)
		return p, c, false
	}
	op := byName(d.Operators, mx.Operator, func(o *Operator) string { return o.Name })
	if op == nil {
		m.problems.Errorf("unknown-operator", where, "Name one of the day's operators.", "mix %q is put on by %q, who is not among the operators", mx.Name, mx.Operator)
		return p, c, false
	}
	test := byName(op.Tests, app.Name, func(t *Test) string { return t.Applicator })
	if test == nil {
		m.problems.Errorf("no-catch-test", where, "Do a catch test with this operator and this applicator, and enter it.",
			"%s has no catch test with %s, so that the carrier rate of mix %q is not known", op.Name, app.Name, mx.Name)
		return p, c, false
	}
	if !(app.Swath > 0) || math.IsInf(float64(app.Swath), 1) {
		m.problems.Errorf("swath-zero", app.Where, "Enter the pass spacing with its unit, such as 7 ft.", "the swath of %s is %s", app.Name, d.Units.Length(app.Swath))
		return p, c, false
	}
	if !slices.Contains([]ApplicatorKind{Gun, Backpack, Boom, RideOn}, app.Kind) {
		m.problems.Errorf("unknown-kind", app.Where, "Say whether it is a gun, backpack, boom or ride-on.",
			"the kind of %s is %q, so that it is not known whether it trims", app.Name, string(app.Kind))
		return p, c, false
	}
	m.duration(app.TurnTime, app.Where, "the turn time of "+app.Name)
	res, found := test.Catch.Outcome(test.Where)
	if !found.HasErrors() {
		found = append(found, calibrate.CheckSpacing(res.Swath, app.Swath, test.Where)...)
		found = append(found, m.age(test)...)
	}
	m.problems = append(m.problems, found...)
	if found.HasErrors() {
		return p, c, false
	}
	p = MixPlan{Name: mx.Name, Operator: op.Name, Licence: op.Licence, Applicator: app.Name, Kind: app.Kind, Swath: app.Swath,
		Test: res.Result, TestDate: test.Catch.Date, Pressure: test.Catch.Pressure, Course: test.Catch.Course,
		Caught: caughtInMean(res.Result), Carrier: d.Units.RoundRate(res.CarrierRate), Products: []ProductPlan{}, Working: res.Working(d.Units)}
	c = carried{applicator: app, pace: res.Pace, recipe: mix.Recipe{Carrier: p.Carrier}}
	return p, c, m.recipe(mx, &p, &c)
}

// age warns of a calibration that the day finds too old. How many applications were made since is
// not known here.
func (m *maker) age(t *Test) (ps problem.List) {
	if t.Catch.Date == "" {
		return nil
	}
	a := calibrate.CalibrationAge{Last: calibrate.Setup{Date: t.Catch.Date}, Now: calibrate.Setup{Date: m.day.Date}}
	due, found := a.Due(t.Where)
	if found.HasErrors() || !due.Due {
		return found
	}
	for _, r := range due.Reasons {
		ps.Warnf("calibration-due", t.Where, "Catch a new test before the day's work.", "the catch test of %s with %s is due again: %s", t.Catch.Date, t.Applicator, r.Text)
	}
	return ps
}

// caughtInMean is what comes out in the course's mean time.
func caughtInMean(r calibrate.Result) unit.Volume { return r.Flow.For(r.Mean) }

// recipe fills in the products and holds them against their labels.
func (m *maker) recipe(mx *Mix, p *MixPlan, c *carried) bool {
	ok := true
	for _, mp := range mx.Products {
		prod := byName(m.day.Products, mp.Product, func(q *label.Product) string { return q.Name })
		if prod == nil {
			m.problems.Errorf("unknown-product", mp.Where, "Name one of the day's products.", "mix %q takes %q, which is not among the products", mx.Name, mp.Product)
			ok = false
			continue
		}
		m.problems = append(m.problems, prod.Validate(orElse(mp.Where, mx.Where))...)
		if prod.Form == label.Dry && prod.InTank == 0 {
			m.problems.Notef("displacement-unknown", orElse(mp.Where, mx.Where), "Fill to the gauge mark rather than by a water meter, or enter in_tank, the weight of "+prod.Name+" that takes up a volume in the tank.",
				"it is not entered how much room %s takes in the tank, so that it is taken to displace no water", prod.Name)
		}
		c.recipe.Parts = append(c.recipe.Parts, mix.Part{Product: *prod, Rate: mp.Rate})
	}
	found := c.recipe.Validate(mx.Where)
	m.problems = append(m.problems, found...)
	if !ok || found.HasErrors() {
		return false
	}
	for _, part := range c.recipe.Ordered() {
		l := part.Product.Label
		p.Products = append(p.Products, ProductPlan{Name: part.Product.Name, Form: part.Product.Form, Class: part.Product.Class,
			Rate: part.Rate, Most: l.Most, Citation: l.Citation, KeepOff: l.KeepOff, Cautions: append([]string{}, l.Cautions...), Registration: l.Registration})
	}
	return true
}

// workingOf is w, never nil, so that it is [] in JSON.
func workingOf(w working.Working) working.Working {
	if w == nil {
		return working.Working{}
	}
	return w
}
