package plan

import (
	"errors"
	"fmt"

	"github.com/paulmach/orb"

	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/plan/route"
)

// trucks plans each truck's day and puts the stops in visit order.
func (m *maker) trucks() {
	for i := range m.day.Trucks {
		t := &m.day.Trucks[i]
		var mine []int
		for k := range m.work {
			if m.truckOf(m.work[k].stop) == t {
				mine = append(mine, k)
			}
		}
		if len(mine) > 0 {
			m.truck(t, mine)
		}
	}
	if m.problems.HasErrors() {
		return
	}
	m.visitOrder()
}

// truckOf is the stop's truck; the only one when it names none.
func (m *maker) truckOf(st *Stop) *Truck {
	if st.Truck == "" && len(m.day.Trucks) == 1 {
		return &m.day.Trucks[0]
	}
	return byName(m.day.Trucks, st.Truck, func(t *Truck) string { return t.Name })
}

// truckDay is one truck's problem for the router, and the way back from its answer.
type truckDay struct {
	*maker
	truck  *Truck
	stops  []int // of maker.work, as day.Stops
	places []orb.Point
	day    route.Day
	sol    *route.Solution
	out    TruckDay
	// fillings are all of the day; fullest and recipes are by tank.
	fillings []mix.Filling
	fullest  map[int]unit.Volume
	recipes  map[int]mix.Recipe
}

func (m *maker) truck(t *Truck, stops []int) {
	td := truckDay{maker: m, truck: t, stops: stops, fullest: map[int]unit.Volume{}, recipes: map[int]mix.Recipe{}}
	td.setUp()
	sol, err := route.Solve(&td.day)
	if err != nil {
		m.refuse(t, err)
		return
	}
	td.sol = sol
	td.report()
	m.plan.BoundMinutes += route.Bound(&td.day).In(unit.Minute)
}

// refuse puts the router's error in the user's words.
func (m *maker) refuse(t *Truck, err error) {
	var mix *route.MixError
	switch {
	case errors.As(err, &mix):
		m.problems.Errorf("mix-without-tank", t.Where, "Give one of the truck's tanks to this mix.",
			"no tank of %s can carry mix %q", t.Name, m.plan.Mixes[mix.Mix].Name)
	case errors.Is(err, route.ErrMixes):
		m.problems.Errorf("more-mixes-than-tanks", t.Where, "Put the stops of one mix on another truck or another day: a tank carries one mix a day.",
			"the stops of %s take more mixes than its %d tanks can carry", t.Name, len(t.Tanks))
	case errors.Is(err, route.ErrChoices):
		m.problems.Errorf("tanks-without-mix", t.Where, "Give each tank of the truck its mix.",
			"%s has %d tanks, and there are too many ways of giving its mixes to those without one", t.Name, len(t.Tanks))
	case errors.Is(err, route.ErrLoads):
		m.problems.Errorf("too-many-loads", t.Where, "Check the units of the tanks, or use a truck with larger ones.",
			"the stops of %s would take hundreds of tankfuls of one mix", t.Name)
	default:
		m.problems.Errorf("no-plan", t.Where, "Check the stops and the tanks.", "%v", err)
	}
}

// setUp states the truck's day in places and ticks.
func (td *truckDay) setUp() {
	d, units := td.maker.day, td.maker.day.Units
	td.places = append(td.places, d.Yard.At)
	td.day = route.Day{Mixes: len(td.plan.Mixes), Start: d.Start}
	step := units.VolumeStep()
	for _, f := range d.FillPoints {
		td.day.Fills = append(td.day.Fills, route.Fill{Place: len(td.places), HookUp: f.HookUp, PerTick: f.Flow.To(step)})
		td.places = append(td.places, f.At)
	}
	for _, t := range td.truck.Tanks {
		usable, heel := mix.Tank{Capacity: t.Capacity, Heel: t.Heel}.Steps(units)
		tank := route.Tank{Heel: route.Ticks(heel), Usable: route.Ticks(usable), Mix: -1}
		if t.Mix != "" {
			tank.Mix = td.mixIndex(t.Mix)
		}
		td.day.Tanks = append(td.day.Tanks, tank)
	}
	for _, k := range td.stops {
		w, s := &td.work[k], &td.plan.Stops[k]
		st := route.Stop{Place: len(td.places), Mix: w.mix, Service: s.Service, SetUp: w.stop.SetUp, From: s.From, Until: s.Until}
		for _, n := range w.ticks {
			st.Passes = append(st.Passes, route.Ticks(n))
		}
		td.day.Stops = append(td.day.Stops, st)
		td.places = append(td.places, w.at)
	}
	for i := range td.places {
		row := make([]unit.Time, len(td.places))
		for j := range row {
			row[j] = d.Travel.time(td.distance(i, j))
		}
		td.day.Drive = append(td.day.Drive, row)
	}
}

