package dayfile

import (
	"fmt"
	"slices"

	"github.com/goccy/go-yaml/ast"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
	"tankful/plan"
)

// readTest reads a catch test, works it out and keeps the carrier rate as it is printed.
func (r *reader) readTest(c cursor, operator string) (t plan.Test, named bool) {
	t.Where = c.where()
	if r.ofSpreader(c) {
		return r.readSpreaderTest(c, operator)
	}
	clean := r.clean(func() {
		o, _ := c.object("applicator! date course spacing passes area runs! caught! caught_in pressure nozzle product density")
		t.Applicator, named = r.refer(kindApplicator, o.at("applicator"))
		t.Catch = calibrate.Catch{
			Course:  quantity(o.at("course"), unit.ParseLength, "5 ft", "5280 ft"),
			Spacing: quantity(o.at("spacing"), unit.ParseLength, "6 in", "60 ft"),
			Passes:  int(o.at("passes").whole(1, 1000)),
			Area:    quantity(o.at("area"), unit.ParseArea, "10 sq ft", "100 ac"),
			Runs: list(o.at("runs"), func(c cursor) unit.Time {
				return quantity(c, unit.ParseTime, "1 s", "1 h")
			}),
			CaughtIn: quantity(o.at("caught_in"), unit.ParseTime, "1 s", "1 h"),
			Pressure: quantity(o.at("pressure"), unit.ParsePressure, "1 psi", "1000 psi"),
			Date:     o.at("date").date(),
		}
		readCaught(o.at("caught"), &t.Catch)
		checkPlot(o)
		t.Catch.Setup = calibrate.Setup{Operator: operator, Applicator: t.Applicator, Nozzle: o.at("nozzle").text(),
			Product: o.at("product").text(), Density: quantity(o.at("density"), unit.ParseDensity, "0.6 kg/L", "2 kg/L"),
			Pressure: t.Catch.Pressure, Date: t.Catch.Date}
		r.checkSpacing(o.at("spacing"), t.Applicator, t.Catch.Spacing)
	})
	if !clean {
		return t, named
	}
	result, problems := t.Catch.Result(c.where())
	r.problems = append(r.problems, problems...)
	if t.Catch.Spacing == 0 { // it follows from the area and the course
		r.checkSpacing(c, t.Applicator, result.Swath)
	}
	if !problems.HasErrors() {
		if r.carriers == nil {
			r.carriers = map[[2]string]unit.VolumePerArea{}
		}
		r.carriers[[2]string{operator, t.Applicator}] = r.day.Units.RoundRate(result.CarrierRate)
	}
	return t, named
}

// readCaught reads one catch, or a list of several.
func readCaught(c cursor, t *calibrate.Catch) {
	one := func(c cursor) unit.Volume { return quantity(c, unit.ParseVolume, "0.1 fl oz", "1000 gal") }
	if _, ok := c.node.(*ast.SequenceNode); ok {
		t.Catches = list(c, one)
		return
	}
	t.Caught = one(c)
}

// checkPlot asks for two of course, spacing and area: a day takes the pace from the course and holds the spacing against the
// passes, so that an area alone is not enough. All three at once are the test's to refuse.
func checkPlot(o object) {
	if o.node == nil {
		return
	}
	missing := func(key string) bool { _, given := o.values[key]; return !given && !o.meant[key] }
	switch {
	case o.has("area") && missing("course") && missing("spacing"):
		o.at("course").fail("missing-key", "Add course or spacing beside the area: the pace and the pass spacing come from it.", "course and spacing are missing")
	case o.has("area"):
	default:
		for _, pair := range [][2]string{{"course", "spacing"}, {"spacing", "course"}} {
			if key, other := pair[0], pair[1]; missing(key) {
				o.at(key).fail("missing-key", fmt.Sprintf("Add %s here, or the area of the plot beside the %s.", key, other), "%s is missing", key)
			}
		}
	}
}

// checkSpacing refuses a test whose area was reckoned with another spacing than the passes
// are walked with: every amount would be out by the ratio of the two.
func (r *reader) checkSpacing(c cursor, applicator string, spacing unit.Length) {
	i := slices.IndexFunc(r.day.Applicators, func(a plan.Applicator) bool { return a.Name == applicator })
	if i < 0 || spacing <= 0 || r.day.Applicators[i].Swath <= 0 {
		return
	}
	r.problems = append(r.problems, calibrate.CheckSpacing(spacing, r.day.Applicators[i].Swath, c.where())...)
}
