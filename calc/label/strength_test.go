package label_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/unit"
)

// dilution tables, New England Vegetable Management Guide, n.d.: 4 qt/100 gal is 1 qt in 25 gal, and 1
// lb/100 gal is 0.25 lb in 25 gal.
func TestParseStrength(t *testing.T) {
	quarts, err := label.ParseStrength("4 qt/100 gal", label.Liquid)
	if got := quarts.In(25 * unit.Gallon).Liquid.In(unit.Quart); err != nil || math.Abs(got-1) > 1e-12 {
		t.Errorf("4 qt/100 gal in 25 gal: got %v qt, %v", got, err)
	}
	pounds, err := label.ParseStrength("1 lb/100 gal", label.Dry)
	if got := pounds.In(25 * unit.Gallon).Dry.In(unit.Pound); err != nil || math.Abs(got-0.25) > 1e-12 {
		t.Errorf("1 lb/100 gal in 25 gal: got %v lb, %v", got, err)
	}
	for _, c := range []struct {
		text       string
		form       label.Form
		us, metric string
	}{
		{"2 fl oz/gal", label.Liquid, "2.00 fl oz/gal", "15.625 mL/L"},
		{"1 qt/100 gal", label.Liquid, "0.32 fl oz/gal", "2.50 mL/L"},
		{"0.25 % v/v", label.Liquid, "0.32 fl oz/gal", "2.50 mL/L"},
		{"5 mL/L", label.Liquid, "0.64 fl oz/gal", "5.00 mL/L"},
		{"2 lb/100 gal", label.Dry, "2.00 lb/100 gal", "2.3965 g/L"},
		{"10 g/L", label.Dry, "8.345 lb/100 gal", "10.00 g/L"},
		{"4 oz wt/gal", label.Dry, "25.00 lb/100 gal", "29.96 g/L"},
	} {
		s, err := label.ParseStrength(c.text, c.form)
		if err != nil {
			t.Errorf("%s: %v", c.text, err)
			continue
		}
		for sys, want := range map[unit.System]string{unit.US: c.us, unit.Metric: c.metric} {
			got := s.Text(sys)
			x, _, _ := strings.Cut(want, " ")
			y, _, _ := strings.Cut(got, " ")
			if x != y && !(len(y) < len(x) && strings.HasPrefix(got, y)) || got[len(y):] != want[len(x):] {
				t.Errorf("%s in %s: got %q, want %q", c.text, sys, got, want)
			}
		}
	}
	if got := (label.Strength{}).Text(unit.US); got != "no strength" {
		t.Errorf("got %q", got)
	}
}

// A per cent of a dry product could be weight in weight or weight in volume; the choices are named.
func TestStrengthRefused(t *testing.T) {
	for _, c := range []struct {
		text string
		form label.Form
		says string
	}{
		{"2 %", label.Dry, `"lb/100 gal"`}, {"2%", label.Dry, `"lb/100 gal"`}, {"2 % w/w", label.Dry, `"lb/100 gal"`}, {"2 % v/v", label.Dry, ""},
		{"2 %", label.Liquid, `"% v/v"`}, {"2 fl oz/gal", label.Dry, ""}, {"2 lb/100 gal", label.Liquid, ""}, {"2 oz/gal", label.Liquid, "fl oz"}, {"2 oz/gal", label.Dry, "oz wt"},
		{"2", label.Liquid, "unit"}, {"", label.Dry, ""}, {"2 lb/100 gal", label.Granule, "granule"}, {"2 lb/100 gal", "powder", "powder"},
	} {
		s, err := label.ParseStrength(c.text, c.form)
		if err == nil || !s.IsZero() || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q of a %s: got %v, %v, want one that says %s", c.text, c.form, s, err, c.says)
		}
		var e *unit.ParseError
		if c.form == label.Dry || c.form == label.Liquid {
			if !errors.As(err, &e) || e.Try == "" {
				t.Errorf("%q of a %s: %v does not say what to write", c.text, c.form, err)
			}
		}
	}
}

