package pass

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
)

// Each bound follows by hand. A right triangle of 70 x 70 ft is 70/sqrt(2) = 49.50 ft wide across its long side, and no less any other
// way: 7.07 strips, where its inscribed disc of 41.0 ft would ask for 6. But a tip of 0.03 % of its area, 0.735 sq ft, may go with
// the pass beside it: at the right angle that is sqrt(0.735) = 0.86 ft, and 48.64 ft are seven strips.
func TestBoundsByHand(t *testing.T) {
	const square = 49 + 1/12.0
	for _, c := range []struct {
		name        string
		lawn        Lawn
		any, oneWay int
	}{
		{"exact fit", lawn([][]geom.Coord{rect(0, 0, 100, 49)}), 7, 7},
		{"an inch over", lawn([][]geom.Coord{rect(0, 0, 100, square)}), 8, 8},
		{"a triangle", lawn([][]geom.Coord{{{0, 0}, {70, 0}, {0, 70}}}), 7, 8},
		{"a verge", lawn([][]geom.Coord{rect(0, 0, 90, 8)}), 2, 2},
		{"two parts", lawn([][]geom.Coord{rect(0, 0, 50, 14)}, [][]geom.Coord{rect(60, 0, 14, 50)}), 4, 4},
		// Two arms of 20 x 100 ft. In one direction the hull counts, (100 + 20) / sqrt(2) = 84.85 ft wide across the slant: 13 strips.
		// In any, the triangle of 40 x 40 ft whose long side touches the inner corner: 40 / sqrt(2) = 28.28 ft, less a tip of
		// 1.08 sq ft, sqrt(1.08) = 1.04 ft: 3.89 strips.
		{"an L", lawn([][]geom.Coord{{{0, 0}, {100, 0}, {100, 20}, {20, 20}, {20, 100}, {0, 100}}}), 4, 13},
		// A triangle of 56 x 56 ft between a corner and the hole is 39.6 ft wide: 5.7. The area asks for 4,704 / (7 x 99) = 6.8.
		{"a hole", lawn([][]geom.Coord{rect(0, 0, 70, 70), rect(28, 28, 14, 14)}), 7, 10},
	} {
		p, err := Lay(c.lawn, gun(7*unit.Foot))
		if err != nil {
			t.Fatal(err)
		}
		if p.BoundPasses != c.any || p.BoundOneWay != c.oneWay {
			t.Errorf("%s: at least %d passes and %d in one direction, want %d and %d", c.name, p.BoundPasses, p.BoundOneWay, c.any, c.oneWay)
		}
	}
}

// With one lap of 7 ft, 86 x 35 ft are left of 100 x 49: 5 strips and the lap. Two laps leave 72 x 21: 3 strips.
func TestBoundsBehindLaps(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
	for laps, want := range map[int]int{0: 7, 1: 6, 2: 5} {
		s := gun(7 * unit.Foot)
		s.Laps = laps
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		if p.BoundPasses != want || p.BoundOneWay != want || len(p.Passes) != want {
			t.Errorf("%d laps: %d passes, at least %d and %d in one direction, want %d", laps, len(p.Passes), p.BoundPasses, p.BoundOneWay, want)
		}
	}
}

// Two verges of 14 ft, 10 ft apart, need two passes each; crossing the drive between them with the gun off, two together.
func TestBoundsAcrossADrive(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 50, 14)}, [][]geom.Coord{rect(60, 0, 50, 14)}, [][]geom.Coord{rect(0, 60, 50, 7)})
	for _, c := range []struct {
		gap  unit.Length
		want int
	}{{0, 5}, {9 * unit.Foot, 5}, {12 * unit.Foot, 3}} {
		p := Plan{Setup: gun(7 * unit.Foot)}
		p.Setup.GunOff = c.gap
		p.bound(regions(l.Net))
		if p.BoundPasses != c.want {
			t.Errorf("a gap of %v: at least %d passes, want %d", c.gap, p.BoundPasses, c.want)
		}
	}
}

// A ring of 7 ft round an island of 14 x 14 ft is followed in one pass of four strips: the bound asks for one, not for what four strips
// in a row would come to.
func TestBoundsTakeJointsOff(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 28, 28), rect(7, 7, 14, 14)})
	s := gun(7 * unit.Foot)
	ring := eastward(1, s, 0, 28, 0, 7, 7)
	for _, q := range []Pass{eastward(1, s, 21, 28, 7, 14, 14), eastward(1, s, 0, 28, 21, 7, 7), eastward(1, s, 0, 7, 7, 14, 14)} {
		ring.legs = append(ring.legs, q.legs...)
	}
	p := Plan{Setup: s}
	p.bound(regions(l.Net))
	apart := p.BoundPasses
	p = Plan{Setup: s, Passes: []Pass{ring}}
	p.bound(regions(l.Net))
	if p.BoundPasses != 1 || apart < 2 {
		t.Errorf("at least %d passes apart and %d joined, want 2 or more and 1", apart, p.BoundPasses)
	}
}

