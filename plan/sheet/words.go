package sheet

import (
	"fmt"
	"math"
	"strings"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// InventedMark is printed large on every page of a plan made from invented data.
const InventedMark = "INVENTED DATA - not for use on turf"

// cautions stand at the head of every load page; stop pages carry the first and the last two.
var cautions = []string{
	"The product label is the law. Where it and this sheet differ, the label wins.",
	"Work only under the licence and the supervision that your state requires.",
	"Before you mix, check state and local rules: nutrient limits, blackout dates, buffers, signs, notice to those next door.",
	"The amounts are arithmetic from your measured areas and your calibration. Recheck both; do the 60-second check under \"Calibration in force\".",
	"Do not spray when wind, rain to come or an inversion would carry it off the turf.",
	"Blow or sweep product off walks, drives and streets back onto the turf.",
}

// gaugeOff is what to do when a tank gives more or less than planned (common practice, no source).
const gaugeOffHeading = "If the gauge is off"

var gaugeOff = []string{
	"Read the gauge on level ground, agitation off, before and after every stop, and write both readings down.",
	"More left than printed: too little went on. Look for a missed pass and spray that. Do not go over any turf a second time.",
	"Less left than printed: too much went on, or the tank leaks. Look at hose and fittings. If more may be on than the label allows, stop and tell the holder of the licence.",
	"Either way: do the 60-second check and time your pace before you spray on. More than 5 % off: catch a new test and plan again.",
	"Never add water to bring the gauge back to a printed figure.",
	"A load that ends early: mark the spot; the rest needs a new plan. Mix left after the last pass: as under \"End of the day\".",
}

var surfaceWords = map[geo.Surface]string{
	geo.Turf: "Turf", geo.Bed: "Bed", geo.Hardscape: "Hardscape", geo.Building: "Building",
	geo.Water: "Water", geo.KeepOff: "Keep off",
}

var methodWords = map[plan.ApplicatorKind]string{
	plan.Gun: "hand gun", plan.Backpack: "backpack", plan.Boom: "boom", plan.RideOn: "ride-on", plan.Spreader: "spreader",
}

var classWords = map[label.Class]string{
	label.Wettable: "Wettable powder or granule", label.Flowable: "Flowable", label.Emulsifiable: "Emulsifies in water",
	label.Soluble: "Dissolves in water", label.Surfactant: "Surfactant",
}

// clock prints a time of day: "7:05 am", or "07:05" in metric units.
func (w writer) clock(t unit.Time) string {
	m := int(unit.Round(t.In(unit.Minute), 1))
	day := ""
	if m >= 24*60 {
		day = fmt.Sprintf(" +%d day", m/(24*60))
	}
	h, m := m/60%24, m%60
	if w.u == unit.Metric {
		return fmt.Sprintf("%02d:%02d%s", h, m, day)
	}
	half := "am"
	if h >= 12 {
		half = "pm"
	}
	return fmt.Sprintf("%d:%02d %s%s", (h+11)%12+1, m, half, day)
}

// window prints when work may begin.
func (w writer) window(from, until unit.Time) string {
	switch {
	case from > 0 && until > 0:
		return w.clock(from) + " to " + w.clock(until)
	case from > 0:
		return "from " + w.clock(from)
	case until > 0:
		return "by " + w.clock(until)
	}
	return "any time"
}

// amount prints an amount of product to measure out.
func (w writer) amount(a label.Amount) string {
	if a.Dry != 0 {
		return w.u.Mass(a.Dry)
	}
	return w.u.Liquid(a.Liquid)
}

// jugs prints a large liquid amount a second time, in gallons and ounces or in litres; else "".
func (w writer) jugs(a label.Amount) string {
	if a.Dry != 0 || w.u == unit.US && a.Liquid < unit.Gallon || w.u == unit.Metric && a.Liquid < unit.Litre {
		return ""
	}
	return w.u.Jugs(a.Liquid)
}

// rate prints a product's rate with as many decimals as it has, at least two, so that
// the arithmetic printed from it can be followed.
func (w writer) rate(r label.Rate) string {
	x, name := w.rateNumber(r)
	return number(x) + " " + name
}

func (w writer) rateNumber(r label.Rate) (x float64, name string) {
	switch {
	case w.u == unit.Metric && r.Dry != 0:
		return r.Dry.In(unit.KilogramPerHectare), "kg/ha"
	case w.u == unit.Metric:
		return r.Liquid.In(unit.LitrePerHectare), "L/ha"
	case r.Dry != 0:
		return r.Dry.In(unit.PoundPerThousand), "lb per 1000 sq ft"
	}
	return r.Liquid.In(unit.FluidOuncePerThousand), "fl oz per 1000 sq ft"
}

// number prints x with two decimals, or up to five when x has them.
func number(x float64) string {
	for d := 2; d < 5; d++ {
		if step := math.Pow(10, -float64(d)); math.Abs(x-unit.Round(x, step)) < 1e-7 {
			return unit.Number(x, d)
		}
	}
	return unit.Number(x, 5)
}

// passes prints "3-9", or "7".
func passes(from, to int) string {
	if from == to {
		return fmt.Sprint(from)
	}
	return fmt.Sprintf("%d-%d", from, to)
}

// count prints "1 load", "2 loads".
func count(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	if strings.HasSuffix(noun, "s") {
		return fmt.Sprintf("%d %ses", n, noun)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// named is a name after its noun, "tank Rear", unless the name already says what it is: "rear tank".
func named(noun, name string) string {
	if strings.Contains(strings.ToLower(name), noun) {
		return name
	}
	return noun + " " + name
}

// orDash is s, or a dash when there is nothing to print.
func orDash(s string) string {
	if strings.TrimSpace(s) == "" {
		return "-"
	}
	return s
}
