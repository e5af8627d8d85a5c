package plan_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
	"tankful/plan"
)

// lawn is a rectangle of turf with its long side east, the yard at its south-west corner, where
// the truck stands.
func lawn(id string, long, wide unit.Length) *geo.Site {
	f := local.NewFrame(yard)
	at := func(x, y unit.Length) orb.Point { return f.Inverse(geom.Coord{float64(x), float64(y)}) }
	ring := orb.Ring{at(0, 0), at(long, 0), at(long, wide), at(0, wide), at(0, 0)}
	return measured(&geo.Property{ID: id, Name: "Lawn " + id, Trucks: []orb.Point{yard}, Where: "test: property " + id,
		Outlines: []geo.Outline{{Surface: geo.Turf, Polygon: orb.MultiPolygon{{ring}}, Where: "test: turf of " + id}}})
}

// handDay is a lawn of 100 ft x 60 ft at the yard, worked with passes 10 ft apart. The course
// of 100 ft x 10 ft is 1,000 sq ft and takes 30 s and 2 gal: 2.00 gal/1000 sq ft at 3 1/3 ft/s.
func handDay(tanks ...plan.Tank) *plan.Day {
	return &plan.Day{Date: "2026-05-04", Outfit: "Outfit", Units: unit.US, Start: 7 * unit.Hour, Where: "day",
		Yard:        plan.Place{Name: "Yard", At: yard},
		Travel:      plan.Travel{Circuity: 1.3, Speed: 25 * unit.MilePerHour, Access: unit.Minute},
		FillPoints:  []plan.FillPoint{{Place: plan.Place{Name: "Hydrant", At: yard}, Flow: 10 * unit.GallonPerMinute, HookUp: 2 * unit.Minute}},
		Products:    []label.Product{liquid("Feed", 8*unit.FluidOuncePerThousand), dry("Iron", unit.PoundPerThousand)},
		Applicators: []plan.Applicator{{Name: "Gun", Kind: plan.Gun, Swath: 10 * unit.Foot, TurnTime: 3}},
		Operators: []plan.Operator{{Name: "Kim", Tests: []plan.Test{{Applicator: "Gun", Catch: calibrate.Catch{Course: 100 * unit.Foot,
			Spacing: 10 * unit.Foot, Runs: []unit.Time{29, 30, 31}, Caught: 2 * unit.Gallon, CaughtIn: 30}}}}},
		Mixes: []plan.Mix{{Name: "Spring", Operator: "Kim", Applicator: "Gun", Where: "mix", Products: []plan.MixProduct{
			{Product: "Feed", Rate: label.Rate{Liquid: 4 * unit.FluidOuncePerThousand}},
			{Product: "Iron", Rate: label.Rate{Dry: unit.PoundPerThousand / 2}}}}},
		Trucks: []plan.Truck{{Name: "Truck", Tanks: tanks, Where: "truck"}},
		Stops:  []plan.Stop{{Site: lawn("A", 100*unit.Foot, 60*unit.Foot), Mix: "Spring", SetUp: 5 * unit.Minute, Where: "stop A"}},
	}
}

func tank(name string, capacity, heel unit.Volume) plan.Tank {
	return plan.Tank{Name: name, Capacity: capacity, Heel: heel, Where: name}
}

// made is the plan of a day that must have one.
func made(t *testing.T, d *plan.Day) *plan.Plan {
	t.Helper()
	p, found := plan.Make(d)
	if p == nil {
		t.Fatal(found.Err())
	}
	checkPlan(t, d, p)
	return p
}

// equal holds printed figures, in pairs of what is and what was worked out by hand.
func equal(t *testing.T, pairs ...string) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if pairs[i] != pairs[i+1] {
			t.Errorf("figure %d: got %q, want %q", i/2+1, pairs[i], pairs[i+1])
		}
	}
}

// seconds holds times, in pairs, to a second: the outline is a rectangle to a few millimetres only.
func seconds(t *testing.T, pairs ...unit.Time) {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		if math.Abs(float64(pairs[i]-pairs[i+1])) > 1 {
			t.Errorf("time %d: got %v s, want %v s", i/2+1, float64(pairs[i]), float64(pairs[i+1]))
		}
	}
}

