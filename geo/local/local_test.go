package local_test

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/geo/geodesic"
	"tankful/geo/local"
)

func drawFrame(t *rapid.T) *local.Frame {
	return local.NewFrame(orb.Point{
		rapid.Float64Range(-180, 180).Draw(t, "lon"), rapid.Float64Range(-70, 70).Draw(t, "lat"),
	})
}

func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		f := drawFrame(t)
		d := math.Pow(10, rapid.Float64Range(-1, 5.3).Draw(t, "log metres"))
		s, c := math.Sincos(rapid.Float64Range(0, 2*math.Pi).Draw(t, "direction"))
		p := f.Inverse(geom.Coord{d * c, d * s})
		if !(math.Abs(p.Lon()) <= 180) {
			t.Fatalf("longitude %v", p.Lon())
		}
		back := f.Forward(p)
		// A longitude near 180 is held to 2.8e-14 degrees, 3e-9 m.
		if e := math.Hypot(back.X()-d*c, back.Y()-d*s); e > 1e-8 {
			t.Errorf("%.3f m from the centre the round trip is off by %.2e m", d, e)
		}
	})
}

// Beyond the edge of the Earth seen from above there is nothing to find, but no NaN either.
func TestFarAway(t *testing.T) {
	for _, lat := range []float64{-89, -45, 0, 70, 89} {
		f := local.NewFrame(orb.Point{179, lat})
		for _, far := range []float64{2e5, 3e6, 1e7, 1e9, 1e100} {
			for bearing := 0.0; bearing < 360; bearing += 15 {
				s, c := math.Sincos(bearing * math.Pi / 180)
				p := f.Inverse(geom.Coord{far * s, far * c})
				if !(math.Abs(p.Lon()) <= 180 && math.Abs(p.Lat()) <= 90+1e-9) {
					t.Errorf("%.0e m from latitude %v, bearing %v: %v", far, lat, bearing, p)
				}
				if far > 5e6 {
					continue
				}
				back := f.Forward(p)
				if e := math.Hypot(back.X()-far*s, back.Y()-far*c); e > 1e-14*far+1e-8 {
					t.Errorf("%.0e m from latitude %v, bearing %v: round trip off by %.1e m", far, lat, bearing, e)
				}
			}
		}
	}
}

// Bounds of small lawns away from the centre (Frame's comment), against the geodesic area and distance.
func TestBounds(t *testing.T) {
	for _, c := range []struct{ away, area, distance float64 }{
		{1_000, 1e-9, 1e-8}, {5_000, 1e-9, 1e-7}, {10_000, 1e-9, 4e-7}, {20_000, 2e-9, 1.4e-6},
	} {
		var worstArea, worstDistance float64
		for _, lat := range []float64{-70, -45, -20, 0, 10, 30, 49, 60, 70} {
			for bearing := 0.0; bearing < 360; bearing += 30 {
				f := local.NewFrame(orb.Point{179.99, lat})
				s, cos := math.Sincos(bearing * math.Pi / 180)
				x, y := c.away*cos, c.away*s
				ring := geom.NewPolygonFlat(geom.XY, []float64{x, y, x + 80, y + 10, x + 60, y + 90, x - 10, y + 70, x, y}, []int{10})
				area, _ := geodesic.MultiPolygon(orb.MultiPolygon{f.InversePolygon(ring)})
				mp := geom.NewMultiPolygonFlat(geom.XY, ring.FlatCoords(), [][]int{ring.Ends()})
				worstArea = max(worstArea, math.Abs(planeArea(mp)/float64(area)-1))
				there := f.Inverse(geom.Coord{x, y})
				for _, turn := range []float64{0, 90} {
					ts, tc := math.Sincos((bearing + turn) * math.Pi / 180)
					d := geodesic.Distance(there, f.Inverse(geom.Coord{x + 100*tc, y + 100*ts}))
					worstDistance = max(worstDistance, math.Abs(float64(d)/100-1))
				}
			}
		}
		t.Logf("%5.0f m from the centre: area %.1e, distance %.1e", c.away, worstArea, worstDistance)
		if worstArea > c.area || worstDistance > c.distance {
			t.Errorf("%.0f m from the centre: area off by %.1e, want %.1e; distance by %.1e, want %.1e",
				c.away, worstArea, c.area, worstDistance, c.distance)
		}
	}
}

func TestDirections(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	if c := f.Forward(f.Centre()); c.X() != 0 || c.Y() != 0 {
		t.Errorf("the centre is at %v", c)
	}
	// One second of arc at 45 degrees: 21.9 m east, 30.9 m north (USGS FAQ values; from memory).
	c := f.Forward(orb.Point{-93 + 1.0/3600, 45 + 1.0/3600})
	if math.Abs(c.X()-21.9) > 0.1 || math.Abs(c.Y()-30.87) > 0.1 {
		t.Errorf("a second of arc east and north is at %v", c)
	}
	edge := local.NewFrame(orb.Point{179.9999, 10})
	if c := edge.Forward(orb.Point{-179.9999, 10}); math.Abs(c.X()-21.93) > 0.01 {
		t.Errorf("across the antimeridian: got %v m east, want 21.93", c.X())
	}
}

func TestPolygons(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	mp := orb.MultiPolygon{
		{{{-93, 45}, {-92.999, 45}, {-92.999, 45.001}}, {{-92.9995, 45.0002}, {-92.9993, 45.0004}, {-92.9993, 45.0002}, {-92.9995, 45.0002}}},
		{{{-93.1, 45}, {-93.101, 45}, {-93.101, 45.001}, {-93.1, 45}}},
	}
	got := f.InverseMultiPolygon(f.MultiPolygon(mp))
	if len(got) != 2 || len(got[0]) != 2 || len(got[1]) != 1 {
		t.Fatalf("got %v", got)
	}
	for i := range mp {
		for j := range mp[i] {
			r := got[i][j]
			if len(r) != 4 || r[0] != r[3] {
				t.Errorf("ring %d of polygon %d is %v", j, i, r)
			}
			for k, p := range mp[i][j] {
				if geodesic.Distance(p, r[k]) > 1e-7 {
					t.Errorf("corner %d moved from %v to %v", k, p, r[k])
				}
			}
		}
	}
	if n := f.MultiPolygon(nil).NumPolygons(); n != 0 {
		t.Errorf("nothing became %d polygons", n)
	}
}

func BenchmarkForward(b *testing.B) {
	f := local.NewFrame(orb.Point{-93, 45})
	for b.Loop() {
		f.Forward(orb.Point{-93.001, 45.001})
	}
}

func BenchmarkInverse(b *testing.B) {
	f := local.NewFrame(orb.Point{-93, 45})
	c := geom.Coord{-79, 111}
	for b.Loop() {
		f.Inverse(c)
	}
}

func BenchmarkRings1000(b *testing.B) {
	f := local.NewFrame(orb.Point{-93, 45})
	ring := make(orb.Ring, 1000)
	for i := range ring {
		s, c := math.Sincos(2 * math.Pi * float64(i) / 1000)
		ring[i] = orb.Point{-93 + 0.001*c, 45 + 0.001*s}
	}
	plane := f.Polygon(orb.Polygon{ring})
	b.Run("Polygon", func(b *testing.B) {
		for b.Loop() {
			f.Polygon(orb.Polygon{ring})
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/corner")
	})
	b.Run("InversePolygon", func(b *testing.B) {
		for b.Loop() {
			f.InversePolygon(plane)
		}
		b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1000, "ns/corner")
	})
}
