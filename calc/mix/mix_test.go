package mix_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

const (
	floz  = unit.FluidOuncePerThousand
	pound = unit.PoundPerThousand
	gal   = unit.GallonPerThousand
)

func liquid(name string, class label.Class, rate, most unit.VolumePerArea) mix.Part {
	return mix.Part{Product: label.Product{Name: name, Form: label.Liquid, Class: class,
		Label: label.Label{Most: label.Rate{Liquid: most}, Citation: "invented label, 2026"}}, Rate: label.Rate{Liquid: rate}}
}

func dry(name string, class label.Class, rate, most unit.MassPerArea) mix.Part {
	return mix.Part{Product: label.Product{Name: name, Form: label.Dry, Class: class,
		Label: label.Label{Most: label.Rate{Dry: most}, Citation: "invented label, 2026"}}, Rate: label.Rate{Dry: rate}}
}

func codes(ps problem.List) string {
	var s []string
	for _, p := range ps {
		s = append(s, string(p.Severity)+":"+p.Code)
		if p.What == "" || !strings.HasSuffix(p.Fix, ".") || strings.Contains(p.What, "%!") {
			s = append(s, "half a problem")
		}
	}
	return strings.Join(s, " ")
}

// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 32 fl oz/acre at 20 gal/acre
// is 32 fl oz in 20 gal. The last, part tankful takes its share, not another 32.
func ExampleRecipe_Portions() {
	r := mix.Recipe{Carrier: 20 * unit.GallonPerAcre, Parts: []mix.Part{
		liquid("Weed liquid", label.Emulsifiable, 32*unit.GallonPerAcre/128, 40*unit.GallonPerAcre/128),
		dry("Green granules", label.Wettable, 2*unit.PoundPerAcre, 4*unit.PoundPerAcre)}}
	for _, fill := range []unit.Volume{20 * unit.Gallon, 5 * unit.Gallon} {
		portions := r.Portions(fill, unit.US)
		for _, p := range portions {
			fmt.Println(unit.US.Volume(fill), p.Name, p.Amount.Text(unit.US))
		}
		fmt.Println("water", unit.US.Liquid(r.Water(fill, portions)))
	}
	// Output:
	// 20.0 gal Green granules 2.00 lb
	// 20.0 gal Weed liquid 32.0 fl oz
	// water 2,528.0 fl oz
	// 5.0 gal Green granules 0.50 lb
	// 5.0 gal Weed liquid 8.0 fl oz
	// water 632.0 fl oz
}

// The carrier rate changes what goes into a gallon, never what goes on an area.
func TestCarrierMovesTheGallonNotTheGround(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		rate := unit.VolumePerArea(rapid.Float64Range(0.1, 8).Draw(t, "fl oz per 1000")) * floz
		carrier := unit.VolumePerArea(rapid.Float64Range(0.5, 5).Draw(t, "gal per 1000")) * gal
		area := unit.Area(rapid.Float64Range(500, 90_000).Draw(t, "sq ft")) * unit.SquareFoot
		r := mix.Recipe{Carrier: carrier, Parts: []mix.Part{liquid("a", label.Soluble, rate, 0)}}
		fill := carrier.Over(area)
		got := r.Portions(fill, unit.US)[0].Exact.Liquid
		if want := rate.Over(area); math.Abs(float64(got/want-1)) > 1e-12 {
			t.Fatalf("%v on the ground, want %v", got, want)
		}
	})
}

