// Package unit holds the physical quantities of the trade as types of their own, so
// that an area cannot be added to a volume and an ounce of weight cannot stand for an
// ounce of volume. It parses what people write, prints in US or metric units, and has
// the one rounding function.
//
// Inside every type is the SI value (metres, square metres, cubic metres, kilograms,
// seconds, pascals). In JSON a quantity is a bare number in the unit that its field name
// ends with: m, m2, l, kg, s, m_per_s, l_per_min, kpa, kg_per_l, l_per_m2, kg_per_m2, l_per_l.
//
// It leaves out money and temperature. A volume of product becomes a mass by a Density that
// the caller names, and never by itself; calc/unit/convert does so for people.
package unit

// The quantities. The zero value means "not set"; a type that may be zero in earnest
// says so where it is used.
type (
	Length        float64 // metres
	Area          float64 // square metres
	Volume        float64 // cubic metres
	Mass          float64 // kilograms
	Time          float64 // seconds
	Speed         float64 // metres per second
	Flow          float64 // cubic metres per second
	Pressure      float64 // pascals
	Density       float64 // kilograms per cubic metre
	VolumePerArea float64 // cubic metres per square metre: a carrier rate, a liquid product rate
	MassPerArea   float64 // kilograms per square metre: a dry product rate
	// VolumePerVolume is product in finished mix, litres per litre: 0.25 % v/v, 2 fl oz/gal. A
	// weight in a volume of mix is a Density.
	VolumePerVolume float64
)

// Lengths. The foot is the international foot, 0.3048 m exactly, and the inch 0.0254 m
// (NIST Handbook 44, Appendix C; from memory). The US survey foot is 2 ppm longer and is not used.
const (
	Metre      Length = 1
	Millimetre Length = 0.001
	Centimetre Length = 0.01
	Kilometre  Length = 1000
	Inch       Length = 0.0254
	Foot       Length = 0.3048
	Yard       Length = 0.9144
	Mile       Length = 1609.344
)

// Areas. 1 acre = 43,560 sq ft = 4,046.8564224 m2 (University of Nebraska-Lincoln, Math for
// Pesticide Applicators; World Factbook, Appendix G).
const (
	SquareMetre Area = 1
	Hectare     Area = 10_000
	SquareFoot  Area = 0.3048 * 0.3048
	SquareYard  Area = 0.9144 * 0.9144
	Acre        Area = 43_560 * SquareFoot
	// Thousand is 1,000 sq ft, the area that turf rates are given for.
	Thousand Area = 1000 * SquareFoot
)

// Volumes. 1 US gal = 231 in3 = 128 fl oz (Pesticide Environmental Stewardship,
// Measurements, Conversions, and Formulas); the imperial gallon is 4.54609 L (from memory).
const (
	CubicMetre     Volume = 1
	Litre          Volume = 0.001
	Millilitre     Volume = 1e-6
	Gallon         Volume = 231 * 0.0254 * 0.0254 * 0.0254
	Quart          Volume = Gallon / 4
	Pint           Volume = Gallon / 8
	Cup            Volume = Gallon / 16
	FluidOunce     Volume = Gallon / 128
	Tablespoon     Volume = FluidOunce / 2
	Teaspoon       Volume = FluidOunce / 6
	ImperialGallon Volume = 4.54609e-3
)

// Masses. 1 lb = 0.45359237 kg exactly, a short ton 2,000 lb (NIST Handbook 44, Appendix C; from memory).
const (
	Kilogram  Mass = 1
	Gram      Mass = 0.001
	Milligram Mass = 1e-6
	Tonne     Mass = 1000
	Pound     Mass = 0.45359237
	Ounce     Mass = Pound / 16 // weight, never volume
	ShortTon  Mass = 2000 * Pound
)

// Times.
const (
	Second Time = 1
	Minute Time = 60
	Hour   Time = 3600
)

