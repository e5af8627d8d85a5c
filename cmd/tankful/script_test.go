package main

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/rogpeppe/go-internal/testscript"

	"tankful/geo/geotest"
)

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"tankful": main})
}

var update = flag.Bool("update", false, "rewrite the expected output inside the scripts")

// TestScripts runs testdata/*.txtar, one behaviour each, in a folder that holds testdata/base
// and, at $DEMO, the demo's files. Besides testscript's own commands there are:
//
//	code N CMD...          runs CMD, whose exit code must be N
//	json FILE PATH WANT    a value of a JSON file (or stdout): null, text, or a number, which must be
//	                       WANT when rounded to its decimals; {} is any object, N... an array of N
//	variant OLD NEW A B    copies file OLD to NEW with the text A, which must be there once, made B
//	                       (in which \n is the end of a line)
//	trimlast FILE NEW      copies FILE (or stdout) without its last line, the plan's fingerprint
//	await FILE             waits until FILE is there
//	deep FILE N            writes N opening brackets
//	repeat FILE N          writes a turf outline whose first corner is there N times
//	streets FILE           writes an OpenStreetMap extract of a grid of streets
//	service VAR [STATUS]   starts a routing service (that answers STATUS) and sets VAR to its address
//	refused CODE CMD...    exit 3; CODE among the problems, each with its fix; no figure on stdout
func TestScripts(t *testing.T) {
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	base := os.DirFS(filepath.Join("testdata", "base"))
	dir, files := "testdata", []string(nil)
	if oneGoroutine() {
		dir, files = "", scriptsOfGoroutines(t)
	}
	testscript.Run(t, testscript.Params{
		Dir:                 dir,
		Files:               files,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error {
			e.Setenv("DEMO", demo)
			return os.CopyFS(e.WorkDir, base)
		},
		Cmds: map[string]func(*testscript.TestScript, bool, []string){
			"code": exitsWith, "json": jsonValue, "variant": variant, "trimlast": trimLast, "await": await, "deep": deep, "repeat": repeatCorner, "refused": refused,
			"streets": streets, "service": service,
		},
	})
}

func need(ts *testscript.TestScript, neg bool, ok bool, usage string) {
	if neg || !ok {
		ts.Fatalf("usage: %s", usage)
	}
}

func runFor(ts *testscript.TestScript, want int, args []string) {
	got := 0
	err := ts.Exec(args[0], args[1:]...)
	var exit *exec.ExitError
	if errors.As(err, &exit) {
		got = exit.ExitCode()
	} else {
		ts.Check(err)
	}
	if got != want {
		ts.Fatalf("exit code %d, want %d", got, want)
	}
}

func exitsWith(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) > 1, "code N CMD...")
	n, err := strconv.Atoi(args[0])
	ts.Check(err)
	runFor(ts, n, args[1:])
}

func jsonValue(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 3, "json FILE PATH WANT")
	var v any
	ts.Check(json.Unmarshal([]byte(ts.ReadFile(args[0])), &v))
	for key := range strings.SplitSeq(args[1], ".") {
		switch x := v.(type) {
		case map[string]any:
			next, ok := x[key]
			if !ok {
				ts.Fatalf("%s: there is no %q", args[1], key)
			}
			v = next
		case []any:
			i, err := strconv.Atoi(key)
			ts.Check(err)
			if i >= len(x) {
				ts.Fatalf("%s: %d entries", args[1], len(x))
			}
			v = x[i]
		default:
			ts.Fatalf("%s: %q stands in %v", args[1], key, v)
		}
	}
	if !matches(v, args[2]) {
		ts.Fatalf("%s is %v, want %s", args[1], v, args[2])
	}
}

func matches(v any, want string) bool {
	switch x := v.(type) {
	case nil:
		return want == "null"
	case float64:
		w, err := strconv.ParseFloat(want, 64)
		slack := 1e-9 * max(1, math.Abs(w))
		if _, decimals, ok := strings.Cut(want, "."); ok {
			slack += 0.5 * math.Pow10(-len(decimals))
		}
		return err == nil && math.Abs(x-w) <= slack
	case map[string]any:
		return want == "{}"
	case []any:
		return want == fmt.Sprintf("%d...", len(x))
	}
	return fmt.Sprint(v) == want
}

func variant(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 4, "variant OLD NEW A B")
	text := ts.ReadFile(args[0])
	if strings.Count(text, args[2]) != 1 {
		ts.Fatalf("%q stands in %s %d times", args[2], args[0], strings.Count(text, args[2]))
	}
	text = strings.Replace(text, args[2], strings.ReplaceAll(args[3], `\n`, "\n"), 1)
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(text), 0o600))
}

func await(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 1, "await FILE")
	for range 18_000 { // the race detector takes its time
		if _, err := os.Stat(ts.MkAbs(args[0])); err == nil {
			return
		}
		time.Sleep(10 * time.Millisecond)
	}
	ts.Fatalf("%s did not come in 180 s", args[0])
}

func trimLast(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 2, "trimlast FILE NEW")
	text := strings.TrimSuffix(ts.ReadFile(args[0]), "\n")
	ts.Check(os.WriteFile(ts.MkAbs(args[1]), []byte(text[:strings.LastIndexByte(text, '\n')+1]), 0o600))
}

func deep(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 2, "deep FILE N")
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.Repeat("[", n)), 0o600))
}

func repeatCorner(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 2, "repeat FILE N")
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	text := `{"type":"Feature","properties":{"surface":"turf"},"geometry":{"type":"Polygon","coordinates":[[` +
		strings.Repeat("[-41.200000000,38.500000000],", n) + "[-41.19965059001,38.5],[-41.19965059001,38.500134544128],[-41.2,38.500134544128],[-41.2,38.5]]]}}"
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o600))
}

func refused(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) > 2, "refused CODE CMD...")
	runFor(ts, exitProblem, args[1:])
	talk := ts.ReadFile("stderr")
	if !strings.Contains(talk, "["+args[0]+"]") {
		ts.Fatalf("no problem [%s]", args[0])
	}
	errs, fixes := strings.Count(talk, ": error: ")+strings.Count(talk, ": warning: ")+strings.Count(talk, ": note: "), strings.Count(talk, "\n    fix: ")
	if errs == 0 || fixes != errs {
		ts.Fatalf("%d problems with %d fixes", errs, fixes)
	}
	for line := range strings.Lines(ts.ReadFile("stdout")) {
		if strings.ContainsAny(line, "0123456789") {
			ts.Fatalf("a figure beside an error: %s", line)
		}
	}
}

// oneGoroutine reports whether the race detector watches: then what one goroutine does alone is left to the other runs, as it finds nothing there and takes
// ten times as long. TANKFUL_RACE=all has it watch everything.
func oneGoroutine() bool { return geotest.Fewer(10) == 1 && os.Getenv("TANKFUL_RACE") != "all" }

// scriptsOfGoroutines are the scripts of commands that start goroutines: those that measure files on all cores, ask services, or are interrupted.
func scriptsOfGoroutines(t *testing.T) (files []string) {
	t.Helper()
	for _, pattern := range []string{"measure*", "passes*", "quote", "interrupt", "pipe", "*_service"} {
		found, err := filepath.Glob(filepath.Join("testdata", pattern+".txtar"))
		if err != nil || len(found) == 0 {
			t.Fatalf("no script %s (%v)", pattern, err)
		}
		files = append(files, found...)
	}
	return files
}
