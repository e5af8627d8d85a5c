package mix

import (
	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Facts are the rate per area and the strength of the mix.
func (d Dose) Facts(s unit.System) []working.Fact {
	p := d.Wanted.Product
	return []working.Fact{
		fact(p.Name+", wanted", d.Wanted.text(s)),
		fact(p.Name+", on the ground", d.Rate.Text(s)),
		fact(p.Name+", in the mix", strengthText(d.InMix, s)),
	}
}

// Working shows how what is wanted became a rate and a strength.
func (d Dose) Working(s unit.System) (w working.Working) {
	p, f, u := d.Wanted.Product, d.Wanted.Product.Form, working.UnitsOf(s)
	carrier := working.Of("carrier rate", d.Carrier, u.Carrier)
	const areaHolds = "A rate per area holds whatever the carrier rate: more carrier makes the mix weaker, never the ground richer."
	switch {
	case d.Wanted.byNutrient():
		w.Append(d.nutrient.Working(s))
	case d.Wanted.InMix != label.Strength{}:
		in := d.Wanted.InMix
		asked := ofStrength("strength", in, f, s)
		if d.Wanted.byWeight() {
			weight := in.Dry.At(d.Carrier)
			w.Add(p.Name+" by weight", working.Of("strength", in.Dry, u.MassStrength).Times(carrier), weight, u.MassRate, "")
			d.byDensity(&w, weight, s)
		} else {
			addRate(&w, p.Name+" per area", asked.Times(carrier), d.Rate, f, s, d.Rate.Text(s),
				"A strength holds whatever the carrier rate: more carrier puts more product on the ground.")
			return w
		}
	case d.Wanted.byWeight():
		d.byDensity(&w, d.Wanted.Rate.Dry, s)
	}
	addStrength(&w, p.Name+" in the mix", ofRate("product rate", d.Rate, f, s).Over(carrier), d.InMix, f, s, strengthText(d.InMix, s), areaHolds)
	return w
}

// byDensity goes from a liquid's rate by weight to the volume that is measured out.
func (d Dose) byDensity(w *working.Working, weight unit.MassPerArea, s unit.System) {
	p, u := d.Wanted.Product, working.UnitsOf(s)
	addRate(w, p.Name+" by volume", working.Of("product rate by weight", weight, u.MassRate).Over(working.Of("density", p.Density, u.Density)),
		d.Rate, p.Form, s, d.Rate.Text(s), "An ounce of weight becomes a fluid ounce by the density alone.")
}
