package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
)

// Notices is the paper that stays with the customers of one truck: a page for each property, in the order of the day, with
// everything that goes on there. What is in done, by property, stands in place of what is planned; the rest is blank to be filled in by hand.
// It fails as Truck does, and when done names a property that the truck does not go to.
func Notices(p *plan.Plan, truck string, opt Options, done []plan.Applied) (*Document, error) {
	w, err := newWriter(p, truck)
	if err != nil {
		return nil, err
	}
	w.opt = opt
	d, err := w.document(fmt.Sprintf("%s, notices, %s, %s", orDash(p.Outfit), named("truck", truck), p.Date))
	if err != nil {
		return nil, err
	}
	seen := map[string]bool{}
	for _, s := range w.stops {
		if seen[s.Property] || opt.Property != "" && s.Property != opt.Property {
			continue
		}
		seen[s.Property] = true
		var a *plan.Applied
		for i := range done {
			if done[i].Property == s.Property {
				a = &done[i]
			}
		}
		d.Pages = append(d.Pages, w.noticePage(s, a))
	}
	if len(d.Pages) == 0 {
		return nil, fmt.Errorf("sheet: %s has nothing of what is asked for", named("truck", truck))
	}
	return d, nil
}

// noticePage is one property's notice; a is nil before the work.
func (w *writer) noticePage(s *plan.StopPlan, a *plan.Applied) Page {
	var stops []*plan.StopPlan
	for _, x := range w.stops {
		if x.Property == s.Property {
			stops = append(stops, x)
		}
	}
	title, when := "Notice of application, planned: ", w.p.Date
	if a != nil {
		title, when = "Notice of application: ", a.Date
	}
	pg := Page{Title: title + s.Name, Stop: s.N, Link: w.opt.link(w.p, s),
		Subtitle: fmt.Sprintf("property %s  ·  %s  ·  %s", s.Property, when, orDash(w.p.Outfit))}
	pg.Blocks = append(pg.Blocks, w.keepOffs(stops)...)
	pg.Blocks = append(pg.Blocks, w.putOn(stops, a)...)
	pg.Blocks = append(pg.Blocks, w.byWhom(stops, a)...)
	pg.Blocks = append(pg.Blocks, w.noticeTexts(stops)...)
	pg.Blocks = append(pg.Blocks, w.reach()...)
	return pg
}

// keepOffs is the first thing that a customer must see: how long to keep off, product by product, each text once.
func (w *writer) keepOffs(stops []*plan.StopPlan) []Block {
	var lines []string
	for _, s := range stops {
		m := w.mixes[s.Mix]
		for i := range m.Products {
			line := "Read the label of " + m.Products[i].Name + " for how long to keep off."
			if t := m.Products[i].KeepOff; t != "" {
				line = sentence(t)
			}
			if !slices.Contains(lines, line) {
				lines = append(lines, line)
			}
		}
	}
	out := []Block{Text{Text: "KEEP OFF THE GRASS", Style: Huge}}
	for _, l := range lines {
		out = append(out, Text{Text: l, Style: Warned})
	}
	return append(out, Fields{Items: []Field{{"Keep off until (day, time)", 2}, {"Signs may be taken down on", 2}}})
}

// putOn lists the products: what was planned or, after the work, what was entered.
func (w *writer) putOn(stops []*plan.StopPlan, a *plan.Applied) []Block {
	t := Table{Columns: []Column{{Head: "Product", Align: Left}, {Head: "Registration", Align: Left}, {Head: "Rate", Align: Left}, {Head: "In all", Align: Right}, {Head: "Area", Align: Right}, {Head: "Put on with", Align: Left}}}
	text := "The amounts are those planned from your measured lawn."
	for _, s := range stops {
		m := w.mixes[s.Mix]
		for _, lp := range s.Products {
			reg, rate := "-", "-"
			if p := w.product(m, lp.Name); p != nil {
				reg, rate = orDash(p.Registration), w.rate(p.Rate)
			}
			amount := w.amount(lp.Amount)
			if used, ok := usedOf(a, lp.Name); ok {
				amount, rate = w.amount(used.Amount), "planned "+rate
			}
			t.Rows = append(t.Rows, Row{Cells: []string{lp.Name, reg, rate, amount, w.u.Area(s.Measure.Net), methodWords[m.Kind]}})
		}
		if len(s.Products) == 0 {
			t.Rows = append(t.Rows, Row{Cells: []string{s.Mix + " (no product entered)", "-", "-", "-", w.u.Area(s.Measure.Net), methodWords[m.Kind]}})
		}
	}
	if a != nil && len(a.Products) > 0 {
		text = "The amounts are those written down after the work where they were; the rates are those planned."
	}
	return []Block{Heading{Text: "What was put on"}, t, Text{Text: text, Style: Small}}
}

