package season

import (
	"math"
	"strings"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Working shows the sum of each limit: what each application holds, the sum, and what is left.
func (r Result) Working(s unit.System) working.Working {
	w := working.Working{}
	seen := map[string]bool{}
	for i, l := range r.Lines {
		rule := r.rules[i]
		for _, p := range rule.counted(l, r) {
			once(&w, seen, p, s)
		}
		switch l.Kind {
		case Cap:
			rule.capWorking(&w, r, l, s)
		case SlowPart:
			rule.slowWorking(&w, seen, l, s)
		default:
			w.Say(l.Title, rule.text(s, l), l.cite())
		}
	}
	w.Say("earliest date as planned", r.earliest(), "Every day from the visit's date on is held against every limit.")
	return w
}

// counted is the puts that a line's working stands on.
func (r rule) counted(l Line, res Result) []put {
	var list []put
	if l.Kind == Cap {
		first, last := r.period(res.day, rateOf)
		list = within(r.past, first, last)
	}
	for _, p := range r.parts {
		if size(p.rate) > 0 && (l.Kind == Cap || l.Kind == SlowPart) {
			list = append(list, p)
		}
	}
	return list
}

// once adds the steps of a put's dose that are not there yet; the last, what it puts on, has the name that sums call it by.
func once(w *working.Working, seen map[string]bool, p put, s unit.System) {
	if p.dose.Weight == 0 {
		return
	}
	steps := p.dose.Working(s)
	steps[len(steps)-1].Name = p.dose.Content.Of + ", " + p.name
	for _, step := range steps {
		key := strings.Join(step.Lines(), "\n")
		if !seen[key] {
			*w = append(*w, step)
		}
		seen[key] = true
	}
}

// in is the unit that rates of the rule are shown in, and the rate as a quantity.
func (r rule) in(s unit.System, rate label.Rate) (unit.Quantity, string) {
	u := working.UnitsOf(s)
	if r.limit.Most.Liquid != 0 {
		return rate.Liquid, u.LiquidRate
	}
	return rate.Dry, u.MassRate
}

func (r rule) leaf(s unit.System, name string, rate label.Rate) working.Expr {
	q, in := r.in(s, rate)
	return working.Of(name, q, in)
}

// leastShown is the difference to a most, as a share of it, that is worth a subtraction: below
// it only the noise of the sum would be left.
const leastShown = 1e-6

func (r rule) capWorking(w *working.Working, res Result, l Line, s unit.System) {
	var terms []working.Expr
	for _, p := range r.counted(l, res) {
		terms = append(terms, r.leaf(s, p.name, p.rate))
	}
	name := l.Title + " (" + l.Period + ")"
	if len(terms) == 0 {
		w.Say(name, "none of "+r.amount(s, l.Most), l.cite())
		return
	}
	total := l.Used.Plus(l.Adds)
	q, in := r.in(s, total)
	w.Add(name, working.Sum(terms...), q, in, r.amount(s, total))
	most := r.leaf(s, "most", l.Most)
	sum := r.leaf(s, "with this visit", total)
	d := l.Most.Minus(total)
	switch {
	case math.Abs(size(d)) < leastShown*size(l.Most) && !l.Over.IsZero():
		w.Say("over "+l.Title, "by less than a millionth of "+r.amount(s, l.Most), l.cite())
	case math.Abs(size(d)) < leastShown*size(l.Most):
		w.Say("left of "+l.Title, "none: the most of "+r.amount(s, l.Most)+" is reached", l.cite())
	case size(d) > 0:
		q, in = r.in(s, d)
		w.Add("left of "+l.Title, most.Minus(sum), q, in, r.amount(s, d), l.cite())
	default:
		d = total.Minus(l.Most)
		q, in = r.in(s, d)
		w.Add("over "+l.Title, sum.Minus(most), q, in, r.amount(s, d), l.cite())
	}
}

func (r rule) slowWorking(w *working.Working, seen map[string]bool, l Line, s unit.System) {
	n, slow := sum(r.parts, nil), sum(r.slow, nil)
	if size(n) == 0 {
		w.Say(l.Title, "the visit has no N", l.cite())
		return
	}
	var all, slowTerms []working.Expr
	for i, p := range r.parts {
		if size(p.rate) == 0 {
			continue
		}
		all = append(all, r.leaf(s, "N, "+p.name, p.rate))
		slowTerms = append(slowTerms, r.leaf(s, "slow N, "+p.name, r.slow[i].rate))
		once(w, seen, r.slow[i], s)
	}
	q, in := r.in(s, n)
	w.Add("N of the visit", working.Sum(all...), q, in, r.amount(s, n))
	q, in = r.in(s, slow)
	w.Add("slow N of the visit", working.Sum(slowTerms...), q, in, r.amount(s, slow))
	w.AddPercent(l.Title, r.leaf(s, "slow N", slow).Over(r.leaf(s, "N", n)), float64(l.Slow), l.Slow.Text()+", and at least "+l.LeastSlow.Text(), l.cite())
}