// Speeds. 1 mph = 88 ft/min (University of Nebraska-Lincoln, Math for Pesticide Applicators).
const (
	MetrePerSecond   Speed = 1
	KilometrePerHour Speed = 1 / 3.6
	MilePerHour      Speed = 1609.344 / 3600.0
	FootPerSecond    Speed = 0.3048
	FootPerMinute    Speed = 0.3048 / 60
)

// Flows.
const (
	LitrePerMinute  Flow = 0.001 / 60
	GallonPerMinute Flow = Flow(Gallon) / 60
)

// Pressures. 1 psi = 6,894.757293 Pa (NIST SP 811, Appendix B; from memory).
const (
	Pascal     Pressure = 1
	Kilopascal Pressure = 1000
	Bar        Pressure = 100_000
	PSI        Pressure = 6894.757293168361
)

// Densities.
const (
	KilogramPerCubicMetre Density = 1
	KilogramPerLitre      Density = 1000
	PoundPerGallon        Density = Density(Pound) / Density(Gallon)
	// GramPerHundredMillilitres is 1 % w/v, as a strength by weight in volume is counted (from memory).
	GramPerHundredMillilitres Density = 10
)

// Rates per area.
const (
	LitrePerSquareMetre   VolumePerArea = 0.001
	LitrePerHectare       VolumePerArea = 1e-7
	GallonPerThousand     VolumePerArea = VolumePerArea(Gallon) / VolumePerArea(Thousand)
	FluidOuncePerThousand VolumePerArea = VolumePerArea(FluidOunce) / VolumePerArea(Thousand)
	GallonPerAcre         VolumePerArea = VolumePerArea(Gallon) / VolumePerArea(Acre)

	KilogramPerSquareMetre MassPerArea = 1
	KilogramPerHectare     MassPerArea = 1e-4
	PoundPerThousand       MassPerArea = MassPerArea(Pound) / MassPerArea(Thousand)
	PoundPerAcre           MassPerArea = MassPerArea(Pound) / MassPerArea(Acre)
)

// Shares of a volume of mix.
const (
	LitrePerLitre       VolumePerVolume = 1
	PercentByVolume     VolumePerVolume = 0.01
	FluidOuncePerGallon VolumePerVolume = VolumePerVolume(FluidOunce) / VolumePerVolume(Gallon)
)

// In gives the quantity as a number of the unit u.
func (l Length) In(u Length) float64               { return float64(l / u) }
func (a Area) In(u Area) float64                   { return float64(a / u) }
func (v Volume) In(u Volume) float64               { return float64(v / u) }
func (m Mass) In(u Mass) float64                   { return float64(m / u) }
func (t Time) In(u Time) float64                   { return float64(t / u) }
func (s Speed) In(u Speed) float64                 { return float64(s / u) }
func (f Flow) In(u Flow) float64                   { return float64(f / u) }
func (p Pressure) In(u Pressure) float64           { return float64(p / u) }
func (d Density) In(u Density) float64             { return float64(d / u) }
func (r VolumePerArea) In(u VolumePerArea) float64 { return float64(r / u) }
func (r MassPerArea) In(u MassPerArea) float64     { return float64(r / u) }

// In gives the share as a number of the unit u.
func (r VolumePerVolume) In(u VolumePerVolume) float64 { return float64(r / u) }

// By is the area of a rectangle l by w.
func (l Length) By(w Length) Area { return Area(float64(l) * float64(w)) }

// Over is the time to cover l at speed s; s must be positive.
func (l Length) Over(s Speed) Time { return Time(float64(l) / float64(s)) }

// For is the length that speed s covers in t.
func (s Speed) For(t Time) Length { return Length(float64(s) * float64(t)) }

// Per is the speed that covers l in t; t must be positive.
func (l Length) Per(t Time) Speed { return Speed(float64(l) / float64(t)) }

// Divide is the length of a strip of area a and width w; w must be positive.
func (a Area) Divide(w Length) Length { return Length(float64(a) / float64(w)) }

// Over is the volume that rate r puts on area a.
func (r VolumePerArea) Over(a Area) Volume { return Volume(float64(r) * float64(a)) }

