package pass_test

import (
	"path/filepath"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/intake"
	"tankful/plan/pass"
)

// wholeLawns are the 26 reference lawns with all that is left out of them.
func wholeLawns(t testing.TB) (names []string, lawns []pass.Lawn) {
	t.Helper()
	files, err := filepath.Glob(shared(t, "passes/*.geojson"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no lawns found: %v", err)
	}
	for _, f := range files {
		for _, s := range measured(t, f, intake.Options{}) {
			l := lawnOf(t, s)
			l.LeftOut = s.Exclusions
			names, lawns = append(names, filepath.Base(f)), append(lawns, l)
		}
	}
	return names, lawns
}

// The walk between passes on the reference lawns behind one lap, printed: without the laps' own corners.
func TestDeadWalkWithLaps(t *testing.T) {
	names, lawns := wholeLawns(t)
	s := gun7
	s.Laps = 1
	total, ways := unit.Length(0), unit.Length(0)
	for i, l := range lawns {
		p, err := pass.Lay(l, s)
		if err != nil {
			t.Fatalf("%s: %v", names[i], err)
		}
		total += p.DeadWalk
		for _, q := range p.Passes {
			ways += q.WalkTo
		}
	}
	t.Logf("one lap: dead walk %.0f m in all, %.0f m of it between passes", float64(total), float64(ways))
}

// The walk between passes on the reference lawns, printed.
func TestDeadWalk(t *testing.T) {
	names, lawns := wholeLawns(t)
	for _, truck := range []bool{false, true} {
		total, wet, passes := unit.Length(0), 0, 0
		farTotal, farWet := unit.Length(0), 0
		for i, l := range lawns {
			if truck { // a step outside of the lawn's most southern corner
				l.Trucks = []geom.Coord{southOf(l.Net)}
			}
			p, err := pass.Lay(l, gun7)
			if err != nil {
				t.Fatalf("%s: %v", names[i], err)
			}
			total += p.DeadWalk
			passes += len(p.Passes)
			if truck {
				wet += p.Reach.OnWet
				s := gun7
				s.FarFirst = true
				q, err := pass.Lay(l, s)
				if err != nil {
					t.Fatalf("%s: %v", names[i], err)
				}
				farTotal += q.DeadWalk
				farWet += q.Reach.OnWet
				t.Logf("%-28s %3d passes: dead walk %4.0f m, hose on wet %d; far end first %4.0f m, %d; most %.0f m, %d bends", names[i], len(p.Passes), float64(p.DeadWalk), p.Reach.OnWet, float64(q.DeadWalk), q.Reach.OnWet, float64(p.Reach.Most), len(p.Reach.Bends))
			} else {
				t.Logf("%-28s %3d passes: dead walk %4.0f m", names[i], len(p.Passes), float64(p.DeadWalk))
			}
		}
		t.Logf("truck %v: %d passes, dead walk %.0f m in all, hose on wet %d; far end first %.0f m, %d", truck, passes, float64(total), wet, float64(farTotal), farWet)
	}
}

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
