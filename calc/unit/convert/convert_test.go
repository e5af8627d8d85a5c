package convert_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/unit/convert"
)

// Calculating how much of an element is applied in a liquid fertilizer, turfgrass science blog,
// 2015: 6 fl oz/1000 sq ft of a product of 10.68 lb/gal is 0.498 lb/1000 sq ft there, by way of a rounded
// 0.083; without the rounding it is 0.5006.
func ExampleTexts() {
	results, problems := convert.Texts([]string{"6 fl oz/1000 sq ft"}, convert.Options{To: "lb/1000 sq ft", Density: 10.68 * unit.PoundPerGallon})
	fmt.Println(results[0].Figures[0].Text(), problems.Err())
	fmt.Print(results[0].Working(unit.US).Text())
	// Output:
	// 0.500625 lb/1000 sq ft <nil>
	// rate by weight in lb/1000 sq ft: 0.500625 lb/1000 sq ft
	//   = rate x density
	//   = (6 fl oz/1000 sq ft) x (10.68 lb/gal) / (128 fl oz/gal)
	//   = 0.500625 lb/1000 sq ft
	//   units: fl oz x lb / (1000 sq ft x gal): gives lb/1000 sq ft
	//   A volume weighs what its density says: volume x density.
	//   source of density: as given
}

// figure is the one figure of one text.
func figure(t *testing.T, text, to string, d unit.Density) convert.Figure {
	t.Helper()
	results, problems := convert.Texts([]string{text}, convert.Options{To: to, Density: d})
	if len(problems) > 0 || len(results) != 1 || len(results[0].Figures) != 1 {
		t.Errorf("%q to %q: got %v, %v; want one figure", text, to, results, problems)
		return convert.Figure{}
	}
	for _, s := range []unit.System{unit.US, unit.Metric} {
		if err := results[0].Working(s).Verify(); err != nil {
			t.Errorf("%q to %q: %v", text, to, err)
		}
	}
	return results[0].Figures[0]
}

// Published equivalences. Sources:
//
//	UNL  Math for Pesticide Applicators, University of Nebraska-Lincoln Pesticide Safety Education, n.d.
//	UNL16 Setting the Sprayer Flow Rate for Non-Water Solutions, Table 1, University of Nebraska-Lincoln CropWatch, 2016
//	CIA  World Factbook, Appendix G, US CIA, n.d.
//	KSU  Soils Laboratory Manual, Conversion Factors, Kansas State University, 2017-21
//	PES  Spray Gun (calibration page), Pesticide Environmental Stewardship, NC State, n.d.
//	VCE  Conversion Factors Needed for Common Fertilizer Calculations, SPES-201NP, Table 1, Virginia Cooperative Extension, n.d.
//	CTP  Turfgrass Mathematics Review/Practice Worksheet, turf certification course, n.d.
//	NEV  dilution tables, New England Vegetable Management Guide, n.d.
func TestPublished(t *testing.T) {
	for _, c := range []struct {
		source, text, to string
		density          unit.Density
		want, tol        float64
	}{
		{"UNL", "1 acre", "sq ft", 0, 43560, 0.1},
		{"CIA", "1 acre", "m2", 0, 4046.8564224, 0.001},
		{"UNL", "1 gal", "fl oz", 0, 128, 0.0001},
		{"UNL", "1 fl oz", "mL", 0, 29.57, 0.01},
		{"UNL", "2 tbsp", "fl oz", 0, 1, 0.0001},
		{"UNL", "1 mph", "ft/min", 0, 88, 0.01},
		{"UNL16, water", "1 gal", "lb", 1 * unit.KilogramPerLitre, 8.34, 0.02},
		{"KSU", "1 lb/acre", "kg/ha", 0, 1.12, 0.002},
		{"KSU", "1 lb/gal", "mg/L", 0, 119826, 1},
		{"PES", "5.25 gal/M", "gal/acre", 0, 228.7, 0.1},
		{"NEV", "1 lb/100 gal", "lb/25 gal", 0, 0.25, 0.001},
		{"NEV", "4 qt/100 gal", "qt/25 gal", 0, 1, 0.001},
		{"CTP", "125 lb P2O5", "P", 0, 55, 0.6},
		{"VCE", "1 kg P", "P2O5", 0, 2.291, 0.001},
		{"VCE", "1 kg K", "kg K2O", 0, 1.2051, 0.001},
		{"VCE", "1 kg K2O", "K", 0, 0.8301, 0.0003},
		// Published slips: L/ha is 9.354 times gal/acre and not 9.34; 20 fl oz/min are 0.156 gal/min and not
		// .15; an acre has 4,840 sq yd and not 4,480, a hectare 2.471 acres and 107,639 sq ft, not 107.640.
		{"slip", "1 gpa", "L/ha", 0, 9.354, 0.0005},
		{"slip", "20 fl oz/min", "gpm", 0, 0.15625, 1e-9},
		{"slip", "1 acre", "sq yd", 0, 4840, 1e-6},
		{"slip", "1 ha", "acre", 0, 2.471, 0.0002},
		{"slip", "1 ha", "sq ft", 0, 107639, 0.2},
	} {
		if f := figure(t, c.text, c.to, c.density); math.Abs(f.Number-c.want) > c.tol {
			t.Errorf("%s: %s is %s, want %v", c.source, c.text, f.Text(), c.want)
		}
	}
}

