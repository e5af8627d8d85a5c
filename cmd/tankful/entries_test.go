package main

import (
	"bytes"
	"errors"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// benchTest is a command of two entries, as the bench commands have them.
type benchTest struct {
	course unit.Length
	runs   []unit.Time
	form   form
	asked  string
}

func (b *benchTest) run(e *env, args ...string) error {
	b.form = form{entries: []entry{
		{name: "course", usage: "length walked", example: "143 ft", need: true, set: into(&b.course, unit.ParseLength)},
		{name: "run-time", usage: "time of one walk", example: "33 s", several: true, set: onto(&b.runs, unit.ParseTime)},
	}}
	cmd := &cobra.Command{Use: "bench", Example: `bench --course "143 ft"`, SilenceErrors: true, SilenceUsage: true}
	cmd.RunE = func(cmd *cobra.Command, _ []string) (err error) {
		b.asked, err = b.form.read(e, cmd, []string{"1. Lay the course."})
		return err
	}
	b.form.add(cmd)
	cmd.SetArgs(args)
	return cmd.Execute()
}

func codes(err error) string {
	var failed *problem.Failed
	if !errors.As(err, &failed) {
		return ""
	}
	var list []string
	for _, p := range failed.Problems {
		list = append(list, p.Where+" "+p.Code)
	}
	return strings.Join(list, "; ")
}

// The three ways in give the same.
func TestEntries(t *testing.T) {
	file := filepath.Join(t.TempDir(), "bench.yaml")
	if err := os.WriteFile(file, []byte("course: 143 ft\nrun_time: [33 s, 32 s]\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	want := []unit.Time{33, 32}
	for name, args := range map[string][]string{
		"flags":          {"--course", "143 ft", "--run-time", "33 s", "--run-time", "32 s"},
		"one unit":       {"--course", "143 ft", "--run-time", "33, 32 s"},
		"file":           {"--file", file},
		"flag over file": {"--file", file, "--course", "143 ft"},
	} {
		var b benchTest
		if err := b.run(&env{}, args...); err != nil || b.course != 143*unit.Foot || !slices.Equal(b.runs, want) {
			t.Errorf("%s: %v, %v, %v", name, b.course, b.runs, err)
		}
	}
	var b benchTest
	var talk bytes.Buffer
	e := &env{in: strings.NewReader("\n143\n143 ft\n33 s\n32\n32 s\n\n"), err: &talk, asks: true}
	if err := b.run(e); err != nil || b.course != 143*unit.Foot || !slices.Equal(b.runs, want) {
		t.Errorf("asked: %v, %v, %v", b.course, b.runs, err)
	}
	if want := `bench --course "143 ft" --run-time "33 s" --run-time "32 s"`; b.asked != want {
		t.Errorf("the line to repeat is %s, want %s", b.asked, want)
	}
	for _, said := range []string{"1. Lay the course.", "Length walked (143 ft): ", "This one is needed.", "the unit is missing", "Another one"} {
		if !strings.Contains(talk.String(), said) {
			t.Errorf("%q was not said in:\n%s", said, &talk)
		}
	}
}

func TestEntriesRefuse(t *testing.T) {
	file := filepath.Join(t.TempDir(), "bench.yaml")
	if err := os.WriteFile(file, []byte("run_time: [33, 32 oz]\nrum_time: 3 s\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct {
		args []string
		want string
	}{
		"every value": {[]string{"--course", "143", "--run-time", "33 lb, 3"}, "--course quantity; --run-time quantity; --run-time quantity"},
		"twice":       {[]string{"--course", "143 ft", "--course", "144 ft"}, "--course given-twice"},
		"file": {[]string{"--file", file}, "bench.yaml:2 rum_time unknown-key; " +
			"bench.yaml:1 run_time[0] quantity; bench.yaml:1 run_time[1] quantity; bench.yaml entry-missing"},
	} {
		var b benchTest
		if got := codes(b.run(&env{}, c.args...)); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
	var b benchTest
	var usage *usageError
	if err := b.run(&env{}, "--run-time", "3 s"); !errors.As(err, &usage) || usage.what != "--course is missing" {
		t.Errorf("missing: got %v", err)
	}
	if err := b.run(&env{in: strings.NewReader("143 ft\n"), err: &bytes.Buffer{}, asks: true}); !errors.Is(err, errStopped) {
		t.Errorf("an end of input: got %v", err)
	}
	if err := b.run(&env{}, "--file", file+"x"); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("no file: got %v", err)
	}
}

func TestSplit(t *testing.T) {
	en := entry{several: true}
	for text, want := range map[string]string{
		"77 s": "77 s", "77 s,79 s, 78 s": "77 s|79 s|78 s", "77, 79, 78 s": "77 s|79 s|78 s",
		"1,250 sq ft": "1,250 sq ft", "1,250 sq ft, 900 sq ft": "1,250 sq ft|900 sq ft", "feed=3 lb, x": "feed=3 lb, x",
		// A comma between digits could be a decimal: 33.5 s are not 33 s and 5 s.
		"33,5 s": "33,5 s", "77,79,78 s": "77,79,78 s", "8,2 L, 8.3 L": "8,2 L|8.3 L", "2,4-D, wetter": "2,4-D|wetter",
		"a=3 lb/M, b=2 lb/M": "a=3 lb/M|b=2 lb/M", "12 Elm, rear=5,200 sq ft": "12 Elm, rear=5,200 sq ft", "-3 ft=2 in, 0 ft=4 in, 3 ft=2 in": "-3 ft=2 in|0 ft=4 in|3 ft=2 in",
	} {
		var got []string
		for _, a := range en.split(text, "") {
			got = append(got, a.text)
		}
		if strings.Join(got, "|") != want {
			t.Errorf("%s: got %q, want %s", text, got, want)
		}
	}
}

// Every question that shows a US unit has an example in metric ones, and both can be answered so.
func TestMetricExamples(t *testing.T) {
	forms := map[string][]entry{"mix": (&mixEntries{}).entries(), "season": (&seasonEntries{}).entries()}
	for _, m := range methods {
		forms[m.kind] = m.make().entries
	}
	usUnit := regexp.MustCompile(`\b(ft|in|gal|fl oz|oz wt|lb|mph|psi)\b`)
	for name, entries := range forms {
		for _, en := range entries {
			metric := inMetric(en.example)
			if !en.quiet && usUnit.MatchString(metric) {
				t.Errorf("%s: --%s has the example %q in metric", name, en.name, metric)
			}
			for _, text := range []string{en.example, metric} {
				if err := en.set(text); text != "" && err != nil {
					t.Errorf("%s: --%s: %v", name, en.name, err)
				}
			}
		}
	}
}

// What was answered is not lost when an answer will not do or the input ends.
func TestAnswersAreKept(t *testing.T) {
	for name, c := range map[string]struct {
		answers, said string
		args          []string
		code          int
	}{
		"a slip":   {"143 ft\n84 ft\n\n33 s, 32 s, 34 s\n\n2.1 gal\n" + strings.Repeat("\n", 20), `calibrate gun --course "143 ft" --spacing "84 ft" --run "33 s" --run "32 s" --run "34 s" --caught "2.1 gal"`, []string{"calibrate", "gun"}, exitProblem},
		"its end":  {"143 ft\n7 ft\n\n33 s\n", `calibrate gun --course "143 ft" --spacing "7 ft" --run "33 s"`, []string{"calibrate", "gun"}, exitFailed},
		"its kind": {"gun\n43.6 m\n", `calibrate gun --units metric --course "43.6 m"`, []string{"calibrate", "--units", "metric"}, exitFailed},
		"over the label": {"2 gal/M\n50 gal\n1 gal\n\nfeed=12 fl oz/M\n\nfeed=9 fl oz/M\n\n", `mix --carrier "2 gal/M" --tank "50 gal" --heel "1 gal" --product "feed=12 fl oz/M" --most "feed=9 fl oz/M"`,
			[]string{"mix"}, exitProblem},
	} {
		var out, talk bytes.Buffer
		code := run(t.Context(), env{in: strings.NewReader(c.answers), out: &out, err: &talk, asks: true}, c.args)
		if code != c.code || !strings.HasSuffix(talk.String(), "Your answers so far, to mend and run again:\n  tankful "+c.said+"\n") {
			t.Errorf("%s: exit code %d, and\n%s", name, code, &talk)
		}
		if out.Len() > 0 {
			t.Errorf("%s: %s is worked out", name, &out)
		}
	}
}

// At a terminal figures are converted as they are typed; one that cannot be read ends nothing.
func TestAskedFigures(t *testing.T) {
	var out, talk bytes.Buffer
	e := env{in: strings.NewReader("4 oz\n20 gal/acre\n\n"), out: &out, err: &talk, asks: true}
	if code := run(t.Context(), e, []string{"convert", "--to", "qt/acre"}); code != exitDone || out.String() != "20 gal/acre = 80 qt/acre\n" {
		t.Errorf("exit code %d, got %s", code, &out)
	}
	if !strings.Contains(talk.String(), `"fl oz" for volume or "oz wt" for weight`) {
		t.Errorf("got %s", &talk)
	}
}

// At a terminal the whole test is asked for, the kind first; the line that it prints gives the same answer again.
func TestAskedCalibration(t *testing.T) {
	var out, talk bytes.Buffer
	answers := "backpack\n6 ft\n\n\n38, 40, 39 s\n\n7.5 fl oz\n\n" + strings.Repeat("\n", 20)
	e := env{in: strings.NewReader(answers), out: &out, err: &talk, asks: true}
	if code := run(t.Context(), e, []string{"calibrate"}); code != exitDone {
		t.Fatalf("exit code %d:\n%s", code, &talk)
	}
	if !strings.Contains(out.String(), "(7.5 gal/acre") { // Backpack Sprayer Calibration Worksheet, NC State Extension, n.d.
		t.Errorf("got\n%s", &out)
	}
	again := `tankful calibrate backpack --spacing "6 ft" --run "38 s" --run "40 s" --run "39 s" --caught "7.5 fl oz"`
	if !strings.Contains(talk.String(), "The same again:\n  "+again+"\n") {
		t.Errorf("%s is not said in\n%s", again, &talk)
	}
	var second bytes.Buffer
	args := []string{"calibrate", "backpack", "--spacing", "6 ft", "--run", "38 s", "--run", "40 s", "--run", "39 s", "--caught", "7.5 fl oz"}
	if code := run(t.Context(), env{out: &second, err: &talk}, args); code != exitDone || second.String() != out.String() {
		t.Errorf("the same again gives %d and\n%s", code, &second)
	}
	if code := run(t.Context(), env{in: strings.NewReader("sprayer\n"), out: &out, err: &talk, asks: true}, []string{"calibrate"}); code != exitFailed {
		t.Errorf("an end of input gives %d", code)
	}
}
