package intake_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
)

const (
	square = `[[[-93,45],[-92.999,45],[-92.999,45.001],[-93,45.001],[-93,45]]]`
	inside = `[[[-92.9998,45.0002],[-92.9996,45.0002],[-92.9996,45.0004],[-92.9998,45.0002]]]`
)

func feature(members, geometry string) string {
	return fmt.Sprintf(`{"type":"Feature","properties":%s,"geometry":%s}`, members, geometry)
}

func polygon(members, coordinates string) string {
	return feature(members, `{"type":"Polygon","coordinates":`+coordinates+`}`)
}

func collection(features ...string) string {
	return `{"type":"FeatureCollection","features":[` + strings.Join(features, ",") + `]}`
}

// read gives the properties and the codes of the problems.
func read(text string, opt intake.Options) ([]*geo.Property, []string, problem.List) {
	props, list := intake.Read("lots/lots.geojson", []byte(text), opt)
	var codes []string
	for _, p := range list {
		codes = append(codes, string(p.Severity)+" "+p.Code)
	}
	return props, codes, list
}

// Each file has the problems named, in any order, and gives so many outlines.
func TestProblems(t *testing.T) {
	turf := polygon(`{"surface":"turf"}`, square)
	ring := func(s string) string { return polygon(`{"surface":"turf"}`, "[["+s+"]]") }
	for _, c := range []struct {
		name, text string
		outlines   int
		want       string
	}{
		{"good", collection(turf), 1, ""},
		{"byte order mark", "\ufeff" + collection(turf), 1, ""},
		{"lone feature", turf, 1, ""},
		{"bare geometry", `{"type":"Polygon","coordinates":` + square + `}`, 1, "warning all-taken-as-turf"},
		{"null members", collection(polygon("null", square)), 1, "warning all-taken-as-turf"},
		{"heights", ring(`[-93,45,10],[-92.999,45,10],[-92.999,45.001,9],[-93,45,10]`), 1, ""},
		{"collection of polygons", feature(`{"surface":"turf"}`, `{"type":"GeometryCollection","geometries":[{"type":"Polygon","coordinates":`+square+`}]}`), 1, ""},
		{"empty file", " \n", 0, "error empty-file"},
		{"kml without anything", `<?xml version="1.0"?><kml/>`, 0, "error no-outlines"}, {"other xml", `<?xml version="1.0"?><svg/>`, 0, "error unknown-format"},
		{"zip", "PK\x03\x04....", 0, "error not-a-zip"},
		{"picture", "\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR", 0, "error unknown-format"},
		{"document", "%PDF-1.7", 0, "error unknown-format"},
		{"utf-16", "\xff\xfe{\x00}\x00", 0, "error not-json"},
		{"cut short", collection(turf)[:120], 0, "error not-json"},
		{"NaN", ring(`[-93,NaN],[-92.999,45],[-92.999,45.001]`), 0, "error not-json"},
		{"a list", `[1,2]`, 0, "error not-geojson"},
		{"null", `null`, 0, "error not-geojson"},
		{"other type", `{"type":"Topology"}`, 0, "error not-geojson"},
		{"no features", `{"type":"FeatureCollection"}`, 0, "error not-geojson"},
		{"nothing in it", collection(), 0, "error no-outlines"},
		{"bad feature among good", collection(turf, `7`, turf), 2, "error not-a-feature"},
		{"no geometry", collection(turf, feature(`{"surface":"bed"}`, "null")), 1, "warning no-geometry"},
		{"empty polygon", collection(turf, polygon(`{"surface":"bed"}`, "[]")), 1, "warning no-geometry"},
		{"members are a list", collection(turf, polygon(`[1]`, square)), 2, "warning members-not-an-object error no-surface"},
		{"1e308", ring(`[-93,1e308],[-92.999,45],[-92.999,45.001]`), 1, "error coordinate-out-of-range"},
		{"1e999", ring(`[-93,1e999],[-92.999,45],[-92.999,45.001]`), 1, "error coordinate-out-of-range"},
		{"web mercator", ring(`[-10352712.6,5621521.5],[-10352600,5621521.5],[-10352600,5621600]`), 1, "error projected-coordinates"},
		{"latitude first", ring(`[45,-93],[45,-92.999],[45.001,-92.999]`), 1, "error lon-lat-swapped"},
		{"text", ring(`["-93",45],[-92.999,45],[-92.999,45.001]`), 1, "error coordinate-not-a-number"},
		{"null coordinate", ring(`[null,45],[-92.999,45],[-92.999,45.001]`), 1, "error coordinate-not-a-number"},
		{"one number", ring(`[-93],[-92.999,45],[-92.999,45.001]`), 1, "error coordinate-missing"},
		{"a ring too few", polygon(`{"surface":"turf"}`, `[[-93,45],[-92,45],[-92,46]]`), 1, "error wrong-nesting"},
		{"two corners", ring(`[-93,45],[-92.999,45],[-93,45]`), 1, "error ring-too-short"},
		{"not closed", ring(`[-93,45],[-92.999,45],[-92.999,45.001]`), 1, "note ring-not-closed"},
		{"hole too short", polygon(`{"surface":"turf"}`, square[:len(square)-1]+`,[[-92.9995,45.0005],[-92.9994,45.0005],[-92.9995,45.0005]]]`), 1, "warning ring-too-short"},
		{"a corner at zero", ring(`[-93,45],[-92.999,45],[0,0],[-93,45.001],[-93,45]`), 1, "error corner-at-zero"},
		{"all around zero", ring(`[0,0],[0.001,0],[0.001,0.001],[0,0]`), 1, "warning corner-at-zero"},
		{"past 180", ring(`[179.999,10],[180.001,10],[180.001,10.001],[179.999,10]`), 1, "note longitude-past-180"},
		{"line", collection(turf, feature(`{"surface":"path"}`, `{"type":"LineString","coordinates":[[-93,45],[-92.999,45.001]]}`)), 1, "warning not-an-area"},
		{"point", collection(turf, feature(`{"name":"tap"}`, `{"type":"Point","coordinates":[-93,45]}`)), 1, "warning not-an-area"},
		{"truck as an area", collection(turf, polygon(`{"surface":"truck"}`, inside)), 2, "error truck-not-a-point"},
		{"unknown word", collection(turf, polygon(`{"surface":"zoysia moss"}`, inside)), 2, "error unknown-surface-word"},
		{"unknown tag", collection(turf, polygon(`{"landuse":"quarry"}`, inside)), 2, "error unknown-surface-word"},
		{"says nothing", collection(turf, polygon(`{}`, inside)), 2, "error no-surface"},
		{"no group", collection(polygon(`{"surface":"turf","site":"A"}`, square), polygon(`{"surface":"bed"}`, inside)), 1, "error no-group"},
		{"two trucks", collection(turf, feature(`{"kind":"truck"}`, `{"type":"Point","coordinates":[-93,45]}`), feature(`{"kind":"truck"}`, `{"type":"Point","coordinates":[-93,45]}`)), 1, ""},
		{"geometry twice", strings.Replace(collection(turf), `"geometry":`, `"geometry":null,"geometry":`, 1), 1, "warning member-repeated"},
		{"surface twice", collection(polygon(`{"surface":"bed","surface":"turf"}`, square)), 1, "warning member-repeated"},
		{"features twice", strings.Replace(collection(turf), `"features":`, `"features":[],"features":`, 1), 0, "error member-repeated"},
		{"coordinates twice", strings.Replace(collection(turf), `"coordinates":`, `"coordinates":[],"coordinates":`, 1), 1, "warning member-repeated"},
		{"old crs", strings.Replace(collection(turf), "{", `{"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:OGC:1.3:CRS84"}},`, 1), 1, "note old-crs-member"},
		{"epsg 4326", strings.Replace(collection(turf), "{", `{"crs":{"type":"name","properties":{"name":"EPSG:4326"}},`, 1), 1, "note old-crs-member"},
		{"other crs", strings.Replace(collection(turf), "{", `{"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::27700"}},`, 1), 0, "error other-crs"},
		{"nested too deep", feature(`{"surface":"turf"}`, strings.Repeat(`{"type":"GeometryCollection","geometries":[`, 12)+strings.Repeat("]}", 12)), 1, "error nested-too-deep"},
	} {
		props, codes, list := read(c.text, intake.Options{})
		n := 0
		for _, p := range props {
			n += len(p.Outlines)
		}
		want := strings.Fields(c.want)
		var pairs []string
		for i := 0; i+1 < len(want); i += 2 {
			pairs = append(pairs, want[i]+" "+want[i+1])
		}
		slices.Sort(pairs)
		slices.Sort(codes)
		if !slices.Equal(codes, pairs) || n != c.outlines {
			t.Errorf("%s: got %d outlines and %v, want %d and %v: %v", c.name, n, codes, c.outlines, pairs, list)
		}
		checkProblems(t, c.name, list)
	}
}

