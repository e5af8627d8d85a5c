package kml

import (
	"archive/zip"
	"bytes"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

func input(text string) raw.Input {
	return raw.Input{Name: "lots.kml", Data: strings.NewReader(text), Size: int64(len(text))}
}

func features(t testing.TB, in raw.Input) ([]*raw.Feature, problem.List) {
	t.Helper()
	src, ps := Open(in)
	if src == nil {
		if !ps.HasErrors() {
			t.Fatalf("no source and no error: %v", ps)
		}
		return nil, ps
	}
	var out []*raw.Feature
	ps = src.Scan(func(h int64, f *raw.Feature) bool { out = append(out, src.Load(h)); return true })
	return out, ps
}

func codes(ps problem.List) string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return strings.Join(out, " ")
}

// file is a KML file with one placemark of this content.
func file(inner string) string {
	return `<kml xmlns="http://www.opengis.net/kml/2.2"><Placemark>` + inner + `</Placemark></kml>`
}

func one(t *testing.T, inner string) *raw.Feature {
	t.Helper()
	got, ps := features(t, input(file(inner)))
	if len(got) != 1 || len(ps) > 0 {
		t.Fatalf("%s: got %d features, %v", inner, len(got), ps)
	}
	return got[0]
}

// The Polygon example of OGC KML (OGC 07-147r2, 2008, and 12-007r2, 2015, Polygon; a building with a courtyard), its name left out; read from public copies.
const building = `<Polygon><extrude>1</extrude><altitudeMode>relativeToGround</altitudeMode>
 <outerBoundaryIs><LinearRing><coordinates>
  -77.05788457660967,38.87253259892824,100
  -77.05465973756702,38.87291016281703,100
  -77.05315536854791,38.87053267794386,100
  -77.05552622493516,38.868757801256,100
  -77.05844056290393,38.86996206506943,100
  -77.05788457660967,38.87253259892824,100
 </coordinates></LinearRing></outerBoundaryIs>
 <innerBoundaryIs><LinearRing><coordinates>
  -77.05668055019126,38.87154239798456,100
  -77.05542625960818,38.87167890344077,100
  -77.05485125901024,38.87076535397792,100
  -77.05577677433152,38.87008686581446,100
  -77.05691162017543,38.87054446963351,100
  -77.05668055019126,38.87154239798456,100
 </coordinates></LinearRing></innerBoundaryIs></Polygon>`

func TestPolygonOfTheStandard(t *testing.T) {
	f := one(t, building)
	if len(f.Areas) != 1 || len(f.Areas[0]) != 2 || len(f.Areas[0][0]) != 6 || len(f.Areas[0][1]) != 6 || f.Decimals != 14 || f.Broken || !f.Ground {
		t.Fatalf("got %+v", f)
	}
	if p := f.Areas[0][0][3]; p != (orb.Point{-77.05552622493516, 38.868757801256}) {
		t.Errorf("got %v", p)
	}
	// 100 m above the ground is no height above the sea.
	if f.Heights.Count != 0 {
		t.Errorf("heights %+v", f.Heights)
	}
	// Each side of the outer ring is 281 m by the building's usual description (921 ft, from memory); a drawn outline is near it.
	if _, l := geodesic.Area(f.Areas[0][0]); math.Abs(l.In(unit.Metre)/5-281) > 10 {
		t.Errorf("a side is %.1f m", l.In(unit.Metre)/5)
	}
}

