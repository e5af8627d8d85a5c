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

// By hand: 100 gal tank, 2 gal heel, 2 gal/1000 sq ft, feed at 4 fl oz. 120 gal on turf are a first filling of 100 gal for 98 and a second of 22.
// A tank that starts with its heel of the same mix takes 98, and no product for the 2 gal.
func ExampleRecipe_Run() {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4*floz, 5*floz)}}
	tank := mix.Tank{Capacity: 100 * unit.Gallon, Heel: 2 * unit.Gallon}
	for _, held := range []mix.Held{{}, {Volume: 2 * unit.Gallon, Mix: r, Name: "feed of this morning"}} {
		run, _ := r.Run(120*unit.Gallon, tank, held, unit.US, "")
		fmt.Print(text(run, unit.US), "\n")
	}
	// Output:
	// mix on turf: 120.0 gal
	// tankful 1: fill 100.0 gal, to the mark 100.0 gal, for 98.0 gal on 49,000 sq ft
	// tankful 1, Feed: 200.0 fl oz (1 gal 72.0 fl oz)
	// tankful 1, water: 98.4 gal
	// tankful 2: fill 22.0 gal, to the mark 24.0 gal, for 22.0 gal on 11,000 sq ft
	// tankful 2, Feed: 44.0 fl oz
	// tankful 2, water: 21.7 gal
	// left in the tank: 2.0 gal
	// Feed in all: 240.0 fl oz (1 gal 112.0 fl oz) on the ground, 4.0 fl oz left in the tank
	//
	// mix on turf: 120.0 gal
	// in the tank before: 2.0 gal of feed of this morning
	// tankful 1: fill 98.0 gal, to the mark 100.0 gal, for 98.0 gal on 49,000 sq ft
	// tankful 1, Feed: 196.0 fl oz (1 gal 68.0 fl oz)
	// tankful 1, water: 96.5 gal
	// tankful 2: fill 22.0 gal, to the mark 24.0 gal, for 22.0 gal on 11,000 sq ft
	// tankful 2, Feed: 44.0 fl oz
	// tankful 2, water: 21.7 gal
	// left in the tank: 2.0 gal
	// Feed in all: 240.0 fl oz (1 gal 112.0 fl oz) on the ground, 4.0 fl oz left in the tank
}

