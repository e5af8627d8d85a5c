package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// By hand: 49 ft 1 in at 7 ft is eight strips; seven strips of 7 ft 1/7 in do, 0.17 % wider. 52 ft would need 7 ft 5 1/7 in, 6 %
// more, and has no such advice. 49 ft have none to save; 22 ft are four strips, and three of 7 1/3 ft, 4.8 % more.
func TestStretch(t *testing.T) {
	for _, tt := range []struct {
		feet, spacing float64
		saved         int
	}{{49 + 1/12.0, 7 + 1/84.0, 1}, {52, 0, 0}, {49, 0, 0}, {22, 22 / 3.0, 1}} {
		p, err := Lay(lawn([][]geom.Coord{rect(0, 0, 100, tt.feet)}), gun(7*unit.Foot))
		if err != nil {
			t.Fatal(err)
		}
		spacing, saved, ok := p.Stretch()
		want := tt.spacing
		if tt.saved == 0 {
			want = 0
		}
		if got := spacing.In(unit.Foot); saved != tt.saved || ok != (tt.saved > 0) || math.Abs(got-want) > 1e-6 {
			t.Errorf("%.3f ft: spacing %.4f ft saves %d, want %.4f and %d", tt.feet, got, saved, want, tt.saved)
		}
	}
}

// By hand: 100 x 49 1/12 ft drawn together is eight strips of 6 ft 1 5/8 in (589/96 in = 6.135417 ft). A gun that trims puts
// 7 / 6.135417 of its rate on 4,908 1/3 sq ft: as 5,600 sq ft; so does a fixed width, 8 x 100 x 7.
func TestEvenStrips(t *testing.T) {
	for _, trims := range []bool{true, false} {
		s := gun(7 * unit.Foot)
		s.Trims, s.Even = trims, true
		p, err := Lay(lawn([][]geom.Coord{rect(0, 0, 100, 49+1/12.0)}), s)
		if err != nil {
			t.Fatal(err)
		}
		sprayed := unit.Area(0)
		for _, q := range p.Passes {
			sprayed += q.Sprayed
		}
		if got := p.Sections[0].Spacing.In(unit.Foot); len(p.Passes) != 8 || math.Abs(got-589/96.0) > 1e-6 || math.Abs(sprayed.In(unit.SquareFoot)-5600) > 0.01 {
			t.Errorf("trims %v: %d passes %.5f ft apart, sprayed %.2f sq ft; want 8, %.5f ft, 5600", trims, len(p.Passes), got, sprayed.In(unit.SquareFoot), 589/96.0)
		}
	}
}

// By hand: a strip of 10 ft that bends by 20 degrees is two lanes 5 ft apart. Drawn together on purpose, a gun puts 7 / 5 of its rate on it; else it
// is trimmed to the lanes and puts out no more than the turf is to get.
func TestEvenOnAFollowedStrip(t *testing.T) {
	s20, c20 := math.Sincos(math.Pi / 9)
	x, y := 100+100*c20, 100*s20
	l := lawn([][]geom.Coord{{{0, 0}, {100, 0}, {x, y}, {x - 10*s20, y + 10*c20}, {100 - 10*math.Tan(math.Pi/18), 10}, {0, 10}}})
	for _, even := range []bool{false, true} {
		s := gun(7 * unit.Foot)
		s.Even = even
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		apart, more := 7.0, 1.0
		if even {
			apart, more = 5, 1.4
		}
		if got := p.Sections[0].Spacing.In(unit.Foot); len(p.Passes) != 2 || p.Passes[0].Kind != Follow || math.Abs(got-apart) > 1e-6 {
			t.Errorf("even %v: %d passes of kind %s %.4f ft apart, want 2, %s, %v", even, len(p.Passes), p.Passes[0].Kind, got, Follow, apart)
		}
		for _, q := range p.Passes {
			if got := float64(q.Sprayed / q.Area); math.Abs(got-more) > 1e-6 {
				t.Errorf("even %v: pass %d puts out %.4f of its rate, want %v", even, q.N, got, more)
			}
		}
	}
}