// One tank of 7.5 gal with a heel of 1.5 gal puts out 6 gal. By hand:
//
//	turf      100 ft x 60 ft = 6,000 sq ft; at 2.00 gal/1000 sq ft: 12.0 gal
//	passes    60 ft / 10 ft = 6 of 100 ft, 1,000 sq ft and 2.0 gal each
//	loads     12 / 6 = 2, the first ends after pass 3: no other cut makes two loads
//	load 1    6.0 on turf + 1.5 heel = 7.5 gal in; 7.5 / 2 x 4 = 15.0 fl oz; 7.5 / 2 x 0.5 = 1.875, so 1.88 lb
//	load 2    6.0 gal in; 12.0 fl oz; 1.50 lb; the gauge reads 7.5 again, and 1.5 after the stop
//	products  15 + 12 = 27.0 fl oz, 1.88 + 1.50 = 3.38 lb; on the stop 6 x 4 = 24.0 fl oz, 6 x 0.5 = 3.00 lb
//	walk      600 ft + 5 side steps of 10 ft = 650 ft at 3 1/3 ft/s = 195 s; 5 turns of 3 s; set-up 300 s: 510 s
//	way back  pass 3 ends 100 ft and 25 ft from the truck, which is 103.1 ft: there and back at that pace 62 s
//	day       fill 120 + 45 s, work 300 + 105 + 62, fill 120 + 36, work 300 + 105 = 1,193 s
//	bound     work 510, two hook-ups 240, 13.5 gal at 10 gal/min 81, and the set-up of 300 again, for 12 gal are two visits of 6: 1,131 s
func TestTwoLoadsByHand(t *testing.T) {
	p := made(t, handDay(tank("tank", 7.5*unit.Gallon, 1.5*unit.Gallon)))
	u, s := p.Units, p.Stops[0]
	if len(p.Loads) != 2 || s.Passes.Count != 6 {
		t.Fatalf("%d loads and %d passes, want 2 and 6", len(p.Loads), s.Passes.Count)
	}
	one, two := p.Loads[0], p.Loads[1]
	equal(t, u.Area(s.Area), "6,000 sq ft", u.CarrierRate(p.Mixes[0].Carrier), "2.00 gal/1000 sq ft", u.Volume(s.Volume), "12.0 gal",
		u.Volume(s.Passes.List[2].SoFar), "6.0 gal", u.Volume(s.Passes.List[4].SoFar), "10.0 gal",
		u.Volume(one.Fill), "7.5 gal", u.Volume(one.Gauge), "7.5 gal", u.Volume(one.Stops[0].Gauge), "1.5 gal",
		u.Volume(two.Fill), "6.0 gal", u.Volume(two.Gauge), "7.5 gal", u.Volume(two.Stops[0].Gauge), "1.5 gal",
		u.Area(one.Covers), "3,000 sq ft", u.Volume(p.Heel), "1.5 gal", u.Volume(p.Volume), "12.0 gal")
	names := p.Mixes[0].Products
	equal(t, names[0].Name, "Iron", names[1].Name, "Feed", // a wettable goes in before an emulsifiable
		one.Products[0].Amount.Text(u), "1.88 lb", one.Products[1].Amount.Text(u), "15.0 fl oz",
		two.Products[0].Amount.Text(u), "1.50 lb", two.Products[1].Amount.Text(u), "12.0 fl oz",
		names[0].Total.Text(u), "3.38 lb", names[1].Total.Text(u), "27.0 fl oz",
		s.Products[0].Amount.Text(u), "3.00 lb", s.Products[1].Amount.Text(u), "24.0 fl oz")
	a, b := one.Stops[0], two.Stops[0]
	if a.FromPass != 1 || a.ToPass != 3 || a.Whole || a.DryAt != 0 || b.FromPass != 4 || b.ToPass != 6 || !b.Whole {
		t.Errorf("load 1 covers %+v, load 2 %+v; want passes 1 to 3 and 4 to 6", a, b)
	}
	day := p.Trucks[0]
	seconds(t, s.Service, 510, day.Fill, 321, day.Work, 872, day.Drive, 0, day.Finish, 7*unit.Hour+1193,
		s.Begin, 7*unit.Hour+165, s.Done, 7*unit.Hour+1193, unit.Time(p.Minutes)*unit.Minute, 1193, unit.Time(p.BoundMinutes)*unit.Minute, 1131)
	if day.Refills != 1 {
		t.Errorf("%d refills, want 1", day.Refills)
	}
}

