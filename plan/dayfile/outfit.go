package dayfile

import (
	"slices"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
	"tankful/plan"
)

func (r *reader) readYard(c cursor) {
	o, ok := c.object("name! at!")
	if !ok {
		return
	}
	r.day.Yard = plan.Place{Name: o.at("name").text(), Where: c.where()}
	r.day.Yard.At, r.yardKnown = o.at("at").point()
}

func (r *reader) readTravel(c cursor) {
	o, _ := c.object("circuity! speed! access!")
	r.day.Travel = plan.Travel{
		Circuity: o.at("circuity").number(1, 5),
		Speed:    quantity(o.at("speed"), unit.ParseSpeed, "2 mph", "80 mph"),
		Access:   quantity(o.at("access"), unit.ParseTime, "0 min", "2 h"),
	}
}

func (r *reader) readFillPoint(c cursor) (f plan.FillPoint) {
	o, _ := c.object("name! at! flow! hook_up!")
	f.Place = plan.Place{Name: r.declare(kindFill, o.at("name")), Where: c.where()}
	if at := o.at("at"); at.isWord("yard") {
		f.At = r.day.Yard.At
	} else if p, ok := at.point(); ok {
		f.At = p
		r.checkFar(at, "the fill point", p)
	}
	f.Flow = quantity(o.at("flow"), unit.ParseFlow, "0.5 gal/min", "1000 gal/min")
	f.HookUp = quantity(o.at("hook_up"), unit.ParseTime, "0 min", "4 h")
	return f
}

func (r *reader) readApplicator(c cursor) plan.Applicator {
	o, _ := c.object("name! kind! swath! side_step! turn_time!")
	return plan.Applicator{
		Name:     r.declare(kindApplicator, o.at("name")),
		Kind:     oneOf(o.at("kind"), kinds...),
		Swath:    quantity(o.at("swath"), unit.ParseLength, "6 in", "60 ft"),
		SideStep: quantity(o.at("side_step"), unit.ParseLength, "0 ft", "60 ft"),
		TurnTime: quantity(o.at("turn_time"), unit.ParseTime, "0 s", "10 min"),
		Where:    c.where(),
	}
}

func (r *reader) readOperator(c cursor) plan.Operator {
	o, _ := c.object("name! licence catch_tests!")
	p := plan.Operator{Name: r.declare(kindOperator, o.at("name")), Licence: o.at("licence").text(), Where: c.where()}
	seen := []string{}
	p.Tests = list(o.at("catch_tests"), func(c cursor) plan.Test {
		t, named := r.readTest(c, p.Name)
		if named && slices.Contains(seen, t.Applicator) {
			c.fail("duplicate-test", "Keep the test that holds for this day.", "%s has another catch test with %s", p.Name, t.Applicator)
		}
		seen = append(seen, t.Applicator)
		return t
	})
	return p
}

// readTest reads a catch test, works it out and keeps the carrier rate as it is printed.
func (r *reader) readTest(c cursor, operator string) (t plan.Test, named bool) {
	t.Where = c.where()
	clean := r.clean(func() {
		o, _ := c.object("applicator! date course! spacing! runs! caught! caught_in pressure")
		t.Applicator, named = r.refer(kindApplicator, o.at("applicator"))
		t.Catch = calibrate.Catch{
			Course:  quantity(o.at("course"), unit.ParseLength, "5 ft", "5280 ft"),
			Spacing: quantity(o.at("spacing"), unit.ParseLength, "6 in", "60 ft"),
			Runs: list(o.at("runs"), func(c cursor) unit.Time {
				return quantity(c, unit.ParseTime, "1 s", "1 h")
			}),
			Caught:   quantity(o.at("caught"), unit.ParseVolume, "0.1 fl oz", "1000 gal"),
			CaughtIn: quantity(o.at("caught_in"), unit.ParseTime, "1 s", "1 h"),
			Pressure: quantity(o.at("pressure"), unit.ParsePressure, "1 psi", "1000 psi"),
			Date:     o.at("date").date(),
		}
		r.checkSpacing(o.at("spacing"), t)
	})
	if !clean {
		return t, named
	}
	result, problems := t.Catch.Result(c.where())
	r.problems = append(r.problems, problems...)
	if !problems.HasErrors() {
		if r.carriers == nil {
			r.carriers = map[[2]string]unit.VolumePerArea{}
		}
		r.carriers[[2]string{operator, t.Applicator}] = r.day.Units.RoundRate(result.CarrierRate)
	}
	return t, named
}

// checkSpacing refuses a test whose area was reckoned with another spacing than the passes
// are walked with: every amount would be out by the ratio of the two.
func (r *reader) checkSpacing(c cursor, t plan.Test) {
	i := slices.IndexFunc(r.day.Applicators, func(a plan.Applicator) bool { return a.Name == t.Applicator })
	if i < 0 || t.Catch.Spacing <= 0 || r.day.Applicators[i].Swath <= 0 {
		return
	}
	r.problems = append(r.problems, calibrate.CheckSpacing(t.Catch.Spacing, r.day.Applicators[i].Swath, c.where())...)
}

func (r *reader) readTruck(c cursor) plan.Truck {
	o, _ := c.object("name! rated empty tanks!")
	t := plan.Truck{Name: r.declare(kindTruck, o.at("name")), Where: c.where(),
		Rated: quantity(o.at("rated"), unit.ParseMass, "500 lb", "100,000 lb"),
		Empty: quantity(o.at("empty"), unit.ParseMass, "200 lb", "100,000 lb")}
	if o.has("rated") != o.has("empty") {
		c.fail("payload-unknown", "Enter both: rated is on the door label, empty is the truck with crew and gear and empty tanks.", "%s has only one of rated and empty", clip(t.Name))
	}
	seen := []string{}
	t.Tanks = list(o.at("tanks"), func(c cursor) plan.Tank {
		k := r.readTank(c)
		if k.Name != "" && slices.Contains(seen, k.Name) {
			c.fail("duplicate-name", "Give each tank of the truck a name of its own.", "%s has another tank named %q", clip(t.Name), clip(k.Name))
		}
		seen = append(seen, k.Name)
		return k
	})
	return t
}

func (r *reader) readTank(c cursor) plan.Tank {
	o, _ := c.object("name! capacity! heel! mix")
	t := plan.Tank{
		Name:     o.at("name").text(),
		Capacity: quantity(o.at("capacity"), unit.ParseVolume, "1 gal", "10000 gal"),
		Heel:     quantity(o.at("heel"), unit.ParseVolume, "0 gal", "1000 gal"),
		Where:    c.where(),
	}
	if o.has("mix") {
		t.Mix, _ = r.refer(kindMix, o.at("mix"))
	}
	if t.Capacity > 0 && t.Heel >= t.Capacity {
		s := r.day.Units
		o.at("heel").fail("heel-fills-tank", "Write what the pump cannot draw, and the tank's full capacity.",
			"a heel of %s leaves nothing of a tank of %s", s.Volume(t.Heel), s.Volume(t.Capacity))
	}
	return t
}

// isWord reports whether a text stands here and is the word.
func (c cursor) isWord(word string) bool {
	s, ok := c.node.(interface{ GetValue() any })
	return ok && s.GetValue() == word
}