// By hand, another mix in the heel: 10 gal of weed liquid at 2 fl oz/gal hold 20 fl oz. In a 100 gal filling of which 90 are sprayed
// on 45,000 sq ft, 18 fl oz go on, 0.4 fl oz/1000 sq ft; the feed is wanted in all 100 gal.
func TestHeelOfAnotherMix(t *testing.T) {
	weed := liquid("Weed", label.Emulsifiable, 4*floz, 5*floz)
	weed.Product.Label.MostInMix = label.Strength{}
	other := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{weed}}
	feed := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4*floz, 5*floz)}}
	tank := mix.Tank{Capacity: 100 * unit.Gallon, Heel: 10 * unit.Gallon}
	held := mix.Held{Volume: 10 * unit.Gallon, Name: "weed mix", Mix: other}
	run, ps := feed.Run(90*unit.Gallon, tank, held, unit.US, "truck 1")
	if codes(ps) != "warning:heel-of-another-mix" {
		t.Fatal(codes(ps))
	}
	if want := "10.0 gal of weed mix in the tank brings 18.0 fl oz of Weed to the first 45,000 sq ft, at 0.40 fl oz/1000 sq ft"; ps[0].What != want {
		t.Errorf("got %s", ps[0].What)
	}
	if got := run.Fillings[0].Portions[0].Amount.Text(unit.US); got != "200.0 fl oz (1 gal 72.0 fl oz)" {
		t.Errorf("feed: got %s, want it in all 100 gal", got)
	}
	if b := run.Balance[1]; !b.In.IsZero() || math.Abs(b.OnGround.Liquid.In(unit.FluidOunce)-18) > 1e-9 || math.Abs(b.Left.Liquid.In(unit.FluidOunce)-2) > 1e-9 {
		t.Errorf("balance of what was held: %+v", b)
	}
	sound(t, run)

	// Its label keeps it out of a tank with feed.
	apart := other
	apart.Parts = []mix.Part{weed}
	apart.Parts[0].Product.Label.NotWith = []string{"Feed"}
	if _, ps := feed.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: apart}, unit.US, ""); codes(ps) != "error:not-with warning:heel-of-another-mix" {
		t.Errorf("kept apart: %s", codes(ps))
	}
	// An empty tank does not care what was in it.
	if _, ps := feed.Run(90*unit.Gallon, tank, mix.Held{Mix: apart}, unit.US, ""); codes(ps) != "" {
		t.Errorf("an empty tank: %s", codes(ps))
	}
	// So strong that its most is passed on the new ground: 10 gal at 40 fl oz/gal put 8 fl oz/1000 sq ft on.
	strong := mix.Recipe{Carrier: 0.1 * gal, Parts: []mix.Part{weed}}
	if _, ps := feed.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: strong}, unit.US, ""); codes(ps) != "error:rate-over-label warning:heel-of-another-mix" {
		t.Errorf("too strong: %s", codes(ps))
	}
	// Water in the heel: the feed for it is wanted too.
	run, ps = feed.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon}, unit.US, "")
	if got := run.Fillings[0]; codes(ps) != "" || got.Portions[0].Amount.Text(unit.US) != "200.0 fl oz (1 gal 72.0 fl oz)" || unit.US.Volume(got.Fill.Fill) != "90.0 gal" {
		t.Errorf("water in the heel: %+v %v", got.Portions, ps)
	}
	sound(t, run)
	// The same product, twice as strong: 10 gal hold 40 fl oz of the 200 wanted.
	double := mix.Recipe{Carrier: gal, Parts: feed.Parts}
	run, ps = feed.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: double}, unit.US, "")
	if got := run.Fillings[0].Portions[0].Amount.Text(unit.US); codes(ps) != "" || got != "160.0 fl oz (1 gal 32.0 fl oz)" {
		t.Errorf("the same at double strength: %s %v", got, ps)
	}
	sound(t, run)
	if !strings.Contains(run.Working(unit.US).Text(), "= wanted - in the tank") {
		t.Error("the working does not take off what is in the tank")
	}
	// At the label's most, after a little too strong a heel: 225 fl oz less 24.93 are 200.07, and 200.1 would be over the label.
	most, old := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4.5*floz, 4.5*floz)}}, mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("Feed", label.Soluble, 4.986*floz, 0)}}
	run, ps = most.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: old}, unit.US, "")
	if codes(ps) != "" || math.Abs(run.Fillings[0].Portions[0].Amount.Liquid.In(unit.FluidOunce)-200) > 1e-9 {
		t.Errorf("at the most with a heel of it: %+v %v", run.Fillings, ps)
	}
	// So much of it that nothing is added and the most is passed: 10 gal at 40 fl oz/gal hold 400, and 5 x 50 may be there.
	if _, ps := feed.Run(90*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: mix.Recipe{Carrier: 0.1 * gal, Parts: feed.Parts}}, unit.US, ""); codes(ps) != "error:rate-over-label" {
		t.Errorf("the same, too much: %s", codes(ps))
	}
}

