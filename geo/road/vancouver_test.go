package road_test

import (
	"compress/gzip"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/road"
)

// folder is that of the shared roads.
func folder(t testing.TB) string {
	t.Helper()
	shared := os.Getenv("TANKFUL_SHARED")
	if shared == "" {
		t.Skip("TANKFUL_SHARED is not set: no roads to find ways on")
	}
	return filepath.Join(shared, "data", "roads")
}

// rows are the rows of a CSV file, gzipped or not, without its head.
func rows(t testing.TB, path string) [][]string {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := io.Reader(f)
	if filepath.Ext(path) == ".gz" {
		if r, err = gzip.NewReader(f); err != nil {
			t.Fatal(err)
		}
	}
	all, err := csv.NewReader(r).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[1:]
}

func number(t testing.TB, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// vancouver is the drivable roads of Vancouver ((c) OpenStreetMap contributors, ODbL 1.0).
func vancouver(t testing.TB) *road.Graph {
	t.Helper()
	dir := folder(t)
	var nodes []orb.Point
	for _, r := range rows(t, filepath.Join(dir, "vancouver_nodes.csv.gz")) {
		nodes = append(nodes, orb.Point{number(t, r[1]), number(t, r[2])})
	}
	var segments []road.Segment
	for _, r := range rows(t, filepath.Join(dir, "vancouver_edges.csv.gz")) {
		s := road.Segment{From: int(number(t, r[0])), To: int(number(t, r[1])), Length: unit.Length(number(t, r[2])), Speed: unit.Speed(number(t, r[3])) * unit.KilometrePerHour}
		if r[4] == "0" {
			s.Back = s.Speed
		}
		segments = append(segments, s)
	}
	g, err := road.New(nodes, segments, road.Credit)
	if err != nil {
		t.Fatal(err)
	}
	return g
}

// stops are a route's stops by their names, snapped to junctions as the published matrices are.
func stops(t testing.TB, g *road.Graph, route string) (names []string, spots []road.Spot, places []orb.Point) {
	t.Helper()
	for _, r := range rows(t, filepath.Join(folder(t), "van_"+route+"_route_stops.csv")) {
		p := orb.Point{number(t, r[1]), number(t, r[2])}
		s, err := g.SnapJunction(p)
		if err != nil {
			t.Fatal(err)
		}
		if want := number(t, r[4]); math.Abs(float64(s.Away)-want) > 0.5+0.005*want {
			t.Errorf("%s: %.1f m to the junction, want %.1f", r[0], float64(s.Away), want)
		}
		names, spots, places = append(names, r[0]), append(spots, s), append(places, p)
	}
	return names, spots, places
}

// The published fastest ways between the stops of two routes (data/roads, made with another program): seconds within 0.5 %.
func TestPublishedMatrices(t *testing.T) {
	g := vancouver(t)
	for _, route := range []string{"residential", "mixed"} {
		names, spots, _ := stops(t, g, route)
		at := map[string]int{}
		for i, n := range names {
			at[n] = i
		}
		m := g.Matrix(spots, spots)
		worst, n, other := 0.0, 0, 0
		for _, r := range rows(t, filepath.Join(folder(t), "van_"+route+"_route_matrix_expected.csv")) {
			d := m[at[r[0]]][at[r[1]]]
			want, long := number(t, r[2]), number(t, r[3])
			off := max(0, math.Abs(float64(d.Time)-want)-0.05) / max(want, 1) // what is published is rounded to tenths
			worst = max(worst, off)
			n++
			if !d.OK || off > 0.005 {
				t.Errorf("%s to %s: %v, %.1f s, want %.1f", r[0], r[1], d.OK, float64(d.Time), want)
			}
			if math.Abs(float64(d.Road)-long) > 1+0.005*long {
				other++ // of two ways that take the same time
			}
		}
		if n < 100 || other > n/100 {
			t.Errorf("%s: %d drives, %d of another length", route, n, other)
		}
		t.Logf("%s: %d drives, the worst %.3f %% off, %d of another length", route, n, 100*worst, other)
	}
}

// Snapped to the nearest point of a road instead of the nearest junction, drives differ by the way to the junctions only.
func TestSnapsOnRoads(t *testing.T) {
	g := vancouver(t)
	_, junctions, places := stops(t, g, "residential")
	var spots []road.Spot
	for i, p := range places {
		s, err := g.Snap(p, 500*unit.Metre)
		if err != nil {
			t.Fatal(err)
		}
		if s.Away > junctions[i].Away+0.01 {
			t.Errorf("stop %d: %.1f m to the road, %.1f m to a junction", i, float64(s.Away), float64(junctions[i].Away))
		}
		spots = append(spots, s)
	}
	m, by := g.Matrix(spots, spots), g.Matrix(junctions, junctions)
	for i := range m {
		for j := range m[i] {
			if !m[i][j].OK {
				t.Errorf("no way from stop %d to %d", i, j)
			}
			if off := math.Abs(float64(m[i][j].Time - by[i][j].Time)); off > 120 {
				t.Errorf("stop %d to %d: %.1f s, by junctions %.1f", i, j, float64(m[i][j].Time), float64(by[i][j].Time))
			}
			d, line := g.Path(spots[i], spots[j])
			if d != m[i][j] || i != j && (line[0] != spots[i].At || line[len(line)-1] != spots[j].At) {
				t.Fatalf("path %d to %d: %+v, matrix %+v", i, j, d, m[i][j])
			}
		}
	}
}

func TestKeptIsTheSame(t *testing.T) {
	g := vancouver(t)
	b, err := g.MarshalBinary()
	if err != nil {
		t.Fatal(err)
	}
	var k road.Graph
	if err := k.UnmarshalBinary(b); err != nil {
		t.Fatal(err)
	}
	again, _ := k.MarshalBinary()
	if string(again) != string(b) || k.Credit() != road.Credit {
		t.Error("what is kept is kept otherwise the second time")
	}
	_, spots, _ := stops(t, g, "mixed")
	m, n := g.Matrix(spots, spots), k.Matrix(spots, spots)
	for i := range m {
		for j := range m {
			if math.Abs(float64(m[i][j].Time-n[i][j].Time)) > 0.5 {
				t.Errorf("%d to %d: %.3f s, kept %.3f", i, j, float64(m[i][j].Time), float64(n[i][j].Time))
			}
		}
	}
	t.Logf("%d bytes", len(b))
	b[len(b)/2] ^= 1
	if err := k.UnmarshalBinary(b); err == nil {
		t.Error("a damaged file was read")
	}
}

// BenchmarkLoad reads the kept roads of Vancouver: 18,252 junctions.
func BenchmarkLoad(b *testing.B) {
	data, _ := vancouver(b).MarshalBinary()
	for b.Loop() {
		var g road.Graph
		if err := g.UnmarshalBinary(data); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkMatrix finds the ways between 40 stops of Vancouver.
func BenchmarkMatrix(b *testing.B) {
	g := vancouver(b)
	_, spots, _ := stops(b, g, "mixed")
	_, more, _ := stops(b, g, "residential")
	spots = append(spots, more...)
	for len(spots) < 40 {
		spots = append(spots, spots...)
	}
	spots = spots[:40]
	for b.Loop() {
		g.Matrix(spots, spots)
	}
}

func ExampleGraph_Matrix() {
	g, _ := road.New([]orb.Point{{-41.2, 38.5}, {-41.19, 38.5}}, []road.Segment{{From: 0, To: 1, Length: 900, Speed: 15}}, "")
	a, _ := g.SnapJunction(orb.Point{-41.2, 38.5})
	b, _ := g.SnapJunction(orb.Point{-41.19, 38.5})
	m := g.Matrix([]road.Spot{a, b}, []road.Spot{a, b})
	fmt.Println(m[0][1].Time, m[1][0].OK)
	// Output:
	// 60 s false
}
