package dayfile

import (
	"slices"
	"strings"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// appliedColumns are the columns of a table of what was done; property is the only one that must be there.
var appliedColumns = strings.Fields("property date began finished applicator licence product amount wind wind_from temperature remarks")

// Applied reads what was done from a CSV table with a head line, a line for each property, or several with a product each: property (its ID), date
// (ISO 8601; the plan's when empty), began and finished (24-hour clock), applicator, licence, product and amount, wind (a speed), wind_from,
// temperature, remarks. A cell may be empty. Properties and products must be those of the plan; unknown columns are errors. Nothing is returned beside an error.
func Applied(name string, data []byte, p *plan.Plan) ([]plan.Applied, problem.List) {
	a := appliedReader{p: p}
	t := csvTable{name: name, code: "record-unreadable", columns: appliedColumns, must: []string{"property"}, tell: "Write a head line with property and what else is known."}
	found := t.read(data, a.line)
	a.ps = append(a.ps, found...)
	a.ps.Sort()
	if a.ps.HasErrors() {
		return nil, a.ps
	}
	return a.done, a.ps
}

type appliedReader struct {
	where string
	p     *plan.Plan
	done  []plan.Applied
	ps    problem.List
}

// line reads one line; lines of one property are put together.
func (a *appliedReader) line(where string, cell func(string) string) {
	a.where = where
	stops := a.p.StopsAt(cell("property"))
	if len(stops) == 0 {
		var ids []string
		for i := range a.p.Stops {
			ids = append(ids, a.p.Stops[i].Property)
		}
		a.ps.Errorf("unknown-property", a.where, suggest(cell("property"), ids), "the plan has no property %q", clip(cell("property")))
		return
	}
	x := plan.Applied{Property: cell("property"), Date: cell("date"), Applicator: cell("applicator"), Licence: cell("licence"),
		WindFrom: cell("wind_from"), Temperature: cell("temperature"), Remarks: cell("remarks"), Where: a.where}
	if x.Date == "" {
		x.Date = a.p.Date
	}
	if _, err := date.Parse(x.Date); err != nil {
		a.ps.Errorf("bad-date", a.where, "Write the date as year-month-day, such as 2026-04-14.", "%v", err)
	}
	x.Began, x.Finished = a.clock(cell("began")), a.clock(cell("finished"))
	if x.Began > 0 && x.Finished > 0 && x.Finished < x.Began {
		a.ps.Errorf("ends-before-start", a.where, "Write the finish after the beginning.", "it began at %s and finished at %s", clockText(x.Began), clockText(x.Finished))
	}
	if w := cell("wind"); w != "" {
		var err error
		if x.Wind, err = unit.ParseSpeed(w); err != nil {
			a.ps.Errorf("bad-quantity", a.where, "Write the figure with its unit, such as 5 mph.", "%v", err)
		}
	}
	if lp, ok := a.product(cell("product"), cell("amount"), stops); ok {
		x.Products = []plan.LoadProduct{lp}
	}
	a.add(x)
}

// product is what was used of one product, ok when there is any and it holds.
func (a *appliedReader) product(name, amount string, stops []*plan.StopPlan) (lp plan.LoadProduct, ok bool) {
	if name == "" && amount == "" {
		return lp, false
	}
	if name == "" || amount == "" {
		a.ps.Errorf("missing-key", a.where, "Give the product and its amount, or neither.", "one of product and amount is empty")
		return lp, false
	}
	var known []string
	form := label.Form("")
	for _, s := range stops {
		for _, m := range a.p.Mixes {
			if m.Name != s.Mix {
				continue
			}
			for _, p := range m.Products {
				known = append(known, p.Name)
				if p.Name == name {
					form = p.Form
				}
			}
		}
	}
	if form == "" {
		a.ps.Errorf("unknown-product", a.where, suggest(name, known), "the plan puts no %q on %s", clip(name), clip(stops[0].Property))
		return lp, false
	}
	x, err := label.ParseAmount(amount, form)
	if err != nil {
		a.ps.Errorf("bad-quantity", a.where, "Write the figure with its unit.", "%v", err)
		return lp, false
	}
	return plan.LoadProduct{Name: name, Amount: x}, true
}

func (a *appliedReader) clock(t string) unit.Time {
	if t == "" {
		return 0
	}
	at, ok := parseClock(t)
	if !ok || at >= 24*unit.Hour {
		a.ps.Errorf("clock-invalid", a.where, clockFix, "%q is not a time of day", clip(t))
		return 0
	}
	return at
}

// add puts a line with those of the same property; what both say must be the same.
func (a *appliedReader) add(x plan.Applied) {
	i := slices.IndexFunc(a.done, func(y plan.Applied) bool { return y.Property == x.Property })
	if i < 0 {
		a.done = append(a.done, x)
		return
	}
	y := &a.done[i]
	differs := x.Date != y.Date || x.Began != 0 && y.Began != 0 && x.Began != y.Began || x.Finished != 0 && y.Finished != 0 && x.Finished != y.Finished ||
		x.Wind != 0 && y.Wind != 0 && x.Wind != y.Wind
	for _, t := range [][2]*string{{&x.Applicator, &y.Applicator}, {&x.Licence, &y.Licence}, {&x.WindFrom, &y.WindFrom}, {&x.Temperature, &y.Temperature}, {&x.Remarks, &y.Remarks}} {
		differs = differs || *t[0] != "" && *t[1] != "" && *t[0] != *t[1]
		if *t[1] == "" {
			*t[1] = *t[0]
		}
	}
	if differs {
		a.ps.Errorf("record-differs", a.where, "Write the same on both lines, or on one of them only.", "the line says of %s otherwise than %s does", clip(x.Property), y.Where)
	}
	y.Began, y.Finished, y.Wind = max(x.Began, y.Began), max(x.Finished, y.Finished), max(x.Wind, y.Wind)
	for _, lp := range x.Products {
		if slices.ContainsFunc(y.Products, func(p plan.LoadProduct) bool { return p.Name == lp.Name }) {
			a.ps.Errorf("duplicate-name", a.where, "Add the two amounts up on one line.", "%s is used twice on %s", clip(lp.Name), clip(x.Property))
			continue
		}
		y.Products = append(y.Products, lp)
	}
}
