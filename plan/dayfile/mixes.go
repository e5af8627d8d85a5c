package dayfile

import (
	"errors"
	"fmt"
	"slices"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

func (r *reader) readProduct(c cursor) (p label.Product) {
	clean := r.clean(func() {
		o, _ := c.object("name! form! class! density registration label!")
		p.Name = r.declare(kindProduct, o.at("name"))
		p.Form = oneOf(o.at("form"), forms...)
		p.Class = oneOf(o.at("class"), label.Classes...)
		p.Density = quantity(o.at("density"), unit.ParseDensity, "0.5 kg/L", "3 kg/L")
		p.Label = r.readLabel(o.at("label"), p.Form)
		p.Label.Registration = o.at("registration").text()
	})
	if clean {
		r.problems = append(r.problems, p.Validate(c.where())...)
	}
	return p
}

func (r *reader) readLabel(c cursor, form label.Form) (l label.Label) {
	o, ok := c.object("least most carrier_least carrier_most keep_off cautions citation!")
	if !ok {
		return l
	}
	l.Least, l.Most = rate(o.at("least"), form), rate(o.at("most"), form)
	carrier := func(key string) unit.VolumePerArea {
		return quantity(o.at(key), unit.ParseVolumePerArea, "0.01 gal/1000 sq ft", "100 gal/1000 sq ft")
	}
	l.CarrierLeast, l.CarrierMost = carrier("carrier_least"), carrier("carrier_most")
	l.KeepOff, l.Citation = o.at("keep_off").text(), o.at("citation").text()
	l.Cautions = list(o.at("cautions"), cursor.text)
	return l
}

// rate reads a product's rate by its form; with the form unknown (and reported) nothing is read.
func rate(c cursor, form label.Form) label.Rate {
	switch form {
	case label.Liquid:
		return label.Rate{Liquid: quantity(c, liquidRate, "0.001 fl oz/1000 sq ft", "20 gal/1000 sq ft")}
	case label.Dry:
		return label.Rate{Dry: quantity(c, dryRate, "0.0001 oz wt/1000 sq ft", "100 lb/1000 sq ft")}
	}
	return label.Rate{}
}

func liquidRate(text string) (unit.VolumePerArea, error) {
	r, err := label.ParseRate(text, label.Liquid)
	return r.Liquid, otherForm(text, label.Dry, err)
}

func dryRate(text string) (unit.MassPerArea, error) {
	r, err := label.ParseRate(text, label.Dry)
	return r.Dry, otherForm(text, label.Liquid, err)
}

// otherForm says so when a text was refused only because it is of the other form.
func otherForm(text string, other label.Form, err error) error {
	var e *unit.ParseError
	if _, otherErr := label.ParseRate(text, other); otherErr == nil && errors.As(err, &e) {
		said := map[label.Form]string{label.Dry: "it is a weight per area and the product is liquid", label.Liquid: "it is a volume per area and the product is dry"}
		return &unit.ParseError{Text: e.Text, Want: e.Want, Why: said[other], Try: e.Try}
	}
	return err
}

func (r *reader) readMix(c cursor) plan.Mix {
	o, _ := c.object("name! operator! applicator! products!")
	m := plan.Mix{Name: r.declare(kindMix, o.at("name")), Where: c.where()}
	operator, ok1 := r.refer(kindOperator, o.at("operator"))
	applicator, ok2 := r.refer(kindApplicator, o.at("applicator"))
	m.Operator, m.Applicator = operator, applicator
	if ok1 && ok2 {
		r.checkTested(o.at("applicator"), operator, applicator)
	}
	carrier := r.carriers[[2]string{operator, applicator}]
	seen := []string{}
	m.Products = list(o.at("products"), func(c cursor) plan.MixProduct {
		p := r.readMixProduct(c, carrier)
		if p.Product != "" && slices.Contains(seen, p.Product) {
			c.fail("duplicate-product", "Give one rate for the product.", "%s is in this mix twice", clip(p.Product))
		}
		seen = append(seen, p.Product)
		return p
	})
	return m
}

func (r *reader) checkTested(c cursor, operator, applicator string) {
	i := slices.IndexFunc(r.day.Operators, func(p plan.Operator) bool { return p.Name == operator })
	if i < 0 {
		return
	}
	// A test whose applicator is misspelt is reported there and may be the one.
	has := func(t plan.Test) bool {
		return t.Applicator == applicator || !slices.Contains(r.names[kindApplicator], t.Applicator)
	}
	if !slices.ContainsFunc(r.day.Operators[i].Tests, has) {
		c.fail("no-catch-test", fmt.Sprintf("Let %s walk a catch test with %s and add it under catch_tests.", clip(operator), clip(applicator)),
			"%s has no catch test with %s: the rate is not known", clip(operator), clip(applicator))
	}
}

// readMixProduct reads one product of a mix and holds it against its label; carrier is 0
// when the mix's catch test is missing or has errors.
func (r *reader) readMixProduct(c cursor, carrier unit.VolumePerArea) plan.MixProduct {
	o, _ := c.object("product! rate!")
	name, ok := r.refer(kindProduct, o.at("product"))
	m := plan.MixProduct{Product: name, Where: c.where()}
	i := slices.IndexFunc(r.day.Products, func(p label.Product) bool { return p.Name == name })
	if !ok || i < 0 {
		return m
	}
	p := r.day.Products[i]
	m.Rate = rate(o.at("rate"), p.Form)
	if !m.Rate.IsZero() {
		r.problems = append(r.problems, p.CheckRate(m.Rate, o.at("rate").where())...)
	}
	if carrier > 0 {
		r.problems = append(r.problems, p.CheckCarrier(carrier, c.where())...)
	}
	return m
}
