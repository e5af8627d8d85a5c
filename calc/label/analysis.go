package label

import (
	"slices"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// PhosphorusInPhosphate and PotassiumInPotash are the elements as a share of the weight of their oxides:
// 0.4365 and 0.8301, by the published table that calc/unit names. The trade rounds them to 0.44 and 0.83.
var (
	PhosphorusInPhosphate = elementIn(unit.P2O5)
	PotassiumInPotash     = elementIn(unit.K2O)
)

func elementIn(oxide unit.Nutrient) Share {
	share, _ := oxide.Share()
	return Share(share)
}

// ActiveIngredient is the name under which the active ingredient is reckoned as a content.
const ActiveIngredient = "active ingredient"

// Known reports whether an analysis was entered, be it that there are no nutrients.
func (a Analysis) Known() bool {
	return a.None || a.N != 0 || a.P2O5 != 0 || a.K2O != 0 || a.SlowN != 0 || len(a.Other) > 0
}

// QuickN is the readily available nitrogen, a share of the product's weight: all N where no slow N is
// stated (UC IPM: when no water-insoluble nitrogen is listed, treat all of it as quick).
func (a Analysis) QuickN() Share { return a.N - a.SlowN }

// SlowOfN is the slow part of the nitrogen: water-insoluble N / total N (Fertilizer selection, Suffolk
// County (NY) Healthy Lawns, n.d.). Zero without nitrogen.
func (a Analysis) SlowOfN() Share {
	if a.N == 0 {
		return 0
	}
	return a.SlowN / a.N
}

// Share is the nutrient's share of the product's weight, 0 for one that is not guaranteed. P and K
// are the elements in P2O5 and K2O. The basis tells the parts of N; for others it does not matter.
func (a Analysis) Share(nutrient string, b Basis) Share {
	switch nutrient {
	case Nitrogen:
		switch b {
		case Quick:
			return a.QuickN()
		case Slow:
			return a.SlowN
		}
		return a.N
	case Phosphate:
		return a.P2O5
	case Potash:
		return a.K2O
	case Phosphorus:
		return a.P2O5 * PhosphorusInPhosphate
	case Potassium:
		return a.K2O * PotassiumInPotash
	}
	return a.Other[nutrient]
}

// Content is how much of a product is one thing: a nutrient, a part of its nitrogen, the active
// ingredient. Share is of the weight; a liquid also has PerVolume, the thing's weight in a volume of
// the product. Make one with Product.Content or Product.ActiveContent.
type Content struct {
	Of        string       `json:"of"` // "N", "quick N", "active ingredient"
	Share     Share        `json:"share,omitempty"`
	PerVolume unit.Density `json:"content_kg_per_l,omitempty"`

	product  Product
	nutrient string
	basis    Basis
}

// Content is the product's content of a nutrient by its symbol, with its working. What is needed and
// was not entered is a problem, never a zero: the analysis, and a liquid's density, since the analysis is of
// the weight and a liquid is measured by volume. where is the product's place in the user's file.
func (p Product) Content(nutrient string, b Basis, where string) (Content, problem.List) {
	var ps problem.List
	c := Content{Of: nutrient, product: p, nutrient: nutrient, basis: b}
	if b == Quick || b == Slow {
		c.Of = string(b) + " " + nutrient
	}
	switch {
	case !p.Form.known():
		ps.Errorf("form-unknown", where, formFix, "the form of %s is %q", p.title(), string(p.Form))
	case !IsNutrient(nutrient):
		ps.Errorf("nutrient-unknown", where, "Write a nutrient's symbol, such as N, P2O5 or K2O.", "%q is not a nutrient's symbol", nutrient)
	case c.Of != nutrient && nutrient != Nitrogen:
		ps.Errorf("basis-not-nitrogen", where, "Ask for all of it.", "%s has no %s part; only nitrogen has one", nutrient, b)
	case !p.Analysis.Known():
		ps.Errorf("analysis-missing", where, "Enter the grade from the label, such as 18-0-4, or none when it has no nutrients.",
			"the analysis of %s is not entered, so that its %s is not known", p.title(), nutrient)
	}
	if len(ps) > 0 {
		return Content{}, ps
	}
	c.Share = p.Analysis.Share(nutrient, b)
	if !validShare(&ps, where, c.Of+" in "+p.title(), c.Share) {
		return Content{}, ps
	}
	return p.weigh(c, where)
}

// ActiveContent is the product's content of active ingredient, from its share of the weight or, for a liquid,
// from its weight in a volume, which stands above it.
func (p Product) ActiveContent(where string) (Content, problem.List) {
	var ps problem.List
	c := Content{Of: ActiveIngredient, product: p, Share: p.Active}
	switch {
	case !p.Form.known():
		ps.Errorf("form-unknown", where, formFix, "the form of %s is %q", p.title(), string(p.Form))
	case p.Form == Liquid && unit.Positive(p.ActivePerVolume):
		c.PerVolume = p.ActivePerVolume
		return c, nil
	case p.Active == 0:
		ps.Errorf("active-missing", where, "Enter the active ingredient from the label, in per cent of the weight or, for a liquid, as a weight in a volume.",
			"the active ingredient of %s is not entered", p.title())
	default:
		validShare(&ps, where, "the active ingredient of "+p.title(), p.Active)
	}
	if len(ps) > 0 {
		return Content{}, ps
	}
	return p.weigh(c, where)
}

// weigh gives the content of a liquid its weight in a volume.
func (p Product) weigh(c Content, where string) (Content, problem.List) {
	if p.Form != Liquid || c.Share == 0 {
		return c, nil
	}
	if !unit.Positive(p.Density) {
		var ps problem.List
		ps.Errorf("density-missing", where, "Enter the density from the label or the safety data sheet, such as 10.2 lb/gal.",
			"%s is liquid and its density is not entered, so that its %s, which is %s of the weight, is not known", p.title(), c.Of, c.Share.Text())
		return Content{}, ps
	}
	c.PerVolume = p.Density * unit.Density(c.Share)
	return c, nil
}

// IsZero reports whether the product has nothing of it.
func (c Content) IsZero() bool { return c.Share == 0 && c.PerVolume == 0 }

// In is what an amount of the product holds.
func (c Content) In(a Amount) unit.Mass {
	return a.Dry*unit.Mass(c.Share) + c.PerVolume.Of(a.Liquid)
}

// At is what a rate of the product puts on an area.
func (c Content) At(r Rate) unit.MassPerArea {
	return r.Dry*unit.MassPerArea(c.Share) + c.PerVolume.Of(r.Liquid.Over(unit.SquareMetre)).Per(unit.SquareMetre)
}

// Dose is a rate of a product and what it puts on of one Content; one was asked for, the other worked out.
type Dose struct {
	Content Content          `json:"content"`
	Rate    Rate             `json:"rate"`
	Weight  unit.MassPerArea `json:"weight_kg_per_m2"`
	wanted  bool             // Weight was asked for
}

// AtRate is what a rate of the product puts on; the rate must be over zero and of the product's kind.
func (c Content) AtRate(r Rate, where string) (Dose, problem.List) {
	var ps problem.List
	switch x := r.of(c.product.Form); {
	case !r.fits(c.product.Form):
		ps.Errorf("rate-wrong-kind", where, c.product.kindFix(), "%s is %s, and its rate is given as %s", c.product.title(), c.product.Form, r.Text(unit.US))
	case !unit.Positive(x):
		ps.Errorf("rate-zero", where, "Enter the rate per area with its unit, such as "+c.product.example()+".", "the rate of %s is %s", c.product.title(), r.Text(unit.US))
	default:
		return Dose{Content: c, Rate: r, Weight: c.At(r)}, nil
	}
	return Dose{}, ps
}

// ForWeight is the rate of the product that puts on the wanted weight per area, such as 0.9 lb of N per
// 1,000 sq ft: wanted / content.
func (c Content) ForWeight(wanted unit.MassPerArea, where string) (Dose, problem.List) {
	var ps problem.List
	switch {
	case !unit.Positive(wanted):
		ps.Errorf("rate-zero", where, "Enter the wanted weight per area, such as 0.75 lb/1000 sq ft.", "%s of %s is wanted", unit.US.MassRate(wanted), c.Of)
	case c.IsZero():
		ps.Errorf("nutrient-absent", where, "Choose a product that has it.", "%s has no %s", c.product.title(), c.Of)
	case c.product.Form == Liquid:
		v := c.PerVolume.VolumeOf(wanted.Over(unit.SquareMetre)).Per(unit.SquareMetre)
		return Dose{Content: c, Rate: Rate{Liquid: v}, Weight: wanted, wanted: true}, nil
	default:
		return Dose{Content: c, Rate: Rate{Dry: wanted / unit.MassPerArea(c.Share)}, Weight: wanted, wanted: true}, nil
	}
	return Dose{}, ps
}

// Held is an amount of a product and what it holds of one Content; one was asked for, the other worked out.
type Held struct {
	Content Content   `json:"content"`
	Amount  Amount    `json:"amount"`
	Weight  unit.Mass `json:"weight_kg"`
	wanted  bool
}

// InAmount is what an amount of the product, such as a bag, holds.
func (c Content) InAmount(a Amount, where string) (Held, problem.List) {
	var ps problem.List
	if x := a.Dry; !a.fits(c.product.Form) || !unit.Positive(float64(x)+float64(a.Liquid)) {
		ps.Errorf("amount-wrong", where, c.product.amountFix(), "%s is %s, and the amount is %s", c.product.title(), c.product.Form, a.Text(unit.US))
		return Held{}, ps
	}
	return Held{Content: c, Amount: a, Weight: c.In(a)}, nil
}

// ToHold is the amount of the product that holds the wanted weight.
func (c Content) ToHold(wanted unit.Mass, where string) (Held, problem.List) {
	var ps problem.List
	switch {
	case !unit.Positive(wanted):
		ps.Errorf("amount-wrong", where, "Enter the wanted weight, such as 75 lb.", "%s of %s is wanted", unit.US.Mass(wanted), c.Of)
	case c.IsZero():
		ps.Errorf("nutrient-absent", where, "Choose a product that has it.", "%s has no %s", c.product.title(), c.Of)
	case c.product.Form == Liquid:
		return Held{Content: c, Amount: Amount{Liquid: c.PerVolume.VolumeOf(wanted)}, Weight: wanted, wanted: true}, nil
	default:
		return Held{Content: c, Amount: Amount{Dry: wanted / unit.Mass(c.Share)}, Weight: wanted, wanted: true}, nil
	}
	return Held{}, ps
}

// OtherNutrients are the symbols that the analysis lists beside N, P2O5 and K2O, sorted.
func (a Analysis) OtherNutrients() []string {
	var symbols []string
	for s := range a.Other {
		symbols = append(symbols, s)
	}
	slices.Sort(symbols)
	return symbols
}