func TestByHand(t *testing.T) {
	d := 10.68 * unit.PoundPerGallon
	for _, c := range []struct {
		text, to string
		density  unit.Density
		want     string
	}{
		{"4.5 fl oz/1000 sq ft", "L/ha", 0, "14.3247 L/ha"}, // 4.5 x 0.02957353 L x 107.6391
		{"4 fl oz", "oz wt", d, "5.34 oz wt"},               // 4/128 x 10.68 x 16
		{"5.34 oz wt", "fl oz", d, "4 fl oz"},
		{"10.68 lb", "gal", d, "1 gal"},
		{"0.25 % v/v", "lb/100 gal", d, "2.67 lb/100 gal"}, // a quart of 10.68/4 lb
		{"2.67 lb/100 gal", "% v/v", d, "0.25 % v/v"},
		{"0.5 lb/M", "fl oz/M", 8 * unit.PoundPerGallon, "8 fl oz/1000 sq ft"},
		{"125 lb P2O5", "P", 0, "54.5625 lb P"},                        // 125 x 0.4365
		{"2 lb P2O5/M", "kg P/ha", 0, "42.6236 kg P/ha"},               // 2 x 48.82428 x 0.4365
		{"0.75 lb N/M", "lb N/acre", 0, "32.67 lb N/acre"},             // x 43.56
		{"0.75 lb N/M", "kg/ha", 0, "36.6182 kg N/ha"},                 // the nutrient stays
		{"1 lb K2O/100 gal", "K", 0, "0.8301 lb K/100 gal"},            // 0.8301
		{"7' 6\"", "in", 0, "90 in"},                                   //
		{"1 h 30 min", "min", 0, "90 min"},                             //
		{"-5 gal", "qt", 0, "-20 qt"},                                  //
		{"0 gal", "L", 0, "0 L"},                                       //
		{"1 pt/A", "fl oz/1000 sq ft", 0, "0.367309 fl oz/1000 sq ft"}, // 16/43.56
	} {
		if f := figure(t, c.text, c.to, c.density); f.Text() != c.want {
			t.Errorf("%s to %s: got %s, want %s", c.text, c.to, f.Text(), c.want)
		}
	}
}

