package label

import (
	"math"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Order is the place of the class in the order of adding, from 0; a class that is not
// known comes after all that are.
func (c Class) Order() int {
	if i := slices.Index(Classes, c); i >= 0 {
		return i
	}
	return len(Classes)
}

// SortForTank is the products in the order of adding: by class, and as given within a
// class. The slice given is left as it is.
func SortForTank(ps []Product) []Product {
	sorted := slices.Clone(ps)
	slices.SortStableFunc(sorted, func(a, b Product) int { return a.Class.Order() - b.Class.Order() })
	return sorted
}

// Validate finds what is wrong with the product as entered, whatever it is used for. where
// is its place in the user's file.
func (p Product) Validate(where string) (ps problem.List) {
	if strings.TrimSpace(p.Name) == "" {
		ps.Errorf("product-without-name", where, "Give the product a name.", "the product has no name")
	}
	known := p.Form == Liquid || p.Form == Dry
	if !known {
		ps.Errorf("form-unknown", where, "Write liquid for a product measured by volume, dry for one that is weighed.",
			"the form of %s is %q, neither liquid nor dry", p.title(), p.Form)
	}
	if !slices.Contains(Classes, p.Class) {
		names := make([]string, len(Classes))
		for i, c := range Classes {
			names[i] = string(c)
		}
		ps.Errorf("class-unknown", where, "Write one of "+strings.Join(names, ", ")+".",
			"the mixing class of %s is %q", p.title(), p.Class)
	}
	if strings.TrimSpace(p.Label.Citation) == "" {
		ps.Errorf("citation-missing", where, "Name the label that the limits are taken from, and its date.",
			"the label of %s is not cited", p.title())
	}
	ps = append(ps, p.limits(where, known)...)
	return append(ps, p.density(where)...)
}

func (p Product) limits(where string, known bool) (ps problem.List) {
	l := p.Label
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
		if !sound(float64(e.rate.Liquid)) || !sound(float64(e.rate.Dry)) {
			good = false
			ps.Errorf("rate-negative", where, "Enter a rate over zero, or leave it out when the label has none.",
				"the label's %s rate of %s is %s", e.name, p.title(), e.rate.Text(unit.US))
		}
	}
	if good && l.Most.of(p.Form) > 0 && exceeds(l.Least.of(p.Form), l.Most.of(p.Form)) {
		ps.Errorf("limits-crossed", where, "Enter the smaller rate as the least and the larger as the most.",
			"the label's least rate of %s, %s, is over its most, %s", p.title(), both(l.Least), both(l.Most))
	}
	if !sound(float64(l.CarrierLeast)) || !sound(float64(l.CarrierMost)) {
		ps.Errorf("carrier-negative", where, "Enter carrier rates over zero, or leave them out when the label has none.",
			"the label's carrier range of %s is %s to %s", p.title(), unit.US.CarrierRate(l.CarrierLeast), unit.US.CarrierRate(l.CarrierMost))
	} else if l.CarrierMost > 0 && exceeds(float64(l.CarrierLeast), float64(l.CarrierMost)) {
		ps.Errorf("limits-crossed", where, "Enter the smaller carrier rate as the least and the larger as the most.",
			"the label's least carrier rate of %s, %s, is over its most, %s", p.title(), unit.US.CarrierRate(l.CarrierLeast), unit.US.CarrierRate(l.CarrierMost))
	}
	return ps
}

// A liquid lighter than 0.5 or heavier than 3 kg/L is not a spray product (common practice, no source).
func (p Product) density(where string) (ps problem.List) {
	d := p.Density
	if d == 0 {
		return nil
	}
	if !(d >= 0.5*unit.KilogramPerLitre && d <= 3*unit.KilogramPerLitre) {
		ps.Errorf("absurd", where, "Check the density and its unit: lb/gal and kg/L differ by a factor of 8.3.",
			"a density of %s lb/gal (%s kg/L) for %s is outside 0.5 to 3 kg/L",
			unit.Number(d.In(unit.PoundPerGallon), 2), unit.Number(d.In(unit.KilogramPerLitre), 3), p.title())
	}
	return ps
}

// Check holds a rate and a carrier rate of the product against its label: CheckRate and
// CheckCarrier together. The label is the user's entry; a limit not entered is not known.
func (p Product) Check(rate Rate, carrier unit.VolumePerArea, where string) problem.List {
	return append(p.CheckRate(rate, where), p.CheckCarrier(carrier, where)...)
}

