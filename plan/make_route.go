package plan

import (
	"errors"
	"math"
	"slices"

	"github.com/paulmach/orb"

	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/geo/road"
	"tankful/plan/route"
	"tankful/plan/route/bound"
	"tankful/plan/route/solve"
)

// leastLoad is the volume, in steps of Units.VolumeStep, below which a load is too small to measure products for: 1 gal or 1 L.
const leastLoad = 10

// router states the day for the solver, and knows the way back from its answer.
type router struct {
	*maker
	day    route.Day
	places []orb.Point
	starts []int // the place where each truck starts
	stops  []int // place of each of maker.work
	answer *solve.Answer
	names  [][]string   // of each place
	free   []route.Stop // of the day without the orders that are fixed by hand
	// The estimate of a drive: access, and a factor of what the speeds given have.
	factor float64
	access unit.Time
	cells  [][]driveCell // by places
	// With a map of roads: where on it each place lies, and the fastest drives.
	spots  []road.Spot
	matrix [][]road.Drive
}

// trucks plans all trucks' day together and puts the stops in visit order.
func (m *maker) trucks() {
	r := &router{maker: m}
	r.setUp()
	if !r.solve() {
		return
	}
	if len(m.day.Orders) > 0 {
		found := r.answer.Plan
		r.fix()
		if !r.solve() {
			return
		}
		r.byHand(found)
	}
	r.leftover()
	r.report()
	r.bounds()
	if !m.problems.HasErrors() {
		m.visitOrder()
	}
}

// solve plans the day as it is stated; not when that is a problem.
func (r *router) solve() bool {
	answer, err := solve.Day(&r.day, solve.Options{Seed: 1})
	if err != nil {
		r.refuse(err)
		return false
	}
	r.answer = r.withBags(answer)
	return r.answer != nil
}

// refuse puts the router's error in the user's words.
func (m *maker) refuse(err error) {
	var mix *route.MixError
	where := m.day.Where
	if len(m.day.Trucks) == 1 {
		where = m.day.Trucks[0].Where
	}
	switch {
	case errors.As(err, &mix):
		m.problems.Errorf("mix-without-tank", where, "Give a tank of a truck to this mix, and its operator to the crew.",
			"no tank can carry mix %q", m.plan.Mixes[mix.Mix].Name)
	case errors.Is(err, route.ErrChoices):
		m.problems.Errorf("tanks-without-mix", where, "Give each tank of the truck its mix.", "there are too many ways of giving the mixes to the tanks without one")
	case errors.Is(err, route.ErrLoads):
		m.problems.Errorf("too-many-loads", where, "Check the units of the tanks, or use a truck with larger ones.",
			"the stops would take hundreds of tankfuls of one mix")
	default:
		m.problems.Errorf("no-plan", where, "Check the stops and the tanks.", "%v", err)
	}
}

// setUp states the day in places and ticks.
func (r *router) setUp() {
	d := r.maker.day
	r.day = route.Day{Weights: route.Usual}
	r.put(d.Yard.At)
	for i := range d.FillPoints {
		if !d.NoFilling {
			r.fill(&d.FillPoints[i])
		}
	}
	for k := range r.plan.Mixes {
		mix := route.Mix{} // of granules, which no stop takes out of a tank
		if r.plan.Mixes[k].Granules == nil {
			mix = route.Mix{PerTick: r.tickMass(k), Whole: r.wholeTicks(k)}
		}
		r.day.Mixes = append(r.day.Mixes, mix)
	}
	r.rinses()
	for k := range r.work {
		r.stop(k)
	}
	for i := range d.Trucks {
		r.shift(&d.Trucks[i])
	}
	r.drives()
	r.weigh()
}

// put enters a place.
func (r *router) put(at orb.Point) int {
	r.places = append(r.places, at)
	return len(r.places) - 1
}

func (r *router) fill(f *FillPoint) {
	fill := route.Fill{Place: r.put(f.At), HookUp: f.HookUp, PerTick: f.Flow.To(r.maker.day.Units.VolumeStep()), Open: f.Open, Close: f.Close}
	if len(f.Trucks) > 0 {
		fill.Shifts = r.trucksNamed(f.Trucks)
	}
	r.day.Fills = append(r.day.Fills, fill)
}

