package unit_test

import (
	"fmt"
	"math"
	"math/big"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
)

func TestRound(t *testing.T) {
	for _, c := range []struct{ x, step, want float64 }{
		{2.675, 0.01, 2.68}, // held as 2.67499999999999982
		{1.005, 0.01, 1.01},
		{0.15, 0.1, 0.2},
		{0.25, 0.1, 0.3},
		{0.35, 0.1, 0.4},
		{0.3, 0.1, 0.3}, // 3*0.1 is 0.30000000000000004
		{2.5, 1, 3},
		{-2.5, 1, -3},
		{-2.675, 0.01, -2.68},
		{2.4999, 1, 2},
		{2.499999, 1, 2},
		{2.5 - 5e-10, 1, 3}, // within the snap: the noise of a long sum
		{2.5 - 2e-9, 1, 2},  // not noise
		{0, 0.1, 0},
		{-0.04, 0.1, 0},
		{1234567.5, 1, 1234568},
		{12345678.45, 0.1, 12345678.5},
		{7, 5, 5},
		{7.5, 5, 10},
		{0.125, 0.25, 0.25},
		{1e18, 0.1, 1e18},
		{-1e300, 0.01, -1e300},
	} {
		if got := unit.Round(c.x, c.step); got != c.want || math.Signbit(got) != (c.want < 0) {
			t.Errorf("Round(%v, %v): got %v, want %v", c.x, c.step, got, c.want)
		}
	}
	if got := unit.Round(math.NaN(), 0.1); !math.IsNaN(got) {
		t.Errorf("Round(NaN): got %v", got)
	}
	if got := unit.Round(math.Inf(-1), 0.1); !math.IsInf(got, -1) {
		t.Errorf("Round(-Inf): got %v", got)
	}
}

// The decimal text of a number, rounded half away from zero by exact arithmetic, is what
// Number prints. This is the law that plain binary rounding breaks.
func TestNumberRoundsTheDecimalText(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		digits := rapid.Int64Range(-9_999_999_999, 9_999_999_999).Draw(t, "digits")
		places := rapid.IntRange(0, 6).Draw(t, "places")
		decimals := rapid.IntRange(0, places).Draw(t, "decimals")
		r := big.NewRat(digits, 1)
		for range places {
			r.Quo(r, big.NewRat(10, 1))
		}
		x, _ := strconv.ParseFloat(r.FloatString(places), 64)
		want := r.FloatString(decimals) // rounds halves away from zero
		if strings.Trim(want, "-0.") == "" {
			want = strings.TrimPrefix(want, "-")
		}
		if got := strings.ReplaceAll(unit.Number(x, decimals), ",", ""); got != want {
			t.Fatalf("Number(%s, %d): got %s, want %s", r.FloatString(places), decimals, got, want)
		}
	})
}

// A rate times an area, through SI and back, prints as exact arithmetic rounds it. Halves are
// common: 4.5 fl oz/1000 sq ft on 100 sq ft is 0.45 fl oz.
func TestRateTimesAreaPrintsExactly(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cents := rapid.Int64Range(1, 2000).Draw(t, "hundredths of fl oz per 1000")
		feet := rapid.Int64Range(1, 9000).Draw(t, "sq ft") * 10
		if rapid.Bool().Draw(t, "a half") { // cents x feet / 100,000 ends in 5 hundredths
			cents, feet = cents-cents%10+5, feet-feet%2000+1000
		}
		v := (unit.VolumePerArea(cents) / 100 * unit.FluidOuncePerThousand).Over(unit.Area(feet) * unit.SquareFoot)
		want := big.NewRat(cents*feet, 100_000).FloatString(1)
		if got := strings.ReplaceAll(unit.Number(v.In(unit.FluidOunce), 1), ",", ""); got != want {
			t.Fatalf("%d/100 fl oz/1000 sq ft on %d sq ft: got %s, want %s", cents, feet, got, want)
		}
	})
}

