package plan_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/plan"
)

// tb is what *testing.T and *rapid.T share.
type tb interface {
	Helper()
	Errorf(format string, args ...any)
	Fatalf(format string, args ...any)
}

var _ tb = (*testing.T)(nil)

// checker holds a plan against the day that it was made from and against itself.
type checker struct {
	tb
	d *plan.Day
	p *plan.Plan
}

// checkPlan holds what must be so in every plan that is given.
func checkPlan(t tb, d *plan.Day, p *plan.Plan) {
	t.Helper()
	c := checker{t, d, p}
	c.sums()
	c.loads()
	c.tanks()
	c.stops()
	c.totals()
	for i := range p.Trucks {
		c.timeline(&p.Trucks[i])
	}
	c.pocket()
	c.workings()
	if len(p.Fingerprint) != 10 {
		t.Errorf("fingerprint %q, want ten hexadecimal digits", p.Fingerprint)
	}
}

// steps counts a volume in the smallest printed steps; it must be a whole number of them.
func (c *checker) steps(v unit.Volume) int {
	c.Helper()
	n := v.In(c.p.Units.VolumeStep())
	r := math.Round(n)
	if !(math.Abs(n-r) < 1e-6) || c.p.Units.RoundVolume(v) != v {
		c.Errorf("volume %v is not a whole number of printed steps", v)
	}
	return int(r)
}

// sums: over stops, loads, mixes and fills less the heels, to the last printed digit.
func (c *checker) sums() {
	p, stops, loads, fills, mixes, heels := c.p, 0, 0, 0, 0, 0
	for i := range p.Stops {
		stops += c.steps(p.Stops[i].Volume)
	}
	for i := range p.Loads {
		loads += c.steps(p.Loads[i].Volume)
		fills += c.steps(p.Loads[i].Fill)
	}
	for i := range p.Mixes {
		mixes += c.steps(p.Mixes[i].Volume)
	}
	for _, t := range p.Trucks {
		for _, k := range t.Tanks {
			if k.Mix != "" {
				heels += c.steps(k.Heel)
			}
		}
	}
	if all := c.steps(p.Volume); stops != all || loads != all || mixes != all || fills-heels != all {
		c.Errorf("stops take %d steps, loads %d, mixes %d, fills less heels %d - %d; stated %d", stops, loads, mixes, fills, heels, all)
	}
	if c.steps(p.Heel) != heels {
		c.Errorf("heel stated %v, the tanks in use keep %d steps", p.Heel, heels)
	}
	if p.Leftover != 0 {
		c.Errorf("leftover %v", p.Leftover)
	}
}

func (c *checker) loads() {
	first := map[[2]string]bool{}
	for i := range c.p.Loads {
		l := &c.p.Loads[i]
		tank := c.tank(l.Truck, l.Tank)
		if l.N != i+1 || len(l.Stops) == 0 || l.Volume <= 0 || tank == nil || tank.Mix != l.Mix {
			c.Fatalf("load %d: %+v in %+v", i+1, l, tank)
		}
		heel, volume := c.steps(tank.Heel), c.steps(l.Volume)
		want := volume
		if key := [2]string{l.Truck, l.Tank}; !first[key] {
			first[key] = true
			want += heel
		}
		if c.steps(l.Fill) != want || c.steps(l.Gauge) != heel+volume {
			c.Errorf("load %d: fill %v and gauge %v for %v and a heel of %v", l.N, l.Fill, l.Gauge, l.Volume, tank.Heel)
		}
		if l.Gauge > tank.Capacity+1.01e-6*c.p.Units.VolumeStep() {
			c.Errorf("load %d: gauge %v, the tank holds %v", l.N, l.Gauge, tank.Capacity)
		}
		left := heel + volume
		for _, s := range l.Stops {
			left -= c.steps(s.Volume)
			if s.Volume <= 0 || c.steps(s.Gauge) != left {
				c.Errorf("load %d, stop %d: %v leaves gauge %v, want %d steps", l.N, s.Stop, s.Volume, s.Gauge, left)
			}
		}
		if left != heel {
			c.Errorf("load %d: its parts leave %d steps in the tank, want the heel, %d", l.N, left, heel)
		}
		m := c.mix(l.Mix)
		if len(l.Products) != len(m.Products) {
			c.Fatalf("load %d has %d products, its mix %d", l.N, len(l.Products), len(m.Products))
		}
		for k, q := range l.Products {
			if q.Name != m.Products[k].Name || q.Amount.Round(c.p.Units) != q.Amount || q.Amount.IsZero() {
				c.Errorf("load %d, product %d: %+v", l.N, k, q)
			}
		}
		if got := l.Volume.At(m.Carrier); math.Abs(float64(got-l.Covers)) > 1e-9*float64(got) {
			c.Errorf("load %d covers %v, want %v", l.N, l.Covers, got)
		}
	}
}

