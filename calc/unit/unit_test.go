package unit_test

import (
	"math"
	"testing"

	"tankful/calc/unit"
)

// Unit equivalences as published. Sources:
//
//	UNL   Math for Pesticide Applicators, University of Nebraska-Lincoln Pesticide Safety Education, n.d.
//	UNL16 Setting the Sprayer Flow Rate for Non-Water Solutions, Table 1, University of Nebraska-Lincoln CropWatch, 2016
//	PES   Measurements, Conversions, and Formulas, Pesticide Environmental Stewardship, n.d.
//	CIA   World Factbook, Appendix G, weights and measures, US CIA, n.d.
//	KSU   Soils Laboratory Manual, Conversion Factors, Kansas State University, 2017-21
//	CTP   Turfgrass Mathematics Review/Practice Worksheet, turf certification course, n.d.
func TestEquivalences(t *testing.T) {
	water := 1 * unit.KilogramPerLitre // at 4 C
	for _, c := range []struct {
		source    string
		got, want float64
		tol       float64
	}{
		{"UNL acre in sq ft", unit.Acre.In(unit.SquareFoot), 43560, 0.1},
		{"CIA acre in m2", unit.Acre.In(unit.SquareMetre), 4046.8564224, 0.001},
		{"UNL gal in fl oz", unit.Gallon.In(unit.FluidOunce), 128, 0.0001},
		{"UNL fl oz in mL", unit.FluidOunce.In(unit.Millilitre), 29.57, 0.01},
		{"UNL16 gal of water in lb", water.Of(unit.Gallon).In(unit.Pound), 8.34, 0.02},
		{"PES gal of water in lb", water.Of(unit.Gallon).In(unit.Pound), 8.3453, 0.002},
		{"PES gal in cubic inches", float64(unit.Gallon) / math.Pow(float64(unit.Inch), 3), 231, 0.0001},
		{"KSU lb/acre in kg/ha", unit.PoundPerAcre.In(unit.KilogramPerHectare), 1.12, 0.002},
		{"KSU lb/gal in mg/L", unit.PoundPerGallon.In(unit.KilogramPerLitre) * 1e6, 119826, 1},
		{"UNL 2 tbsp in fl oz", (2 * unit.Tablespoon).In(unit.FluidOunce), 1, 0.0001},
		{"UNL mph in ft/min", unit.MilePerHour.In(unit.FootPerMinute), 88, 0.01},
		// An acre-inch is 3,630 cubic feet (CTP); one circular's list has 3,360, a slip.
		{"CTP acre-inch in cubic feet", float64(unit.Acre) * float64(unit.Inch) / math.Pow(float64(unit.Foot), 3), 3630, 0.01},
		// Published slips that these figures must not repeat: 1 ha = 2.471 acres (not "yards") and
		// an acre is 4,840 sq yd (not 4,480); an acre is not 43,600 sq ft; L/ha = GPA x 9.354
		// (not 9.34); a hectare is 107,639 sq ft (not 107.640).
		{"acres in a hectare", unit.Hectare.In(unit.Acre), 2.471, 0.0002},
		{"sq yd in an acre", unit.Acre.In(unit.SquareYard), 4840, 1e-6},
		{"GPA in L/ha", unit.GallonPerAcre.In(unit.LitrePerHectare), 9.354, 0.0005},
		{"sq ft in a hectare", unit.Hectare.In(unit.SquareFoot), 107639, 0.2},
		{"gal/1000 sq ft in GPA", unit.GallonPerThousand.In(unit.GallonPerAcre), 43.56, 1e-9},
		// 20 fl oz/min is 0.156 gal/min, not .15.
		{"20 fl oz/min in gal/min", (20 * unit.FluidOunce).During(unit.Minute).In(unit.GallonPerMinute), 0.15625, 1e-9},
	} {
		if math.Abs(c.got-c.want) > c.tol {
			t.Errorf("%s: got %.8g, want %.8g", c.source, c.got, c.want)
		}
	}
}

