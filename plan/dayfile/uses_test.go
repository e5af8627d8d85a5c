package dayfile

import (
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/plan"
)

// whole is the small day with every entry that a day may have besides: limits of the place, a record, grass, rates of three
// sorts, an order of adding, and a catch test with all that can be noted.
var whole = strings.NewReplacer(
	"    density: 10 lb/gal\n", "    density: 10 lb/gal\n    analysis: {grade: 20-0-5, slow_n: 5 %}\n",
	"    class: wettable\n", "    class: wettable\n    analysis: none\n",
	"applicators:\n", `limits:
  - {of: N, per: year, most: 4 lb N/1000 sq ft, grass: bermuda, citation: a county, dated: 2026-02-01}
  - {of: Iron, per: 30 days, times: 2, citation: a county, dated: 2026-02-01}
record: past.csv
applicators:
`,
	"        pressure: 40 psi\n", "        pressure: 40 psi\n        nozzle: red tip\n        product: Old mix\n        density: 8.6 lb/gal\n",
	"caught: 1.4 gal", "caught: [1.38 gal, 1.42 gal, 1.40 gal]",
	"rate: 6 fl oz/1000 sq ft", "rate: 0.09 lb N/1000 sq ft",
	"        rate: 3 oz wt/1000 sq ft\n", "        rate: 8 lb/100 gal\n    order: [Feed, wettable]\n",
	"    name: First lawn\n", "    name: First lawn\n    grass: bermuda\n", "    set_up: 3 min\n", "    set_up: 3 min\n    grass: fescue\n",
	"    form: dry\n", "    form: dry\n    in_tank: 2 kg/L\n",
).Replace(small)

const pastCSV = "date,property,product,rate\n2026-03-02,a,Feed,6 fl oz/1000 sq ft\n2026-03-02,b,Iron,3 oz wt/1000 sq ft\n"

func wholeFiles(path string) ([]byte, error) {
	if path == "past.csv" {
		return []byte(pastCSV), nil
	}
	return files(path)
}

func parseWhole(text string) (*plan.Day, problem.List) {
	return Parse("day.yaml", []byte(text), wholeFiles, noOptions)
}

// The small day of tests walks 100 ft x 7 ft, 700 sq ft, and catches 1.4 gal: 2.00 gal/1000 sq ft.
func TestWholeDay(t *testing.T) {
	d, problems := parseWhole(whole)
	if len(problems) != 0 {
		t.Fatalf("got %v, want no problems", problems)
	}
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
	if len(d.Limits) != 2 || d.Limits[0].Of != "N" || d.Limits[0].Grass != "bermuda" || d.Limits[1].Times != 2 ||
		d.Limits[1].Where != fmt.Sprintf("day.yaml:%d limits[1]", lineWith(t, whole, "{of: Iron")) {
		t.Errorf("limits: got %+v", d.Limits)
	}
	near("4 lb N", d.Limits[0].Most.Dry.In(unit.PoundPerThousand), 4)
	if !d.Recorded || len(d.Past) != 2 || d.Past[0].Property != "a" || d.Past[1].Product.Name != "Iron" || d.Past[1].Where != "past.csv:3" {
		t.Errorf("record: got %+v", d.Past)
	}
	if d.Stops[0].Grass != "bermuda" || d.Stops[1].Grass != "fescue" {
		t.Errorf("grass: got %q and %q", d.Stops[0].Grass, d.Stops[1].Grass)
	}
	m := d.Mixes[0]
	if m.Products[0].Nutrient != "N" || !m.Products[0].Rate.IsZero() || len(m.Sequence) != 1 || m.Sequence[0] != "Feed" || len(m.Order) != 1 || m.Order[0] != label.Wettable {
		t.Errorf("mix: got %+v", m)
	}
	near("0.09 lb N", m.Products[0].NutrientRate.In(unit.PoundPerThousand), 0.09)
	near("8 lb/100 gal", m.Products[1].InMix.Dry.In(unit.PoundPerGallon), 0.08)
	c := d.Operators[0].Tests[0].Catch
	if s := c.Setup; s.Operator != "Kim" || s.Applicator != "Gun" || s.Nozzle != "red tip" || s.Product != "Old mix" || s.Date != "2026-05-01" || s.Pressure != 40*unit.PSI || len(c.Catches) != 3 || c.Caught != 0 {
		t.Errorf("catch test: got %+v", c)
	}
	near("8.6 lb/gal", c.Setup.Density.In(unit.PoundPerGallon), 8.6)
	p, found := plan.Make(d)
	if p == nil || len(found) != 0 {
		t.Fatalf("got plan %v and %v, want a plan and nothing said", p != nil, found)
	}
	// 0.09 lb N from 10 lb/gal x 20 %: 0.045 gal, 5.76 fl oz; the record's 6 fl oz were 0.09375 lb N.
	if got := p.Mixes[0].Products[0]; got.Name != "Feed" || got.Rate.Text(unit.US) != "5.76 fl oz/1000 sq ft" || got.Wanted != "0.09 lb N/1000 sq ft" {
		t.Errorf("first in the tank: got %+v", got)
	}
	for _, s := range p.Stops {
		if want := map[string]float64{"a": 0.18375, "b": 0.09}[s.Property]; math.Abs(s.Season.Year[0].Weight.In(unit.PoundPerThousand)-want) > 1e-9 {
			t.Errorf("year of %s: got %+v, want %v lb N", s.Property, s.Season.Year, want)
		}
	}
}

