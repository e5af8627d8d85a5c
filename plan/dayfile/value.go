package dayfile

import (
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/goccy/go-yaml/ast"
	"github.com/paulmach/orb"

	"tankful/calc/unit"
)

// mostText is the longest text of an entry, in runes: a page of notes.
const mostText = 2000

// scalar is a single value as it is written, quotes removed: 2026 and "2026" read the same.
func scalar(n ast.ScalarNode) string {
	switch v := n.(type) {
	case *ast.StringNode:
		return v.Value
	case *ast.LiteralNode:
		if v.Value != nil {
			return v.Value.Value
		}
		return ""
	}
	if t := n.GetToken(); t != nil {
		return t.Value
	}
	return ""
}

// text reads a text, spaces trimmed; "" when there is none or it was refused.
func (c cursor) text() string {
	if c.node == nil {
		return ""
	}
	s, ok := c.node.(ast.ScalarNode)
	if _, null := c.node.(*ast.NullNode); !ok || null {
		c.wrong("a text")
		return ""
	}
	t := strings.TrimSpace(scalar(s))
	switch n := len([]rune(t)); {
	case t == "":
		c.fail("empty-value", "Write something between the quotes, or remove the key.", "%s is empty", c.key())
	case n > mostText:
		c.fail("text-too-long", "Shorten it.", "%s has %d characters; up to %d are printed", c.key(), n, mostText)
		return ""
	case strings.ContainsFunc(t, func(r rune) bool { return unicode.IsControl(r) && r != '\n' }):
		c.fail("text-unprintable", "Remove the control character.", "%s holds a character that cannot be printed", c.key())
		return ""
	}
	return t
}

func (c cursor) boolean() bool {
	if c.node == nil {
		return false
	}
	b, ok := c.node.(*ast.BoolNode)
	if !ok {
		c.wrong("true or false")
		return false
	}
	return b.Value
}

// number reads a bare number within from..to, for what has no unit.
func (c cursor) number(from, to float64) float64 {
	t := c.text()
	if t == "" {
		return 0
	}
	x, err := strconv.ParseFloat(t, 64)
	if err != nil {
		c.fail("not-a-number", "Write a plain number here.", "%s is %q", c.key(), clip(t))
		return 0
	}
	if !(x >= from && x <= to) {
		c.fail("out-of-range", fmt.Sprintf("Write a number from %g to %g.", from, to), "%s is %g", c.key(), x)
		return 0
	}
	return x
}

// quantity reads a text with its unit, within from..to. The bounds are for slips of the pen:
// a wrong unit, a figure too many (common practice, no source). A refused one reads as zero.
func quantity[Q ~float64](c cursor, parse func(string) (Q, error), from, to string) Q {
	t := c.text()
	if t == "" {
		return 0
	}
	x, err := parse(t)
	if err != nil {
		c.badQuantity(t, err)
		return 0
	}
	lo, err1 := parse(from)
	hi, err2 := parse(to)
	if err := errors.Join(err1, err2); err != nil {
		panic(fmt.Sprintf("dayfile: bounds of %s: %v", c.path, err))
	}
	switch {
	case x < 0 || x == 0 && lo > 0:
		c.fail("not-positive", fmt.Sprintf("Write a figure from %s to %s.", from, to), "%s is %s", c.key(), clip(t))
		return 0
	case x < lo || x > hi:
		c.fail("out-of-range", "Check the figure and its unit.", "%s is %s; %s to %s is taken", c.key(), clip(t), from, to)
		return 0
	}
	return x
}

