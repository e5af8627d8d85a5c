package travel_test

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/plan/travel"
)

func TestTables(t *testing.T) {
	long := "from,to,minutes,miles\nyard,a,10,4.5\na,yard,12,\n\"a, b\",yard,1.5,0.5\n"
	square := "seconds,yard,a\nyard,0,600\na,720,\n"
	for name, text := range map[string]string{"long": long, "square": square} {
		table, found := travel.ParseCSV("drives.csv", []byte(text))
		if found.HasErrors() {
			t.Fatal(found.Err())
		}
		if c, ok := table.At("yard", "a"); !ok || c.Time != 10*unit.Minute {
			t.Errorf("%s: yard to a: %+v, %v", name, c, ok)
		}
		if c, ok := table.At("a", "yard"); !ok || c.Time != 12*unit.Minute {
			t.Errorf("%s: a to yard: %+v, %v", name, c, ok)
		}
		if _, ok := table.At("a", "nowhere"); ok {
			t.Errorf("%s: a drive to nowhere", name)
		}
	}
	table, _ := travel.ParseCSV("drives.csv", []byte(long))
	if c, _ := table.At("yard", "a"); c.Road != 4.5*unit.Mile {
		t.Errorf("the road is %v", c.Road)
	}
}

func TestBadTables(t *testing.T) {
	for _, tt := range []struct{ text, code, where string }{
		{"", "table-unreadable", "d.csv"},
		{"a,b,c\n", "table-head", "d.csv:1"},
		{"from,to,time\nx,y,3\n", "table-head", "d.csv:1"},
		{"from,to,minutes\n", "table-empty", "d.csv"},
		{"from,to,minutes\nx,y,-3\n", "table-figure", "d.csv:2"},
		{"from,to,minutes\nx,y,NaN\n", "table-figure", "d.csv:2"},
		{"from,to,minutes\nx,y,1e9\n", "table-figure", "d.csv:2"},
		{"from,to,minutes\nx,y\n", "table-short", "d.csv:2"},
		{"from,to,minutes\nx,,3\n", "table-name", "d.csv:2"},
		{"from,to,minutes\nx,y,3\nx,y,4\n", "table-twice", "d.csv:3"},
		{"minutes,x\nx,0,9\n", "table-long", "d.csv:2"},
		{"from,to,minutes\n\"x,y,3\n", "table-unreadable", "d.csv:2"},
	} {
		_, found := travel.ParseCSV("d.csv", []byte(tt.text))
		ok := false
		for _, p := range found {
			ok = ok || p.Code == tt.code && p.Where == tt.where && p.Fix != ""
		}
		if !ok {
			t.Errorf("%q: got %v, want %s at %s", tt.text, found, tt.code, tt.where)
		}
	}
}

func FuzzParseCSV(f *testing.F) {
	f.Add("from,to,minutes,miles\nyard,a,10,4.5\n")
	f.Add("seconds,yard,a\nyard,0,600\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, found := travel.ParseCSV("d.csv", []byte(text))
		if table.Len() == 0 && len(found) == 0 {
			t.Error("nothing read and nothing said")
		}
	})
}

// Drives made from an estimate give it back.
func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		factor, access := rapid.Float64Range(0.2, 5).Draw(t, "factor"), unit.Time(rapid.Float64Range(0, 300).Draw(t, "access"))
		var known []travel.Known
		for i := range rapid.IntRange(1, 6).Draw(t, "drives") {
			x := unit.Time(100 + 180*float64(i))
			known = append(known, travel.Known{Estimate: x, Time: access + unit.Time(factor)*x})
		}
		f, err := travel.Fit(known, access)
		if err != nil || math.Abs(f.Factor-factor) > 1e-9 || math.Abs(float64(f.Access-access)) > 1e-5 {
			t.Fatalf("got %+v, %v, want %v and %v", f, err, factor, access)
		}
	})
	for _, known := range [][]travel.Known{nil, {{Estimate: 0, Time: 60}}, {{Estimate: 1000, Time: unit.Time(math.NaN())}}, {{1000, 600}, {2000, 300}, {3000, 60}}} {
		if f, err := travel.Fit(known, 0); err == nil {
			t.Errorf("%v: got %+v", known, f)
		}
	}
}

