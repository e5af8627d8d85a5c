package sheet

import (
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

// A load that is broken off at one stop and used up at another is not said to end there: load 1 does passes 1 to 17 of stop 2, then stop 3, and load 2 comes back to
// stop 2. What the crew must do then stands on both sheets.
func TestLoadBrokenOff(t *testing.T) {
	p := sheettest.Plan()
	l, m := &p.Loads[0], &p.Loads[1]
	l.Volume, l.Fill, l.Gauge = 227*unit.Gallon, 229*unit.Gallon, 229*unit.Gallon
	l.Stops[0].Gauge, l.Stops[1].Gauge = 147*unit.Gallon, 43*unit.Gallon
	l.Stops = append(l.Stops, plan.LoadStop{Stop: 3, Property: "P-03", Name: "Two oaks", Volume: 41 * unit.Gallon, FromPass: 1, ToPass: 10, Whole: true, Gauge: 2 * unit.Gallon})
	m.Stops = m.Stops[:1]
	d := document(t, p)
	for page, want := range map[int][]string{
		0: {"STOP 273 ft into pass 17, GO ON at stop 3", "Load 1: tank Front, filling 1 of 2, mix Spring", "Load 2: tank Front, filling 2 of 2, mix Spring"},
		2: {"[Stop with load 1: 273 ft into pass 17]", "STOP 273 ft into pass 17 and mark the spot. What is left of load 1 is for stop 3.", "Go to stop 3 first, then come back. Fill load 2 into tank Front at East standpipe", "STOP, LOAD 1 at"},
	} {
		one := Document{Pages: []Page{d.Pages[page]}}
		text := one.Text()
		for _, w := range want {
			if !strings.Contains(text, w) {
				t.Errorf("%s: %q is missing from\n%s", d.Pages[page].Title, w, text)
			}
		}
		if strings.Contains(text, "LOAD ENDS") || strings.Contains(text, "LOAD 1 ENDS") {
			t.Errorf("%s: the load is said to end", d.Pages[page].Title)
		}
	}
}
