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
	m := w.mixes[s.Mix]
	parts := w.parts(s)
	blocks := []Block{w.stopFigures(s, parts), w.gauges(s, parts)}
	if s.Notes != "" {
		blocks = append(blocks, Text{Text: "NOTE: " + s.Notes, Style: Strong})
	}
	blocks = append(blocks, w.warnings(s.Measure.Problems)...)
	blocks = append(blocks, w.stopMap(s, m, parts), Beside{Share: 0.44, Left: w.areas(s), Right: w.work(s, m)}, Break{})
	blocks = append(blocks, w.passTable(s, parts)...)
	blocks = append(blocks, w.products(s, m)...)
	blocks = append(blocks, w.labels(m)...)
	blocks = append(blocks, w.record(s, m)...)
	return Page{
		Title:    fmt.Sprintf("Stop %d: %s", s.N, s.Name),
		Subtitle: fmt.Sprintf("%s  ·  property %s  ·  %s  ·  mix %s  ·  %s", w.p.Date, s.Property, named("truck", s.Truck), s.Mix, named("operator", m.Operator)),
		Stop:     s.N,
		Blocks:   blocks,
	}
}

func (w *writer) stopFigures(s *plan.StopPlan, parts []part) Block {
	f := Figures{Items: []Figure{{"Spray here", w.u.Volume(s.Volume)}, {"Passes", fmt.Sprint(s.Passes.Count)}}}
	if len(parts) > 0 {
		f.Items = append(f.Items,
			Figure{"Gauge on arrival", w.u.Volume(parts[0].before)},
			Figure{"Gauge when done", w.u.Volume(parts[len(parts)-1].stop.Gauge)})
	}
	return f
}

// gauges lists the loads at this stop with the readings between which each is sprayed.
func (w *writer) gauges(s *plan.StopPlan, parts []part) Block {
	if len(parts) == 0 {
		return Text{Text: "No load of this plan is sprayed here.", Style: Warned}
	}
	if p := parts[0]; len(parts) == 1 && p.stop.Whole {
		return Text{Text: fmt.Sprintf("Load %d, %s: all %s.", p.load.N, named("tank", p.load.Tank), count(s.Passes.Count, "pass")), Style: Strong}
	}
	t := Table{Columns: []Column{{"Load", Right}, {"Tank", Left}, {"Passes", Left}, {"Spray", Right}, {"Gauge from", Right}, {"to", Right}, {"Then", Left}}}
	for i, p := range parts {
		then := "stop done"
		if !p.stop.Whole {
			where := fmt.Sprintf("after pass %d", p.stop.ToPass)
			if p.stop.DryAt > 0 {
				where = fmt.Sprintf("%s into pass %d", w.u.Length(p.stop.DryAt), p.stop.ToPass)
			}
			then = "RUNS DRY " + where + ": mark the spot"
			if i+1 < len(parts) {
				then += ", " + w.next(p, parts[i+1])
			}
		}
		t.Rows = append(t.Rows, Row{Bold: !p.stop.Whole, Cells: []string{fmt.Sprint(p.load.N), p.load.Tank, passes(p.stop.FromPass, p.stop.ToPass),
			w.u.Volume(p.stop.Volume), w.u.Volume(p.before), w.u.Volume(p.stop.Gauge), then}})
	}
	return t
}

// next says how to go on when a tank runs dry: another tank that is full, or a fill point.
func (w *writer) next(now, next part) string {
	if now.load.Tank != next.load.Tank {
		for _, e := range w.day.Events {
			if e.Kind == plan.Fill && contains(e.Loads, now.load.N) && contains(e.Loads, next.load.N) {
				return fmt.Sprintf("go on from %s (load %d)", named("tank", next.load.Tank), next.load.N)
			}
		}
	}
	return fmt.Sprintf("fill load %d at %s", next.load.N, next.load.FillPoint)
}

func contains(list []int, n int) bool {
	for _, x := range list {
		if x == n {
			return true
		}
	}
	return false
}

