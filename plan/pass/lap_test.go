package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
)

func boom(laps int) Setup {
	return Setup{Swath: 7 * unit.Foot, SideStep: 6 * unit.Foot, TurnCost: 8 * unit.Metre, Laps: laps}
}

func feet(p *Pass) float64 { return p.Length.In(unit.Foot) }

// By hand: half a swath inside of 100 x 49 ft is a walk of 2 x (93 + 42) = 270 ft. Where each leg runs on to the edge and
// the next begins beyond its swath, nothing is walked twice: a leg of 93 and one of 42 ft in turn. Inside are 86 x 35 ft, five
// passes of 86 ft. The second lap is 2 x (79 + 28) = 214 ft round 72 x 21 ft, three passes.
func TestLapsOfARectangle(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
	for laps, want := range [][]float64{{100, 100, 100, 100, 100, 100, 100}, {270, 86, 86, 86, 86, 86}, {270, 214, 72, 72, 72}} {
		p, err := Lay(l, boom(laps))
		if err != nil {
			t.Fatal(err)
		}
		check(t, "rectangle", l, p)
		got := lengths(p)
		if p.Laps != laps || len(got) != len(want) {
			t.Errorf("%d laps: got %d laps and passes of %.1f ft, want %v", laps, p.Laps, got, want)
			continue
		}
		for i := range want {
			if math.Abs(got[i]-want[i]) > 0.02 {
				t.Errorf("%d laps: got passes of %.2f ft, want %v", laps, got, want)
				break
			}
		}
		// Three corners a lap; the fourth is the walk to the next pass.
		if want := len(p.Passes) - 1 + 3*laps; p.Turns != want {
			t.Errorf("%d laps: got %d turns, want %d", laps, p.Turns, want)
		}
		if p.Double > 1e-3*p.Net || p.Covered < 0.9999*p.Net {
			t.Errorf("%d laps: %v sprayed twice, %v of %v covered", laps, p.Double, p.Covered, p.Net)
		}
	}
}

// lengths is that of the laps, then of the strips, each the longest first.
func lengths(p *Plan) (out []float64) {
	for _, laps := range []bool{true, false} {
		first := len(out)
		for i := range p.Passes {
			if (p.Passes[i].Kind == Lap) == laps {
				out = append(out, feet(&p.Passes[i]))
			}
		}
		rest := out[first:]
		for i := range rest {
			for k := i; k > 0 && rest[k] > rest[k-1]; k-- {
				rest[k], rest[k-1] = rest[k-1], rest[k]
			}
		}
	}
	return out
}

// By hand: round a hole of 20 x 20 ft in the middle of 90 x 90 ft goes a lap of 4 legs, each 20 + 7 ft; along the edge one of
// 4 x 83 ft. A hole of 6 ft is left to the strips.
func TestLapRoundAHole(t *testing.T) {
	for _, tt := range []struct {
		hole float64
		want []float64
	}{{20, []float64{332, 108}}, {6, []float64{332}}} {
		l := lawn([][]geom.Coord{rect(0, 0, 90, 90), rect(45-tt.hole/2, 45-tt.hole/2, tt.hole, tt.hole)})
		p, err := Lay(l, boom(1))
		if err != nil {
			t.Fatal(err)
		}
		check(t, "hole", l, p)
		got := lengths(p)
		for i, want := range tt.want {
			if p.Laps != len(tt.want) || math.Abs(got[i]-want) > 0.03 {
				t.Errorf("hole of %v ft: got %d laps, %.2f ft, want %v", tt.hole, p.Laps, got[:2], tt.want)
				break
			}
		}
	}
}

// Turf narrower than the swath has no lap; a neck as narrow is left to the strips, and both sides of it get theirs.
func TestNoLapWhereNarrow(t *testing.T) {
	for _, tt := range []struct {
		name string
		ring []geom.Coord
		laps int
	}{
		{"verge", rect(0, 0, 90, 6.5), 0},
		{"neck", []geom.Coord{{0, 0}, {40, 0}, {40, 20}, {60, 20}, {60, 0}, {100, 0}, {100, 40}, {60, 40}, {60, 26}, {40, 26}, {40, 40}, {0, 40}}, 2},
	} {
		l := lawn([][]geom.Coord{tt.ring})
		p, err := Lay(l, boom(1))
		if err != nil {
			t.Fatal(err)
		}
		check(t, tt.name, l, p)
		if p.Laps != tt.laps || p.Covered < 0.999*p.Net {
			t.Errorf("%s: got %d laps, %v of %v covered, want %d laps", tt.name, p.Laps, p.Covered, p.Net, tt.laps)
		}
	}
}

