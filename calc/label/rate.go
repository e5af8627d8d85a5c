package label

import (
	"fmt"
	"math"

	"tankful/calc/unit"
)

// IsZero reports whether no rate is set.
func (r Rate) IsZero() bool { return r == Rate{} }

// Over is what the rate puts on a.
func (r Rate) Over(a unit.Area) Amount {
	return Amount{Liquid: r.Liquid.Over(a), Dry: r.Dry.Over(a)}
}

// Text prints the rate in the units of s: "4.50 fl oz/1000 sq ft", "0.750 lb/1000 sq ft".
// A rate that is not set prints as "no rate".
func (r Rate) Text(s unit.System) string {
	switch {
	case r.IsZero():
		return "no rate"
	case r.Dry == 0:
		return s.LiquidRate(r.Liquid)
	case r.Liquid == 0:
		return s.MassRate(r.Dry)
	}
	return s.LiquidRate(r.Liquid) + " and " + s.MassRate(r.Dry)
}

// Plus is r and q together.
func (r Rate) Plus(q Rate) Rate { return Rate{Liquid: r.Liquid + q.Liquid, Dry: r.Dry + q.Dry} }

// Minus is r less q; it may be below zero.
func (r Rate) Minus(q Rate) Rate { return Rate{Liquid: r.Liquid - q.Liquid, Dry: r.Dry - q.Dry} }

// Times is n times the rate.
func (r Rate) Times(n float64) Rate {
	return Rate{Liquid: unit.VolumePerArea(n) * r.Liquid, Dry: unit.MassPerArea(n) * r.Dry}
}

// Exceeds reports whether r is over most by more than the noise of floating arithmetic, 1e-9 of
// it, in what most is set in; nothing exceeds a rate that is not set.
func (r Rate) Exceeds(most Rate) bool {
	return most.Liquid != 0 && unit.Exceeds(r.Liquid, most.Liquid) ||
		most.Dry != 0 && unit.Exceeds(r.Dry, most.Dry)
}

// RoundDown is r rounded down to four digits in the unit that s prints, which s then prints whole. It is
// for what may still go on.
func (r Rate) RoundDown(s unit.System) Rate {
	liquid, dry := unit.FluidOuncePerThousand, unit.PoundPerThousand
	if s == unit.Metric {
		liquid, dry = unit.LitrePerHectare, unit.KilogramPerHectare
	}
	return Rate{Liquid: unit.VolumePerArea(floorFigure(r.Liquid.In(liquid))) * liquid,
		Dry: unit.MassPerArea(floorFigure(r.Dry.In(dry))) * dry}
}

// floorFigure is x rounded down to four digits, of which at least two and at most eight are decimals: a
// figure that the printers of calc/unit leave whole.
func floorFigure(x float64) float64 {
	decimals, step := 2, 0.01
	for ; decimals < 8 && math.Abs(x) < 1000*step; decimals++ {
		step /= 10
	}
	down := unit.Round(x, step)
	if unit.Exceeds(down, x) {
		down = unit.Round(down-step, step)
	}
	return down
}

// of is the rate's figure for the form, in SI; the other one is left out.
func (r Rate) of(f Form) float64 {
	if f.Weighed() {
		return float64(r.Dry)
	}
	return float64(r.Liquid)
}

// kinds reports which of the two figures are set.
func (r Rate) kinds() (liquid, dry bool) { return r.Liquid != 0, r.Dry != 0 }

// fits reports whether nothing but the form's figure is set.
func (r Rate) fits(f Form) bool {
	liquid, dry := r.kinds()
	return !(f.Weighed() && liquid) && !(f == Liquid && dry)
}

// known reports whether f is one of the forms.
func (f Form) known() bool { return f == Liquid || f.Weighed() }

// ParseRate reads a rate of a product: a liquid's as volume per area ("4.5 fl oz/1000 sq
// ft"), a weighed one's as weight per area ("2 lb/1000 sq ft"). Text of the other kind is
// refused, and so is a form that is none; the error is a *unit.ParseError where the text is at fault.
func ParseRate(text string, form Form) (Rate, error) {
	switch form {
	case Liquid:
		v, err := unit.ParseVolumePerArea(text)
		return Rate{Liquid: v}, err
	case Dry, Granule:
		m, err := unit.ParseMassPerArea(text)
		return Rate{Dry: m}, err
	}
	return Rate{}, fmt.Errorf("read rate %q: the form %q is none of liquid, dry, granule", text, form)
}

// IsZero reports whether the amount is nothing.
func (a Amount) IsZero() bool { return a == Amount{} }

// Plus is a and b together.
func (a Amount) Plus(b Amount) Amount {
	return Amount{Liquid: a.Liquid + b.Liquid, Dry: a.Dry + b.Dry}
}

// Text prints the amount in the units of s: "412.5 fl oz (3 gal 28.5 fl oz)", "12,200 mL
// (12.200 L)", "24.35 lb". The jugs in brackets are left out below one gallon or litre; a
// zero amount, which has no kind, prints as "none".
func (a Amount) Text(s unit.System) string {
	switch {
	case a.IsZero():
		return "none"
	case a.Dry == 0:
		return liquidText(s, a.Liquid)
	case a.Liquid == 0:
		return s.Mass(a.Dry)
	}
	return liquidText(s, a.Liquid) + " and " + s.Mass(a.Dry)
}

func liquidText(s unit.System, v unit.Volume) string {
	jug := unit.Gallon
	if s == unit.Metric {
		jug = unit.Litre
	}
	if s.RoundLiquid(v).In(jug) < 1-1e-9 {
		return s.Liquid(v)
	}
	return s.Liquid(v) + " (" + s.Jugs(v) + ")"
}

// Round is the amount as it is printed: to 0.1 fl oz or 1 mL, 0.01 lb or 0.01 kg. What is
// computed from an amount is computed from this.
func (a Amount) Round(s unit.System) Amount {
	return Amount{Liquid: s.RoundLiquid(a.Liquid), Dry: s.RoundMass(a.Dry)}
}

// RoundDown is the largest printed amount that is not over a: Round, less one step where
// Round went up.
func (a Amount) RoundDown(s unit.System) Amount {
	r := a.Round(s)
	if unit.Exceeds(r.Liquid, a.Liquid) {
		r.Liquid = s.RoundLiquid(r.Liquid - s.LiquidStep())
	}
	if unit.Exceeds(r.Dry, a.Dry) {
		r.Dry = s.RoundMass(r.Dry - s.MassStep())
	}
	return r
}

// ParseAmount reads an amount of a product: a liquid's as a volume, a weighed one's as a weight.
// The same texts are refused as by ParseRate.
func ParseAmount(text string, form Form) (Amount, error) {
	switch form {
	case Liquid:
		v, err := unit.ParseVolume(text)
		return Amount{Liquid: v}, err
	case Dry, Granule:
		m, err := unit.ParseMass(text)
		return Amount{Dry: m}, err
	}
	return Amount{}, fmt.Errorf("read amount %q: the form %q is none of liquid, dry, granule", text, form)
}

// fits reports whether nothing but the form's figure is set.
func (a Amount) fits(f Form) bool {
	return !(f.Weighed() && a.Liquid != 0) && !(f == Liquid && a.Dry != 0)
}

// Per is the rate of a spread on area; area must be positive.
func (a Amount) Per(area unit.Area) Rate {
	return Rate{Liquid: a.Liquid.Per(area), Dry: a.Dry.Per(area)}
}
