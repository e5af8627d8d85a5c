// Package calibrate turns a catch test into what this operator with this equipment really
// puts out: pace, flow and the carrier rate.
//
// It knows the timed catch of a hand gun, which serves any liquid applicator walked or
// ridden over a measured course. It leaves out nozzle-by-nozzle boom checks, spreaders and
// corrections for a product denser than water: catch the product that is sprayed, or water
// when the mix is nearly water.
package calibrate

import (
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Catch is one catch test: the operator walks a course that is Course long at the planned
// Spacing, at least three times, spraying as on a lawn; then the output is caught at the gun.
type Catch struct {
	// Course is the length walked, Spacing the pass spacing (swath) it stands for: together
	// they are the area treated, usually 1,000 sq ft.
	Course, Spacing unit.Length
	// Runs are the timed walks.
	Runs []unit.Time
	// Caught is the volume caught during CaughtIn; CaughtIn zero means "for the mean of the runs".
	Caught   unit.Volume
	CaughtIn unit.Time
	// Pressure at the gun, 0 when not noted. Date is ISO 8601, "" when not noted.
	Pressure unit.Pressure
	Date     string
}

// Result is what a catch test says.
type Result struct {
	Area        unit.Area          `json:"course_m2"`
	Mean        unit.Time          `json:"mean_s"`
	Spread      float64            `json:"spread"` // (slowest - fastest) / mean
	Pace        unit.Speed         `json:"pace_m_per_s"`
	Flow        unit.Flow          `json:"flow_l_per_min"`
	CarrierRate unit.VolumePerArea `json:"carrier_l_per_m2"`
}

// Setup is whose test it is and with what: a calibration is good for this and for nothing else. Texts
// may be "", figures 0 when not noted.
type Setup struct {
	Operator   string        `json:"operator,omitempty"`
	Applicator string        `json:"applicator,omitempty"`
	Nozzle     string        `json:"nozzle,omitempty"`
	Pressure   unit.Pressure `json:"pressure_kpa,omitempty"` // at the gun or the boom
	// Product is what was sprayed or spread in the test, "" for water; Density is the liquid's.
	Product string       `json:"product,omitempty"`
	Density unit.Density `json:"density_kg_per_l,omitempty"`
	Date    string       `json:"date,omitempty"` // ISO 8601
}

// Fact is one line of an outcome, as it is printed: "carrier rate", "2.05 gal/1000 sq ft (835 L/ha)".
type Fact struct {
	Name string `json:"name"`
	Text string `json:"text"`
}

// Outcome is what every method gives: what it says in words and figures, and how that was worked out.
type Outcome interface {
	Facts(unit.System) []Fact
	Working(unit.System) working.Working
}