// Every problem of every text is told, with its code; what can be converted is.
func TestProblems(t *testing.T) {
	for _, c := range []struct {
		name  string
		texts []string
		opt   convert.Options
		codes string
		whats string
	}{
		{"ounces", []string{"4 fl oz"}, convert.Options{To: "oz wt"}, "density-missing", "an ounce of volume is no ounce of weight"},
		{"ounces back", []string{"4 oz wt"}, convert.Options{To: "fl oz"}, "density-missing", "only the product's density"},
		{"rate", []string{"4 fl oz/M"}, convert.Options{To: "lb/M"}, "density-missing", ""},
		{"strength", []string{"2 lb/100 gal"}, convert.Options{To: "% v/v"}, "density-missing", ""},
		{"bare ounces", []string{"4 oz"}, convert.Options{}, "quantity", `"fl oz" for volume or "oz wt" for weight`},
		{"bare ounces wanted", []string{"4 fl oz"}, convert.Options{To: "oz"}, "unit", `"fl oz" for volume or "oz wt" for weight`},
		{"another kind", []string{"5 gal"}, convert.Options{To: "gal/acre"}, "kind-other", "5 gal is a volume, and gal/acre is a unit of volume per area"},
		{"two of three", []string{"5 gal", "5", "2 %"}, convert.Options{}, "quantity quantity", ""},
		{"unit and texts", []string{"5 gal", "5"}, convert.Options{To: "firkin"}, "unit quantity", "not known"},
		{"density in the wrong unit", []string{"5 gal"}, convert.Options{To: "lb", Density: 10.68 * unit.KilogramPerLitre}, "density-absurd", "from 1.669 lb/gal to 25.04 lb/gal"},
		{"negative density", []string{"5 gal"}, convert.Options{Density: -1}, "density-absurd", ""},
		{"no density", []string{"5 gal"}, convert.Options{Density: unit.Density(math.NaN())}, "density-absurd", ""},
		{"infinite density", []string{"5 gal"}, convert.Options{Density: unit.Density(math.Inf(1))}, "density-absurd", ""},
		{"no nutrient", []string{"125 lb"}, convert.Options{To: "P"}, "nutrient-missing", "names no nutrient"},
		{"another nutrient", []string{"125 lb P2O5"}, convert.Options{To: "K"}, "nutrient-other", ""},
		{"nitrogen has one form", []string{"1 lb N"}, convert.Options{To: "lb P"}, "nutrient-other", ""},
		{"volume of a nutrient", []string{"1 lb N"}, convert.Options{To: "gal", Density: 1000}, "nutrient-volume", ""},
		{"volume named a nutrient", []string{"1 gal N"}, convert.Options{}, "quantity", "it is a volume"},
		{"unclear nutrient", []string{"1 lb phosphorus"}, convert.Options{}, "quantity", `"P" or "P2O5"`},
		{"unclear nutrient wanted", []string{"1 lb P2O5"}, convert.Options{To: "lb phosphorus"}, "unit", `"P" or "P2O5"`},
		{"too large", []string{"1e999 gal", "1e308 imp gal"}, convert.Options{}, "quantity", "out of range"},
	} {
		results, list := convert.Texts(c.texts, c.opt)
		var codes []string
		for _, p := range list {
			codes = append(codes, p.Code)
			if p.Severity != problem.Error || p.Where == "" || !strings.HasSuffix(p.Fix, ".") || p.What == "" {
				t.Errorf("%s: an incomplete problem: %+v", c.name, p)
			}
		}
		if got := strings.Join(codes, " "); got != c.codes || !strings.Contains(fmt.Sprint(list), c.whats) {
			t.Errorf("%s: got %v, want %s with %q", c.name, list, c.codes, c.whats)
		}
		for _, r := range results {
			if strings.Contains(c.codes, "unit") || strings.Contains(c.codes, "absurd") || len(r.Figures) == 0 {
				t.Errorf("%s: a result beside the problem: %+v", c.name, r)
			}
		}
	}
}

// kinds and a text of each.
var texts = []string{"7' 6\"", "5,230 sq ft", "150 gal", "24.35 lb", "1 min 18 s", "3 mph", "20 fl oz/min", "40 psi", "10.68 lb/gal", "2 lb/100 gal", "1 % w/v",
	"4.5 fl oz/M", "200 L/ha", "15 L/100 m2", "20 gpa", "0.75 lb/M", "3 g/m2", "0.25 % v/v", "1 qt/100 gal", "0.75 lb N/M", "125 lb P2O5", "2 kg K/ha", "2.98 lb N/gal", "2 imp gal", "3 cc"}

// In all usual units, with a density and without, the working leads to each figure, and each
// figure is the amount that was given.
func TestUsualUnits(t *testing.T) {
	for _, s := range []unit.System{unit.US, unit.Metric, ""} {
		for _, d := range []unit.Density{0, 10.68 * unit.PoundPerGallon} {
			results, list := convert.Texts(texts, convert.Options{Units: s, Density: d})
			if len(list) > 0 || len(results) != len(texts) {
				t.Fatalf("got %d results of %d, %v", len(results), len(texts), list)
			}
			for _, r := range results {
				checkUsual(t, r, s, d)
			}
		}
	}
}

