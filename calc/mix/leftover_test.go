package mix_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

// By hand: 6 gal at 2 gal/1000 sq ft cover 3,000 sq ft and hold 12 fl oz at 4 fl oz/1000 sq ft. The label's most is 5, which leaves 25 % of the
// rate for ground already treated: brought to 24 gal it covers 12,000 sq ft at that.
func ExampleRecipe_Leftover() {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4*floz, 5*floz)}}
	l, problems := r.Leftover(6*unit.Gallon, unit.US, "tank 1")
	fmt.Print(text(l, unit.US))
	fmt.Println(problems[0].What)
	// Output:
	// mix left: 6.0 gal
	// covers at the full rate: 3,000 sq ft that has had none of it
	// in it, Feed: 12.0 fl oz
	// on ground already treated: at no more than 25.0 % of the rate: brought to 24.0 gal with water, over at least 12,000 sq ft
	// where it goes: The product labels say where it may go; they override these lines.
	// where it goes: First choice: turf that its labels allow and that has had none of it, at the full rate.
	// where it goes: Never into a drain, a ditch, a street or a well, and never on one spot.
	// where it goes: Mix only what the measured turf needs.
	// a second application brings Feed to 8.00 fl oz/1000 sq ft, over the label's most, 5.00 fl oz/1000 sq ft
}

func TestLeftover(t *testing.T) {
	interval := liquid("a", label.Soluble, 2*floz, 9*floz)
	interval.Product.Label.IntervalDays = 28
	nan := unit.Volume(math.NaN())
	for _, c := range []struct {
		name  string
		parts []mix.Part
		v     unit.Volume
		want  string
		room  float64
	}{
		{"twice is allowed", []mix.Part{liquid("a", label.Soluble, 2*floz, 4*floz)}, unit.Gallon, "", 1},
		{"the least room counts", []mix.Part{liquid("a", label.Soluble, 2*floz, 4*floz), dry("b", label.Wettable, pound, 1.5*pound)}, unit.Gallon, "warning:again-over-label", 0.5},
		{"at the most", []mix.Part{liquid("a", label.Soluble, 4*floz, 4*floz)}, unit.Gallon, "warning:again-over-label", 0},
		{"an interval", []mix.Part{interval}, unit.Gallon, "warning:again-interval", 0},
		{"no most", []mix.Part{liquid("a", label.Soluble, 2*floz, 0)}, unit.Gallon, "warning:no-label-limit", 0},
		{"water", nil, unit.Gallon, "", 1},
		{"nothing left", nil, 0, "error:volume-zero", 0},
		{"NaN", nil, nan, "error:volume-zero", 0},
		{"no rate", []mix.Part{liquid("a", label.Soluble, 0, 4*floz)}, unit.Gallon, "error:rate-zero", 0},
	} {
		l, ps := mix.Recipe{Carrier: 2 * gal, Parts: c.parts}.Leftover(c.v, unit.US, "")
		if got := codes(ps); got != c.want || math.Abs(l.Room-c.room) > 1e-12 {
			t.Errorf("%s: got %q and room %g, want %q and %g", c.name, got, l.Room, c.want, c.room)
		}
		if !ps.HasErrors() {
			sound(t, l)
		}
	}
	if _, ps := (mix.Recipe{}).Leftover(unit.Gallon, unit.US, ""); codes(ps) != "error:carrier-zero" {
		t.Errorf("no carrier: %s", codes(ps))
	}
}

// Diluted as said, what goes on treated ground keeps every label, and all of the product goes on.
func TestDilutedKeepsTheLabel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := anyRecipe(t)
		l, ps := r.Leftover(unit.Volume(rapid.Float64Range(0.5, 50).Draw(t, "gal"))*unit.Gallon, unit.US, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		sound(t, l)
		if l.Room == 0 {
			return
		}
		for i, p := range r.Ordered() {
			again := l.Products[i].Amount.Per(l.AgainCovers)
			if p.Rate.Plus(again).Exceeds(p.Product.Label.Most) && l.Room < 1 {
				t.Fatalf("%s: %s on top of %s", p.Product.Name, again.Text(unit.US), p.Rate.Text(unit.US))
			}
		}
	})
}
