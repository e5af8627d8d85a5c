package unit

import (
	"fmt"
	"strings"
)

// kind is one sort of quantity: the names of its units, the unit it prints exactly in, an example.
type kind struct {
	name  Kind
	units *table
	num   *kind   // ratio: numerator
	den   *kind   // ratio: denominator
	exact string  // unit for String
	si    float64 // SI value of that unit
	base  string  // the SI unit, for the few values that exact cannot hold
	try   string
}

// named is a unit by the name that we print and its SI value.
type named struct {
	show string
	si   float64
}

// table is units by every name that is read, in lower case; list has each once, in trade order.
type table struct {
	by   map[string]named
	list []named
}

// The tables. The first name of a unit is the one printed; an underscore stands for a space. A ratio
// lists the pairs that are constants of this package, so that "20 gpa", "20 gal/acre" and
// 20*GallonPerAcre are the same to the bit; any other pair of units is read too.
var (
	kindLength = &kind{name: KindLength, exact: "m", si: 1, try: "7 ft", units: names(
		`in inch inches "`, Inch, "ft foot feet '", Foot, "yd yard yards", Yard, "mi mile miles", Mile,
		"mm millimetre millimetres millimeter millimeters", Millimetre, "cm centimetre centimetres centimeter centimeters", Centimetre,
		"m metre metres meter meters", Metre, "km kilometre kilometres kilometer kilometers", Kilometre)}
	kindArea = &kind{name: KindArea, exact: "m2", si: 1, try: "5000 sq ft", units: names(
		"sq_ft ft2 sqft sf square_foot square_feet", SquareFoot, "acre ac acres", Acre, "sq_yd yd2 sqyd square_yard square_yards", SquareYard,
		"thousand_sq_ft thousand_square_feet", Thousand,
		"m2 sq_m sqm square_metre square_metres square_meter square_meters", SquareMetre, "ha hectare hectares", Hectare)}
	kindVolume = &kind{name: KindVolume, exact: "L", si: 0.001, base: "m3", try: "150 gal", units: names(
		"gal gals gallon gallons us_gal us_gallon us_gallons", Gallon, "qt qts quart quarts", Quart, "pt pts pint pints", Pint,
		"cup cups", Cup, "fl_oz floz fluid_ounce fluid_ounces fluid_oz fl_ounce fl_ounces liquid_oz liquid_ounce liquid_ounces us_fl_oz", FluidOunce,
		"tbsp tablespoon tablespoons", Tablespoon, "tsp teaspoon teaspoons", Teaspoon,
		"L litre litres liter liters", Litre, "mL millilitre millilitres milliliter milliliters cc cm3", Millilitre,
		"m3 cubic_metre cubic_metres cubic_meter cubic_meters", CubicMetre,
		"imp_gal imperial_gallon imperial_gallons uk_gal imperial_gal", ImperialGallon, "imp_qt", ImperialGallon/4,
		"imp_pt imperial_pint imperial_pints", ImperialGallon/8, "imp_fl_oz", ImperialGallon/160)}
	kindMass = &kind{name: KindMass, exact: "kg", si: 1, try: "50 lb", units: names(
		"lb lbs pound pounds", Pound, "oz_wt oz_av oz_avdp wt_oz dry_oz oz_dry ounce_weight ounces_weight weight_ounce weight_ounces", Ounce,
		"short_ton short_tons", ShortTon, "kg kilogram kilograms kgs", Kilogram, "g gram grams", Gram, "mg milligram milligrams", Milligram,
		"tonne t tonnes metric_ton metric_tons", Tonne)}
	kindTime = &kind{name: KindTime, exact: "s", si: 1, try: "32 s", units: names(
		"s sec secs second seconds", Second, "min mins minute minutes", Minute, "h hr hrs hour hours", Hour)}
	kindSpeed = &kind{name: KindSpeed, exact: "m/s", si: 1, try: "3 mph", num: kindLength, den: kindTime, units: names(
		"mph mi/h", MilePerHour, "ft/min fpm", FootPerMinute, "ft/s fps", FootPerSecond, "km/h kph kmh", KilometrePerHour, "m/s", MetrePerSecond)}
	kindFlow = &kind{name: KindFlow, exact: "L/min", si: float64(LitrePerMinute), base: "m3/s", try: "3.5 gal/min", num: kindVolume, den: kindTime,
		units: names("gal/min gpm", GallonPerMinute, "L/min lpm", LitrePerMinute)}
	kindPressure = &kind{name: KindPressure, exact: "kPa", si: 1000, base: "Pa", try: "40 psi", units: names(
		"psi", PSI, "bar bars", Bar, "kPa", Kilopascal, "Pa", Pascal)}
	kindDensity = &kind{name: KindDensity, exact: "kg/L", si: 1000, base: "kg/m3", try: "10.4 lb/gal", num: kindMass, den: kindVolume,
		units: names("lb/gal", PoundPerGallon, "kg/L", KilogramPerLitre, "kg/m3", KilogramPerCubicMetre,
			"g/100_mL %_w/v %w/v %_(w/v) %_m/v percent_w/v", GramPerHundredMillilitres)}
	kindVolumePerArea = &kind{name: KindVolumePerArea, exact: "L/m2", si: 0.001, base: "m3/m2", try: "2 gal/1000 sq ft", num: kindVolume, den: kindArea,
		units: names("gal/1000_sq_ft", GallonPerThousand, "fl_oz/1000_sq_ft", FluidOuncePerThousand, "gal/acre gpa", GallonPerAcre,
			"L/m2", LitrePerSquareMetre, "L/ha", LitrePerHectare)}
	kindMassPerArea = &kind{name: KindMassPerArea, exact: "kg/m2", si: 1, try: "3 lb/1000 sq ft", num: kindMass, den: kindArea,
		units: names("lb/1000_sq_ft", PoundPerThousand, "lb/acre", PoundPerAcre, "kg/m2", KilogramPerSquareMetre, "kg/ha", KilogramPerHectare)}
	kindVolumePerVolume = &kind{name: KindVolumePerVolume, exact: "L/L", si: 1, try: "2 fl oz/gal", num: kindVolume, den: kindVolume,
		units: names("%_v/v %v/v %_(v/v) %_by_volume percent_v/v", PercentByVolume, "fl_oz/gal", FluidOuncePerGallon, "L/L", LitrePerLitre)}
)

