package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
)

// mayImport says which folders of the module each layer may import.
var mayImport = map[string][]string{
	"calc":   {"calc"},
	"geo":    {"calc/unit", "calc/problem", "geo"},
	"plan":   {"calc", "geo", "plan"},
	"server": {"calc", "geo", "plan", "server"},
	"cmd":    {"calc", "geo", "plan", "server", "testdata/demo"},
}

// impure are the packages that bring files, the network, a log, the environment, a clock or
// chance into calc, geo and plan; a name stands for what is below it too.
var impure = []string{"os", "io/ioutil", "net", "log", "time", "math/rand", "crypto/rand", "syscall"}

// pureExceptions lists "folder import" pairs that impure forbids, with their reason.
var pureExceptions = map[string]string{
	"calc/date time":                "date arithmetic; clockWords keeps it from the clock",
	"plan/dayfile time":             "it reads the date of a day; clockWords keeps it from the clock",
	"plan/route/ruin math/rand/v2":  "a generator with a fixed seed: the same day gives the same plan",
	"plan/route/solve math/rand/v2": "a generator with a fixed seed: the same day gives the same plan",
}

// clockWords are the names of package time that ask a clock or the machine's time zone.
var clockWords = []string{"Now", "Since", "Until", "Sleep", "After", "AfterFunc", "Tick", "NewTicker", "NewTimer", "Local", "LoadLocation"}

// onlyIn lists modules with the one folder that may import them; "" is none. Tests may
// take the ones in testsToo as a second opinion.
var onlyIn = map[string]string{
	"github.com/paulmach/orb/geo":          "", // a sphere: wrong by up to 0.4 % of area
	"github.com/tdewolff/canvas":           "plan/sheet/draw",
	"github.com/peterstace/simplefeatures": "geo/overlay",
	"github.com/tidwall/geodesic":          "geo/geodesic",
}

var testsToo = []string{"github.com/peterstace/simplefeatures", "github.com/tidwall/geodesic"}

// longest is the number of lines at which a file is cut.
const longest = 500

func TestLayers(t *testing.T) {
	for _, fault := range layerFaults(os.DirFS("../.."), pureExceptions) {
		t.Error(fault)
	}
}

// A sourceFile is what the rules look at.
type sourceFile struct {
	path, dir string
	// test is true for _test.go files and for packages that only serve tests (geotest).
	test    bool
	ast     *ast.File
	imports []string
	lines   int
}

// layerFaults gives every breach of the rules above in the tree of the module's root.
func layerFaults(fsys fs.FS, exceptions map[string]string) []string {
	files, err := sourceFiles(fsys)
	if err != nil {
		return []string{err.Error()}
	}
	var faults []string
	used := map[string]bool{}
	for _, f := range files {
		for _, imported := range f.imports {
			faults = append(faults, importFaults(f, imported)...)
			if key := f.dir + " " + imported; !f.test && isPure(f.dir) && under(imported, impure...) {
				used[key] = true
				if exceptions[key] == "" {
					faults = append(faults, fmt.Sprintf("%s imports %s: calc, geo and plan take values and give values", f.path, imported))
				}
			}
		}
		if !f.test && isPure(f.dir) {
			faults = append(faults, clockFaults(f)...)
			faults = append(faults, goFaults(f)...)
		}
		if !f.test && f.lines > longest {
			faults = append(faults, fmt.Sprintf("%s has %d lines, over %d: cut it at an idea", f.path, f.lines, longest))
		}
	}
	for key := range exceptions {
		if !used[key] {
			faults = append(faults, fmt.Sprintf("the exception %q is not needed any more", key))
		}
	}
	faults = append(faults, commentFaults(files)...)
	slices.Sort(faults)
	return faults
}

// importFaults judges one import by its direction and by its owner.
func importFaults(f sourceFile, imported string) []string {
	var faults []string
	say := func(why string) { faults = append(faults, fmt.Sprintf("%s imports %s: %s", f.path, imported, why)) }
	if ours, ok := strings.CutPrefix(imported, "tankful/"); ok {
		layer, _, _ := strings.Cut(f.dir, "/")
		switch allowed, known := mayImport[layer]; {
		case under(ours, "cmd"):
			say("nothing imports cmd")
		case under(ours, "testdata"):
			if layer != "cmd" && !f.test {
				say("the demo is for cmd and for tests")
			}
		case f.test && layer == "geo" && under(ours, "calc"):
		case !known:
			say(f.dir + " is in no layer")
		case !under(ours, allowed...):
			say(fmt.Sprintf("%s may import %s", layer, strings.Join(allowed, ", ")))
		}
		if !f.test && strings.HasSuffix(ours, "test") {
			say("a package for tests is for tests")
		}
	}
	for module, owner := range onlyIn {
		if !under(imported, module) || f.dir == owner {
			continue
		}
		if f.test && slices.Contains(testsToo, module) {
			continue
		}
		if owner == "" {
			owner = "nothing"
		}
		say("only " + owner + " may")
	}
	return faults
}

