package intake_test

import (
	"bytes"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/crs"
	"tankful/geo/geotest"
	"tankful/geo/intake"
	"tankful/geo/intake/raw"
)

// The features of a sequence, one a line (newline-delimited) or behind record separators (RFC 8142, GeoJSON Text
// Sequences, 2017, section 2), are those of a collection. A bad text does not stop the others.
func TestSequences(t *testing.T) {
	a := polygon(`{"surface":"turf","site":"A"}`, square)
	b := polygon(`{"surface":"turf","site":"B"}`, square)
	bed := polygon(`{"surface":"bed","site":"A"}`, inside)
	for _, c := range []struct{ name, text, want string }{
		{"lines", a + "\n" + b + "\n" + bed + "\n", "A 2; B 1"},
		{"no last line end", a + "\n" + b, "A 1; B 1"},
		{"windows lines", a + "\r\n" + b + "\r\n\r\n" + bed, "A 2; B 1"},
		{"byte order mark", "\ufeff" + a + "\n" + b, "A 1; B 1"},
		{"separators", "\x1e" + a + "\n\x1e" + b + "\n\x1e" + bed + "\n", "A 2; B 1"},
		{"separators, texts over several lines", "\x1e" + strings.ReplaceAll(a, ",", ",\n") + "\n\x1e" + b + "\n", "A 1; B 1"},
		{"a collection a line", collection(a, bed) + "\n" + collection(b) + "\n", "A 2; B 1"},
		{"a geometry among them", a + "\n" + `{"type":"Point","coordinates":[-93,45]}` + "\n" + b, "A 1; B 1; note bare-geometry"},
		{"a long first line", strings.Replace(a, `"site"`, `"note":"`+strings.Repeat("x", 9000)+`","site"`, 1) + "\n" + b, "A 1; B 1"},
		{"one bad line", a + "\n{\"type\":\n" + b, "error not-json"},
	} {
		f, list := intake.Open(input(c.text), intake.Options{})
		var got []string
		if f != nil {
			for i := range f.Len() {
				p, more := f.Property(i)
				got, list = append(got, fmt.Sprintf("%s %d", p.ID, len(p.Outlines))), append(list, more...)
			}
		}
		for _, p := range list {
			got = append(got, string(p.Severity)+" "+p.Code)
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%s: got %s, want %s: %v", c.name, s, c.want, list)
		}
		checkProblems(t, c.name, list)
	}
}

func input(text string) raw.Input {
	return raw.Input{Name: "lots/lots.geojson", Data: strings.NewReader(text), Size: int64(len(text))}
}

// Lines with a width are ground, as OpenStreetMap has paths: a bare width there is in metres (OpenStreetMap wiki, Key:width; from memory).
func TestLines(t *testing.T) {
	turf := polygon(`{"surface":"turf"}`, square)
	line := func(members string) string {
		return feature(members, `{"type":"LineString","coordinates":[[-93,45.0005],[-92.999,45.0005]]}`)
	}
	for _, c := range []struct {
		name, members, want string
		opt                 intake.Options
		width               float64
	}{
		{"with a unit", `{"surface":"path","width":"4 ft"}`, "", intake.Options{}, 1.2192},
		{"a tag", `{"highway":"footway","width":"1.5"}`, "", intake.Options{}, 1.5},
		{"a tag with a unit", `{"highway":"footway","width":"2 m"}`, "", intake.Options{}, 2},
		{"a number that is no tag's", `{"surface":"path","width":"4"}`, "error width-not-a-length, warning not-an-area", intake.Options{}, 0},
		{"nonsense", `{"highway":"footway","width":"narrow"}`, "error width-not-a-length, warning not-an-area", intake.Options{}, 0},
		{"none", `{"highway":"footway"}`, "warning not-an-area", intake.Options{}, 0},
		{"the user's", `{"highway":"footway"}`, "", intake.Options{LineWidth: 1}, 1},
		{"its own before the user's", `{"highway":"footway","width":"3"}`, "", intake.Options{LineWidth: 1}, 3},
		{"of nothing known", `{"name":"rope","width":"1 m"}`, "warning not-an-area", intake.Options{LineWidth: 1}, 0},
		{"in a tunnel", `{"highway":"footway","width":"3","tunnel":"yes"}`, "note passed-over", intake.Options{}, 0},
	} {
		props, codes, list := read(collection(turf, line(c.members)), c.opt)
		got := 0.0
		if o := props[0].Outlines; len(o) > 1 {
			got = float64(o[1].Width)
			if s := geo.Measure(props[0], geo.MeasureOptions{}); s.Problems.HasErrors() || len(s.Excluded) != 1 {
				t.Errorf("%s: %v left out: %v", c.name, s.Excluded, s.Problems)
			}
		}
		if s := strings.Join(codes, ", "); s != c.want || got-c.width > 1e-9 || c.width-got > 1e-9 {
			t.Errorf("%s: got a width of %v and %s, want %v and %s: %v", c.name, got, s, c.width, c.want, list)
		}
	}
}

