// Package sheettest makes small plans for tests of the sheets, worked by hand: no solver, no
// measuring. Every figure can be followed with a pocket calculator.
package sheettest

import (
	"fmt"

	"github.com/twpayne/go-geom"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

const (
	swath   = 10.0 // ft
	carrier = 2.05 * unit.GallonPerThousand
)

// Rect is a rectangle in feet: left, bottom, right, top.
type Rect [4]float64

// Plan is one truck, one tank of 200 gal with a heel of 2 gal, one mix and three stops that
// take 82.0, 123.0 and 41.0 gal: 246.0 in all. Load 1 puts out 186.0 gal and runs dry within
// pass 17 of stop 2; load 2 puts out the other 60.0.
//
//	40,000 sq ft x 2.05 gal/1000 = 82.0 gal, and so on
//	load 1: 82.0 + 104.0 = 186.0, fill 188.0 with the heel
//	188.0 / 2.05 x 6.00 = 550.2 fl oz; 188.0 / 2.05 x 0.75 = 68.78 lb
//	stop 2, pass 17: 16 passes are 98.4 gal; 104.0 - 98.4 = 5.6 of 6.15 gal, 273 of 300 ft
//	load 2: 60.0 / 2.05 x 6.00 = 175.6 fl oz; 60.0 / 2.05 x 0.75 = 21.95 lb
func Plan() *plan.Plan {
	p := &plan.Plan{
		Date: "2027-04-12", Outfit: "Example Turf Crew", Invented: true, Units: unit.US, Fingerprint: "3f2a9c41",
		Minutes: 402, BoundMinutes: 371, Driving: "Driving is estimated from straight distances.", BoundLoads: 2,
		Bound:  "No plan for these stops can take less than 6 h 11 min of driving, filling and work (proved); this one takes 6 h 42 min: at most 8.4 % above the best possible. Fewer than 2 tankfuls are not possible.",
		Volume: 246 * unit.Gallon, Heel: 2 * unit.Gallon,
	}
	p.Mixes = []plan.MixPlan{spring()}
	p.Stops = []plan.StopPlan{
		Stop(1, "P-01", "Corner lot", Rect{0, 0, 200, 220}, map[geo.Surface]Rect{geo.Building: {60, 60, 120, 100}, geo.Bed: {140, 140, 180, 180}}),
		Stop(2, "P-02", "Field behind the school", Rect{0, 0, 300, 200}, nil),
		Stop(3, "P-03", "Two oaks", Rect{0, 0, 200, 100}, nil),
	}
	p.Stops[0].Notes = "Dog in the yard. Gate code at the office."
	p.Stops[1].From, p.Stops[1].Until = 9*unit.Hour, 12*unit.Hour
	amounts := func(oz unit.Volume, lb unit.Mass) []plan.LoadProduct {
		return []plan.LoadProduct{
			{Name: "Example granule 75 WG", Amount: label.Amount{Dry: lb * unit.Pound}},
			{Name: "Example weed control L", Amount: label.Amount{Liquid: oz * unit.FluidOunce}},
		}
	}
	p.Stops[0].Products, p.Stops[1].Products, p.Stops[2].Products = amounts(240, 30), amounts(360, 45), amounts(120, 15)
	p.Loads = []plan.Load{
		{
			N: 1, Truck: "T1", Tank: "Front", Mix: "Spring", FillPoint: "Yard hydrant",
			Volume: 186 * unit.Gallon, Fill: 188 * unit.Gallon, Gauge: 188 * unit.Gallon, Covers: 90_732 * unit.SquareFoot,
			Products: amounts(550.2, 68.78),
			Stops: []plan.LoadStop{
				{Stop: 1, Property: "P-01", Name: "Corner lot", Volume: 82 * unit.Gallon, FromPass: 1, ToPass: p.Stops[0].Passes.Count, Whole: true, Gauge: 106 * unit.Gallon},
				{Stop: 2, Property: "P-02", Name: "Field behind the school", Volume: 104 * unit.Gallon, FromPass: 1, ToPass: 17, Gauge: 2 * unit.Gallon, DryAt: 273 * unit.Foot},
			},
		},
		{
			N: 2, Truck: "T1", Tank: "Front", Mix: "Spring", FillPoint: "East standpipe",
			Volume: 60 * unit.Gallon, Fill: 60 * unit.Gallon, Gauge: 62 * unit.Gallon, Covers: 29_268 * unit.SquareFoot,
			Products: amounts(175.6, 21.95),
			Stops: []plan.LoadStop{
				{Stop: 2, Property: "P-02", Name: "Field behind the school", Volume: 19 * unit.Gallon, FromPass: 17, ToPass: 20, Whole: true, Gauge: 43 * unit.Gallon},
				{Stop: 3, Property: "P-03", Name: "Two oaks", Volume: 41 * unit.Gallon, FromPass: 1, ToPass: p.Stops[2].Passes.Count, Whole: true, Gauge: 2 * unit.Gallon},
			},
		},
	}
	for i := range p.Loads {
		fill(&p.Loads[i], p.Mixes[0], p.Units)
	}
	p.Trucks = []plan.TruckDay{truckDay()}
	times := [][3]unit.Time{{7.75, 7.75, 9.25}, {9.4, 9.4, 12}, {12.2, 12.2, 13}}
	for i := range p.Stops {
		s := &p.Stops[i]
		s.Arrive, s.Begin, s.Done = times[i][0]*unit.Hour, times[i][1]*unit.Hour, times[i][2]*unit.Hour
		s.Service = s.Done - s.Begin
	}
	return p
}

var yard = plan.Point{Lon: -83.13345, Lat: 40.53321}

func truckDay() plan.TruckDay {
	visits := map[string]int{"P-01": 1, "P-02": 2, "P-03": 3}
	at := map[string]plan.Point{"Yard": yard, "Yard hydrant": yard, "P-01": {Lon: -83.12345, Lat: 40.54321}, "P-02": {Lon: -83.11345, Lat: 40.55321},
		"P-03": {Lon: -83.15345, Lat: 40.56321}, "East standpipe": {Lon: -83.10345, Lat: 40.54821}}
	ev := func(k plan.EventKind, place string, drive unit.Time, miles unit.Length, begin, until unit.Time, loads ...int) plan.Event {
		return plan.Event{Lon: at[place].Lon, Lat: at[place].Lat, Kind: k, Place: place, Stop: visits[place], Drive: drive * unit.Minute, Dist: miles * unit.Mile, At: begin * unit.Hour, Until: until * unit.Hour, Loads: loads}
	}
	return plan.TruckDay{
		Truck: "T1", From: yard, Start: 7 * unit.Hour, Finish: 13.25 * unit.Hour, Drive: 60 * unit.Minute, Fill: 50 * unit.Minute, Work: 292 * unit.Minute,
		Driven: 21.4 * unit.Mile, Refills: 1,
		Tanks: []plan.TankDay{{Name: "Front", Capacity: 200 * unit.Gallon, Heel: 2 * unit.Gallon, Mix: "Spring"}},
		Carry: carry(),
		Events: []plan.Event{
			ev(plan.Fill, "Yard hydrant", 0, 0, 7, 7.5, 1),
			ev(plan.Work, "P-01", 15, 6.1, 7.75, 9.25, 1),
			ev(plan.Work, "P-02", 9, 2.9, 9.4, 11, 1),
			ev(plan.Fill, "East standpipe", 8, 2.2, 11.2, 11.5, 2),
			ev(plan.Work, "P-02", 8, 2.2, 11.65, 12, 2),
			ev(plan.Work, "P-03", 12, 4, 12.2, 13, 2),
			ev(plan.Return, "Yard", 15, 4, 13.25, 13.25),
		},
	}
}

func spring() plan.MixPlan {
	area := unit.Area(1000) * unit.SquareFoot
	return plan.MixPlan{
		Name: "Spring", Operator: "Sam Example", Licence: "EX-1234", Applicator: "Gun 1", Kind: plan.Gun, Swath: swath * unit.Foot,
		Test: calibrate.Result{
			Area: area, Mean: 41 * unit.Second, Spread: 0.02, Pace: (100 * unit.Foot).Per(41 * unit.Second),
			Flow: 3 * unit.GallonPerMinute, CarrierRate: carrier,
		},
		TestDate: "2027-04-05", Pressure: 40 * unit.PSI, Course: 100 * unit.Foot, Caught: 2.05 * unit.Gallon, Carrier: carrier,
		Volume: 246 * unit.Gallon,
		Products: []plan.ProductPlan{
			{
				Name: "Example granule 75 WG", Form: label.Dry, Class: label.Wettable, Rate: label.Rate{Dry: 0.75 * unit.PoundPerThousand},
				Most: label.Rate{Dry: 1 * unit.PoundPerThousand}, Citation: "invented label, 2027", Registration: "INV-75",
				Cautions: []string{"Wear chemical-resistant gloves"}, Total: label.Amount{Dry: 90.73 * unit.Pound},
			},
			{
				Name: "Example weed control L", Form: label.Liquid, Class: label.Soluble, Rate: label.Rate{Liquid: 6 * unit.FluidOuncePerThousand},
				Most: label.Rate{Liquid: 8 * unit.FluidOuncePerThousand}, Citation: "invented label, 2027", Registration: "INV-6",
				KeepOff: "People and pets stay off until the spray has dried", Total: label.Amount{Liquid: 725.8 * unit.FluidOunce},
			},
		},
	}
}

// Stop is a rectangular lawn with rectangular left-out ground, passes 10 ft apart running
// west to east and back; strip edges must not cut a left-out rectangle's height.
func Stop(n int, id, name string, lawn Rect, out map[geo.Surface]Rect) plan.StopPlan {
	s := plan.StopPlan{N: n, Truck: "T1", Property: id, Name: name, Mix: "Spring", Lon: -83.12345, Lat: 40.54321}
	m := plan.Measure{ID: id, Name: name, Turf: size(lawn), Net: size(lawn), Pieces: 1, PlusMinus: 300 * unit.SquareFoot,
		Accuracy: 0.5 * unit.Metre, AccuracyFrom: "given", Excluded: map[geo.Surface]unit.Area{}}
	rings := [][]geom.Coord{ring(lawn, false)}
	s.Map.LeftOut = map[geo.Surface]plan.Shape{}
	for _, sf := range geo.LeftOut {
		if r, ok := out[sf]; ok {
			m.Excluded[sf] = size(r)
			m.Net -= size(r)
			m.ExcludedSum += size(r)
			rings = append(rings, ring(r, true))
			s.Map.LeftOut[sf] = shape([][]geom.Coord{ring(r, false)})
		}
	}
	s.Map.Lon, s.Map.Lat = s.Lon, s.Lat
	s.Map.Turf = shape(rings)
	s.Map.Truck = metres(lawn[0]-12, lawn[1]-10)
	s.Measure, s.Area, s.Volume = m, m.Net, unit.US.RoundVolume(unit.VolumePerArea(carrier).Over(m.Net))
	s.Passes = passes(lawn, out)
	s.Passes.Net = m.Net
	return s
}

func passes(lawn Rect, out map[geo.Surface]Rect) plan.PassPlan {
	pp := plan.PassPlan{Swath: swath * unit.Foot, Bearing: 90, Coverage: 1}
	var area unit.Area
	for i := 0; lawn[1]+float64(i)*swath < lawn[3]; i++ {
		y := lawn[1] + (float64(i)+0.5)*swath
		spans := [][2]float64{{lawn[0], lawn[2]}}
		for _, sf := range geo.LeftOut {
			if r, ok := out[sf]; ok && y > r[1] && y < r[3] {
				k := len(spans) - 1
				spans = append(spans, [2]float64{r[2], spans[k][1]})
				spans[k][1] = r[0]
			}
		}
		for k := range spans {
			sp := spans[k]
			if i%2 == 1 {
				sp = spans[len(spans)-1-k]
				sp[0], sp[1] = sp[1], sp[0]
			}
			l := unit.Length(max(sp[0], sp[1])-min(sp[0], sp[1])) * unit.Foot
			pp.Count++
			pp.SprayedLength += l
			area += l.By(swath * unit.Foot)
			kind := "straight"
			if l < 45*unit.Foot {
				kind = "touch-up"
			}
			pp.List = append(pp.List, plan.PassLine{N: pp.Count, Kind: kind, Length: l, Area: l.By(swath * unit.Foot),
				SoFar: unit.US.RoundVolume(unit.VolumePerArea(carrier).Over(area)), Line: []geom.Coord{metres(sp[0], y), metres(sp[1], y)}})
		}
	}
	pp.Turns, pp.BoundPasses, pp.BoundLength = pp.Count-1, int((lawn[3]-lawn[1])/swath), area.Divide(swath*unit.Foot)
	return pp
}

// Many is the plan with stops repeated up to n, every stop of its own load.
func Many(n int) *plan.Plan {
	p := Plan()
	stops, loads := p.Stops, p.Loads
	p.Stops, p.Loads = nil, nil
	for i := range n {
		s := stops[i%len(stops)]
		s.N, s.Property = i+1, fmt.Sprintf("P-%02d", i+1)
		p.Stops = append(p.Stops, s)
		l := loads[0]
		l.N = i + 1
		l.Stops = []plan.LoadStop{{Stop: s.N, Property: s.Property, Name: s.Name, Volume: s.Volume, FromPass: 1, ToPass: s.Passes.Count, Whole: true, Gauge: 2 * unit.Gallon}}
		p.Loads = append(p.Loads, l)
	}
	return p
}

func size(r Rect) unit.Area {
	return (unit.Length(r[2]-r[0]) * unit.Foot).By(unit.Length(r[3]-r[1]) * unit.Foot)
}

func metres(x, y float64) geom.Coord {
	return geom.Coord{(unit.Length(x) * unit.Foot).In(unit.Metre), (unit.Length(y) * unit.Foot).In(unit.Metre)}
}

func ring(r Rect, hole bool) []geom.Coord {
	c := []geom.Coord{metres(r[0], r[1]), metres(r[2], r[1]), metres(r[2], r[3]), metres(r[0], r[3]), metres(r[0], r[1])}
	if hole {
		c[1], c[3] = c[3], c[1]
	}
	return c
}

func shape(rings [][]geom.Coord) plan.Shape {
	return plan.Shape{MultiPolygon: geom.NewMultiPolygon(geom.XY).MustSetCoords([][][]geom.Coord{rings})}
}