func TestRunProblems(t *testing.T) {
	g := unit.Gallon
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4*floz, 5*floz)}}
	tank := mix.Tank{Capacity: 100 * g, Heel: 2 * g}
	marked := tank
	marked.Marks = 0.25 * g
	coarse := mix.Tank{Capacity: 9 * g, Heel: 5.5 * g, Marks: 5 * g}
	for _, c := range []struct {
		name string
		r    mix.Recipe
		need unit.Volume
		tank mix.Tank
		held mix.Held
		want string
	}{
		{"good", r, 50 * g, tank, mix.Held{}, ""},
		{"nothing", mix.Recipe{}, 0, mix.Tank{}, mix.Held{Volume: -1}, "error:held-negative error:carrier-zero error:tank-capacity-zero error:volume-zero"},
		{"NaN held", r, 50 * g, tank, mix.Held{Volume: unit.Volume(math.NaN())}, "error:held-negative"},
		{"held without a rate", r, 50 * g, tank, mix.Held{Volume: g, Mix: mix.Recipe{Parts: []mix.Part{{Product: r.Parts[0].Product}}}}, "error:carrier-zero error:rate-zero"},
		{"held is enough", r, 50 * g, tank, mix.Held{Volume: 60 * g, Mix: r}, "error:tank-holds-enough"},
		{"held between steps", r, 50 * g, tank, mix.Held{Volume: 2.04 * g, Mix: r}, "note:volume-rounded"},
		{"marks between steps", r, 50 * g, marked, mix.Held{}, "error:marks-unreadable"},
		{"marks too coarse", r, 50 * g, coarse, mix.Held{}, "error:marks-too-coarse"},
	} {
		run, ps := c.r.Run(c.need, c.tank, c.held, unit.US, "")
		if got := codes(ps); got != c.want || ps.HasErrors() != (len(run.Fillings) == 0) {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
		if !ps.HasErrors() {
			sound(t, run)
		}
	}
}

// By hand: a tank of 103 gal with marks every 5 gal is filled to 100; with 2 gal of heel 98 go on turf each time. 120 gal leave 22, so that
// the last filling goes from 2 to 25 gal, 1 gal too much.
func TestAtMarks(t *testing.T) {
	r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, 4*floz, 5*floz)}}
	run, ps := r.Run(120*unit.Gallon, mix.Tank{Capacity: 103 * unit.Gallon, Heel: 2 * unit.Gallon, Marks: 5 * unit.Gallon}, mix.Held{}, unit.US, "")
	if codes(ps) != "warning:mixed-too-much" {
		t.Fatal(codes(ps))
	}
	got := ""
	for _, f := range run.Fillings {
		got += fmt.Sprintf("%s to %s for %s, %s; ", unit.US.Volume(f.Fill.Fill), unit.US.Volume(f.Fill.Gauge), unit.US.Volume(f.Fill.Volume), f.Portions[0].Amount.Text(unit.US))
	}
	if want := "100.0 gal to 100.0 gal for 98.0 gal, 200.0 fl oz (1 gal 72.0 fl oz); 23.0 gal to 25.0 gal for 22.0 gal, 46.0 fl oz; "; got != want {
		t.Errorf("got %s", got)
	}
	if unit.US.Volume(run.Extra) != "1.0 gal" || unit.US.Volume(run.Ends) != "3.0 gal" {
		t.Errorf("%v too much, %v at the end", run.Extra, run.Ends)
	}
	sound(t, run)
}

