package geo_test

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/geodesic"
	"tankful/geo/geotest"
	"tankful/geo/local"
)

var farm = local.NewFrame(orb.Point{-93, 45})

func in(zone string, o geo.Outline) geo.Outline {
	o.Zone = zone
	return o
}

// The zones of a lawn with a bed across two of them, by arithmetic. They add up to the net area to the last bit.
func TestZones(t *testing.T) {
	s := geo.Measure(property(
		in("front", outline(farm, geo.Turf, "a", box(0, 0, 20, 10)...)),
		in("back", outline(farm, geo.Turf, "b", box(0, 8, 20, 12)...)), // 2 m of it lie in the front
		in("", outline(farm, geo.Turf, "c", box(30, 0, 5, 5)...)),
		outline(farm, geo.Bed, "bed", box(5, 9, 2, 2)...),
	), geo.MeasureOptions{})
	want := map[string]float64{"front": 200 - 2, "back": 200 - 2, "": 25}
	sum := unit.Area(0)
	for _, z := range s.Zones {
		sum += z.Net
		if !closeTo(z.Net, want[z.Name], 1e-5, 0) || z.Pieces != 1 {
			t.Errorf("zone %q: %.6f m2 in %d pieces, want %v in 1", z.Name, z.Net, z.Pieces, want[z.Name])
		}
	}
	if len(s.Zones) != 3 || math.Abs(float64(sum-s.NetArea)) > 1e-9 {
		t.Errorf("%d zones of %.9f m2, net %.9f", len(s.Zones), sum, s.NetArea)
	}
	if len(s.Parts) != 2 || !closeTo(s.Parts[0].Area, 396, 1e-8, 0) || !closeTo(s.Parts[1].Area, 25, 1e-8, 0) || math.Abs(float64(s.Parts[1].Perimeter)-20) > 1e-6 {
		t.Errorf("parts %+v, want 396 and 25 m2", s.Parts)
	}
}

// Keep-off strips by arithmetic: 3 m round a pond with square corners is 4 x 3 m x 6 m and a disc of radius 3 m;
// 1 m along the inside of a lawn of 30 x 20 m leaves 28 x 18 m.
func TestStrips(t *testing.T) {
	lawn := outline(farm, geo.Turf, "lawn", box(0, 0, 30, 20)...)
	pond := outline(farm, geo.Water, "pond", box(10, 7, 6, 6)...)
	for _, c := range []struct {
		name    string
		strips  map[geo.Surface]unit.Length
		keepOff float64
	}{
		{"none", nil, 0},
		{"round the pond", map[geo.Surface]unit.Length{geo.Water: 3}, 72 + math.Pi*9},
		{"inside the edge", map[geo.Surface]unit.Length{geo.Turf: 1}, 600 - 28*18},
		{"both, apart", map[geo.Surface]unit.Length{geo.Turf: 1, geo.Water: 3}, 600 - 28*18 + 72 + math.Pi*9},
		{"of nothing there", map[geo.Surface]unit.Length{geo.Building: 3}, 0},
	} {
		s := geo.Measure(property(lawn, pond), geo.MeasureOptions{Strips: c.strips})
		// A polygon of 64 corners stands for a disc: it lacks 1.6e-3 of it, 0.05 m2 here.
		if got := float64(s.Excluded[geo.KeepOff]); math.Abs(got-c.keepOff) > 0.05 || s.Problems.HasErrors() {
			t.Errorf("%s: %.5f m2 kept off, want %.5f: %v", c.name, got, c.keepOff, s.Problems)
		}
		checkSums(t, s)
	}
	for _, bad := range []map[geo.Surface]unit.Length{{"moss": 1}, {geo.Water: -1}, {geo.Water: unit.Length(math.NaN())}, {geo.Water: 5000}} {
		if s := geo.Measure(property(lawn, pond), geo.MeasureOptions{Strips: bad}); !s.Problems.HasErrors() {
			t.Errorf("strips %v are taken", bad)
		}
	}
}

