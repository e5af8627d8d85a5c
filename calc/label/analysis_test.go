package label_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// A granule and a liquid with nothing but what the arithmetic needs.
func granule(a label.Analysis) label.Product {
	return label.Product{Name: "Granule", Form: label.Granule, Analysis: a}
}

func fluid(d unit.Density, a label.Analysis) label.Product {
	return label.Product{Name: "Liquid feed", Form: label.Liquid, Density: d, Analysis: a}
}

func content(t testing.TB, p label.Product, nutrient string, b label.Basis) label.Content {
	t.Helper()
	c, ps := p.Content(nutrient, b, "day.yaml:7")
	if len(ps) > 0 {
		t.Errorf("%s in %s: %v", nutrient, p.Name, ps)
	}
	verify(t, c)
	return c
}

func verify(t testing.TB, r interface {
	Working(unit.System) working.Working
}) {
	t.Helper()
	for _, s := range []unit.System{unit.US, unit.Metric} {
		if err := r.Working(s).Verify(); err != nil {
			t.Errorf("%v\n%s", err, r.Working(s).Text())
		}
	}
}

// Setting the Sprayer Flow Rate for Non-Water Solutions, University of Nebraska-Lincoln, CropWatch, 2016:
// 10.65 lb/gal with 28 % N is 2.982 lb N/gal, and 75 lb of N are 25.151 gal.
func ExampleContent_ToHold() {
	p := label.Product{Name: "28 % solution", Form: label.Liquid, Density: 10.65 * unit.PoundPerGallon, Analysis: label.Analysis{N: 0.28}}
	n, _ := p.Content("N", label.Total, "day.yaml:7")
	held, _ := n.ToHold(75*unit.Pound, "day.yaml:7")
	fmt.Print(held.Working(unit.US).Text())
	// Output:
	// N in 28 % solution: 28 % of the weight
	//   From the label.
	//
	// N in a gallon: 2.982 lb/gal
	//   = density x N
	//   = (10.65 lb/gal) x 28 %
	//   = 2.982 lb/gal
	//   The per cent is of the weight, never of the volume, so that a gallon is weighed first.
	//
	// 28 % solution: 3,219.3 fl oz (25 gal 19.3 fl oz)
	//   = wanted N / N in a gallon
	//   = 75 lb / (2.982 lb/gal)
	//   = 25.15091 gal
	//   units: lb x gal / lb: lb cancels; gives gal
}

// The published worked examples of rate and analysis.
func TestPublishedRates(t *testing.T) {
	for _, c := range []struct {
		source       string
		nutrient     string
		a            label.Analysis
		wanted, want float64 // lb/1000 sq ft of nutrient, of product
		tol          float64
	}{
		{"Rotary Spreader Calibration Procedures, UMass Extension Turf Program, n.d.", "N", label.Analysis{N: 0.20}, 1, 5, 0.005},
		{"A Practical Method of Rotary Spreader Calibration, Pennsylvania Turfgrass, 2022", "K2O", label.Analysis{K2O: 0.22}, 2, 9.1, 0.05},
		{"Lawn Fertilizer Calculations, University of Nebraska-Lincoln, n.d.", "N", label.Analysis{N: 0.28}, 1, 3.57, 0.005},
		{"Turfgrass Mathematics Review, Certified Turfgrass Professional, n.d.", "N", label.Analysis{N: 0.25}, 0.9, 3.6, 0.005},
		{"Fertilizer Math, sports field managers association, Southern California, n.d.", "N", label.Analysis{N: 0.20}, 0.9, 4.5, 0.005},
	} {
		d, ps := content(t, granule(c.a), c.nutrient, "").ForWeight(unit.MassPerArea(c.wanted)*pound, "day.yaml:7")
		verify(t, d)
		if got := d.Rate.Dry.In(pound); len(ps) > 0 || math.Abs(got-c.want) > c.tol {
			t.Errorf("%s: got %v lb/1000 sq ft (%v), want %v", c.source, got, ps, c.want)
		}
	}
}

