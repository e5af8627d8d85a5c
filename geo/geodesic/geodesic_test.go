package geodesic_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/geotest"
)

// The reference areas are GeographicLib's Planimeter built in quadruple precision, on the
// exact coordinates of the file (data/geo/README.md).
func TestAreaAgainstQuadPrecision(t *testing.T) {
	var fc struct {
		Features []struct {
			ID       string
			Geometry struct{ Coordinates orb.Polygon }
		}
	}
	if err := json.Unmarshal(geotest.File(t, "data", "geo", "areas.geojson"), &fc); err != nil {
		t.Fatal(err)
	}
	want := map[string]geotest.Row{}
	for _, row := range geotest.Table(t, "data", "geo", "areas_reference.csv") {
		want[row["id"]] = row
	}
	var worstArea, worstLength float64
	for _, f := range fc.Features {
		row := want[f.ID]
		area, length := geodesic.MultiPolygon(orb.MultiPolygon{f.Geometry.Coordinates})
		wantArea, wantLength := row.Number(t, "area_m2"), row.Number(t, "perimeter_all_rings_m")
		da, dl := math.Abs(float64(area)-wantArea), math.Abs(float64(length)-wantLength)
		if !(da <= 1e-9*wantArea+1e-6) {
			t.Errorf("%v: area %.9f m2, want %.9f", f.ID, area, wantArea)
		}
		if !(dl <= 1e-9*wantLength) {
			t.Errorf("%v: perimeter %.9f m, want %.9f", f.ID, length, wantLength)
		}
		worstArea, worstLength = max(worstArea, da/wantArea), max(worstLength, dl/wantLength)
	}
	if len(fc.Features) != len(want) || len(want) == 0 {
		t.Errorf("%d features, %d reference rows", len(fc.Features), len(want))
	}
	t.Logf("%d polygons: area within %.1e, perimeter within %.1e", len(want), worstArea, worstLength)
}

// The Earth's surface is 510,065,621.724 km2 and the meridian quadrant 10,001.965729 km
// (GeographicLib documentation; from memory).
func TestLongEdges(t *testing.T) {
	octant := orb.Ring{{0, 0}, {90, 0}, {0, 90}}
	area, length := geodesic.SignedArea(octant)
	if want := 510_065_621_724_088.0 / 8; math.Abs(float64(area)-want) > 10 {
		t.Errorf("octant: got %.0f m2, want %.0f", area, want)
	}
	if want := 2*10_001_965.729 + 6378137*math.Pi/2; math.Abs(float64(length)-want) > 0.01 {
		t.Errorf("octant: got %.3f m round, want %.3f", length, want)
	}
	if d := geodesic.Distance(orb.Point{10, 0}, orb.Point{10, 90}); math.Abs(float64(d)-10_001_965.729) > 0.001 {
		t.Errorf("quadrant: got %.4f m, want 10001965.729", d)
	}
}

func TestDegenerateRings(t *testing.T) {
	for _, c := range []struct {
		name   string
		ring   orb.Ring
		length float64 // degrees of the equator there and back
	}{
		{"none", nil, 0},
		{"one point", orb.Ring{{1, 1}}, 0},
		{"one point twice", orb.Ring{{1, 1}, {1, 1}}, 0},
		{"there and back", orb.Ring{{0, 0}, {0.01, 0}}, 0.02},
		{"three in a line", orb.Ring{{0, 0}, {0.01, 0}, {0.02, 0}, {0, 0}}, 0.04},
	} {
		area, length := geodesic.Area(c.ring)
		if want := c.length * 6378137 * math.Pi / 180; area != 0 || math.Abs(float64(length)-want) > 1e-6 {
			t.Errorf("%s: got %v m2, %v m; want 0, %v", c.name, area, length, want)
		}
	}
}