// Words such as "type": "residential" are about something else when no feature of the file says a surface: an
// outline that is a property by itself is then its turf, with a warning. With a second outline, a word that is
// understood, a tag or a member "surface", guessing could count a bed as turf.
func TestWordsAboutSomethingElse(t *testing.T) {
	a, b := polygon(`{"kind":"strip","lot":"A"}`, square), polygon(`{"kind":"star","lot":"B"}`, square)
	for _, c := range []struct {
		name, text, want string
		opt              intake.Options
	}{
		{"each a property", collection(a, b), "words-not-surfaces", intake.Options{}},
		{"one outline", collection(polygon(`{"type":"residential"}`, square)), "words-not-surfaces", intake.Options{}},
		{"two in a property", collection(a, b, polygon(`{"kind":"u","lot":"B"}`, inside)), "unknown-surface-word unknown-surface-word unknown-surface-word", intake.Options{}},
		{"one is understood", collection(a, polygon(`{"kind":"turf","lot":"B"}`, square)), "unknown-surface-word", intake.Options{}},
		{"one is silent", collection(a, polygon(`{"lot":"B"}`, square)), "words-not-surfaces", intake.Options{}},
		{"a tag", collection(polygon(`{"landuse":"quarry"}`, square)), "unknown-surface-word", intake.Options{}},
		{"a surface", collection(polygon(`{"surface":"moss"}`, square)), "unknown-surface-word", intake.Options{}},
		{"member named", collection(a, b), "unknown-surface-word unknown-surface-word", intake.Options{SurfaceKey: "kind"}},
		{"word given", collection(a, b), "unknown-surface-word", intake.Options{SurfaceMap: map[string]geo.Surface{"star": geo.Bed}}},
	} {
		props, codes, list := read(c.text, c.opt)
		var got []string
		for _, s := range codes {
			got = append(got, strings.Fields(s)[1])
		}
		if strings.Join(got, " ") != c.want {
			t.Errorf("%s: got %v, want %s", c.name, list, c.want)
		}
		checkProblems(t, c.name, list)
		for _, p := range props {
			if s := p.Outlines[0].Surface; c.want == "words-not-surfaces" && s != geo.Turf {
				t.Errorf("%s: property %s is %q, want turf", c.name, p.ID, s)
			}
		}
	}
}

