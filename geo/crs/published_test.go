package crs

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
)

// dms is degrees, minutes and seconds of arc as degrees; the sign is that of d.
func dms(d, m, s float64) float64 { return d + math.Copysign(m/60+s/3600, d) }

// TestPublishedExamples holds the formulas to worked examples that others printed, on the ellipsoids of those examples.
//   - Geomatics Guidance Note 7, part 2: Coordinate Conversions and Transformations including Formulas, IOGP Publication
//     373-7-2: 3.5.3.1 Transverse Mercator (OSGB 1936), 3.1.1.1 Lambert Conic Conformal (2SP) (NAD27 / Texas South Central),
//     3.1.1.2 (1SP) (JAD69 / Jamaica National Grid) (numbers of sections from memory). Printed to 0.01. The first was reckoned with a scale factor
//     rounded to 0.9996013, as its list of parameters shows; the grid's own 0.9996012717 gives 6 mm less.
//   - J. P. Snyder, Map Projections: A Working Manual, U.S. Geological Survey Professional Paper 1395 (1987), pages 269
//     (transverse Mercator) and 296 (Lambert conformal conic). Printed to 0.1 m.
func TestPublishedExamples(t *testing.T) {
	airy := ellipsoid{6377563.396, 1 / 299.3249646}
	clarke := ellipsoid{6378206.4, 1 / 294.9786982}
	must := func(p projection, err error) projection {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return p
	}
	build := func(p *transverse, err error) projection { t.Helper(); return must(p, err) }
	cone := func(p *conic, err error) projection { t.Helper(); return must(p, err) }
	for _, c := range []struct {
		name     string
		p        projection
		unit     float64
		lon, lat float64
		x, y     float64
		digit    float64 // half of the last printed one, in the unit of the example
	}{
		{"373-7-2 transverse Mercator", build(newTransverse(airy, 49, -2, 0.9996013, 400000, -100000)), 1,
			0.5, 50.5, 577274.99, 69740.50, 0.005},
		{"373-7-2 Lambert 2SP", cone(newConic(clarke, dms(27, 50, 0), -99, dms(28, 23, 0), dms(30, 17, 0), 1, 2000000*surveyFoot, 0)), surveyFoot,
			-96, 28.5, 2963503.91, 254759.80, 0.005},
		{"373-7-2 Lambert 1SP", cone(newConic(clarke, 18, -77, 18, 18, 1, 250000, 150000)), 1,
			dms(-76, 56, 37.26), dms(17, 55, 55.80), 255966.58, 142493.51, 0.005},
		{"PP 1395 transverse Mercator", build(newTransverse(clarke, 0, -75, 0.9996, 0, 0)), 1,
			-73.5, 40.5, 127106.5, 4484124.4, 0.05},
		{"PP 1395 Lambert 2SP", cone(newConic(clarke, 23, -96, 33, 45, 1, 0, 0)), 1,
			-75, 35, 1894410.9, 1564649.5, 0.05},
		// 373-7-2, method 1024 Popular Visualisation Pseudo Mercator (from memory).
		{"373-7-2 pseudo-Mercator", webMercator{}, 1,
			dms(-100, 20, 0), dms(24, 22, 54.433), -11169055.58, 2800000.00, 0.005},
	} {
		x, y, ok := c.p.forward(c.lon, c.lat)
		if x, y = x/c.unit, y/c.unit; !ok || math.Abs(x-c.x) > c.digit || math.Abs(y-c.y) > c.digit {
			t.Errorf("%s: got %.4f, %.4f (%v), printed %.2f, %.2f", c.name, x, y, ok, c.x, c.y)
		}
		lon, lat, ok := c.p.inverse(c.x*c.unit, c.y*c.unit)
		// a degree is 111 km or less
		if tol := 1.5 * c.digit * c.unit / 90000; !ok || math.Abs(lon-c.lon) > tol || math.Abs(lat-c.lat) > tol {
			t.Errorf("%s back: got %.9f, %.9f (%v), printed %.9f, %.9f", c.name, lon, lat, ok, c.lon, c.lat)
		}
	}
}

// TestDatasheet holds two state plane systems to a survey mark: U.S. National Geodetic Survey datasheet of JV7114, NAD 83(2011)
// 39 00 38.66215 N, 77 09 15.14805 W, "SPC MD 149,209.682 386,644.192 MT" and "489,532.10 1,268,515.15 sFT" (north first).
func TestDatasheet(t *testing.T) {
	mark := orb.Point{dms(-77, 9, 15.14805), dms(39, 0, 38.66215)}
	for _, c := range []struct {
		code       string
		x, y, half float64
	}{
		{"EPSG:26985", 386644.192, 149209.682, 0.0005},
		{"EPSG:6487", 386644.192, 149209.682, 0.0005},
		{"EPSG:2248", 1268515.15, 489532.10, 0.005},
		{"EPSG:6488", 1268515.15, 489532.10, 0.005},
	} {
		s, err := Parse(c.code)
		if err != nil {
			t.Fatal(err)
		}
		x, y, ok := s.FromDegrees(mark)
		if !ok || math.Abs(x-c.x) > c.half+1e-4 || math.Abs(y-c.y) > c.half+1e-4 { // seconds are printed to 1.5e-4 m
			t.Errorf("%s: got %.4f, %.4f (%v), printed %v, %v", s, x, y, ok, c.x, c.y)
		}
	}
}
