package dayfile

import (
	"fmt"
	"regexp"
	"strings"
	"testing"
)

// smallWeek is the small day as a week of two days, with all keys that a week has of its own.
var smallWeek = strings.NewReplacer(
	"tankful: 1", `tankful_week: 1`,
	"date: 2026-05-04\n", `days:
  - 2026-05-04
  - {date: 2026-05-05, start: "08:00", end: "15:00", off: [Kim]}
`,
	"stops:\n", "visits:\n",
	"    window: {from", "    due: 2026-05-04 to 2026-05-05\n    not_on: [2026-05-05]\n    window: {from",
	"    set_up: 3 min\n", "    set_up: 3 min\n    last_visit: 2026-04-01\n    every: 4 to 6 weeks\n",
).Replace(small)

func TestSmallWeekIsGood(t *testing.T) {
	w, _, problems := ParseWeek("week.yaml", []byte(smallWeek), files, noOptions)
	if len(problems) != 0 {
		t.Fatalf("got %v, want no problems", problems)
	}
	// 2026-04-01 and 28 days is 29 April, and 42 days 13 May.
	if d := w.Due; len(d) != 2 || d[0].From != "2026-05-04" || d[0].Until != "2026-05-05" || len(d[0].NotOn) != 1 || d[1].From != "2026-04-29" || d[1].Until != "2026-05-13" {
		t.Errorf("due: %+v", d)
	}
}

// badWeek is one edit of the small week, and what must then be found: no more, no less.
type badWeek struct {
	old, now string
	code     string
	at       string // text on the problem's line
	path     string
	what     string // part of the finding
	fix      string // part of the fix
}