func checkUsual(t *testing.T, r convert.Result, s unit.System, d unit.Density) {
	t.Helper()
	if err := r.Working(s).Verify(); err != nil {
		t.Errorf("%s, %s: %v\n%s", r.Text, s, err, r.Working(s).Text())
	}
	joined := 0
	for _, f := range r.Figures {
		if f.Density != 0 {
			joined++
			continue
		}
		if f.Nutrient == r.Nutrient && math.Abs(f.Unit.Of(f.Number).SI()-r.Given.SI()) > 1e-15*r.Given.SI() {
			t.Errorf("%s is %s, another amount", r.Text, f.Text())
		}
	}
	first, want := r.Figures[0].Unit, unit.Units(r.Given.Kind(), unit.US)[0]
	if s == unit.Metric {
		want = unit.Units(r.Given.Kind(), unit.Metric)[0]
	}
	if first != want {
		t.Errorf("%s, %s: the first unit is %s, want %s", r.Text, s, first.Name(), want.Name())
	}
	_, weighs := map[unit.Kind]bool{unit.KindVolume: true, unit.KindMass: true, unit.KindVolumePerArea: true, unit.KindMassPerArea: true,
		unit.KindVolumePerVolume: true, unit.KindDensity: true}[r.Given.Kind()]
	if wants := weighs && d != 0 && r.Nutrient == ""; wants != (joined > 0) {
		t.Errorf("%s: %d figures by density %v", r.Text, joined, d)
	}
}

// There and back is the same amount, through any unit, by any density, in any form of a
// nutrient; and the working leads to it both ways.
func TestThereAndBack(t *testing.T) {
	back := map[unit.Nutrient]unit.Nutrient{"": "", unit.N: unit.N, unit.P: unit.P2O5, unit.P2O5: unit.P, unit.K: unit.K2O, unit.K2O: unit.K}
	pairs := map[unit.Kind]unit.Kind{unit.KindVolume: unit.KindMass, unit.KindMass: unit.KindVolume, unit.KindVolumePerArea: unit.KindMassPerArea,
		unit.KindMassPerArea: unit.KindVolumePerArea, unit.KindDensity: unit.KindVolumePerVolume, unit.KindVolumePerVolume: unit.KindDensity}
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
		d := unit.Density(rapid.Float64Range(300, 2500).Draw(t, "kg/m3"))
		k := rapid.SampledFrom([]unit.Kind{unit.KindVolume, unit.KindMass, unit.KindVolumePerArea, unit.KindMassPerArea, unit.KindDensity, unit.KindVolumePerVolume}).Draw(t, "kind")
		u := rapid.SampledFrom(unit.Units(k, s)).Draw(t, "unit")
		x := rapid.Float64Range(0.001, 1e5).Draw(t, "figure")
		n, to, toKind := unit.Nutrient(""), unit.Nutrient(""), pairs[k]
		if k == unit.KindMass || k == unit.KindMassPerArea {
			n = rapid.SampledFrom([]unit.Nutrient{"", unit.N, unit.P, unit.P2O5, unit.K, unit.K2O}).Draw(t, "nutrient")
		}
		if n != "" {
			to, toKind = back[n], k
		}
		v := rapid.SampledFrom(unit.Units(toKind, s)).Draw(t, "to")
		there := one(t, convert.Figure{Number: x, Unit: u, Nutrient: n}, convert.Figure{Unit: v, Nutrient: to}, d, s)
		again := one(t, there, convert.Figure{Unit: u, Nutrient: n}, d, s)
		if math.Abs(again.Number-x) > 1e-14*x {
			t.Fatalf("%v %s is %v, and back %v", x, u.Name(), there.Text(), again.Number)
		}
	})
}

// one converts a figure, as text, to the unit of another.
func one(t *rapid.T, from, to convert.Figure, d unit.Density, s unit.System) convert.Figure {
	results, list := convert.Texts([]string{fmt.Sprint(from.Number, " ", from.UnitName())}, convert.Options{To: to.UnitName(), Density: d, Units: s})
	if len(list) > 0 || len(results) != 1 {
		t.Fatalf("%v %s to %s: %v", from.Number, from.UnitName(), to.UnitName(), list)
	}
	if err := results[0].Working(s).Verify(); err != nil {
		t.Fatalf("%v\n%s", err, results[0].Working(s).Text())
	}
	return results[0].Figures[0]
}
