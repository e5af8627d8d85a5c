package unit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// System is the set of units that people read: US or Metric. The zero value is not valid.
type System string

const (
	US     System = "us"
	Metric System = "metric"
)

// ParseSystem reads "us" or "metric".
func ParseSystem(s string) (System, error) {
	switch v := System(strings.ToLower(strings.TrimSpace(s))); v {
	case US, Metric:
		return v, nil
	}
	return "", fmt.Errorf("%q is not a system of units: write us or metric", s)
}

// Set, String and Type make a System a command-line flag.
func (s *System) Set(t string) (err error) { *s, err = ParseSystem(t); return err }
func (s System) String() string            { return string(s) }
func (s *System) Type() string             { return "us|metric" }

// The printed steps: what is printed is rounded to these, and amounts are computed on
// from the rounded figure. RoundArea, RoundVolume and RoundRate do so.
const (
	areaStep       = 1.0  // sq ft; m2 in steps of 0.1
	areaStepMetric = 0.1  // m2
	volumeStep     = 0.1  // gal and L
	rateStep       = 0.01 // gal/1000 sq ft, a tenth of it below fineRate
	rateStepMetric = 1.0  // L/ha, a tenth of it below fineRate
	fineRate       = 50   // steps below which a rate is printed with a decimal more
)

// RoundArea is a rounded as it is printed: to 1 sq ft or 0.1 m2.
func (s System) RoundArea(a Area) Area {
	if s == Metric {
		return Area(Round(a.In(SquareMetre), areaStepMetric)) * SquareMetre
	}
	return Area(Round(a.In(SquareFoot), areaStep)) * SquareFoot
}

// VolumeStep is the smallest volume of mix that is printed: 0.1 gal or 0.1 L.
func (s System) VolumeStep() Volume {
	if s == Metric {
		return Litre / 10
	}
	return Gallon / 10
}

// RoundVolume is v rounded as a volume of mix is printed.
func (s System) RoundVolume(v Volume) Volume {
	if s == Metric {
		return Volume(Round(v.In(Litre), volumeStep)) * Litre
	}
	return Volume(Round(v.In(Gallon), volumeStep)) * Gallon
}

// RoundRate is a carrier rate rounded as it is printed: to 0.01 gal/1000 sq ft or 1 L/ha, and to
// a tenth of that below 0.5 gal/1000 sq ft or 50 L/ha, so that no rate in use moves by over 1 %.
func (s System) RoundRate(r VolumePerArea) VolumePerArea {
	u, step, _ := s.rateStep(r)
	return VolumePerArea(Round(r.In(u), step)) * u
}

// rateStep is the unit of a carrier rate, the step it is rounded to and the decimals it has.
func (s System) rateStep(r VolumePerArea) (u VolumePerArea, step float64, decimals int) {
	u, step, decimals = GallonPerThousand, rateStep, 2
	if s == Metric {
		u, step, decimals = LitrePerHectare, rateStepMetric, 0
	}
	if Round(r.In(u), step/10) < fineRate*step {
		step, decimals = step/10, decimals+1
	}
	return u, step, decimals
}

// Length prints "143 ft", "7.5 ft" or "2.13 m": one decimal under 20 ft, two in metres under 20 m.
func (s System) Length(l Length) string {
	if s == Metric {
		if l < 20*Metre {
			return Number(l.In(Metre), 2) + " m"
		}
		return Number(l.In(Metre), 1) + " m"
	}
	if l < 20*Foot {
		return Number(l.In(Foot), 1) + " ft"
	}
	return Number(l.In(Foot), 0) + " ft"
}

// Distance prints a drive: "3.2 mi" or "5.1 km".
func (s System) Distance(l Length) string {
	if s == Metric {
		return Number(l.In(Kilometre), 1) + " km"
	}
	return Number(l.In(Mile), 1) + " mi"
}

// Area prints "5,230 sq ft" or "485.9 m2", rounded as RoundArea does.
func (s System) Area(a Area) string {
	if s == Metric {
		return Number(a.In(SquareMetre), 1) + " m2"
	}
	return Number(a.In(SquareFoot), 0) + " sq ft"
}

// LargeArea prints "1.20 acres" or "0.49 ha".
func (s System) LargeArea(a Area) string {
	if s == Metric {
		return Number(a.In(Hectare), 2) + " ha"
	}
	return Number(a.In(Acre), 2) + " acres"
}

// Volume prints a volume of mix: "150.0 gal" or "567.8 L".
func (s System) Volume(v Volume) string {
	if s == Metric {
		return Number(v.In(Litre), 1) + " L"
	}
	return Number(v.In(Gallon), 1) + " gal"
}

