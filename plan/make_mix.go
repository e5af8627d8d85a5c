package plan

import (
	"cmp"
	"math"
	"slices"

	"tankful/calc/calibrate"
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
	app, op, test := m.equipment(mx)
	if test == nil {
		return p, c, false
	}
	if app.Kind == Spreader {
		return m.spread(mx, app, op, test)
	}
	res, found := test.Catch.Outcome(test.Where)
	if !found.HasErrors() {
		found = append(found, calibrate.CheckSpacing(res.Swath, app.Swath, test.Where)...)
		found = append(found, m.age(test)...)
		if res.Pace == 0 || res.Swath == 0 {
			found.Errorf("course-missing", test.Where, "Enter the course or the pass spacing beside the area of the plot.",
				"the test gives the area of its plot alone, so that neither its pace nor its pass spacing is known")
		}
	}
	m.problems = append(m.problems, found...)
	if found.HasErrors() {
		return p, c, false
	}
	units, setup := m.day.Units, test.Catch.Setup
	p = MixPlan{Name: mx.Name, Operator: op.Name, Licence: op.Licence, Applicator: app.Name, Kind: app.Kind, Swath: app.Swath,
		Test: res.Result, TestDate: orElse(test.Catch.Date, setup.Date), Pressure: cmp.Or(test.Catch.Pressure, setup.Pressure),
		Course: test.Catch.Course, CoursePasses: test.Catch.Passes, Nozzle: setup.Nozzle, TestLiquid: setup.Product,
		EdgeLaps: app.EdgeLaps(), EdgeLapsUsual: app.Laps == nil,
		Caught: caughtInMean(res.Result), Carrier: units.RoundRate(res.CarrierRate), Products: []ProductPlan{}, Working: res.Working(units)}
	c = carried{applicator: app, pace: res.Pace}
	if !m.recipe(mx, &p, &c) {
		return p, c, false
	}
	if mx.Drift > 0 && mx.Drift != 1 {
		p.Drift = mx.Drift
		m.overLabel(mx, &p)
	}
	m.denser(mx, test, &p, c.recipe)
	return p, c, true
}

// equipment finds who puts a mix on, with what, and their catch test; the test is nil when a part is missing or wrong.
func (m *maker) equipment(mx *Mix) (*Applicator, *Operator, *Test) {
	d, where := m.day, mx.Where
	app := byName(d.Applicators, mx.Applicator, func(a *Applicator) string { return a.Name })
	if app == nil {
		m.problems.Errorf("unknown-applicator", where, "Name one of the day's applicators.", "mix %q is put on with %q, which is not among the applicators", mx.Name, mx.Applicator)
		return nil, nil, nil
	}
	op := byName(d.Operators, mx.Operator, func(o *Operator) string { return o.Name })
	if op == nil {
		m.problems.Errorf("unknown-operator", where, "Name one of the day's operators.", "mix %q is put on by %q, who is not among the operators", mx.Name, mx.Operator)
		return nil, nil, nil
	}
	var test *Test
	if app.Kind == Spreader {
		if test = m.spreaderTest(mx, app, op); test == nil {
			return nil, nil, nil
		}
	} else if test = byName(op.Tests, app.Name, (*Test).Name); test == nil {
		m.problems.Errorf("no-catch-test", where, "Do a catch test with this operator and this applicator, and enter it.",
			"%s has no catch test with %s, so that the carrier rate of mix %q is not known", op.Name, app.Name, mx.Name)
		return nil, nil, nil
	}
	if !(app.Swath > 0) || math.IsInf(float64(app.Swath), 1) {
		m.problems.Errorf("swath-zero", app.Where, "Enter the pass spacing with its unit, such as 7 ft.", "the swath of %s is %s", app.Name, d.Units.Length(app.Swath))
		return nil, nil, nil
	}
	if !slices.Contains(Kinds, app.Kind) {
		m.problems.Errorf("unknown-kind", app.Where, "Say whether it is a gun, backpack, boom, ride-on or spreader.",
			"the kind of %s is %q, so that it is not known whether it trims", app.Name, string(app.Kind))
		return nil, nil, nil
	}
	if !m.checkWalk(app) {
		return nil, nil, nil
	}
	return app, op, test
}

// checkWalk holds how an applicator is walked against what can be laid.
func (m *maker) checkWalk(app *Applicator) bool {
	before := len(m.problems)
	m.duration(app.TurnTime, app.Where, "the turn time of "+app.Name)
	if laps := app.EdgeLaps(); laps < 0 || laps > mostLaps {
		m.problems.Errorf("edge-laps-unknown", app.Where, "Enter 0, 1 or 2 walks along the edge.", "%s is to walk %d edge laps", app.Name, laps)
	}
	for _, l := range []struct {
		length unit.Length
		what   string
	}{{app.SideStep, "side step"}, {app.GunOff, "gun-off crossing"}, {app.Hose, "hose"}} {
		if !(l.length >= 0) || math.IsInf(float64(l.length), 1) {
			m.problems.Errorf("length-negative", app.Where, "Enter the length with its unit, or leave it out.", "the %s of %s is %s", l.what, app.Name, m.day.Units.Length(l.length))
		}
	}
	if app.Objective != "" && !slices.Contains(Objectives, app.Objective) {
		m.problems.Errorf("unknown-objective", app.Where, "Say time, passes or length, or leave it out.", "the passes of %s are to be laid for %q", app.Name, string(app.Objective))
	}
	return len(m.problems) == before
}

// mostLaps is how many walks along the edge pass.Lay takes.
const mostLaps = 2

// age warns of a calibration that the day finds too old. How many applications were made since is
// not known here.
func (m *maker) age(t *Test) (ps problem.List) {
	last := t.date()
	if last == "" {
		return nil
	}
	a := calibrate.CalibrationAge{Last: calibrate.Setup{Date: last}, Now: calibrate.Setup{Date: m.day.Date}}
	due, found := a.Due(t.Where)
	if found.HasErrors() || !due.Due {
		return found
	}
	for _, r := range due.Reasons {
		ps.Warnf("calibration-due", t.Where, "Catch a new test before the day's work.", "the catch test of %s with %s is due again: %s", last, t.Applicator, r.Text)
	}
	return ps
}

// caughtInMean is what comes out in the course's mean time.
func caughtInMean(r calibrate.Result) unit.Volume { return r.Flow.For(r.Mean) }

// workingOf is w, never nil, so that it is [] in JSON.
func workingOf(w working.Working) working.Working {
	if w == nil {
		return working.Working{}
	}
	return w
}
