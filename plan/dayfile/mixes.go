package dayfile

import (
	"fmt"
	"slices"

	"tankful/plan"
)

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
