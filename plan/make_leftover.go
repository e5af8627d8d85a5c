package plan

import (
	"fmt"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/cut"
)

// leftover refuses a plan that mixes more than it sprays, unless that is accepted, and says what the choices are.
func (r *router) leftover() {
	for m := range r.plan.Mixes {
		extra, tank := route.Ticks(0), -1
		truck := 0
		for i := range r.answer.Plan.Runs {
			for _, leg := range r.answer.Plan.Runs[i].Legs {
				for _, l := range leg.Loads {
					if l.Mix == m && l.Extra > 0 {
						extra, tank, truck = extra+l.Extra, l.Tank, i
					}
				}
			}
		}
		if extra > 0 {
			r.tell(m, extra, truck, tank)
		}
	}
}

// tell tells of mix left over in a tank.
func (r *router) tell(m int, extra route.Ticks, truck, tank int) {
	units := r.maker.day.Units
	volume := func(n route.Ticks) string { return units.Volume(fromTicks(int(n), units)) }
	t, name := &r.day.Shifts[truck].Tanks[tank], r.plan.Mixes[m].Name
	of := &r.maker.day.Trucks[truck]
	need := r.day.Demand(m)
	what := fmt.Sprintf("no plan found sprays out all of mix %s: the agitator of %s, %s, asks for fillings of at least %s, so that %s would be left over",
		name, of.Name, of.Tanks[tank].Name, volume(t.Least), volume(extra))
	if _, ok := cut.Exact(need, t.Room(), t.Least); !ok {
		c := cut.Nearest(need, t.Room(), t.Least)
		what += fmt.Sprintf("; no loads of this tank add up to %s: the choices are %d of %s with %s over", volume(need), c.Loads, volume(t.Least), volume(c.Over))
		if c.Loads > 1 {
			what += fmt.Sprintf(", or %d full with %s of turf's mix short", c.Loads-1, volume(c.Short))
		}
	}
	where := of.Tanks[tank].Where
	if r.maker.day.AcceptLeftover {
		r.problems.Warnf("leftover", where, "Say before mixing where it goes: on a lawn within its label's rate, or into the next day's first load.", "%s", what)
		return
	}
	r.problems.Errorf("no-exact-plan", where, "Use a smaller tank, add or move stops of this mix, or write accept_leftover: true and know where it goes.", "%s", what)
}

// wholeTicks is how many ticks of mix k one whole container of the product makes that its loads are to take whole.
func (m *maker) wholeTicks(mx *Mix, k int) float64 {
	c := &m.carried[k]
	for _, part := range c.recipe.Parts {
		if part.Product.Name != mx.Whole {
			continue
		}
		if len(part.Product.Containers) == 0 {
			break
		}
		holds := part.Product.Containers[0].Holds
		area := unit.Area(0)
		if part.Product.Form == label.Liquid && part.Rate.Liquid > 0 {
			area = holds.Liquid.At(part.Rate.Liquid)
		} else if part.Rate.Dry > 0 {
			area = unit.Area(float64(holds.Dry) / float64(part.Rate.Dry))
		}
		ticks := c.recipe.Carrier.Over(area).In(m.day.Units.VolumeStep())
		if ticks >= 1 {
			return ticks
		}
	}
	m.problems.Errorf("whole-unknown", mx.Where, "Name a product of the mix that says what containers it comes in.", "mix %q is to take whole containers of %q", mx.Name, mx.Whole)
	return 0
}

// Clock prints a time after midnight as "07:05"; what is no time of a day prints as "no time".
func Clock(t unit.Time) string {
	if !finite(t) {
		return "no time"
	}
	m := int(unit.Round(t.In(unit.Minute), 1))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// drift is what volumes are multiplied by.
func (p *MixPlan) drift() float64 {
	if p.Drift > 0 {
		return p.Drift
	}
	return 1
}

// overLabel refuses a drift that puts more of a product on the ground than its label allows.
func (m *maker) overLabel(mx *Mix, p *MixPlan) {
	for _, q := range p.Products {
		if f := p.drift(); f != 1 && !q.Most.IsZero() && q.Rate.Times(f).Exceeds(q.Most) {
			m.problems.Errorf("drift-over-label", mx.Where, "Bring the output down to what was calibrated, by pace or pressure, and catch a new test.",
				"what goes out by the gauges is %s times what was calibrated: %s of %s, and the label allows %s", unit.Number(f, 3), q.Rate.Times(f).Text(m.day.Units), q.Name, q.Most.Text(m.day.Units))
		}
	}
}