// clockFaults gives the places where f asks a clock, whatever f calls package time.
func clockFaults(f sourceFile) []string {
	var faults []string
	for _, spec := range f.ast.Imports {
		if spec.Path.Value != `"time"` {
			continue
		}
		local := "time"
		if spec.Name != nil {
			local = spec.Name.Name
		}
		ast.Inspect(f.ast, func(n ast.Node) bool {
			if sel, ok := n.(*ast.SelectorExpr); ok && slices.Contains(clockWords, sel.Sel.Name) {
				if x, ok := sel.X.(*ast.Ident); ok && x.Name == local {
					faults = append(faults, fmt.Sprintf("%s uses time.%s: the clock is a field", f.path, sel.Sel.Name))
				}
			}
			return true
		})
	}
	return faults
}

// goFaults gives the places where f starts a goroutine: .ci/run asks the race detector only of
// packages that start some, or that guard something with sync.
func goFaults(f sourceFile) []string {
	var faults []string
	ast.Inspect(f.ast, func(n ast.Node) bool {
		if _, ok := n.(*ast.GoStmt); ok {
			faults = append(faults, f.path+" starts a goroutine: calc, geo and plan leave that to their caller")
		}
		return true
	})
	return faults
}

// commentFaults gives the packages without a package comment.
func commentFaults(files []sourceFile) []string {
	type pkg struct{ dir, name string }
	commented := map[pkg]bool{}
	for _, f := range files {
		if strings.HasSuffix(f.path, "_test.go") {
			continue
		}
		p := pkg{f.dir, f.ast.Name.Name}
		begin := "Package " + p.name + " "
		if p.name == "main" {
			begin = "Command " + path.Base(p.dir) + " "
		}
		commented[p] = commented[p] || strings.HasPrefix(f.ast.Doc.Text(), begin)
	}
	var faults []string
	for p, ok := range commented {
		if !ok {
			faults = append(faults, fmt.Sprintf("%s: package %s has no comment that says what it knows and leaves out", p.dir, p.name))
		}
	}
	return faults
}

// sourceFiles reads every Go file of the tree; fixtures and git's own files are no sources.
func sourceFiles(fsys fs.FS) ([]sourceFile, error) {
	var files []sourceFile
	err := fs.WalkDir(fsys, ".", func(name string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (name == ".git" || d.Name() == "testdata" && name != "testdata"):
			return fs.SkipDir
		case d.IsDir() || path.Ext(name) != ".go":
			return nil
		}
		f, err := readSource(fsys, name)
		files = append(files, f)
		return err
	})
	return files, err
}

func readSource(fsys fs.FS, name string) (sourceFile, error) {
	src, err := fs.ReadFile(fsys, name)
	if err != nil {
		return sourceFile{}, err
	}
	parsed, err := parser.ParseFile(token.NewFileSet(), name, src, parser.ParseComments|parser.SkipObjectResolution)
	if err != nil {
		return sourceFile{}, err
	}
	f := sourceFile{path: name, dir: path.Dir(name), ast: parsed, lines: bytes.Count(src, []byte("\n"))}
	f.test = strings.HasSuffix(name, "_test.go") || strings.HasSuffix(f.dir, "test")
	for _, spec := range parsed.Imports {
		imported, err := strconv.Unquote(spec.Path.Value)
		if err != nil {
			return sourceFile{}, err
		}
		f.imports = append(f.imports, imported)
	}
	return f, nil
}

func isPure(dir string) bool { return under(dir, "calc", "geo", "plan") }

// under tells whether p is one of the paths or lies below one.
func under(p string, paths ...string) bool {
	return slices.ContainsFunc(paths, func(q string) bool { return p == q || strings.HasPrefix(p, q+"/") })
}

