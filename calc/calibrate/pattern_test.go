package calibrate_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/calibrate"
	"tankful/calc/unit"
)

// row is pans a gap apart from the left end to the right, with depths in inches.
func row(gap unit.Length, depths ...float64) (pans []calibrate.Pan) {
	for i, d := range depths {
		pans = append(pans, calibrate.Pan{At: gap * unit.Length(i-len(depths)/2), Depth: unit.Length(d) * unit.Inch})
	}
	return pans
}

// Bulletin 817, Ohio State University Extension, 2000: 4 in at the centre and half of it at 6 ft is an effective
// swath of 12 ft. The other depths are invented. By hand, at 7 places 1.714 ft apart: 1, 1, 1 and twice 0.9643 and 0.9786 of
// the centre; mean 0.9837, SD 0.01635, CV 1.66 %.
func ExamplePanTest_Result() {
	r, problems := calibrate.PanTest{Passes: 3, Pans: row(2*unit.Foot, 0, 0.2, 2, 3.6, 4, 4, 4, 3.6, 2, 0.2, 0)}.Result("here")
	fmt.Println(len(problems), "problems")
	for _, f := range r.Facts(unit.US)[:6] {
		fmt.Printf("%s: %s\n", f.Name, f.Text)
	}
	// Output:
	// 0 problems
	// effective swath: 12.00 ft
	// centre mean: 4.00 in
	// falls to half: 6.00 ft left, 6.00 ft right
	// sides: left 50.0 %, right 50.0 % of what fell beside the centre
	// overlap at 12.00 ft: CV 1.7 % to and fro, 1.7 % round and round
	// least CV nearby: 12.00 ft: CV 1.7 % to and fro, 1.7 % round and round
}

// A triangle is level when its passes are half its base apart: at every place one falls as the next rises. By
// hand: 10 at the centre, 0 at 5 ft; half at 2.5 ft each side, swath 5 ft, every place gets 10.
func TestTriangleIsLevel(t *testing.T) {
	r, problems := calibrate.PanTest{Passes: 3, Pans: row(unit.Foot, 0, 2, 4, 6, 8, 10, 8, 6, 4, 2, 0)}.Result("here")
	if got := codes(t, "triangle", problems); got != "" {
		t.Errorf("got %v", problems)
	}
	if got := r.Swath.In(unit.Foot); math.Abs(got-5) > 1e-12 || r.Chosen.CV > 1e-12 || math.Abs(r.Chosen.Mean-1) > 1e-12 {
		t.Errorf("got a swath of %v ft, CV %v, mean %v; want 5, 0, 1", got, r.Chosen.CV, r.Chosen.Mean)
	}
	if got := r.Best.Spacing.In(unit.Foot); math.Abs(got-5) > 1e-9 {
		t.Errorf("least CV at %v ft, want 5", got)
	}
	sound(t, "triangle", r)
}

// By hand, a skewed row: 2 4 8 10 9 6 0 at -3 to 3 ft. Left, half (5) lies between 8 at 1 ft and 4 at 2 ft: 1.75 ft. Right,
// between 6 at 2 ft and 0 at 3 ft: 2 1/6 ft. Passes 3 ft apart, places -1, 0, 1:
//
//	round and round: -1: 8 + 6 (2 ft right of the pass at -3) = 14; 0: 10 + 0 + 2 = 12; 1: 9 + 4 = 13; mean 13, SD 1, CV 7.69 %
//	to and fro: -1: 8 + 4 = 12; 0: 10 + 2 + 0 = 12 (the pass at -3 throws its left over here, the one at 3 its right); 1: 9 + 6 = 15;
//	mean 13, SD 1.7321, CV 13.32 %
func TestSkewedRow(t *testing.T) {
	test := calibrate.PanTest{Passes: 3, Pans: row(unit.Foot, 2, 4, 8, 10, 9, 6, 0), Spacing: 3 * unit.Foot}
	r, problems := test.Result("here")
	if got := codes(t, "skewed", problems); got != "row-cut-off" {
		t.Errorf("got %v", problems)
	}
	if l, h := r.HalfLeft.In(unit.Foot), r.HalfRight.In(unit.Foot); math.Abs(l-1.75) > 1e-12 || math.Abs(h-13.0/6) > 1e-12 {
		t.Errorf("half at %v and %v ft, want 1.75 and 2.1667", l, h)
	}
	for i, want := range []float64{1.2, 1.2, 1.5} {
		if got := r.Chosen.Catches[i]; math.Abs(got-want) > 1e-12 {
			t.Errorf("place %d: got %v of the centre, want %v", i, got, want)
		}
	}
	if c, round := r.Chosen.CV, r.Chosen.CVRound; math.Abs(c-math.Sqrt(3)/13) > 1e-12 || math.Abs(round-1.0/13) > 1e-12 {
		t.Errorf("got CV %v and %v, want %v and %v", c, round, math.Sqrt(3)/13, 1.0/13)
	}
	sound(t, "skewed", r)
}

