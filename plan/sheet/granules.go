package sheet

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
)

// What is spread out of bags has no tank, no gauge and no carrier: these are its parts of the load sheet and of a stop's page.

// spread reports whether a stop gets granules.
func (w *writer) spread(s *plan.StopPlan) bool { return w.mixes[s.Mix].Granules != nil }

// spreads reports whether the truck has granules in its day.
func (w *writer) spreads() bool { return slices.ContainsFunc(w.stops, w.spread) }

// portions is what goes on out of bags, "30.00 lb Pellets".
func (w *writer) portions(list []plan.LoadProduct) string {
	var parts []string
	for _, p := range list {
		parts = append(parts, w.amount(p.Amount)+" "+p.Name)
	}
	return strings.Join(parts, ", ")
}

// granules lists the stops with granules in the order of the day; nil without any.
func (w *writer) granules() []Block {
	t := Table{Columns: []Column{{Head: "Stop", Align: Right}, {Head: "Name", Align: Left}, {Head: "Product", Align: Left}, {Head: "With", Align: Left}, {Head: "Passes", Align: Right}, {Head: "Spread", Align: Right}, {Head: "In bags", Align: Left}}}
	sum := unit.Mass(0)
	for _, s := range w.stops {
		if !w.spread(s) {
			continue
		}
		for _, p := range s.Products {
			sum += p.Amount.Dry
			t.Rows = append(t.Rows, Row{Cells: []string{fmt.Sprint(s.N), s.Name, p.Name, w.mixes[s.Mix].Applicator, fmt.Sprint(s.Passes.Count), w.amount(p.Amount), orDash(w.bags(p))}})
		}
	}
	if len(t.Rows) == 0 {
		return nil
	}
	t.Rows = append(t.Rows, Row{Cells: []string{"", "Sum", "", "", "", w.u.Mass(sum), ""}, Bold: true})
	return []Block{
		Heading{Text: "Granules, spread out of bags", Together: true}, t,
		Text{Text: "Sweep what falls on walks, drives and streets back onto the turf or into the bag. Never pour granules into a tank. Close a begun bag, and carry it dry."},
	}
}

// bags says what an amount is in the bags that the truck carries, "1 bag of 20 lb and 10.00 lb"; "" where it is not entered what it comes in.
func (w *writer) bags(p plan.LoadProduct) string {
	for _, c := range w.day.Carry {
		if c.Product != p.Name || len(c.Containers) == 0 || c.Containers[0].Holds.Dry <= 0 {
			continue
		}
		k := c.Containers[0]
		k.Count = int(math.Floor(float64(p.Amount.Dry/k.Holds.Dry) + 1e-9))
		rest := w.u.RoundMass(p.Amount.Dry - unit.Mass(k.Count)*k.Holds.Dry)
		switch {
		case k.Count == 0:
			return fmt.Sprintf("%s of a %s of %s", w.u.Mass(rest), k.Name, w.holds(k))
		case rest <= 0:
			return fmt.Sprintf("%s of %s", k, w.holds(k))
		}
		return fmt.Sprintf("%s of %s and %s", k, w.holds(k), w.u.Mass(rest))
	}
	return ""
}

// spreadPage is a stop with granules, laid out as one with a mix.
func (w *writer) spreadPage(s *plan.StopPlan) Page {
	m := w.mixes[s.Mix]
	figures := Figures{Items: []Figure{{"Spread here", w.spreadText(s)}, {"Passes", fmt.Sprint(s.Passes.Count)}}}
	blocks := []Block{figures}
	for _, p := range s.Products {
		text := fmt.Sprintf("%s: %s over all %s", p.Name, w.amount(p.Amount), count(s.Passes.Count, "pass"))
		if b := w.bags(p); b != "" {
			text += ", " + b
		}
		if x := m.Granules.Test.Setting; x > 0 {
			text += fmt.Sprintf("; setting %s", strings.TrimSuffix(strings.TrimRight(unit.Number(x, 2), "0"), "."))
		}
		blocks = append(blocks, Text{Text: text + ".", Style: Strong}, Text{Text: w.mayTake(p.Amount.Dry)})
	}
	if s.Notes != "" {
		blocks = append(blocks, Text{Text: "NOTE: " + s.Notes, Style: Strong})
	}
	blocks = append(blocks, w.keepAway(s, m)...)
	blocks = append(blocks, keepOffLine(m)...)
	blocks = append(blocks, w.warnings(s.Measure.Problems)...)
	blocks = append(blocks, w.stopMap(s, nil), w.groundAndWork(s, m, nil), Break{})
	blocks = append(blocks, w.spreadPasses(s)...)
	blocks = append(blocks, w.products(s, m)...)
	blocks = append(blocks, w.adds(s)...)
	blocks = append(blocks, w.labels(m)...)
	blocks = append(blocks, w.spreadRecord(s, m)...)
	return Page{
		Title:    fmt.Sprintf("Stop %d: %s", s.N, s.Name),
		Subtitle: fmt.Sprintf("%s  ·  property %s  ·  %s  ·  granules %s  ·  %s", w.p.Date, s.Property, named("truck", s.Truck), s.Mix, named("operator", m.Operator)),
		Stop:     s.N,
		Link:     w.opt.link(w.p, s),
		Blocks:   blocks,
	}
}