// trucksNamed are the shifts of the trucks of these names; never nil.
func (r *router) trucksNamed(names []string) []int {
	out := []int{}
	for i := range r.maker.day.Trucks {
		if slices.Contains(names, r.maker.day.Trucks[i].Name) {
			out = append(out, i)
		}
	}
	return out
}

// tickMass is the mass of a tick of a mix; water stands for a liquid whose density is not entered, as in the truck's weight.
func (r *router) tickMass(k int) unit.Mass {
	rho := density(r.carried[k].recipe)
	if rho == 0 {
		rho = unit.Water
	}
	return rho.Of(r.maker.day.Units.VolumeStep())
}

// wholeTicks is how many ticks of a mix one whole container of the product makes that is to be measured by whole containers, 0 for none.
func (r *router) wholeTicks(k int) float64 {
	mx := byName(r.maker.day.Mixes, r.plan.Mixes[k].Name, func(x *Mix) string { return x.Name })
	if mx.Whole == "" {
		return 0
	}
	return r.maker.wholeTicks(mx, k)
}

// rinses states what changing a tank from mix to mix costs; nil where nobody said so: then no tank changes its mix.
func (r *router) rinses() {
	d := r.maker.day
	if len(d.Rinses) == 0 {
		return
	}
	n := len(r.plan.Mixes)
	r.day.Rinse = make([][]route.Rinse, n)
	for i := range r.day.Rinse {
		r.day.Rinse[i] = make([]route.Rinse, n)
		for j := range r.day.Rinse[i] {
			r.day.Rinse[i][j] = d.rinse(r.plan.Mixes[i].Name, r.plan.Mixes[j].Name)
		}
	}
}

// rinse is the rule that tells most of a change of mix: one that names both, else one that names either, else one for all; a change without a rule is forbidden.
func (d *Day) rinse(from, to string) route.Rinse {
	best, score := route.Rinse{Never: true}, -1
	for _, x := range d.Rinses {
		s := 0
		switch {
		case x.From != "" && x.From != from, x.To != "" && x.To != to:
			continue
		case x.From != "" && x.To != "":
			s = 2
		case x.From != "" || x.To != "":
			s = 1
		}
		if s > score {
			best, score = route.Rinse{Time: x.Time, Never: x.Never}, s
		}
	}
	return best
}

// stop states one stop; its site is its property.
func (r *router) stop(k int) {
	w, s := &r.work[k], &r.plan.Stops[k]
	st := route.Stop{Place: r.put(w.at), Mix: w.mix, Work: s.Passes.Walk, SetUp: w.stop.SetUp, From: s.From, Until: s.Until, Whole: w.stop.Whole, Site: k}
	for i := range k {
		if r.plan.Stops[i].Property == s.Property {
			st.Site, st.Place = r.day.Stops[i].Site, r.day.Stops[i].Place
			break
		}
	}
	for _, n := range w.ticks {
		st.Passes = append(st.Passes, route.Ticks(n))
	}
	st.Back = w.waysBack(r.carried[w.mix].pace)
	if r.plan.Mixes[w.mix].Granules != nil {
		st.Mix, st.Back = route.NoMix, nil
	}
	switch {
	case w.stop.First:
		st.Rank = -1
	case w.stop.Last:
		st.Rank = 1
	}
	if w.stop.Truck != "" {
		st.Shifts = r.trucksNamed([]string{w.stop.Truck})
	}
	if len(w.stop.Needs) > 0 {
		st.Shifts = r.licensed(w.stop)
	}
	if st.Mix == route.NoMix {
		st.Shifts = r.withCrew(st.Shifts, r.plan.Mixes[w.mix].Operator)
	}
	r.day.Stops = append(r.day.Stops, st)
	r.stops = append(r.stops, st.Place)
}

