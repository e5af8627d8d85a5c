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

// full is a filling of an empty tank without a heel.
func full(v unit.Volume) mix.Fill { return mix.Fill{Volume: v, Fill: v, Gauge: v} }

// Calibrating Your Sprayer, Albany County (WY) Weed & Pest, n.d.: 32 fl oz/acre at 20 gal/acre is 32 fl oz in 20 gal. The order and the water
// to begin with are those of W-A-L-E-S (Country Guide, Ontario practice).
func ExampleRecipe_Filling() {
	granules := dry("Green granules", label.Wettable, 2*unit.PoundPerAcre, 4*unit.PoundPerAcre)
	granules.Product.InTank = 12 * unit.PoundPerGallon
	r := mix.Recipe{Carrier: 20 * unit.GallonPerAcre, Parts: []mix.Part{liquid("Weed liquid", label.Emulsifiable, 32*unit.GallonPerAcre/128, 40*unit.GallonPerAcre/128), granules}}
	g, _ := r.Filling(full(20*unit.Gallon), unit.US, "tankful 1")
	fmt.Print(text(g, unit.US))
	fmt.Print(g.Working(unit.US).Text())
	// Output:
	// covers: 43,560 sq ft
	// fill: 20.0 gal
	// water first, agitation on: to the mark 10.0 gal
	// 1. Green granules: 2.00 lb; the gauge then shows 10.2 gal; in the mix 10.00 lb/100 gal
	// 2. Weed liquid: 32.0 fl oz; the gauge then shows 10.4 gal; in the mix 1.60 fl oz/gal (1.25 % v/v)
	// top up with water: to the mark 20.0 gal
	// water in all: 19.6 gal, with rinsate of the containers counted in it
	// order: The label's order of adding overrides this one. Let each product mix in fully before the next.
	// covered by this filling: 43,560 sq ft
	//   = on turf / carrier rate
	//   = 20 gal / (0.4591368 gal/1000 sq ft) x 1,000
	//   = 43,560 sq ft
	//   units: gal x 1000 sq ft / gal: gal cancels; gives sq ft
	//
	// Green granules: 2.00 lb
	//   = fill / carrier rate x product rate
	//   = 20 gal / (0.4591368 gal/1000 sq ft) x (0.04591368 lb/1000 sq ft)
	//   = 2 lb
	//   units: gal x 1000 sq ft x lb / (gal x 1000 sq ft): gal, 1000 sq ft cancel; gives lb
	//   From the exact figures, not from the rounded area: each product is rounded once.
	//
	// Weed liquid: 32.0 fl oz
	//   = fill / carrier rate x product rate
	//   = 20 gal / (0.4591368 gal/1000 sq ft) x (0.7346189 fl oz/1000 sq ft)
	//   = 32 fl oz
	//   units: gal x 1000 sq ft x fl oz / (gal x 1000 sq ft): gal, 1000 sq ft cancel; gives fl oz
	//   From the exact figures, not from the rounded area: each product is rounded once.
	//
	// room of Green granules: 0.1666667 gal
	//   = Green granules / density in the tank
	//   = 2 lb / (12 lb/gal)
	//   = 0.1666667 gal
	//   units: lb x gal / lb: lb cancels; gives gal
	//
	// water: 19.6 gal
	//   = fill - room of Green granules - Weed liquid
	//   = 20 gal - 0.1666667 gal - 0.25 gal
	//   = 19.58333 gal
	//
	// water to begin with: to the mark 10.0 gal
	//   Half of the final reading, agitation on, before the first product; less where the products need the room.
	//   Up to 15.0 gal, three quarters, is usual too; the marks after it then lie as much higher.
}

