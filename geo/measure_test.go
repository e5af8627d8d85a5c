package geo_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geodesic"
	"tankful/geo/geotest"
	"tankful/geo/intake"
	"tankful/geo/local"
)

// outline makes an outline from metres around a frame's centre, drawn to 9 decimals.
func outline(f *local.Frame, s geo.Surface, name string, xy ...float64) geo.Outline {
	var r orb.Ring
	for i := 0; i < len(xy); i += 2 {
		r = append(r, f.Inverse(geom.Coord{xy[i], xy[i+1]}))
	}
	return geo.Outline{Name: name, Surface: s, Polygon: orb.MultiPolygon{{append(r, r[0])}}, Where: "lot.geojson: " + name, Decimals: 9}
}

func box(x, y, w, h float64) []float64 { return []float64{x, y, x + w, y, x + w, y + h, x, y + h} }

func property(outlines ...geo.Outline) *geo.Property {
	return &geo.Property{ID: "P", Name: "P", Where: "lot.geojson: property P", Outlines: outlines}
}

// How Big is Your Lawn? (Purdue University Turf Tips, 18 April 2014): a trapezoid lot with
// parallel sides of 90 and 60 ft and a depth of 80 ft, 6,000 sq ft, less 2,221 sq ft of house, garage, drive and the
// like, leaves 3,779 sq ft of turf.
func ExampleMeasure() {
	f := local.NewFrame(orb.Point{-86.9, 40.4})
	feet := func(s geo.Surface, name string, xy ...float64) geo.Outline {
		for i := range xy {
			xy[i] *= unit.Foot.In(unit.Metre)
		}
		return outline(f, s, name, xy...)
	}
	site := geo.Measure(property(
		feet(geo.Turf, "lot", 0, 0, 90, 0, 75, 80, 15, 80),
		feet(geo.Building, "house", box(25, 30, 50, 25)...), // 1,250 sq ft
		feet(geo.Hardscape, "drive", box(60, 0, 20, 30)...), // 600, touches the house
		feet(geo.Hardscape, "walk", box(40, 0, 4, 24)...),   // 96
		feet(geo.Bed, "bed", box(30, 24, 10, 5)...),         // 50
		feet(geo.Bed, "back bed", box(30, 70, 25, 5)...),    // 125
		feet(geo.Hardscape, "patio", box(30, 56, 10, 5)...), // 50
		feet(geo.Water, "pond", box(50, 60, 10, 5)...),      // 50
	), geo.MeasureOptions{})
	fmt.Println("turf", unit.US.Area(site.Gross))
	for _, s := range geo.LeftOut {
		if a, ok := site.Excluded[s]; ok {
			fmt.Println(s, unit.US.Area(a))
		}
	}
	fmt.Println("net", unit.US.Area(site.NetArea))
	// Output:
	// turf 6,000 sq ft
	// building 1,250 sq ft
	// water 50 sq ft
	// hardscape 746 sq ft
	// bed 175 sq ft
	// net 3,779 sq ft
}

func codes(list problem.List) string {
	var out []string
	for _, p := range list {
		out = append(out, string(p.Severity)+" "+p.Code)
	}
	slices.Sort(out)
	return strings.Join(out, ", ")
}