// mixIndex is the mix in use by that name; a tank whose mix no stop takes today stands idle,
// which an index past the end says.
func (td *truckDay) mixIndex(name string) int {
	for i := range td.plan.Mixes {
		if td.plan.Mixes[i].Name == name {
			return i
		}
	}
	td.day.Mixes = len(td.plan.Mixes) + 1
	return len(td.plan.Mixes)
}

func (td *truckDay) distance(i, j int) unit.Length {
	if i == j {
		return 0
	}
	return td.maker.day.Travel.road(geodesic.Distance(td.places[i], td.places[j]))
}

// road is the estimated way by road for a straight distance.
func (t Travel) road(straight unit.Length) unit.Length { return unit.Length(t.Circuity) * straight }

// time is the estimated driving time for a way by road; places within a truck's length are one.
func (t Travel) time(road unit.Length) unit.Time {
	if road < 10*unit.Metre {
		return 0
	}
	return t.Access + road.Over(t.Speed)
}

// report turns the solution into the plan's words.
func (td *truckDay) report() {
	d, sol := td.maker.day, td.sol
	td.out = TruckDay{Truck: td.truck.Name, Start: d.Start, Finish: sol.Finish, Drive: sol.Drive, Fill: sol.Fill,
		Work: sol.Work, Wait: sol.Wait, Refills: len(sol.Legs) - 1, Tanks: []TankDay{}}
	used := make([]bool, len(td.truck.Tanks))
	at, first := 0, make([]bool, len(td.truck.Tanks))
	for _, leg := range sol.Legs {
		at = td.leg(&leg, at, first)
		for _, l := range leg.Loads {
			used[l.Tank] = true
		}
	}
	way := td.distance(at, 0)
	td.out.Driven += way
	td.out.Events = append(td.out.Events, Event{Kind: Return, Place: d.Yard.Name, Drive: td.day.Drive[at][0], Dist: way, At: sol.Finish, Until: sol.Finish, Loads: []int{}})
	for i, t := range td.truck.Tanks {
		tank := TankDay{Name: t.Name, Capacity: t.Capacity, Heel: fromTicks(int(td.day.Tanks[i].Heel), d.Units)}
		if used[i] {
			tank.Mix = td.plan.Mixes[sol.TankMix[i]].Name
		}
		td.out.Tanks = append(td.out.Tanks, tank)
	}
	td.carry()
	td.plan.Trucks = append(td.plan.Trucks, td.out)
	td.warnings()
}

// warnings says where the day does not fit its hours.
func (td *truckDay) warnings() {
	d := td.maker.day
	for _, i := range td.sol.Lates {
		s, w := &td.plan.Stops[td.stops[i]], td.work[td.stops[i]]
		td.problems.Errorf("window-missed", w.stop.Where, "Widen the window, begin the day earlier or move a stop to another day.",
			"work at %s can begin at %s at the earliest in the order found, and its window ends at %s", s.Name, Clock(s.Begin), Clock(s.Until))
	}
	if d.End > 0 && td.sol.Finish > d.End {
		td.problems.Warnf("day-too-long", td.truck.Where, "Move a stop to another day, or agree on the overtime.",
			"%s is back in the yard at %s by these estimates, after the end of the day at %s", td.truck.Name, Clock(td.sol.Finish), Clock(d.End))
	}
}

