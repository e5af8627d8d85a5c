// Package convert turns what a person wrote into the other units of its kind, for a command or
// a page: "4.5 fl oz/1000 sq ft" is 14.3247 L/ha. It joins weight and volume by a density that the person gives,
// and counts a weight of P2O5 or K2O as P or K and back.
//
// It knows no product: without a density a volume never becomes a weight, and what share of a
// product is nitrogen is not its matter. It rounds what it prints to six figures and nothing else.
package convert

import (
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Options are the same for all texts of a call.
type Options struct {
	// To is the unit wanted, with or without a nutrient: "L/ha", "kg P/ha", "P". Empty gives the usual units of the kind.
	To string
	// Density joins weight and volume; 0 is not given. From leastDensity to mostDensity.
	Density unit.Density
	// Units come first where To is empty; US when not set.
	Units unit.System
}

// A density out of these bounds is a slip, mostly of its unit: peat is 0.2 kg/L, and no
// product in use is three times as heavy as water (common practice, no source).
const (
	leastDensity = 0.2 * unit.KilogramPerLitre
	mostDensity  = 3 * unit.KilogramPerLitre
)

// figures are the figures that a result is printed with.
const figures = 6

// Result is one text in other units.
type Result struct {
	Text     string        // as it was given
	Given    unit.Quantity // what it says
	In       unit.Unit     // the unit that it says it in; of a sum the first
	Nutrient unit.Nutrient // what the weight is counted as, "" for a product or mix
	Figures  []Figure      // the wanted one, or the usual ones: first of Given's kind, then those by the density
	Notes    []string      // sentences that belong beside the figures
}

// Figure is an amount in a unit.
type Figure struct {
	Is       unit.Quantity
	Unit     unit.Unit
	Number   float64       // Is in Unit, not rounded
	Nutrient unit.Nutrient // what the weight is counted as here, "" for a product or mix
	Density  unit.Density  // that made weight of volume or volume of weight, 0 for none
}

// UnitName is the figure's unit with its nutrient: "lb P/1000 sq ft".
func (f Figure) UnitName() string { return unitName(f.Unit, f.Nutrient) }

// Text is the figure as it is printed, to six figures: "14.3247 L/ha".
func (f Figure) Text() string { return unit.Figures(f.Number, figures) + " " + f.UnitName() }

func unitName(u unit.Unit, n unit.Nutrient) string {
	if n == "" {
		return u.Name()
	}
	above, below, per := strings.Cut(u.Name(), "/")
	if per {
		below = "/" + below
	}
	return above + " " + string(n) + below
}

// target is what Options.To asks for.
type target struct {
	unit     unit.Unit
	nutrient unit.Nutrient
	any      bool // the usual units
	sameUnit bool // only a nutrient was named
}

// Texts converts each text. The list has every problem: a text that cannot be read or
// converted has an error there and no Result. A problem's place is the text itself, "to" or "density".
func Texts(texts []string, opt Options) ([]Result, problem.List) {
	var list problem.List
	to := readTarget(opt.To, &list)
	if d := opt.Density; d != 0 && !(d >= leastDensity && d <= mostDensity) {
		list.Errorf("density-absurd", "density", "Check the density and its unit; water is 8.34 lb/gal.",
			"the density is %s; from %s to %s are taken", opt.units().Density(d), opt.units().Density(leastDensity), opt.units().Density(mostDensity))
	}
	stopped := list.HasErrors()
	var out []Result
	for _, text := range texts {
		r, ok := read(text, &list)
		if !ok || stopped {
			continue
		}
		if r.convert(to, opt, &list) {
			out = append(out, r)
		}
	}
	return out, list
}

func (o Options) units() unit.System {
	if o.Units == "" {
		return unit.US
	}
	return o.Units
}

func readTarget(text string, list *problem.List) target {
	if strings.TrimSpace(text) == "" {
		return target{any: true}
	}
	if n, err := unit.ParseNutrientName(text); err == nil {
		return target{nutrient: n, sameUnit: true, any: true}
	}
	n, rest, err := unit.CutNutrient(text)
	var u unit.Unit
	if err == nil {
		u, err = unit.ParseUnit(rest)
	}
	if err != nil {
		list.Errorf("unit", "to", "Name one unit, such as L/ha.", "%v", err)
	}
	return target{unit: u, nutrient: n}
}

// read reads one text, with a nutrient or without.
func read(text string, list *problem.List) (Result, bool) {
	r := Result{Text: text}
	n, rest, err := unit.CutNutrient(text)
	if err == nil && n != "" {
		_, _, err = unit.ParseNutrient(text)
	}
	if err == nil {
		r.Nutrient = n
		r.Given, r.In, err = unit.ParseIn(rest)
	}
	if err != nil {
		list.Errorf("quantity", quoted(text), "Write one figure with its unit, in quotes.", "%v", err)
	}
	return r, err == nil
}

func quoted(text string) string { return `"` + text + `"` }
