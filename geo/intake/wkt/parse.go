package wkt

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
)

// deepest is how far collections may be nested.
const deepest = 8

// Geometry is one text taken apart, its coordinates as written.
type Geometry struct {
	// SRID is the number in "SRID=26915;", 0 for none.
	SRID   int
	Areas  orb.MultiPolygon
	Lines  orb.MultiLineString
	Points []orb.Point
	// Ground says that the text names an area, with or without corners. It holds for texts that
	// can not be read too, unless what could be read names points and lines only.
	Ground bool
	// Decimals is the largest number of decimals of a coordinate as written.
	Decimals int
	// Sum and Count are of the third coordinates.
	Sum   float64
	Count int
}

// Fault says what is wrong with a text, in the parts of a problem, and at which byte.
type Fault struct {
	At              int
	Code, What, Fix string
}

func (f *Fault) Error() string { return f.What }

// shape is what a geometry's parts are put together as.
type shape int

const (
	point shape = iota
	line
	area
	points
	lines
	areas
	mixed
	curved
)

// shapes are the words of ISO 19125 and of the later OGC Simple Features 1.2.1.
var shapes = map[string]shape{
	"POINT": point, "LINESTRING": line, "LINEARRING": line, "POLYGON": area, "TRIANGLE": area, "MULTIPOINT": points,
	"MULTILINESTRING": lines, "MULTIPOLYGON": areas, "TIN": areas, "POLYHEDRALSURFACE": areas, "GEOMETRYCOLLECTION": mixed,
	"CIRCULARSTRING": curved, "COMPOUNDCURVE": curved, "CURVEPOLYGON": curved, "MULTICURVE": curved, "MULTISURFACE": curved,
	"CURVE": curved, "SURFACE": curved,
}

// Begins reports whether text begins like well-known text: a geometry's word, or an SRID before it.
func Begins(text string) bool {
	p := parser{text: text}
	w := p.word()
	if w == "SRID" && p.peek() == '=' {
		return true
	}
	_, _, ok := splitWord(w)
	return ok
}

// splitWord takes the dimension off a geometry's word: POLYGONZM is POLYGON and ZM.
func splitWord(w string) (s shape, dims string, ok bool) {
	for _, dims = range []string{"", "ZM", "Z", "M"} {
		if base, found := strings.CutSuffix(w, dims); found {
			if s, ok = shapes[base]; ok {
				return s, dims, true
			}
		}
	}
	return 0, "", false
}

// Parse reads one geometry, which must fill the text. On a fault the geometry holds what is known
// of it without any coordinates.
func Parse(text string) (*Geometry, *Fault) {
	p := parser{text: text, g: &Geometry{}}
	p.run()
	if p.fault != nil {
		p.g = &Geometry{SRID: p.g.SRID, Ground: p.g.Ground || !p.named}
	}
	return p.g, p.fault
}

type parser struct {
	text  string
	i     int
	g     *Geometry
	named bool // a geometry's word was understood, so that Ground is known
	fault *Fault
	dims  string // of the geometry at hand: "", "Z", "M" or "ZM"
	count int    // numbers in its positions, 0 before the first
}

func (p *parser) fail(at int, code, fix, format string, args ...any) {
	if p.fault == nil {
		p.fault = &Fault{At: at, Code: code, Fix: fix, What: fmt.Sprintf(format, args...)}
	}
}

const (
	notWKT   = "not-wkt"
	writeOne = "Write it as POLYGON((30.1 10.2, 40.1 40.2, 20.1 40.2, 30.1 10.2))."
	mend     = "Correct the text there."
)

func (p *parser) run() {
	p.srid()
	p.geometry(0)
	if p.fault == nil && p.peek() != 0 {
		p.fail(p.i, notWKT, mend, "%s stands after the end of the geometry", p.excerpt())
	}
}

// srid reads "SRID=26915;" if it is there.
func (p *parser) srid() {
	from := p.i
	if p.word() != "SRID" {
		p.i = from
		return
	}
	if !p.take('=') {
		p.fail(p.i, notWKT, mend, "SRID is not followed by =")
		return
	}
	p.peek()
	from = p.i
	for p.i < len(p.text) && isDigit(p.text[p.i]) {
		p.i++
	}
	n, err := strconv.ParseInt(p.text[from:p.i], 10, 32)
	if err != nil {
		p.i = from
		p.fail(from, notWKT, "Write the number of an EPSG system, such as SRID=26915;", "%s stands where the number of the SRID belongs", p.excerpt())
		return
	}
	p.g.SRID = int(n)
	if !p.take(';') {
		p.fail(p.i, notWKT, mend, "SRID=%d is not followed by ;", n)
	}
}

