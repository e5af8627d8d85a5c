package label

import (
	"slices"
	"strings"

	"tankful/calc/problem"
)

// Formulation is what a code on the label says of a product: what it is measured by and the usual
// class in the order of adding. The label's own mixing order is above it.
type Formulation struct {
	Code    string
	Meaning string
	Form    Form
	Class   Class // "" for a granule
	Source  string
}

// Sources of the usual classes.
const (
	wales      = "W-A-L-E-S order, Country Guide, Ontario practice"
	apples     = "A-P-P-L-E-S order, North Dakota Weed Control Guide, 2021"
	fromMemory = "from memory"
)

// Formulations are the codes that are known, in alphabetic order. The two orders of the trade differ on soluble
// powders: A-P-P-L-E-S adds them before all else, W-A-L-E-S does not name them; here they stand
// with the solutions, and a label that asks for more is entered as a class.
var Formulations = []Formulation{
	{"AS", "aqueous solution", Liquid, Soluble, fromMemory},
	{"CS", "capsule suspension", Liquid, Flowable, fromMemory},
	{"DF", "dry flowable", Dry, Wettable, apples},
	{"DG", "dispersible granule", Dry, Wettable, wales},
	{"E", "emulsifiable concentrate", Liquid, Emulsifiable, wales},
	{"EC", "emulsifiable concentrate", Liquid, Emulsifiable, wales},
	{"EW", "emulsion in water", Liquid, Emulsifiable, fromMemory},
	{"F", "flowable", Liquid, Flowable, wales},
	{"FL", "flowable", Liquid, Flowable, wales},
	{"G", "granule", Granule, "", fromMemory},
	{"GR", "granule", Granule, "", fromMemory},
	{"ME", "micro-emulsion", Liquid, Emulsifiable, fromMemory},
	{"OD", "dispersion in oil", Liquid, Emulsifiable, fromMemory},
	{"S", "solution", Liquid, Soluble, apples},
	{"SC", "suspension concentrate", Liquid, Flowable, wales},
	{"SE", "suspension and emulsion", Liquid, Flowable, fromMemory},
	{"SG", "soluble granule", Dry, Soluble, fromMemory},
	{"SL", "soluble liquid", Liquid, Soluble, apples},
	{"SP", "soluble powder", Dry, Soluble, fromMemory},
	{"WDG", "water-dispersible granule", Dry, Wettable, apples},
	{"WG", "water-dispersible granule", Dry, Wettable, wales},
	{"WP", "wettable powder", Dry, Wettable, apples},
	{"WS", "water-soluble powder", Dry, Soluble, fromMemory},
	{"WSP", "water-soluble packet", Dry, Wettable, fromMemory},
}

// FormulationOf looks up a code, whatever its case; a figure before it, the per cent or pounds of
// active ingredient ("75 WDG", "2EC"), does not matter.
func FormulationOf(code string) (Formulation, bool) {
	code = strings.ToUpper(strings.TrimLeft(strings.TrimSpace(code), "0123456789. "))
	i := slices.IndexFunc(Formulations, func(f Formulation) bool { return f.Code == code })
	if i < 0 {
		return Formulation{}, false
	}
	return Formulations[i], true
}

// formulation holds form and class against the code. A code that is not known says nothing.
func (p Product) formulation(where string) (ps problem.List) {
	f, ok := FormulationOf(p.Code)
	if ok && p.Form.known() && f.Form != p.Form {
		ps.Errorf("code-not-for-form", where, "Make the form "+string(f.Form)+", or correct the code.",
			"the form of %s is %s, and %s is the code of a %s, which is %s", p.title(), p.Form, f.Code, f.Meaning, f.Form)
	}
	return ps
}

// CheckInTank finds a product that must not go into a tank.
func (p Product) CheckInTank(where string) (ps problem.List) {
	if p.Form == Granule {
		ps.Errorf("granule-in-tank", where, "Spread it dry with a spreader, and leave it out of the mix.",
			"%s is a granule: it does not go into a tank", p.title())
	}
	return ps
}