// Over is the mass that rate r puts on area a.
func (r MassPerArea) Over(a Area) Mass { return Mass(float64(r) * float64(a)) }

// Per is the rate of v spread on a; a must be positive.
func (v Volume) Per(a Area) VolumePerArea { return VolumePerArea(float64(v) / float64(a)) }

// Per is the rate of m spread on a; a must be positive.
func (m Mass) Per(a Area) MassPerArea { return MassPerArea(float64(m) / float64(a)) }

// At is the area that v covers at rate r; r must be positive.
func (v Volume) At(r VolumePerArea) Area { return Area(float64(v) / float64(r)) }

// During is the flow that delivers v in t; t must be positive.
func (v Volume) During(t Time) Flow { return Flow(float64(v) / float64(t)) }

// For is the volume that flow f delivers in t.
func (f Flow) For(t Time) Volume { return Volume(float64(f) * float64(t)) }

// To is the time that flow f takes to deliver v; f must be positive.
func (f Flow) To(v Volume) Time { return Time(float64(v) / float64(f)) }

// Of is the mass of v at density d.
func (d Density) Of(v Volume) Mass { return Mass(float64(d) * float64(v)) }

// VolumeOf is the volume of m at density d; d must be positive.
func (d Density) VolumeOf(m Mass) Volume { return Volume(float64(m) / float64(d)) }

// PerVolume is the density of m in v; v must be positive.
func (m Mass) PerVolume(v Volume) Density { return Density(float64(m) / float64(v)) }

// OfRate is the weight per area of a volume per area of something of density d.
func (d Density) OfRate(r VolumePerArea) MassPerArea { return MassPerArea(float64(d) * float64(r)) }

// VolumeOfRate is the volume per area of a weight per area of something of density d; d must
// be positive.
func (d Density) VolumeOfRate(r MassPerArea) VolumePerArea {
	return VolumePerArea(float64(r) / float64(d))
}

// OfShare is the weight in a volume of mix of a share of something of density d.
func (d Density) OfShare(r VolumePerVolume) Density { return Density(float64(d) * float64(r)) }

// ShareOf is the share of a mix that a weight w in its volume takes up when its own density is
// d; d must be positive.
func (d Density) ShareOf(w Density) VolumePerVolume { return VolumePerVolume(float64(w) / float64(d)) }

// At is the area that m covers at rate r; r must be positive.
func (m Mass) At(r MassPerArea) Area { return Area(float64(m) / float64(r)) }

// Of is the share of v.
func (r VolumePerVolume) Of(v Volume) Volume { return Volume(float64(r) * float64(v)) }

// PerVolume is v as a share of mix; mix must be positive.
func (v Volume) PerVolume(mix Volume) VolumePerVolume {
	return VolumePerVolume(float64(v) / float64(mix))
}

// At is the rate per area of share r in mix that goes on at carrier rate c.
func (r VolumePerVolume) At(c VolumePerArea) VolumePerArea {
	return VolumePerArea(float64(r) * float64(c))
}

// At is the rate per area of d, product in a volume of mix, when the mix goes on at carrier rate c.
func (d Density) At(c VolumePerArea) MassPerArea { return MassPerArea(float64(d) * float64(c)) }

// Sweeping is the rate of flow f over a swath w driven at speed s; w and s must be positive.
func (f Flow) Sweeping(w Length, s Speed) VolumePerArea {
	return VolumePerArea(float64(f) / (float64(w) * float64(s)))
}

// Sweeping is the flow that puts rate r on a swath w at speed s.
func (r VolumePerArea) Sweeping(w Length, s Speed) Flow {
	return Flow(float64(r) * float64(w) * float64(s))
}

// Water is what a volume of water weighs, and what a density is compared with: 8.34 lb/gal, the trade's figure (Setting
// the Sprayer Flow Rate for Non-Water Solutions, University of Nebraska-Lincoln, CropWatch, 2016). It is 0.9994 kg/L; water
// at 4 C has 1.0000.
const Water = 8.34 * PoundPerGallon
