package mix

import (
	"tankful/calc/label"
	"tankful/calc/unit"
)

// minus is a - b; the kinds are those of one product.
func minus(a, b label.Amount) label.Amount {
	return label.Amount{Liquid: a.Liquid - b.Liquid, Dry: a.Dry - b.Dry}
}

// scale is the amount times a plain number.
func scale(a label.Amount, x float64) label.Amount {
	return label.Amount{Liquid: unit.Volume(float64(a.Liquid) * x), Dry: unit.Mass(float64(a.Dry) * x)}
}

// ratio is a / b in what b is set in; 0 where b is nothing.
func ratio(a, b label.Amount) float64 {
	switch {
	case b.Liquid > 0:
		return float64(a.Liquid / b.Liquid)
	case b.Dry > 0:
		return float64(a.Dry / b.Dry)
	}
	return 0
}

// figure is the amount's figure for the form, in SI.
func figure(a label.Amount, f label.Form) float64 {
	if f.Weighed() {
		return float64(a.Dry)
	}
	return float64(a.Liquid)
}

// rateFigure is the rate's figure for the form, in SI.
func rateFigure(r label.Rate, f label.Form) float64 {
	if f.Weighed() {
		return float64(r.Dry)
	}
	return float64(r.Liquid)
}

// amountOf is the amount of the form with the SI figure x.
func amountOf(x float64, f label.Form) label.Amount {
	if f.Weighed() {
		return label.Amount{Dry: unit.Mass(x)}
	}
	return label.Amount{Liquid: unit.Volume(x)}
}

// notUnder is a without what is below nothing.
func notUnder(a label.Amount) label.Amount {
	return label.Amount{Liquid: max(a.Liquid, 0), Dry: max(a.Dry, 0)}
}