// Whatever is held, whatever the tank: what was there and what is poured in is on the ground or left in the tank; all the ground
// is treated; nothing goes on over the label; and the rate is moved by no more than the largest printed effect.
func TestMassBalance(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r, s, tank := anyRecipe(t), anySystem(t), anyTank(t)
		if rapid.Bool().Draw(t, "marks") {
			tank.Marks = 20 * s.VolumeStep()
		}
		need := s.RoundVolume(unit.Volume(rapid.Float64Range(5, 900).Draw(t, "need")) * unit.Gallon)
		held := mix.Held{Name: "old"}
		if rapid.Bool().Draw(t, "held") {
			held.Volume = s.RoundVolume(tank.Heel)
			switch rapid.SampledFrom([]string{"same", "water", "other"}).Draw(t, "mix") {
			case "same":
				held.Mix = r
			case "other":
				held.Mix = mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("c", label.Flowable, floz, 0)}}
			}
		}
		run, ps := r.Run(need, tank, held, s, "")
		if ps.HasErrors() {
			if strings.Contains(codes(ps), "amount-too-small") || strings.Contains(codes(ps), "tank-holds-enough") {
				t.Skip("a thimble")
			}
			t.Fatal(ps)
		}
		ground := unit.Volume(0)
		worst := map[string]float64{}
		for i, g := range run.Fillings {
			ground += g.Fill.Volume
			for k, q := range g.Portions {
				if held.Volume > 0 && len(held.Mix.Parts) == 0 && i == 0 {
					continue // the effect is printed of what is added, which is less than what is there
				}
				worst[q.Name] = max(worst[q.Name], math.Abs(q.Effect))
				part := r.Ordered()[k]
				x := run.Ground[i][k]
				moved := (x.Rate.Liquid.In(floz)+x.Rate.Dry.In(pound))/(part.Rate.Liquid.In(floz)+part.Rate.Dry.In(pound)) - 1
				if len(held.Mix.Parts) > 0 || held.Volume == 0 {
					if math.Abs(moved) > worst[q.Name]+1e-9 {
						t.Fatalf("tankful %d: %s moved by %g, printed up to %g", i+1, q.Name, moved, worst[q.Name])
					}
				}
				if x.Rate.Exceeds(part.Product.Label.Most) {
					t.Fatalf("tankful %d: %s at %s", i+1, q.Name, x.Rate.Text(s))
				}
			}
		}
		if s.RoundVolume(ground) != need {
			t.Fatalf("%v on turf, want %v", ground, need)
		}
		for _, b := range run.Balance {
			in, out := b.Had.Plus(b.In), b.OnGround.Plus(b.Left)
			if x, y := float64(in.Liquid)+float64(in.Dry), float64(out.Liquid)+float64(out.Dry); math.Abs(x-y) > 1e-12*x {
				t.Fatalf("%s: %g in, %g out", b.Product.Name, x, y)
			}
		}
		sound(t, run)
	})
}

// The product on the ground depends on neither the tank, nor the number of loads, nor the units: before rounding it is
// rate x area, and measuring moves it by no more than half a step a filling.
func TestRateKnowsNoTank(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := anySystem(t)
		rate := unit.VolumePerArea(rapid.Float64Range(1, 8).Draw(t, "rate")) * floz
		r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{liquid("a", label.Soluble, rate, 0)}}
		need := s.RoundVolume(unit.Volume(rapid.Float64Range(50, 500).Draw(t, "need")) * unit.Gallon)
		run, ps := r.Run(need, anyTank(t), mix.Held{}, s, "")
		if ps.HasErrors() {
			t.Fatal(ps)
		}
		var exact unit.Volume
		for _, g := range run.Fillings {
			exact += g.Portions[0].Exact.Liquid
		}
		if want := rate.Over((need + run.Ends).At(r.Carrier)); math.Abs(float64(exact/want)-1) > 1e-12 {
			t.Fatalf("%v, want %v", exact, want)
		}
		got, want := run.Balance[0].OnGround.Liquid, rate.Over(need.At(r.Carrier))
		if half := 0.051 * unit.FluidOunce; math.Abs(float64(got-want)) > float64(half)*float64(len(run.Fillings)) {
			t.Fatalf("%v on the ground, want %v in %d tankfuls", got, want, len(run.Fillings))
		}
	})
}

// By hand: 10 gal of a strong mix hold 200 fl oz; the first filling of 60 gal wants 120, and takes none. It has 3.33 fl oz in a gallon then: over a label
// that allows 2.5, and within one that allows 3.5.
func TestStrongHeelKeepsTheStrength(t *testing.T) {
	p := liquid("Weed", label.Emulsifiable, 4*floz, 0)
	tank := mix.Tank{Capacity: 100 * unit.Gallon, Heel: 10 * unit.Gallon}
	for most, want := range map[unit.VolumePerVolume]string{2.5: "error:strength-over-label", 3.5: ""} {
		p.Product.Label.MostInMix.Liquid = most * unit.FluidOuncePerGallon
		strong := p
		strong.Rate.Liquid = 40 * floz
		r := mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{p}}
		_, ps := r.Run(50*unit.Gallon, tank, mix.Held{Volume: 10 * unit.Gallon, Mix: mix.Recipe{Carrier: 2 * gal, Parts: []mix.Part{strong}}}, unit.US, "")
		if codes(ps) != want {
			t.Errorf("%g fl oz/gal: got %q, want %q", float64(most), codes(ps), want)
		}
	}
}
