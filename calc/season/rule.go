package season

import (
	"math"
	"slices"
	"strconv"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/problem"
)

// Kind is what a line of the result holds against the visit. A Limit that says several things gives a line each.
type Kind string

const (
	Cap      Kind = "cap"       // a most per area
	Times    Kind = "times"     // a most number of applications
	SlowPart Kind = "slow part" // a least slow share of the nitrogen
	Blackout Kind = "blackout"  // days of the year with none
	Interval Kind = "interval"  // a least number of days between two applications
)

// Line is one limit on one date. Of a Cap the rates are set, of Times the counts, of a SlowPart the
// shares, of an Interval Days and Last.
type Line struct {
	Kind   Kind   `json:"kind"`
	Title  string `json:"title"`            // "N per year"
	Period string `json:"period,omitempty"` // "2026", "2026-03-16 to 2026-04-14"
	// Used is what other applications take up in the period, Adds what the visit adds; Left is of the most
	// after the visit, Over what it is over by, and one of them is zero.
	Used label.Rate `json:"used,omitzero"`
	Adds label.Rate `json:"adds,omitzero"`
	Most label.Rate `json:"most,omitzero"`
	Left label.Rate `json:"left,omitzero"`
	Over label.Rate `json:"over,omitzero"`
	// Applications on one day count once.
	UsedTimes int `json:"used_times,omitempty"`
	AddsTimes int `json:"adds_times,omitempty"`
	MostTimes int `json:"most_times,omitempty"`
	// Slow is the slow share of the visit's nitrogen.
	Slow      label.Share `json:"slow,omitempty"`
	LeastSlow label.Share `json:"least_slow,omitempty"`
	// Days is the least interval; Last the nearest other application, "" when there is none.
	Days int    `json:"days,omitempty"`
	Last string `json:"last,omitempty"`

	Broken   bool   `json:"broken"`
	Citation string `json:"citation"`
	Dated    string `json:"dated,omitempty"`
	Where    string `json:"where,omitempty"`
}

// put is what one application counts against a rule.
type put struct {
	day  date.Date
	name string
	rate label.Rate
	dose label.Dose // of a nutrient
}

// rule is one statement of one limit, ready to be held against any date.
type rule struct {
	kind     Kind
	limit    label.Limit
	interval int
	from, to date.MonthDay
	past     []put // in the order of their dates; those that add nothing are left out
	parts    []put // of the visit, one for each of its parts
	slow     []put // of a SlowPart: the slow N of each part
}

// rulesOf makes the rules. A content that one needs and that is not known is an error.
func rulesOf(v Visit, limits []held, planned, past []entry) (rules []rule, ps problem.List) {
	for _, h := range limits {
		l := h.limit
		parts, found := puts(planned, l.Of, l.Basis, true)
		before, more := puts(past, l.Of, l.Basis, false)
		found = appendNew(found, more)
		base := rule{limit: l, interval: h.interval, past: before, parts: parts}
		add := func(k Kind, r rule) {
			r.kind = k
			rules = append(rules, r)
		}
		if !l.Most.IsZero() {
			add(Cap, base)
		}
		if l.Times > 0 {
			add(Times, base)
		}
		if l.LeastSlow > 0 {
			r := base
			r.parts, more = puts(planned, label.Nitrogen, label.Total, true)
			found = appendNew(found, more)
			r.slow, more = puts(planned, label.Nitrogen, label.Slow, true)
			found = appendNew(found, more)
			add(SlowPart, r)
		}
		if from, to, ok := l.Blackout(); ok {
			r := base
			r.from, r.to = from, to
			add(Blackout, r)
		}
		if h.interval > 0 {
			add(Interval, base)
		}
		ps = appendNew(ps, found)
	}
	return rules, ps
}

// puts is what entries count for a nutrient or a product; with all, those that count nothing too.
func puts(entries []entry, of string, b label.Basis, all bool) (list []put, ps problem.List) {
	for _, e := range entries {
		p := put{day: e.day, name: e.name}
		if label.IsNutrient(of) {
			c, found := e.product.Content(of, b, e.where)
			if len(found) == 0 {
				p.dose, found = c.AtRate(e.rate, e.where)
				p.rate = label.Rate{Dry: p.dose.Weight}
			}
			ps = appendNew(ps, found)
		} else if e.product.Name == of {
			p.rate = e.rate
		}
		if all || size(p.rate) > 0 {
			list = append(list, p)
		}
	}
	return list, ps
}

func hasNutrientRule(rules []rule) bool {
	return slices.ContainsFunc(rules, func(r rule) bool { return label.IsNutrient(r.limit.Of) })
}

// title names the rule for people.
func (r rule) title() string {
	switch r.kind {
	case Times:
		return "applications of " + r.limit.Title()
	case SlowPart:
		return "slow part of the N"
	case Blackout:
		return "blackout of " + r.limit.Of + ", " + r.from.String() + " to " + r.to.String()
	case Interval:
		return r.limit.Of + ", " + strconv.Itoa(r.interval) + " days apart"
	}
	return r.limit.Title()
}

// touched reports whether the visit counts against the rule at all.
func (r rule) touched() bool {
	return slices.ContainsFunc(r.parts, func(p put) bool { return size(p.rate) > 0 })
}

