package dayfile

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"tankful/calc/unit"
)

// progressScript has the progress files that the command's own tests are given, good ones and bad ones.
var progressScript = filepath.Join("..", "..", "cmd", "tankful", "testdata", "day_progress.txtar")

// Whatever the bytes of a progress file, ParseProgress gives a day and a progress, and a list whose entries are whole; without errors in it, what planning takes for granted holds.
func FuzzParseProgress(f *testing.F) {
	data, err := os.ReadFile(progressScript)
	if err != nil {
		f.Fatal(err)
	}
	seeds := 0
	for _, file := range txtar.Parse(data).Files {
		if strings.HasSuffix(file.Name, ".yaml") {
			seeds++
			f.Add(file.Data)
		}
	}
	if seeds < 8 {
		f.Fatalf("%d progress files in the script, want 8 or more", seeds)
	}
	// The same for the day of these tests, with every key.
	whole := []byte(`tankful_progress: 1
plan: 8c96b72c3e
now: "10:50"
trucks:
  - {name: Truck, done: [a], begun: {property: b, passes: 2}, gauges: [{tank: tank, reads: 62 gal, after: a}], at: {lon: -41.2, lat: 38.5}}
cannot: [{property: b, why: gate locked, from: "14:00"}]
spray_until: "14:00"
no_filling: true
closed: [Hydrant]
add: [{outline: lots.geojson, property: b, mix: Feed mix, set_up: 4 min}]
`)
	if _, _, problems := ParseProgress("day.yaml", []byte(small), "now.yaml", whole, files, noOptions); len(problems) > 0 {
		f.Fatal(problems)
	}
	f.Add(whole)
	for _, s := range []string{"", "a", "- a", "a: [", "tankful_progress: 2\nnow: 1:00\n", "tankful_progress: 1\nnow: \"24:01\"\n", "tankful_progress: 1\nnow: \"07:00\"\ntrucks: [{}, null, ~, x]\n",
		"tankful_progress: 1\nnow: \"07:00\"\ntrucks: [{name: Truck, done_to: -1}]\n", "tankful_progress: 1\nnow: \"07:00\"\ntrucks: [{name: Truck, done_to: 1e99, at: {lon: .nan, lat: .inf}}]\n",
		"tankful_progress: 1\nnow: \"07:00\"\ntrucks: [{name: Truck, out: true}]\n", "tankful_progress: 1\nnow: &x \"07:00\"\nspray_until: *x\n", "\xef\xbb\xbftankful_progress: 1"} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		day, g, problems := ParseProgress("day.yaml", []byte(small), "now.yaml", data, files, noOptions)
		if day == nil || g == nil || g.Where != "now.yaml" {
			t.Fatalf("day %v, progress %+v", day != nil, g)
		}
		for _, p := range problems {
			if p.Code == "" || p.Fix == "" || p.What == "" || !strings.HasPrefix(p.Where, "day.yaml:") && !strings.HasPrefix(p.Where, "now.yaml:") {
				t.Errorf("an entry is not whole: %+v", p)
			}
		}
		if problems.HasErrors() {
			return
		}
		hour := func(name string, at unit.Time) {
			if !(at >= 0 && at <= 24*unit.Hour) {
				t.Errorf("%s is %v", name, at)
			}
		}
		hour("now", g.Now)
		hour("the end of spraying", g.SprayUntil)
		if g.SprayUntil > 0 && g.SprayUntil <= g.Now {
			t.Errorf("spraying ends at %v, and it is %v", g.SprayUntil, g.Now)
		}
		for _, x := range g.Trucks {
			if x.Truck != "Truck" || x.Where == "" || x.DoneTo < 0 || x.DoneTo > 1000 || x.Begun == "" != (x.Passes == 0) {
				t.Errorf("truck: %+v", x)
			}
			for _, r := range x.Gauges {
				if r.Tank == "" || r.Where == "" || !(r.Reads >= 0 && r.Reads <= 10_000*unit.Gallon) {
					t.Errorf("gauge: %+v", r)
				}
			}
		}
		for _, x := range g.Cannot {
			hour("a gate", x.From)
			if x.Property == "" || x.Why == "" || x.Where == "" {
				t.Errorf("cannot: %+v", x)
			}
		}
		for _, name := range g.Closed {
			if name != "Hydrant" {
				t.Errorf("closed: %q", name)
			}
		}
		for i := range g.Add {
			if s := &g.Add[i]; s.Site == nil || s.Mix != "Feed mix" || s.Where == "" || s.SetUp < 0 {
				t.Errorf("a stop to add: %+v", s)
			}
		}
	})
}
