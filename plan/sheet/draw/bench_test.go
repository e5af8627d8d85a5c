package draw

import (
	"bytes"
	"testing"

	"tankful/plan"
	"tankful/plan/sheet"
	"tankful/plan/sheet/sheettest"
)

// dayOfForty is 40 stops of 100 passes each, on lawns of 1,000 ft x 200 ft.
func dayOfForty() *plan.Plan {
	p := sheettest.Many(40)
	for i := range p.Stops {
		s := &p.Stops[i]
		lawn := sheettest.Stop(s.N, s.Property, s.Name, sheettest.Rect{0, 0, 200, 1000}, nil)
		lawn.Products = s.Products
		*s = lawn
	}
	return p
}

// BenchmarkDayPDF is a day of 40 stops of 100 passes from its plan to its PDF; its size is reported beside the time.
func BenchmarkDayPDF(b *testing.B) {
	p := dayOfForty()
	if n := p.Stops[7].Passes.Count; n != 100 {
		b.Fatalf("%d passes, want 100", n)
	}
	var out bytes.Buffer
	for b.Loop() {
		out.Reset()
		d, err := sheet.Truck(p, "T1", sheet.Options{})
		if err != nil {
			b.Fatal(err)
		}
		if err := PDF(&out, d); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(out.Len()), "bytes")
}
