package sheet

import (
	"cmp"
	"fmt"
	"strings"

	"tankful/calc/working"
)

// carry lists what to put on the truck, in whole containers where it is known what a product comes in.
func (w *writer) carry() []Block {
	if len(w.day.Carry) == 0 {
		return nil
	}
	t := Table{Columns: []Column{{Head: "Product", Align: Left}, {Head: "Take", Align: Left}, {Head: "Goes into tanks", Align: Right}, {Head: "Which is", Align: Right}, {Head: "Comes back", Align: Right}, {Head: "Goes into", Align: Left}, {Head: "Registration", Align: Left}}}
	if w.spreads() {
		t.Columns[2].Head = "Is used"
	}
	for _, c := range w.day.Carry {
		where := w.numbers("load", c.Loads)
		if len(c.Stops) > 0 {
			where = w.numbers("stop", c.Stops)
		}
		var take []string
		for _, k := range c.Containers {
			take = append(take, fmt.Sprintf("%s of %s", k, w.holds(k)))
		}
		back := "-"
		if !c.Back.IsZero() {
			back = cmp.Or(w.jugs(c.Back), w.amount(c.Back))
		}
		t.Rows = append(t.Rows, Row{Cells: []string{c.Product, orDash(strings.Join(take, ", ")), w.amount(c.Amount), orDash(w.jugs(c.Amount)),
			back, strings.TrimSpace(where), orDash(c.Registration)}})
	}
	return append([]Block{Heading{Text: "Put on the truck", Together: true}, t}, w.weight()...)
}

// weight is what the truck carries at its fullest.
func (w *writer) weight() []Block {
	x := w.day.Weight
	if x == nil {
		return []Block{Text{Text: "Weight: not checked, because the truck's weights are not entered.", Style: Small}}
	}
	var items []string
	for _, i := range x.Items {
		items = append(items, i.Name+" "+w.u.TruckWeight(i.Mass))
	}
	return []Block{Text{Text: fmt.Sprintf("Weight at the fullest: %s, of a payload of %s; %s to spare. (%s; containers not counted. This does not say that the load is legal: weigh the truck full.)",
		w.u.TruckWeight(x.Load), w.u.TruckWeight(x.Payload), w.u.TruckWeight(x.Margin), strings.Join(items, ", "))}}
}

// worked1 is the way to one amount, "188 gal / (2.05 gal/1000 sq ft) x (6 fl oz/1000 sq ft) = 550.2439 fl oz"; "" when
// the working does not have it.
func worked1(steps working.Working, name string) string {
	for _, s := range steps {
		if s.Name == name && s.Filled != "" {
			return s.Filled + " = " + s.Unrounded
		}
	}
	return ""
}
