package calibrate

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// HoseEnd is the test of a hose-end sprayer: a known area is sprayed, and the container says how
// much product went on it.
type HoseEnd struct {
	Setup Setup
	Use   Use
	Area  unit.Area
	// Draws are the sprayings of the area.
	Draws []Draw
	// Bucket is the spray caught in a bucket in BucketTime, 0 when not caught: it gives the flow,
	// and with the time on the area the carrier rate.
	Bucket     unit.Volume
	BucketTime unit.Time
	// Wanted is the product rate wanted, 0 when none is. (Use.Wanted is a carrier rate.)
	Wanted unit.VolumePerArea
}

// Draw is one spraying of the area: what was in the container before and after, and the time.
type Draw struct {
	Start, End unit.Volume
	Took       unit.Time
}

// HoseEndResult is what the test says. CarrierRate and Flow are 0 without a bucket; Catches are
// the amounts drawn.
type HoseEndResult struct {
	Result
	Used    unit.Volume        `json:"used_l"` // product, mean
	Product unit.VolumePerArea `json:"product_l_per_m2"`
	// Strength is product in spray, 0 without a bucket.
	Strength unit.VolumePerVolume `json:"strength_l_per_l,omitempty"`
	Test     HoseEnd              `json:"-"`
}

// Result works the test out: product rate = amount drawn / area; flow = bucket / its time; carrier
// rate = flow x time on the area / area (Hose-end Sprayer Calibration (turf), Pesticide Environmental
// Stewardship, n.d.). When the list has errors the result is zero.
func (h HoseEnd) Result(where string) (HoseEndResult, problem.List) {
	ps := h.entries(where)
	if ps.HasErrors() {
		return HoseEndResult{}, ps
	}
	r := HoseEndResult{Test: h}
	r.Area = h.Area
	r.Used, r.Catches = statsOf(h.used())
	r.Mean, r.Times = statsOf(h.times())
	r.Spread = r.Times.Spread
	r.Product = r.Used.Per(h.Area)
	ps = append(ps, r.doubts(where)...)
	if h.Bucket != 0 && !ps.HasErrors() {
		r.Flow = h.Bucket.During(h.BucketTime)
		r.CarrierRate = r.Flow.For(r.Mean).Per(r.Area)
		r.Within = r.Times.Half // the carrier hangs on the times; Catches.Half is of the product
		r.Strength = r.Used.PerVolume(r.Flow.For(r.Mean))
		ps = append(ps, r.finish(h.Setup, h.Use, where)...)
		if r.Strength > unit.LitrePerLitre {
			ps.Errorf("absurd", where, "Check the amounts in the container and the bucket with their units.", "%s of product in %s of spray", caughtText(unit.US, r.Used), caughtText(unit.US, r.Flow.For(r.Mean)))
		}
	}
	if ps.HasErrors() {
		return HoseEndResult{}, ps
	}
	return r, ps
}

func (h HoseEnd) used() (vs []unit.Volume) {
	for _, d := range h.Draws {
		vs = append(vs, d.Start-d.End)
	}
	return vs
}

func (h HoseEnd) times() (ts []unit.Time) {
	for _, d := range h.Draws {
		ts = append(ts, d.Took)
	}
	return ts
}