// A property whose bed could not be read is not measured without its bed.
func TestUnreadableBedRefusesItsProperty(t *testing.T) {
	props, _, _ := read(collection(
		polygon(`{"surface":"turf","site":"A"}`, square), polygon(`{"surface":"bed","site":"A"}`, `[[["x",45]]]`),
		polygon(`{"surface":"turf","site":"B"}`, square), polygon(`{"surface":"wat","site":"C"}`, square),
	), intake.Options{})
	if len(props) != 3 {
		t.Fatalf("got %d properties, want 3", len(props))
	}
	for i, fine := range []bool{false, true, false} {
		if s := geo.Measure(props[i], geo.MeasureOptions{}); s.Problems.HasErrors() == fine {
			t.Errorf("property %s: %v", props[i].ID, s.Problems)
		}
	}
}

func TestSurfaces(t *testing.T) {
	words := map[string]geo.Surface{"Orchard": geo.Bed, "lawn": geo.KeepOff, "landuse=retail": geo.Hardscape}
	for _, c := range []struct {
		members, key string
		words        map[string]geo.Surface
		want         geo.Surface
	}{
		{`{"surface":"turf"}`, "", nil, geo.Turf},
		{`{"kind":"LAWN"}`, "", nil, geo.Turf},
		{`{"role":"Garden Bed"}`, "", nil, geo.Bed},
		{`{"class":"drive_way","use":"driveway"}`, "", nil, geo.Hardscape},
		{`{"type":"garage"}`, "", nil, geo.Building},
		{`{"role":"pond"}`, "", nil, geo.Water},
		{`{"role":"no-spray"}`, "", nil, geo.KeepOff},
		{`{"surface":"grass"}`, "", nil, geo.Turf},
		{`{"surface":null,"role":"bed"}`, "", nil, geo.Bed},
		{`{"surface":"grass","amenity":"parking"}`, "", nil, geo.Hardscape},
		{`{"surface":"asphalt","leisure":"pitch"}`, "", nil, geo.Hardscape},
		{`{"surface":"grass","leisure":"pitch"}`, "", nil, geo.Turf},
		{`{"surface":"sand","golf":"bunker"}`, "", nil, geo.Bed},
		{`{"surface":"turf","building":"yes"}`, "", nil, geo.Turf},
		{`{"surface":"grass","role":"bed"}`, "", nil, geo.Bed},
		{`{"type":"multipolygon","landuse":"grass"}`, "", nil, geo.Turf},
		{`{"building":"no","leisure":"park"}`, "", nil, geo.Turf},
		{`{"building":"yes","landuse":"grass"}`, "", nil, geo.Building},
		{`{"tags":{"natural":"water","water":"lake"}}`, "", nil, geo.Water},
		{`{"tags":{"highway":"footway","surface":"grass"}}`, "", nil, geo.Hardscape},
		{`{"leisure":"golf_course"}`, "", nil, geo.Turf},
		{`{"leisure":"swimming_pool"}`, "", nil, geo.Water},
		{`{"role":"orchard"}`, "", words, geo.Bed},
		{`{"landuse":"orchard"}`, "", words, geo.Bed},
		{`{"role":"lawn"}`, "", words, geo.KeepOff},
		{`{"landuse":"retail"}`, "", words, geo.Hardscape},
		{`{"cover":"turf","surface":"bed"}`, "cover", nil, geo.Turf},
		{`{"surface":"turf","landuse":"grass"}`, "cover", nil, ""},
		{`{"cover":"retail","landuse":"grass"}`, "cover", nil, ""},
	} {
		props, codes, _ := read(collection(polygon(c.members, square)), intake.Options{SurfaceKey: c.key, SurfaceMap: c.words})
		if got := props[0].Outlines[0].Surface; got != c.want {
			t.Errorf("%s: got %q, want %q", c.members, got, c.want)
		}
		if (len(codes) > 0) != (c.want == "") {
			t.Errorf("%s: problems %v", c.members, codes)
		}
	}
}

