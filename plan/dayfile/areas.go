package dayfile

import (
	"cmp"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/offer"
)

// Areas reads properties whose area is known from a CSV table with a head line: property (its ID), name, area with its unit. Unknown columns are errors.
// Nothing is returned beside an error.
func Areas(name string, data []byte) (out []offer.Property, ps problem.List) {
	t := csvTable{name: name, code: "areas-unreadable", columns: []string{"property", "name", "area"}, must: []string{"property", "area"}, tell: "Write a head line with property, name and area."}
	var lines problem.List
	ps = t.read(data, func(where string, cell func(string) string) {
		p := offer.Property{ID: cell("property"), Name: cmp.Or(cell("name"), cell("property")), Where: where}
		switch a, err := unit.ParseArea(cell("area")); {
		case p.ID == "":
			lines.Errorf("empty-value", where, "Name the property by its ID.", "the property is not named")
		case err != nil:
			lines.Errorf("bad-quantity", where, "Write the area with its unit, such as \"12,300 sq ft\".", "%v", err)
		case !(a > 0) || a > 10_000*unit.Acre:
			lines.Errorf("out-of-range", where, "Check the figure and its unit.", "the area is %s", clip(cell("area")))
		default:
			p.Net = a
		}
		out = append(out, p)
	})
	ps = append(ps, lines...)
	ps.Sort()
	if ps.HasErrors() {
		return nil, ps
	}
	return out, ps
}