func (h HoseEnd) entries(where string) (ps problem.List) {
	if !unit.Positive(h.Area) {
		ps.Errorf("area-zero", where, "Enter the area sprayed with its unit, such as 250 sq ft.", "the area is %s", unit.US.Area(h.Area))
	}
	if len(h.Draws) == 0 {
		ps.Errorf("no-trials", where, "Enter what was in the container before and after, and the time.", "no spraying is given")
	}
	for i, d := range h.Draws {
		switch {
		case !unit.Positive(d.Start) || !(d.End >= 0):
			ps.Errorf("catch-zero", where, "Enter what was in the container before and after, such as 16 fl oz and 10 fl oz.",
				"spraying %d begins with %s and ends with %s", i+1, unit.US.Liquid(d.Start), unit.US.Liquid(d.End))
		case d.End >= d.Start:
			ps.Errorf("nothing-used", where, "Check which amount was before and which after; when they are right, clean the siphon.",
				"spraying %d begins with %s and ends with %s", i+1, unit.US.Liquid(d.Start), unit.US.Liquid(d.End))
		}
		if !unit.Positive(d.Took) {
			ps.Errorf("run-zero", where, "Enter the time of every spraying, such as 40 s.", "spraying %d took %s", i+1, secondsText(d.Took))
		}
	}
	if (h.Bucket != 0 || h.BucketTime != 0) && !(unit.Positive(h.Bucket) && unit.Positive(h.BucketTime)) {
		ps.Errorf("bucket-half", where, "Enter what the bucket caught and in which time, or neither.", "the bucket caught %s in %s", caughtText(unit.US, h.Bucket), secondsText(h.BucketTime))
	}
	if h.Wanted != 0 && !unit.Positive(h.Wanted) {
		ps.Errorf("wanted-negative", where, "Enter the product rate that is wanted, such as 3 fl oz/1000 sq ft, or leave it out.", "the wanted product rate is %s", unit.US.LiquidRate(h.Wanted))
	}
	return append(ps, append(h.Setup.check(where), h.Use.check(where)...)...)
}

// mostProduct is the most product that is put on turf; more is a slip of units (common practice, no source).
const mostProduct = 5 * unit.GallonPerThousand

// doubts finds what the product says.
func (r HoseEndResult) doubts(where string) (ps problem.List) {
	if !(r.Product <= mostProduct) || !unit.Positive(r.Product) {
		ps.Errorf("absurd", where, "Check the amounts in the container, the area and their units.",
			"a product rate of %s (%s) is not over 0 to 5 gal/1000 sq ft", unit.US.LiquidRate(r.Product), unit.Metric.LiquidRate(r.Product))
		return ps
	}
	if r.Catches.N == 1 {
		ps.Notef("one-trial", where, "Spray the area at least three times to know how well it repeats.", "one spraying is given")
	}
	if r.Catches.Spread > MostSpread+adviceNoise && r.Test.Bucket == 0 {
		ps.Warnf("catches-uneven", where, "Check the water pressure and the siphon, then spray at least three times again.",
			"the amounts drawn range over %s of their mean; up to %s is even", percent(r.Catches.Spread), wholePercent(MostSpread))
	}
	if r.Test.Wanted == 0 {
		return ps
	}
	off := offBy(r.Product, r.Test.Wanted)
	what := fmt.Sprintf("the product rate of %s is %s the wanted %s", unit.US.LiquidRate(r.Product), offText(off), unit.US.LiquidRate(r.Test.Wanted))
	switch JudgeRate(off) {
	case RateToAdjust:
		ps.Warnf("product-off", where, "Change the dial, the pace or the strength in the container, and spray again.", "%s; up to %s is accepted", what, wholePercent(AcceptShare))
	case RateRefused:
		ps.Warnf("product-far-off", where, "Treat no lawn with it: change the dial, the pace or the strength in the container, and spray again.", "%s; up to %s is accepted", what, wholePercent(AcceptShare))
	}
	return ps
}

// Facts are the printed lines.
func (r HoseEndResult) Facts(u unit.System) []working.Fact {
	h := r.Test
	sure := ""
	if r.Catches.Half > 0 {
		sure = ", within " + percent(r.Catches.Half) + " at 95 %"
	}
	first := []working.Fact{{Name: "product rate", Text: u.LiquidRate(r.Product) + sure}}
	if h.Wanted != 0 {
		off := offBy(r.Product, h.Wanted)
		first = append(first, working.Fact{Name: "wanted product", Text: u.LiquidRate(h.Wanted) + "; this is " + offText(off)}, working.Fact{Name: "judgement of the product", Text: JudgeRate(off).Text()})
	}
	method := []working.Fact{
		{Name: "ground", Text: u.Area(h.Area)},
		{Name: "drawn", Text: catchesText(u, h.used(), r.Catches)},
		{Name: "time", Text: timesText(h.times(), r.Mean, r.Times)},
	}
	if r.Strength != 0 {
		method = append(method, working.Fact{Name: "bucket", Text: caughtText(u, h.Bucket) + " in " + secondsText(h.BucketTime)}, working.Fact{Name: "strength", Text: r.strengthText(u)})
	}
	return append(first, r.facts(u, h.Setup, h.Use, method...)...)
}

