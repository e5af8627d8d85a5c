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

// The forms. What is printed is rounded to a form's decimals, and amounts are computed on from the
// rounded figure: each printer has its unit and its rounding here and nowhere else.

func (s System) lengthForm(l Length) form {
	one, whole := form{"ft", Foot.SI(), 1}, form{"ft", Foot.SI(), 0}
	if s == Metric {
		one, whole = form{"m", Metre.SI(), 2}, form{"m", Metre.SI(), 1}
	}
	if one.figure(l) < 20 {
		return one
	}
	return whole
}

func (s System) distanceForm() form {
	return s.pick(form{"mi", Mile.SI(), 1}, form{"km", Kilometre.SI(), 1})
}

func (s System) areaForm() form {
	return s.pick(form{"sq ft", SquareFoot.SI(), 0}, form{"m2", SquareMetre.SI(), 1})
}

func (s System) largeAreaForm() form {
	return s.pick(form{"acres", Acre.SI(), 2}, form{"ha", Hectare.SI(), 2})
}

func (s System) volumeForm() form {
	return s.pick(form{"gal", Gallon.SI(), 1}, form{"L", Litre.SI(), 1})
}

func (s System) liquidForm() form {
	return s.pick(form{"fl oz", FluidOunce.SI(), 1}, form{"mL", Millilitre.SI(), 0})
}

func (s System) massForm() form {
	return s.pick(form{"lb", Pound.SI(), 2}, form{"kg", Kilogram.SI(), 2})
}

// carrierForm has a decimal more below 0.5 gal/1000 sq ft or 50 L/ha.
func (s System) carrierForm(r VolumePerArea) form {
	f := s.pick(form{"gal/1000 sq ft", GallonPerThousand.SI(), 2}, form{"L/ha", LitrePerHectare.SI(), 0})
	const fineRate = 50 // steps below which a rate is printed with a decimal more
	fine := form{f.unit, f.si, f.decimals + 1}
	if fine.figure(r) < fineRate*step(f.decimals) {
		return fine
	}
	return f
}

func (s System) liquidRateForm() form {
	return s.pick(form{"fl oz/1000 sq ft", FluidOuncePerThousand.SI(), asEntered}, form{"L/ha", LitrePerHectare.SI(), asEntered})
}

func (s System) massRateForm() form {
	return s.pick(form{"lb/1000 sq ft", PoundPerThousand.SI(), asEntered}, form{"kg/ha", KilogramPerHectare.SI(), asEntered})
}

func (s System) speedForm() form {
	return s.pick(form{"mph", MilePerHour.SI(), 1}, form{"km/h", KilometrePerHour.SI(), 1})
}

func (s System) flowForm() form {
	return s.pick(form{"gal/min", GallonPerMinute.SI(), 2}, form{"L/min", LitrePerMinute.SI(), 1})
}

func (s System) pressureForm() form {
	return s.pick(form{"psi", PSI.SI(), 0}, form{"bar", Bar.SI(), 1})
}

func (s System) densityForm() form {
	return s.pick(form{"lb/gal", PoundPerGallon.SI(), asEntered}, form{"kg/L", KilogramPerLitre.SI(), asEntered})
}

func (s System) pick(us, metric form) form {
	if s == Metric {
		return metric
	}
	return us
}

// VolumeStep is the smallest volume of mix that is printed: 0.1 gal or 0.1 L.
func (s System) VolumeStep() Volume {
	if s == Metric {
		return Litre / 10
	}
	return Gallon / 10
}

// LiquidStep is the smallest amount of liquid product that is printed: 0.1 fl oz or 1 mL.
func (s System) LiquidStep() Volume {
	if s == Metric {
		return Millilitre
	}
	return FluidOunce / 10
}

// MassStep is the smallest amount of dry product that is printed: 0.01 lb or 0.01 kg.
func (s System) MassStep() Mass {
	if s == Metric {
		return Kilogram / 100
	}
	return Pound / 100
}

// RoundArea is a rounded as it is printed: to 1 sq ft or 0.1 m2.
func (s System) RoundArea(a Area) Area { return Area(s.areaForm().round(a)) }

// RoundLength is l as Length prints it.
func (s System) RoundLength(l Length) Length { return Length(s.lengthForm(l).round(l)) }

