// Package passtest holds plans of passes against the ground by means of its own, for tests.
//
// It reads what a plan says (lines, areas, figures, treated trapezoids) and shares no geometry with package pass: turf is cut at the
// height of every corner, swaths are rebuilt from the lines and subtracted as convex pieces, points are sampled, walks are
// cut at every edge. It leaves out whether a plan is a good one.
package passtest

import (
	"fmt"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass"
)

// The checks; a fault names the one that found it.
const (
	Areas    = "areas"        // pass areas add up to the turf
	Numbers  = "numbers"      // 1 to n, way from end to start, sums of lengths, turns, sections
	Lengths  = "lengths"      // a pass's length, off stretches and sprayed area follow from its line
	Coverage = "coverage"     // the swaths reach the turf, by subtraction
	Points   = "points"       // the same by points of the turf
	Treated  = "treated"      // trapezoids: their area, none outside the turf, each within its own swath
	Overlaps = "overlaps"     // trapezoids of one pass lie in no other's
	Walls    = "walls"        // no line, no walk over buildings or water
	OffTurf  = "off the turf" // no line with the gun on leaves the turf for longer than the side step
	GunOff   = "gun off"      // off stretches lie on turf and hardscape, none longer than allowed
	Ways     = "ways"         // dead walks go round buildings and water
	Bounds   = "bounds"       // length >= area / swath, passes >= bound
	Along    = "along"        // the point where an area is treated, and places along the line
	Figures  = "figures"      // covered, double and overspray as found here
	Reach    = "reach"        // the hose is no shorter than the straight line
)

// Fault is one thing that is wrong with a plan.
type Fault struct{ Check, Text string }

func (f Fault) String() string { return f.Check + ": " + f.Text }

// Limits is how far a plan may be off.
type Limits struct {
	// Covered is the least share of the turf within half a swath of a line.
	Covered float64
	// Slack is added to half the swath on either side of a line.
	Slack unit.Length
	// Loose is the largest share of the turf that lies in its pass's strip but out of reach of its line, LoosePass of one pass.
	Loose, LoosePass float64
	// Extra is the largest share of the turf that passes take along outside their trapezoids.
	Extra float64
	// Deep is how far inside a building or water a line may come, Ground how far off the turf it may graze, Way how far inside
	// a building or water the dead walk may come.
	Deep, Ground, Way unit.Length
	// Figure is how far the plan's own coverage figures may be off, as a share of the turf.
	Figure float64
	// Points is how many points of the turf are tried.
	Points int
}

// Wanted is what a plan should keep: 0.1 mm beside the swath, 1 cm inside walls, 99.9 % covered.
func Wanted() Limits {
	return Limits{Covered: 0.999, Slack: 0.0001, Loose: 0.001, LoosePass: 0.02, Extra: 0.001, Deep: 0.01, Ground: 0.01, Way: 0.01, Figure: 0.002, Points: 4000}
}

// Subject is a plan and the lawn it is for. Treated and Along stand for the methods of a pass; tests plant faults in them.
type Subject struct {
	Lawn    pass.Lawn
	Plan    *pass.Plan
	Treated func(*pass.Pass) *geom.MultiPolygon
	Along   func(*pass.Pass, unit.Area) unit.Length
}

// Of is the subject with the methods of its passes.
func Of(l pass.Lawn, p *pass.Plan) Subject {
	return Subject{l, p, (*pass.Pass).Swath, (*pass.Pass).Along}
}

// Report is what the checks found.
type Report struct {
	Faults []Fault
	// Covered, Double and Overspray as shares of the turf, Loose and Extra likewise, Missed the share of the points.
	Covered, Double, Overspray, Loose, Extra, Missed float64
	// Ratio is length x swath / turf.
	Ratio float64
	// Deepest is how far inside a building or water a line comes, WayDeepest a dead walk.
	Deepest, WayDeepest unit.Length
}

// Found reports whether a check has faults.
func (r *Report) Found(check string) bool {
	for _, f := range r.Faults {
		if f.Check == check {
			return true
		}
	}
	return false
}

// run is one checking.
type run struct {
	Subject
	lim    Limits
	report Report
	net    *ground
	walls  *ground
	turf   []poly // the turf cut into trapezoids
	level  pt     // turns most passes level, so that bands and trapezoids lie along them
	half   float64
	sets   [][]poly // the swath of each pass, in pieces that do not overlap
	rough  [][]poly // the same as overlapping shapes
}

// Check holds the plan against the lawn and gives all faults, in the order of the checks.
func Check(s Subject, lim Limits) Report {
	r := &run{Subject: s, lim: lim, net: groundOf(s.Lawn.Net), walls: groundOf(s.Lawn.NoWalk)}
	r.half = float64(s.Plan.Setup.Swath/2 + lim.Slack)
	r.level = pt{0, 1}.turned(-s.Plan.Bearing * math.Pi / 180)
	r.level.y = -r.level.y
	for _, p := range r.net.rotated(r.level).trapezoids() {
		r.turf = append(r.turf, p.rotated(pt{r.level.x, -r.level.y}))
	}
	if d := math.Abs(areaOf(r.turf)/r.net.size - 1); d > 1e-7 {
		r.fault(Areas, "the turf's trapezoids are %.3g off its rings: rings cross, and nothing else can be told", d)
		return r.report
	}
	for i := range s.Plan.Passes {
		p := &s.Plan.Passes[i]
		if len(p.Line) < 2 {
			r.fault(Lengths, "pass %d has a line of %d points, and nothing else can be told", i+1, len(p.Line))
			return r.report
		}
		var shapes []poly
		for _, walk := range sprayed(p) {
			shapes = append(shapes, swath(walk, r.half)...)
		}
		r.rough = append(r.rough, shapes)
		r.sets = append(r.sets, apart(shapes))
	}
	r.areas()
	r.numbers()
	r.sections()
	r.lengths()
	r.bounds()
	r.lines()
	r.ways()
	r.treated()
	r.overlaps()
	r.coverage()
	r.points()
	r.along()
	r.reach()
	return r.report
}

func (r *run) fault(check, format string, args ...any) {
	r.report.Faults = append(r.report.Faults, Fault{check, fmt.Sprintf(format, args...)})
}

// near reports whether two figures agree within share of the larger.
func near(a, b, share float64) bool {
	return math.Abs(a-b) <= share*max(math.Abs(a), math.Abs(b), 1e-9)
}

func (r *run) areas() {
	sum := 0.0
	for i := range r.Plan.Passes {
		p := &r.Plan.Passes[i]
		if !(p.Area > 0) {
			r.fault(Areas, "pass %d treats %v m2", p.N, float64(p.Area))
		}
		sum += float64(p.Area)
	}
	if !near(sum, r.net.size, 1e-9) {
		r.fault(Areas, "the passes add up to %.6f m2 of %.6f", sum, r.net.size)
	}
	if !near(float64(r.Plan.Net), r.net.size, 1e-9) {
		r.fault(Areas, "the turf is given as %.6f m2, its rings are %.6f", float64(r.Plan.Net), r.net.size)
	}
}

// leftOut gives the ground of a surface that was left out, nil when not known.
func (r *run) leftOut(s geo.Surface) *ground {
	if mp := r.Lawn.LeftOut[s]; mp != nil {
		return groundOf(mp)
	}
	return nil
}