// One edit of the whole day, and everything that must then be found: no more, no less.
func TestBadUses(t *testing.T) {
	for _, c := range []struct {
		old, now string
		code     string // "" is no error
		at       string
		path     string
		says     string
	}{
		// Limits of the place.
		{"{of: N, per: year", "{per: year", "missing-key", "{per: year", "limits[0].of", "of is missing"},
		{"{of: N, per: year", "{of: Feed, per: year", "bad-quantity", "4 lb N", "limits[0].most", "volume"},
		{"of: Iron", "of: Irn", "limit-of-unknown", "of: Irn", "limits[1]", "no product"},
		{"times: 2, citation: a county, dated: 2026-02-01", "times: 2, dated: 2026-02-01", "citation-missing", "of: Iron", "limits[1]", "not cited"},
		{"times: 2, citation: a county, dated: 2026-02-01", "times: 2, citation: a county", "dated-missing", "of: Iron", "limits[1]", "when it was read"},
		{"most: 4 lb N/1000 sq ft", "most: 4", "missing-unit", "per: year, most: 4", "limits[0].most", "unit"},
		{"per: 30 days", "per: month", "bad-quantity", "per: month", "limits[1].per", "days"},
		{"limits:\n", "limits: []\nlimit:\n", "empty-list", "limits: []", "limits", "no entries"},
		// The record.
		{"record: past.csv", "record: lost.csv", "record-unreadable", "lost.csv", "record", "no such file"},
		{"record: past.csv", "record: [past.csv]", "wrong-type", "[past.csv]", "record", "a list"},
		// Grass.
		{"grass: bermuda\n", "grass:\n", "empty-value", "    grass:", "stops[0].grass", "empty"},
		// What is wanted.
		{"rate: 0.09 lb N/1000 sq ft", "rate: 0.2 lb N/1000 sq ft", "rate-over-label", "0.2 lb N", "mixes[0].products[0].rate", "12.80 fl oz/1000 sq ft"},
		{"rate: 0.09 lb N/1000 sq ft", "rate: 0.09 lb P2O5/1000 sq ft", "nutrient-absent", "0.09 lb P2O5", "mixes[0].products[0].rate", "has no P2O5"},
		{"rate: 0.09 lb N/1000 sq ft", "rate: 0.09 lb phosphorus/1000 sq ft", "bad-quantity", "phosphorus", "mixes[0].products[0].rate", "P2O5"},
		{"rate: 0.09 lb N/1000 sq ft", "rate: 0 lb N/1000 sq ft", "not-positive", "0 lb N", "mixes[0].products[0].rate", "lb N"},
		{"rate: 0.09 lb N/1000 sq ft", "rate: 900 lb N/1000 sq ft", "out-of-range", "900 lb N", "mixes[0].products[0].rate", "900"},
		{"rate: 0.09 lb N/1000 sq ft", "rate: 2.25 % v/v", "", "", "", ""},                                                                  // 2.88 fl oz/gal, 5.76 fl oz/1000 sq ft
		{"rate: 0.09 lb N/1000 sq ft", "rate: 3 fl oz/gal", "", "", "", ""},                                                                 // 6 fl oz/1000 sq ft
		{"rate: 0.09 lb N/1000 sq ft", "rate: 3.5 % v/v", "rate-over-label", "3.5 %", "mixes[0].products[0].rate", "8.96 fl oz/1000 sq ft"}, // 4.48 x 2
		{"rate: 0.09 lb N/1000 sq ft", "rate: 2.25 %", "bad-quantity", "2.25 %", "mixes[0].products[0].rate", ""},                           // of what in what
		{"rate: 0.09 lb N/1000 sq ft", "rate: 3 oz/gal", "ambiguous-unit", "3 oz/gal", "mixes[0].products[0].rate", `"fl oz"`},              // a bare oz
		{"rate: 0.09 lb N/1000 sq ft", "rate: 3 lb/100 gal", "bad-quantity", "3 lb/100 gal", "mixes[0].products[0].rate", ""},               // a liquid by weight
		{"rate: 8 lb/100 gal", "rate: 8 fl oz/100 gal", "bad-quantity", "8 fl oz/100 gal", "mixes[0].products[1].rate", ""},                 // a powder by volume
		{"rate: 8 lb/100 gal", "rate: 1 % v/v", "bad-quantity", "1 % v/v", "mixes[0].products[1].rate", ""},                                 // the same
		{"rate: 8 lb/100 gal", "rate: 13 lb per 100 gal", "rate-over-label", "13 lb", "mixes[0].products[1].rate", "0.26 lb/1000 sq ft"},    // 0.13 x 2, of 0.25
		{"rate: 8 lb/100 gal", "rate: 0.1 lb N/1000 sq ft", "nutrient-absent", "0.1 lb N", "mixes[0].products[1].rate", "Iron"},             // analysis: none
		{"    analysis: {grade: 20-0-5, slow_n: 5 %}\n", "", "analysis-missing", "0.09 lb N", "mixes[0].products[0].rate", "18-0-4"},        // needed by the rate
		{"    density: 10 lb/gal\n", "", "density-missing", "0.09 lb N", "mixes[0].products[0].rate", "10.2 lb/gal"},                        // needed by the rate
		// The order of adding.
		{"order: [Feed, wettable]", "order: [Fed, wettable]", "unknown-name", "order: [Fed", "mixes[0].order[0]", `"Feed"`},
		{"order: [Feed, wettable]", "order: [Feed, wetable]", "unknown-name", "wetable", "mixes[0].order[1]", `"wettable"`},
		{"order: [Feed, wettable]", "order: [Feed, Feed]", "order-twice", "order: [Feed, Feed", "mixes[0].order[1]", "twice"},
		{"order: [Feed, wettable]", "order: Feed", "wrong-type", "order: Feed", "mixes[0].order", "a list"},
		// The catch test.
		{"caught: [1.38 gal, 1.42 gal, 1.40 gal]", "caught: []", "empty-list", "caught: []", "operators[0].catch_tests[0].caught", "no entries"},
		{"caught: [1.38 gal, 1.42 gal, 1.40 gal]", "caught: [1.38 gal, 1.42]", "missing-unit", "1.42]", "operators[0].catch_tests[0].caught[1]", "gal"},
		{"density: 8.6 lb/gal", "density: 86 lb/gal", "out-of-range", "86 lb/gal", "operators[0].catch_tests[0].density", "86"},
		{"        spacing: 7 ft\n", "        area: 700 sq ft\n", "", "", "", ""},
		{"        course: 100 ft\n", "        area: 700 sq ft\n", "", "", "", ""},
		{"        spacing: 7 ft\n", "        area: 800 sq ft\n", "spacing-differs", "- applicator", "operators[0].catch_tests[0]", "8.0 ft"},
		{"        course: 100 ft\n        spacing: 7 ft\n", "        area: 700 sq ft\n", "missing-key", "- applicator", "operators[0].catch_tests[0].course", "course or spacing"},
		{"        spacing: 7 ft\n", "        spacing: 7 ft\n        area: 700 sq ft\n", "plot-twice", "- applicator", "operators[0].catch_tests[0]", "two of them"},
		{"        spacing: 7 ft\n", "        spacing: 7 ft\n        passes: 0\n", "out-of-range", "passes: 0", "operators[0].catch_tests[0].passes", "from 1"},
		{"        spacing: 7 ft\n", "        spacing: 7 ft\n        passes: 1.5\n", "not-a-number", "passes: 1.5", "operators[0].catch_tests[0].passes", "whole"},
		// The truck.
		{"  - name: Truck\n", "  - name: Truck\n    rated: 9000 lb\n", "payload-unknown", "- name: Truck", "trucks[0]", "only one of"},
		{"  - name: Truck\n", "  - name: Truck\n    rated: 9000 lb\n    empty: 6000\n", "missing-unit", "empty: 6000", "trucks[0].empty", "unit"},
		{"  - name: Truck\n", "  - name: Truck\n    rated: 9000 lb\n    empty: 6000 lb\n", "", "", "", ""},
	} {
		t.Run(c.now, func(t *testing.T) {
			if !strings.Contains(whole, c.old) {
				t.Fatalf("the day has no %q", c.old)
			}
			text := strings.Replace(whole, c.old, c.now, 1)
			_, problems := parseWhole(text)
			problems = onlyErrors(problems)
			if strings.HasPrefix(c.now, "limits: []") {
				problems = onlyCode(problems, c.code)
			}
			if c.code == "" {
				if len(problems) > 0 {
					t.Fatalf("got %v, want no errors", problems)
				}
				return
			}
			where := fmt.Sprintf("day.yaml:%d %s", lineWith(t, text, c.at), c.path)
			if len(problems) != 1 || problems[0].Code != c.code || problems[0].Where != where || !strings.Contains(problems[0].String(), c.says) {
				t.Errorf("got %v\nwant one %s at %s that says %q", list2text(problems), c.code, where, c.says)
			}
		})
	}
}

