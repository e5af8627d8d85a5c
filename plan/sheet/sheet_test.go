package sheet

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

var update = flag.Bool("update", false, "rewrite the golden files")

func document(t *testing.T, p *plan.Plan) *Document {
	t.Helper()
	d, err := Truck(p, "T1", Options{})
	if err != nil {
		t.Fatal(err)
	}
	return d
}

func TestGolden(t *testing.T) {
	got := document(t, sheettest.Plan()).Text()
	file := filepath.Join("testdata", "golden", "day.txt")
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	gl, wl := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range max(len(gl), len(wl)) {
		if i >= len(gl) || i >= len(wl) || gl[i] != wl[i] {
			t.Fatalf("line %d: got\n%q\nwant\n%q", i+1, at(gl, i), at(wl, i))
		}
	}
}

func at(lines []string, i int) string {
	if i < len(lines) {
		return lines[i]
	}
	return "(no line)"
}

// The figures were worked by hand, with a pocket calculator, from the comment on sheettest.Plan.
func TestFiguresByHand(t *testing.T) {
	d := document(t, sheettest.Plan())
	load, second := d.Pages[0], d.Pages[2]
	tests := []struct {
		page Page
		want string
	}{
		{load, "188 gal / (2.05 gal/1000 sq ft) x (6 fl oz/1000 sq ft) = 550.2439 fl oz"},
		{load, "188 gal / (2.05 gal/1000 sq ft) x (0.75 lb/1000 sq ft) = 68.78049 lb"},
		{load, "60 gal / (2.05 gal/1000 sq ft) x (6 fl oz/1000 sq ft) = 175.6098 fl oz"},
		{load, "4 gal 38.2 fl oz"},                                      // 550.2 - 4 x 128
		{load, "Water to about half, agitation on: gauge about 94 gal"}, // 188 / 2
		{load, "Water to about half, agitation on: gauge about 31 gal"}, // 2 + 60 / 2
		{load, "Top up with water to this gauge reading: 62.0 gal"},     // 60 + 2
		{load, "LOAD ENDS 273 ft into pass 17"},
		{load, "Fill at Yard hydrant, 7:00 am, before the first stop."},
		{load, "Fill at East standpipe, 11:12 am, when load 1 ends at stop 2, 273 ft into pass 17."},
		{load, "725.8 fl oz"}, // 550.2 + 175.6
		{load, "90.73 lb"},    // 68.78 + 21.95
		{load, "catch 3.00 gal in 60 s"},
		{load, "Below 2.85 gal or above 3.15 gal"},
		{load, "No plan for these stops can take less than 6 h 11 min of driving, filling and work (proved); this one takes 6 h 42 min: at most 8.4 % above the best possible."},
		{load, "The tank is empty. This fill also makes the 2.0 gal that stays in it."},
		{load, "The 2.0 gal in the tank is mixed already and needs no product."},
		{second, "Load 1, tank Front: passes 1-17, 104.0 gal: gauge 106.0 to 2.0 gal"},
		{second, "STOP 273 ft into pass 17 and mark the spot."},
		{second, "Fill load 2 into tank Front at East standpipe: to 62.0 gal"},
		{second, "Load 2, tank Front: passes 17-20, 19.0 gal: gauge 62.0 to 43.0 gal"}, // 123.0 - 104.0; 62.0 - 19.0
		{second, "Under 116.9 gal or over 129.2 gal"},                                  // 123.0 less and plus 5 %: 116.85, 129.15
		{second, "60,000 sq ft x 2.05 gal/1000 sq ft = 123.0 gal"},
		{second, "    16  300    7.6"}, // 106.0 - 16 x 6.15
		{second, "    17  300   61.4"}, // 17 x 6.15 = 104.55; 62.0 - (104.6 - 104.0)
		{second, "    20  300   43.0"}, // 62.0 - 19.0
		{second, "[Load 1 ends: 273 ft into pass 17]"},
		{d.Pages[1], "[Gauge before, tank Front: 188.0 gal] [Gauge after, tank Front: 106.0 gal]"}, // 188.0 - 82.0
	}
	for _, test := range tests {
		one := Document{Pages: []Page{test.page}}
		if text := one.Text(); !strings.Contains(text, test.want) {
			t.Errorf("%s: %q is missing from\n%s", test.page.Title, test.want, text)
		}
	}
}

