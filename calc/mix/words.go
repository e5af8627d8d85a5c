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

// ofRate, ofStrength and ofAmount are the figure of the form, as it stands in a working.
func ofRate(name string, r label.Rate, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, r.Dry, working.UnitsOf(s).MassRate)
	}
	return working.Of(name, r.Liquid, working.UnitsOf(s).LiquidRate)
}

func ofStrength(name string, x label.Strength, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, x.Dry, working.UnitsOf(s).MassStrength)
	}
	return working.Of(name, x.Liquid, working.UnitsOf(s).LiquidStrength)
}

func ofAmount(name string, a label.Amount, f label.Form, s unit.System) working.Expr {
	if f.Weighed() {
		return working.Of(name, a.Dry, working.UnitsOf(s).Mass)
	}
	return working.Of(name, a.Liquid, working.UnitsOf(s).Liquid)
}

// addAmount, addRate and addStrength add the step that gives the form's figure.
func addAmount(w *working.Working, name string, e working.Expr, a label.Amount, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, a.Dry, working.UnitsOf(s).Mass, rounded, notes...)
		return
	}
	w.Add(name, e, a.Liquid, working.UnitsOf(s).Liquid, rounded, notes...)
}

func addRate(w *working.Working, name string, e working.Expr, r label.Rate, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, r.Dry, working.UnitsOf(s).MassRate, rounded, notes...)
		return
	}
	w.Add(name, e, r.Liquid, working.UnitsOf(s).LiquidRate, rounded, notes...)
}

func addStrength(w *working.Working, name string, e working.Expr, x label.Strength, f label.Form, s unit.System, rounded string, notes ...string) {
	if f.Weighed() {
		w.Add(name, e, x.Dry, working.UnitsOf(s).MassStrength, rounded, notes...)
		return
	}
	w.Add(name, e, x.Liquid, working.UnitsOf(s).LiquidStrength, rounded, notes...)
}

// strengthText prints a strength, a liquid's in per cent too: "2.00 fl oz/gal (1.563 % v/v)", "2.00 lb/100 gal".
func strengthText(x label.Strength, s unit.System) string {
	if x.Liquid == 0 {
		return x.Text(s)
	}
	return x.Text(s) + " (" + s.Share(x.Liquid) + ")"
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
	return unit.SignedPercent(x, max(1, 1-int(math.Floor(math.Log10(math.Abs(100*x))))))
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
