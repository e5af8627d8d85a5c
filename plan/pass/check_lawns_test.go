package pass_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/geotest"
	"tankful/geo/overlay"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// What the plans are wanted to keep is passtest.Wanted, and the targets of passes below. What is not kept yet stands in these
// tables, and in no other place: by family and check, how many plans may fail it. The wanted number is 0 everywhere.
var (
	openOnLawns = map[string]map[string]int{}
	openOnSites = map[string]map[string]int{
		"gun":                {passtest.Bounds: 3, passtest.Coverage: 8, passtest.Treated: 14, passtest.Ways: 1},
		"boom of 3 m, 1 lap": {passtest.Along: 2, passtest.Coverage: 2, passtest.Treated: 1},
	}
)

// Passes on the 26 lawns with a gun of 7 ft: wanted is 1 % above the sum of the best plans known (599), and on no lawn more than in
// one direction.
const (
	openPasses     = 599 // 597 are reached
	openOverOneWay = 1   // lawns; wanted 0
)

// family is a setup that all lawns are laid with.
type family struct {
	name  string
	setup func() pass.Setup
}

func boom(swath unit.Length, laps int) func() pass.Setup {
	return func() pass.Setup {
		s := gun7
		s.Swath, s.Trims, s.Laps = swath, false, laps
		return s
	}
}

func gunWith(change func(*pass.Setup)) func() pass.Setup {
	return func() pass.Setup {
		s := gun7
		change(&s)
		return s
	}
}

var lawnFamilies = []family{
	{"gun", gunWith(func(*pass.Setup) {})},
	{"boom, no lap", boom(7*unit.Foot, 0)},
	{"boom, 1 lap", boom(7*unit.Foot, 1)},
	{"boom, 2 laps", boom(7*unit.Foot, 2)},
	{"gun, 1 lap", gunWith(func(s *pass.Setup) { s.Laps = 1 })},
	{"gun, even", gunWith(func(s *pass.Setup) { s.Even = true })},
	{"gun off over hardscape", gunWith(func(s *pass.Setup) { s.GunOff = 30 * unit.Foot })},
	{"fewest passes", gunWith(func(s *pass.Setup) { s.TurnCost = 1000 * unit.Metre })},
	{"hose, far end first", gunWith(func(s *pass.Setup) { s.FarFirst, s.Hose = true, 60*unit.Metre })},
}

// tally is one family's figures.
type tally struct {
	plans, passes, touch, laps       int
	length, turf, double, over, dead float64
	beside                           float64 // overspray, shares of the lawns added up
	covered, deep, way, loose, extra float64 // worst
	worst                            string
	failing                          map[string][]string // names of the lawns by check
	example                          map[string]string
}

func newTally() *tally {
	return &tally{covered: 1, failing: map[string][]string{}, example: map[string]string{}}
}

func (c *tally) add(name string, p *pass.Plan, r passtest.Report) {
	c.plans++
	c.passes += len(p.Passes)
	c.laps += p.Laps
	for i := range p.Passes {
		if p.Passes[i].Kind == pass.TouchUp {
			c.touch++
		}
	}
	net := float64(p.Net)
	c.length += float64(p.SprayedLength)
	c.turf += net / float64(p.Setup.Swath)
	c.double += r.Double * net / float64(p.Setup.Swath)
	c.over += r.Overspray * net / float64(p.Setup.Swath)
	c.dead += float64(p.DeadWalk)
	c.beside += r.Overspray
	if r.Covered < c.covered {
		c.covered, c.worst = r.Covered, name
	}
	c.deep, c.way = max(c.deep, float64(r.Deepest)), max(c.way, float64(r.WayDeepest))
	c.loose, c.extra = max(c.loose, r.Loose), max(c.extra, r.Extra)
	for _, f := range r.Faults {
		if names := c.failing[f.Check]; len(names) == 0 || names[len(names)-1] != name {
			c.failing[f.Check] = append(names, name)
			if len(names) == 0 {
				c.example[f.Check] = name + ": " + f.Text
			}
		}
	}
}

func (c *tally) String() string {
	return fmt.Sprintf("%4d plans, %5d passes (%d touch-up, %d laps), L*w/A %.4f, double %.2f %%, overspray %.2f %%, dead walk %.0f m; worst covered %.4f (%s), %.3f m into walls, ways %.2f m, out of own reach %.4f, extra %.4f",
		c.plans, c.passes, c.touch, c.laps, c.length/c.turf, 100*c.double/c.turf, 100*c.over/c.turf, c.dead, c.covered, c.worst, c.deep, c.way, c.loose, c.extra)
}

// judge fails where more plans fail a check than the table of what is open allows.
func (c *tally) judge(t *testing.T, name string, open map[string]int) {
	t.Helper()
	t.Logf("%-22s %v", name, c)
	var checks []string
	for check := range c.failing {
		checks = append(checks, check)
	}
	slices.Sort(checks)
	for _, check := range checks {
		names := c.failing[check]
		if len(names) > open[check] {
			t.Errorf("%s: %d plans fail %q, %d are open: %s; %s", name, len(names), check, open[check], strings.Join(names[:min(len(names), 12)], " "), c.example[check])
		} else {
			t.Logf("%-22s open: %d plans fail %q, such as %s", name, len(names), check, c.example[check])
		}
	}
}

