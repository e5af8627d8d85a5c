package calibrate

import (
	"math"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

const waterSource = "8.34 lb/gal, the trade's figure for water (University of Nebraska-Lincoln, CropWatch, 2016)"

// The densities outside which an entry is taken for a slip: no spray liquid is lighter than
// gasoline or heavier than a saturated salt solution (common practice, no source; the published
// tables go from 6.6 to 14 lb/gal).
const (
	leastDensity = 5 * unit.PoundPerGallon
	mostDensity  = 17 * unit.PoundPerGallon
)

// DensityFactor is by how much less a nozzle puts out of a liquid than of another at the same
// pressure: the square root of their densities' ratio, 1.13 for 10.65 lb/gal against water
// (Setting the Sprayer Flow Rate for Non-Water Solutions, University of Nebraska-Lincoln,
// CropWatch, 2016). Both must be positive.
func DensityFactor(of, against unit.Density) float64 { return math.Sqrt(float64(of / against)) }

// liquid is the density of what was caught: as entered, water's when water was caught, 0 when
// a product was caught whose density nobody entered.
func (s Setup) liquid() unit.Density {
	switch {
	case s.Density != 0:
		return s.Density
	case s.Product == "":
		return unit.Water
	}
	return 0
}

// same reports whether the test was made with the liquid that will be sprayed, as far as the
// entries say.
func (use Use) same(s Setup) bool {
	if use.Product != "" && use.Product != s.Product {
		return false
	}
	return use.Density == 0 || use.Density == s.liquid()
}

// correct sets Factor and Sprayed, and says when the product itself ought to be caught.
func (r *Result) correct(s Setup, use Use, where string) (ps problem.List) {
	r.Factor, r.Sprayed = 1, r.CarrierRate
	if use.same(s) {
		return ps
	}
	caught, sprayed := "water", "another liquid"
	if s.Product != "" {
		caught = s.Product
	}
	if use.Product != "" {
		sprayed = use.Product
	}
	if use.Density == 0 || s.liquid() == 0 {
		ps.Warnf("density-unknown", where, "Catch the mix that is sprayed, or enter the density of both liquids in lb/gal or kg/L.",
			"the test was made with %s and %s will be sprayed, and a density is not known: a heavier liquid puts out less", caught, sprayed)
		return ps
	}
	r.Factor = DensityFactor(use.Density, s.liquid())
	r.Sprayed = r.CarrierRate / unit.VolumePerArea(r.Factor)
	ps.Warnf("density-differs", where, "Catch the mix that is sprayed to be sure of it.",
		"the test was made with %s of %s and %s of %s will be sprayed: at the same pressure it puts out 1/%s as much, %s", caught,
		unit.US.BothDensities(s.liquid()), sprayed, unit.US.BothDensities(use.Density), unit.Number(r.Factor, 3), rateText(unit.US, r.Sprayed))
	return ps
}

// workDensity shows the correction, where there is one.
func (r Result) workDensity(w *working.Working, u unit.System, s Setup, use Use) {
	if r.Factor == 1 {
		return
	}
	in := working.UnitsOf(u)
	than := working.Of("density caught", s.liquid(), in.Density)
	if s.Density == 0 {
		than = than.From(waterSource)
	}
	w.AddNumber("density factor", working.Root(working.Of("density sprayed", use.Density, in.Density).Over(than)), r.Factor, "",
		"At one pressure a nozzle's output goes by one over the square root of the density.")
	w.Add("carrier rate of what is sprayed", working.Of("carrier rate", r.CarrierRate, in.Carrier).Over(working.Number("density factor", r.Factor)),
		r.Sprayed, in.Carrier, u.CarrierRate(r.Sprayed), "Worked out, not measured: catch the mix itself to be sure.")
}