// geometry reads one geometry with its word; depth counts the collections around it.
func (p *parser) geometry(depth int) {
	p.peek()
	at := p.i
	w := p.word()
	s, dims, ok := splitWord(w)
	if !ok {
		p.i = at
		p.g.Ground = p.g.Ground || p.fault == nil // it may have been an area
		p.fail(at, notWKT, writeOne, "%s stands where a geometry such as POLYGON belongs", p.excerpt())
		return
	}
	p.named = true
	p.g.Ground = p.g.Ground || s == area || s == areas || s == curved
	if s == curved {
		p.fail(at, "curved-edge", "Export it with straight edges.", "%s has edges that are arcs", w)
		return
	}
	if dims == "" {
		dims = p.dimension()
	}
	p.dims, p.count = dims, 0
	if p.empty() {
		return
	}
	if s == mixed {
		if depth == deepest {
			p.g.Ground = true
			p.fail(at, "nested-too-deep", "Take the collections apart.", "collections are nested more than %d deep", deepest)
			return
		}
		p.list("geometries", func() { p.geometry(depth + 1) })
		return
	}
	p.shape(s)
}

// dimension reads a Z, M or ZM that stands alone.
func (p *parser) dimension() string {
	from := p.i
	switch w := p.word(); w {
	case "Z", "M", "ZM":
		return w
	}
	p.i = from
	return ""
}

// empty reads the word EMPTY if it is there.
func (p *parser) empty() bool {
	from := p.i
	if p.word() == "EMPTY" {
		return true
	}
	p.i = from
	return false
}

func (p *parser) shape(s shape) {
	switch s {
	case point:
		p.list("numbers", func() { p.g.Points = append(p.g.Points, p.position()) })
	case points:
		p.list("points", func() {
			switch {
			case p.empty():
			case p.peek() == '(':
				p.list("numbers", func() { p.g.Points = append(p.g.Points, p.position()) })
			default:
				p.g.Points = append(p.g.Points, p.position())
			}
		})
	case line:
		p.g.Lines = append(p.g.Lines, p.positions())
	case lines:
		p.list("lines", func() {
			if !p.empty() {
				p.g.Lines = append(p.g.Lines, p.positions())
			}
		})
	case area:
		p.polygon()
	case areas:
		p.list("polygons", func() {
			if !p.empty() {
				p.polygon()
			}
		})
	}
}

// polygon reads the rings of one. A hole without corners takes nothing away; a shell without corners
// is no polygon, and must have no holes.
func (p *parser) polygon() {
	var out orb.Polygon
	bare := false
	p.list("rings", func() {
		p.peek()
		at := p.i
		if p.empty() {
			bare = bare || len(out) == 0
			return
		}
		if bare {
			p.fail(at, "wrong-nesting", "Draw the outline again.", "a hole stands in a polygon whose outline is empty")
		}
		out = append(out, orb.Ring(p.positions()))
	})
	if len(out) > 0 {
		p.g.Areas = append(p.g.Areas, out)
	}
}

func (p *parser) positions() (out orb.LineString) {
	p.list("positions", func() { out = append(out, p.position()) })
	return out
}

// list reads "(item, item)". It stops at the first fault.
func (p *parser) list(of string, item func()) {
	if !p.take('(') {
		p.fail(p.i, notWKT, mend, "%s stands where ( and a list of %s belong", p.excerpt(), of)
		return
	}
	for p.fault == nil {
		item()
		if p.fault != nil || p.take(')') {
			return
		}
		if !p.take(',') {
			p.fail(p.i, notWKT, mend, "%s stands where , or ) belongs in a list of %s", p.excerpt(), of)
		}
	}
}

// position reads the 2 to 4 numbers of one corner.
func (p *parser) position() (out orb.Point) {
	p.peek()
	at, n := p.i, 0
	var third float64
	for n < 4 && p.fault == nil {
		c := p.peek()
		if n > 0 && (c == ',' || c == ')' || c == 0) {
			break
		}
		x, decimals := p.number()
		switch {
		case n < 2:
			out[n] = x
			p.g.Decimals = max(p.g.Decimals, decimals)
		case n == 2:
			third = x
		}
		n++
	}
	if p.fault != nil {
		return out
	}
	want := map[string]int{"Z": 3, "M": 3, "ZM": 4}[p.dims]
	if want == 0 {
		want = p.count
	}
	switch {
	case n < 2 || n < want:
		p.fail(at, "coordinate-missing", "Give every corner all of its numbers.", "a position has %s instead of %d", numbers(n), max(2, want))
	case want > 0 && n > want:
		p.fail(at, "wrong-nesting", "Give every corner as many numbers.", "a position has %s where %d belong", numbers(n), want)
	case n >= 3 && p.dims != "M":
		p.g.Sum, p.g.Count = p.g.Sum+third, p.g.Count+1
	}
	p.count = n
	return out
}

