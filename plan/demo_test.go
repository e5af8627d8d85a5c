package plan_test

import (
	"bytes"
	"slices"
	"testing"

	"tankful/geo/geotest"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/dayfile"
	"tankful/testdata/demo"
)

// demoDay reads the demo with its units changed.
func demoDay(t *testing.T, units string) *plan.Day {
	t.Helper()
	data, err := demo.Files.ReadFile(demo.DayFile)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(data, []byte("\nunits: us ")) {
		t.Fatal("the demo has no line units: us")
	}
	data = bytes.Replace(data, []byte("\nunits: us "), []byte("\nunits: "+units+" "), 1)
	d, found := dayfile.Parse(demo.DayFile, data, demo.Files.ReadFile, intake.Options{})
	if found.HasErrors() {
		t.Fatal(found.Err())
	}
	return d
}

func TestDemo(t *testing.T) {
	for _, units := range []string{"us", "metric"}[:geotest.Fewer(2)] {
		t.Run(units, func(t *testing.T) {
			d := demoDay(t, units)
			p, found := plan.Make(d)
			if p == nil {
				t.Fatal(found.Err())
			}
			checkPlan(t, d, p)
			checkJSON(t, d, p)
			if string(p.Units) != units || !p.Invented {
				t.Errorf("units %s, invented %v", p.Units, p.Invented)
			}
			// The demo is there to show them: more than one load of each mix, a stop cut between two.
			for _, m := range p.Mixes {
				n := 0
				for _, l := range p.Loads {
					if l.Mix == m.Name {
						n++
					}
				}
				if n < 2 {
					t.Errorf("mix %s goes out in %d loads", m.Name, n)
				}
			}
			if !slices.ContainsFunc(p.Loads, func(l plan.Load) bool {
				return slices.ContainsFunc(l.Stops, func(s plan.LoadStop) bool { return !s.Whole })
			}) {
				t.Error("no stop is cut between two loads")
			}
		})
	}
}
