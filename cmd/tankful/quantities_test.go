package main

import (
	"bytes"
	"fmt"
	"go/ast"
	"go/constant"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"testing"
	"unicode"
)

const unitPath = "tankful/calc/unit"

// jsonUnits is the unit that each quantity has in JSON, as the comment of calc/unit states.
var jsonUnits = map[string]string{
	"Length": "m", "Area": "m2", "Volume": "l", "Mass": "kg", "Time": "s", "Speed": "m_per_s", "Flow": "l_per_min",
	"Pressure": "kpa", "Density": "kg_per_l", "VolumePerArea": "l_per_m2", "MassPerArea": "kg_per_m2", "VolumePerVolume": "l_per_l",
}

// unitWords are the words that a name ends with when its number has lost its type.
var unitWords = strings.Fields(`ft feet foot sqft sqfeet inch inches yd yard yards mile miles acre acres
	m2 metre metres meter meters mm km hectare hectares ha gal gals gallon gallons oz floz ounce ounces
	quart quarts pint pints litre litres liter liters ml lb lbs pound pounds kg gram grams tonne tonnes
	second seconds minute minutes hour hours mph kph psi kpa bar gpm lpm gpa`)

// bareNumbers lists names that may keep a unit in the name of a float64, with the reason.
var bareNumbers = map[string]string{
	"tankful/plan Minutes":             "the JSON field of that name is in minutes, for whoever reads it",
	"tankful/plan BoundMinutes":        "the JSON field of that name is in minutes, for whoever reads it",
	"tankful/plan WeighedMinutes":      "the JSON field of that name is in minutes, for whoever reads it",
	"tankful/plan BoundWeighedMinutes": "the JSON field of that name is in minutes, for whoever reads it",
}

// bareLiterals lists "package file: number" where a number without a unit may become a
// quantity, with the reason.
var bareLiterals = map[string]string{}

// TestQuantities type-checks the module for physics that has slipped past its types.
func TestQuantities(t *testing.T) {
	if _, err := exec.LookPath("go"); err != nil {
		t.Skip("the go tool is not on the path: the packages cannot be listed")
	}
	fset := token.NewFileSet()
	sources, exports := listPackages(t)
	imp := importer.ForCompiler(fset, "gc", func(p string) (io.ReadCloser, error) { return os.Open(exports[p]) })
	used := map[string]bool{}
	for p, names := range sources {
		if strings.HasSuffix(p, "test") {
			continue // a package that only serves tests
		}
		var files []*ast.File
		for _, name := range names {
			f, err := parser.ParseFile(fset, name, nil, parser.ParseComments|parser.SkipObjectResolution)
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, f)
		}
		faults, err := quantityFaults(fset, p, files, imp, used)
		if err != nil {
			t.Errorf("type-check %s: %v", p, err)
		}
		for _, fault := range faults {
			t.Error(fault)
		}
	}
	for _, fault := range stale(used, bareNumbers, bareLiterals) {
		t.Error(fault)
	}
}

// stale gives the exceptions that nothing in the module needs.
func stale(used map[string]bool, exceptions ...map[string]string) (faults []string) {
	for _, list := range exceptions {
		for name := range list {
			if !used[name] {
				faults = append(faults, fmt.Sprintf("the exception %q is not needed any more", name))
			}
		}
	}
	return faults
}

// listPackages gives the source files of our packages (without tests) and the compiled form
// of every package, from the build cache.
func listPackages(t *testing.T) (sources map[string][]string, exports map[string]string) {
	t.Helper()
	const format = "{{.ImportPath}}\t{{.Export}}\t{{.Dir}}\t{{with .Module}}{{.Main}}{{end}}\t{{range .GoFiles}}{{.}} {{end}}"
	cmd := exec.Command("go", "list", "-export", "-deps", "-f", format, "./...", "./testdata/demo")
	cmd.Dir = "../.."
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list -export: %v\n%s", err, stderr.String())
	}
	sources, exports = map[string][]string{}, map[string]string{}
	for line := range strings.Lines(string(out)) {
		f := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		exports[f[0]] = f[1]
		if f[3] != "true" {
			continue
		}
		for name := range strings.FieldsSeq(f[4]) {
			sources[f[0]] = append(sources[f[0]], filepath.Join(f[2], name))
		}
	}
	if len(sources) < 10 {
		t.Fatalf("go list named %d packages of ours, want the whole module", len(sources))
	}
	return sources, exports
}