// The tank of a trimming gun is empty where the area behind it is that of what is treated. By hand: legs of the lap above are
// 42 and 93 ft of 7 ft, with 4.95 ft across a corner between them.
func TestAlongALap(t *testing.T) {
	s := boom(1)
	s.Trims = true
	p, err := Lay(lawn([][]geom.Coord{rect(0, 0, 100, 49)}), s)
	if err != nil {
		t.Fatal(err)
	}
	lap := &p.Passes[0]
	if lap.Kind != Lap || math.Abs(lap.Area.In(unit.SquareFoot)-1890) > 0.5 || len(lap.Off) != 3 {
		t.Fatalf("got a %s of %v, %d corners; want a lap of 1,890 sq ft, 3 corners", lap.Kind, lap.Area, len(lap.Off))
	}
	first := lap.Off[0].From.In(unit.Foot)
	step := 3.5 * math.Sqrt2
	for _, tt := range []struct{ area, want float64 }{{70, 10}, {first*7 + 70, first + step + 10}, {945 + 70, 135 + 2*step + 10}} {
		if got := lap.Along(unit.Area(tt.area * float64(unit.SquareFoot))).In(unit.Foot); math.Abs(got-tt.want) > 0.05 {
			t.Errorf("%v sq ft are treated after %.3f ft, want %.3f", tt.area, got, tt.want)
		}
	}
}

// On made-up lawns of right angles with holes: areas add up, nothing is missed, and the laps stay half a swath off the edge.
func TestLapsOfRandomLawns(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		steps := rapid.SliceOfN(rapid.IntRange(30, 60), 3, 5).Draw(rt, "heights")
		var ring []geom.Coord
		for i, h := range steps {
			ring = append(ring, geom.Coord{float64(i) * 40, float64(h)}, geom.Coord{float64(i+1) * 40, float64(h)})
		}
		ring = append(ring, geom.Coord{float64(len(steps)) * 40, 0}, geom.Coord{0, 0})
		rings := [][]geom.Coord{ring}
		for i, h := range steps {
			if side := rapid.IntRange(0, 12).Draw(rt, "hole"); side > 0 && side+4 < h {
				rings = append(rings, rect(float64(i)*40+10, 2, float64(side), float64(side)))
			}
		}
		turn := rapid.Float64Range(0, 2*math.Pi).Draw(rt, "turn")
		l := turnedLawn(lawn(rings), turn)
		s := boom(rapid.IntRange(1, 2).Draw(rt, "laps"))
		p, err := Lay(l, s)
		if err != nil {
			rt.Fatal(err)
		}
		sum := unit.Area(0)
		for i := range p.Passes {
			q := &p.Passes[i]
			sum += q.Area
			if !(q.Area > 0) || !(q.Length > 0) {
				rt.Errorf("pass %d: area %v, length %v", q.N, q.Area, q.Length)
			}
		}
		if want := turfArea(l.Net); math.Abs(float64(sum-want)) > 1e-9*float64(want) {
			rt.Errorf("areas add up to %v of %v", sum, want)
		}
		if p.Covered < 0.997*p.Net {
			rt.Errorf("%v of %v covered", p.Covered, p.Net)
		}
		if p.Laps == 0 {
			rt.Errorf("no lap")
		}
	})
}

func turnedLawn(l Lawn, turn float64) Lawn {
	c := l.Net.FlatCoords()
	s, k := math.Sincos(turn)
	flat := make([]float64, len(c))
	for i := 0; i+1 < len(c); i += 2 {
		flat[i], flat[i+1] = k*c[i]-s*c[i+1]+100, s*c[i]+k*c[i+1]-50
	}
	return Lawn{Net: geom.NewMultiPolygonFlat(geom.XY, flat, l.Net.Endss())}
}

// A lawn that is turned, moved or drawn from another corner has the same laps.
func TestLapsOfATurnedLawn(t *testing.T) {
	rings := [][]geom.Coord{{{0, 0}, {130, 0}, {130, 60}, {90, 60}, {80, 90}, {20, 80}, {0, 40}}, rect(40, 20, 30, 22)}
	for laps := 1; laps <= 2; laps++ {
		want := -1.0
		for k := range 9 {
			moved := append(append([]geom.Coord{}, rings[0][k%7:]...), rings[0][:k%7]...)
			p, err := Lay(turnedLawn(lawn([][]geom.Coord{moved, rings[1]}), float64(k)*0.7), boom(laps))
			if err != nil {
				t.Fatal(err)
			}
			sum := 0.0
			for i := range p.Passes {
				if p.Passes[i].Kind == Lap {
					sum += feet(&p.Passes[i])
				}
			}
			if want < 0 {
				want = sum
			}
			if math.Abs(sum-want) > 1e-3*want {
				t.Errorf("%d laps, turned by %.1f: got %.2f ft together, want %.2f", laps, float64(k)*0.7, sum, want)
			}
		}
	}
}
