package road_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/road"
)

// place draws a place that is kept as it is.
func place(t *rapid.T, from, wide float64) orb.Point {
	lon, lat := rapid.Float64Range(from, from+wide).Draw(t, "lon"), rapid.Float64Range(0, 0.02).Draw(t, "lat")
	return orb.Point{-41 + math.Round(lon*1e7)/1e7, 38 + math.Round(lat*1e7)/1e7}
}

// town draws a few junctions and roads between them.
func town(t *rapid.T) ([]orb.Point, []road.Segment) {
	n := rapid.IntRange(2, 9).Draw(t, "junctions")
	var at []orb.Point
	for i := range n { // no two at one place
		at = append(at, place(t, 0.002*float64(i), 0.0018))
	}
	var segments []road.Segment
	for range rapid.IntRange(1, 20).Draw(t, "roads") {
		s := road.Segment{From: rapid.IntRange(0, n-1).Draw(t, "from"), To: rapid.IntRange(0, n-1).Draw(t, "to"), Speed: unit.Speed(rapid.IntRange(0, 30).Draw(t, "speed"))}
		if s.Back = unit.Speed(rapid.IntRange(0, 30).Draw(t, "back")); s.Speed+s.Back == 0 {
			s.Speed = 10
		}
		if rapid.Bool().Draw(t, "bends") {
			s.Shape = []orb.Point{place(t, 0, 0.02)}
		}
		segments = append(segments, s)
	}
	return at, segments
}

func long(line orb.LineString) float64 {
	sum := 0.0
	for i := 1; i < len(line); i++ {
		sum += float64(geodesic.Distance(line[i-1], line[i]))
	}
	return sum
}

// floyd is the fastest times between junctions, by trying every junction on the way (Floyd, Algorithm 97: Shortest path, Communications of the ACM 5, 1962).
func floyd(at []orb.Point, segments []road.Segment) [][]float64 {
	m := make([][]float64, len(at))
	for i := range m {
		m[i] = make([]float64, len(at))
		for j := range m {
			if i != j {
				m[i][j] = math.Inf(1)
			}
		}
	}
	for _, s := range segments {
		x := long(append(append(orb.LineString{at[s.From]}, s.Shape...), at[s.To]))
		if s.Speed > 0 {
			m[s.From][s.To] = min(m[s.From][s.To], x/float64(s.Speed))
		}
		if s.Back > 0 {
			m[s.To][s.From] = min(m[s.To][s.From], x/float64(s.Back))
		}
	}
	for k := range m {
		for i := range m {
			for j := range m {
				m[i][j] = min(m[i][j], m[i][k]+m[k][j])
			}
		}
	}
	return m
}

// Junctions to junctions: as trying every junction has it, and drives that are not there are said not to be.
func TestAgainstTryingAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at, segments := town(t)
		g, err := road.New(at, segments, "")
		if err != nil {
			t.Fatal(err)
		}
		var spots []road.Spot
		for _, p := range at {
			s, err := g.SnapJunction(p)
			if err != nil {
				t.Fatal(err)
			}
			spots = append(spots, s)
		}
		m, want := g.Matrix(spots, spots), floyd(at, segments)
		for i := range at {
			for j := range at {
				if spots[i].Away > 0.02 || spots[j].Away > 0.02 { // in no part that one comes back to
					continue
				}
				d := m[i][j]
				if d.OK == math.IsInf(want[i][j], 1) || d.OK && math.Abs(float64(d.Time)-want[i][j]) > 1e-9*want[i][j]+1e-9 {
					t.Fatalf("%d to %d: %+v, want %v s", i, j, d, want[i][j])
				}
				if !d.OK && (d.Time != 0 || d.Road != 0) {
					t.Fatalf("%d to %d: no way, and yet %+v", i, j, d)
				}
				back, line := g.Path(spots[i], spots[j])
				if back != d || d.OK && math.Abs(long(line)-float64(d.Road)) > 0.2 {
					t.Fatalf("%d to %d: the line of %+v is %.3f m long", i, j, back, long(line))
				}
			}
		}
	})
}