func (w *writer) spreadText(s *plan.StopPlan) string {
	sum := unit.Mass(0)
	for _, p := range s.Products {
		sum += p.Amount.Dry
	}
	return w.u.Mass(sum)
}

// mayTake is the range of product that a stop may take before something is wrong: as far off as a catch may be.
func (w *writer) mayTake(m unit.Mass) string {
	return fmt.Sprintf("Weigh the bags before and after. Under %s or over %s (5 %%): stop, and catch a new test before the next stop; go over no turf a second time.",
		w.u.Mass(m*(1-withinFivePercent)), w.u.Mass(m*(1+withinFivePercent)))
}

// spreadPasses lists the passes with what is out by the end of each, which tells where the hopper runs empty.
func (w *writer) spreadPasses(s *plan.StopPlan) []Block {
	mass, length := "lb", "ft"
	if w.u == unit.Metric {
		mass, length = "kg", "m"
	}
	all := unit.Area(0)
	for i := range s.Passes.List {
		if i >= s.DonePasses {
			all += s.Passes.List[i].Sprayed
		}
	}
	if all <= 0 {
		return nil
	}
	t := Table{Across: across, Fine: true, Columns: []Column{{Head: "Pass", Align: Right}, {Head: length, Align: Right}, {Head: "Sum " + mass, Align: Right}}}
	every, sum, total := (len(s.Passes.List)+manyPasses-1)/manyPasses, unit.Area(0), unit.Mass(0)
	for _, p := range s.Products {
		total += p.Amount.Dry
	}
	for i, l := range s.Passes.List {
		if i < s.DonePasses {
			continue
		}
		sum += l.Sprayed
		if i > 0 && i < len(s.Passes.List)-1 && (i+1)%every != 0 {
			continue
		}
		share := float64(sum / all)
		t.Rows = append(t.Rows, Row{Cells: []string{fmt.Sprint(l.N), w.passLength(l.Length), strings.TrimSuffix(w.u.Mass(total*unit.Mass(share)), " "+mass)}})
	}
	text := "Sum: what is spread when the pass ends."
	if every > 1 {
		text += fmt.Sprintf(" Every %d passes are shown.", every)
	}
	return []Block{Heading{Text: "Passes", Together: true}, t, Text{Text: text, Style: Small}}
}

// spreadHow is how the weight follows from the area.
func (w *writer) spreadHow(s *plan.StopPlan, m *plan.MixPlan) string {
	var parts []string
	for i := range m.Products {
		p := &m.Products[i]
		parts = append(parts, fmt.Sprintf("%s x %s = %s", w.u.Area(s.Area), p.Rate.Text(w.u), w.spreadText(s)))
	}
	return strings.Join(parts, "; ")
}

// spreadRecord is the blanks for the application record, those of a tank left out; see record.
func (w *writer) spreadRecord(s *plan.StopPlan, m *plan.MixPlan) []Block {
	p := &m.Products[0]
	return []Block{
		Heading{Text: "Record of this application", Together: true},
		Text{Text: fmt.Sprintf("Planned: %s, %s (%s) at %.5f, %.5f (latitude, longitude); %s; %s at %s, %s; %s %s; calibrated: %s, licence %s.",
			w.p.Date, s.Name, s.Property, s.Lat, s.Lon, w.u.Area(s.Area), p.Name, p.Rate.Text(w.u), w.spreadText(s), methodWords[m.Kind], m.Applicator, m.Operator, orDash(m.Licence))},
		Fields{Items: recordFields("Weight before", "Weight after", "Product used")},
	}
}

// spreaderTest prints the catch test of a spreader.
func (w *writer) spreaderTest(m *plan.MixPlan) []Block {
	facts := []Fact{
		{"Operator", m.Operator}, {"Licence", orDash(m.Licence)},
		{"Equipment", fmt.Sprintf("%s (%s %s)", m.Applicator, m.Granules.Throws, methodWords[m.Kind])},
		{"Tested", orDash(m.TestDate)},
	}
	for _, f := range m.Granules.Facts {
		facts = append(facts, Fact{strings.ToUpper(f.Name[:1]) + f.Name[1:], f.Text})
	}
	return []Block{Heading{Text: "Calibration in force: granules " + m.Name, Together: true}, Facts{Items: facts}}
}
