package tape_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/tape"
)

// one reads one line without a problem of weight.
func one(t testing.TB, line string) tape.Line {
	t.Helper()
	ps, _ := tape.Read("lots.txt", line, tape.Options{Accuracy: unit.Foot})
	if len(ps) != 1 || len(ps[0].Lines) != 1 {
		t.Fatalf("%s: %v", line, ps[0].Problems)
	}
	return ps[0].Lines[0]
}

// How Big is Your Lawn? (Fig. 2 and table), Purdue University Turf Tips, 2014: a lot with two parallel sides, less what
// stands on it. The publication gives the areas of the objects; their sides are ours.
func ExampleRead() {
	ps, _ := tape.Read("lots.txt", `property P-07 Corner lot
lot: trapezoid 90 ft and 60 ft, 80 ft apart
less house: rectangle 50 ft x 25 ft
less drive: rectangle 60 ft x 10 ft
less porch: rectangle 12 ft x 8 ft
less bed (front): rectangle 10 ft x 5 ft
less bed (side): rectangle 25 ft x 5 ft
less bed (left): rectangle 10 ft x 5 ft
less bed (right): rectangle 10 ft x 5 ft
`, tape.Options{})
	p := ps[0]
	for _, l := range p.Lines {
		fmt.Printf("%s: %s: %s\n", l.Surface, l.Method, l.Working)
	}
	fmt.Println(unit.US.Area(p.Turf), "-", unit.US.Area(p.Excluded), "=", unit.US.Area(p.Net))
	// Output:
	// turf: trapezoid, two parallel sides: (90 ft + 60 ft) / 2 x 80 ft = 6,000 sq ft
	// building: rectangle: 50 ft x 25 ft = 1,250 sq ft
	// hardscape: rectangle: 60 ft x 10 ft = 600 sq ft
	// hardscape: rectangle: 12 ft x 8 ft = 96 sq ft
	// bed: rectangle: 10 ft x 5 ft = 50 sq ft
	// bed: rectangle: 25 ft x 5 ft = 125 sq ft
	// bed: rectangle: 10 ft x 5 ft = 50 sq ft
	// bed: rectangle: 10 ft x 5 ft = 50 sq ft
	// 6,000 sq ft - 2,221 sq ft = 3,779 sq ft
}

// Published areas. Tolerances are those of the published rounding: pi taken as 3.14, halves cut off (the triangle of
// 125 ft by 75 ft is printed as 4,687 and is 4,687.5).
func TestPublished(t *testing.T) {
	tests := []struct {
		source, line string
		want, tol    float64
		in           unit.Area
	}{
		{"How Big is Your Lawn?, Purdue University Turf Tips, 2014", "trapezoid 90 ft and 60 ft, 80 ft apart", 6000, 0.1, unit.SquareFoot},
		{"Calculate areas, Grounds Maintenance magazine, n.d.", "rectangle 90 ft x 50 ft", 4500, 0.1, unit.SquareFoot},
		{"Calculate areas, Grounds Maintenance magazine, n.d.", "offsets every 10 ft: 32 ft 50 ft 45 ft 17 ft", 1440, 0.1, unit.SquareFoot},
		{"Calculate areas, Grounds Maintenance magazine, n.d.", "triangle base 125 ft height 75 ft", 4687, 0.6, unit.SquareFoot},
		{"Calculate areas, Grounds Maintenance magazine, n.d.", "circle radius 30 ft", 2826, 2, unit.SquareFoot},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary), n.d.", "rectangle 1320 ft x 120 ft", 158_400, 1, unit.SquareFoot},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary), n.d.", "rectangle 1,320 ft by 120 ft", 3.6, 0.05, unit.Acre},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary), n.d.", "circle across 90 ft", 6358.5, 4, unit.SquareFoot},
		{"National Pesticide Applicator Certification Core Manual, chapter 11 (summary), n.d.", "circle diameter 90 ft", 0.15, 0.005, unit.Acre},
		{"Golf course maintenance math, Golf Course Industry magazine, n.d.", "circle radius 44 ft", 6082, 0.5, unit.SquareFoot},
		{"Fertilisers and nutrients fn27, WestOne / WA Dept of Training, n.d.", "rectangle 30 m x 20 m", 600, 0.1, unit.SquareMetre},
		{"Fertilisers and nutrients fn27, WestOne / WA Dept of Training, n.d.", "radii 14 m 16 m 15 m 15 m 14.5 m 15.5 m 15 m 15 m", 706.5, 0.5, unit.SquareMetre},
		{"Fertilisers and nutrients fn27, WestOne / WA Dept of Training, n.d.", "triangle base 50 m height 80 m", 2000, 0.1, unit.SquareMetre},
		{"Calibrating Application Equipment (slides), Oklahoma State University-OKC, 2013", "circle across 80 ft", 5024, 3, unit.SquareFoot},
		{"Common Calculations, University of Tennessee PSEP, n.d.", "circle across 20 ft", 314.159, 0.001, unit.SquareFoot},
	}
	for _, tt := range tests {
		if got := one(t, tt.line).Area.In(tt.in); math.Abs(got-tt.want) > tt.tol {
			t.Errorf("%s: %s: got %.4f, published %v", tt.source, tt.line, got, tt.want)
		}
	}
	if got := one(t, "triangle base 125 ft height 75 ft").Area.In(unit.SquareFoot); math.Abs(got-4687.5) > 1e-9 {
		t.Errorf("the published slip: got %v, want 4687.5", got)
	}
}

