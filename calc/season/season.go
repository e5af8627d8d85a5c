// Package season adds up what a property gets over the year and holds a planned visit against
// every limit: caps per application, per year and in any number of days, least intervals, most
// applications, blackouts, and the least slow share of the nitrogen.
//
// It knows applications by date, the contents of products, and limits as their user entered
// them. It leaves out the law (no limit ships with the program), the clock (the visit's date is
// given), and parts of a property: what went on any of its turf counts for all of it.
package season

import (
	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// YearsAhead is how far the earliest allowed date is looked for.
const YearsAhead = 2

// Applied is one product that went on a property on one day. Either Rate is set, or Amount and Area.
type Applied struct {
	Date     string // ISO 8601
	Property string // the property's ID
	Product  label.Product
	Rate     label.Rate
	Amount   label.Amount
	Area     unit.Area
	Where    string
}

// Part is one product of a visit at its rate.
type Part struct {
	Product label.Product
	Rate    label.Rate
}

// Visit is a planned application. Grass is the property's species and Applicator the kind that is used; where
// they are "", limits that hold for some only are held to, with a warning.
type Visit struct {
	Date       string // ISO 8601
	Property   string // the property's ID
	Grass      string
	Applicator string
	Parts      []Part
	Where      string
}

// Season is what is known when a visit is planned. The order of the entries does not matter.
type Season struct {
	// Past are the applications of any property; those of others are passed over. An entry may lie after the
	// visit, and counts all the same.
	Past []Applied
	// Limits are the local ones. Those of the labels of the visit's products are held too: the most per
	// application, the least interval and the further limits.
	Limits []label.Limit
	// Products are further ones that a limit may name without being used here.
	Products []label.Product
}

// Result is a visit held against every limit.
type Result struct {
	Date     string `json:"date"`
	Property string `json:"property"`
	// Adds is what the visit puts on; Year is what the other applications of its calendar year put on.
	Adds Totals `json:"adds"`
	Year Totals `json:"year"`
	// Lines are the limits one by one: the labels' first, then the local ones.
	Lines   []Line    `json:"limits"`
	Largest []Largest `json:"largest"`
	Allowed bool      `json:"allowed"`
	// Earliest is the first day from the visit's date on when it is allowed as planned, ISO 8601; "" when there
	// is none within YearsAhead, and then Why says what stands in its way.
	Earliest string   `json:"earliest,omitempty"`
	Why      []string `json:"why,omitempty"`

	rules []rule
	day   date.Date
}

// Largest is the highest rate of one product of the visit that the limits would still allow on its date, all else
// as planned. Bound is false when no limit bounds it; a bound rate of zero is "none".
type Largest struct {
	Product string     `json:"product"`
	Bound   bool       `json:"bound"`
	Rate    label.Rate `json:"rate"`
	By      string     `json:"by,omitempty"` // the limit that bounds it
}

// entry is one product on the ground, past or planned.
type entry struct {
	day     date.Date
	name    string // "2026-03-02 Feed", "this visit, Feed"
	product label.Product
	rate    label.Rate
	where   string
}

// Check holds the visit against the limits. A limit that is broken is an error with the highest
// rate and the earliest date that would do. The Result is zero when an entry is at fault or a content that
// a limit needs is not known; when limits alone are broken it is whole, and not Allowed.
func (s Season) Check(v Visit) (Result, problem.List) {
	day, planned, ps := v.entries()
	past, found := s.past(v.Property)
	ps = append(ps, found...)
	ps = append(ps, sameForm(planned, past)...)
	limits, found := s.limits(v, past)
	ps = append(ps, found...)
	if ps.HasErrors() {
		return Result{}, ps
	}
	rules, found := rulesOf(v, limits, planned, past)
	ps = append(ps, found...)
	r := Result{Date: v.Date, Property: v.Property, rules: rules, day: day}
	r.Adds, found = totals(planned, hasNutrientRule(rules))
	ps = appendNew(ps, found)
	var year []entry
	for _, e := range past {
		if e.day.Year() == day.Year() {
			year = append(year, e)
		}
	}
	r.Year, found = totals(year, hasNutrientRule(rules))
	ps = appendNew(ps, found)
	if ps.HasErrors() {
		return Result{}, ps
	}
	r.judge(planned)
	return r, append(ps, r.broken(v.Where)...)
}

// judge fills in what the rules say on the visit's date and later.
func (r *Result) judge(planned []entry) {
	r.Allowed = true
	for _, rule := range r.rules {
		line := rule.at(r.day, nil)
		r.Lines = append(r.Lines, line)
		r.Allowed = r.Allowed && !line.Broken
	}
	for i, e := range planned {
		r.Largest = append(r.Largest, r.largest(i, e))
	}
	r.search()
}

// search looks for the earliest date, day by day.
func (r *Result) search() {
	last := r.day.Years(YearsAhead)
	days := make([]int, len(r.rules)) // on how many days each rule is broken
	for d := r.day; d <= last; d++ {
		good := true
		for i, rule := range r.rules {
			if rule.at(d, nil).Broken {
				good = false
				days[i]++
			}
		}
		if good {
			r.Earliest = d.String()
			return
		}
	}
	always := int(last-r.day) + 1
	for _, least := range []int{always, 1} {
		for i, n := range days {
			if n >= least {
				r.Why = append(r.Why, r.rules[i].title())
			}
		}
		if len(r.Why) > 0 {
			return
		}
	}
}

// largest scales one product of the visit until a rule stops it.
func (r *Result) largest(i int, e entry) Largest {
	l := Largest{Product: e.product.Name}
	factor := 0.0
	for _, rule := range r.rules {
		f, bound := rule.factor(r.day, i)
		if bound && (!l.Bound || f < factor) {
			factor, l.Bound, l.By = f, true, rule.title()
		}
	}
	if !l.Bound {
		return l
	}
	scale := make([]float64, len(r.Adds.parts))
	for k := range scale {
		scale[k] = 1
	}
	scale[i] = factor
	for _, rule := range r.rules {
		if line := rule.at(r.day, scale); line.Broken {
			return Largest{Product: l.Product, Bound: true, By: rule.title()} // some other product of the visit breaks it
		}
	}
	l.Rate = e.rate.Times(factor)
	return l
}
