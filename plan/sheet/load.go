package sheet

import (
	"fmt"
	"strings"

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
	pg.Blocks = append(pg.Blocks, w.summary())
	pg.Blocks = append(pg.Blocks, w.warnings(w.p.Problems)...)
	pg.Blocks = append(pg.Blocks, w.carry()...)
	pg.Blocks = append(pg.Blocks, listed("Before you mix", cautions)...)
	pg.Blocks = append(pg.Blocks, w.protective()...)
	pg.Blocks = append(pg.Blocks, w.unrecorded()...)
	for i := range w.p.Mixes {
		if m := &w.p.Mixes[i]; w.uses(m.Name) {
			pg.Blocks = append(pg.Blocks, w.calibration(m)...)
		}
	}
	for _, l := range w.loads {
		pg.Blocks = append(pg.Blocks, w.load(l)...)
	}
	pg.Blocks = append(pg.Blocks, w.granules()...)
	pg.Blocks = append(pg.Blocks, w.route()...)
	pg.Blocks = append(pg.Blocks, Heading{Text: "Overview", Together: true}, w.overview())
	pg.Blocks = append(pg.Blocks, w.time()...)
	if len(w.loads) > 0 || !w.spreads() {
		pg.Blocks = append(pg.Blocks, listed(gaugeOffHeading, gaugeOff)...)
		pg.Blocks = append(pg.Blocks, w.leftover()...)
	}
	pg.Blocks = append(pg.Blocks, dayRecord()...)
	return pg
}

// dayRecord is the blanks of the day: weather, which many rules want beside each application and which changes over a day, times and signatures.
func dayRecord() []Block {
	t := Table{Tall: true, Columns: []Column{{Head: "Weather", Align: Left}, {Head: "Time", Blank: true}, {Head: "Wind speed", Blank: true}, {Head: "Wind from", Blank: true},
		{Head: "Taken at height", Blank: true}, {Head: "Air temperature", Blank: true}, {Head: "Sky, soil", Blank: true}}}
	for _, when := range []string{"Before the first stop", "Midday", "After the last stop"} {
		t.Rows = append(t.Rows, Row{Cells: []string{when}})
	}
	return []Block{
		Heading{Text: "Written down by the crew", Together: true}, t,
		Fields{Items: []Field{
			{"Left the yard at", 1}, {"Back at", 1}, {"Odometer out", 1}, {"Odometer back", 1},
			{"Mixed by", 2}, {"Applied by", 2}, {"Spills, faults, what was not done", 4}, {"Signature", 2}, {"Checked in the office", 2},
		}},
	}
}

// listed prints numbered sentences in two columns under a heading.
func listed(heading string, sentences []string) []Block {
	var list []Block
	for i, s := range sentences {
		list = append(list, Text{Text: fmt.Sprintf("%d. %s", i+1, s)})
	}
	half := (len(list) + 1) / 2
	return []Block{Heading{Text: heading, Together: true}, Beside{Left: list[:half], Right: list[half:], Share: 0.5}}
}

func (w *writer) summary() Block {
	var sum unit.Volume
	for _, l := range w.loads {
		sum += l.Volume
	}
	f := Figures{Items: []Figure{
		{"Stops", fmt.Sprint(len(w.stops))},
		{"Tank loads", fmt.Sprint(len(w.loads))},
		{"Refill trips", fmt.Sprint(w.day.Refills)},
		{"Mix on turf", w.u.Volume(sum)},
	}}
	if w.spreads() {
		bags := unit.Mass(0)
		for _, s := range w.stops {
			for _, p := range s.Products {
				if w.spread(s) {
					bags += p.Amount.Dry
				}
			}
		}
		f.Items = append(f.Items[:2:2], Figure{"Mix on turf", w.u.Volume(sum)}, Figure{"Granules", w.u.Mass(bags)})
	}
	return f
}

// warnings prints what the reader must know before trusting the figures; what is said of several places stands once.
func (w *writer) warnings(list problem.List) []Block {
	type finding struct{ what, fix string }
	places := map[finding][]string{}
	var order []finding
	for _, p := range list {
		if p.Severity != problem.Note {
			f := finding{strings.TrimSuffix(p.What, "."), p.Fix}
			if places[f] == nil {
				order = append(order, f)
			}
			places[f] = append(places[f], p.Where)
		}
	}
	var out []Block
	for _, f := range order {
		where := places[f]
		if n := len(where); n > 3 {
			where = append(where[:2:2], fmt.Sprintf("%d more", n-2))
		}
		out = append(out, Text{Text: fmt.Sprintf("CHECK: %s. %s [%s]", upper(f.what), f.fix, strings.Join(where, ", ")), Style: Warned})
	}
	return out
}