func TestRoundIsNearAndStays(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.Float64Range(-1e7, 1e7).Draw(t, "x")
		step := rapid.SampledFrom([]float64{0.01, 0.1, 0.25, 1, 5, 100}).Draw(t, "step")
		r := unit.Round(x, step)
		if math.Abs(r-x) > step*(0.5+1e-8)+1e-15*math.Abs(x) { // x and r have no more digits
			t.Fatalf("Round(%v, %v) = %v is over half a step away", x, step, r)
		}
		if again := unit.Round(r, step); again != r {
			t.Fatalf("Round(%v, %v) moves to %v", r, step, again)
		}
	})
}

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     string
	}{
		{0, 0, "0"}, {0, 2, "0.00"}, {-0.001, 2, "0.00"}, {math.Copysign(0, -1), 1, "0.0"}, {-0.4, 0, "0"},
		{-0.05, 1, "-0.1"}, {999.5, 0, "1,000"}, {1234567.891, 2, "1,234,567.89"}, {-1234, 0, "-1,234"},
		{-123, 0, "-123"}, {100000, 0, "100,000"}, {2.675, 2, "2.68"}, {math.Inf(1), 1, "+Inf"}, {math.NaN(), 1, "NaN"},
	} {
		if got := unit.Number(c.x, c.decimals); got != c.want {
			t.Errorf("Number(%v, %d): got %q, want %q", c.x, c.decimals, got, c.want)
		}
	}
}

