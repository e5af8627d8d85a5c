package road_test

import (
	"errors"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo/road"
)

// Spots on segments, one way or both: as trying all junctions has it when each spot is made a junction of its own, where its segment is cut.
func TestSpotsAgainstTryingAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at, segments := town(t)
		for i := range segments { // straight, so that a cut at a part of the length is one by the same part of the line
			segments[i].Shape = nil
			if segments[i].From == segments[i].To {
				segments[i].To = (segments[i].From + 1) % len(at)
			}
			segments[i].Length = 100 * unit.Length(1+i)
		}
		g, err := road.New(at, segments, "")
		if err != nil {
			t.Fatal(err)
		}
		var spots []road.Spot
		for range 4 {
			s, err := g.Snap(place(t, 0, 0.02), 100_000)
			if errors.Is(err, road.ErrFar) { // nothing that one comes back to
				continue
			}
			spots = append(spots, s)
		}
		times, index := cutAt(at, segments, spots)
		m := g.Matrix(spots, spots)
		for i := range spots {
			for j := range spots {
				d, want := m[i][j], times[index[i]][index[j]]
				if d.OK == math.IsInf(want, 1) || d.OK && math.Abs(float64(d.Time)-want) > 1e-9*want+1e-9 {
					t.Fatalf("%+v to %+v: %+v, want %v s", spots[i], spots[j], d, want)
				}
			}
		}
	})
}

// cutAt is the fastest times when spots are junctions, and which junction each spot is.
func cutAt(at []orb.Point, segments []road.Segment, spots []road.Spot) (times [][]float64, index []int) {
	n := len(at) + len(spots)
	times = make([][]float64, n)
	for i := range times {
		times[i] = make([]float64, n)
		for j := range times {
			if i != j {
				times[i][j] = math.Inf(1)
			}
		}
	}
	leg := func(from, to int, length, speed float64) {
		if speed > 0 {
			times[from][to] = min(times[from][to], length/speed)
		}
	}
	index = make([]int, len(spots))
	on := map[int][]int{}
	for i, s := range spots {
		junction, segment, _ := s.On()
		if index[i] = junction; junction < 0 {
			index[i] = len(at) + i
			on[segment] = append(on[segment], i)
		}
	}
	for k, s := range segments {
		ends, parts := []int{s.From, s.To}, []float64{0, 1}
		for _, i := range on[k] {
			_, _, part := spots[i].On()
			ends, parts = append(ends, index[i]), append(parts, part)
		}
		for i := range ends { // every leg of the segment, cut or not: none is shorter for it
			for j := range ends {
				if parts[i] <= parts[j] && i != j {
					length := (parts[j] - parts[i]) * float64(s.Length)
					leg(ends[i], ends[j], length, float64(s.Speed))
					leg(ends[j], ends[i], length, float64(s.Back))
				}
			}
		}
	}
	for k := range times {
		for i := range times {
			for j := range times {
				times[i][j] = min(times[i][j], times[i][k]+times[k][j])
			}
		}
	}
	return times, index
}

// Roads of two towns that are far apart, as in the extract of a large state or of two: places are snapped in both.
func TestSnapOnWideMap(t *testing.T) {
	at := []orb.Point{{-124, 25}, {-123.99, 25}, {-67, 49}, {-66.99, 49}}
	g, err := road.New(at, []road.Segment{{From: 0, To: 1, Speed: 10, Back: 10}, {From: 2, To: 3, Speed: 10, Back: 10}}, "")
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range []orb.Point{{-123.995, 25.001}, {-66.995, 49.001}} {
		s, err := g.Snap(p, 500*unit.Metre)
		if err != nil || math.Abs(float64(s.Away)-111) > 1 { // a thousandth of a degree of latitude
			t.Errorf("%v: %.1f m away, %v", p, float64(s.Away), err)
		}
	}
	for _, p := range []orb.Point{{0, 0}, {180, 90}, {-180, -90}, {-95, 37}, {math.NaN(), 0}} {
		for _, within := range []unit.Length{500, 1e6, unit.Length(math.NaN())} {
			if s, err := g.Snap(p, within); err == nil {
				t.Errorf("%v within %v m: %.0f m away", p, float64(within), float64(s.Away))
			}
		}
	}
}

// A street of one way between two parts that one can not come back from is no place to be; nor is an island.
func TestSnapsWhereOneComesBack(t *testing.T) {
	at := []orb.Point{{-41, 38}, {-40.99, 38}, {-40.98, 38}, {-40.97, 38}, {-40.985, 38.01}, {-40.9849, 38.01}}
	both := func(a, b int) road.Segment { return road.Segment{From: a, To: b, Speed: 10, Back: 10} }
	g, err := road.New(at, []road.Segment{both(0, 1), {From: 1, To: 2, Speed: 10}, both(2, 3)}, "")
	if err != nil {
		t.Fatal(err)
	}
	s, err := g.Snap(orb.Point{-40.987, 38.0001}, 5000)
	if err != nil || s.At != at[1] && s.At != at[2] {
		t.Errorf("snapped to %v, %v", s.At, err)
	}
	// Fifty junctions of a ring, and a lane of two that one only comes to.
	var ring []orb.Point
	var segments []road.Segment
	for i := range 50 {
		a := float64(i) / 50 * 2 * math.Pi
		ring = append(ring, orb.Point{-41 + 0.01*math.Cos(a), 38 + 0.01*math.Sin(a)})
		segments = append(segments, both(i, (i+1)%50))
	}
	ring = append(ring, orb.Point{-41, 38}, orb.Point{-40.999, 38})
	segments = append(segments, both(50, 51), road.Segment{From: 0, To: 51, Speed: 10})
	if g, err = road.New(ring, segments, ""); err != nil {
		t.Fatal(err)
	}
	if s, err := g.Snap(orb.Point{-41, 38}, 5000); err != nil || s.Away < 500 {
		t.Errorf("snapped to an island, %.1f m away, %v", float64(s.Away), err)
	}
}

// A place that is nearest to a junction is at it, not at the end of the one-way street that happens to be found first.
func TestSnapAtCorner(t *testing.T) {
	at := []orb.Point{{-41, 38}, {-40.99, 38}, {-41, 38.01}}
	g, err := road.New(at, []road.Segment{{From: 0, To: 1, Speed: 10}, {From: 0, To: 2, Speed: 10, Back: 10}, {From: 1, To: 2, Speed: 10}}, "")
	if err != nil {
		t.Fatal(err)
	}
	corner, err := g.Snap(orb.Point{-41.0001, 37.9999}, 100)
	if err != nil || corner.At != at[0] {
		t.Fatalf("%v, %v", corner.At, err)
	}
	north, err := g.Snap(orb.Point{-41.0001, 38.005}, 100)
	if err != nil {
		t.Fatal(err)
	}
	d, line := g.Path(north, corner)
	if !d.OK || math.Abs(float64(d.Road)-555) > 1 || math.Abs(long(line)-float64(d.Road)) > 0.5 { // half of a hundredth of a degree of latitude: not round the block
		t.Errorf("%+v over %v", d, line)
	}
	if d, line := g.Path(corner, corner); !d.OK || d.Time != 0 || len(line) != 2 {
		t.Errorf("to itself %+v over %v", d, line)
	}
}