// An OpenStreetMap extract works as it comes: what only says who uses the ground is passed over, and so is, with
// a warning, what is not understood.
func TestExtract(t *testing.T) {
	osm := func(id, tags, geometry string) string {
		return fmt.Sprintf(`{"type":"Feature","id":%q,"properties":%s,"geometry":%s}`, id, tags, geometry)
	}
	area := func(c string) string { return `{"type":"Polygon","coordinates":` + c + `}` }
	props, codes, list := read(collection(
		osm("way/1", `{"leisure":"park","name":"Green"}`, area(square)),
		osm("way/2", `{"landuse":"residential"}`, area(square)),
		osm("way/3", `{"amenity":"school"}`, area(square)),
		osm("way/4", `{"highway":"service","width":"3"}`, `{"type":"LineString","coordinates":[[-93,45.0005],[-92.999,45.0005]]}`),
		osm("way/5", `{"highway":"residential"}`, `{"type":"LineString","coordinates":[[-93,45.0007],[-92.999,45.0007]]}`),
		osm("way/6", `{"landuse":"quarry"}`, area(inside)),
		osm("way/7", `{"building":"yes","layer":"-1"}`, area(inside)),
		osm("way/8", `{"building":"yes"}`, area(inside)),
		osm("relation/9", `{"type":"multipolygon","natural":"water"}`, area(inside)),
		osm("node/10", `{"natural":"tree"}`, `{"type":"Point","coordinates":[-92.9995,45.0005]}`),
	), intake.Options{})
	want := "note passed-over, warning not-an-area, warning not-an-area, warning tags-not-understood"
	slices.Sort(codes)
	if s := strings.Join(codes, ", "); s != want {
		t.Errorf("got %s, want %s: %v", s, want, list)
	}
	s := geo.Measure(props[0], geo.MeasureOptions{})
	if s.Problems.HasErrors() || len(s.Excluded) != 3 || s.Excluded[geo.Water] != 0 || s.Excluded[geo.Building] <= 0 || s.Excluded[geo.Hardscape] <= 0 {
		t.Errorf("left out %v: %v", s.Excluded, s.Problems)
	}
}

// Where nothing but names tells, names are believed, with a warning; an outline whose name says nothing then is refused.
func TestNames(t *testing.T) {
	named := func(name, c string) string { return polygon(fmt.Sprintf(`{"name":%q}`, name), c) }
	for _, c := range []struct{ name, text, surfaces, want string }{
		{"all named", collection(named("Front lawn", square), named("Rose beds", inside), named("HOUSE", inside)), "turf bed building", "warning surfaces-from-names"},
		{"beside another thing", collection(named("Grass strip by pond", square), named("Pool house", inside)), "turf building", "warning surfaces-from-names"},
		{"one says nothing", collection(named("Front lawn", square), named("Aunt May", inside)), "turf ", "warning surfaces-from-names error no-surface"},
		{"none", collection(named("Front", square), named("Back", inside)), "turf turf", "warning all-taken-as-turf"},
		{"a member goes before", collection(polygon(`{"name":"Pond lawn","kind":"turf"}`, square), polygon(`{"name":"Lawn bed","kind":"building"}`, inside)), "turf building", ""},
	} {
		props, codes, list := read(c.text, intake.Options{})
		var surfaces []string
		for _, o := range props[0].Outlines {
			surfaces = append(surfaces, string(o.Surface))
		}
		if got := strings.Join(surfaces, " "); got != c.surfaces {
			t.Errorf("%s: got %q, want %q", c.name, got, c.surfaces)
		}
		if got := strings.Join(codes, " "); got != c.want {
			t.Errorf("%s: got %s, want %s: %v", c.name, got, c.want, list)
		}
	}
}

