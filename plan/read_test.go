package plan_test

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"tankful/plan"
)

// A plan that is written and read draws the same: it is the same plan.
func TestReadGivesThePlanBack(t *testing.T) {
	p, _ := plan.Make(oddDay())
	b, err := json.MarshalIndent(p, "", "  ")
	if err != nil {
		t.Fatal(err)
	}
	back, found := plan.Read("plan.json", append([]byte("\uFEFF"), b...))
	if len(found) > 0 {
		t.Fatal(found)
	}
	again, err := json.MarshalIndent(back, "", "  ")
	if err != nil || !bytes.Equal(b, again) {
		t.Errorf("read back and written again (%v): %s", err, difference(b, again))
	}
}

func TestReadRefuses(t *testing.T) {
	p, _ := plan.Make(oddDay())
	b, err := json.Marshal(p)
	if err != nil {
		t.Fatal(err)
	}
	whole := string(b)
	other := strings.Replace(whole, `"fill_l":`, `"fill_l":1`, 1)
	tests := []struct{ name, text, code string }{
		{"nothing", "", "plan-json"},
		{"cut short", whole[:len(whole)/2], "plan-json"},
		{"something behind", whole + "x", "plan-json"},
		{"a list", "[]", "not-a-plan"},
		{"another object", `{"properties": []}`, "not-a-plan"},
		{"no trucks", `{"fingerprint": "a", "date": "2026-05-04"}`, "not-a-plan"},
		{"no date", `{"fingerprint": "a"}`, "not-a-plan"},
		{"other units", `{"fingerprint": "a", "date": "2026-05-04", "trucks": [{}], "units": "imperial"}`, "not-a-plan"},
		{"a word for a number", strings.Replace(whole, `"minutes":`, `"minutes":"x","y":`, 1), "not-a-plan"},
		{"a figure changed", other, "plan-changed"},
		{"another number", strings.Replace(whole, p.Fingerprint, "0123456789", 1), "plan-changed"},
	}
	for _, test := range tests {
		got, found := plan.Read("plan.json", []byte(test.text))
		if got != nil || len(found) != 1 || found[0].Code != test.code || found[0].Fix == "" || !strings.HasPrefix(found[0].Where, "plan.json") {
			t.Errorf("%s: got %v, want one %s", test.name, found, test.code)
		}
	}
}

// Whatever the bytes, there is a plan or one problem, never both and never a panic.
func FuzzRead(f *testing.F) {
	p, _ := plan.Make(handDay(tank("tank", 20, 1)))
	if b, err := json.Marshal(p); err == nil {
		f.Add(b)
	}
	for _, s := range []string{"", "{}", "null", `{"trucks":[{}],"date":"x","units":"us","fingerprint":"a"}`, "[[[["} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		p, found := plan.Read("plan.json", data)
		if (p == nil) != found.HasErrors() {
			t.Errorf("plan %v beside %v", p != nil, found)
		}
	})
}
