package label_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/unit"
)

// full is an invented product with every entry.
func full() label.Product {
	p := liquid
	p.Code = "2 EC"
	p.Analysis = label.Analysis{N: 0.18, P2O5: 0.02, K2O: 0.04, SlowN: 0.06, Other: map[string]label.Share{"Fe": 0.02}}
	p.Active, p.ActivePerVolume = 0.3, 2.58*unit.PoundPerGallon
	p.Containers = []label.Container{{Name: "jug", Holds: label.Amount{Liquid: 2.5 * unit.Gallon}}}
	p.Measure = label.Amount{Liquid: unit.FluidOunce / 2}
	p.Label.Dated, p.Label.IntervalDays = "2026-01-05", 28
	p.Label.LeastInMix, p.Label.MostInMix = label.Strength{Liquid: unit.PercentByVolume / 4}, label.Strength{Liquid: 4 * unit.PercentByVolume}
	p.Label.Buffers = []label.Buffer{{Near: "water", Distance: 25 * unit.Foot, Citation: "c", Dated: "2026-01-05"}}
	p.Label.NotWith = []string{"wettable"}
	p.Label.Limits = []label.Limit{{Of: "Weed liquid", Per: label.PerYear, Most: label.Rate{Liquid: 9 * floz}, Times: 2, Citation: "c", Dated: "2026-01-05"}}
	return p
}

