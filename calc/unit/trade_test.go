package unit_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"tankful/calc/unit"
)

// What people in the trade write. Wanted values are worked out by hand from 1 ft = 0.3048 m, 1 US
// gal = 3.785411784 L, 1 lb = 0.45359237 kg: 1,000 sq ft = 92.90304 m2, 1 acre = 4046.8564224 m2,
// 1 fl oz = 29.5735295625 mL.
func TestParseWhatTheTradeWrites(t *testing.T) {
	for _, c := range []struct {
		text string
		kind unit.Kind
		want float64 // SI
	}{
		{"1 1/2 pt/ac", unit.KindVolumePerArea, 1.75386679e-7},
		{"1-1/2 pt/A", unit.KindVolumePerArea, 1.75386679e-7},
		{"4.5 fl oz per 1000 sq ft", unit.KindVolumePerArea, 1.43247070e-6},
		{"4.5 fl. oz./M", unit.KindVolumePerArea, 1.43247070e-6},
		{"4.5 FL OZ PER M", unit.KindVolumePerArea, 1.43247070e-6},
		{"4.5 liquid oz/1,000 square feet", unit.KindVolumePerArea, 1.43247070e-6},
		{"200 L/ha", unit.KindVolumePerArea, 2e-5},
		{"2 gal/M", unit.KindVolumePerArea, 8.14916667e-5},
		{"20 gpa", unit.KindVolumePerArea, 1.87079125e-5},
		{"15 L/100 m2", unit.KindVolumePerArea, 1.5e-4},
		{"15 L/100m²", unit.KindVolumePerArea, 1.5e-4},
		{"0.75 lb/M", unit.KindMassPerArea, 0.75 * 0.00488242764},
		{"5 lb/1,000 ft²", unit.KindMassPerArea, 5 * 0.00488242764},
		{"5 lb/1,000 ft^2", unit.KindMassPerArea, 5 * 0.00488242764},
		{"5 lb/1000 SF", unit.KindMassPerArea, 5 * 0.00488242764},
		{"5 lb / thousand sq ft", unit.KindMassPerArea, 5 * 0.00488242764},
		{"2 oz wt/1000 sqft", unit.KindMassPerArea, 2 * 0.00488242764 / 16},
		{"3 g/m2", unit.KindMassPerArea, 0.003},
		{"2 kg/100 m2", unit.KindMassPerArea, 0.02},
		{"1 qt per 100 gal", unit.KindVolumePerVolume, 0.0025},
		{"0.25 % v/v", unit.KindVolumePerVolume, 0.0025},
		{"0.25% V/V", unit.KindVolumePerVolume, 0.0025},
		{"1/4 % (v/v)", unit.KindVolumePerVolume, 0.0025},
		{"2 fl oz/gal", unit.KindVolumePerVolume, 2.0 / 128},
		{"2 lb/100 gal", unit.KindDensity, 2.396528546},
		{"8.34 lb per gal", unit.KindDensity, 999.35240},
		{"1 % w/v", unit.KindDensity, 10},
		{"3 1/2 gal", unit.KindVolume, 0.013248941244},
		{"3½ gal", unit.KindVolume, 0.013248941244},
		{"3 ½ gal", unit.KindVolume, 0.013248941244},
		{"½ gal", unit.KindVolume, 0.001892705892},
		{"3 1⁄2 gal", unit.KindVolume, 0.013248941244},
		{"1½ pt", unit.KindVolume, 7.09764709e-4},
		{"5 cc", unit.KindVolume, 5e-6},
		{"2 U.S. gal", unit.KindVolume, 0.007570823568},
		{"2 imp gal", unit.KindVolume, 0.00909218},
		{"2 UK gal", unit.KindVolume, 0.00909218},
		{"160 imp fl oz", unit.KindVolume, 0.00454609},
		{"1,250.5 sq ft", unit.KindArea, 116.17525},
		{"7' 6\"", unit.KindLength, 2.286},
		{"7'6\"", unit.KindLength, 2.286},
		{"7'-6\"", unit.KindLength, 2.286},
		{"7′6″", unit.KindLength, 2.286},
		{"7’6”", unit.KindLength, 2.286},
		{"7'6''", unit.KindLength, 2.286},
		{"7' 6 1/2\"", unit.KindLength, 2.2987},
		{"7'6½\"", unit.KindLength, 2.2987},
		{"-7'6\"", unit.KindLength, -2.286},
		{"\u22127 ft", unit.KindLength, -2.1336},
		{"6'", unit.KindLength, 1.8288},
		{"6 ft 6 in", unit.KindLength, 1.9812},
		{"18\"", unit.KindLength, 0.4572},
		{"40 psi", unit.KindPressure, 275790.29172673443},
		{"2.8 bar", unit.KindPressure, 280000},
		{"3 mph", unit.KindSpeed, 1.34112},
		{"88 ft/min", unit.KindSpeed, 0.44704},
		{"20 ml/sec", unit.KindFlow, 2e-5},
		{"20 fl oz/min", unit.KindFlow, 9.8578431875e-6},
		{"1 short ton", unit.KindMass, 907.18474},
		{"1 min 18 s", unit.KindTime, 78},
	} {
		q, err := unit.Parse(c.text)
		if err != nil {
			t.Errorf("%q: %v", c.text, err)
			continue
		}
		// The wanted figures have eight significant digits or more.
		if q.Kind() != c.kind || math.Abs(q.SI()-c.want) > 1e-7*math.Abs(c.want) {
			t.Errorf("%q: got %.10g, a %s; want %.10g, a %s", c.text, q.SI(), q.Kind(), c.want, c.kind)
		}
		if x, err := parsers[string(c.kind)](c.text); err != nil || x != q.SI() {
			t.Errorf("%q: read as a %s it is %v (%v), read as anything %v", c.text, c.kind, x, err, q.SI())
		}
	}
}