func TestMeasureProblems(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	lawn := outline(f, geo.Turf, "lawn", box(0, 0, 20, 10)...)
	far := local.NewFrame(orb.Point{-93, 45.3})
	pole := local.NewFrame(orb.Point{-93, 88})
	coarse := lawn
	coarse.Decimals = 5
	with := func(surface geo.Surface, p orb.MultiPolygon) geo.Outline {
		return geo.Outline{Surface: surface, Polygon: p, Where: "lot.geojson: feature 9", Decimals: 9}
	}
	for _, c := range []struct {
		name     string
		outlines []geo.Outline
		net      float64 // m2
		want     string
	}{
		{"sound", []geo.Outline{lawn}, 200, ""},
		{"turf twice", []geo.Outline{lawn, lawn}, 200, ""},
		{"overlapping beds", []geo.Outline{lawn, outline(f, geo.Bed, "a", box(1, 1, 4, 4)...), outline(f, geo.Bed, "b", box(3, 3, 4, 4)...)}, 172, ""},
		{"none", nil, 0, "error no-turf"},
		{"no turf", []geo.Outline{outline(f, geo.Bed, "bed", box(0, 0, 1, 1)...)}, 0, "error no-turf"},
		{"nothing left", []geo.Outline{lawn, outline(f, geo.Building, "hall", box(-1, -1, 30, 30)...)}, 0, "warning nothing-left"},
		{"bed outside", []geo.Outline{lawn, outline(f, geo.Bed, "bed", box(30, 0, 2, 2)...)}, 200, "note outside-the-turf"},
		{"bed along the edge outside", []geo.Outline{lawn, outline(f, geo.Bed, "bed", box(20, 0, 2, 2)...)}, 200, "note outside-the-turf"},
		{"bow-tie", []geo.Outline{outline(f, geo.Turf, "lawn", 0, 0, 10, 10, 10, 0, 0, 10)}, 50, "warning ring-crosses-itself"},
		{"edge retraced", []geo.Outline{outline(f, geo.Turf, "lawn", 0, 0, 20, 0, 20, 5, 20.0004, 2, 20, 10, 0, 10)}, 200, "note edge-retraced"},
		{"spike", []geo.Outline{outline(f, geo.Turf, "lawn", 0, 0, 20, 0, 20, 5, 25, 5, 20, 5, 20, 10, 0, 10)}, 200, "note ring-crosses-itself"},
		{"parts side by side", []geo.Outline{with(geo.Turf, orb.MultiPolygon{lawn.Polygon[0], outline(f, geo.Turf, "", box(20, 0, 5, 5)...).Polygon[0]})}, 225, "note parts-joined"},
		{"bed without area", []geo.Outline{lawn, outline(f, geo.Bed, "bed", 1, 1, 1, 1, 1, 1)}, 200, "warning ring-without-area"},
		{"turf without area", []geo.Outline{outline(f, geo.Turf, "lawn", 1, 1, 1, 1, 1, 1)}, 0, "error no-turf, warning ring-without-area"},
		{"far apart", []geo.Outline{lawn, outline(far, geo.Turf, "other", box(0, 0, 9, 9)...)}, 0, "error property-too-wide"},
		{"pole", []geo.Outline{outline(pole, geo.Turf, "ice", box(0, 0, 9, 9)...)}, 0, "error too-near-a-pole"},
		{"coarse", []geo.Outline{coarse}, 200, "warning coarse-coordinates"},
		{"unread bed", []geo.Outline{lawn, with(geo.Bed, nil)}, 0, "error outline-unreadable"},
		{"unknown surface", []geo.Outline{lawn, with("moss", lawn.Polygon)}, 0, "error unknown-surface"},
		{"not a number", []geo.Outline{with(geo.Turf, orb.MultiPolygon{{{{math.NaN(), 1}, {1, 1}, {1, 2}}}})}, 0, "error not-a-place"},
		{"infinite", []geo.Outline{with(geo.Turf, orb.MultiPolygon{{{{0, 1}, {1, math.Inf(1)}, {1, 2}}}})}, 0, "error not-a-place"},
	} {
		s := geo.Measure(property(c.outlines...), geo.MeasureOptions{})
		if got := codes(s.Problems); got != c.want {
			t.Errorf("%s: got %s, want %s: %v", c.name, got, c.want, s.Problems)
		}
		if !closeTo(s.NetArea, c.net, 1e-5, 0.002) {
			t.Errorf("%s: net %v, want %v m2", c.name, s.NetArea, c.net)
		}
		if s.Net == nil || s.Frame == nil || s.Property == nil || s.Exclusions == nil || s.Excluded == nil {
			t.Errorf("%s: a field is nil: %+v", c.name, s)
		}
	}
}

func TestRepairIsToldInBothUnits(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	s := geo.Measure(property(outline(f, geo.Turf, "lawn", 0, 0, 10, 10, 10, 0, 0, 10)), geo.MeasureOptions{})
	if len(s.Problems) != 1 || !strings.Contains(s.Problems[0].What, "538 sq ft (50.0 m2)") {
		t.Errorf("got %v", s.Problems)
	}
}