// What is wrong in a record stands with both places: the day file's and the record's line.
func TestBadRecord(t *testing.T) {
	record := pastCSV + "2026-02-30,a,Feed,6 fl oz/1000 sq ft\n2026-03-02,a,Fed,6 fl oz/1000 sq ft\n2026-03-02,a,Feed,6 oz/1000 sq ft\n"
	_, problems := Parse("day.yaml", []byte(whole), func(path string) ([]byte, error) {
		if path == "past.csv" {
			return []byte(record), nil
		}
		return files(path)
	}, noOptions)
	place := fmt.Sprintf("day.yaml:%d record: past.csv:", lineWith(t, whole, "record: past.csv"))
	var got []string
	for _, p := range problems {
		got = append(got, strings.TrimPrefix(p.Where, place)+" "+p.Code)
	}
	if want := "4 bad-date, 5 unknown-product, 6 bad-quantity"; strings.Join(got, ", ") != want {
		t.Errorf("got %v, want %s", problems, want)
	}
	_, problems = Parse("day.yaml", []byte(whole), func(path string) ([]byte, error) {
		if path == "past.csv" {
			return nil, errors.New("locked")
		}
		return files(path)
	}, noOptions)
	if len(problems) != 1 || problems[0].Code != "record-unreadable" {
		t.Errorf("got %v, want record-unreadable", problems)
	}
}