func TestParseSurfaceMap(t *testing.T) {
	got, err := intake.ParseSurfaceMap(" Path = hardscape, exclusion=Keep-Off,landuse=retail=bed,")
	if err != nil || len(got) != 3 || got["path"] != geo.Hardscape || got["exclusion"] != geo.KeepOff || got["landuse=retail"] != geo.Bed {
		t.Errorf("got %v, %v", got, err)
	}
	for _, bad := range []string{"path", "=bed", "path=", "path=gras", "a=bed,a=turf"} {
		if got, err := intake.ParseSurfaceMap(bad); err == nil {
			t.Errorf("%q gives %v", bad, got)
		}
	}
}

func TestGroups(t *testing.T) {
	text := collection(
		`{"type":"Feature","id":7,"properties":{"lot":12,"surface":"turf","name":"Back"},"geometry":{"type":"Polygon","coordinates":`+square+`}}`,
		`{"type":"Feature","id":"b","properties":{"lot":9,"surface":"turf","property_name":"Elm Row","name":"Front"},"geometry":{"type":"Polygon","coordinates":`+square+`}}`,
		`{"type":"Feature","id":"c","properties":{"lot":12,"surface":"bed","name":"Rose bed"},"geometry":{"type":"Polygon","coordinates":`+inside+`}}`,
		`{"type":"Feature","id":"d","properties":{"lot":12,"kind":"truck"},"geometry":{"type":"Point","coordinates":[-93.0001,45]}}`,
	)
	describe := func(opt intake.Options) string {
		props, codes, _ := read(text, opt)
		var out []string
		for _, p := range props {
			truck := ""
			if len(p.Trucks) > 0 {
				truck = " truck"
			}
			out = append(out, fmt.Sprintf("%s (%s) %d%s", p.ID, p.Name, len(p.Outlines), truck))
		}
		return strings.Join(append(out, codes...), "; ")
	}
	for _, c := range []struct {
		key, want string
	}{
		{"", "12 (Back) 2 truck; 9 (Elm Row) 1"},
		{"id", "7 (Back) 1; b (Elm Row) 1; c (c) 1; d (d) 0 truck"},
		{"surface", "turf (Elm Row) 2; bed (bed) 1; error no-group"},
		{"block", "error no-group; error no-group; error no-group; error no-group; error no-group-key"},
	} {
		got := describe(intake.Options{GroupKey: c.key})
		if c.key == "block" {
			if !strings.Contains(got, "error no-group-key") || strings.Contains(got, "Back") {
				t.Errorf("group key %q: got %s", c.key, got)
			}
		} else if got != c.want {
			t.Errorf("group key %q: got %s, want %s", c.key, got, c.want)
		}
	}
	props, _, _ := read(polygon(`{"surface":"turf"}`, square), intake.Options{})
	if p := props[0]; p.ID != "lots" || p.Name != "lots" || p.Where != "lots/lots.geojson: property lots" {
		t.Errorf("lone property: %+v", p)
	}
}

