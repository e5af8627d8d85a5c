package mix

import (
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Wanted is one product of a mix as it is asked for. One of the three ways is set: the product per area, a
// nutrient per area, or the product in a volume of finished mix.
type Wanted struct {
	Product label.Product
	// Rate is the product per area. A liquid may be given by weight when its density is entered.
	Rate label.Rate
	// NutrientRate is how much of Nutrient goes on an area, by the product's analysis: "N", "P2O5", "K2O", the
	// elements "P" and "K", another nutrient's symbol.
	Nutrient     string
	NutrientRate unit.MassPerArea
	// InMix is the strength of the finished mix: 0.25 % v/v, 2 fl oz/gal, 3 lb/100 gal. A liquid may be given by
	// weight when its density is entered.
	InMix label.Strength
}

// Dose is what is wanted, as a rate and as a strength. An area rate (of product or of a nutrient) stays as it is when
// the carrier rate changes, and the strength follows; a strength stays as it is, and the rate follows.
type Dose struct {
	Wanted  Wanted
	Carrier unit.VolumePerArea
	Rate    label.Rate
	InMix   label.Strength

	nutrient label.Dose // how the rate follows from the analysis
}

// At turns what is wanted into a rate per area and a strength at the carrier rate, and holds both against the
// product's label. Over the label is an error, and then the Dose is zero. where is the place in the user's file.
func (w Wanted) At(carrier unit.VolumePerArea, where string) (Dose, problem.List) {
	d, ps := w.dose(carrier, where)
	if !ps.HasErrors() {
		ps = append(ps, Recipe{Carrier: carrier, Parts: []Part{d.Part()}}.Validate(where)...)
	}
	if ps.HasErrors() {
		return Dose{}, ps
	}
	return d, ps
}

// NewRecipe is the recipe of all that is wanted at one carrier rate, and each product's Dose in the order given. With
// no errors in the list the recipe has passed Validate; with errors it is zero.
func NewRecipe(carrier unit.VolumePerArea, wanted []Wanted, where string) (Recipe, []Dose, problem.List) {
	r := Recipe{Carrier: carrier}
	var doses []Dose
	var ps problem.List
	if !unit.Positive(carrier) {
		return Recipe{}, nil, r.Validate(where)
	}
	for _, w := range wanted {
		d, found := w.dose(carrier, where)
		ps = append(ps, found...)
		doses, r.Parts = append(doses, d), append(r.Parts, d.Part())
	}
	if !ps.HasErrors() {
		ps = append(ps, r.Validate(where)...)
	}
	if ps.HasErrors() {
		return Recipe{}, nil, ps
	}
	return r, doses, ps
}

// Part is the dose as a part of a recipe.
func (d Dose) Part() Part { return Part{Product: d.Wanted.Product, Rate: d.Rate} }

// dose works out rate and strength; the label is not asked.
func (w Wanted) dose(carrier unit.VolumePerArea, where string) (Dose, problem.List) {
	d := Dose{Wanted: w, Carrier: carrier}
	ps := w.entries(carrier, where)
	if ps.HasErrors() {
		return d, ps
	}
	switch {
	case w.byNutrient():
		content, found := w.Product.Content(w.Nutrient, label.Total, where)
		if ps = append(ps, found...); found.HasErrors() {
			return d, ps
		}
		d.nutrient, found = content.ForWeight(w.NutrientRate, where)
		ps, d.Rate = append(ps, found...), d.nutrient.Rate
	case w.InMix != label.Strength{}:
		d.Rate, d.InMix = w.InMix.At(carrier), w.InMix
		if w.byWeight() {
			d.Rate, d.InMix = fromWeight(w.Product, d.Rate.Dry), label.Strength{}
		}
	case w.byWeight():
		d.Rate = fromWeight(w.Product, w.Rate.Dry)
	default:
		d.Rate = w.Rate
	}
	if d.InMix == (label.Strength{}) {
		d.InMix = d.Rate.In(carrier)
	}
	return d, ps
}

func (w Wanted) byNutrient() bool { return w.NutrientRate != 0 || w.Nutrient != "" }

// byWeight reports whether a liquid is given by weight.
func (w Wanted) byWeight() bool {
	return w.Product.Form == label.Liquid && (w.Rate.Dry != 0 || w.InMix.Dry != 0)
}

// fromWeight is a product's rate by weight as its form is measured: a liquid's by its density.
func fromWeight(p label.Product, r unit.MassPerArea) label.Rate {
	if p.Form.Weighed() {
		return label.Rate{Dry: r}
	}
	return label.Rate{Liquid: p.Density.VolumeOf(r.Over(unit.SquareMetre)).Per(unit.SquareMetre)}
}

// entries finds what is wrong with what is asked for.
func (w Wanted) entries(carrier unit.VolumePerArea, where string) (ps problem.List) {
	name := w.Product.Name
	if !unit.Positive(carrier) {
		ps.Errorf("carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate for %s is %s", name, unit.US.CarrierRate(carrier))
	}
	if ps = append(ps, inTank(w.Product, where)...); ps.HasErrors() {
		return ps
	}
	ways := 0
	for _, set := range []bool{!w.Rate.IsZero(), w.byNutrient(), w.InMix != label.Strength{}} {
		if set {
			ways++
		}
	}
	switch {
	case ways == 0:
		ps.Errorf("rate-zero", where, "Give the product per area, a nutrient per area, or the product in a volume of mix.", "what is wanted of %s is zero", name)
	case ways > 1:
		ps.Errorf("wanted-twice", where, "Give one of the three: product per area, nutrient per area, or product in a volume of mix.",
			"%d ways are given to say how much of %s is wanted", ways, name)
	case !w.byNutrient(): // the analysis is asked in its place
		ps = append(ps, w.kind(where)...)
	}
	return ps
}

// inTank finds a product that is not for a tank.
func inTank(p label.Product, where string) (ps problem.List) {
	switch p.Form {
	case label.Liquid, label.Dry:
	case label.Granule:
		return p.CheckInTank(where)
	default:
		ps.Errorf("form-unknown", where, "Write liquid for a product measured by volume, dry for one that is weighed.",
			"the form of %s is %q", p.Name, p.Form)
	}
	return ps
}

// kind checks a rate or a strength against the form. Fluid ounces and ounces of weight are joined by a density, or
// not at all (Purdue Extension PPP-96, Measuring Pesticides: Overlooked Steps to Getting the Correct Rate).
func (w Wanted) kind(where string) (ps problem.List) {
	p := w.Product
	volume, weight := float64(w.Rate.Liquid)+float64(w.InMix.Liquid), float64(w.Rate.Dry)+float64(w.InMix.Dry)
	switch {
	case volume != 0 && weight != 0, p.Form == label.Dry && volume != 0:
		ps.Errorf("rate-wrong-kind", where, "Give a weight of "+p.Name+", such as 2 lb/1000 sq ft or 3 lb/100 gal.", "%s is dry, and is asked for by volume", p.Name)
		if p.Form == label.Liquid {
			ps[len(ps)-1].What, ps[len(ps)-1].Fix = p.Name+" is asked for by volume and by weight at once", "Give the volume alone."
		}
	case !unit.Positive(volume + weight):
		ps.Errorf("rate-zero", where, "Give a rate over zero with its unit, such as 4.5 fl oz/1000 sq ft.", "%s is asked for at %s", p.Name, w.text(unit.US))
	case weight != 0 && p.Form == label.Liquid && !unit.Positive(p.Density):
		ps.Errorf("density-missing", where, "Enter the product's density, or give a volume, such as 4.5 fl oz/1000 sq ft.",
			"%s is a liquid asked for by weight: an ounce of weight is not a fluid ounce, and no density is entered", p.Name)
	}
	return ps
}

// text is what is asked for, as it was given.
func (w Wanted) text(s unit.System) string {
	switch {
	case w.byNutrient():
		return label.NutrientRate(s, w.NutrientRate, w.Nutrient)
	case w.InMix != label.Strength{}:
		return strengthText(w.InMix, s)
	}
	return w.Rate.Text(s)
}
