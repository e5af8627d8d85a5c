// Package calibrate turns a catch test into what this operator with this equipment really
// puts out: pace, flow and the carrier rate.
//
// Every method is a struct of what was measured. Of sprayers: Catch (hand gun, timed catch), Refill (a known area sprayed
// and the tank filled up again), Boom and RideOn (nozzle by nozzle, flow over speed times width), Ounces and Backpack
// (1/128 acre: fluid ounces are gallons an acre), Formula (flow, speed and width as read) and HoseEnd; all of them end in
// a Result, whose CarrierRate a plan can take. Of spreaders: SpreaderTest (what was weighed on a known area), PanTest (the
// pattern, the effective swath and how passes overlap), SettingSearch (the mark between two that were tried) and PassPlan
// (one full pass or two of half the rate).
//
// What to change is RateAdvice, SpreaderAdvice, SpeedChange and PressureChange; whether a calibration still holds is
// CalibrationAge, and whether it goes with the passes planned CheckSpacing. Each has a Procedure, what a crew does, and a
// Result, Outcome or Due, what that says, with its facts and its working.
//
// It leaves out what no test on the ground shows: droplet size, drift, and how evenly one nozzle spreads across its own
// width. It knows no product and no label: calc/label and calc/mix do.
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
	// Passes is how many passes of Course, side by side, make the plot; 0 is one. Area is the
	// plot's area when it was measured instead: with Course it gives the spacing, with Spacing the
	// length walked, and alone a rate without a pace. Area goes with one of the two, not both.
	Passes int
	Area   unit.Area
	// Runs are the timed walks, each over the whole plot.
	Runs []unit.Time
	// Caught is the volume caught during CaughtIn; CaughtIn zero means "for the mean of the runs".
	// Catches are several such catches, each in that time, instead of Caught.
	Caught   unit.Volume
	Catches  []unit.Volume
	CaughtIn unit.Time
	// Pressure at the gun, 0 when not noted. Date is ISO 8601, "" when not noted. Both may stand
	// in Setup instead.
	Pressure unit.Pressure
	Date     string
	// Setup is whose test it is, Use what the rate is wanted for; both may be empty.
	Setup Setup
	Use   Use
}

// Result is what every liquid method ends in. A figure that the method does not give is 0: an
// area without a course has no pace, a refill without a watch no flow.
type Result struct {
	Area        unit.Area          `json:"course_m2"`
	Mean        unit.Time          `json:"mean_s"`
	Spread      float64            `json:"spread"` // (slowest - fastest) / mean
	Pace        unit.Speed         `json:"pace_m_per_s"`
	Flow        unit.Flow          `json:"flow_l_per_min"`
	CarrierRate unit.VolumePerArea `json:"carrier_l_per_m2"`
	// Swath is the pass spacing that the rate holds for; 0 is not known.
	Swath unit.Length `json:"swath_m,omitempty"`
	// Times and Catches say how the runs and the repeated catches (or refills) agree. Within is the
	// half-width of the 95 % interval of the carrier rate as a share of it; 0 is not known, or no
	// scatter at all.
	Times   Stats   `json:"times"`
	Catches Stats   `json:"catches"`
	Within  float64 `json:"within_95,omitempty"`
	// Factor is the density factor from what was caught to what will be sprayed, 1 for the same
	// liquid; Sprayed is CarrierRate / Factor, what goes on at the same pressure and pace.
	Factor  float64            `json:"density_factor,omitempty"`
	Sprayed unit.VolumePerArea `json:"sprayed_l_per_m2,omitempty"`
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
	// PumpFlow is what the pump is rated for, Thrown the width that the spray wets.
	PumpFlow unit.Flow   `json:"pump_flow_l_per_min,omitempty"`
	Thrown   unit.Length `json:"thrown_m,omitempty"`
}

// Use is what the rate is wanted for; every field may be empty.
type Use struct {
	// Product is what will be sprayed, "" for the liquid of the test; Density is the spray mix's.
	Product string       `json:"product,omitempty"`
	Density unit.Density `json:"density_kg_per_l,omitempty"`
	// Wanted is the carrier rate wanted, Spacing the pass spacing planned.
	Wanted  unit.VolumePerArea `json:"wanted_l_per_m2,omitempty"`
	Spacing unit.Length        `json:"spacing_m,omitempty"`
}
