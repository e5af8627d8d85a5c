package label

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/date"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// The nutrients that have a name of their own in the arithmetic.
const (
	Nitrogen   = "N"
	Phosphate  = "P2O5"
	Potash     = "K2O"
	Phosphorus = "P" // the element
	Potassium  = "K" // the element
)

// Nutrients are the symbols that a limit may name and, after the first five, that an analysis may list
// beside N, P2O5 and K2O (the plant nutrients of American fertilizer labels; from memory).
var Nutrients = []string{Nitrogen, Phosphate, Potash, Phosphorus, Potassium,
	"Ca", "Mg", "S", "B", "Cl", "Co", "Cu", "Fe", "Mn", "Mo", "Na", "Ni", "Si", "Zn"}

// IsNutrient reports whether the text is a nutrient's symbol.
func IsNutrient(text string) bool { return slices.Contains(Nutrients, text) }

// mostDays is the longest interval that is taken for earnest: ten years.
const mostDays = 3653

// Blackout is the limit's blackout; ok is false when it has none or it is not valid.
func (l Limit) Blackout() (from, to date.MonthDay, ok bool) {
	from, err1 := date.ParseMonthDay(l.From)
	to, err2 := date.ParseMonthDay(l.To)
	return from, to, err1 == nil && err2 == nil
}

// Title names what is limited and for how long: "quick N per application", "P2O5 in any 30 days".
func (l Limit) Title() string {
	t := l.Of
	if l.Basis == Quick {
		t = "quick " + t
	}
	switch l.Per {
	case PerApplication, PerYear:
		return t + " per " + string(l.Per)
	case PerDays:
		return fmt.Sprintf("%s in any %d days", t, l.Days)
	}
	return t
}

// Validate finds what is wrong with a limit as entered. products are those that it may name. Problems
// stand at l.Where.
func (l Limit) Validate(products []Product) (ps problem.List) {
	form := l.subject(products, &ps)
	known := len(ps) == 0
	l.validBasis(&ps)
	l.validPer(&ps)
	if l.Most != (Rate{}) {
		l.validMost(form, &ps)
	}
	l.validTimes(&ps)
	if l.LeastSlow != 0 {
		validShare(&ps, l.Where, "the least slow share", l.LeastSlow)
		if l.Of != "" && l.Of != Nitrogen {
			ps.Errorf("slow-not-nitrogen", l.Where, "Make it a limit of N.", "a least slow share is given for %s; only nitrogen has one", l.Of)
		}
	}
	l.validBlackout(&ps)
	if known && l.Most.IsZero() && l.Times == 0 && l.LeastSlow == 0 && l.From == "" && l.To == "" {
		ps.Errorf("limit-empty", l.Where, "Say what is limited: a most, a number of times, a least slow share or a blackout.", "the limit of %s says nothing", l.Of)
	}
	return append(ps, cited(l.Where, "the limit of "+l.Of, l.Citation, l.Dated, true)...)
}

// subject finds out what is limited; the form says in what its most is measured, "" when not known.
func (l Limit) subject(products []Product, ps *problem.List) Form {
	if IsNutrient(l.Of) {
		return Dry
	}
	for _, p := range products {
		if p.Name == l.Of && p.Name != "" {
			return p.Form
		}
	}
	fix := "Write a nutrient's symbol, such as N, P2O5 or K2O, or the name of a product."
	switch word := strings.ToLower(strings.TrimSpace(l.Of)); {
	case word == "":
		ps.Errorf("limit-of-missing", l.Where, fix, "the limit does not say of what")
	case strings.HasPrefix(word, "phosph"):
		ps.Errorf("nutrient-ambiguous", l.Where, "Write P2O5 for phosphate as on the bag, or P for the element.",
			"%q could be P2O5 or elemental P, which is 0.44 of it", l.Of)
	case strings.HasPrefix(word, "pota"):
		ps.Errorf("nutrient-ambiguous", l.Where, "Write K2O for potash as on the bag, or K for the element.",
			"%q could be K2O or elemental K, which is 0.83 of it", l.Of)
	default:
		if i := slices.IndexFunc(Nutrients, func(n string) bool { return strings.EqualFold(n, word) }); i >= 0 {
			fix = "Write " + Nutrients[i] + "."
		} else if word == "nitrogen" {
			fix = "Write N."
		}
		ps.Errorf("limit-of-unknown", l.Where, fix, "%q is no nutrient's symbol and no product", l.Of)
	}
	return ""
}

