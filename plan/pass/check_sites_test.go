package pass_test

import (
	"os"
	"testing"

	"tankful/calc/unit"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// The real sites of the shared data are covered, and pass the independent checks: every fourth of them, and every twentieth with a
// boom, unless TANKFUL_ALL asks for all and every fifth. Few of the largest are taken, for time.
func TestRealSites(t *testing.T) {
	for _, f := range []struct {
		family
		every int
	}{
		{family{"gun", gunWith(func(*pass.Setup) {})}, 1},
		{family{"boom of 3 m, 1 lap", boom(3*unit.Metre, 1)}, 5},
	} {
		every := f.every
		if os.Getenv("TANKFUL_ALL") == "" {
			every *= 4
		}
		if few() {
			every *= 5
		}
		c := newTally()
		for k, s := range sites(t) {
			if k%every > 0 || s.lawn.Net.NumCoords() > 700 && k%8 > 0 {
				continue
			}
			p, err := pass.Lay(s.lawn, f.setup())
			if err != nil {
				t.Errorf("%s: %s: %v", f.name, s.name, err)
				continue
			}
			c.add(s.name, p, passtest.Check(passtest.Of(s.lawn, p), limits()))
		}
		c.judge(t, f.name, openOnSites[f.name])
	}
}
