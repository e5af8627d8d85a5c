package plan

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// fix states the orders that are fixed by hand: a truck that has one does its stops at their ranks, and no other. What is to be first or last all the same, such
// as a stop that is begun already, is so.
func (r *router) fix() {
	r.free = slices.Clone(r.day.Stops)
	orders := r.maker.day.Orders
	fixed := r.trucksNamed(truckNames(orders))
	for k := range r.work {
		st := &r.day.Stops[k]
		id, own := r.plan.Stops[k].Property, fixed
		for _, o := range orders {
			if at := slices.Index(o.Stops, id); at >= 0 {
				if st.Rank == 0 {
					st.Rank = at + 1
				}
				own = slices.DeleteFunc(r.allTrucks(), func(i int) bool { return r.maker.day.Trucks[i].Name == o.Truck }) // all but its own are closed to it
			}
		}
		if st.Rank == 1 && r.work[k].stop.Last {
			st.Rank = len(r.work) + 1
		}
		st.Shifts = slices.DeleteFunc(r.allTrucks(), func(i int) bool { return !route.Allows(st.Shifts, i) || slices.Contains(own, i) })
	}
}

func (r *router) allTrucks() []int {
	out := make([]int, len(r.maker.day.Trucks))
	for i := range out {
		out[i] = i
	}
	return out
}

func truckNames(orders []Order) []string {
	out := make([]string, len(orders))
	for i, o := range orders {
		out[i] = o.Truck
	}
	return out
}

// release takes the orders back: what no plan can go below holds for every order.
func (r *router) release() {
	if r.free != nil {
		r.day.Stops = r.free
	}
}

// byHand says what the orders cost beside the plan that was found without them.
func (r *router) byHand(found *route.Plan) {
	is := r.answer.Plan
	h := &ByHand{Trucks: truckNames(r.maker.day.Orders), Found: found.Minutes(), FoundLeftOut: len(found.Left)}
	takes := "as long as"
	printed := func(t unit.Time) unit.Time { return unit.Time(unit.Round(t.In(unit.Minute), 1)) * unit.Minute }
	switch more := printed(is.Minutes()) - printed(found.Minutes()); { // the figures that stand on the page
	case more == 0:
	case more > 0:
		takes = unit.Minutes(more) + " more than"
	default:
		takes = unit.Minutes(-more) + " less than"
	}
	h.Price = fmt.Sprintf("The order of %s is fixed by hand. The day takes %s with the order found without it (%s)", strings.Join(h.Trucks, ", "), takes, unit.Minutes(found.Minutes()))
	switch n := len(is.Left) - len(found.Left); {
	case n > 0:
		h.Price += fmt.Sprintf(", and leaves out %s more", stopCount(n))
	case n < 0:
		h.Price += fmt.Sprintf(", and leaves out %s less", stopCount(-n))
	}
	if over := is.Over - found.Over; over >= unit.Minute {
		h.Price += ", with " + unit.Minutes(over) + " more overtime"
	}
	h.Price += "."
	r.plan.ByHand = h
}

func stopCount(n int) string {
	if n == 1 {
		return "1 stop"
	}
	return fmt.Sprintf("%d stops", n)
}
