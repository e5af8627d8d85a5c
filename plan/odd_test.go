package plan_test

import (
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// oddDay is the lawn of the hand-worked days with a tank that holds it all.
func oddDay() *plan.Day { return handDay(tank("tank", 20*unit.Gallon, unit.Gallon)) }

// Days that cannot be planned, made in code and not through a file: each error is there with a fix.
func TestImpossibleDays(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	tests := []struct {
		name   string
		change func(d *plan.Day)
		want   string
	}{
		{"empty", func(d *plan.Day) { *d = plan.Day{} }, "no-stops"},
		{"no units", func(d *plan.Day) { d.Units = "" }, "unknown-units"},
		{"ends before it starts", func(d *plan.Day) { d.End = 6 * unit.Hour }, "ends-before-start"},
		{"starts at no time", func(d *plan.Day) { d.Start = unit.Time(nan) }, "ends-before-start"},
		{"no stops", func(d *plan.Day) { d.Stops = nil }, "no-stops"},
		{"unknown mix", func(d *plan.Day) { d.Stops[0].Mix = "Sprong" }, "unknown-mix"},
		{"unknown operator", func(d *plan.Day) { d.Mixes[0].Operator = "Kym" }, "unknown-operator"},
		{"unknown applicator", func(d *plan.Day) { d.Mixes[0].Applicator = "Gum" }, "unknown-applicator"},
		{"unknown product", func(d *plan.Day) { d.Mixes[0].Products[0].Product = "Fed" }, "unknown-product"},
		{"unknown truck", func(d *plan.Day) { d.Stops[0].Truck = "Trick" }, "no-truck"},
		{"tank for an unknown mix", func(d *plan.Day) { d.Trucks[0].Tanks[0].Mix = "Sprong" }, "unknown-mix"},
		{"no catch test", func(d *plan.Day) { d.Operators[0].Tests = nil }, "no-catch-test"},
		{"two mixes of a name", func(d *plan.Day) { d.Mixes = append(d.Mixes, d.Mixes[0]) }, "duplicate-name"},
		{"two tanks of a name", func(d *plan.Day) { d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, d.Trucks[0].Tanks[0]) }, "duplicate-name"},
		{"two trucks of a name", func(d *plan.Day) { d.Trucks = append(d.Trucks, d.Trucks[0]) }, "duplicate-name"},
		{"two products of a name", func(d *plan.Day) { d.Products[1].Name = "Feed" }, "duplicate-name"},
		{"two tests", func(d *plan.Day) { d.Operators[0].Tests = append(d.Operators[0].Tests, d.Operators[0].Tests[0]) }, "duplicate-name"},
		{"truck without a name", func(d *plan.Day) { d.Trucks[0].Name = "" }, "name-missing"},
		{"no site", func(d *plan.Day) { d.Stops[0].Site = nil }, "not-measured"},
		{"site never measured", func(d *plan.Day) { d.Stops[0].Site = &geo.Site{} }, "not-measured"},
		{"site with an error", func(d *plan.Day) {
			d.Stops[0].Site = measured(&geo.Property{ID: "A", Where: "A"})
		}, "not-measured"},
		{"no fill point", func(d *plan.Day) { d.FillPoints = nil }, "no-fill-point"},
		{"no trucks", func(d *plan.Day) { d.Trucks = nil }, "no-truck"},
		{"no tanks", func(d *plan.Day) { d.Trucks[0].Tanks = nil }, "mix-without-tank"},
		{"tank all heel", func(d *plan.Day) { d.Trucks[0].Tanks[0].Heel = 20 * unit.Gallon }, "tank-smaller-than-heel"},
		{"heel below zero", func(d *plan.Day) { d.Trucks[0].Tanks[0].Heel = -1 * unit.Gallon }, "heel-negative"},
		{"heel without end", func(d *plan.Day) { d.Trucks[0].Tanks[0].Heel = unit.Volume(inf) }, "heel-negative"},
		{"tank of nothing", func(d *plan.Day) { d.Trucks[0].Tanks[0].Capacity = 0 }, "tank-capacity-zero"},
		{"tank of no number", func(d *plan.Day) { d.Trucks[0].Tanks[0].Capacity = unit.Volume(nan) }, "tank-capacity-zero"},
		{"tank like a lake", func(d *plan.Day) { d.Trucks[0].Tanks[0].Capacity = 1e30 }, "absurd"},
		{"tank like a thimble", func(d *plan.Day) {
			d.Trucks[0].Tanks[0] = tank("tank", 0.1*unit.Gallon, 0)
			d.Stops[0].Site = lawn("A", 500*unit.Foot, 300*unit.Foot)
		}, "too-many-loads"},
		{"no flow", func(d *plan.Day) { d.FillPoints[0].Flow = 0 }, "flow-zero"},
		{"endless flow", func(d *plan.Day) { d.FillPoints[0].Flow = unit.Flow(inf) }, "flow-zero"},
		{"hook-up below zero", func(d *plan.Day) { d.FillPoints[0].HookUp = -1 }, "time-negative"},
		{"standing still", func(d *plan.Day) { d.Travel.Speed = 0 }, "speed-zero"},
		{"driving backwards", func(d *plan.Day) { d.Travel.Speed = -5 }, "speed-zero"},
		{"roads shorter than straight", func(d *plan.Day) { d.Travel.Circuity = -1.3 }, "circuity-below-one"},
		{"no circuity", func(d *plan.Day) { d.Travel.Circuity = 0 }, "circuity-below-one"},
		{"circuity no number", func(d *plan.Day) { d.Travel.Circuity = nan }, "circuity-below-one"},
		{"access below zero", func(d *plan.Day) { d.Travel.Access = -60 }, "time-negative"},
		{"yard nowhere", func(d *plan.Day) { d.Yard.At = orb.Point{nan, 0} }, "not-a-place"},
		{"yard not set", func(d *plan.Day) { d.Yard = plan.Place{Name: "Yard"} }, "far-from-yard"},
		{"fill point nowhere", func(d *plan.Day) { d.FillPoints[0].At = orb.Point{0, 91} }, "not-a-place"},
		{"fill point far off", func(d *plan.Day) { d.FillPoints[0].At = orb.Point{38.5, -41.2} }, "far-from-yard"},
		{"stop set up below zero", func(d *plan.Day) { d.Stops[0].SetUp = -60 }, "time-negative"},
		{"window turned round", func(d *plan.Day) { d.Stops[0].From, d.Stops[0].Until = 10*unit.Hour, 9*unit.Hour }, "window-ends-before-start"},
		{"window missed", func(d *plan.Day) { d.Stops[0].Until = 7*unit.Hour + unit.Minute }, "nothing-fits"},
		{"more mixes than tanks", func(d *plan.Day) {
			d.Mixes = append(d.Mixes, d.Mixes[0])
			d.Mixes[1].Name = "Fall"
			d.Stops = append(d.Stops, plan.Stop{Site: lawn("B", 50*unit.Foot, 50*unit.Foot), Mix: "Fall", Where: "stop B"})
		}, "more-mixes-than-tanks"},
		{"the tank is for another mix", func(d *plan.Day) {
			d.Mixes = append(d.Mixes, d.Mixes[0])
			d.Mixes[1].Name, d.Trucks[0].Tanks[0].Mix = "Fall", "Fall"
		}, "mix-without-tank"},
		{"a dozen tanks without a mix", func(d *plan.Day) {
			for i := range 12 {
				m, id := d.Mixes[0], string(rune('a'+i))
				m.Name = "mix " + id
				d.Mixes = append(d.Mixes, m)
				d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, tank("tank "+id, 20*unit.Gallon, 0))
				d.Stops = append(d.Stops, plan.Stop{Site: lawn(id, 100*unit.Foot, 60*unit.Foot), Mix: m.Name, Where: "stop " + id})
			}
		}, "tanks-without-mix"},
		{"the same stop twice", func(d *plan.Day) { d.Stops = append(d.Stops, d.Stops[0]) }, "stop-twice"},
		{"no pace", func(d *plan.Day) { d.Operators[0].Tests[0].Catch.Course = 0 }, "course-zero"},
		{"runs of no time", func(d *plan.Day) { d.Operators[0].Tests[0].Catch.Runs = []unit.Time{0, 0, 0} }, "run-zero"},
		{"nothing caught", func(d *plan.Day) { d.Operators[0].Tests[0].Catch.Caught = 0 }, "catch-zero"},
		{"no swath", func(d *plan.Day) { d.Applicators[0].Swath = 0 }, "swath-zero"},
		{"swath without end", func(d *plan.Day) { d.Applicators[0].Swath = unit.Length(inf) }, "swath-zero"},
		{"swath half the course's spacing", func(d *plan.Day) { d.Applicators[0].Swath = 5 * unit.Foot }, "spacing-differs"},
		{"swath 1 in over the course's spacing", func(d *plan.Day) { d.Applicators[0].Swath += unit.Inch }, "spacing-differs"},
		{"applicator of no kind", func(d *plan.Day) { d.Applicators[0].Kind = "" }, "unknown-kind"},
		{"turns back in time", func(d *plan.Day) { d.Applicators[0].TurnTime = -3 }, "time-negative"},
		{"side step below zero", func(d *plan.Day) { d.Applicators[0].SideStep = -1 }, "length-negative"},
		{"hose without end", func(d *plan.Day) { d.Applicators[0].Hose = unit.Length(inf) }, "length-negative"},
		{"gun-off crossing of no number", func(d *plan.Day) { d.Applicators[0].GunOff = unit.Length(nan) }, "length-negative"},
		{"three edge laps", func(d *plan.Day) { three := 3; d.Applicators[0].Laps = &three }, "edge-laps-unknown"},
		{"laid for nothing known", func(d *plan.Day) { d.Applicators[0].Objective = "beauty" }, "unknown-objective"},
		{"a mix in a spreader", func(d *plan.Day) { d.Applicators[0].Kind = plan.Spreader }, "granules-one-product"},
		{"rate over the label", func(d *plan.Day) { d.Mixes[0].Products[0].Rate.Liquid *= 3 }, "rate-over-label"},
		{"a liquid by weight without its density", func(d *plan.Day) { d.Mixes[0].Products[0].Rate = label.Rate{Dry: unit.PoundPerThousand} }, "density-missing"},
		{"a powder by volume", func(d *plan.Day) {
			d.Mixes[0].Products[1].Rate = label.Rate{Liquid: unit.FluidOuncePerThousand}
		}, "rate-wrong-kind"},
		{"rate no number", func(d *plan.Day) { d.Mixes[0].Products[0].Rate.Liquid = unit.VolumePerArea(nan) }, "rate-zero"},
		{"label without a source", func(d *plan.Day) { d.Products[0].Label.Citation = "" }, "citation-missing"},
		{"class unknown", func(d *plan.Day) { d.Products[0].Class = "goo" }, "class-unknown"},
		{"a lawn of a hand", func(d *plan.Day) { d.Stops[0].Site = lawn("A", 0.7*unit.Foot, 0.7*unit.Foot) }, "stop-needs-nothing"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := oddDay()
			tt.change(d)
			p, found := plan.Make(d)
			checkProblems(t, found)
			is := func(q problem.Problem) bool { return q.Code == tt.want && q.Severity == problem.Error }
			if p != nil || !slices.ContainsFunc(found, is) {
				t.Errorf("got plan %v and %v; want no plan and the error %s", p != nil, found, tt.want)
			}
		})
	}
}

