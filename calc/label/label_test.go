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
)

const (
	floz  = unit.FluidOuncePerThousand
	pound = unit.PoundPerThousand
	gal   = unit.GallonPerThousand
)

// An invented liquid and an invented granule that is dissolved.
var (
	liquid = label.Product{Name: "Weed liquid", Form: label.Liquid, Class: label.Emulsifiable, Density: 8.6 * unit.PoundPerGallon,
		Label: label.Label{Least: label.Rate{Liquid: 1.5 * floz}, Most: label.Rate{Liquid: 4.5 * floz},
			CarrierLeast: 1 * gal, CarrierMost: 5 * gal, Citation: "invented label, 2026"}}
	dry = label.Product{Name: "Green granules", Form: label.Dry, Class: label.Wettable,
		Label: label.Label{Most: label.Rate{Dry: 0.75 * pound}, Citation: "invented label, 2026"}}
)

func codes(ps problem.List) string {
	var s []string
	for _, p := range ps {
		s = append(s, string(p.Severity)+":"+p.Code)
	}
	return strings.Join(s, " ")
}

func whole(t *testing.T, name string, ps problem.List) {
	t.Helper()
	for _, p := range ps {
		if p.Where != "day.yaml:7" || p.Severity == "" || p.What == "" || !strings.HasSuffix(p.Fix, ".") || strings.Contains(p.What, "%!") {
			t.Errorf("%s: half a problem: %+v", name, p)
		}
	}
}