// waysBack is by pass the walk from its end straight to the truck and out again at the pace of spraying; nil when it is not known where the truck stands.
func (w *work) waysBack(pace unit.Speed) []unit.Time {
	site := w.stop.Site
	if len(site.Property.Trucks) == 0 || !(pace > 0) {
		return nil
	}
	truck := site.Frame.Forward(site.Property.Trucks[0])
	out := make([]unit.Time, len(w.passes.Passes))
	for i := range w.passes.Passes {
		line := w.passes.Passes[i].Line
		end := line[len(line)-1]
		out[i] = unit.Length(2 * math.Hypot(end[0]-truck[0], end[1]-truck[1])).Over(pace)
	}
	return out
}

// shift states one truck's day.
func (r *router) shift(t *Truck) {
	d, units := r.maker.day, r.maker.day.Units
	start := 0
	if t.Start != nil {
		start = r.put(t.Start.At)
	}
	r.starts = append(r.starts, start)
	sh := route.Shift{Start: start, From: d.Start, Until: d.End, Hard: t.NoOvertime, Payload: r.payload(t),
		Lunch: route.Lunch{From: d.Lunch.From, Until: d.Lunch.Until, Length: d.Lunch.Length}}
	if t.From > 0 {
		sh.From = t.From
	}
	if t.Until > 0 {
		sh.Until = t.Until
	}
	for i := range t.Tanks {
		k := &t.Tanks[i]
		usable, heel := mix.Tank{Capacity: k.Capacity, Heel: k.Heel}.Steps(units)
		tank := route.Tank{Heel: route.Ticks(heel), Usable: route.Ticks(usable), Mixes: r.mayCarry(t, k)}
		tank.Least = max(leastLoad, route.Ticks(math.Ceil(k.Agitates.In(units.VolumeStep())-1e-6))-tank.Heel)
		tank.Mark = route.Ticks(unit.Round(k.Marks.In(units.VolumeStep()), 1))
		tank.Least = min(tank.Least, r.leastOf(&tank, k))
		r.holds(&tank, k)
		sh.Tanks = append(sh.Tanks, tank)
	}
	r.day.Shifts = append(r.day.Shifts, sh)
}

// leastOf is the least that a tank without an agitation minimum need be filled for: no more than the smallest day's demand of a mix that it may carry.
func (r *router) leastOf(tank *route.Tank, k *Tank) route.Ticks {
	if k.Agitates > 0 {
		return math.MaxInt32
	}
	least := route.Ticks(math.MaxInt32)
	for m := range r.plan.Mixes {
		if n := r.day.Demand(m); n > 0 && tank.MayHold(m) {
			least = min(least, n)
		}
	}
	return least
}

// mayCarry are the mixes that a tank may carry: its own, or all whose operator is of the crew.
func (r *router) mayCarry(t *Truck, k *Tank) []int {
	out := []int{}
	for i := range r.plan.Mixes {
		mp := &r.plan.Mixes[i]
		if mp.Granules == nil && (k.Mix == "" || k.Mix == mp.Name) && (len(t.Crew) == 0 || slices.Contains(t.Crew, mp.Operator)) {
			out = append(out, i)
		}
	}
	return out
}

// holds enters what a tank has in it at the start.
func (r *router) holds(tank *route.Tank, k *Tank) {
	if k.Holds == nil {
		return
	}
	for i := range r.plan.Mixes {
		if r.plan.Mixes[i].Name == k.Holds.Mix {
			left := route.Ticks(math.Floor(k.Holds.Reading.In(r.maker.day.Units.VolumeStep())+1e-6)) - tank.Heel
			tank.Held = &route.Held{Mix: i, Left: max(0, left)}
		}
	}
}

// payload bounds the mix in a truck's tanks, when its weights are entered: they may not weigh more than it may carry. The products of later loads ride
// along too; mix.Truck.Weigh, which knows them, has the last word. 0 where there is nothing to bound: what is wrong with the weights is told there.
func (r *router) payload(t *Truck) unit.Mass {
	if !(t.Rated > t.Empty && t.Empty > 0) {
		return 0
	}
	return t.Rated - t.Empty
}

// bounds states what no plan can go below.
func (r *router) bounds() {
	r.release()
	b := bound.Of(&r.day, r.answer.Plan.Left)
	r.plan.BoundMinutes = b.Time.In(unit.Minute)
	r.plan.BoundLoads = b.Loads
	r.plan.Bound = b.Say(r.answer.Plan)
	r.weighed(b)
}
