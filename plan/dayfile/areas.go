package dayfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan/offer"
)

// areaColumns are the columns of a table of known areas; name may be missing.
var areaColumns = []string{"property", "name", "area"}

// Areas reads properties whose area is known from a CSV table with a head line: property (its ID), name, area with its unit. Unknown columns are errors.
func Areas(name string, data []byte) (out []offer.Property, ps problem.List) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		ps.Errorf("areas-unreadable", name, "Write a head line with property, name and area.", "the table has no head line%s", csvError(err))
		return nil, ps
	}
	at := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		switch _, twice := at[h]; {
		case !slices.Contains(areaColumns, h):
			ps.Errorf("unknown-key", name+":1", suggest(h, areaColumns), "%q is not a column here", clip(h))
		case twice:
			ps.Errorf("duplicate-key", name+":1", "Keep one of the two.", "the column %s stands there twice", h)
		}
		at[h] = i
	}
	for _, must := range []string{"property", "area"} {
		if _, ok := at[must]; !ok {
			ps.Errorf("missing-key", name+":1", "Add the column "+must+".", "the column %s is missing", must)
		}
	}
	for !ps.HasErrors() || len(out) > 0 {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		where := fmt.Sprintf("%s:%d", name, csvLine(r, err))
		if err != nil {
			ps.Errorf("areas-unreadable", where, "Check the quotes on this line.", "the line is no line of a table%s", csvError(err))
			break
		}
		cell := func(column string) string {
			if i, ok := at[column]; ok && i < len(fields) {
				return strings.TrimSpace(fields[i])
			}
			return ""
		}
		p := offer.Property{ID: cell("property"), Name: cell("name"), Where: where}
		if p.Name == "" {
			p.Name = p.ID
		}
		switch a, err := unit.ParseArea(cell("area")); {
		case len(fields) > len(head):
			ps.Errorf("areas-unreadable", where, "Put quotes round a text that has commas in it, such as \"12,300 sq ft\".", "the line has %d cells and the head %d", len(fields), len(head))
		case p.ID == "":
			ps.Errorf("empty-value", where, "Name the property by its ID.", "the property is not named")
		case err != nil:
			ps.Errorf("bad-quantity", where, "Write the area with its unit, such as \"12,300 sq ft\".", "%v", err)
		case !(a > 0) || a > 10_000*unit.Acre:
			ps.Errorf("out-of-range", where, "Check the figure and its unit.", "the area is %s", clip(cell("area")))
		default:
			p.Net = a
		}
		out = append(out, p)
	}
	ps.Sort()
	if ps.HasErrors() {
		return nil, ps
	}
	return out, ps
}
