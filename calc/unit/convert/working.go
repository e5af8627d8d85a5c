package convert

import (
	"tankful/calc/unit"
	"tankful/calc/working"
)

// nouns are what a quantity of each kind is called in a formula.
var nouns = map[unit.Kind]string{unit.KindVolumePerArea: "rate", unit.KindMassPerArea: "rate by weight", unit.KindVolumePerVolume: "share",
	unit.KindMass: "weight", unit.KindDensity: "weight per volume"}

func noun(k unit.Kind) string {
	if n := nouns[k]; n != "" {
		return n
	}
	return string(k)
}

const nutrientSource = "Conversion Factors Needed for Common Fertilizer Calculations, SPES-201NP, Table 1, Virginia Cooperative Extension"

// Working shows a step for each figure, the density in the units of s.
func (r Result) Working(s unit.System) working.Working {
	var w working.Working
	perVolume := working.UnitsOf(s).Density
	for _, f := range r.Figures {
		if f.Unit == r.In && f.Nutrient == r.Nutrient && len(r.Figures) > 1 {
			continue // it was given so
		}
		name := noun(r.Given.Kind())
		if r.Nutrient != "" {
			name = string(r.Nutrient)
		}
		e := working.Of(name, r.Given, r.In.Name())
		var notes []string
		if f.Density != 0 {
			e, notes = byDensity(e, r.Given.Kind(), working.Of("density", f.Density, perVolume).From("as given"))
		}
		if f.Nutrient != r.Nutrient {
			e = byFactor(e, r.Nutrient, f.Nutrient)
			notes = r.Notes
		}
		step := noun(f.Is.Kind()) + " in " + f.UnitName()
		w.Add(step, e, f.Is, f.Unit.Name(), f.Text(), notes...)
	}
	return w
}

// byDensity is volume x density or weight / density, with the reason.
func byDensity(e working.Expr, from unit.Kind, density working.Expr) (working.Expr, []string) {
	switch from {
	case unit.KindVolume, unit.KindVolumePerArea, unit.KindVolumePerVolume:
		return e.Times(density), []string{"A volume weighs what its density says: volume x density."}
	}
	return e.Over(density), []string{"A weight takes up what its density says: weight / density."}
}

// byFactor counts one form of a nutrient as the other.
func byFactor(e working.Expr, from, to unit.Nutrient) working.Expr {
	share, _ := from.Share()
	if from.IsOxide() {
		return e.Times(working.Number(string(to)+" in "+string(from), share).From(nutrientSource))
	}
	return e.Over(working.Number(string(from)+" in "+string(to), share).From(nutrientSource))
}
