package plan

import (
	"fmt"
	"slices"

	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/solve"
)

// truckDay is one truck's part of the solver's answer on its way into the plan.
type truckDay struct {
	*router
	truck *Truck
	shift *route.Shift
	run   *route.Run
	out   TruckDay
	order []int // of maker.work, as first visited
	// tanks is what each tank has had in it, and begins above its heel with.
	tanks []inTank
	// fillings are all of the day; fullest and recipes are by tank.
	fillings    []mix.Filling
	fullest     map[int]unit.Volume
	visitedFill bool
	recipes     map[int]mix.Recipe
	// aboard is what is aboard leg by leg, spread what is done out of bags so far.
	aboard []aboard
	spread []spreadAt
}

// inTank is what a tank has in it above its heel.
type inTank struct {
	left route.Ticks
	used bool // today
	wet  bool // it has its heel in it
}

// report turns the answer into the plan's words.
func (r *router) report() {
	for i := range r.answer.Plan.Runs {
		run := &r.answer.Plan.Runs[i]
		if len(run.Legs) > 0 {
			td := truckDay{router: r, truck: &r.maker.day.Trucks[i], shift: &r.day.Shifts[i], run: run, fullest: map[int]unit.Volume{}, recipes: map[int]mix.Recipe{}}
			td.report(r.starts[i])
		}
	}
	r.plan.Leftover = fromTicks(int(r.answer.Plan.Leftover), r.maker.day.Units)
	r.leaveOut()
}

// leaveOut takes the stops that found no place out of the plan's list, and says why.
func (r *router) leaveOut() {
	out := make([]bool, len(r.work))
	for _, l := range r.answer.Left {
		out[l.Stop] = true
		s, w := &r.plan.Stops[l.Stop], &r.work[l.Stop]
		why, fix := r.whyOut(l, s)
		if l.Reason == solve.NoRinse && len(r.maker.day.Rinses) == 0 {
			r.problems.Errorf("more-mixes-than-tanks", w.stop.Where, "Enter what rinsing between the mixes takes, or put the stops of one mix on another truck or day.",
				"mix %s of %s finds no tank: without a rinse a tank carries one mix a day", s.Mix, s.Name)
			continue
		}
		r.problems.Warnf("stop-left-out", w.stop.Where, fix, "%s is left out: %s", s.Name, why)
		r.plan.LeftOut = append(r.plan.LeftOut, LeftOut{Stop: *s, Reason: string(l.Reason), Why: why, Fix: fix})
	}
	kept := r.plan.Stops[:0]
	for k := range r.plan.Stops {
		if !out[k] {
			kept = append(kept, r.plan.Stops[k])
		}
	}
	r.plan.Stops = kept
	if len(kept) == 0 {
		r.problems.Errorf("nothing-fits", r.maker.day.Where, "Mend what the stops that are left out say.", "no stop of the day can be done")
	}
}

// whyOut says why a stop is left out and what to do.
func (r *router) whyOut(l solve.LeftOut, s *StopPlan) (why, fix string) {
	by := unit.Minutes(l.By)
	switch l.Reason {
	case solve.NoTank:
		return "no tank of a truck that may do it carries mix " + s.Mix, "Give a tank to the mix, or the stop to another truck."
	case solve.NoPoint:
		if r.maker.day.NoFilling {
			return "no tank holds enough of " + s.Mix + " for it", "Fill again, or move it to another day."
		}
		return "its truck has no fill point", "Enter a fill point for the truck."
	case solve.NoRinse:
		return "a tank would have to change its mix to " + s.Mix + ", which the rinses do not allow", "Put it on another truck or another day, or check the rinses."
	case solve.Window:
		return fmt.Sprintf("even alone it would be %s too late", by), "Widen its window, begin earlier, or move it to another day."
	case solve.FullDay:
		return fmt.Sprintf("with it the day would be %s too long, or a window be missed by as much", by), "Move it or another stop to another day, widen a window, or add a truck."
	}
	return "no truck may do it", "Give it another truck, or its operator to a crew."
}