func TestValidate(t *testing.T) {
	part := liquid("a", label.Soluble, 3*floz, 4*floz)
	thin := part
	thin.Product.Label.CarrierLeast = 3 * gal
	for _, c := range []struct {
		name string
		r    mix.Recipe
		want string
	}{
		{"good", mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{part, dry("b", label.Wettable, 0.5*pound, pound)}}, ""},
		{"nothing", mix.Recipe{}, "error:carrier-zero warning:mix-without-products"},
		{"carrier once", mix.Recipe{Parts: []mix.Part{part, thin}}, "error:carrier-zero error:product-twice"},
		{"NaN carrier", mix.Recipe{Carrier: unit.VolumePerArea(math.NaN()), Parts: []mix.Part{part}}, "error:carrier-zero"},
		{"over", mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 5*floz, 4*floz)}}, "error:rate-over-label"},
		{"carrier", mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{thin}}, "error:carrier-outside-label"},
		{"no room", mix.Recipe{Carrier: 0.1 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 10*floz, 20*floz), liquid("b", label.Soluble, 10*floz, 20*floz)}}, "error:no-room-for-water"},
		{"just room", mix.Recipe{Carrier: 20 * floz, Parts: []mix.Part{liquid("a", label.Soluble, 10*floz, 20*floz), liquid("b", label.Soluble, 10*floz, 20*floz)}}, ""},
		{"no limit", mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 5*floz, 0)}}, "warning:no-label-limit"},
	} {
		if got := codes(c.r.Validate("day.yaml:7")); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

func TestCheckRounded(t *testing.T) {
	// At the label's most: 10.04 gal at 1 gal/1000 sq ft and 4.5 fl oz/1000 sq ft is 45.18 fl oz;
	// 45.2 would be over the label, 45.1 is what may be measured.
	atMost := mix.Recipe{Carrier: gal, Parts: []mix.Part{liquid("a", label.Soluble, 4.5*floz, 4.5*floz)}}
	fill := 10.04 * unit.Gallon
	portions := atMost.Portions(fill, unit.US)
	if got := portions[0].Amount.Text(unit.US); got != "45.1 fl oz" {
		t.Errorf("at the label's most: got %s, want 45.1 fl oz", got)
	}
	if got := codes(atMost.CheckRounded(portions, fill, "")); got != "" {
		t.Errorf("at the label's most: %s", got)
	}
	portions[0].Amount.Liquid = 45.2 * unit.FluidOunce
	if got := codes(atMost.CheckRounded(portions, fill, "")); got != "error:amount-over-label" {
		t.Errorf("over the label by measuring: %q", got)
	}
	// Below its most a rate is rounded to the nearest: 45.18 is 45.2.
	atMost.Parts[0].Product.Label.Most.Liquid = 5 * floz
	if got := atMost.Portions(fill, unit.US)[0]; got.Amount.Text(unit.US) != "45.2 fl oz" || math.Abs(got.Effect-0.02/45.18) > 1e-9 {
		t.Errorf("below the most: got %s, effect %g", got.Amount.Text(unit.US), got.Effect)
	}
	// 1 gal of a mix at 0.04 lb/10,000 sq ft is 0.004 lb, which no scale of 0.01 lb shows; at
	// 0.14 it is 0.014, measured as 0.01, 29 % short.
	for rate, want := range map[unit.MassPerArea]string{0.004: "error:amount-too-small", 0.014: "warning:amount-coarse", 0.14: ""} {
		r := mix.Recipe{Carrier: gal, Parts: []mix.Part{dry("a", label.Wettable, rate*pound, 1*pound)}}
		if got := codes(r.CheckRounded(r.Portions(unit.Gallon, unit.US), unit.Gallon, "")); got != want {
			t.Errorf("%g lb/1000 sq ft: got %q, want %q", float64(rate), got, want)
		}
	}
	if got := codes(atMost.CheckRounded([]mix.Portion{{Name: "z"}}, fill, "")); got != "error:product-unknown" {
		t.Errorf("a product of another mix: %q", got)
	}
	if got := codes(mix.Recipe{}.CheckRounded(nil, fill, "")); got != "error:fill-zero" {
		t.Errorf("no carrier: %q", got)
	}
	if p := (mix.Recipe{Parts: atMost.Parts}).Portions(fill, unit.US); p != nil {
		t.Errorf("portions without a carrier rate: %v", p)
	}
}

// Measuring never takes a rate that is within its label over it, and is never refused by our own check.
func TestPortionsKeepTheLabel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
		most := unit.VolumePerArea(rapid.Float64Range(0.5, 8).Draw(t, "most")) * floz
		share := rapid.OneOf(rapid.Just(1.0), rapid.Float64Range(0.2, 1)).Draw(t, "share")
		r := mix.Recipe{Carrier: unit.VolumePerArea(rapid.Float64Range(0.5, 5).Draw(t, "carrier")) * gal,
			Parts: []mix.Part{liquid("a", label.Soluble, most*unit.VolumePerArea(share), most)}}
		fill := s.RoundVolume(unit.Volume(rapid.Float64Range(20, 300).Draw(t, "gal")) * unit.Gallon)
		portions := r.Portions(fill, s)
		if got := codes(r.CheckRounded(portions, fill, "")); got != "" {
			t.Fatalf("%s for %+v", got, portions)
		}
		if a := portions[0].Amount; a.Round(s) != a {
			t.Fatalf("%v is not what is printed", a)
		}
		if put := portions[0].Amount.Liquid.Per(fill.At(r.Carrier)); float64(put) > float64(most)*(1+1e-9) {
			t.Fatalf("%v is put out, the most is %v", put, most)
		}
	})
}

// Product and water make up the filling.
func TestWater(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4*floz, 8*floz), dry("b", label.Wettable, pound, 2*pound)}}
	// 100 gal at 2 gal/1000 sq ft treat 50,000 sq ft: 200 fl oz of a; b takes up no room.
	fill := 100 * unit.Gallon
	if got := r.Water(fill, r.Portions(fill, unit.US)).In(unit.FluidOunce); math.Abs(got-12_600) > 1e-6 {
		t.Errorf("got %g fl oz of water, want 12,600", got)
	}
	// What is measured counts: 10.04 gal treat 5,020 sq ft, 20.08 fl oz, measured as 20.1.
	fill = 10.04 * unit.Gallon
	if got := r.Water(fill, r.Portions(fill, unit.US)).In(unit.FluidOunce); math.Abs(got-(1285.12-20.1)) > 1e-6 {
		t.Errorf("got %g fl oz of water, want 1,265.02", got)
	}
	fill = 100 * unit.Gallon
	if got := r.Water(unit.FluidOunce, r.Portions(fill, unit.US)); got != 0 {
		t.Errorf("water below zero: %v", got)
	}
}