// Clock prints a time after midnight as "07:05"; what is no time of a day prints as "no time".
func Clock(t unit.Time) string {
	if !finite(t) {
		return "no time"
	}
	m := int(unit.Round(t.In(unit.Minute), 1))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// leg adds a fill visit's event and loads and the work that follows; it gives the place where the
// leg ends. wetted tells the tanks that have had their first fill.
func (td *truckDay) leg(leg *route.Leg, at int, wetted []bool) int {
	fp := td.maker.day.FillPoints[leg.Fill]
	place := td.day.Fills[leg.Fill].Place
	way := td.distance(at, place)
	fill := Event{Kind: Fill, Place: fp.Name, Drive: leg.DriveTo, Dist: way, At: leg.Begin, Until: leg.End}
	td.out.Driven += way
	number := len(td.plan.Loads) // of the first of this leg
	for i := range leg.Loads {
		td.load(&leg.Loads[i], fp.Name, wetted)
		fill.Loads = append(fill.Loads, number+i+1)
	}
	td.out.Events = append(td.out.Events, fill)
	at = place
	for _, v := range leg.Visits {
		st := td.day.Stops[v.Stop]
		s := &td.plan.Stops[td.stops[v.Stop]]
		way := td.distance(at, st.Place)
		td.out.Driven += way
		at = st.Place
		e := Event{Kind: Work, Place: s.Property, Drive: v.DriveTo, Dist: way, At: v.Begin, Until: v.Done}
		for i := range leg.Loads {
			for _, p := range leg.Loads[i].Parts {
				if p.Stop == v.Stop {
					e.Loads = append(e.Loads, number+i+1)
				}
			}
		}
		if !v.Again {
			s.N, s.Truck, s.Arrive, s.Begin = td.visitNumber(v.Stop), td.truck.Name, v.Arrive, v.Begin
		}
		s.Done, e.Stop = v.Done, s.N
		td.out.Events = append(td.out.Events, e)
	}
	return at
}

func (td *truckDay) visitNumber(stop int) int {
	for i, k := range td.sol.Order {
		if k == stop {
			return i + 1
		}
	}
	return 0
}

// load adds one filling with its products and stops.
func (td *truckDay) load(r *route.Load, fillPoint string, wetted []bool) {
	units := td.maker.day.Units
	k := td.sol.TankMix[r.Tank]
	mp, c := &td.plan.Mixes[k], td.carried[k]
	heel := int(td.day.Tanks[r.Tank].Heel)
	fill := int(r.Volume)
	if !wetted[r.Tank] {
		wetted[r.Tank] = true
		fill += heel
	}
	l := Load{N: len(td.plan.Loads) + 1, Truck: td.truck.Name, Tank: td.truck.Tanks[r.Tank].Name, Mix: mp.Name, FillPoint: fillPoint,
		Volume: fromTicks(int(r.Volume), units), Fill: fromTicks(fill, units), Gauge: fromTicks(heel+int(r.Volume), units), Products: []LoadProduct{}}
	td.products(&l, c.recipe, r.Tank)
	left := heel + int(r.Volume)
	for _, p := range r.Parts {
		s, w := &td.plan.Stops[td.stops[p.Stop]], &td.work[td.stops[p.Stop]]
		left -= int(p.Volume)
		ls := LoadStop{Stop: td.visitNumber(p.Stop), Property: s.Property, Name: s.Name, Volume: fromTicks(int(p.Volume), units), FromPass: p.From + 1,
			ToPass: p.To + 1, Whole: p.Whole, Gauge: fromTicks(left, units)}
		if p.Within {
			ls.DryAt = w.dryAt(p.To, float64(p.IntoLast)/float64(w.ticks[p.To]))
		}
		if !p.Whole {
			ls.Dry = w.dry(p.To, ls.DryAt)
		}
		l.Stops = append(l.Stops, ls)
	}
	td.plan.Loads = append(td.plan.Loads, l)
}

// dryAt is how far into a pass the given share of its mix is gone.
func (w *work) dryAt(pass int, share float64) unit.Length {
	q := &w.passes.Passes[pass]
	return w.passes.SprayedAt(q.N, unit.Area(share*float64(q.Sprayed)))
}

// dry is the place that far into a pass, its end for 0.
func (w *work) dry(pass int, into unit.Length) *Point {
	q := &w.passes.Passes[pass]
	at := q.Line[len(q.Line)-1]
	if into > 0 {
		at = q.At(into)
	}
	p := w.stop.Site.Frame.Inverse(at)
	return &Point{Lon: p[0], Lat: p[1]}
}