func TestOverlappingSurfacesCountOnce(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	s := geo.Measure(property(
		outline(f, geo.Turf, "lawn", box(0, 0, 20, 10)...),
		outline(f, geo.Bed, "bed", box(0, 0, 6, 10)...),
		outline(f, geo.Building, "house", box(4, 0, 6, 10)...),
		outline(f, geo.KeepOff, "well", box(3, 0, 8, 10)...),
	), geo.MeasureOptions{})
	for surface, want := range map[geo.Surface]float64{geo.Building: 60, geo.Bed: 40, geo.KeepOff: 10} {
		if !closeTo(s.Excluded[surface], want, 1e-5, 0) {
			t.Errorf("%s takes %v, want %v m2", surface, s.Excluded[surface], want)
		}
	}
	if !closeTo(s.NetArea, 90, 1e-5, 0) || math.Abs(float64(s.Perimeter)-38) > 0.001 {
		t.Errorf("net %v, %v round; want 90 m2, 38 m", s.NetArea, s.Perimeter)
	}
}

// The plane and the ellipsoid agree, so that large sites need no second figure.
func TestPlaneAgainstEllipsoid(t *testing.T) {
	for _, c := range []struct{ size, bound float64 }{{100, 1e-9}, {1_000, 1e-9}, {5_000, 2e-9}, {10_000, 5e-9}, {14_000, 1e-8}} {
		worst := 0.0
		for _, lat := range []float64{-60, 0, 25, 45, 65} {
			f := local.NewFrame(orb.Point{-93, lat})
			p := property(outline(f, geo.Turf, "park", box(-c.size/2, -c.size/2, c.size, c.size)...))
			s := geo.Measure(p, geo.MeasureOptions{})
			cut, err := geodesic.Densify(p.Outlines[0].Polygon, geodesic.LonLat)
			if err != nil {
				t.Fatal(err)
			}
			want, _ := geodesic.MultiPolygon(cut)
			worst = max(worst, math.Abs(float64(s.NetArea/want)-1))
			if s.Problems.HasErrors() {
				t.Fatal(s.Problems)
			}
		}
		// Snapping moves the boundary by up to 0.07 mm.
		t.Logf("%6.0f m square: %.1e", c.size, worst)
		if worst > c.bound+4*0.00007/c.size {
			t.Errorf("%.0f m square: the plane is off by %.1e, want %.0e", c.size, worst, c.bound)
		}
	}
}

// PlusMinus against areas of outlines with errors drawn at random, and against the table of the geometry
// notes: a 50 m square with 4 corners and 0.5 m has a standard deviation of 35 m2.
func TestPlusMinus(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	square := property(outline(f, geo.Turf, "lawn", box(0, 0, 50, 50)...))
	s := geo.Measure(square, geo.MeasureOptions{})
	if math.Abs(float64(s.PlusMinus)/1.96-35.4) > 0.3 || s.Accuracy != 0.5 || !strings.Contains(s.AccuracyFrom, "assumed") {
		t.Errorf("got %v from %v (%s), want 1.96 x 35.4 m2 from 0.5 m", s.PlusMinus, s.Accuracy, s.AccuracyFrom)
	}
	// Points in the middle of straight edges are no corners: the figure stays.
	more := property(outline(f, geo.Turf, "lawn", 0, 0, 25, 0, 50, 0, 50, 20, 50, 50, 10, 50, 0, 50, 0, 1))
	if m := geo.Measure(more, geo.MeasureOptions{}); math.Abs(float64(m.PlusMinus-s.PlusMinus)) > 0.01 {
		t.Errorf("with points on the edges: %v, want %v", m.PlusMinus, s.PlusMinus)
	}
	rnd := rand.New(rand.NewPCG(5, 6))
	const sigma, n, draws = 0.3, 24, 20_000
	ring := make([]float64, 2*n)
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		r := 15 + 5*rnd.Float64()
		ring[2*i], ring[2*i+1] = r*cos, r*sin
	}
	var sum, squares float64
	for range draws {
		x := slices.Clone(ring)
		for i := range x {
			x[i] += sigma * rnd.NormFloat64()
		}
		var a float64
		for i := range n {
			j := (i + 1) % n
			a += (x[2*i]*x[2*j+1] - x[2*j]*x[2*i+1]) / 2
		}
		sum, squares = sum+a, squares+a*a
	}
	want := 1.96 * math.Sqrt(squares/draws-sum*sum/draws/draws)
	got := geo.Measure(property(outline(f, geo.Turf, "lawn", ring...)), geo.MeasureOptions{Accuracy: sigma})
	if math.Abs(float64(got.PlusMinus)/want-1) > 0.03 || got.AccuracyFrom != "as given" {
		t.Errorf("got %v (%s), random errors give %.2f m2", got.PlusMinus, got.AccuracyFrom, want)
	}
}