// The slips of rounding before the next step: 3.57 lb on 6,000 sq ft is 21.42 lb (University of
// Nebraska-Lincoln), and 21.43 when it is rounded once; 6 fl oz of 10.68 lb/gal is 0.498 lb by 0.083
// lb/fl oz (turfgrass science blog, 2015, method of VCE 424-035), and 0.5006 when it is not.
func TestRoundedOnce(t *testing.T) {
	d, _ := content(t, granule(label.Analysis{N: 0.28}), "N", "").ForWeight(1*pound, "")
	if got := d.Rate.Over(6000 * unit.SquareFoot).Dry.In(unit.Pound); math.Abs(got-21.42857) > 1e-5 {
		t.Errorf("got %v lb on 6,000 sq ft, want 21.4286", got)
	}
	// The whole product's weight: a content of 100 %.
	whole := content(t, fluid(10.68*unit.PoundPerGallon, label.Analysis{N: 1}), "N", "")
	if got := whole.At(label.Rate{Liquid: 6 * floz}).In(pound); math.Abs(got-0.500625) > 1e-9 {
		t.Errorf("got %v lb/1000 sq ft, want 0.500625", got)
	}
	// The same page: 0.4 % Mn in 0.5 lb is 0.002 lb.
	mn := content(t, granule(label.Analysis{Other: map[string]label.Share{"Mn": 0.004}}), "Mn", "")
	if got := mn.At(label.Rate{Dry: 0.5 * pound}).In(pound); math.Abs(got-0.002) > 1e-12 {
		t.Errorf("got %v lb Mn/1000 sq ft, want 0.002", got)
	}
}

// The trap: per cent is of the weight. Read as a share of the volume, 28 % of 16 fl oz would be 4.48 fl oz,
// and taken for ounces of weight 0.28 lb N; it is 0.37275 lb, a third more.
func TestPercentIsByWeight(t *testing.T) {
	c := content(t, fluid(10.65*unit.PoundPerGallon, label.Analysis{N: 0.28}), "N", "")
	d, ps := c.AtRate(label.Rate{Liquid: 16 * floz}, "")
	verify(t, d)
	if got := d.Weight.In(pound); len(ps) > 0 || math.Abs(got-0.37275) > 1e-9 {
		t.Errorf("got %v lb N/1000 sq ft, want 10.65 x 0.28 / 8 = 0.37275", got)
	}
	if facts := d.Facts(unit.US); facts[1].Text != "0.3728 lb N/1000 sq ft" || facts[0].Text != "16.00 fl oz/1000 sq ft" {
		t.Errorf("got %v", facts)
	}
}

// Oxides and elements: Conversion Factors Needed for Common Fertilizer Calculations, SPES-201NP, Table 1, Virginia
// Cooperative Extension; Turfgrass Mathematics Review (125 lb P2O5 is 55 lb P with the round 0.44, 54.6 with 0.4365).
func TestOxides(t *testing.T) {
	c := content(t, granule(label.Analysis{P2O5: 1}), "P", "")
	if got := c.In(label.Amount{Dry: 125 * unit.Pound}).In(unit.Pound); math.Abs(got-54.5625) > 1e-9 {
		t.Errorf("125 lb P2O5: got %v lb P, want 54.5625", got)
	}
	if got := float64(1 / label.PhosphorusInPhosphate); math.Abs(got-2.291) > 0.001 {
		t.Errorf("P to P2O5: got %v, want 2.291", got)
	}
	if got := float64(1 / label.PotassiumInPotash); math.Abs(got-1.2051) > 0.001 {
		t.Errorf("K to K2O: got %v, want 1.2051", got)
	}
	if got := float64(label.PotassiumInPotash); math.Abs(got-0.8301) > 0.0003 {
		t.Errorf("K2O to K: got %v, want 0.8301", got)
	}
	k, ps := content(t, granule(label.Analysis{K2O: 0.6}), "K", "").AtRate(label.Rate{Dry: 1 * pound}, "")
	verify(t, k)
	if got := k.Weight.In(pound); len(ps) > 0 || math.Abs(got-0.498) > 0.001 {
		t.Errorf("60 %% K2O: got %v K, want 0.498", got)
	}
	// By the atomic weights P 30.974, K 39.098, O 15.999 the table's factors are right to 0.03 %.
	for _, e := range []struct{ have, exact float64 }{
		{float64(label.PhosphorusInPhosphate), 2 * 30.974 / (2*30.974 + 5*15.999)}, {float64(label.PotassiumInPotash), 2 * 39.098 / (2*39.098 + 15.999)}} {
		if math.Abs(e.have/e.exact-1) > 3e-4 {
			t.Errorf("got %v, by atomic weights %v", e.have, e.exact)
		}
	}
}