func TestOutlineFields(t *testing.T) {
	props, _, _ := read(collection(polygon(`{"surface":"turf","name":"front","site":"A"}`,
		`[[[-93.00000001,45],[-92.999,45.0],[-92.999,4.5001e1],[-93.00000001,45]]]`)), intake.Options{})
	o := props[0].Outlines[0]
	if o.Name != "front" || o.Decimals != 8 || o.Where != "lots/lots.geojson: feature 1 (front)" || len(o.Polygon[0][0]) != 4 {
		t.Errorf("got %+v", o)
	}
	if o.Polygon[0][0][2] != (orb.Point{-92.999, 45.001}) {
		t.Errorf("third corner %v", o.Polygon[0][0][2])
	}
}

// Split at the antimeridian (RFC 7946 section 3.1.9), unsplit, and counted past 180: the same ground.
func TestAntimeridian(t *testing.T) {
	at := func(lon float64) string {
		return polygon(`{"surface":"turf"}`, fmt.Sprintf(
			`[[[%[1]v,-17],[%[2]v,-17],[%[2]v,-16.999],[%[1]v,-16.999],[%[1]v,-17]]]`, lon, lon+0.002))
	}
	want := geo.Measure(first(at(100)), geo.MeasureOptions{})
	for name, text := range map[string]string{
		"split": feature(`{"surface":"turf"}`, `{"type":"MultiPolygon","coordinates":[
			[[[179.999,-17],[180,-17],[180,-16.999],[179.999,-16.999],[179.999,-17]]],
			[[[-180,-17],[-179.999,-17],[-179.999,-16.999],[-180,-16.999],[-180,-17]]]]}`),
		"unsplit": polygon(`{"surface":"turf"}`, `[[[179.999,-17],[-179.999,-17],[-179.999,-16.999],[179.999,-16.999],[179.999,-17]]]`),
		"past":    polygon(`{"surface":"turf"}`, `[[[179.999,-17],[180.001,-17],[180.001,-16.999],[179.999,-16.999],[179.999,-17]]]`),
	} {
		s := geo.Measure(first(text), geo.MeasureOptions{})
		if math.Abs(float64(s.NetArea-want.NetArea)) > 0.1 || s.Pieces != 1 || math.Abs(float64(s.Perimeter-want.Perimeter)) > 0.001 {
			t.Errorf("%s: %v in %d pieces, %v round; want %v, %v", name, s.NetArea, s.Pieces, s.Perimeter, want.NetArea, want.Perimeter)
		}
	}
}

func first(text string) *geo.Property {
	props, _, _ := read(text, intake.Options{})
	return props[0]
}

