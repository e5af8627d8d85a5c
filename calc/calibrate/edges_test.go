package calibrate_test

import (
	"math"
	"strings"
	"testing"

	"tankful/calc/calibrate"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// The slip of a factor of two is named where the spacings are about that far apart, and nowhere else.
func TestSpacingSlip(t *testing.T) {
	for ratio, want := range map[unit.Length]bool{0.44: false, 0.46: true, 0.5: true, 0.54: true, 0.56: false, 0.9: false, 1.5: false, 1.75: false, 1.85: true, 2: true, 2.15: true, 2.3: false} {
		ps := calibrate.CheckSpacing(7*unit.Foot*ratio, 7*unit.Foot, "here")
		if len(ps) != 1 || strings.Contains(ps[0].What, "slip") != want {
			t.Errorf("%g: got %v", ratio, ps)
		}
	}
}

func TestDueEdges(t *testing.T) {
	good := func() calibrate.CalibrationAge {
		return calibrate.CalibrationAge{Last: calibrate.Setup{Date: "2027-04-01", Operator: "A", Pressure: 40 * unit.PSI}, Now: calibrate.Setup{Date: "2027-04-05", Operator: "A", Pressure: 40 * unit.PSI}}
	}
	for _, c := range []struct {
		name  string
		spoil func(*calibrate.CalibrationAge)
		want  string // codes, or the reasons
	}{
		{"good", func(*calibrate.CalibrationAge) {}, ""},
		{"operator noted once", func(a *calibrate.CalibrationAge) { a.Last.Operator = "" }, ""},
		{"operator not noted today", func(a *calibrate.CalibrationAge) { a.Now.Operator = "" }, ""},
		{"another operator", func(a *calibrate.CalibrationAge) { a.Now.Operator = "B" }, `the operator changed from "A" to "B"`},
		{"pressure noted once", func(a *calibrate.CalibrationAge) { a.Last.Pressure = 0 }, ""},
		{"pressure not noted today", func(a *calibrate.CalibrationAge) { a.Now.Pressure = 0 }, ""},
		{"10 % more pressure", func(a *calibrate.CalibrationAge) { a.Now.Pressure = 44 * unit.PSI }, ""},
		{"10 % less", func(a *calibrate.CalibrationAge) { a.Now.Pressure = 36 * unit.PSI }, ""},
		{"11 % more", func(a *calibrate.CalibrationAge) { a.Now.Pressure = 44.4 * unit.PSI }, "the pressure changed from 40 psi (2.8 bar) to 44 psi (3.1 bar)"},
		{"11 % less", func(a *calibrate.CalibrationAge) { a.Now.Pressure = 35.6 * unit.PSI }, "the pressure changed from 40 psi (2.8 bar) to 36 psi (2.5 bar)"},
		{"three since", func(a *calibrate.CalibrationAge) { a.Since = 3 }, ""},
		{"four since", func(a *calibrate.CalibrationAge) { a.Since = 4 }, "4 applications since the last: after every 4th"},
		{"today", func(a *calibrate.CalibrationAge) { a.Last.Date = "2027-04-05" }, ""},
		{"29 days", func(a *calibrate.CalibrationAge) { a.Last.Date = "2027-03-07" }, ""},
		{"30 days", func(a *calibrate.CalibrationAge) { a.Last.Date = "2027-03-06" }, "30 days old: clean and check once a month"},
		{"365 days", func(a *calibrate.CalibrationAge) { a.Last.Date = "2026-04-05" }, "365 days old: at least once a year"},
		{"no date today", func(a *calibrate.CalibrationAge) { a.Now.Date = "" }, "date-unreadable"},
		{"no such last day", func(a *calibrate.CalibrationAge) { a.Last.Date = "2027-02-30" }, "date-unreadable"},
		{"neither", func(a *calibrate.CalibrationAge) { a.Now.Date, a.Last.Date = "x", "y" }, "date-unreadable date-unreadable"},
		{"tomorrow", func(a *calibrate.CalibrationAge) { a.Last.Date = "2027-04-06" }, "date-order"},
		{"fewer than none", func(a *calibrate.CalibrationAge) { a.Since = -1 }, "count-negative"},
	} {
		a := good()
		c.spoil(&a)
		r, ps := a.Due("here")
		got := codes(t, c.name, ps)
		for _, why := range r.Reasons {
			got += why.Text
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q", c.name, got, c.want)
		}
	}
}

// What a method's entries are refused for, one at a time, and what just passes.
func TestEdges(t *testing.T) {
	inch, foot, psi := unit.Inch, unit.Foot, unit.PSI
	boom := func(spoil func(*calibrate.Boom)) func() problem.List {
		b := calibrate.Boom{Spacing: 20 * inch, Catches: ounces(20, 20, 20), CatchTime: 30, Course: 200 * foot, Runs: []unit.Time{34, 34, 34}}
		spoil(&b)
		return func() problem.List { _, ps := b.Result("here"); return ps }
	}
	ride := func(spoil func(*calibrate.RideOn)) func() problem.List {
		o := calibrate.RideOn{Wetted: 30 * foot, Catches: ounces(240), CatchTime: 30, Speed: 4 * unit.MilePerHour}
		spoil(&o)
		return func() problem.List { _, ps := o.Result("here"); return ps }
	}
	gun := func(spoil func(*calibrate.Catch)) func() problem.List {
		c := calibrate.Catch{Course: 143 * foot, Spacing: 7 * foot, Runs: []unit.Time{33, 33, 33}, Caught: 2.1 * unit.Gallon}
		spoil(&c)
		return func() problem.List { _, ps := c.Outcome("here"); return ps }
	}
	hose := func(spoil func(*calibrate.HoseEnd)) func() problem.List {
		h := calibrate.HoseEnd{Area: 500 * unit.SquareFoot, Draws: []calibrate.Draw{{8 * unit.FluidOunce, 0, 60}, {8 * unit.FluidOunce, 0, 60}}}
		spoil(&h)
		return func() problem.List { _, ps := h.Result("here"); return ps }
	}
	advice := func(spoil func(*calibrate.RateAdvice)) func() problem.List {
		a := calibrate.RateAdvice{Rate: 2 * unit.GallonPerThousand, Wanted: 2 * unit.GallonPerThousand, Course: 88 * foot, Time: 20, Spacing: 7 * foot} // 3 mph
		spoil(&a)
		return func() problem.List { _, ps := a.Result("here"); return ps }
	}
	for name, c := range map[string]struct {
		run  func() problem.List
		want string
	}{
		"nozzles 6 in apart":             {boom(func(b *calibrate.Boom) { b.Spacing = 6 * inch }), ""},
		"nozzles 3 in apart":             {boom(func(b *calibrate.Boom) { b.Spacing = 3 * inch }), "absurd"},
		"nozzles 70 ft apart":            {boom(func(b *calibrate.Boom) { b.Spacing = 70 * foot }), "absurd"},
		"a boom of 63 ft":                {boom(func(b *calibrate.Boom) { b.Spacing = 21 * foot }), "absurd"},
		"a new nozzle gives 10 % less":   {boom(func(b *calibrate.Boom) { b.NewFlow = (20 * unit.FluidOunce / 1.1).During(30) }), ""},
		"a new nozzle gives 12 % less":   {boom(func(b *calibrate.Boom) { b.NewFlow = (20 * unit.FluidOunce / 1.12).During(30) }), "nozzle-worn nozzle-worn nozzle-worn"},
		"70 ft wetted":                   {ride(func(o *calibrate.RideOn) { o.Wetted = 70 * foot }), "absurd"},
		"all of it counts":               {ride(func(o *calibrate.RideOn) { o.Share = 1 }), ""},
		"more than all counts":           {ride(func(o *calibrate.RideOn) { o.Share = 1.05 }), "share-bad"},
		"less than none counts":          {ride(func(o *calibrate.RideOn) { o.Share = -0.5 }), "share-bad"},
		"light":                          {gun(func(c *calibrate.Catch) { c.Setup.Density = 4.9 * unit.PoundPerGallon }), "absurd"},
		"heavy":                          {gun(func(c *calibrate.Catch) { c.Use.Density = 17.1 * unit.PoundPerGallon }), "absurd"},
		"as light as may be":             {gun(func(c *calibrate.Catch) { c.Setup.Density = 5 * unit.PoundPerGallon }), ""},
		"the same product":               {gun(func(c *calibrate.Catch) { c.Setup.Product, c.Use.Product = "feed", "feed" }), ""},
		"another, not weighed":           {gun(func(c *calibrate.Catch) { c.Use.Product = "feed" }), "density-unknown"},
		"caught a product":               {gun(func(c *calibrate.Catch) { c.Setup.Product, c.Use.Density = "feed", 9*unit.PoundPerGallon }), "density-unknown"},
		"pressure in one place":          {gun(func(c *calibrate.Catch) { c.Pressure = 40 * psi }), ""},
		"the same in two":                {gun(func(c *calibrate.Catch) { c.Pressure, c.Setup.Pressure = 40*psi, 40*psi }), ""},
		"not the same":                   {gun(func(c *calibrate.Catch) { c.Pressure, c.Setup.Pressure = 40*psi, 41*psi }), "pressure-twice"},
		"passes twice as wide as thrown": {gun(func(c *calibrate.Catch) { c.Setup.Thrown = 3.5 * foot }), "spacing-over-thrown"},
		"passes as wide as thrown":       {gun(func(c *calibrate.Catch) { c.Setup.Thrown = 7 * foot }), "spacing-is-thrown"},
		"94 % of the throw":              {gun(func(c *calibrate.Catch) { c.Setup.Thrown = 7.45 * foot }), ""},
		"pump gives 10 % less":           {gun(func(c *calibrate.Catch) { c.Setup.PumpFlow = (2.1 * unit.Gallon / 1.1).During(33) }), ""},
		"pump gives 12 % less":           {gun(func(c *calibrate.Catch) { c.Setup.PumpFlow = (2.1 * unit.Gallon / 1.12).During(33) }), "over-pump"},
		"runs range over 10 %":           {gun(func(c *calibrate.Catch) { c.Runs = []unit.Time{20, 21, 19} }), ""},
		"runs range over 12 %":           {gun(func(c *calibrate.Catch) { c.Runs = []unit.Time{20, 21.2, 18.8} }), "pace-uneven"},
		"hose-end":                       {hose(func(*calibrate.HoseEnd) {}), ""},
		"a bucket without a time":        {hose(func(h *calibrate.HoseEnd) { h.Bucket = unit.Gallon }), "bucket-half"},
		"a time without a bucket":        {hose(func(h *calibrate.HoseEnd) { h.BucketTime = 60 }), "bucket-half"},
		"6 gal of product":               {hose(func(h *calibrate.HoseEnd) { h.Draws[0].Start, h.Draws[1].Start = 3*unit.Gallon, 3*unit.Gallon }), "absurd"},
		"less than an empty can":         {hose(func(h *calibrate.HoseEnd) { h.Draws[1].End = -1 }), "catch-zero"},
		"uneven draws":                   {hose(func(h *calibrate.HoseEnd) { h.Draws[1].End = unit.FluidOunce }), "catches-uneven"},
		"advice":                         {advice(func(*calibrate.RateAdvice) {}), ""},
		"a crawl":                        {advice(func(a *calibrate.RateAdvice) { a.Time = 250 }), "absurd"},
		"a race":                         {advice(func(a *calibrate.RateAdvice) { a.Time = 5.5 }), "absurd"},
		"too much for the pace":          {advice(func(a *calibrate.RateAdvice) { a.Wanted *= 2.1 }), "only-nozzle"},
		"the pace just reaches":          {advice(func(a *calibrate.RateAdvice) { a.Wanted *= 2 }), ""},
		"too little for the pace":        {advice(func(a *calibrate.RateAdvice) { a.Wanted /= 1.6 }), "only-nozzle"},
		"the pressure reaches":           {advice(func(a *calibrate.RateAdvice) { a.Time, a.Wanted, a.Setup.Pressure = 38, a.Wanted*1.1, 40*psi }), ""},
		"neither reaches":                {advice(func(a *calibrate.RateAdvice) { a.Wanted, a.Setup.Pressure = a.Wanted*2.1, 40*psi }), "only-nozzle"},
		"only the pace reaches":          {advice(func(a *calibrate.RateAdvice) { a.Wanted, a.Setup.Pressure = a.Wanted*1.5, 40*psi }), ""},
		"ridden at 8 mph":                {advice(func(a *calibrate.RateAdvice) { a.Ridden, a.Wanted = true, a.Wanted*3/8 }), ""},
	} {
		if got := codes(t, name, c.run()); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
	}
}

// vialRow is a pan test with these depths in inches, 2 ft apart, the middle one on the line.
func vialRow(depths ...float64) calibrate.PanTest {
	p := calibrate.PanTest{Passes: 3}
	for i, d := range depths {
		p.Pans = append(p.Pans, calibrate.Pan{At: unit.Length(2*(i-len(depths)/2)) * unit.Foot, Depth: unit.Length(d) * unit.Inch})
	}
	return p
}

func TestPatternEdges(t *testing.T) {
	even := []float64{0.2, 1, 3, 4, 3, 1, 0.2}
	for name, c := range map[string]struct {
		test func() calibrate.PanTest
		want string
	}{
		"even":               {func() calibrate.PanTest { return vialRow(even...) }, ""},
		"50 passes":          {func() calibrate.PanTest { p := vialRow(even...); p.Passes = 50; return p }, ""},
		"51 passes":          {func() calibrate.PanTest { p := vialRow(even...); p.Passes = 51; return p }, "absurd"},
		"pans of 25 sq ft":   {func() calibrate.PanTest { p := vialRow(even...); p.PanArea = 25 * unit.SquareFoot; return p }, ""},
		"pans of 26 sq ft":   {func() calibrate.PanTest { p := vialRow(even...); p.PanArea = 26 * unit.SquareFoot; return p }, "absurd"},
		"pans of nothing":    {func() calibrate.PanTest { p := vialRow(even...); p.PanArea = -1; return p }, "absurd"},
		"walked 61 ft apart": {func() calibrate.PanTest { p := vialRow(even...); p.Spacing = 61 * unit.Foot; return p }, "absurd"},
		"walked 5 in apart":  {func() calibrate.PanTest { p := vialRow(even...); p.Spacing = 5 * unit.Inch; return p }, "absurd"},
		"heavy left":         {func() calibrate.PanTest { return vialRow(0.4, 2, 3.6, 4, 2.6, 1, 0.2) }, "pattern-skewed"},
		"heavy right":        {func() calibrate.PanTest { return vialRow(0.2, 1, 2.6, 4, 3.6, 2, 0.4) }, "pattern-skewed"},
		"rises again, left":  {func() calibrate.PanTest { return vialRow(0.2, 2.4, 1.9, 4, 3, 1.4, 0.2) }, "pattern-uneven"},
		"rises again, right": {func() calibrate.PanTest { return vialRow(0.2, 1.4, 3, 4, 1.9, 2.4, 0.2) }, "pattern-uneven"},
		"still full, left":   {func() calibrate.PanTest { return vialRow(3, 3, 3, 4, 3, 1, 0.2) }, "row-too-short"},
		"still full, right":  {func() calibrate.PanTest { return vialRow(0.2, 1, 3, 4, 3, 3, 3) }, "row-too-short"},
		"cut off":            {func() calibrate.PanTest { return vialRow(0.5, 1, 3, 4, 3, 1, 0.3) }, "row-cut-off"},
		"an endless depth":   {func() calibrate.PanTest { p := vialRow(even...); p.Pans[2].Depth = unit.Length(math.Inf(1)); return p }, "weight-negative"},
		"a depth below zero": {func() calibrate.PanTest { p := vialRow(even...); p.Pans[2].Depth = -1; return p }, "weight-negative"},
		"a pan at the moon":  {func() calibrate.PanTest { p := vialRow(even...); p.Pans[6].At = 61 * unit.Foot; return p }, "absurd"},
		"a pan at the other": {func() calibrate.PanTest { p := vialRow(even...); p.Pans[0].At = -61 * unit.Foot; return p }, "absurd"},
		"a gap in the middle": {func() calibrate.PanTest {
			p := vialRow(even...)
			p.Pans = append(p.Pans[:3:3], p.Pans[4:]...)
			for i := range p.Pans { // 9, 7, 5 and 5, 7, 9 ft: 10 ft without a pan
				p.Pans[i].At = []unit.Length{-9, -7, -5, 5, 7, 9}[i] * unit.Foot
			}
			return p
		}, "no-centre-pan"},
	} {
		r, ps := c.test().Result("here")
		if got := codes(t, name, ps); got != c.want {
			t.Errorf("%s: got %q, want %q", name, got, c.want)
		}
		if r.Rate != 0 {
			t.Errorf("%s: a rate of %v from depths", name, r.Rate)
		}
	}
	left, _ := vialRow(0.4, 2, 3.6, 4, 2.6, 1, 0.2).Result("here")
	right, _ := vialRow(0.2, 1, 2.6, 4, 3.6, 2, 0.4).Result("here")
	if want := 6 / 9.8; left.Skew != calibrate.PatternLeft || right.Skew != calibrate.PatternRight || math.Abs(left.LeftShare-want) > 1e-12 || math.Abs(right.LeftShare-(1-want)) > 1e-12 {
		t.Errorf("got %s %v and %s %v, want a left share of %v and its rest", left.Skew, left.LeftShare, right.Skew, right.LeftShare, want)
	}
}

// By hand: the setting on the scale, at its ends and where no step lies between.
func TestOnScale(t *testing.T) {
	rate := unit.PoundPerThousand
	at := func(low, high float64, wanted unit.MassPerArea, step float64) calibrate.SettingResult {
		r, _ := calibrate.SettingSearch{Tried: []calibrate.SettingTrial{{Setting: low, Rate: 3 * rate}, {Setting: high, Rate: 5 * rate}}, Wanted: wanted, Step: step}.Result("here")
		return r
	}
	for _, c := range []struct {
		low, high    float64
		wanted       unit.MassPerArea
		step, expect float64
	}{
		{2, 4, 4 * rate, 0.25, 3}, {2, 4, 3 * rate, 0.25, 2}, {2, 4, 5 * rate, 0.25, 4}, {2, 4, 3.3 * rate, 0.25, 2.25},
		{2.1, 3.9, 4.98 * rate, 0.5, 3.5}, {2.1, 3.9, 3.02 * rate, 0.5, 2.5}, {2.1, 2.4, 4 * rate, 0.5, 2.25}, {2, 4, 4 * rate, 0, 3},
	} {
		if r := at(c.low, c.high, c.wanted, c.step); math.Abs(r.Setting-c.expect) > 1e-12 {
			t.Errorf("%g to %g, %v by steps of %g: got %v, want %v", c.low, c.high, c.wanted, c.step, r.Setting, c.expect)
		}
	}
}

func TestMoreEdges(t *testing.T) {
	gun := calibrate.Catch{Course: 143 * unit.Foot, Spacing: 7 * unit.Foot, Runs: []unit.Time{33, 33, 33}, Caught: 2.1 * unit.Gallon}
	gun.Setup.Product, gun.Setup.Density, gun.Use.Density = "feed", 9*unit.PoundPerGallon, 9*unit.PoundPerGallon
	if r, ps := gun.Outcome("here"); len(ps) > 0 || r.Factor != 1 {
		t.Errorf("the product itself was caught: %v, factor %v", ps, r.Factor)
	}
	weighed := vialRow(0.2, 1, 3, 4, 3, 1, 0.2)
	for i, p := range weighed.Pans {
		weighed.Pans[i].Depth, weighed.Pans[i].Weight = 0, unit.Mass(p.Depth)
	}
	if r, ps := weighed.Result("here"); len(ps) > 0 || r.Rate != 0 {
		t.Errorf("weights without an area: a rate of %v, %v", r.Rate, ps)
	}
	weighed.Pans[1].Weight = -1
	if _, ps := weighed.Result("here"); codes(t, "below zero", ps) != "weight-negative" {
		t.Errorf("a weight below zero: %v", ps)
	}
	long := calibrate.PanTest{Passes: 3}
	for i := range 201 {
		long.Pans = append(long.Pans, calibrate.Pan{At: unit.Length(i-100) * unit.Inch, Depth: unit.Inch})
	}
	if _, ps := long.Result("here"); codes(t, "201 pans", ps) != "too-few-pans" {
		t.Errorf("201 pans: %v", ps)
	}
	rate := unit.PoundPerThousand
	search := calibrate.SettingSearch{Tried: []calibrate.SettingTrial{{Setting: 3, Rate: 3 * rate}, {Setting: 1001, Rate: 5 * rate}}, Wanted: 4 * rate}
	if _, ps := search.Result("here"); codes(t, "mark 1001", ps) != "setting-negative" {
		t.Errorf("mark 1001: %v", ps)
	}
}
