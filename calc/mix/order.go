package mix

import (
	"slices"
	"strings"

	"tankful/calc/label"
	"tankful/calc/problem"
)

// OrderNote stands wherever an order of adding is shown. The usual order is W-A-L-E-S (Country Guide, Ontario
// practice); another published one, A-P-P-L-E-S (North Dakota Weed Control Guide, 2021), puts soluble powders before
// the dispersible ones. The two differ, so the order can be edited.
const OrderNote = "The label's order of adding overrides this one. Let each product mix in fully before the next."

// Ordered is the parts in the order of adding. Products named in Sequence come first, in its order; then the classes
// of Order, in its order; then the other classes in the order of label.Classes. Within a class they stay as given.
func (r Recipe) Ordered() []Part {
	place := func(p Part) (int, int) {
		if i := slices.Index(r.Sequence, p.Product.Name); i >= 0 {
			return 0, i
		}
		if i := slices.Index(r.Order, p.Product.Class); i >= 0 {
			return 1, i
		}
		return 2, p.Product.Class.Order()
	}
	parts := slices.Clone(r.Parts)
	slices.SortStableFunc(parts, func(a, b Part) int {
		ga, ia := place(a)
		gb, ib := place(b)
		if ga != gb {
			return ga - gb
		}
		return ia - ib
	})
	return parts
}

// checkOrder finds an order that names what is not there, or one thing twice.
func (r Recipe) checkOrder(where string) (ps problem.List) {
	for i, c := range r.Order {
		if !slices.Contains(label.Classes, c) {
			ps.Errorf("class-unknown", where, "Write one of "+classNames()+".", "the order of adding names the class %q", string(c))
		} else if slices.Index(r.Order, c) < i {
			ps.Errorf("order-twice", where, "Name each class once.", "the order of adding names %s twice", c)
		}
	}
	for i, n := range r.Sequence {
		known := slices.ContainsFunc(r.Parts, func(p Part) bool { return p.Product.Name == n })
		if !known {
			ps.Errorf("product-unknown", where, "Name products of this mix only.", "the order of adding names %q, which is not in the mix", n)
		} else if slices.Index(r.Sequence, n) < i {
			ps.Errorf("order-twice", where, "Name each product once.", "the order of adding names %s twice", n)
		}
	}
	return ps
}

func classNames() string {
	names := make([]string, len(label.Classes))
	for i, c := range label.Classes {
		names[i] = string(c)
	}
	return strings.Join(names, ", ")
}

// refusal is the entry of a's label that keeps b out of a tank with it, a product's name or a class; "" when
// there is none.
func refusal(a, b label.Product) string {
	for _, n := range a.Label.NotWith {
		if t := strings.TrimSpace(n); t != "" && (strings.EqualFold(t, b.Name) || strings.EqualFold(t, string(b.Class))) {
			return t
		}
	}
	return ""
}

// apart finds two products whose labels keep them out of one tank. how says how they would meet.
func apart(a, b label.Product, how, where string) (ps problem.List) {
	for _, pair := range [][2]label.Product{{a, b}, {b, a}} {
		if n := refusal(pair[0], pair[1]); n != "" {
			ps.Errorf("not-with", where, "Put one of them in another tank, or rinse between them.",
				"the label of %s keeps it out of a tank with %s, and %s is %s", pair[0].Name, n, pair[1].Name, how)
			return ps
		}
	}
	return ps
}
