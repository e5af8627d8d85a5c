package plan

import (
	"slices"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Spread reports whether a mix, by name, is granules out of bags: it is put on with a spreader, and no tank carries it.
func (d *Day) Spread(name string) bool {
	mx := byName(d.Mixes, name, func(x *Mix) string { return x.Name })
	if mx == nil {
		return false
	}
	app := byName(d.Applicators, mx.Applicator, func(a *Applicator) string { return a.Name })
	return app != nil && app.Kind == Spreader
}

// spreaderTest finds the test of an operator with a spreader and the one product of the mix; nil when a part is missing or wrong.
func (m *maker) spreaderTest(mx *Mix, app *Applicator, op *Operator) *Test {
	if n := len(mx.Products); n != 1 {
		m.problems.Errorf("granules-one-product", mx.Where, "Make a mix of its own for each product: each is spread by itself, at its own setting.",
			"mix %q is spread with %s and has %d products", mx.Name, app.Name, n)
		return nil
	}
	product, others := mx.Products[0].Product, ""
	for i := range op.Tests {
		t := &op.Tests[i]
		switch {
		case t.Applicator != app.Name:
		case t.Spreader == nil:
			m.problems.Errorf("not-a-spreader-test", t.Where, "Weigh what the spreader puts on a course, and enter the weights.", "the catch test of %s with %s is one of spraying, and %s is a spreader", op.Name, app.Name, app.Name)
			return nil
		case t.Spreader.Setup.Product == product:
			return t
		default:
			others = orElse(t.Spreader.Setup.Product, "no product")
		}
	}
	what := ""
	if others != "" {
		what = ": the one there is was done with " + others + ", and every product flows in its own way"
	}
	m.problems.Errorf("no-catch-test", mx.Where, "Do a catch test with this operator, this spreader and this product, and enter it.",
		"%s has no catch test with %s and %s, so that it is not known what mix %q puts on%s", op.Name, app.Name, product, mx.Name, what)
	return nil
}

// spread is a mix of granules: its one product at the rate that is wanted, held against the label and against what the spreader was weighed to put on.
func (m *maker) spread(mx *Mix, app *Applicator, op *Operator, test *Test) (p MixPlan, c carried, ok bool) {
	units := m.day.Units
	if len(mx.Order)+len(mx.Sequence) > 0 || mx.Whole != "" {
		m.problems.Errorf("granules-in-tank", mx.Where, "Remove order and whole.", "mix %q is spread dry: it has no order of adding, and no load takes whole containers of it", mx.Name)
		return p, c, false
	}
	p = MixPlan{Name: mx.Name, Operator: op.Name, Licence: op.Licence, Applicator: app.Name, Kind: app.Kind, Swath: app.Swath, TestDate: test.date(),
		EdgeLaps: app.EdgeLaps(), EdgeLapsUsual: app.Laps == nil, Products: []ProductPlan{}, Working: workingOf(nil)}
	part, wanted, ok := m.granules(mx, &p)
	if !ok {
		return p, c, false
	}
	t := *test.Spreader
	t.Kind, t.Wanted = app.Throws, part.Rate.Dry
	res, found := t.Result(test.Where)
	if !found.HasErrors() {
		found = append(found, calibrate.CheckSpacing(t.Width, app.Swath, test.Where)...)
		found = append(found, m.age(test)...)
		m.spreadPace(&found, &res, test.Where)
		m.spreadRate(&found, &res, part, test.Where)
	}
	m.problems = append(m.problems, found...)
	if found.HasErrors() {
		return p, c, false
	}
	p.Test = calibrate.Result{Area: res.Area, Mean: t.Time, Pace: res.Pace, Swath: t.Width}
	p.Course = res.Course
	p.Granules = &GranulePlan{Throws: app.Throws, Test: res, Facts: res.Facts(units)}
	p.Working.Append(res.Working(units))
	p.Products = append(p.Products, labelled(part, wanted, label.Strength{}, p.Kind))
	return p, carried{recipe: mix.Recipe{Parts: []mix.Part{part}}, applicator: app, pace: res.Pace}, true
}

// granules resolves the one product of a mix and its rate; wanted is what was asked for, as it is printed.
func (m *maker) granules(mx *Mix, p *MixPlan) (part mix.Part, wanted string, ok bool) {
	mp, units := mx.Products[0], m.day.Units
	where := orElse(mp.Where, mx.Where)
	prod := byName(m.day.Products, mp.Product, func(q *label.Product) string { return q.Name })
	if prod == nil {
		m.problems.Errorf("unknown-product", where, "Name one of the day's products.", "mix %q takes %q, which is not among the products", mx.Name, mp.Product)
		return part, "", false
	}
	found := prod.Validate(where)
	rate := mp.Rate
	switch {
	case prod.Form != label.Granule:
		found.Errorf("not-granules", where, "Put it on with a sprayer, or say that its form is granule when it is spread dry.", "%s is %s, and mix %q is spread with %s", prod.Name, prod.Form, mx.Name, mx.Applicator)
	case !mp.InMix.IsZero():
		found.Errorf("granules-in-tank", where, "Give its rate per area, such as 4 lb/1000 sq ft.", "%s is asked for in a volume of mix, and it is spread dry", prod.Name)
	case mp.NutrientRate != 0:
		content, more := prod.Content(mp.Nutrient, label.Total, where)
		if found = append(found, more...); !more.HasErrors() {
			var d label.Dose
			d, more = content.ForWeight(mp.NutrientRate, where)
			found, rate = append(found, more...), d.Rate
			if !more.HasErrors() {
				p.Working.Append(d.Working(units))
				wanted = label.NutrientRate(units, mp.NutrientRate, mp.Nutrient)
			}
		}
	}
	if !found.HasErrors() && !unit.Positive(rate.Dry) {
		found.Errorf("rate-zero", where, "Give its rate per area, such as 4 lb/1000 sq ft.", "what is wanted of %s is %s", prod.Name, rate.Text(units))
	}
	if !found.HasErrors() {
		found = append(found, prod.CheckRate(rate, where)...)
	}
	m.problems = append(m.problems, found...)
	return mix.Part{Product: *prod, Rate: rate}, orElse(wanted, rate.Text(units)), !found.HasErrors()
}

// spreadPace asks for the pace: the minutes of the passes come from it.
func (m *maker) spreadPace(found *problem.List, res *calibrate.SpreaderResult, where string) {
	if res.Pace == 0 {
		found.Errorf("course-missing", where, "Enter the course, and how long the spreader took for it.", "the test gives no course with a time, so that the pace of the spreader is not known")
	}
}

// spreadRate refuses a spreader that was weighed to put on more than the label allows, or so far off the wanted rate that nothing may be put on a lawn.
func (m *maker) spreadRate(found *problem.List, res *calibrate.SpreaderResult, part mix.Part, where string) {
	units := m.day.Units
	if rate := (label.Rate{Dry: res.Rate}); rate.Exceeds(part.Product.Label.Most) {
		found.Errorf("spreader-over-label", where, "Close the gate a mark or walk faster, and catch a new test.", "the spreader puts on %s of %s, over the label's most, %s [%s]",
			units.MassRate(res.Rate), part.Product.Name, part.Product.Label.Most.Text(units), part.Product.Label.Citation)
	}
	for i := range *found {
		if (*found)[i].Code == "rate-far-off" {
			(*found)[i].Severity = problem.Error
		}
	}
}

// spreadStop is what a stop takes out of bags, and its minutes: left is the share of its passes that is not done. Not ok when it takes nothing.
func (m *maker) spreadStop(s *StopPlan, w *work, left float64) bool {
	units, c := m.day.Units, m.carried[w.mix]
	part := c.recipe.Parts[0]
	exact := part.Rate.Over(s.Area)
	a := exact.Round(units)
	if most := part.Product.Label.Most; !most.IsZero() && unit.Exceeds(a.Dry, most.Dry.Over(s.Area)) {
		a = exact.RoundDown(units)
	}
	if a.IsZero() {
		m.problems.Errorf("stop-needs-nothing", w.stop.Where, "Leave the stop out, or mend its outline.", "%s of turf takes less than %s of %s", units.Area(s.Area), units.Mass(units.MassStep()), part.Product.Name)
		return false
	}
	s.Products = append(s.Products, LoadProduct{Name: part.Product.Name, Amount: a})
	s.Passes.Walk = unit.Time(left) * w.passes.Minutes(c.pace, c.applicator.TurnTime)
	s.Service = w.stop.SetUp + s.Passes.Walk
	m.sprayed(w)
	return true
}

// checkGranules refuses a tank that is to carry, or holds, what is spread out of bags.
func (m *maker) checkGranules(k *Tank) {
	for _, name := range []string{k.Mix, heldMix(k)} {
		if name != "" && m.day.Spread(name) {
			m.problems.Errorf("granules-in-tank", k.Where, "Give the tank a mix that is sprayed, or none.", "tank %s is to carry mix %q, which is spread out of bags", k.Name, name)
			return
		}
	}
}

func heldMix(k *Tank) string {
	if k.Holds == nil {
		return ""
	}
	return k.Holds.Mix
}

// withCrew are those of the shifts, nil for all, whose crew has the operator or is anybody; never nil.
func (r *router) withCrew(shifts []int, operator string) []int {
	out := []int{}
	for i := range r.maker.day.Trucks {
		if t := &r.maker.day.Trucks[i]; (shifts == nil || slices.Contains(shifts, i)) && (len(t.Crew) == 0 || slices.Contains(t.Crew, operator)) {
			out = append(out, i)
		}
	}
	return out
}

// granuleTotals sums what the stops take out of bags.
func (p *Plan) granuleTotals() {
	for i := range p.Stops {
		s := &p.Stops[i]
		if mp := p.mix(s.Mix); mp.Granules != nil {
			for k := range s.Products {
				mp.Products[k].Total = mp.Products[k].Total.Plus(s.Products[k].Amount)
				mp.Granules.Total = p.Units.RoundMass(mp.Products[k].Total.Dry)
			}
		}
	}
}

// Takes is what a stop takes, as it is printed: a volume of mix, or the weight of granules.
func (p *Plan) Takes(s *StopPlan) string {
	if p.mix(s.Mix).Granules == nil {
		return p.Units.Volume(s.Volume)
	}
	sum := label.Amount{}
	for _, x := range s.Products {
		sum = sum.Plus(x.Amount)
	}
	return sum.Text(p.Units)
}

// Spread reports whether a stop of the plan gets granules.
func (p *Plan) Spread(s *StopPlan) bool { return p.mix(s.Mix).Granules != nil }
