package dayfile

import (
	"fmt"
	"strings"
	"testing"

	"tankful/calc/problem"
)

func TestSmallDayIsGood(t *testing.T) {
	if _, problems := parse(small); len(problems) != 0 {
		t.Errorf("got %v, want no problems", problems)
	}
}

// One edit of the small day, and everything that must then be found: no more, no less.
func TestBadFiles(t *testing.T) {
	for _, c := range []struct {
		old, now string
		code     string
		at       string // text on the problem's line
		path     string
		says     string // part of finding or fix
	}{
		{"    swath:", "    swaht:", "unknown-key", "swaht", "applicators[0].swaht", `Write "swath"`},
		{"date: 2026-05-04", "date: 2026-05-04\ndate: 2026-05-05", "duplicate-key", "05-05", "date", "first on line 3"},
		{"date: 2026-05-04", "date: 4 May 2026", "date-invalid", "4 May", "date", "2026-04-14"},
		{"date: 2026-05-04", "date: 2026-02-30", "date-invalid", "02-30", "date", "not a date"},
		{"tankful: 1", "tankful: 2", "file-version", "tankful", "tankful", `"2"`},
		{"invented: true", "invented: yes", "wrong-type", "invented", "invented", "true or false"},
		{"units: us", "units: metrik", "unknown-word", "units", "units", `"metric"`},
		{`start: "07:00"`, "start: 7am", "clock-invalid", "7am", "start", "06:30"},
		{`start: "07:00"`, `start: "07:60"`, "clock-invalid", "07:60", "start", "06:30"},
		{`end: "16:00"`, `end: "06:00"`, "ends-before-start", "06:00", "end", "07:00"},
		{"outfit: Small Outfit", "outfit:", "empty-value", "outfit", "outfit", "empty"},
		{"outfit: Small Outfit", "outfit: [a, b]", "wrong-type", "outfit", "outfit", "a list"},
		{"outfit: Small Outfit", `outfit: "a\x07b"`, "text-unprintable", "outfit", "outfit", "printed"},
		{"lat: 38.5}", "lat: 138.5}", "out-of-range", "138.5", "yard.at.lat", "138.5"},
		{"lat: 38.5}", "lat: north}", "not-a-number", "north", "yard.at.lat", "north"},
		{"circuity: 1.35", "circuity: 0.9", "out-of-range", "0.9", "travel.circuity", "0.9"},
		{"speed: 25 mph", "speed: 25", "missing-unit", "speed", "travel.speed", "3 mph"},
		{"speed: 25 mph", "speed: 250 mph", "out-of-range", "speed", "travel.speed", "80 mph"},
		{"at: yard, flow", "at: yrad, flow", "wrong-type", "yrad", "fill_points[0].at", "group of keys"},
		{"40 gal/min", "40 gal", "bad-quantity", "40 gal", "fill_points[0].flow", "3.5 gal/min"},
		{"hook_up: 4 min", "hook_up: -4 min", "not-positive", "-4 min", "fill_points[0].hook_up", "-4 min"},
		{"form: liquid", "form: wet", "unknown-word", "form: wet", "products[0].form", "liquid, dry"},
		{"class: soluble", "class: solubel", "unknown-word", "solubel", "products[0].class", `"soluble"`},
		{"10 lb/gal", "100 lb/gal", "out-of-range", "100 lb/gal", "products[0].density", "3 kg/L"},
		{"least: 4 fl oz", "least: 4 oz", "ambiguous-unit", "least: 4", "products[0].label.least", `"fl oz"`},
		{"least: 4 fl oz/1000 sq ft, most: 8", "least: 9 fl oz/1000 sq ft, most: 8", "limits-crossed", "- name: Feed", "products[0]", "over its most"},
		{"carrier_most: 4 gal/1000 sq ft, ", "", "", "", "", ""},
		{"most: 4 oz wt", "most: 4 fl oz", "bad-quantity", "most: 4 fl oz", "products[1].label.most", "the product is dry"},
		{"      citation: made up", "      keep_off: x", "missing-key", "    label:\n", "products[1].label.citation", "citation"},
		{"cautions: [Stains.]", "cautions: Stains.", "wrong-type", "Stains", "products[1].label.cautions", "a list"},
		{"kind: gun", "kind: cannon", "unknown-word", "cannon", "applicators[0].kind", "ride-on"},
		{"swath: 7 ft", "swath: 0 ft", "not-positive", "swath: 0", "applicators[0].swath", "6 in"},
		{"kind: gun", "kind: tractor", "unknown-word", "tractor", "applicators[0].kind", "ride-on"},
		{"swath: 7 ft", "swath: 7 ft\n    edge_laps: 3", "out-of-range", "edge_laps", "applicators[0].edge_laps", "0 to 2"},
		{"swath: 7 ft", "swath: 7 ft\n    edge_laps: one", "not-a-number", "edge_laps", "applicators[0].edge_laps", "one"},
		{"swath: 7 ft", "swath: 7 ft\n    gun_off: 200 ft", "out-of-range", "gun_off", "applicators[0].gun_off", "100 ft"},
		{"swath: 7 ft", "swath: 7 ft\n    hose: 3", "missing-unit", "hose", "applicators[0].hose", "unit"},
		{"swath: 7 ft", "swath: 7 ft\n    even: 1", "wrong-type", "even", "applicators[0].even", "true or false"},
		{"swath: 7 ft", "swath: 7 ft\n    far_first: back", "wrong-type", "far_first", "applicators[0].far_first", "true or false"},
		{"swath: 7 ft", "swath: 7 ft\n    objective: tiem", "unknown-word", "objective", "applicators[0].objective", `"time"`},
		{"spacing: 7 ft", "spacing: 8 ft", "spacing-differs", "spacing: 8", "operators[0].catch_tests[0].spacing", "1.14 times"},
		{"spacing: 7 ft", "spacing: 2.13 m", "", "", "", ""},
		{"- applicator: Gun", "- applicator: Gum", "unknown-name", "Gum", "operators[0].catch_tests[0].applicator", `"Gun"`},
		{"runs: [30 s, 31 s, 32 s]", "runs: [30 s, 31 s]", "too-few-runs", "- applicator", "operators[0].catch_tests[0]", "three times"},
		{"runs: [30 s, 31 s, 32 s]", "runs: [30 s, 31, 32 s]", "missing-unit", "runs", "operators[0].catch_tests[0].runs[1]", "32 s"},
		{"runs: [30 s, 31 s, 32 s]", "runs: []", "empty-list", "runs", "operators[0].catch_tests[0].runs", "no entries"},
		{"caught: 1.4 gal", "caught: 14 gal", "carrier-outside-label", "{product: Feed,", "mixes[0].products[0]", "over the most"},
		{"operator: Kim", "operator: Kym", "unknown-name", "Kym", "mixes[0].operator", `"Kim"`},
		{"rate: 6 fl oz/1000 sq ft", "rate: 9 fl oz/1000 sq ft", "rate-over-label", "rate: 9", "mixes[0].products[0].rate", "over the label's most"},
		{"rate: 6 fl oz", "rate: 6 oz wt", "bad-quantity", "rate: 6", "mixes[0].products[0].rate", "the product is liquid"},
		{"rate: 3 oz wt", "rate: 3 oz", "ambiguous-unit", "rate: 3 oz", "mixes[0].products[1].rate", `"oz wt"`},
		{"- product: Iron", "- product: Irn", "unknown-name", "Irn", "mixes[0].products[1].product", `"Iron"`},
		{"heel: 5 gal", "heel: 200 gal", "heel-fills-tank", "heel: 200", "trucks[0].tanks[0].heel", "200.0 gal"},
		{"capacity: 200 gal", "capacity: 200", "missing-unit", "capacity: 200", "trucks[0].tanks[0].capacity", "150 gal"},
		{"mix: Feed mix}", "mix: Fed mix}", "unknown-name", "Fed mix", "trucks[0].tanks[0].mix", `"Feed mix"`},
		{"accuracy: 1 ft", "accuracy: 1 mile", "out-of-range", "accuracy", "outlines.accuracy", "30 ft"},
		{"accuracy: 1 ft", "surface_map: {lawn: turv}", "unknown-word", "turv", "outlines.surface_map.lawn", `"turf"`},
		{"set_up: 6 min\n", "", "missing-key", "- outline", "stops[0].set_up", "at the top of the file"},
		{"    property: a\n", "", "which-property", "- outline", "stops[0].property", "4 properties"},
		{"property: a\n", "property: aa\n", "unknown-name", "property: aa", "stops[0].property", `"a"`},
		{"property: a\n", "property: d\n", "far-from-yard", "- outline", "stops[0].outline", "Swap longitude and latitude, here"},
		{"property: b", "property: a", "stop-twice", "- outline: lots.geojson\n    property: a\n    mix", "stops[1]", "first at day.yaml:58 stops[0]"},
		{"- outline: lots.geojson\n    property: b", "- outline: more.geojson\n    property: a", "property-twice", "property: a\n    mix", "stops[1].property", "more.geojson"},
		{"outline: lots.geojson", "outline: lost.geojson", "outline-unreadable", "lost", "stops[0].outline", "no such file"},
		{`from: "08:00"`, `from: "11:00"`, "window-ends-before-start", "11:00", "stops[0].window", "11:00 until 10:00"},
		{`until: "10:00"`, `until: "06:00"`, "window-ends-before-start", "06:00", "stops[0].window", ""},
		{`{from: "08:00", until: "10:00"}`, `{until: "06:00"}`, "window-outside-day", "06:00", "stops[0].window", "06:00"},
		{`{from: "08:00", until: "10:00"}`, "{}", "empty-value", "window", "stops[0].window", ""},
		{"outfit: Small Outfit", "outfit: &x Small Outfit", "yaml-feature", "&x", "outfit", "anchor"},
		{"outfit: Small Outfit", "outfit: !!str Small", "yaml-feature", "!!str", "outfit", "tag"},
		{"  - name: Truck\n", "  - name: Truck\n    <<: {a: 1}\n", "yaml-feature", "<<", "trucks[0].<<", "merge"},
		{"stops:\n", "orders:\n  - {truck: Truck, stops: [b, a]}\nstops:\n", "", "", "", ""},
		{"stops:\n", "orders:\n  - {truck: Truck, stops: [b]}\nstops:\n", "order-misses", "orders:", "orders", "no order has a"},
		{"stops:\n", "orders:\n  - {truck: Truck, stops: [b, a, b]}\nstops:\n", "order-twice", "[b, a, b]", "orders[0].stops[2]", "\"b\" stands"},
		{"stops:\n", "orders:\n  - {truck: Truck, stops: [b, a, aa]}\nstops:\n", "unknown-name", "[b, a, aa]", "orders[0].stops[2]", "\"a\""},
		{"stops:\n", "orders:\n  - {truck: Truck, stops: [b]}\n  - {truck: Truck, stops: [a]}\nstops:\n", "order-of-truck-twice", "orders:", "orders", "second order of Truck"},
		{"stops:\n", "orders:\n  - {truck: Truk, stops: [b, a]}\nstops:\n", "unknown-name", "Truk", "orders[0].truck", "\"Truck\""},
		{"stops:\n", "orders:\n  - {stops: [b, a]}\nstops:\n", "missing-key", "{stops", "orders[0].truck", "truck"},
		{"stops:", "---\nstops:", "several-documents", "stops:", "", "second document"},
		{"units: us", "\tunits: us", "yaml-invalid", "units", "", ""},
		{"units: us", "units: {us", "yaml-invalid", "units", "", ""},
	} {
		t.Run(c.now, func(t *testing.T) {
			text := edited(t, c.old, c.now)
			_, problems := parse(text)
			if c.code == "several-documents" {
				problems = onlyCode(problems, c.code) // the first document lacks its end
			}
			problems = onlyErrors(problems)
			if c.code == "" {
				if len(problems) > 0 {
					t.Fatalf("got %v, want no errors", problems)
				}
				return
			}
			where := strings.TrimSpace(fmt.Sprintf("day.yaml:%d %s", lineWith(t, text, c.at), c.path))
			if len(problems) != 1 || problems[0].Code != c.code || problems[0].Where != where || !strings.Contains(problems[0].String(), c.says) {
				t.Errorf("got %v\nwant one %s at %s that says %q", list2text(problems), c.code, where, c.says)
			}
		})
	}
}

