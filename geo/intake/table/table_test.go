package table

import (
	"fmt"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

func input(text string) raw.Input {
	return raw.Input{Name: "lots.csv", Data: strings.NewReader(text), Size: int64(len(text))}
}

// read scans a file and loads each feature by its handle, which must be the same.
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
	last := int64(-1)
	ps = s.Scan(func(handle int64, f *raw.Feature) bool {
		g := s.Load(handle)
		if g.Where != f.Where || g.ID != f.ID || g.Broken != f.Broken || fmt.Sprint(g.Members, g.Areas, g.Problems) != fmt.Sprint(f.Members, f.Areas, f.Problems) {
			t.Errorf("Load gives %+v, Scan %+v", g, f)
		}
		if handle <= last {
			t.Errorf("handle %d follows %d", handle, last)
		}
		last = handle
		out = append(out, g)
		return true
	})
	return out, ps
}

func codes(ps problem.List) string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Code)
	}
	return strings.Join(out, " ")
}

const square = "POLYGON((-41.2 38.5, -41.199 38.5, -41.199 38.5001, -41.2 38.5))"

func TestTexts(t *testing.T) {
	tests := []struct{ name, text string }{
		{"comma", "id,name,surface,wkt\nF1,front,turf,\"" + square + "\"\n"},
		{"byte order mark and CR LF", "\xef\xbb\xbfid,name,surface,geometry\r\nF1,front,turf,\"" + square + "\"\r\n"},
		{"CR", "id,name,surface,geom\rF1,front,turf,\"" + square + "\"\r"},
		{"semicolon", "id;name;surface;the_geom\nF1;front;turf;" + square},
		{"tab", "id\tname\tsurface\tShape\nF1\tfront\tturf\t" + square},
		{"separator said", "sep=;\nid;name;surface;wkt\nF1;front;turf;" + square},
		{"an odd name", "id,name,surface,Where It Is\nF1,front,turf,\"" + square + "\"\n"},
		{"no quotes", "id,name,surface,wkt\nF1,front,turf," + square + "\n"},
		{"no quotes, in the middle", "id,wkt,name,surface\nF1," + square + ",front,turf\n"},
		{"an SRID without quotes", "id;name;surface;wkt\nF1;front;turf;SRID=4326;" + square},
		{"short rows and blank ones", "id,name,surface,wkt,note\n\n,,,,\nF1,front,turf,\"" + square + "\"\n\n"},
		{"Latin-1 elsewhere", "id,name,surface,wkt,note\nF1,front,turf,\"" + square + "\",caf\xe9"},
		{"UTF-16, little end", wide("id\tname\tsurface\twkt\nF1\tfront\tturf\t"+square, 0)},
		{"UTF-16, big end", wide("id,name,surface,wkt\nF1,front,turf,\""+square+"\"", 1)},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			fs, ps := read(t, input(tt.text))
			if len(fs) != 1 || ps.HasErrors() || len(fs[0].Areas) != 1 || len(fs[0].Problems) > 0 {
				t.Fatalf("got %d features, %v", len(fs), ps)
			}
			f := fs[0]
			if f.ID != "F1" || f.Members.Text("name") != "front" || f.Members.Text("surface") != "turf" || f.Decimals != 4 {
				t.Errorf("got %+v", f)
			}
			if got := f.Areas[0][0][2]; got != (orb.Point{-41.199, 38.5001}) {
				t.Errorf("got corner %v", got)
			}
			if note := f.Members.Text("note"); note != "" && note != "café" {
				t.Errorf("got note %q", note)
			}
		})
	}
}

// wide is text in UTF-16 with its byte order mark.
func wide(text string, big int) string {
	b := []byte{0xff, 0xfe}
	if big == 1 {
		b = []byte{0xfe, 0xff}
	}
	for _, c := range []byte(text) {
		pair := [2]byte{}
		pair[big] = c
		b = append(b, pair[:]...)
	}
	return string(b)
}