// TestLayerFaultsAreFound plants each fault in a small tree and looks for it.
func TestLayerFaultsAreFound(t *testing.T) {
	tests := []struct{ name, file, source, want string }{
		{"clean", "calc/mix/mix.go", `import "tankful/calc/unit"`, ""},
		{"calc takes geo", "calc/mix/mix.go", `import "tankful/geo"`, "calc may import calc"},
		{"calc takes geo in a test", "calc/mix/mix_test.go", `import "tankful/geo"`, "calc may import calc"},
		{"geo takes label", "geo/site.go", `import "tankful/calc/label"`, "geo may import calc/unit"},
		{"geo takes a neighbour of its own", "geo/local/local.go", `import "tankful/geo/geodesic"`, ""},
		{"geo takes a folder that only begins alike", "geo/site.go", `import "tankful/calc/units"`, "geo may import calc/unit"},
		{"plan takes server", "plan/make.go", `import "tankful/server"`, "plan may import calc, geo, plan"},
		{"server takes plan", "server/api.go", `import "tankful/plan"`, ""},
		{"server takes cmd", "server/api.go", `import "tankful/cmd/tankful"`, "nothing imports cmd"},
		{"plan takes the demo", "plan/make.go", `import "tankful/testdata/demo"`, "the demo is for cmd and for tests"},
		{"a test takes the demo", "plan/make_test.go", `import "tankful/testdata/demo"`, ""},
		{"cmd takes the demo", "cmd/tankful/main.go", `import "tankful/testdata/demo"`, ""},
		{"no layer", "util/util.go", `import "tankful/calc"`, "util is in no layer"},
		{"a test's package", "geo/site.go", `import "tankful/geo/geotest"`, "a package for tests is for tests"},
		{"clock", "plan/make.go", `import "time"`, "plan take values and give values"},
		{"goroutine", "geo/site.go", "func f() { go f() }", "starts a goroutine"},
		{"goroutine in server", "server/api.go", "func f() { go f() }", ""},
		{"network", "geo/site.go", `import "net/http"`, "plan take values and give values"},
		{"log", "calc/calc.go", `import "log/slog"`, "plan take values and give values"},
		{"chance", "plan/route/solve.go", `import "math/rand/v2"`, "plan take values and give values"},
		{"files in a test", "plan/make_test.go", `import "os"`, ""},
		{"files in cmd", "cmd/tankful/main.go", `import "os"`, ""},
		{"sphere", "cmd/tankful/main.go", `import "github.com/paulmach/orb/geo"`, "only nothing may"},
		{"sphere in a test", "geo/site_test.go", `import "github.com/paulmach/orb/geo"`, "only nothing may"},
		{"orb itself", "geo/site.go", `import "github.com/paulmach/orb"`, ""},
		{"canvas", "plan/sheet/sheet.go", `import "github.com/tdewolff/canvas/renderers/pdf"`, "only plan/sheet/draw may"},
		{"canvas at home", "plan/sheet/draw/draw.go", `import "github.com/tdewolff/canvas"`, ""},
		{"overlay", "plan/pass/pass.go", `import "github.com/peterstace/simplefeatures/geom"`, "only geo/overlay may"},
		{"overlay as a second opinion", "plan/pass/pass_test.go", `import "github.com/peterstace/simplefeatures/geom"`, ""},
		{"ellipsoid", "geo/site.go", `import "github.com/tidwall/geodesic"`, "only geo/geodesic may"},
		{"too long", "calc/calc.go", strings.Repeat("\n", longest), "has 503 lines"},
		{"too long, but a test", "calc/calc_test.go", strings.Repeat("\n", longest), ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			name := path.Base(path.Dir(tt.file))
			source := fmt.Sprintf("// Package %s is planted.\npackage %[1]s\n%s\n", name, tt.source)
			if strings.HasPrefix(tt.file, "cmd/") {
				source = fmt.Sprintf("// Command %s is planted.\npackage main\n%s\n", name, tt.source)
			}
			faults := layerFaults(fstest.MapFS{tt.file: {Data: []byte(source)}}, nil)
			checkFaults(t, faults, tt.want)
		})
	}
}

func TestCommentAndExceptionFaultsAreFound(t *testing.T) {
	bare := fstest.MapFS{
		"calc/calc.go":      {Data: []byte("package calc\n")},
		"calc/calc_test.go": {Data: []byte("// Package calc has its comment in the wrong file.\npackage calc\n")},
	}
	checkFaults(t, layerFaults(bare, nil), "package calc has no comment")
	command := fstest.MapFS{"cmd/tankful/main.go": {Data: []byte("// Here is main.\npackage main\n")}}
	checkFaults(t, layerFaults(command, nil), "package main has no comment")
	clock := fstest.MapFS{"plan/day.go": {Data: []byte("// Package plan is planted.\npackage plan\nimport \"time\"\n")}}
	checkFaults(t, layerFaults(clock, map[string]string{"plan time": "it is told the time"}), "")
	asks := fstest.MapFS{"plan/day.go": {Data: []byte("// Package plan is planted.\npackage plan\nimport c \"time\"\nvar t = c.Now()\n")}}
	checkFaults(t, layerFaults(asks, map[string]string{"plan time": "it is told the time"}), "uses time.Now")
	checkFaults(t, layerFaults(clock, map[string]string{"plan time": "so", "plan os": "so"}), `"plan os" is not needed`)
	broken := fstest.MapFS{"plan/day.go": {Data: []byte("packge plan\n")}}
	checkFaults(t, layerFaults(broken, nil), "expected 'package'")
}

// checkFaults wants exactly one fault that holds want, or none when want is "".
func checkFaults(t *testing.T, faults []string, want string) {
	t.Helper()
	switch {
	case want == "" && len(faults) > 0:
		t.Errorf("got %q, want no fault", faults)
	case want != "" && (len(faults) != 1 || !strings.Contains(faults[0], want)):
		t.Errorf("got %q, want one fault with %q", faults, want)
	}
}