func TestOrderOfPages(t *testing.T) {
	d := document(t, sheettest.Plan())
	want := []string{"Load sheet: truck T1", "Stop 1: Corner lot", "Stop 2: Field behind the school", "Stop 3: Two oaks", "Working: truck T1"}
	if len(d.Pages) != len(want) {
		t.Fatalf("got %d pages, want %d", len(d.Pages), len(want))
	}
	for i, p := range d.Pages {
		if p.Title != want[i] {
			t.Errorf("page %d: got %q, want %q", i, p.Title, want[i])
		}
	}
	if d.Paper != Letter || !strings.HasPrefix(d.Text(), InventedMark) {
		t.Errorf("got paper %q and head %q, want letter and the invented mark", d.Paper, d.Text()[:40])
	}
}

func TestMetric(t *testing.T) {
	p := sheettest.Plan()
	sheettest.In(p, unit.Metric)
	p.Invented = false
	d := document(t, p)
	text := d.Text()
	if d.Paper != A4 {
		t.Errorf("got paper %q, want a4", d.Paper)
	}
	for _, not := range []string{" gal", " ft", "fl oz", " lb", ":00 am", ":30 am", "mph", InventedMark} {
		if strings.Contains(text, not) {
			t.Errorf("a metric sheet has %q in it", not)
		}
	}
}

func TestClock(t *testing.T) {
	tests := []struct {
		at         unit.Time
		us, metric string
	}{
		{0, "12:00 am", "00:00"}, {7*unit.Hour + 5*unit.Minute, "7:05 am", "07:05"}, {12 * unit.Hour, "12:00 pm", "12:00"},
		{13*unit.Hour - 10, "1:00 pm", "13:00"}, {25 * unit.Hour, "1:00 am +1 day", "01:00 +1 day"},
	}
	for _, test := range tests {
		if got := (writer{u: unit.US}).clock(test.at); got != test.us {
			t.Errorf("clock(%v s) in us: got %q, want %q", float64(test.at), got, test.us)
		}
		if got := (writer{u: unit.Metric}).clock(test.at); got != test.metric {
			t.Errorf("clock(%v s) in metric: got %q, want %q", float64(test.at), got, test.metric)
		}
	}
}

func TestAlong(t *testing.T) {
	line := []geom.Coord{{0, 0}, {10, 0}, {10, 10}}
	tests := []struct {
		walk unit.Length
		want geom.Coord
	}{{4, geom.Coord{4, 0}}, {10, geom.Coord{10, 0}}, {13, geom.Coord{10, 3}}, {99, geom.Coord{10, 10}}, {0, geom.Coord{10, 10}}}
	for _, test := range tests {
		if got := along(line, test.walk); got[0] != test.want[0] || got[1] != test.want[1] {
			t.Errorf("along(%v m): got %v, want %v", float64(test.walk), got, test.want)
		}
	}
}

func TestSecondTankInsteadOfRefill(t *testing.T) {
	p := sheettest.Plan()
	p.Loads[1].Tank, p.Loads[1].FillPoint = "Rear", "Yard hydrant"
	p.Trucks[0].Events[0].Loads = []int{1, 2}
	text := document(t, p).Text()
	if want := "Go on from tank Rear (load 2): gauge 62.0 gal"; !strings.Contains(text, want) {
		t.Errorf("%q is missing", want)
	}
}

// 1 h 00 + 50 min + 4 h 52 min = 6 h 42 min, 402 min.
func TestRoundedTimesThatDoNotAddUp(t *testing.T) {
	const note = "the last minute may not add up"
	p := sheettest.Plan()
	if strings.Contains(document(t, p).Text(), note) {
		t.Error("times that add up are said not to")
	}
	p.Minutes = 401.4
	if !strings.Contains(document(t, p).Text(), note) {
		t.Error("times that do not add up are not said to")
	}
}

func TestMayGive(t *testing.T) {
	tests := []struct {
		name string
		u    unit.System
		v    unit.Volume
		want string
	}{
		{"5 %", unit.US, 40 * unit.Gallon, "Under 38.0 gal or over 42.0 gal"},
		{"no finer than a gauge", unit.US, 8 * unit.Gallon, "Under 7.0 gal or over 9.0 gal"},
		{"less than a gauge shows", unit.US, 0.6 * unit.Gallon, "gauge. Over 1.6 gal: see"},
		{"metric", unit.Metric, 40 * unit.Litre, "Under 36.0 L or over 44.0 L"},
	}
	for _, test := range tests {
		w := writer{u: test.u}
		if got := w.mayGive(test.v); !strings.Contains(got, test.want) {
			t.Errorf("%s: got %q, want %q in it", test.name, got, test.want)
		}
	}
}