// A place anywhere is snapped to where the nearest of many points along all roads is, and a drive from there over the nearest junction is as that junction's.
func TestSnapIsNearest(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at, segments := town(t)
		for i := range segments { // all both ways, so that all may be snapped to
			segments[i].Speed, segments[i].Back = 10, 20
		}
		for i := range at {
			segments = append(segments, road.Segment{From: i, To: (i + 1) % len(at), Speed: 10, Back: 20})
		}
		g, err := road.New(at, segments, "")
		if err != nil {
			t.Fatal(err)
		}
		p := orb.Point{-41 + rapid.Float64Range(-0.02, 0.04).Draw(t, "lon"), 38 + rapid.Float64Range(-0.02, 0.04).Draw(t, "lat")}
		s, err := g.Snap(p, 10_000)
		if err != nil {
			t.Fatal(err)
		}
		least := math.Inf(1)
		for _, q := range segments {
			line := append(append(orb.LineString{at[q.From]}, q.Shape...), at[q.To])
			for i := 1; i < len(line); i++ {
				for k := range 201 {
					x := float64(k) / 200
					least = min(least, float64(geodesic.Distance(p, orb.Point{line[i-1][0] + x*(line[i][0]-line[i-1][0]), line[i-1][1] + x*(line[i][1]-line[i-1][1])})))
				}
			}
		}
		if a := float64(s.Away); a > least+0.05+1e-5*least || a < least-20 {
			t.Fatalf("%.2f m to the road, a point of it is %.2f m away", a, least)
		}
		if far, err := g.Snap(p, s.Away/2); err == nil && s.Away > 0.1 {
			t.Fatalf("a road %.2f m away within %.2f", float64(far.Away), float64(s.Away)/2)
		}
		to, err := g.Snap(orb.Point{-41 + rapid.Float64Range(0, 0.02).Draw(t, "lon"), 38 + rapid.Float64Range(0, 0.02).Draw(t, "lat")}, 10_000)
		if err != nil {
			t.Fatal(err)
		}
		d, line := g.Path(s, to)
		if !d.OK || math.Abs(long(line)-float64(d.Road)) > 0.5 {
			t.Fatalf("the line of %+v is %.3f m long", d, long(line))
		}
		// A way between spots is no longer than over any junction.
		for _, j := range at {
			v, err := g.SnapJunction(j)
			if err != nil {
				t.Fatal(err)
			}
			a, b := g.Matrix([]road.Spot{s}, []road.Spot{v})[0][0], g.Matrix([]road.Spot{v}, []road.Spot{to})[0][0]
			if d.Time > a.Time+b.Time+1e-6 {
				t.Fatalf("%v s, over a junction %v and %v", d.Time, a.Time, b.Time)
			}
		}
	})
}

func TestNoGraph(t *testing.T) {
	two := []orb.Point{{0, 0}, {0, 0.01}}
	for name, c := range map[string]struct {
		at []orb.Point
		s  road.Segment
	}{
		"no junction":   {two, road.Segment{From: 0, To: 2, Speed: 1}},
		"below":         {two, road.Segment{From: -1, To: 1, Speed: 1}},
		"closed":        {two, road.Segment{From: 0, To: 1}},
		"slower than 0": {two, road.Segment{From: 0, To: 1, Speed: -1}},
		"no number":     {two, road.Segment{From: 0, To: 1, Speed: unit.Speed(math.NaN())}},
		"length":        {two, road.Segment{From: 0, To: 1, Speed: 1, Length: unit.Length(math.Inf(1))}},
		"off the earth": {[]orb.Point{{0, 0}, {0, 91}}, road.Segment{From: 0, To: 1, Speed: 1}},
		"shape":         {two, road.Segment{From: 0, To: 1, Speed: 1, Shape: []orb.Point{{math.NaN(), 0}}}},
	} {
		if _, err := road.New(c.at, []road.Segment{c.s}, ""); err == nil {
			t.Errorf("%s: a graph", name)
		}
	}
	if _, err := road.New(two, nil, ""); err == nil {
		t.Error("a graph of no roads")
	}
}

func FuzzUnmarshal(f *testing.F) {
	g, err := road.New([]orb.Point{{0, 0}, {0, 0.01}}, []road.Segment{{From: 0, To: 1, Speed: 1, Shape: []orb.Point{{0.001, 0.005}}}}, "credit")
	if err != nil {
		f.Fatal(err)
	}
	b, _ := g.MarshalBinary()
	f.Add(b[:len(b)-4])
	f.Add([]byte("tankful roads\x01\x00\x01\x01\x00"))
	f.Fuzz(func(t *testing.T, body []byte) {
		var g road.Graph
		if g.UnmarshalBinary(road.Summed(body)) == nil {
			if _, err := g.SnapJunction(orb.Point{0, 0}); err == nil {
				_, _ = g.Snap(orb.Point{0, 0}, 1000)
			}
		}
	})
}