// Order of corners, winding and place along the parallel change nothing but the sign.
func TestAreaLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(-69, 69).Draw(t, "lat")
		lon := rapid.Float64Range(-180, 180).Draw(t, "lon")
		size := math.Pow(10, rapid.Float64Range(-4, -1.5).Draw(t, "log size"))
		n := rapid.IntRange(3, 40).Draw(t, "corners")
		ring := make(orb.Ring, n)
		for i := range ring {
			r := size * rapid.Float64Range(0.3, 1).Draw(t, "radius")
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			ring[i] = orb.Point{lon + r*c, lat + r*s}
		}
		area, length := geodesic.SignedArea(ring)
		if !(area > 0) {
			t.Fatalf("counter-clockwise ring has %v m2", area)
		}
		same := func(what string, r orb.Ring, sign unit.Area) {
			a, l := geodesic.SignedArea(r)
			// Moved longitudes round to 3e-14 degrees, 3 nm: times the perimeter.
			if tol := 1e-11*float64(area) + 2e-8*float64(length); math.Abs(float64(a*sign-area)) > tol {
				t.Fatalf("%s: area %.9f, was %.9f", what, a, area)
			}
			if math.Abs(float64(l-length)) > 1e-10*float64(length)+1e-6 {
				t.Fatalf("%s: perimeter %.9f, was %.9f", what, l, length)
			}
		}
		k := rapid.IntRange(0, n-1).Draw(t, "start")
		same("other start", append(append(orb.Ring{}, ring[k:]...), ring[:k]...), 1)
		same("closed", append(append(orb.Ring{}, ring...), ring[0]), 1)
		back := ring.Clone()
		back.Reverse()
		same("reversed", back, -1)
		by := rapid.Float64Range(-180, 180).Draw(t, "move")
		moved := ring.Clone()
		for i := range moved {
			moved[i][0] = math.Remainder(moved[i][0]+by, 360)
		}
		same("moved along the parallel", moved, 1)
	})
}

// cut is a ring with its long edges cut, straight in degrees.
func cut(t *testing.T, r orb.Ring) orb.Ring {
	t.Helper()
	mp, err := geodesic.Densify(orb.MultiPolygon{{r}}, geodesic.LonLat)
	if err != nil {
		t.Fatal(err)
	}
	return mp[0][0]
}

func TestDensify(t *testing.T) {
	// 0.0145 degrees of the equator are 1,614 m: 17 pieces; the sides are 111 m: 2 pieces.
	ring := orb.Ring{{179.99275, 0}, {-179.99275, 0}, {-179.99275, 0.001}, {179.99275, 0.001}}
	got := cut(t, ring)
	if len(got) != 17+2+17+2+1 || got[0] != got[len(got)-1] {
		t.Fatalf("got %d points: %v", len(got), got)
	}
	for i := 1; i < len(got); i++ {
		if d := geodesic.Distance(got[i-1], got[i]); d > geodesic.LongestEdge {
			t.Errorf("edge %d is %v long", i, d)
		}
		if math.Abs(got[i].Lon()) > 180 || math.Abs(got[i].Lon()) < 179.99 {
			t.Errorf("point %d at longitude %v", i, got[i].Lon())
		}
	}
	if cut(t, nil) != nil {
		t.Error("nothing became something")
	}
}

// Between a 2.9 km edge along the parallel of 49.2 N, straight in degrees, and the geodesic
// lies a segment of about L^3 tan(lat) / (12 R) = 370 m2 (arithmetic; the real park edge of
// the data notes is 371 m2 apart).
func TestDensifyChangesLongEdges(t *testing.T) {
	there := orb.Ring{{-123.20, 49.20}, {-123.1602, 49.20}}
	back := cut(t, there)
	got, _ := geodesic.Area(back[:len(back)/2+1]) // the way there in short edges, back in one
	l := float64(geodesic.Distance(there[0], there[1]))
	want := l * l * l * math.Tan(49.2*math.Pi/180) / (12 * 6378137)
	if math.Abs(float64(got)-want) > 0.01*want {
		t.Errorf("got %.1f m2 between the two readings, want about %.1f", got, want)
	}
}

func BenchmarkArea1000(b *testing.B) {
	ring := make(orb.Ring, 1000)
	for i := range ring {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 1000)
		ring[i] = orb.Point{-93 + 0.001*c, 45 + 0.001*s}
	}
	for b.Loop() {
		geodesic.Area(ring)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/corner")
}
