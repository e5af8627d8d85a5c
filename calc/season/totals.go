package season

import (
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Total is how much of one thing there is on an area.
type Total struct {
	Of     string           `json:"of"` // "N", "quick N", "slow N", "P2O5", "K2O", then others
	Weight unit.MassPerArea `json:"weight_kg_per_m2"`
}

// ProductTotal is how much of one product there is on an area.
type ProductTotal struct {
	Name string     `json:"name"`
	Rate label.Rate `json:"rate"`
}

// Totals is what some applications put on together. Unknown names products whose nutrients are not known
// and not in it: then the nutrients are "at least".
type Totals struct {
	Nutrients []Total        `json:"nutrients"`
	Products  []ProductTotal `json:"products"`
	Unknown   []string       `json:"unknown,omitempty"`

	parts []label.Rate
}

// Of is the weight of a nutrient, as Total names it; 0 for one that is not there.
func (t Totals) Of(name string) unit.MassPerArea {
	for _, n := range t.Nutrients {
		if n.Of == name {
			return n.Weight
		}
	}
	return 0
}

// totals adds up entries. A content that is not known is an error when a limit may need it, else a warning.
func totals(entries []entry, needed bool) (t Totals, ps problem.List) {
	t.Nutrients = []Total{{Of: "N"}, {Of: "quick N"}, {Of: "slow N"}, {Of: "P2O5"}, {Of: "K2O"}}
	for _, e := range entries {
		t.parts = append(t.parts, e.rate)
		t.addProduct(e)
		if found := t.addNutrients(e); len(found) > 0 {
			if !slices.Contains(t.Unknown, e.product.Name) {
				t.Unknown = append(t.Unknown, e.product.Name)
			}
			for i := range found {
				if !needed {
					found[i].Severity = problem.Warning
				}
			}
			ps = appendNew(ps, found)
		}
	}
	return t, ps
}

func (t *Totals) addProduct(e entry) {
	for i := range t.Products {
		if t.Products[i].Name == e.product.Name {
			t.Products[i].Rate = t.Products[i].Rate.Plus(e.rate)
			return
		}
	}
	t.Products = append(t.Products, ProductTotal{e.product.Name, e.rate})
}

// addNutrients adds all that the entry holds, or nothing and the first problem.
func (t *Totals) addNutrients(e entry) problem.List {
	type content struct {
		of    string
		basis label.Basis
	}
	wanted := []content{{"N", ""}, {"N", label.Quick}, {"N", label.Slow}, {"P2O5", ""}, {"K2O", ""}}
	for _, symbol := range e.product.Analysis.OtherNutrients() {
		wanted = append(wanted, content{symbol, ""})
	}
	var add []Total
	for _, w := range wanted {
		c, ps := e.product.Content(w.of, w.basis, e.where)
		if len(ps) > 0 {
			return ps
		}
		add = append(add, Total{c.Of, c.At(e.rate)})
	}
	for _, a := range add {
		i := slices.IndexFunc(t.Nutrients, func(n Total) bool { return n.Of == a.Of })
		if i < 0 {
			t.Nutrients = append(t.Nutrients, Total{Of: a.Of})
			slices.SortStableFunc(t.Nutrients[5:], func(a, b Total) int { return slices.Index(label.Nutrients, a.Of) - slices.Index(label.Nutrients, b.Of) })
			i = slices.IndexFunc(t.Nutrients, func(n Total) bool { return n.Of == a.Of })
		}
		t.Nutrients[i].Weight += a.Weight
	}
	return nil
}
