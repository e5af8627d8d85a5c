package dayfile

import (
	"strings"
	"testing"

	"tankful/calc/unit"
	"tankful/plan"
)

// How an applicator is walked, read as it is written; what is left out is left to the kind.
func TestHowItIsWalked(t *testing.T) {
	d, problems := parse(strings.Replace(small, "swath: 7 ft",
		"swath: 7 ft\n    edge_laps: 0\n    gun_off: 20 ft\n    even: true\n    far_first: true\n    hose: 300 ft\n    objective: passes", 1))
	a := d.Applicators[0]
	if len(problems) != 0 || a.Laps == nil || *a.Laps != 0 || a.GunOff != 20*unit.Foot || !a.Even || !a.FarFirst || a.Hose != 300*unit.Foot || a.Objective != plan.FewestPasses {
		t.Errorf("got %+v and %v", a, problems)
	}
	d, _ = parse(small)
	if a = d.Applicators[0]; a.Laps != nil || a.GunOff != 0 || a.Even || a.FarFirst || a.Hose != 0 || a.Objective != "" {
		t.Errorf("left out: got %+v", a)
	}
}
