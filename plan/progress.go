package plan

import (
	"fmt"
	"slices"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Progress is how far a day has come, as the crews or the office tell it.
type Progress struct {
	// Now is the clock, after midnight. Fingerprint is of the plan that the crews work from, "" when nobody said.
	Now         unit.Time
	Fingerprint string
	Trucks      []TruckProgress
	// Cannot are stops that cannot be done, or not now; Closed are fill points that give no water any more.
	Cannot []Cannot
	Closed []string
	// SprayUntil ends all spraying, 0 for no such end; NoFilling says that only what is in the tanks is to be sprayed out.
	SprayUntil unit.Time
	NoFilling  bool
	// Add are further stops.
	Add   []Stop
	Where string
}

// TruckProgress is how far one truck has come.
type TruckProgress struct {
	Truck string
	// Out says that it does no more today.
	Out bool
	// At is where it is, nil for where the plan has it.
	At *Place
	// Done are properties that are done, by id; DoneTo is the last visit number that is, 0 for none: together with Done.
	Done   []string
	DoneTo int
	// Begun is the property in hand with the passes that are done, "" for none.
	Begun  string
	Passes int
	Gauges []GaugeReading
	Where  string
}

// GaugeReading is what a tank's gauge shows. After is the property whose work it was read after, "" for now.
type GaugeReading struct {
	Tank  string
	Reads unit.Volume
	After string
	Where string
}

// Cannot is a stop that cannot be done, with the reason; From is when it may be tried again, 0 for not today.
type Cannot struct {
	Property string
	Why      string
	From     unit.Time
	Where    string
}

// Rest is what is left of a day, ready for Make, and what is known of what is done.
type Rest struct {
	Day *Day
	// Done are the stops that are done, with their figures in the morning's plan.
	Done []StopPlan
	// Drifts are how much more or less goes out than calibrated, by mix.
	Drifts []Drift
}

// Drift is what gauge readings say of a mix: Sprayed is what went out by the gauge, Planned what was to go out for the same passes. Factor is the
// one over the other; amounts of what is left are reckoned with it. Over says that it is more than the 5 % within which a calibration is accepted.
type Drift struct {
	Mix      string      `json:"mix"`
	Sprayed  unit.Volume `json:"sprayed_l"`
	Planned  unit.Volume `json:"planned_l"`
	Factor   float64     `json:"factor"`
	Over     bool        `json:"over_five_percent"`
	Readings int         `json:"readings"`
}

// Text is what the gauges say of a mix, and what to do, as every command prints it.
func (d Drift) Text(u unit.System) string {
	verdict := "within 5 %: what is left is reckoned with it"
	if d.Over {
		verdict = "OVER 5 %: stop, check pace and pressure, catch a new test"
	}
	return fmt.Sprintf("%s: the gauges say %s sprayed for %s planned, a factor of %s; %s", d.Mix, u.Volume(d.Sprayed), u.Volume(d.Planned), unit.Number(d.Factor, 3), verdict)
}

// RestOf is what is left of a day after some progress, the morning's plan p being the plan that was worked from. Done work is taken out, tanks hold what they are read or
// planned to hold, and the trucks go on from where they are, now. Everything that does not fit together is in the list.
func RestOf(d *Day, p *Plan, g *Progress) (*Rest, problem.List) {
	r := rester{d: *d, p: p, g: g, rest: &Rest{Done: []StopPlan{}, Drifts: []Drift{}}}
	r.check()
	r.d.Stops = nil
	r.d.Trucks = slices.Clone(d.Trucks)
	r.done()
	r.drift()
	r.stops(d)
	r.trucks()
	if g.NoFilling {
		r.d.NoFilling = true
	}
	r.d.FillPoints = slices.DeleteFunc(slices.Clone(d.FillPoints), func(f FillPoint) bool { return slices.Contains(g.Closed, f.Name) })
	r.d.Start = max(g.Now, d.Start)
	r.rest.Day = &r.d
	return r.rest, r.problems
}

// Drifts are what gauge readings say of a plan's mixes, without planning anything anew: the same as RestOf says. Readings that cannot be are in the list.
func Drifts(p *Plan, g *Progress) ([]Drift, problem.List) {
	r := rester{p: p, g: g, rest: &Rest{Drifts: []Drift{}}}
	for i := range p.Mixes {
		r.d.Mixes = append(r.d.Mixes, Mix{Name: p.Mixes[i].Name})
	}
	r.done()
	r.drift()
	return r.rest.Drifts, r.problems
}

type rester struct {
	d        Day
	p        *Plan
	g        *Progress
	rest     *Rest
	problems problem.List
	finished map[[2]string]bool // property and mix
	begun    map[[2]string]int  // passes done
}

func (r *rester) errorf(where, code, fix, format string, args ...any) {
	r.problems.Errorf(code, orElse(where, r.g.Where), fix, format, args...)
}

// check finds names that the day or the plan does not know.
func (r *rester) check() {
	if f := r.g.Fingerprint; f != "" && f != r.p.Fingerprint {
		r.errorf("", "other-plan", "Use the day file that the printed plan was made from.", "the progress is of plan %s, and this day file makes plan %s", f, r.p.Fingerprint)
	}
	for i := range r.g.Trucks {
		t := &r.g.Trucks[i]
		truck := byName(r.d.Trucks, t.Truck, func(x *Truck) string { return x.Name })
		if truck == nil {
			r.errorf(t.Where, "unknown-truck", "Name one of the day's trucks.", "there is no truck %q", t.Truck)
			continue
		}
		for _, id := range append(slices.Clone(t.Done), t.Begun) {
			if id != "" && !r.visits(t.Truck, id) {
				r.errorf(t.Where, "unknown-stop", "Name a property of the truck's plan.", "%s does not visit property %q", t.Truck, id)
			}
		}
		for _, q := range t.Gauges {
			if byName(truck.Tanks, q.Tank, func(k *Tank) string { return k.Name }) == nil {
				r.errorf(q.Where, "unknown-tank", "Name a tank of the truck.", "%s has no tank %q", t.Truck, q.Tank)
			}
		}
	}
	for _, c := range r.g.Cannot {
		if !slices.ContainsFunc(r.d.Stops, func(s Stop) bool { return s.Site != nil && s.Site.Property.ID == c.Property }) {
			r.errorf(c.Where, "unknown-stop", "Name a property of the day.", "there is no stop at property %q", c.Property)
		}
	}
	for _, name := range r.g.Closed {
		if byName(r.d.FillPoints, name, func(f *FillPoint) string { return f.Name }) == nil {
			r.errorf("", "unknown-fill-point", "Name one of the day's fill points.", "there is no fill point %q", name)
		}
	}
}

func (r *rester) visits(truck, id string) bool {
	return slices.ContainsFunc(r.p.Stops, func(s StopPlan) bool { return s.Truck == truck && s.Property == id })
}

// done finds which stops are done, and which are begun.
func (r *rester) done() {
	r.finished, r.begun = map[[2]string]bool{}, map[[2]string]int{}
	for _, t := range r.g.Trucks {
		for i := range r.p.Stops {
			s := &r.p.Stops[i]
			if s.Truck != t.Truck {
				continue
			}
			key := [2]string{s.Property, s.Mix}
			switch {
			case slices.Contains(t.Done, s.Property) || s.N <= t.DoneTo || r.spreadAtDone(s, t.DoneTo):
				r.finished[key] = true
				r.rest.Done = append(r.rest.Done, *s)
			case s.Property == t.Begun && t.Passes > 0 && !r.spreadBeside(s):
				if t.Passes >= s.Passes.Count {
					r.errorf(t.Where, "all-passes-done", "Put it among the done.", "%s has %d passes, and %d are said to be done", s.Name, s.Passes.Count, t.Passes)
				}
				r.begun[key] = t.Passes
			}
		}
	}
}

// spreadAtDone reports whether a stop is granules on a property of which its truck has done something else, as the last visit number says: they are
// done with it, for both are one visit to the crew.
func (r *rester) spreadAtDone(s *StopPlan, doneTo int) bool {
	return r.p.mix(s.Mix).Granules != nil && slices.ContainsFunc(r.p.Stops, func(x StopPlan) bool {
		return x.Truck == s.Truck && x.Property == s.Property && x.N <= doneTo && r.p.mix(x.Mix).Granules == nil
	})
}

// spreadBeside reports whether a stop is granules on a property where its truck also sprays: the passes that are begun are those of the spraying.
func (r *rester) spreadBeside(s *StopPlan) bool {
	return r.p.mix(s.Mix).Granules != nil && slices.ContainsFunc(r.p.Stops, func(x StopPlan) bool {
		return x.Truck == s.Truck && x.Property == s.Property && r.p.mix(x.Mix).Granules == nil
	})
}

// stops are what is left to do.
func (r *rester) stops(d *Day) {
	out := map[string]bool{} // trucks that do no more
	for _, t := range r.g.Trucks {
		out[t.Truck] = t.Out
		if t.Out {
			r.d.Orders = nil // others take over
		}
	}
	if len(r.g.Add) > 0 {
		r.d.Orders = nil // they do not know of it
	}
	for _, s := range append(slices.Clone(d.Stops), r.g.Add...) {
		if s.Site == nil || s.Site.Property == nil {
			r.d.Stops = append(r.d.Stops, s)
			continue
		}
		key := [2]string{s.Site.Property.ID, s.Mix}
		if r.finished[key] {
			continue
		}
		s.DonePasses = r.begun[key]
		if s.DonePasses > 0 {
			s.First, s.Last = true, false // it is gone on with
		}
		if k := slices.IndexFunc(r.g.Cannot, func(c Cannot) bool { return c.Property == s.Site.Property.ID }); k >= 0 {
			if r.g.Cannot[k].From == 0 {
				continue
			}
			s.From, s.First = max(s.From, r.g.Cannot[k].From), false
		}
		if out[s.Truck] {
			s.Truck = ""
		}
		r.d.Stops = append(r.d.Stops, s)
	}
}

// trucks go on from where they are, with what is in their tanks.
func (r *rester) trucks() {
	kept := r.d.Trucks[:0]
	for i := range r.d.Trucks {
		t := r.d.Trucks[i]
		g := byName(r.g.Trucks, t.Name, func(x *TruckProgress) string { return x.Truck })
		if g != nil && g.Out {
			continue
		}
		if r.g.SprayUntil > 0 {
			t.Until, t.NoOvertime = r.g.SprayUntil, true
		}
		if g != nil {
			r.whereabouts(&t, g)
			t.Tanks = slices.Clone(t.Tanks)
			for k := range t.Tanks {
				r.inTank(&t, &t.Tanks[k], g)
			}
		}
		kept = append(kept, t)
	}
	r.d.Trucks = kept
}

// whereabouts is where the truck is: where it is said to be, else at the last stop that is done or begun.
func (r *rester) whereabouts(t *Truck, g *TruckProgress) {
	if g.At != nil {
		t.Start = g.At
		return
	}
	last := 0
	for i := range r.p.Stops {
		s := &r.p.Stops[i]
		key := [2]string{s.Property, s.Mix}
		if s.Truck == t.Name && (r.finished[key] || r.begun[key] > 0) && s.N > last {
			last = s.N
			t.Start = &Place{Name: s.Name, At: [2]float64{s.Lon, s.Lat}, Where: t.Where}
		}
	}
}

// inTank is what a tank has in it: what its gauge is read to show now, else what the plan has left in it.
func (r *rester) inTank(t *Truck, k *Tank, g *TruckProgress) {
	load, reading := r.inPlan(t.Name, k.Name)
	for _, q := range g.Gauges {
		if q.Tank == k.Name {
			reading = q.Reads
		}
	}
	if load == nil {
		return
	}
	k.Holds = &Held{Mix: load.Mix, Reading: min(reading, k.Capacity)}
}

// inPlan is the load that is in a tank by the plan, and what its gauge should show after the work that is done.
func (r *rester) inPlan(truck, tank string) (*Load, unit.Volume) {
	var in *Load
	reading := unit.Volume(0)
	for i := range r.p.Loads {
		l := &r.p.Loads[i]
		if l.Truck != truck || l.Tank != tank {
			continue
		}
		used, some := unit.Volume(0), r.filledBy(l)
		for _, s := range l.Stops {
			v := r.doneOf(l, s)
			used, some = used+v, some || v > 0
		}
		if some {
			in, reading = l, r.p.Units.RoundVolume(l.Gauge-used)
		}
	}
	return in, reading
}

// filledBy reports whether a load was filled by now: another load of the same fill visit is in use, or by the plan's clock the visit is over and all work before it is done.
func (r *rester) filledBy(l *Load) bool {
	for i := range r.p.Trucks {
		if r.p.Trucks[i].Truck != l.Truck {
			continue
		}
		behind := true
		for _, e := range r.p.Trucks[i].Events {
			switch {
			case e.Kind == Work:
				s := r.p.Stop(l.Truck, e.Stop)
				behind = behind && s != nil && r.finished[[2]string{s.Property, s.Mix}]
			case e.Kind == Fill && slices.Contains(e.Loads, l.N):
				return behind && e.Until <= r.g.Now || slices.ContainsFunc(e.Loads, r.inUse)
			}
		}
	}
	return false
}

// inUse reports whether some of a load is sprayed.
func (r *rester) inUse(n int) bool {
	l := &r.p.Loads[n-1]
	return slices.ContainsFunc(l.Stops, func(s LoadStop) bool { return r.doneOf(l, s) > 0 })
}

// doneOf is what a load has sprayed at a stop.
func (r *rester) doneOf(l *Load, ls LoadStop) unit.Volume {
	s := r.p.Stop(l.Truck, ls.Stop)
	if s == nil {
		return 0
	}
	key := [2]string{s.Property, s.Mix}
	switch n := r.begun[key]; {
	case r.finished[key] || ls.Whole && n >= ls.ToPass || n >= ls.ToPass && ls.DryAt == 0:
		return ls.Volume
	case n >= ls.FromPass:
		before := unit.Volume(0)
		if ls.FromPass > 1 {
			before = s.Passes.List[ls.FromPass-2].SoFar
		}
		return min(ls.Volume, r.p.Units.RoundVolume(s.Passes.List[n-1].SoFar-before))
	}
	return 0
}

// A drift beyond these is no drift: a reading is wrong, or what was done is not all entered.
const (
	leastDrift = 2.0 / 3
	mostDrift  = 1.5
)

// drift holds the readings against the plan.
func (r *rester) drift() {
	type sum struct {
		sprayed, planned unit.Volume
		n                int
	}
	sums := map[string]*sum{}
	for _, t := range r.g.Trucks {
		for _, q := range t.Gauges {
			l, planned := r.readAfter(t.Truck, q)
			if l == nil || planned >= l.Gauge {
				continue
			}
			if q.Reads > l.Gauge {
				r.errorf(q.Where, "gauge-over-fill", "Read it again, or say which tank it is.", "tank %s reads %s, and load %d was filled to %s", q.Tank, r.p.Units.Volume(q.Reads), l.N, r.p.Units.Volume(l.Gauge))
				continue
			}
			s := sums[l.Mix]
			if s == nil {
				s = &sum{}
				sums[l.Mix] = s
			}
			s.sprayed, s.planned, s.n = s.sprayed+l.Gauge-q.Reads, s.planned+l.Gauge-planned, s.n+1
		}
	}
	r.d.Mixes = slices.Clone(r.d.Mixes)
	for i := range r.d.Mixes {
		m := &r.d.Mixes[i]
		s := sums[m.Name]
		if s == nil {
			continue
		}
		f, over := calibrate.Drift(s.sprayed, s.planned)
		r.rest.Drifts = append(r.rest.Drifts, Drift{Mix: m.Name, Sprayed: s.sprayed, Planned: s.planned, Factor: f, Over: over, Readings: s.n})
		m.Drift = f
		word := "more"
		if f < 1 {
			word = "less"
		}
		what := fmt.Sprintf("by %s, %s of mix %s went out where %s were planned: %s %% %s than calibrated", plural(s.n, "gauge reading"), r.p.Units.Volume(s.sprayed), m.Name, r.p.Units.Volume(s.planned),
			unit.Number(100*max(f-1, 1-f), 1), word)
		if f < leastDrift || f > mostDrift {
			r.errorf(m.Where, "drift-implausible", "Read the gauge again, enter what was skipped or done, or take the reading back: nothing is planned with it.", "%s", what)
			continue
		}
		if over {
			r.problems.Warnf("drift-over-five-percent", orElse(m.Where, r.g.Where), "Stop: check pace, pressure and leaks, and catch a new test.", "%s; over 5 %% a calibration does not hold", what)
			continue
		}
		r.problems.Notef("drift", orElse(m.Where, r.g.Where), "Mind pace and pressure.", "%s; within 5 %%, and what is left is reckoned with it", what)
	}
}

func plural(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// gaugeAfter is what a load's gauge is to show after a visit: less what was sprayed of it up to there. What was skipped on the way is in the tank still.
func (r *rester) gaugeAfter(l *Load, visit int) unit.Volume {
	used := unit.Volume(0)
	for _, s := range l.Stops {
		used += r.doneOf(l, s)
		if s.Stop == visit {
			break
		}
	}
	return r.p.Units.RoundVolume(l.Gauge - used)
}

// readAfter is the load that a reading is of, and what the plan has the gauge show there.
func (r *rester) readAfter(truck string, q GaugeReading) (*Load, unit.Volume) {
	if q.After == "" {
		return r.inPlan(truck, q.Tank)
	}
	for i := range r.p.Loads {
		l := &r.p.Loads[i]
		for _, s := range l.Stops {
			if l.Truck == truck && l.Tank == q.Tank && s.Property == q.After && s.Whole {
				return l, r.gaugeAfter(l, s.Stop)
			}
		}
	}
	r.errorf(q.Where, "unknown-stop", "Name a property that the tank's mix is sprayed on.", "no load of tank %q ends its work at property %q", q.Tank, q.After)
	return nil, 0
}
