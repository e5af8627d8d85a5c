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

// By hand: at 6 fl oz/1000 sq ft in 2 gal/1000 sq ft a gallon of mix has 3 fl oz, so that a 2.5 gal jug makes 320/3 = 106.67 gal. A 200 gal
// tank has room for one: 106.7 gal, 0.03 % weaker.
func ExampleRecipe_WholeContainers() {
	p := mix.Part{Product: feed(9 * floz), Rate: label.Rate{Liquid: 6 * floz}}
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p, liquid("Wetter", label.Surfactant, 0.5*floz, floz)}}
	w, _ := r.WholeContainers("Feed", 200*unit.Gallon, unit.US, "")
	fmt.Print(text(w, unit.US))
	// Output:
	// whole containers: 1 jug of Feed, 320.0 fl oz (2 gal 64.0 fl oz) each
	// fill: 106.7 gal
	// covers: 53,350 sq ft
	// Feed: 320.0 fl oz (2 gal 64.0 fl oz)
	// Wetter: 26.7 fl oz (+0.094 % on the rate)
	// water: 104.0 gal
}

func TestWholeContainers(t *testing.T) {
	jug := func(v unit.Volume) label.Container {
		return label.Container{Name: "jug", Holds: label.Amount{Liquid: v}}
	}
	for _, c := range []struct {
		name       string
		rate, most unit.VolumePerArea
		cans       []label.Container
		room       unit.Volume
		want       string
	}{
		{"two", 6 * floz, 9 * floz, []label.Container{jug(2.5 * unit.Gallon)}, 215 * unit.Gallon, "2 in 213.3 gal"},
		// At the label's most 213.3 gal would be over it: 213.4, if there is room.
		{"at the most", 6 * floz, 6 * floz, []label.Container{jug(2.5 * unit.Gallon)}, 215 * unit.Gallon, "2 in 213.4 gal"},
		{"at the most without room", 6 * floz, 6 * floz, []label.Container{jug(2.5 * unit.Gallon)}, 213.3 * unit.Gallon, "1 in 106.7 gal"},
		// A quart is 32 fl oz: 18 make 192 gal, more than one jug.
		{"smaller jugs fill more", 6 * floz, 9 * floz, []label.Container{jug(2.5 * unit.Gallon), jug(unit.Quart)}, 200 * unit.Gallon, "18 in 192.0 gal"},
		{"exactly", 3.2 * floz, 9 * floz, []label.Container{jug(2.5 * unit.Gallon)}, 200 * unit.Gallon, "1 in 200.0 gal"},
	} {
		p := mix.Part{Product: feed(c.most), Rate: label.Rate{Liquid: c.rate}}
		p.Product.Containers = c.cans
		w, ps := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p}}.WholeContainers("Feed", c.room, unit.US, "")
		if got := fmt.Sprintf("%d in %s", w.Count, unit.US.Volume(w.Fill)); got != c.want || len(ps) > 0 {
			t.Errorf("%s: got %s, want %s; %v", c.name, got, c.want, ps)
		}
		sound(t, w)
	}
}

func TestWholeContainersProblems(t *testing.T) {
	p := mix.Part{Product: feed(9 * floz), Rate: label.Rate{Liquid: 6 * floz}}
	bare := p
	bare.Product.Containers = []label.Container{{Name: "jug"}, {Name: "bag", Holds: label.Amount{Dry: unit.Pound}}}
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p}}
	for _, c := range []struct {
		name, product string
		r             mix.Recipe
		room          unit.Volume
		want          string
	}{
		{"small tank", "Feed", r, 50 * unit.Gallon, "error:container-too-large"},
		{"unknown", "z", r, 50 * unit.Gallon, "error:product-unknown"},
		{"zero", "Feed", mix.Recipe{}, 0, "error:carrier-zero error:volume-zero error:product-unknown"},
		{"NaN", "Feed", r, unit.Volume(math.NaN()), "error:volume-zero"},
		{"none entered", "Feed", mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{bare}}, 200 * unit.Gallon, "error:container-missing"},
	} {
		if w, ps := c.r.WholeContainers(c.product, c.room, unit.US, ""); codes(ps) != c.want || w.Count != 0 {
			t.Errorf("%s: got %q, want %q", c.name, codes(ps), c.want)
		}
	}
}

