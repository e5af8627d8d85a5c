package draw

import (
	"bytes"
	"image"
	"image/png"
	"math"
	"regexp"
	"strings"
	"testing"

	"github.com/tdewolff/canvas"
	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

func document(t testing.TB, p *plan.Plan) *sheet.Document {
	t.Helper()
	d, err := sheet.Truck(p, "T1", sheet.Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// stress is what a layout must bear: 30 stops, 400 passes at one, long and accented names,
// no notes or a page of them, another script.
func stress() *plan.Plan {
	p := sheettest.Many(30)
	long := strings.Repeat("Überlängenweg Nº 12½ ", 10)
	unbroken := strings.Repeat("W", 200)
	field := sheettest.Stop(2, p.Stops[1].Property, long, sheettest.Rect{0, 0, 30, 4000}, nil)
	field.Products = p.Stops[1].Products
	p.Stops[1] = field
	p.Stops[0].Notes = strings.Repeat("Gate code on the order; dog, niño, façade. ", 30)
	p.Stops[2].Name, p.Stops[3].Name = unbroken, "芝生 газон"
	p.Stops[4].Name, p.Stops[4].Notes = "בית ספר צפון 12", "הכלב בחצר, השער 4411. "+strings.Repeat("العشب خلف المبنى رقم 7، ", 8)
	p.Stops[5].Name, p.Stops[5].Notes = "Nhà thờ Đức Bà, sân cỏ phía sau", "Żółć, gęślą jaźń; İstanbul çimi; žluťoučký kůň; œuvre"
	p.Outfit = long
	for i := range p.Loads[0].Products {
		p.Loads[0].Products[i].Name = long
	}
	p.Mixes[0].Products[0].Cautions = []string{long, unbroken}
	p.Loads[0].Tank, p.Loads[0].FillPoint = unbroken[:80], long
	p.Loads[0].Stops[0].Name = unbroken
	return p
}

// placed is a text on a page, in millimetres from the lower left corner.
type placed struct {
	text string
	r    canvas.Rect
}

// recorder is a renderer that notes where texts stand.
type recorder struct {
	w, h  float64
	texts []placed
}

func (r *recorder) Size() (float64, float64)                             { return r.w, r.h }
func (r *recorder) RenderPath(*canvas.Path, canvas.Style, canvas.Matrix) {}
func (r *recorder) RenderImage(img image.Image, m canvas.Matrix)         {}
func (r *recorder) RenderText(t *canvas.Text, m canvas.Matrix) {
	b := t.OutlineBounds().Transform(m)
	r.texts = append(r.texts, placed{t.Text, b})
}

func record(c *canvas.Canvas) *recorder {
	r := &recorder{w: c.W, h: c.H}
	c.RenderTo(r)
	return r
}

func TestNoTextOverlapsOrLeavesThePage(t *testing.T) {
	metric := stress()
	sheettest.In(metric, unit.Metric)
	for name, p := range map[string]*plan.Plan{"plain": sheettest.Plan(), "stress": stress(), "metric": metric} {
		d := document(t, p)
		pages, _, err := render(d)
		if err != nil {
			t.Fatal(err)
		}
		for i, c := range pages {
			checkPage(t, name, i+1, record(c))
		}
	}
}

func checkPage(t *testing.T, name string, page int, r *recorder) {
	t.Helper()
	const slack = 0.15 // mm: side bearings
	for i, a := range r.texts {
		if a.r.X0 < margin-slack || a.r.X1 > r.w-margin+slack || a.r.Y0 < margin-4 || a.r.Y1 > r.h-margin+slack {
			t.Errorf("%s page %d: %q leaves the margins at %.1f %.1f %.1f %.1f", name, page, a.text, a.r.X0, a.r.Y0, a.r.X1, a.r.Y1)
		}
		for _, b := range r.texts[:i] {
			if min(a.r.X1, b.r.X1)-max(a.r.X0, b.r.X0) > slack && min(a.r.Y1, b.r.Y1)-max(a.r.Y0, b.r.Y0) > slack {
				t.Errorf("%s page %d: %q lies on %q", name, page, a.text, b.text)
			}
		}
	}
}

func TestTableFits(t *testing.T) {
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	text := rapid.StringMatching(`[A-Za-z0-9 .,é-]{0,60}|W{100}`)
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(1, 9).Draw(t, "columns")
		var table sheet.Table
		for range n {
			table.Columns = append(table.Columns, sheet.Column{Head: text.Draw(t, "head"), Align: sheet.Align(rapid.IntRange(0, 1).Draw(t, "align"))})
		}
		for range rapid.IntRange(0, 4).Draw(t, "rows") {
			row := sheet.Row{Bold: rapid.Bool().Draw(t, "bold")}
			for range n {
				row.Cells = append(row.Cells, text.Draw(t, "cell"))
			}
			table.Rows = append(table.Rows, row)
		}
		width := rapid.Float64Range(70, 200).Draw(t, "width")
		l := f.layoutTable(table, width)
		if got := sum(l.widths); got > width+1e-6 {
			t.Fatalf("columns take %v mm of %v", got, width)
		}
		for i, r := range table.Rows {
			face := f.face(l.size, r.Bold)
			for j, lines := range l.rows[i] {
				for _, s := range lines {
					if w := f.width(face, s); w > l.widths[j]-2*cellPad+1e-6 && len([]rune(s)) > 1 {
						t.Fatalf("%q is %v mm wide in a column of %v", s, w, l.widths[j]-2*cellPad)
					}
				}
				if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.ReplaceAll(r.Cells[j], " ", ""); got != want {
					t.Fatalf("got %q on paper, want %q", got, want)
				}
			}
		}
	})
}

func mapOf(t *testing.T, s plan.StopPlan) sheet.Map {
	t.Helper()
	p := sheettest.Plan()
	p.Stops[0] = s
	for _, b := range document(t, p).Pages[1].Blocks {
		if m, ok := b.(sheet.Map); ok {
			return m
		}
	}
	t.Fatal("the stop's page has no map")
	return sheet.Map{}
}

func lawn() plan.StopPlan {
	return sheettest.Stop(1, "P-01", "Corner lot", sheettest.Rect{0, 0, 200, 220}, map[geo.Surface]sheettest.Rect{
		geo.Building: {60, 60, 120, 100}, geo.Bed: {140, 140, 180, 180}})
}

// What is drawn, measured back with the scale printed beside it, is the net turf.
func TestMapAreaAndScaleBar(t *testing.T) {
	for _, u := range []unit.System{unit.US, unit.Metric} {
		s := lawn()
		m := mapOf(t, s)
		m.Units = u
		l := layoutMap(m, 190, 130)
		mm2 := 0.0
		for _, r := range l.rings(m.Turf) {
			mm2 += area(r)
		}
		per := float64(l.scale) / 1000 // metres of ground for a millimetre of paper
		got, want := mm2*per*per, s.Measure.Net.In(unit.SquareMetre)
		if math.Abs(got-want) > 0.001*want {
			t.Errorf("%s: the drawn turf is %v m2, want %v", u, got, want)
		}
		b := l.scaleBar(u)
		a, z := l.at(geom.Coord{0, 0}), l.at(geom.Coord{b.step.In(unit.Metre) * float64(b.parts), 0})
		if got, want := b.mm*float64(b.parts), z.Sub(a).Length(); math.Abs(got-want) > 0.005*want {
			t.Errorf("%s: the scale bar is %v mm long, the ground it names %v mm", u, got, want)
		}
		if long := b.mm * float64(b.parts); long < 20 || long > 80 {
			t.Errorf("%s: the scale bar is %v mm long", u, long)
		}
	}
}

func TestMapFitsItsFrame(t *testing.T) {
	for _, lawn := range []sheettest.Rect{{0, 0, 200, 220}, {0, 0, 2000, 30}, {0, 0, 30, 4000}, {0, 0, 10, 10}, {-90000, 0, 90000, 40}} {
		m := mapOf(t, sheettest.Stop(1, "P-01", "x", lawn, nil))
		l := layoutMap(m, 190, 130)
		for _, p := range m.Passes {
			for _, c := range p.Line {
				if !l.inside(l.at(c)) {
					t.Fatalf("lawn %v at 1:%d: %v is outside the frame", lawn, l.scale, c)
				}
			}
		}
		if l.h > 130 {
			t.Errorf("lawn %v: the frame is %v mm high, more than 130", lawn, l.h)
		}
	}
}

func TestScaleText(t *testing.T) {
	tests := []struct {
		scale int
		u     unit.System
		want  string
	}{{600, unit.US, "1 in = 50 ft (1:600)"}, {250, unit.Metric, "1:250"}, {500, unit.US, "1:500"}, {1200, unit.Metric, "1:1,200"}}
	for _, test := range tests {
		if got := (mapLayout{scale: test.scale}).scaleText(test.u); got != test.want {
			t.Errorf("got %q, want %q", got, test.want)
		}
	}
}

func TestLabelsAreThinned(t *testing.T) {
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	m := mapOf(t, sheettest.Stop(1, "P-01", "x", sheettest.Rect{0, 0, 30, 4000}, nil))
	d := newDrawing(&engine{f: f}, m, layoutMap(m, 190, 130), 0, 0)
	shown := d.placeLabels()
	if n := len(shown); n == 0 || n > 100 {
		t.Errorf("got %d labels on 130 mm, want some and at most 100", n)
	}
	labels := d.taken[len(m.Marks):] // the marks themselves stand where they stand
	for i, a := range labels {
		for _, b := range labels[:i] {
			if a.X0 < b.X1 && b.X0 < a.X1 && a.Y0 < b.Y1 && b.Y0 < a.Y1 {
				t.Fatalf("labels overlap at %v and %v", a, b)
			}
		}
	}
}

// A verge a few millimetres wide on paper keeps its numbers beside it.
func TestNumbersDoNotHideNarrowTurf(t *testing.T) {
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	m := mapOf(t, sheettest.Stop(1, "P-01", "x", sheettest.Rect{0, 0, 500, 15}, nil))
	d := newDrawing(&engine{f: f}, m, layoutMap(m, 190, 130), 0, 0)
	shown, seen := d.placeLabels(), 0
	for n, l := range shown {
		if l.text == "" {
			continue
		}
		seen++
		if touches(l.at, d.turf) {
			t.Errorf("number %d lies on the turf", n)
		}
	}
	if seen == 0 {
		t.Error("no pass is numbered")
	}
}

func TestTouches(t *testing.T) {
	ring := [][]canvas.Point{{{X: 0, Y: 0}, {X: 10, Y: 0}, {X: 10, Y: 10}, {X: 0, Y: 10}}}
	tests := []struct {
		name string
		r    canvas.Rect
		want bool
	}{
		{"inside", canvas.Rect{X0: 4, Y0: 4, X1: 6, Y1: 6}, true},
		{"over an edge", canvas.Rect{X0: 9, Y0: 4, X1: 13, Y1: 6}, true},
		{"around", canvas.Rect{X0: -90, Y0: -90, X1: 110, Y1: 91}, true},
		{"beside", canvas.Rect{X0: 10.5, Y0: 4, X1: 13, Y1: 6}, false},
	}
	for _, test := range tests {
		if got := touches(test.r, ring); got != test.want {
			t.Errorf("%s: got %v, want %v", test.name, got, test.want)
		}
	}
}

// Printed on both sides, every stop begins on a front: sheets 1, 3, 5 ...
func TestStopsBeginOnFronts(t *testing.T) {
	for name, p := range map[string]*plan.Plan{"plain": sheettest.Plan(), "many": sheettest.Many(9)} {
		pages, _, err := render(document(t, p))
		if err != nil {
			t.Fatal(err)
		}
		begun := 0
		for i, c := range pages {
			for _, text := range record(c).texts {
				if strings.HasPrefix(text.text, "Stop ") && strings.Contains(text.text, ":") && !strings.HasSuffix(text.text, "(continued)") {
					begun++
					if i%2 != 0 {
						t.Errorf("%s: %q begins on sheet %d", name, text.text, i+1)
					}
				}
			}
		}
		if begun == 0 {
			t.Errorf("%s: no stop found", name)
		}
	}
}

func TestHatchesAreDrawn(t *testing.T) {
	ring := [][]canvas.Point{{{X: 0, Y: 0}, {X: 40, Y: 0}, {X: 40, Y: 30}, {X: 0, Y: 30}}}
	for _, s := range geo.LeftOut {
		h, ok := hatches[s]
		if !ok {
			t.Errorf("%s has no hatch", s)
			continue
		}
		if h.dots {
			if dots(ring, h).Empty() {
				t.Errorf("%s: no dots", s)
			}
			continue
		}
		for _, a := range h.angles {
			// Lines a distance apart of a thickness cover thickness / distance of the ground.
			got := 0.0
			for _, line := range lines(pathOf(ring), a, h).Split() {
				got += math.Abs(area(line.Coords()))
			}
			if want := 40 * 30 * h.thick / h.dist; math.Abs(got-want) > 0.08*want {
				t.Errorf("%s at %v degrees: lines cover %v mm2, want about %v", s, a, got, want)
			}
		}
	}
}

func TestPDF(t *testing.T) {
	for name, p := range map[string]*plan.Plan{"plain": sheettest.Plan(), "stress": stress()} {
		d := document(t, p)
		var b bytes.Buffer
		if err := PDF(&b, d); err != nil {
			t.Fatal(err)
		}
		want, err := Pages(d)
		if err != nil {
			t.Fatal(err)
		}
		if got := len(regexp.MustCompile(`/Type\s*/Page\b`).FindAll(b.Bytes(), -1)); got != want {
			t.Errorf("%s: the PDF has %d pages, want %d", name, got, want)
		}
		if !bytes.HasPrefix(b.Bytes(), []byte("%PDF-1.")) || !bytes.Contains(b.Bytes(), []byte("/ToUnicode")) {
			t.Errorf("%s: no PDF head or no selectable text", name)
		}
	}
}

func TestSVGIsStable(t *testing.T) {
	d := document(t, sheettest.Plan())
	first, err := Layout(d)
	if err != nil {
		t.Fatal(err)
	}
	second, err := Layout(document(t, sheettest.Plan()))
	if err != nil {
		t.Fatal(err)
	}
	n := first.Len()
	for page := 1; page <= n; page++ {
		var a, b bytes.Buffer
		if err := first.SVG(&a, page); err != nil {
			t.Fatal(err)
		}
		if err := second.SVG(&b, page); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("page %d differs from run to run", page)
		}
		if bytes.Contains(a.Bytes(), []byte("<text")) || !bytes.HasPrefix(a.Bytes(), []byte("<svg")) {
			t.Errorf("page %d: text is not drawn as outlines", page)
		}
	}
	if err := SVG(&bytes.Buffer{}, d, n+1); err == nil {
		t.Errorf("page %d of %d is drawn", n+1, n)
	}
}