// simpleKinds have units that are no ratio; kinds is all.
var (
	simpleKinds = []*kind{kindLength, kindArea, kindVolume, kindMass, kindTime, kindPressure}
	kinds       = append([]*kind{kindSpeed, kindFlow, kindDensity, kindVolumePerArea, kindMassPerArea, kindVolumePerVolume}, simpleKinds...)
)

// names builds a table from pairs "name name ...", unit.
func names(pairs ...any) *table {
	t := &table{by: map[string]named{}}
	for i := 0; i < len(pairs); i += 2 {
		q, ok := pairs[i+1].(Quantity)
		if !ok {
			panic(fmt.Sprintf("unit: %T is no quantity", pairs[i+1]))
		}
		var u named
		for j, n := range strings.Fields(pairs[i].(string)) {
			n = strings.ReplaceAll(n, "_", " ")
			if j == 0 {
				u = named{n, q.SI()}
			}
			t.by[strings.ToLower(n)] = u
		}
		t.list = append(t.list, u)
	}
	return t
}

// find looks up a name in any case, with or without the dots of abbreviations.
func (k *kind) find(name string) (named, bool) {
	u, ok := k.units.by[strings.ReplaceAll(strings.ToLower(name), ".", "")]
	return u, ok
}

// ratio is the kind of num per den, nil where there is none.
func ratio(num, den *kind) *kind {
	for _, k := range kinds {
		if k.num == num && k.den == den {
			return k
		}
	}
	return nil
}