// Coordinates of a projection, by the crs member or by what the user names.
func TestProjected(t *testing.T) {
	system, err := crs.Parse("EPSG:32615")
	if err != nil {
		t.Fatal(err)
	}
	// A square of 100 m in UTM zone 15 N on its central meridian, where the scale is 0.9996 (EPSG Guidance Note 7-2).
	text := polygon(`{"surface":"turf"}`, `[[[499950.00,4983000.00],[500050.00,4983000.00],[500050.00,4983100.00],[499950.00,4983100.00],[499950.00,4983000.00]]]`)
	member := strings.Replace(text, "{", `{"crs":{"type":"name","properties":{"name":"urn:ogc:def:crs:EPSG::32615"}},`, 1)
	for name, read := range map[string]func() ([]*geo.Property, problem.List){
		"named by the user": func() ([]*geo.Property, problem.List) {
			return intake.ReadInput(input(text), intake.Options{CRS: system})
		},
		"named by the file": func() ([]*geo.Property, problem.List) { return intake.ReadInput(input(member), intake.Options{}) },
		"the user goes first": func() ([]*geo.Property, problem.List) {
			return intake.ReadInput(input(strings.Replace(member, "32615", "32616", 1)), intake.Options{CRS: system})
		},
	} {
		props, list := read()
		if len(props) != 1 || list.HasErrors() {
			t.Fatalf("%s: %v", name, list)
		}
		s := geo.Measure(props[0], geo.MeasureOptions{})
		want := 10_000 / 0.9996 / 0.9996
		if d := float64(s.NetArea)/want - 1; d > 1e-8 || d < -1e-8 || s.Problems.HasErrors() {
			t.Errorf("%s: %.6f m2, want %.6f: %v", name, s.NetArea, want, s.Problems)
		}
		if o := props[0].Outlines[0]; o.Step != 0.01 || o.Decimals != 0 {
			t.Errorf("%s: a step of %v, %d decimals; want 0.01 m and none", name, o.Step, o.Decimals)
		}
	}
	if _, list := intake.ReadInput(input(text), intake.Options{}); !list.HasErrors() || list[0].Code != "projected-coordinates" {
		t.Errorf("not named: %v", list)
	}
}

// endless is a collection of many features that is never in memory as a whole.
type endless struct {
	head, feature, tail string
	n                   int
}

func (e endless) size() int64 {
	return int64(len(e.head)) + int64(e.n)*int64(len(e.feature)) + int64(len(e.tail))
}

func (e endless) ReadAt(p []byte, off int64) (int, error) {
	n := 0
	for n < len(p) {
		at := off + int64(n)
		var part string
		switch body := at - int64(len(e.head)); {
		case body < 0:
			part = e.head[at:]
		case body < int64(e.n)*int64(len(e.feature)):
			i := body / int64(len(e.feature))
			part = strings.Replace(e.feature, "########", fmt.Sprintf("%08d", i), 1)[body%int64(len(e.feature)):]
		case at < e.size():
			part = e.tail[at-e.size()+int64(len(e.tail)):]
		default:
			return n, io.EOF
		}
		n += copy(p[n:], part)
	}
	return n, nil
}

// 100,000 properties, 25 MB, go through in the memory of an index: 32 bytes a feature and what slices waste as they grow.
func TestLargeFileInLittleMemory(t *testing.T) {
	if testing.Short() {
		t.Skip("reads 75 MB")
	}
	for _, says := range []string{`"surface":"turf"`, `"type":"residential"`, `"note":"no surface"`} {
		largeFile(t, polygon(`{`+says+`,"site":"########","memo":"`+strings.Repeat("x", 80)+`"}`, square))
	}
}