// The gx:Track example of OGC KML 2.3 (OGC 12-007r2, 2015, Track), in both spellings; read from public copies.
func TestTrackOfTheStandard(t *testing.T) {
	const inner = `<when>2010-05-28T02:02:09Z</when><when>2010-05-28T02:02:35Z</when><when>2010-05-28T02:02:44Z</when>
<P:coord>-122.207881 37.371915 156.000000</P:coord><P:coord>-122.205712 37.373288 152.000000</P:coord><P:coord/><P:coord>-122.204678 37.373939 147.000000</P:coord>`
	for _, track := range []string{
		`<gx:Track xmlns:gx="g">` + strings.ReplaceAll(inner, "P:", "gx:") + `</gx:Track>`,
		`<gx:Track>` + strings.ReplaceAll(inner, "P:", "gx:") + `</gx:Track>`, // the prefix is not declared
		`<Track>` + strings.ReplaceAll(inner, "P:", "") + `</Track>`,
		`<MultiTrack><altitudeMode>absolute</altitudeMode><interpolate>0</interpolate><Track>` + strings.ReplaceAll(inner, "P:", "") + `</Track></MultiTrack>`,
	} {
		f := one(t, track)
		if len(f.Lines) != 1 || len(f.Lines[0]) != 3 || f.Lines[0][1] != (orb.Point{-122.205712, 37.373288}) || f.Heights != (raw.Heights{Sum: 455, Count: 3}) || f.Ground {
			t.Errorf("got %+v", f)
		}
	}
}

// The Data and SchemaData examples of OGC KML (OGC 12-007r2, 2015, ExtendedData), shortened; Data read from a public copy of the vendor's
// reference to KML, SchemaData from memory.
func TestMembers(t *testing.T) {
	f := one(t, `<name>Club house</name><visibility>0</visibility><styleUrl>#a</styleUrl><description><![CDATA[a <b>b</b>]]></description>
<ExtendedData xmlns:p="urn:p"><Data name="holeNumber"><displayName>h</displayName><value>1</value></Data>
<SchemaData schemaUrl="#T"><SimpleData name="TrailHeadName">Pi in the sky</SimpleData><SimpleData name="ElevationGain">10</SimpleData></SchemaData>
<p:surface>bed</p:surface></ExtendedData><Point><coordinates>-111.956,33.5043</coordinates></Point>`)
	want := raw.Members{{Key: "name", Value: "Club house"}, {Key: "description", Value: "a <b>b</b>"}, {Key: "holeNumber", Value: "1"},
		{Key: "TrailHeadName", Value: "Pi in the sky"}, {Key: "ElevationGain", Value: "10"}, {Key: "surface", Value: "bed"}}
	if !slices.Equal(f.Members, want) || f.Where != "lots.kml: placemark 1 (Club house)" || len(f.Points) != 1 || f.Decimals != 4 {
		t.Errorf("got %+v", f)
	}
}

func TestFolders(t *testing.T) {
	const p = `<Placemark id="i"><Point><coordinates>1,2</coordinates></Point></Placemark>`
	got, ps := features(t, input(`<?xml version="1.0"?><kml xmlns="http://example.com/kml/2.1"><Document><name>the file</name>`+p+
		`<Folder><name>Lot 7</name>`+p+`<Folder>`+p+`<name>Beds/rear</name></Folder><Document><name>inner</name>`+p+`</Document><Folder>`+p+`</Folder></Folder>
<NetworkLink><name>x</name><Link><href>http://a.invalid/b.kml</href></Link></NetworkLink><GroundOverlay/><NetworkLink/></Document></kml>`))
	var paths []string
	for _, f := range got {
		paths = append(paths, f.Members.Text("folder"))
	}
	if want := []string{"", "Lot 7", "Lot 7/Beds/rear", "Lot 7/inner", "Lot 7"}; !slices.Equal(paths, want) {
		t.Errorf("got %q, want %q", paths, want)
	}
	if m := got[2].Members; m.Text("folder-1") != "Lot 7" || m.Text("folder-2") != "Beds/rear" || got[2].ID != "i" || got[2].Where != "lots.kml: placemark 3" {
		t.Errorf("got %+v", got[2])
	}
	if codes(ps) != "not-read" || !strings.Contains(ps[0].What, "GroundOverlay: 1, NetworkLink: 2") {
		t.Errorf("got %v", ps)
	}
}

