package plan_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
	"tankful/plan"
	"tankful/plan/pass"
)

// boomDay is handDay with a boom without edge laps on a lawn with what else is in it.
func boomDay(long, wide unit.Length, others ...geo.Outline) *plan.Day {
	d := handDay(tank("tank", 60*unit.Gallon, unit.Gallon))
	d.Applicators[0].Kind, d.Applicators[0].Laps = plan.Boom, new(int)
	p := *lawn("A", long, wide).Property
	p.Outlines = append(p.Outlines, others...)
	d.Stops[0].Site = measured(&p)
	return d
}

// outline is a rectangle in feet from the yard.
func outline(s geo.Surface, x, y, w, h unit.Length) geo.Outline {
	f := local.NewFrame(yard)
	at := func(x, y unit.Length) orb.Point {
		return f.Inverse(geom.Coord{float64(x * unit.Foot), float64(y * unit.Foot)})
	}
	ring := orb.Ring{at(x, y), at(x+w, y), at(x+w, y+h), at(x, y+h), at(x, y)}
	return geo.Outline{Surface: s, Polygon: orb.MultiPolygon{{ring}}, Where: "test: " + string(s)}
}

// What passes are laid for, on 100 x 55 ft with passes of 10 ft and 30 s for 100 ft. Six passes are 600 ft long, ten across them
// 550 ft. By hand, a turn being worth what is walked in its time:
//
//	turns of 3 s, 10 ft     600 + 6 x 10 = 660, 550 + 10 x 10 = 650: ten passes, 5,500 sq ft
//	turns of 6 s, 20 ft     600 + 6 x 20 = 720, 550 + 10 x 20 = 750: six passes, 6,000 sq ft
func TestObjectivesByHand(t *testing.T) {
	for _, c := range []struct {
		objective plan.Objective
		turn      unit.Time
		passes    int
		volume    string
	}{
		{"", 3, 10, "11.0 gal"}, {"", 6, 6, "12.0 gal"}, {plan.LeastTime, 6, 6, "12.0 gal"},
		{plan.FewestPasses, 3, 6, "12.0 gal"}, {plan.LeastSpray, 6, 10, "11.0 gal"},
	} {
		d := boomDay(100*unit.Foot, 55*unit.Foot)
		d.Applicators[0].Objective, d.Applicators[0].TurnTime = c.objective, c.turn
		p := made(t, d)
		equal(t, p.Units.Volume(p.Stops[0].Volume), c.volume)
		if got := p.Stops[0].Passes.Count; got != c.passes {
			t.Errorf("for %q with turns of %v s: %d passes, want %d", c.objective, float64(c.turn), got, c.passes)
		}
	}
}

// One more pass is dear where each counts, free where length does, and 8 m where the pace is not known.
func TestLayPassesHow(t *testing.T) {
	a := plan.Applicator{Name: "Boom", Kind: plan.Boom, Swath: 10 * unit.Foot, TurnTime: 3, GunOff: 4, Even: true, FarFirst: true, Hose: 50, SideStep: 2}
	b := 30.0
	for _, c := range []struct {
		objective plan.Objective
		pace      unit.Speed
		cost      unit.Length
	}{{"", 0, 8}, {"", 2, 6}, {plan.FewestPasses, 2, 1000}, {plan.LeastSpray, 2, 0}} {
		a.Objective = c.objective
		p, err := plan.LayPasses(lawn("A", 100*unit.Foot, 55*unit.Foot), &a, plan.Laying{Bearing: &b, Pace: c.pace})
		if err != nil {
			t.Fatal(err)
		}
		want := pass.Setup{Swath: a.Swath, SideStep: 2, GunOff: 4, Laps: 1, Even: true, Bearing: &b, TurnCost: c.cost, FarFirst: true, Hose: 50}
		if p.Setup != want {
			t.Errorf("for %q at %v m/s: %+v, want %+v", c.objective, float64(c.pace), p.Setup, want)
		}
	}
}

func TestEdgeLapsByDefault(t *testing.T) {
	two := 2
	for kind, want := range map[plan.ApplicatorKind]int{plan.Gun: 0, plan.Backpack: 0, plan.Boom: 1, plan.RideOn: 1, plan.Spreader: 1} {
		a := plan.Applicator{Kind: kind}
		if got := a.EdgeLaps(); got != want {
			t.Errorf("%s: %d laps, want %d", kind, got, want)
		}
		if a.Laps = &two; a.EdgeLaps() != 2 {
			t.Errorf("%s: %d laps, want the 2 that are asked for", kind, a.EdgeLaps())
		}
	}
}

// found is the one problem with that code, which is a warning.
func found(t *testing.T, p *plan.Plan, code string) problem.Problem {
	t.Helper()
	var all []problem.Problem
	for _, q := range p.Problems {
		if q.Code == code {
			all = append(all, q)
		}
	}
	if len(all) != 1 || all[0].Severity != problem.Warning {
		t.Fatalf("got %v, want one warning %s", p.Problems, code)
	}
	return all[0]
}