// A strip of 2 km has four corners however its long edges are cut, and however the plane bends them: two sides of
// length l and two of width w give a variance of s2/4 x 4 (l2 + w2) and 4 s4/2.
func TestPlusMinusLongEdge(t *testing.T) {
	f := local.NewFrame(orb.Point{10, 60})
	const l, w, s = 2000.0, 40.0, 0.5
	at := func(x, y float64) (lon, lat float64) { p := f.Inverse(geom.Coord{x, y}); return p.Lon(), p.Lat() }
	lon0, lat0 := at(-l/2, -w/2)
	lon1, lat1 := at(l/2, w/2)
	strip := orb.MultiPolygon{{{{lon0, lat0}, {lon1, lat0}, {lon1, lat1}, {lon0, lat1}, {lon0, lat0}}}}
	p := property(geo.Outline{Surface: geo.Turf, Polygon: strip})
	got := float64(geo.Measure(p, geo.MeasureOptions{Accuracy: s}).PlusMinus)
	want := 1.96 * math.Sqrt(s*s*(l*l+w*w)+4*s*s*s*s/2)
	if math.Abs(got/want-1) > 1e-3 {
		t.Errorf("got %.1f m2, want %.1f", got, want)
	}
}

func TestAccuracyGuess(t *testing.T) {
	f := local.NewFrame(orb.Point{-93, 45})
	for _, c := range []struct {
		decimals int
		want     float64
		from     string
	}{
		{0, 0.5, "assumed"}, {7, 0.5, "assumed"}, {5, 0.5, "assumed"}, {4, 11.1132 / math.Sqrt(12), "4 decimals"},
	} {
		o := outline(f, geo.Turf, "lawn", box(0, 0, 50, 50)...)
		o.Decimals = c.decimals
		s := geo.Measure(property(o), geo.MeasureOptions{})
		if math.Abs(float64(s.Accuracy)-c.want) > 1e-3 || !strings.Contains(s.AccuracyFrom, c.from) {
			t.Errorf("%d decimals: got %v, %s; want %.3f", c.decimals, s.Accuracy, s.AccuracyFrom, c.want)
		}
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		s := geo.Measure(property(outline(f, geo.Turf, "lawn", box(0, 0, 50, 50)...)), geo.MeasureOptions{Accuracy: unit.Length(bad)})
		if codes(s.Problems) != "error accuracy-not-positive" {
			t.Errorf("accuracy %v: %v", bad, s.Problems)
		}
	}
}

// From the bytes of a file to net areas: 772 real properties, house lots, grounds, parks and golf courses.
func BenchmarkBytesToNet(b *testing.B) {
	for _, name := range []string{"residential_north_shore_west", "commercial_vancouver_west", "commercial_monaco", "large_vancouver_west", "nested_turf_vancouver", "nested_turf_monaco"} {
		b.Run(name, func(b *testing.B) {
			data := geotest.File(b, "data", "properties", name+".geojson")
			n := 0
			for b.Loop() {
				props, _ := intake.Read(name+".geojson", data, intake.Options{})
				for _, p := range props {
					geo.Measure(p, geo.MeasureOptions{})
				}
				n = len(props)
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/float64(n), "us/property")
			b.ReportMetric(float64(n), "properties")
		})
	}
}
