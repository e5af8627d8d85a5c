package geodesic_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	karney "github.com/tidwall/geodesic"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// circle is n corners of a parallel, eastwards.
func circle(lat float64, n int) orb.Ring {
	r := make(orb.Ring, n)
	for i := range r {
		r[i] = orb.Point{math.Remainder(360*float64(i)/float64(n)-170, 360), lat}
	}
	return r
}

func TestHoldsPole(t *testing.T) {
	for _, c := range []struct {
		name string
		ring orb.Ring
		want bool
	}{
		{"nothing", nil, false},
		{"a lawn", orb.Ring{{-93, 45}, {-92.999, 45}, {-92.999, 45.001}}, false},
		{"across the antimeridian", orb.Ring{{179.9, 10}, {-179.9, 10}, {-179.9, 10.1}, {179.9, 10.1}}, false},
		{"both signs of the antimeridian", orb.Ring{{180, 10}, {-180, 11}, {-179, 11}}, false},
		{"a continent", orb.Ring{{-120, 10}, {-20, 10}, {30, 60}}, false},
		{"beside the pole", orb.Ring{{0, 89.9}, {90, 89.9}, {45, 89.99}}, false},
		{"round the north pole", circle(89.99, 4), true},
		{"round the south pole, closed", append(circle(-80, 5), circle(-80, 5)[0]), true},
		{"round the Earth in short edges", circle(60, 5000), true},
		{"a corner on the pole", orb.Ring{{0, 80}, {10, 80}, {0, 90}}, true},
		{"an edge through the pole", orb.Ring{{0, 89}, {180, 89}, {90, 89}}, true},
	} {
		got := geodesic.HoldsPole(c.ring)
		back := c.ring.Clone()
		back.Reverse()
		if got != c.want || geodesic.HoldsPole(back) != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
}

// Area knows what to do with a pole all the same. A hemisphere is 255,032,810.862 km2
// (GeographicLib documentation: the Earth is 510,065,621.724 km2; from memory). Triangles
// with the pole, each an edge of the ring, add up to the ring.
func TestAreaRoundPole(t *testing.T) {
	equator, _ := geodesic.Area(circle(0, 4))
	if want := 510_065_621_724_088.0 / 2; math.Abs(float64(equator)-want) > 10 {
		t.Errorf("the northern hemisphere has %.0f m2, want %.0f", equator, want)
	}
	for _, lat := range []float64{60, 69, 80, 89.99} {
		for _, n := range []int{4, 3000} {
			for _, pole := range []float64{90, -90} {
				ring := circle(math.Copysign(lat, pole), n)
				var want unit.Area
				for i, p := range ring {
					a, _ := geodesic.Area(orb.Ring{p, ring[(i+1)%n], {p.Lon(), pole}})
					want += a
				}
				got, _ := geodesic.Area(ring)
				if math.Abs(float64(got/want)-1) > 1e-10+0.01*float64(n)/float64(want) {
					t.Errorf("%d corners at %v round %v: got %.3f m2, want %.3f", n, lat, pole, got, want)
				}
			}
		}
	}
}

// Where the short-edge formula hands over, at 70 degrees and at edges of 10 km, and beyond,
// areas do not jump: the ring is measured whole and as the sum of four rings with half its
// edges, on either side of each limit. Double precision leaves the general algorithm 2e-3 m2.
func TestHandOver(t *testing.T) {
	for _, lat := range []float64{0, 45, 69.9, 69.9999, 70.0001, 72, 80, 88} {
		for _, metres := range []float64{50, 500, 5000, 9800, 10_200, 19_000} {
			h := metres / 111_200
			w := h / math.Cos(lat*math.Pi/180)
			a, b, c := orb.Point{-179.99, lat}, orb.Point{-179.99 - w, lat + h/9}, orb.Point{-179.99 - w/3, lat + h}
			ab, bc, ca := middle(a, b), middle(b, c), middle(c, a)
			whole, round := geodesic.Area(orb.Ring{a, b, c})
			var parts unit.Area
			var length unit.Length
			for _, r := range []orb.Ring{{a, ab, ca}, {ab, b, bc}, {ca, bc, c}, {ab, bc, ca}} {
				area, l := geodesic.Area(r)
				parts, length = parts+area, length+l
			}
			_, inner := geodesic.Area(orb.Ring{ab, bc, ca})
			if math.Abs(float64(whole-parts)) > 1e-9*float64(whole)+5e-3 {
				t.Errorf("%.0f m at %v: %.6f m2, the parts %.6f", metres, lat, whole, parts)
			}
			if got := length - 2*inner; math.Abs(float64(got-round)) > 1e-9*float64(round)+1e-8 {
				t.Errorf("%.0f m at %v: %.9f m round, the parts %.9f", metres, lat, round, got)
			}
		}
	}
}

// middle is the middle of a geodesic.
func middle(a, b orb.Point) (m orb.Point) {
	var length, azimuth float64
	karney.WGS84.Inverse(a.Lat(), a.Lon(), b.Lat(), b.Lon(), &length, &azimuth, nil)
	karney.WGS84.Direct(a.Lat(), a.Lon(), azimuth, length/2, &m[1], &m[0], nil)
	return m
}

// Edges just below the limits of the short-edge formula: against Karney's algorithm, whose
// own noise is 2e-3 m2 a ring.
func TestLongestShortEdges(t *testing.T) {
	var worst, worstLength float64
	for _, lat := range []float64{0, 30, 45, 56, -69.9, 70, 75, -80, 85, 88, 89} {
		side := min(10_000, 15_000/math.Tan(math.Abs(lat)*math.Pi/180))
		for _, n := range []int{3, 4, 7, 60} {
			turn := 0.37 / float64(n)
			radius := 0.49 * side / math.Sin(math.Pi/float64(n))
			if radius > 55_000*math.Cos(lat*math.Pi/180) {
				continue // round the pole or across half of its neighbourhood
			}
			ring := make(orb.Ring, n)
			p := karney.WGS84.PolygonInit(false)
			for i := range ring {
				karney.WGS84.Direct(lat, 179.9, 360*(turn-float64(i)/float64(n)), radius, &ring[i][1], &ring[i][0], nil)
				p.AddPoint(ring[i].Lat(), ring[i].Lon())
			}
			var want, wantLength float64
			p.Compute(false, true, &want, &wantLength)
			got, length := geodesic.SignedArea(ring)
			off := math.Abs(float64(got)-want) - 4e-3
			offLength := math.Abs(float64(length)/wantLength - 1)
			if !(off <= 1e-9*want && offLength <= 1e-9) {
				t.Errorf("%d corners, edges of %.0f m at %v: got %.4f m2, %.6f m; want %.4f, %.6f",
					n, 0.98*side, lat, got, length, want, wantLength)
			}
			worst, worstLength = max(worst, off/want), max(worstLength, offLength)
		}
	}
	t.Logf("area within %.1e beyond 4e-3 m2, perimeter within %.1e", worst, worstLength)
}
