// Package cut cuts one shift's stops, in a given order, into the trips of least cost: where to refill, at which fill point, and which tank
// carries which mix.
//
// It knows the places where a refill may come, the tanks with their heels, least volumes, marks and rinses, the payload, and
// what tanks hold at the start. Its answer is exact for the order as long as no window, no lunch and no fill point's hours
// bind: those it leaves to route.Day.Clock, by which Shift compares a few ways of cutting. It leaves out the order, and
// which shift does which stop.
package cut

import (
	"math"
	"slices"

	"tankful/calc/unit"
	"tankful/plan/route"
)

// Shift gives the best trips found for the stops of shift s in this order of takes, and false when there are none: a mix finds no
// tank, a tank may not change its mix, no fill point is for this shift, or a stop is broken off where it may not be.
//
// With cuts at every pass end the trips are of least cost for the order, when no hours bind. Fewer cuts may do better when they do, so
// that a coarse way of cutting is tried as well and the clock decides.
func Shift(d *route.Day, s int, order []route.Take) ([]route.Trip, bool) {
	trips, _, ok := Fine(d, s, order)
	return trips, ok
}

// Fine is Shift that also tells how much work it was: the trips that were looked at.
func Fine(d *route.Day, s int, order []route.Take) ([]route.Trip, int, bool) {
	c := newCutter(d, s, order)
	best, bestCost := []route.Trip(nil), unit.Time(math.Inf(1))
	for _, fine := range []bool{true, false} {
		for _, dry := range []bool{false, true} { // begin out of what the tanks hold
			if dry && !c.holdsSome() {
				continue
			}
			trips, ok := c.trips(fine, dry)
			if !ok {
				continue
			}
			if cost, ok := c.price(trips); ok && cost < bestCost {
				best, bestCost = trips, cost
			}
		}
	}
	return best, c.work, best != nil
}

// Coarse is Fine for comparing orders: stops are cut as seldom as the tanks allow.
func Coarse(d *route.Day, s int, order []route.Take) ([]route.Trip, int, bool) {
	c := newCutter(d, s, order)
	trips, ok := c.trips(false, c.holdsSome())
	if !ok && c.holdsSome() {
		trips, ok = c.trips(false, false)
	}
	return trips, c.work, ok
}

// Whole is the order of stops that are each done in one go.
func Whole(d *route.Day, stops ...int) []route.Take {
	out := make([]route.Take, len(stops))
	for i, k := range stops {
		out[i] = route.Take{Stop: k, Volume: d.Stops[k].Need()}
	}
	return out
}

// chunk is a stretch of one stop's mix. May says that a refill may come before it.
type chunk struct {
	stop     int
	mix      int // into cutter.mixes, -1 without
	from, to route.Ticks
	may      bool
	back     unit.Time // the way back to the truck from its end
}

// cutter cuts one order.
type cutter struct {
	d     *route.Day
	s     int
	sh    *route.Shift
	order []route.Take
	mixes []int   // of the order
	uses  [][]int // what a trip may carry, mix per tank
	// By use: what it holds of each of mixes, and in which tanks. byMixes are the uses for exactly a set of mixes, a bit each.
	useHolds [][]int
	tanksOf  [][][]int
	byMixes  map[int][]int
	contents [][]int
	changes  map[change]changing
	used     []route.Ticks // of each of mixes, on the trip in hand
	ways     []float64     // by fill point, to the trip in hand
	oneShare [1]route.Ticks
	work     int
	fills    []int       // for this shift
	hold     map[int]int // per mix: the most that one trip can give of it
}

func newCutter(d *route.Day, s int, order []route.Take) *cutter {
	c := &cutter{d: d, s: s, sh: &d.Shifts[s], order: order, hold: map[int]int{}}
	for _, k := range order {
		if m := d.Stops[k.Stop].Mix; m != route.NoMix && !slices.Contains(c.mixes, m) {
			c.mixes = append(c.mixes, m)
		}
	}
	for f := range d.Fills {
		if route.Allows(d.Fills[f].Shifts, s) {
			c.fills = append(c.fills, f)
		}
	}
	c.use(make([]int, 0, len(c.sh.Tanks)))
	c.used, c.ways = make([]route.Ticks, len(c.mixes)), make([]float64, len(c.fills))
	c.byMixes, c.changes = map[int][]int{}, map[change]changing{}
	for i, u := range c.uses {
		holds, tanks, mask := make([]int, len(c.mixes)), make([][]int, len(c.mixes)), 0
		for k, m := range c.mixes {
			holds[k] = c.holds(u, m)
			c.hold[m] = max(c.hold[m], holds[k])
			for t, carries := range u {
				if carries == m {
					tanks[k] = append(tanks[k], t)
					mask |= 1 << k
				}
			}
		}
		c.useHolds, c.tanksOf = append(c.useHolds, holds), append(c.tanksOf, tanks)
		c.byMixes[mask] = append(c.byMixes[mask], i)
	}
	return c
}

// mostUses bounds the ways of giving mixes to tanks that are looked at.
const mostUses = 32

// use lists what a trip may carry: for each tank a mix that it may hold, or none.
func (c *cutter) use(u []int) {
	if len(c.uses) >= mostUses {
		return
	}
	if len(u) == len(c.sh.Tanks) {
		c.uses = append(c.uses, slices.Clone(u))
		return
	}
	t := &c.sh.Tanks[len(u)]
	for _, m := range c.mixes {
		if t.MayHold(m) {
			c.use(append(u, m))
		}
	}
	c.use(append(u, route.NoMix))
}

// holds is the most that one trip with these tanks can give of a mix, by their room and the payload.
func (c *cutter) holds(u []int, m int) int {
	room := 0
	for i, k := range u {
		if k == m {
			room += int(max(c.sh.Tanks[i].Room(), 0))
		}
	}
	if per := c.d.Mixes[m].PerTick; c.sh.Payload > 0 && per > 0 {
		heels := unit.Mass(0)
		for i, k := range u {
			if k == m {
				heels += per * unit.Mass(c.sh.Tanks[i].Heel)
			}
		}
		room = min(room, int(math.Floor(float64((c.sh.Payload-heels)/per)+1e-9)))
	}
	return max(room, 0)
}

// holdsSome reports whether a trip may begin without a fill visit: a tank holds mix that is asked for, or the first stop asks for none.
func (c *cutter) holdsSome() bool {
	for i := range c.sh.Tanks {
		if h := c.sh.Tanks[i].Held; h != nil && h.Left > 0 && slices.Contains(c.mixes, h.Mix) {
			return true
		}
	}
	return len(c.order) > 0 && c.d.Stops[c.order[0].Stop].Mix == route.NoMix
}

// held is what all tanks hold of a mix.
func (c *cutter) held(m int) route.Ticks {
	n := route.Ticks(0)
	for i := range c.sh.Tanks {
		if h := c.sh.Tanks[i].Held; h != nil && h.Mix == m {
			n += h.Left
		}
	}
	return n
}

// price is the cost of the trips by the clock.
func (c *cutter) price(trips []route.Trip) (unit.Time, bool) {
	draft := make(route.Draft, len(c.d.Shifts))
	draft[c.s] = trips
	p, err := c.d.Clock(draft)
	if err != nil {
		return 0, false
	}
	return p.Cost(c.d.Weights), true
}
