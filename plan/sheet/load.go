package sheet

import (
	"fmt"
	"strings"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// loadPage says what goes into each tank, what to carry, where to go and when.
func (w *writer) loadPage() Page {
	pg := Page{
		Title:    "Load sheet: " + named("truck", w.day.Truck),
		Subtitle: fmt.Sprintf("%s  ·  %s  ·  start %s, back %s", w.p.Date, w.p.Outfit, w.clock(w.day.Start), w.clock(w.day.Finish)),
	}
	pg.Blocks = append(pg.Blocks, w.summary(), Text{Style: Strong,
		Text: "The product label overrides this sheet. Read \"Before you mix\", at the end of this load sheet, first."})
	pg.Blocks = append(pg.Blocks, w.warnings(w.p.Problems)...)
	for _, l := range w.loads {
		pg.Blocks = append(pg.Blocks, w.load(l)...)
	}
	pg.Blocks = append(pg.Blocks, w.carry()...)
	pg.Blocks = append(pg.Blocks, w.route()...)
	pg.Blocks = append(pg.Blocks, w.time()...)
	for i := range w.p.Mixes {
		if m := &w.p.Mixes[i]; w.uses(m.Name) {
			pg.Blocks = append(pg.Blocks, w.calibration(m)...)
		}
	}
	pg.Blocks = append(pg.Blocks, w.leftover()...)
	pg.Blocks = append(pg.Blocks, Heading{Text: "Before you mix", Together: true})
	var list []Block
	for i, c := range cautions {
		list = append(list, Text{Text: fmt.Sprintf("%d. %s", i+1, c)})
	}
	half := len(list) / 2
	pg.Blocks = append(pg.Blocks, Beside{Left: list[:half], Right: list[half:], Share: 0.5})
	return pg
}

func (w *writer) summary() Block {
	var sum unit.Volume
	for _, l := range w.loads {
		sum += l.Volume
	}
	return Figures{Items: []Figure{
		{"Stops", fmt.Sprint(len(w.stops))},
		{"Tank loads", fmt.Sprint(len(w.loads))},
		{"Refill trips", fmt.Sprint(w.day.Refills)},
		{"Mix on turf", w.u.Volume(sum)},
	}}
}

// warnings prints what the reader must know before trusting the figures.
func (w *writer) warnings(list problem.List) []Block {
	var out []Block
	for _, p := range list {
		if p.Severity != problem.Note {
			out = append(out, Text{Text: fmt.Sprintf("CHECK: %s: %s. %s", p.Where, strings.TrimSuffix(p.What, "."), p.Fix), Style: Warned})
		}
	}
	return out
}

// load is the filling of one tank, in the order of doing, and where it goes.
func (w *writer) load(l *plan.Load) []Block {
	m := w.mixes[l.Mix]
	steps := Steps{Items: []Step{{
		Text:   "Water to about half, agitation on",
		Amount: "gauge about " + w.about(l.Gauge-l.Fill/2),
		Note:   w.heelNote(l),
	}}}
	for i, lp := range l.Products {
		steps.Items = append(steps.Items, w.addStep(l, m, i, lp))
	}
	steps.Items = append(steps.Items, Step{
		Text:   "Top up with water to this gauge reading",
		Amount: w.u.Volume(l.Gauge),
		Note:   fmt.Sprintf("This fill is %s of mix. On turf: %s, which covers %s at %s.", w.u.Volume(l.Fill), w.u.Volume(l.Volume), w.u.Area(l.Covers), w.u.CarrierRate(m.Carrier)),
	})
	return []Block{
		Heading{Text: fmt.Sprintf("Load %d: %s, mix %s, at %s", l.N, named("tank", l.Tank), l.Mix, l.FillPoint), Together: true},
		steps,
		w.covers(l),
	}
}

func (w *writer) heelNote(l *plan.Load) string {
	heel := l.Gauge - l.Volume
	order := ""
	if len(l.Products) > 1 {
		order = " Then the products in this order, unless a label says otherwise."
	}
	switch {
	case w.u.RoundVolume(heel) == 0:
		return strings.TrimSpace(order)
	case w.first(l):
		return fmt.Sprintf("First load of this tank, empty till now: it brings the heel of %s, which the pump cannot draw, as well.%s", w.u.Volume(heel), order)
	}
	return fmt.Sprintf("The tank still holds its heel of %s, already mixed: no product for that part.%s", w.u.Volume(heel), order)
}

// about prints a volume for a mark that need not be met exactly.
func (w *writer) about(v unit.Volume) string {
	if w.u == unit.Metric {
		return unit.Number(v.In(unit.Litre), 0) + " L"
	}
	return unit.Number(v.In(unit.Gallon), 0) + " gal"
}

func (w *writer) addStep(l *plan.Load, m *plan.MixPlan, i int, lp plan.LoadProduct) Step {
	s := Step{Text: "Add " + lp.Name, Amount: w.amount(lp.Amount)}
	var notes []string
	if j := w.jugs(lp.Amount); j != "" {
		notes = append(notes, "That is "+j)
	}
	if p := w.product(m, lp.Name); p != nil {
		notes = append(notes, w.working(l.Fill, m.Carrier, p.Rate, lp.Amount))
		if c := classWords[p.Class]; c != "" {
			notes = append(notes, "It is a "+c)
		}
	}
	s.Note = strings.Join(notes, ". ")
	return s
}

// covers lists the stops of a load with the gauge reading after each.
func (w *writer) covers(l *plan.Load) Block {
	t := Table{Columns: []Column{{"Stop", Right}, {"Name", Left}, {"Passes", Left}, {"Volume", Right}, {"Gauge after", Right}, {"Then", Left}}}
	for i := range l.Stops {
		ls := &l.Stops[i]
		n, which := "-", passes(ls.FromPass, ls.ToPass)
		if s := w.stopOf(ls.Property, l.Mix); s != nil {
			n = fmt.Sprint(s.N)
			if ls.Whole && !w.continued(l, i) {
				which = fmt.Sprintf("all %d", s.Passes.Count)
			}
		}
		t.Rows = append(t.Rows, Row{Bold: !ls.Whole, Cells: []string{n, ls.Name, which, w.u.Volume(ls.Volume), w.u.Volume(ls.Gauge), w.then(l, i)}})
	}
	t.Rows = append(t.Rows, Row{Cells: []string{"", "Sum", "", w.u.Volume(l.Volume), "", ""}, Bold: true})
	return t
}

// then says how a stop stands when this load's part of it is done.
func (w *writer) then(l *plan.Load, i int) string {
	ls := &l.Stops[i]
	state := "stop done"
	switch {
	case !ls.Whole && ls.DryAt > 0:
		state = fmt.Sprintf("RUNS DRY %s into pass %d", w.u.Length(ls.DryAt), ls.ToPass)
	case !ls.Whole:
		state = fmt.Sprintf("RUNS DRY after pass %d", ls.ToPass)
	case w.continued(l, i):
		state = "rest of the stop, done"
	default:
		state = "whole stop, done"
	}
	if ls.Whole && i == len(l.Stops)-1 {
		state += "; load used up"
	}
	return state
}

// continued reports whether an earlier load began this stop.
func (w *writer) continued(l *plan.Load, i int) bool {
	if s := w.stopOf(l.Stops[i].Property, l.Mix); s != nil {
		parts := w.parts(s)
		return len(parts) > 0 && parts[0].load != l
	}
	return l.Stops[i].FromPass > 1
}

// carry sums each product over the truck's loads, as printed.
func (w *writer) carry() []Block {
	type sum struct {
		name, reg string
		a         label.Amount
		loads     []string
	}
	var sums []*sum
	for _, l := range w.loads {
		for _, lp := range l.Products {
			var s *sum
			for _, have := range sums {
				if have.name == lp.Name {
					s = have
				}
			}
			if s == nil {
				s = &sum{name: lp.Name}
				if p := w.product(w.mixes[l.Mix], lp.Name); p != nil {
					s.reg = p.Registration
				}
				sums = append(sums, s)
			}
			s.a.Liquid += lp.Amount.Liquid
			s.a.Dry += lp.Amount.Dry
			s.loads = append(s.loads, fmt.Sprintf("load %d: %s", l.N, w.amount(lp.Amount)))
		}
	}
	if len(sums) == 0 {
		return nil
	}
	t := Table{Columns: []Column{{"Product", Left}, {"Registration", Left}, {"Carry in all", Right}, {"Which is", Right}, {"Where it goes", Left}}}
	for _, s := range sums {
		t.Rows = append(t.Rows, Row{Cells: []string{s.name, orDash(s.reg), w.amount(s.a), orDash(w.jugs(s.a)), strings.Join(s.loads, ", ")}})
	}
	return []Block{Heading{Text: "Put on the truck", Together: true}, t}
}

func (w *writer) uses(mix string) bool {
	for _, s := range w.stops {
		if s.Mix == mix {
			return true
		}
	}
	for _, l := range w.loads {
		if l.Mix == mix {
			return true
		}
	}
	return false
}

// leftover says what is in the tanks at night and what to do with it.
func (w *writer) leftover() []Block {
	used := map[string]bool{}
	for _, l := range w.loads {
		used[l.Tank] = true
	}
	var heels []string
	for _, t := range w.day.Tanks {
		if used[t.Name] && w.u.RoundVolume(t.Heel) > 0 {
			heels = append(heels, fmt.Sprintf("%s %s of %s", named("tank", t.Name), w.u.Volume(t.Heel), t.Mix))
		}
	}
	out := []Block{Heading{Text: "End of the day", Together: true}}
	if len(heels) == 0 {
		return append(out, Text{Text: "The tanks should be empty. Rinse them as the labels say and use the rinse water only on turf that the labels allow, within their rates."})
	}
	return append(out, Text{Text: fmt.Sprintf("Left in the tanks, out of the pump's reach: %s. Nothing else should be left. Keep it only for the same mix, and only as long as the labels allow; otherwise dilute and spray it on turf that the labels allow, within their rates. Never into a drain, a ditch or bare ground.", strings.Join(heels, "; "))})
}