// The slip of the last tank: 50 gal is a quarter of 200 gal, and takes a quarter, 150 fl oz of the 600 in a full one. By hand: 50 gal /
// 2 gal/1000 sq ft = 25,000 sq ft, x 6 fl oz.
func TestLastPartTankful(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 6*floz, 6*floz)}}
	run, ps := r.Run(250*unit.Gallon, mix.Tank{Capacity: 200 * unit.Gallon}, mix.Held{}, unit.US, "")
	if ps.HasErrors() || len(run.Fillings) != 2 {
		t.Fatal(ps)
	}
	for i, want := range []float64{600, 150} {
		if got := run.Fillings[i].Portions[0].Amount.Liquid.In(unit.FluidOunce); math.Abs(got-want) > 1e-9 {
			t.Errorf("tankful %d: got %g fl oz, want %g", i+1, got, want)
		}
	}
	if ps := r.CheckRounded(run.Fillings[0].Portions, 50*unit.Gallon, ""); codes(ps) != "error:amount-over-label" {
		t.Errorf("a full tank's share in the last one: %s", codes(ps))
	}
}

// How to Calibrate a Handgun, Mesa County (CO) Weed & Pest, n.d., says "divide 150 by 25" for the acres that 25 gal cover at 150 gal/acre: it
// is 25 / 150, a sixth.
func TestDivideTheRightWayRound(t *testing.T) {
	r := mix.Recipe{Carrier: 150 * unit.GallonPerAcre}
	g, ps := r.Filling(full(25*unit.Gallon), unit.US, "")
	if got := g.Covers.In(unit.Acre); ps.HasErrors() || math.Abs(got-1.0/6) > 1e-12 {
		t.Errorf("got %g acres, want 1/6", got)
	}
	sound(t, g)
}

// Rounding each step before the next: 100 gal at 2.05 gal/1000 sq ft cover 48.78 thousands, "48"; at 4.5 fl oz that is 216, 1.6 %
// short of 219.51. We round once: 219.5.
func TestRoundedOnce(t *testing.T) {
	r := mix.Recipe{Carrier: 2.05 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4.5*floz, 5*floz)}}
	g, _ := r.Filling(full(100*unit.Gallon), unit.US, "")
	p := g.Portions[0]
	if p.Amount.Text(unit.US) != "219.5 fl oz (1 gal 91.5 fl oz)" || math.Abs(p.Effect) > 1e-4 {
		t.Errorf("got %s, effect %g", p.Amount.Text(unit.US), p.Effect)
	}
	if pencil := math.Floor(100/2.05)*4.5/(100/2.05*4.5) - 1; pencil > -0.015 {
		t.Errorf("the pencil way loses %g, too little to tell", pencil)
	}
}

// A measure of its own: 219.51 fl oz in half ounces is 439 marks, 219.5; in 25 mL it is 259.67, 260 marks, 219.79 fl oz,
// 0.13 % more; at the label's most 259.
func TestMeasure(t *testing.T) {
	for _, c := range []struct {
		measure unit.Volume
		most    unit.VolumePerArea
		marks   int
		lowered bool
		text    string
	}{
		{unit.FluidOunce / 2, 5 * floz, 439, false, "439 x 0.5 fl oz"},
		{25 * unit.Millilitre, 5 * floz, 260, false, "260 x 25 mL (+0.13 % on the rate)"},
		{25 * unit.Millilitre, 4.5 * floz, 259, true, "259 x 25 mL (-0.26 % on the rate)"},
	} {
		p := liquid("a", label.Soluble, 4.5*floz, c.most)
		p.Product.Measure.Liquid = c.measure
		g, ps := mix.Recipe{Carrier: 2.05 * gal, Parts: []mix.Part{p}}.Filling(full(100*unit.Gallon), unit.US, "")
		q := g.Portions[0]
		if len(ps) > 0 || q.Marks != c.marks || q.Lowered != c.lowered || math.Abs(float64(q.Amount.Liquid)-float64(c.marks)*float64(c.measure)) > 1e-12 {
			t.Errorf("%v: got %+v, %v", c.measure, q, ps)
		}
		if got := text(g, unit.US); !strings.Contains(got, c.text) {
			t.Errorf("%q is not in\n%s", c.text, got)
		}
		sound(t, g)
	}
	// A label may bound the strength alone: 2.1 fl oz/gal at most is 210 fl oz in 100 gal.
	p := liquid("a", label.Soluble, 4.305*floz, 0)
	p.Product.Label.MostInMix.Liquid = 2.1 * unit.FluidOuncePerGallon
	p.Product.Measure.Liquid = 4 * unit.FluidOunce // 52.5 marks, and nearest is up
	g, ps := mix.Recipe{Carrier: 2.05 * gal, Parts: []mix.Part{p}}.Filling(full(100*unit.Gallon), unit.US, "")
	if ps.HasErrors() || g.Portions[0].Marks != 52 || !g.Portions[0].Lowered {
		t.Errorf("over the strength by measuring: %+v, %v", g.Portions, ps)
	}
	// With a wide limit per area beside it the strength still holds.
	p.Product.Label.Most.Liquid = 9 * floz
	if g, _ := (mix.Recipe{Carrier: 2.05 * gal, Parts: []mix.Part{p}}).Filling(full(100*unit.Gallon), unit.US, ""); g.Covers == 0 || g.Portions[0].Marks != 52 {
		t.Errorf("the wider of two limits: %+v", g.Portions)
	}
}

