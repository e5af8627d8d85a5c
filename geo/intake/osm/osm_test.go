package osm

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

func input(text string) raw.Input {
	return raw.Input{Name: "map.osm", Data: strings.NewReader(text), Size: int64(len(text))}
}

// read gives the features of a file by id.
func read(t testing.TB, text string) (map[string]*raw.Feature, problem.List) {
	t.Helper()
	src, ps := Open(input(text))
	if src == nil {
		if !ps.HasErrors() {
			t.Fatalf("no source and no error: %v", ps)
		}
		return nil, ps
	}
	out := map[string]*raw.Feature{}
	ps = src.Scan(func(h int64, f *raw.Feature) bool { out[f.ID] = src.Load(h); return true })
	return out, ps
}

func codes(ps problem.List) string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return strings.Join(out, " ")
}

// The grid of nodes that the tests draw on: node 10y+x lies x times 10 m east and y times 10 m north of a place in the
// open ocean, at 0 N 30 W (metres a degree as in WGS 84 on the equator, from memory: 111319.4908 and 110574.2758).
func grid() string {
	var b strings.Builder
	for y := range 10 {
		for x := range 10 {
			fmt.Fprintf(&b, `<node id="%d" lat="%.8f" lon="%.8f" version="1"/>`, 10*y+x+100, float64(10*y)/110574.2758, -30+float64(10*x)/111319.4908)
		}
	}
	return b.String()
}