// load is the filling of one tank, in the order of doing, and where it goes.
func (w *writer) load(l *plan.Load) []Block {
	m := w.mixes[l.Mix]
	if l.Held {
		return []Block{
			Heading{Text: fmt.Sprintf("Load %d: %s, mix %s, in the tank already", l.N, named("tank", l.Tank), l.Mix), Together: true},
			Text{Text: fmt.Sprintf("Fill nothing. The gauge should read %s to begin with; %s goes on turf.", w.u.Volume(l.Gauge), w.u.Volume(l.Volume)), Style: Strong},
			w.covers(l), w.whenUsed(l),
		}
	}
	steps := Steps{Items: append(w.rinse(l), Step{
		Text:   "Water to about half, agitation on",
		Amount: "gauge about " + w.about(l.StartGauge),
		Note:   w.heelNote(l),
	})}
	at := l.StartGauge
	for _, lp := range l.Products {
		steps.Items = append(steps.Items, w.addStep(l, m, lp, at))
		at = max(at, lp.Gauge)
	}
	steps.Items = append(steps.Items, Step{
		Text:   "Top up with water to this gauge reading",
		Amount: w.u.Volume(l.Gauge),
		Note:   fmt.Sprintf("This fill makes %s of mix; %s goes on turf: %s at %s.", w.u.Volume(l.Fill), w.u.Volume(l.Volume), w.u.Area(l.Covers), w.u.CarrierRate(m.Carrier)),
	})
	return []Block{
		Heading{Text: fmt.Sprintf("Load %d: %s, %s, mix %s", l.N, named("tank", l.Tank), w.filling(l), l.Mix), Together: true},
		Text{Text: w.when(l), Style: Strong},
		steps,
		w.covers(l), w.whenUsed(l),
	}
}

// whenUsed says what comes when a load is used up: the next filling of its tank, or nothing more.
func (w *writer) whenUsed(l *plan.Load) Block {
	for _, next := range w.loads {
		if next.N <= l.N || next.Tank != l.Tank {
			continue
		}
		for i := range w.day.Events {
			if e := &w.day.Events[i]; e.Kind == plan.Fill && contains(e.Loads, next.N) {
				return Text{Style: Strong, Text: fmt.Sprintf("Then fill load %d into %s at %s, about %s.", next.N, named("tank", l.Tank), e.Place, w.clock(e.At))}
			}
		}
	}
	return Text{Style: Strong, Text: fmt.Sprintf("Then %s is done for the day: see \"End of the day\".", named("tank", l.Tank))}
}

// filling says which of its tank's fillings a load is: "filling 2 of 3".
func (w *writer) filling(l *plan.Load) string {
	n, all := 0, 0
	for _, x := range w.loads {
		if x.Tank != l.Tank || x.Held {
			continue
		}
		if all++; x.N <= l.N {
			n++
		}
	}
	return fmt.Sprintf("filling %d of %d", n, all)
}

func (w *writer) heelNote(l *plan.Load) string {
	order := ""
	if len(l.Products) > 1 {
		order = " Add in this order, unless a label says otherwise."
	}
	if l.Before > 0 {
		return fmt.Sprintf("The %s in the tank is mixed already and needs no product.%s", w.u.Volume(l.Before), order)
	}
	heel := w.u.RoundVolume(l.Fill - l.Volume - l.Extra)
	if heel <= 0 {
		return strings.TrimSpace(order)
	}
	return fmt.Sprintf("The tank is empty. This fill also makes the %s that stays in it.%s", w.u.Volume(heel), order)
}

// rinse is the step before filling a tank that changes its mix; nil where it does not.
func (w *writer) rinse(l *plan.Load) []Step {
	for i := range w.day.Events {
		e := &w.day.Events[i]
		if e.Kind != plan.Fill || !contains(e.Loads, l.N) {
			continue
		}
		for _, r := range e.Rinses {
			if r.Tank == l.Tank {
				return []Step{{Text: "RINSE the tank, hose and gun first: " + r.From + " was in it", Amount: unit.Minutes(r.Time),
					Note: "As the labels say. Spray the rinse water on turf that both labels allow, within their rates; never into a drain or a ditch."}}
			}
		}
	}
	return nil
}

// about prints a volume for a mark that need not be met exactly.
func (w *writer) about(v unit.Volume) string {
	if w.u == unit.Metric {
		return unit.Number(v.In(unit.Litre), 0) + " L"
	}
	return unit.Number(v.In(unit.Gallon), 0) + " gal"
}

// addStep is one product; at is the reading before it.
func (w *writer) addStep(l *plan.Load, m *plan.MixPlan, lp plan.LoadProduct, at unit.Volume) Step {
	s := Step{Text: "Add " + lp.Name, Amount: w.amount(lp.Amount)}
	var notes []string
	if j := w.jugs(lp.Amount); j != "" { // what is measured out stands large, the same in one unit below
		s.Amount = j
	}
	if how := worked1(l.Working, lp.Name); how != "" {
		notes = append(notes, how+".")
	}
	if p := w.product(m, lp.Name); p != nil {
		if c := classWords[p.Class]; c != "" {
			notes = append(notes, c+".")
		}
	}
	if lp.Gauge > 0 && w.about(lp.Gauge) != w.about(at) { // a rise that the gauge does not show is not looked for
		notes = append(notes, "Gauge then about "+w.about(lp.Gauge)+".")
	}
	s.Note = strings.Join(notes, " ")
	return s
}

