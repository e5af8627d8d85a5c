package mix_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// ISO 16119-4:2014, an excerpt: cleaning cuts the strength of what is left by a factor of 300. By hand for a heel of 2 gal and three rinses:
// 300 ^ (1/3) = 6.6943, so that each rinse is 2 x 5.6943 = 11.39 gal, 11.4 on the gauge; (13.4 / 2) ^ 3 = 300.8.
func ExampleRecipe_RinseTo() {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4*floz, 5*floz)}}
	x, _ := r.RinseTo(2*unit.Gallon, mix.TripleRinse, mix.CleanFactor, unit.US, "")
	fmt.Print(text(x, unit.US))
	fmt.Println(x.Working(unit.US)[0].Filled)
	// Output:
	// rinse: 3 times with 11.4 gal, spraying out each
	// weaker by: a factor of 300.8
	// left of the mix's strength: 0.3325 %
	// rinse water: 34.2 gal
	// turf for the rinsate: 17,100 sq ft
	// where: turf that the labels allow; by the entered most, ground already treated has room for it
	// rule: The label overrides these lines. Rinsate is product: never into a drain.
	// (2 gal + 11.4 gal) / 2 gal x (2 gal + 11.4 gal) / 2 gal x (2 gal + 11.4 gal) / 2 gal
}

// By hand: one rinse of 98 gal over 2 gal is a factor of 50, which is the 2 % of ISO 16119-4:2014, an excerpt. Three of a third of it do far
// more: (34.67 / 2) ^ 3 = 5,208.
func TestRinse(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4*floz, 4.1*floz)}}
	x, ps := r.Rinse(2*unit.Gallon, 98*unit.Gallon, 1, unit.US, "")
	if codes(ps) != "" || math.Abs(x.Factor-50) > 1e-9 || math.Abs(x.Remains-mix.CleanShare) > 1e-12 || !x.Again {
		t.Errorf("got %+v, %v", x, ps)
	}
	sound(t, x)
	x, ps = r.Rinse(2*unit.Gallon, 98*unit.Gallon/3, 3, unit.US, "")
	if math.Abs(x.Factor-5208) > 1 {
		t.Errorf("three: a factor of %g, want 5,208", x.Factor)
	}
	// The first rinsate has 2 / 34.67 = 5.8 % of the strength, and the label leaves 2.5 %.
	if codes(ps) != "warning:rinsate-over-label" || x.Again {
		t.Errorf("on ground already treated: %v", ps)
	}
	sound(t, x)
	if w, _ := r.RinseTo(2*unit.Gallon, 1, 1/mix.CleanShare, unit.US, ""); unit.US.Volume(w.Each) != "98.0 gal" {
		t.Errorf("to 2 %%: got %s, want 98.0 gal", unit.US.Volume(w.Each))
	}
}

func TestRinseProblems(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal}
	nan := unit.Volume(math.NaN())
	if _, ps := (mix.Recipe{}).Rinse(0, 0, 0, unit.US, ""); codes(ps) != "error:carrier-zero error:heel-zero error:rinses-absurd error:volume-zero" {
		t.Errorf("zero: %s", codes(ps))
	}
	if _, ps := r.Rinse(nan, nan, 99, unit.US, ""); codes(ps) != "error:heel-zero error:rinses-absurd error:volume-zero" {
		t.Errorf("NaN: %s", codes(ps))
	}
	for _, f := range []float64{0, 1, -3, math.NaN(), math.Inf(1), 1e9} {
		if _, ps := r.RinseTo(unit.Gallon, 3, f, unit.US, ""); codes(ps) != "error:factor-absurd" {
			t.Errorf("a factor of %g: %s", f, codes(ps))
		}
	}
}

// The factor asked for is reached, by no more than a step of the gauge; water and turf follow; rinsing rinse by rinse gives the same.
func TestRinseReachesTheFactor(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, r := anySystem(t), anyRecipe(t)
		heel := unit.Volume(rapid.Float64Range(0.1, 10).Draw(t, "heel")) * unit.Gallon
		factor, times := rapid.Float64Range(1.5, 1000).Draw(t, "factor"), rapid.IntRange(1, 6).Draw(t, "times")
		x, ps := r.RinseTo(heel, times, factor, s, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		if less := x.Each - s.VolumeStep(); x.Factor < factor*(1-1e-9) || math.Pow(float64((heel+less)/heel), float64(times)) > factor*(1+1e-6) {
			t.Fatalf("a factor of %g with %v, want %g", x.Factor, x.Each, factor)
		}
		left := 1.0
		for range times {
			left *= float64(heel / (heel + x.Each))
		}
		if math.Abs(left/x.Remains-1) > 1e-12 || math.Abs(float64(r.Carrier.Over(x.Covers)/x.Water)-1) > 1e-12 {
			t.Fatalf("%g left, want %g; %v on %v", x.Remains, left, x.Water, x.Covers)
		}
		sound(t, x)
	})
}

// 50 Ways, no. 30, University of Illinois Extension: a quarter full, a fifth from 5 gal. By hand: three times a quarter of 2.5 gal are 1.875
// gal a jug; three times a fifth of 30 gal are 18.
func TestContainerRinse(t *testing.T) {
	jug := label.Container{Name: "jug", Holds: label.Amount{Liquid: 2.5 * unit.Gallon}}
	for _, c := range []struct {
		holds unit.Volume
		n     int
		want  float64
		part  string
	}{{2.5 * unit.Gallon, 4, 7.5, "a quarter full"}, {5 * unit.Gallon, 1, 3, "a fifth full"}, {30 * unit.Gallon, 1, 18, "a fifth full"}} {
		x, ps := mix.RinseContainers(label.Container{Name: "jug", Holds: label.Amount{Liquid: c.holds}}, c.n, "")
		if got := x.Water.In(unit.Gallon); len(ps) > 0 || math.Abs(got-c.want) > 1e-9 || !strings.Contains(strings.Join(x.Lines(), " "), c.part) {
			t.Errorf("%v: got %g gal, want %g, %v", c.holds, got, c.want, x.Lines())
		}
		sound(t, x)
	}
	if _, ps := mix.RinseContainers(label.Container{Name: "bag", Holds: label.Amount{Dry: unit.Pound}}, 0, ""); codes(ps) != "error:container-not-liquid error:count-zero" {
		t.Errorf("a bag: %s", codes(ps))
	}
	if _, ps := mix.RinseContainers(jug, -1, ""); codes(ps) != "error:count-zero" {
		t.Errorf("minus one: %s", codes(ps))
	}
}