// workings: each printed step leads to its result.
func (c *checker) workings() {
	verify := func(what string, w working.Working) {
		if err := w.Verify(); err != nil {
			c.Errorf("the working of %s: %v", what, err)
		}
	}
	for _, m := range c.p.Mixes {
		verify("mix "+m.Name, m.Working)
	}
	for _, l := range c.p.Loads {
		verify(fmt.Sprintf("load %d", l.N), l.Working)
	}
	for _, t := range c.p.Trucks {
		if t.Weight != nil {
			verify(t.Truck, t.Weight.Working)
		}
	}
}

// tanks: they are the truck's, and carry at most the mix that the day gave them.
func (c *checker) tanks() {
	for _, t := range c.p.Trucks {
		i := slices.IndexFunc(c.d.Trucks, func(x plan.Truck) bool { return x.Name == t.Truck })
		if i < 0 || len(c.d.Trucks[i].Tanks) != len(t.Tanks) {
			c.Fatalf("truck %q with %d tanks is not the day's", t.Truck, len(t.Tanks))
		}
		for k, tank := range t.Tanks {
			want := c.d.Trucks[i].Tanks[k]
			if want.Name != tank.Name || want.Capacity != tank.Capacity || tank.Heel < want.Heel-1.01e-6*c.p.Units.VolumeStep() ||
				tank.Mix != "" && want.Mix != "" && want.Mix != tank.Mix {
				c.Errorf("tank %+v, the day's is %+v", tank, want)
			}
		}
	}
}

// stops: every stop is there once, its passes are covered once, in order, without a gap.
func (c *checker) stops() {
	if len(c.p.Stops)+len(c.p.LeftOut) != len(c.d.Stops) {
		c.Fatalf("%d stops planned and %d left out of %d", len(c.p.Stops), len(c.p.LeftOut), len(c.d.Stops))
	}
	for _, l := range c.p.LeftOut {
		said := slices.ContainsFunc(c.p.Problems, func(q problem.Problem) bool {
			return q.Code == "stop-left-out" && strings.Contains(q.What, l.Stop.Name)
		})
		if l.Reason == "" || l.Why == "" || l.Fix == "" || !said || l.Stop.Truck != "" {
			c.Errorf("left out without a word: %+v", l)
		}
	}
	n, truck, seen := 0, "", map[*plan.Stop]bool{}
	for i := range c.p.Stops {
		s := &c.p.Stops[i]
		if n++; s.Truck != truck {
			n, truck = 1, s.Truck
		}
		if s.N != n || c.p.Stop(s.Truck, s.N) != s {
			c.Errorf("stop %d of %s is numbered %d", n, s.Truck, s.N)
		}
		st := c.dayStop(s)
		if seen[st] || st.Truck != "" && st.Truck != s.Truck || st.Site.Property.Name != s.Name {
			c.Errorf("stop %s is not the day's", s.Property)
		}
		seen[st] = true
		// A window says when the work on a property begins: what follows there on the same visit is not asked again.
		goesOn := n > 1 && i > 0 && c.p.Stops[i-1].Property == s.Property
		if s.From != st.From || s.Until != st.Until || s.Begin < s.Arrive || !goesOn && (s.Begin < s.From || s.Until > 0 && s.Begin > s.Until+1e-6) {
			c.Errorf("stop %s: arrive %v, begin %v in %v to %v", s.Property, s.Arrive, s.Begin, s.From, s.Until)
		}
		c.passes(s)
		c.parts(s)
	}
}