// Fertilizer selection, Suffolk County (NY) Healthy Lawns, n.d.: 15 % water-insoluble of 30 % N is 50 % slow.
// With no slow N stated, all is quick (UC IPM).
func TestSlow(t *testing.T) {
	a := label.Analysis{N: 0.30, SlowN: 0.15}
	if got := a.SlowOfN(); math.Abs(float64(got)-0.5) > 1e-12 {
		t.Errorf("got %v of the N slow, want 0.5", got)
	}
	for _, c := range []struct {
		a            label.Analysis
		total, quick float64
	}{{a, 0.9, 0.45}, {label.Analysis{N: 0.30}, 0.9, 0.9}, {label.Analysis{N: 0.30, SlowN: 0.30}, 0.9, 0}, {label.Analysis{None: true}, 0, 0}} {
		rate := label.Rate{Dry: 3 * pound}
		n, quick, slow := content(t, granule(c.a), "N", ""), content(t, granule(c.a), "N", label.Quick), content(t, granule(c.a), "N", label.Slow)
		for _, x := range []struct{ got, want float64 }{{n.At(rate).In(pound), c.total}, {quick.At(rate).In(pound), c.quick}, {slow.At(rate).In(pound), c.total - c.quick}} {
			if math.Abs(x.got-x.want) > 1e-12 {
				t.Errorf("%+v: got %v, want %v", c.a, x.got, x.want)
			}
		}
		d, _ := quick.AtRate(rate, "")
		verify(t, d)
	}
	all := content(t, granule(label.Analysis{N: 0.30}), "N", label.Quick)
	if text := all.Working(unit.US).Text(); !strings.Contains(text, "No slow N is stated") {
		t.Errorf("the rule is not told:\n%s", text)
	}
	if (label.Analysis{}).SlowOfN() != 0 {
		t.Error("no N has a slow part")
	}
}

// Number crunching - what do the numbers mean?, UK turf magazine, n.d., p. 100: a 25 kg bag with 24 % N holds 6 kg.
func TestBag(t *testing.T) {
	h, ps := content(t, granule(label.Analysis{N: 0.24}), "N", "").InAmount(label.Amount{Dry: 25 * unit.Kilogram}, "")
	verify(t, h)
	if got := h.Weight.In(unit.Kilogram); len(ps) > 0 || math.Abs(got-6) > 1e-12 {
		t.Errorf("got %v kg, want 6", got)
	}
	if f := h.Facts(unit.Metric); f[1].Text != "6.00 kg" {
		t.Errorf("got %v", f)
	}
}