// By hand, in feet.
func TestLines(t *testing.T) {
	tests := []struct {
		line, method    string
		area, perimeter float64
	}{
		{"square 40 ft", "square", 1600, 160},
		{"parallelogram base 90 ft height 50 ft", "parallelogram, base and height", 4500, 0},
		{"triangle sides 30 ft 40 ft 50 ft", "triangle, three sides (Heron)", 600, 120},
		{"triangle 50 ft, 30 ft and 40 ft", "triangle, three sides (Heron)", 600, 120},
		{"triangle 125 ft x 75 ft", "triangle, base and height", 4687.5, 0},
		{"trapezoid height 80 ft parallel sides 90 ft and 60 ft", "trapezoid, two parallel sides", 6000, 0},
		{"trapezium 80 ft apart, 90 ft and 60 ft", "trapezoid, two parallel sides", 6000, 0},
		{"circle radius 10 ft", "circle, radius", 314.159265358979, 62.8318530717959},
		{"circle 20 ft across", "circle, across", 314.159265358979, 62.8318530717959},
		// Not 0.8 x length x width, the rule of thumb that reads 1.9 % high.
		{"oval 60 ft x 40 ft", "ellipse, across both ways", 1884.95559215388, 0},
		{"L 90 ft x 50 ft and 30 ft x 20 ft", "L, two rectangles", 5100, 0},
		{"offsets every 10 ft with ends: 20 ft 30 ft 40 ft", "offset method, trapezoidal rule, ends measured", 600, 0},
		{"offsets every 10 ft: 0 ft 30 ft 40 ft 0 ft", "offset method, points at both ends", 700, 0},
		{"radii 9 ft 10 ft 11 ft 10 ft 9 ft 10 ft 11 ft 10 ft", "radii method, mean of 8", 314.159265358979, 0},
		{"rectangle 12 ft 6 in x 10 ft", "rectangle", 125, 45},
		{`rectangle 12'6" x 10'`, "rectangle", 125, 45},
		{"RECTANGLE 12’ 6” × 10’", "rectangle", 125, 45},
		{"rectangle 12 1/2 ft by 3 yd 1 ft", "rectangle", 125, 45},
		{"front rectangle 12.5ft x 10ft # by the street", "rectangle", 125, 45},
		{"radii: 1 yd, 3 ft, 36 in, 3 ft, 3 ft, 3 ft, 3 ft, 3 ft", "radii method, mean of 8", 28.2743338823081, 0},
		{"circle drive: rectangle 12.5 ft x 10 ft.", "rectangle", 125, 45},
	}
	for _, tt := range tests {
		l := one(t, tt.line)
		if l.Method != tt.method || math.Abs(l.Area.In(unit.SquareFoot)-tt.area) > 1e-9*tt.area || math.Abs(l.Perimeter.In(unit.Foot)-tt.perimeter) > 1e-9*tt.perimeter {
			t.Errorf("%s: got %s, %v sq ft, perimeter %v ft", tt.line, l.Method, l.Area.In(unit.SquareFoot), l.Perimeter.In(unit.Foot))
		}
	}
}

func TestNames(t *testing.T) {
	tests := []struct {
		line, name string
		less       bool
		surface    geo.Surface
	}{
		{"front: square 10 ft", "front", false, geo.Turf},
		{"square 10 ft", "", false, geo.Turf},
		{"less house: square 10 ft", "house", true, geo.Building},
		{"Less pool house: square 10 ft", "pool house", true, geo.Building},
		{"less front porch: square 10 ft", "front porch", true, geo.Hardscape},
		{"less bed (by the house): square 10 ft", "bed (by the house)", true, geo.Bed},
		{"less pond: circle across 10 ft", "pond", true, geo.Water},
		{"less septic field: square 10 ft", "septic field", true, geo.KeepOff},
		{"minus: square 10 ft", "", true, geo.KeepOff},
		{"less square 10 ft", "", true, geo.KeepOff},
		{"less drive circle across 10 ft", "drive", true, geo.Hardscape},
		{"lesser lawn: square 10 ft", "lesser lawn", false, geo.Turf},
	}
	for _, tt := range tests {
		if l := one(t, tt.line); l.Name != tt.name || l.Less != tt.less || l.Surface != tt.surface {
			t.Errorf("%s: got %q, less %v, %s", tt.line, l.Name, l.Less, l.Surface)
		}
	}
}