func (c *checker) passes(s *plan.StopPlan) {
	ps := s.Passes
	if ps.Count != len(ps.List) || ps.Count == 0 || ps.Turns < ps.Count-1 || ps.Turns > ps.Count-1 && ps.EdgeLaps == 0 || ps.Count < ps.BoundPasses {
		c.Fatalf("stop %s: %d passes, %d listed, %d turns, at least %d", s.Property, ps.Count, len(ps.List), ps.Turns, ps.BoundPasses)
	}
	last, area, length, sprayed := 0, 0.0, 0.0, unit.Area(0)
	for i, q := range ps.List {
		at := c.steps(q.SoFar)
		if q.N != i+1 || at < last || !(q.Length > 0) || !(q.Area > 0) || len(q.Line) < 2 {
			c.Errorf("stop %s, pass %d: %+v after %d steps", s.Property, i+1, q, last)
		}
		last, area, length, sprayed = at, area+float64(q.Area), length+float64(q.Length), sprayed+q.Sprayed
		c.line(s, &q)
	}
	if last != c.steps(s.Volume) {
		c.Errorf("stop %s: the last pass ends at %d steps of %v", s.Property, last, s.Volume)
	}
	if math.Abs(area-float64(s.Measure.Net)) > 1e-6*area || math.Abs(length-float64(ps.SprayedLength)) > 1e-6*length {
		c.Errorf("stop %s: passes treat %.3f of %v and are %.3f of %v long", s.Property, area, s.Measure.Net, length, ps.SprayedLength)
	}
	if !(ps.Coverage > 0.5 && ps.Coverage < 1+1e-6) {
		c.Errorf("stop %s: coverage %v", s.Property, ps.Coverage)
	}
	want := s.Measure.Net // what the volume is computed from
	if !c.mix(s.Mix).Kind.Trims() {
		want = s.Passes.SprayedLength.By(s.Passes.Swath)
		beside := unit.Area(0)
		for _, a := range ps.Onto {
			beside += a
		}
		if math.Abs(float64(beside-ps.Overspray)) > 1e-9*float64(ps.Net) {
			c.Errorf("stop %s: %v beside the turf, by surface %v", s.Property, ps.Overspray, ps.Onto)
		}
	}
	if math.Abs(float64(want-sprayed)) > 1e-6*float64(want) {
		c.Errorf("stop %s: passes put out %v, want %v", s.Property, sprayed, want)
	}
	if want = c.p.Units.RoundArea(want); math.Abs(float64(want-s.Area)) > 1e-9*float64(want) {
		c.Errorf("stop %s: sprayed area %v, want %v", s.Property, s.Area, want)
	}
}

// line: a pass's length is that of its line less what is off, and the way to it ends where it begins.
func (c *checker) line(s *plan.StopPlan, q *plan.PassLine) {
	long := walked(q.Line)
	for _, o := range q.Off {
		if !(o[0] >= 0 && o[1] >= o[0]) {
			c.Errorf("stop %s, pass %d: off %v", s.Property, q.N, q.Off)
		}
		long -= o[1] - o[0]
	}
	if math.Abs(float64(long-q.Length)) > 1e-3 {
		c.Errorf("stop %s, pass %d: %v of its line is on, stated %v", s.Property, q.N, long, q.Length)
	}
	if way := walked(q.Way); math.Abs(float64(way-q.WalkTo)) > 1e-3 {
		c.Errorf("stop %s, pass %d: the way to it is %v, stated %v", s.Property, q.N, way, q.WalkTo)
	}
	if q.Section < 0 || q.Section >= len(s.Passes.Sections) || !(q.Bearing >= 0 && q.Bearing < 360) {
		c.Errorf("stop %s, pass %d: section %d of %d, bearing %v", s.Property, q.N, q.Section, len(s.Passes.Sections), q.Bearing)
	}
}

func walked(line []geom.Coord) (l unit.Length) {
	for i := 1; i < len(line); i++ {
		l += unit.Length(math.Hypot(line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]))
	}
	return l
}

