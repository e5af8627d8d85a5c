// Package mix says what goes into a tankful: how much of each product, in which order, how
// much water, and how a volume of mix is split into the fillings of one tank.
//
// What is wanted of a product (per area, of a nutrient, in the mix) becomes a rate and a strength (wanted.go);
// a Recipe is products at their rates with one carrier rate. A Filling has the amounts as they are measured,
// the order, the water and the gauge marks; a Run is all fillings of one tank with what was and what stays in it; a Visit is
// several tanks on one ground. Beside them stand what is left over, rinsing, dilution, and what goes on the truck.
//
// It leaves out which tank serves which lawn (plan), what adds up over a season, and whether products go together beyond
// what their labels say: a jar test does.
package mix

import (
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Part is one product of a mix at its rate per area.
type Part struct {
	Product label.Product
	Rate    label.Rate
}

// Recipe is products at their rates, carried by one carrier rate: that much mix per area.
// A change of the carrier rate changes what goes into each gallon, never what goes on an area.
type Recipe struct {
	Carrier unit.VolumePerArea
	Parts   []Part
	// Order is the user's order of the classes, Sequence of single products by name; both may be empty, see Ordered.
	Order    []label.Class
	Sequence []string
}

// Validate finds what is wrong with the recipe: every rate, strength and the carrier rate against the
// products' labels, a product named twice, products that their labels keep apart, an order that names what is not there,
// more product than there is room for. where is its place in the user's file. The products themselves are checked by
// label.Product.Validate.
func (r Recipe) Validate(where string) (ps problem.List) {
	carried := unit.Positive(r.Carrier)
	if !carried {
		ps.Errorf("carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	}
	if len(r.Parts) == 0 {
		ps.Warnf("mix-without-products", where, "Name the products of the mix, unless it is water for a rinse or a practice walk.", "the mix has no products: it is water")
	}
	var room unit.VolumePerArea
	for i, p := range r.Parts {
		ps = append(ps, r.part(p, carried, where)...)
		if slices.IndexFunc(r.Parts, func(q Part) bool { return q.Product.Name == p.Product.Name }) < i {
			ps.Errorf("product-twice", where, "Name the product once, at its whole rate.", "%s is in the mix more than once", p.Product.Name)
		}
		for _, q := range r.Parts[:i] {
			ps = append(ps, apart(q.Product, p.Product, "in the same mix", where)...)
		}
		taken, _ := displaced(p.Product, p.Rate.Over(unit.SquareMetre))
		room += taken.Per(unit.SquareMetre)
	}
	ps = append(ps, r.checkOrder(where)...)
	if carried && unit.Exceeds(room, r.Carrier) {
		ps.Errorf("no-room-for-water", where, "Check the units of the rates, or raise the carrier rate.",
			"the products come to %s, more than the carrier rate of %s", unit.US.LiquidRate(room), unit.US.CarrierRate(r.Carrier))
	}
	return ps
}

// part checks one product of the recipe.
func (r Recipe) part(p Part, carried bool, where string) (ps problem.List) {
	if p.Product.Form == label.Granule {
		return p.Product.CheckInTank(where)
	}
	ps = append(ps, p.Product.CheckRate(p.Rate, where)...)
	rated := !ps.HasErrors()
	if carried {
		ps = append(ps, p.Product.CheckCarrier(r.Carrier, where)...)
	}
	if carried && rated {
		ps = append(ps, p.Product.CheckStrength(p.Rate.In(r.Carrier), where)...)
	}
	return ps
}

// InMix is the strength of each part in the order of adding: product per volume of mix. The carrier rate must be over
// zero, else there are none.
func (r Recipe) InMix() []label.Strength {
	if !unit.Positive(r.Carrier) {
		return nil
	}
	var out []label.Strength
	for _, p := range r.Ordered() {
		out = append(out, p.Rate.In(r.Carrier))
	}
	return out
}

// over reports whether amount is over limit, by 1e-9 or more, in what the limit is set in.
func over(amount, limit label.Amount) bool {
	return limit.Liquid > 0 && unit.Exceeds(amount.Liquid, limit.Liquid) ||
		limit.Dry > 0 && unit.Exceeds(amount.Dry, limit.Dry)
}

// effect is amount / exact - 1, 0 where exact is nothing.
func effect(amount, exact label.Amount) float64 {
	if exact.Liquid > 0 || exact.Dry > 0 {
		return ratio(amount, exact) - 1
	}
	return 0
}