// sum adds puts up, each scaled; a nil scale is 1 each.
func sum(puts []put, scale []float64) (total label.Rate) {
	for i, p := range puts {
		if scale != nil {
			p.rate = p.rate.Times(scale[i])
		}
		total = total.Plus(p.rate)
	}
	return total
}

// at holds the rule against the visit on the day d. scale scales the visit's parts; nil is as planned.
func (r rule) at(d date.Date, scale []float64) Line {
	l := Line{Kind: r.kind, Title: r.title(), Citation: r.limit.Citation, Dated: r.limit.Dated, Where: r.limit.Where}
	switch r.kind {
	case Cap:
		first, last := r.period(d, rateOf)
		l.Period = periodText(r.limit.Per, first, last)
		l.Used, l.Adds, l.Most = sum(within(r.past, first, last), nil), sum(r.parts, scale), r.limit.Most
		total := l.Used.Plus(l.Adds)
		switch {
		case total.Exceeds(l.Most):
			l.Over = total.Minus(l.Most)
			l.Broken = size(l.Adds) > 0
		case l.Most.Exceeds(total):
			l.Left = l.Most.Minus(total)
		}
	case Times:
		first, last := r.period(d, timesOf)
		l.Period = periodText(r.limit.Per, first, last)
		others := daysOf(within(r.past, first, last))
		l.UsedTimes, l.MostTimes = len(others), r.limit.Times
		if r.touched() && !slices.Contains(others, d) {
			l.AddsTimes = 1
		}
		l.Broken = r.touched() && l.UsedTimes+l.AddsTimes > l.MostTimes
	case SlowPart:
		n, slow := size(sum(r.parts, scale)), size(sum(r.slow, scale))
		l.LeastSlow = r.limit.LeastSlow
		if n > 0 {
			l.Slow = label.Share(slow / n)
			l.Broken = slow < n*float64(l.LeastSlow)*(1-1e-9)
		}
	case Blackout:
		l.Period = r.from.String() + " to " + r.to.String()
		l.Broken = r.touched() && d.MonthDay().Within(r.from, r.to)
	case Interval:
		l.Days = r.interval
		nearest := math.MaxInt
		for _, p := range r.past {
			// Applications on one day are one, put on in parts: the cap per application holds them.
			if gap := abs(int(d - p.day)); gap > 0 && gap < nearest {
				nearest, l.Last = gap, p.day.String()
			}
		}
		l.Broken = r.touched() && nearest < r.interval
	}
	return l
}

// factor is by how much part i of the visit may be scaled on the day d before the rule stops it,
// all else as planned; bound is false when the rule does not bound it.
func (r rule) factor(d date.Date, i int) (f float64, bound bool) {
	if size(r.parts[i].rate) == 0 {
		return 0, false
	}
	line := r.at(d, nil)
	switch r.kind {
	case Cap:
		own := size(r.parts[i].rate)
		return max(0, size(line.Most)-(size(line.Used)+size(line.Adds)-own)) / own, true
	case SlowPart:
		// share x (n + f own) <= s + f own slow, the rest of the visit being n and s.
		share, own, ownSlow := float64(line.LeastSlow), size(r.parts[i].rate), size(r.slow[i].rate)
		n, s := size(sum(r.parts, nil))-own, size(sum(r.slow, nil))-ownSlow
		if takes := share*own - ownSlow; takes > 1e-12*own {
			return max(0, s-share*n) / takes, true
		}
		return 0, false // more of it makes the share no worse
	}
	return 0, line.Broken
}

// period is the days that count with a visit on d: the day, its calendar year, or the Days days in a
// row around d in which measure finds most. Of equals it is the earliest.
func (r rule) period(d date.Date, measure func([]put) float64) (first, last date.Date) {
	switch r.limit.Per {
	case label.PerYear:
		return d.YearSpan()
	case label.PerDays:
		n := date.Date(r.limit.Days)
		first = d - n + 1
		most := measure(within(r.past, first, d))
		for _, p := range r.past {
			if p.day < d-n+1 || p.day > d {
				continue
			}
			if x := measure(within(r.past, p.day, p.day+n-1)); x > most {
				first, most = p.day, x
			}
		}
		if x := measure(within(r.past, d, d+n-1)); x > most {
			first = d
		}
		return first, first + n - 1
	}
	return d, d
}

func rateOf(ps []put) float64  { return size(sum(ps, nil)) }
func timesOf(ps []put) float64 { return float64(len(daysOf(ps))) }

func periodText(per label.Per, first, last date.Date) string {
	switch per {
	case label.PerYear:
		return strconv.Itoa(first.Year())
	case label.PerDays:
		return first.String() + " to " + last.String()
	}
	return first.String()
}

// within is the puts from one day to the other, both within.
func within(ps []put, first, last date.Date) (list []put) {
	for _, p := range ps {
		if p.day >= first && p.day <= last {
			list = append(list, p)
		}
	}
	return list
}

// daysOf is the days on which something was put on, each once.
func daysOf(ps []put) (days []date.Date) {
	for _, p := range ps {
		if !slices.Contains(days, p.day) {
			days = append(days, p.day)
		}
	}
	return days
}

func abs(n int) int {
	if n < 0 {
		return -n
	}
	return n
}
