package server_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"
)

type plannedWeek struct {
	Text string
	Week *struct {
		Days []struct {
			Date, Plan, Text string
			Stops            int
		}
		Later []struct{ Name, Why string }
		Bound string
	}
	Refused *struct {
		Title    string
		Problems []struct{ Code, Where string }
	}
}

func (v *visitor) week(ask any) plannedWeek {
	v.t.Helper()
	b, err := json.Marshal(ask)
	if err != nil {
		v.t.Fatal(err)
	}
	_, out := v.do("POST", "/api/weeks", map[string]string{"Content-Type": "application/json"}, strings.NewReader(string(b)), 200)
	var last plannedWeek
	for line := range strings.Lines(string(out)) {
		if data, ok := strings.CutPrefix(line, "data: "); ok {
			last = plannedWeek{}
			if err := json.Unmarshal([]byte(data), &last); err != nil {
				v.t.Fatal(err)
			}
		}
	}
	return last
}

// Stops over three days: each is on one of them, what is due later is on no day before, and each day is a plan like any other: its rest can be planned, and
// its order fixed by hand.
func TestWeek(t *testing.T) {
	o := newOffice(t)
	crew := o.with("crew lead")
	var all []any
	for _, id := range []string{"gull-row-4", "gull-row-6", "gull-row-9", "kelp-circle-3", "kelp-circle-5", "kelp-circle-8", "mirror-pond"} {
		all = append(all, map[string]any{"property": id})
	}
	_, body := o.owner.do("GET", "/api/properties/mirror-pond", nil, nil, 200)
	o.owner.do("PUT", "/api/properties/mirror-pond", map[string]string{"If-Match": `"1"`}, strings.NewReader(strings.Replace(string(body), `"account":{`, `"account":{"due":"2026-04-15",`, 1)), 200)
	w := crew.week(map[string]any{"days": []string{"2026-04-14", "2026-04-15", "2026-04-16"}, "stops": all})
	if w.Week == nil || len(w.Week.Days) != 3 || len(w.Week.Later) != 0 {
		t.Fatalf("%+v", w)
	}
	var seen []string
	first := ""
	for _, d := range w.Week.Days {
		if d.Plan == "" {
			continue
		}
		p, ids := crew.order(d.Plan)
		if len(p.Stops) != d.Stops || !strings.Contains(d.Text, " gal") {
			t.Errorf("%s: %d stops, said to be %d", d.Date, len(p.Stops), d.Stops)
		}
		if d.Date == "2026-04-14" && slices.Contains(ids, "mirror-pond") {
			t.Error("Mirror Pond is due on the 15th and planned on the 14th")
		}
		seen = append(seen, ids...)
		if first == "" && len(ids) > 1 {
			first = d.Plan
		}
		if text := crew.get("/plan/"+d.Plan, 200); !strings.Contains(text, "Plan of "+d.Date) {
			t.Errorf("the page of %s: %.300s", d.Date, text)
		}
	}
	slices.Sort(seen)
	if seen = slices.Compact(seen); len(seen) != len(all) {
		t.Errorf("%d of %d stops are on some day", len(seen), len(all))
	}
	_, ids := crew.order(first)
	slices.Reverse(ids)
	by := crew.planned("/api/plans/"+first+"/order", map[string]any{"orders": []any{map[string]any{"truck": "Truck 1", "stops": ids}}})
	if _, got := crew.order(by); !slices.Equal(got, ids) {
		t.Errorf("%v by hand became %v", ids, got)
	}
	crew.json("POST", "/api/plans/"+first+"/entries", nil, map[string]any{"did": "finished", "truck": "Truck 1", "stop": 1, "at": "08:00"}, 201, nil)
	rest := crew.planned("/api/plans/"+first+"/rest", map[string]any{})
	if p, _ := crew.order(rest); len(p.Stops) != len(ids)-1 {
		t.Errorf("the rest has %d stops of %d", len(p.Stops), len(ids))
	}
	bad := crew.week(map[string]any{"days": []string{"2026-04-14", "soon", "2026-13-01"}, "stops": all})
	if bad.Refused == nil || len(bad.Refused.Problems) != 2 {
		t.Errorf("two dates that are none: %+v", bad)
	}
	for _, ask := range []map[string]any{{"days": []string{}, "stops": all}, {"days": []string{"2026-04-14", "2026-04-14"}, "stops": all}, {"days": []string{"2026-04-14"}, "stops": []any{}}, {"days": []string{"2026-04-14"}, "stops": []any{map[string]any{"property": "nowhere"}}}} {
		if x := crew.week(ask); x.Refused == nil || x.Week != nil {
			t.Errorf("%v: %+v", ask, x)
		}
	}
}