// parts follows a stop through the loads that it is drawn from.
func (c *checker) parts(s *plan.StopPlan) {
	sum, to, within, done := 0, 0, false, false
	for i := range c.p.Loads {
		l := &c.p.Loads[i]
		for _, part := range l.Stops {
			if l.Truck != s.Truck || part.Stop != s.N {
				continue
			}
			if done || part.Property != s.Property || part.Name != s.Name || l.Mix != s.Mix {
				c.Errorf("load %d, stop %s: %+v (done before: %v)", l.N, s.Property, part, done)
			}
			from := to + 1
			if within {
				from = to
			}
			if part.FromPass != from || part.ToPass < part.FromPass || part.ToPass > s.Passes.Count {
				c.Fatalf("load %d, stop %s: passes %d to %d, want them from %d", l.N, s.Property, part.FromPass, part.ToPass, from)
			}
			sum += c.steps(part.Volume)
			to, within, done = part.ToPass, part.DryAt > 0, part.Whole
			before, after := 0, c.steps(s.Passes.List[to-1].SoFar)
			if to > 1 {
				before = c.steps(s.Passes.List[to-2].SoFar)
			}
			if within && !(sum > before && sum < after && part.DryAt < walked(s.Passes.List[to-1].Line)) || part.Whole != (part.Dry == nil) || !within && sum != after {
				c.Errorf("load %d, stop %s: dry at %v of pass %d after %d steps; the pass goes from %d to %d",
					l.N, s.Property, part.DryAt, to, sum, before, after)
			}
		}
	}
	if c.spread(s) {
		if to != 0 || s.Volume != 0 {
			c.Errorf("stop %s: granules out of loads, to pass %d, %v", s.Property, to, s.Volume)
		}
		return
	}
	if !done || within || to != s.Passes.Count || sum != c.steps(s.Volume) {
		c.Errorf("stop %s: done %v after pass %d of %d and %d steps of %v", s.Property, done, to, s.Passes.Count, sum, s.Volume)
	}
}

// totals: minutes against the bound, products against the loads.
func (c *checker) totals() {
	p, minutes := c.p, 0.0
	for _, t := range p.Trucks {
		minutes += float64(t.Drive+t.Fill+t.Work) / 60
	}
	if math.Abs(minutes-p.Minutes) > 1e-6 || !(p.Minutes >= p.BoundMinutes) || !(p.BoundMinutes > 0) {
		c.Errorf("minutes %v, the trucks' %v, bound %v", p.Minutes, minutes, p.BoundMinutes)
	}
	for _, m := range p.Mixes {
		for k, q := range m.Products {
			sum := label.Amount{}
			for _, l := range p.Loads {
				if l.Mix == m.Name {
					sum = sum.Plus(l.Products[k].Amount)
				}
			}
			for i := range p.Stops {
				if p.Stops[i].Mix == m.Name && m.Granules != nil {
					sum = sum.Plus(p.Stops[i].Products[k].Amount)
				}
			}
			if sum.Text(p.Units) != q.Total.Text(p.Units) {
				c.Errorf("mix %s: %s in the loads comes to %s, stated %s", m.Name, q.Name, sum.Text(p.Units), q.Total.Text(p.Units))
			}
		}
	}
	for _, q := range p.Problems {
		if q.Severity == problem.Error {
			c.Errorf("a plan with an error in it: %v", q)
		}
	}
}