// usedOf is what was entered of a product.
func usedOf(a *plan.Applied, name string) (plan.LoadProduct, bool) {
	if a != nil {
		for _, p := range a.Products {
			if p.Name == name {
				return p, true
			}
		}
	}
	return plan.LoadProduct{}, false
}

// byWhom is who did it and when: filled where it is known, else blank.
func (w *writer) byWhom(stops []*plan.StopPlan, a *plan.Applied) []Block {
	var who, licences []string
	for _, s := range stops {
		m := w.mixes[s.Mix]
		if !slices.Contains(who, m.Operator) {
			who = append(who, m.Operator)
		}
		if m.Licence != "" && !slices.Contains(licences, m.Licence) {
			licences = append(licences, m.Licence)
		}
	}
	known := plan.Applied{Applicator: strings.Join(who, ", "), Licence: strings.Join(licences, ", ")}
	if a != nil {
		known = *a
		known.Applicator = cmp.Or(a.Applicator, strings.Join(who, ", "))
		if a.Applicator == "" || len(who) == 1 && a.Applicator == who[0] {
			known.Licence = cmp.Or(a.Licence, strings.Join(licences, ", "))
		}
	}
	facts, blanks := Facts{}, Fields{}
	add := func(label, value string, wide int) {
		if value == "" {
			blanks.Items = append(blanks.Items, Field{label, wide})
			return
		}
		facts.Items = append(facts.Items, Fact{label, value})
	}
	add("Firm", w.p.Outfit, 2)
	add("Applied by", known.Applicator, 1)
	add("Licence no.", known.Licence, 1)
	add("Began", w.optionalClock(known.Began), 1)
	add("Finished", w.optionalClock(known.Finished), 1)
	wind := ""
	if known.Wind > 0 {
		wind = w.u.Speed(known.Wind)
	}
	if known.WindFrom != "" {
		wind = strings.TrimSpace(wind + " from " + known.WindFrom)
	}
	add("Wind", wind, 1)
	add("Air temperature", known.Temperature, 1)
	add("Remarks", known.Remarks, 2)
	blanks.Items = append(blanks.Items, Field{"Signature", 2})
	return []Block{Heading{Text: "By whom and when", Together: true}, facts, blanks}
}

func (w *writer) optionalClock(t unit.Time) string {
	if t == 0 {
		return ""
	}
	return w.clock(t)
}

// noticeTexts are what the labels ask of people on the property, each with its source.
func (w *writer) noticeTexts(stops []*plan.StopPlan) []Block {
	out := []Block{Heading{Text: "What the labels say", Together: true}}
	said := map[string]bool{}
	for _, s := range stops {
		m := w.mixes[s.Mix]
		for i := range m.Products {
			p := &m.Products[i]
			if said[p.Name] {
				continue
			}
			said[p.Name] = true
			var lines []string
			if p.KeepOff != "" {
				lines = append(lines, sentence(p.KeepOff))
			}
			for _, c := range p.Cautions {
				lines = append(lines, sentence(c))
			}
			if len(lines) == 0 {
				lines = []string{"No texts entered: ask us for the label."}
			}
			out = append(out, Text{Text: fmt.Sprintf("%s: %s [%s]", p.Name, strings.Join(lines, " "), orDash(p.Citation))})
		}
	}
	return append(out, Text{Text: noticeCaution, Style: Strong})
}

// noticeCaution stands on every notice (common practice, no source).
const noticeCaution = "The product label is the law and overrides this notice. Keep children and pets off until the time above. Leave the signs up as local rules ask. " +
	"If someone feels unwell, call a doctor or the poison centre and name the products and registration numbers above."

// reach is how to get hold of the outfit.
func (w *writer) reach() []Block {
	out := []Block{Heading{Text: "Questions, the labels, the safety data sheets: ask us", Together: true}}
	if len(w.p.Contact) == 0 {
		return append(out, Fields{Items: []Field{{"Telephone", 2}, {"Address", 2}}})
	}
	for _, l := range w.p.Contact {
		out = append(out, Text{Text: l, Style: Strong})
	}
	return out
}