func TestSystemPrints(t *testing.T) {
	us, si := unit.US, unit.Metric
	for _, c := range []struct{ got, want string }{
		{us.Length(143 * unit.Foot), "143 ft"}, {us.Length(7.5 * unit.Foot), "7.5 ft"}, {si.Length(7 * unit.Foot), "2.13 m"}, {si.Length(43.6 * unit.Metre), "43.6 m"},
		{us.Distance(3.24 * unit.Mile), "3.2 mi"}, {si.Distance(5100 * unit.Metre), "5.1 km"},
		{us.Area(5230 * unit.SquareFoot), "5,230 sq ft"}, {si.Area(485.88 * unit.SquareMetre), "485.9 m2"},
		{us.LargeArea(52_272 * unit.SquareFoot), "1.20 acres"}, {si.LargeArea(4900 * unit.SquareMetre), "0.49 ha"},
		{us.Volume(150 * unit.Gallon), "150.0 gal"}, {si.Volume(150 * unit.Gallon), "567.8 L"},
		{us.Liquid(412.5 * unit.FluidOunce), "412.5 fl oz"}, {si.Liquid(12.2 * unit.Litre), "12,200 mL"},
		{us.Jugs(412.5 * unit.FluidOunce), "3 gal 28.5 fl oz"}, {us.Jugs(127.97 * unit.FluidOunce), "1 gal 0.0 fl oz"},
		{us.Jugs(127.94 * unit.FluidOunce), "127.9 fl oz"}, {si.Jugs(12.2 * unit.Litre), "12.200 L"},
		{us.Mass(24.35 * unit.Pound), "24.35 lb"}, {si.Mass(24.35 * unit.Pound), "11.04 kg"},
		// 1 gal/1000 sq ft = 43.56 GPA x 9.354 L/ha per GPA = 407.5 L/ha.
		{us.CarrierRate(2.05 * unit.GallonPerThousand), "2.05 gal/1000 sq ft"}, {si.CarrierRate(2.05 * unit.GallonPerThousand), "835 L/ha"},
		{us.LiquidRate(4.5 * unit.FluidOuncePerThousand), "4.50 fl oz/1000 sq ft"}, {si.LiquidRate(4.5 * unit.FluidOuncePerThousand), "14.32 L/ha"},
		{us.LiquidRate(8 * unit.GallonPerAcre / 128), "0.1837 fl oz/1000 sq ft"}, {us.LiquidRate(1.125 * unit.FluidOuncePerThousand), "1.125 fl oz/1000 sq ft"},
		{us.LiquidRate(0), "0.00 fl oz/1000 sq ft"},
		{us.MassRate(0.75 * unit.PoundPerThousand), "0.75 lb/1000 sq ft"}, {si.MassRate(0.75 * unit.PoundPerThousand), "36.62 kg/ha"},
		{us.Speed(3 * unit.MilePerHour), "3.0 mph"}, {si.Speed(3 * unit.MilePerHour), "4.8 km/h"},
		{us.Flow(3.5 * unit.GallonPerMinute), "3.50 gal/min"}, {si.Flow(3.5 * unit.GallonPerMinute), "13.2 L/min"},
		{us.Pressure(40 * unit.PSI), "40 psi"}, {si.Pressure(40 * unit.PSI), "2.8 bar"},
		{unit.Minutes(47 * unit.Minute), "47 min"}, {unit.Minutes(185 * unit.Minute), "3 h 05 min"}, {unit.Minutes(3599 * unit.Second), "1 h 00 min"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// What is computed on is what is printed: the rounded quantity prints the same, and
// rounding it again moves nothing.
func TestRoundedPrintsTheSame(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.SampledFrom([]unit.System{unit.US, unit.Metric}).Draw(t, "system")
		v := unit.Volume(rapid.Float64Range(0, 20).Draw(t, "m3"))
		a := unit.Area(rapid.Float64Range(0, 1e6).Draw(t, "m2"))
		r := unit.VolumePerArea(rapid.Float64Range(0, 1e-3).Draw(t, "m3 per m2"))
		rv, ra, rr := s.RoundVolume(v), s.RoundArea(a), s.RoundRate(r)
		if s.Volume(rv) != s.Volume(v) || s.Area(ra) != s.Area(a) || s.CarrierRate(rr) != s.CarrierRate(r) {
			t.Fatalf("%s %s, %s %s, %s %s", s.Volume(rv), s.Volume(v), s.Area(ra), s.Area(a), s.CarrierRate(rr), s.CarrierRate(r))
		}
		if s.RoundVolume(rv) != rv || s.RoundArea(ra) != ra || s.RoundRate(rr) != rr {
			t.Fatalf("rounding again moves %v, %v or %v", rv, ra, rr)
		}
		if n := rv.In(s.VolumeStep()); math.Abs(n-math.Round(n)) > 1e-9*max(1, n) {
			t.Fatalf("%v is %v steps", rv, n)
		}
	})
}

func TestParseSystem(t *testing.T) {
	for text, want := range map[string]unit.System{"us": unit.US, " Metric ": unit.Metric} {
		if got, err := unit.ParseSystem(text); err != nil || got != want {
			t.Errorf("%q: got %q, %v", text, got, err)
		}
	}
	if got, err := unit.ParseSystem("imperial"); err == nil {
		t.Errorf("imperial is read as %q", got)
	}
}

func ExampleParseVolumePerArea() {
	r, err := unit.ParseVolumePerArea("4.5 fl oz/1000 sq ft")
	fmt.Println(unit.Metric.LiquidRate(r), err)
	_, err = unit.ParseVolumePerArea("4.5 oz/1000 sq ft")
	fmt.Println(err)
	// Output:
	// 14.32 L/ha <nil>
	// "4.5 oz/1000 sq ft" is not a volume per area: "oz" could be a volume or a weight: write "fl oz" for volume or "oz wt" for weight; write for example "2 gal/1000 sq ft"
}

func ExampleRound() {
	fmt.Println(unit.Round(2.675, 0.01), unit.Round(-0.04, 0.1))
	// Output: 2.68 0
}

// By hand: 49 ft 1 in over 7 passes is 7 ft 1/7 in, and 1/7 in lies between 1/8 and 1/4.
func TestSpacing(t *testing.T) {
	for _, tt := range []struct {
		l          unit.Length
		us, metric string
	}{
		{(49*unit.Foot + unit.Inch) / 7, "7 ft 0 1/4 in", "2.14 m"},
		{7 * unit.Foot, "7 ft", "2.14 m"}, // 2.1336 m
		{7*unit.Foot + 1.5*unit.Inch, "7 ft 1 1/2 in", "2.18 m"},
		{7*unit.Foot + 0.375*unit.Inch, "7 ft 0 3/8 in", "2.15 m"},
		{3 * unit.Metre, "9 ft 10 1/8 in", "3.00 m"},
	} {
		if us, metric := unit.US.Spacing(tt.l), unit.Metric.Spacing(tt.l); us != tt.us || metric != tt.metric {
			t.Errorf("%v: got %s and %s, want %s and %s", tt.l, us, metric, tt.us, tt.metric)
		}
	}
}
