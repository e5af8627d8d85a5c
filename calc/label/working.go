package label

import (
	"strings"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// NutrientRate prints a weight of a nutrient per area with its symbol: "0.90 lb N/1000 sq ft", "43.94
// kg N/ha".
func NutrientRate(s unit.System, m unit.MassPerArea, of string) string {
	return strings.Replace(s.MassRate(m), "/", " "+of+"/", 1)
}

// oneJug is the volume that a content is given for.
func oneJug(s unit.System) string {
	if s == unit.Metric {
		return "a litre"
	}
	return "a gallon"
}

// expr is the content as it stands in formulas, for a liquid by volume.
func (c Content) expr(s unit.System) working.Expr {
	if c.product.Form == Liquid {
		return working.Of(c.Of+" in "+oneJug(s), c.PerVolume, working.UnitsOf(s).Density)
	}
	return working.Percent(c.Of+" in "+c.product.title(), float64(c.Share))
}

// Working shows how the content follows from the analysis.
func (c Content) Working(s unit.System) working.Working {
	var w working.Working
	u, a, of := working.UnitsOf(s), c.product.Analysis, c.Of+" in "+c.product.title()
	switch {
	case c.Of == ActiveIngredient && c.Share == 0, c.Of == ActiveIngredient && c.product.Form == Liquid && c.product.ActivePerVolume != 0:
		w.Say(c.Of+" in "+oneJug(s), working.Figures(c.PerVolume.In(densityUnit(s)))+" "+u.Density, "From the label of "+c.product.title()+".")
		return w
	case c.basis == Quick && a.SlowN == 0:
		w.Say(of, c.Share.Text()+" of the weight", "No slow N is stated, so that all N counts as quick (UC IPM).")
	case c.basis == Slow && a.SlowN == 0:
		w.Say(of, "none", "No slow N is stated on the label.")
	case c.basis == Quick:
		w.AddPercent(of, working.Percent("N", float64(a.N)).Minus(working.Percent("slow N", float64(a.SlowN))), float64(c.Share), c.Share.Text()+" of the weight")
	case c.nutrient == Phosphorus:
		w.AddPercent(of, working.Percent(Phosphate, float64(a.P2O5)).Times(element("P in P2O5", PhosphorusInPhosphate)), float64(c.Share), "",
			"The bag states phosphate, P2O5; the element is 0.44 of it.")
	case c.nutrient == Potassium:
		w.AddPercent(of, working.Percent(Potash, float64(a.K2O)).Times(element("K in K2O", PotassiumInPotash)), float64(c.Share), "",
			"The bag states potash, K2O; the element is 0.83 of it.")
	default:
		w.Say(of, c.Share.Text()+" of the weight", "From the label.")
	}
	if c.nutrient == Nitrogen && c.basis != Quick && a.SlowN != 0 && a.N != 0 {
		w.AddPercent("slow part of the N", working.Percent("slow N", float64(a.SlowN)).Over(working.Percent("N", float64(a.N))), float64(a.SlowOfN()), a.SlowOfN().Text())
	}
	if c.product.Form == Liquid && c.Share != 0 {
		w.Add(c.Of+" in "+oneJug(s), working.Of("density", c.product.Density, u.Density).Times(working.Percent(c.Of, float64(c.Share))), c.PerVolume, u.Density, "",
			"The per cent is of the weight, never of the volume, so that "+oneJug(s)+" is weighed first.")
	}
	return w
}

func element(name string, share Share) working.Expr {
	return working.Number(name, float64(share)).From("SPES-201NP, Table 1, Virginia Cooperative Extension")
}

func densityUnit(s unit.System) unit.Density {
	if s == unit.Metric {
		return unit.KilogramPerLitre
	}
	return unit.PoundPerGallon
}

// rate is a product's rate in formulas.
func (p Product) rate(s unit.System, r Rate) (working.Expr, unit.Quantity, string) {
	u := working.UnitsOf(s)
	if p.Form == Liquid {
		return working.Of("rate of "+p.title(), r.Liquid, u.LiquidRate), r.Liquid, u.LiquidRate
	}
	return working.Of("rate of "+p.title(), r.Dry, u.MassRate), r.Dry, u.MassRate
}

// Working shows the content and then the rate or the weight that was asked for.
func (d Dose) Working(s unit.System) working.Working {
	c, u := d.Content, working.UnitsOf(s)
	w := c.Working(s)
	rate, q, in := c.product.rate(s, d.Rate)
	switch {
	case d.wanted:
		w.Add("rate of "+c.product.title(), working.Of("wanted "+c.Of, d.Weight, u.MassRate).Over(c.expr(s)), q, in, d.Rate.Text(s))
	case c.IsZero():
		w.Say(c.Of+" from "+c.product.title(), "none")
	default:
		w.Add(c.Of+" from "+c.product.title(), rate.Times(c.expr(s)), d.Weight, u.MassRate, NutrientRate(s, d.Weight, c.Of))
	}
	return w
}

// Facts are the rate and what it puts on.
func (d Dose) Facts(s unit.System) []working.Fact {
	return []working.Fact{{Name: "rate of " + d.Content.product.title(), Text: d.Rate.Text(s)}, {Name: d.Content.Of, Text: NutrientRate(s, d.Weight, d.Content.Of)}}
}

// Working shows the content and then the amount or the weight that was asked for.
func (h Held) Working(s unit.System) working.Working {
	c, u := h.Content, working.UnitsOf(s)
	w := c.Working(s)
	amount, q, in := working.Of(c.product.title(), h.Amount.Dry, u.Mass), unit.Quantity(h.Amount.Dry), u.Mass
	if c.product.Form == Liquid {
		amount, q, in = working.Of(c.product.title(), h.Amount.Liquid, u.Mix), h.Amount.Liquid, u.Mix
	}
	switch {
	case h.wanted:
		w.Add(c.product.title(), working.Of("wanted "+c.Of, h.Weight, u.Mass).Over(c.expr(s)), q, in, h.Amount.Text(s))
	case c.IsZero():
		w.Say(c.Of, "none")
	default:
		w.Add(c.Of, amount.Times(c.expr(s)), h.Weight, u.Mass, s.Mass(h.Weight))
	}
	return w
}

// Facts are the amount and what it holds.
func (h Held) Facts(s unit.System) []working.Fact {
	return []working.Fact{{Name: h.Content.product.title(), Text: h.Amount.Text(s)}, {Name: h.Content.Of, Text: s.Mass(h.Weight)}}
}
