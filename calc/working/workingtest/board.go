// Package workingtest holds what calculators print against golden files, so that what was read once by eye stays as it
// was. It knows outcomes and problems, and nothing of what they are about.
package workingtest

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

var update = flag.Bool("update", false, "write the golden files")

// Case is a result as it is read: its problems, facts, working and, where there is one, procedure.
type Case struct {
	Name      string
	Outcome   working.Outcome
	Problems  problem.List
	Procedure func(unit.System) []string
}

// Check holds the cases in both systems against testdata/board_us.txt and board_metric.txt of the package under test, and
// verifies every working. With -update it writes the files: look at what changed.
func Check(t testing.TB, cases []Case) {
	t.Helper()
	for _, s := range []unit.System{unit.US, unit.Metric} {
		var b strings.Builder
		for _, c := range cases {
			fmt.Fprintf(&b, "== %s\n", c.Name)
			for _, p := range c.Problems {
				fmt.Fprintln(&b, p)
			}
			for _, f := range c.Outcome.Facts(s) {
				fmt.Fprintf(&b, "%s | %s\n", f.Name, f.Text)
			}
			w := c.Outcome.Working(s)
			if err := w.Verify(); err != nil {
				t.Errorf("%s, %s: %v", c.Name, s, err)
			}
			b.WriteString("\n" + w.Text() + "\n")
			if c.Procedure != nil {
				b.WriteString(strings.Join(c.Procedure(s), "\n") + "\n\n")
			}
		}
		golden(t, filepath.Join("testdata", "board_"+string(s)+".txt"), b.String())
	}
}

func golden(t testing.TB, name, got string) {
	t.Helper()
	if *update {
		if err := os.MkdirAll(filepath.Dir(name), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	wants, gots := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	line := func(list []string, i int) string {
		if i < len(list) {
			return list[i]
		}
		return "(end)"
	}
	for i := range max(len(wants), len(gots)) {
		if g, w := line(gots, i), line(wants, i); g != w {
			t.Fatalf("%s:%d: got %q, want %q; run with -update and look at what changed", name, i+1, g, w)
		}
	}
}
