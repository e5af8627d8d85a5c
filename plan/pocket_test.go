package plan_test

import (
	"math"
	"strconv"
	"strings"

	"tankful/calc/label"
	"tankful/calc/unit"
)

// printed is the number at the head of a printed figure.
func printed(t tb, text string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(strings.ReplaceAll(strings.Fields(text)[0], ",", ""), 64)
	if err != nil {
		t.Fatalf("%q does not begin with a number", text)
	}
	return x
}

// pocket works from the printed figures alone, as the crew can with a pocket calculator:
// area x carrier rate = volume, fill / carrier rate x product rate = product.
func (c *checker) pocket() {
	u := c.p.Units
	per := 1000.0 // sq ft that a carrier rate in gal is for
	if u == unit.Metric {
		per = 10_000 // m2 in a hectare
	}
	for i := range c.p.Stops {
		s := &c.p.Stops[i]
		rate := printed(c, u.CarrierRate(c.mix(s.Mix).Carrier))
		want := printed(c, u.Area(s.Area)) / per * rate
		if got := printed(c, u.Volume(s.Volume)); math.Abs(got-want) > 0.05+1e-6 {
			c.Errorf("stop %s: %s at %s is %.3f, printed %s", s.Property, u.Area(s.Area), u.CarrierRate(c.mix(s.Mix).Carrier), want, u.Volume(s.Volume))
		}
		last := s.Passes.List[len(s.Passes.List)-1].SoFar
		if u.Volume(last) != u.Volume(s.Volume) {
			c.Errorf("stop %s: so far %s after the last pass, printed %s", s.Property, u.Volume(last), u.Volume(s.Volume))
		}
	}
	for i := range c.p.Loads {
		l := &c.p.Loads[i]
		m := c.mix(l.Mix)
		area := printed(c, u.Volume(l.Fill)) / printed(c, u.CarrierRate(m.Carrier)) * per
		for k, q := range l.Products {
			c.pocketProduct(l.N, area/per, m.Products[k].Rate, q.Amount)
		}
	}
}

// pocketProduct holds an amount against rate x thousands (of sq ft, or hectares): within one
// printed step, and what printing the rate to no more than 0.05 % takes off it.
func (c *checker) pocketProduct(load int, thousands float64, r label.Rate, a label.Amount) {
	u := c.p.Units
	rate := printed(c, r.Text(u))
	exact, step, got := r.Liquid.In(unit.FluidOuncePerThousand), 0.1, printed(c, u.Liquid(a.Liquid))
	switch {
	case r.Dry > 0 && u == unit.Metric:
		exact, step, got = r.Dry.In(unit.KilogramPerHectare), 0.01, printed(c, u.Mass(a.Dry))
	case r.Dry > 0:
		exact, step, got = r.Dry.In(unit.PoundPerThousand), 0.01, printed(c, u.Mass(a.Dry))
	case u == unit.Metric: // L/ha, measured in mL
		exact, step, got = r.Liquid.In(unit.LitrePerHectare), 0.001, printed(c, u.Liquid(a.Liquid))/1000
	}
	want, slack := rate*thousands, math.Abs(rate-exact)*thousands
	if slack > 0.0005*want {
		c.Errorf("load %d: the rate %v prints as %s", load, exact, r.Text(u))
	}
	if math.Abs(got-want) > step*(1+1e-9)+slack+1e-9 {
		c.Errorf("load %d: %s over %.4f is %.4f, printed %s", load, r.Text(u), thousands, want, a.Text(u))
	}
}
