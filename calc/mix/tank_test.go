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

// Pesticides in the Military, MD0173, US Army Medical Department Center and School, 2006: 300
// by 150 ft at 1 gal/1000 sq ft need 45 gal. The rest is arithmetic: 81,000 sq ft at 2
// gal/1000 sq ft are 162 gal, from a 100 gal tank whose pump leaves 2 gal.
func ExampleTankfuls() {
	fmt.Println(unit.US.Volume((1 * gal).Over((300 * unit.Foot).By(150 * unit.Foot))))
	need := unit.US.RoundVolume((2 * gal).Over(81 * unit.Thousand))
	fills, _ := mix.Tankfuls(need, mix.Tank{Capacity: 100 * unit.Gallon, Heel: 2 * unit.Gallon}, unit.US)
	for _, f := range fills {
		fmt.Println("fill", unit.US.Volume(f.Fill), "to the mark", unit.US.Volume(f.Gauge), "for", unit.US.Volume(f.Volume), "on turf")
	}
	// Output:
	// 45.0 gal
	// fill 100.0 gal to the mark 100.0 gal for 98.0 gal on turf
	// fill 64.0 gal to the mark 66.0 gal for 64.0 gal on turf
}

func TestTankfuls(t *testing.T) {
	g := unit.Gallon
	for _, c := range []struct {
		name           string
		need, cap, dip unit.Volume
		want           string // volumes on turf
	}{
		{"one part tankful", 45 * g, 100 * g, 0, "45.0 gal"},
		{"exactly full", 100 * g, 100 * g, 0, "100.0 gal"},
		{"exactly two", 196 * g, 100 * g, 2 * g, "98.0 gal 98.0 gal"},
		{"a tenth over", 98.1 * g, 100 * g, 2 * g, "98.0 gal 0.1 gal"},
		{"81,000 sq ft at 2 gal in 100 gal", 162 * g, 100 * g, 0, "100.0 gal 62.0 gal"},
		// A capacity between marks rounds down, a heel up.
		{"between marks", 20 * g, 10.07 * g, 0.03 * g, "9.9 gal 9.9 gal 0.2 gal"},
	} {
		fills, problems := mix.Tankfuls(c.need, mix.Tank{Capacity: c.cap, Heel: c.dip}, unit.US)
		got := ""
		for i, f := range fills {
			if i > 0 {
				got += " "
			}
			got += unit.US.Volume(f.Volume)
		}
		if got != c.want || len(problems) > 0 {
			t.Errorf("%s: got %q, want %q; %v", c.name, got, c.want, problems)
		}
	}
}

func TestTankProblems(t *testing.T) {
	g := unit.Gallon
	nan := unit.Volume(math.NaN())
	for _, c := range []struct {
		name           string
		need, cap, dip unit.Volume
		want           string
		fills          int
	}{
		{"all zero", 0, 0, 0, "error:tank-capacity-zero error:volume-zero", 0},
		{"NaN", nan, nan, nan, "error:tank-capacity-zero error:heel-negative error:volume-zero", 0},
		{"endless", unit.Volume(math.Inf(1)), 100 * g, 0, "error:volume-zero", 0},
		{"negative need", -g, 100 * g, 0, "error:volume-zero", 0},
		{"negative heel", g, 100 * g, -g, "error:heel-negative", 0},
		{"heel over tank", g, 2 * g, 3 * g, "error:tank-smaller-than-heel", 0},
		{"heel equals tank", g, 2 * g, 2 * g, "error:tank-smaller-than-heel", 0},
		{"all heel in steps", g, 2.05 * g, 1.95 * g, "error:tank-smaller-than-heel", 0},
		{"a thimble", 0.01 * g, 100 * g, 0, "note:volume-rounded error:volume-zero", 0},
		{"between steps", 45.04 * g, 100 * g, 0, "note:volume-rounded", 1},
		{"a lake", 1e9 * g, 100 * g, 0, "error:absurd", 0},
	} {
		fills, problems := mix.Tankfuls(c.need, mix.Tank{Capacity: c.cap, Heel: c.dip, Where: "day.yaml:30"}, unit.US)
		if got := codes(problems); got != c.want || len(fills) != c.fills {
			t.Errorf("%s: got %q and %d fillings, want %q and %d", c.name, got, len(fills), c.want, c.fills)
		}
		for _, p := range problems {
			if p.Where != "day.yaml:30" {
				t.Errorf("%s: at %q", c.name, p.Where)
			}
		}
	}
	if got := (mix.Tank{Capacity: 2, Heel: 3}).Usable(unit.US); got != 0 {
		t.Errorf("usable below zero: %v", got)
	}
	if got := (mix.Tank{Capacity: 100 * g, Heel: 2 * g}).Usable(unit.US).In(g); math.Abs(got-98) > 1e-9 {
		t.Errorf("usable: got %g gal, want 98", got)
	}
}