// CheckRate holds a rate against the label's. Over the label's most is an error whatever
// the reason; under its least is a warning, since a lower rate is generally allowed (FIFRA
// 2(ee), as copied by UF/IFAS: a lower dose is allowed, a higher one is not). No most entered
// is a warning. Equal within 1e-9 is not over.
func (p Product) CheckRate(rate Rate, where string) (ps problem.List) {
	l, x := p.Label, rate.of(p.Form)
	switch {
	case p.Form != Liquid && p.Form != Dry:
		ps.Errorf("form-unknown", where, "Write liquid for a product measured by volume, dry for one that is weighed.",
			"the form of %s is %q, so that its rate cannot be checked", p.title(), p.Form)
		return ps
	case !rate.fits(p.Form):
		ps.Errorf("rate-wrong-kind", where, p.kindFix(), "%s is %s, and its rate is given as %s", p.title(), p.Form, rate.Text(unit.US))
		return ps
	case !(x > 0) || math.IsInf(x, 0):
		ps.Errorf("rate-zero", where, "Enter the rate per area with its unit, such as "+p.example()+".",
			"the rate of %s is %s", p.title(), rate.Text(unit.US))
		return ps
	}
	switch most := l.Most.of(p.Form); {
	case most == 0:
		ps.Warnf("no-label-limit", where, "Enter the highest rate per application that the label allows.",
			"no highest rate is entered for %s, so that %s cannot be checked", p.title(), both(rate))
	case exceeds(x, most):
		ps.Errorf("rate-over-label", where, "Lower the rate to the label's most.",
			"%s at %s is over the label's most, %s (%s)", p.title(), both(rate), both(l.Most), times(x, most))
	}
	if least := l.Least.of(p.Form); exceeds(least, x) {
		ps.Warnf("rate-under-label", where, "Make sure that the lower rate is meant and does the work.",
			"%s at %s is under the label's least, %s (%s)", p.title(), both(rate), both(l.Least), times(x, least))
	}
	return ps
}

// CheckCarrier holds a carrier rate against the range that the label gives, if it gives
// one; outside it is an error, above as well as below.
func (p Product) CheckCarrier(carrier unit.VolumePerArea, where string) (ps problem.List) {
	l, x := p.Label, float64(carrier)
	text := func(r unit.VolumePerArea) string {
		return unit.US.CarrierRate(r) + " (" + unit.Metric.CarrierRate(r) + ")"
	}
	switch {
	case !(x > 0) || math.IsInf(x, 0):
		ps.Errorf("carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate for %s is %s", p.title(), text(carrier))
	case exceeds(float64(l.CarrierLeast), x):
		ps.Errorf("carrier-outside-label", where, "Slow the pace or fit a larger nozzle, and calibrate again.",
			"a carrier rate of %s is under the least that the label of %s allows, %s (%s)", text(carrier), p.title(), text(l.CarrierLeast), times(x, float64(l.CarrierLeast)))
	case l.CarrierMost > 0 && exceeds(x, float64(l.CarrierMost)):
		ps.Errorf("carrier-outside-label", where, "Quicken the pace or fit a smaller nozzle, and calibrate again.",
			"a carrier rate of %s is over the most that the label of %s allows, %s (%s)", text(carrier), p.title(), text(l.CarrierMost), times(x, float64(l.CarrierMost)))
	}
	return ps
}

// both prints a rate in US and metric units.
func both(r Rate) string { return r.Text(unit.US) + " (" + r.Text(unit.Metric) + ")" }

// times prints x as a share of limit, with as many decimals as it takes to tell it from 1:
// "1.11 times", "1.0002 times". It is what shows an excess that the printed rates round away.
func times(x, limit float64) string {
	ratio := x / limit
	for d := 2; d < 10; d++ {
		if t := unit.Number(ratio, d); t != unit.Number(1, d) {
			return t + " times"
		}
	}
	return unit.Number(ratio, 10) + " times"
}

func (p Product) title() string {
	if p.Name == "" {
		return "the product"
	}
	return p.Name
}

func (p Product) example() string {
	if p.Form == Dry {
		return "2 lb/1000 sq ft"
	}
	return "4.5 fl oz/1000 sq ft"
}

func (p Product) kindFix() string {
	if p.Form == Dry {
		return "Give a weight per area, such as 2 lb/1000 sq ft, or make the product liquid."
	}
	return "Give a volume per area, such as 4.5 fl oz/1000 sq ft, or make the product dry."
}

// sound reports whether x may stand as a limit: zero (not set) or a finite figure over it.
func sound(x float64) bool { return x >= 0 && !math.IsInf(x, 1) }