// timeline follows the truck through its events.
func (c *checker) timeline(t *plan.TruckDay) {
	var drive, fill, work, wait unit.Time
	var driven unit.Length
	clock, fills, next := t.Start, 0, c.firstLoad(t.Truck)
	worked := map[int]unit.Time{}
	var open []int // loads filled and not yet replaced
	for i, e := range t.Events {
		arrive := clock + e.Drive
		if gap := e.At - arrive; gap < -1e-6 || gap > 1e-6 && e.Kind != plan.Work || e.Until < e.At {
			c.Errorf("%s, event %d (%s %s): arrives at %v, from %v until %v", t.Truck, i, e.Kind, e.Place, arrive, e.At, e.Until)
		}
		if want := c.driving(e.Dist); math.Abs(float64(want-e.Drive)) > 1e-6 {
			c.Errorf("%s, event %d: drives %v in %v, want %v", t.Truck, i, e.Dist, e.Drive, want)
		}
		drive, driven, wait = drive+e.Drive, driven+e.Dist, wait+e.At-arrive
		switch e.Kind {
		case plan.Fill:
			fill += e.Until - e.At
			fills++
			open = e.Loads
			next = c.fillEvent(&e, next)
		case plan.Work:
			work += e.Until - e.At
			c.workEvent(t, &e, arrive, open, worked)
		case plan.Return:
			if i != len(t.Events)-1 || e.Until != t.Finish || e.Place != c.d.Yard.Name {
				c.Errorf("%s comes back as event %d of %d at %v, finishes at %v", t.Truck, i+1, len(t.Events), e.Until, t.Finish)
			}
		}
		clock = e.Until
	}
	if len(t.Events) == 0 || t.Events[0].Kind != plan.Fill && len(t.Events[0].Spread) == 0 || t.Events[len(t.Events)-1].Kind != plan.Return || t.Refills != max(0, fills-1) {
		c.Errorf("%s: %d refills in the events %+v", t.Truck, t.Refills, t.Events)
	}
	for _, q := range [][2]unit.Time{{drive, t.Drive}, {fill, t.Fill}, {work, t.Work}, {wait, t.Wait}, {clock, t.Finish}, {t.Start + drive + fill + work + wait, t.Finish}} {
		if math.Abs(float64(q[0]-q[1])) > 1e-4 {
			c.Errorf("%s: the events give drive %v, fill %v, work %v, wait %v, end %v; stated %+v", t.Truck, drive, fill, work, wait, clock, t)
			break
		}
	}
	if math.Abs(float64(driven-t.Driven)) > 1e-3 {
		c.Errorf("%s: driven %v, the events give %v", t.Truck, t.Driven, driven)
	}
	if next > 0 && next <= len(c.p.Loads) && c.p.Loads[next-1].Truck == t.Truck {
		c.Errorf("%s: load %d is never filled", t.Truck, next)
	}
}

// fillEvent holds a fill visit against its loads; loads are numbered as they are filled.
func (c *checker) fillEvent(e *plan.Event, next int) int {
	i := slices.IndexFunc(c.d.FillPoints, func(f plan.FillPoint) bool { return f.Name == e.Place })
	if i < 0 || len(e.Loads) == 0 {
		c.Fatalf("fill at %q of loads %v", e.Place, e.Loads)
	}
	volume := unit.Volume(0)
	for _, n := range e.Loads {
		if n != next {
			c.Fatalf("fills load %d, want %d", n, next)
		}
		next++
		l := &c.p.Loads[n-1]
		if l.FillPoint != e.Place {
			c.Errorf("load %d is filled at %s, stated %s", n, e.Place, l.FillPoint)
		}
		volume += l.Fill
	}
	f := c.d.FillPoints[i]
	if want := f.HookUp + f.Flow.To(volume); math.Abs(float64(want-(e.Until-e.At))) > 1e-4 {
		c.Errorf("filling loads %v takes %v, want %v", e.Loads, e.Until-e.At, want)
	}
	return next
}