// By hand, a product that is most of the mix: 1.5 gal/1000 sq ft in 2 gal/1000 sq ft. Of 100 gal 75 are product and 25
// water: there is no half tank of water to begin with. Of 20 gal on top of 60 the marks begin at 60.
func TestMarks(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 1.5*gal, 2*gal)}}
	for _, c := range []struct {
		fill mix.Fill
		want string
	}{
		{full(100 * unit.Gallon), "25.0 gal 100.0 gal 100.0 gal, up to 25.0 gal"},
		{mix.Fill{Volume: 60 * unit.Gallon, Fill: 20 * unit.Gallon, Gauge: 80 * unit.Gallon}, "60.0 gal 75.0 gal 80.0 gal, up to 60.0 gal"},
	} {
		g, ps := r.Filling(c.fill, unit.US, "")
		got := ""
		for i, m := range g.Marks {
			if i > 0 {
				got += " "
			}
			got += unit.US.Volume(m.Gauge)
		}
		if got += ", up to " + unit.US.Volume(g.MostStart); got != c.want || ps.HasErrors() {
			t.Errorf("got %s, want %s", got, c.want)
		}
		sound(t, g)
	}
}

func TestFillingProblems(t *testing.T) {
	nan := unit.Volume(math.NaN())
	powder := dry("b", label.Wettable, pound, 2*pound)
	fat := powder
	fat.Product.InTank, fat.Rate.Dry, fat.Product.Label.Most.Dry = unit.PoundPerGallon, 3*pound, 4*pound
	for _, c := range []struct {
		name string
		r    mix.Recipe
		f    mix.Fill
		want string
	}{
		{"zero", mix.Recipe{}, mix.Fill{}, "error:carrier-zero error:fill-zero"},
		{"NaN", mix.Recipe{Carrier: gal}, full(nan), "error:fill-zero"},
		{"endless", mix.Recipe{Carrier: gal}, full(unit.Volume(math.Inf(1))), "error:fill-zero"},
		{"negative", mix.Recipe{Carrier: gal}, full(-unit.Gallon), "error:fill-zero"},
		{"no density in the tank", mix.Recipe{Carrier: gal, Parts: []mix.Part{powder}}, full(unit.Gallon), "note:displacement-unknown"},
		{"no room", mix.Recipe{Carrier: gal, Parts: []mix.Part{fat}}, full(10 * unit.Gallon), "error:no-room-for-water"},
		{"too small to measure", mix.Recipe{Carrier: gal, Parts: []mix.Part{liquid("a", label.Soluble, 0.01*floz, floz)}}, full(unit.Gallon), "error:amount-too-small"},
	} {
		g, ps := c.r.Filling(c.f, unit.US, "tankful 1")
		if got := codes(ps); got != c.want || ps.HasErrors() != (g.Covers == 0) {
			t.Errorf("%s: got %q, want %q (%+v)", c.name, got, c.want, g.Fill)
		}
	}
	if got := codes(mix.Recipe{Carrier: gal, Parts: []mix.Part{fat}}.Validate("")); got != "error:no-room-for-water" {
		t.Errorf("a recipe without room: %q", got)
	}
	if _, ps := (mix.Recipe{Carrier: gal}).Stops([]mix.Stop{{"a", 0}, {"b", unit.Area(nan)}, {"c", 1000 * unit.SquareFoot}}, unit.US, ""); codes(ps) != "error:area-zero error:area-zero" {
		t.Errorf("stops without turf: %s", codes(ps))
	}
	if _, ps := (mix.Recipe{Carrier: gal}).Stops([]mix.Stop{{"a", 10 * unit.SquareFoot}}, unit.US, ""); codes(ps) != "error:volume-zero" {
		t.Errorf("a stop of a thimble: %s", codes(ps))
	}
}