func TestCheckStrength(t *testing.T) {
	wetter := label.Product{Name: "Wetter", Form: label.Liquid, Class: label.Surfactant, Label: label.Label{
		LeastInMix: label.Strength{Liquid: 0.25 * unit.PercentByVolume}, MostInMix: label.Strength{Liquid: 0.5 * unit.PercentByVolume},
		Most: label.Rate{Liquid: 2 * floz}, CarrierLeast: 1 * gal, Citation: "invented label, 2026"}}
	only := wetter
	only.Label.Most = label.Rate{}
	powder := label.Product{Name: "Powder", Form: label.Dry, Class: label.Wettable, Label: label.Label{MostInMix: label.Strength{Dry: 2 * unit.PoundPerGallon / 100}, Citation: "c"}}
	spread := label.Product{Name: "Spread", Form: label.Granule, Label: label.Label{Most: label.Rate{Dry: 5 * pound}, Citation: "c"}}
	for _, c := range []struct {
		name    string
		p       label.Product
		rate    label.Rate
		carrier unit.VolumePerArea
		want    string
	}{
		// 0.5 % v/v is 0.64 fl oz/gal: 1.28 fl oz in 2 gal.
		{"both hold", wetter, label.Rate{Liquid: 1.28 * floz}, 2 * gal, ""},
		{"over in the mix, not per area", wetter, label.Rate{Liquid: 1.3 * floz}, 2 * gal, "error:strength-over-label"},
		{"over per area, not in the mix", wetter, label.Rate{Liquid: 2.1 * floz}, 4 * gal, "error:rate-over-label"},
		{"over in both", wetter, label.Rate{Liquid: 2.1 * floz}, 2 * gal, "error:rate-over-label error:strength-over-label"},
		{"weak", wetter, label.Rate{Liquid: 0.6 * floz}, 2 * gal, "warning:strength-under-label"},
		{"thin carrier too", wetter, label.Rate{Liquid: 1 * floz}, 0.9 * gal, "error:carrier-outside-label error:strength-over-label"},
		{"a limit in the mix is a limit", only, label.Rate{Liquid: 1.28 * floz}, 2 * gal, ""},
		{"no rate", wetter, label.Rate{}, 2 * gal, "error:rate-zero"},
		{"no carrier", wetter, label.Rate{Liquid: 1 * floz}, 0, "error:carrier-zero"},
		// 2 lb/100 gal x 2 gal = 0.04 lb.
		{"dry at the most", powder, label.Rate{Dry: 0.04 * pound}, 2 * gal, ""},
		{"dry over", powder, label.Rate{Dry: 0.041 * pound}, 2 * gal, "error:strength-over-label"},
		{"a granule in a tank", spread, label.Rate{Dry: 3 * pound}, 2 * gal, "error:granule-in-tank"},
	} {
		got := c.p.Check(c.rate, c.carrier, "day.yaml:7")
		if codes(got) != c.want {
			t.Errorf("%s: got %q, want %q\n%v", c.name, codes(got), c.want, got)
		}
		whole(t, c.name, got)
	}
	for want, s := range map[string]label.Strength{
		"error:strength-wrong-kind": {Dry: 1}, "error:strength-zero": {}, "error:strength-over-label": {Liquid: 0.5}} {
		got := wetter.CheckStrength(s, "day.yaml:7")
		if codes(got) != want {
			t.Errorf("%v: got %v, want %s", s, got, want)
		}
		whole(t, want, got)
	}
	if got := codes(spread.CheckStrength(label.Strength{Dry: 1}, "")); got != "error:granule-in-tank" {
		t.Errorf("a granule's strength: got %s", got)
	}
	if got := codes(label.Product{}.CheckStrength(label.Strength{Dry: 1}, "")); got != "error:form-unknown" {
		t.Errorf("no form: got %s", got)
	}
	if got := codes(spread.CheckRate(label.Rate{Dry: 3 * pound}, "")); got != "" {
		t.Errorf("a granule's rate is checked like any: got %s", got)
	}
}

// What is printed is within 0.05 %, is read again, and then prints the same; a strength and the rate that it
// makes at a carrier rate are the same.
func TestStrengthLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-5, 0.5).Draw(t, "share")
		form, s := label.Liquid, label.Strength{Liquid: unit.VolumePerVolume(x)}
		if rapid.Bool().Draw(t, "dry") {
			form, s = label.Dry, label.Strength{Dry: unit.Density(x) * unit.KilogramPerLitre}
		}
		for _, sys := range []unit.System{unit.US, unit.Metric} {
			text := s.Text(sys)
			back, err := label.ParseStrength(text, form)
			if err != nil || back.Text(sys) != text {
				t.Fatalf("%v prints %q and comes back as %q: %v", s, text, back.Text(sys), err)
			}
			if a, b := float64(s.Liquid)+float64(s.Dry), float64(back.Liquid)+float64(back.Dry); math.Abs(a-b) > 0.00051*a {
				t.Fatalf("%v prints %q", s, text)
			}
		}
		entered := unit.Number(rapid.Float64Range(0.01, 50).Draw(t, "entered"), 2)
		for text, form := range map[string]label.Form{" fl oz/gal": label.Liquid, " lb/100 gal": label.Dry} {
			if e, err := label.ParseStrength(entered+text, form); err != nil || e.Text(unit.US) != entered+text {
				t.Fatalf("%s comes back as %s: %v", entered+text, e.Text(unit.US), err)
			}
		}
		carrier := unit.VolumePerArea(rapid.Float64Range(0.1, 10).Draw(t, "carrier")) * gal
		again := s.At(carrier).In(carrier)
		if a, b := float64(s.Liquid)+float64(s.Dry), float64(again.Liquid)+float64(again.Dry); math.Abs(a-b) > 1e-12*a {
			t.Fatalf("%v is %v at %v", s, again, carrier)
		}
	})
}

// A rate rounded down is not over, is as it prints, and prints as it is read.
func TestRateRoundDown(t *testing.T) {
	for _, c := range []struct {
		in, want float64
	}{{4.5, 4.5}, {20.0067, 20}, {219.129, 219.12}, {0.99969, 0.9996}, {0.18379, 0.1837}, {0.2999, 0.2999}, {1e-9, 0}, {0, 0}} {
		if got := (label.Rate{Dry: unit.MassPerArea(c.in) * pound}).RoundDown(unit.US).Dry.In(pound); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%v: got %v, want %v", c.in, got, c.want)
		}
	}
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(1e-4, 200).Draw(t, "x")
		for form, r := range map[label.Form]label.Rate{label.Liquid: {Liquid: unit.VolumePerArea(x) * floz}, label.Granule: {Dry: unit.MassPerArea(x) * pound}} {
			for _, s := range []unit.System{unit.US, unit.Metric} {
				d := r.RoundDown(s)
				if d.IsZero() {
					continue
				}
				back, err := label.ParseRate(d.Text(s), form)
				if err != nil || d.Exceeds(r) || back.Exceeds(r) || back.Exceeds(d) || d.Exceeds(back) {
					t.Fatalf("%v rounds down to %v, printed %s, read as %v: %v", r, d, d.Text(s), back, err)
				}
				if !d.Times(1.02).Plus(label.Rate{Liquid: 0.011 * floz, Dry: 0.011 * pound}).Exceeds(r) {
					t.Fatalf("%v rounds down as far as %v", r, d)
				}
			}
		}
	})
}
