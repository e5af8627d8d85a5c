package pass_test

import (
	"testing"

	"tankful/calc/unit"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// Every real site of the shared data is covered, and passes the independent checks. Few of the largest are taken, for time.
func TestRealSites(t *testing.T) {
	for _, f := range []struct {
		family
		every int
	}{
		{family{"gun", gunWith(func(*pass.Setup) {})}, 1},
		{family{"boom of 3 m, 1 lap", boom(3*unit.Metre, 1)}, 5},
	} {
		every := f.every
		if few() {
			every *= 10
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