// Water and the room of the products make up the fill; the marks rise to the gauge reading; measuring moves the rate by
// the printed effect and no more, and never over the label.
func TestFillingAddsUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s := anyRecipe(t), anySystem(t)
		heel := s.RoundVolume(unit.Volume(rapid.Float64Range(0, 20).Draw(t, "before")) * unit.Gallon)
		out := s.RoundVolume(unit.Volume(rapid.Float64Range(20, 300).Draw(t, "fill")) * unit.Gallon)
		g, ps := r.Filling(mix.Fill{Volume: out, Fill: out, Gauge: heel + out}, s, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		sum := g.Water
		for i, p := range g.Portions {
			sum += p.Displaces
			part := r.Ordered()[i]
			put := p.Amount.Per(out.At(r.Carrier)) // what goes on the ground
			wanted := part.Rate.Liquid.In(floz) + part.Rate.Dry.In(pound)
			if moved := (put.Liquid.In(floz)+put.Dry.In(pound))/wanted - 1; math.Abs(moved) > math.Abs(p.Effect)+1e-12 {
				t.Fatalf("%s is moved by %g, printed %g", p.Name, moved, p.Effect)
			}
			if put.Exceeds(part.Product.Label.Most) {
				t.Fatalf("%s goes on at %s over %s", p.Name, put.Text(s), part.Product.Label.Most.Text(s))
			}
		}
		if math.Abs(float64(sum/g.Fill.Fill)-1) > 1e-12 {
			t.Fatalf("%v of water and product in a fill of %v", sum, g.Fill.Fill)
		}
		for i, m := range g.Marks {
			if i > 0 && m.Gauge < g.Marks[i-1].Gauge-1e-15 || float64(m.Gauge) > float64(g.Fill.Gauge)*(1+1e-12) || float64(m.Gauge) < float64(g.Before)*(1-1e-12) {
				t.Fatalf("marks %v between %v and %v", g.Marks, g.Before, g.Fill.Gauge)
			}
		}
		sound(t, g)
	})
}

// Stops take the printed volumes, and their products add up to what the mix holds.
func TestStops(t *testing.T) {
	r := mix.Recipe{Carrier: 2.05 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4*floz, 5*floz)}}
	// By hand: 5,230 sq ft x 2.05 gal/1000 sq ft = 10.7215 gal, 10.7; of which 10.7 / 2.05 x 4 = 20.878 fl oz.
	shares, ps := r.Stops([]mix.Stop{{"Lot 4", 5230 * unit.SquareFoot}, {"Lot 7", 8000 * unit.SquareFoot}}, unit.US, "")
	if len(ps) > 0 || unit.US.Volume(shares[0].Mix) != "10.7 gal" || math.Abs(shares[0].Products[0].Amount.Liquid.In(unit.FluidOunce)-20.878) > 5e-4 {
		t.Errorf("got %+v, %v", shares, ps)
	}
	// The printed area counts: 5,024.6 sq ft print as 5,025, 10.05 gal at 2 gal/1000 sq ft, 10.1; unrounded it would be 10.0.
	if h, _ := (mix.Recipe{Carrier: 2 * gal}).Stops([]mix.Stop{{"Lot 9", 5024.6 * unit.SquareFoot}}, unit.US, ""); unit.US.Volume(h[0].Mix) != "10.1 gal" {
		t.Errorf("got %s", unit.US.Volume(h[0].Mix))
	}
	var mixed unit.Volume
	var product label.Amount
	for _, h := range shares {
		mixed, product = mixed+h.Mix, product.Plus(h.Products[0].Amount)
		sound(t, h)
	}
	if want := r.Portions(mixed, unit.US)[0].Exact; math.Abs(float64(product.Liquid/want.Liquid)-1) > 1e-12 {
		t.Errorf("stops take %v, the fill has %v", product, want)
	}
}