func largeFile(t *testing.T, one string) {
	t.Helper()
	e := endless{head: `{"type":"FeatureCollection","features":[` + one, feature: "," + one, tail: "]}", n: geotest.Fewer(100_000)}
	e.head = strings.Replace(e.head, "########", "first", 1)
	var before, after runtime.MemStats
	runtime.GC()
	runtime.GC() // the pools of other tests are emptied by the second one
	runtime.ReadMemStats(&before)
	f, list := intake.Open(raw.Input{Name: "all.geojson", Data: e, Size: e.size()}, intake.Options{})
	if f == nil || list.HasErrors() {
		t.Fatal(list)
	}
	runtime.GC()
	runtime.ReadMemStats(&after)
	each := (float64(after.HeapAlloc) - float64(before.HeapAlloc)) / float64(f.Len())
	t.Logf("%d MB, %d properties: %.0f bytes each are kept", e.size()>>20, f.Len(), each)
	if f.Len() != e.n+1 || each > 100 {
		t.Errorf("%d properties, %.0f bytes each; want %d and at most 100", f.Len(), each, e.n+1)
	}
	for _, i := range []int{0, 1, e.n / 3, e.n} {
		p, list := f.Property(i)
		if want := fmt.Sprintf("%08d", i-1); p == nil || i > 0 && p.ID != want || len(p.Outlines) != 1 {
			t.Errorf("property %d: %+v, want %s: %v", i, p, want, list)
		}
	}
}

// What is made to waste memory or time is refused in good time.
func TestHostile(t *testing.T) {
	for name, text := range map[string]string{
		"100,000 brackets":     strings.Repeat("[", 100_000),
		"100,000 braces":       strings.Repeat(`{"a":`, 100_000),
		"deep coordinates":     polygon(`{"surface":"turf"}`, strings.Repeat("[", 9_000)+strings.Repeat("]", 9_000)),
		"deep in a line":       polygon(`{}`, square) + "\n" + strings.Repeat("[", 100_000) + "\n",
		"100,000 members":      polygon("{"+strings.TrimSuffix(strings.Repeat(`"a":1,`, 100_000), ",")+"}", square),
		"100,000 other ones":   polygon("{"+manyMembers(100_000)+"}", square),
		"corners at one place": polygon(`{"surface":"turf"}`, "[["+strings.Repeat("[-93,45],", 100_000)+"[-93,45]]]"),
		"huge numbers":         polygon(`{"surface":"turf"}`, "[[[1e308,-1e308],[-1e308,1e308],[1e308,1e308]]]"),
		"a number of a mile":   polygon(`{"surface":"turf"}`, "[[["+strings.Repeat("9", 100_000)+",1],[2,2],[3,1]]]"),
	} {
		props, list := intake.Read("x.geojson", []byte(text), intake.Options{})
		for _, p := range props {
			list = append(list, geo.Measure(p, geo.MeasureOptions{}).Problems...)
		}
		if len(list) == 0 {
			t.Errorf("%s: nothing is told", name)
		}
		checkProblems(t, name, list[:min(len(list), 100)])
	}
}

func manyMembers(n int) string {
	var b bytes.Buffer
	for i := range n {
		fmt.Fprintf(&b, `"m%d":1,`, i)
	}
	return strings.TrimSuffix(b.String(), ",")
}

// Degrees in a file whose coordinates the user calls metres are refused, not put at the edge of the zone.
func TestDegreesCalledMetres(t *testing.T) {
	for _, name := range []string{"UTM 15N", "EPSG:26971", "EPSG:3857"} {
		system, err := crs.Parse(name)
		if err != nil {
			t.Fatal(err)
		}
		_, list := intake.ReadInput(input(polygon(`{"surface":"turf"}`, square)), intake.Options{CRS: system})
		if !list.HasErrors() {
			t.Errorf("%s: %v", name, list)
		}
	}
}