func onlyErrors(l problem.List) (out problem.List) {
	for _, p := range l {
		if p.Severity == problem.Error {
			out = append(out, p)
		}
	}
	return out
}

func onlyCode(l problem.List, code string) (out problem.List) {
	for _, p := range l {
		if p.Code == code {
			out = append(out, p)
		}
	}
	return out
}

func list2text(l problem.List) string { return (&problem.Failed{Problems: l}).Error() }

// Every key that must be there is missed by name when its line is taken out.
func TestRequiredAtTop(t *testing.T) {
	for _, key := range strings.Fields("tankful date outfit units start yard travel fill_points products applicators operators mixes trucks stops") {
		var kept []string
		skip := false
		for _, line := range strings.SplitAfter(small, "\n") {
			if line != "" && line[0] != ' ' {
				skip = strings.HasPrefix(line, key+":")
			}
			if !skip {
				kept = append(kept, line)
			}
		}
		_, problems := parse(strings.Join(kept, ""))
		missing := onlyCode(problems, "missing-key")
		if len(missing) != 1 || missing[0].Where != "day.yaml:1 "+key {
			t.Errorf("without %s: got %v", key, problems)
		}
	}
}

// Every required key below the top is missed by name.
func TestRequiredBelow(t *testing.T) {
	for _, c := range []struct{ old, path string }{
		{"at: {lon: -41.2, lat: 38.5}", "yard.at"}, {"lon: -41.2, ", "yard.at.lon"},
		{"circuity: 1.35, ", "travel.circuity"}, {", access: 1 min", "travel.access"},
		{"flow: 40 gal/min, ", "fill_points[0].flow"}, {", hook_up: 4 min", "fill_points[0].hook_up"},
		{"    form: dry\n", "products[1].form"}, {"    class: wettable\n", "products[1].class"},
		{"    kind: gun\n", "applicators[0].kind"}, {"    swath: 7 ft\n", "applicators[0].swath"},
		{"    side_step: 6 ft\n", "applicators[0].side_step"}, {"    turn_time: 4 s\n", "applicators[0].turn_time"},
		{"        course: 100 ft\n", "operators[0].catch_tests[0].course"}, {"        spacing: 7 ft\n", "operators[0].catch_tests[0].spacing"},
		{"        runs: [30 s, 31 s, 32 s]\n", "operators[0].catch_tests[0].runs"}, {"        caught: 1.4 gal\n", "operators[0].catch_tests[0].caught"},
		{"    operator: Kim\n", "mixes[0].operator"}, {", rate: 6 fl oz/1000 sq ft", "mixes[0].products[0].rate"},
		{"capacity: 200 gal, ", "trucks[0].tanks[0].capacity"}, {"heel: 5 gal, ", "trucks[0].tanks[0].heel"},
		{"    mix: Feed mix\n", "stops[0].mix"},
	} {
		_, problems := parse(edited(t, c.old, ""))
		missing := onlyCode(problems, "missing-key")
		if len(missing) != 1 || !strings.HasSuffix(missing[0].Where, " "+c.path) {
			t.Errorf("without %s: got %v", c.path, problems)
		}
	}
}

