package local_test

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/geo/geodesic"
	"tankful/geo/geotest"
	"tankful/geo/local"
)

var latitudes = []float64{-70, -45, -20, 0, 10, 30, 40, 49, 60, 70}

// site is an outline whose farthest corner lies half of across from the frame's centre.
func site(across, turned float64, corners [][2]float64) *geom.Polygon {
	farthest := 0.0
	for _, p := range corners {
		farthest = max(farthest, math.Hypot(p[0], p[1]))
	}
	k := across / 2 / farthest
	s, c := math.Sincos(turned)
	var flat []float64
	for _, p := range append(corners, corners[0]) {
		x, y := p[0]*k, p[1]*k
		flat = append(flat, x*c-y*s, x*s+y*c)
	}
	return geom.NewPolygonFlat(geom.XY, flat, []int{len(flat)})
}

// The table of Frame's comment: whole sites around the centre. Their corners go to degrees,
// and the plane area is set against the area with geodesic edges, once of the few corners as
// they are (in the plane each edge is straight, which is what is lost) and once with the
// geodesic edges cut at 100 m.
func TestSiteBounds(t *testing.T) {
	shapes := map[string][][2]float64{
		"square":  {{-1, -1}, {1, -1}, {1, 1}, {-1, 1}},
		"L":       {{-1, -1}, {1, -1}, {1, 0}, {0, 0}, {0, 1}, {-1, 1}},
		"hexagon": {{1, 0}, {0.5, 0.8}, {-0.5, 0.8}, {-1, 0}, {-0.5, -0.8}, {0.5, -0.8}},
	}
	for _, c := range []struct{ across, whole, cut float64 }{
		{100, 2e-10, 2e-10}, {300, 3e-10, 1e-10}, {600, 1e-9, 1e-10}, {1_000, 2e-9, 1e-10},
		{2_000, 1e-8, 1e-10}, {5_000, 5e-8, 1e-10}, {10_000, 2e-7, 4e-10}, {20_000, 8e-7, 1e-9},
	} {
		var whole, cut float64
		for _, lat := range latitudes {
			f := local.NewFrame(orb.Point{-93, lat})
			for turned := 0.0; turned < math.Pi/2; turned += math.Pi / 24 {
				for _, corners := range shapes {
					plane := site(c.across, turned, corners)
					degrees := f.InversePolygon(plane)
					area, _ := geodesic.Area(degrees[0])
					in := geom.NewMultiPolygonFlat(geom.XY, plane.FlatCoords(), [][]int{plane.Ends()})
					whole = max(whole, math.Abs(planeArea(in)/float64(area)-1))
					parts, err := geodesic.Densify(orb.MultiPolygon{degrees}, geodesic.Geodesic)
					if err != nil {
						t.Fatal(err)
					}
					cut = max(cut, math.Abs(planeArea(f.MultiPolygon(parts))/float64(area)-1))
				}
			}
		}
		t.Logf("sites %5.0f m across: area %.1e, with edges cut %.1e", c.across, whole, cut)
		if !(whole <= c.whole && cut <= c.cut) {
			t.Errorf("sites %.0f m across: area off by %.1e, want %.1e; with edges cut by %.1e, want %.1e",
				c.across, whole, c.whole, cut, c.cut)
		}
	}
}

// Distances between any two points within so far of the centre, against Karney's algorithm.
// Shorter ones than a tenth of that are left to TestBounds.
func TestDistanceBounds(t *testing.T) {
	for _, c := range []struct{ within, distance float64 }{
		{600, 5e-9}, {1_000, 1e-8}, {2_000, 4e-8}, {5_000, 2e-7}, {10_000, 4e-7}, {20_000, 1.4e-6},
	} {
		worst := 0.0
		for _, lat := range latitudes {
			f := local.NewFrame(orb.Point{179.999, lat})
			var places []geom.Coord
			for _, r := range []float64{0, 0.5, 1} {
				for a := range 12 {
					s, cos := math.Sincos(float64(a) * math.Pi / 6)
					places = append(places, geom.Coord{r * c.within * cos, r * c.within * s})
				}
			}
			for i, p := range places {
				for _, q := range places[:i] {
					plane := math.Hypot(p[0]-q[0], p[1]-q[1])
					if plane < c.within/10 {
						continue
					}
					worst = max(worst, math.Abs(plane/float64(geodesic.Distance(f.Inverse(p), f.Inverse(q)))-1))
				}
			}
		}
		t.Logf("within %5.0f m of the centre: distance %.1e", c.within, worst)
		if !(worst <= c.distance) {
			t.Errorf("within %.0f m of the centre: distance off by %.1e, want %.1e", c.within, worst, c.distance)
		}
	}
}