func TestProblems(t *testing.T) {
	tests := []struct{ text, codes string }{
		{"rectangle 90 x 50 ft", "quantity"},
		{"rectangle 90 ft x 50", "quantity"},
		{"rectangle 90 sq ft", "quantity"},
		{"rectangle 12,5 m x 3 m", "quantity"},
		{"rectangle 9 ft 30 in x 3 ft", "quantity"},
		{"triangle sides 30 ft 40 in 50 ft", "quantity"},
		{"rectangle 90 ft", "length-missing"},
		{"rectangle 90 ft x 50 ft x 20 ft", "length-left-over"},
		{"rectangle 90 ft x 50 ft deep", "word-unknown"},
		{"circle 30 ft", "length-missing"},
		{"trapezoid 90 ft x 60 ft x 80 ft", "length-missing"},
		{"triangle base 30 ft 40 ft 50 ft", "length-missing"},
		{"triangle sides 30 ft 40 ft", "length-missing"},
		{"triangle sides 30 ft 40 ft 70 ft", "triangle-impossible"},
		{"triangle sides 30 ft 40 ft 71 ft", "triangle-impossible"},
		{"offsets 10 ft: 32 ft 50 ft", "length-missing"},
		{"offsets every 10 ft: 0 ft 0 ft", "absurd"},
		{"offsets every 10 ft with ends: 20 ft", "length-missing"},
		{"radii 10 ft 11 ft", "length-missing"},
		{"rectangle 0 ft x 50 ft", "absurd"},
		{"rectangle -9 ft x 50 ft", "absurd"},
		{"rectangle 9 mm x 50 ft\nsquare 5.1 km", "absurd absurd"},
		{"lawn 50 ft wide", "shape-unknown"},
		{"front:", "shape-unknown"},
		{"property\nsquare 10 ft", "property-unnamed"},
		{"less house: square 10 ft", "no-turf overlap-unknown"},
		{"square 10 ft\nless house: square 11 ft", "less-larger-than-turf overlap-unknown"},
		{"square 10 ft\nless house: square 9 ft\nless drive: square 9 ft", "net-negative overlap-unknown"},
		{"square 10 ft\nless house: square 10 ft", "net-zero overlap-unknown"},
		{"property P-1", "no-turf"},
		{"radii 10 ft 20 ft 10 ft 20 ft", "radii-uneven few-radii"},
		{"triangle sides 30 ft 40 ft 69 ft 11.999 in", "not-sure"},
		{strings.Repeat("a", 5000) + ": square 10 ft", "line-too-long"},
	}
	for _, tt := range tests {
		ps, found := tape.Read("lots.txt", tt.text, tape.Options{Accuracy: unit.Foot / 2})
		var codes []string
		for _, p := range ps {
			for _, x := range p.Problems {
				if codes = append(codes, x.Code); x.Where == "" || x.Fix == "" {
					t.Errorf("%q: %v", tt.text, x)
				}
			}
		}
		if got := strings.Join(codes, " "); got != tt.codes || len(found) > 0 {
			t.Errorf("%.40q: got %s, %v, want %s", tt.text, got, found, tt.codes)
		}
	}
	if _, found := tape.Read("lots.txt", "# nothing\n\n", tape.Options{}); found[0].Code != "no-lines" {
		t.Errorf("empty: got %v", found)
	}
	ps, _ := tape.Read("lots.txt", "property A\nsquare 1 ft\nproperty A\nsquare 1 ft", tape.Options{})
	if ps[1].Problems[0].Code != "property-repeated" {
		t.Errorf("repeated: got %v", ps[1].Problems)
	}
}

