package label

import (
	"cmp"
	"maps"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

const formFix = "Write liquid for a product measured by volume, dry for one that is weighed and mixed, granule for one that is spread dry."

// Validate finds what is wrong with the product as entered, whatever it is used for. where
// is its place in the user's file; limits of the label that have a place of their own are reported there.
func (p Product) Validate(where string) (ps problem.List) {
	if strings.TrimSpace(p.Name) == "" {
		ps.Errorf("product-without-name", where, "Give the product a name.", "the product has no name")
	} else if IsNutrient(p.Name) {
		ps.Errorf("name-is-nutrient", where, "Give the product another name.", "the product is named %s, as the nutrient is", p.Name)
	}
	if !p.Form.known() {
		ps.Errorf("form-unknown", where, formFix, "the form of %s is %q, none of liquid, dry, granule", p.title(), string(p.Form))
	}
	ps = append(ps, p.class(where)...)
	ps = append(ps, p.formulation(where)...)
	if strings.TrimSpace(p.Label.Citation) == "" {
		ps.Errorf("citation-missing", where, "Name the label that the limits are taken from, and its date.",
			"the label of %s is not cited", p.title())
	} else {
		ps = append(ps, cited(where, "the label of "+p.title(), p.Label.Citation, p.Label.Dated, false)...)
	}
	ps = append(ps, p.limits(where)...)
	ps = append(ps, p.density(where)...)
	ps = append(ps, p.analysis(where)...)
	ps = append(ps, p.active(where)...)
	ps = append(ps, p.packs(where)...)
	return append(ps, p.conditions(where)...)
}

func (p Product) class(where string) (ps problem.List) {
	if slices.Contains(Classes, p.Class) || p.Class == "" && p.Form == Granule {
		return nil
	}
	names := make([]string, len(Classes))
	for i, c := range Classes {
		names[i] = string(c)
	}
	fix := "Write one of " + strings.Join(names, ", ") + "."
	if f, ok := FormulationOf(p.Code); ok && f.Class != "" && p.Class == "" {
		fix = "Write " + string(f.Class) + ", the usual class of " + f.Code + ", or the one that the label says."
	}
	ps.Errorf("class-unknown", where, fix, "the mixing class of %s is %q", p.title(), string(p.Class))
	return ps
}

// limits holds the bounds of rate, strength and carrier rate against one another.
func (p Product) limits(where string) (ps problem.List) {
	l, known := p.Label, p.Form.known()
	good := known
	for _, e := range []struct {
		name string
		rate Rate
	}{{"least", l.Least}, {"most", l.Most}} {
		if known && !e.rate.fits(p.Form) {
			good = false
			ps.Errorf("rate-wrong-kind", where, p.kindFix(), "the label's %s rate of %s, %s, is given as %s",
				e.name, p.title(), p.Form, e.rate.Text(unit.US))
		}
		if !unit.Sound(e.rate.Liquid) || !unit.Sound(e.rate.Dry) {
			good = false
			ps.Errorf("rate-negative", where, "Enter a rate over zero, or leave it out when the label has none.",
				"the label's %s rate of %s is %s", e.name, p.title(), e.rate.Text(unit.US))
		}
	}
	if good && l.Most.of(p.Form) > 0 && unit.Exceeds(l.Least.of(p.Form), l.Most.of(p.Form)) {
		ps.Errorf("limits-crossed", where, "Enter the smaller rate as the least and the larger as the most.",
			"the label's least rate of %s, %s, is over its most, %s", p.title(), both(l.Least), both(l.Most))
	}
	ps = append(ps, p.strengths(where)...)
	if !unit.Sound(l.CarrierLeast) || !unit.Sound(l.CarrierMost) {
		ps.Errorf("carrier-negative", where, "Enter carrier rates over zero, or leave them out when the label has none.",
			"the label's carrier range of %s is %s to %s", p.title(), unit.US.CarrierRate(l.CarrierLeast), unit.US.CarrierRate(l.CarrierMost))
	} else if l.CarrierMost > 0 && unit.Exceeds(l.CarrierLeast, l.CarrierMost) {
		ps.Errorf("limits-crossed", where, "Enter the smaller carrier rate as the least and the larger as the most.",
			"the label's least carrier rate of %s, %s, is over its most, %s", p.title(), unit.US.CarrierRate(l.CarrierLeast), unit.US.CarrierRate(l.CarrierMost))
	}
	return ps
}

// strengths holds the bounds of the strength in the mix against one another.
func (p Product) strengths(where string) (ps problem.List) {
	l := p.Label
	if p.Form == Granule && !(l.LeastInMix.IsZero() && l.MostInMix.IsZero()) {
		ps.Errorf("granule-in-tank", where, "Remove the strength, or make the product dry.", "the label of %s bounds its strength in a mix, and it is a granule", p.title())
		return ps
	}
	good := p.Form.known()
	for _, e := range []struct {
		name     string
		strength Strength
	}{{"least", l.LeastInMix}, {"most", l.MostInMix}} {
		if p.Form.known() && !e.strength.fits(p.Form) {
			good = false
			ps.Errorf("strength-wrong-kind", where, p.strengthFix(), "the label's %s strength of %s, %s, is given as %s",
				e.name, p.title(), p.Form, e.strength.Text(unit.US))
		}
		if !unit.Sound(e.strength.Liquid) || !unit.Sound(e.strength.Dry) || e.strength.Liquid > unit.LitrePerLitre {
			good = false
			ps.Errorf("strength-outside", where, "Enter a strength over zero and under the undiluted product, or leave it out.",
				"the label's %s strength of %s is %s", e.name, p.title(), e.strength.Text(unit.US))
		}
	}
	if good && l.MostInMix.of(p.Form) > 0 && unit.Exceeds(l.LeastInMix.of(p.Form), l.MostInMix.of(p.Form)) {
		ps.Errorf("limits-crossed", where, "Enter the weaker strength as the least and the stronger as the most.",
			"the label's least strength of %s, %s, is over its most, %s", p.title(), l.LeastInMix.both(), l.MostInMix.both())
	}
	return ps
}

// A liquid lighter than 0.5 or heavier than 3 kg/L is not a spray product, and no solid that is
// sprayed is outside 0.5 to 8 kg/L, iron metal's (common practice, no source).
const (
	leastDensity   = 0.5 * unit.KilogramPerLitre
	mostDensity    = 3 * unit.KilogramPerLitre
	densestInWater = 8 * unit.KilogramPerLitre
)

func (p Product) density(where string) (ps problem.List) {
	if d := p.Density; d != 0 && !(d >= leastDensity && d <= mostDensity) {
		ps.Errorf("absurd", where, "Check the density and its unit: lb/gal and kg/L differ by a factor of 8.3.",
			"a density of %s for %s is outside 0.5 to 3 kg/L", unit.US.BothDensities(d), p.title())
	} else if d != 0 && p.Form.Weighed() {
		ps.Warnf("density-unused", where, "Remove the density; what a dry product displaces in the tank is another entry.",
			"a density of %s is entered for %s, which is weighed: it is not used", unit.US.BothDensities(d), p.title())
	}
	if d := p.InTank; d != 0 && !(d >= leastDensity && d <= densestInWater) {
		ps.Errorf("absurd", where, "Check the weight in a volume and its unit: lb/gal and kg/L differ by a factor of 8.3.",
			"%s is said to displace a volume by its weight at %s, outside 0.5 to 8 kg/L", p.title(), unit.US.BothDensities(d))
	} else if d != 0 && p.Form != Dry && p.Form.known() {
		ps.Warnf("density-unused", where, "Remove it: it is for a dry product that is mixed.",
			"%s is %s, and what it displaces in the tank by weight is not used", p.title(), p.Form)
	}
	return ps
}

func (p Product) analysis(where string) (ps problem.List) {
	a := p.Analysis
	good := true
	sum := Share(0)
	add := func(name string, s Share) {
		good = validShare(&ps, where, name+" in "+p.title(), s) && good
		sum += s
	}
	add("N", a.N)
	add("P2O5", a.P2O5)
	add("K2O", a.K2O)
	for _, symbol := range slices.Sorted(maps.Keys(a.Other)) {
		if i := slices.Index(Nutrients, symbol); i < 5 {
			good = false
			fix := "Write the symbol of a further nutrient, such as Fe or Mn."
			if i >= 0 {
				fix = "Write N, P2O5 and K2O in the grade; the elements P and K follow from it."
			}
			ps.Errorf("nutrient-unknown", where, fix, "%q in the analysis of %s is not a further nutrient's symbol", symbol, p.title())
		}
		add(symbol, a.Other[symbol])
	}
	if good && sum > 1+1e-9 {
		ps.Errorf("analysis-over-whole", where, "Copy the analysis from the label again.",
			"the nutrients of %s come to %s of its weight", p.title(), sum.Text())
	}
	if validShare(&ps, where, "slow N in "+p.title(), a.SlowN) && good && a.SlowN > a.N*(1+1e-9) {
		ps.Errorf("slow-over-total", where, "Enter slow N as a share of the product's weight, not of its N.",
			"slow N in %s is %s and all its N is %s", p.title(), a.SlowN.Text(), a.N.Text())
	}
	if a.None && (sum != 0 || a.SlowN != 0) {
		ps.Errorf("analysis-contradicts", where, "Enter the nutrients, or say that there are none.", "%s is said to have no nutrients, and some are entered", p.title())
	}
	return ps
}

// mostActiveDiffers is how far the two ways of stating the active ingredient may be apart: a label
// rounds both to two or three figures (common practice, no source).
const mostActiveDiffers = 0.05

func (p Product) active(where string) (ps problem.List) {
	d := p.ActivePerVolume
	good := validShare(&ps, where, "the active ingredient of "+p.title(), p.Active)
	switch {
	case d == 0:
		return ps
	case p.Form.Weighed():
		ps.Errorf("active-wrong-kind", where, "Enter the active ingredient in per cent of the weight.",
			"the active ingredient of %s, which is weighed, is given as %s", p.title(), unit.US.BothDensities(d))
	case !(d > 0) || d > mostDensity || p.Density > 0 && unit.Exceeds(d, p.Density):
		ps.Errorf("absurd", where, "Check the active ingredient and its unit: it weighs less than the product.",
			"the active ingredient of %s is %s", p.title(), unit.US.BothDensities(d))
	case good && p.Active > 0 && p.Density > 0:
		byWeight := p.Density * unit.Density(p.Active)
		if off := float64(d/byWeight) - 1; off > mostActiveDiffers || off < -mostActiveDiffers {
			ps.Warnf("active-differs", where, "Check density, per cent and weight in a volume against the label.",
				"%s of the weight of %s is %s, and %s is entered: %s apart", p.Active.Text(), p.title(), unit.US.BothDensities(byWeight), unit.US.BothDensities(d), unit.Percent(off, 1))
		}
	}
	return ps
}

// The largest container that is taken for earnest: a road tanker (common practice, no source).
const (
	mostHeld       = 50 * unit.CubicMetre
	mostHeldWeight = 50 * unit.Tonne
)

// packs checks containers and the smallest measure.
func (p Product) packs(where string) (ps problem.List) {
	for i, c := range p.Containers {
		name := cmp.Or(c.Name, "container "+unit.Number(float64(i+1), 0))
		h := c.Holds
		switch {
		case strings.TrimSpace(c.Name) == "":
			ps.Errorf("container-without-name", where, "Say what it is: jug, drum, bag.", "container %d of %s has no name", i+1, p.title())
		case p.Form.known() && !h.fits(p.Form):
			ps.Errorf("container-wrong-kind", where, p.amountFix(), "the %s of %s, %s, holds %s", name, p.title(), p.Form, h.Text(unit.US))
		case !(h.Liquid > 0 || h.Dry > 0) || h.Liquid < 0 || h.Dry < 0 || h.Liquid > mostHeld || h.Dry > mostHeldWeight:
			ps.Errorf("container-size", where, p.amountFix(), "the %s of %s holds %s", name, p.title(), h.Text(unit.US))
		}
	}
	switch m := p.Measure; {
	case p.Form.known() && !m.fits(p.Form):
		ps.Errorf("measure-wrong-kind", where, p.amountFix(), "the smallest measure of %s, %s, is %s", p.title(), p.Form, m.Text(unit.US))
	case !unit.Sound(m.Liquid) || !unit.Sound(m.Dry) || m.Liquid > mostHeld || m.Dry > mostHeldWeight:
		ps.Errorf("measure-size", where, "Enter the smallest step of the jug or the scale, or leave it out.", "the smallest measure of %s is %s", p.title(), m.Text(unit.US))
	}
	return ps
}

func (p Product) amountFix() string {
	if p.Form.Weighed() {
		return "Give a weight, such as 50 lb."
	}
	return "Give a volume, such as 2.5 gal."
}

// mostBuffer is the widest buffer that is taken for earnest.
const mostBuffer = unit.Mile

// conditions checks interval, buffers, partners and the further limits.
func (p Product) conditions(where string) (ps problem.List) {
	l := p.Label
	if l.IntervalDays < 0 || l.IntervalDays > mostDays {
		ps.Errorf("interval-outside", where, "Enter the least number of days between two applications, or leave it out.",
			"the least interval of %s is %d days", p.title(), l.IntervalDays)
	}
	for _, b := range l.Buffers {
		what := "the buffer of " + p.title()
		if strings.TrimSpace(b.Near) == "" {
			ps.Errorf("buffer-near-missing", where, "Say from what to keep away: water, well, drain.", "%s does not say from what", what)
		} else {
			what += " near " + b.Near
		}
		if !(b.Distance > 0 && b.Distance <= mostBuffer) {
			ps.Errorf("buffer-distance", where, "Enter the distance to keep with its unit, such as 25 ft.", "%s is %s", what, unit.US.Length(b.Distance))
		}
		ps = append(ps, cited(where, what, b.Citation, b.Dated, true)...)
	}
	for _, n := range l.NotWith {
		if strings.TrimSpace(n) == "" || n == p.Name {
			ps.Errorf("not-with-itself", where, "Name another product, or a class.", "%s must not be mixed with %q", p.title(), n)
		}
	}
	for _, limit := range l.Limits {
		limit.Where = cmp.Or(limit.Where, where)
		ps = append(ps, limit.Validate([]Product{p})...)
	}
	return ps
}