// quantityFaults checks one package; names that an exception covers are noted in used.
func quantityFaults(fset *token.FileSet, pkgPath string, files []*ast.File, imp types.Importer, used map[string]bool) ([]string, error) {
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Defs: map[*ast.Ident]types.Object{}, Uses: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: imp}
	if _, err := conf.Check(pkgPath, fset, files, info); err != nil {
		return nil, err
	}
	c := &quantityCheck{fset: fset, info: info, pkg: pkgPath, used: used}
	for _, f := range files {
		ast.Inspect(f, c.visit)
		if pkgPath != unitPath {
			c.literals(f)
		}
	}
	return c.faults, nil
}

type quantityCheck struct {
	fset   *token.FileSet
	info   *types.Info
	pkg    string
	used   map[string]bool
	faults []string
}

func (c *quantityCheck) say(at token.Pos, format string, args ...any) {
	p := c.fset.Position(at)
	c.faults = append(c.faults, fmt.Sprintf("%s/%s:%d: ", c.pkg, filepath.Base(p.Filename), p.Line)+fmt.Sprintf(format, args...))
}

func (c *quantityCheck) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.BinaryExpr:
		if n.Op == token.MUL {
			c.product(n.OpPos, n.X, n.Y)
		}
	case *ast.AssignStmt:
		if n.Tok == token.MUL_ASSIGN {
			c.product(n.TokPos, n.Lhs[0], n.Rhs[0])
		}
	case *ast.StructType:
		for _, field := range n.Fields.List {
			c.tag(field)
			for _, name := range field.Names {
				if name.IsExported() {
					c.bare(name, field.Type)
				}
			}
		}
	case *ast.FuncType:
		for _, field := range n.Params.List {
			for _, name := range field.Names {
				c.bare(name, field.Type)
			}
		}
	}
	return true
}

// product finds area * area, which the compiler takes for an area. A factor that is a bare
// number (2 * unit.Foot) only looks like a quantity to the compiler.
func (c *quantityCheck) product(at token.Pos, x, y ast.Expr) {
	q := quantity(c.info.TypeOf(x))
	if q == "" || q != quantity(c.info.TypeOf(y)) || c.number(x) || c.number(y) {
		return
	}
	c.say(at, "multiplies a unit.%s by a unit.%s: that is no unit.%[1]s; use a method of calc/unit", q, q)
}

// number tells whether e is a plain number that took a quantity's type to scale one: a
// constant in which no quantity is named, or the conversion of a count, as in
// unit.Time(n) * unit.Minute. unit.Area(float64(a)) is no count.
func (c *quantityCheck) number(e ast.Expr) bool {
	if c.unitless(e) {
		return true
	}
	if call, ok := ast.Unparen(e).(*ast.CallExpr); ok && c.info.Types[call.Fun].IsType() {
		return quantity(c.info.TypeOf(call.Args[0])) == "" && !c.stripped(call.Args[0])
	}
	bare := c.info.Types[e].Value != nil
	ast.Inspect(e, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok {
			if o := c.info.Uses[id]; o != nil && quantity(o.Type()) != "" {
				bare = false
			}
		}
		return true
	})
	return bare
}

// stripped tells whether a quantity loses its type by a conversion somewhere in e.
func (c *quantityCheck) stripped(e ast.Expr) bool {
	found := false
	ast.Inspect(e, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok && c.info.Types[call.Fun].IsType() && quantity(c.info.TypeOf(call.Args[0])) != "" {
			found = true
		}
		return true
	})
	return found
}

// literals finds numbers that become a quantity without a unit: var a unit.Area = 43560. A
// number that scales a quantity, by * or /, becomes none, and 0 is 0 in any unit.
func (c *quantityCheck) literals(f *ast.File) {
	var path []ast.Node
	ast.Inspect(f, func(n ast.Node) bool {
		if n == nil {
			path = path[:len(path)-1]
			return true
		}
		if e, ok := n.(ast.Expr); ok && c.unitless(e) {
			c.literal(e, path)
			return false
		}
		path = append(path, n)
		return true
	})
}

// unitless tells whether e is a constant of a quantity's type, not 0, in which no quantity is
// named: 43560, half*2, unit.Length(5).
func (c *quantityCheck) unitless(e ast.Expr) bool {
	tv := c.info.Types[e]
	if tv.Value == nil || quantity(tv.Type) == "" || constant.Sign(tv.Value) == 0 {
		return false
	}
	bare := true
	ast.Inspect(e, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok {
			if o, ok := c.info.Uses[id].(*types.Const); ok && quantity(o.Type()) != "" {
				bare = false
			}
		}
		return true
	})
	return bare
}

