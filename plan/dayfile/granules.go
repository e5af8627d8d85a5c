package dayfile

import (
	"slices"

	"github.com/goccy/go-yaml/ast"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
	"tankful/plan"
)

// isSpreader reports whether the named applicator is a spreader.
func (r *reader) isSpreader(applicator string) bool {
	i := slices.IndexFunc(r.day.Applicators, func(a plan.Applicator) bool { return a.Name == applicator })
	return i >= 0 && r.day.Applicators[i].Kind == plan.Spreader
}

// checkSpreader asks how a spreader throws, and refuses what it does not have.
func (r *reader) checkSpreader(o object, kind plan.ApplicatorKind) {
	switch {
	case kind == plan.Spreader && !o.has("throws") && !o.meant["throws"]:
		o.at("throws").fail("missing-key", "Add throws: rotary, or throws: drop.", "throws is missing")
	case kind != plan.Spreader && kind != "" && o.has("throws"):
		o.at("throws").fail("not-a-spreader", "Remove throws, or write kind: spreader.", "a %s throws nothing", kind)
	}
	for _, key := range []string{"hose", "far_first", "even"} {
		if kind == plan.Spreader && o.has(key) {
			o.at(key).fail("not-of-a-spreader", "Remove "+key+".", "a spreader has no %s: it is pushed or ridden with its own product, at the spacing that it was weighed for", key)
		}
	}
}

// ofSpreader reports whether a catch test names a spreader.
func (r *reader) ofSpreader(c cursor) bool {
	m, ok := c.node.(ast.MapNode)
	if !ok {
		return false
	}
	for it := m.MapRange(); it.Next(); {
		if key, ok := it.Key().(ast.ScalarNode); ok && scalar(key) == "applicator" { // in quotes or not
			name, ok := it.Value().(interface{ GetValue() any })
			if !ok {
				return false
			}
			text, _ := name.GetValue().(string)
			return r.isSpreader(text)
		}
	}
	return false
}

// readSpreaderTest reads what a spreader was weighed to put on a course: what was lost, or caught, in each trial, and how long the trials took.
func (r *reader) readSpreaderTest(c cursor, operator string) (t plan.Test, named bool) {
	t.Where = c.where()
	t.Spreader = &calibrate.SpreaderTest{}
	clean := r.clean(func() {
		o, ok := c.object("applicator! product! date course! spacing! runs! lost caught setting")
		t.Applicator, named = r.refer(kindApplicator, o.at("applicator"))
		product, _ := r.refer(kindProduct, o.at("product"))
		i := slices.IndexFunc(r.day.Applicators, func(a plan.Applicator) bool { return a.Name == t.Applicator })
		*t.Spreader = calibrate.SpreaderTest{
			Setup:  calibrate.Setup{Operator: operator, Applicator: t.Applicator, Product: product, Date: o.at("date").date()},
			Width:  quantity(o.at("spacing"), unit.ParseLength, "6 in", "60 ft"),
			Course: quantity(o.at("course"), unit.ParseLength, "5 ft", "5280 ft"),
			Time:   meanOf(list(o.at("runs"), func(c cursor) unit.Time { return quantity(c, unit.ParseTime, "1 s", "1 h") })),
		}
		if i >= 0 {
			t.Spreader.Kind = r.day.Applicators[i].Throws
		}
		if o.has("setting") {
			t.Spreader.Setting = o.at("setting").number(0.01, 1000)
		}
		if lost, caught := o.has("lost"), o.has("caught"); ok && lost == caught {
			o.at("lost").fail("missing-key", "Enter lost, what the spreader is lighter by after each trial, or caught, what was swept up: one of the two.",
				"the test has %s", map[bool]string{true: "both lost and caught", false: "neither lost nor caught"}[lost])
		}
		for _, key := range []string{"lost", "caught"} {
			t.Spreader.Trials = append(t.Spreader.Trials, trials(o.at(key))...)
		}
		r.checkSpacing(o.at("spacing"), t.Applicator, t.Spreader.Width)
	})
	if clean && t.Spreader.Kind != "" { // else the spreader's own fault is told
		_, found := t.Spreader.Result(c.where())
		r.problems = append(r.problems, found...)
	}
	return t, named
}

// trials reads one weight, or a list of several, as what went out in each trial.
func trials(c cursor) (out []calibrate.SpreaderTrial) {
	one := func(c cursor) unit.Mass { return quantity(c, unit.ParseMass, "0.01 oz wt", "1000 lb") }
	if _, ok := c.node.(*ast.SequenceNode); ok {
		for _, m := range list(c, one) {
			out = append(out, calibrate.SpreaderTrial{Caught: m})
		}
	} else if c.node != nil {
		out = append(out, calibrate.SpreaderTrial{Caught: one(c)})
	}
	return out
}

// meanOf is the mean of times, 0 of none.
func meanOf(times []unit.Time) unit.Time {
	sum := unit.Time(0)
	for _, t := range times {
		sum += t
	}
	return sum / unit.Time(max(len(times), 1))
}

// spreads reports whether some of the mixes, or all, are spread dry: then a truck may be without tanks, or the file without fill points.
func (r *reader) spreads() (some, all bool) {
	all = true
	for _, m := range r.day.Mixes {
		is := r.isSpreader(m.Applicator)
		some, all = some || is, all && is
	}
	return some, some && all
}

// checkFillPoints asks for fill points where something is sprayed.
func (r *reader) checkFillPoints(o object) {
	if _, all := r.spreads(); !all && !o.has("fill_points") && !o.meant["fill_points"] {
		o.at("fill_points").fail("missing-key", "Add fill_points here.", "fill_points is missing")
	}
}

// checkHasTanks asks for a truck's tanks where nothing is spread dry.
func (r *reader) checkHasTanks(o object) {
	if some, _ := r.spreads(); !some && o.node != nil && !o.has("tanks") && !o.meant["tanks"] {
		o.at("tanks").fail("missing-key", "Add tanks here.", "tanks is missing")
	}
}

// checkSpreadMix refuses what a mix that is spread dry does not have, and more than one product in it.
func (r *reader) checkSpreadMix(o object, m *plan.Mix) {
	for _, key := range []string{"order", "whole"} {
		if o.has(key) {
			o.at(key).fail("granules-in-tank", "Remove "+key+".", "the mix is spread dry: %s is of loads in a tank", key)
		}
	}
	if n := len(m.Products); n > 1 {
		o.at("products").fail("granules-one-product", "Make a mix of its own for each product: each is spread by itself, at its own setting.", "the mix is spread with %s and has %d products", clip(m.Applicator), n)
	}
}

// notSpread refuses a mix of granules where one of a tank is meant.
func (r *reader) notSpread(c cursor, mix string) {
	if mix != "" && r.day.Spread(mix) {
		c.fail("granules-in-tank", "Name a mix that is sprayed.", "mix %q is spread out of bags, and goes into no tank", clip(mix))
	}
}