// Liquid prints an amount of product to measure out: "412.5 fl oz" or "12,200 mL"
// (to 0.1 fl oz and to 1 mL).
func (s System) Liquid(v Volume) string {
	if s == Metric {
		return Number(v.In(Millilitre), 0) + " mL"
	}
	return Number(v.In(FluidOunce), 1) + " fl oz"
}

// Jugs prints a liquid in whole gallons and the rest in fluid ounces, "3 gal 28.5 fl oz",
// or in litres, "12.20 L"; it is the same amount as Liquid prints.
func (s System) Jugs(v Volume) string {
	if s == Metric {
		return Number(v.In(Litre), 3) + " L"
	}
	oz := Round(v.In(FluidOunce), 0.1)
	gal := int(oz / 128)
	if rest := oz - float64(gal)*128; gal > 0 {
		return fmt.Sprintf("%d gal %s fl oz", gal, Number(rest, 1))
	}
	return Number(oz, 1) + " fl oz"
}

// Mass prints an amount of dry product: "24.35 lb" or "11.04 kg".
func (s System) Mass(m Mass) string {
	if s == Metric {
		return Number(m.In(Kilogram), 2) + " kg"
	}
	return Number(m.In(Pound), 2) + " lb"
}

// CarrierRate prints "2.05 gal/1000 sq ft", "0.325 gal/1000 sq ft" or "835 L/ha", rounded as RoundRate does.
func (s System) CarrierRate(r VolumePerArea) string {
	u, _, decimals := s.rateStep(r)
	if s == Metric {
		return Number(r.In(u), decimals) + " L/ha"
	}
	return Number(r.In(u), decimals) + " gal/1000 sq ft"
}

// LiquidRate prints a liquid product's rate: "4.50 fl oz/1000 sq ft" or "14.32 L/ha". A rate
// is what the user entered, so it has two decimals and as many more as keep it within 0.05 %:
// 8 fl oz/acre is "0.1837 fl oz/1000 sq ft".
func (s System) LiquidRate(r VolumePerArea) string {
	if s == Metric {
		return rateNumber(r.In(LitrePerHectare)) + " L/ha"
	}
	return rateNumber(r.In(FluidOuncePerThousand)) + " fl oz/1000 sq ft"
}

// MassRate prints a dry product's rate as LiquidRate does: "3.00 lb/1000 sq ft" or "36.62 kg/ha".
func (s System) MassRate(r MassPerArea) string {
	if s == Metric {
		return rateNumber(r.In(KilogramPerHectare)) + " kg/ha"
	}
	return rateNumber(r.In(PoundPerThousand)) + " lb/1000 sq ft"
}

// rateNumber prints x with two decimals, or with up to eight where fewer would move it by
// more than 0.05 %.
func rateNumber(x float64) string {
	decimals := 2
	for step := 0.01; decimals < 8 && math.Abs(Round(x, step)-x) > 0.0005*math.Abs(x); step /= 10 {
		decimals++
	}
	return Number(x, decimals)
}

// Speed prints a walking pace or a driving speed: "3.0 mph" or "4.8 km/h".
func (s System) Speed(v Speed) string {
	if s == Metric {
		return Number(v.In(KilometrePerHour), 1) + " km/h"
	}
	return Number(v.In(MilePerHour), 1) + " mph"
}

// Flow prints "3.50 gal/min" or "13.2 L/min".
func (s System) Flow(f Flow) string {
	if s == Metric {
		return Number(f.In(LitrePerMinute), 1) + " L/min"
	}
	return Number(f.In(GallonPerMinute), 2) + " gal/min"
}

// Pressure prints "40 psi" or "2.8 bar".
func (s System) Pressure(p Pressure) string {
	if s == Metric {
		return Number(p.In(Bar), 1) + " bar"
	}
	return Number(p.In(PSI), 0) + " psi"
}

// Minutes prints a time as "47 min" or "3 h 05 min".
func Minutes(t Time) string {
	m := int(Round(t.In(Minute), 1))
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// Number prints x with the given decimals, rounded by Round, with commas between
// thousands and never as "-0". A NaN or infinity, which is a fault of the caller, prints as such.
func Number(x float64, decimals int) string {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return strconv.FormatFloat(x, 'f', -1, 64)
	}
	step := 1.0
	for range decimals {
		step /= 10
	}
	t := strconv.FormatFloat(Round(x, step), 'f', decimals, 64)
	sign := ""
	if t[0] == '-' {
		if sign, t = "-", t[1:]; strings.Trim(t, "0.") == "" {
			sign = ""
		}
	}
	whole, frac, has := strings.Cut(t, ".")
	for i := len(whole) - 3; i > 0; i -= 3 {
		whole = whole[:i] + "," + whole[i:]
	}
	if has {
		whole += "." + frac
	}
	return sign + whole
}
