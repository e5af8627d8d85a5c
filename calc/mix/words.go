package mix

import (
	"fmt"
	"math"
	"strings"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// units names the units in which a working is written.
type units struct {
	carrier, liquidRate, dryRate         string
	mix, liquid, dry, area               string
	liquidStrength, dryStrength, density string
}

func unitsOf(s unit.System) units {
	if s == unit.Metric {
		return units{carrier: "L/ha", liquidRate: "L/ha", dryRate: "kg/ha", mix: "L", liquid: "mL", dry: "kg", area: "m2",
			liquidStrength: "mL/L", dryStrength: "g/L", density: "kg/L"}
	}
	return units{carrier: "gal/1000 sq ft", liquidRate: "fl oz/1000 sq ft", dryRate: "lb/1000 sq ft", mix: "gal", liquid: "fl oz", dry: "lb",
		area: "sq ft", liquidStrength: "fl oz/gal", dryStrength: "lb/100 gal", density: "lb/gal"}
}

// ofRate, ofStrength and ofAmount are the figure of the form, as it stands in a working.
func ofRate(name string, r label.Rate, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, r.Dry, unitsOf(s).dryRate)
	}
	return working.Of(name, r.Liquid, unitsOf(s).liquidRate)
}

func ofStrength(name string, x label.Strength, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, x.Dry, unitsOf(s).dryStrength)
	}
	return working.Of(name, x.Liquid, unitsOf(s).liquidStrength)
}

func ofAmount(name string, a label.Amount, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, a.Dry, unitsOf(s).dry)
	}
	return working.Of(name, a.Liquid, unitsOf(s).liquid)
}

// addAmount, addRate and addStrength add the step that gives the form's figure.
func addAmount(w *working.Working, name string, e working.Expr, a label.Amount, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, a.Dry, unitsOf(s).dry, rounded, notes...)
		return
	}
	w.Add(name, e, a.Liquid, unitsOf(s).liquid, rounded, notes...)
}

func addRate(w *working.Working, name string, e working.Expr, r label.Rate, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, r.Dry, unitsOf(s).dryRate, rounded, notes...)
		return
	}
	w.Add(name, e, r.Liquid, unitsOf(s).liquidRate, rounded, notes...)
}

func addStrength(w *working.Working, name string, e working.Expr, x label.Strength, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, x.Dry, unitsOf(s).dryStrength, rounded, notes...)
		return
	}
	w.Add(name, e, x.Liquid, unitsOf(s).liquidStrength, rounded, notes...)
}

// strengthText prints a strength, a liquid's in per cent too: "2.00 fl oz/gal (1.5625 % v/v)", "2.00 lb/100 gal".
func strengthText(x label.Strength, s unit.System) string {
	if x.Liquid == 0 {
		return x.Text(s)
	}
	return x.Text(s) + " (" + short(x.Liquid.In(unit.PercentByVolume)) + " % v/v)"
}

// short prints x with two decimals, or with as many more as keep it within 0.05 %.
func short(x float64) string {
	decimals := 2
	for step := 0.01; decimals < 8 && math.Abs(unit.Round(x, step)-x) > 0.0005*math.Abs(x); step /= 10 {
		decimals++
	}
	return unit.Number(x, decimals)
}

// mixText prints a volume of mix: as the gauge shows it, or as it was given where that is finer.
func mixText(v unit.Volume, s unit.System) string {
	one, name := unit.Gallon, " gal"
	if s == unit.Metric {
		one, name = unit.Litre, " L"
	}
	x, decimals := v.In(one), 1
	for step := 0.1; decimals < 4 && math.Abs(unit.Round(x, step)-x) > 0.0005*math.Abs(x); step /= 10 {
		decimals++
	}
	return unit.Number(x, decimals) + name
}

// measureText prints a step of measuring in the system in which it comes out even, such as "25 mL" in a day in gallons.
func measureText(a label.Amount, s unit.System) string {
	other := unit.US
	if s == unit.US {
		other = unit.Metric
	}
	if near(a.Round(s), a) || !near(a.Round(other), a) {
		return a.Text(s)
	}
	return a.Text(other)
}

// near reports whether two amounts are one within 1e-9.
func near(a, b label.Amount) bool {
	same := func(x, y float64) bool { return math.Abs(x-y) <= 1e-9*math.Max(math.Abs(x), math.Abs(y)) }
	return same(float64(a.Liquid), float64(b.Liquid)) && same(float64(a.Dry), float64(b.Dry))
}

// percentText prints a share as "+1.2 %", "-0.04 %", "0 %": two figures of what is not nothing.
func percentText(x float64) string {
	if math.Abs(x) < 5e-7 {
		return "0 %"
	}
	decimals := max(1, 1-int(math.Floor(math.Log10(math.Abs(100*x)))))
	t := unit.Number(100*x, decimals) + " %"
	if x > 0 {
		return "+" + t
	}
	return t
}

// count prints "1 jug", "3 jugs". A container without a name is a container.
func count(n int, noun string) string {
	if noun == "" {
		noun = "container"
	}
	if n == 1 {
		return "1 " + noun
	}
	if strings.HasSuffix(noun, "x") || strings.HasSuffix(noun, "s") {
		return fmt.Sprintf("%d %ses", n, noun)
	}
	return fmt.Sprintf("%d %ss", n, noun)
}

// list joins facts.
func fact(name, text string) working.Fact { return working.Fact{Name: name, Text: text} }

// sized finds a figure that is no size: zero, negative, NaN or endless.
func sized(ps *problem.List, x float64, code, where, fix, format string, args ...any) {
	if !unit.Positive(x) {
		ps.Errorf(code, where, fix, format, args...)
	}
}

// Every result is a working.Outcome: its Facts are the lines that command, page and sheet print, its Working shows how
// they were come by.
var _ = []working.Outcome{Dose{}, Filling{}, StopShare{}, Whole{}, Run{}, Leftover{}, Rinse{}, ContainerRinse{}, Total{}, Weight{}, VisitPlan{}, Dilution{}, InVolume{}}
