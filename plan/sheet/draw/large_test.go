package draw

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

// large is the map of the largest site of the shared outlines, a golf course, with passes of a ride-on of 20 ft; skipped aloud without it.
func large(t testing.TB) (sheet.Map, unit.Area) {
	t.Helper()
	dir := os.Getenv("TANKFUL_SHARED")
	if dir == "" {
		t.Skip("NOT CHECKED: TANKFUL_SHARED is not set, so no golf course is drawn")
	}
	data, err := os.ReadFile(filepath.Join(dir, "data", "properties", "large_vancouver_west.geojson"))
	if err != nil {
		t.Fatal(err)
	}
	list, _ := intake.Read("large.geojson", data, intake.Options{})
	var best *geo.Site
	for _, p := range list {
		if s := geo.Measure(p, geo.MeasureOptions{}); s.Net != nil && (best == nil || s.NetArea > best.NetArea) {
			best = s
		}
	}
	a := plan.Applicator{Name: "ride-on", Kind: plan.RideOn, Swath: 20 * unit.Foot}
	laid, err := plan.LayPasses(best, &a, plan.Laying{})
	if err != nil {
		t.Fatal(err)
	}
	passes, ground := plan.PassesOf(best, laid), plan.MapOf(best)
	return sheet.PassMap(&ground, &passes, unit.US), best.NetArea
}

func largeDocument(m sheet.Map) *sheet.Document {
	return &sheet.Document{Title: "Golf course", Fingerprint: "0123456789", Paper: sheet.Letter, Pages: []sheet.Page{{Title: "Stop 1: Golf course", Stop: 1,
		Blocks: []sheet.Block{m, sheet.Text{Text: "Areas."}, sheet.Break{}, sheet.Heading{Text: "Passes"}, sheet.Text{Text: "All of them."}}}}}
}

// A site whose passes lie too close together on one sheet is drawn once whole and once in parts, which show every pass; no label lies on another.
func TestLargeSitesHaveParts(t *testing.T) {
	m, net := large(t)
	whole := layoutMap(m, 190, 150)
	parts := testEngine(t).mapParts(m, whole, 190, 200)
	if len(parts) < 2 || len(parts) > mostParts {
		t.Fatalf("%d parts of %.1f ha at 1:%d", len(parts), net.In(unit.Hectare), whole.scale)
	}
	seen, names := map[int]bool{}, map[string]bool{}
	for _, p := range parts {
		names[p.name] = true
		for _, q := range p.m.Passes {
			seen[q.N] = true
			for _, c := range q.Line {
				if at := p.l.at(c); at.X < -1e-6 || at.Y < -1e-6 || at.X > p.l.w+1e-6 || at.Y > p.l.h+1e-6 {
					t.Fatalf("part %s: pass %d leaves the frame at %v", p.name, q.N, at)
				}
			}
		}
		for _, n := range p.beside {
			if n == p.name {
				t.Errorf("part %s is beside itself", n)
			}
		}
	}
	if len(names) != len(parts) {
		t.Errorf("%d names of %d parts", len(names), len(parts))
	}
	for _, q := range m.Passes {
		if !seen[q.N] {
			t.Errorf("pass %d is in no part", q.N)
		}
	}
	d := largeDocument(m)
	pages, marks, err := render(d)
	if err != nil {
		t.Fatal(err)
	}
	texts := ""
	for i, c := range pages {
		r := record(c)
		checkPage(t, "golf", i+1, r)
		for _, x := range r.texts {
			texts += x.text + "\n"
		}
	}
	for _, p := range parts {
		if !strings.Contains(texts, fmt.Sprintf("Map, part %s of ", p.name)) {
			t.Errorf("part %s has no sheet", p.name)
		}
	}
	if len(pages) != 2+len(parts) || len(marks) < len(parts) {
		t.Errorf("%d sheets of paper and %d marks for %d parts", len(pages), len(marks), len(parts))
	}
	t.Logf("%.1f ha, %d passes: whole at 1:%d, %d parts at 1:%d", net.In(unit.Hectare), len(m.Passes), whole.scale, len(parts), parts[0].l.scale)
	if os.Getenv("TANKFUL_KEEP") != "" {
		var b bytes.Buffer
		if err := PDF(&b, d); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(os.Getenv("TANKFUL_KEEP"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// A field that is 400 passes wide goes into parts too; a lawn of 100 passes does not need them on letter paper.
func TestPartsByPasses(t *testing.T) {
	for feet, want := range map[float64]bool{1000: false, 4000: true} {
		m := mapOf(t, sheettest.Stop(1, "P-01", "x", sheettest.Rect{0, 0, 300, feet}, nil))
		l := layoutMap(m, 190, 150)
		if got := len(testEngine(t).mapParts(m, l, 190, 200)) > 0; got != want {
			t.Errorf("%v passes at 1:%d, %.2f mm apart: parts %v, want %v", len(m.Passes), l.scale, m.Swath.In(unit.Metre)*l.perMetre(), got, want)
		}
	}
}

// A line that leaves the frame and comes back is two pieces, with the lengths at which they begin. By hand, at 1:1000 in a frame of 100 x 100 mm about
// 0, 0, which is 100 m x 100 m: from -60, 0 to 0, 0 to 0, 80 to 20, 80 to 20, 0 it is inside from 10 m to 110 m and from 190 m to 240 m.
func TestLinesAreCutAtTheFrame(t *testing.T) {
	l := mapLayout{scale: 1000, w: 100, h: 100}
	got := l.inFrame([]geom.Coord{{-60, 0}, {0, 0}, {0, 80}, {20, 80}, {20, 0}}, 0)
	if len(got) != 2 || len(got[0].line) != 3 || len(got[1].line) != 2 {
		t.Fatalf("got %+v", got)
	}
	for i, want := range [][2]unit.Length{{10, 110}, {190, 240}} {
		if a, b := got[i].from-want[0]*unit.Metre, got[i].to-want[1]*unit.Metre; a*a+b*b > 1e-12 {
			t.Errorf("piece %d is from %v to %v, want %v", i, got[i].from, got[i].to, want)
		}
	}
}

// BenchmarkLargeSite is a golf course from its map to its PDF, parts and all.
func BenchmarkLargeSite(b *testing.B) {
	m, _ := large(b)
	d := largeDocument(m)
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		if err := PDF(&out, d); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(out.Len()), "bytes")
	b.ReportMetric(float64(len(m.Passes)), "passes")
}

func testEngine(t testing.TB) *engine {
	t.Helper()
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	return &engine{f: f}
}
