// Package mix says what goes into a tankful: how much of each product, in which order, how
// much water, and how a volume of mix is split into the fillings of one tank.
//
// It knows one tank and one mix at a time. It leaves out which tank serves which lawn (plan),
// whether products go together (the label and a jar test say), and the volume that a dry
// product takes up once it is dissolved.
package mix

import (
	"math"
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
}

// Validate finds what is wrong with the recipe: every rate and the carrier rate against the
// products' labels, a product named twice, more liquid product than there is room for. where
// is its place in the user's file. The products themselves are checked by label.Product.Validate.
func (r Recipe) Validate(where string) (ps problem.List) {
	carried := positive(float64(r.Carrier))
	if !carried {
		ps.Errorf("carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	}
	if len(r.Parts) == 0 {
		ps.Warnf("mix-without-products", where, "Name the products of the mix, unless it is water for a rinse or a practice walk.", "the mix has no products: it is water")
	}
	var liquids unit.VolumePerArea
	seen := map[string]bool{}
	for _, p := range r.Parts {
		ps = append(ps, p.Product.CheckRate(p.Rate, where)...)
		if carried {
			ps = append(ps, p.Product.CheckCarrier(r.Carrier, where)...)
		}
		if seen[p.Product.Name] {
			ps.Errorf("product-twice", where, "Name the product once, at its whole rate.", "%s is in the mix more than once", p.Product.Name)
		}
		seen[p.Product.Name] = true
		liquids += p.Rate.Liquid
	}
	if carried && float64(liquids) > float64(r.Carrier)*(1+1e-9) {
		ps.Errorf("no-room-for-water", where, "Check the units of the rates, or raise the carrier rate.",
			"the liquid products come to %s, more than the carrier rate of %s", unit.US.LiquidRate(liquids), unit.US.CarrierRate(r.Carrier))
	}
	return ps
}

// Ordered is the parts in the order of adding, by class and as given within a class.
func (r Recipe) Ordered() []Part {
	parts := slices.Clone(r.Parts)
	slices.SortStableFunc(parts, func(a, b Part) int { return a.Product.Class.Order() - b.Product.Class.Order() })
	return parts
}

// Portion is what one product adds to a filling.
type Portion struct {
	Name  string
	Class label.Class
	// Exact is fill / carrier rate x product rate; Amount is what is measured out.
	Exact, Amount label.Amount
	// Effect is what measuring does to the rate: Amount / Exact - 1.
	Effect float64
}

// Portions is what a filling of volume fill is made of, in the order of adding. Each amount
// is rounded as s prints it; where that would take the rate over the label's most, it is
// rounded down. The recipe must have passed Validate, else there are no portions.
func (r Recipe) Portions(fill unit.Volume, s unit.System) []Portion {
	if !positive(float64(r.Carrier)) || !positive(float64(fill)) {
		return nil
	}
	area := fill.At(r.Carrier)
	var portions []Portion
	for _, p := range r.Ordered() {
		exact := p.Rate.Over(area)
		amount := exact.Round(s)
		if most := p.Product.Label.Most; !most.IsZero() && over(amount, most.Over(area)) {
			amount = exact.RoundDown(s)
		}
		portions = append(portions, Portion{Name: p.Product.Name, Class: p.Product.Class,
			Exact: exact, Amount: amount, Effect: effect(amount, exact)})
	}
	return portions
}

// MostEffect is how far measuring may move a rate before it is worth a warning: the 5 %
// within which a calibration is accepted (Spray Gun calibration page, Pesticide
// Environmental Stewardship, NC State, n.d.).
const MostEffect = 0.05

// CheckRounded holds the portions of a filling, as measured out, against the labels. An amount
// over the label's most is an error, and so is one that rounds to nothing; a rate moved by
// more than MostEffect is a warning. Portions of products that the recipe lacks are errors.
func (r Recipe) CheckRounded(portions []Portion, fill unit.Volume, where string) (ps problem.List) {
	if !positive(float64(r.Carrier)) || !positive(float64(fill)) {
		ps.Errorf("fill-zero", where, "Give the carrier rate and the volume of the filling.",
			"%s of mix at %s cannot be portioned", unit.US.Volume(fill), unit.US.CarrierRate(r.Carrier))
		return ps
	}
	area := fill.At(r.Carrier)
	for _, q := range portions {
		i := slices.IndexFunc(r.Parts, func(p Part) bool { return p.Product.Name == q.Name })
		if i < 0 {
			ps.Errorf("product-unknown", where, "Portion the products of this mix only.", "%s is not in the mix", q.Name)
			continue
		}
		p := r.Parts[i]
		exact := p.Rate.Over(area)
		most := p.Product.Label.Most
		e := effect(q.Amount, exact)
		switch {
		case !most.IsZero() && over(q.Amount, most.Over(area)):
			limit := most.Over(area)
			ps.Errorf("amount-over-label", where, "Measure out no more than the label allows for this filling.",
				"%s of %s in %s of mix is over the label's most for the %s that it covers, %s", q.Amount.Text(unit.US), q.Name,
				unit.US.Volume(fill), unit.US.Area(area), limit.RoundDown(unit.US).Text(unit.US))
		case q.Amount.IsZero() && !exact.IsZero():
			ps.Errorf("amount-too-small", where, "Mix more at a time, or measure this product by a finer measure.",
				"%s in %s of mix is less than can be measured out", q.Name, unit.US.Volume(fill))
		case math.Abs(e) > MostEffect:
			ps.Warnf("amount-coarse", where, "Mix more at a time, or measure this product by a finer measure.",
				"measuring %s as %s moves its rate by %s %%", q.Name, q.Amount.Text(unit.US), unit.Number(100*e, 1))
		}
	}
	return ps
}

// Water is what is left of a filling for water: liquid products take up their own volume,
// a dry product none. It is never below zero.
func (r Recipe) Water(fill unit.Volume, portions []Portion) unit.Volume {
	for _, p := range portions {
		fill -= p.Amount.Liquid
	}
	return max(fill, 0)
}

// over reports whether amount is over limit, by 1e-9 or more, in what the limit is set in.
func over(amount, limit label.Amount) bool {
	return limit.Liquid > 0 && float64(amount.Liquid) > float64(limit.Liquid)*(1+1e-9) ||
		limit.Dry > 0 && float64(amount.Dry) > float64(limit.Dry)*(1+1e-9)
}

// effect is amount / exact - 1, 0 where exact is nothing.
func effect(amount, exact label.Amount) float64 {
	switch {
	case exact.Liquid > 0:
		return float64(amount.Liquid/exact.Liquid) - 1
	case exact.Dry > 0:
		return float64(amount.Dry/exact.Dry) - 1
	}
	return 0
}

func positive(x float64) bool { return x > 0 && !math.IsInf(x, 1) }