// covers lists the stops of a load with the gauge reading after each.
func (w *writer) covers(l *plan.Load) Block {
	t := Table{Tall: true, Columns: []Column{{Head: "Stop", Align: Right}, {Head: "Name", Align: Left}, {Head: "Passes", Align: Left}, {Head: "Volume", Align: Right}, {Head: "Gauge after", Align: Right},
		{Head: "Then", Align: Left}, {Head: "Gauge read", Blank: true}}}
	for i := range l.Stops {
		ls := &l.Stops[i]
		n, which := "-", passes(ls.FromPass, ls.ToPass)
		if s := w.stop(ls.Stop); s != nil {
			n = fmt.Sprint(s.N)
			if ls.Whole && !w.continued(l, i) {
				which = fmt.Sprintf("all %d", s.Passes.Count)
			}
		}
		t.Rows = append(t.Rows, Row{Bold: !ls.Whole, Cells: []string{n, ls.Name, which, w.u.Volume(ls.Volume), w.u.Volume(ls.Gauge), w.then(l, i)}})
	}
	t.Rows = append(t.Rows, Row{Cells: []string{"", "Sum", "", w.u.Volume(l.Volume), "", "", "-"}, Bold: true})
	return t
}

// then says how a stop stands when this load's part of it is done.
func (w *writer) then(l *plan.Load, i int) string {
	ls := &l.Stops[i]
	state := "stop done"
	switch {
	case !ls.Whole && i+1 < len(l.Stops):
		state = fmt.Sprintf("STOP %s, GO ON at stop %d", w.endsAt(ls), l.Stops[i+1].Stop)
	case !ls.Whole:
		state = "LOAD ENDS " + w.endsAt(ls)
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

// endsAt says where in a stop a load ends.
func (w *writer) endsAt(ls *plan.LoadStop) string {
	if ls.DryAt > 0 {
		return fmt.Sprintf("%s into pass %d", w.u.Length(ls.DryAt), ls.ToPass)
	}
	return fmt.Sprintf("after pass %d", ls.ToPass)
}

// when says where a load is filled, at what time, and what has been sprayed by then.
func (w *writer) when(l *plan.Load) string {
	var work *plan.Event
	for i := range w.day.Events {
		e := &w.day.Events[i]
		if e.Kind == plan.Work {
			work = e
		}
		if e.Kind == plan.Fill && contains(e.Loads, l.N) {
			return fmt.Sprintf("Fill at %s, %s, %s.", l.FillPoint, w.clock(e.At), w.after(work))
		}
	}
	return fmt.Sprintf("Fill at %s.", l.FillPoint)
}

// after names the moment when a spell of work ends; nil is the start of the day.
func (w *writer) after(work *plan.Event) string {
	if work == nil {
		return "before the first stop"
	}
	s := w.stop(work.Stop)
	if s == nil {
		return "after " + work.Place
	}
	at := "" // the last load drawn from that does not finish the stop
	for _, p := range w.parts(s) {
		if contains(work.Loads, p.load.N) {
			if at = ""; !p.stop.Whole {
				at = fmt.Sprintf("when load %d ends at stop %d, %s", p.load.N, s.N, w.endsAt(p.stop))
			}
		}
	}
	if at != "" {
		return at
	}
	return fmt.Sprintf("after stop %d", s.N)
}

// continued reports whether an earlier load began this stop.
func (w *writer) continued(l *plan.Load, i int) bool {
	if s := w.stop(l.Stops[i].Stop); s != nil {
		parts := w.parts(s)
		return len(parts) > 0 && parts[0].load != l
	}
	return l.Stops[i].FromPass > 1
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
	other := "Nothing else should be left."
	if w.p.Leftover > 0 {
		other = "Above that " + w.u.Volume(w.p.Leftover) + " of mix is left over by this plan (see the gauge readings): say before mixing where it goes."
		out = append(out, Text{Text: other, Style: Warned})
	}
	if len(heels) == 0 {
		return append(out, Text{Text: "The tanks should be empty. Rinse them as the labels say and use the rinse water only on turf that the labels allow, within their rates."})
	}
	return append(out, Text{Text: fmt.Sprintf("Left in the tanks, out of the pump's reach: %s. %s Keep it only for the same mix, and only as long as the labels allow; otherwise dilute and spray it on turf that the labels allow, within their rates. Never into a drain, a ditch or bare ground.", strings.Join(heels, "; "), other)})
}
