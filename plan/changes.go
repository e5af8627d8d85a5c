package plan

import (
	"fmt"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// DayChange is one thing that is otherwise in a plan than in the one before. Kind is a word for scripts: moved, order, time, load, left-out, in, mix-left or gone.
type DayChange struct {
	Kind string `json:"kind"`
	Text string `json:"text"`
}

// laterBy is a change of a stop's time that is worth a word.
const laterBy = 10 * unit.Minute

// Changes is what is otherwise in a plan, for the rest of a day, than in the morning's: stops moved to another truck, done in another order or at another
// time, left out now or put in, and loads of another size. Stops that are done are no change.
func Changes(before, after *Plan, done []StopPlan) []DayChange {
	out := []DayChange{}
	add := func(kind, format string, args ...any) {
		out = append(out, DayChange{kind, fmt.Sprintf(format, args...)})
	}
	is := func(list []StopPlan, s *StopPlan) *StopPlan {
		if k := slices.IndexFunc(list, func(x StopPlan) bool { return x.Property == s.Property && x.Mix == s.Mix }); k >= 0 {
			return &list[k]
		}
		return nil
	}
	rank := map[string]int{}
	for i := range after.Stops {
		s := &after.Stops[i]
		was := is(before.Stops, s)
		switch {
		case was == nil:
			add("in", "%s is now in: %s, stop %d, at %s", s.Name, s.Truck, s.N, Clock(s.Begin))
		case was.Truck != s.Truck:
			add("moved", "%s moves from %s to %s, stop %d, at %s", s.Name, was.Truck, s.Truck, s.N, Clock(s.Begin))
		default:
			if was.N < rank[s.Truck] {
				add("order", "%s comes later in the order of %s: stop %d", s.Name, s.Truck, s.N)
			}
			rank[s.Truck] = max(rank[s.Truck], was.N)
			if d := s.Begin - was.Begin; d >= laterBy || -d >= laterBy {
				add("time", "%s begins at %s, not at %s", s.Name, Clock(s.Begin), Clock(was.Begin))
			}
		}
	}
	for i := range after.LeftOut {
		l := &after.LeftOut[i]
		if is(before.Stops, &l.Stop) != nil {
			add("left-out", "%s is left out now: %s", l.Stop.Name, l.Why)
		}
	}
	for i := range before.Stops {
		s := &before.Stops[i]
		if is(after.Stops, s) == nil && is(done, s) == nil && !slices.ContainsFunc(after.LeftOut, func(l LeftOut) bool { return l.Stop.Property == s.Property && l.Stop.Mix == s.Mix }) {
			add("gone", "%s is not done today", s.Name)
		}
	}
	for i := range after.Loads {
		l := &after.Loads[i]
		if l.Held {
			continue
		}
		same := slices.ContainsFunc(before.Loads, func(b Load) bool {
			return b.Truck == l.Truck && b.Tank == l.Tank && b.Fill == l.Fill && b.Gauge == l.Gauge
		})
		if !same {
			add("load", "%s, %s: fill %s of %s to the %s mark", l.Truck, l.Tank, after.Units.Volume(l.Fill), l.Mix, after.Units.Volume(l.Gauge))
		}
	}
	if after.Leftover > 0 {
		add("mix-left", "%s of mix is left in the tanks with nowhere planned to go: spray it within its label on turf that still may have it, or keep it, agitated, only as long as the label allows", after.Units.Volume(after.Leftover))
	}
	return out
}

// MakeRest plans the rest of a day after some progress: the morning's plan is made again from the day, what is done is taken out, and the
// rest is planned with what the tanks hold. The Plan is nil when the list has an error in it.
func MakeRest(d *Day, g *Progress) (*Plan, problem.List) {
	morning, found := Make(d)
	if morning == nil {
		return nil, found
	}
	rest, told := RestOf(d, morning, g)
	if told.HasErrors() {
		told.Sort()
		return nil, told
	}
	p, found := Make(rest.Day)
	found = append(found, told...).Distinct()
	if p == nil {
		return nil, found
	}
	p.Problems = found
	p.Rest = &RestPlan{Morning: morning.Fingerprint, Done: rest.Done, Drifts: rest.Drifts, Changes: Changes(morning, p, rest.Done)}
	p.Fingerprint = p.fingerprint()
	return p, found
}