func TestCheck(t *testing.T) {
	for _, c := range []struct {
		name    string
		p       label.Product
		rate    label.Rate
		carrier unit.VolumePerArea
		want    string
	}{
		{"within", liquid, label.Rate{Liquid: 3 * floz}, 2 * gal, ""},
		{"at the most", liquid, label.Rate{Liquid: 4.5 * floz}, 2 * gal, ""},
		{"at the most, in other units", liquid, label.Rate{Liquid: 4.5 * 43.56 * unit.GallonPerAcre / 128}, 2 * gal, ""},
		{"a hair of noise over", liquid, label.Rate{Liquid: 4.5 * floz * (1 + 5e-10)}, 2 * gal, ""},
		{"a hair over", liquid, label.Rate{Liquid: 4.5 * floz * (1 + 2e-9)}, 2 * gal, "error:rate-over-label"},
		{"over", liquid, label.Rate{Liquid: 5 * floz}, 2 * gal, "error:rate-over-label"},
		{"at the least", liquid, label.Rate{Liquid: 1.5 * floz}, 2 * gal, ""},
		{"under the least", liquid, label.Rate{Liquid: 1 * floz}, 2 * gal, "warning:rate-under-label"},
		{"carrier thin", liquid, label.Rate{Liquid: 3 * floz}, 0.9 * gal, "error:carrier-outside-label"},
		{"carrier fat", liquid, label.Rate{Liquid: 3 * floz}, 5.1 * gal, "error:carrier-outside-label"},
		{"carrier at the ends", liquid, label.Rate{Liquid: 3 * floz}, 43.56 * unit.GallonPerAcre, ""},
		{"over and thin", liquid, label.Rate{Liquid: 5 * floz}, 0.9 * gal, "error:rate-over-label error:carrier-outside-label"},
		{"weight for a liquid", liquid, label.Rate{Dry: 1 * pound}, 2 * gal, "error:rate-wrong-kind"},
		{"volume for a dry", dry, label.Rate{Liquid: 1 * floz}, 2 * gal, "error:rate-wrong-kind"},
		{"both kinds", dry, label.Rate{Liquid: 1 * floz, Dry: 0.5 * pound}, 2 * gal, "error:rate-wrong-kind"},
		{"no rate", liquid, label.Rate{}, 2 * gal, "error:rate-zero"},
		{"negative", liquid, label.Rate{Liquid: -1 * floz}, 2 * gal, "error:rate-zero"},
		{"NaN", dry, label.Rate{Dry: unit.MassPerArea(math.NaN())}, 2 * gal, "error:rate-zero"},
		{"no carrier", dry, label.Rate{Dry: 0.5 * pound}, 0, "error:carrier-zero"},
		{"no carrier range", dry, label.Rate{Dry: 0.5 * pound}, 12 * gal, ""},
		{"no most", label.Product{Name: "Blue dye", Form: label.Liquid, Class: label.Soluble}, label.Rate{Liquid: 1 * floz}, 2 * gal, "warning:no-label-limit"},
		{"no form", label.Product{Name: "Blue dye"}, label.Rate{Liquid: 1 * floz}, 2 * gal, "error:form-unknown"},
	} {
		got := c.p.Check(c.rate, c.carrier, "day.yaml:7")
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
}

// The two figures are there in both systems, and a small excess shows.
func ExampleProduct_Check() {
	for _, rate := range []label.Rate{{Liquid: 5 * floz}, {Liquid: 4.501 * floz}, {Liquid: 4.50001 * floz}} {
		for _, p := range liquid.Check(rate, 2*gal, "day.yaml:7") {
			fmt.Println(p.What)
		}
	}
	// Output:
	// Weed liquid at 5.00 fl oz/1000 sq ft (15.92 L/ha) is over the label's most, 4.50 fl oz/1000 sq ft (14.32 L/ha) (1.11 times)
	// Weed liquid at 4.501 fl oz/1000 sq ft (14.33 L/ha) is over the label's most, 4.50 fl oz/1000 sq ft (14.32 L/ha) (1.0002 times)
	// Weed liquid at 4.50 fl oz/1000 sq ft (14.32 L/ha) is over the label's most, 4.50 fl oz/1000 sq ft (14.32 L/ha) (1.000002 times)
}

func TestValidate(t *testing.T) {
	for _, c := range []struct {
		name  string
		spoil func(*label.Product)
		want  string
	}{
		{"good", func(*label.Product) {}, ""},
		{"no name", func(p *label.Product) { p.Name = " " }, "error:product-without-name"},
		{"no form", func(p *label.Product) { p.Form = "" }, "error:form-unknown"},
		{"no class", func(p *label.Product) { p.Class = "granular" }, "error:class-unknown"},
		{"no citation", func(p *label.Product) { p.Label.Citation = "" }, "error:citation-missing"},
		{"weights for a liquid", func(p *label.Product) { p.Label.Least, p.Label.Most = label.Rate{Dry: 1}, label.Rate{Dry: 2} }, "error:rate-wrong-kind error:rate-wrong-kind"},
		{"crossed", func(p *label.Product) { p.Label.Least = label.Rate{Liquid: 5 * floz} }, "error:limits-crossed"},
		{"least alone", func(p *label.Product) { p.Label.Most = label.Rate{} }, ""},
		{"equal", func(p *label.Product) { p.Label.Least = p.Label.Most }, ""},
		{"negative", func(p *label.Product) { p.Label.Most.Liquid = -1 }, "error:rate-negative"},
		{"NaN", func(p *label.Product) { p.Label.Least.Liquid = unit.VolumePerArea(math.NaN()) }, "error:rate-negative"},
		{"carriers crossed", func(p *label.Product) { p.Label.CarrierLeast = 6 * gal }, "error:limits-crossed"},
		{"carrier negative", func(p *label.Product) { p.Label.CarrierLeast = -gal }, "error:carrier-negative"},
		{"kg/L for lb/gal", func(p *label.Product) { p.Density = 8.6 * unit.KilogramPerLitre }, "error:absurd"},
		{"NaN density", func(p *label.Product) { p.Density = unit.Density(math.NaN()) }, "error:absurd"},
		{"nothing", func(p *label.Product) { *p = label.Product{} }, "error:product-without-name error:form-unknown error:class-unknown error:citation-missing"},
	} {
		p := liquid
		c.spoil(&p)
		got := p.Validate("day.yaml:7")
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
}

func TestParseRate(t *testing.T) {
	if r, err := label.ParseRate("32 fl oz/acre", label.Liquid); err != nil || r.Dry != 0 || math.Abs(r.Liquid.In(unit.GallonPerAcre)-0.25) > 1e-12 {
		t.Errorf("32 fl oz/acre: got %v, %v", r, err)
	}
	if r, err := label.ParseRate("0.75 lb/1000 sq ft", label.Dry); err != nil || r != (label.Rate{Dry: 0.75 * pound}) {
		t.Errorf("0.75 lb/1000 sq ft: got %v, %v", r, err)
	}
	if a, err := label.ParseAmount("1 gal 28 fl oz", label.Liquid); err != nil || math.Abs(a.Liquid.In(unit.FluidOunce)-156) > 1e-9 {
		t.Errorf("1 gal 28 fl oz: got %v, %v", a, err)
	}
	if a, err := label.ParseAmount("2 lb 8 oz wt", label.Dry); err != nil || math.Abs(a.Dry.In(unit.Pound)-2.5) > 1e-12 {
		t.Errorf("2 lb 8 oz wt: got %v, %v", a, err)
	}
	for _, c := range []struct {
		text string
		form label.Form
	}{{"4 oz/1000 sq ft", label.Liquid}, {"4 oz/1000 sq ft", label.Dry}, {"4 fl oz/acre", label.Dry}, {"4 lb/acre", label.Liquid}, {"4 lb/acre", ""}, {"4", label.Liquid}} {
		if r, err := label.ParseRate(c.text, c.form); err == nil || !r.IsZero() {
			t.Errorf("%q as %q: got %v", c.text, c.form, r)
		}
	}
	if a, err := label.ParseAmount("4 oz", label.Liquid); err == nil || !a.IsZero() {
		t.Errorf("4 oz: got %v", a)
	}
	if _, err := label.ParseAmount("4 lb", "powder"); err == nil {
		t.Error("an amount of an unknown form is read")
	}
}

func TestText(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{label.Amount{Liquid: 412.5 * unit.FluidOunce}.Text(unit.US), "412.5 fl oz (3 gal 28.5 fl oz)"},
		{label.Amount{Liquid: 12.5 * unit.FluidOunce}.Text(unit.US), "12.5 fl oz"},
		{label.Amount{Liquid: 127.96 * unit.FluidOunce}.Text(unit.US), "128.0 fl oz (1 gal 0.0 fl oz)"},
		{label.Amount{Liquid: 12.2 * unit.Litre}.Text(unit.Metric), "12,200 mL (12.200 L)"},
		{label.Amount{Liquid: 0.999 * unit.Litre}.Text(unit.Metric), "999 mL"},
		{label.Amount{Dry: 24.35 * unit.Pound}.Text(unit.US), "24.35 lb"},
		{label.Amount{Dry: 11.045 * unit.Kilogram}.Text(unit.Metric), "11.05 kg"},
		{label.Amount{}.Text(unit.US), "none"},
		{label.Rate{}.Text(unit.US), "no rate"},
		{label.Rate{Dry: 0.75 * pound}.Text(unit.US), "0.75 lb/1000 sq ft"},
		{label.Rate{Liquid: 4.5 * floz}.Text(unit.Metric), "14.32 L/ha"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// Rounding is what is printed, moves at most half a step, and rounding down never goes over.
func TestRoundLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
		a := label.Amount{Liquid: unit.Volume(rapid.Float64Range(0, 1).Draw(t, "m3"))}
		b := label.Amount{Dry: unit.Mass(rapid.Float64Range(0, 1000).Draw(t, "kg"))}
		for _, x := range []label.Amount{a, b} {
			r, d := x.Round(s), x.RoundDown(s)
			if !r.IsZero() && r.Text(s) != x.Text(s) || r.Round(s) != r || d.Round(s) != d {
				t.Fatalf("%s rounds to %s, down to %s", x.Text(s), r.Text(s), d.Text(s))
			}
			// A step is 0.1 fl oz < 3 mL, or 0.01 kg.
			if math.Abs(float64(r.Liquid-x.Liquid)) > 1.5e-6 || math.Abs(float64(r.Dry-x.Dry)) > 0.0050001 {
				t.Fatalf("%v rounds as far as %v", x, r)
			}
			if float64(d.Liquid) > float64(x.Liquid)*(1+1e-9) || float64(d.Dry) > float64(x.Dry)*(1+1e-9) ||
				float64(x.Liquid-d.Liquid) > 3e-6 || float64(x.Dry-d.Dry) > 0.0100001 {
				t.Fatalf("%v rounds down to %v", x, d)
			}
		}
	})
}

// A rate over an area, halved, put on twice is the same amount.
func TestOverAdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := label.Rate{Liquid: unit.VolumePerArea(rapid.Float64Range(0, 1e-4).Draw(t, "rate"))}
		a, b := unit.Area(rapid.Float64Range(0, 1e5).Draw(t, "a")), unit.Area(rapid.Float64Range(0, 1e5).Draw(t, "b"))
		got, want := r.Over(a).Plus(r.Over(b)).Liquid, r.Over(a+b).Liquid
		if math.Abs(float64(got-want)) > 1e-12*float64(want) {
			t.Fatalf("%v and %v apart: %v, together %v", a, b, got, want)
		}
	})
}