func TestValidateProduct(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	for _, c := range []struct {
		name  string
		spoil func(*label.Product)
		want  string
	}{
		{"good", func(*label.Product) {}, ""},
		{"named as a nutrient", func(p *label.Product) { p.Name, p.Label.Limits = "Fe", nil }, "error:name-is-nutrient"},
		{"a granule needs no class", func(p *label.Product) { *p = granule(label.Analysis{N: 0.2}); p.Label.Citation = "c" }, ""},
		{"a granule with a strength", func(p *label.Product) {
			*p = granule(label.Analysis{N: 0.2})
			p.Label.Citation, p.Label.MostInMix = "c", label.Strength{Dry: 1}
		}, "error:granule-in-tank"},
		{"a liquid needs one", func(p *label.Product) { p.Class = "" }, "error:class-unknown"},
		{"code of another form", func(p *label.Product) { p.Code = "WDG" }, "error:code-not-for-form"},
		{"a granule's code", func(p *label.Product) { p.Code = "GR" }, "error:code-not-for-form"},
		{"a code that nobody knows", func(p *label.Product) { p.Code = "QQ" }, ""},
		{"label's date", func(p *label.Product) { p.Label.Dated = "Jan 2026" }, "error:date-invalid"},
		{"18 for 18 %", func(p *label.Product) { p.Analysis.N = 18 }, "error:share-outside"},
		{"negative", func(p *label.Product) { p.Analysis.K2O = -0.01 }, "error:share-outside"},
		{"NaN", func(p *label.Product) { p.Analysis.P2O5 = label.Share(nan) }, "error:share-outside"},
		{"over the whole", func(p *label.Product) { p.Analysis.N, p.Analysis.K2O = 0.6, 0.41 }, "error:analysis-over-whole"},
		{"the whole", func(p *label.Product) { p.Analysis = label.Analysis{N: 0.5, K2O: 0.5} }, ""},
		{"slow over total", func(p *label.Product) { p.Analysis.SlowN = 0.2 }, "error:slow-over-total"},
		{"all slow", func(p *label.Product) { p.Analysis.SlowN = 0.18 }, ""},
		{"nutrients and none", func(p *label.Product) { p.Analysis.None = true }, "error:analysis-contradicts"},
		{"element in the analysis", func(p *label.Product) { p.Analysis.Other = map[string]label.Share{"P": 0.1} }, "error:nutrient-unknown"},
		{"unknown nutrient", func(p *label.Product) { p.Analysis.Other = map[string]label.Share{"Irn": 0.1} }, "error:nutrient-unknown"},
		{"unknown and too much", func(p *label.Product) { p.Analysis.Other = map[string]label.Share{"Irn": 1.1} }, "error:nutrient-unknown error:share-outside"},
		{"active share", func(p *label.Product) { p.Active = 30 }, "error:share-outside"},
		{"active heavier than the product", func(p *label.Product) { p.ActivePerVolume = 9 * unit.PoundPerGallon }, "error:absurd"},
		{"active NaN", func(p *label.Product) { p.ActivePerVolume = unit.Density(nan) }, "error:absurd"},
		{"active said twice", func(p *label.Product) { p.ActivePerVolume = 4 * unit.PoundPerGallon }, "warning:active-differs"},
		{"active of a weighed one", func(p *label.Product) {
			*p = dry
			p.ActivePerVolume = unit.PoundPerGallon
		}, "error:active-wrong-kind"},
		{"density of a weighed one", func(p *label.Product) {
			*p = dry
			p.Density = 9 * unit.PoundPerGallon
		}, "warning:density-unused"},
		{"displaced", func(p *label.Product) {
			*p = dry
			p.InTank = 2 * unit.KilogramPerLitre
		}, ""},
		{"displaced absurdly", func(p *label.Product) {
			*p = dry
			p.InTank = 20 * unit.KilogramPerLitre
		}, "error:absurd"},
		{"displaced by a liquid", func(p *label.Product) { p.InTank = 2 * unit.KilogramPerLitre }, "warning:density-unused"},
		{"jug without a name", func(p *label.Product) { p.Containers[0].Name = "" }, "error:container-without-name"},
		{"jug by weight", func(p *label.Product) { p.Containers[0].Holds = label.Amount{Dry: 1} }, "error:container-wrong-kind"},
		{"empty jug", func(p *label.Product) { p.Containers[0].Holds = label.Amount{} }, "error:container-size"},
		{"a lake", func(p *label.Product) { p.Containers[0].Holds.Liquid = 51 }, "error:container-size"},
		{"NaN jug", func(p *label.Product) { p.Containers[0].Holds.Liquid = unit.Volume(nan) }, "error:container-size"},
		{"measure by weight", func(p *label.Product) { p.Measure = label.Amount{Dry: 1} }, "error:measure-wrong-kind"},
		{"negative measure", func(p *label.Product) { p.Measure.Liquid = -1 }, "error:measure-size"},
		{"negative interval", func(p *label.Product) { p.Label.IntervalDays = -1 }, "error:interval-outside"},
		{"endless interval", func(p *label.Product) { p.Label.IntervalDays = 4000 }, "error:interval-outside"},
		{"buffer of nothing", func(p *label.Product) { p.Label.Buffers[0].Near = "" }, "error:buffer-near-missing"},
		{"buffer of no width", func(p *label.Product) { p.Label.Buffers[0].Distance = 0 }, "error:buffer-distance"},
		{"buffer without end", func(p *label.Product) { p.Label.Buffers[0].Distance = unit.Length(inf) }, "error:buffer-distance"},
		{"buffer without a word", func(p *label.Product) { p.Label.Buffers[0].Citation, p.Label.Buffers[0].Dated = "", "" }, "error:citation-missing error:dated-missing"},
		{"not with itself", func(p *label.Product) { p.Label.NotWith = []string{"Weed liquid", ""} }, "error:not-with-itself error:not-with-itself"},
		{"strengths crossed", func(p *label.Product) { p.Label.LeastInMix.Liquid = 0.05 }, "error:limits-crossed"},
		{"strength by weight", func(p *label.Product) { p.Label.MostInMix = label.Strength{Dry: 1} }, "error:strength-wrong-kind"},
		{"stronger than the product", func(p *label.Product) { p.Label.MostInMix.Liquid = 4 }, "error:strength-outside"},
		{"negative strength", func(p *label.Product) { p.Label.LeastInMix.Liquid = -1 }, "error:strength-outside"},
		{"a label's limit", func(p *label.Product) { p.Label.Limits[0].Per = "" }, "error:per-missing"},
		{"a label's limit of another product", func(p *label.Product) { p.Label.Limits[0].Of = "Feed" }, "error:limit-of-unknown"},
		{"all at once", func(p *label.Product) { p.Analysis.N, p.Label.IntervalDays, p.Measure.Liquid, p.Code = 2, -1, -1, "GR" },
			"error:code-not-for-form error:share-outside error:measure-size error:interval-outside"},
	} {
		p := full()
		c.spoil(&p)
		got := p.Validate("day.yaml:7")
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
}

func TestValidateLimit(t *testing.T) {
	good := label.Limit{Of: "N", Basis: label.Quick, Per: label.PerDays, Days: 30, Most: label.Rate{Dry: 0.9 * pound}, Times: 2, LeastSlow: 0.2,
		From: "11-15", To: "03-01", Grass: "bermuda", Applicator: "gun", Citation: "c", Dated: "2026-02-01", Where: "day.yaml:7"}
	for _, c := range []struct {
		name  string
		spoil func(*label.Limit)
		want  string
	}{
		{"good", func(*label.Limit) {}, ""},
		{"of a liquid", func(l *label.Limit) {
			*l = label.Limit{Of: "Weed liquid", Per: label.PerYear, Most: label.Rate{Liquid: 3 * floz}, Citation: "c", Dated: "2026-02-01", Where: l.Where}
		}, ""},
		{"of nothing", func(l *label.Limit) { l.Of = "" }, "error:limit-of-missing"},
		{"phosphorus", func(l *label.Limit) { l.Of, l.Basis, l.LeastSlow = "phosphorus", "", 0 }, "error:nutrient-ambiguous"},
		{"potash", func(l *label.Limit) { l.Of, l.Basis, l.LeastSlow = "Potash", "", 0 }, "error:nutrient-ambiguous"},
		{"p2o5", func(l *label.Limit) { l.Of, l.Basis, l.LeastSlow = "p2o5", "", 0 }, "error:limit-of-unknown"},
		{"nitrogen", func(l *label.Limit) { l.Of, l.Basis, l.LeastSlow = "nitrogen", "", 0 }, "error:limit-of-unknown"},
		{"an unknown nutrient", func(l *label.Limit) { l.Of, l.Basis, l.LeastSlow = "Xq", "", 0 }, "error:limit-of-unknown"},
		{"quick potash", func(l *label.Limit) { l.Of, l.LeastSlow = "K2O", 0 }, "error:basis-not-nitrogen"},
		{"slow potash", func(l *label.Limit) { l.Of, l.Basis = "K2O", "" }, "error:slow-not-nitrogen"},
		{"a cap on slow N", func(l *label.Limit) { l.Basis = label.Slow }, "error:basis-unknown"},
		{"per what", func(l *label.Limit) { l.Per, l.Days = "", 0 }, "error:per-missing"},
		{"per month", func(l *label.Limit) { l.Per, l.Days = "month", 0 }, "error:per-unknown"},
		{"days without a number", func(l *label.Limit) { l.Days = 0 }, "error:days-missing"},
		{"too many days", func(l *label.Limit) { l.Days = 9999 }, "error:absurd"},
		{"a year with days", func(l *label.Limit) { l.Per = label.PerYear }, "error:days-unused"},
		{"a volume of N", func(l *label.Limit) { l.Most = label.Rate{Liquid: 1 * floz} }, "error:rate-wrong-kind"},
		{"negative", func(l *label.Limit) { l.Most.Dry = -1 }, "error:rate-negative"},
		{"NaN", func(l *label.Limit) { l.Most.Dry = unit.MassPerArea(math.NaN()) }, "error:rate-negative"},
		{"negative times", func(l *label.Limit) { l.Times = -1 }, "error:times-negative"},
		{"times per application", func(l *label.Limit) { l.Per, l.Days = label.PerApplication, 0 }, "error:times-per-application"},
		{"20 for 20 %", func(l *label.Limit) { l.LeastSlow = 20 }, "error:share-outside"},
		{"half a blackout", func(l *label.Limit) { l.To = "" }, "error:blackout-half"},
		{"no such day", func(l *label.Limit) { l.From = "11-31" }, "error:blackout-invalid"},
		{"two no such days", func(l *label.Limit) { l.From, l.To = "Nov 15", "2026-03-01" }, "error:blackout-invalid error:blackout-invalid"},
		{"nothing said", func(l *label.Limit) { *l = label.Limit{Of: "N", Citation: "c", Dated: "2026-02-01", Where: l.Where} }, "error:limit-empty"},
		{"no citation", func(l *label.Limit) { l.Citation = " " }, "error:citation-missing"},
		{"no date", func(l *label.Limit) { l.Dated = "" }, "error:dated-missing"},
		{"a bad date", func(l *label.Limit) { l.Dated = "1 Feb" }, "error:date-invalid"},
		{"nothing at all", func(l *label.Limit) { *l = label.Limit{Where: l.Where} }, "error:limit-of-missing error:citation-missing error:dated-missing"},
	} {
		l := good
		c.spoil(&l)
		got := l.Validate([]label.Product{liquid})
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
}

// The classes that the W-A-L-E-S and A-P-P-L-E-S orders name, by code.
func TestFormulations(t *testing.T) {
	for code, want := range map[string]label.Class{"WP": label.Wettable, "75 WDG": label.Wettable, "wg": label.Wettable, "DF": label.Wettable, "SC": label.Flowable,
		"4F": label.Flowable, "2.5EC": label.Emulsifiable, "SL": label.Soluble, "SP": label.Soluble, "0.5 G": ""} {
		f, ok := label.FormulationOf(code)
		if !ok || f.Class != want || f.Source == "" || f.Meaning == "" {
			t.Errorf("%s: got %+v, %v, want %s", code, f, ok, want)
		}
	}
	if f, ok := label.FormulationOf("75"); ok {
		t.Errorf("no code: got %+v", f)
	}
	seen := ""
	for _, f := range label.Formulations {
		if f.Code <= seen || (f.Class == "") != (f.Form == label.Granule) {
			t.Errorf("%+v after %s", f, seen)
		}
		seen = f.Code
	}
	p := label.Product{Name: "x", Form: label.Liquid, Code: "EC", Label: label.Label{Citation: "c"}}
	if ps := p.Validate("day.yaml:7"); codes(ps) != "error:class-unknown" || !strings.Contains(ps[0].Fix, "emulsifiable") {
		t.Errorf("the usual class is not named: %v", ps)
	}
	if got := codes(label.Product{Name: "x", Form: label.Granule}.CheckInTank("day.yaml:7")); got != "error:granule-in-tank" {
		t.Errorf("got %s", got)
	}
	if got := codes(liquid.CheckInTank("day.yaml:7")); got != "" {
		t.Errorf("got %s", got)
	}
}

func TestParseShare(t *testing.T) {
	for text, want := range map[string]label.Share{"18 %": 0.18, "0.4%": 0.004, " 100 %": 1, "0 %": 0} {
		if got, err := label.ParseShare(text); err != nil || got != want {
			t.Errorf("%q: got %v, %v", text, got, err)
		}
	}
	for _, text := range []string{"", "18", "0.18", "%", "101 %", "-1 %", "NaN %", "0x1p-2 %", "eighteen %", "18 lb"} {
		if got, err := label.ParseShare(text); err == nil || got != 0 {
			t.Errorf("%q: got %v", text, got)
		}
	}
	for text, want := range map[string]string{"18-0-4": "18-0-4", "7.5 - 0 - 0": "7.5-0-0", "0-0-0": "0-0-0", "46-0-0 ": "46-0-0"} {
		if a, err := label.ParseGrade(text); err != nil || a.Grade() != want {
			t.Errorf("%q: got %v, %v", text, a, err)
		}
	}
	for _, text := range []string{"", "18", "18-0", "18-0-4-1", "18-x-4", "60-30-20", "18--4", "18/0/4", "-1-0-0"} {
		if a, err := label.ParseGrade(text); err == nil || a.Known() {
			t.Errorf("%q: got %v", text, a)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		s := label.Share(float64(rapid.IntRange(0, 1_000_000).Draw(t, "share")) / 1_000_000)
		if back, err := label.ParseShare(s.Text()); err != nil || math.Abs(float64(back-s)) > 1e-15 {
			t.Fatalf("%v prints %q and comes back as %v: %v", s, s.Text(), back, err)
		}
	})
}
