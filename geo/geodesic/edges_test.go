package geodesic_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/geo/geodesic"
)

func TestEdgesFlag(t *testing.T) {
	var e geodesic.Edges
	for _, text := range []string{"lon-lat", "geodesic"} {
		if err := e.Set(text); err != nil || e.String() != text {
			t.Errorf("%q became %q, %v", text, e, err)
		}
	}
	for _, text := range []string{"", "Geodesic", "great-circle"} {
		if err := e.Set(text); err == nil || e != geodesic.Geodesic {
			t.Errorf("%q became %q, %v", text, e, err)
		}
	}
	if _, err := geodesic.Densify(nil, "rhumb"); err == nil {
		t.Error("unknown edges of a multipolygon were taken")
	}
	if _, err := geodesic.DensifyLine(nil, "rhumb"); err == nil {
		t.Error("unknown edges of a line were taken")
	}
}

func drawLongEdge(t *rapid.T) orb.LineString {
	lat := rapid.Float64Range(-84, 84).Draw(t, "lat")
	lon := rapid.Float64Range(-180, 180).Draw(t, "lon")
	far := rapid.Float64Range(0.0001, 0.15).Draw(t, "degrees")
	s, c := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "direction"))
	return orb.LineString{{lon, lat}, {math.Remainder(lon+far*c/math.Cos(lat*math.Pi/180), 360), lat + far*s}}
}

// Whichever way an edge is read: ends stay, no part is longer than 100 m, all parts are
// equal, and the way back has the same points.
func TestCutLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		line := drawLongEdge(t)
		e := rapid.SampledFrom([]geodesic.Edges{"", geodesic.LonLat, geodesic.Geodesic}).Draw(t, "edges")
		got, err := geodesic.DensifyLine(line, e)
		if err != nil {
			t.Fatal(err)
		}
		if n := len(got); got[0] != line[0] || got[n-1] != line[1] {
			t.Fatalf("from %v to %v", got[0], got[n-1])
		}
		whole, sum := float64(geodesic.Distance(line[0], line[1])), 0.0
		for i := 1; i < len(got); i++ {
			d := float64(geodesic.Distance(got[i-1], got[i]))
			if sum += d; d > geodesic.LongestEdge {
				t.Errorf("part %d of a %.0f m edge is %.3f m long", i, whole, d)
			}
			if math.Abs(got[i].Lon()) > 180 {
				t.Errorf("point %d is %v", i, got[i])
			}
		}
		spare := 1.02
		if math.Abs(line[0].Lat()) > 60 {
			spare = 1.1 // ends of an edge on parallels of different length
		}
		if parts := len(got) - 1; float64(parts) > whole/geodesic.LongestEdge*spare+1 {
			t.Errorf("%d parts for %.0f m", parts, whole)
		}
		if e == geodesic.Geodesic && math.Abs(sum-whole) > 1e-6 {
			t.Errorf("the parts of a geodesic are %.9f m, it is %.9f m", sum, whole)
		}
		back, _ := geodesic.DensifyLine(orb.LineString{line[1], line[0]}, e)
		if slices.Reverse(back); !slices.Equal(back, got) {
			t.Errorf("there %v, back %v", got, back)
		}
	})
}

// The two readings of one edge along a parallel lie L^2 tan(lat) / (8 R) apart in its middle
// (arithmetic): 0.16 m for 2.95 km at 43 degrees north, the geodesic to the north.
func TestReadingsApart(t *testing.T) {
	line := orb.LineString{{10, 43}, {10.0362, 43}}
	straight, _ := geodesic.DensifyLine(line, geodesic.LonLat)
	shortest, _ := geodesic.DensifyLine(line, geodesic.Geodesic)
	if len(straight) != 31 || len(shortest) != 31 {
		t.Fatalf("%d and %d points", len(straight), len(shortest))
	}
	l := float64(geodesic.Distance(line[0], line[1]))
	want := l * l * math.Tan(43*math.Pi/180) / (8 * 6378137)
	mid := shortest[15]
	got := float64(geodesic.Distance(mid, orb.Point{mid.Lon(), 43}))
	if math.Abs(got-want) > 0.01*want || mid.Lat() < 43 || math.Abs(mid.Lon()-10.0181) > 1e-9 {
		t.Errorf("the middle is %v, %.3f m off the parallel, want %.3f m north of it", mid, got, want)
	}
	for i, p := range straight {
		if p.Lat() != 43 {
			t.Errorf("point %d is %v, off the parallel", i, p)
		}
	}
}

// A geodesic ring keeps its area when it is cut: the general algorithm measures the ring
// with its 15 km edges, the short-edge formula the parts.
func TestGeodesicCutKeepsArea(t *testing.T) {
	for _, lat := range []float64{-69.8, -30, 0, 20, 45, 60, 69.8} {
		w := 0.07 / math.Cos(lat*math.Pi/180)
		ring := orb.Ring{{179.95, lat}, {179.95 + 2*w - 360, lat + 0.02}, {179.95 + w - 360, lat + 0.1}}
		cut, err := geodesic.Densify(orb.MultiPolygon{{ring}}, geodesic.Geodesic)
		if err != nil {
			t.Fatal(err)
		}
		want, wantLength := geodesic.Area(ring)
		got, length := geodesic.MultiPolygon(cut)
		if math.Abs(float64(got-want)) > 3e-10*float64(want) || math.Abs(float64(length-wantLength)) > 1e-5 {
			t.Errorf("at %v: cut %.4f m2, %.6f m; whole %.4f m2, %.6f m", lat, got, length, want, wantLength)
		}
	}
}

// A hostile edge gets no more than 2,000 points, and says so.
func TestEdgesOfContinents(t *testing.T) {
	mp := orb.MultiPolygon{{{{-150, 10}, {150, 10}, {0, 80}}}}
	for _, e := range []geodesic.Edges{geodesic.LonLat, geodesic.Geodesic} {
		got, err := geodesic.Densify(mp, e)
		if !errors.Is(err, geodesic.ErrEdgeTooLong) || len(got[0][0]) != 3*2000+1 {
			t.Errorf("%s: %d points, %v", e, len(got[0][0]), err)
		}
	}
	for _, x := range []float64{math.NaN(), math.Inf(1), 1e300} {
		got, _ := geodesic.Densify(orb.MultiPolygon{{{{x, 0}, {0, x}, {1, 1}}}}, geodesic.LonLat) // an error or not: bounded
		if n := len(got[0][0]); n > 3*2000+1 {
			t.Errorf("%v: %d points", x, n)
		}
	}
}
