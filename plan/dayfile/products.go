package dayfile

import (
	"cmp"
	"errors"
	"strings"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/plan"
)

func (r *reader) readProduct(c cursor) (p label.Product) {
	clean := r.clean(func() {
		o, _ := c.object("name! form! class code density in_tank registration analysis active active_per_volume containers measure label!")
		p.Name = r.declare(kindProduct, o.at("name"))
		p.Form = oneOf(o.at("form"), forms...)
		p.Code = o.at("code").text()
		p.Class = oneOf(o.at("class"), label.Classes...)
		r.classOf(o, &p)
		p.Density = quantity(o.at("density"), unit.ParseDensity, "0.5 kg/L", "3 kg/L")
		p.InTank = quantity(o.at("in_tank"), unit.ParseDensity, "0.5 kg/L", "8 kg/L")
		p.Analysis = readAnalysis(o.at("analysis"))
		p.Active = o.at("active").share()
		p.ActivePerVolume = quantity(o.at("active_per_volume"), unit.ParseDensity, "0.0001 kg/L", "3 kg/L")
		p.Containers = list(o.at("containers"), func(c cursor) label.Container {
			o, _ := c.object("name! holds!")
			return label.Container{Name: o.at("name").text(), Holds: amount(o.at("holds"), p.Form)}
		})
		p.Measure = amount(o.at("measure"), p.Form)
		p.Label = r.readLabel(o.at("label"), p)
		p.Label.Registration = o.at("registration").text()
	})
	if clean {
		r.problems = append(r.problems, p.Validate(c.where())...)
	}
	return p
}

// classOf takes the usual class of the code where none is written. A granule needs none.
func (r *reader) classOf(o object, p *label.Product) {
	f, known := label.FormulationOf(p.Code)
	switch {
	case o.has("class") || o.meant["class"] || p.Form == label.Granule:
	case known && f.Class != "":
		p.Class = f.Class
	case o.node != nil:
		words := make([]string, len(label.Classes))
		for i, k := range label.Classes {
			words[i] = string(k)
		}
		o.at("class").fail("missing-key", "Add class, one of "+strings.Join(words, ", ")+", or the formulation's code such as SL or WDG.", "class is missing")
	}
}

// readAnalysis reads "none", or the grade of the bag and what goes with it.
func readAnalysis(c cursor) (a label.Analysis) {
	if c.node != nil && c.sort() == "a text" {
		switch t := c.text(); t {
		case "":
		case "none":
			a.None = true
		default: // the grade alone
			grade, err := label.ParseGrade(t)
			if err != nil {
				c.fail("wrong-type", "Write none, the grade such as 18-0-4, or a group of keys such as {grade: 18-0-4, slow_n: 6 %}.", "analysis is %q", clip(t))
			}
			a = grade
		}
		return a
	}
	o, ok := c.object("grade! slow_n other")
	if !ok {
		return a
	}
	if t := o.at("grade").text(); t != "" {
		grade, err := label.ParseGrade(t)
		if err != nil {
			o.at("grade").badQuantity(t, err)
		}
		a = grade
	}
	a.SlowN = o.at("slow_n").share()
	if o.has("other") {
		others, _ := o.at("other").pairs(label.Nutrients[5:]...)
		a.Other = map[string]label.Share{}
		for symbol, at := range others.values {
			a.Other[symbol] = at.share()
		}
	}
	return a
}

func (r *reader) readLabel(c cursor, p label.Product) (l label.Label) {
	o, ok := c.object("least most least_in_mix most_in_mix carrier_least carrier_most interval limits buffers not_with ppe keep_off cautions citation! dated")
	if !ok {
		return l
	}
	l.Least, l.Most = rate(o.at("least"), p.Form), rate(o.at("most"), p.Form)
	l.LeastInMix, l.MostInMix = strength(o.at("least_in_mix"), p.Form), strength(o.at("most_in_mix"), p.Form)
	carrier := func(key string) unit.VolumePerArea {
		return quantity(o.at(key), unit.ParseVolumePerArea, "0.01 gal/1000 sq ft", "100 gal/1000 sq ft")
	}
	l.CarrierLeast, l.CarrierMost = carrier("carrier_least"), carrier("carrier_most")
	l.IntervalDays = o.at("interval").days()
	l.KeepOff, l.Citation, l.Dated = o.at("keep_off").text(), o.at("citation").text(), o.at("dated").date()
	// A limit or a buffer without a citation of its own is written on the label.
	l.Limits = list(o.at("limits"), func(c cursor) label.Limit {
		return r.readLimit(c, []label.Product{p}, &p, l.Citation, l.Dated)
	})
	l.Buffers = list(o.at("buffers"), func(c cursor) label.Buffer {
		o, _ := c.object("near! distance! applicator citation dated")
		return label.Buffer{Near: o.at("near").text(), Distance: quantity(o.at("distance"), unit.ParseLength, "1 in", "1 mi"),
			Applicator: string(oneOf(o.at("applicator"), plan.Kinds...)),
			Citation:   cmp.Or(o.at("citation").text(), l.Citation), Dated: cmp.Or(o.at("dated").date(), l.Dated)}
	})
	l.NotWith, l.PPE = list(o.at("not_with"), cursor.text), list(o.at("ppe"), cursor.text)
	l.Cautions = list(o.at("cautions"), cursor.text)
	return l
}

// amount reads an amount of a product by its form.
func amount(c cursor, form label.Form) label.Amount {
	switch {
	case form == label.Liquid:
		return label.Amount{Liquid: quantity(c, func(text string) (unit.Volume, error) {
			a, err := label.ParseAmount(text, label.Liquid)
			return a.Liquid, err
		}, "0.01 fl oz", "13000 gal")}
	case form.Weighed():
		return label.Amount{Dry: quantity(c, func(text string) (unit.Mass, error) {
			a, err := label.ParseAmount(text, label.Dry)
			return a.Dry, err
		}, "0.001 oz wt", "50 tonnes")}
	}
	return label.Amount{}
}

// strength reads a strength in the finished mix by the product's form.
func strength(c cursor, form label.Form) label.Strength {
	switch form {
	case label.Liquid:
		return label.Strength{Liquid: quantity(c, func(text string) (unit.VolumePerVolume, error) {
			s, err := label.ParseStrength(text, label.Liquid)
			return s.Liquid, err
		}, "0.0001 % v/v", "100 % v/v")}
	case label.Dry:
		return label.Strength{Dry: quantity(c, func(text string) (unit.Density, error) {
			s, err := label.ParseStrength(text, label.Dry)
			return s.Dry, err
		}, "0.0001 lb/100 gal", "1000 lb/100 gal")}
	case label.Granule:
		if c.node != nil {
			c.fail("granule-in-tank", "Remove it, or make the product dry.", "%s bounds the strength in a mix, and a granule goes into none", c.key())
		}
	}
	return label.Strength{}
}

// rate reads a product's rate by its form; with the form unknown (and reported) nothing is read.
func rate(c cursor, form label.Form) label.Rate {
	switch {
	case form == label.Liquid:
		return label.Rate{Liquid: quantity(c, liquidRate, "0.001 fl oz/1000 sq ft", "20 gal/1000 sq ft")}
	case form.Weighed():
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