// An invented weed control: 9.1 lb/gal with 30 %, or 2.73 lb/gal stated; 1.1 fl oz hold 2.73 x 1.1 / 128 = 0.02346 lb.
func TestActive(t *testing.T) {
	byShare := label.Product{Name: "Weed", Form: label.Liquid, Density: 9.1 * unit.PoundPerGallon, Active: 0.3}
	stated := label.Product{Name: "Weed", Form: label.Liquid, ActivePerVolume: 2.73 * unit.PoundPerGallon}
	powder := label.Product{Name: "Weed powder", Form: label.Dry, Active: 0.75}
	for _, p := range []label.Product{byShare, stated} {
		c, ps := p.ActiveContent("day.yaml:7")
		d, more := c.AtRate(label.Rate{Liquid: 1.1 * floz}, "day.yaml:7")
		verify(t, d)
		if got := d.Weight.In(pound); len(ps)+len(more) > 0 || math.Abs(got-0.0234609375) > 1e-12 {
			t.Errorf("got %v lb/1000 sq ft (%v %v)", got, ps, more)
		}
	}
	c, _ := powder.ActiveContent("day.yaml:7")
	d, _ := c.ForWeight(0.75*unit.PoundPerAcre, "day.yaml:7")
	verify(t, d)
	if got := d.Rate.Dry.In(unit.PoundPerAcre); math.Abs(got-1) > 1e-12 {
		t.Errorf("got %v lb/acre, want 1", got)
	}
}

// What is not known is a problem with a fix, never a zero.
func TestNotKnown(t *testing.T) {
	ten := label.Analysis{N: 0.1}
	for _, c := range []struct {
		name string
		ask  func() problem.List
		want string
	}{
		{"no analysis", func() problem.List { _, ps := granule(label.Analysis{}).Content("N", "", "day.yaml:7"); return ps }, "error:analysis-missing"},
		{"no density", func() problem.List { _, ps := fluid(0, ten).Content("N", "", "day.yaml:7"); return ps }, "error:density-missing"},
		{"NaN density", func() problem.List {
			_, ps := fluid(unit.Density(math.NaN()), ten).Content("N", "", "day.yaml:7")
			return ps
		}, "error:density-missing"},
		{"none of it needs no density", func() problem.List { _, ps := fluid(0, ten).Content("K2O", "", "day.yaml:7"); return ps }, ""},
		{"none at all", func() problem.List {
			_, ps := fluid(0, label.Analysis{None: true}).Content("N", "", "day.yaml:7")
			return ps
		}, ""},
		{"not a nutrient", func() problem.List { _, ps := granule(ten).Content("Xx", "", "day.yaml:7"); return ps }, "error:nutrient-unknown"},
		{"quick potash", func() problem.List { _, ps := granule(ten).Content("K2O", label.Quick, "day.yaml:7"); return ps }, "error:basis-not-nitrogen"},
		{"no form", func() problem.List { _, ps := label.Product{Analysis: ten}.Content("N", "", "day.yaml:7"); return ps }, "error:form-unknown"},
		{"18 for 18 %", func() problem.List { _, ps := granule(label.Analysis{N: 18}).Content("N", "", "day.yaml:7"); return ps }, "error:share-outside"},
		{"slow over total", func() problem.List {
			_, ps := granule(label.Analysis{N: 0.1, SlowN: 0.2}).Content("N", label.Quick, "day.yaml:7")
			return ps
		}, "error:share-outside"},
		{"no active", func() problem.List { _, ps := granule(ten).ActiveContent("day.yaml:7"); return ps }, "error:active-missing"},
		{"active, no density", func() problem.List {
			p := fluid(0, ten)
			p.Active = 0.3
			_, ps := p.ActiveContent("day.yaml:7")
			return ps
		}, "error:density-missing"},
		{"active, no form", func() problem.List { _, ps := label.Product{Active: 1}.ActiveContent("day.yaml:7"); return ps }, "error:form-unknown"},
		{"a product without it", func() problem.List {
			c, _ := granule(ten).Content("K2O", "", "")
			_, ps := c.ForWeight(pound, "day.yaml:7")
			return ps
		}, "error:nutrient-absent"},
		{"an amount without it", func() problem.List {
			c, _ := granule(ten).Content("K2O", "", "")
			_, ps := c.ToHold(unit.Pound, "day.yaml:7")
			return ps
		}, "error:nutrient-absent"},
		{"nothing wanted", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.ForWeight(0, "day.yaml:7")
			return ps
		}, "error:rate-zero"},
		{"NaN wanted", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.ForWeight(unit.MassPerArea(math.NaN()), "day.yaml:7")
			return ps
		}, "error:rate-zero"},
		{"no weight wanted", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.ToHold(-1, "day.yaml:7")
			return ps
		}, "error:amount-wrong"},
		{"a volume of a granule", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.AtRate(label.Rate{Liquid: floz}, "day.yaml:7")
			return ps
		}, "error:rate-wrong-kind"},
		{"no rate", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.AtRate(label.Rate{}, "day.yaml:7")
			return ps
		}, "error:rate-zero"},
		{"a jug of a granule", func() problem.List {
			c, _ := granule(ten).Content("N", "", "")
			_, ps := c.InAmount(label.Amount{Liquid: unit.Gallon}, "day.yaml:7")
			return ps
		}, "error:amount-wrong"},
	} {
		ps := c.ask()
		if codes(ps) != c.want {
			t.Errorf("%s: got %v, want %s", c.name, ps, c.want)
		}
		whole(t, c.name, ps)
	}
}

