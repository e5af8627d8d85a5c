package sheettest

import (
	"bytes"
	"testing"

	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/testdata/demo"
)

// demoPlans are made once; nothing may change them.
var demoPlans = map[unit.System]*plan.Plan{}

// Demo is the plan of the built-in day in other units, made once for all tests of a package: it must not be changed.
func Demo(t testing.TB, units unit.System) *plan.Plan {
	t.Helper()
	if p := demoPlans[units]; p != nil {
		return p
	}
	data, err := demo.Files.ReadFile(demo.DayFile)
	if err != nil {
		t.Fatal(err)
	}
	data = bytes.Replace(data, []byte("\nunits: us "), []byte("\nunits: "+string(units)+" "), 1)
	d, found := dayfile.Parse(demo.DayFile, data, demo.Files.ReadFile, intake.Options{})
	if found.HasErrors() {
		t.Fatal(found.Err())
	}
	p, found := plan.Make(d)
	if p == nil {
		t.Fatal(found.Err())
	}
	demoPlans[units] = p
	return p
}