// A row with a line end inside quotes keeps its place, and those after it too.
func TestLines(t *testing.T) {
	fs, ps := read(t, input("name,note,wkt\n\"back\"\"s\nbed\",\"a, b\",\""+square+"\"\nfront,5\" pipe,POINT(1 2)\nside,,POLYGON((0 0\n"))
	if len(fs) != 3 || len(ps) > 0 {
		t.Fatalf("got %d, %v", len(fs), ps)
	}
	if fs[0].Members.Text("name") != "back\"s\nbed" || fs[0].Members.Text("note") != "a, b" {
		t.Errorf("got %q", fs[0].Members)
	}
	if fs[1].Where != "lots.csv: line 4 (front)" || fs[1].Members.Text("note") != `5" pipe` || fs[1].Ground {
		t.Errorf("got %+v", fs[1])
	}
	if !fs[2].Broken || fs[2].Problems[0].Where != "lots.csv: line 5 (side)" || !strings.Contains(fs[2].Problems[0].What, "character 13") {
		t.Errorf("got %v", fs[2].Problems)
	}
}

func TestTextProblems(t *testing.T) {
	tests := []struct{ name, text, file, feature string }{
		{"empty", "", "empty-file", ""},
		{"blanks", "\n \n", "empty-file", ""},
		{"header alone", "name,wkt\n", "no-outlines", ""},
		{"no header", "F1,\"" + square + "\"\n", "no-header", ""},
		{"numbers first", "-41.2,38.5\n-41.1,38.5\n", "no-header", ""},
		{"other columns", "name,address\na,b\n", "no-coordinates", ""},
		{"one column", "name\na\n", "no-coordinates", ""},
		{"a quote left open", "name,wkt\na,\"POINT(1 2)\nb,POINT(1 2)\n", "quote-not-closed", ""},
		{"no geometry", "name,wkt\na,\nb,POINT(1 2)\n", "", "no-geometry"},
		{"all empty", "name,wkt\na,\n", "", "no-geometry"},
		{"not text", "name,wkt\na,0103000000\n", "", "not-wkt"},
		{"too many values", "name,wkt\na,POINT(1 2),b\n", "", "row-too-long"},
		{"unknown system", "name;wkt\na;SRID=999999;" + square + "\n", "other-crs", "other-crs"},
		{"columns alike", "name,name,wkt\na,b,POINT(1 2)\n", "member-repeated", ""},
		{"easting without a system", "easting,northing\n1,2\n", "other-crs", ""},
	}
	for _, tt := range tests {
		fs, ps := read(t, input(tt.text))
		var feature string
		if len(fs) > 0 {
			feature = codes(fs[0].Problems)
		}
		if codes(ps) != tt.file || feature != tt.feature {
			t.Errorf("%s: got file %q, feature %q, want %q, %q", tt.name, codes(ps), feature, tt.file, tt.feature)
		}
	}
}

func TestCorners(t *testing.T) {
	want := "[[[[0 0] [4 0] [4 3.5] [0 0]]]]"
	tests := []struct{ name, text, want string }{
		{"plain", "lon,lat\n0,0\n4,0\n4,3.5\n0,0\n", want},
		{"names and order of columns", "Latitude,Longitude\n0,0\n0,4\n3.5,4\n0,0\n", want},
		{"decimal comma", "x;y\n0;0\n4,0;0\n4;3,5\n0;0\n", want},
		{"tab", "x\ty\n0\t0\n4\t0\n4\t3.5\n0\t0\n", want},
		{"corners with ids of their own", "id,lon,lat\n1,0,0\n2,4,0\n3,4,3.5\n4,0,0\n", want},
		{"order", "lon,lat,seq\n4,3.5,30\n0,0,10\n0,0,40\n4,0,20\n", want},
		{"order in words", "lon,lat,point\n0,0,P1\n4,0,P2\n4,3.5,P3\n0,0,P4\n", want},
		{"order closed by its first number", "lon,lat,seq\n0,0,1\n4,0,2\n4,3.5,3\n0,0,1\n", "[[[[0 0] [0 0] [4 0] [4 3.5]]]]"},
		{"hole", "outline,lon,lat,hole\na,0,0,\na,9,0,\na,9,9,\na,1,1,yes\na,2,1,yes\na,2,2,yes\n", "[[[[0 0] [9 0] [9 9]] [[1 1] [2 1] [2 2]]]]"},
		{"two holes by number", "outline,lon,lat,hole\na,0,0,0\na,9,0,0\na,9,9,0\na,1,1,1\na,5,5,2\na,2,1,1\na,6,5,2\na,2,2,1\na,6,6,2\n",
			"[[[[0 0] [9 0] [9 9]] [[1 1] [2 1] [2 2]] [[5 5] [6 5] [6 6]]]]"},
		{"two holes, each closed", "lon,lat,hole\n0,0,0\n9,0,0\n9,9,0\n1,1,yes\n2,1,yes\n2,2,yes\n1,1,yes\n5,5,yes\n6,5,yes\n6,6,yes\n5,5,yes\n5,5,yes\n",
			"[[[[0 0] [9 0] [9 9]] [[1 1] [2 1] [2 2] [1 1]] [[5 5] [6 5] [6 6] [5 5]]]]"},
		{"two parts without a name, each closed", "lon,lat\n0,0\n1,0\n1,1\n0,0\n5,5\n6,5\n6,6\n5,5\n", "[[[[0 0] [1 0] [1 1] [0 0]]] [[[5 5] [6 5] [6 6] [5 5]]]]"},
	}
	for _, tt := range tests {
		fs, ps := read(t, input(tt.text))
		if len(fs) != 1 || ps.HasErrors() || fs[0].Problems.HasErrors() {
			t.Errorf("%s: got %d features, %v", tt.name, len(fs), ps)
			continue
		}
		if got := fmt.Sprint(fs[0].Areas); got != tt.want {
			t.Errorf("%s: got %s, want %s", tt.name, got, tt.want)
		}
	}
}