// literal judges a unitless constant by what it stands in.
func (c *quantityCheck) literal(e ast.Expr, path []ast.Node) {
	for len(path) > 0 {
		if _, ok := path[len(path)-1].(*ast.ParenExpr); !ok {
			break
		}
		path = path[:len(path)-1]
	}
	switch in := path[len(path)-1].(type) {
	case *ast.BinaryExpr:
		if in.Op == token.MUL || in.Op == token.QUO && ast.Unparen(in.Y) == ast.Unparen(e) {
			return
		}
	case *ast.AssignStmt:
		if in.Tok == token.MUL_ASSIGN || in.Tok == token.QUO_ASSIGN {
			return
		}
	}
	at := c.fset.Position(e.Pos())
	number := types.ExprString(e)
	key := fmt.Sprintf("%s %s: %s", c.pkg, filepath.Base(at.Filename), number)
	c.used[key] = true
	if bareLiterals[key] == "" {
		c.say(e.Pos(), "%s becomes a unit.%s without a unit: write a number times a unit", number, quantity(c.info.TypeOf(e)))
	}
}

// tag wants the unit of a quantity at the end of its name in JSON.
func (c *quantityCheck) tag(field *ast.Field) {
	if field.Tag == nil {
		return
	}
	name, _, _ := strings.Cut(reflect.StructTag(strings.Trim(field.Tag.Value, "`")).Get("json"), ",")
	want := jsonUnits[quantity(element(c.info.TypeOf(field.Type)))]
	if name == "" || name == "-" || want == "" {
		return
	}
	if name == "excluded" { // square metres by surface, in the documented JSON of `measure`
		return
	}
	if got := jsonUnit(name); got != want {
		c.say(field.Pos(), "%q in JSON holds a %s: its name must end in _%s", name, c.info.TypeOf(field.Type), want)
	}
}

// jsonUnit is the longest unit that name ends with: "carrier_l_per_m2" is no area.
func jsonUnit(name string) string {
	longest := ""
	for _, u := range jsonUnits {
		if (name == u || strings.HasSuffix(name, "_"+u)) && len(u) > len(longest) {
			longest = u
		}
	}
	return longest
}

// bare finds float64 fields and parameters whose name is all that is left of their unit.
func (c *quantityCheck) bare(name *ast.Ident, typ ast.Expr) {
	basic, ok := element(c.info.TypeOf(typ)).(*types.Basic)
	if !ok || basic.Info()&types.IsFloat == 0 || !endsInUnit(name.Name) {
		return
	}
	key := c.pkg + " " + name.Name
	c.used[key] = true
	if bareNumbers[key] == "" {
		c.say(name.Pos(), "%s is a %s with a unit in its name: give it a type of calc/unit", name.Name, c.info.TypeOf(typ))
	}
}

// endsInUnit looks at the last word of the name, and at the last two as one: AreaSqFt.
func endsInUnit(name string) bool {
	words := camelWords(name)
	for n := 1; n <= 2 && n <= len(words); n++ {
		if slices.Contains(unitWords, strings.Join(words[len(words)-n:], "")) {
			return true
		}
	}
	return false
}

// camelWords cuts a name at its capitals and underscores, in lower case: areaSqFt is area, sq, ft.
func camelWords(name string) []string {
	var words []string
	var word []rune
	flush := func() {
		if len(word) > 0 {
			words = append(words, strings.ToLower(string(word)))
		}
		word = nil
	}
	for i, r := range []rune(name) {
		if r == '_' {
			flush()
			continue
		}
		if i > 0 && unicode.IsUpper(r) && len(word) > 0 && !unicode.IsUpper(word[len(word)-1]) {
			flush()
		}
		word = append(word, r)
	}
	flush()
	return words
}

// quantity is the name of t in calc/unit, or "".
func quantity(t types.Type) string {
	n, ok := types.Unalias(t).(*types.Named)
	if !ok || n.Obj().Pkg() == nil || n.Obj().Pkg().Path() != unitPath || jsonUnits[n.Obj().Name()] == "" {
		return ""
	}
	return n.Obj().Name()
}

// element is what pointers, slices, arrays and maps of t hold in the end.
func element(t types.Type) types.Type {
	for {
		e, ok := types.Unalias(t).(interface{ Elem() types.Type })
		if !ok {
			return types.Unalias(t)
		}
		t = e.Elem()
	}
}

