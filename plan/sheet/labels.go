package sheet

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/unit"
	"tankful/plan"
)

// products lists what this stop receives and what the labels allow.
func (w *writer) products(s *plan.StopPlan, m *plan.MixPlan) []Block {
	t := Table{Columns: []Column{{Head: "Product", Align: Left}, {Head: "Registration", Align: Left}, {Head: "Rate", Align: Left}, {Head: "Planned here", Align: Right}, {Head: "Label allows up to", Align: Left}}}
	for _, lp := range s.Products {
		reg, rate, most := "-", "-", "-"
		if p := w.product(m, lp.Name); p != nil {
			reg, rate, most = orDash(p.Registration), w.rate(p.Rate)+w.wanted(p), w.most(p)
		}
		t.Rows = append(t.Rows, Row{Cells: []string{lp.Name, reg, rate, w.amount(lp.Amount), most}})
	}
	return []Block{Heading{Text: "Products at this stop and their labels"}, t}
}

// wanted is what the rate follows from, where that is not the rate itself: ", for 0.25 lb N/1000 sq ft".
func (w *writer) wanted(p *plan.ProductPlan) string {
	if p.Wanted == "" || p.Wanted == p.Rate.Text(w.u) {
		return ""
	}
	return ", for " + p.Wanted
}

// most is the label's most, per area and in the mix.
func (w *writer) most(p *plan.ProductPlan) string {
	var parts []string
	if !p.Most.IsZero() {
		parts = append(parts, w.rate(p.Most))
	}
	if !p.MostInMix.IsZero() {
		parts = append(parts, p.MostInMix.Text(w.u)+" of mix")
	}
	return orDash(strings.Join(parts, "; "))
}

// labels prints what the labels ask for, each with its citation, then the usual cautions.
func (w *writer) labels(m *plan.MixPlan) []Block {
	var out []Block
	for i := range m.Products {
		p := &m.Products[i]
		var lines []string
		if p.KeepOff != "" {
			lines = append(lines, sentence(p.KeepOff))
		}
		for _, b := range p.Buffers {
			lines = append(lines, w.buffer(p, b))
		}
		for _, c := range p.Cautions {
			lines = append(lines, sentence(c))
		}
		if len(p.PPE) > 0 {
			lines = append(lines, "Wear: "+wear(p))
		}
		if len(lines) == 0 {
			lines = append(lines, "No texts entered: read the label.")
		}
		out = append(out, Text{Text: fmt.Sprintf("%s: %s [%s]", p.Name, strings.Join(lines, " "), orDash(p.Citation))})
	}
	if m.Granules != nil {
		return append(out, Text{Text: cautions[0] + " " + cautions[5], Style: Strong})
	}
	return append(out, Text{Text: cautions[0] + " " + cautions[4] + " " + cautions[5], Style: Strong})
}

// buffer is one distance to keep, with its source where that is not the label's.
func (w *writer) buffer(p *plan.ProductPlan, b plan.Buffer) string {
	source := ""
	if b.Citation != p.Citation {
		source = " [" + b.Citation + "]"
	}
	return fmt.Sprintf("Keep %s from %s%s.", w.u.Length(b.Distance), b.Near, source)
}

// keepAway is the buffers from what this property has: they stand on the front, where the work is done.
func (w *writer) keepAway(s *plan.StopPlan, m *plan.MixPlan) []Block {
	var lines []string
	for _, p := range m.Products {
		for _, b := range p.Buffers {
			if sh, ok := s.Map.LeftOut[b.Surface]; ok && sh.MultiPolygon != nil && sh.NumPolygons() > 0 {
				lines = append(lines, fmt.Sprintf("KEEP %s FROM %s (%s).", w.u.Length(b.Distance), strings.ToUpper(b.Near), p.Name))
			}
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return []Block{Text{Text: strings.Join(lines, " "), Style: Strong}}
}

// protective says what to wear when the tanks are filled, a line for each product that says so.
func (w *writer) protective() []Block {
	var out []Block
	said := map[string]bool{}
	for i := range w.p.Mixes {
		if m := &w.p.Mixes[i]; w.uses(m.Name) {
			for k := range m.Products {
				if p := &m.Products[k]; len(p.PPE) > 0 && !said[p.Name] {
					said[p.Name] = true
					out = append(out, Text{Text: fmt.Sprintf("WEAR for %s: %s", p.Name, wear(p)), Style: Strong})
				}
			}
		}
	}
	return out
}

func wear(p *plan.ProductPlan) string {
	var lines []string
	for _, l := range p.PPE {
		lines = append(lines, sentence(l))
	}
	return strings.Join(lines, " ")
}

// sentence is s with one full stop at its end.
func sentence(s string) string { return strings.TrimSuffix(s, ".") + "." }

// holds prints what a container holds as it is called: "2.5 gal", "50 lb", "10 L".
func (w *writer) holds(c plan.Container) string {
	a, short := c.Holds, func(x float64, name string) string {
		return strings.TrimSuffix(strings.TrimRight(unit.Number(x, 2), "0"), ".") + " " + name
	}
	switch {
	case a.Dry != 0 && w.u == unit.Metric:
		return short(a.Dry.In(unit.Kilogram), "kg")
	case a.Dry != 0:
		return short(a.Dry.In(unit.Pound), "lb")
	case w.u == unit.Metric && a.Liquid >= unit.Litre:
		return short(a.Liquid.In(unit.Litre), "L")
	case w.u == unit.US && a.Liquid >= unit.Gallon/4:
		return short(a.Liquid.In(unit.Gallon), "gal")
	}
	return w.amount(a)
}

// keepOffLine is what to tell whoever is there, each label's text once; nothing when none is entered.
func keepOffLine(m *plan.MixPlan) []Block {
	var lines []string
	for i := range m.Products {
		if t := m.Products[i].KeepOff; t != "" && !slices.Contains(lines, sentence(t)) {
			lines = append(lines, sentence(t))
		}
	}
	if len(lines) == 0 {
		return nil
	}
	return []Block{Text{Text: "KEEP-OFF: " + strings.Join(lines, " "), Style: Strong}}
}