// By hand: 800 L is 211.33 gal, of which 211.3 are planned with; 20 L is 5.28 gal, taken as 5.3. What
// is usable, 206.0 gal, is one tankful and not 206.0 and a rest.
func TestUsableIsOneTankful(t *testing.T) {
	tank := mix.Tank{Capacity: 800 * unit.Litre, Heel: 20 * unit.Litre}
	usable := tank.Usable(unit.US)
	fills, problems := mix.Tankfuls(usable, tank, unit.US)
	if got := unit.US.Volume(usable); got != "206.0 gal" || len(fills) != 1 || len(problems) != 0 {
		t.Errorf("got %s in %d tankfuls, problems %v; want 206.0 gal in one", got, len(fills), problems)
	}
}

// ticks is v in steps; it fails the test where v is between two.
func ticks(t *rapid.T, v unit.Volume, s unit.System) int64 {
	n := math.Round(v.In(s.VolumeStep()))
	if s.RoundVolume(v) != v || math.Abs(v.In(s.VolumeStep())-n) > 1e-6 {
		t.Fatalf("%v is not a whole number of steps", v)
	}
	return int64(n)
}

// Conservation to the last tick, whatever the tank; and the product that goes in is the
// product on the ground and in the heel, within what measuring moves.
func TestConservation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
		drawn := func(name string, from, to int64) unit.Volume {
			return s.RoundVolume(unit.Volume(rapid.Int64Range(from, to).Draw(t, name)) * s.VolumeStep())
		}
		need, heel := drawn("need", 1, 20_000), drawn("heel", 0, 100)
		tank := mix.Tank{Capacity: heel + drawn("usable", 50, 5000), Heel: heel}
		fills, problems := mix.Tankfuls(need, tank, s)
		if len(problems) > 0 {
			t.Fatal(problems)
		}
		if want := math.Ceil(need.In(s.VolumeStep())/tank.Usable(s).In(s.VolumeStep()) - 1e-6); float64(len(fills)) != want {
			t.Fatalf("%d tankfuls, want %g", len(fills), want)
		}

		rate, carrier := 4*floz, 2*gal
		r := mix.Recipe{Carrier: carrier, Parts: []mix.Part{liquid("a", label.Soluble, rate, 0)}}
		var onTurf, in int64
		var exact, measured label.Amount
		inTank := int64(0)
		for i, f := range fills {
			inTank += ticks(t, f.Fill, s)
			if ticks(t, f.Gauge, s) != inTank || f.Gauge > tank.Capacity*(1+1e-9) {
				t.Fatalf("filling %d: gauge %v, %d steps in a tank of %v", i+1, f.Gauge, inTank, tank.Capacity)
			}
			inTank -= ticks(t, f.Volume, s)
			if inTank != ticks(t, heel, s) {
				t.Fatalf("filling %d ends with %d steps in the tank", i+1, inTank)
			}
			onTurf, in = onTurf+ticks(t, f.Volume, s), in+ticks(t, f.Fill, s)
			for _, p := range r.Portions(f.Fill, s) {
				exact, measured = exact.Plus(p.Exact), measured.Plus(p.Amount)
			}
		}
		if onTurf != ticks(t, need, s) || in-ticks(t, heel, s) != onTurf {
			t.Fatalf("%d steps in, %d on turf, need %v, heel %v", in, onTurf, need, heel)
		}
		// This does not know the tank: it is the same for every capacity.
		want := rate.Over((need + heel).At(carrier))
		if math.Abs(float64(exact.Liquid/want-1)) > 1e-9 {
			t.Fatalf("%v of product in, %v on the ground and in the heel", exact.Liquid, want)
		}
		half := 0.05 * unit.FluidOunce // 1.48 mL, more than half of 1 mL
		if math.Abs(float64(measured.Liquid-want)) > float64(half)*float64(len(fills))*(1+1e-9) {
			t.Fatalf("%v measured, %v wanted in %d tankfuls", measured.Liquid, want, len(fills))
		}
	})
}

// Marks that a gauge cannot have, and those that leave nothing to spray.
func TestBadMarks(t *testing.T) {
	for _, c := range []struct {
		marks, capacity unit.Volume
		want            string
	}{
		{5, 100, ""}, {0.1, 100, ""}, {0, 100, "error:marks-unreadable"}, {-5, 100, "error:marks-unreadable"}, {0.04, 100, "error:marks-unreadable"}, {5.05, 100, "error:marks-unreadable"},
		{unit.Volume(math.NaN()), 100, "error:marks-unreadable"}, {unit.Volume(math.Inf(1)), 100, "error:marks-unreadable"}, {50, 49, "error:marks-too-coarse"}, {50, 51, ""}, {2, 3, "error:marks-too-coarse"},
	} {
		_, _, ps := mix.AtMarks(20*unit.Gallon, mix.Tank{Capacity: c.capacity * unit.Gallon, Heel: 2 * unit.Gallon, Marks: c.marks * unit.Gallon}, unit.US)
		if codes(ps) != c.want {
			t.Errorf("marks of %g gal in %g gal: got %q, want %q", float64(c.marks), float64(c.capacity), codes(ps), c.want)
		}
	}
}
