package plan

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Make plans the day. The Plan is nil when the list has an error in it: a plan that is given
// is whole. Warnings and notes are in the list and in the Plan.
func Make(d *Day) (*Plan, problem.List) {
	m := maker{day: d, plan: &Plan{Date: d.Date, Outfit: d.Outfit, Contact: d.Contact, Invented: d.Invented, Units: d.Units}}
	m.check()
	m.mixes()
	m.stops()
	m.seasons()
	m.licences()
	m.buffers()
	if !m.problems.HasErrors() {
		m.trucks()
	}
	m.problems = m.problems.Distinct()
	if m.problems.HasErrors() {
		return nil, m.problems
	}
	p := m.plan
	p.Problems = m.problems
	if p.LeftOut == nil {
		p.LeftOut = []LeftOut{}
	}
	p.totals()
	p.Fingerprint = p.fingerprint()
	return p, m.problems
}

// maker builds one plan.
type maker struct {
	day      *Day
	plan     *Plan
	problems problem.List
	carried  []carried // as plan.Mixes
	work     []work    // as plan.Stops
}

// totals sums what the trucks' loads and stops come to.
func (p *Plan) totals() {
	ticks := func(v unit.Volume) int { return toTicks(v, p.Units) }
	sum := 0
	for i := range p.Loads {
		l := &p.Loads[i]
		sum += ticks(l.Volume)
		mix := p.mix(l.Mix)
		for k := range l.Products {
			mix.Products[k].Total = mix.Products[k].Total.Plus(l.Products[k].Amount)
		}
	}
	p.granuleTotals()
	p.Volume = fromTicks(sum, p.Units)
	heel := 0
	for i := range p.Loads {
		if l := &p.Loads[i]; l.Fill > 0 && l.Before == 0 { // the tank was clean
			heel += ticks(p.heelOf(l))
		}
	}
	p.Heel = fromTicks(heel, p.Units)
	perMix := map[string]int{}
	for i := range p.Stops {
		perMix[p.Stops[i].Mix] += ticks(p.Stops[i].Volume)
	}
	for i := range p.Mixes {
		p.Mixes[i].Volume = fromTicks(perMix[p.Mixes[i].Name], p.Units)
	}
	for i := range p.Trucks {
		t := &p.Trucks[i]
		p.Minutes += t.busy().In(unit.Minute)
	}
	if over := p.BoundMinutes - p.Minutes; over > 0 && over < 1e-9*p.Minutes { // the same sum in another order
		p.BoundMinutes = p.Minutes
	}
}

// busy is the truck's time without waiting and lunch, which Plan.Minutes adds up.
func (t *TruckDay) busy() unit.Time { return t.Drive + t.Fill + t.Rinse + t.Work }

// heelOf is the heel of the tank of a load.
func (p *Plan) heelOf(l *Load) unit.Volume {
	for i := range p.Trucks {
		if p.Trucks[i].Truck == l.Truck {
			if k := byName(p.Trucks[i].Tanks, l.Tank, func(t *TankDay) string { return t.Name }); k != nil {
				return k.Heel
			}
		}
	}
	return 0
}

// mix is the plan of the named mix, which must be in use.
func (p *Plan) mix(name string) *MixPlan {
	return &p.Mixes[slices.IndexFunc(p.Mixes, func(m MixPlan) bool { return m.Name == name })]
}

// Stop is the stop that the truck visits as its n-th, or nil.
func (p *Plan) Stop(truck string, n int) *StopPlan {
	for i := range p.Stops {
		if p.Stops[i].Truck == truck && p.Stops[i].N == n {
			return &p.Stops[i]
		}
	}
	return nil
}

// fingerprint is the head of a SHA-256 of the plan's JSON without its problems, which whoever read the day may add their own to, and without places in
// the user's files: the same day is the same plan out of any file.
func (p *Plan) fingerprint() string {
	bare := *p
	bare.Fingerprint, bare.Problems = "", nil
	bare.Stops = placeless(p.Stops)
	bare.LeftOut = slices.Clone(p.LeftOut)
	for i := range bare.LeftOut {
		bare.LeftOut[i].Stop = placeless([]StopPlan{bare.LeftOut[i].Stop})[0]
	}
	if p.Rest != nil {
		rest := *p.Rest
		rest.Done = placeless(rest.Done)
		bare.Rest = &rest
	}
	b, err := json.Marshal(bare)
	if err != nil {
		return "" // a number that cannot be written: Make's checks leave none
	}
	h := sha256.Sum256(b)
	return hex.EncodeToString(h[:5])
}

// placeless are stops without the places in files that their limits are from.
func placeless(list []StopPlan) []StopPlan {
	list = slices.Clone(list)
	for i := range list {
		s := &list[i].Season
		s.Limits = slices.Clone(s.Limits)
		for k := range s.Limits {
			s.Limits[k].Where = ""
		}
	}
	return list
}

// toTicks counts a volume in the system's smallest printed step; the volume must be a whole number of them.
func toTicks(v unit.Volume, s unit.System) int { return int(unit.Round(v.In(s.VolumeStep()), 1)) }

func fromTicks(n int, s unit.System) unit.Volume {
	return s.RoundVolume(unit.Volume(n) * s.VolumeStep())
}

// byName finds the element whose name is want, or nil.
func byName[T any](list []T, want string, name func(*T) string) *T {
	for i := range list {
		if name(&list[i]) == want {
			return &list[i]
		}
	}
	return nil
}

// visitOrder sorts the stops by truck as the day lists them, then by visit number.
func (m *maker) visitOrder() {
	rank := map[string]int{}
	for i, t := range m.day.Trucks {
		rank[t.Name] = i
	}
	slices.SortStableFunc(m.plan.Stops, func(a, b StopPlan) int {
		return cmp.Or(cmp.Compare(rank[a.Truck], rank[b.Truck]), cmp.Compare(a.N, b.N))
	})
}