// TestEveryQuantityHasAUnit keeps jsonUnits complete when calc/unit gains a quantity.
func TestEveryQuantityHasAUnit(t *testing.T) {
	f, err := parser.ParseFile(token.NewFileSet(), "../../calc/unit/unit.go", nil, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	comment := strings.Join(strings.Fields(f.Doc.Text()), " ")
	found := 0
	ast.Inspect(f, func(n ast.Node) bool {
		spec, ok := n.(*ast.TypeSpec)
		if !ok {
			return true
		}
		if id, ok := spec.Type.(*ast.Ident); ok && id.Name == "float64" {
			found++
			if jsonUnits[spec.Name.Name] == "" {
				t.Errorf("unit.%s has no unit in JSON here", spec.Name.Name)
			}
		}
		return true
	})
	if found != len(jsonUnits) {
		t.Errorf("calc/unit has %d quantities, want the %d of this test", found, len(jsonUnits))
	}
	for q, u := range jsonUnits {
		if !strings.Contains(comment, " "+u+",") && !strings.Contains(comment, " "+u+".") {
			t.Errorf("the comment of calc/unit does not state %q, the unit of %s in JSON", u, q)
		}
	}
}

// plantedUnit stands for calc/unit in the planted packages.
const plantedUnit = `package unit
type (
	Length float64
	Area float64
	VolumePerArea float64
)
const (
	Foot Length = 0.3048
	SquareFoot Area = 0.3048 * 0.3048
)
func (a Area) In(u Area) float64 { return float64(a / u) }
func (l Length) By(w Length) Area { return Area(float64(l) * float64(w)) }
`

// TestQuantityFaultsAreFound plants each fault in a package and looks for it.
func TestQuantityFaultsAreFound(t *testing.T) {
	tests := []struct{ name, source, want string }{
		{"a number times a unit", "var a = 5 * unit.Foot", ""},
		{"a unit times a named number", "const half = 0.5\nvar a = unit.Foot * half", ""},
		{"a conversion of a count", "func f(n int, l unit.Length) unit.Length { return l * unit.Length(n) }", ""},
		{"a count of a ratio", "func f(a, b unit.Area) unit.Area { return unit.Area(math.Floor(a.In(b))) * b }", ""},
		{"a type that was taken off", "func f(a, b unit.Area) unit.Area { return unit.Area(math.Floor(float64(a))) * b }", "multiplies a unit.Area by a unit.Area"},
		{"a type that was put on twice", "func f(a, b unit.Area) unit.Area { return unit.Area(a) * (b) }", "multiplies a unit.Area by a unit.Area"},
		{"area times area", "func f(a, b unit.Area) unit.Area { return a * b }", "multiplies a unit.Area by a unit.Area"},
		{"unit times unit", "var a = unit.Foot * unit.Foot", "multiplies a unit.Length by a unit.Length"},
		{"brackets", "func f(a unit.Area) unit.Area { return 2 * (a + a) }", ""},
		{"times and assign", "func f(a, b unit.Area) { a *= b; a *= 2 }", "multiplies a unit.Area by a unit.Area"},
		{"floats", "func f(a, b unit.Length) float64 { return float64(a) * float64(b) }", ""},
		{"method", "func f(a, b unit.Length) unit.Area { return a.By(b) }", ""},
		{"a bare area", "var a unit.Area = 43560", "43560 becomes a unit.Area without a unit"},
		{"a bare constant", "const a unit.Area = 43560", "43560 becomes a unit.Area without a unit"},
		{"a named number", "const acre = 43560\nvar a unit.Area = acre", "acre becomes a unit.Area without a unit"},
		{"a conversion of a number", "var l = unit.Length(5)", "unit.Length(5) becomes a unit.Length without a unit"},
		{"a conversion of a number that is scaled", "var l = unit.Length(5) * unit.Foot", ""},
		{"a sum of numbers that is scaled", "var l = (2 + 3) * unit.Foot", ""},
		{"a negative number", "var l unit.Length = -5", "-5 becomes a unit.Length"},
		{"a product of numbers", "var l unit.Length = 2 * 3", "2 * 3 becomes a unit.Length"},
		{"an argument", "func f(l unit.Length) {}\nfunc g() { f(5) }", "5 becomes a unit.Length"},
		{"an argument of a method", "func f(l unit.Length) unit.Area { return l.By(5) }", "5 becomes a unit.Length"},
		{"a result", "func f() unit.Length { return 5 }", "5 becomes a unit.Length"},
		{"a field", "type T struct { L unit.Length }\nvar t = T{L: 5}", "5 becomes a unit.Length"},
		{"an element", "var l = []unit.Length{5}", "5 becomes a unit.Length"},
		{"a key", "var m = map[unit.Length]int{5: 1}", "5 becomes a unit.Length"},
		{"a comparison", "func f(l unit.Length) bool { return l > 3 }", "3 becomes a unit.Length"},
		{"a comparison with zero", "func f(l unit.Length) bool { return l > 0 && l != 0.0 && -0 < l }", ""},
		{"a comparison with a unit", "func f(l unit.Length) bool { return l > 3*unit.Foot }", ""},
		{"a case", "func f(l unit.Length) { switch l { case 3: } }", "3 becomes a unit.Length"},
		{"a sum", "func f(l unit.Length) unit.Length { return l + 3 }", "3 becomes a unit.Length"},
		{"a sum that is assigned", "func f(l unit.Length) { l += 3; l *= 3; l /= 3 }", "3 becomes a unit.Length"},
		{"a number over a quantity", "func f(l unit.Length) unit.Length { return 3 / l }", "3 becomes a unit.Length"},
		{"a quantity over a number", "func f(l unit.Length) unit.Length { return l / (3) }", ""},
		{"zero", "var l, m unit.Length = 0, unit.Length(0)", ""},
		{"a constant of a quantity", "const course = 143 * unit.Foot\nvar l unit.Length = course", ""},
		{"a count", "func f(n int) unit.Length { return unit.Length(n) * unit.Foot }", ""},
		{"field", "type T struct { AreaSqFt float64 }", "AreaSqFt is a float64 with a unit in its name"},
		{"field of several", "type T struct { Feet []float64 }", "Feet is a []float64 with a unit in its name"},
		{"hidden field", "type T struct { feet float64 }", ""},
		{"parameter", "func f(metres float64) {}", "metres is a float64 with a unit in its name"},
		{"parameter of a literal", "var f = func(tankGal float64) {}", "tankGal is a float64 with a unit in its name"},
		{"typed field", "type T struct { WidthFeet unit.Length }", ""},
		{"a count", "type T struct { Minutes int }", ""},
		{"a word that only ends alike", "type T struct { Left, Normal, Diameter float64 }", ""},
		{"tag", "type T struct { A unit.Area `json:\"area_m2\"` }", ""},
		{"tag that is the unit", "type T struct { A *unit.Area `json:\"m2,omitempty\"` }", ""},
		{"tag without", "type T struct { A unit.Area `json:\"area\"` }", "must end in _m2"},
		{"tag of several without", "type T struct { A map[string]unit.Area `json:\"area\"` }", "must end in _m2"},
		{"tag of another", "type T struct { A unit.Area `json:\"area_l_per_m2\"` }", "must end in _m2"},
		{"tag of a rate", "type T struct { R unit.VolumePerArea `json:\"carrier_l_per_m2\"` }", ""},
		{"tag without underscore", "type T struct { L unit.Length `json:\"form\"` }", "must end in _m"},
		{"not in JSON", "type T struct { A unit.Area `json:\"-\"`; B unit.Area }", ""},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			checkFaults(t, plantedFaults(t, "package planted\nimport (\n\"math\"\n\"tankful/calc/unit\"\n)\nvar _ unit.Length\nvar _ = math.Pi\n"+tt.source+"\n"), tt.want)
		})
	}
}