var badWeeks = []badWeek{
	// What a week has of its own.
	{"tankful_week: 1", "tankful_week: 2", "file-version", "tankful_week", "tankful_week", `"2"`, "tankful_week: 1"},
	{"tankful_week: 1\n", "", "missing-key", "invented", "tankful_week", "missing", "Add tankful_week"},
	{"  - 2026-05-04\n  - {date", "  - 2026-05-32\n  - {date", "date-invalid", "05-32", "days[0]", "2026-05-32", "year-month-day"},
	{"  - 2026-05-04\n  - {date: 2026-05-05", "  - 2026-05-05\n  - {date: 2026-05-05", "days-order", "{date", "days[1]", "2026-05-05 comes after 2026-05-05", "once, in order"},
	{"{date: 2026-05-05,", "{", "missing-key", "- {", "days[1].date", "date is missing", "Add date"},
	{"date: 2026-05-05", "date: May", "date-invalid", "May", "days[1].date", `"May"`, "year-month-day"},
	{`start: "08:00"`, "start: 8", "clock-invalid", "start: 8", "days[1].start", `"8"`, "24-hour clock"},
	{`end: "15:00"`, `end: "25:00"`, "clock-invalid", "25:00", "days[1].end", `"25:00"`, "24-hour clock"},
	{`end: "15:00"`, `end: "07:30"`, "ends-before-start", "07:30", "days[1]", "ends at 07:30 and starts at 08:00", "after the start"},
	{"off: [Kim]", "off: [Kym]", "unknown-name", "Kym", "days[1].off[0]", `"Kym"`, `"Kim"`},
	{"off: [Kim]", "of: [Kim]", "unknown-key", "of: [Kim]", "days[1].of", `"of"`, `"off"`},
	{"days:\n  - 2026-05-04\n  - {date: 2026-05-05, start: \"08:00\", end: \"15:00\", off: [Kim]}\n", "days: []\n", "empty-list", "days:", "days", "no entries", "at least one"},
	{"due: 2026-05-04 to 2026-05-05", "due: next week", "due-invalid", "next week", "visits[0].due", `"next week"`, "2026-06-01 to 2026-06-05"},
	{"due: 2026-05-04 to 2026-05-05", "due: 2026-05-05 to 2026-05-04", "due-ends-before-start", "due:", "visits[0].due", "from 2026-05-05 to 2026-05-04", "earlier date first"},
	{"    due: 2026-05-04 to 2026-05-05\n", "", "missing-key", "- outline", "visits[0].due", "due is missing", "last_visit and every"},
	{"    last_visit:", "    due: 2026-05-04\n    last_visit:", "due-unclear", "    due: 2026-05-04\n    last", "visits[1].due", "twice", "Keep due"},
	{"not_on: [2026-05-05]", "not_on: [Tuesday]", "date-invalid", "Tuesday", "visits[0].not_on[0]", `"Tuesday"`, "year-month-day"},
	{"not_on: [2026-05-05]", "not_on: 2026-05-05", "wrong-type", "not_on", "visits[0].not_on", "not a list", "a list"},
	{"last_visit: 2026-04-01", "last_visit: April", "date-invalid", "April", "visits[1].last_visit", `"April"`, "year-month-day"},
	{"    last_visit: 2026-04-01\n", "", "missing-key", "- outline: lots.geojson\n    property: b", "visits[1].last_visit", "last_visit is missing", "beside every"},
	{"every: 4 to 6 weeks", "every: 6 to 4 weeks", "every-invalid", "every", "visits[1].every", `"6 to 4 weeks"`, "the shorter first"},
	{"every: 4 to 6 weeks", "every: 4 to 60 weeks", "every-invalid", "every", "visits[1].every", `"4 to 60 weeks"`, "up to a year"},
	{"    every: 4 to 6 weeks\n", "", "missing-key", "- outline: lots.geojson\n    property: b", "visits[1].every", "every is missing", "beside last_visit"},
	// What a visit has of a stop.
	{"  - outline: lots.geojson\n    property: a", "  - outline: lost.geojson\n    property: a", "outline-unreadable", "lost", "visits[0].outline", "no such file", ""},
	{"property: a\n", "property: aa\n", "unknown-name", "property: aa", "visits[0].property", `"aa"`, `"a"`},
	{"name: First lawn", "name: [First]", "wrong-type", "[First]", "visits[0].name", "a list", "a text"},
	{"    mix: Feed mix\n    notes", "    mix: Fed mix\n    notes", "unknown-name", "Fed mix", "visits[0].mix", `"Fed mix"`, `"Feed mix"`},
	{"    mix: Feed mix\n    notes", "    mixes: [Feed mix, Weed]\n    notes", "unknown-name", "Weed", "visits[0].mixes[1]", `"Weed"`, "one of: Feed mix"},
	{"    notes: Ring first.", "    truck: Trick", "unknown-name", "Trick", "visits[0].truck", `"Trick"`, `"Truck"`},
	{"    notes: Ring first.", "    grass:", "empty-value", "grass:", "visits[0].grass", "empty", "remove the key"},
	{"    notes: Ring first.", "    notes: []", "wrong-type", "notes: []", "visits[0].notes", "a list", "a text"},
	{`window: {from: "08:00", until: "10:00"}`, `window: {from: "10:00", until: "08:00"}`, "window-ends-before-start", "window", "visits[0].window", "10:00 until 08:00", "earlier time"},
	{"set_up: 3 min", "set_up: 3", "missing-unit", "set_up: 3\n", "visits[1].set_up", "the unit is missing", "unit behind"},
	{"    notes: Ring first.", "    first: yes", "wrong-type", "first: yes", "visits[0].first", "true or false", "true or false"},
	{"    notes: Ring first.", "    last: 1", "wrong-type", "last: 1", "visits[0].last", "true or false", "true or false"},
	{"    notes: Ring first.", "    whole: always", "wrong-type", "whole:", "visits[0].whole", "true or false", "true or false"},
	{"    notes: Ring first.", "    needs: Water", "wrong-type", "needs:", "visits[0].needs", "not a list", "a list"},
	{"    notes: Ring first.", "    note: Ring first.", "unknown-key", "note:", "visits[0].note", `"note"`, `"notes"`},
	// What days have in common.
	{"invented: true", "invented: 1", "wrong-type", "invented", "invented", "true or false", "true or false"},
	{"outfit: Small Outfit", "outfit:", "empty-value", "outfit", "outfit", "empty", "after the colon"},
	{"outfit: Small Outfit", "outfit: Small Outfit\ncontact: x", "wrong-type", "contact", "contact", "a text, not a list", "begin with -"},
	{"units: us", "units: uk", "unknown-word", "units", "units", "uk", `"us"`},
	{`start: "07:00"`, `start: "7"`, "clock-invalid", `start: "7"`, "start", `"7"`, "24-hour clock"},
	{`end: "16:00"`, "end: late", "clock-invalid", "late", "end", `"late"`, "24-hour clock"},
	{"yard: {name: Yard,", "yard: {nam: Yard,", "unknown-key", "yard:", "yard.nam", `"nam"`, `"name"`},
	{"circuity: 1.35", "circuity: 0.5", "out-of-range", "circuity", "travel.circuity", "0.5", "1 to 5"},
	{"flow: 40 gal/min", "flow: 40 gal", "bad-quantity", "flow", "fill_points[0].flow", "40 gal", "gal/min"},
	{"    form: liquid", "    form: wet", "unknown-word", "wet\n", "products[0].form", `"wet"`, "one of: liquid"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nlimits: {of: N}\nvisits", "wrong-type", "limits:", "limits", "not a list", "a list"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nrecord: lost.csv\nvisits", "record-unreadable", "record:", "record", "no such file", ""},
	{"kind: gun", "kind: cannon", "unknown-word", "cannon", "applicators[0].kind", "cannon", "ride-on"},
	{"runs: [30 s, 31 s, 32 s]", "runs: []", "empty-list", "runs", "operators[0].catch_tests[0].runs", "no entries", "at least one"},
	{"rate: 3 oz wt", "rate: 3 oz", "ambiguous-unit", "rate: 3 oz/", "mixes[0].products[1].rate", "oz", `"oz wt"`},
	{"heel: 5 gal", "heel: 200 gal", "heel-fills-tank", "heel: 200", "trucks[0].tanks[0].heel", "200.0 gal", "pump"},
	{"accuracy: 1 ft", "accuracy: 1 mile", "out-of-range", "accuracy", "outlines.accuracy", "1 mile", "unit"},
	{"set_up: 6 min\nvisits", "set_up: 6 h\nvisits", "out-of-range", "set_up: 6 h", "set_up", "6 h", "unit"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nlunch: {from: \"11:00\", until: \"10:00\", length: 30 min}\nvisits", "window-ends-before-start", "lunch", "lunch", "11:00 until 10:00", "earlier time"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nrinses: [{from: Feed mix, to: Weed, time: 5 min}]\nvisits", "unknown-name", "rinses", "rinses[0].to", `"Weed"`, "one of: Feed mix"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\naccept_leftover: 5 gal\nvisits", "wrong-type", "accept_leftover", "accept_leftover", "true or false", "true or false"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nweights: {refill: 5}\nvisits", "missing-unit", "weights", "weights.refill", "5", "unit"},
	{"set_up: 6 min\nvisits", "set_up: 6 min\nstops: []\nvisits", "unknown-key", "stops: []", "stops", `"stops"`, ""},
}

// A bad value of each key: where it is, what it is and what to do, and nothing else.
func TestBadWeeks(t *testing.T) {
	for _, c := range badWeeks {
		t.Run(c.path+" "+c.now, func(t *testing.T) {
			if strings.Count(smallWeek, c.old) != 1 {
				t.Fatalf("the small week has %q %d times", c.old, strings.Count(smallWeek, c.old))
			}
			text := strings.Replace(smallWeek, c.old, c.now, 1)
			_, _, problems := ParseWeek("week.yaml", []byte(text), files, noOptions)
			problems = onlyErrors(problems)
			where := fmt.Sprintf("week.yaml:%d %s", lineWith(t, text, c.at), c.path)
			if len(problems) != 1 {
				t.Fatalf("got %v\nwant one %s at %s", list2text(problems), c.code, where)
			}
			p := problems[0]
			if p.Code != c.code || p.Where != where || !strings.Contains(p.What, c.what) || !strings.Contains(p.Fix, c.fix) || p.Fix == "" {
				t.Errorf("got %v\nwant %s at %s: %q, to fix: %q", p, c.code, where, c.what, c.fix)
			}
		})
	}
}

// No key of a week file is without a bad value.
func TestBadWeeksHaveEveryKey(t *testing.T) {
	seen := map[string]bool{}
	index := regexp.MustCompile(`\[\d+\]`)
	for _, c := range badWeeks {
		path := index.ReplaceAllString(c.path, "")
		seen[path] = true
		for i, r := range path {
			if r == '.' {
				seen[path[:i]] = true
			}
		}
	}
	keys := strings.Fields(strings.ReplaceAll("tankful_week days visits "+sharedKeys, "!", ""))
	for _, k := range strings.Fields(strings.ReplaceAll(stopKeys+" due last_visit every not_on", "!", "")) {
		keys = append(keys, "visits."+k)
	}
	for _, k := range strings.Fields("date start end off") {
		keys = append(keys, "days."+k)
	}
	for _, k := range keys {
		if !seen[k] {
			t.Errorf("%s has no bad value in the table", k)
		}
	}
}

// All is found in one run, in the order of the file; a week in braces is told too.
func TestBadWeekAllAtOnce(t *testing.T) {
	text := strings.NewReplacer("units: us", "units: uk", "off: [Kim]", "off: [Kym]", "due: 2026-05-04 to", "due: from 2026-05-04 to", "every: 4 to 6 weeks", "every: monthly", "set_up: 3 min", "set_up: 3").Replace(smallWeek)
	_, _, problems := ParseWeek("week.yaml", []byte(text), files, noOptions)
	var got []string
	for _, p := range problems {
		got = append(got, p.Code)
	}
	if want := "unknown-name unknown-word due-invalid missing-unit every-invalid"; strings.Join(got, " ") != want {
		t.Errorf("got %v, want %s", got, want)
	}
}