func TestPNG(t *testing.T) {
	d := document(t, sheettest.Plan())
	var b bytes.Buffer
	if err := PNG(&b, d, 1, 72); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if got := img.Bounds().Size(); got != image.Pt(612, 792) { // 8.5 x 11 in at 72 dpi
		t.Errorf("got %v, want 612 x 792", got)
	}
	for _, dpi := range []float64{0, 10, 5000, math.NaN()} {
		if err := PNG(&bytes.Buffer{}, d, 1, dpi); err == nil {
			t.Errorf("%v dpi is drawn", dpi)
		}
	}
}

func TestMapAlone(t *testing.T) {
	m := mapOf(t, lawn())
	var a, b bytes.Buffer
	if err := MapSVG(&a, m, 160*unit.Millimetre, 120*unit.Millimetre); err != nil {
		t.Fatal(err)
	}
	if err := MapPNG(&b, m, 160*unit.Millimetre, 120*unit.Millimetre, 100); err != nil {
		t.Fatal(err)
	}
	img, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if w, h := img.Bounds().Dx(), img.Bounds().Dy(); w != 630 || h > 473 { // 160 x at most 120 mm at 100 dpi
		t.Errorf("got %d x %d", w, h)
	}
	if err := MapSVG(&a, sheet.Map{Units: unit.US}, 160*unit.Millimetre, 120*unit.Millimetre); err != nil {
		t.Errorf("an empty map: %v", err)
	}
	if err := MapSVG(&a, m, 0, 0); err == nil {
		t.Error("a map of no size is drawn")
	}
}

func TestEmptyDocument(t *testing.T) {
	if err := PDF(&bytes.Buffer{}, &sheet.Document{}); err == nil {
		t.Error("a document without pages is drawn")
	}
	if err := PDF(&bytes.Buffer{}, nil); err == nil {
		t.Error("no document is drawn")
	}
}

func TestFontsHaveWhatSheetsUse(t *testing.T) {
	f, err := newFonts()
	if err != nil {
		t.Fatal(err)
	}
	const s = "0123456789 ±·…½¼²° éèñöüßçåøÉ Nº газон Nhà thờ Đức Bà żółć İstanbul ğış בית ספר العشب Ωμέγα"
	if got := f.clean(s); got != s {
		t.Errorf("got %q, want %q", got, s)
	}
	if got := f.clean("芝\x00\n"); got != "? " {
		t.Errorf("got %q, want a question mark and a blank", got)
	}
}