// The +- by hand: 1.96 x 1 ft x the length of the gradient.
func TestPlusMinus(t *testing.T) {
	tests := []struct {
		line string
		want float64
	}{
		{"rectangle 30 ft x 40 ft", 50},
		{"square 30 ft", 60},
		{"circle radius 10 ft", 20 * math.Pi},
		{"circle across 20 ft", 10 * math.Pi},
		{"triangle base 60 ft height 80 ft", 50},
		{"triangle sides 30 ft 40 ft 50 ft", 25}, // legs 20 and 15, hypotenuse 0
		{"trapezoid 10 ft and 20 ft, 8 ft apart", math.Sqrt(16 + 16 + 225)},
		{"radii 10 ft 10 ft 10 ft 10 ft 10 ft 10 ft 10 ft 10 ft", 20 * math.Pi / math.Sqrt(8)},
		// stations -5, -10, +0..: ends 5 and 5 (a width of 10 between points), widths 10 each.
		{"offsets every 10 ft: 10 ft", math.Sqrt(25 + 25 + 100)},
		{"offsets every 10 ft with ends: 4 ft 4 ft 4 ft", math.Sqrt(16 + 25 + 100 + 16 + 25)},
	}
	for _, tt := range tests {
		if got := one(t, tt.line).PlusMinus.In(unit.SquareFoot); math.Abs(got-1.96*tt.want) > 1e-6*got {
			t.Errorf("%s: got %v, want %v", tt.line, got, 1.96*tt.want)
		}
	}
	ps, _ := tape.Read("a", "rectangle 30 ft x 40 ft\nless house: rectangle 3 ft x 4 ft", tape.Options{Accuracy: unit.Foot})
	if got := ps[0].PlusMinus.In(unit.SquareFoot); math.Abs(got-1.96*math.Hypot(50, 5)) > 1e-6 {
		t.Errorf("a sum: got %v", got)
	}
}

// Laws: three sides give what base and height give, in any order; the area grows with the square of the unit.
func TestLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		base := rapid.Float64Range(1, 500).Draw(t, "base")
		foot := rapid.Float64Range(-500, 500).Draw(t, "foot")
		h := rapid.Float64Range(1, 500).Draw(t, "height")
		sides := []float64{base, math.Hypot(foot, h), math.Hypot(base-foot, h)}
		order := rapid.Permutation([]int{0, 1, 2}).Draw(t, "order")
		text := "triangle sides"
		for _, i := range order {
			text += fmt.Sprintf(" %.17g m", sides[i])
		}
		ps, _ := tape.Read("a", text, tape.Options{})
		if len(ps[0].Lines) != 1 {
			t.Fatalf("%s: %v", text, ps[0].Problems)
		}
		if got, want := ps[0].Lines[0].Area.In(unit.SquareMetre), base*h/2; math.Abs(got-want) > 1e-6*want+1e-6 {
			t.Errorf("%s: got %v, want %v", text, got, want)
		}
	})
}

func TestIsLine(t *testing.T) {
	for _, s := range []string{"front: rectangle 90 ft x 50 ft", "radii: 1 ft", "property P-7", "offsets"} {
		if !tape.IsLine(s) {
			t.Errorf("%q is no line", s)
		}
	}
	for _, s := range []string{"lots.txt", "rectangle.txt", "property", "my lawns/front.txt", "-", ""} {
		if tape.IsLine(s) {
			t.Errorf("%q is a line", s)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add("property P-07 Corner lot\nfront: rectangle 90 ft x 50 ft\nless house: square 12'6\"\n# c\noffsets every 10 ft with ends: 0 ft 1 m 2 cm")
	f.Add("triangle sides 30 ft 40 ft 50 ft\nradii 1 ft 2 ft, 3 ft 6 in\nL 1 m x 2 m and 3 m x 4 m\ntrapezoid 1 m 2 m 3 m high")
	f.Fuzz(func(t *testing.T, text string) {
		ps, _ := tape.Read("a", text, tape.Options{Accuracy: unit.Foot})
		for _, p := range ps {
			for _, l := range p.Lines {
				for _, x := range []float64{float64(l.Area), float64(l.PlusMinus), float64(l.Perimeter)} {
					if math.IsNaN(x) || math.IsInf(x, 0) || x < 0 {
						t.Errorf("%q: %+v", text, l)
					}
				}
				if l.Area == 0 {
					t.Errorf("%q: no area: %+v", text, l)
				}
			}
			if !p.Problems.HasErrors() && (p.Net < 0 || p.Turf <= 0) {
				t.Errorf("%q: %+v", text, p)
			}
		}
	})
}

// A slip with "less" would add the house to the lawn: it is refused, or told.
func TestLessIsFirst(t *testing.T) {
	for text, want := range map[string]string{
		"les house: rectangle 50 ft x 25 ft": "less-not-first", "house less: rectangle 5 ft x 5 ft": "less-not-first",
		"house: less rectangle 5 ft x 5 ft": "less-not-first", "- house: rectangle 5 ft x 5 ft": "less-not-first",
		"house: rectangle 5 ft x 5 ft": "turf-named-otherwise", "front: 2 rectangle 90 ft x 50 ft": "count-not-understood",
		"2 rectangle 90 ft x 50 ft": "count-not-understood", "lot 4: square 10 ft": "", "less house: square 10 ft": "",
	} {
		props, _ := tape.Read("lot.txt", "lawn: rectangle 200 ft x 100 ft\n"+text, tape.Options{})
		got := ""
		for _, p := range props[0].Problems {
			if p.Code != "overlap-unknown" {
				got = p.Code
			}
		}
		if got != want {
			t.Errorf("%s: got %q, want %q: %v", text, got, want, props[0].Problems)
		}
	}
}
