package dayfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/season"
	"tankful/calc/unit"
)

// readRecord reads the record that the day file names; the products must have been read.
func (r *reader) readRecord(c cursor) {
	name := c.text()
	if name == "" {
		return
	}
	data, err := r.outlines(name)
	if err != nil {
		c.fail("record-unreadable", "Check the name and the folder of the record.", "the record %s cannot be read: %v", clip(name), err)
		return
	}
	past, found := Record(name, data, r.day.Products)
	r.day.Past, r.day.Recorded, r.record = past, true, c
	for _, p := range found {
		r.addAt(c, p)
	}
}

// checkRecord finds a record that none of the day's properties is in: other IDs than those of the outlines are the usual
// reason, and every sum of the year would be short.
func (r *reader) checkRecord() {
	ids := map[string]bool{}
	var known []string
	for _, e := range r.stops {
		if id := e.stop.Site.Property.ID; !ids[id] {
			ids[id] = true
			known = append(known, id)
		}
	}
	if len(r.day.Past) == 0 || len(known) == 0 || slices.ContainsFunc(r.day.Past, func(a season.Applied) bool { return ids[a.Property] }) {
		return
	}
	p := problem.Problem{Code: "record-of-others", Severity: problem.Warning, Where: r.record.where(), Fix: "Check that the record names properties as the outlines do.",
		What: fmt.Sprintf("none of the %d entries of the record is for a property of the day, such as %q; the first is for %q", len(r.day.Past), clip(known[0]), clip(r.day.Past[0].Property))}
	r.problems = append(r.problems, p)
}

// recordColumns are the columns of a record, and whether each must be there.
var recordColumns = map[string]bool{"date": true, "property": true, "product": true, "rate": false, "amount": false, "area": false}

// Record reads past applications from a CSV table with a head line: date (ISO 8601), property (its ID), product,
// and either rate or amount and area, with their units. Further columns are passed over with a note. products are
// those that it may name: the contents of the others are not known, and that is an error.
func Record(name string, data []byte, products []label.Product) (past []season.Applied, ps problem.List) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		ps.Errorf("record-unreadable", name, "Write a head line with date, property, product and rate.", "the record has no head line%s", csvError(err))
		return nil, ps
	}
	if len(head) == 1 && strings.Contains(head[0], ";") {
		ps.Errorf("record-unreadable", name+":1", "Save the table with commas between the columns.", "the columns are parted by semicolons")
		return nil, ps
	}
	at := recordHead(name, head, &ps)
	for !ps.HasErrors() || len(past) > 0 {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		where := fmt.Sprintf("%s:%d", name, csvLine(r, err))
		if err != nil {
			ps.Errorf("record-unreadable", where, "Check the quotes on this line.", "the line is no line of a table%s", csvError(err))
			break
		}
		cell := func(column string) string {
			if i, ok := at[column]; ok && i < len(fields) {
				return strings.TrimSpace(fields[i])
			}
			return ""
		}
		past = append(past, recordLine(where, cell, products, &ps))
	}
	ps.Sort()
	return past, ps
}

// csvLine is the line that was just read, or where reading broke off.
func csvLine(r *csv.Reader, err error) int {
	var e *csv.ParseError
	if errors.As(err, &e) {
		return e.Line // FieldPos panics when no field was read
	}
	line, _ := r.FieldPos(0)
	return line
}

// csvError is what the reader of tables says of a line, behind a colon; nothing at the end of the file.
func csvError(err error) string {
	var e *csv.ParseError
	switch {
	case errors.As(err, &e):
		return ": " + e.Err.Error()
	case errors.Is(err, io.EOF):
		return ""
	}
	return ": " + err.Error()
}

func recordHead(name string, head []string, ps *problem.List) map[string]int {
	at := map[string]int{}
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		if _, known := recordColumns[h]; !known {
			ps.Notef("record-column", name+":1", "Nothing needs to be done, unless it is a misspelt one of date, property, product, rate, amount, area.", "the column %q is passed over", clip(h))
			continue
		}
		if _, twice := at[h]; twice {
			ps.Errorf("duplicate-key", name+":1", "Keep one of the two.", "the column %s stands there twice", h)
		}
		at[h] = i
	}
	for h, must := range recordColumns {
		if _, ok := at[h]; must && !ok {
			ps.Errorf("missing-key", name+":1", "Add the column "+h+".", "the column %s is missing", h)
		}
	}
	_, rated := at["rate"]
	_, amount := at["amount"]
	_, area := at["area"]
	if !rated && !(amount && area) {
		ps.Errorf("missing-key", name+":1", "Add the column rate, or the columns amount and area.", "the record says nothing of how much went on")
	}
	return at
}

func recordLine(where string, cell func(string) string, products []label.Product, ps *problem.List) season.Applied {
	a := season.Applied{Date: cell("date"), Property: cell("property"), Where: where}
	if _, err := date.Parse(a.Date); err != nil {
		ps.Errorf("bad-date", where, "Write the date as year-month-day, such as 2026-04-14.", "%v", err)
	}
	if a.Property == "" {
		ps.Errorf("empty-value", where, "Name the property by its ID.", "the property is not named")
	}
	i := slices.IndexFunc(products, func(p label.Product) bool { return p.Name == cell("product") })
	if i < 0 {
		ps.Errorf("unknown-product", where, "Add it to products, or name it as it stands there.", "%q is not among the products", clip(cell("product")))
		return a
	}
	a.Product = products[i]
	quantity := func(err error) {
		if err != nil {
			ps.Errorf("bad-quantity", where, "Write the figure with its unit.", "%v", err)
		}
	}
	var err error
	rate, amount, area := cell("rate"), cell("amount"), cell("area")
	switch {
	case rate != "" && (amount != "" || area != ""):
		ps.Errorf("one-of-two", where, "Give the rate, or the amount and the area.", "a rate and an amount or an area are given")
	case rate != "":
		a.Rate, err = label.ParseRate(rate, a.Product.Form)
		quantity(err)
	case amount == "" || area == "":
		ps.Errorf("missing-key", where, "Give the rate, or the amount and the area.", "it is not said how much went on")
	default:
		a.Amount, err = label.ParseAmount(amount, a.Product.Form)
		quantity(err)
		a.Area, err = unit.ParseArea(area)
		quantity(err)
	}
	return a
}