// The body lies in the turf whatever the outline: none of its corners, nor a point between two of them, is outside.
func TestBodyIsTurf(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var shell []geom.Coord
		n := rapid.IntRange(3, 14).Draw(t, "corners")
		for i := range n {
			r := rapid.Float64Range(20, 100).Draw(t, "radius")
			sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			shell = append(shell, geom.Coord{r * cos, r * sin})
		}
		r := regions(lawn([][]geom.Coord{shell, rect(-4, -4, 8, 8)}).Net)[0]
		centres := r.roomiest()
		for _, c := range centres {
			body := r.body(c)
			if len(body.edges) < 3 {
				t.Fatalf("body round %v has %d sides", c, len(body.edges))
			}
			for _, e := range body.edges {
				for _, f := range body.edges {
					for _, k := range []float64{0, 0.2, 0.5, 0.8} {
						if d := r.clearance(e.ax+k*(f.ax-e.ax), e.ay+k*(f.ay-e.ay)); d < -1e-4 {
							t.Fatalf("the body round %v lies %v m off the turf", c, -d)
						}
					}
				}
			}
		}
	})
}

// The 26 invented reference lawns: the published bounds were worked out by another program, as least widths and inscribed discs of
// the parts. Ours is never below the published bound, nor above the best published plan.
func TestBoundsOfReferenceLawns(t *testing.T) {
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("TANKFUL_SHARED is not set: the reference lawns are not at hand")
	}
	dir = filepath.Join(dir, "data", "passes")
	b, err := os.Open(filepath.Join(dir, "expected_w7ft.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer b.Close()
	rows, err := csv.NewReader(b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	ours, published := 0, 0
	for _, row := range rows[1:] {
		num := func(name string) int {
			for i, head := range rows[0] {
				if head == name {
					n, err := strconv.Atoi(row[i])
					if err != nil {
						t.Fatal(err)
					}
					return n
				}
			}
			t.Fatalf("no column %s", name)
			return 0
		}
		p := Plan{Setup: gun(7 * unit.Foot)}
		p.bound(regions(readSite(t, filepath.Join(dir, row[0]+".geojson")).Net))
		t.Logf("%-18s any: ours %d, published %d, best plan %d; one direction: ours %d, published %d, best plan %d", row[0],
			p.BoundPasses, num("LB_passes_any"), num("best_passes"), p.BoundOneWay, num("LB_lines_one_direction"), num("onedir_passes"))
		if p.BoundPasses < num("LB_passes_any") || p.BoundPasses > num("best_passes") {
			t.Errorf("%s: at least %d passes, published %d to %d", row[0], p.BoundPasses, num("LB_passes_any"), num("best_passes"))
		}
		// The published bound takes a lawn of several parts as one, in one direction for all; we give each part its own.
		if p.BoundOneWay < num("LB_lines_one_direction") && num("parts") == 1 || p.BoundOneWay > num("onedir_passes") {
			t.Errorf("%s: at least %d passes in one direction, published %d to %d", row[0], p.BoundOneWay, num("LB_lines_one_direction"), num("onedir_passes"))
		}
		ours, published = ours+p.BoundPasses, published+num("LB_passes_any")
	}
	t.Logf("bounds of all: ours %d, published %d", ours, published)
}

func readSite(t *testing.T, path string) *geo.Site {
	t.Helper()
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	props, _ := intake.Read(filepath.Base(path), b, intake.Options{})
	return geo.Measure(props[0], geo.MeasureOptions{})
}

// A lawn of 19 x 20.7 m round a house, a lap of 4 m round both: next to the house the laps leave no disc of turf, though there is one of
// 4.3 m radius before. No plan is below its bound.
func TestBoundsRoundAHouse(t *testing.T) {
	const ft = 1 / 0.3048
	w, h := 19*ft, 20.67*ft
	house := rect(w*3/8, h*3/8, w/4, h/4)
	l := lawn([][]geom.Coord{rect(0, 0, w, h), house})
	l.NoWalk = lawn([][]geom.Coord{house}).Net
	for laps := range 3 {
		for _, swath := range []unit.Length{2, 3, 4} {
			s := gun(swath)
			s.Trims, s.Laps = false, laps
			p, err := Lay(l, s)
			if err != nil {
				t.Fatal(err)
			}
			if len(p.Passes) < p.BoundPasses {
				t.Errorf("%d laps of %v: %d passes, at least %d", laps, swath, len(p.Passes), p.BoundPasses)
			}
		}
	}
}

// What tips leave of a square of 10 m: its caps of 0.5 m2 along a side are 0.05 m deep, at a corner 0.71 m along the diagonal. So its
// least width is 9.9 m, and the corner is cut off.
func TestBluntSquare(t *testing.T) {
	const ft = 1 / 0.3048
	square := regions(lawn([][]geom.Coord{rect(0, 0, 10*ft, 10*ft)}).Net)[0]
	b := square.blunt(0.5)
	if width, _ := leastWidth(b.hull()); math.Abs(width-9.9) > 0.005 {
		t.Errorf("the least width is %v m, want 9.9", width)
	}
	far := 0.0
	for _, e := range b.edges {
		far = max(far, e.ax+e.ay)
	}
	if want := 20 - math.Sqrt(0.5)*math.Sqrt2; math.Abs(far-want) > 0.005 {
		t.Errorf("it reaches %v m, want %v", far, want)
	}
}