func checkSums(t *testing.T, s *geo.Site) {
	t.Helper()
	sum := s.NetArea
	for _, a := range s.Excluded {
		sum += a
	}
	if math.Abs(float64(sum-s.Gross)) > 1e-9*float64(s.Gross) {
		t.Errorf("net and left out are %.9f m2, gross %.9f", sum, s.Gross)
	}
}

// A path drawn along its middle takes its width, ends flat, bends round: a right angle of a path w wide adds a quarter
// disc of radius w/2 less nothing to the two legs that overlap in a square of (w/2)2.
func TestLineOfAWidth(t *testing.T) {
	lawn := outline(farm, geo.Turf, "lawn", box(0, 0, 30, 20)...)
	line := func(width unit.Length, xy ...float64) geo.Outline {
		var l orb.LineString
		for i := 0; i < len(xy); i += 2 {
			l = append(l, farm.Inverse(geom.Coord{xy[i], xy[i+1]}))
		}
		return geo.Outline{Surface: geo.Hardscape, Lines: orb.MultiLineString{l}, Width: width, Where: "lot.geojson: path", Decimals: 9}
	}
	for _, c := range []struct {
		name string
		path geo.Outline
		want float64
	}{
		{"straight", line(2, 5, 10, 15, 10), 20},
		{"across", line(2, 5, -5, 5, 25), 40},
		{"bent", line(2, 5, 10, 15, 10, 15, 15), 2*10 + 2*5 - 1 + math.Pi/4},
		{"there and back", line(2, 5, 10, 15, 10, 5, 10), 20},
	} {
		s := geo.Measure(property(lawn, c.path), geo.MeasureOptions{})
		got := float64(s.Excluded[geo.Hardscape])
		if c.name == "there and back" {
			if got < 20-0.01 || got > 20+math.Pi+0.01 || s.Problems.HasErrors() { // both ends turn round
				t.Errorf("%s: %.4f m2, want about 20: %v", c.name, got, s.Problems)
			}
			continue
		}
		if math.Abs(got-c.want) > 3e-4*c.want || s.Problems.HasErrors() {
			t.Errorf("%s: %.4f m2, want %.4f: %v", c.name, got, c.want, s.Problems)
		}
		checkSums(t, s)
	}
}

// A slope of 20 % has 2.0 % more ground than its map (sqrt(1 + 0.04), arithmetic); the level half has none.
func TestSlope(t *testing.T) {
	bank := outline(farm, geo.Turf, "bank", box(0, 0, 10, 10)...)
	bank.Slope = 0.2
	level := outline(farm, geo.Turf, "level", box(10, 0, 10, 10)...)
	s := geo.Measure(property(bank, level), geo.MeasureOptions{})
	if want := 100*math.Sqrt(1.04) + 100; !closeTo(s.Ground, want, 1e-8, 0) || !closeTo(s.NetArea, 200, 1e-8, 0) {
		t.Errorf("net %v, on the slope %v; want 200 and %v m2", s.NetArea, s.Ground, want)
	}
	if s := geo.Measure(property(level), geo.MeasureOptions{Slope: 0.1}); !closeTo(s.Ground, 100*math.Sqrt(1.01), 1e-8, 0) {
		t.Errorf("a slope given: %v", s.Ground)
	}
	if s := geo.Measure(property(level), geo.MeasureOptions{}); s.Ground != s.NetArea {
		t.Errorf("without a slope: %v on it, %v net", s.Ground, s.NetArea)
	}
	for text, want := range map[string]float64{"10 %": 0.1, "45 deg": 1, "1:8": 0.125, "1 in 20": 0.05, " 6.5% ": 0.065, "0 %": 0} {
		if got, err := geo.ParseSlope(text); err != nil || math.Abs(got-want) > 1e-12 {
			t.Errorf("%q: got %v, %v; want %v", text, got, err, want)
		}
	}
	for _, bad := range []string{"", "10", "-5 %", "200 %", "60 deg", "1:0", "NaN %", "x in y"} {
		if got, err := geo.ParseSlope(bad); err == nil {
			t.Errorf("%q is a slope of %v", bad, got)
		}
	}
}

