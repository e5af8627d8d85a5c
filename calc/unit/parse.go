package unit

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
)

// ParseError says why a text is not a quantity and what to write instead.
type ParseError struct {
	Text string // what was given
	Want string // the kind of quantity: "volume per area"; "quantity" where any would do
	Why  string // what is wrong with it
	Try  string // something that would be read: "2 gal/1000 sq ft"
}

func (e *ParseError) Error() string {
	return fmt.Sprintf("%q is not %s: %s; write for example %q", e.Text, article(e.Want), e.Why, e.Try)
}

// article puts "a" or "an" before a noun.
func article(noun string) string {
	if noun != "" && strings.ContainsRune("aeiou", rune(noun[0])) {
		return "an " + noun
	}
	return "a " + noun
}

var perRE = regexp.MustCompile(`\s*/\s*|\s+(?i:per)\s+`)

// isRatio tells whether a unit has a line through it; the line of a fraction, 6 1/2 in, is none.
func isRatio(name string) bool {
	for _, at := range perRE.FindAllStringIndex(name, -1) {
		if at[0] == 0 || at[1] == len(name) || !isDigit(name[at[0]-1]) || !isDigit(name[at[1]]) {
			return true
		}
	}
	return false
}

// nextRE finds where the next part of a sum begins: "1 min" ends before " 18 s".
var nextRE = regexp.MustCompile(` [+-]?\.?\d`)

func parse(text string, k *kind) (float64, error) {
	x, err := sum(plain(text), k)
	if err != nil {
		var colon *colonError
		if errors.As(err, &colon) && k == kindTime {
			err = colon.clock()
		}
		return 0, &ParseError{Text: text, Want: string(k.name), Why: err.Error(), Try: k.try}
	}
	return x, nil
}

// sum reads one number with its unit or, for a quantity that is not a ratio, several from
// large units to small: "7 ft 6 in". The sign at the head is that of the whole.
func sum(s string, k *kind) (float64, error) {
	if s == "" {
		return 0, errors.New("it is empty")
	}
	total, sign, last := 0.0, 1.0, math.Inf(1)
	for first := true; s != ""; first = false {
		if !first && (s[0] == '-' || s[0] == '+') {
			return 0, errors.New("a sum of parts has one sign, at its head")
		}
		x, rest, err := number(s)
		if err != nil {
			return 0, err
		}
		if first && s[0] == '-' {
			x, sign = -x, -1
		}
		name, next := strings.TrimSpace(rest), ""
		if k.num == nil && !isRatio(name) {
			name, next = cutSum(name)
		}
		u, err := factor(name, k)
		if err != nil {
			return 0, err
		}
		if u.si >= last {
			return 0, fmt.Errorf("the parts of a sum go from large units to small, and %q does not", name)
		}
		total, last, s = total+x*u.si, u.si, next
	}
	if math.IsInf(total, 0) || math.IsNaN(total) {
		return 0, errors.New("it is out of range")
	}
	return sign * total, nil
}

// cutSum cuts the unit at the head off the parts that follow it.
func cutSum(s string) (name, next string) {
	if i := nextRE.FindStringIndex(s); i != nil {
		return s[:i[0]], s[i[0]+1:]
	}
	return s, ""
}

// factor is the named unit of kind k. Case and the dots of abbreviations do not matter, but
// for capitals that stand alone.
func factor(name string, k *kind) (named, error) {
	name = strings.TrimSpace(name)
	if name == "" {
		return named{}, errors.New("the unit is missing")
	}
	if err := unclearUnit(name); err != nil {
		return named{}, err
	}
	if u, ok := k.find(name); ok {
		return u, nil
	}
	if k.num == nil {
		return named{}, unknownUnit(name, k)
	}
	if err := isOther(name, k); err != nil {
		return named{}, err
	}
	parts := perRE.Split(name, 2)
	if len(parts) != 2 {
		return named{}, fmt.Errorf("it needs a %s per %s, with both units", k.num.name, k.den.name)
	}
	num, err := factor(parts[0], k.num)
	if err != nil {
		return named{}, err
	}
	den, err := perWhat(parts[1], k.den)
	if err != nil {
		return named{}, err
	}
	u := named{num.show + "/" + den.show, num.si / den.si}
	if same, ok := k.find(u.show); ok { // the constant, so that the last bit is the same however it was written
		return same, nil
	}
	return u, nil
}

