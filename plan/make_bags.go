package plan

import (
	"slices"

	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/route"
	"tankful/plan/route/solve"
)

// Bags ride along from the yard on, and get lighter as they are spread. The solver knows of mix in tanks only, so that a day is planned first without them; where a
// truck would then be too heavy on some leg, what its bags weigh is taken off what its tanks may weigh, and the day is planned again.

// mostReserves is how many times a day is planned again for its bags; each time a truck may get other granules.
const mostReserves = 4

// spreadAt is a stop whose granules are spread on a leg.
type spreadAt struct {
	work int // of maker.work
	leg  int
}

// aboard is what a truck has aboard when a leg's work begins: readings by tank, 0 for empty.
type aboard struct {
	gauges []unit.Volume
}

// bag is a stop's granules as a filling that adds up with others.
func (m *maker) bag(work int) mix.Filling {
	g := mix.Filling{Recipe: m.carried[m.work[work].mix].recipe}
	for _, p := range m.plan.Stops[work].Products {
		g.Portions = append(g.Portions, mix.Portion{Name: p.Name, Amount: p.Amount})
	}
	return g
}

// runBags is what the bags of a run weigh: all of them, and what is left in them when each leg begins.
func (r *router) runBags(run *route.Run) (all unit.Mass, left []unit.Mass) {
	var bags []mix.Filling
	used := make([]unit.Mass, len(run.Legs))
	for k := range run.Legs {
		for _, v := range run.Legs[k].Visits {
			if r.day.Stops[v.Stop].Mix == route.NoMix {
				bags = append(bags, r.bag(v.Stop))
				for _, p := range r.plan.Stops[v.Stop].Products {
					used[k] += p.Amount.Dry
				}
			}
		}
	}
	for _, t := range mix.Totals(bags...) {
		all += t.Aboard.Dry
	}
	rest := all
	for k := range used {
		left = append(left, rest)
		rest -= used[k]
	}
	return all, left
}

// tooHeavy reports whether mix and bags weigh more than the payload on a leg.
func (r *router) tooHeavy(shift int, run *route.Run, payload unit.Mass, left []unit.Mass) bool {
	sh := &r.day.Shifts[shift]
	mass := make([]unit.Mass, len(sh.Tanks))
	for i := range sh.Tanks {
		if h := sh.Tanks[i].Held; h != nil {
			mass[i] = unit.Mass(h.Left+sh.Tanks[i].Heel) * r.day.Mixes[h.Mix].PerTick
		}
	}
	for k := range run.Legs {
		for _, l := range run.Legs[k].Loads {
			mass[l.Tank] = unit.Mass(l.Volume+l.Extra+sh.Tanks[l.Tank].Heel) * r.day.Mixes[l.Mix].PerTick
		}
		sum := left[k]
		for _, x := range mass {
			sum += x
		}
		if unit.Exceeds(sum, payload) {
			return true
		}
		for _, l := range run.Legs[k].Loads {
			mass[l.Tank] = unit.Mass(l.Extra+sh.Tanks[l.Tank].Heel) * r.day.Mixes[l.Mix].PerTick
		}
	}
	return false
}

// withBags is the answer, or another in which the bags are within every truck's payload; nil when there is a problem. The payloads of the day are as
// before in the end, so that the bounds hold for any plan.
func (r *router) withBags(answer *solve.Answer) *solve.Answer {
	full := make([]unit.Mass, len(r.day.Shifts))
	for i := range r.day.Shifts {
		full[i] = r.day.Shifts[i].Payload
	}
	defer func() {
		for i := range full {
			r.day.Shifts[i].Payload = full[i]
		}
	}()
	for range mostReserves {
		again := false
		for i := range answer.Plan.Runs {
			all, left := r.runBags(&answer.Plan.Runs[i])
			sh := &r.day.Shifts[i]
			switch {
			case full[i] == 0 || all == 0:
			case unit.Exceeds(all, full[i]):
				r.bagsTooHeavy(&r.maker.day.Trucks[i], all, full[i])
			case r.tooHeavy(i, &answer.Plan.Runs[i], full[i], left):
				if room := max(full[i]-all, leastRoom); room < sh.Payload {
					sh.Payload, again = room, true
				}
			}
		}
		if r.problems.HasErrors() {
			return nil
		}
		if !again {
			return answer
		}
		var err error
		if answer, err = solve.Day(&r.day, solve.Options{Seed: 1}); err != nil {
			r.refuse(err)
			return nil
		}
	}
	return answer // the truck's weight has the last word
}

// leastRoom is a payload that takes no mix; 0 would be no bound.
const leastRoom = unit.Gram

func (r *router) bagsTooHeavy(t *Truck, bags, payload unit.Mass) {
	units := r.maker.day.Units
	r.problems.Errorf("bags-over-payload", t.Where, "Put stops with granules on another truck or day, or leave bags where the truck comes by.",
		"the bags for the day of %s weigh %s, and its payload is %s", t.Name, units.TruckWeight(bags), units.TruckWeight(payload))
}

// granules are what the truck spreads, a filling a stop.
func (td *truckDay) granules() (out []mix.Filling) {
	for _, s := range td.spread {
		out = append(out, td.bag(s.work))
	}
	return out
}

// spreadStops are the visit numbers of the stops where a product is spread.
func (td *truckDay) spreadStops(product string) (out []int) {
	for _, s := range td.spread {
		if st := &td.plan.Stops[s.work]; has(st.Products, product) {
			out = append(out, st.N)
		}
	}
	return out
}

// weighLeg notes what the tanks read once a leg's loads, numbered after the given one, are filled.
func (td *truckDay) weighLeg(leg *route.Leg, after int) {
	gauges := make([]unit.Volume, len(td.truck.Tanks))
	for i := range gauges {
		if t := &td.tanks[i]; t.wet {
			gauges[i] = fromTicks(int(td.shift.Tanks[i].Heel+t.left), td.maker.day.Units)
		}
	}
	for i := range leg.Loads {
		l := &leg.Loads[i]
		gauges[l.Tank] = td.plan.Loads[after+i].Gauge
		td.recipes[l.Tank] = td.carried[l.Mix].recipe
	}
	td.aboard = append(td.aboard, aboard{gauges})
}

// heaviest weighs the truck leg by leg and gives the heaviest: tanks as they are then, granules as far as they are still in their bags, all other product.
func (td *truckDay) heaviest(totals []mix.Total) (best mix.Weight, found problem.List) {
	units := td.maker.day.Units
	truck := mix.Truck{Rated: td.truck.Rated, Empty: td.truck.Empty}
	for k, a := range td.aboard {
		var tanks []mix.Aboard
		for i, t := range td.truck.Tanks {
			if a.gauges[i] > 0 {
				tanks = append(tanks, mix.Aboard{Name: t.Name, Recipe: td.recipes[i], Capacity: t.Capacity, Fullest: a.gauges[i]})
			}
		}
		now := slices.Clone(totals)
		for i := range now {
			for _, s := range td.spread {
				if s.leg < k {
					now[i].Aboard.Dry -= amountOf(td.plan.Stops[s.work].Products, now[i].Product.Name)
				}
			}
		}
		w, told := truck.Weigh(tanks, now, units, td.truck.Where)
		if k == 0 || w.Total > best.Total {
			best, found = w, told
		}
	}
	return best, found
}

// amountOf is the weight of a dry product among others, 0 when it is not among them.
func amountOf(products []LoadProduct, name string) unit.Mass {
	if p := byName(products, name, func(p *LoadProduct) string { return p.Name }); p != nil {
		return p.Amount.Dry
	}
	return 0
}
