package convert

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// joined is the kind that a density makes of another.
var joined = map[unit.Kind]unit.Kind{
	unit.KindVolume: unit.KindMass, unit.KindMass: unit.KindVolume,
	unit.KindVolumePerArea: unit.KindMassPerArea, unit.KindMassPerArea: unit.KindVolumePerArea,
	unit.KindVolumePerVolume: unit.KindDensity, unit.KindDensity: unit.KindVolumePerVolume,
}

// convert fills in the figures; false when a problem stops it.
func (r *Result) convert(to target, opt Options, list *problem.List) bool {
	as, ok := r.nutrientWanted(to, list)
	if !ok {
		return false
	}
	is := unit.Quantity(r.Given)
	if as != r.Nutrient {
		is = r.countAs(as)
	}
	switch {
	case to.sameUnit:
		r.add(is, r.In, as, 0)
	case !to.any:
		return r.one(to.unit, is, as, opt, list)
	default:
		r.usual(is, as, opt)
	}
	return true
}

// nutrientWanted is what the weight is to be counted as.
func (r *Result) nutrientWanted(to target, list *problem.List) (unit.Nutrient, bool) {
	if to.nutrient == "" {
		return r.Nutrient, true
	}
	if r.Nutrient == "" {
		list.Errorf("nutrient-missing", quoted(r.Text), "Name the nutrient that is weighed, such as 125 lb P2O5.", "%s is wanted, and %s names no nutrient", to.nutrient, r.Text)
		return "", false
	}
	if _, ok := r.Nutrient.As(to.nutrient); !ok {
		list.Errorf("nutrient-other", quoted(r.Text), "Ask for another form of the same nutrient: P of P2O5, K of K2O, or back.", "%s of %s is another nutrient", to.nutrient, r.Text)
		return "", false
	}
	return to.nutrient, true
}

// countAs is the given weight counted as another form of its nutrient, with a note on the trade's figure.
func (r *Result) countAs(n unit.Nutrient) unit.Quantity {
	published, round := n.Share()
	factor, _ := r.Nutrient.As(n)
	trade := round
	if n.IsOxide() {
		trade = 1 / round
	}
	given, err := r.In.Number(r.Given)
	if err != nil {
		panic(err) // the text was read in this unit
	}
	word := "x"
	if n.IsOxide() {
		word = "/"
	}
	r.Notes = append(r.Notes, fmt.Sprintf("By %s %v; the trade's %s %v gives %s %s.", word, published, word, round, unit.Figures(given*trade, 4), unitName(r.In, n)))
	return r.In.Of(given * factor)
}

func (r *Result) add(is unit.Quantity, u unit.Unit, n unit.Nutrient, d unit.Density) {
	x, err := u.Number(is)
	if err != nil {
		panic(err) // the caller has brought it to the unit's kind
	}
	r.Figures = append(r.Figures, Figure{Is: is, Unit: u, Number: x, Nutrient: n, Density: d})
}

// one gives the figure in the unit wanted.
func (r *Result) one(u unit.Unit, is unit.Quantity, as unit.Nutrient, opt Options, list *problem.List) bool {
	switch {
	case u.Kind() == is.Kind():
		r.add(is, u, as, 0)
		return true
	case joined[is.Kind()] != u.Kind():
		list.Errorf("kind-other", quoted(r.Text), fmt.Sprintf("Ask for a unit of %s, such as %s.", is.Kind(), unit.Units(is.Kind(), opt.units())[0].Name()),
			"%s is a %s, and %s is a unit of %s", r.Text, is.Kind(), u.Name(), u.Kind())
	case r.Nutrient != "":
		list.Errorf("nutrient-volume", quoted(r.Text), "Ask for a unit of weight, or convert the weight of the product.",
			"%s is the weight of a nutrient, and a nutrient alone has no volume", r.Text)
	case opt.Density == 0:
		list.Errorf("density-missing", quoted(r.Text), "Give the density from the product's label, such as 10.68 lb/gal.",
			"%s is a %s, and %s is a unit of %s: an ounce of volume is no ounce of weight, and only the product's density joins the two", r.Text, is.Kind(), u.Name(), u.Kind())
	default:
		r.add(join(is, opt.Density), u, "", opt.Density)
		return true
	}
	return false
}

// usual gives the usual units of both systems and, with a density, those of the joined kind.
func (r *Result) usual(is unit.Quantity, as unit.Nutrient, opt Options) {
	r.all(is, as, 0, opt)
	if other := as.Other(); other != "" {
		r.add(r.countAs(other), r.In, other, 0)
	}
	if as == "" && opt.Density != 0 && joined[is.Kind()] != "" {
		r.all(join(is, opt.Density), as, opt.Density, opt)
	}
}

func (r *Result) all(is unit.Quantity, as unit.Nutrient, d unit.Density, opt Options) {
	first, second := unit.US, unit.Metric
	if opt.units() == unit.Metric {
		first, second = second, first
	}
	seen := map[string]bool{}
	for _, u := range append(unit.Units(is.Kind(), first), unit.Units(is.Kind(), second)...) {
		if !seen[u.Name()] {
			r.add(is, u, as, d)
		}
		seen[u.Name()] = true
	}
}

// join makes weight of volume, or volume of weight, by the density d.
func join(q unit.Quantity, d unit.Density) unit.Quantity {
	switch q := q.(type) {
	case unit.Volume:
		return d.Of(q)
	case unit.Mass:
		return d.VolumeOf(q)
	case unit.VolumePerArea:
		return d.OfRate(q)
	case unit.MassPerArea:
		return d.VolumeOfRate(q)
	case unit.VolumePerVolume:
		return d.OfShare(q)
	case unit.Density:
		return d.ShareOf(q)
	}
	panic(fmt.Sprintf("convert: a density joins nothing to a %s", q.Kind()))
}