// few says that a fraction of the data has to do: on request, or under the race detector.
func few() bool { return testing.Short() || geotest.Fewer(2) == 1 }

func limits() passtest.Limits {
	l := passtest.Wanted()
	l.Points = geotest.Fewer(l.Points)
	return l
}

// Every family of setups on the reference lawns passes the independent checks.
func TestReferenceLawns(t *testing.T) {
	lawns := referenceLawns(t)
	beside := map[string]float64{}
	for _, f := range lawnFamilies {
		c := newTally()
		for k, ref := range lawns {
			if few() && k%5 > 0 {
				continue
			}
			l, s := ref.lawn, f.setup()
			if s.Hose > 0 {
				l.Trucks = []geom.Coord{l.Net.Polygon(0).LinearRing(0).Coord(0)}
			}
			p, err := pass.Lay(l, s)
			if err != nil {
				t.Errorf("%s: %s: %v", f.name, ref.name, err)
				continue
			}
			c.add(ref.name, p, passtest.Check(passtest.Of(l, p), limits()))
		}
		c.judge(t, f.name, openOnLawns[f.name])
		beside[f.name] = c.beside
	}
	if without, with := beside["boom, no lap"], beside["boom, 1 lap"]; with > without/4 { // measured: a sixth to an eighth
		t.Errorf("a lap leaves %.3f of the %.3f that a fixed width puts beside the turf, want a quarter at most", with, without)
	}
}

// Passes against the published plans: our bounds are not above them, nor they below the published bounds.
func TestReferencePasses(t *testing.T) {
	total, best, oneWay, over := 0, 0, 0, 0
	var worse []string
	for _, ref := range referenceLawns(t) {
		num := func(column string) int { return int(ref.row.Number(t, column)) }
		if got, want := ref.site.NetArea.In(unit.SquareMetre), ref.row.Number(t, "area_m2"); math.Abs(got-want) > 1e-4*got {
			t.Errorf("%s: net turf %.2f m2, published %.2f", ref.name, got, want)
		}
		p, err := pass.Lay(ref.lawn, gun7)
		if err != nil {
			t.Errorf("%s: %v", ref.name, err)
			continue
		}
		n := len(p.Passes)
		total, best, oneWay = total+n, best+num("best_passes"), oneWay+num("onedir_passes")
		if n < num("LB_passes_any") {
			t.Errorf("%s: %d passes are below the published bound of %d", ref.name, n, num("LB_passes_any"))
		}
		if p.BoundPasses > num("best_passes") {
			t.Errorf("%s: our bound of %d is above a published plan of %d", ref.name, p.BoundPasses, num("best_passes"))
		}
		if p.BoundOneWay > num("onedir_passes") {
			t.Errorf("%s: our bound of %d in one direction is above a published plan of %d", ref.name, p.BoundOneWay, num("onedir_passes"))
		}
		if n > num("onedir_passes") {
			over++
			worse = append(worse, fmt.Sprintf("%s %d, not %d", ref.name, n, num("onedir_passes")))
		}
		t.Logf("%-18s %4d passes; published: one direction %d, best %d, best if broken %d; bounds %d and %d; L*w/A %.3f, %d sections, dead walk %.0f m", ref.name, n, num("onedir_passes"), num("best_passes"),
			num("best_passes_if_broken_at_6ft_chord"), p.BoundPasses, p.BoundOneWay, float64(p.SprayedLength/p.BoundLength), len(p.Sections), float64(p.DeadWalk))
	}
	t.Logf("all: %d passes; published %d in one direction, %d at best", total, oneWay, best)
	if total > openPasses {
		t.Errorf("%d passes in all, at most %d", total, openPasses)
	}
	if over > openOverOneWay {
		t.Errorf("%d lawns have more passes than in one direction, at most %d: %s", over, openOverOneWay, strings.Join(worse, "; "))
	}
}

// A second opinion on coverage: the swaths subtracted from the turf one after the other by the overlay engine, which checks itself.
func TestCoverageByOverlay(t *testing.T) {
	for k, ref := range referenceLawns(t) {
		if few() && k%5 > 0 {
			continue
		}
		p, err := pass.Lay(ref.lawn, gun7)
		if err != nil {
			t.Errorf("%s: %v", ref.name, err)
			continue
		}
		left := ref.lawn.Net
		for i := range p.Passes {
			for _, shape := range passtest.Swath(&p.Passes[i], p.Setup.Swath/2+0.1*unit.Millimetre) {
				if left, err = overlay.Difference(left, shape); err != nil {
					break
				}
			}
		}
		if errors.Is(err, overlay.ErrUnsure) {
			t.Logf("%s: the engine gives up", ref.name)
			continue
		}
		missed := float64(overlay.Area(left) / p.Net)
		if own := passtest.Check(passtest.Of(ref.lawn, p), passtest.Limits{}).Covered; math.Abs(1-missed-own) > 1e-5 {
			t.Errorf("%s: the engine says %.6f is covered, convex pieces %.6f", ref.name, 1-missed, own)
		}
		if missed > 1-passtest.Wanted().Covered {
			t.Errorf("%s: %.5f of the turf is left", ref.name, missed)
		}
	}
}