// Two tanks with the same mix, 5 gal and 7 gal above their heels, are filled at one visit. By hand:
//
//	front     5 gal: passes 1 and 2 take 4, and 1 of the 2 gal of pass 3: dry 50 ft into it
//	rear      7 gal: the rest of pass 3, passes 4 to 6
//	fill      12 + 1.5 + 0.5 heel = 14 gal at 10 gal/min = 84 s, hook-up 120 s: 204 s; day 204 + 510 = 714 s
//	bound     510 + 120 + (12 + 0.5 least heel) gal 75 = 705 s
func TestCutWithinAPassByHand(t *testing.T) {
	p := made(t, handDay(tank("front", 6.5*unit.Gallon, 1.5*unit.Gallon), tank("rear", 7.5*unit.Gallon, 0.5*unit.Gallon)))
	if len(p.Loads) != 2 || len(p.Loads[0].Stops) != 1 || len(p.Loads[1].Stops) != 1 {
		t.Fatalf("loads %+v, want two of one part", p.Loads)
	}
	a, b := p.Loads[0].Stops[0], p.Loads[1].Stops[0]
	u := p.Units
	equal(t, p.Loads[0].Tank, "front", u.Volume(a.Volume), "5.0 gal", u.Volume(a.Gauge), "1.5 gal", u.Length(a.DryAt), "50 ft",
		u.Volume(b.Volume), "7.0 gal", u.Volume(b.Gauge), "0.5 gal", u.Volume(p.Heel), "2.0 gal")
	if a.FromPass != 1 || a.ToPass != 3 || a.Whole || b.FromPass != 3 || b.ToPass != 6 || !b.Whole {
		t.Errorf("front covers %+v, rear %+v; want passes 1 to 3 and 3 to 6", a, b)
	}
	seconds(t, p.Trucks[0].Fill, 204, p.Trucks[0].Finish, 7*unit.Hour+714, unit.Time(p.BoundMinutes)*unit.Minute, 705)
}

// A lawn 55 ft wide takes six passes of 10 ft. By hand: a gun, closed at the edge, puts 2 gal on
// each 1,000 of 5,500 sq ft = 11.0 gal; a boom sprays 6 x 100 ft x 10 ft = 6,000 sq ft = 12.0 gal,
// as does a ride-on, 500 sq ft of it beside the turf or on it a second time (measured to 0.1 %).
func TestFixedWidthByHand(t *testing.T) {
	for kind, want := range map[plan.ApplicatorKind]string{plan.Gun: "11.0 gal", plan.Backpack: "11.0 gal", plan.Boom: "12.0 gal", plan.RideOn: "12.0 gal"} {
		d := handDay(tank("tank", 20*unit.Gallon, unit.Gallon))
		d.Applicators[0].Kind, d.Applicators[0].Laps, d.Applicators[0].Objective = kind, new(int), plan.FewestPasses
		d.Stops[0].Site = lawn("A", 100*unit.Foot, 55*unit.Foot)
		p := made(t, d)
		equal(t, p.Units.Volume(p.Stops[0].Volume), want)
		ps := p.Stops[0].Passes
		if over := (ps.Overspray + ps.Double).In(unit.SquareFoot); kind.Trims() != (ps.Overspray == 0) || !kind.Trims() && math.Abs(over-500) > 10 {
			t.Errorf("%s: overspray %.1f sq ft, with what is sprayed twice %.1f", kind, ps.Overspray.In(unit.SquareFoot), over)
		}
	}
}

// Two trucks with one such lawn each: the day is both, and so is the bound. By hand (one load
// each from 20 gal less 1): fill 120 + 13 gal 78 = 198 s, work 510; the bound the same 708 s, twice, less the 6 s of a gallon:
// of the heels it knows that of one truck only.
func TestTwoTrucksByHand(t *testing.T) {
	d := handDay(tank("tank", 20*unit.Gallon, unit.Gallon))
	second := d.Trucks[0]
	second.Name = "Second"
	d.Trucks = append(d.Trucks, second)
	d.Stops = append(d.Stops, d.Stops[0])
	d.Stops[0].Truck, d.Stops[1].Truck, d.Stops[1].Site = "Second", "Truck", lawn("B", 100*unit.Foot, 60*unit.Foot)
	p := made(t, d)
	seconds(t, unit.Time(p.Minutes)*unit.Minute, 2*708, unit.Time(p.BoundMinutes)*unit.Minute, 2*708-6)
	if len(p.Trucks) != 2 || p.Stops[0].Truck != "Truck" || p.Stops[1].Truck != "Second" || p.Stops[1].N != 1 || p.Loads[1].Truck != "Second" {
		t.Errorf("want the stop of Truck first, each as its truck's first: %s %d, %s %d", p.Stops[0].Truck, p.Stops[0].N, p.Stops[1].Truck, p.Stops[1].N)
	}
}