// RoundVolume is v rounded as a volume of mix is printed: to 0.1 gal or 0.1 L.
func (s System) RoundVolume(v Volume) Volume { return Volume(s.volumeForm().round(v)) }

// RoundLiquid is v rounded as an amount of product is printed: to 0.1 fl oz or 1 mL.
func (s System) RoundLiquid(v Volume) Volume { return Volume(s.liquidForm().round(v)) }

// RoundMass is m rounded as it is printed: to 0.01 lb or 0.01 kg.
func (s System) RoundMass(m Mass) Mass { return Mass(s.massForm().round(m)) }

// RoundRate is a carrier rate rounded as it is printed: to 0.01 gal/1000 sq ft or 1 L/ha, and to
// a tenth of that below 0.5 gal/1000 sq ft or 50 L/ha, so that no rate in use moves by over 1 %.
func (s System) RoundRate(r VolumePerArea) VolumePerArea {
	return VolumePerArea(s.carrierForm(r).round(r))
}

// Length prints "143 ft", "7.5 ft" or "2.13 m": one decimal under 20 ft, two in metres under 20 m.
func (s System) Length(l Length) string { return s.lengthForm(l).print(l) }

// Distance prints a drive: "3.2 mi" or "5.1 km".
func (s System) Distance(l Length) string { return s.distanceForm().print(l) }

// Area prints "5,230 sq ft" or "485.9 m2", rounded as RoundArea does.
func (s System) Area(a Area) string { return s.areaForm().print(a) }

// LargeArea prints "1.20 acres" or "0.49 ha".
func (s System) LargeArea(a Area) string { return s.largeAreaForm().print(a) }

// Volume prints a volume of mix: "150.0 gal" or "567.8 L".
func (s System) Volume(v Volume) string { return s.volumeForm().print(v) }

// Liquid prints an amount of product to measure out: "412.5 fl oz" or "12,200 mL"
// (to 0.1 fl oz and to 1 mL).
func (s System) Liquid(v Volume) string { return s.liquidForm().print(v) }

// Jugs prints a liquid in whole gallons and the rest in fluid ounces, "3 gal 28.5 fl oz",
// or in litres, "12.200 L"; it is the same amount as Liquid prints. Of a negative amount it
// prints what Liquid does.
func (s System) Jugs(v Volume) string {
	if s == Metric {
		return form{"L", Litre.SI(), 3}.print(v)
	}
	oz := s.liquidForm().figure(v)
	gal := math.Floor(oz / Gallon.In(FluidOunce))
	if rest := oz - gal*Gallon.In(FluidOunce); gal > 0 {
		return fmt.Sprintf("%s gal %s fl oz", strconv.FormatFloat(gal, 'f', -1, 64), Number(rest, 1))
	}
	return s.Liquid(v)
}

// Mass prints an amount of dry product: "24.35 lb" or "11.04 kg".
func (s System) Mass(m Mass) string { return s.massForm().print(m) }

// TruckWeight prints a weight as a scale for trucks shows it: "1,631 lb" or "740 kg".
func (s System) TruckWeight(m Mass) string {
	if s == Metric {
		return Number(m.In(Kilogram), 0) + " kg"
	}
	return Number(m.In(Pound), 0) + " lb"
}

// CarrierRate prints "2.05 gal/1000 sq ft", "0.325 gal/1000 sq ft" or "835 L/ha", rounded as RoundRate does.
func (s System) CarrierRate(r VolumePerArea) string { return s.carrierForm(r).print(r) }

// LiquidRate prints a liquid product's rate: "4.50 fl oz/1000 sq ft" or "14.32 L/ha". A rate
// is what the user entered, so it has two decimals and as many more as give four figures whole
// or keep longer ones within 0.05 %: 8 fl oz/acre is "0.1837 fl oz/1000 sq ft".
func (s System) LiquidRate(r VolumePerArea) string { return s.liquidRateForm().print(r) }

// MassRate prints a dry product's rate as LiquidRate does: "3.00 lb/1000 sq ft" or "36.62 kg/ha".
func (s System) MassRate(r MassPerArea) string { return s.massRateForm().print(r) }

