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
