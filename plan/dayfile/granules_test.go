package dayfile

import (
	"math"
	"slices"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// spreading is the small day with granules on its first stop besides.
var spreading = strings.NewReplacer(
	"applicators:\n", `  - {name: Pellets, form: granule, containers: [{name: bag, holds: 50 lb}], label: {most: 5 lb/1000 sq ft, citation: made up}}
applicators:
  - {name: Spreader, kind: spreader, throws: drop, swath: 3 ft, side_step: 3 ft, turn_time: 2 s}
`,
	"    catch_tests:\n", `    catch_tests:
      - {applicator: Spreader, product: Pellets, date: 2026-04-01, course: 100 ft, spacing: 3 ft, runs: [24 s, 26 s], lost: [1.2 lb, 1.2 lb, 1.2 lb], setting: 4.5}
`,
	"trucks:\n", `  - {name: Granules, operator: Kim, applicator: Spreader, products: [{product: Pellets, rate: 4 lb/1000 sq ft}]}
trucks:
`, "    mix: Feed mix\n    notes", "    mixes: [Feed mix, Granules]\n    notes").Replace(small)

// The course of 100 ft x 3 ft is walked in 25 s on the mean.
func TestGranules(t *testing.T) {
	d, found := parseWhole(spreading)
	if len(found) != 0 {
		t.Fatal(found)
	}
	i := slices.IndexFunc(d.Operators[0].Tests, func(x plan.Test) bool { return x.Spreader != nil })
	x := d.Operators[0].Tests[i].Spreader
	if x.Kind != calibrate.Drop || x.Setup.Product != "Pellets" || x.Setting != 4.5 || len(x.Trials) != 3 || math.Abs(float64(x.Time)-25) > 1e-9 || math.Abs(x.Trials[0].Caught.In(unit.Pound)-1.2) > 1e-9 {
		t.Errorf("test: %+v", x)
	}
	m := d.Mixes[len(d.Mixes)-1]
	if !d.Spread("Granules") || d.Spread("Feed mix") || m.Products[0].Rate.Dry != 4*unit.PoundPerThousand || d.Products[2].Form != label.Granule {
		t.Errorf("mix: %+v", m)
	}
	if n := len(d.Stops); n < 2 || !slices.ContainsFunc(d.Stops, func(s plan.Stop) bool { return s.Mix == "Granules" }) {
		t.Errorf("%d stops, none with granules", n)
	}
}

func TestBadGranules(t *testing.T) {
	for _, c := range [][4]string{
		{", throws: drop", "", "missing-key", ".throws"},
		{"throws: drop", "throws: far", "unknown-word", ".throws"},
		{"kind: gun", "kind: gun\n    throws: drop", "not-a-spreader", ".throws"},
		{"throws: drop", "throws: drop, hose: 100 ft", "not-of-a-spreader", ".hose"},
		{"lost: [1.2 lb, 1.2 lb, 1.2 lb], ", "", "missing-key", ".lost"},
		{"lost: [1.2 lb, 1.2 lb, 1.2 lb]", "lost: 1.2 lb, caught: 1.2 lb", "missing-key", ".lost"},
		{"lost: [1.2 lb,", "lost: [1.2 gal,", "bad-quantity", ".lost[0]"},
		{"spacing: 3 ft", "spacing: 4 ft", "spacing-differs", "catch_tests"},
		{"Spreader, product: Pellets, date", "Spreader, date", "missing-key", ".product"},
		{"rate: 4 lb/1000 sq ft}", "rate: 6 lb/1000 sq ft}", "rate-over-label", ".rate"},
		{"[{product: Pellets, rate: 4 lb/1000 sq ft}]", "[{product: Feed, rate: 4 fl oz/1000 sq ft}]", "not-granules", ".product"},
		{"[{product: Pellets, rate: 4 lb/1000 sq ft}]", "[{product: Pellets, rate: 4 lb/1000 sq ft}], whole: Pellets", "granules-in-tank", ".whole"},
		{"heel: 5 gal, mix: Feed mix", "heel: 5 gal, mix: Granules", "granules-in-tank", ".mix"},
		{"fill_points:", "fill_point:", "unknown-key", "fill_point"},
	} {
		text := strings.Replace(spreading, c[0], c[1], 1)
		if text == spreading {
			t.Errorf("%q does not stand in the day", c[0])
			continue
		}
		_, found := parseWhole(text)
		if !slices.ContainsFunc(found, func(p problem.Problem) bool { return p.Code == c[2] && strings.Contains(p.Where, c[3]) && p.Fix != "" }) {
			t.Errorf("%q for %q: got %v, want %s at %s", c[1], c[0], found, c[2], c[3])
		}
	}
}
