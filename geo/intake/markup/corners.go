package markup

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// A fault is what is wrong with a coordinate, in the parts of a problem.
type fault struct{ code, fix, what string }

// Number reads a plain decimal number and counts its decimals as written. The code of a problem, and what is
// wrong, are empty when it is one.
func Number(s string) (x float64, decimals int, code, what string) {
	s = strings.TrimSpace(s)
	digits, point, exponent := false, -1, -1
	for i := range len(s) {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits = true
		case c == '.' && point < 0 && exponent < 0:
			point = i
		case (c == 'e' || c == 'E') && exponent < 0 && digits:
			exponent = i
		case (c == '-' || c == '+') && (i == 0 || i == exponent+1 && exponent >= 0):
		default:
			return 0, 0, "coordinate-not-a-number", fmt.Sprintf("%q stands where a coordinate belongs", raw.Clip(s))
		}
	}
	if s == "" {
		return 0, 0, "coordinate-missing", "a coordinate is missing"
	}
	x, err := strconv.ParseFloat(s, 64)
	if !digits || err != nil && !math.IsInf(x, 0) {
		return 0, 0, "coordinate-not-a-number", fmt.Sprintf("%q stands where a coordinate belongs", raw.Clip(s))
	}
	if err != nil {
		return 0, 0, "coordinate-out-of-range", fmt.Sprintf("the coordinate %s is not on the Earth", raw.Clip(s))
	}
	if exponent >= 0 {
		s = strconv.FormatFloat(x, 'f', -1, 64)
		point = strings.IndexByte(s, '.')
	}
	if point >= 0 {
		decimals = min(len(s)-point-1, 20)
	}
	return x, decimals, "", ""
}

var fixes = map[string]string{
	"coordinate-not-a-number": "Write coordinates as plain numbers with a decimal point.",
	"coordinate-missing":      "Give longitude and latitude.",
	"coordinate-out-of-range": "Correct that coordinate.",
	"wrong-nesting":           "Export the file again.",
}

// Corners reads the positions of one feature and keeps what the feature has to know of them.
type Corners struct {
	// CRS is what the user names; nil takes the numbers as lon/lat degrees of WGS 84.
	CRS      *crs.CRS
	decimals int
	first    *fault
	faults   int
}

// Point reads a position from two numbers as text. ok is false when it can not be read; Finish then says so.
func (c *Corners) Point(lon, lat string) (p orb.Point, ok bool) {
	x, dx, code, what := Number(lon)
	y, dy, code2, what2 := Number(lat)
	if code == "" {
		code, what = code2, what2
	}
	if code != "" {
		c.Fail(code, what)
		return p, false
	}
	return c.Place(x, y, max(dx, dy))
}

// Place is a position from two numbers that had decimals decimals.
func (c *Corners) Place(x, y float64, decimals int) (p orb.Point, ok bool) {
	c.decimals = max(c.decimals, decimals)
	if c.CRS == nil {
		return orb.Point{x, y}, true
	}
	p, ok = c.CRS.ToDegrees(x, y)
	if ok = ok && finite(p[0]) && finite(p[1]); !ok {
		if c.CRS.Geographic() { // which intake judges: it knows longitude and latitude the wrong way round
			return orb.Point{x, y}, true
		}
		c.Fail("coordinate-out-of-range", fmt.Sprintf("%g, %g is outside of where %s reaches", x, y, c.CRS.Name()))
		return orb.Point{}, false
	}
	return p, true
}

func finite(x float64) bool { return !math.IsNaN(x) && !math.IsInf(x, 0) }

// Fail notes a position that can not be read.
func (c *Corners) Fail(code, what string) {
	if c.faults++; c.first == nil {
		c.first = &fault{code: code, fix: fixes[code], what: what}
	}
}

// Failed reports whether a position could not be read.
func (c *Corners) Failed() bool { return c.faults > 0 }

// Finish tells f how finely its positions were written and what is wrong with them.
func (c *Corners) Finish(f *raw.Feature) {
	if c.CRS != nil && !c.CRS.Geographic() {
		f.Step = c.CRS.UnitMetres() * math.Pow10(-c.decimals)
	} else {
		f.Decimals = c.decimals
	}
	if c.first == nil {
		return
	}
	what := c.first.what
	if c.faults > 1 {
		what = fmt.Sprintf("%s; %d positions can not be read", what, c.faults)
	}
	f.Problems.Errorf(c.first.code, f.Where, c.first.fix, "%s", what)
}

// DatumNote adds the note on the system that the user names, if there is one.
func DatumNote(ps *problem.List, in raw.Input) {
	if in.CRS == nil {
		return
	}
	if note := in.CRS.Note(); note != "" {
		ps.Notef("datum-note", in.Name, "Nothing needs doing.", "%s", note)
	}
}

// Members gathers what a file says of a feature. A name that comes again with another text is warned of.
type Members struct {
	List     raw.Members
	repeated string
	dropped  int
}

// Add takes one more; blank texts are left out.
func (m *Members) Add(key, value string) {
	value = strings.TrimSpace(value)
	if key == "" || value == "" {
		return
	}
	for _, x := range m.List {
		if x.Key == key {
			if x.Value != value && m.repeated == "" {
				m.repeated = key
			}
			return
		}
	}
	if len(m.List) == MaxMembers {
		m.dropped++
		return
	}
	m.List = append(m.List, raw.Member{Key: key, Value: value})
}

// MaxMembers bounds what is kept of one feature, as the search for repeated names looks at all of it.
const MaxMembers = 200

// Warn adds what was repeated to f's problems.
func (m *Members) Warn(f *raw.Feature) {
	if m.repeated != "" {
		f.Problems.Warnf("member-repeated", f.Where, "Keep one of them.",
			"%q is said more than once with different texts; the first counts", raw.Clip(m.repeated))
	}
	if m.dropped > 0 {
		f.Problems.Warnf("too-many-members", f.Where, "Export fewer columns.", "%d members beyond the first %d are not read", m.dropped, MaxMembers)
	}
}

// Decimals is the largest number of decimals so far; See raises it.
func (c *Corners) Decimals() int { return c.decimals }

// See takes in the decimals of a position that was read elsewhere.
func (c *Corners) See(decimals int) { c.decimals = max(c.decimals, decimals) }

// Fault is the code of the first fault and what is wrong, "" when there is none.
func (c *Corners) Fault() (code, what string) {
	if c.first == nil {
		return "", ""
	}
	return c.first.code, c.first.what
}
