package dayfile

import (
	"fmt"
	"slices"
	"strings"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

func (r *reader) readMix(c cursor) plan.Mix {
	o, _ := c.object("name! operator! applicator! products! order whole")
	m := plan.Mix{Name: r.declare(kindMix, o.at("name")), Where: c.where()}
	operator, ok1 := r.refer(kindOperator, o.at("operator"))
	applicator, ok2 := r.refer(kindApplicator, o.at("applicator"))
	m.Operator, m.Applicator = operator, applicator
	if ok1 && ok2 {
		r.checkTested(o.at("applicator"), operator, applicator)
	}
	spread := r.isSpreader(applicator)
	carrier := r.carriers[[2]string{operator, applicator}]
	seen := []string{}
	m.Products = list(o.at("products"), func(c cursor) plan.MixProduct {
		p := r.readMixProduct(c, carrier, spread)
		if p.Product != "" && slices.Contains(seen, p.Product) {
			c.fail("duplicate-product", "Give one rate for the product.", "%s is in this mix twice", clip(p.Product))
		}
		seen = append(seen, p.Product)
		return p
	})
	if spread {
		r.checkSpreadMix(o, &m)
		return m
	}
	readOrder(o.at("order"), &m)
	if m.Whole = o.at("whole").text(); m.Whole != "" && !slices.Contains(seen, m.Whole) {
		o.at("whole").fail("unknown-name", suggest(m.Whole, seen), "%q is no product of this mix", clip(m.Whole))
	}
	return m
}

// readOrder reads the order of adding: products of the mix, classes, or both.
func readOrder(c cursor, m *plan.Mix) {
	known := []string{}
	for _, p := range m.Products {
		known = append(known, p.Product)
	}
	for _, k := range label.Classes {
		known = append(known, string(k))
	}
	seen := []string{}
	list(c, func(c cursor) string {
		word := c.text()
		switch {
		case word == "":
		case slices.Contains(seen, word):
			c.fail("order-twice", "Name each product and each class once.", "the order of adding names %s twice", clip(word))
		case slices.ContainsFunc(m.Products, func(p plan.MixProduct) bool { return p.Product == word }):
			m.Sequence = append(m.Sequence, word)
		case slices.Contains(label.Classes, label.Class(word)):
			m.Order = append(m.Order, label.Class(word))
		default:
			c.fail("unknown-name", suggest(word, known), "%q is neither a product of this mix nor a class", clip(word))
		}
		seen = append(seen, word)
		return word
	})
}

func (r *reader) checkTested(c cursor, operator, applicator string) {
	i := slices.IndexFunc(r.day.Operators, func(p plan.Operator) bool { return p.Name == operator })
	if i < 0 {
		return
	}
	// A test whose applicator is misspelt is reported there and may be the one. Which product a spreader was tested with is asked when the day is planned.
	has := func(t plan.Test) bool {
		return t.Applicator == applicator || !slices.Contains(r.names[kindApplicator], t.Applicator)
	}
	if !slices.ContainsFunc(r.day.Operators[i].Tests, has) {
		c.fail("no-catch-test", fmt.Sprintf("Let %s walk a catch test with %s and add it under catch_tests.", clip(operator), clip(applicator)),
			"%s has no catch test with %s: the rate is not known", clip(operator), clip(applicator))
	}
}

// readMixProduct reads one product of a mix and holds it against its label; carrier is 0
// when the mix's catch test is missing or has errors. spread says that it goes on dry, with a spreader.
func (r *reader) readMixProduct(c cursor, carrier unit.VolumePerArea, spread bool) plan.MixProduct {
	o, _ := c.object("product! rate!")
	name, ok := r.refer(kindProduct, o.at("product"))
	m := plan.MixProduct{Product: name, Where: c.where()}
	i := slices.IndexFunc(r.day.Products, func(p label.Product) bool { return p.Name == name })
	if !ok || i < 0 {
		return m
	}
	p := r.day.Products[i]
	if spread && p.Form != label.Granule {
		o.at("product").fail("not-granules", "Put it on with a sprayer, or say that its form is granule when it is spread dry.", "%s is %s, and the mix is spread dry", clip(p.Name), p.Form)
		return m
	}
	if inTank := p.CheckInTank(c.where()); !spread && len(inTank) > 0 {
		r.problems = append(r.problems, inTank...)
		return m
	}
	at := o.at("rate")
	readWanted(at, p.Form, &m)
	rate, strength := r.dose(at, p, m, carrier)
	if !rate.IsZero() {
		r.problems = append(r.problems, p.CheckRate(rate, at.where())...)
	}
	if carrier > 0 {
		r.problems = append(r.problems, p.CheckCarrier(carrier, c.where())...)
	}
	if bounded := !p.Label.LeastInMix.IsZero() || !p.Label.MostInMix.IsZero(); bounded && !strength.IsZero() {
		r.problems = append(r.problems, p.CheckStrength(strength, at.where())...)
	}
	return m
}

// readWanted reads what is wanted of a product in one of three ways: of a nutrient ("0.5 lb N/1000 sq ft"), in the
// mix ("0.25 % v/v", "2 lb/100 gal"), or per area.
func readWanted(c cursor, form label.Form, m *plan.MixProduct) {
	text := ""
	if c.node != nil && c.sort() == "a text" {
		text = c.text()
	}
	switch n, _, err := unit.CutNutrient(text); {
	case err != nil:
		c.badQuantity(text, err)
	case n != "":
		m.Nutrient = string(n)
		m.NutrientRate = quantity(c, func(text string) (unit.MassPerArea, error) {
			_, rate, err := unit.ParseNutrientRate(text)
			return rate, err
		}, "0.0001 lb "+m.Nutrient+"/1000 sq ft", "100 lb "+m.Nutrient+"/1000 sq ft")
	case inVolume(text):
		m.InMix = strength(c, form)
	default:
		m.Rate = rate(c, form)
	}
}

// inVolume reports whether a text means so much in a volume of mix: a per cent, or something per gallons or litres.
func inVolume(text string) bool {
	if strings.Contains(text, "%") {
		return true
	}
	text = strings.ReplaceAll(text, " per ", "/")
	below := strings.TrimSpace(text[strings.LastIndexByte(text, '/')+1:])
	if below == text {
		return false
	}
	for _, per := range []string{below, "1 " + below} {
		if _, err := unit.ParseVolume(per); err == nil {
			return true
		}
	}
	return false
}

// dose is the rate and the strength of what is wanted, as far as they are known: a rate follows from a strength, and a
// strength from a rate, at the carrier rate, which may be 0.
func (r *reader) dose(c cursor, p label.Product, m plan.MixProduct, carrier unit.VolumePerArea) (rate label.Rate, strength label.Strength) {
	rate, strength = m.Rate, m.InMix
	if m.NutrientRate != 0 {
		content, found := p.Content(m.Nutrient, label.Total, c.where())
		if len(found) == 0 {
			var d label.Dose
			d, found = content.ForWeight(m.NutrientRate, c.where())
			rate = d.Rate
		}
		r.problems = append(r.problems, found...)
	}
	switch {
	case !(carrier > 0):
	case !strength.IsZero():
		rate = strength.At(carrier)
	case !rate.IsZero():
		strength = rate.In(carrier)
	}
	return rate, strength
}