func TestParseStrips(t *testing.T) {
	got, err := geo.ParseStrips(" Water = 10 ft, turf=0.5 m,")
	if err != nil || len(got) != 2 || math.Abs(float64(got[geo.Water]-10*unit.Foot)) > 1e-12 || got[geo.Turf] != 0.5 {
		t.Errorf("got %v, %v", got, err)
	}
	for _, bad := range []string{"water", "water=10", "moss=1 ft", "water=-1 ft", "water=0 ft", "water=1 km", "water=1 ft,water=2 ft"} {
		if got, err := geo.ParseStrips(bad); err == nil {
			t.Errorf("%q gives %v", bad, got)
		}
	}
}

// The outline bias of the notes on measuring: 0.1 m all round a 50 m square is 20 m2 (P b + pi b2 = 20.03).
func TestBias(t *testing.T) {
	s := geo.Measure(property(outline(farm, geo.Turf, "lawn", box(0, 0, 50, 50)...)), geo.MeasureOptions{})
	if !closeTo(s.PlusMinusBias, 20+math.Pi/100, 1e-6, 0) || s.Bias != 0.1 || !strings.Contains(s.BiasFrom, "assumed") {
		t.Errorf("got %v from %v (%s)", s.PlusMinusBias, s.Bias, s.BiasFrom)
	}
	p := property(outline(farm, geo.Turf, "lawn", box(0, 0, 50, 50)...))
	p.Walked = true
	if s := geo.Measure(p, geo.MeasureOptions{}); s.Accuracy != 2 || !strings.Contains(s.AccuracyFrom, "walked") {
		t.Errorf("walked: %v, %s", s.Accuracy, s.AccuracyFrom)
	}
	if s := geo.Measure(p, geo.MeasureOptions{Bias: 0.25, Accuracy: 1}); s.Bias != 0.25 || s.BiasFrom != "as given" || s.Accuracy != 1 {
		t.Errorf("given: %+v", s)
	}
}

// The height of a place is told and not added: at 1,600 m the ground is 0.050 % larger (1 + 2h/R, arithmetic).
func TestHeight(t *testing.T) {
	p := property(outline(farm, geo.Turf, "lawn", box(0, 0, 50, 50)...))
	p.Height = 1600
	s := geo.Measure(p, geo.MeasureOptions{})
	if len(s.Problems) != 1 || s.Problems[0].Severity != problem.Note || !strings.Contains(s.Problems[0].What, "0.050 %") {
		t.Errorf("got %v", s.Problems)
	}
	if !closeTo(s.NetArea, 2500, 1e-8, 0) {
		t.Errorf("net %v", s.NetArea)
	}
	p.Height = 100
	if s := geo.Measure(p, geo.MeasureOptions{}); len(s.Problems) > 0 {
		t.Errorf("100 m: %v", s.Problems)
	}
}

// Through the whole measuring, outlines with geodesic edges agree with areas computed in quadruple precision
// (GeographicLib's Planimeter, data/geo/README.md) although overlay works on a grid of 0.1 mm: the figures are those of the corners as drawn.
func TestSingleOutlinesAgainstQuadPrecision(t *testing.T) {
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
	var worst, worstLength float64
	for _, f := range fc.Features {
		p := property(geo.Outline{Surface: geo.Turf, Polygon: orb.MultiPolygon{f.Geometry.Coordinates}, Where: f.ID, Decimals: 9})
		s := geo.Measure(p, geo.MeasureOptions{Edges: geodesic.Geodesic})
		if s.Problems.HasErrors() {
			t.Errorf("%s: %v", f.ID, s.Problems)
			continue
		}
		area, length := want[f.ID].Number(t, "area_m2"), want[f.ID].Number(t, "perimeter_all_rings_m")
		worst = max(worst, math.Abs(float64(s.NetArea)/area-1))
		worstLength = max(worstLength, math.Abs(float64(s.Perimeter)/length-1))
		if !closeTo(s.NetArea, area, singleTolerance, 1e-6) {
			t.Errorf("%s: %.9f m2, want %.9f (%.1e)", f.ID, s.NetArea, area, float64(s.NetArea)/area-1)
		}
		if math.Abs(float64(s.Perimeter)-length) > 1e-7*length {
			t.Errorf("%s: %.9f m round, want %.9f", f.ID, s.Perimeter, length)
		}
	}
	t.Logf("%d outlines: area within %.1e, perimeter within %.1e", len(fc.Features), worst, worstLength)
}

