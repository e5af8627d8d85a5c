package mix

import (
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Dilution is a percent solution: Final of mix at Strength of active from a concentrate of Concentrate, both shares.
// A liquid concentrate goes by volume, a powder by weight in the weight of the water.
type Dilution struct {
	Final                 unit.Volume
	Strength, Concentrate label.Share
	Form                  label.Form
	// Product is what to take; Water is what a liquid leaves for water, and zero for a powder: top up to Final.
	Product label.Amount
	Water   unit.Volume
}

// Dilute works out how much concentrate makes final of mix at a wanted strength:
//
//	liquid in liquid: Q = A x S / C
//	powder in water:  Q = A x S x D / C, where D is the weight of water, unit.Water
//
// (Pesticides in the Military, MD0173, ed. 100, US Army Medical Department Center and School, 2006). Shares are 0.01 for 1 %.
func Dilute(final unit.Volume, strength, concentrate label.Share, form label.Form, where string) (Dilution, problem.List) {
	var ps problem.List
	d := Dilution{Final: final, Strength: strength, Concentrate: concentrate, Form: form}
	sized(&ps, float64(final), "volume-zero", where, "Give the volume of finished mix with its unit, such as 5 gal.", "%s of mix is to be made", unit.US.Volume(final))
	for _, e := range []struct {
		name string
		x    label.Share
	}{{"wanted strength", strength}, {"strength of the concentrate", concentrate}} {
		if !(e.x > 0 && e.x <= 1) {
			ps.Errorf("strength-share", where, "Give it in per cent, over 0 and up to 100 %.", "the %s is %s", e.name, unit.Percent(float64(e.x), 3))
		}
	}
	if !ps.HasErrors() && unit.Exceeds(strength, concentrate) {
		ps.Errorf("stronger-than-concentrate", where, "Give a strength below that of the concentrate.", "a mix of %s cannot be made from a concentrate of %s",
			unit.Percent(float64(strength), 3), unit.Percent(float64(concentrate), 3))
	}
	if form != label.Liquid && form != label.Dry {
		ps = append(ps, inTank(label.Product{Name: "the concentrate", Form: form}, where)...)
	}
	if ps.HasErrors() {
		return Dilution{}, ps
	}
	part := float64(strength) / float64(concentrate)
	if form == label.Dry {
		d.Product.Dry = unit.Mass(float64(unit.Water.Of(final)) * part)
		return d, nil
	}
	d.Product.Liquid = unit.Volume(float64(final) * part)
	d.Water = max(final-d.Product.Liquid, 0)
	return d, nil
}

// Facts are what to take.
func (d Dilution) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact("concentrate", d.Product.Text(s))}
	if d.Form == label.Liquid {
		return append(fs, fact("water", mixText(d.Water, s)))
	}
	return append(fs, fact("water", "to make up "+mixText(d.Final, s)))
}

// Working shows the formula.
func (d Dilution) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	e := working.Of("finished mix", d.Final, u.Mix).Times(working.Percent("wanted strength", float64(d.Strength)))
	if d.Form == label.Dry {
		e = e.Times(working.Of("weight of water", unit.Water, u.Density).From("8.34 lb/gal, University of Nebraska-Lincoln, 2016"))
	}
	addAmount(&w, "concentrate", e.Over(working.Percent("strength of the concentrate", float64(d.Concentrate))), d.Product, d.Form, s, d.Product.Text(s))
	if d.Water > 0 {
		w.Add("water", working.Of("finished mix", d.Final, u.Mix).Minus(working.Of("concentrate", d.Product.Liquid, u.Mix)), d.Water, u.Mix, mixText(d.Water, s))
	}
	return w
}

// InVolume is a product at so much per volume of mix, as dilution tables have it ("1 lb per 100 gal"), for another volume.
type InVolume struct {
	Strength label.Strength
	Form     label.Form
	Volume   unit.Volume
	Product  label.Amount
}

// PerVolume works out the product for v of mix at a strength: amount per 100 gal x v / 100 gal. An adjuvant in per cent by
// volume is the same: 0.25 % v/v of 100 gal is 32 fl oz.
func PerVolume(x label.Strength, form label.Form, v unit.Volume, where string) (InVolume, problem.List) {
	var ps problem.List
	sized(&ps, float64(v), "volume-zero", where, "Give the volume of finished mix with its unit, such as 25 gal.", "%s of mix is to be made", unit.US.Volume(v))
	p := label.Product{Name: "the product", Form: form}
	if ps = append(ps, inTank(p, where)...); !ps.HasErrors() {
		ps = append(ps, p.CheckStrength(x, where)...)
	}
	if ps.HasErrors() {
		return InVolume{}, ps
	}
	return InVolume{Strength: x, Form: form, Volume: v, Product: x.In(v)}, ps
}

// Facts are the strength and the product.
func (x InVolume) Facts(s unit.System) []working.Fact {
	return []working.Fact{fact("in the mix", strengthText(x.Strength, s)), fact("product for "+mixText(x.Volume, s), x.Product.Text(s))}
}

// Working shows the proportion.
func (x InVolume) Working(s unit.System) (w working.Working) {
	addAmount(&w, "product", working.Of("mix", x.Volume, working.UnitsOf(s).Mix).Times(ofStrength("strength", x.Strength, x.Form, s)), x.Product, x.Form, s, x.Product.Text(s))
	return w
}