func TestOldAndBare(t *testing.T) {
	const shape = `<Polygon><outerBoundaryIs><LinearRing><coordinates>0,0 1,0 1,1</coordinates></LinearRing></outerBoundaryIs></Polygon>`
	for name, text := range map[string]string{
		"no namespace":       `<kml><Placemark><name>a</name>` + shape + `</Placemark></kml>`,
		"version 2.0 schema": `<kml xmlns="http://example.com/kml/2.0"><Document><Schema parent="Placemark" name="LOTS"><SimpleField type="string" name="name"/></Schema><LOTS><name>a</name>` + shape + `</LOTS></Document></kml>`,
		"a fragment":         "\xef\xbb\xbf<Document><Placemark><name>a</name>" + shape + `</Placemark></Document>`,
		"prefixed":           `<k:kml xmlns:k="http://www.opengis.net/kml/2.3"><k:Placemark><k:name>a</k:name>` + strings.NewReplacer("</", "</k:", "<", "<k:").Replace(shape) + `</k:Placemark></k:kml>`,
	} {
		got, ps := features(t, input(text))
		if len(got) != 1 || len(ps) > 0 || len(got[0].Areas) != 1 || len(got[0].Areas[0][0]) != 3 || got[0].Members.Text("name") != "a" {
			t.Errorf("%s: got %v, %v", name, got, ps)
		}
	}
}

func TestCoordinates(t *testing.T) {
	p := []orb.Point{{1, 2}, {3.5, 4}}
	for _, c := range []struct {
		in    string
		want  []orb.Point
		codes string
	}{
		{"1,2 3.5,4", p, ""}, {"\r\n\t1,2,9\u00a03.5,4,9 ", p, ""}, {"1,2,9 3.5,4", p, ""},
		{"1, 2 3.5, 4", p, "blanks-in-coordinates"}, {"1, 2, 9 3.5, 4, 9", p, "blanks-in-coordinates"},
		{"1 ,2 3.5 ,4", p, "blanks-in-coordinates"}, {"1 , 2 3.5 , 4", p, "blanks-in-coordinates"},
		{"1,2, 3.5,4,", p, "blanks-in-coordinates"}, {"1,2,9, 3.5,4,9", p, "blanks-in-coordinates"}, {"1,2, 9 3.5,4,9", p, "blanks-in-coordinates"},
		{"1,2,nan 3.5,4,", p, "blanks-in-coordinates"},
		{"1,2,3.5,4", nil, "wrong-nesting"},                              // 2 by 2 or 3 and 1?
		{"1, 2, 3.5, 4", nil, "wrong-nesting blanks-in-coordinates"},     // the same with blanks
		{"1, 2, 3, 4, 5, 6", nil, "wrong-nesting blanks-in-coordinates"}, // 2 by 3 or 3 by 2?
		{"1 2 3.5 4", nil, "coordinate-missing"}, {"1,2 3.5", nil, "coordinate-missing"}, {"1;2", nil, "coordinate-missing"},
		{"1,x 3.5,4", nil, "coordinate-not-a-number"}, {"1,2,high 3.5,4", nil, "coordinate-not-a-number"}, {"1,1e999", nil, "coordinate-out-of-range"},
	} {
		f := one(t, `<LineString><coordinates>`+c.in+`</coordinates></LineString>`)
		var got []orb.Point
		if len(f.Lines) == 1 {
			got = f.Lines[0]
		}
		if !slices.Equal(got, c.want) || codes(f.Problems) != c.codes || f.Broken {
			t.Errorf("%q: got %v, %v; want %v, %s", c.in, got, f.Problems, c.want, c.codes)
		}
	}
}

