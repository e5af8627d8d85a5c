package dayfile

import (
	"strings"
	"testing"

	"tankful/calc/problem"
)

// Whatever the bytes, Parse gives a day and a list whose entries are whole, and does not panic.
func FuzzParse(f *testing.F) {
	f.Add([]byte(small))
	f.Add([]byte(whole))
	for _, s := range []string{"", "a", "- a", "a: [", "a: {b: c", "? a\n: b", "a: &x b\nc: *x", "<<: {a: b}", "---\n---\n", "%TAG ! x\n---\na: b",
		"tankful: 1\nstops: [{}, [], null, ~, x]\n", "tankful: 1\nyard: {at: {lon: .nan, lat: .inf}}\n", "a: |\n", "a: >-\n  b\n", "\xef\xbb\xbftankful: 1",
		"\"\": 1", "a: \"\\u0000\"", "tankful: 1\nset_up: 1e999 s", "a: !!binary x", strings.Repeat("[{", 30)} {
		f.Add([]byte(s))
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		day, problems := Parse("day.yaml", data, files, noOptions)
		if day == nil {
			t.Fatal("no day")
		}
		for _, p := range problems {
			if p.Code == "" || p.Fix == "" || p.What == "" || !strings.HasPrefix(p.Where, "day.yaml:") {
				t.Errorf("an entry is not whole: %+v", p)
			}
		}
		if !problems.HasErrors() {
			checkWhole(t, problems, len(day.Stops), len(day.Mixes), len(day.Trucks))
		}
	})
}

// checkWhole holds a day without errors to what planning takes for granted.
func checkWhole(t *testing.T, problems problem.List, counts ...int) {
	t.Helper()
	for _, n := range counts {
		if n == 0 {
			t.Errorf("a part of the day is empty and no error says so: %v", problems)
		}
	}
}
