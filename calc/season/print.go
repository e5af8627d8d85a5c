package season

import (
	"fmt"
	"strings"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// amount prints what a rule counts: a nutrient's weight with its symbol, or a product's rate.
func (r rule) amount(s unit.System, rate label.Rate) string {
	if rate.IsZero() {
		return "none"
	}
	if label.IsNutrient(r.limit.Of) {
		return label.NutrientRate(s, rate.Dry, r.limit.Of)
	}
	return rate.Text(s)
}

func (r rule) both(rate label.Rate) string {
	return r.amount(unit.US, rate) + " (" + r.amount(unit.Metric, rate) + ")"
}

// text says what the line holds.
func (r rule) text(s unit.System, l Line) string {
	switch l.Kind {
	case Cap:
		t := fmt.Sprintf("%s before, %s with this visit, of %s", r.amount(s, l.Used), r.amount(s, l.Used.Plus(l.Adds)), r.amount(s, l.Most))
		if !l.Over.IsZero() {
			return t + ": over by " + r.amount(s, l.Over)
		}
		return t + ": " + r.amount(s, l.Left) + " left"
	case Times:
		return fmt.Sprintf("%d before, %d with this visit, of %d", l.UsedTimes, l.UsedTimes+l.AddsTimes, l.MostTimes)
	case SlowPart:
		return fmt.Sprintf("%s, and at least %s", l.Slow.Text(), l.LeastSlow.Text())
	case Interval:
		if l.Last == "" {
			return "no other application"
		}
		return "nearest other application on " + l.Last
	}
	if l.Broken {
		return "the visit falls into it"
	}
	return "the visit is outside it"
}

// cite is where a line is written and when that was read.
func (l Line) cite() string {
	if l.Dated == "" {
		return l.Citation
	}
	return l.Citation + ", read " + l.Dated
}

// Facts are the lines of a printed result: what the visit adds, the year, each limit, and what is allowed.
func (r Result) Facts(s unit.System) (facts []working.Fact) {
	add := func(name, text string) { facts = append(facts, working.Fact{Name: name, Text: text}) }
	if r.Date == "" {
		return nil
	}
	r.Adds.facts(s, "this visit: ", add)
	r.Year.facts(s, fmt.Sprintf("other visits in %d: ", r.day.Year()), add)
	for i, l := range r.Lines {
		name := l.Title
		if l.Period != "" && l.Kind != Blackout {
			name += " (" + l.Period + ")"
		}
		mark := ""
		if l.Broken {
			mark = "NOT ALLOWED: "
		}
		add(name, mark+r.rules[i].text(s, l)+" ["+l.cite()+"]")
	}
	for _, l := range r.Largest {
		switch {
		case !l.Bound:
			add("most of "+l.Product+" on this date", "no limit entered")
		case l.Rate.IsZero():
			add("most of "+l.Product+" on this date", "none: "+l.By)
		default:
			add("most of "+l.Product+" on this date", l.Rate.RoundDown(s).Text(s)+", by "+l.By)
		}
	}
	add("earliest date as planned", r.earliest())
	return facts
}

func (r Result) earliest() string {
	if r.Earliest != "" {
		return r.Earliest
	}
	return fmt.Sprintf("not within %d years: %s", YearsAhead, strings.Join(r.Why, "; "))
}

func (t Totals) facts(s unit.System, before string, add func(name, text string)) {
	least := ""
	if len(t.Unknown) > 0 {
		least = "at least "
		add(before+"not known", "the nutrients of "+strings.Join(t.Unknown, ", "))
	}
	for _, n := range t.Nutrients {
		if n.Weight > 0 {
			add(before+n.Of, least+s.MassRate(n.Weight))
		}
	}
	for _, p := range t.Products {
		add(before+p.Name, p.Rate.Text(s))
	}
}

// The codes of broken limits.
var codes = map[Kind]string{Cap: "limit-over", Times: "limit-times", SlowPart: "slow-part-low", Blackout: "in-blackout", Interval: "interval-short"}

// broken is a problem for each limit that the visit breaks.
func (r Result) broken(where string) (ps problem.List) {
	for i, l := range r.Lines {
		if !l.Broken {
			continue
		}
		rule := r.rules[i]
		var what string
		switch l.Kind {
		case Cap:
			what = fmt.Sprintf("%s (%s) would be %s with this visit, and the most is %s: over by %s", l.Title, l.Period,
				rule.both(l.Used.Plus(l.Adds)), rule.both(l.Most), rule.both(l.Over))
		case Times:
			what = fmt.Sprintf("%s (%s) would be %d with this visit, and the most is %d", l.Title, l.Period, l.UsedTimes+l.AddsTimes, l.MostTimes)
		case SlowPart:
			what = fmt.Sprintf("%s of the visit's N is slow, and the least is %s", l.Slow.Text(), l.LeastSlow.Text())
		case Blackout:
			what = fmt.Sprintf("%s falls into the blackout of %s, %s", r.Date, rule.limit.Of, l.Period)
		case Interval:
			what = fmt.Sprintf("the last %s was on %s, and %d days must lie between two applications", rule.limit.Of, l.Last, l.Days)
		}
		ps.Errorf(codes[l.Kind], where, r.fix(), "%s [%s]", what, l.cite())
	}
	return ps
}

// fix says what would be allowed.
func (r Result) fix() string {
	var ways []string
	for _, l := range r.Largest {
		if l.Bound && !l.Rate.IsZero() {
			us, metric := l.Rate.RoundDown(unit.US), l.Rate.RoundDown(unit.Metric)
			ways = append(ways, "put on at most "+us.Text(unit.US)+" ("+metric.Text(unit.Metric)+") of "+l.Product)
		}
	}
	if r.Earliest != "" {
		ways = append(ways, "come on "+r.Earliest+" at the earliest")
	}
	if len(ways) == 0 {
		return "Choose another product or a lower rate: no date within " + fmt.Sprint(YearsAhead) + " years will do."
	}
	t := strings.Join(ways, ", or ")
	return strings.ToUpper(t[:1]) + t[1:] + "."
}
