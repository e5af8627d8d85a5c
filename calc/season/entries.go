package season

import (
	"cmp"
	"slices"
	"strings"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// entries reads the visit.
func (v Visit) entries() (day date.Date, planned []entry, ps problem.List) {
	day, err := date.Parse(v.Date)
	if err != nil {
		ps.Errorf("date-invalid", v.Where, "Write year-month-day, such as 2026-04-14.", "the visit's date: %v", err)
	}
	if strings.TrimSpace(v.Property) == "" {
		ps.Errorf("property-missing", v.Where, "Name the property of the visit.", "the visit does not say which property it is for")
	}
	if len(v.Parts) == 0 {
		ps.Errorf("visit-without-products", v.Where, "Name the products of the visit and their rates.", "the visit has no products")
	}
	for _, p := range v.Parts {
		ps = append(ps, checkRate(p.Product, p.Rate, v.Where)...)
		planned = append(planned, entry{day: day, name: "this visit, " + p.Product.Name, product: p.Product, rate: p.Rate, where: v.Where})
	}
	return day, planned, ps
}

// past reads the applications of one property, in the order of their dates.
func (s Season) past(property string) (entries []entry, ps problem.List) {
	for _, a := range s.Past {
		if strings.TrimSpace(a.Property) == "" {
			ps.Errorf("property-missing", a.Where, "Name the property that it went on.", "%s on %s does not say on which property", a.Product.Name, a.Date)
		}
		if a.Property != property {
			continue
		}
		day, err := date.Parse(a.Date)
		if err != nil {
			ps.Errorf("date-invalid", a.Where, "Write year-month-day, such as 2026-04-14.", "the application of %s: %v", a.Product.Name, err)
		}
		rate, found := a.rate()
		ps = append(ps, found...)
		entries = append(entries, entry{day: day, name: a.Date + " " + a.Product.Name, product: a.Product, rate: rate, where: a.Where})
	}
	slices.SortStableFunc(entries, func(a, b entry) int {
		return cmp.Or(cmp.Compare(a.day, b.day), cmp.Compare(a.name, b.name), cmp.Compare(size(a.rate), size(b.rate)))
	})
	return entries, ps
}

// rate is the rate of an application, from its amount where that is what was written down.
func (a Applied) rate() (rate label.Rate, ps problem.List) {
	byAmount := !a.Amount.IsZero() || a.Area != 0
	switch {
	case !a.Rate.IsZero() && byAmount:
		ps.Errorf("applied-twice", a.Where, "Enter the rate, or the amount and the area.", "%s on %s has a rate and an amount", a.Product.Name, a.Date)
		return a.Rate, ps
	case !byAmount:
		return a.Rate, checkRate(a.Product, a.Rate, a.Where)
	case !unit.Positive(a.Area):
		ps.Errorf("applied-area", a.Where, "Enter the area that it went on, such as 5000 sq ft.", "%s of %s on %s went on %s", a.Amount.Text(unit.US), a.Product.Name, a.Date, unit.US.Area(a.Area))
		return rate, ps
	}
	rate = a.Amount.Per(a.Area)
	return rate, checkRate(a.Product, rate, a.Where)
}

// checkRate finds a rate that is no rate of the product. A label's most is held by the rules.
func checkRate(p label.Product, r label.Rate, where string) (ps problem.List) {
	wrong := p.Form == label.Liquid && r.Dry != 0 || p.Form.Weighed() && r.Liquid != 0
	switch {
	case p.Form != label.Liquid && !p.Form.Weighed():
		ps.Errorf("form-unknown", where, "Write liquid, dry or granule.", "the form of %s is %q", p.Name, string(p.Form))
	case wrong:
		ps.Errorf("rate-wrong-kind", where, "Give a volume of a liquid, a weight of any other product.", "%s is %s, and its rate is given as %s", p.Name, p.Form, r.Text(unit.US))
	case !unit.Positive(size(r)):
		ps.Errorf("rate-zero", where, "Enter the rate per area with its unit.", "the rate of %s is %s", p.Name, r.Text(unit.US))
	}
	return ps
}

// sameForm finds a product that is measured in two ways: its applications could not be added up.
func sameForm(planned, past []entry) (ps problem.List) {
	forms := map[string]label.Form{}
	for _, e := range slices.Concat(planned, past) {
		name := e.product.Name
		if f, ok := forms[name]; ok && (f == label.Liquid) != (e.product.Form == label.Liquid) {
			ps.Errorf("form-differs", e.where, "Give the two products names of their own.", "%s is %s here and %s elsewhere", name, e.product.Form, f)
		}
		forms[name] = e.product.Form
	}
	return ps
}

// limits are all that hold for the visit: those of its labels and the local ones.
func (s Season) limits(v Visit, past []entry) (kept []held, ps problem.List) {
	known := slices.Clone(s.Products)
	for _, e := range past {
		known = append(known, e.product)
	}
	seen := map[string]bool{}
	var all []held
	for _, p := range v.Parts {
		known = append(known, p.Product)
		if seen[p.Product.Name] {
			continue
		}
		seen[p.Product.Name] = true
		all = append(all, ofLabel(p.Product, v.Where)...)
	}
	for _, l := range s.Limits {
		l.Where = cmp.Or(l.Where, v.Where)
		all = append(all, held{limit: l})
	}
	for _, h := range all {
		if !h.own {
			ps = append(ps, h.limit.Validate(known)...)
		}
		if v.concerns(h.limit, &ps) {
			kept = append(kept, h)
		}
	}
	return kept, ps
}

// held is a limit and, for a label's least interval, its days.
type held struct {
	limit    label.Limit
	interval int
	own      bool // made from the label's own most or interval: checked with the label
}

// ofLabel are the limits of a product's label.
func ofLabel(p label.Product, where string) (list []held) {
	l := p.Label
	base := label.Limit{Of: p.Name, Citation: l.Citation, Dated: l.Dated, Where: where}
	if !l.Most.IsZero() {
		most := base
		most.Per, most.Most = label.PerApplication, l.Most
		list = append(list, held{limit: most, own: true})
	}
	if l.IntervalDays > 0 {
		list = append(list, held{limit: base, interval: l.IntervalDays, own: true})
	}
	for _, limit := range l.Limits {
		limit.Where = cmp.Or(limit.Where, where)
		list = append(list, held{limit: limit})
	}
	return list
}

// concerns reports whether the limit holds for the visit's grass and applicator. Where the visit
// does not say, it is held to, with a warning.
func (v Visit) concerns(l label.Limit, ps *problem.List) bool {
	for _, c := range []struct{ what, for_, is string }{{"grass", l.Grass, v.Grass}, {"applicator", l.Applicator, v.Applicator}} {
		if c.for_ == "" || strings.EqualFold(strings.TrimSpace(c.for_), strings.TrimSpace(c.is)) {
			continue
		}
		if strings.TrimSpace(c.is) != "" {
			return false
		}
		ps.Warnf(c.what+"-unknown", v.Where, "Enter the "+c.what+" of the visit.",
			"the limit of %s holds for %s (%s) and the visit's %s is not entered: it is held to", l.Title(), c.for_, l.Citation, c.what)
	}
	return true
}

// size is a rate's figure, of which one is set.
func size(r label.Rate) float64 { return float64(r.Liquid) + float64(r.Dry) }

// appendNew adds the problems that are not yet in the list.
func appendNew(ps, more problem.List) problem.List {
	for _, p := range more {
		if !slices.Contains(ps, p) {
			ps = append(ps, p)
		}
	}
	return ps
}