func (c cursor) badQuantity(text string, err error) {
	var e *unit.ParseError
	if !errors.As(err, &e) {
		c.fail("bad-quantity", "Write a number with its unit.", "%s: %v", c.key(), err)
		return
	}
	code, fix := "bad-quantity", fmt.Sprintf("Write it like %q.", e.Try)
	switch {
	case e.Why == "the unit is missing":
		code, fix = "missing-unit", fmt.Sprintf("Write the unit behind the number, for example %q.", e.Try)
	case e.Want == "nutrient" && strings.Contains(e.Why, ": write "):
		_, names, _ := strings.Cut(e.Why, ": write ")
		fix = "Write " + names + "."
	case strings.HasPrefix(e.Why, `"oz"`):
		code, fix = "ambiguous-unit", `Write "fl oz" for volume or "oz wt" for weight.`
	}
	why, choices, has := strings.Cut(e.Why, ": write ")
	if has && code == "bad-quantity" && e.Want != "nutrient" {
		fix = "Write " + strings.TrimSuffix(choices, ".") + "."
	}
	c.fail(code, fix, "%s is %q, not a %s: %s", c.key(), clip(text), e.Want, why)
}

// date reads an ISO 8601 calendar date.
func (c cursor) date() string {
	t := c.text()
	if t == "" {
		return ""
	}
	if _, err := time.Parse(time.DateOnly, t); err != nil {
		c.fail("date-invalid", "Write year-month-day, for example 2026-04-14.", "%s is %q, not a date", c.key(), clip(t))
		return ""
	}
	return t
}

// clock reads a time of day on the 24-hour clock; 24:00 is the end of the day.
func (c cursor) clock() unit.Time {
	t := c.text()
	if t == "" {
		return 0
	}
	at, ok := parseClock(t)
	if !ok {
		c.fail("clock-invalid", clockFix, "%s is %q, not a time of day", c.key(), clip(t))
	}
	return at
}

const clockFix = `Write hours and minutes on the 24-hour clock, for example "06:30".`

// parseClock reads "6:30" or "06:30", up to "24:00".
func parseClock(t string) (at unit.Time, ok bool) {
	h, m, ok := strings.Cut(t, ":")
	hours, err1 := strconv.ParseUint(h, 10, 8)
	minutes, err2 := strconv.ParseUint(m, 10, 8)
	if !ok || err1 != nil || err2 != nil || len(m) != 2 || minutes > 59 || hours*60+minutes > 24*60 {
		return 0, false
	}
	return unit.Time(hours)*unit.Hour + unit.Time(minutes)*unit.Minute, true
}

func clockText(t unit.Time) string {
	m := int(t.In(unit.Minute))
	return fmt.Sprintf("%02d:%02d", m/60, m%60)
}

// point reads {lon, lat} in degrees.
func (c cursor) point() (orb.Point, bool) {
	o, ok := c.object("lon! lat!")
	if !ok {
		return orb.Point{}, false
	}
	var p orb.Point
	good := c.r.clean(func() {
		p = orb.Point{o.at("lon").number(-180, 180), o.at("lat").number(-90, 90)}
	})
	return p, good && o.has("lon") && o.has("lat")
}

// oneOf reads one of a few words.
func oneOf[T ~string](c cursor, words ...T) T {
	t := c.text()
	if t == "" || slices.Contains(words, T(t)) {
		return T(t)
	}
	known := make([]string, len(words))
	for i, w := range words {
		known[i] = string(w)
	}
	c.fail("unknown-word", suggest(t, known), "%s is %q", c.key(), clip(t))
	return ""
}

// declare reads a name that others refer to; each may stand once.
func (r *reader) declare(k kind, c cursor) string {
	t := c.text()
	switch {
	case t == "":
	case slices.Contains(r.names[k], t):
		c.fail("duplicate-name", "Give each "+string(k)+" a name of its own.", "there is another %s named %q", k, clip(t))
	default:
		r.names[k] = append(r.names[k], t)
	}
	return t
}

// refer reads a name that must have been declared.
func (r *reader) refer(k kind, c cursor) (string, bool) {
	t := c.text()
	if t == "" {
		return "", false
	}
	if !slices.Contains(r.names[k], t) {
		c.fail("unknown-name", suggest(t, r.names[k]), "there is no %s named %q", k, clip(t))
		return t, false
	}
	return t, true
}
