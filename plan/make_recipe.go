package plan

import (
	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// outputDiffers is how far the output of the mix may be from that of the liquid of the catch test before it is worth a
// warning: two fifths of the 5 % within which a calibration is accepted (common practice, no source).
const outputDiffers = 0.02

// recipe turns what is wanted of each product into rates at the printed carrier rate, and holds them against the labels.
func (m *maker) recipe(mx *Mix, p *MixPlan, c *carried) bool {
	var wanted []mix.Wanted
	ok := true
	for _, mp := range mx.Products {
		where := orElse(mp.Where, mx.Where)
		prod := byName(m.day.Products, mp.Product, func(q *label.Product) string { return q.Name })
		if prod == nil {
			m.problems.Errorf("unknown-product", where, "Name one of the day's products.", "mix %q takes %q, which is not among the products", mx.Name, mp.Product)
			ok = false
			continue
		}
		m.problems = append(m.problems, prod.Validate(where)...)
		if prod.Form == label.Dry && prod.InTank == 0 {
			m.problems.Notef("displacement-unknown", where, "Fill to the gauge mark rather than by a water meter, or enter in_tank, the weight of "+prod.Name+" that takes up a volume in the tank.",
				"it is not entered how much room %s takes in the tank, so that it is taken to displace no water", prod.Name)
		}
		wanted = append(wanted, mp.Wanted(*prod))
	}
	r, doses, found := mix.NewRecipe(p.Carrier, wanted, mx.Where)
	m.problems = append(m.problems, found...)
	if !ok || found.HasErrors() {
		return false
	}
	r.Order, r.Sequence = mx.Order, mx.Sequence
	found = r.Validate(mx.Where) // the order as well; what was found before is found again, and told once
	m.problems = append(m.problems, found...)
	if found.HasErrors() {
		return false
	}
	c.recipe = r
	for _, d := range doses {
		p.Working.Append(d.Working(m.day.Units))
	}
	for _, part := range r.Ordered() {
		p.Products = append(p.Products, productPlan(part, doseOf(doses, part), p.Kind, m.day.Units))
	}
	return true
}

// doseOf is the dose of a part, which must be among them.
func doseOf(doses []mix.Dose, part mix.Part) *mix.Dose {
	return byName(doses, part.Product.Name, func(d *mix.Dose) string { return d.Wanted.Product.Name })
}

// productPlan is a product with what the sheets say of it.
func productPlan(part mix.Part, d *mix.Dose, kind ApplicatorKind, s unit.System) ProductPlan {
	return labelled(part, d.Facts(s)[0].Text, d.InMix, kind)
}

// labelled is a product with its label's texts; wanted is what was asked for, as it is printed.
func labelled(part mix.Part, wanted string, inMix label.Strength, kind ApplicatorKind) ProductPlan {
	l := part.Product.Label
	p := ProductPlan{Name: part.Product.Name, Form: part.Product.Form, Class: part.Product.Class, Rate: part.Rate, Most: l.Most,
		Citation: l.Citation, KeepOff: l.KeepOff, Cautions: append([]string{}, l.Cautions...), Registration: l.Registration,
		Wanted: wanted, InMix: inMix, MostInMix: l.MostInMix, PPE: append([]string{}, l.PPE...), Buffers: []Buffer{}}
	for _, b := range l.Buffers {
		if holdsFor(b, kind) {
			surface, _ := surfaceOf(b.Near)
			p.Buffers = append(p.Buffers, Buffer{Near: b.Near, Distance: b.Distance, Citation: b.Citation, Dated: b.Dated, Surface: surface})
		}
	}
	return p
}

// density is that of the finished mix, 0 where a liquid's is not entered. A dry product whose room in the tank is not known is
// taken to take none, which makes the mix no lighter than it is.
func density(r mix.Recipe) unit.Density {
	mass, of := weighed(r, unit.SquareMetre)
	if mass == nil {
		return 0
	}
	sum := unit.Mass(0)
	for _, x := range mass {
		sum += x
	}
	return sum.PerVolume(of)
}

// weighed is what the mix for an area weighs by parts, the water first, and its volume; nil where a density is missing.
func weighed(r mix.Recipe, area unit.Area) (mass []unit.Mass, of unit.Volume) {
	of = r.Carrier.Over(area)
	water := of
	mass = []unit.Mass{0}
	for _, p := range r.Parts {
		a, q := p.Rate.Over(area), p.Product
		switch {
		case q.Form.Weighed() && q.InTank > 0:
			water -= q.InTank.VolumeOf(a.Dry)
			mass = append(mass, a.Dry)
		case q.Form.Weighed():
			mass = append(mass, a.Dry)
		case q.Density == 0:
			return nil, of
		default:
			water -= a.Liquid
			mass = append(mass, q.Density.Of(a.Liquid))
		}
	}
	mass[0] = unit.Water.Of(water)
	return mass, of
}

// denser compares the mix with what the test caught: a heavier liquid puts out less at the same pressure, by one over the
// square root of the density. The carrier rate stays the one that was measured; the warning says what it may really be.
func (m *maker) denser(mx *Mix, t *Test, p *MixPlan, r mix.Recipe) {
	u := m.day.Units
	p.Density = density(r)
	if t.Catch.Setup.Product == mx.Name || p.Density == 0 || len(r.Parts) == 0 {
		return
	}
	caught, name := m.caughtLiquid(t)
	if caught == 0 {
		m.problems.Warnf("density-unknown", t.Where, "Enter the density of what was caught, or catch the mix itself and name it as the product of the test.",
			"the test caught %s, whose density is not entered, and mix %q will be sprayed: a heavier liquid puts out less", name, mx.Name)
		return
	}
	factor := calibrate.DensityFactor(p.Density, caught)
	code, word := "mix-denser", "heavier"
	switch change := 1/factor - 1; {
	case change > outputDiffers:
		code, word = "mix-lighter", "lighter"
	case change > -outputDiffers:
		return
	}
	really := p.Carrier / unit.VolumePerArea(factor)
	m.problems.Warnf(code, mx.Where, "Catch the mix itself, and name it as the product of the test.",
		"mix %q is %s than the %s of the catch test (%s against %s): at the same pressure and pace it puts out 1/%s as much, about %s instead of %s; the amounts are worked out with %s",
		mx.Name, word, name, u.Density(p.Density), u.Density(caught), unit.Number(factor, 3), u.CarrierRate(really), u.CarrierRate(p.Carrier), u.CarrierRate(p.Carrier))
	denserSteps(&p.Working, p, r, caught, u)
}

// caughtLiquid is the density of what a test caught, 0 when it is not known, and what to call it.
func (m *maker) caughtLiquid(t *Test) (unit.Density, string) {
	s := t.Catch.Setup
	name := orElse(s.Product, "water")
	switch prod := byName(m.day.Products, s.Product, func(q *label.Product) string { return q.Name }); {
	case s.Density != 0:
		return s.Density, name
	case s.Product == "":
		return unit.Water, name
	case prod != nil && prod.Form == label.Liquid:
		return prod.Density, name
	}
	return 0, name
}

// denserSteps shows the mix's density and what follows.
func denserSteps(w *working.Working, p *MixPlan, r mix.Recipe, caught unit.Density, u unit.System) {
	in := working.UnitsOf(u)
	mass, of := weighed(r, (100 * unit.Gallon).At(r.Carrier))
	water := working.Of("water", mass[0], in.Mass).From("8.34 lb/gal, the trade's figure for water (University of Nebraska-Lincoln, CropWatch, 2016)")
	parts := []working.Expr{water}
	for i, q := range r.Parts {
		parts = append(parts, working.Of(q.Product.Name, mass[i+1], in.Mass))
	}
	w.Add("density of the mix", working.Sum(parts...).Over(working.Of("mix", of, in.Mix)), p.Density, in.Density, u.Density(p.Density))
	factor := calibrate.DensityFactor(p.Density, caught)
	w.AddNumber("density factor", working.Root(working.Of("density of the mix", p.Density, in.Density).Over(working.Of("density caught", caught, in.Density))), factor, unit.Number(factor, 3),
		"At one pressure a nozzle's output goes by one over the square root of the density.")
	really := p.Carrier / unit.VolumePerArea(factor)
	w.Add("carrier rate of the mix, about", working.Of("carrier rate", p.Carrier, in.Carrier).Over(working.Number("density factor", factor)), really, in.Carrier, u.CarrierRate(really),
		"Worked out, not measured, and not used: the amounts stand on the test. Catch the mix itself to be sure.")
}