// By hand, the same row with passes 1 ft apart, at 1/3 ft: passes 0, 2, -2 throw as they stand, 9 2/3 + 5 1/3 + 4; 1, -1, 3, -3 the other
// way round, 9 1/3 + 6 2/3 + 2 + 0: 37. And a pan a little under half: 10 8 4.8 0, half between 8 and 4.8 at 1 + 3/3.2 ft.
func TestNarrowSpacing(t *testing.T) {
	test := calibrate.PanTest{Passes: 3, Pans: row(unit.Foot, 2, 4, 8, 10, 9, 6, 0), Spacing: unit.Foot}
	r, _ := test.Result("here")
	if n := len(r.Chosen.Catches); n != 3 || math.Abs(r.Chosen.Catches[2]-3.7) > 1e-12 {
		t.Errorf("got %v, want 3.7 at the third place", r.Chosen.Catches)
	}
	sound(t, "narrow", r)
	r, _ = calibrate.PanTest{Passes: 3, Pans: row(unit.Foot, 0, 4.8, 8, 10, 8, 4.8, 0)}.Result("here")
	if got := r.HalfRight.In(unit.Foot); math.Abs(got-1.9375) > 1e-12 {
		t.Errorf("half at %v ft, want 1.9375", got)
	}
}

// By hand: a triangle is level throughout, so that each pan of 1 sq ft gets 10 g in three passes of each line:
// 10 g / 3 on a sq ft is 7.3487 lb/1000 sq ft.
func TestPanRate(t *testing.T) {
	var pans []calibrate.Pan
	for _, p := range row(unit.Foot, 0, 2, 4, 6, 8, 10, 8, 6, 4, 2, 0) {
		pans = append(pans, calibrate.Pan{At: p.At, Weight: unit.Mass(p.Depth.In(unit.Inch)) * unit.Gram})
	}
	r, problems := calibrate.PanTest{Passes: 3, Pans: pans, PanArea: unit.SquareFoot, Setting: 3}.Result("here")
	if got := codes(t, "rate", problems); got != "" {
		t.Errorf("got %v", problems)
	}
	if got := r.Rate.In(unit.PoundPerThousand); math.Abs(got-7.3487) > 0.0001 {
		t.Errorf("got %v lb/1000 sq ft, want 7.3487", got)
	}
	sound(t, "rate", r)
}