// All is found in one run, in the order of the file.
func TestAllAtOnce(t *testing.T) {
	text := strings.NewReplacer("units: us", "units: uk", "swath: 7 ft", "swath: 7", "heel: 5 gal", "heel: 5 oz",
		"rate: 3 oz wt/1000 sq ft", "rate: 9 oz wt/1000 sq ft", "notes:", "note:").Replace(small)
	_, problems := parse(text)
	var got []string
	for _, p := range problems {
		got = append(got, p.Code)
	}
	want := "unknown-word missing-unit rate-over-label ambiguous-unit unknown-key"
	if strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}

func TestWholeFiles(t *testing.T) {
	for _, c := range []struct{ name, text, code string }{
		{"empty", "", "empty-file"},
		{"blank", " \n\n", "empty-file"},
		{"comment", "# nothing\n", "empty-file"},
		{"list", "- 1\n- 2\n", "wrong-type"},
		{"text", "hello", "wrong-type"},
		{"bytes", "a: \xff\xfe", "not-utf-8"},
		{"large", "outfit: " + strings.Repeat("x", mostBytes), "file-too-large"},
		{"many lines", small + strings.Repeat("\n", mostLines), "file-too-large"},
		{"many stops", small + strings.Repeat("  - {outline: lots.geojson, property: b, mix: Feed mix}\n", mostEntries), "too-many-entries"},
		{"deep brackets", "a: " + strings.Repeat("[", 100_000), "yaml-invalid"},
		{"deep entries", strings.Repeat("- ", 100_000), "yaml-invalid"},
		{"deep keys", deepKeys(500), "yaml-invalid"},
		{"directive", "%YAML 1.2\n---\n" + small, "yaml-feature"},
		{"alias", strings.Replace(edited(t, "outfit: Small Outfit", "outfit: &x Small"), "units: us", "units: *x", 1), "yaml-feature"},
		{"no tank", edited(t, "trucks:\n", "  - {name: Second, operator: Kim, applicator: Gun, products: [{product: Feed, rate: 5 fl oz/1000 sq ft}]}\ntrucks:\n") +
			"  - {outline: lots.geojson, property: b, mix: Second}\n", "no-tank"},
		{"no test", edited(t, "operators:\n", "  - {name: Boom, kind: boom, swath: 10 ft, side_step: 0 ft, turn_time: 9 s}\noperators:\n") +
			"  - {outline: lots.geojson, property: b, mix: Third}\n", "unknown-name"},
		{"untested", strings.Replace(edited(t, "operators:\n", "  - {name: Boom, kind: boom, swath: 10 ft, side_step: 0 ft, turn_time: 9 s}\noperators:\n"),
			"operator: Kim\n    applicator: Gun", "operator: Kim\n    applicator: Boom", 1), "no-catch-test"},
		{"same name", edited(t, "applicators:\n", "applicators:\n  - {name: Gun, kind: gun, swath: 7 ft, side_step: 0 ft, turn_time: 9 s}\n"), "duplicate-name"},
	} {
		_, problems := parse(c.text)
		if len(onlyCode(onlyErrors(problems), c.code)) == 0 {
			t.Errorf("%s: got %.300v, want %s", c.name, problems, c.code)
		}
	}
}