func TestShapes(t *testing.T) {
	const ring = `<LinearRing><coordinates>0,0 1,0 1,1 0,0</coordinates></LinearRing>`
	outer, inner := "<outerBoundaryIs>"+ring+"</outerBoundaryIs>", "<innerBoundaryIs>"+ring+"</innerBoundaryIs>"
	for _, c := range []struct {
		name, inner          string
		areas, lines, points int
		codes                string
		broken               bool
	}{
		{"ring alone", ring, 1, 0, 0, "", false},
		{"closed line", `<LineString><coordinates>0,0 1,0 1,1 0,0</coordinates></LineString>`, 0, 1, 0, "", false},
		{"mixed", `<MultiGeometry><Polygon>` + outer + `</Polygon><MultiGeometry>` + ring + `<Point><coordinates>1,2</coordinates></Point></MultiGeometry></MultiGeometry>`, 2, 0, 1, "", false},
		{"inner first", `<Polygon>` + inner + outer + `</Polygon>`, 1, 0, 0, "", false},
		{"outer empty", `<Polygon><outerBoundaryIs><LinearRing><coordinates> </coordinates></LinearRing></outerBoundaryIs>` + inner + `</Polygon>`, 0, 0, 0, "wrong-nesting", true},
		{"boundary left out", `<Polygon>` + ring + `</Polygon>`, 0, 0, 0, "wrong-nesting", true},
		{"ring left out", `<Polygon><outerBoundaryIs><coordinates>0,0 1,0 1,1 0,0</coordinates></outerBoundaryIs></Polygon>`, 0, 0, 0, "wrong-nesting", true},
		{"a shape in somebody's element", `<own><Polygon>` + outer + `</Polygon></own>`, 0, 0, 0, "wrong-nesting", true},
		{"the same in a MultiGeometry", `<MultiGeometry>` + ring + `<own>` + ring + `</own></MultiGeometry>`, 0, 0, 0, "wrong-nesting", true},
		{"coordinates in pieces", `<LinearRing><coordinates>0,0 1,0</coordinates><coordinates>1,1 0,0</coordinates></LinearRing>`, 1, 0, 0, "", false},
		{"no outer", `<Polygon>` + inner + `</Polygon>`, 0, 0, 0, "wrong-nesting", true},
		{"two outers", `<Polygon>` + outer + outer + `</Polygon>`, 0, 0, 0, "wrong-nesting", true},
		{"empty polygon", `<Polygon><outerBoundaryIs><LinearRing><coordinates/></LinearRing></outerBoundaryIs></Polygon>`, 0, 0, 0, "no-geometry", false},
		{"nothing", `<name>a</name>`, 0, 0, 0, "no-geometry", false},
		{"a bad corner", `<Polygon>` + strings.Replace(outer, "1,1", "1,one", 1) + `</Polygon>`, 0, 0, 0, "coordinate-not-a-number", true},
		{"a bad hole", `<Polygon>` + outer + strings.Replace(inner, "1,1", "1", 1) + `</Polygon>`, 0, 0, 0, "coordinate-missing", true},
		{"a bad polygon beside a good one", `<MultiGeometry>` + ring + strings.Replace(ring, "1,1", "1", 1) + `</MultiGeometry>`, 0, 0, 0, "coordinate-missing", true},
		{"deep", strings.Repeat("<MultiGeometry>", 9) + ring + strings.Repeat("</MultiGeometry>", 9), 0, 0, 0, "wrong-nesting", true},
	} {
		f := one(t, c.inner)
		if len(f.Areas) != c.areas || len(f.Lines) != c.lines || len(f.Points) != c.points || codes(f.Problems) != c.codes || f.Broken != c.broken {
			t.Errorf("%s: got %+v", c.name, f)
		}
	}
}

func TestHeights(t *testing.T) {
	for _, c := range []struct {
		mode, z string
		want    raw.Heights
	}{
		{"", "0", raw.Heights{}}, {"", "200", raw.Heights{Sum: 200, Count: 1}}, {"absolute", "0", raw.Heights{Count: 1}},
		{"clampToGround", "200", raw.Heights{Sum: 200, Count: 1}}, {"relativeToGround", "2", raw.Heights{}},
	} {
		f := one(t, `<Point><coordinates>1,2,`+c.z+`</coordinates><altitudeMode>`+c.mode+`</altitudeMode></Point>`)
		if f.Heights != c.want {
			t.Errorf("%q %s: got %+v, want %+v", c.mode, c.z, f.Heights, c.want)
		}
	}
}

// A hole without coordinates stays, for intake to warn of.
func TestEmptyHole(t *testing.T) {
	f := one(t, strings.Replace(building, "</Polygon>", "<innerBoundaryIs><LinearRing><coordinates/></LinearRing></innerBoundaryIs></Polygon>", 1))
	if len(f.Areas) != 1 || len(f.Areas[0]) != 3 || len(f.Areas[0][2]) != 0 || f.Broken {
		t.Errorf("got %+v", f)
	}
}

