package unit_test

import (
	"math"
	"testing"

	"tankful/calc/unit"
)

// Whatever the text, each parser gives a finite number that prints and reads back, or an
// error and zero; and what is read without a kind is what the parser of that kind reads.
func FuzzParse(f *testing.F) {
	for _, s := range []string{"7 ft 6 in", "1 1/2 pt/acre", "4.5 fl oz per 1000 sq ft", "-1/2 in", "1,250 sq ft", "1e999 gal",
		"5 gal/1000", "5 oz", "1/0 lb", "1 T", "+ 5 gal", "5 gal per per acre", "5 /", "5 L/0.0000000001e-320 ha", "7'6\"", "1½ pt",
		"0.75 lb N/M", "2 % v/v", "1:100", "3-1/2 gal", "15 L/100 m2", "7'-6 1/2\"", "5 M", "2 gal/M", "8 % w/v", "3–4 lb", "1.250,5 L", "5 lb/m",
		"5 L/+1h", "5 gal/-1 acre", "5 gal/1M"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		read := map[string]float64{}
		for kind, parse := range parsers {
			x, err := parse(s)
			if math.IsNaN(x) || math.IsInf(x, 0) || err != nil && x != 0 {
				t.Errorf("%q as a %s: %v, %v", s, kind, x, err)
			}
			if err == nil {
				read[kind] = x
			}
		}
		q, u, err := unit.ParseIn(s)
		switch {
		case err != nil && (q != nil || len(read) > 0):
			t.Errorf("%q is %v as any kind (%v), and %v by kinds", s, q, err, read)
		case err == nil && (len(read) != 1 || read[string(q.Kind())] != q.SI() || u.Kind() != q.Kind()):
			t.Errorf("%q is %v %s in %s as any kind, and %v by kinds", s, q, q.Kind(), u.Name(), read)
		case err == nil && (q.SI() == 0 || math.Abs(q.SI()) > 1e-200):
			text := q.(interface{ String() string }).String()
			if back, err := unit.Parse(text); err != nil || back != q {
				t.Errorf("%q is %v, which reads back as %v (%v)", s, text, back, err)
			}
		}
		if n, q, err := unit.ParseNutrient(s); err == nil && (n == "" || q == nil || math.IsInf(q.SI(), 0)) {
			t.Errorf("%q is %v of %q", s, q, n)
		}
		if u, err := unit.ParseUnit(s); err == nil {
			if again, err := unit.ParseUnit(u.Name()); err != nil || again.Name() != u.Name() || again.Kind() != u.Kind() {
				t.Errorf("the unit %q is %q, which reads back as %q (%v)", s, u.Name(), again.Name(), err)
			}
		}
	})
}