func none(t *testing.T, p *plan.Plan, codes ...string) {
	t.Helper()
	for _, q := range p.Problems {
		for _, code := range codes {
			if q.Code == code {
				t.Errorf("%s is told: %s", code, q.What)
			}
		}
	}
}

// A boom of 10 ft on 100 x 55 ft in six passes: the sixth strip is 5 ft wide or the strips lie half beside the turf, so that what is
// sprayed beyond 5,500 sq ft is 500, as double or beside the turf. Feed at 4 fl oz/1000 sq ft with a most of 8 may lie
// twice; at 5 fl oz it comes to 10.
func TestDoubleOverLabel(t *testing.T) {
	d := boomDay(100*unit.Foot, 55*unit.Foot)
	d.Applicators[0].Objective = plan.FewestPasses
	d.Products[0].Label.Citation = "made-up label"
	p := made(t, d)
	none(t, p, "double-over-label")
	d.Mixes[0].Products[0].Rate.Liquid = 5 * unit.FluidOuncePerThousand
	p = made(t, d)
	double := p.Stops[0].Passes.Double
	if double < 10*unit.SquareFoot {
		t.Fatalf("the passes of this plan overlap on %v m2 only", float64(double))
	}
	q := found(t, p, "double-over-label")
	for _, want := range []string{p.Units.Area(double), "10.00 fl oz/1000 sq ft", "8.00 fl oz/1000 sq ft", "[made-up label]", "Lawn A", "Feed", "Gun"} {
		if !strings.Contains(q.What, want) {
			t.Errorf("%q does not say %s", q.What, want)
		}
	}
	if q.Where != "stop A" {
		t.Errorf("where is %q", q.Where)
	}
	d.Applicators[0].Kind = plan.Gun // narrows its throw
	none(t, made(t, d), "double-over-label")
}

// A boom of 10 ft on 100 x 15 ft runs over what lies along both sides: water on one, a bed on the other. With the two strips
// anywhere, 2 x 10 - 15 = 5 ft of width are beside the turf or sprayed twice. A gun shuts off.
func TestOntoWater(t *testing.T) {
	d := boomDay(100*unit.Foot, 15*unit.Foot, outline(geo.Water, 0, 15, 100, 20), outline(geo.Bed, 0, -20, 100, 20))
	d.Applicators[0].Objective = plan.FewestPasses
	p := made(t, d)
	ps := p.Stops[0].Passes
	beside := ps.Onto[geo.Water] + ps.Onto[geo.Bed]
	if got := (ps.Overspray + ps.Double).In(unit.SquareFoot); math.Abs(got-500) > 10 {
		t.Errorf("beside the turf and twice: %.1f sq ft, want 500", got)
	}
	if math.Abs(float64(beside-ps.Overspray)) > 0.01*float64(ps.Net) {
		t.Errorf("onto %v, beside the turf %v", ps.Onto, ps.Overspray)
	}
	for _, s := range []geo.Surface{geo.Water, geo.Bed} {
		if ps.Onto[s] < 5*unit.SquareFoot {
			none(t, p, "onto-"+string(s))
			continue
		}
		if q := found(t, p, "onto-"+string(s)); !strings.Contains(q.What, p.Units.Area(ps.Onto[s])) || !strings.Contains(q.Fix, "edge lap") {
			t.Errorf("%s: %v", s, q)
		}
	}
	d.Applicators[0].Kind = plan.Gun
	none(t, made(t, d), "onto-water", "onto-bed")
}

// Where a load ends before a stop is done, the plan says where on the map: after pass 3, at its end; or 50 ft into it.
func TestDryPlaceByHand(t *testing.T) {
	for _, tanks := range [][]plan.Tank{
		{tank("tank", 7.5*unit.Gallon, 1.5*unit.Gallon)},
		{tank("front", 6.5*unit.Gallon, 1.5*unit.Gallon), tank("rear", 7.5*unit.Gallon, 0.5*unit.Gallon)},
	} {
		d := handDay(tanks...)
		p := made(t, d)
		a, b := p.Loads[0].Stops[0], p.Loads[1].Stops[0]
		if a.Dry == nil || b.Dry != nil {
			t.Fatalf("dry places %v and %v, want one and none", a.Dry, b.Dry)
		}
		line := p.Stops[0].Passes.List[a.ToPass-1].Line
		want, into := line[1], 100*unit.Foot
		if a.DryAt > 0 {
			want, into = geom.Coord{(line[0][0] + line[1][0]) / 2, (line[0][1] + line[1][1]) / 2}, 50*unit.Foot
		}
		got := d.Stops[0].Site.Frame.Forward(orb.Point{a.Dry.Lon, a.Dry.Lat})
		if math.Hypot(got[0]-want[0], got[1]-want[1]) > 0.01 {
			t.Errorf("dry at %v, want %v: %s into pass %d", got, want, p.Units.Length(into), a.ToPass)
		}
	}
}