// TestStaleExceptions sees that an exception which nothing needs is found, and one that is needed is not.
func TestStaleExceptions(t *testing.T) {
	checkFaults(t, stale(map[string]bool{"a b: 5": true}, map[string]string{"a b: 5": "so", "a b: 6": "so"}), `"a b: 6" is not needed`)
	checkFaults(t, stale(map[string]bool{"a b: 5": true}, map[string]string{"a b: 5": "so"}, nil), "")
}

func plantedFaults(t *testing.T, source string) []string {
	t.Helper()
	fset := token.NewFileSet()
	parse := func(name, src string) *ast.File {
		f, err := parser.ParseFile(fset, name, src, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		return f
	}
	unit, err := new(types.Config).Check(unitPath, fset, []*ast.File{parse("unit.go", plantedUnit)}, nil)
	if err != nil {
		t.Fatal(err)
	}
	math, err := new(types.Config).Check("math", fset, []*ast.File{parse("math.go", "package math\nconst Pi = 3\nfunc Floor(x float64) float64 { return x }\n")}, nil)
	if err != nil {
		t.Fatal(err)
	}
	faults, err := quantityFaults(fset, "planted", []*ast.File{parse("planted.go", source)}, planted{unitPath: unit, "math": math}, map[string]bool{})
	if err != nil {
		t.Fatal(err)
	}
	return faults
}

// planted is an importer that knows the planted packages.
type planted map[string]*types.Package

func (p planted) Import(path string) (*types.Package, error) {
	if p[path] == nil {
		return nil, fmt.Errorf("%s is not planted", path)
	}
	return p[path], nil
}