// The order of corners, the start and the winding of a ring change no net area.
func TestReadingLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(3, 12).Draw(t, "corners")
		pts := make([]string, n)
		for i := range pts {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			r := rapid.Float64Range(0.0002, 0.001).Draw(t, "r")
			pts[i] = fmt.Sprintf("[%.7f,%.7f]", -93+r*c, 45+r*s)
		}
		area := func(pts []string) unit.Area {
			text := polygon(`{"surface":"turf"}`, "[["+strings.Join(append(slices.Clone(pts), pts[0]), ",")+"]]")
			return geo.Measure(first(text), geo.MeasureOptions{}).NetArea
		}
		want := area(pts)
		k := rapid.IntRange(0, n-1).Draw(t, "start")
		turned := slices.Concat(pts[k:], pts[:k])
		back := slices.Clone(pts)
		slices.Reverse(back)
		if a, b := area(turned), area(back); math.Abs(float64(a-want))+math.Abs(float64(b-want)) > 1e-6 || want <= 0 {
			t.Fatalf("areas %v, %v, %v", want, a, b)
		}
	})
}

func FuzzRead(f *testing.F) {
	for _, seed := range []string{
		collection(polygon(`{"surface":"turf","site":1}`, square), polygon(`{"kind":"bed","site":1}`, inside)),
		`{"type":"GeometryCollection","geometries":[{"type":"Point","coordinates":[1,2]},{"type":"Polygon","coordinates":[]}]}`,
		`{"type":"Feature","geometry":{"type":"MultiPolygon","coordinates":[[[[0,0],[1e-3,0],[0,1e-3]],[]]]},"properties":{"tags":{"building":"yes"}}}`,
		polygon(`{"role":"turf"}`, `[[[179.999,1],[-179.999,1.002],[-179.999,1],[179.999,1.002],[179.999,1]]]`),
		`{"type":"Polygon","coordinates":[[[-1E-2,4,5],[2e-4,4],[0,4.001]]],"crs":null}`,
		"\ufeff{\"type\":\"FeatureCollection\",\"features\":[null,{}]}",
	} {
		f.Add([]byte(seed))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		props, list := intake.Read("f.geojson", data, intake.Options{})
		if len(props) == 0 && !list.HasErrors() {
			t.Errorf("nothing read and no error: %v", list)
		}
		checkProblems(t, "read", list)
		for _, p := range props {
			s := geo.Measure(p, geo.MeasureOptions{})
			checkProblems(t, "measure", s.Problems)
			if a := float64(s.NetArea); !(a >= 0) || math.IsInf(a, 0) || s.Net == nil || s.Frame == nil {
				t.Errorf("net area %v", a)
			}
			if a := float64(s.PlusMinus); !(a >= 0) || math.IsInf(a, 0) {
				t.Errorf("plus-minus %v", a)
			}
			if !s.Problems.HasErrors() && s.NetArea <= 0 {
				t.Errorf("no error and no area: %v", s.Problems)
			}
		}
	})
}

// A truck is no surface: it is found by its usual members though a key is named for surfaces.
func TestTruckBesideASurfaceKey(t *testing.T) {
	data := `{"type":"FeatureCollection","features":[
		{"type":"Feature","properties":{"role":"turf"},"geometry":{"type":"Polygon","coordinates":[[[-93,45],[-92.999,45],[-92.999,45.001],[-93,45]]]}},
		{"type":"Feature","properties":{"kind":"truck"},"geometry":{"type":"Point","coordinates":[-93.0001,45]}}]}`
	ps, found := intake.Read("lots.geojson", []byte(data), intake.Options{SurfaceKey: "role"})
	if len(ps) != 1 || len(ps[0].Trucks) != 1 || len(found) != 0 {
		t.Errorf("got %d properties and problems %v, want one with its truck and none", len(ps), found)
	}
}

// A property may have several places for the truck, in the order of the file, each once.
func TestSeveralTruckPoints(t *testing.T) {
	truck := func(geometry string) string { return feature(`{"kind":"truck"}`, geometry) }
	ps, found := intake.Read("lots.geojson", []byte(collection(polygon(`{"surface":"turf"}`, square),
		truck(`{"type":"Point","coordinates":[-93,45]}`), truck(`{"type":"Point","coordinates":[-93,45]}`),
		truck(`{"type":"MultiPoint","coordinates":[[-93.001,45],[-93.002,45]]}`))), intake.Options{})
	if len(found) != 0 || len(ps) != 1 || fmt.Sprint(ps[0].Trucks) != "[[-93 45] [-93.001 45] [-93.002 45]]" {
		t.Errorf("got trucks %v and problems %v, want three and none", ps[0].Trucks, found)
	}
}
