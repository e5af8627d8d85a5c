package dayfile

import (
	"cmp"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"tankful/calc/date"
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

// readLimit reads a cap, a blackout or a condition. products are those that it may name. own is the product on whose label it
// stands, and which is meant where it names none; a limit of the place, own nil, must say of what it is.
func (r *reader) readLimit(c cursor, products []label.Product, own *label.Product, citation, dated string) (l label.Limit) {
	l.Where = c.where()
	must := "! "
	if own != nil {
		must = " "
	}
	o, ok := c.object("of" + must + "basis per most times least_slow blackout grass applicator citation dated")
	if !ok {
		return l
	}
	l.Of = o.at("of").text()
	if own != nil && !o.has("of") {
		l.Of = own.Name
	}
	l.Basis = oneOf(o.at("basis"), label.Total, label.Quick)
	l.Per, l.Days = o.at("per").per()
	l.Most = mostOf(o.at("most"), l.Of, products)
	l.Times = int(o.at("times").whole(1, 366))
	l.LeastSlow = o.at("least_slow").share()
	if b, ok := o.at("blackout").object("from! to!"); ok {
		l.From, l.To = b.at("from").monthDay(), b.at("to").monthDay()
	}
	l.Grass, l.Applicator = o.at("grass").text(), string(oneOf(o.at("applicator"), plan.Kinds...))
	l.Citation, l.Dated = cmp.Or(o.at("citation").text(), citation), cmp.Or(o.at("dated").date(), dated)
	return l
}

// mostOf reads a cap: of a nutrient a weight per area, "0.9 lb/1000 sq ft" or "0.9 lb N/1000 sq ft"; of a
// product its rate. What is limited may be misspelt; then nothing is read, and the limit's check says so.
func mostOf(c cursor, of string, products []label.Product) label.Rate {
	if !label.IsNutrient(of) {
		for _, p := range products {
			if p.Name == of {
				return rate(c, p.Form)
			}
		}
		return label.Rate{}
	}
	return label.Rate{Dry: quantity(c, func(text string) (unit.MassPerArea, error) {
		n, rest, err := unit.CutNutrient(text)
		if err != nil {
			return 0, err
		}
		if n != "" && string(n) != of {
			return 0, &unit.ParseError{Text: text, Want: "rate of " + of, Why: fmt.Sprintf("it is of %s, and the limit is of %s", n, of), Try: "0.9 lb/1000 sq ft"}
		}
		return unit.ParseMassPerArea(rest)
	}, "0.0001 lb/1000 sq ft", "100 lb/1000 sq ft")}
}

// per reads "application", "year" or a number of days.
func (c cursor) per() (label.Per, int) {
	switch t := c.text(); t {
	case "":
		return "", 0
	case string(label.PerApplication), string(label.PerYear):
		return label.Per(t), 0
	}
	if n := c.days(); n > 0 {
		return label.PerDays, n
	}
	return "", 0
}

// days reads "28 days" or "4 weeks".
func (c cursor) days() int {
	t := c.text()
	if t == "" {
		return 0
	}
	figure, word, _ := strings.Cut(t, " ")
	n, err := strconv.Atoi(figure)
	if word = strings.TrimSuffix(strings.TrimSpace(word), "s"); word == "week" {
		n *= 7
	} else if word != "day" {
		err = errors.New("no days")
	}
	switch {
	case err != nil:
		c.fail("bad-quantity", `Write a whole number of days, such as "28 days".`, "%s is %q, not a number of days", c.key(), clip(t))
	case n < 1 || n > 3653:
		c.fail("out-of-range", `Write from "1 day" to "3653 days".`, "%s is %s", c.key(), clip(t))
	default:
		return n
	}
	return 0
}

// whole reads a whole number.
func (c cursor) whole(from, to float64) float64 {
	x := c.number(from, to)
	if x != float64(int(x)) {
		c.fail("not-a-number", "Write a whole number here.", "%s is %g", c.key(), x)
		return 0
	}
	return x
}

// share reads a per cent of the weight.
func (c cursor) share() label.Share {
	t := c.text()
	if t == "" {
		return 0
	}
	s, err := label.ParseShare(t)
	if err != nil {
		c.badQuantity(t, err)
	}
	return s
}

// monthDay reads a day of any year.
func (c cursor) monthDay() string {
	t := c.text()
	if t == "" {
		return ""
	}
	if _, err := date.ParseMonthDay(t); err != nil {
		c.fail("date-invalid", "Write month and day, such as 11-15.", "%s is %q, not a month and a day", c.key(), clip(t))
		return ""
	}
	return t
}