// Placemarks count wherever they stand, but not in what only says how things look or change.
func TestPlacemarksAnywhere(t *testing.T) {
	const p = `<Placemark><name>%</name><Point><coordinates>1,2</coordinates></Point></Placemark>`
	in := func(name string) string { return strings.Replace(p, "%", name, 1) }
	got, ps := features(t, input(`<kml><Document><own><name>x</name><Folder><name>Lot 7</name>`+in("a")+`<own>`+in("b")+`</own></Folder></own>`+
		`<Placemark><name>c</name>`+in("d")+`</Placemark><Style>`+in("e")+`</Style></Document><Tour>`+in("f")+`</Tour></kml>`))
	var names, wheres []string
	for _, f := range got {
		names = append(names, f.Members.Text("folder")+"/"+f.Members.Text("name"))
		wheres = append(wheres, strings.TrimPrefix(f.Where, "lots.kml: placemark "))
	}
	if want := []string{"Lot 7/a", "Lot 7/b", "/d", "/c"}; !slices.Equal(names, want) {
		t.Errorf("got %q, want %q", names, want)
	}
	if want := []string{"1 (a)", "2 (b)", "4 (d)", "3 (c)"}; !slices.Equal(wheres, want) || codes(ps) != "not-read" {
		t.Errorf("got %q, %v, want %q", wheres, ps, want)
	}
}

func TestModelsAreCounted(t *testing.T) {
	got, ps := features(t, input(file(`<Model><Location><longitude>1</longitude></Location></Model>`)))
	if len(got) != 1 || len(got[0].Problems) > 0 || codes(ps) != "not-read" || !strings.Contains(ps[0].What, "Model: 1") {
		t.Errorf("got %v, %v", got, ps)
	}
}

func TestTooManyCorners(t *testing.T) {
	for _, c := range []struct {
		bound int
		codes string
	}{{12, ""}, {11, "file-too-large"}} { // the building has 2 rings of 6
		if _, ps := read(input(file(building)), c.bound); codes(ps) != c.codes {
			t.Errorf("%d: got %v", c.bound, ps)
		}
	}
	stray := file(`<LinearRing><coordinates>` + strings.Repeat("1, 2 ", maxStray/5+2) + `</coordinates></LinearRing>`)
	if got, _ := features(t, input(stray)); len(got) != 1 || codes(got[0].Problems) != "wrong-nesting" || !got[0].Broken {
		t.Errorf("blanks: got %v", got)
	}
}

// An archive whose list says that its text is small.
func TestLyingArchive(t *testing.T) {
	b := []byte(archive(t, entry{"doc.kml", "<kml>" + strings.Repeat(" ", 4<<20) + "</kml>"}))
	list := bytes.LastIndex(b, []byte("PK\x01\x02"))
	// The size before packing stands 24 bytes into an entry of the list (PKWARE, .ZIP File Format Specification, section 4.3.12).
	copy(b[list+24:], []byte{0, 1, 0, 0})
	if src, ps := Open(input(string(b))); src != nil || codes(ps) != "not-xml" {
		t.Errorf("got %v", ps)
	}
}

func TestTooManyFeatures(t *testing.T) {
	if testing.Short() {
		t.Skip("reads half a million placemarks")
	}
	if src, ps := Open(input("<kml>" + strings.Repeat("<Placemark/>", MaxFeatures+1) + "</kml>")); src != nil || codes(ps) != "too-many-features" {
		t.Errorf("got %v", ps)
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, text, code string }{
		{"GPX", "<gpx/>", "not-kml"}, {"empty", "", "not-kml"}, {"blank", " \n", "not-kml"}, {"cut short", "<kml><Placemark>", "not-xml"},
		{"bomb", `<!DOCTYPE kml [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><kml><Placemark><name>&b;</name></Placemark></kml>`, "not-xml"},
		{"deep", "<kml>" + strings.Repeat("<Folder>", markup.MaxDepth), "nested-too-deep"},
		{"broken archive", "PK\x03\x04 and no more", "not-kmz"},
	} {
		if src, ps := Open(input(c.text)); src != nil || codes(ps) != c.code {
			t.Errorf("%s: got %v, want %s", c.name, ps, c.code)
		}
	}
}

// entry is a file of an archive.
type entry struct{ name, text string }