// report enters one truck's day.
func (td *truckDay) report(start int) {
	run := td.run
	td.out = TruckDay{Truck: td.truck.Name, Start: td.shift.From, Finish: run.Finish, Drive: run.Drive, Fill: run.Fill, Rinse: run.Rinse,
		Work: run.Work, Wait: run.Wait, Over: run.Over, Tanks: []TankDay{}, From: td.point(start)}
	td.tanks = make([]inTank, len(td.truck.Tanks))
	for i := range td.shift.Tanks {
		if h := td.shift.Tanks[i].Held; h != nil {
			td.tanks[i].left, td.tanks[i].wet = h.Left, true
			td.recipes[i] = td.carried[h.Mix].recipe
		}
	}
	at := start
	for k := range run.Legs {
		at = td.leg(k, at)
	}
	td.pauseBefore(len(run.Legs), -1)
	home := Event{Kind: Return, Place: td.maker.day.Yard.Name, Drive: run.Home, At: run.Finish, Until: run.Finish, Loads: []int{}}
	td.drive(&home, at, td.shift.End)
	td.out.Events = append(td.out.Events, home)
	for i, t := range td.truck.Tanks {
		tank := TankDay{Name: t.Name, Capacity: t.Capacity, Heel: fromTicks(int(td.shift.Tanks[i].Heel), td.maker.day.Units)}
		if td.tanks[i].used {
			tank.Mix = td.lastMix(i)
		}
		td.out.Tanks = append(td.out.Tanks, tank)
	}
	td.carry()
	td.plan.Trucks = append(td.plan.Trucks, td.out)
	td.warnings()
}

// drive enters the drive from place to place that leads to an event.
func (td *truckDay) drive(e *Event, from, to int) {
	where := td.point(to)
	e.Lon, e.Lat, e.Dist = where.Lon, where.Lat, td.road(from, to)
	td.out.Driven += e.Dist
	if e.Drive > 0 {
		e.DriveBy, e.Way = td.cells[from][to].by, td.way(from, to)
	}
}

// lastMix is the name of the mix that a tank ends the day with.
func (td *truckDay) lastMix(tank int) string {
	for k := len(td.run.Legs) - 1; k >= 0; k-- {
		for _, l := range td.run.Legs[k].Loads {
			if l.Tank == tank {
				return td.plan.Mixes[l.Mix].Name
			}
		}
	}
	return ""
}

func (td *truckDay) point(place int) Point {
	p := td.places[place]
	return Point{Lon: p[0], Lat: p[1]}
}

// warnings says where the day does not fit its hours.
func (td *truckDay) warnings() {
	run := td.run
	for _, i := range run.Lates {
		s, w := &td.plan.Stops[i], &td.work[i]
		td.problems.Errorf("window-missed", w.stop.Where, "Widen the window, begin the day earlier or move a stop to another day.",
			"work at %s can begin at %s at the earliest in the order found, and its window ends at %s", s.Name, Clock(s.Begin), Clock(s.Until))
	}
	if td.shift.Until > 0 && run.Finish > td.shift.Until {
		td.problems.Warnf("day-too-long", td.truck.Where, "Move a stop to another day, or agree on the overtime.",
			"%s is back in the yard at %s by these estimates, after the end of the day at %s", td.truck.Name, Clock(run.Finish), Clock(td.shift.Until))
	}
	if run.LunchLate > 0 {
		td.problems.Warnf("lunch-late", td.truck.Where, "Agree on a later lunch, or move a stop.",
			"the lunch of %s begins at %s, after %s", td.truck.Name, Clock(run.Lunch.At), Clock(td.shift.Lunch.Until))
	}
}

