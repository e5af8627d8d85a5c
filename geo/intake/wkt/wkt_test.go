package wkt

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

func input(text string) raw.Input {
	return raw.Input{Name: "lots.wkt", Data: strings.NewReader(text), Size: int64(len(text))}
}

func read(t *testing.T, in raw.Input) ([]*raw.Feature, problem.List) {
	t.Helper()
	s, ps := Open(in)
	if s == nil {
		if !ps.HasErrors() {
			t.Fatalf("no source and no error: %v", ps)
		}
		return nil, ps
	}
	var out []*raw.Feature
	found := s.Scan(func(handle int64, f *raw.Feature) bool {
		if g := s.Load(handle); g.Where != f.Where || len(g.Areas) != len(f.Areas) {
			t.Errorf("Load differs from Scan at %s", f.Where)
		}
		out = append(out, f)
		return true
	})
	return out, append(ps, found...)
}

// The examples of well-known text in OGC 06-103r4, OpenGIS Simple feature access, Part 1, 2011, section
// 7.2.6, table 6 (from memory of its kinds of text): each must be read as what it is.
func TestKinds(t *testing.T) {
	tests := []struct {
		text                       string
		polygons, rings, lines, at int
	}{
		{"Point (10 10)", 0, 0, 0, 1},
		{"LineString ( 10 10, 20 20, 30 40)", 0, 0, 1, 0},
		{"Polygon ((10 10, 10 20, 20 20, 20 15, 10 10))", 1, 1, 0, 0},
		{"MultiPoint ((10 10), (20 20))", 0, 0, 0, 2},
		{"MultiPoint (10 10, 20 20)", 0, 0, 0, 2},
		{"MultiLineString ( (10 10, 20 20), (15 15, 30 15) )", 0, 0, 2, 0},
		{"MultiPolygon ( ((10 10, 10 20, 20 20, 20 15, 10 10)), ((60 60, 70 70, 80 60, 60 60 ), (1 1, 2 2, 3 1, 1 1)) )", 2, 3, 0, 0},
		{"GeometryCollection ( POINT (10 10), POINT (30 30), LINESTRING (15 15, 20 20) )", 0, 0, 1, 2},
		{"PolyhedralSurface Z ( ((0 0 0, 0 0 1, 0 1 1, 0 1 0, 0 0 0)), ((0 0 0, 0 1 0, 1 1 0, 1 0 0, 0 0 0)) )", 2, 2, 0, 0},
		{"Tin Z ( ((0 0 0, 0 0 1, 0 1 0, 0 0 0)), ((0 0 0, 0 1 0, 1 0 0, 0 0 0)) )", 2, 2, 0, 0},
		{"TRIANGLE((0 0, 1 0, 0 1, 0 0))", 1, 1, 0, 0},
		{"Point Z (10 10 5)", 0, 0, 0, 1},
		{"Point ZM (10 10 5 40)", 0, 0, 0, 1},
		{"PointM (10 10 40)", 0, 0, 0, 1},
		{"MULTIPOLYGON(EMPTY, ((0 0, 1 0, 0 1, 0 0), EMPTY))", 1, 1, 0, 0},
		{"GEOMETRYCOLLECTION(POLYGON((0 0, 1 0, 0 1, 0 0)), GEOMETRYCOLLECTION(POLYGON((5 5, 6 5, 5 6, 5 5)), POINT EMPTY))", 2, 2, 0, 0},
	}
	for _, tt := range tests {
		g, fault := Parse(tt.text)
		if fault != nil {
			t.Errorf("%s: %v", tt.text, fault)
			continue
		}
		rings := 0
		for _, p := range g.Areas {
			rings += len(p)
		}
		if len(g.Areas) != tt.polygons || rings != tt.rings || len(g.Lines) != tt.lines || len(g.Points) != tt.at {
			t.Errorf("%s: got %d polygons, %d rings, %d lines, %d points", tt.text, len(g.Areas), rings, len(g.Lines), len(g.Points))
		}
		if g.Ground != (tt.polygons > 0) {
			t.Errorf("%s: ground is %v", tt.text, g.Ground)
		}
	}
}