// A mile at 15 mph takes 4 min, two more at 30 mph as long, and ten more at 60 mph ten: 1 mi at v mph takes 60/v min.
func TestCurve(t *testing.T) {
	c := travel.Curve{{Within: unit.Mile, Speed: 15 * unit.MilePerHour}, {Within: 3 * unit.Mile, Speed: 30 * unit.MilePerHour}, {Speed: 60 * unit.MilePerHour}}
	if err := c.Check(); err != nil {
		t.Fatal(err)
	}
	for miles, minutes := range map[float64]float64{0: 0, 0.5: 2, 1: 4, 2: 6, 3: 8, 13: 18} {
		if got := c.Time(unit.Length(miles) * unit.Mile).In(unit.Minute); math.Abs(got-minutes) > 1e-9 {
			t.Errorf("%v mi: %v min, want %v", miles, got, minutes)
		}
	}
	for _, bad := range []travel.Curve{nil, {{Within: 100, Speed: 1}}, {{Speed: 0}}, {{Speed: unit.Speed(math.NaN())}}, {{Speed: 1}, {Speed: 2}}, {{Within: 200, Speed: 1}, {Within: 100, Speed: 1}, {Speed: 1}}, {{Within: -1, Speed: 1}, {Speed: 1}}} {
		if bad.Check() == nil {
			t.Errorf("%v is a curve", bad)
		}
	}
}

func TestJSON(t *testing.T) {
	for name, text := range map[string]string{
		"own":     `{"places": ["yard", "a"], "unit": "minutes", "times": [[0, 10], [12, null]], "road_unit": "miles", "roads": [[0, 4.5], [null, 0]]}`,
		"service": `{"code": "Ok", "places": ["yard", "a"], "durations": [[0, 600], [720, 0]], "distances": [[0, 7242.048], [null, 0]]}`,
	} {
		table, found := travel.Parse("d.json", []byte(text))
		if len(found) > 0 {
			t.Fatal(found)
		}
		there, ok := table.At("yard", "a")
		back, ok2 := table.At("a", "yard")
		if !ok || !ok2 || there.Time != 10*unit.Minute || math.Abs(float64(there.Road-4.5*unit.Mile)) > 1e-9 || back != (travel.Cell{Time: 12 * unit.Minute}) || table.Len() != 2 {
			t.Errorf("%s: %+v, %+v", name, there, back)
		}
		var b strings.Builder
		if err := table.WriteCSV(&b); err != nil {
			t.Fatal(err)
		}
		again, found := travel.Parse("d.csv", []byte(b.String()))
		if x, _ := again.At("yard", "a"); len(found) > 0 || again.Len() != 2 || x != there {
			t.Errorf("%s, written and read: %v, %v", name, x, found)
		}
	}
	for _, tt := range []struct{ text, code string }{
		{"{", "table-unreadable"},
		{"{} {}", "table-unreadable"},
		{`{"places": ["a"], "times": [[0]]}`, "table-head"},
		{`{"unit": "minutes", "times": [[0]]}`, "table-head"},
		{`{"places": ["a", "b"], "unit": "minutes", "times": [[0, 1]]}`, "table-short"},
		{`{"places": ["a", "b"], "unit": "minutes", "times": [[0, 1], [0]]}`, "table-short"},
		{`{"places": ["a", "a"], "unit": "minutes", "times": [[0, 1], [1, 0]]}`, "table-name"},
		{`{"places": ["a", "b"], "unit": "minutes", "times": [[0, -1], [1, 0]]}`, "table-figure"},
		{`{"places": ["a", "b"], "unit": "hours", "times": [[0, 30], [1, 0]]}`, "table-figure"},
		{`{"places": ["a", "b"], "unit": "hours", "times": [[0, 3], [1, 0]], "roads": [[0, 1], [1, 0]]}`, "table-head"},
		{`{"places": ["a", "b"], "unit": "hours", "times": [[0, 3], [1, 0]], "durations": [[0, 1], [1, 0]]}`, "table-twice"},
		{`{"places": ["a"], "unit": "hours", "times": [[0]]}`, "table-empty"},
	} {
		_, found := travel.Parse("d.json", []byte(tt.text))
		if len(found) != 1 || found[0].Code != tt.code || found[0].Fix == "" {
			t.Errorf("%s: got %v, want %s", tt.text, found, tt.code)
		}
	}
}

func FuzzParseJSON(f *testing.F) {
	f.Add(`{"places": ["yard", "a"], "unit": "minutes", "times": [[0, 10], [12, null]]}`)
	f.Fuzz(func(t *testing.T, text string) {
		table, found := travel.ParseJSON("d.json", []byte(text))
		if table.Len() == 0 && len(found) == 0 {
			t.Error("nothing read and nothing said")
		}
	})
}