// Outlines may be mixed row by row; members come from the first row of each.
func TestOutlines(t *testing.T) {
	fs, ps := read(t, input("outline,surface,lon,lat,ele\nfront,turf,0,0,10\nbed,bed,5,5.125,\nfront,,1,0,20\nbed,,6,5,x\n,,6,6,\nfront,turf,1,1,30\n"))
	if len(fs) != 2 || codes(ps) != "outline-carried" {
		t.Fatalf("got %d, %v", len(fs), ps)
	}
	a, b := fs[0], fs[1]
	if a.ID != "front" || a.Where != "lots.csv: line 2 (front)" || a.Members.Text("surface") != "turf" || a.Heights != (raw.Heights{Sum: 60, Count: 3}) {
		t.Errorf("got %+v", a)
	}
	if b.Members.Text("surface") != "bed" || len(b.Areas[0][0]) != 3 || b.Decimals != 3 || b.Heights.Count != 0 {
		t.Errorf("got %+v", b)
	}
}

func TestCornerProblems(t *testing.T) {
	tests := []struct{ name, text, code, where string }{
		{"no longitude", "outline,lon,lat\na,0,0\na,,0\na,1,1\n", "coordinate-missing", "lots.csv: line 3"},
		{"not a number", "outline,lon,lat\na,0,0\na,1,0\na,1,5N\n", "coordinate-not-a-number", "lots.csv: line 4"},
		{"NaN", "outline,lon,lat\na,0,0\na,1,0\na,1,NaN\n", "coordinate-not-a-number", "lots.csv: line 4"},
		{"decimal comma beside commas", "outline,lon,lat\na,0,0\na,1,0\na,\"1,5\",0\n", "coordinate-not-a-number", "lots.csv: line 4"},
		{"surfaces differ", "lon,lat,surface\n0,0,turf\n1,0,turf\n1,1,bed\n", "member-differs", "lots.csv: line 4"},
		{"order repeated", "lon,lat,seq\n0,0,1\n1,0,2\n1,1,2\n", "order-repeated", "lots.csv: line 4"},
		{"order in part", "lon,lat,seq\n0,0,1\n1,0,2\n1,1,\n", "order-unclear", "lots.csv: line 2"},
		{"hole word", "lon,lat,hole\n0,0,maybe\n1,0,\n1,1,\n", "hole-unclear", "lots.csv: line 2"},
		{"hole alone", "lon,lat,hole\n0,0,yes\n1,0,yes\n1,1,yes\n", "hole-without-outline", "lots.csv: line 2"},
		{"rings of unknown kind", "polygon,ring,lon,lat\na,1,0,0\na,1,9,0\na,1,9,9\na,2,1,1\na,2,2,1\na,2,2,2\n", "ring-unclear", "lots.csv: line 2 (a)"},
		{"no name", "outline,lon,lat\n,0,0\n,1,0\n,1,1\n", "no-outline-name", "lots.csv: line 2"},
		{"too many values", "outline,lon,lat\na,0,0\na,1,0,7\na,1,1\n", "row-too-long", "lots.csv: line 3"},
	}
	for _, tt := range tests {
		fs, ps := read(t, input(tt.text))
		if len(fs) != 1 || ps.HasErrors() || len(fs[0].Problems) != 1 || !fs[0].Broken || len(fs[0].Areas) > 0 {
			t.Errorf("%s: got %d features, %v", tt.name, len(fs), ps)
			continue
		}
		if p := fs[0].Problems[0]; p.Code != tt.code || p.Where != tt.where {
			t.Errorf("%s: got %v, want %s at %s", tt.name, p, tt.code, tt.where)
		}
	}
	fs, _ := read(t, input("lon,lat,seq\n0,0,1\n1,0,2\n2,1,3\n3,3,5\n0,4,6\n"))
	if codes(fs[0].Problems) != "corner-skipped" || fs[0].Broken {
		t.Errorf("a number left out: got %v", fs[0].Problems)
	}
	fs, _ = read(t, input("lon,lat\n"+strings.Repeat("0,\n", 500)))
	if len(fs[0].Problems) != mostProblems+1 {
		t.Errorf("got %d problems", len(fs[0].Problems))
	}
}

