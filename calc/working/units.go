package working

import "tankful/calc/unit"

// Units are the names of the units that a working of a system is written in: those that unit.System prints.
type Units struct {
	Length, Width, Depth                  string // Depth is of a vial: in or mm
	Area, Mix, Liquid, Mass               string // Mix is of a tank, Liquid of a product
	Carrier, LiquidRate, MassRate         string
	LiquidStrength, MassStrength, Density string
	Speed, Flow, Pressure                 string
}

// UnitsOf are the units of s.
func UnitsOf(s unit.System) Units {
	if s == unit.Metric {
		return Units{Length: "m", Width: "m", Depth: "mm", Area: "m2", Mix: "L", Liquid: "mL", Mass: "kg",
			Carrier: "L/ha", LiquidRate: "L/ha", MassRate: "kg/ha", LiquidStrength: "mL/L", MassStrength: "g/L", Density: "kg/L",
			Speed: "km/h", Flow: "L/min", Pressure: "bar"}
	}
	return Units{Length: "ft", Width: "ft", Depth: "in", Area: "sq ft", Mix: "gal", Liquid: "fl oz", Mass: "lb",
		Carrier: "gal/1000 sq ft", LiquidRate: "fl oz/1000 sq ft", MassRate: "lb/1000 sq ft",
		LiquidStrength: "fl oz/gal", MassStrength: "lb/100 gal", Density: "lb/gal", Speed: "mph", Flow: "gal/min", Pressure: "psi"}
}

// Narrow is the same units with a width in inches or centimetres, as nozzles are spaced.
func (u Units) Narrow() Units {
	if u.Width = "in"; u.Length == "m" {
		u.Width = "cm"
	}
	return u
}