func numbers(n int) string {
	if n == 1 {
		return "1 number"
	}
	return fmt.Sprintf("%d numbers", n)
}

// number reads a number and how many decimals it is written with.
func (p *parser) number() (x float64, decimals int) {
	p.peek()
	at := p.i
	for p.i < len(p.text) && (isDigit(p.text[p.i]) || isLetter(p.text[p.i]) || strings.IndexByte("+-._", p.text[p.i]) >= 0) {
		p.i++
	}
	t := p.text[at:p.i]
	x, decimals, err := Number(t)
	switch {
	case t == "":
		p.fail(at, notWKT, mend, "%s stands where a number belongs", p.excerpt())
	case err == errRange:
		p.fail(at, "coordinate-out-of-range", "Correct that coordinate.", "%s is out of range", clip(t))
	case err != nil:
		p.fail(at, "coordinate-not-a-number", "Correct that coordinate.", "%s stands where a number belongs", clip(t))
	}
	return x, decimals
}

var (
	errRange  = fmt.Errorf("out of range")
	errNumber = fmt.Errorf("not a number")
)

// Number reads a decimal number such as -41.25 or 4.1e1, and how many decimals it is written with. The words
// for what is no number, hexadecimals and digits set apart are refused.
func Number(t string) (x float64, decimals int, err error) {
	digits, dot, exp := 0, -1, -1
	for i := range len(t) {
		switch c := t[i]; {
		case isDigit(c):
			digits++
		case c == '.' && dot < 0 && exp < 0:
			dot = i
		case (c == 'e' || c == 'E') && exp < 0 && digits > 0:
			exp, digits = i, 0
		case (c == '+' || c == '-') && (i == 0 || i == exp+1):
		default:
			return 0, 0, errNumber
		}
	}
	if digits == 0 {
		return 0, 0, errNumber
	}
	x, err = strconv.ParseFloat(t, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, 0, errRange
	}
	end := len(t)
	if exp >= 0 {
		end = exp
	}
	if dot >= 0 {
		decimals = end - dot - 1
	}
	if exp >= 0 {
		if n, err := strconv.Atoi(t[exp+1:]); err == nil {
			decimals -= n
		}
	}
	return x, max(0, min(decimals, mostDecimals)), nil
}

// mostDecimals is as many as a float64 of a coordinate can hold.
const mostDecimals = 20

// peek skips blanks and lines that begin with # and gives the next byte, 0 at the end.
func (p *parser) peek() byte {
	for p.i < len(p.text) {
		switch c := p.text[p.i]; c {
		case ' ', '\t', '\r', '\n', '\f', '\v':
			p.i++
		case '#':
			if strings.TrimSpace(p.text[strings.LastIndexByte(p.text[:p.i], '\n')+1:p.i]) != "" {
				return c
			}
			n := strings.IndexByte(p.text[p.i:], '\n')
			if n < 0 {
				p.i = len(p.text)
				return 0
			}
			p.i += n
		default:
			return c
		}
	}
	return 0
}

func (p *parser) take(c byte) bool {
	if p.peek() != c {
		return false
	}
	p.i++
	return true
}

// word reads letters, in upper case; "" when there are none, or far too many for a word.
func (p *parser) word() string {
	p.peek()
	from := p.i
	for p.i < len(p.text) && isLetter(p.text[p.i]) {
		p.i++
	}
	if p.i-from > len("GEOMETRYCOLLECTIONZM") {
		return ""
	}
	return strings.ToUpper(p.text[from:p.i])
}

// excerpt is what stands at the parser, for a message.
func (p *parser) excerpt() string {
	if p.peek() == 0 {
		return "the end of the text"
	}
	t := p.text[p.i:min(len(p.text), p.i+60)]
	if i := strings.IndexAny(t, " \t\r\n,()"); i > 0 {
		t = t[:i]
	} else if i == 0 {
		t = t[:1]
	}
	return clip(t)
}

func isDigit(c byte) bool  { return c >= '0' && c <= '9' }
func isLetter(c byte) bool { return c|0x20 >= 'a' && c|0x20 <= 'z' }