// singleTolerance is that of the frame at the sizes of the reference set.
const singleTolerance = 1e-9

// lot is a made-up lot of star-shaped turf and beds.
type lot struct {
	lat, lon float64
	rings    [][]orb.Point // the first is turf
}

func drawLot(t *rapid.T) lot {
	l := lot{lat: rapid.Float64Range(-69, 69).Draw(t, "lat"), lon: rapid.Float64Range(-180, 180).Draw(t, "lon")}
	for i := range rapid.IntRange(1, 4).Draw(t, "rings") {
		n := rapid.IntRange(3, 14).Draw(t, "corners")
		size := 40.0
		cx, cy := 0.0, 0.0
		if i > 0 {
			size = rapid.Float64Range(2, 15).Draw(t, "size")
			cx, cy = rapid.Float64Range(-30, 30).Draw(t, "x"), rapid.Float64Range(-30, 30).Draw(t, "y")
		}
		var ring []orb.Point
		for k := range n {
			s, c := math.Sincos(2 * math.Pi * float64(k) / float64(n))
			r := size * rapid.Float64Range(0.4, 1).Draw(t, "r")
			ring = append(ring, orb.Point{(cx + r*c) / 111320 / math.Cos(l.lat*math.Pi/180), (cy + r*s) / 111320})
		}
		l.rings = append(l.rings, ring)
	}
	return l
}

// property is the lot with its longitudes moved and each ring changed.
func (l lot) property(east float64, change func(i int, r orb.Ring) orb.Ring) *geo.Property {
	var out []geo.Outline
	for i, pts := range l.rings {
		var r orb.Ring
		for _, p := range pts {
			r = append(r, orb.Point{math.Remainder(l.lon+east+p[0], 360), l.lat + p[1]})
		}
		surface := geo.Turf
		if i > 0 {
			surface = geo.LeftOut[i%len(geo.LeftOut)]
		}
		r = change(i, r)
		out = append(out, geo.Outline{Surface: surface, Polygon: orb.MultiPolygon{{append(slices.Clone(r), r[0])}}, Where: "lot", Decimals: 9})
	}
	return property(out...)
}

// The order of outlines, the first corner, the winding, a cut in two and the place along the parallel change no figure.
func TestMeasuringLaws(t *testing.T) {
	same := func(_ int, r orb.Ring) orb.Ring { return r }
	rapid.Check(t, func(t *rapid.T) {
		l := drawLot(t)
		want := geo.Measure(l.property(0, same), geo.MeasureOptions{})
		if want.Problems.HasErrors() {
			t.Fatal(want.Problems)
		}
		check := func(what string, p *geo.Property, tolerance float64) {
			s := geo.Measure(p, geo.MeasureOptions{})
			if d := math.Abs(float64(s.NetArea - want.NetArea)); !(d <= tolerance) || s.Problems.HasErrors() {
				t.Fatalf("%s: net %.6f m2, was %.6f: %v", what, s.NetArea, want.NetArea, s.Problems)
			}
		}
		k := rapid.IntRange(0, 2).Draw(t, "start")
		check("other start", l.property(0, func(_ int, r orb.Ring) orb.Ring { return append(slices.Clone(r[k:]), r[:k]...) }), 1e-4)
		check("reversed", l.property(0, func(_ int, r orb.Ring) orb.Ring { r = r.Clone(); r.Reverse(); return r }), 1e-4)
		check("corners twice", l.property(0, func(_ int, r orb.Ring) orb.Ring {
			var out orb.Ring
			for _, p := range r {
				out = append(out, p, p)
			}
			return out
		}), 1e-4)
		backwards := l.property(0, same)
		slices.Reverse(backwards.Outlines)
		check("outlines backwards", backwards, 1e-4)
		// Moved longitudes round to 3e-14 degrees, and each corner falls otherwise on the grid of 0.1 mm: crossings move by as much.
		check("moved along the parallel", l.property(rapid.Float64Range(-180, 180).Draw(t, "east"), same), 0.01)
		check("cut in two", cutInTwo(l.property(0, same)), 0.01)
	})
}

