package tape

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
)

// length is one length as it was written.
type length struct {
	unit.Length
	text string
}

// The lengths that are taken for measured ones.
const (
	shortest = 1 * unit.Centimetre
	longest  = 5 * unit.Kilometre
)

// measured is a shape's line taken apart: the words in their order, and the lengths, each after its place among the words.
type measured struct {
	shape   string
	words   []string
	lengths []length
	// after[i] is the number of words before lengths[i].
	after []int
}

// shapeWords are the words that begin a shape.
var shapeWords = map[string]string{
	"rectangle": "rectangle", "rect": "rectangle", "square": "square", "parallelogram": "parallelogram", "triangle": "triangle",
	"trapezoid": "trapezoid", "trapezium": "trapezoid", "circle": "circle", "ellipse": "ellipse", "oval": "ellipse",
	"offsets": "offsets", "offset": "offsets", "radii": "radii", "l-shape": "l-shape", "l": "l-shape",
}

func shapeList() string {
	return "rectangle, square, parallelogram, triangle, trapezoid, circle, ellipse, L, offsets or radii"
}

// IsLine reports whether a text is a line of this package rather than the name of a file: one of its words is a shape, or
// it begins a property.
func IsLine(text string) bool {
	words := strings.Fields(text)
	if len(words) > 1 && strings.EqualFold(words[0], "property") {
		return true
	}
	return slices.ContainsFunc(words, func(w string) bool { return isShape(w) != "" })
}

func isShape(word string) string { return shapeWords[strings.ToLower(strings.Trim(word, ":,"))] }

// readLine reads "[less] [name:] shape lengths".
func readLine(where, text string, opt Options) (l Line, ps problem.List) {
	l.Where = where
	label, rest, ok := cutLabel(text)
	if !ok {
		ps.Errorf("shape-unknown", where, "Write a shape with its lengths, such as \"front: rectangle 90 ft x 50 ft\".", "%q names no shape: %s", clip(text), shapeList())
		return l, ps
	}
	l.Name, l.Less = cutLess(label)
	l.Surface = geo.Turf
	if l.Less {
		l.Surface = surfaceOf(l.Name)
	} else if l.checkName(where, &ps); ps.HasErrors() {
		return l, ps
	}
	m, err := take(rest)
	if err != nil {
		ps.Errorf("quantity", where, "Write every length with its unit, such as 90 ft, 12 ft 6 in or 27.5 m.", "%v", err)
		return l, ps
	}
	if m.checkSizes(where, &ps); ps.HasErrors() {
		return l, ps
	}
	f, err := m.figure()
	var bad *shapeError
	if errors.As(err, &bad) {
		ps.Errorf(bad.code, where, bad.fix, "%s", bad.what)
		return l, ps
	}
	l.Method, l.Area, l.Perimeter = f.method, f.area, f.perimeter
	l.Working = f.working + " = " + opt.Units.Area(f.area)
	l.PlusMinus = f.plusMinus(opt.Accuracy)
	for _, p := range f.notes {
		p.Where = where
		ps = append(ps, p)
	}
	if l.PlusMinus > l.Area {
		ps.Warnf("not-sure", where, "Measure another pair of lengths.", "the area of %s is not sure to within itself: +- %s", opt.Units.Area(l.Area), opt.Units.Area(l.PlusMinus))
	}
	return l, ps
}

// checkName looks at the name of turf for what was meant to be taken off, or counted.
func (l *Line) checkName(where string, ps *problem.List) {
	words := strings.FieldsFunc(strings.ToLower(l.Name), func(r rune) bool { return strings.ContainsRune(" :,;", r) })
	for i, w := range words {
		switch {
		case slices.Contains([]string{"less", "minus", "les", "-", "take", "without"}, w):
			ps.Errorf("less-not-first", where, "Begin the line with \"less\", such as \"less house: rectangle 50 ft x 25 ft\".", "%q stands in the name %q, and the shape would be added", w, clip(l.Name))
		case i == len(words)-1 && strings.Trim(w, "0123456789x") == "" && strings.ContainsAny(w, "0123456789") && (i == 0 || strings.Contains(l.Name, ":")):
			ps.Errorf("count-not-understood", where, "Write a line for each shape.", "the number %q before the shape says nothing", w)
		}
	}
	if s := surfaceOf(l.Name); s != geo.KeepOff && !ps.HasErrors() {
		ps.Warnf("turf-named-otherwise", where, "Begin the line with \"less\" if it is to be taken off.", "the name %q sounds like %s and the shape is added to the turf", clip(l.Name), s)
	}
}