// Days that look odd and have a right plan.
func TestOddDays(t *testing.T) {
	tests := []struct {
		name   string
		change func(d *plan.Day)
		check  func(t *testing.T, d *plan.Day, p *plan.Plan)
	}{
		{"one truck, stop without it", func(d *plan.Day) {}, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			if p.Stops[0].Truck != "Truck" {
				t.Errorf("the stop's truck is %q", p.Stops[0].Truck)
			}
		}},
		{"too long", func(d *plan.Day) { d.End = d.Start + unit.Minute }, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			if len(p.Problems) != 1 || p.Problems[0].Code != "day-too-long" || p.Problems[0].Severity != problem.Warning {
				t.Errorf("got %v, want the warning day-too-long", p.Problems)
			}
		}},
		{"waits for its window", func(d *plan.Day) { d.Stops[0].From = 9 * unit.Hour }, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			// By hand: filled at 7:00 + 198 s, at the lawn at once, so 7,002 s to wait.
			seconds(t, p.Trucks[0].Wait, 7002, p.Stops[0].Begin, 9*unit.Hour, p.Trucks[0].Finish, 9*unit.Hour+510)
		}},
		{"a mix and a tank for it that no stop takes", func(d *plan.Day) {
			d.Mixes = append(d.Mixes, plan.Mix{Name: "Unused", Operator: "nobody"})
			idle := tank("idle", 50*unit.Gallon, unit.Gallon)
			idle.Mix = "Unused"
			d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, idle)
		}, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			if len(p.Mixes) != 1 || p.Trucks[0].Tanks[1].Mix != "" || p.Loads[0].Tank != "tank" {
				t.Errorf("mixes %d, tanks %+v", len(p.Mixes), p.Trucks[0].Tanks)
			}
		}},
		{"water only", func(d *plan.Day) { d.Mixes[0].Products = nil }, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			if len(p.Problems) != 1 || p.Problems[0].Code != "mix-without-products" {
				t.Errorf("got %v, want the warning mix-without-products", p.Problems)
			}
		}},
		{"one property, two mixes", func(d *plan.Day) {
			d.Mixes = append(d.Mixes, d.Mixes[0])
			d.Mixes[1].Name, d.Mixes[1].Products = "Iron only", d.Mixes[0].Products[1:]
			d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, tank("rear", 20*unit.Gallon, unit.Gallon))
			d.Stops = append(d.Stops, d.Stops[0])
			d.Stops[1].Mix = "Iron only"
		}, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			// Each load says which of the two visits it is for, and so does each event.
			for _, l := range p.Loads {
				if s := p.Stop(l.Truck, l.Stops[0].Stop); len(l.Stops) != 1 || s == nil || s.Mix != l.Mix || s.Property != "A" {
					t.Errorf("load %d of %s goes to %+v", l.N, l.Mix, l.Stops)
				}
			}
			if p.Stops[0].Mix == p.Stops[1].Mix || len(p.Loads) != 2 {
				t.Errorf("mixes %q and %q in %d loads", p.Stops[0].Mix, p.Stops[1].Mix, len(p.Loads))
			}
		}},
		{"two mixes that share a test with uneven runs", func(d *plan.Day) {
			d.Operators[0].Tests[0].Catch.Runs = []unit.Time{25, 30, 35}
			d.Mixes = append(d.Mixes, d.Mixes[0])
			d.Mixes[1].Name = "Fall"
			d.Trucks[0].Tanks = append(d.Trucks[0].Tanks, tank("rear", 20*unit.Gallon, unit.Gallon))
			d.Stops = append(d.Stops, plan.Stop{Site: lawn("B", 50*unit.Foot, 50*unit.Foot), Mix: "Fall", Where: "stop B"})
		}, func(t *testing.T, _ *plan.Day, p *plan.Plan) {
			if len(p.Problems) != 1 {
				t.Errorf("got %v, want the one warning of the test once", p.Problems)
			}
		}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			d := oddDay()
			tt.change(d)
			p := made(t, d)
			checkProblems(t, p.Problems)
			checkJSON(t, d, p)
			tt.check(t, d, p)
		})
	}
}

func TestClock(t *testing.T) {
	for in, want := range map[unit.Time]string{0: "00:00", 7*unit.Hour + 5*unit.Minute: "07:05", 59.6: "00:01", 26 * unit.Hour: "26:00",
		-60: "no time", unit.Time(math.Inf(1)): "no time"} {
		if got := plan.Clock(in); got != want {
			t.Errorf("%v s: got %s, want %s", float64(in), got, want)
		}
	}
}
