package shape

import (
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"strings"
	"sync"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"

	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// square is a closed ring, clockwise as outer rings are (white paper, page 8); back turns it round.
func square(x, y, side float64) []xy {
	return []xy{{x, y}, {x, y + side}, {x + side, y + side}, {x + side, y}, {x, y}}
}

func back(r []xy) []xy {
	out := make([]xy, len(r))
	for i, p := range r {
		out[len(r)-1-i] = p
	}
	return out
}

func ring(r []xy) orb.Ring {
	var out orb.Ring
	for _, p := range r {
		out = append(out, orb.Point(p))
	}
	return out
}

var (
	ocean = [4]float64{-40, 30, -39, 31}
	names = []column{{"NAME", 'C', 20}, {"AREA", 'N', 10}, {"OK", 'L', 1}, {"SEEN", 'D', 8}, {"F", 'F', 12}}
)

// The white paper's example of a polygon with a hole (page 9, from memory): two parts that begin at points 0 and 5, the hole
// after the outer ring.
func TestWhitePaperPolygon(t *testing.T) {
	outer, hole := square(-40, 30, 0.5), back(square(-39.9, 30.1, 0.25))
	content := parts(typePolygon, nil, nil, outer, hole)
	// Table 6: type at byte 0, box at 4, number of parts at 36, of points at 40, parts at 44, points at 44 + 4 x parts.
	if len(content) != 44+4*2+16*10 || binary.LittleEndian.Uint32(content[36:]) != 2 || binary.LittleEndian.Uint32(content[40:]) != 10 ||
		binary.LittleEndian.Uint32(content[48:]) != 5 {
		t.Fatalf("the test writes another layout: % x", content[:52])
	}
	in := input(mainFile(ocean, content), map[string][]byte{
		".prj": []byte(wgs84), ".dbf": tableFile(0, names, []string{"Back bed", "  12.50", "T", "20260501", "1.5e+00"})})
	fs, ps := all(t, in)
	if len(ps) != 0 || len(fs) != 1 {
		t.Fatalf("got %d features, problems %v", len(fs), ps)
	}
	f := fs[0]
	if want := (orb.MultiPolygon{{ring(outer), ring(hole)}}); !reflect.DeepEqual(f.Areas, want) {
		t.Errorf("got %v, want %v", f.Areas, want)
	}
	want := raw.Members{{Key: "NAME", Value: "Back bed"}, {Key: "AREA", Value: "12.50"}, {Key: "OK", Value: "true"}, {Key: "SEEN", Value: "2026-05-01"}, {Key: "F", Value: "1.5e+00"}, {Key: "layer", Value: "lots"}}
	if !reflect.DeepEqual(f.Members, want) {
		t.Errorf("got %v, want %v", f.Members, want)
	}
	if f.Where != "lots.shp: record 1 (Back bed)" || f.Decimals != 2 || f.Step != 0 || f.Broken || len(f.Problems) != 0 {
		t.Errorf("got %+v", f)
	}
}

func TestKinds(t *testing.T) {
	a, b := square(-40, 30, 0.5), []xy{{-39.5, 30.5}, {-39.25, 30.5}}
	z := []float64{100, 101, 102, 103, -1e39}
	m := []float64{1, 2, 3, 4, 5}
	point := func(kind uint32, rest ...float64) []byte { return le(kind, -40.0, 30.0, rest) }
	multi := func(kind uint32, rest ...float64) []byte { return le(kind, boxOf(b), uint32(2), b, rest) }
	for _, c := range []struct {
		name                 string
		content              []byte
		areas, lines, points int
		heights              raw.Heights
		broken               bool
		problems             string
	}{
		{"null", le(uint32(0)), 0, 0, 0, raw.Heights{}, false, "no-geometry"},
		{"point", point(1), 0, 0, 1, raw.Heights{}, false, ""},
		{"point z with measure", point(11, 7, 5), 0, 0, 1, raw.Heights{Sum: 7, Count: 1}, false, ""},
		{"point m", point(21, 5), 0, 0, 1, raw.Heights{}, false, ""},
		{"line", parts(3, nil, nil, b, a), 0, 2, 0, raw.Heights{}, false, ""},
		{"line z", parts(13, z[:2], m[:2], b), 0, 1, 0, raw.Heights{Sum: 201, Count: 2}, false, ""},
		{"line m", parts(23, nil, m[:2], b), 0, 1, 0, raw.Heights{}, false, ""},
		{"area z without measures", parts(15, z, nil, a), 1, 0, 0, raw.Heights{Sum: 406, Count: 4}, false, ""},
		{"area z with measures", parts(15, z, m, a), 1, 0, 0, raw.Heights{Sum: 406, Count: 4}, false, ""},
		{"area m", parts(25, nil, m, a), 1, 0, 0, raw.Heights{}, false, ""},
		{"area z without heights", parts(15, nil, nil, a), 1, 0, 0, raw.Heights{}, false, "heights-missing"},
		{"points", multi(8), 0, 0, 2, raw.Heights{}, false, ""},
		{"points z", multi(18, 0, 0, 8, 9), 0, 0, 2, raw.Heights{Sum: 17, Count: 2}, false, ""},
		{"points m", multi(28), 0, 0, 2, raw.Heights{}, false, ""},
		{"area without corners", parts(5, nil, nil), 0, 0, 0, raw.Heights{}, false, "no-geometry"},
		{"solid", parts(31, nil, nil, a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"no such kind", parts(105, nil, nil, a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"cut", parts(5, nil, nil, a)[:60], 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"too short", le(uint32(5), 0.0), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"empty", nil, 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"not a number", parts(5, nil, nil, append([]xy{{math.NaN(), 30}}, a...)), 0, 0, 0, raw.Heights{}, true, "coordinate-not-a-number"},
		{"without end", point(1)[:18], 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"infinite", le(uint32(1), math.Inf(1), 0.0), 0, 0, 0, raw.Heights{}, true, "coordinate-not-a-number"},
		{"parts that go back", le(uint32(5), boxOf(a), uint32(3), uint32(5), []uint32{0, 3, 2}, a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"part beyond the end", le(uint32(5), boxOf(a), uint32(2), uint32(5), []uint32{0, 9}, a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"first part late", le(uint32(5), boxOf(a), uint32(1), uint32(5), []uint32{1}, a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"no parts", le(uint32(5), boxOf(a), uint32(0), uint32(5), a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
		{"billions of parts", le(uint32(5), boxOf(a), uint32(math.MaxUint32), uint32(math.MaxUint32), a), 0, 0, 0, raw.Heights{}, true, "not-a-geometry"},
	} {
		t.Run(c.name, func(t *testing.T) {
			fs, ps := all(t, input(mainFile(ocean, c.content), map[string][]byte{".prj": []byte(wgs84)}))
			if codes(ps) != "no-dbf" || len(fs) != 1 {
				t.Fatalf("got %d features, %v", len(fs), ps)
			}
			f := fs[0]
			if len(f.Areas) != c.areas || len(f.Lines) != c.lines || len(f.Points) != c.points || f.Heights != c.heights || f.Broken != c.broken || codes(f.Problems) != c.problems {
				t.Errorf("got %+v, want %+v", f, c)
			}
			if f.Broken != f.Problems.HasErrors() {
				t.Errorf("broken %v with problems %v", f.Broken, f.Problems)
			}
		})
	}
}

func TestNest(t *testing.T) {
	big, mid, small, apart := square(0, 0, 10), square(2, 2, 6), square(4, 4, 1), square(20, 0, 3)
	touching := []xy{{0, 0}, {0, 10}, {5, 5}, {0, 0}} // two corners and an edge on the big one's edge
	for _, c := range []struct {
		name       string
		rings      [][]xy
		want       string
		consistent bool
	}{
		{"hole", [][]xy{big, back(mid)}, "0[1]", true},
		{"hole first", [][]xy{back(mid), big}, "1[0]", true},
		{"all the wrong way round", [][]xy{back(big), mid}, "0[1]", true},
		{"wound alike", [][]xy{big, mid}, "0[1]", false},
		{"island in a hole", [][]xy{big, back(mid), small}, "0[1] 2[]", true},
		{"island, wound alike", [][]xy{small, mid, big}, "0[] 2[1]", false},
		{"two parts", [][]xy{big, apart}, "0[] 1[]", true},
		{"hole outside of everything", [][]xy{big, back(apart)}, "0[] 1[]", false},
		{"hole that touches", [][]xy{big, back(touching)}, "0[1]", true},
		{"hole that sticks out", [][]xy{big, back([]xy{{-1, 4}, {1, 5}, {3, 5}, {3, 4}, {2, 3.5}, {1, 3.5}, {-1, 4}})}, "0[1]", true},
		{"holes in two parts", [][]xy{big, apart, back(square(21, 1, 1)), back(small)}, "0[3] 1[2]", true},
		{"the same twice", [][]xy{big, big}, "0[] 1[]", true},
		{"the same, turned", [][]xy{big, back(big)}, "0[1]", true},
		{"a side in common", [][]xy{big, square(10, 0, 10)}, "0[] 1[]", true},
		{"a point and a line", [][]xy{big, {{1, 1}}, {{3, 3}, {4, 4}, {3, 3}}}, "0[1 2]", true},
	} {
		var rings [][]corner
		for _, r := range c.rings {
			var k []corner
			for _, p := range r {
				k = append(k, corner{p[0], p[1]})
			}
			rings = append(rings, k)
		}
		shells, consistent, err := nest(rings)
		var got []string
		for _, s := range shells {
			got = append(got, fmt.Sprintf("%d%v", s.outer, s.holes))
		}
		if g := strings.Join(got, " "); g != c.want || consistent != c.consistent || err != nil {
			t.Errorf("%s: got %s consistent %v %v, want %s %v", c.name, g, consistent, err, c.want, c.consistent)
		}
	}
}

// Squares inside each other alternate between outline and hole whatever their order and direction, and each ring is used once.
func TestNestLaw(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		depth := rapid.IntRange(2, 12).Draw(t, "depth")
		order := rapid.Permutation(seq(depth)).Draw(t, "order")
		rings := make([][]corner, depth)
		for i, d := range order {
			r := square(float64(d), float64(d), float64(40-2*d))
			if rapid.Bool().Draw(t, "turned") {
				r = back(r)
			}
			for _, p := range r[:4] {
				rings[i] = append(rings[i], corner{p[0] + 5e5, p[1] + 4e6})
			}
		}
		shells, _, err := nest(rings)
		if err != nil || len(shells) != (depth+1)/2 {
			t.Fatalf("got %v %v for %d rings", shells, err, depth)
		}
		for _, s := range shells {
			if order[s.outer]%2 != 0 || len(s.holes) > 1 || len(s.holes) == 1 && order[s.holes[0]] != order[s.outer]+1 {
				t.Errorf("got %v in the order %v", s, order)
			}
		}
	})
}

func seq(n int) []int {
	out := make([]int, n)
	for i := range out {
		out[i] = i
	}
	return out
}

func TestNestBounds(t *testing.T) {
	var deep [][]corner
	for i := range deepestNesting + 2 {
		d := float64(i)
		deep = append(deep, []corner{{d, d}, {d, 1000 - d}, {1000 - d, 1000 - d}, {1000 - d, d}})
	}
	if _, _, err := nest(deep); err == nil {
		t.Error("rings nested without bound were accepted")
	}
	var wide [][]corner
	comb := []corner{{-1, -1}}
	for i := range 20000 {
		comb = append(comb, corner{float64(i), 2e6 + float64(i%2)})
		wide = append(wide, []corner{{float64(i), 1}, {float64(i), 2}, {float64(i) + 0.5, 1}})
	}
	if _, _, err := nest(append(wide, append(comb, corner{2e6, -1}))); err == nil {
		t.Error("comparisons without bound were accepted")
	}
}

func TestCRS(t *testing.T) {
	poly := func(r []xy) []byte { return mainFile(boxOf(r), parts(typePolygon, nil, nil, r)) }
	degrees, metres := poly(square(-40, 30, 0.5)), poly(square(478000.25, 4980000.5, 100))
	user, err := crs.Parse("EPSG:26915")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name   string
		shp    []byte
		prj    string
		user   *crs.CRS
		want   string
		usable bool
	}{
		{"degrees", degrees, wgs84, nil, "no-dbf", true},
		{"degrees, not said", degrees, "", nil, "no-prj no-dbf", true},
		{"blank prj", degrees, " \r\n", nil, "no-prj no-dbf", true},
		{"metres, not said", metres, "", nil, "no-prj no-dbf", false},
		{"metres", metres, "\xef\xbb\xbf" + utm15, nil, "datum-note no-dbf", true},
		{"metres by the user", metres, "", user, "datum-note no-dbf", true},
		{"nonsense", degrees, "CRS OF THE MOON", nil, "other-crs no-dbf", false},
		{"box not filled in", mainFile([4]float64{}, parts(typePolygon, nil, nil, square(-40, 30, 0.5))), "", nil, "no-prj no-dbf", true},
		{"box of no numbers", mainFile([4]float64{math.NaN(), 0, 1, 1}), "", nil, "no-prj no-dbf", false},
	} {
		beside := map[string][]byte{}
		if c.prj != "" {
			beside[".PRJ"] = []byte(c.prj)
		}
		in := input(c.shp, beside)
		in.CRS = c.user
		fs, ps := all(t, in)
		if codes(ps) != c.want || (len(fs) == 1) != c.usable {
			t.Errorf("%s: got %d features, %v, want %s", c.name, len(fs), ps, c.want)
		}
		if !c.usable {
			continue
		}
		p, f := fs[0].Areas[0][0][0], fs[0]
		if strings.Contains(c.name, "metres") {
			// echo 478000.25 4980000.5 | cs2cs -f %.9f EPSG:26915 +to EPSG:4269 (PROJ 9.1.1)
			if want := (orb.Point{-93.278999961, 44.973104360}); math.Abs(p[0]-want[0]) > 2e-9 || math.Abs(p[1]-want[1]) > 2e-9 || f.Step != 0.01 || f.Decimals != 0 {
				t.Errorf("%s: got %.9f, step %v, want %.9f", c.name, p, f.Step, want)
			}
		} else if p != (orb.Point{-40, 30}) || f.Decimals != 1 || f.Step != 0 {
			t.Errorf("%s: got %v, %d decimals", c.name, p, f.Decimals)
		}
	}
}

func TestRecords(t *testing.T) {
	a := parts(typePolygon, nil, nil, square(-40, 30, 0.5))
	cols := []column{{"N", 'C', 4}}
	rows := func(r ...string) []byte {
		var out [][]string
		for _, s := range r {
			if s == "*" {
				out = append(out, []string{"", "gone"})
			} else {
				out = append(out, []string{s})
			}
		}
		return tableFile(0, cols, out...)
	}
	three := mainFile(ocean, a, a, a)
	short := mainFile(ocean, a, a, a)
	binary.BigEndian.PutUint32(short[24:], uint32(len(mainFile(ocean, a, a)))/2) // never updated
	negative := mainFile(ocean, a, a)
	binary.BigEndian.PutUint32(negative[104:], 0x80000000)
	numbers := mainFile(ocean, a, a)
	binary.BigEndian.PutUint32(numbers[100+8+len(a):], 77)
	unsaid := mainFile(ocean, a, a)
	binary.BigEndian.PutUint32(unsaid[24:], 0)
	for _, c := range []struct {
		name     string
		shp, dbf []byte
		want     string
		seen     string
	}{
		{"all", three, rows("a", "b", "c"), "", "a b c"},
		{"deleted", three, rows("a", "*", "c"), "record-deleted", "a c"},
		{"row too few", three, rows("a", "b"), "rows-missing", "a b -"},
		{"row too many", three, rows("a", "b", "c", "d"), "rows-left-over", "a b c"},
		{"length not updated", short, rows("a", "b", "c"), "", "a b c"},
		{"length not filled in", unsaid, rows("a", "b"), "", "a b"},
		{"padded", append(short[:len(short)-len(a)-8:len(short)-len(a)-8], make([]byte, 500)...), rows("a", "b"), "bytes-after-end", "a b"},
		{"cut short", three[:len(three)-10], rows("a", "b", "c"), "file-cut-short", ""},
		{"length of a record", negative, rows("a", "b"), "file-cut-short", ""},
		{"numbers", numbers, rows("a", "b"), "records-misnumbered", "a b"},
		{"only a header", mainFile(ocean), rows(), "", ""},
	} {
		fs, ps := all(t, input(c.shp, map[string][]byte{".prj": []byte(wgs84), ".dbf": c.dbf}))
		var seen []string
		for _, f := range fs {
			s := f.Members.Text("N")
			if s == "" {
				s = "-"
			}
			seen = append(seen, s)
		}
		if got := strings.Join(seen, " "); codes(ps) != c.want || got != c.seen {
			t.Errorf("%s: got %q, %v, want %q, %s", c.name, got, ps, c.seen, c.want)
		}
	}
}

func TestNotAShapefile(t *testing.T) {
	shp := mainFile(ocean)
	for name, in := range map[string]raw.Input{
		"not-a-shapefile": input([]byte("hello"), nil),
		"not-a-table":     input(shp, map[string][]byte{".prj": []byte(wgs84), ".dbf": []byte("short")}),
		"not-a-zip":       input([]byte("PK\x03\x04 and nothing more"), nil),
		"no-shapefile":    zipped(t, entry{"a.txt", nil}, entry{"__MACOSX/._a.shp", shp}, entry{"b/._b.shp", shp}),
		"entry-repeated":  zipped(t, entry{"a.shp", shp}, entry{"A.SHP", shp}),
	} {
		fs, ps := all(t, in)
		if fs != nil || codes(ps) != name {
			t.Errorf("got %v, want %s", ps, name)
		}
	}
}

func TestZip(t *testing.T) {
	a := mainFile(ocean, parts(typePolygon, nil, nil, square(-40, 30, 0.5)), parts(typePolygon, nil, nil, square(-40, 30, 0.25)))
	dbf := func(names ...string) []byte {
		var rows [][]string
		for _, n := range names {
			rows = append(rows, []string{n})
		}
		return tableFile(0, []column{{"Name", 'C', 12}}, rows...)
	}
	fs, ps := all(t, zipped(t,
		entry{"__MACOSX/gis/._Parcels.shp", []byte("junk")}, entry{"gis/", nil},
		entry{"gis/Parcels.DBF", dbf("P-1", "P-2")}, entry{"gis/Parcels.SHP", a}, entry{"gis/parcels.prj", []byte(wgs84)},
		entry{"gis/parcels.shp.xml", []byte("<x/>")},
		entry{`old\beds.shp`, a}, entry{`old\beds.dbf`, dbf("", "")}, entry{"old/beds.prj", []byte(wgs84)},
		entry{"new/beds.shp", a}, entry{"new/beds.prj", []byte(wgs84)}, entry{"new/beds.dbf", dbf("x", "y")}))
	var got []string
	for _, f := range fs {
		got = append(got, f.Where+" / "+f.Members.Text("layer"))
	}
	want := []string{
		"lots.zip/Parcels.SHP: record 1 (P-1) / Parcels", "lots.zip/Parcels.SHP: record 2 (P-2) / Parcels",
		"lots.zip/old/beds.shp: record 1 / beds", "lots.zip/old/beds.shp: record 2 / beds",
		"lots.zip/new/beds.shp: record 1 (x) / beds", "lots.zip/new/beds.shp: record 2 (y) / beds"}
	if !reflect.DeepEqual(got, want) || len(ps) != 0 {
		t.Errorf("got %q, %v", got, ps)
	}
	if fs[1].Areas[0][0][1] != (orb.Point{-40, 30.25}) || fs[5].Areas[0][0][1] != (orb.Point{-40, 30.25}) {
		t.Errorf("got %v and %v", fs[1].Areas, fs[5].Areas)
	}
}

// An entry of 20 MB of zeros is 20 kB packed: over 500 times.
func TestZipBomb(t *testing.T) {
	fs, ps := all(t, zipped(t, entry{"a.shp", append(mainFile(ocean), make([]byte, 20<<20)...)}))
	if fs != nil || codes(ps) != "zip-too-big" {
		t.Errorf("got %v", ps)
	}
}

// Handles of a bare file reach to its end, handles of an archive to its bounds.
func TestHandles(t *testing.T) {
	for _, c := range []struct {
		zipped bool
		layer  int
		r      record
	}{
		{false, 0, record{largest/8 - 1, largest - 8}}, {false, 0, record{0, 100}},
		{true, maxLayers - 1, record{maxExpanded/8 - 1, maxExpanded - 8}}, {true, 3, record{5, 1000}},
	} {
		s := &source{zipped: c.zipped}
		h := s.pack(c.layer, c.r)
		if l, r := s.unpack(h); l != c.layer || r != c.r || h < 0 {
			t.Errorf("got %d %v from %d, want %d %v", l, r, h, c.layer, c.r)
		}
	}
}

func TestLoadAtOnce(t *testing.T) {
	var contents [][]byte
	for i := range 200 {
		contents = append(contents, parts(typePolygon, nil, nil, square(-40+float64(i)/256, 30, 0.5)))
	}
	s, _ := Open(input(mainFile(ocean, contents...), map[string][]byte{".prj": []byte(wgs84)}))
	var wg sync.WaitGroup
	i := 0
	s.Scan(func(h int64, _ *raw.Feature) bool {
		want := -40 + float64(i)/256
		wg.Go(func() {
			if f := s.Load(h); f.Areas[0][0][0][0] != want {
				t.Errorf("got %v, want %v", f.Areas[0][0][0], want)
			}
		})
		i++
		return i < 150
	})
	wg.Wait()
	if i != 150 {
		t.Errorf("%d visits after a stop at 150", i)
	}
}

func FuzzOpen(f *testing.F) {
	a := parts(typePolygon, nil, nil, square(-40, 30, 0.5), back(square(-39.9, 30.1, 0.25)))
	z := parts(15, []float64{1, 2, 3, 4, 5}, nil, square(-40, 30, 0.5))
	shp := mainFile(ocean, a, z, le(uint32(0)), le(uint32(1), -40.0, 30.0), parts(3, nil, nil, square(-40, 30, 1)))
	dbf := tableFile(3, names, []string{"a", "1", "T", "20260101", "2"}, []string{"", "b", "1", "F", "20260101", "2"})
	f.Add(shp, dbf, []byte(wgs84), []byte("UTF-8"))
	f.Add(shp, dbf, []byte(utm15), []byte("437"))
	f.Add(shp, []byte(nil), []byte(nil), []byte(nil))
	in := zipped(f, entry{"x/a.shp", shp}, entry{"x/a.dbf", dbf}, entry{"x/a.prj", []byte(wgs84)}, entry{"b.shp", shp})
	archive := make([]byte, in.Size)
	if _, err := in.Data.ReadAt(archive, 0); err != nil {
		f.Fatal(err)
	}
	f.Add(archive, []byte(nil), []byte(nil), []byte(nil))
	f.Fuzz(func(t *testing.T, shp, dbf, prj, cpg []byte) {
		fs, ps := all(t, input(shp, map[string][]byte{".dbf": dbf, ".prj": prj, ".cpg": cpg}))
		for _, p := range ps {
			checkProblem(t, p.Where, p.What, p.Fix)
		}
		for _, g := range fs {
			checkFeature(t, g)
		}
	})
}

func checkProblem(t *testing.T, texts ...string) {
	for _, s := range texts {
		if s == "" || len(s) > 2000 {
			t.Errorf("a problem's text is %q", s)
		}
	}
}

func checkFeature(t *testing.T, f *raw.Feature) {
	for _, p := range f.Problems {
		checkProblem(t, p.Where, p.What, p.Fix)
	}
	if f.Broken != f.Problems.HasErrors() || f.Broken && f.HasShapes() {
		t.Errorf("broken %v, shapes %v, problems %v", f.Broken, f.HasShapes(), f.Problems)
	}
	sum := f.Heights.Sum + f.Step
	add := func(pts []orb.Point) {
		for _, p := range pts {
			if p[0]-p[0] != 0 || p[1]-p[1] != 0 {
				t.Errorf("a corner at %v", p)
			}
		}
	}
	for _, a := range f.Areas {
		for _, r := range a {
			add(r)
		}
	}
	for _, l := range f.Lines {
		add(l)
	}
	add(f.Points)
	if sum-sum != 0 {
		t.Errorf("heights %v, step %v", f.Heights, f.Step)
	}
}
