package label_test

import (
	"testing"

	"tankful/calc/label"
	"tankful/calc/unit"
	"tankful/calc/working"
	"tankful/calc/working/workingtest"
)

// What is printed of contents, doses and amounts, in both systems. The products are invented.
func TestBoard(t *testing.T) {
	bag := label.Product{Name: "Bag", Form: label.Dry, Class: label.Soluble, Analysis: label.Analysis{N: 0.30, SlowN: 0.15, P2O5: 0.05, K2O: 0.1}, Active: 0.4}
	jug := label.Product{Name: "Jug", Form: label.Liquid, Class: label.Soluble, Density: 10.65 * unit.PoundPerGallon, Analysis: label.Analysis{N: 0.28}, ActivePerVolume: 2 * unit.PoundPerGallon}
	none := label.Product{Name: "Weed", Form: label.Dry, Class: label.Wettable, Analysis: label.Analysis{None: true}}
	var list []workingtest.Case
	add := func(name string, o working.Outcome) { list = append(list, workingtest.Case{Name: name, Outcome: o}) }
	content := func(p label.Product, of string, b label.Basis) label.Content {
		c, ps := p.Content(of, b, "here")
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		return c
	}
	dose := func(name string, c label.Content, r label.Rate) {
		d, ps := c.AtRate(r, "here")
		list = append(list, workingtest.Case{Name: name, Outcome: d, Problems: ps})
	}
	for _, b := range []label.Basis{label.Total, label.Quick, label.Slow} {
		dose("bag, "+string(b)+" N", content(bag, "N", b), label.Rate{Dry: 3 * pound})
	}
	for _, of := range []string{"P2O5", "P", "K"} {
		dose("bag, "+of, content(bag, of, ""), label.Rate{Dry: 3 * pound})
	}
	dose("jug, quick N", content(jug, "N", label.Quick), label.Rate{Liquid: 12 * floz})
	dose("jug, slow N", content(jug, "N", label.Slow), label.Rate{Liquid: 12 * floz})
	dose("nothing in it", content(none, "N", ""), label.Rate{Dry: pound})
	for _, p := range []label.Product{bag, jug} {
		c, ps := p.ActiveContent("here")
		if len(ps) > 0 {
			t.Fatal(ps)
		}
		d, _ := c.ForWeight(0.05*pound, "here")
		add(p.Name+", active wanted", d)
		h, _ := c.InAmount(label.Amount{Dry: 50 * unit.Pound}, "here")
		if p.Form == label.Liquid {
			h, _ = c.InAmount(label.Amount{Liquid: 2.5 * unit.Gallon}, "here")
		}
		add(p.Name+", active in a container", h)
	}
	h, _ := content(bag, "N", "").ToHold(75*unit.Pound, "here")
	add("bags for 75 lb of N", h)
	h, _ = content(jug, "N", "").ToHold(75*unit.Pound, "here")
	add("gallons for 75 lb of N", h)
	h, _ = content(none, "N", "").InAmount(label.Amount{Dry: unit.Pound}, "here")
	add("no N in a pound", h)
	workingtest.Check(t, list)
}