// cutInTwo cuts the turf, a star round its middle, along two of its spokes.
func cutInTwo(p *geo.Property) *geo.Property {
	r := p.Outlines[0].Polygon[0][0]
	n := len(r) - 1
	k := n / 2
	// The middle of the star is where it was drawn round.
	var middle orb.Point
	{
		a, b := r[0], r[k]
		middle = orb.Point{a[0] + math.Remainder(b[0]-a[0], 360)/2, (a[1] + b[1]) / 2}
	}
	first, second := orb.Ring{}, orb.Ring{}
	first = append(append(first, r[:k+1]...), middle, r[0])
	second = append(append(second, r[k:n]...), r[0], middle, r[k])
	o := p.Outlines[0]
	a, b := o, o
	a.Polygon, b.Polygon = orb.MultiPolygon{{first}}, orb.MultiPolygon{{second}}
	return property(append([]geo.Outline{a, b}, p.Outlines[1:]...)...)
}

func TestCompare(t *testing.T) {
	measure := func(outlines ...geo.Outline) *geo.Site {
		return geo.Measure(property(outlines...), geo.MeasureOptions{})
	}
	front := in("front", outline(farm, geo.Turf, "front", box(0, 0, 20, 10)...))
	back := in("back", outline(farm, geo.Turf, "back", box(0, 30, 20, 10)...))
	was := measure(front, back, outline(farm, geo.Bed, "bed", box(2, 2, 3, 3)...))
	is := measure(front, in("back", outline(farm, geo.Turf, "back", box(0, 30, 25, 10)...)), outline(farm, geo.Bed, "bed", box(12, 2, 3, 3)...))
	c := geo.Compare(was, is)
	// The bed moved: 9 m2 gained and lost in front; the back grew by 50 m2.
	if c.Problems.HasErrors() || !closeTo(c.Old, 391, 1e-6, 0) || !closeTo(c.New, 441, 1e-6, 0) || !closeTo(c.Gained, 59, 1e-5, 0) || !closeTo(c.Lost, 9, 1e-4, 0) {
		t.Errorf("got %v -> %v, gained %v, lost %v: %v", c.Old, c.New, c.Gained, c.Lost, c.Problems)
	}
	if d := c.Old + c.Gained - c.Lost - c.New; math.Abs(float64(d)) > 1e-9 {
		t.Errorf("the balance is off by %v", d)
	}
	want := map[string][2]float64{"front": {9, 9}, "back": {50, 0}}
	for _, z := range c.Zones {
		if w := want[z.Name]; math.Abs(float64(z.Gained)-w[0]) > 0.01 || math.Abs(float64(z.Lost)-w[1]) > 0.01 {
			t.Errorf("zone %s: gained %v, lost %v; want %v", z.Name, z.Gained, z.Lost, w)
		}
	}
	if c := geo.Compare(was, was); c.Gained != 0 || c.Lost != 0 {
		t.Errorf("nothing changed: %+v", c)
	}
	if c := geo.Compare(nil, is); c.Gained != c.New || c.Old != 0 {
		t.Errorf("a new property: gained %v of %v", c.Gained, c.New)
	}
	if c := geo.Compare(was, nil); c.Lost != c.Old || c.New != 0 {
		t.Errorf("a property that is gone: lost %v of %v", c.Lost, c.Old)
	}
	if c := geo.Compare(was, measure()); !c.Problems.HasErrors() {
		t.Error("a property that was not measured is compared")
	}
}
