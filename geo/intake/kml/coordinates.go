package kml

import (
	"fmt"
	"iter"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

const (
	// maxStray bounds how much text with blanks beside commas is taken apart.
	maxStray = 16 << 20
	// maxNumbers bounds what is told apart in one position.
	maxNumbers = 9
)

// positions reads the text of coordinates: "lon,lat" or "lon,lat,altitude", separated by any blanks. Blanks
// beside commas are a slip of hand-made files; they are read where only one reading is possible.
func (d *draft) positions(s string, h *heights) []orb.Point {
	if s = strings.TrimSpace(s); s == "" {
		return nil
	}
	if !strings.Contains(s, ",") {
		d.corners.Fail("coordinate-missing", fmt.Sprintf("%q stands where \"longitude,latitude\" belongs", raw.Clip(s)))
		return nil
	}
	tokens := strings.FieldsSeq(s)
	if strayCommas(tokens) {
		if len(s) > maxStray {
			d.corners.Fail("wrong-nesting", fmt.Sprintf("blanks stand beside commas in coordinates of more than %d MB", maxStray>>20))
			return nil
		}
		d.blanks = true
		tokens = slices.Values(regroup(strings.Fields(s)))
	}
	var out []orb.Point
	for t := range tokens {
		p, ok := d.position(strings.SplitN(t, ",", maxNumbers+1), h)
		if *d.left < 0 {
			return nil
		}
		if ok {
			out = append(out, p)
		}
	}
	return out
}

// position reads one position from its two or three numbers.
func (d *draft) position(numbers []string, h *heights) (orb.Point, bool) {
	*d.left--
	if n := len(numbers); n < 2 || n > 3 {
		code := "coordinate-missing"
		if n > 3 {
			code = "wrong-nesting"
		}
		d.corners.Fail(code, fmt.Sprintf("the position %q has %d numbers instead of 2 or 3", raw.Clip(strings.Join(numbers, ",")), n))
		return orb.Point{}, false
	}
	p, ok := d.corners.Point(numbers[0], numbers[1])
	if ok && len(numbers) == 3 {
		z, _, code, _ := markup.Number(numbers[2])
		if code == "" {
			h.add(z)
		} else if strings.Trim(numbers[2], "-NaAn") != "" { // altitudes may be missing, but not be something else
			d.corners.Fail("coordinate-not-a-number", fmt.Sprintf("%q stands where an altitude belongs", raw.Clip(numbers[2])))
			return p, false
		}
	}
	return p, ok
}

func strayCommas(tokens iter.Seq[string]) bool {
	for t := range tokens {
		if t[0] == ',' || t[len(t)-1] == ',' {
			return true
		}
	}
	return false
}

// regroup puts positions together that blanks beside commas tore apart. Either every token is a whole position with a
// comma too many ("1,2, 3,4,"), or the blanks are to be left out ("1, 2, 3 4, 5, 6"). When neither holds, the tokens
// come back as they are, and position finds the fault.
func regroup(tokens []string) []string {
	whole := make([]string, len(tokens))
	sound := true
	for i, t := range tokens {
		whole[i] = strings.Trim(t, ",")
		sound = sound && isPosition(whole[i])
	}
	if sound {
		return whole
	}
	var joined []string
	var b strings.Builder
	for i, t := range tokens {
		if i > 0 && t[0] != ',' && tokens[i-1][len(tokens[i-1])-1] != ',' {
			joined = append(joined, b.String())
			b.Reset()
		}
		b.WriteString(t)
	}
	return append(joined, b.String())
}

func isPosition(t string) bool { n := strings.Count(t, ","); return n == 1 || n == 2 }

// heights are the altitudes of one shape. They are heights above the sea only when the altitude mode does not
// say otherwise; zeros without a mode are what drawing programs write for "none".
type heights struct {
	mode  string
	sum   raw.Heights
	other bool // one is not zero
}

func (h *heights) add(z float64) {
	h.sum.Add(z)
	h.other = h.other || z != 0
}

func (h *heights) into(to *raw.Heights) {
	if h.mode == "absolute" || h.other && (h.mode == "" || h.mode == "clampToGround") {
		to.Sum += h.sum.Sum
		to.Count += h.sum.Count
	}
}