func (r HoseEndResult) strengthText(u unit.System) string {
	if u == unit.Metric {
		return unit.Number(r.Strength.In(unit.PercentByVolume), 2) + " % of the spray is product"
	}
	return unit.Number(r.Strength.In(unit.FluidOuncePerGallon), 2) + " fl oz of product in a gallon of spray"
}

// Working shows how the rates were come by.
func (r HoseEndResult) Working(u unit.System) (w working.Working) {
	h, in := r.Test, working.UnitsOf(u)
	volume := volumeUnit(u, r.Used)
	var drawn []working.Expr
	for i, d := range h.Draws {
		name := fmt.Sprintf("drawn %d", i+1)
		if d.End != 0 {
			w.Add(name, working.Of("before", d.Start, volume).Minus(working.Of("after", d.End, volume)), d.Start-d.End, volume, "")
		}
		drawn = append(drawn, working.Of(name, d.Start-d.End, volume))
	}
	used := drawn[0]
	if len(drawn) > 1 {
		w.Add("mean drawn", working.Mean("the amounts drawn", drawn...), r.Used, volume, "")
		used = working.Of("mean drawn", r.Used, volume)
	}
	area := working.Of("area", h.Area, in.Area)
	productIn := in.LiquidRate
	w.Add("product rate", used.Over(area), r.Product, productIn, u.LiquidRate(r.Product))
	workStats(&w, "amount drawn", h.used(), volume, volumeOne(u, r.Used))
	if h.Wanted != 0 {
		sayJudgement(&w, working.Of("product rate", r.Product, productIn), working.Of("wanted product rate", h.Wanted, productIn), offBy(r.Product, h.Wanted))
	}
	if r.Strength == 0 {
		return w
	}
	took := workMean(&w, "mean time", "time on the area", "times", h.times(), r.Mean, "s")
	bucket := working.Of("bucket", h.Bucket, volumeUnit(u, h.Bucket))
	w.Add("flow", bucket.Over(working.Of("time of the bucket", h.BucketTime, "s")), r.Flow, in.Flow, "")
	flow := working.Of("flow", r.Flow, in.Flow)
	w.Add("carrier rate", flow.Times(took).Over(area), r.CarrierRate, in.Carrier, u.CarrierRate(r.CarrierRate), "That is "+rateText(u, r.CarrierRate)+".")
	w.Add("strength of the spray", used.Over(flow.Times(took)), r.Strength, "% v/v", "")
	workStats(&w, "time", h.times(), "s", unit.Second)
	r.workEnd(&w, u, h.Setup, h.Use)
	return w
}

// Procedure is how the test is made.
func (h HoseEnd) Procedure(u unit.System) []string {
	area, container := "250 sq ft, 10 by 25 ft", "16 fl oz"
	if u == unit.Metric {
		area, container = "25 m2, 5 by 5 m", "500 mL"
	}
	if unit.Positive(h.Area) {
		area = u.Area(h.Area)
	}
	return numbered(
		"Fill the container with a known amount of water, such as "+container+", and set the dial as for the product. Use the tap and the hose of the job: the pressure of the water decides.",
		"Measure out an area: "+area+".",
		"Spray it evenly, as a lawn, and time it. Measure what is left in the container. Do it at least three times.",
		"Catch the spray in a bucket for a measured time, to know how much water goes on.",
		"Product rate = amount drawn / area. Carrier rate = flow x time / area.",
		"Thick products draw slower than water: test again with the product itself.",
	)
}
