package sheet

import (
	"fmt"
	"strings"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// stopPage is one stop: what to do on the front; label texts, record and passes on the back.
func (w *writer) stopPage(s *plan.StopPlan) Page {
	if w.spread(s) {
		return w.spreadPage(s)
	}
	m := w.mixes[s.Mix]
	parts := w.parts(s)
	blocks := append([]Block{w.stopFigures(s, parts)}, w.gauges(s, parts)...)
	if s.Notes != "" {
		blocks = append(blocks, Text{Text: "NOTE: " + s.Notes, Style: Strong})
	}
	blocks = append(blocks, w.keepAway(s, m)...)
	blocks = append(blocks, keepOffLine(m)...)
	blocks = append(blocks, w.warnings(s.Measure.Problems)...)
	blocks = append(blocks, w.stopMap(s, parts), w.groundAndWork(s, m, parts), Break{})
	blocks = append(blocks, w.passTable(s, parts)...)
	blocks = append(blocks, w.products(s, m)...)
	blocks = append(blocks, w.adds(s)...)
	blocks = append(blocks, w.labels(m)...)
	blocks = append(blocks, w.record(s, m)...)
	return Page{
		Title:    fmt.Sprintf("Stop %d: %s", s.N, s.Name),
		Subtitle: fmt.Sprintf("%s  ·  property %s  ·  %s  ·  mix %s  ·  %s", w.p.Date, s.Property, named("truck", s.Truck), s.Mix, named("operator", m.Operator)),
		Stop:     s.N,
		Link:     w.opt.link(w.p, s),
		Blocks:   blocks,
	}
}

// stopFigures are the four figures to work by. A stop that takes several loads has its gauge
// readings in the steps below instead: a reading on arrival and one at the end, from two
// tankfuls, would not differ by what is sprayed.
func (w *writer) stopFigures(s *plan.StopPlan, parts []part) Block {
	f := Figures{Items: []Figure{{"Spray here", w.u.Volume(s.Volume)}, {"Passes", fmt.Sprint(s.Passes.Count)}}}
	switch {
	case len(parts) == 0:
	case whole(parts):
		tank := named("tank", parts[0].load.Tank)
		f.Items = append(f.Items,
			Figure{"Gauge before, " + tank, w.u.Volume(parts[0].before)},
			Figure{"Gauge after, " + tank, w.u.Volume(parts[0].stop.Gauge)})
	case len(parts) == 2:
		what := "Load %d ends"
		if !parts[0].last {
			what = "Stop with load %d"
		}
		f.Items = append(f.Items, Figure{fmt.Sprintf(what, parts[0].load.N), w.endsAt(parts[0].stop)})
	default:
		f.Items = append(f.Items, Figure{"Loads", fmt.Sprint(len(parts))})
	}
	return f
}

// whole reports whether one load does the whole stop.
func whole(parts []part) bool { return len(parts) == 1 && parts[0].stop.Whole }

// gauges lists the loads at this stop with the readings between which each is sprayed.
func (w *writer) gauges(s *plan.StopPlan, parts []part) []Block {
	if len(parts) == 0 {
		return []Block{Text{Text: "No load of this plan is sprayed here.", Style: Warned}}
	}
	off := Text{Text: w.mayGive(s.Volume)}
	if p := parts[0]; whole(parts) {
		return []Block{Text{Text: fmt.Sprintf("Load %d, %s: all %s.", p.load.N, named("tank", p.load.Tank), count(s.Passes.Count, "pass")), Style: Strong}, off}
	}
	var steps Steps
	for i, p := range parts {
		steps.Items = append(steps.Items, w.partStep(p))
		if i+1 < len(parts) {
			steps.Items = append(steps.Items, w.next(p, parts[i+1]))
		}
	}
	return []Block{steps, off}
}

// partStep is what one of several loads does at a stop.
func (w *writer) partStep(p part) Step {
	word := "passes"
	if p.stop.FromPass == p.stop.ToPass {
		word = "pass"
	}
	number := func(v unit.Volume) string { s, _, _ := strings.Cut(w.u.Volume(v), " "); return s }
	note := ""
	if !p.stop.Whole {
		note = "STOP " + w.endsAt(p.stop) + " and mark the spot."
		if after := w.others(p); after != "" {
			note += fmt.Sprintf(" What is left of load %d is for %s.", p.load.N, after)
		}
	}
	return Step{
		Text: fmt.Sprintf("Load %d, %s: %s %s, %s", p.load.N, named("tank", p.load.Tank), word,
			passes(p.stop.FromPass, p.stop.ToPass), w.u.Volume(p.stop.Volume)),
		Amount: fmt.Sprintf("gauge %s to %s", number(p.before), w.u.Volume(p.stop.Gauge)),
		Note:   note,
	}
}

// next says how to go on when a load ends: another tank that is full, or a fill point.
func (w *writer) next(now, next part) Step {
	tank := named("tank", next.load.Tank)
	if now.load.Tank != next.load.Tank {
		for _, e := range w.day.Events {
			if e.Kind == plan.Fill && contains(e.Loads, now.load.N) && contains(e.Loads, next.load.N) {
				return Step{Text: fmt.Sprintf("Go on from %s (load %d)", tank, next.load.N), Amount: "gauge " + w.u.Volume(next.before)}
			}
		}
	}
	before := ""
	if after := w.others(now); after != "" {
		before = "Go to " + after + " first, then come back. "
	}
	return Step{
		Text:   before + fmt.Sprintf("Fill load %d into %s at %s", next.load.N, tank, next.load.FillPoint),
		Amount: "to " + w.u.Volume(next.load.Gauge),
	}
}

// others names the stops that a load goes on to after this one: "stop 11", "stops 11, 12"; "" when none.
func (w *writer) others(p part) string {
	var list []int
	seen := false
	for _, s := range p.load.Stops {
		if seen {
			list = append(list, s.Stop)
		}
		seen = seen || s.Stop == p.stop.Stop
	}
	if len(list) == 0 {
		return ""
	}
	return w.numbers("stop", list)
}

// A sight gauge reads to about this much at best (common practice, no source).
const (
	gaugeReads       = 1 * unit.Gallon
	gaugeReadsMetric = 4 * unit.Litre
)

// mayGive is the range of mix that a stop may take before something is wrong: as far off as
// a catch may be, but no less than a gauge shows.
func (w *writer) mayGive(v unit.Volume) string {
	slack := gaugeReads
	if w.u == unit.Metric {
		slack = gaugeReadsMetric
	}
	slack = max(slack, v*withinFivePercent)
	bounds := fmt.Sprintf("Under %s or over %s", w.u.Volume(v-slack), w.u.Volume(v+slack))
	if w.u.RoundVolume(v-slack) <= 0 {
		bounds = "Over " + w.u.Volume(v+slack)
	}
	return fmt.Sprintf("This stop should take %s by the gauge. %s: see \"%s\" on the load sheet.", w.u.Volume(v), bounds, gaugeOffHeading)
}

func contains(list []int, n int) bool {
	for _, x := range list {
		if x == n {
			return true
		}
	}
	return false
}

// groundAndWork sets the areas beside the passes; how sure the areas are stands in the
// shorter of the two columns.
func (w *writer) groundAndWork(s *plan.StopPlan, m *plan.MixPlan, parts []part) Block {
	b := Beside{Share: 0.44, Left: w.areas(s), Right: w.work(s, m, parts)}
	if len(s.Measure.Excluded) <= 3 {
		b.Left = append(b.Left, w.sure(s.Measure))
	} else {
		b.Right = append(b.Right, w.sure(s.Measure))
	}
	return b
}

// areas is the signed sum from turf drawn to turf treated.
func (w *writer) areas(s *plan.StopPlan) []Block {
	ms := s.Measure
	t := Table{Columns: []Column{{Head: "Area", Align: Left}, {Head: w.areaUnit(), Align: Right}}}
	t.Rows = append(t.Rows, Row{Cells: []string{"Turf as drawn", w.area(ms.Turf)}})
	for _, sf := range geo.LeftOut {
		if a, ok := ms.Excluded[sf]; ok {
			t.Rows = append(t.Rows, Row{Cells: []string{"less " + strings.ToLower(surfaceWords[sf]), "-" + w.area(a)}})
		}
	}
	t.Rows = append(t.Rows, Row{Cells: []string{"Net turf", w.area(ms.Net)}, Bold: true})
	t.Rows = append(t.Rows, w.zones(s)...)
	if w.u.RoundArea(s.Area) != w.u.RoundArea(ms.Net) {
		how := "Sprayed (swath x length)"
		switch {
		case w.spread(s):
			how = "Spread (swath x length)"
		case w.mixes[s.Mix].Kind.Trims():
			how = "Mix for (passes closer than the swath)"
		}
		t.Rows = append(t.Rows, Row{Cells: []string{how, w.area(s.Area)}, Bold: true})
	}
	return []Block{t}
}

// zones are the parts of the net turf with their passes, where it has any.
func (w *writer) zones(s *plan.StopPlan) (rows []Row) {
	if len(s.Passes.Zones) == 0 {
		return nil
	}
	for _, z := range s.Measure.Zones {
		text := "of it " + plan.ZoneName(z.Zone)
		for _, p := range s.Passes.Zones {
			if p.Zone == z.Zone {
				text += ", " + count(p.Passes, "pass")
			}
		}
		rows = append(rows, Row{Cells: []string{text, w.area(z.Net)}})
	}
	return rows
}

// sure says how far the net turf can be trusted.
func (w *writer) sure(ms plan.Measure) Block {
	text := ""
	if !w.addsUp(ms) {
		text = "Each area is rounded by itself; the last digit may not add up. "
	}
	text += fmt.Sprintf("Net turf is good to ± %s if each corner is good to %s", w.u.Area(ms.PlusMinus), w.u.Length(ms.Accuracy))
	if ms.AccuracyFrom != "" {
		text += " (" + ms.AccuracyFrom + ")"
	}
	if ms.PlusMinusBias > 0 {
		from, _, _ := strings.Cut(ms.BiasFrom, ":")
		text += fmt.Sprintf("; ± %s more if it is drawn %s too wide or too narrow all along (%s)", w.u.Area(ms.PlusMinusBias), w.u.Length(ms.Bias), from)
	}
	return Text{Text: text + ".", Style: Small}
}

// addsUp reports whether the areas as printed give the net turf as printed.
func (w *writer) addsUp(ms plan.Measure) bool {
	rest := w.u.RoundArea(ms.Turf)
	for _, sf := range geo.LeftOut {
		rest -= w.u.RoundArea(ms.Excluded[sf])
	}
	return w.area(rest) == w.area(ms.Net)
}

func (w *writer) areaUnit() string {
	if w.u == unit.Metric {
		return "m2"
	}
	return "sq ft"
}

func (w *writer) area(a unit.Area) string {
	return strings.TrimSuffix(w.u.Area(a), " "+w.areaUnit())
}

// work is what the passes amount to and how the volume follows.
func (w *writer) work(s *plan.StopPlan, m *plan.MixPlan, parts []part) []Block {
	ps := s.Passes
	done := w.clock(s.Done)
	if len(parts) > 1 && parts[0].load.Tank == parts[1].load.Tank {
		done += " (with the refill)"
	}
	walk, how := "Walk spraying", fmt.Sprintf("%s x %s = %s", w.u.Area(s.Area), w.u.CarrierRate(m.Carrier), w.u.Volume(s.Volume))
	if m.Granules != nil {
		walk, how = "Walk spreading", w.spreadHow(s, m)
	}
	facts := []Fact{
		{"Passes", w.apart(ps)},
		{walk, w.u.Length(ps.SprayedLength)},
		{"Turns", fmt.Sprint(ps.Turns)},
		{"Set-up and walk", unit.Minutes(s.Service)},
		{"Begin", w.clock(s.Begin) + " (" + w.window(s.From, s.Until) + ")"},
		{"Done", done},
	}
	out := []Block{Facts{Items: facts}}
	for _, text := range w.walk(m, ps) {
		out = append(out, Text{Text: text})
	}
	return append(out,
		Text{Text: how, Style: Small},
		Text{Text: fmt.Sprintf("No plan for this turf has fewer than %s or walks less than %s.", count(ps.BoundPasses, "pass"), w.u.Length(ps.BoundLength)), Style: Small})
}

// record is the blanks for the application record. The list is a superset of what 7 CFR
// 110.3, 4 TAC 7.33 (Texas), 355 IAC 4-4-1 (Indiana) and COMAR 15.05.01.12 (Maryland) ask
// for, as seen second-hand; which of them apply is the user's to know.
func (w *writer) record(s *plan.StopPlan, m *plan.MixPlan) []Block {
	return []Block{
		Heading{Text: "Record of this application", Together: true},
		Text{Text: fmt.Sprintf("Planned: %s, %s (%s) at %.5f, %.5f (latitude, longitude); %s; mix %s at %s; %s %s; calibrated: %s, licence %s.",
			w.p.Date, s.Name, s.Property, s.Lat, s.Lon, w.u.Area(s.Area), s.Mix, w.u.CarrierRate(m.Carrier),
			methodWords[m.Kind], m.Applicator, m.Operator, orDash(m.Licence))},
		Fields{Items: recordFields("Gauge before", "Gauge after", "Mix used")},
	}
}

// recordFields are the blanks of a record; what is read before and after, and what was used, have names of their own.
func recordFields(before, after, used string) []Field {
	return []Field{
		{"Customer and address", 2}, {"Date", 1}, {"Target or purpose", 1},
		{"Start time", 1}, {"Finish time", 1}, {"Wind speed and from", 1}, {"Wind taken at height", 1},
		{"Air temperature", 1}, {"Applicator", 1}, {"Licence no.", 1}, {"Helper", 1},
		{before, 1}, {after, 1}, {used, 1}, {"Signs put up", 1},
		{"Notice left with", 1}, {"Remarks", 2}, {"Signature", 1},
	}
}
