package plan_test

import (
	"testing"

	"tankful/calc/unit"
)

// A lawn of 100 ft x 60 ft has six passes of 10 ft; see handDay. By hand, after three of them: 3,000 sq ft, 3 x 2.0 gal, 3 x 4 fl oz and 3 x 0.5 lb.
func TestDoneToByHand(t *testing.T) {
	p := made(t, handDay(tank("tank", 100*unit.Gallon, unit.Gallon)))
	s, u := &p.Stops[0], p.Units
	got := p.DoneTo(s, 3)
	equal(t, u.Area(got.Area), "3,000 sq ft", u.Volume(got.Volume), "6.0 gal", got.Products[1].Amount.Text(u), "12.0 fl oz", got.Products[0].Amount.Text(u), "1.50 lb")
	if got := p.DoneTo(s, 0); got.Area != 0 || got.Volume != 0 || !got.Products[0].Amount.IsZero() {
		t.Errorf("before the first pass: %+v", got)
	}
	for _, n := range []int{6, 99} {
		if got := p.DoneTo(s, n); got.Area != s.Area || got.Volume != s.Volume || got.Products[0] != s.Products[0] {
			t.Errorf("after %d passes: %+v", n, got)
		}
	}
}

// What was done and what is planned for the rest are the whole, within the last digits that are printed.
func TestDoneToAndTheRest(t *testing.T) {
	whole := must(t, fewStops(t, "kelp-circle-8"))
	s := &whole.Stops[0]
	d := fewStops(t, "kelp-circle-8")
	for _, n := range []int{1, 5, s.Passes.Count - 1} {
		d.Stops[0].DonePasses = n
		rest := must(t, d)
		got, left := whole.DoneTo(s, n), &rest.Stops[0]
		if off := got.Area + left.Area - s.Area; off > 2*unit.SquareFoot || off < -2*unit.SquareFoot {
			t.Errorf("%d passes: %v and %v are not %v", n, got.Area, left.Area, s.Area)
		}
		if off := got.Volume + left.Volume - s.Volume; off > 0.21*unit.Gallon || off < -0.21*unit.Gallon {
			t.Errorf("%d passes: %v and %v are not %v", n, got.Volume, left.Volume, s.Volume)
		}
		for k := range s.Products {
			a, b, c := got.Products[k].Amount, left.Products[k].Amount, s.Products[k].Amount
			if off := a.Liquid + b.Liquid - c.Liquid; off > 0.3*unit.FluidOunce || off < -0.3*unit.FluidOunce {
				t.Errorf("%d passes, %s: %v and %v are not %v", n, s.Products[k].Name, a, b, c)
			}
		}
	}
}
