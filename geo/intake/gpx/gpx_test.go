package gpx

import (
	"bytes"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/crs"
	"tankful/geo/geodesic"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

func input(text string) raw.Input {
	return raw.Input{Name: "walk.gpx", Data: strings.NewReader(text), Size: int64(len(text))}
}

// read opens a file and gives its features.
func read(t testing.TB, in raw.Input) ([]*raw.Feature, problem.List) {
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

// file is a GPX 1.1 file with these tracks, routes and waypoints.
func file(inner string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><gpx version="1.1" creator="t" xmlns="http://www.topografix.com/GPX/1/1">` + inner + `</gpx>`
}

// seg is a segment through corners in metres east and north of a place in the open ocean, at 0 N 30 W, where 1 m is
// 1/111319.4908 degrees of longitude (equatorial radius 6378137 m) and 1/110574.2758 of latitude (WGS 84, from memory).
func seg(xy ...float64) string {
	var b strings.Builder
	b.WriteString("<trkseg>")
	for i := 0; i < len(xy); i += 2 {
		fmt.Fprintf(&b, `<trkpt lat="%.8f" lon="%.8f"></trkpt>`, xy[i+1]/110574.2758, -30+xy[i]/111319.4908)
	}
	return b.String() + "</trkseg>"
}

func codes(ps problem.List) string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return strings.Join(out, " ")
}

func squareMetres(mp orb.MultiPolygon) float64 {
	a, _ := geodesic.MultiPolygon(mp)
	return a.In(unit.SquareMetre)
}

func TestTracks(t *testing.T) {
	box := seg(0, 0, 40, 0, 40, 30, 0, 30, 0, 1) // 40 m by 30 m
	for _, c := range []struct {
		name, inner string
		area        float64 // m2, by hand; 0 for none
		polygons    int
		codes       string
		broken      bool
	}{
		{"a box", box, 1200, 1, "", false},
		{"a box with a pause", seg(0, 0, 40, 0, 40, 15) + seg(40, 15, 40, 30, 0, 30, 0, 1), 1200, 1, "", false},
		{"pauses and an empty segment", seg(0, 0, 40, 0) + seg() + seg(40, 0.5, 40, 30) + seg(0, 30, 0, 1), 1200, 1, "walk-interrupted", false},
		{"not closed", seg(0, 0, 40, 0, 40, 30), 600, 1, "walk-not-closed", false},
		{"not closed by 15 %", seg(0, 0, 40, 0, 40, 30, 0, 30, 0, 17), 1200, 1, "", false},
		{"not closed by more", seg(0, 0, 40, 0, 40, 30, 0, 30, 0, 21), 1200, 1, "walk-not-closed", false},
		{"two loops", box + seg(100, 0, 120, 0, 120, 10, 100, 10, 100, 1), 1400, 2, "loops-apart", false},
		{"a loop inside", box + seg(10, 10, 20, 10, 20, 20, 10, 20, 10, 11), 1100, 1, "loops-apart loop-inside", false},
		{"walked twice", box + box, 2400, 2, "loops-apart loop-again", false},
		{"a loop that crosses", box + seg(30, 10, 50, 10, 50, 20, 30, 20, 30, 11), 1400, 2, "loops-apart", false},
		{"a walk and a loop", seg(0, 0, 40, 0, 40, 15) + seg(100, 0, 120, 0, 120, 10, 100, 10, 100, 1) + seg(40, 16, 40, 30, 0, 30, 0, 1), 1400, 2, "loops-apart", false},
		{"a pause while standing", seg(0, 0, 40, 0) + seg(40, 0, 41, 1, 40, 2, 39, 1, 40, 0.5) + seg(40, 3, 40, 30, 0, 30, 0, 1), 1200, 1, "", false},
		{"a stray fix beside a loop", box + seg(100, 0) + box, 2400, 2, "loops-apart walk-too-short loop-again", false},
		{"too short", seg(0, 0, 0, 0, 40, 0, 40, 0), 0, 0, "walk-too-short", true},
		{"empty", "", 0, 0, "walk-too-short", true},
		{"no number", `<trkseg><trkpt lat="1" lon="x"/><trkpt lat="1,5" lon="1"/></trkseg>`, 0, 0, "coordinate-not-a-number", true},
		{"no latitude", `<trkseg><trkpt lon="1"/></trkseg>`, 0, 0, "coordinate-missing", true},
	} {
		got, ps := read(t, input(file("<trk><name>lawn</name>"+c.inner+"</trk>")))
		if len(got) != 1 || len(ps) > 0 {
			t.Errorf("%s: %d features, %v", c.name, len(got), ps)
			continue
		}
		f := got[0]
		if codes(f.Problems) != c.codes || f.Broken != c.broken || f.Broken != f.Problems.HasErrors() || len(f.Areas) != c.polygons {
			t.Errorf("%s: got %d polygons, broken %v, %v; want %s", c.name, len(f.Areas), f.Broken, f.Problems, c.codes)
		}
		// The pause while standing adds 2 m2 of its own; corners are rounded to 1 mm.
		if a := squareMetres(f.Areas); math.Abs(a-c.area) > 0.1 && !(c.name == "a pause while standing" && math.Abs(a-c.area) < 3) {
			t.Errorf("%s: got %.2f m2, want %g", c.name, a, c.area)
		}
		if !f.Ground || !f.Walked || f.Where != "walk.gpx: track 1 (lawn)" {
			t.Errorf("%s: ground %v, walked %v, %s", c.name, f.Ground, f.Walked, f.Where)
		}
	}
}

func TestWarningHasBothUnits(t *testing.T) {
	got, _ := read(t, input(file("<trk>"+seg(0, 0, 40, 0, 40, 30)+"</trk>")))
	// By hand: sides of 40 m and 30 m walked, 50 m = 164 ft left.
	if want := "the walk ends 164 ft (50.0 m) from where it started, after 230 ft (70.0 m)"; !strings.Contains(got[0].Problems[0].What, want) {
		t.Errorf("got %q, want %q", got[0].Problems[0].What, want)
	}
}

func TestMembers(t *testing.T) {
	got, ps := read(t, input(file(`<metadata><name>x</name></metadata>
<wpt lat="44.5" lon="-93.25"><ele>300</ele><name>truck</name><sym>Car</sym></wpt>
<rte><name>back bed</name><rtept lat="1" lon="1"/><rtept lat="1" lon="1.0001"/><rtept lat="1.0001" lon="1"/></rte>
<trk><name> front
 </name><cmt>c</cmt><desc>d &amp; e</desc><type>lawn</type><src>gps</src><number>4</number>
<extensions><surface>turf</surface><x:style xmlns:x="y"><x:line><x:color>red</x:color></x:line><property>P-01</property></x:style><surface>bed</surface></extensions>
<trkseg><trkpt lat="1.00" lon="2.0"><ele>10</ele></trkpt><trkpt lat="1.000001" lon="2"><ele>20</ele><extensions><surface>water</surface></extensions></trkpt><trkpt lat="1.000001" lon="2"><ele>90</ele></trkpt><trkpt lat="1" lon="2.00001"><ele>none</ele></trkpt></trkseg></trk>`)))
	if len(got) != 3 || len(ps) > 0 {
		t.Fatalf("got %d features, %v", len(got), ps)
	}
	w, r, k := got[0], got[1], got[2]
	if len(w.Points) != 1 || w.Points[0] != (orb.Point{-93.25, 44.5}) || w.Members.Text("sym") != "Car" || w.Heights != (raw.Heights{Sum: 300, Count: 1}) ||
		w.Where != "walk.gpx: waypoint 1 (truck)" || w.Ground || w.Decimals != 2 {
		t.Errorf("waypoint: %+v", w)
	}
	if r.Where != "walk.gpx: route 1 (back bed)" || len(r.Areas) != 1 || len(r.Areas[0][0]) != 3 {
		t.Errorf("route: %+v", r)
	}
	for key, want := range map[string]string{"name": "front", "cmt": "c", "desc": "d & e", "type": "lawn", "surface": "turf", "color": "red",
		"property": "P-01", "src": "", "number": "", "style": ""} {
		if s := k.Members.Text(key); s != want {
			t.Errorf("member %s: got %q, want %q", key, s, want)
		}
	}
	if k.Heights != (raw.Heights{Sum: 30, Count: 2}) || k.Decimals != 6 || !strings.Contains(codes(k.Problems), "member-repeated") {
		t.Errorf("track: heights %+v, %d decimals, %v", k.Heights, k.Decimals, k.Problems)
	}
}

// GPX 1.0 has elements of others right in the track (gpx.xsd of http://www.topografix.com/GPX/1/0, 2004: any ##other).
func TestVersion10(t *testing.T) {
	got, ps := read(t, input(`<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0" xmlns:m="urn:mine"><name>f</name>
<trk><name>lawn</name><m:surface>turf</m:surface>`+seg(0, 0, 40, 0, 40, 30, 0, 30)+`</trk></gpx>`))
	if len(got) != 1 || len(ps) > 0 || got[0].Members.Text("surface") != "turf" || math.Abs(squareMetres(got[0].Areas)-1200) > 0.1 {
		t.Errorf("got %v, %v", got, ps)
	}
}

// The elements of wptType, trkType and rteType in the order and spelling of the GPX 1.1 schema (TopoGrafix, GPX 1.1 Schema
// Documentation, 2004); what they say is invented. Latitudes of the schema include the poles, longitudes -180.
func TestElementsOfTheSchema(t *testing.T) {
	const said = `<name>%s</name><cmt>c</cmt><desc>d</desc><src>s</src><link href="http://a.invalid"><text>t</text><type>text/html</type></link>`
	point := func(tag, lat, lon string) string {
		return `<` + tag + ` lat="` + lat + `" lon="` + lon + `"><ele>7.5</ele><time>2004-08-09T12:00:00Z</time><magvar>1</magvar><geoidheight>-30</geoidheight>` +
			strings.Replace(said, "%s", tag, 1) + `<sym>Flag</sym><type>t</type><fix>3d</fix><sat>9</sat><hdop>1</hdop><vdop>1</vdop><pdop>1</pdop><ageofdgpsdata>1</ageofdgpsdata><dgpsid>0</dgpsid><extensions/></` + tag + `>`
	}
	got, ps := read(t, input(`<?xml version="1.0"?><gpx xmlns="http://www.topografix.com/GPX/1/1" version="1.1" creator="t">
<metadata><name>m</name><desc/><author><name>a</name></author><bounds minlat="-90" minlon="-180" maxlat="90" maxlon="179"/><extensions/></metadata>`+
		point("wpt", "-90.0", "-180.0")+
		`<rte>`+strings.Replace(said, "%s", "r", 1)+`<number>1</number><type>lawn</type><extensions/>`+point("rtept", "1", "1")+point("rtept", "1", "1.0001")+point("rtept", "1.0001", "1")+`</rte>
<trk>`+strings.Replace(said, "%s", "k", 1)+`<number>1</number><type>bed</type><extensions/><trkseg>`+point("trkpt", "1", "1")+point("trkpt", "1", "1.0001")+point("trkpt", "1.0001", "1")+`<extensions/></trkseg></trk><extensions/></gpx>`))
	if len(got) != 3 || len(ps) > 0 {
		t.Fatalf("got %d features, %v", len(got), ps)
	}
	for i, want := range []raw.Members{
		{{Key: "name", Value: "wpt"}, {Key: "cmt", Value: "c"}, {Key: "desc", Value: "d"}, {Key: "sym", Value: "Flag"}, {Key: "type", Value: "t"}},
		{{Key: "name", Value: "r"}, {Key: "cmt", Value: "c"}, {Key: "desc", Value: "d"}, {Key: "type", Value: "lawn"}},
		{{Key: "name", Value: "k"}, {Key: "cmt", Value: "c"}, {Key: "desc", Value: "d"}, {Key: "type", Value: "bed"}},
	} {
		n := max(1, 3*min(i, 1)) // positions
		if f := got[i]; !slices.Equal(f.Members, want) || f.Heights != (raw.Heights{Sum: 7.5 * float64(n), Count: n}) || f.Problems.HasErrors() || f.Ground != (i > 0) {
			t.Errorf("got %+v, want %v", f, want)
		}
	}
}

func TestLetters(t *testing.T) {
	for _, encoding := range []string{"ISO-8859-1", "windows-1252", "UTF-8"} { // the last is a false claim
		got, ps := read(t, input(`<?xml version="1.0" encoding="`+encoding+`"?><gpx><trk><name>caf`+"\xe9"+`</name>`+seg(0, 0, 40, 0, 40, 30, 0, 30)+`</trk></gpx>`))
		if len(got) != 1 || got[0].Members.Text("name") != "café" || got[0].Where != "walk.gpx: track 1 (café)" || ps.HasErrors() {
			t.Errorf("%s: got %v, %v", encoding, got, ps)
		}
	}
}

func TestTooManyPositions(t *testing.T) {
	text := file("<trk>" + seg(0, 0, 40, 0, 40, 30, 0, 30) + "</trk><trk>" + seg(0, 0, 40, 0, 40, 30, 0, 30) + "</trk>")
	if src, ps := open(input(text), 8); src == nil || ps.HasErrors() {
		t.Errorf("8 of 8: got %v", ps)
	}
	if src, ps := open(input(text), 7); src != nil || codes(ps) != "file-too-large" {
		t.Errorf("8 of 7: got %v", ps)
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, text, code string }{
		{"KML", `<kml></kml>`, "not-gpx"},
		{"empty", ``, "not-gpx"},
		{"text", `lat,lon`, "not-gpx"},
		{"cut short", file("<trk>")[:120], "not-xml"},
		{"bomb", `<!DOCTYPE gpx [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;">]><gpx><trk><name>&b;</name></trk></gpx>`, "not-xml"},
		{"deep", "<gpx><trk><extensions>" + strings.Repeat("<a>", markup.MaxDepth), "nested-too-deep"},
		{"unknown letters", `<?xml version="1.0" encoding="ebcdic-1"?><gpx/>`, "unknown-encoding"},
	} {
		if src, ps := Open(input(c.text)); src != nil || codes(ps) != c.code {
			t.Errorf("%s: got %v, want %s", c.name, ps, c.code)
		}
	}
	big := input("")
	big.Size = MaxBytes + 1
	if src, ps := Open(big); src != nil || codes(ps) != "file-too-large" {
		t.Errorf("too large: got %v", ps)
	}
}

func TestTooManyFeatures(t *testing.T) {
	if testing.Short() {
		t.Skip("builds a file of 3 MB")
	}
	if src, ps := Open(input(file(strings.Repeat("<wpt/>", MaxFeatures+1)))); src != nil || codes(ps) != "too-many-features" {
		t.Errorf("got %v", ps)
	}
}

func TestNamedSystem(t *testing.T) {
	system, err := crs.Parse("EPSG:32615")
	if err != nil {
		t.Skipf("the system is not known: %v", err)
	}
	in := input(file(`<trk><trkseg><trkpt lon="500000.0" lat="4982950.4"/><trkpt lon="500040.0" lat="4982950.4"/><trkpt lon="500040.0" lat="4982980.4"/><trkpt lon="500000.0" lat="4982980.4"/></trkseg></trk>`))
	in.CRS = system
	got, _ := read(t, in)
	// The central meridian of zone 15 is 93 W; the scale there is 0.9996, so that 40 by 30 on the map are 1200/0.9996^2 m2 of ground.
	if a := squareMetres(got[0].Areas); math.Abs(got[0].Areas[0][0][0].Lon()+93) > 1e-9 || math.Abs(a-1200/0.9996/0.9996) > 0.01 || got[0].Step != 0.1 || got[0].Decimals != 0 {
		t.Errorf("got %v, %.3f m2, step %g, %d decimals", got[0].Areas, a, got[0].Step, got[0].Decimals)
	}
}

func FuzzOpen(f *testing.F) {
	for _, s := range []string{
		file("<trk><name>a</name>" + seg(0, 0, 40, 0, 40, 30, 0, 30) + seg(10, 10, 20, 10, 20, 20, 10, 20, 10, 11) + "</trk>"),
		file(`<wpt lat="1" lon="2"><ele>3</ele><extensions><surface>bed</surface></extensions></wpt><rte><rtept lat="1" lon="1e300"/><rtept lat="1" lon="1"/><rtept lat="2" lon="1"/></rte>`),
		file(`<trk><trkseg><trkpt lat="91" lon="0"/><trkpt lat="-91" lon="360"/><trkpt lat="0" lon="-360"/></trkseg><trkseg><trkpt lat="nan"/></trkseg></trk>`),
		"\xff\xfe<\x00g\x00p\x00x\x00/\x00>\x00",
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
		src.Scan(func(h int64, f *raw.Feature) bool { sound(t, f); return true })
	})
}

// sound checks what every feature must keep.
func sound(t *testing.T, f *raw.Feature) {
	if f.Broken != f.Problems.HasErrors() && f.Ground || f.Broken && len(f.Areas) > 0 {
		t.Fatalf("broken %v with %d areas: %v", f.Broken, len(f.Areas), f.Problems)
	}
	check := func(p orb.Point) {
		if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0], 0) || math.IsInf(p[1], 0) {
			t.Fatalf("a position %v", p)
		}
	}
	for _, p := range f.Areas {
		for _, r := range p {
			for _, q := range r {
				check(q)
			}
		}
	}
	for _, p := range f.Points {
		check(p)
	}
}