// Whole containers are used exactly, within the room and the label.
func TestWholeIsWhole(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s := anyRecipe(t), anySystem(t)
		holds := unit.Volume(rapid.SampledFrom([]float64{0.25, 1, 2.5}).Draw(t, "jug")) * unit.Gallon
		r.Parts[0].Product.Containers = []label.Container{{Name: "jug", Holds: label.Amount{Liquid: holds}}}
		room := unit.Volume(rapid.Float64Range(20, 900).Draw(t, "room")) * unit.Gallon
		w, ps := r.WholeContainers("a", room, s, "")
		if ps.HasErrors() {
			if codes(ps) != "error:container-too-large" {
				t.Fatal(ps)
			}
			if one := holds.PerVolume(room); room > 300*unit.Gallon && one < 0.001 {
				t.Fatalf("a jug of %v does not fit into %v", holds, room)
			}
			return
		}
		for i, q := range w.Portions {
			if q.Name == "a" && q.Amount.Liquid != unit.Volume(w.Count)*holds {
				t.Fatalf("%v is not %d jugs", q.Amount, w.Count)
			}
			if put := q.Amount.Per(w.Covers); put.Exceeds(r.Ordered()[i].Product.Label.Most) {
				t.Fatalf("%s over the label", q.Name)
			}
		}
		if float64(w.Fill) > float64(room)*(1+1e-9) || s.RoundVolume(w.Fill) != w.Fill {
			t.Fatalf("%v in a room of %v", w.Fill, room)
		}
		sound(t, w)
	})
}

// Turfgrass Mathematics Review, turf certification course, n.d.: 3.6 lb/1000 sq ft on 45 acres are 7,056.7 lb, 141.1 bags of 50 lb: 142 go on
// the truck. The rest is arithmetic: 43.3 lb come back.
func TestTotals(t *testing.T) {
	p := dry("Powder", label.Wettable, 3.6*pound, 4*pound)
	p.Product.Containers = []label.Container{{Name: "bag", Holds: label.Amount{Dry: 50 * unit.Pound}}}
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p}}
	need := r.Carrier.Over(45 * unit.Acre)
	run, ps := r.Run(unit.US.RoundVolume(need), mix.Tank{Capacity: 500 * unit.Gallon}, mix.Held{}, unit.US, "")
	if ps.HasErrors() {
		t.Fatal(ps)
	}
	totals := mix.Totals(run.Fillings...)
	x := totals[0]
	if len(totals) != 1 || x.Take[0].Count != 142 || math.Abs(x.Amount.Dry.In(unit.Pound)-7056.7) > 0.5 || math.Abs(x.Back.Dry.In(unit.Pound)-43.3) > 0.5 {
		t.Errorf("got %s", text(x, unit.US))
	}
	sound(t, x)
}

// Larger containers first, then what the rest needs; a larger one in place of as many small ones.
func TestContainersTaken(t *testing.T) {
	for _, c := range []struct {
		gallons float64
		want    string
	}{
		{5, "2 jugs of 320.0 fl oz (2 gal 64.0 fl oz)"},
		{3.4, "1 jug of 320.0 fl oz (2 gal 64.0 fl oz) and 4 bottles of 32.0 fl oz"},
		{2.4, "1 jug of 320.0 fl oz (2 gal 64.0 fl oz)"},
		{0.1, "1 bottle of 32.0 fl oz"},
	} {
		p := mix.Part{Product: feed(200 * floz), Rate: label.Rate{Liquid: 128 * floz}}
		p.Product.Containers = []label.Container{{Name: "bottle", Holds: label.Amount{Liquid: unit.Quart}}, {Name: "jug", Holds: label.Amount{Liquid: 2.5 * unit.Gallon}}}
		g, ps := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p}}.Filling(full(unit.Volume(2*c.gallons)*unit.Gallon), unit.US, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		x := mix.Totals(g)[0]
		if got := x.Facts(unit.US)[1].Text; got != c.want {
			t.Errorf("%g gal: got %s, want %s", c.gallons, got, c.want)
		}
		if d := x.Aboard.Liquid - x.Amount.Liquid - x.Back.Liquid; math.Abs(float64(d)) > 1e-15 || x.Back.Liquid < 0 {
			t.Errorf("%g gal: %+v", c.gallons, x)
		}
		sound(t, x)
	}
}