// The reference polygons under 20 km across, whose areas with geodesic edges are known in
// quadruple precision (data/geo/README.md): the plane agrees once the edges are cut along
// the geodesic.
func TestFrameAgainstQuadPrecision(t *testing.T) {
	var fc struct {
		Features []struct {
			ID       string
			Geometry struct{ Coordinates orb.Polygon }
		}
	}
	if err := json.Unmarshal(geotest.File(t, "data", "geo", "areas.geojson"), &fc); err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{}
	for _, row := range geotest.Table(t, "data", "geo", "areas_reference.csv") {
		want[row["id"]] = row.Number(t, "area_m2")
	}
	n, worst, worstLonLat := 0, 0.0, 0.0
	for _, feature := range fc.Features {
		mp := orb.MultiPolygon{feature.Geometry.Coordinates}
		middle, wide := middleOf(mp[0][0])
		if wide > 20_000 {
			continue
		}
		n++
		f := local.NewFrame(middle)
		cut, err := geodesic.Densify(mp, geodesic.Geodesic)
		if err != nil {
			t.Fatal(err)
		}
		ref := want[feature.ID]
		off := math.Abs(planeArea(f.MultiPolygon(cut)) - ref)
		if !(off <= 1e-9*ref+1e-6) {
			t.Errorf("%s: off by %.2e m2 of %.1f m2", feature.ID, off, ref)
		}
		worst = max(worst, off/ref)
		lonLat, err := geodesic.Densify(mp, geodesic.LonLat)
		if err != nil {
			t.Fatal(err)
		}
		other := planeArea(f.MultiPolygon(lonLat))
		worstLonLat = max(worstLonLat, math.Abs(other/ref-1))
	}
	if n < 30 {
		t.Errorf("only %d polygons are under 20 km", n)
	}
	t.Logf("%d polygons: within %.1e; read as straight in degrees they would be up to %.1e off", n, worst, worstLonLat)
}

// middleOf is the middle of a ring's bounds, which may cross the antimeridian, and the
// length of their diagonal in metres.
func middleOf(r orb.Ring) (middle orb.Point, wide float64) {
	west, east, south, north := 0.0, 0.0, r[0].Lat(), r[0].Lat()
	for _, p := range r {
		d := math.Remainder(p.Lon()-r[0].Lon(), 360)
		west, east = min(west, d), max(east, d)
		south, north = min(south, p.Lat()), max(north, p.Lat())
	}
	lon := func(d float64) float64 { return math.Remainder(r[0].Lon()+d, 360) }
	wide = float64(geodesic.Distance(orb.Point{lon(west), south}, orb.Point{lon(east), north}))
	return orb.Point{lon((west + east) / 2), (south + north) / 2}, wide
}

// planeArea is the area of polygons that do not overlap, shells less holes.
func planeArea(mp *geom.MultiPolygon) (sum float64) {
	for i := range mp.NumPolygons() {
		for j := range mp.Polygon(i).NumLinearRings() {
			flat, twice := mp.Polygon(i).LinearRing(j).FlatCoords(), 0.0
			for k := 2; k+3 < len(flat); k += 2 { // triangles with the first corner
				x0, y0 := flat[k]-flat[0], flat[k+1]-flat[1]
				x1, y1 := flat[k+2]-flat[0], flat[k+3]-flat[1]
				twice += x0*y1 - x1*y0
			}
			if j == 0 {
				sum += math.Abs(twice) / 2
			} else {
				sum -= math.Abs(twice) / 2
			}
		}
	}
	return sum
}