func (l Limit) validBasis(ps *problem.List) {
	switch l.Basis {
	case "", Total:
	case Quick:
		if l.Of != "" && l.Of != Nitrogen {
			ps.Errorf("basis-not-nitrogen", l.Where, "Leave the basis out, or make it a limit of N.", "the quick part of %s is limited; only nitrogen has one", l.Of)
		}
	default:
		ps.Errorf("basis-unknown", l.Where, "Write total or quick.", "the basis is %q", string(l.Basis))
	}
}

func (l Limit) validPer(ps *problem.List) {
	switch l.Per {
	case "":
		if !l.Most.IsZero() || l.Times != 0 {
			ps.Errorf("per-missing", l.Where, "Say for what it is the most: an application, a year, or a number of days.", "the limit of %s does not say per what", l.Of)
		}
	case PerApplication, PerYear:
	case PerDays:
		if l.Days < 1 {
			ps.Errorf("days-missing", l.Where, "Enter the number of days, such as 30.", "the limit of %s is per %d days", l.Of, l.Days)
		} else if l.Days > mostDays {
			ps.Errorf("absurd", l.Where, "Check the number of days.", "the limit of %s is per %d days, over %d", l.Of, l.Days, mostDays)
		}
	default:
		ps.Errorf("per-unknown", l.Where, "Write application, year or a number of days.", "the limit of %s is per %q", l.Of, string(l.Per))
	}
	if l.Days != 0 && l.Per != PerDays {
		ps.Errorf("days-unused", l.Where, "Remove the days, or make the limit one per days.", "the limit of %s names %d days and is per %q", l.Of, l.Days, string(l.Per))
	}
}

func (l Limit) validMost(form Form, ps *problem.List) {
	if !unit.Sound(l.Most.Liquid) || !unit.Sound(l.Most.Dry) {
		ps.Errorf("rate-negative", l.Where, "Enter a most over zero, or a blackout when there must be none.", "the most of %s is %s", l.Of, l.Most.Text(unit.US))
		return
	}
	if form.known() && !l.Most.fits(form) {
		what := "a volume"
		if form.Weighed() {
			what = "a weight"
		}
		ps.Errorf("rate-wrong-kind", l.Where, "Give "+what+" per area.", "the most of %s must be %s per area, and is %s", l.Of, what, l.Most.Text(unit.US))
	}
}

func (l Limit) validTimes(ps *problem.List) {
	switch {
	case l.Times < 0:
		ps.Errorf("times-negative", l.Where, "Enter the most applications, or leave it out.", "the limit of %s allows %d applications", l.Of, l.Times)
	case l.Times > 0 && l.Per == PerApplication:
		ps.Errorf("times-per-application", l.Where, "Say in what time: a year, or a number of days.", "the limit of %s allows %d applications per application", l.Of, l.Times)
	}
}

func (l Limit) validBlackout(ps *problem.List) {
	if l.From == "" && l.To == "" {
		return
	}
	if l.From == "" || l.To == "" {
		ps.Errorf("blackout-half", l.Where, "Enter the first and the last day of the blackout.", "the blackout of %s runs from %q to %q", l.Of, l.From, l.To)
		return
	}
	for _, day := range []string{l.From, l.To} {
		if _, err := date.ParseMonthDay(day); err != nil {
			ps.Errorf("blackout-invalid", l.Where, "Write month and day, such as 11-15.", "the blackout of %s: %v", l.Of, err)
		}
	}
}

// cited finds a missing citation, and a date that is missing where it must be, or invalid.
func cited(where, what, citation, dated string, mustDate bool) (ps problem.List) {
	if strings.TrimSpace(citation) == "" {
		ps.Errorf("citation-missing", where, "Name where it is written.", "%s is not cited", what)
	}
	if dated == "" {
		if mustDate {
			ps.Errorf("dated-missing", where, "Enter the day on which it was read, such as 2026-01-05: limits change.", "%s does not say when it was read", what)
		}
	} else if _, err := date.Parse(dated); err != nil {
		ps.Errorf("date-invalid", where, "Write year-month-day, such as 2026-01-05.", "%s was read on %q, which is not a date", what, dated)
	}
	return ps
}

// validShare finds a share that is not from 0 to 1.
func validShare(ps *problem.List, where, what string, s Share) bool {
	if s >= 0 && s <= 1 {
		return true
	}
	ps.Errorf("share-outside", where, "Enter the per cent of the weight, such as 18 %.", "%s is %s, not from 0 to 100 %%", what, s.Text())
	return false
}