func TestFile(t *testing.T) {
	const text = "\ufeff# two lots\r\nPOLYGON((-41.20 38.5, -41.199 38.5,\r\n# the far corner\r\n -41.199 38.5001, -41.20 38.5));\r\n\r\n" +
		"srid=4326; multipolygon z (((0 1 7.5, 1 1 8.5, 1 2 9, 0 1 7)))\nPOINT EMPTY\nPOLYGON EMPTY POINT(1 2)"
	fs, ps := read(t, input(text))
	if len(fs) != 5 || len(ps) != 0 {
		t.Fatalf("got %d features, %v", len(fs), ps)
	}
	want := orb.Ring{{-41.2, 38.5}, {-41.199, 38.5}, {-41.199, 38.5001}, {-41.2, 38.5}}
	if got := fs[0].Areas[0][0]; !orb.Ring(got).Equal(want) {
		t.Errorf("got %v, want %v", got, want)
	}
	if fs[0].Decimals != 4 || fs[0].Where != "lots.wkt: line 2" {
		t.Errorf("got %d decimals at %s", fs[0].Decimals, fs[0].Where)
	}
	if h := fs[1].Heights; h.Count != 4 || h.Sum != 32 {
		t.Errorf("got heights %v", h)
	}
	if fs[2].Ground || !fs[3].Ground || fs[3].Problems[0].Code != "no-geometry" || fs[3].Broken {
		t.Errorf("empty geometries: %+v, %+v", fs[2], fs[3])
	}
}

func TestFaults(t *testing.T) {
	tests := []struct {
		text, code, where string
		broken            bool
	}{
		{"POLYGON((0 0, 1 0, NaN 1))", "coordinate-not-a-number", "lots.wkt:1:20", true},
		{"POLYGON((0 0, 1 0, 1e999 1))", "coordinate-out-of-range", "lots.wkt:1:20", true},
		{"POLYGON((0 0, 1 0, 1,5 1))", "coordinate-missing", "lots.wkt:1:20", true},
		{"POLYGON((0 0,\n 1 0,\n  0x10 1))", "coordinate-not-a-number", "lots.wkt:3:3", true},
		{"POLYGON((0 0, 1 0, 1_0 1))", "coordinate-not-a-number", "lots.wkt:1:20", true},
		{"POLYGON((0 0, 1 0 5, 1 1))", "wrong-nesting", "lots.wkt:1:15", true},
		{"POLYGON Z((0 0 1, 1 0, 1 1 1))", "coordinate-missing", "lots.wkt:1:19", true},
		{"POLYGON((0 0 1 2 3))", "not-wkt", "lots.wkt:1:18", true},
		{"POLYGON(0 0, 1 0, 1 1)", "not-wkt", "lots.wkt:1:9", true},
		{"POLYGON((0 0, 1 0, 1 1)", "not-wkt", "lots.wkt:1:24", true},
		{"POLYGON(EMPTY, (0 0, 1 0, 1 1))", "wrong-nesting", "lots.wkt:1:16", true},
		{"POINT(NaN NaN)", "coordinate-not-a-number", "lots.wkt:1:7", false},
		{"LINESTRING(0 0, 1)", "coordinate-missing", "lots.wkt:1:17", false},
		{"CURVEPOLYGON(CIRCULARSTRING(0 0, 1 1, 2 0))", "curved-edge", "lots.wkt:1:1", true},
		{"é POLYGN((0 0, 1 0, 1 1))", "not-wkt", "lots.wkt:1:1", true},
		{"SRID=;POLYGON((0 0, 1 0, 1 1))", "not-wkt", "lots.wkt:1:6", true},
		{"SRID=4326 POLYGON((0 0, 1 0, 1 1))", "not-wkt", "lots.wkt:1:11", true},
		{strings.Repeat("GEOMETRYCOLLECTION(", 9) + "POLYGON((0 0, 1 0, 1 1))" + strings.Repeat(")", 9), "nested-too-deep", "lots.wkt:1:153", true},
	}
	for _, tt := range tests {
		fs, ps := read(t, input(tt.text))
		if len(fs) != 1 || len(ps) != 0 || len(fs[0].Problems) != 1 {
			t.Errorf("%q: got %d features, %v", tt.text, len(fs), ps)
			continue
		}
		p := fs[0].Problems[0]
		if p.Code != tt.code || p.Where != tt.where || fs[0].Broken != tt.broken || len(fs[0].Areas) > 0 {
			t.Errorf("%q: got broken %v, %v, want %s at %s", tt.text, fs[0].Broken, p, tt.code, tt.where)
		}
	}
}

// A fault in one geometry leaves those after it.
func TestFaultKeepsNeighbours(t *testing.T) {
	fs, _ := read(t, input("POLYGON((0 0, 1 0, 1 1\nPOLYGON((5 5, 6 5, 6 6, 5 5))\nhello\nworld\nPOLYGON((7 7, 8 7, 8 8, 7 7)))\nGEOMETRYCOLLECTION(\nPOINT(1 1),\nPOLYGON((9 9, 10 9, 10 10, 9 9)))"))
	var got []string
	for _, f := range fs {
		got = append(got, fmt.Sprint(strings.TrimPrefix(f.Where, "lots.wkt: line "), f.Broken, len(f.Areas)))
	}
	if s, want := strings.Join(got, ", "), "1true 0, 2false 1, 3true 0, 5false 1, 5true 0, 6false 1"; s != want {
		t.Errorf("got %s, want %s", s, want)
	}
}

