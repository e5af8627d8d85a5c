package unit

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// fractions are the characters for fractions that keyboards and labels have.
var fractions = map[rune]string{'½': "1/2", '⅓': "1/3", '⅔': "2/3", '¼': "1/4", '¾': "3/4", '⅕': "1/5", '⅖': "2/5", '⅗': "3/5", '⅘': "4/5",
	'⅙': "1/6", '⅚': "5/6", '⅛': "1/8", '⅜': "3/8", '⅝': "5/8", '⅞': "7/8"}

// marks are other characters for what has a plain one.
var marks = strings.NewReplacer("’", "'", "′", "'", "”", `"`, "″", `"`, "''", `"`, "⁄", "/", "−", "-", "²", "2", "³", "3", "^2", "2", "^3", "3",
	"₂", "2", "₅", "5", "–", "-", "—", "-")

// feetRE finds the inches that stand close to their feet: 7'6", 7'-6".
var feetRE = regexp.MustCompile(`'-?([.\d])`)

// plain is a text with single spaces and plain characters: "1½ pt" is "1 1/2 pt".
func plain(text string) string {
	var b strings.Builder
	last := ' '
	for _, r := range text {
		if f, ok := fractions[r]; ok {
			if last >= '0' && last <= '9' {
				b.WriteByte(' ')
			}
			b.WriteString(f)
		} else {
			b.WriteRune(r)
		}
		last = r
	}
	t := feetRE.ReplaceAllString(marks.Replace(b.String()), "' $1")
	return strings.Join(strings.Fields(t), " ")
}

// A number at the head of a text: 1 1/2, 1-1/2, 1/2, 1,250.5, .5, 1e3.
var numberRE = regexp.MustCompile(`^[+-]?(?:\d+[ -]\d+/\d+|\d+/\d+|\d[\d,]*(?:\.\d*)?(?:[eE][+-]?\d+)?|\.\d+(?:[eE][+-]?\d+)?)`)

var thousandsRE = regexp.MustCompile(`^[+-]?\d{1,3}(,\d{3})+(\.\d*)?$`)

// number reads the number at the head of s and gives what is left of s.
func number(s string) (x float64, rest string, err error) {
	t := numberRE.FindString(s)
	if t == "" {
		return 0, s, errors.New("it does not begin with a number")
	}
	rest = s[len(t):]
	if err := afterNumber(t, rest); err != nil {
		return 0, s, err
	}
	if strings.Contains(t, ",") {
		if !thousandsRE.MatchString(t) {
			return 0, s, fmt.Errorf("the comma in %q could be a decimal point or a thousands mark: write %q or %q", t, strings.ReplaceAll(t, ",", "."), strings.ReplaceAll(t, ",", ""))
		}
		t = strings.ReplaceAll(t, ",", "")
	}
	if strings.Contains(t, "/") {
		x, err = fraction(t)
		return x, rest, err
	}
	x, err = strconv.ParseFloat(t, 64)
	if err != nil || math.IsInf(x, 0) {
		return 0, s, fmt.Errorf("%q is out of range", t)
	}
	return x, rest, nil
}

var (
	rangeRE = regexp.MustCompile(`^ ?(?:-|(?i:to) ) ?[.\d]`)
	colonRE = regexp.MustCompile(`^ ?: ?(\d+)(?:\D|$)`)
)

// afterNumber refuses what must not follow the number t.
func afterNumber(t, rest string) error {
	if m := colonRE.FindStringSubmatch(rest); m != nil {
		return &colonError{t, m[1]}
	}
	next := strings.TrimPrefix(rest, " ")
	switch {
	case next == "":
	case rangeRE.MatchString(rest):
		return errors.New("it is a range, and one figure is wanted")
	case next[0] == ',':
		return fmt.Errorf("the comma in %q could be a decimal point or a thousands mark: write %q or %q", t+rest, strings.ReplaceAll(t+rest, ",", "."), strings.ReplaceAll(t+rest, ",", ""))
	case next[0] == '.' && len(next) > 1 && isDigit(next[1]):
		return fmt.Errorf("%q has a decimal point too many", t+rest)
	case isDigit(next[0]):
		return fmt.Errorf("two numbers stand in a row in %q: leave the space out, or write thousands as 1,000", t+rest)
	}
	return nil
}

// colonError is a text such as 1:100, whose meaning hangs on what is wanted.
type colonError struct{ a, b string }

func (e *colonError) Error() string {
	whole := e.b
	if a, err := strconv.ParseFloat(e.a, 64); err == nil {
		if b, err := strconv.ParseFloat(e.b, 64); err == nil {
			whole = strconv.FormatFloat(a+b, 'f', -1, 64)
		}
	}
	return fmt.Sprintf(`"%s:%s" could be %[1]s part in %[2]s of finished mix or %[1]s part to %[2]s of water: write "%[1]s gal/%[2]s gal" or "%[1]s gal/%[3]s gal"`, e.a, e.b, whole)
}

// clock is what the same text says where a time is wanted.
func (e *colonError) clock() error {
	return fmt.Errorf(`"%s:%s" could be minutes and seconds or hours and minutes: write "%[1]s min %[2]s s" or "%[1]s h %[2]s min"`, e.a, e.b)
}

// fraction reads "1/2", "1 1/2", "1-1/2", "-1 1/2"; the sign is that of the whole.
func fraction(t string) (float64, error) {
	digits := strings.TrimLeft(t, "+-")
	whole, part, mixed := strings.Cut(strings.Replace(digits, "-", " ", 1), " ")
	if !mixed {
		whole, part = "0", digits
	}
	num, den, _ := strings.Cut(part, "/")
	var f [3]float64
	for i, d := range []string{whole, num, den} {
		x, err := strconv.ParseFloat(d, 64)
		if err != nil {
			return 0, fmt.Errorf("%q is out of range", t)
		}
		f[i] = x
	}
	if f[2] == 0 {
		return 0, fmt.Errorf("%q divides by zero", t)
	}
	if mixed && f[1] >= f[2] {
		return 0, fmt.Errorf("the fraction in %q is not below one", t)
	}
	x := f[0] + f[1]/f[2]
	if t[0] == '-' {
		x = -x
	}
	return x, nil
}

func isDigit(c byte) bool { return c >= '0' && c <= '9' }
