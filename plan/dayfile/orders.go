package dayfile

import (
	"slices"
	"strings"

	"tankful/plan"
)

// readOrders reads the orders that are fixed by hand. An order names all that its truck does, each property once.
func (r *reader) readOrders(c cursor, off []string) []plan.Order {
	of := map[string]string{} // trucks by property
	out := list(c, func(c cursor) plan.Order {
		o, _ := c.object("truck! stops!")
		x := plan.Order{Where: c.where()}
		x.Truck, _ = r.refer(kindTruck, o.at("truck"))
		if slices.Contains(off, x.Truck) {
			o.at("truck").fail("order-off", "Take it out of off, or its order away.", "%s does not work on the day", x.Truck)
		}
		x.Stops = list(o.at("stops"), func(c cursor) string {
			id := c.text()
			r.checkOrdered(c, id, x.Truck)
			if t, twice := of[id]; twice && id != "" {
				c.fail("order-twice", "Keep it once.", "%q stands in the order of %s already", clip(id), t)
			}
			of[id] = x.Truck
			return id
		})
		return x
	})
	seen := map[string]bool{}
	for i, x := range out {
		if seen[x.Truck] && x.Truck != "" {
			c.fail("order-of-truck-twice", "Join the two.", "orders[%d] is the second order of %s", i, x.Truck)
		}
		seen[x.Truck] = true
	}
	if len(out) > 0 {
		r.checkMissed(c, of, func(truck string) bool { return seen[truck] || slices.Contains(off, truck) })
	}
	return out
}

// checkOrdered holds a property of an order against the stops.
func (r *reader) checkOrdered(c cursor, id, truck string) {
	ids, found := []string{}, false
	for i := range r.stops {
		s := &r.stops[i].stop
		ids = append(ids, s.Site.Property.ID)
		if s.Site.Property.ID != id {
			continue
		}
		found = true
		if s.Truck != "" && truck != "" && s.Truck != truck {
			c.fail("order-other-truck", "Put it into the order of its truck, or take truck away from the stop.", "%q is a stop of %s", clip(id), s.Truck)
		}
		if s.First || s.Last {
			c.fail("order-and-place", "Take first or last away from the stop: the order says it.", "%q is to be first or last besides", clip(id))
		}
	}
	if !found && id != "" {
		c.fail("unknown-name", suggest(id, ids), "no stop of the day is at property %q", clip(id))
	}
}

// checkMissed tells stops that no truck is left for: those of no order, where every truck has one.
func (r *reader) checkMissed(c cursor, of map[string]string, taken func(truck string) bool) {
	var missed []string
	for i := range r.stops {
		s := &r.stops[i].stop
		id := s.Site.Property.ID
		if _, ok := of[id]; ok || slices.Contains(missed, id) {
			continue
		}
		if s.Truck != "" && !taken(s.Truck) || s.Truck == "" && slices.ContainsFunc(r.day.Trucks, func(t plan.Truck) bool { return !taken(t.Name) }) {
			continue
		}
		missed = append(missed, id)
	}
	if len(missed) > 0 {
		c.fail("order-misses", "Put it into an order, or take the stop away.", "a truck with an order does nothing else, and no order has %s", strings.Join(missed, ", "))
	}
}
