package unit_test

import (
	"math"
	"testing"

	"tankful/calc/unit"
)

// Whatever the text, each parser gives a finite number that prints and reads back, or an
// error and zero.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"7 ft 6 in", "1 1/2 pt/acre", "4.5 fl oz per 1000 sq ft", "-1/2 in", "1,250 sq ft", "1e999 gal",
		"5 gal/1000", "5 oz", "1/0 lb", "1 T", "+ 5 gal", "5 gal per per acre", "5 /", "5 L/0.0000000001e-320 ha", "7'6\""} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		for kind, parse := range parsers {
			x, err := parse(s)
			if math.IsNaN(x) || math.IsInf(x, 0) || err != nil && x != 0 {
				t.Errorf("%q as a %s: %v, %v", s, kind, x, err)
			}
		}
		if v, err := unit.ParseVolume(s); err == nil && (v == 0 || math.Abs(float64(v)) > 1e-200) {
			if back, err := unit.ParseVolume(v.String()); err != nil || back != v {
				t.Errorf("%q is %v, which reads back as %v (%v)", s, v, back, err)
			}
		}
	})
}
