package plan_test

import (
	"flag"
	"fmt"
	"math"
	"strconv"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/plan"
)

// yard is on open ocean; metres from it become degrees near enough for a test's outlines.
var yard = orb.Point{-41.2, 38.5}

func metresAway(east, north float64) orb.Point {
	return orb.Point{yard[0] + east/(111_320*math.Cos(yard[1]*math.Pi/180)), yard[1] + north/111_000}
}

// rectangle is a property whose turf is w x h metres, its south-west corner east and north of the
// yard, with a house of a quarter of each side in the middle if it is asked for.
func rectangle(id string, east, north, w, h float64, house bool) *geo.Property {
	box := func(x, y, w, h float64) orb.MultiPolygon {
		a, b := metresAway(x, y), metresAway(x+w, y+h)
		return orb.MultiPolygon{{{a, {b[0], a[1]}, b, {a[0], b[1]}, a}}}
	}
	p := &geo.Property{ID: id, Name: "Lawn " + id, Where: "test: property " + id,
		Outlines: []geo.Outline{{Surface: geo.Turf, Polygon: box(east, north, w, h), Where: "test: turf of " + id}}}
	if house {
		p.Outlines = append(p.Outlines, geo.Outline{Surface: geo.Building, Polygon: box(east+w*3/8, north+h*3/8, w/4, h/4), Where: "test: house of " + id})
	}
	return p
}

func measured(p *geo.Property) *geo.Site { return geo.Measure(p, geo.MeasureOptions{}) }

// catch is a test whose carrier rate is carrier, walked at pace over 40 m.
func catch(swath unit.Length, carrier unit.VolumePerArea, pace unit.Speed) calibrate.Catch {
	course := 40 * unit.Metre
	run := course.Over(pace)
	return calibrate.Catch{Course: course, Spacing: swath, Runs: []unit.Time{run, run * 0.98, run * 1.02}, Caught: carrier.Over(course.By(swath))}
}

func liquid(name string, most unit.VolumePerArea) label.Product {
	return label.Product{Name: name, Form: label.Liquid, Class: label.Emulsifiable,
		Label: label.Label{Most: label.Rate{Liquid: most}, Citation: "made up"}}
}

func dry(name string, most unit.MassPerArea) label.Product {
	return label.Product{Name: name, Form: label.Dry, Class: label.Wettable, InTank: 2 * unit.KilogramPerLitre, Label: label.Label{Most: label.Rate{Dry: most}, Citation: "made up"}}
}

// draw is a generator's value.
func draw[T any](t *rapid.T, name string, values ...T) T {
	return rapid.SampledFrom(values).Draw(t, name)
}

func number(t *rapid.T, name string, from, to float64) float64 {
	return rapid.Float64Range(from, to).Draw(t, name)
}

// randomDay is a day that often has a plan and sometimes cannot have one.
func randomDay(t *rapid.T) *plan.Day {
	d := &plan.Day{Date: "2026-05-04", Outfit: "Outfit", Units: draw(t, "units", unit.US, unit.Metric), Start: 7 * unit.Hour, End: draw(t, "end", 0, 17*unit.Hour),
		Yard: plan.Place{Name: "Yard", At: yard}, Where: "day",
		Travel: plan.Travel{Circuity: number(t, "circuity", 1, 2), Speed: unit.Speed(number(t, "speed", 3, 20)), Access: draw(t, "access", 0, unit.Minute)}}
	for i := range rapid.IntRange(1, 2).Draw(t, "fill points") {
		d.FillPoints = append(d.FillPoints, plan.FillPoint{Place: plan.Place{Name: fmt.Sprintf("Hydrant %d", i), At: metresAway(float64(2000*i), 0)},
			Flow: unit.Flow(number(t, "flow", 10, 200)) * unit.LitrePerMinute, HookUp: draw(t, "hook up", 0, 5*unit.Minute)})
	}
	d.Products = []label.Product{liquid("Feed", 60*unit.LitrePerHectare), dry("Iron", 40*unit.KilogramPerHectare)}
	d.Products[0].Density = draw(t, "density", 0, 1.25*unit.KilogramPerLitre)
	d.Products[0].Analysis = draw(t, "analysis", label.Analysis{}, label.Analysis{N: 0.2, SlowN: 0.05}, label.Analysis{None: true})
	if draw(t, "limited", false, false, true) {
		d.Limits = []label.Limit{{Of: "Feed", Per: label.PerYear, Most: label.Rate{Liquid: 70 * unit.LitrePerHectare}, Citation: "made up", Dated: "2026-02-01", Where: "limit"}}
		d.Recorded = true
		d.Past = []season.Applied{{Date: "2026-03-02", Property: "P-0", Product: d.Products[0], Rate: label.Rate{Liquid: 20 * unit.LitrePerHectare}, Where: "record"}}
	}
	d.Operators = []plan.Operator{{Name: "Kim"}}
	for i := range rapid.IntRange(1, 2).Draw(t, "mixes") {
		kind := draw(t, "kind", plan.Gun, plan.Backpack, plan.Boom, plan.RideOn)
		a := plan.Applicator{Name: fmt.Sprintf("Applicator %d", i), Kind: kind, Swath: unit.Length(number(t, "swath", 1.5, 4)), TurnTime: 4}
		d.Applicators = append(d.Applicators, a)
		d.Operators[0].Tests = append(d.Operators[0].Tests, plan.Test{Applicator: a.Name,
			Catch: catch(a.Swath, unit.VolumePerArea(number(t, "carrier", 200, 1600))*unit.LitrePerHectare, unit.Speed(number(t, "pace", 0.5, 2)))})
		m := plan.Mix{Name: fmt.Sprintf("Mix %d", i), Operator: "Kim", Applicator: a.Name}
		if n := rapid.IntRange(0, 3).Draw(t, "products"); n&1 != 0 {
			m.Products = append(m.Products, plan.MixProduct{Product: "Feed", Rate: label.Rate{Liquid: unit.VolumePerArea(number(t, "rate", 5, 60)) * unit.LitrePerHectare}})
			if n&2 != 0 {
				m.Products = append(m.Products, plan.MixProduct{Product: "Iron", Rate: label.Rate{Dry: unit.MassPerArea(number(t, "dry rate", 5, 40)) * unit.KilogramPerHectare}})
			}
		}
		d.Mixes = append(d.Mixes, m)
	}
	for i := range rapid.IntRange(1, 2).Draw(t, "trucks") {
		truck := plan.Truck{Name: fmt.Sprintf("Truck %d", i), Where: "truck"}
		for k := range rapid.IntRange(1, 3).Draw(t, "tanks") {
			capacity := number(t, "capacity", 30, 500)
			mix := draw(t, "tank's mix", "", "", "Mix 0")
			truck.Tanks = append(truck.Tanks, plan.Tank{Name: fmt.Sprintf("tank %d", k), Capacity: unit.Volume(capacity) * unit.Litre,
				Heel: unit.Volume(number(t, "heel", 0, 20)) * unit.Litre, Mix: mix})
		}
		d.Trucks = append(d.Trucks, truck)
	}
	for i := range rapid.IntRange(1, 8).Draw(t, "stops") {
		d.Stops = append(d.Stops, randomStop(t, d, i))
	}
	return d
}

