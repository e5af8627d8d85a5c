package pass_test

import (
	"testing"

	"tankful/calc/unit"
	"tankful/plan/pass"
)

// A verge cut by two driveways (an invented reference lawn, d13: parts of 65, 44 and 19 m2 or so, 6.5 ft wide) is one pass with the gun off
// twice; and no lawn of the 26 gets more passes by crossing.
func TestGunOffOnReferenceLawns(t *testing.T) {
	for _, r := range referenceLawns(t) {
		l := r.lawn
		if len(l.LeftOut) == 0 {
			continue
		}
		setup := gun7
		before, err := pass.Lay(l, setup)
		if err != nil {
			t.Fatal(err)
		}
		setup.GunOff = 30 * unit.Foot
		after, err := pass.Lay(l, setup)
		if err != nil {
			t.Fatal(err)
		}
		off, stretches := unit.Length(0), 0
		for _, q := range after.Passes {
			for _, o := range q.Off {
				off += o.To - o.From
				stretches++
			}
		}
		if len(after.Passes) > len(before.Passes) {
			t.Errorf("%s: %d passes, %d without crossing", r.name, len(after.Passes), len(before.Passes))
		}
		if r.name == "d13_verge_straight" && (len(after.Passes) != 1 || stretches != 2) {
			t.Errorf("verge: %d passes, the gun is shut %d times; want 1, 2", len(after.Passes), stretches)
		}
		if stretches > 0 {
			t.Logf("%-28s %d passes, %d with the gun off %d times over %s; dead walk %s, was %s", r.name, len(before.Passes), len(after.Passes), stretches,
				unit.US.Length(off), unit.US.Length(after.DeadWalk), unit.US.Length(before.DeadWalk))
		}
	}
}
