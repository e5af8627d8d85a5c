package draw

import (
	"bytes"
	"flag"
	"fmt"
	"image"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/tdewolff/canvas"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

var update = flag.Bool("update", false, "rewrite the golden files")

// lister writes down what is drawn: every text with its place, and every path with what it is filled and stroked with and its box, in tenths of a millimetre.
type lister struct {
	w, h float64
	out  strings.Builder
}

func (l *lister) Size() (float64, float64)               { return l.w, l.h }
func (l *lister) RenderImage(image.Image, canvas.Matrix) {}
func (l *lister) RenderText(t *canvas.Text, m canvas.Matrix) {
	b := t.OutlineBounds().Transform(m)
	fmt.Fprintf(&l.out, "text %.1f %.1f %.1f %.1f %q\n", b.X0, b.Y0, b.X1, b.Y1, t.Text)
}

func (l *lister) RenderPath(p *canvas.Path, s canvas.Style, m canvas.Matrix) {
	b := p.Bounds().Transform(m)
	what := ""
	if s.HasFill() {
		what += fmt.Sprintf(" fill %02x%02x%02x", s.Fill.Color.R, s.Fill.Color.G, s.Fill.Color.B)
	}
	if s.HasStroke() {
		what += fmt.Sprintf(" line %.2f", s.StrokeWidth)
	}
	fmt.Fprintf(&l.out, "path %.1f %.1f %.1f %.1f%s, %d\n", b.X0, b.Y0, b.X1, b.Y1, what, p.Len())
}

func listed(c *canvas.Canvas) string {
	l := &lister{w: c.W, h: c.H}
	fmt.Fprintf(&l.out, "paper %.1f %.1f\n", c.W, c.H)
	c.RenderTo(l)
	return l.out.String()
}

// goldens are twelve drawings: maps of the demo and of tests, and sheets. Each was looked at in print size, in half of it and in grey.
func goldens(t *testing.T) map[string]*canvas.Canvas {
	t.Helper()
	out := map[string]*canvas.Canvas{}
	put := func(name string, m sheet.Map) {
		c, err := mapAlone(m, 150*unit.Millimetre, 130*unit.Millimetre)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = c
	}
	p := sheettest.Demo(t, unit.US)
	for property, name := range map[string]string{"spray-street-15": "house", "mirror-pond": "pond", "drift-lane": "curved-verge", "long-quay": "turned-verge", "harbour-office": "islands", "gull-row-11": "corner"} {
		stops := p.StopsAt(property)
		if len(stops) == 0 {
			t.Fatalf("the demo has no stop at %s", property)
		}
		put(name, sheet.PassMap(&stops[0].Map, &stops[0].Passes, unit.US))
	}
	put("empty", sheet.Map{Units: unit.US})
	metric := mapOf(t, lawn())
	metric.Units, metric.Hose = unit.Metric, 40*unit.Metre
	metric.Scales = []int{100, 200, 250, 300, 400, 500, 600, 750, 1000}
	metric.Marks = append(metric.Marks, sheet.Mark{Kind: sheet.AtTruck, At: metric.Passes[0].Line[0], Text: "TRUCK"}, sheet.Mark{Kind: sheet.TankChange, At: metric.Passes[9].Line[1], Text: "LOAD 1 ENDS"})
	metric.Passes[12].Beyond, metric.Passes[0].Lap = true, true
	metric.Zones = []sheet.ZoneGround{{Name: "front", Shape: metric.Turf}}
	put("hose-zone-lap", metric)
	put("left-out", mapOf(t, sheettest.Stop(1, "P-01", "x", sheettest.Rect{0, 0, 200, 220}, map[geo.Surface]sheettest.Rect{geo.Building: {10, 10, 60, 60}, geo.Bed: {80, 10, 130, 60},
		geo.Hardscape: {10, 80, 60, 130}, geo.Water: {80, 80, 130, 130}, geo.KeepOff: {10, 150, 60, 200}})))
	for name, part := range map[string]sheet.Options{"load-sheet": {Only: []sheet.Part{sheet.Loads}}, "stop-sheet": {Only: []sheet.Part{sheet.Stops}, Property: "P-02", Server: "http://10.0.0.5:8080"}} {
		d, err := sheet.Truck(sheettest.Plan(), "T1", part)
		if err != nil {
			t.Fatal(err)
		}
		out[name] = first(t, d)
	}
	d, err := sheet.Notices(sheettest.Plan(), "T1", sheet.Options{Property: "P-01"}, []plan.Applied{{Property: "P-01", Date: "2027-04-12", Began: 8 * unit.Hour, WindFrom: "NW"}})
	if err != nil {
		t.Fatal(err)
	}
	out["notice"] = first(t, d)
	return out
}

func first(t *testing.T, d *sheet.Document) *canvas.Canvas {
	t.Helper()
	pages, _, err := render(d)
	if err != nil {
		t.Fatal(err)
	}
	return pages[0]
}

func TestGolden(t *testing.T) {
	all := goldens(t)
	if len(all) != 12 {
		t.Errorf("%d drawings, want 12", len(all))
	}
	for name, c := range all {
		golden(t, name+".txt", listed(c))
	}
	// One of them byte by byte, as a file.
	var b bytes.Buffer
	if err := writeSVG(&b, all["curved-verge"]); err != nil {
		t.Fatal(err)
	}
	golden(t, "curved-verge.svg", b.String())
}

// golden holds a text against a file, and tells where they part.
func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", "golden", name)
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	g, w := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		if i >= len(g) || i >= len(w) || g[i] != w[i] {
			line := func(lines []string) string {
				if i < len(lines) {
					return lines[i][:min(len(lines[i]), 200)]
				}
				return "(no line)"
			}
			t.Errorf("%s, line %d:\n got %s\nwant %s\nlook at the picture, then -update", name, i+1, line(g), line(w))
			return
		}
	}
	if len(got) > 80_000 {
		t.Errorf("%s has %d bytes, want at most 80,000", name, len(got))
	}
}