// Speed prints a walking pace or a driving speed: "3.0 mph" or "4.8 km/h".
func (s System) Speed(v Speed) string { return s.speedForm().print(v) }

// Flow prints "3.50 gal/min" or "13.2 L/min".
func (s System) Flow(f Flow) string { return s.flowForm().print(f) }

// Pressure prints "40 psi" or "2.8 bar".
func (s System) Pressure(p Pressure) string { return s.pressureForm().print(p) }

// Density prints a product's weight, "10.68 lb/gal" or "1.28 kg/L", with decimals as LiquidRate.
func (s System) Density(d Density) string { return s.densityForm().print(d) }

// BothDensities prints a density in both systems, that of s first: "10.65 lb/gal (1.276 kg/L)".
func (s System) BothDensities(d Density) string {
	us, metric := form{"lb/gal", PoundPerGallon.SI(), 2}.print(d), form{"kg/L", KilogramPerLitre.SI(), 3}.print(d)
	if s == Metric {
		return metric + " (" + us + ")"
	}
	return us + " (" + metric + ")"
}

// Strength prints a weight of product in finished mix: "2.00 lb/100 gal" or "239.65 g/100 L",
// with decimals as LiquidRate.
func (s System) Strength(d Density) string {
	return s.pick(form{"lb/100 gal", PoundPerGallon.SI() / 100, asEntered}, form{"g/100 L", KilogramPerCubicMetre.SI() / 100, asEntered}).print(d)
}

// Share prints a liquid's part of finished mix in either system: "0.25 % v/v", with decimals as LiquidRate.
func (s System) Share(r VolumePerVolume) string {
	return form{"% v/v", PercentByVolume.SI(), asEntered}.print(r)
}

// Time prints a time as a watch shows it: "78.0 s", from two minutes on "12 min 30 s", from an
// hour on as Minutes does.
func (s System) Time(t Time) string {
	switch tenths := (form{"s", Second.SI(), 1}); {
	case tenths.figure(t) < 120:
		return tenths.print(t)
	case Round(t.In(Second), 1) >= 3600:
		return Minutes(t)
	}
	sec := int(Round(t.In(Second), 1))
	return fmt.Sprintf("%d min %02d s", sec/60, sec%60)
}

// Minutes prints a time as "47 min" or "3 h 05 min".
func Minutes(t Time) string {
	m := int(Round(t.In(Minute), 1))
	if m < 60 {
		return fmt.Sprintf("%d min", m)
	}
	return fmt.Sprintf("%d h %02d min", m/60, m%60)
}

// Print prints any quantity by the printer of its kind. A volume is printed as one of mix, a
// volume per area as a carrier rate: where it is product, call Liquid or LiquidRate.
func (s System) Print(q Quantity) string {
	switch q := q.(type) {
	case Length:
		return s.Length(q)
	case Area:
		return s.Area(q)
	case Volume:
		return s.Volume(q)
	case Mass:
		return s.Mass(q)
	case Time:
		return s.Time(q)
	case Speed:
		return s.Speed(q)
	case Flow:
		return s.Flow(q)
	case Pressure:
		return s.Pressure(q)
	case Density:
		return s.Density(q)
	case VolumePerArea:
		return s.CarrierRate(q)
	case MassPerArea:
		return s.MassRate(q)
	case VolumePerVolume:
		return s.Share(q)
	}
	panic(fmt.Sprintf("unit: no printer for a %T", q))
}

// Spacing prints the distance between passes as it is marked out: rounded up to 1/8 in or to 1 cm, so that as many passes
// still cover the width.
func (s System) Spacing(l Length) string {
	if s == Metric {
		return Number(math.Ceil(l.In(Centimetre)-1e-6)/100, 2) + " m"
	}
	eighths := int(math.Ceil(l.In(Inch)*8 - 1e-6))
	feet, rest := eighths/96, eighths%96
	text := strconv.Itoa(feet) + " ft"
	if rest == 0 {
		return text
	}
	text += " " + strconv.Itoa(rest/8)
	for n, d := rest%8, 8; n > 0; n, d = n/2, d/2 {
		if n%2 == 1 {
			text += fmt.Sprintf(" %d/%d", n, d)
			break
		}
	}
	return text + " in"
}
