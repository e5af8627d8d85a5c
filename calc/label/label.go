// Package label holds products and what their labels allow.
//
// It knows rates per area, the range of carrier volume, the mixing class and the texts
// that go on a sheet. Limits are the user's own entries with their citation: no law and no
// label ships with the program. It leaves out nutrients over a season and local limits.
package label

import (
	"tankful/calc/unit"
)

// Form says in what a product is measured.
type Form string

const (
	Liquid Form = "liquid" // by volume
	Dry    Form = "dry"    // by weight, dissolved or suspended in the tank
)

// Rate is how much product goes on an area. One of the two is set, by the product's form:
// volume and weight never mix.
type Rate struct {
	Liquid unit.VolumePerArea `json:"l_per_m2,omitempty"`
	Dry    unit.MassPerArea   `json:"kg_per_m2,omitempty"`
}

// Amount is how much product; one of the two is set.
type Amount struct {
	Liquid unit.Volume `json:"l,omitempty"`
	Dry    unit.Mass   `json:"kg,omitempty"`
}

// Class is the group in which a product is added to the tank. The order of the classes is
// the usual one of the trade (W-A-L-E-S: wettable, agitate, liquid, emulsifiable, solution;
// Country Guide, Ontario practice); the label overrides it.
type Class string

const (
	Wettable     Class = "wettable"     // wettable powders, dispersible granules
	Flowable     Class = "flowable"     // liquid flowables, suspensions
	Emulsifiable Class = "emulsifiable" // emulsifiable concentrates
	Soluble      Class = "soluble"      // solutions, soluble powders, liquid fertilizer
	Surfactant   Class = "surfactant"   // wetters, drift retardants, defoamers
)

// Classes is the order of adding.
var Classes = []Class{Wettable, Flowable, Emulsifiable, Soluble, Surfactant}

// Label is what a product's label says, as the user entered it. A zero rate means "no such limit entered".
type Label struct {
	// Least and Most bound the product's rate per application.
	Least, Most Rate
	// CarrierLeast and CarrierMost bound the carrier rate.
	CarrierLeast, CarrierMost unit.VolumePerArea
	// Citation names the label and its date; never empty.
	Citation string
	// KeepOff is the label's text on when people and pets may return.
	KeepOff string
	// Cautions are lines for the sheet: protective equipment, buffers, weather.
	Cautions []string
	// Registration is the registration number, if there is one.
	Registration string
}

// Product is something that goes into a tank.
type Product struct {
	Name    string
	Form    Form
	Class   Class
	Density unit.Density // of a liquid; 0 when not entered
	Label   Label
}
