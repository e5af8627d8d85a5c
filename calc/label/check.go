package label

import (
	"math"
	"slices"

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

// Check holds a rate and a carrier rate of the product in a mix against its label: CheckRate,
// CheckCarrier and CheckStrength of what the two make together, and CheckInTank. A limit per
// area and one per volume of mix both hold. The label is the user's entry; a limit not entered is not known.
func (p Product) Check(rate Rate, carrier unit.VolumePerArea, where string) problem.List {
	if ps := p.CheckInTank(where); len(ps) > 0 {
		return ps
	}
	ps := p.CheckRate(rate, where)
	good := !ps.HasErrors() || rate.fits(p.Form) && rate.of(p.Form) > 0
	ps = append(ps, p.CheckCarrier(carrier, where)...)
	if bounded := !p.Label.LeastInMix.IsZero() || !p.Label.MostInMix.IsZero(); good && bounded && carrier > 0 && p.Form.known() {
		ps = append(ps, p.CheckStrength(rate.In(carrier), where)...)
	}
	return ps
}

// CheckRate holds a rate against the label's. Over the label's most is an error whatever
// the reason; under its least is a warning, since a lower rate is generally allowed (FIFRA
// 2(ee), as copied by UF/IFAS: a lower dose is allowed, a higher one is not). No most entered,
// neither per area nor in the mix, is a warning. Equal within 1e-9 is not over.
func (p Product) CheckRate(rate Rate, where string) (ps problem.List) {
	l, x := p.Label, rate.of(p.Form)
	switch {
	case !p.Form.known():
		ps.Errorf("form-unknown", where, formFix, "the form of %s is %q, so that its rate cannot be checked", p.title(), string(p.Form))
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
	case most == 0 && l.MostInMix.of(p.Form) > 0: // CheckStrength holds that one
	case most == 0:
		ps.Warnf("no-label-limit", where, "Enter the highest rate per application that the label allows.",
			"no highest rate is entered for %s, so that %s cannot be checked", p.title(), both(rate))
	case unit.Exceeds(x, most):
		ps.Errorf("rate-over-label", where, "Lower the rate to the label's most.",
			"%s at %s is over the label's most, %s (%s)", p.title(), both(rate), both(l.Most), times(x, most))
	}
	if least := l.Least.of(p.Form); unit.Exceeds(least, x) {
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
	case unit.Exceeds(float64(l.CarrierLeast), x):
		ps.Errorf("carrier-outside-label", where, "Slow the pace or fit a larger nozzle, and calibrate again.",
			"a carrier rate of %s is under the least that the label of %s allows, %s (%s)", text(carrier), p.title(), text(l.CarrierLeast), times(x, float64(l.CarrierLeast)))
	case l.CarrierMost > 0 && unit.Exceeds(x, float64(l.CarrierMost)):
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
	if p.Form.Weighed() {
		return "2 lb/1000 sq ft"
	}
	return "4.5 fl oz/1000 sq ft"
}

func (p Product) kindFix() string {
	if p.Form.Weighed() {
		return "Give a weight per area, such as 2 lb/1000 sq ft, or make the product liquid."
	}
	return "Give a volume per area, such as 4.5 fl oz/1000 sq ft, or make the product dry."
}