// One of two entries at fault is enough.
func TestValidateEachByItself(t *testing.T) {
	inf := unit.Density(1) / unit.Density(zero)
	for _, c := range []struct {
		name  string
		p     label.Product
		spoil func(*label.Product)
		want  string
	}{
		{"most without end", full(), func(p *label.Product) { p.Label.Most.Liquid = unit.VolumePerArea(inf) }, "error:rate-negative"},
		{"least below zero", full(), func(p *label.Product) { p.Label.Least.Liquid = -1 }, "error:rate-negative"},
		{"dry most below zero", dry, func(p *label.Product) { p.Label.Most.Dry = -1 }, "error:rate-negative"},
		{"dry least without most", dry, func(p *label.Product) { p.Label.Least, p.Label.Most = p.Label.Most, label.Rate{} }, ""},
		{"carrier most below zero", full(), func(p *label.Product) { p.Label.CarrierMost = -1 }, "error:carrier-negative"},
		{"carrier least below zero", full(), func(p *label.Product) { p.Label.CarrierLeast = -1 }, "error:carrier-negative"},
		{"carrier least alone", full(), func(p *label.Product) { p.Label.CarrierMost = 0 }, ""},
		{"carriers crossed", full(), func(p *label.Product) { p.Label.CarrierLeast = 9 * gal }, "error:limits-crossed"},
		{"dry strength below zero", dry, func(p *label.Product) { p.Label.MostInMix.Dry = -1 }, "error:strength-outside"},
		{"granule, least strength alone", granule(label.Analysis{N: 0.2}), func(p *label.Product) { p.Label.Citation, p.Label.LeastInMix = "c", label.Strength{Dry: 1} }, "error:granule-in-tank"},
		{"least strength alone", full(), func(p *label.Product) { p.Label.MostInMix = label.Strength{} }, ""},
		{"none beside slow N", full(), func(p *label.Product) { p.Analysis = label.Analysis{None: true, SlowN: 0.1} }, "error:slow-over-total error:analysis-contradicts"},
		{"none beside N", full(), func(p *label.Product) { p.Analysis = label.Analysis{None: true, N: 0.1} }, "error:analysis-contradicts"},
		{"none", full(), func(p *label.Product) { p.Analysis = label.Analysis{None: true} }, ""},
		{"active denser than anything", full(), func(p *label.Product) { p.Density, p.ActivePerVolume = 0, 4000 }, "error:absurd"},
		{"active, density not known", full(), func(p *label.Product) { p.Density = 0 }, ""},
		{"active without a share", full(), func(p *label.Product) { p.Active = 0 }, ""},
		{"active over the share", full(), func(p *label.Product) { p.ActivePerVolume = 2.75 * unit.PoundPerGallon }, "warning:active-differs"},
		{"active under the share", full(), func(p *label.Product) { p.ActivePerVolume = 2.42 * unit.PoundPerGallon }, "warning:active-differs"},
		{"a bag below zero", dry, func(p *label.Product) { p.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: -1}}} }, "error:container-size"},
		{"a bag of a ship", dry, func(p *label.Product) {
			p.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: 60 * unit.Tonne}}}
		}, "error:container-size"},
		{"a bag", dry, func(p *label.Product) {
			p.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: 50 * unit.Pound}}}
		}, ""},
		{"dry measure below zero", dry, func(p *label.Product) { p.Measure.Dry = -1 }, "error:measure-size"},
		{"dry measure of a ship", dry, func(p *label.Product) { p.Measure.Dry = 60 * unit.Tonne }, "error:measure-size"},
		{"measure of a lake", full(), func(p *label.Product) { p.Measure.Liquid = 60 * unit.CubicMetre }, "error:measure-size"},
		{"too light", full(), func(p *label.Product) { p.Density, p.ActivePerVolume = 300, 0 }, "error:absurd"},
		{"too heavy", full(), func(p *label.Product) { p.Density, p.ActivePerVolume = 3100, 0 }, "error:absurd"},
		{"light in the tank", dry, func(p *label.Product) { p.InTank = 300 }, "error:absurd"},
	} {
		p := c.p
		c.spoil(&p)
		got := p.Validate("day.yaml:7")
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
}

var zero float64

// A limit of one thing alone is a limit, and its blackout is read only when both days are.
func TestLimitOfOneThing(t *testing.T) {
	for name, l := range map[string]label.Limit{
		"times": {Per: label.PerYear, Times: 2}, "a slow part": {LeastSlow: 0.2}, "a blackout": {From: "11-15", To: "03-01"},
		"a most": {Per: label.PerYear, Most: label.Rate{Dry: pound}}, "one day": {Per: label.PerDays, Days: 1, Times: 1}, "ten years": {Per: label.PerDays, Days: 3653, Times: 1},
	} {
		l.Of, l.Citation, l.Dated, l.Where = "N", "c", "2026-02-01", "day.yaml:7"
		if ps := l.Validate(nil); len(ps) > 0 {
			t.Errorf("%s: %v", name, ps)
		}
		if from, to, ok := l.Blackout(); ok != (l.From != "") || ok && (from.String() != "11-15" || to.String() != "03-01") {
			t.Errorf("%s: blackout %v to %v, %v", name, from, to, ok)
		}
	}
	for _, l := range []label.Limit{{From: "11-15"}, {To: "03-01"}, {From: "11-15", To: "x"}, {From: "x", To: "03-01"}} {
		if _, _, ok := l.Blackout(); ok {
			t.Errorf("%+v has a blackout", l)
		}
	}
	for of, fix := range map[string]string{"p2o5": "Write P2O5.", "nitrogen": "Write N.", "ca": "Write Ca."} {
		l := label.Limit{Of: of, Per: label.PerYear, Most: label.Rate{Dry: 1}, Citation: "c", Dated: "2026-02-01"}
		if ps := l.Validate(nil); len(ps) != 1 || ps[0].Fix != fix {
			t.Errorf("%s: got %v", of, ps)
		}
	}
	times := label.Limit{Of: "N", Times: 2, Citation: "c", Dated: "2026-02-01"}
	if got := codes(times.Validate(nil)); got != "error:per-missing" {
		t.Errorf("times per what: %s", got)
	}
	if got := (label.Limit{Of: "N", Basis: label.Quick, Per: label.PerDays, Days: 30}).Title(); got != "quick N in any 30 days" {
		t.Errorf("got %q", got)
	}
}

// Endless figures are no figures.
func TestEndlessRates(t *testing.T) {
	inf := 1 / zero
	for name, got := range map[string]string{
		"rate":     codes(liquid.CheckRate(label.Rate{Liquid: unit.VolumePerArea(inf)}, "day.yaml:7")),
		"carrier":  codes(liquid.CheckCarrier(unit.VolumePerArea(inf), "day.yaml:7")),
		"strength": codes(liquid.CheckStrength(label.Strength{Liquid: unit.VolumePerVolume(inf)}, "day.yaml:7")),
	} {
		if got != "error:"+name+"-zero" {
			t.Errorf("%s: got %s", name, got)
		}
	}
}