func deepKeys(n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func TestNoLimitIsAWarning(t *testing.T) {
	_, problems := parse(edited(t, "      most: 4 oz wt/1000 sq ft\n", ""))
	if len(problems) != 1 || problems[0].Code != "no-label-limit" || problems[0].Severity != problem.Warning {
		t.Errorf("got %v, want one warning no-label-limit", problems)
	}
}

// A yard with its figures swapped is far from every stop.
func TestSwappedYard(t *testing.T) {
	_, problems := parse(edited(t, "{lon: -41.2, lat: 38.5}", "{lon: 38.5, lat: -41.2}"))
	far := onlyCode(problems, "far-from-yard")
	if len(far) != 2 || !strings.Contains(far[0].Fix, "at the yard") {
		t.Errorf("got %v, want both stops far and the yard named", problems)
	}
}

// What measuring a property finds stands in the list, the stop's place in front.
func TestSiteProblems(t *testing.T) {
	_, problems := parse(edited(t, "property: a\n", "property: c\n"))
	if len(problems) != 1 || problems[0].Code != "nothing-left" || !strings.HasPrefix(problems[0].Where, "day.yaml:58 stops[0]: lots.geojson") {
		t.Errorf("got %v, want nothing-left of lots.geojson at stops[0]", problems)
	}
}
