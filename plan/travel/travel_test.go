package travel_test

import (
	"math"
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

// Drives made from an estimate give it back; one that is 4 min longer shows.
func TestFit(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		per, access := rapid.Float64Range(0.02, 0.5).Draw(t, "per metre"), unit.Time(rapid.Float64Range(0, 300).Draw(t, "access"))
		var known []travel.Known
		for i := range rapid.IntRange(1, 6).Draw(t, "drives") {
			x := unit.Length(500 + 900*float64(i))
			known = append(known, travel.Known{Straight: x, Time: access + unit.Time(per*float64(x))})
		}
		f, err := travel.Fit(known, access)
		if err != nil || math.Abs(1/float64(f.Speed)-per) > 1e-9 || math.Abs(float64(f.Access-access)) > 1e-5 {
			t.Fatalf("got %+v, %v, want %v and %v", f, err, per, access)
		}
	})
	for _, known := range [][]travel.Known{nil, {{Straight: 0, Time: 60}}, {{Straight: 1000, Time: unit.Time(math.NaN())}}, {{1000, 600}, {2000, 300}, {3000, 60}}} {
		if f, err := travel.Fit(known, 0); err == nil {
			t.Errorf("%v: got %+v", known, f)
		}
	}
}
