package mix_test

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
)

func names(parts []mix.Part) string {
	var out []string
	for _, p := range parts {
		out = append(out, p.Product.Name)
	}
	return strings.Join(out, " ")
}

// W-A-L-E-S (Country Guide, Ontario practice): wettables, agitate, liquid flowables, emulsifiables, solutions.
func TestOrder(t *testing.T) {
	parts := []mix.Part{liquid("wetter", label.Surfactant, floz, 0), liquid("feed", label.Soluble, floz, 0), liquid("ec", label.Emulsifiable, floz, 0),
		liquid("sc", label.Flowable, floz, 0), dry("wdg", label.Wettable, pound, 0), dry("ams", label.Soluble, pound, 0)}
	for _, c := range []struct {
		name     string
		order    []label.Class
		sequence []string
		want     string
	}{
		{"usual", nil, nil, "wdg sc ec feed ams wetter"},
		// A-P-P-L-E-S (North Dakota Weed Control Guide, 2021): soluble powders first of all.
		{"soluble powder first", nil, []string{"ams"}, "ams wdg sc ec feed wetter"},
		{"classes", []label.Class{label.Soluble, label.Surfactant}, nil, "feed ams wetter wdg sc ec"},
		{"both", []label.Class{label.Emulsifiable}, []string{"wetter", "sc"}, "wetter sc ec wdg feed ams"},
	} {
		r := mix.Recipe{Carrier: 2 * gal, Parts: parts, Order: c.order, Sequence: c.sequence}
		if got := names(r.Ordered()); got != c.want {
			t.Errorf("%s: got %s, want %s", c.name, got, c.want)
		}
	}
	if names(parts) != "wetter feed ec sc wdg ams" {
		t.Error("the recipe's own parts have moved")
	}
}

func TestOrderProblems(t *testing.T) {
	a, b := liquid("a", label.Soluble, floz, 2*floz), liquid("b", label.Flowable, floz, 2*floz)
	refuses := b
	refuses.Product.Label.NotWith = []string{"A "}
	byClass := b
	byClass.Product.Label.NotWith = []string{"soluble"}
	for _, c := range []struct {
		name string
		r    mix.Recipe
		want string
	}{
		{"good", mix.Recipe{Parts: []mix.Part{a, b}, Order: []label.Class{label.Soluble}, Sequence: []string{"b"}}, ""},
		{"class twice", mix.Recipe{Parts: []mix.Part{a, b}, Order: []label.Class{label.Soluble, label.Soluble}}, "error:order-twice"},
		{"class unknown", mix.Recipe{Parts: []mix.Part{a, b}, Order: []label.Class{"powder"}}, "error:class-unknown"},
		{"name twice", mix.Recipe{Parts: []mix.Part{a, b}, Sequence: []string{"a", "a"}}, "error:order-twice"},
		{"name unknown", mix.Recipe{Parts: []mix.Part{a, b}, Sequence: []string{"z"}}, "error:product-unknown"},
		{"kept apart", mix.Recipe{Parts: []mix.Part{a, refuses}}, "error:not-with"},
		{"kept apart, the other way", mix.Recipe{Parts: []mix.Part{refuses, a}}, "error:not-with"},
		{"kept apart by class", mix.Recipe{Parts: []mix.Part{a, byClass}}, "error:not-with"},
	} {
		c.r.Carrier = 2 * gal
		if got := codes(c.r.Validate("")); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// Whatever the order says, every part is there once, and so is every portion, in one order.
func TestOrderIsAPermutation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := mix.Recipe{Carrier: 2 * gal}
		for _, n := range rapid.Permutation([]string{"a", "b", "c", "d", "e"}).Draw(t, "names")[:rapid.IntRange(1, 5).Draw(t, "n")] {
			r.Parts = append(r.Parts, liquid(n, rapid.SampledFrom(label.Classes).Draw(t, "class"), floz, 2*floz))
		}
		r.Order = rapid.Permutation(label.Classes).Draw(t, "order")[:rapid.IntRange(0, 5).Draw(t, "classes")]
		r.Sequence = strings.Fields(names(rapid.Permutation(r.Parts).Draw(t, "sequence")[:rapid.IntRange(0, len(r.Parts)).Draw(t, "named")]))
		if got := codes(r.Validate("")); got != "" {
			t.Fatal(got)
		}
		ordered := strings.Fields(names(r.Ordered()))
		want := strings.Fields(names(r.Parts))
		if !slices.Equal(slices.Sorted(slices.Values(ordered)), slices.Sorted(slices.Values(want))) {
			t.Fatalf("%v is no order of %v", ordered, want)
		}
		if !slices.Equal(ordered[:len(r.Sequence)], r.Sequence) {
			t.Fatalf("%v does not begin with %v", ordered, r.Sequence)
		}
		for i, q := range r.Portions(20*unit.Gallon, unit.US) {
			if q.Name != ordered[i] {
				t.Fatalf("portion %d is %s in %v", i, q.Name, ordered)
			}
		}
	})
}