// Rate to nutrient and back is the same rate; nutrients are linear in it; the working leads there.
func TestDoseLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.Float64Range(0.001, 0.5).Draw(t, "N")
		a := label.Analysis{N: label.Share(n), P2O5: 0.2, K2O: 0.1, SlowN: label.Share(n * rapid.Float64Range(0, 0.9).Draw(t, "slow"))}
		x := rapid.Float64Range(0.001, 100).Draw(t, "rate")
		p, rate := granule(a), label.Rate{Dry: unit.MassPerArea(x) * pound}
		if rapid.Bool().Draw(t, "liquid") {
			p, rate = fluid(unit.Density(rapid.Float64Range(0.6, 2).Draw(t, "kg/L"))*unit.KilogramPerLitre, a), label.Rate{Liquid: unit.VolumePerArea(x) * floz}
		}
		nutrient := rapid.SampledFrom([]string{"N", "P2O5", "K2O", "P", "K"}).Draw(t, "nutrient")
		basis := label.Total
		if nutrient == "N" {
			basis = rapid.SampledFrom([]label.Basis{label.Total, label.Quick}).Draw(t, "basis")
		}
		c, ps := p.Content(nutrient, basis, "")
		d, more := c.AtRate(rate, "")
		back, again := c.ForWeight(d.Weight, "")
		if len(ps)+len(more)+len(again) > 0 {
			t.Fatal(ps, more, again)
		}
		if got, want := float64(back.Rate.Dry)+float64(back.Rate.Liquid), float64(rate.Dry)+float64(rate.Liquid); math.Abs(got-want) > 1e-12*want {
			t.Fatalf("%v comes back as %v", rate, back.Rate)
		}
		if twice := c.At(rate.Times(2)); math.Abs(float64(twice-2*d.Weight)) > 1e-12*float64(twice) {
			t.Fatalf("twice the rate: %v, once %v", twice, d.Weight)
		}
		amount := rate.Over(5000 * unit.SquareFoot)
		h, _ := c.InAmount(amount, "")
		if want := d.Weight.Over(5000 * unit.SquareFoot); math.Abs(float64(h.Weight-want)) > 1e-12*float64(want) {
			t.Fatalf("on 5,000 sq ft: %v in the amount, %v by the rate", h.Weight, want)
		}
		held, _ := c.ToHold(h.Weight, "")
		for _, s := range []unit.System{unit.US, unit.Metric} {
			for _, w := range []working.Working{d.Working(s), back.Working(s), h.Working(s), held.Working(s)} {
				if err := w.Verify(); err != nil {
					t.Fatalf("%v\n%s", err, w.Text())
				}
			}
		}
	})
}