// areas is the signed sum from turf drawn to turf treated.
func (w *writer) areas(s *plan.StopPlan) []Block {
	ms := s.Measure
	t := Table{Columns: []Column{{"Area", Left}, {w.areaUnit(), Right}}}
	t.Rows = append(t.Rows, Row{Cells: []string{"Turf as drawn", w.area(ms.Turf)}})
	for _, sf := range geo.LeftOut {
		if a, ok := ms.Excluded[sf]; ok {
			t.Rows = append(t.Rows, Row{Cells: []string{"less " + strings.ToLower(surfaceWords[sf]), "-" + w.area(a)}})
		}
	}
	t.Rows = append(t.Rows, Row{Cells: []string{"Net turf", w.area(ms.Net)}, Bold: true})
	if w.u.RoundArea(s.Area) != w.u.RoundArea(ms.Net) {
		t.Rows = append(t.Rows, Row{Cells: []string{"Sprayed (swath x length)", w.area(s.Area)}, Bold: true})
	}
	text := fmt.Sprintf("Net turf is good to ± %s if each corner is good to %s", w.u.Area(ms.PlusMinus), w.u.Length(ms.Accuracy))
	if ms.AccuracyFrom != "" {
		text += " (" + ms.AccuracyFrom + ")"
	}
	return []Block{t, Text{Text: text + ".", Style: Small}}
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
func (w *writer) work(s *plan.StopPlan, m *plan.MixPlan) []Block {
	ps := s.Passes
	facts := []Fact{
		{"Passes", fmt.Sprintf("%d at %s (at least %d)", ps.Count, w.u.Length(ps.Swath), ps.BoundPasses)},
		{"Walk spraying", fmt.Sprintf("%s (at least %s)", w.u.Length(ps.SprayedLength), w.u.Length(ps.BoundLength))},
		{"Turns", fmt.Sprint(ps.Turns)},
		{"Time here", unit.Minutes(s.Service)},
		{"Begin", w.clock(s.Begin) + " (" + w.window(s.From, s.Until) + ")"},
		{"Done", w.clock(s.Done)},
	}
	if ps.EdgeLaps > 0 {
		facts = append(facts, Fact{"Edge laps", fmt.Sprint(ps.EdgeLaps)})
	}
	return []Block{
		Facts{Items: facts},
		Text{Text: fmt.Sprintf("%s x %s = %s", w.u.Area(s.Area), w.u.CarrierRate(m.Carrier), w.u.Volume(s.Volume)), Style: Small},
	}
}

// products lists what this stop receives, with a blank for what was used.
func (w *writer) products(s *plan.StopPlan, m *plan.MixPlan) []Block {
	t := Table{Columns: []Column{{"Product", Left}, {"Registration", Left}, {"Rate", Left}, {"Planned here", Right}, {"Label allows up to", Left}}}
	for _, lp := range s.Products {
		reg, rate, most := "-", "-", "-"
		if p := w.product(m, lp.Name); p != nil {
			reg, rate = orDash(p.Registration), w.rate(p.Rate)
			if p.Most.Liquid != 0 || p.Most.Dry != 0 {
				most = w.rate(p.Most)
			}
		}
		t.Rows = append(t.Rows, Row{Cells: []string{lp.Name, reg, rate, w.amount(lp.Amount), most}})
	}
	return []Block{Heading{Text: "Products at this stop"}, t}
}

// labels prints what the labels ask for, each with its citation, then the usual cautions.
func (w *writer) labels(m *plan.MixPlan) []Block {
	out := []Block{Heading{Text: "From the labels"}}
	for _, p := range m.Products {
		var lines []string
		if p.KeepOff != "" {
			lines = append(lines, "Keep off: "+strings.TrimSuffix(p.KeepOff, ".")+".")
		}
		for _, c := range p.Cautions {
			lines = append(lines, strings.TrimSuffix(c, ".")+".")
		}
		if len(lines) == 0 {
			lines = append(lines, "No texts entered: read the label.")
		}
		out = append(out, Text{Text: fmt.Sprintf("%s: %s [%s]", p.Name, strings.Join(lines, " "), orDash(p.Citation))})
	}
	return append(out, Text{Text: cautions[0] + " " + cautions[4] + " " + cautions[5], Style: Strong})
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
		Fields{Items: []Field{
			{"Customer and address", 4},
			{"Date", 1}, {"Start time", 1}, {"Finish time", 1}, {"Air temperature", 1},
			{"Applicator", 1}, {"Licence no.", 1}, {"Helper", 1}, {"Target or purpose", 1},
			{"Wind speed", 1}, {"Wind from", 1}, {"Gauge before", 1}, {"Gauge after", 1},
			{"Mix used", 1}, {"Signature", 1}, {"Remarks", 2},
		}},
	}
}