func TestPanProblems(t *testing.T) {
	nan, inf := math.NaN(), math.Inf(1)
	ft := unit.Foot
	good := func() calibrate.PanTest {
		return calibrate.PanTest{Passes: 3, Pans: row(2*ft, 0, 0.2, 2, 3.6, 4, 3.6, 2, 0.2, 0)}
	}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.PanTest)
		want  string
	}{
		{"good", func(*calibrate.PanTest) {}, ""},
		{"empty", func(p *calibrate.PanTest) { *p = calibrate.PanTest{} }, "passes-zero too-few-pans"},
		{"one pass", func(p *calibrate.PanTest) { p.Passes = 1 }, "few-passes"},
		{"a thousand passes", func(p *calibrate.PanTest) { p.Passes = 1000 }, "absurd"},
		{"three pans", func(p *calibrate.PanTest) { p.Pans = row(ft, 1, 4, 1) }, "too-few-pans"},
		{"never half", func(p *calibrate.PanTest) { p.Pans = row(ft, 3, 3.5, 4, 3.5, 3) }, "row-too-short"},
		{"not half on the right", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 3.5, 4, 3.5, 3) }, "row-too-short"},
		{"short row", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 4, 4, 4, 0) }, "row-short"},
		{"cut off", func(p *calibrate.PanTest) { p.Pans = row(ft, 1, 1.4, 4, 1.4, 1) }, "row-cut-off"},
		{"two humps", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 0.4, 3, 1.4, 4, 1.4, 3, 0.4, 0) }, "pattern-uneven"},
		{"skewed left", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 2, 3.5, 4, 1.5, 1, 0) }, "pattern-skewed"},
		{"skewed right", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 1, 1.5, 4, 3.5, 2, 0) }, "pattern-skewed"},
		{"no partner", func(p *calibrate.PanTest) { p.Pans = p.Pans[1:] }, "pans-lopsided"},
		{"a pan aside", func(p *calibrate.PanTest) { p.Pans[0].At -= ft }, "pans-lopsided"},
		{"two at one place", func(p *calibrate.PanTest) { p.Pans[0].At = p.Pans[1].At }, "pan-twice"},
		{"no centre", func(p *calibrate.PanTest) {
			p.Pans = []calibrate.Pan{{At: -7 * ft, Depth: 0.01}, {At: -6 * ft, Depth: 0.05}, {At: -5 * ft, Depth: 0.1}, {At: 5 * ft, Depth: 0.1}, {At: 6 * ft, Depth: 0.05}, {At: 7 * ft, Depth: 0.01}}
		}, "no-centre-pan"},
		{"nothing at the centre", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 1, 0, 1, 0) }, "centre-zero"},
		{"all empty", func(p *calibrate.PanTest) { p.Pans = row(ft, 0, 0, 0, 0, 0) }, "catch-zero"},
		{"weights and depths", func(p *calibrate.PanTest) { p.Pans[4].Depth, p.Pans[4].Weight = 0, 0.01 }, "weights-and-depths"},
		{"negative", func(p *calibrate.PanTest) { p.Pans[4].Depth = -1 }, "weight-negative"},
		{"NaN catch", func(p *calibrate.PanTest) { p.Pans[4].Depth = unit.Length(nan) }, "weight-negative"},
		{"NaN place", func(p *calibrate.PanTest) { p.Pans[4].At = unit.Length(nan) }, "absurd"},
		{"place without end", func(p *calibrate.PanTest) { p.Pans[4].At = unit.Length(-inf) }, "absurd"},
		{"700 ft out", func(p *calibrate.PanTest) { p.Pans[8].At = 700 * ft }, "absurd"},
		{"spacing of 700 ft", func(p *calibrate.PanTest) { p.Spacing = 700 * ft }, "absurd"},
		{"spacing NaN", func(p *calibrate.PanTest) { p.Spacing = unit.Length(nan) }, "absurd"},
		{"pan of an acre", func(p *calibrate.PanTest) { p.PanArea = unit.Acre }, "absurd"},
		{"setting", func(p *calibrate.PanTest) { p.Setting = -1 }, "setting-negative"},
	} {
		test := good()
		c.spoil(&test)
		r, problems := test.Result("here")
		if got := codes(t, c.name, problems); got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, problems, c.want)
		}
		if given := r.Swath > 0; given == problems.HasErrors() {
			t.Errorf("%s: a swath of %v beside %v", c.name, r.Swath, problems)
		}
		if r.Swath > 0 {
			sound(t, c.name, r)
		}
	}
	for _, line := range good().Procedure(unit.Metric) {
		if line == "" {
			t.Error("an empty step")
		}
	}
}

// Laws of any row: all that fell into the pans falls once into every swath of an odd number of gaps; the swath
// scales with the distances and not with the catches; a mirrored row has its sides changed and its CV kept.
func TestPanLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 9).Draw(t, "pans a side")
		depths := make([]float64, 2*n+3)
		total := 0.0
		for i := range depths {
			if i > 0 && i < len(depths)-1 {
				depths[i] = rapid.Float64Range(0, 10).Draw(t, "catch")
			}
			if i == n+1 {
				depths[i] += 10
			}
			total += depths[i]
		}
		gap := unit.Length(rapid.Float64Range(0.2, 0.6).Draw(t, "gap"))
		test := calibrate.PanTest{Passes: 3, Pans: row(gap, depths...), Spacing: gap * unit.Length(2*rapid.IntRange(1, n).Draw(t, "spacing")+1)}
		r, problems := test.Result("here")
		if problems.HasErrors() {
			return
		}
		sound(t, "drawn", r)
		if got := r.Chosen.Mean * float64(len(r.Chosen.Places)) * depths[n+1]; math.Abs(got/total-1) > 1e-9 {
			t.Fatalf("%v in a swath, %v in the pans", got, total)
		}
		wide := test
		wide.Pans = row(1.5*gap, depths...)
		for i := range wide.Pans {
			wide.Pans[i].Depth *= 3
		}
		if w, _ := wide.Result("here"); math.Abs(float64(w.Swath/(1.5*r.Swath)-1)) > 1e-9 {
			t.Fatalf("swath %v of a row 1.5 times as wide as one of %v", w.Swath, r.Swath)
		}
		back := test
		for i, j := 0, len(depths)-1; i < j; i, j = i+1, j-1 {
			depths[i], depths[j] = depths[j], depths[i]
		}
		back.Pans = row(gap, depths...)
		b, _ := back.Result("here")
		if math.Abs(float64(b.HalfLeft-r.HalfRight)) > 1e-9 || math.Abs(b.LeftShare+r.LeftShare-1) > 1e-9 || math.Abs(b.Chosen.CV-r.Chosen.CV) > 1e-9 || math.Abs(b.Chosen.CVRound-r.Chosen.CVRound) > 1e-9 {
			t.Fatalf("mirrored: %+v against %+v", b, r)
		}
	})
}