// A record that names none of the day's properties is told of: the year's sums would be short.
func TestRecordOfOthers(t *testing.T) {
	for text, want := range map[string]string{strings.ReplaceAll(pastCSV, ",a,", ",A,"): "", strings.NewReplacer(",a,", ",A,", ",b,", ",B,").Replace(pastCSV): "record-of-others",
		"date,property,product,rate\n": ""} {
		_, problems := Parse("day.yaml", []byte(whole), func(path string) ([]byte, error) {
			if path == "past.csv" {
				return []byte(text), nil
			}
			return files(path)
		}, noOptions)
		if want == "" && len(problems) == 0 {
			continue
		}
		if len(problems) != 1 || problems[0].Code != want || problems[0].Severity != problem.Warning || problems[0].Where != fmt.Sprintf("day.yaml:%d record", lineWith(t, whole, "record: past.csv")) {
			t.Errorf("got %v, want %q", problems, want)
		}
	}
}

// Planning finds nothing that reading has not told already, in the same words, where a limit of the label is near.
func TestToldOnce(t *testing.T) {
	for _, rate := range []string{"0.5 fl oz/1000 sq ft", "0.01 lb N/1000 sq ft", "0.1 % v/v"} { // under the label's least
		d, read := parseWhole(strings.Replace(whole, "0.09 lb N/1000 sq ft", rate, 1))
		_, planned := plan.Make(d)
		if len(read) != 1 || len(planned) != 1 || read[0].Code != "rate-under-label" || read[0].What != planned[0].What || read[0].Severity != problem.Warning {
			t.Errorf("%s: read %v, planned %v; want the one warning in the same words", rate, read, planned)
		}
	}
}

func TestInVolume(t *testing.T) {
	for text, want := range map[string]bool{
		"0.25 % v/v": true, "1 %": true, "2 fl oz/gal": true, "2 lb/100 gal": true, "10 mL / L": true, "1 qt per 100 gal": true, "10 g/10 L": true,
		"4 fl oz/1000 sq ft": false, "1.5 pt/ac": false, "3 oz wt per 1000 sq ft": false, "10 L/ha": false, "gal": false, "": false, "/": false,
	} {
		if got := inVolume(text); got != want {
			t.Errorf("%q: got %v, want %v", text, got, want)
		}
	}
}
