package plan

import (
	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass"
)

// work is what the day needs to know of a stop beside its StopPlan.
type work struct {
	stop   *Stop
	mix    int // index into plan.Mixes
	passes *pass.Plan
	ticks  []int // of mix, per pass
	at     orb.Point
}

// stops lays the passes of every stop and works out its mix and minutes.
func (m *maker) stops() {
	if len(m.day.Stops) == 0 {
		m.problems.Errorf("no-stops", m.day.Where, "Enter the day's stops.", "the day has no stops")
	}
	for i := range m.day.Stops {
		if s, w, ok := m.stop(&m.day.Stops[i]); ok {
			m.plan.Stops = append(m.plan.Stops, s)
			m.work = append(m.work, w)
		}
	}
}

func (m *maker) stop(st *Stop) (s StopPlan, w work, ok bool) {
	units := m.day.Units
	k := -1
	for i := range m.plan.Mixes {
		if m.plan.Mixes[i].Name == st.Mix {
			k = i
		}
	}
	if k < 0 { // unknown, or a mix whose own problems are listed
		if byName(m.day.Mixes, st.Mix, func(x *Mix) string { return x.Name }) == nil {
			m.problems.Errorf("unknown-mix", st.Where, "Name one of the day's mixes.", "the stop takes mix %q, which is not among the mixes", st.Mix)
		}
		return s, w, false
	}
	if st.Site == nil || st.Site.Property == nil || st.Site.Frame == nil || st.Site.Problems.HasErrors() {
		m.problems.Errorf("not-measured", st.Where, "Mend the outline.", "the stop's property could not be measured")
		return s, w, false
	}
	mp, c := &m.plan.Mixes[k], m.carried[k]
	laid, err := LayPasses(st.Site, c.applicator, Laying{Pace: c.pace})
	if err != nil {
		m.problems = append(m.problems, PassProblem(err, st.Where))
		return s, w, false
	}
	prop := st.Site.Property
	s = StopPlan{Property: prop.ID, Name: prop.Name, Mix: st.Mix, Notes: st.Notes, Measure: MeasureOf(st.Site),
		Passes: PassesOf(st.Site, laid), Products: []LoadProduct{}, From: st.From, Until: st.Until, Map: MapOf(st.Site)}
	if laid.Reach != nil && laid.Reach.Second != nil {
		s.Map.Second = *laid.Reach.Second
	}
	s.Season.empty()
	w = work{stop: st, mix: k, passes: laid, at: standing(st.Site)}
	s.Lon, s.Lat = w.at[0], w.at[1]
	s.DonePasses = min(max(st.DonePasses, 0), len(laid.Passes)-1)
	left := leftOf(laid, s.DonePasses)
	s.Area = units.RoundArea(unit.Area(left) * sprayedArea(st.Site, laid))
	if mp.Granules != nil {
		ok = m.spreadStop(&s, &w, left)
		return s, w, ok
	}
	s.Volume = units.RoundVolume(unit.Volume(mp.drift()) * mp.Carrier.Over(s.Area))
	if toTicks(s.Volume, units) == 0 {
		m.problems.Errorf("stop-needs-nothing", st.Where, "Leave the stop out, or mend its outline.",
			"%s of turf takes less than %s of mix", units.Area(s.Area), units.Volume(units.VolumeStep()))
		return s, w, false
	}
	w.ticks = dealTicks(laid, toTicks(s.Volume, units), s.DonePasses)
	soFar := 0
	for i, n := range w.ticks {
		soFar += n
		s.Passes.List[i].SoFar = fromTicks(soFar, units)
	}
	for _, part := range c.recipe.Ordered() {
		s.Products = append(s.Products, LoadProduct{Name: part.Product.Name, Amount: part.Rate.Times(mp.drift()).Over(s.Area).Round(units)})
	}
	s.Passes.Walk = unit.Time(left) * laid.Minutes(c.pace, c.applicator.TurnTime)
	s.Service = st.SetUp + s.Passes.Walk
	m.sprayed(&w)
	return s, w, true
}

// leftOf is the share of the passes' ground that is left after the first done ones.
func leftOf(laid *pass.Plan, done int) float64 {
	if done == 0 {
		return 1
	}
	all, left := unit.Area(0), unit.Area(0)
	for i := range laid.Passes {
		all += laid.Passes[i].Sprayed
		if i >= done {
			left += laid.Passes[i].Sprayed
		}
	}
	return float64(left / all)
}

// dealTicks gives each pass after the first done ones its share of the mix, rounding the running total, so that
// the last pass ends at the whole; those done get none.
func dealTicks(laid *pass.Plan, total, done int) []int {
	all, sum, last := unit.Area(0), unit.Area(0), 0
	for i := done; i < len(laid.Passes); i++ {
		all += laid.Passes[i].Sprayed
	}
	out := make([]int, len(laid.Passes))
	for i := done; i < len(laid.Passes); i++ {
		sum += laid.Passes[i].Sprayed
		at := int(unit.Round(float64(total)*float64(sum/all), 1))
		if i == len(out)-1 {
			at = total
		}
		out[i], last = at-last, at
	}
	return out
}

// standing is where the truck stands, or the middle of the property when the file does not say.
func standing(site *geo.Site) orb.Point {
	if t := site.Property.Trucks; len(t) > 0 {
		return t[0]
	}
	return site.Frame.Centre()
}

// MapOf is a property's ground for drawing.
func MapOf(s *geo.Site) Map {
	c := s.Frame.Centre()
	m := Map{Lon: c[0], Lat: c[1], Turf: Shape{s.Net}, LeftOut: map[geo.Surface]Shape{}, Zones: mapZones(s)}
	for k, mp := range s.Exclusions {
		m.LeftOut[k] = Shape{mp}
	}
	for _, t := range s.Property.Trucks {
		m.Trucks = append(m.Trucks, s.Frame.Forward(t))
	}
	if len(m.Trucks) > 0 {
		m.Truck = m.Trucks[0]
	}
	return m
}