func randomStop(t *rapid.T, d *plan.Day, i int) plan.Stop {
	id := fmt.Sprintf("P-%d", i)
	p := rectangle(id, number(t, "east", -3000, 3000), number(t, "north", -3000, 3000), number(t, "width", 3, 60), number(t, "height", 3, 40), rapid.Bool().Draw(t, "house"))
	if rapid.Bool().Draw(t, "truck stands") {
		at := p.Outlines[0].Polygon[0][0][0]
		p.Trucks = append(p.Trucks, at)
	}
	s := plan.Stop{Site: measured(p), Mix: draw(t, "mix", d.Mixes...).Name, Truck: draw(t, "truck", d.Trucks...).Name,
		SetUp: draw(t, "set-up", 0, 3*unit.Minute), Where: "stop " + id}
	switch rapid.IntRange(0, 9).Draw(t, "window") {
	case 0:
		s.From = 9 * unit.Hour
	case 1:
		s.Until = 8 * unit.Hour
	case 2:
		s.From, s.Until = 8*unit.Hour, 10*unit.Hour
	}
	return s
}

// Laws of every day: a plan that holds together, or at least one error that says what to do.
func TestRandomDays(t *testing.T) {
	planned, refused := 0, map[string]int{}
	checks(t, 40)
	rapid.Check(t, func(t *rapid.T) {
		d := randomDay(t)
		p := held(t, d, refused)
		if p == nil {
			return
		}
		planned++
		if draw(t, "again", false, false, true) { // plans it a second time, which costs as much again
			checkJSON(t, d, p)
		}
	})
	t.Logf("%d planned, refused for %v", planned, refused)
	if planned == 0 || len(refused) == 0 && geotest.Fewer(100) == 100 {
		t.Errorf("%d days planned, refused for %v: the days are too alike", planned, refused)
	}
}

// held plans a day and holds the plan to its laws. Without a plan it is nil, and refused counts the errors, of which there is one at least.
func held(t *rapid.T, d *plan.Day, refused map[string]int) *plan.Plan {
	p, found := plan.Make(d)
	checkProblems(t, found)
	if p != nil {
		checkPlan(t, d, p)
		return p
	}
	if !found.HasErrors() {
		t.Fatalf("no plan and no error: %v", found)
	}
	for _, q := range found {
		if q.Severity == problem.Error {
			refused[q.Code]++
		}
	}
	return nil
}

// checks has rapid try so many days, and fewer under the race detector, unless -rapid.checks asks for another number than the usual 100.
func checks(t *testing.T, n int) {
	t.Helper()
	f := flag.Lookup("rapid.checks")
	was := f.Value.String()
	if was != "100" {
		return
	}
	if err := f.Value.Set(strconv.Itoa(geotest.Fewer(n))); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = f.Value.Set(was) })
}

// checkProblems: each says where, what and one thing to do, and none twice.
func checkProblems(t tb, l problem.List) {
	t.Helper()
	seen := map[problem.Problem]bool{}
	for _, q := range l {
		if q.Code == "" || q.Severity == "" || q.What == "" || q.Fix == "" || q.Fix[len(q.Fix)-1] != '.' || seen[q] {
			t.Errorf("problem without a part, or twice: %+v", q)
		}
		seen[q] = true
	}
}