// What each pass says: where it goes, from where, and with what hose.
func TestPassLines(t *testing.T) {
	site := lawn("A", 100*unit.Foot, 60*unit.Foot)
	f := local.NewFrame(yard)
	site.Property.Trucks = append(site.Property.Trucks, f.Inverse(geom.Coord{20, -5}))
	second := geom.Coord{30, 40}
	laid := &pass.Plan{Setup: pass.Setup{Swath: 3, Hose: 10}, Net: site.NetArea, Covered: site.NetArea, Laps: 1, BoundPasses: 1, BoundOneWay: 2,
		Onto:     map[geo.Surface]unit.Area{"": 4, geo.Bed: 2},
		Sections: []pass.Section{{Kind: pass.Straight, Bearing: 90, Spacing: 3, Passes: 2, Area: 50}},
		Reach:    &pass.Reach{Most: 12, Out: []int{2}, OnWet: 1, Second: &second, Bends: []geom.Coord{{1, 2}}},
		Passes: []pass.Pass{
			{N: 1, Kind: pass.Straight, Line: []geom.Coord{{0, 0}, {10, 0}}, Length: 10, Area: 30, Sprayed: 31, Hose: 9},
			{N: 2, Kind: pass.Follow, Line: []geom.Coord{{10, 3}, {5, 3}, {0, 8}}, Length: 10, Area: 30, Sprayed: 31, Off: []pass.Stretch{{From: 1, To: 3}},
				WalkTo: 3, Way: []geom.Coord{{10, 0}, {10, 3}}, Hose: 12, Truck: 1},
		}}
	got := plan.PassesOf(site, laid)
	one, two := got.List[0], got.List[1]
	if one.Bearing != 90 || math.Abs(two.Bearing-315) > 1e-9 { // east; north-west
		t.Errorf("bearings %v and %v, want 90 and 315", one.Bearing, two.Bearing)
	}
	asJSON := func(v any) string {
		b, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		return string(b)
	}
	two.Bearing = 315
	equal(t,
		asJSON(one), `{"n":1,"kind":"straight","section":0,"length_m":10,"area_m2":30,"sprayed_m2":31,"bearing_deg":90,"walk_to_m":0,"hose_m":9,"truck":0,"so_far_l":0,"line":[[0,0],[10,0]]}`,
		asJSON(two), `{"n":2,"kind":"follow","section":0,"length_m":10,"area_m2":30,"sprayed_m2":31,"bearing_deg":315,"off_m":[[1,3]],"walk_to_m":3,"way":[[10,0],[10,3]],`+
			`"hose_m":12,"truck":1,"so_far_l":0,"line":[[10,3],[5,3],[0,8]]}`,
		asJSON(got.Sections), `[{"kind":"straight","bearing_deg":90,"spacing_m":3,"passes":2,"area_m2":50}]`,
		asJSON(got.Onto), `{"bed":2,"elsewhere":4}`)
	if got.EdgeLaps != 1 || got.BoundOneWay != 2 {
		t.Errorf("%d laps, %d passes at least in one direction; want 1 and 2", got.EdgeLaps, got.BoundOneWay)
	}
	r := got.Reach
	if r == nil || r.Hose != 10 || r.Most != 12 || fmt.Sprint(r.Out) != "[2]" || r.OnWet != 1 || len(r.Bends) != 1 {
		t.Fatalf("reach: %+v", r)
	}
	if at := site.Frame.Forward(orb.Point{r.Second.Lon, r.Second.Lat}); math.Hypot(at[0]-30, at[1]-40) > 1e-3 {
		t.Errorf("second place %v, want 30, 40", at)
	}
}

// Beside a house that nearly fills the turf a ride-on's pass goes on from one part that the laps leave to the next, which it touches at a corner: the bound counts the two once.
// No plan can have more passes said to be needed than it has.
func TestBoundOfPassesAcrossParts(t *testing.T) {
	laps := 2
	for _, width := range []float64{3.5, 3.8125, 4.2} {
		site := measured(rectangle("P", 0, 0.111083984375, width, 8, true))
		for _, stands := range []bool{false, true} {
			if stands {
				site.Property.Trucks = []orb.Point{site.Property.Outlines[0].Polygon[0][0][0]}
			}
			laid, err := plan.LayPasses(site, &plan.Applicator{Name: "Ride-on", Kind: plan.RideOn, Swath: 1.5, TurnTime: 3, Laps: &laps}, plan.Laying{})
			if err != nil {
				t.Fatal(err)
			}
			if len(laid.Passes) < laid.BoundPasses {
				t.Errorf("%g m wide: %d passes, and fewer than %d are said not to do", width, len(laid.Passes), laid.BoundPasses)
			}
		}
	}
}