func TestUnknownSystem(t *testing.T) {
	const text = "SRID=999999;POLYGON((1 1, 2 1, 2 2, 1 1))\nSRID=999999;POINT(1 1)"
	fs, ps := read(t, input(text))
	if len(ps) != 1 || ps[0].Code != "other-crs" || !strings.Contains(ps[0].Fix, "--crs") || !fs[0].Broken || len(fs[1].Points) > 0 {
		t.Errorf("got %v, %+v", ps, fs)
	}
	in := input(text)
	in.CRS, _ = crs.Parse("EPSG:4326")
	if fs, ps = read(t, in); ps.HasErrors() || len(ps) != 1 || ps[0].Code != "crs-overridden" || len(fs[0].Areas) != 1 {
		t.Errorf("named by the user: got %v, %+v", ps, fs)
	}
}

func TestNumber(t *testing.T) {
	tests := []struct {
		text     string
		x        float64
		decimals int
	}{
		{"1", 1, 0}, {"-1.50", -1.5, 2}, {"+.5", 0.5, 1}, {"7.", 7, 0}, {"1.25e1", 12.5, 1}, {"1.5E-3", 0.0015, 4}, {"125e-1", 12.5, 1}, {"1.5e300", 1.5e300, 0},
	}
	for _, tt := range tests {
		if x, n, err := Number(tt.text); x != tt.x || n != tt.decimals || err != nil {
			t.Errorf("%s: got %v with %d decimals, %v", tt.text, x, n, err)
		}
	}
	for _, bad := range []string{"", ".", "-", "e5", "1e", "1e+", "--1", "1-", "1.2.3", "Inf", "nan", "0x1p4", "1_000", "1,5", "1e5.5", "1e400"} {
		if x, _, err := Number(bad); err == nil {
			t.Errorf("%q: read as %v", bad, x)
		}
	}
}

func TestUTF16AndLarge(t *testing.T) {
	wide := []byte("\xff\xfe")
	for _, c := range []byte("POINT(1 2)") {
		wide = append(wide, c, 0)
	}
	fs, ps := read(t, raw.Input{Name: "a", Data: bytes.NewReader(wide), Size: int64(len(wide))})
	if len(ps) > 0 || len(fs) != 1 || fs[0].Points[0] != (orb.Point{1, 2}) {
		t.Errorf("UTF-16: got %v, %v", fs, ps)
	}
	if s, ps := Open(raw.Input{Name: "a", Data: strings.NewReader(""), Size: MaxBytes + 1}); s != nil || ps[0].Code != "file-too-large" {
		t.Errorf("large: got %v", ps)
	}
	if s, ps := Open(input("# nothing\n\n")); s != nil || ps[0].Code != "empty-file" {
		t.Errorf("empty: got %v", ps)
	}
}

func FuzzOpen(f *testing.F) {
	f.Add("POLYGON((0 0, 1 0, 1 1, 0 0))\n# c\nSRID=26915;MULTIPOLYGON Z(((1 2 3,4 5 6,7 8 9)))")
	f.Add("GEOMETRYCOLLECTION(POINT(1 2),GEOMETRYCOLLECTION(LINESTRING EMPTY)) TIN(((0 0,1 0,1 1,0 0)))")
	f.Add("POLYGON((0 0, 1 0\nPOINT M (1 2 3)\n)))EMPTY;é")
	f.Fuzz(func(t *testing.T, text string) {
		s, ps := Open(input(text))
		if s == nil {
			if !ps.HasErrors() {
				t.Fatal("no source, no error")
			}
			return
		}
		s.Scan(func(h int64, f *raw.Feature) bool {
			if f.Broken != (f.Problems.HasErrors() && f.Ground) && !strings.Contains(strings.ToUpper(text), "SRID") {
				t.Errorf("%q: broken %v, ground %v: %v", text, f.Broken, f.Ground, f.Problems)
			}
			for _, p := range f.Areas {
				for _, r := range p {
					for _, c := range r {
						if math.IsNaN(c[0]+c[1]) || math.IsInf(c[0], 0) || math.IsInf(c[1], 0) {
							t.Errorf("%q: corner %v", text, c)
						}
					}
				}
			}
			return true
		})
	})
}
