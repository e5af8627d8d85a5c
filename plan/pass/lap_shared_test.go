package pass_test

import (
	"path/filepath"
	"testing"

	"tankful/geo/intake"
	"tankful/plan/pass"
)

// A fixed width over the 26 reference lawns with and without an edge lap: what falls beside the turf and what is sprayed twice.
func TestLapsOnReferenceLawns(t *testing.T) {
	files, err := filepath.Glob(shared(t, "passes/*.geojson"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no lawns found: %v", err)
	}
	without := 0.0
	for laps := range 2 {
		var net, over, double, covered, length float64
		passes, rings := 0, 0
		for _, f := range files {
			for _, s := range measured(t, f, intake.Options{}) {
				l := lawnOf(t, s)
				boom := gun7
				boom.Trims, boom.Laps = false, laps
				p, err := pass.Lay(l, boom)
				if err != nil {
					t.Errorf("%s: %v", f, err)
					continue
				}
				share := func(a float64) float64 { return 100 * a / float64(p.Net) }
				t.Logf("%d laps %-22s %2d+%3d passes, L*w/A %.3f, double %5.2f %%, overspray %5.2f %%, covered %.3f %%, turns %d", laps, filepath.Base(f), p.Laps, len(p.Passes)-p.Laps,
					float64(p.SprayedLength/p.BoundLength), share(float64(p.Double)), share(float64(p.Overspray)), share(float64(p.Covered)), p.Turns)
				if p.Covered < 0.999*p.Net {
					t.Errorf("%s, %d laps: covered %.3f %%", filepath.Base(f), laps, share(float64(p.Covered)))
				}
				net, over, double, covered, length = net+1, over+share(float64(p.Overspray)), double+share(float64(p.Double)), covered+share(float64(p.Covered)), length+float64(p.SprayedLength/p.BoundLength)
				passes, rings = passes+len(p.Passes), rings+p.Laps
			}
		}
		if laps == 0 {
			without = over
		} else if over > without/4 { // measured: a sixth to an eighth
			t.Errorf("%d laps: overspray is %.2f %% in the mean of lawns, %.2f without", laps, over/net, without/net)
		}
		t.Logf("%d laps: %d + %d passes, mean of lawns: L*w/A %.4f, double %.2f %%, overspray %.2f %%, covered %.3f %%", laps, rings, passes-rings, length/net, double/net, over/net, covered/net)
	}
}
