package label

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// The units that a strength is printed in, beside fluid ounces a gallon.
const (
	millilitrePerLitre = unit.VolumePerVolume(unit.Millilitre) / unit.VolumePerVolume(unit.Litre)
	poundPerHundred    = unit.PoundPerGallon / 100
	gramPerLitre       = unit.KilogramPerLitre / 1000
)

// IsZero reports whether no strength is set.
func (s Strength) IsZero() bool { return s == Strength{} }

// At is the rate per area of the strength when the mix goes on at the carrier rate c.
func (s Strength) At(c unit.VolumePerArea) Rate {
	return Rate{Liquid: s.Liquid.At(c), Dry: s.Dry.At(c)}
}

// In is the product in a volume of finished mix.
func (s Strength) In(mix unit.Volume) Amount {
	return Amount{Liquid: s.Liquid.Of(mix), Dry: s.Dry.Of(mix)}
}

// In is the strength that the rate has in a mix which goes on at the carrier rate c; c must be positive.
func (r Rate) In(c unit.VolumePerArea) Strength {
	mix := c.Over(unit.SquareMetre)
	return Strength{Liquid: r.Liquid.Over(unit.SquareMetre).PerVolume(mix), Dry: r.Dry.Over(unit.SquareMetre).PerVolume(mix)}
}

// Text prints the strength in the units of s: "0.32 fl oz/gal" or "2.50 mL/L", "2.00 lb/100 gal" or
// "2.40 g/L", with two decimals and as many more as keep it within 0.05 %. ParseStrength reads
// it. A strength that is not set prints as "no strength".
func (s Strength) Text(sys unit.System) string {
	metric := sys == unit.Metric
	switch {
	case s.IsZero():
		return "no strength"
	case s.Liquid != 0 && s.Dry != 0:
		return Strength{Liquid: s.Liquid}.Text(sys) + " and " + Strength{Dry: s.Dry}.Text(sys)
	case s.Liquid != 0 && metric:
		return unit.Short(s.Liquid.In(millilitrePerLitre)) + " mL/L"
	case s.Liquid != 0:
		return unit.Short(s.Liquid.In(unit.FluidOuncePerGallon)) + " fl oz/gal"
	case metric:
		return unit.Short(s.Dry.In(gramPerLitre)) + " g/L"
	}
	return unit.Short(s.Dry.In(poundPerHundred)) + " lb/100 gal"
}

// both prints a strength in US and metric units.
func (s Strength) both() string { return s.Text(unit.US) + " (" + s.Text(unit.Metric) + ")" }

// of is the strength's figure for the form, in SI.
func (s Strength) of(f Form) float64 {
	if f.Weighed() {
		return float64(s.Dry)
	}
	return float64(s.Liquid)
}

// fits reports whether nothing but the form's figure is set.
func (s Strength) fits(f Form) bool {
	return !(f.Weighed() && s.Liquid != 0) && !(f == Liquid && s.Dry != 0)
}

// ParseStrength reads how much product is in a volume of finished mix: of a liquid its volume ("2 fl
// oz/gal", "1 qt/100 gal", "0.25 % v/v"), of a dry one its weight ("2 lb/100 gal", "10 g/L", "1 % w/v"). A
// per cent that does not say of what in what is refused: of a dry product it could be weight in
// weight or weight in volume. A granule has no strength. The error is a *unit.ParseError where the text is at fault.
func ParseStrength(text string, form Form) (Strength, error) {
	switch form {
	case Liquid:
		v, err := unit.ParseVolumePerVolume(text)
		return Strength{Liquid: v}, err
	case Dry:
		d, err := unit.ParseDensity(text)
		return Strength{Dry: d}, percentError(text, err)
	case Granule:
		return Strength{}, fmt.Errorf("read strength %q: a granule is spread dry and is in no mix", text)
	}
	return Strength{}, fmt.Errorf("read strength %q: the form %q is none of liquid, dry", text, form)
}

// percentError names the choices when the text of a dry product was refused for its per cent.
func percentError(text string, err error) error {
	var e *unit.ParseError
	if !errors.As(err, &e) || !strings.Contains(text, "%") {
		return err
	}
	return &unit.ParseError{Text: text, Want: "weight in a volume of mix", Try: "2 lb/100 gal",
		Why: `"%" of a dry product could be weight in weight or weight in volume ("% w/v", "lb/100 gal", "g/L")`}
}

// CheckStrength holds a strength in the finished mix against the label's, as CheckRate does with a rate:
// over the label's most is an error, under its least a warning. A label that does not bound the
// strength says nothing about it.
func (p Product) CheckStrength(s Strength, where string) (ps problem.List) {
	l, x := p.Label, s.of(p.Form)
	switch {
	case p.Form == Granule:
		return p.CheckInTank(where)
	case !p.Form.known():
		ps.Errorf("form-unknown", where, formFix, "the form of %s is %q, so that its strength cannot be checked", p.title(), p.Form)
		return ps
	case !s.fits(p.Form):
		ps.Errorf("strength-wrong-kind", where, p.strengthFix(), "%s is %s, and its strength is given as %s", p.title(), p.Form, s.Text(unit.US))
		return ps
	case !(x > 0) || math.IsInf(x, 0):
		ps.Errorf("strength-zero", where, p.strengthFix(), "the strength of %s is %s", p.title(), s.Text(unit.US))
		return ps
	}
	if most := l.MostInMix.of(p.Form); most != 0 && unit.Exceeds(x, most) {
		ps.Errorf("strength-over-label", where, "Put less of it into a gallon: lower its rate, or raise the carrier rate.",
			"%s at %s of mix is over the label's most, %s (%s)", p.title(), s.both(), l.MostInMix.both(), times(x, most))
	}
	if least := l.LeastInMix.of(p.Form); unit.Exceeds(least, x) {
		ps.Warnf("strength-under-label", where, "Make sure that the weaker mix is meant and does the work.",
			"%s at %s of mix is under the label's least, %s (%s)", p.title(), s.both(), l.LeastInMix.both(), times(x, least))
	}
	return ps
}

func (p Product) strengthFix() string {
	if p.Form == Dry {
		return "Give a weight in a volume of mix, such as 2 lb/100 gal."
	}
	return "Give a volume in a volume of mix, such as 2 fl oz/gal or 0.25 % v/v."
}