// 999.6 - 99.8 = 899.8: printed 1,000 - 100 = 900, which adds up. 999.6 - 99.4 - 99.4 = 800.8:
// printed 1,000 - 99 - 99 = 802, not 801.
func TestRoundedAreasThatDoNotAddUp(t *testing.T) {
	w := writer{u: unit.US}
	for _, test := range []struct {
		bed, building, net unit.Area
		want               bool
	}{{99.8, 0, 899.8, true}, {99.4, 99.4, 800.8, false}} {
		ms := plan.Measure{Turf: 999.6 * unit.SquareFoot, Net: test.net * unit.SquareFoot,
			Excluded: map[geo.Surface]unit.Area{geo.Bed: test.bed * unit.SquareFoot, geo.Building: test.building * unit.SquareFoot}}
		if got := w.addsUp(ms); got != test.want {
			t.Errorf("bed %v, building %v: got %v, want %v", float64(test.bed), float64(test.building), got, test.want)
		}
	}
}

func TestWarningsArePrinted(t *testing.T) {
	p := sheettest.Plan()
	p.Problems.Warnf("old-test", "day.yaml:9", "Catch a new test", "the catch test is 400 days old")
	p.Stops[0].Measure.Problems.Notef("closed-ring", "lots.geojson", "Nothing", "a ring was closed")
	text := document(t, p).Text()
	if want := "CHECK: The catch test is 400 days old. Catch a new test"; !strings.Contains(text, want) {
		t.Errorf("%q is missing", want)
	}
	if strings.Contains(text, "a ring was closed") {
		t.Errorf("a note is printed; only %s and %s belong on a sheet", problem.Warning, problem.Error)
	}
}

func TestManyPassesAreThinned(t *testing.T) {
	p := sheettest.Plan()
	p.Stops[1] = sheettest.Stop(2, "P-02", "Long field", sheettest.Rect{0, 0, 30, 4000}, nil)
	if n := p.Stops[1].Passes.Count; n != 400 {
		t.Fatalf("got %d passes, want 400", n)
	}
	for _, b := range document(t, p).Pages[2].Blocks {
		table, ok := b.(Table)
		if !ok || table.Across != across {
			continue
		}
		rows := map[string]bool{}
		for _, r := range table.Rows {
			rows[strings.TrimSuffix(r.Cells[0], "t")] = true
		}
		// Pass 17 is where load 1 ends.
		for _, n := range []string{"1", "17", "400"} {
			if !rows[n] {
				t.Errorf("pass %s is missing", n)
			}
		}
		if len(table.Rows) > manyPasses+2 {
			t.Errorf("got %d rows, want at most %d", len(table.Rows), manyPasses+2)
		}
	}
}

func TestTruckErrors(t *testing.T) {
	noMix, noUnits := sheettest.Plan(), sheettest.Plan()
	noMix.Mixes = nil
	noUnits.Units = ""
	tests := []struct {
		name  string
		p     *plan.Plan
		truck string
		want  string
	}{
		{"no plan", nil, "T1", "no plan"},
		{"no such truck", sheettest.Plan(), "T9", `no truck "T9"`},
		{"no mix", noMix, "T1", `the mix "Spring"`},
		{"no units", noUnits, "T1", "not us or metric"},
	}
	for _, test := range tests {
		if _, err := Truck(test.p, test.truck, Options{}); err == nil || !strings.Contains(err.Error(), test.want) {
			t.Errorf("%s: got %v, want an error with %q", test.name, err, test.want)
		}
	}
}

// A load that is in the tank already, and one before which the tank is rinsed.
func TestHeldAndRinsed(t *testing.T) {
	p := sheettest.Plan()
	p.Loads[0].Held, p.Loads[0].Fill, p.Loads[0].Products = true, 0, nil
	p.Trucks[0].Events[3].Rinses = []plan.Rinsed{{Tank: "Front", From: "Winter", To: "Spring", Time: 12 * unit.Minute}}
	d, err := Truck(p, "T1", Options{})
	if err != nil {
		t.Fatal(err)
	}
	text := d.Text()
	for _, want := range []string{"in the tank already", "Fill nothing. The gauge should read 188.0 gal to begin with; 186.0 gal goes on turf.", "RINSE the tank, hose and gun first: Winter was in it: 12 min"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not on the sheet", want)
		}
	}
}