// What could mean two things is refused, and each choice is named.
func TestParseNamesTheChoices(t *testing.T) {
	for _, c := range []struct{ text, choices string }{
		{"", "empty"},
		{"4.5", "unit is missing"},
		{"1 1/2", "unit is missing"},
		{"gal", "begin with a number"},
		{"4 oz", `"fl oz" for volume|"oz wt" for weight`},
		{"4 Oz.", `"fl oz"|"oz wt"`},
		{"4 ounces/M", `"fl oz"|"oz wt"`},
		{"4 oz per gal", `"fl oz"|"oz wt"`},
		{"4 imp oz", `"imp fl oz"`},
		{"2 %", `"% v/v"|"% w/v"|share by weight`},
		{"2 percent", `"% v/v"|"% w/v"`},
		{"2 % w/w", `share by weight`},
		{"1:100", `"1 gal/100 gal"|"1 gal/101 gal"`},
		{"1 : 100", `"1 gal/100 gal"|"1 gal/101 gal"`},
		{"2 parts", "by volume or by weight"},
		{"5 ppm", `"mL/m3"|"mg/L"`},
		{"2 tons", `"short ton"|"tonne"`},
		{"2 T", `"short ton"|"tonne"|"tbsp"`},
		{"2 G/M", `"gal"|"g"`},
		{"5 #", `"lb"`},
		{"5# N/M", `not known|"# N"`},
		{"5 gr", `gram or a grain`},
		{"5 M", `"m" for metres|"1000 sq ft"`},
		{"5 A", `"acre"`},
		{"2 gal/m", `"m" is a metre|"M" is 1,000 sq ft`},
		{"2 gal/2 M", `"M" is 1,000 sq ft`},
		{"5 lb/a", `"/acre"|"/100 m2"`},
		{"5 lb/1000", `per 1000 of what|"1000 sq ft"|"1000 gal"`},
		{"2 gal/1,000", `per 1000 of what|"1000 sq ft"|"1000 m2"`},
		{"2 gal per thousand", `"1000 sq ft"`},
		{"5 lb/1000 ft", `"ft" is a length|"/1000 sq ft"`},
		{"5 lb/1000'", `is a length|"/1000 sq ft"`},
		{"0.75 lb N/M", `"lb N" is a weight of a nutrient`},
		{"125 lb of P2O5", `weight of a nutrient`},
		{"1,5 gal", "decimal point or a thousands mark"},
		{"1.250,5 sq ft", "decimal point or a thousands mark"},
		{"1.2.5 sq ft", "decimal point too many"},
		{"1 000 sq ft", "thousands as 1,000"},
		{"3-4 lb", "it is a range"},
		{"3–4 lb", "it is a range"},
		{"3 to 4 lb", "it is a range"},
		{"1 3/2 lb", "not below one"},
		{"1½/2 lb", "unit is missing"},
		{"5 lb/min", "mass per time is no quantity of the trade"},
		{"5 lb/1000 sq ft/day", "is itself a rate"},
		{"5 firkin", `"firkin" is not known`},
	} {
		q, err := unit.Parse(c.text)
		var pe *unit.ParseError
		if !errors.As(err, &pe) || q != nil {
			t.Errorf("%q: got %v and error %v, want a ParseError", c.text, q, err)
			continue
		}
		found := false
		for i, choice := range strings.Split(c.choices, "|") {
			has := strings.Contains(pe.Why, choice)
			if strings.HasPrefix(c.choices, "not known") { // any of them
				found = found || has
				continue
			}
			if found = has; !has {
				t.Errorf("%q: choice %d, %s, is not in: %s", c.text, i+1, choice, pe.Why)
			}
		}
		if !found {
			t.Errorf("%q: got %s, want one of %s", c.text, pe.Why, c.choices)
		}
		if _, err := unit.Parse(pe.Try); err != nil {
			t.Errorf("%q: the example %q is itself refused: %v", c.text, pe.Try, err)
		}
	}
}

// A unit of another kind is named with what it measures.
func TestParseSaysWhatElseItIs(t *testing.T) {
	for _, c := range []struct{ kind, text, why string }{
		{"volume", "20 gpa", `"gpa" is a volume per area`},
		{"mass", "2 fl oz", `"fl oz" is a volume`},
		{"volume per area", "3 mph", `"mph" is a speed`},
		{"volume per area", "0.25 % v/v", `"% v/v" is a volume per volume`},
		{"volume per area", "2 % ", `"% v/v"`},
		{"mass per area", "0.75 lb N/M", `"lb N" is a weight of a nutrient, not of a product`},
		{"mass per area", "0.75 lb/M N", "not known"},
		{"density", "2 fl oz/gal", `"fl oz/gal" is a volume per volume`},
		{"time", "7'", `"'" is a length`},
		{"length", "40 psi", `"psi" is a pressure`},
		{"volume per area", "1:100", "1 gal/101 gal"},
	} {
		x, err := parsers[c.kind](c.text)
		var pe *unit.ParseError
		if !errors.As(err, &pe) || x != 0 || !strings.Contains(pe.Why, c.why) {
			t.Errorf("%q as a %s: got %v, %v; want a reason with %s", c.text, c.kind, x, err, c.why)
		}
	}
}