// The ground speed chart of Measurements, Conversions, and Formulas (Pesticide
// Environmental Stewardship, n.d.); some cells are truncated there, hence 1 s.
func TestSpeedChart(t *testing.T) {
	for _, c := range []struct{ mph, feet, seconds float64 }{
		{1, 100, 68}, {1, 300, 205}, {2, 100, 34}, {2.5, 100, 27}, {3, 100, 23}, {3, 300, 68}, {3.5, 200, 39},
		{4, 300, 51}, {5, 200, 27}, {6, 300, 34}, {7, 200, 19}, {9, 300, 23},
	} {
		got := (unit.Length(c.feet) * unit.Foot).Over(unit.Speed(c.mph) * unit.MilePerHour).In(unit.Second)
		if math.Abs(got-c.seconds) > 1 {
			t.Errorf("%g ft at %g mph: got %.1f s, want %g s", c.feet, c.mph, got, c.seconds)
		}
	}
	// common practice, no source: 3 mph is 4.4 ft/s, and 143 ft take 32.5 s at it.
	if got := (3 * unit.MilePerHour).In(unit.FootPerSecond); math.Abs(got-4.4) > 0.01 {
		t.Errorf("3 mph: got %.3f ft/s, want 4.4", got)
	}
	if got := (143 * unit.Foot).Over(3 * unit.MilePerHour).In(unit.Second); math.Abs(got-32.5) > 0.1 {
		t.Errorf("143 ft at 3 mph: got %.2f s, want 32.5", got)
	}
	// Knapsack Sprayer Calibration, UK turf-culture reference site, n.d.: km/h = 360 / (s per 100 m).
	if got := (100 * unit.Metre).Per(90 * unit.Second).In(unit.KilometrePerHour); math.Abs(got-4) > 0.01 {
		t.Errorf("100 m in 90 s: got %.3f km/h, want 4", got)
	}
	// A training set tells a walker at 55 s to "slightly slow down" to 50 s: that is faster.
	course := 33.3 * unit.Metre
	if course.Per(50*unit.Second) <= course.Per(55*unit.Second) {
		t.Error("33.3 m in 50 s is not faster than in 55 s")
	}
}

func TestRateAlgebra(t *testing.T) {
	// How to Calibrate a Handgun, Mesa County (CO) Weed & Pest, n.d.: 25 gal at 150 gal/acre
	// treat 1/6 acre. The page words it "divide 150 by 25", which would be 6 acres.
	if got := (25 * unit.Gallon).At(150 * unit.GallonPerAcre).In(unit.Acre); math.Abs(got-0.1667) > 0.001 {
		t.Errorf("25 gal at 150 gal/acre: got %.4f acre, want 0.1667", got)
	}
	// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 3.75 gal/min at 5 mph
	// over 222 in is 20 gal/acre.
	// A Florida exam text gives "327 GPA" for 0.15 gal/min, 5 mph and 48 in (the speed was left
	// in mph); it is 3.7.
	for _, c := range []struct{ gpm, mph, inches, want, tol float64 }{{3.75, 5, 222, 20, 0.1}, {0.15, 5, 48, 3.7, 0.05}} {
		v := (unit.Flow(c.gpm) * unit.GallonPerMinute).For(unit.Minute)
		a := (unit.Speed(c.mph) * unit.MilePerHour).For(unit.Minute).By(unit.Length(c.inches) * unit.Inch)
		if got := v.Per(a).In(unit.GallonPerAcre); math.Abs(got-c.want) > c.tol {
			t.Errorf("%g gal/min at %g mph over %g in: got %.2f gal/acre, want %g", c.gpm, c.mph, c.inches, got, c.want)
		}
	}
	// Spray Gun (calibration page), Pesticide Environmental Stewardship, NC State, n.d.:
	// 1,000 sq ft by 5 ft is a 200 ft course. common practice, no source: by 7 ft it is 143 ft,
	// and 1.25 gal/1000 sq ft is 54.5 gal/acre.
	if got := unit.Thousand.Divide(5 * unit.Foot).In(unit.Foot); math.Abs(got-200) > 1e-9 {
		t.Errorf("course for a 5 ft swath: got %g ft, want 200", got)
	}
	if got := unit.Thousand.Divide(7 * unit.Foot).In(unit.Foot); math.Abs(got-143) > 0.5 {
		t.Errorf("course for a 7 ft swath: got %g ft, want 143", got)
	}
	if got := (1.25 * unit.GallonPerThousand).In(unit.GallonPerAcre); math.Abs(got-54.5) > 0.06 {
		t.Errorf("1.25 gal/1000 sq ft: got %g gal/acre, want 54.5", got)
	}
	// One tank, poured at one flow, takes volume / flow.
	if got := (3.5 * unit.GallonPerMinute).To(7 * unit.Gallon).In(unit.Minute); math.Abs(got-2) > 1e-12 {
		t.Errorf("7 gal at 3.5 gal/min: got %g min, want 2", got)
	}
	if got := (3 * unit.Pound).Per(unit.Thousand).Over(5 * unit.Thousand).In(unit.Pound); math.Abs(got-15) > 1e-12 {
		t.Errorf("3 lb/1000 sq ft over 5,000 sq ft: got %g lb, want 15", got)
	}
}