func archive(t testing.TB, entries ...entry) string {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, e := range entries {
		w, err := z.Create(e.name)
		if err == nil {
			_, err = w.Write([]byte(e.text))
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestArchive(t *testing.T) {
	good, other := file(building), file(`<name>other</name>`)
	for _, c := range []struct {
		name, text, codes string
		areas             int
	}{
		{"one", archive(t, entry{"files/a.png", "x"}, entry{"doc.kml", good}), "", 1},
		{"doc.kml comes first", archive(t, entry{"a.kml", other}, entry{"doc.kml", good}), "not-read", 1},
		{"the first", archive(t, entry{"x/Lots.KML", good}, entry{"b.kml", other}), "not-read", 1},
		{"a computer's leavings", archive(t, entry{"__MACOSX/a.kml", "?"}, entry{"a.kml", good}), "", 1},
		{"none", archive(t, entry{"a.txt", good}), "not-kmz", 0},
		{"nothing", archive(t), "not-kmz", 0},
		{"bomb", archive(t, entry{"doc.kml", "<kml>" + strings.Repeat(" ", 4<<20) + "</kml>"}), "archive-bomb", 0},
		{"damaged", strings.Replace(archive(t, entry{"doc.kml", good}), "doc.kml", "doc.kmx", 1), "", 1}, // names count where the list is
	} {
		got, ps := features(t, input(c.text))
		if codes(ps) != c.codes || c.areas > 0 && (len(got) != 1 || len(got[0].Areas) != c.areas) {
			t.Errorf("%s: got %v, %v", c.name, got, ps)
		}
	}
	broken := []byte(archive(t, entry{"doc.kml", good}))
	broken[60] ^= 0xff
	if src, ps := Open(input(string(broken))); src != nil || !ps.HasErrors() {
		t.Errorf("a damaged archive: got %v", ps)
	}
	big := input(archive(t))
	big.Size = maxArchive + 1
	if src, ps := Open(big); src != nil || codes(ps) != "file-too-large" {
		t.Errorf("a large archive: got %v", ps)
	}
}

func FuzzOpen(f *testing.F) {
	for _, s := range []string{
		file(building), file(`<Track><coord>1 2 3</coord><coord>x</coord></Track>`),
		`<kml><Document><Folder><name>a</name><Placemark><MultiGeometry><LinearRing><coordinates>1, 2 3 ,4 5,6,</coordinates></LinearRing></MultiGeometry></Placemark></Folder><NetworkLink/></Document></kml>`,
		`<kml><Schema parent="Placemark" name="L"/><L><ExtendedData><Data name="k"><value>v</value></Data><SchemaData><SimpleData name="k">w</SimpleData></SchemaData></ExtendedData></L></kml>`,
		`<kml><own><Placemark><own><coordinates>1,2</coordinates></own><Placemark><MultiGeometry><Model/><own/></MultiGeometry></Placemark></Placemark></own></kml>`,
		archive(f, entry{"doc.kml", file(building)}),
	} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		src, ps := Open(raw.Input{Name: "f", Data: bytes.NewReader(data), Size: int64(len(data))})
		if src == nil {
			if !ps.HasErrors() {
				t.Fatal("refused without an error")
			}
			return
		}
		src.Scan(func(h int64, f *raw.Feature) bool {
			if f.Broken && (len(f.Areas) > 0 || !f.Problems.HasErrors()) {
				t.Fatalf("broken with %d areas: %v", len(f.Areas), f.Problems)
			}
			if f.Ground && f.Problems.HasErrors() && !f.Broken {
				t.Fatalf("ground that can not be read is not broken: %v", f.Problems)
			}
			for _, p := range f.Points {
				finite(t, p)
			}
			for _, l := range f.Lines {
				for _, p := range l {
					finite(t, p)
				}
			}
			for _, a := range f.Areas {
				for _, r := range a {
					for _, p := range r {
						finite(t, p)
					}
				}
			}
			return true
		})
	})
}

func finite(t *testing.T, p orb.Point) {
	for _, x := range p {
		if math.IsNaN(x) || math.IsInf(x, 0) {
			t.Fatalf("a position %v", p)
		}
	}
}