// workEvent holds a visit against its stop and the loads that it draws from.
func (c *checker) workEvent(t *plan.TruckDay, e *plan.Event, arrive unit.Time, open []int, worked map[int]unit.Time) {
	s := c.p.Stop(t.Truck, e.Stop)
	if s == nil || s.Property != e.Place || (len(e.Loads) == 0) != c.spread(s) || (len(e.Spread) == 0) == c.spread(s) {
		c.Fatalf("%s works at %q, stop %d, from loads %v", t.Truck, e.Place, e.Stop, e.Loads)
	}
	if worked[s.N] == 0 && (math.Abs(float64(arrive-s.Arrive)) > 1e-6 || e.At != s.Begin) {
		c.Errorf("stop %d: arrives at %v and begins at %v, stated %v and %v", s.N, arrive, e.At, s.Arrive, s.Begin)
	}
	volume := unit.Volume(0)
	for _, n := range open {
		for _, part := range c.p.Loads[n-1].Stops {
			if part.Stop == s.N {
				volume += part.Volume
				if !slices.Contains(e.Loads, n) {
					c.Errorf("stop %d is drawn from load %d, its event says %v", s.N, n, e.Loads)
				}
			}
		}
	}
	for _, n := range e.Loads {
		if !slices.Contains(open, n) {
			c.Errorf("stop %d is drawn from load %d; the tanks hold loads %v", s.N, n, open)
		}
	}
	setUp := c.dayStop(s).SetUp
	if n := len(c.p.Stops); n > 1 && c.joined(e) {
		setUp = 0
	}
	if c.spread(s) {
		c.spreadEvent(s, e, setUp)
		worked[s.N] = e.Until
		return
	}
	if want := setUp + (s.Service-c.dayStop(s).SetUp)*unit.Time(volume/s.Volume) + c.wayBack(s, e); math.Abs(float64(want-(e.Until-e.At))) > 1e-4 {
		c.Errorf("stop %d: %v of work for %v of %v, want %v", s.N, e.Until-e.At, volume, s.Volume, want)
	}
	worked[s.N] = e.Until
	last := &c.p.Loads[e.Loads[len(e.Loads)-1]-1]
	for _, part := range last.Stops {
		if part.Stop == s.N && part.Whole && e.Until != s.Done {
			c.Errorf("stop %d is done at %v, stated %v", s.N, e.Until, s.Done)
		}
	}
}

// wayBack is the walk from where a visit is broken off straight to the truck and out again.
func (c *checker) wayBack(s *plan.StopPlan, e *plan.Event) unit.Time {
	last := c.p.Loads[e.Loads[len(e.Loads)-1]-1].Stops
	for _, part := range last {
		if part.Stop != s.N || part.Whole || len(s.Map.Truck) == 0 {
			continue
		}
		line := s.Passes.List[part.ToPass-1].Line
		end := line[len(line)-1]
		return unit.Length(2 * math.Hypot(end[0]-s.Map.Truck[0], end[1]-s.Map.Truck[1])).Over(c.mix(s.Mix).Test.Pace)
	}
	return 0
}

// joined reports whether a visit goes on at the property of the visit just before it.
func (c *checker) joined(e *plan.Event) bool {
	for i := range c.p.Trucks {
		ev := c.p.Trucks[i].Events
		for k := range ev {
			if &ev[k] == e || ev[k].At == e.At && ev[k].Stop == e.Stop && ev[k].Kind == plan.Work && ev[k].Until == e.Until {
				return k > 0 && ev[k-1].Kind == plan.Work && ev[k-1].Place == e.Place
			}
		}
	}
	return false
}

func (c *checker) driving(road unit.Length) unit.Time {
	if road < 10*unit.Metre {
		return 0
	}
	return c.d.Travel.Access + road.Over(c.d.Travel.Speed)
}

func (c *checker) firstLoad(truck string) int {
	return 1 + slices.IndexFunc(c.p.Loads, func(l plan.Load) bool { return l.Truck == truck })
}

func (c *checker) mix(name string) *plan.MixPlan {
	i := slices.IndexFunc(c.p.Mixes, func(m plan.MixPlan) bool { return m.Name == name })
	if i < 0 {
		c.Fatalf("mix %q is not in the plan", name)
	}
	return &c.p.Mixes[i]
}

func (c *checker) tank(truck, name string) *plan.TankDay {
	for i := range c.p.Trucks {
		for k := range c.p.Trucks[i].Tanks {
			if c.p.Trucks[i].Truck == truck && c.p.Trucks[i].Tanks[k].Name == name {
				return &c.p.Trucks[i].Tanks[k]
			}
		}
	}
	return nil
}

// dayStop is the day's stop that became s: property and mix tell it.
func (c *checker) dayStop(s *plan.StopPlan) *plan.Stop {
	for i := range c.d.Stops {
		if st := &c.d.Stops[i]; st.Site.Property.ID == s.Property && st.Mix == s.Mix {
			return st
		}
	}
	c.Fatalf("stop %s with mix %s is not the day's", s.Property, s.Mix)
	return nil
}