// pauseBefore enters the lunch when it comes before this visit of a leg, -1 its fill visit.
func (td *truckDay) pauseBefore(leg, visit int) {
	if p := td.run.Lunch; p != nil && p.Leg == leg && p.Visit == visit {
		at := td.out.From
		if n := len(td.out.Events); n > 0 {
			at = Point{Lon: td.out.Events[n-1].Lon, Lat: td.out.Events[n-1].Lat}
		}
		td.out.Events = append(td.out.Events, Event{Kind: Lunch, Place: "Lunch", At: p.At, Until: p.Until, Loads: []int{}, Lon: at.Lon, Lat: at.Lat})
		td.out.Lunch = p.Until - p.At
	}
}

// leg adds a fill visit's event and loads and the work that follows; it gives the place where the leg ends.
func (td *truckDay) leg(k, at int) int {
	leg := &td.run.Legs[k]
	number := len(td.plan.Loads) // of the first of this leg
	td.pauseBefore(k, -1)
	if leg.Fill != route.NoFill {
		fp := td.maker.day.FillPoints[leg.Fill]
		place := td.day.Fills[leg.Fill].Place
		fill := Event{Kind: Fill, Place: fp.Name, Drive: leg.DriveTo, At: leg.Begin, Until: leg.End, Wait: leg.Begin - leg.Arrive, Loads: []int{}}
		td.drive(&fill, at, place)
		for _, x := range leg.Rinsed {
			fill.Rinses = append(fill.Rinses, Rinsed{Tank: td.truck.Tanks[x.Tank].Name, From: td.plan.Mixes[x.From].Name, To: td.plan.Mixes[x.To].Name, Time: x.Time,
				Lost: fromTicks(int(x.Lost), td.maker.day.Units)})
			td.tanks[x.Tank].left, td.tanks[x.Tank].wet = 0, false
		}
		for i := range leg.Loads {
			if leg.Loads[i].Put > 0 {
				fill.Loads = append(fill.Loads, number+i+1)
			}
		}
		if td.visitedFill {
			td.out.Refills++
		}
		td.visitedFill = true
		td.out.Events = append(td.out.Events, fill)
		at = place
	}
	for i := range leg.Loads {
		td.load(leg, &leg.Loads[i])
	}
	td.weighLeg(leg, number)
	for i := range leg.Visits {
		at = td.visit(k, i, at, number)
	}
	return at
}

// visit enters one visit and gives its place.
func (td *truckDay) visit(k, i, at, number int) int {
	leg := &td.run.Legs[k]
	v := &leg.Visits[i]
	st := &td.day.Stops[v.Stop]
	s := &td.plan.Stops[v.Stop]
	td.pauseBefore(k, i)
	e := Event{Kind: Work, Place: s.Property, Drive: v.DriveTo, At: v.Begin, Until: v.Done, Wait: v.Begin - v.Arrive, Loads: []int{}}
	td.drive(&e, at, st.Place)
	if p := td.run.Lunch; p != nil && p.At >= v.Arrive && p.At < v.Begin {
		e.Wait -= p.Until - p.At // taken in the wait
	}
	for j := range leg.Loads {
		for _, p := range leg.Loads[j].Parts {
			if p.Stop == v.Stop {
				e.Loads = append(e.Loads, number+j+1)
			}
		}
	}
	if !v.Again {
		s.N, s.Truck, s.Arrive, s.Begin = td.number(v.Stop), td.truck.Name, v.Arrive, v.Begin
	}
	s.Done, e.Stop = v.Done, s.N
	if td.plan.Mixes[td.work[v.Stop].mix].Granules != nil {
		e.Spread = append([]LoadProduct{}, s.Products...)
		td.spread = append(td.spread, spreadAt{work: v.Stop, leg: k})
	}
	td.out.Events = append(td.out.Events, e)
	return st.Place
}

// number is the visit number of a stop on its truck, from its first load on.
func (td *truckDay) number(stop int) int {
	k := slices.Index(td.order, stop)
	if k < 0 {
		td.order = append(td.order, stop)
		return len(td.order)
	}
	return k + 1
}