// perWhat is what follows "per": "acre", "1000 sq ft". Capital M is 1,000 sq ft and capital A
// an acre here, where a rate's area stands, and nowhere else (common practice, no source).
func perWhat(text string, k *kind) (named, error) {
	count, name, err := countBelow(text, k)
	if err != nil {
		return named{}, err
	}
	if alone := name == strings.TrimSpace(text); alone && k == kindArea && name == "M" {
		count, name = 1000, "sq ft"
	} else if alone && k == kindArea && name == "A" {
		name = "acre"
	}
	if err := belowLine(name, k); err != nil {
		return named{}, err
	}
	u, err := factor(name, k)
	if err != nil || count == 1 {
		return u, err
	}
	if u.si*count == Thousand.SI() && u.show == "sq ft" {
		return named{"1000 sq ft", Thousand.SI()}, nil
	}
	return named{strconv.FormatFloat(count, 'f', -1, 64) + " " + u.show, count * u.si}, nil
}

// countBelow cuts the number off what stands below the line of a rate: 1000 and "sq ft". It
// is 1 where none stands there. The kind k may be nil, not yet known.
func countBelow(text string, k *kind) (count float64, name string, err error) {
	name = strings.TrimSpace(text)
	if name == "" || !isDigit(name[0]) && !strings.ContainsRune("+-.", rune(name[0])) {
		return 1, name, nil
	}
	count, rest, err := number(name)
	if err != nil {
		return 0, "", err
	}
	if count <= 0 {
		return 0, "", fmt.Errorf("it is per %g of something", count)
	}
	if name = strings.TrimSpace(rest); name == "" {
		return 0, "", fmt.Errorf("per %g of what: %s?", count, perhaps(count, k))
	}
	return count, name, nil
}

// perhaps is what "per x" of kind k could have been meant to say.
func perhaps(x float64, k *kind) string {
	n := strconv.FormatFloat(x, 'f', -1, 64)
	switch k {
	case kindArea:
		return fmt.Sprintf(`write "%s sq ft" or "%[1]s m2"`, n)
	case kindVolume:
		return fmt.Sprintf(`write "%s gal" or "%[1]s L"`, n)
	case nil:
		return fmt.Sprintf(`write "%s sq ft", "%[1]s m2" or, in a tank, "%[1]s gal" or "%[1]s L"`, n)
	}
	return "write " + k.try
}

// exact prints x so that parsing the text gives x again, bit for bit.
func exact(x float64, k *kind) string {
	u := inUnit(x, k.si)
	name := k.exact
	if u*k.si != x && k.base != "" { // no float64 of this unit is x: fall back on SI
		u, name = x, k.base
	}
	return strconv.FormatFloat(u, 'g', -1, 64) + " " + name
}

// inUnit is x in a unit of the given SI value: the number that comes back to x, where there
// is one, else the nearest. Multiplying a quotient back loses its last bit about one time in ten.
func inUnit(x, si float64) float64 {
	u := x / si
	if u*si == x {
		return u
	}
	for _, v := range []float64{math.Nextafter(u, math.Inf(1)), math.Nextafter(u, math.Inf(-1))} {
		if v*si == x {
			return v
		}
	}
	return u
}

func marshal(x, si float64) ([]byte, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil, fmt.Errorf("unit: %v cannot be written as a number", x)
	}
	return json.Marshal(inUnit(x, si))
}

func unmarshal(b []byte, si float64, q *float64) error {
	var x float64
	if err := json.Unmarshal(b, &x); err != nil {
		return err
	}
	if x *= si; math.IsInf(x, 0) {
		return fmt.Errorf("unit: %s is out of range", b)
	}
	*q = x
	return nil
}
