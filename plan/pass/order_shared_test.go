package pass_test

import (
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan/pass"
)

// On the 26 reference lawns less is walked without spraying than by going to the nearest end each time, which came to 2,335 m
// along the same ways for the passes in one direction; and far end first keeps the hose off wet turf in all but a fifth of the
// passes at most that else lie under it (measured: 17 of 595, and 536).
func TestDeadWalk(t *testing.T) {
	total, passes, wet, farWet := unit.Length(0), 0, 0, 0
	lay := func(name string, l pass.Lawn, s pass.Setup) *pass.Plan {
		p, err := pass.Lay(l, s)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return p
	}
	far := gun7
	far.FarFirst = true
	for _, r := range referenceLawns(t) {
		p := lay(r.name, r.lawn, gun7)
		total, passes = total+p.DeadWalk, passes+len(p.Passes)
		l := r.lawn
		l.Trucks = []geom.Coord{southOf(l.Net)}
		p, q := lay(r.name, l, gun7), lay(r.name, l, far)
		wet, farWet = wet+p.Reach.OnWet, farWet+q.Reach.OnWet
		t.Logf("%-20s %3d passes: hose on wet %d, far end first %d; dead walk %.0f and %.0f m; most %.0f m, %d bends", r.name, len(p.Passes), p.Reach.OnWet, q.Reach.OnWet,
			float64(p.DeadWalk), float64(q.DeadWalk), float64(p.Reach.Most), len(p.Reach.Bends))
	}
	t.Logf("%d passes, dead walk %.0f m without a truck; hose on wet %d, far end first %d", passes, float64(total), wet, farWet)
	if total > 2335*unit.Metre {
		t.Errorf("dead walk is %v in all", total)
	}
	if farWet > wet/5 {
		t.Errorf("far end first the hose lies on wet turf in %d passes, else in %d", farWet, wet)
	}
}

// southOf is a step outside of the lawn's most southern corner.
func southOf(mp *geom.MultiPolygon) geom.Coord {
	best := mp.Polygon(0).LinearRing(0).Coord(0)
	for i := range mp.NumPolygons() {
		for _, c := range mp.Polygon(i).LinearRing(0).Coords() {
			if c[1] < best[1] {
				best = c
			}
		}
	}
	return geom.Coord{best[0], best[1] - 1}
}