// drawn is a way through "xy xy xy" of the grid; tags are "k=v".
func drawn(id int, nodes string, tags ...string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<way id="%d">`, id)
	for _, n := range strings.Fields(nodes) {
		fmt.Fprintf(&b, `<nd ref="%d"/>`, 100+10*int(n[1]-'0')+int(n[0]-'0'))
	}
	return b.String() + tagList(tags) + "</way>"
}

func tagList(tags []string) string {
	var b strings.Builder
	for _, t := range tags {
		k, v, _ := strings.Cut(t, "=")
		fmt.Fprintf(&b, `<tag k="%s" v="%s"/>`, k, v)
	}
	return b.String()
}

// group is a relation with members "id:role".
func group(id int, members string, tags ...string) string {
	var b strings.Builder
	fmt.Fprintf(&b, `<relation id="%d">`, id)
	for _, m := range strings.Fields(members) {
		ref, role, _ := strings.Cut(m, ":")
		fmt.Fprintf(&b, `<member type="way" ref="%s" role="%s"/>`, ref, role)
	}
	return b.String() + tagList(tags) + "</relation>"
}

func file(inner ...string) string {
	return `<?xml version="1.0" encoding="UTF-8"?><osm version="0.6">` + grid() + strings.Join(inner, "") + "</osm>"
}

func squareMetres(f *raw.Feature) float64 {
	if f == nil {
		return -1
	}
	a, _ := geodesic.MultiPolygon(f.Areas)
	return a.In(unit.SquareMetre)
}

// The example of the OpenStreetMap wiki's page OSM XML (2013 to 2024), where it is not cut by dots, its names replaced.
func TestExampleOfTheWiki(t *testing.T) {
	got, ps := read(t, `<?xml version="1.0" encoding="UTF-8"?>
<osm version="0.6" generator="CGImap 0.0.2">
 <bounds minlat="54.0889580" minlon="12.2487570" maxlat="54.0913900" maxlon="12.2524800"/>
 <node id="298884269" lat="54.0901746" lon="12.2482632" visible="true" version="1" changeset="676636" timestamp="2008-09-21T21:37:45Z"/>
 <node id="1831881213" version="1" changeset="12370172" lat="54.0900666" lon="12.2539381" visible="true" timestamp="2012-07-20T09:43:19Z">
  <tag k="name" v="The village"/>
  <tag k="traffic_sign" v="city_limit"/>
 </node>
 <node id="298884272" lat="54.0901447" lon="12.2516513" visible="true" version="1" changeset="676636" timestamp="2008-09-21T21:37:45Z"/>
 <way id="26659127" visible="true" version="5" changeset="4142606" timestamp="2010-03-16T11:47:08Z">
  <nd ref="298884269"/><nd ref="298884272"/>
  <tag k="highway" v="unclassified"/>
 </way>
 <relation id="56688" visible="true" version="28" changeset="6947637" timestamp="2011-01-12T14:23:49Z">
  <member type="node" ref="294942404" role=""/><member type="way" ref="4579143" role=""/>
  <tag k="route" v="bus"/><tag k="type" v="route"/>
 </relation>
</osm>`)
	n, w := got["node/1831881213"], got["way/26659127"]
	if len(got) != 2 || len(ps) > 0 || n == nil || w == nil {
		t.Fatalf("got %v, %v", got, ps)
	}
	if len(n.Points) != 1 || n.Points[0] != (orb.Point{12.2539381, 54.0900666}) || n.Decimals != 7 || n.Where != "map.osm: node/1831881213 (The village)" {
		t.Errorf("got %+v", n)
	}
	if len(w.Lines) != 1 || len(w.Lines[0]) != 2 || w.Ground || w.Members.Text("highway") != "unclassified" {
		t.Errorf("got %+v", w)
	}
}

func TestWays(t *testing.T) {
	const box = "00 40 43 03 00" // 40 m by 30 m
	for _, c := range []struct {
		name, nodes string
		tags        []string
		area        float64
		lines       int
		codes       string
	}{
		{"grass", box, []string{"landuse=grass"}, 1200, 0, ""},
		{"repeated node", "00 40 40 43 03 00", []string{"landuse=grass"}, 1200, 0, ""},
		{"road round", box, []string{"highway=service"}, 0, 1, ""},
		{"square", box, []string{"highway=pedestrian", "area=yes"}, 1200, 0, ""},
		{"square drawn", box, []string{"area:highway=footway"}, 1200, 0, ""},
		{"fence", box, []string{"barrier=fence"}, 0, 1, ""},
		{"fenced meadow", box, []string{"barrier=fence", "landuse=meadow"}, 1200, 0, ""},
		{"running track", box, []string{"leisure=track"}, 0, 1, ""},
		{"not a building", box, []string{"building=no"}, 0, 1, ""},
		{"said to be a line", box, []string{"natural=water", "area=no"}, 0, 1, ""},
		{"cliff", box, []string{"natural=cliff"}, 0, 1, ""},
		{"no tags", box, nil, 0, 1, ""},
		{"open line", "00 40", []string{"highway=service"}, 0, 1, ""},
		{"open grass", "00 40 43", []string{"landuse=grass"}, 0, 0, "outline-not-closed"},
		{"open square", "00 40 43", []string{"highway=pedestrian", "area=yes"}, 0, 0, "outline-not-closed"},
		{"open ditch", "00 40 43", []string{"natural=gully"}, 0, 1, ""},
		{"open amenity", "00 40 43", []string{"amenity=bench"}, 0, 1, ""},
		{"nothing", "", []string{"landuse=grass"}, 0, 0, "no-geometry"},
	} {
		got, ps := read(t, file(drawn(1, c.nodes, c.tags...)))
		f := got["way/1"]
		if f == nil || len(ps) > 0 {
			t.Errorf("%s: got %v, %v", c.name, got, ps)
			continue
		}
		if math.Abs(squareMetres(f)-c.area) > 0.1 || len(f.Lines) != c.lines || codes(f.Problems) != c.codes || f.Broken != f.Problems.HasErrors() {
			t.Errorf("%s: got %.2f m2, %+v", c.name, squareMetres(f), f)
		}
	}
	got, _ := read(t, file(drawn(1, "00 40 43", "landuse=grass")))
	if want := "164 ft (50.0 m)"; !strings.Contains(got["way/1"].Problems[0].What, want) { // the hypotenuse of 40 and 30
		t.Errorf("got %v, want %s", got["way/1"].Problems, want)
	}
}

func TestRelations(t *testing.T) {
	const whole, hole = "00 60 66 06 00", "22 42 44 24 22" // 60 m and 20 m square
	for _, c := range []struct {
		name  string
		inner string
		area  float64
		codes string
		other string // ids of other features, sorted
	}{
		{"shell and hole", drawn(1, whole) + drawn(2, hole) + group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass"), 3200, "", ""},
		{"pieces, mixed up", drawn(1, "60 66 06") + drawn(2, "00 60") + drawn(3, "00 06") + drawn(4, "22 42 44") + drawn(5, "22 24 44") +
			group(9, "1:outer 4:inner 3:outer 5:inner 2:outer", "type=multipolygon", "landuse=grass"), 3200, "", ""},
		{"no roles", drawn(1, "60 66 06") + drawn(2, "06 00 60") + drawn(4, hole) + group(9, "4: 2: 1:", "type=multipolygon", "landuse=grass"), 3200, "", ""},
		{"wrong roles", drawn(1, whole) + drawn(2, hole) + group(9, "1:inner 2:outer", "type=multipolygon", "landuse=grass"), 3200, "roles-wrong", ""},
		{"both outer", drawn(1, whole) + drawn(2, hole) + group(9, "1:outer 2:outer", "type=multipolygon", "landuse=grass"), 3200, "roles-wrong", ""},
		{"a role that tears the ring", drawn(1, "60 66 06") + drawn(2, "06 00 60") + drawn(4, hole) + group(9, "1:outer 2:inner 4:inner", "type=multipolygon", "landuse=grass"), 3200, "", ""},
		{"two shells", drawn(1, "00 10 11 01 00") + drawn(2, hole) + group(9, "1:outer 2:outer", "type=multipolygon", "landuse=grass"), 500, "", ""},
		{"an island", drawn(1, whole) + drawn(2, hole) + drawn(3, "33 43 44 34 33") + group(9, "1:outer 2:inner 3:outer", "type=multipolygon", "landuse=grass"), 3300, "", ""},
		{"shells that touch in a node", drawn(1, "00 20 22") + drawn(2, "00 02 22") + drawn(3, "22 42 44") + drawn(4, "44 24 22") +
			group(9, "1:outer 3:outer 2:outer 4:outer", "type=multipolygon", "landuse=grass"), 800, "", ""},
		{"hole with a bed in it", drawn(1, whole) + drawn(2, hole, "landuse=flowerbed") + group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass"), 3200, "", "way/2"},
		{"tags on the outer way", drawn(1, whole, "landuse=grass", "name=a") + drawn(2, hole) + group(9, "1:outer 2:inner", "type=multipolygon", "created_by=x"), 3200, "", ""},
		{"tags on all ways", drawn(1, whole, "landuse=grass") + drawn(2, hole, "landuse=grass") + group(9, "1:outer 2:inner", "type=multipolygon"), 3200, "same-tags", ""},
		{"tags twice", drawn(1, whole, "landuse=grass") + drawn(2, hole) + group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass"), 3200, "", ""},
		{"grass in a hole in grass", drawn(1, whole) + drawn(2, hole, "landuse=grass") + group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass"), 3200, "", "way/2"},
		{"a fence round it", drawn(1, whole, "barrier=fence") + drawn(2, hole) + group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass"), 3200, "", "way/1"},
		{"boundary", drawn(1, "60 66 06") + drawn(2, "06 00 60") + group(9, "1:outer 2:outer", "type=boundary", "boundary=parcel"), 3600, "", ""},
		{"named twice", drawn(1, whole) + group(9, "1:outer 1:outer", "type=multipolygon", "landuse=grass"), 3600, "", ""},
		{"a way is missing", drawn(1, "60 66 06") + group(9, "1:outer 77:outer", "type=multipolygon", "landuse=grass"), 0, "outline-cut", ""},
		{"a node is missing", `<way id="1"><nd ref="100"/><nd ref="102"/><nd ref="99999"/><nd ref="100"/></way>` + group(9, "1:outer", "type=multipolygon", "landuse=grass"), 0, "outline-cut", ""},
		{"a gap", drawn(1, "00 60 66 06") + group(9, "1:outer", "type=multipolygon", "landuse=grass"), 0, "outline-not-closed", ""},
		{"no members", group(9, "", "type=multipolygon", "landuse=grass"), 0, "no-geometry", ""},
	} {
		got, ps := read(t, file(c.inner))
		f := got["relation/9"]
		if f == nil || len(ps) > 0 {
			t.Errorf("%s: got %v, %v", c.name, got, ps)
			continue
		}
		delete(got, "relation/9")
		var others []string
		for id := range got {
			others = append(others, id)
		}
		if math.Abs(squareMetres(f)-c.area) > 0.1 || codes(f.Problems) != c.codes || strings.Join(others, " ") != c.other || f.Broken != f.Problems.HasErrors() || !f.Ground {
			t.Errorf("%s: got %.2f m2, others %v, broken %v, %v", c.name, squareMetres(f), others, f.Broken, f.Problems)
		}
		if m := f.Members; m.Text("type") != "" || m.Text("landuse")+m.Text("boundary") == "" {
			t.Errorf("%s: members %v", c.name, m)
		}
	}
}

func TestGapIsNamed(t *testing.T) {
	got, _ := read(t, file(drawn(1, "00 60 66 06"), drawn(2, "04 03"), group(9, "1:outer 2:outer", "type=multipolygon", "landuse=grass")))
	// The nearest ends are 20 m apart: at 0, 60 m (node 160) and at 0, 40 m (node 140); by hand.
	if f := got["relation/9"]; f.Where != "map.osm: relation/9" || !strings.Contains(f.Problems[0].What, "a gap of 66 ft (20.0 m) is between node/160 and node/140") {
		t.Errorf("got %v", f.Problems)
	}
}

func TestCutBoundariesDoNotStopTheFile(t *testing.T) {
	got, ps := read(t, file(drawn(1, "00 60", "highway=service"), group(9, "1:outer 7:outer", "type=boundary", "boundary=administrative")))
	if len(got) != 1 || codes(ps) != "boundary-cut" || ps.HasErrors() {
		t.Errorf("got %v, %v", got, ps)
	}
}

func TestVersionsAndDeletions(t *testing.T) {
	const box = "00 40 43 03 00"
	got, ps := read(t, file(
		drawn(1, box, "landuse=grass"), strings.Replace(drawn(1, "00 20 22 02 00", "landuse=grass"), "<way", `<way version="2"`, 1), // a later version
		strings.Replace(drawn(2, box, "landuse=grass"), "<way", `<way visible="false"`, 1),
		strings.Replace(drawn(3, box, "landuse=grass"), "<way", `<way action="delete"`, 1),
		drawn(4, "00 99 90 00", "building=yes"), `<node id="199" visible="false" version="2"/>`,
		`<node id="-5" lat="1.5" lon="2"><tag k="surface" v="truck"/></node><node id="6" lat="1" lon="2"><tag k="source" v="x"/></node>`,
		`<node id="7" lat="1" lon="north"><tag k="a" v="b"/></node>`))
	if len(got) != 4 || len(ps) > 0 {
		t.Fatalf("got %v, %v", got, ps)
	}
	if a := squareMetres(got["way/1"]); math.Abs(a-400) > 0.1 {
		t.Errorf("way/1 has %.1f m2", a)
	}
	if f := got["way/4"]; !f.Broken || codes(f.Problems) != "outline-cut" || f.Problems[0].Fix != cutFix {
		t.Errorf("way/4: %+v", f)
	}
	if f := got["node/-5"]; f.Points[0] != (orb.Point{2, 1.5}) {
		t.Errorf("node/-5: %+v", f)
	}
	if f := got["node/7"]; len(f.Points) > 0 || codes(f.Problems) != "coordinate-not-a-number" {
		t.Errorf("node/7: %+v", f)
	}
}

func TestPositionsInWays(t *testing.T) { // as some servers write when asked for geometry
	nd := func(x, y float64) string {
		return fmt.Sprintf(`<nd lat="%.8f" lon="%.8f"/>`, y/110574.2758, -30+x/111319.4908)
	}
	got, ps := read(t, `<osm version="0.6"><way id="1">`+
		strings.NewReplacer("<nd lat", `<nd ref="1" lat`).Replace(nd(0, 0))+strings.NewReplacer("<nd lat", `<nd ref="2" lat`).Replace(nd(40, 0))+
		strings.NewReplacer("<nd lat", `<nd ref="3" lat`).Replace(nd(40, 30))+`<nd ref="1"/><tag k="landuse" v="grass"/></way>
<relation id="2"><member type="way" ref="5" role="outer">`+nd(0, 0)+nd(40, 0)+nd(40, 30)+`</member><member type="way" ref="6" role="outer">`+nd(0, 0)+nd(0, 30)+nd(40, 30)+`</member>
<tag k="type" v="multipolygon"/><tag k="landuse" v="grass"/></relation></osm>`)
	if len(ps) > 0 || math.Abs(squareMetres(got["way/1"])-600) > 0.1 || math.Abs(squareMetres(got["relation/2"])-1200) > 0.1 {
		t.Errorf("got %v, %v", got, ps)
	}
}

func TestRefused(t *testing.T) {
	for _, c := range []struct{ name, text, code string }{
		{"KML", "<kml/>", "not-osm"}, {"changes", "<osmChange><create/></osmChange>", "not-osm"}, {"empty", "", "not-osm"},
		{"deep", "<osm>" + strings.Repeat("<way id='1'>", markup.MaxDepth), "nested-too-deep"}, {"unknown letters", "<?xml version='1.0' encoding='ebcdic-1'?><osm/>", "unknown-encoding"},
		{"cut short", "<osm><node id='1'", "not-xml"}, {"no id", "<osm><node lat='1' lon='2'/><way/></osm>", "id-missing"},
		{"bomb", `<!DOCTYPE osm [<!ENTITY a "aa"><!ENTITY b "&a;&a;">]><osm><node id="1" lat="1" lon="1"><tag k="a" v="&b;"/></node></osm>`, "not-xml"},
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

// A long way that thousands of relations name would fill the memory.
func TestManyRelationsOfOneWay(t *testing.T) {
	var b strings.Builder
	b.WriteString(`<way id="1">`)
	for i := range 1000 {
		fmt.Fprintf(&b, `<nd ref="%d"/>`, 100+i%100)
	}
	b.WriteString(`<nd ref="100"/></way>`)
	for i := range 300 {
		b.WriteString(group(i, "1:outer", "type=multipolygon", "landuse=grass"))
	}
	if src, ps := open(input(file(b.String())), 100_000, MaxHeld); src != nil || codes(ps) != "file-too-large" {
		t.Errorf("got %v", ps)
	}
}

// Very short elements take many times their length of memory.
func TestBoundedMemory(t *testing.T) {
	for name, element := range map[string]string{
		"nodes":              `<node id="%d" lat="1" lon="2"/>`,
		"nodes without":      `<node id="%d"/>`,
		"ways":               `<way id="%d"/>`,
		"relations":          `<relation id="%d"/>`,
		"tags":               `<node id="%d" lat="1" lon="2"><tag k="a" v="b"/></node>`,
		"positions in ways":  `<way id="1"><nd ref="%d" lat="1" lon="2"/></way>`,
		"ways written out":   `<relation id="1"><member type="way" ref="%d"><nd lat="1" lon="2"/></member></relation>`,
		"members":            `<relation id="1"><member type="way" ref="%d"/></relation>`,
		"nodes of one place": `<way id="%d"><nd ref="1"/><nd ref="2"/></way>`,
	} {
		var b strings.Builder
		b.WriteString("<osm>")
		for i := range 3000 {
			fmt.Fprintf(&b, element, i+1)
		}
		if src, ps := open(input(b.String()+"</osm>"), MaxCorners, 100<<10); src != nil || codes(ps) != "file-too-large" {
			t.Errorf("%s: got %v", name, ps)
		}
	}
}

// However a ring is cut into ways, turned and ordered, it comes together again.
func TestJoin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var ways []*way
		total := 0
		for ring := range rapid.IntRange(1, 4).Draw(t, "rings") {
			n := rapid.IntRange(3, 12).Draw(t, "nodes")
			total += n
			cuts := map[int]bool{0: true}
			for range rapid.IntRange(1, 4).Draw(t, "cuts") {
				cuts[rapid.IntRange(0, n-1).Draw(t, "cut")] = true
			}
			var refs []int64
			for k := 0; k <= n; k++ {
				refs = append(refs, int64(1000*ring+k%n))
				if cuts[k%n] && len(refs) > 1 {
					w := &way{refs: refs}
					if rapid.Bool().Draw(t, "turn") {
						for i, j := 0, len(refs)-1; i < j; i, j = i+1, j-1 {
							refs[i], refs[j] = refs[j], refs[i]
						}
					}
					ways = append(ways, w)
					refs = []int64{int64(1000*ring + k%n)}
				}
			}
		}
		ways = rapid.Permutation(ways).Draw(t, "order")
		rings, open := join(ways)
		got := 0
		for _, r := range rings {
			got += len(r) - 1
			if !closed(r) {
				t.Fatalf("%v is not closed", r)
			}
		}
		if len(open) > 0 || got != total {
			t.Fatalf("got %v, open %v, want %d corners", rings, open, total)
		}
	})
}

func FuzzOpen(f *testing.F) {
	const whole, hole = "00 60 66 06 00", "22 42 44 24 22"
	small := `<osm><node id="1" lat="0" lon="0"/><node id="2" lat="0" lon="1"/><node id="3" lat="1" lon="1"><tag k="a" v="b"/></node>`
	for _, s := range []string{
		file(drawn(1, whole), drawn(2, hole, "building=yes"), group(9, "1:outer 2:inner", "type=multipolygon", "landuse=grass")),
		small + `<way id="1"><nd ref="1"/><nd ref="2"/></way><way id="2"><nd ref="2"/><nd ref="3"/><nd ref="1"/><tag k="landuse" v="grass"/></way>` + group(9, "1: 2:", "type=multipolygon") + `</osm>`,
		small + `<way id="1"><nd ref="1"/><nd ref="2"/><nd ref="7"/><nd ref="1"/><tag k="area" v="yes"/></way>` + group(9, "1:outer 5:inner", "type=boundary") + `</osm>`,
		small + `<way id="1"><nd ref="1"/><nd ref="2"/><nd ref="3"/><tag k="area" v="yes"/></way><way id="2"><nd ref="3" lat="1" lon="2"/><tag k="natural" v="gully"/></way></osm>`,
		`<osm><relation id="1"><member type="way" ref="1" role="outer"><nd lat="1" lon="1e300"/><nd lat="2" lon="1"/><nd lat="x"/></member><tag k="type" v="multipolygon"/></relation></osm>`,
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
			if f.Broken && (len(f.Areas) > 0 || !f.Problems.HasErrors() || !f.Ground) {
				t.Fatalf("broken with %d areas: %v", len(f.Areas), f.Problems)
			}
			if f.Ground && f.Problems.HasErrors() && !f.Broken {
				t.Fatalf("ground that can not be read is not broken: %v", f.Problems)
			}
			for _, a := range f.Areas {
				for _, r := range a {
					for _, p := range r {
						if math.IsNaN(p[0]+p[1]) || math.IsInf(p[0], 0) || math.IsInf(p[1], 0) {
							t.Fatalf("a position %v", p)
						}
					}
				}
			}
			return true
		})
	})
}