// cutLabel cuts a line where its shape begins: after a colon, or else at the first word that is a shape.
func cutLabel(text string) (label, rest string, ok bool) {
	if before, after, found := strings.Cut(text, ":"); found {
		if words := strings.Fields(after); len(words) > 0 && isShape(words[0]) != "" {
			return strings.TrimSpace(before), strings.TrimSpace(after), true
		}
	}
	from := 0
	for _, w := range strings.Fields(text) {
		at := from + strings.Index(text[from:], w)
		if isShape(w) != "" {
			return strings.TrimRight(strings.TrimSpace(text[:at]), ":"), text[at:], true
		}
		from = at + len(w)
	}
	return "", "", false
}

// cutLess takes "less" off a label.
func cutLess(label string) (name string, less bool) {
	for _, w := range []string{"less", "minus"} {
		if len(label) >= len(w) && strings.EqualFold(label[:len(w)], w) && (len(label) == len(w) || label[len(w)] == ' ') {
			return strings.TrimSpace(label[len(w):]), true
		}
	}
	return label, false
}

// A length's number, and the unit that follows it. Commas stay in, so that unit.ParseLength can say which are unclear.
var (
	numberRE = regexp.MustCompile(`^[+-]?(?:\d+ \d+/\d+|\d+/\d+|\d(?:[\d,]*\d)?(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+)`)
	unitRE   = regexp.MustCompile(`^ ?\.?([a-zA-Zµ²]+\.?|["'])`)
	wordRE   = regexp.MustCompile(`^[^\s:,;=()]+`)
)

// notUnits are words of the grammar that may follow a number whose unit was left out.
var notUnits = []string{"x", "by", "and", "apart", "high", "height", "base", "wide", "across", "with", "ends", "radius", "sides", "every", "long", "diameter"}

// feet and inches by their marks, in the ways that keyboards and phones write them.
var marks = strings.NewReplacer("’", "'", "′", "'", "”", `"`, "″", `"`, "''", `"`, "×", " x ", "*", " x ")

// take takes a shape's text apart.
func take(text string) (*measured, error) {
	m := &measured{}
	rest := strings.Join(strings.Fields(marks.Replace(text)), " ")
	joins := false // the next length may be the inches of the one before
	for rest != "" {
		n := numberRE.FindString(rest)
		if n == "" {
			w := wordRE.FindString(rest)
			if w == "" {
				joins = joins && rest[0] == ' '
				rest = rest[1:]
				continue
			}
			rest = rest[len(w):]
			m.word(strings.ToLower(w))
			joins = false
			continue
		}
		rest = rest[len(n):]
		u := unitRE.FindStringSubmatch(rest)
		name := ""
		if u != nil && !slices.Contains(notUnits, strings.ToLower(u[1])) {
			name, rest = u[1], rest[len(u[0]):]
		}
		if err := m.length(n, name, joins); err != nil {
			return nil, err
		}
		joins = true
	}
	return m, nil
}

func (m *measured) word(w string) {
	if m.shape == "" {
		m.shape = isShape(w)
		return
	}
	m.words = append(m.words, w)
}

// length reads one length, which becomes a part of the one before when it is of a smaller unit and
// nothing stands between: 12 ft 6 in.
func (m *measured) length(number, name string, joins bool) error {
	name = strings.NewReplacer("'", "ft", `"`, "in").Replace(name)
	text := strings.TrimSpace(number + " " + name)
	l, err := unit.ParseLength(text)
	if err != nil {
		return err
	}
	if last := len(m.lengths) - 1; joins && last >= 0 {
		joined := m.lengths[last].text + " " + text
		if whole, err := unit.ParseLength(joined); err == nil {
			if one := smallestUnit(m.lengths[last].text); l >= one {
				return fmt.Errorf("%q could be one length or two; write a comma between two", joined)
			}
			m.lengths[last] = length{whole, joined}
			return nil
		}
	}
	m.lengths = append(m.lengths, length{l, text})
	m.after = append(m.after, len(m.words))
	return nil
}

// smallestUnit is one of the last unit in the text of a length.
func smallestUnit(text string) unit.Length {
	one, err := unit.ParseLength("1 " + text[strings.LastIndexByte(text, ' ')+1:])
	if err != nil {
		return 0
	}
	return one
}

// checkSizes refuses lengths that nobody tapes. A width of the offset method may be zero.
func (m *measured) checkSizes(where string, ps *problem.List) {
	for i, l := range m.lengths {
		zero := l.Length == 0 && m.shape == "offsets" && i > 0
		if !zero && (l.Length < shortest || l.Length > longest) {
			ps.Errorf("absurd", where, "Check the number and its unit.", "a length is %s; lengths from 1 cm to 5 km are taken", l.text)
		}
	}
}

// clip shortens a text for a message.
func clip(s string) string {
	if r := []rune(s); len(r) > 60 {
		return string(r[:60]) + "..."
	}
	return s
}