// Columns called longitude and latitude are degrees whatever the user's system is; others are of that system.
func TestSystems(t *testing.T) {
	utm, err := crs.Parse("EPSG:26915")
	if err != nil {
		t.Skipf("EPSG:26915 is not known: %v", err)
	}
	// cs2cs of PROJ 9.1.1, EPSG:26915 to EPSG:4269: 480000 4980000 is 44.973159 -93.253639.
	in := input("easting;northing\n480000,0;4980000,0\n480010,0;4980000,0\n480010,0;4980010,0\n")
	in.CRS = utm
	fs, ps := read(t, in)
	if ps.HasErrors() || len(fs) != 1 || math.Abs(fs[0].Step-0.1) > 1e-12 || fs[0].Decimals != 0 {
		t.Fatalf("got %v, %+v", ps, fs)
	}
	if p := fs[0].Areas[0][0][0]; math.Abs(p[0]+93.253639) > 1e-6 || math.Abs(p[1]-44.973159) > 1e-6 {
		t.Errorf("got %v", p)
	}
	in = input("lon,lat\n-93.25,44.97\n-93.24,44.97\n-93.24,44.98\n")
	in.CRS = utm
	if fs, _ = read(t, in); fs[0].Areas[0][0][0] != (orb.Point{-93.25, 44.97}) || fs[0].Decimals != 2 {
		t.Errorf("degrees: got %+v", fs[0])
	}
}

// Several goroutines may load at once.
func TestLoadTogether(t *testing.T) {
	var b strings.Builder
	b.WriteString("id,wkt\n")
	for i := range 200 {
		fmt.Fprintf(&b, "F%d,\"SRID=4326;%s\"\n", i, square)
	}
	s, _ := Open(input(b.String()))
	var handles []int64
	s.Scan(func(h int64, f *raw.Feature) bool { handles = append(handles, h); return true })
	var wg sync.WaitGroup
	for i, h := range handles {
		wg.Go(func() {
			if f := s.Load(h); f.ID != fmt.Sprintf("F%d", i) || len(f.Areas) != 1 {
				t.Errorf("got %+v", f)
			}
		})
	}
	wg.Wait()
	if len(handles) != 200 {
		t.Errorf("got %d rows", len(handles))
	}
}

func FuzzOpen(f *testing.F) {
	f.Add("id,name,wkt\nF1,\"a \"\"b\"\"\n\",\"" + square + "\"\nF2,,POINT(1 2)")
	f.Add("outline;lon;lat;order;hole\na;0,5;1;1;\na;1;1;2;yes\n;1;2;3;0\n")
	f.Add("sep=\t\nx\ty\tring\n1\t2\t3\n\"1\"\t2\t\n")
	f.Add(wide("id,wkt\n1,POINT(1 2)", 0))
	f.Fuzz(func(t *testing.T, text string) {
		fs, _ := read(t, input(text))
		for _, g := range fs {
			if g.Broken && !g.Problems.HasErrors() {
				t.Errorf("%q: broken without a reason", text)
			}
			if g.Problems.HasErrors() && g.Ground && !g.Broken {
				t.Errorf("%q: %v", text, g.Problems)
			}
			for _, p := range g.Areas {
				for _, r := range p {
					for _, c := range r {
						if math.IsNaN(c[0]+c[1]) || math.IsInf(c[0], 0) || math.IsInf(c[1], 0) {
							t.Errorf("%q: corner %v", text, c)
						}
					}
				}
			}
		}
	})
}
