package mix

import (
	"fmt"
	"math"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// The water that is in the tank, agitation on, before the first product: half to three quarters (Country Guide, Ontario
// practice).
const (
	leastStart = 0.5
	mostStart  = 0.75
)

// Mark is a reading of the gauge while a tank is filled.
type Mark struct {
	// After is what has just gone in: a product's name, "" for water.
	After string
	Gauge unit.Volume
}

// Filling is one filling of a tank with all that goes in.
type Filling struct {
	Recipe Recipe
	Fill   Fill
	// Before is what is in the tank before: Gauge - Fill. Covers is the turf that Fill.Volume treats.
	Before unit.Volume
	Covers unit.Area
	// Portions are the products in the order of adding; Water is Fill.Fill less the room that they take.
	Portions []Portion
	Water    unit.Volume
	// Marks are the readings in order: the water to begin with, after each product, and the top-up with water to the
	// gauge reading. MostStart is up to where the water to begin with may go.
	Marks     []Mark
	MostStart unit.Volume
}

// Filling works one filling out. The product follows what goes into the tank, so that a part tankful takes the product of its
// own area and never a full tank's. The recipe must have passed Validate. With errors in the list the
// Filling is zero; where is its place for the user, such as "tankful 2".
func (r Recipe) Filling(f Fill, s unit.System, where string) (Filling, problem.List) {
	return r.filling(f, nil, s, where)
}

func (r Recipe) filling(f Fill, more map[string]label.Amount, s unit.System, where string) (Filling, problem.List) {
	var ps problem.List
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	for _, v := range []unit.Volume{f.Volume, f.Fill, f.Gauge} {
		if !unit.Positive(v) {
			ps.Errorf("fill-zero", where, "Give the volume that the filling puts on turf.", "a filling of %s to the mark %s for %s on turf is no filling", s.Volume(f.Fill), s.Volume(f.Gauge), s.Volume(f.Volume))
			break
		}
	}
	if ps.HasErrors() {
		return Filling{}, ps
	}
	g := Filling{Recipe: r, Fill: f, Before: max(f.Gauge-f.Fill, 0), Covers: f.Volume.At(r.Carrier), Portions: r.portions(f.Fill, more, s)}
	ps = r.checkRounded(g.Portions, f.Fill, more, where)
	water := f.Fill
	for _, p := range g.Portions {
		water -= p.Displaces
		if p.Assumed && !p.Amount.IsZero() {
			ps.Notef("displacement-unknown", where, "Enter how much room a weight of "+p.Name+" takes in the tank, or fill to the gauge mark rather than by the water meter.",
				"no density in the tank is entered for %s, so that %s of it is taken to displace no water", p.Name, p.Amount.Text(s))
		}
	}
	if float64(water) < -1e-9*float64(f.Fill) {
		ps.Errorf("no-room-for-water", where, "Raise the carrier rate, or check the units of the rates.", "the products take %s more than the filling of %s", s.Volume(-water), s.Volume(f.Fill))
	}
	if ps.HasErrors() {
		return Filling{}, ps
	}
	g.Water = max(water, 0)
	g.marks()
	return g, ps
}

// marks sets the gauge readings: half the final reading before the first product, less where the products need the
// room, and never under what is in the tank.
func (g *Filling) marks() {
	water := g.Before + g.Water // the reading if all the water went in first
	start := max(min(leastStart*g.Fill.Gauge, water), g.Before)
	g.MostStart = max(min(mostStart*g.Fill.Gauge, water), start)
	g.Marks = []Mark{{Gauge: start}}
	at := start
	for _, p := range g.Portions {
		at += p.Displaces
		g.Marks = append(g.Marks, Mark{After: p.Name, Gauge: at})
	}
	g.Marks = append(g.Marks, Mark{Gauge: g.Fill.Gauge})
}

// Facts are the lines of a filling: what goes in, in order, with the marks.
func (g Filling) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{
		fact("covers", s.Area(g.Covers)),
		fact("fill", s.Volume(g.Fill.Fill)),
		fact("water first, agitation on", "to the mark "+s.Volume(g.Marks[0].Gauge)),
	}
	strengths := g.Recipe.InMix()
	for i, p := range g.Portions {
		fs = append(fs, fact(fmt.Sprintf("%d. %s", i+1, p.Name), fmt.Sprintf("%s; the gauge then shows %s; in the mix %s", p.text(s), s.Volume(g.Marks[i+1].Gauge), strengthText(strengths[i], s))))
	}
	return append(fs,
		fact("top up with water", "to the mark "+s.Volume(g.Fill.Gauge)),
		fact("water in all", s.Volume(g.Water)+", with rinsate of the containers counted in it"),
		fact("order", OrderNote))
}

// leastEffect is the effect of measuring below which it is not printed: 0.05 %, a tenth of a per cent when rounded. The
// amounts themselves, exact and measured, stand in the working.
const leastEffect = 0.0005

// text is what to measure out and what that does to the rate.
func (p Portion) text(s unit.System) string {
	t := p.Amount.Text(s)
	if p.Marks > 0 {
		t += fmt.Sprintf(", %d x %s", p.Marks, measureText(p.Measure, s))
	}
	if math.Abs(p.Effect) >= leastEffect {
		t += " (" + percentText(p.Effect) + " on the rate)"
	}
	return t
}

// Working shows the area, each product and the water of the filling.
func (g Filling) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	w.Add("covered by this filling", working.Of("on turf", g.Fill.Volume, u.Mix).Over(working.Of("carrier rate", g.Recipe.Carrier, u.Carrier)), g.Covers, u.Area, s.Area(g.Covers))
	if g.Before > 0 {
		w.Add("fill", working.Of("gauge reading", g.Fill.Gauge, u.Mix).Minus(working.Of("in the tank", g.Before, u.Mix)), g.Fill.Gauge-g.Before, u.Mix, s.Volume(g.Fill.Fill))
	}
	for _, p := range g.Portions {
		g.portionSteps(&w, p, s)
	}
	g.waterSteps(&w, s)
	return w
}

// portionSteps show what is wanted of one product and what is measured.
func (g Filling) portionSteps(w *working.Working, p Portion, s unit.System) {
	u := working.UnitsOf(s)
	part := g.Recipe.Parts[g.Recipe.index(p.Name)]
	form := part.Product.Form
	wanted := part.Rate.Over(g.Fill.Fill.At(g.Recipe.Carrier))
	if figure(wanted, form) == 0 {
		return
	}

	notes := []string{"From the exact figures, not from the rounded area: each product is rounded once."}
	e := working.Of("fill", g.Fill.Fill, u.Mix).Over(working.Of("carrier rate", g.Recipe.Carrier, u.Carrier)).Times(ofRate("product rate", part.Rate, form, s))
	if near(wanted, p.Exact) {
		addAmount(w, p.Name, e, wanted, form, s, p.Amount.Text(s), append(notes, p.measuring(s)...)...)
	} else {
		w.Say(p.Name, p.Amount.Text(s), append([]string{p.Exact.Text(s) + " to add, as worked out from what is in the tank before."}, p.measuring(s)...)...)
	}
	if figure(p.Amount, form) > 0 && figure(p.Exact, form) > 0 && math.Abs(p.Effect) >= leastEffect {
		w.AddPercent(p.Name+", measured of exact", ofAmount("measured", p.Amount, form, s).Over(ofAmount("exact", p.Exact, form, s)),
			ratio(p.Amount, p.Exact), percentText(p.Effect)+" on the rate")
	}
}

// measuring says how the amount was rounded.
func (p Portion) measuring(s unit.System) (notes []string) {
	switch {
	case p.Marks > 0 && p.Lowered:
		notes = append(notes, fmt.Sprintf("%d marks of %s; rounded down, because nearest would pass the label's most.", p.Marks, measureText(p.Measure, s)))
	case p.Marks > 0:
		notes = append(notes, fmt.Sprintf("%d marks of %s, the nearest.", p.Marks, measureText(p.Measure, s)))
	case p.Lowered:
		notes = append(notes, "Rounded down, because nearest would pass the label's most.")
	}
	return notes
}

// waterSteps show the room that products take, the water, and the marks.
func (g Filling) waterSteps(w *working.Working, s unit.System) {
	u := working.UnitsOf(s)
	e := working.Of("fill", g.Fill.Fill, u.Mix)
	var notes []string
	for _, p := range g.Portions {
		switch part := g.Recipe.Parts[g.Recipe.index(p.Name)]; {
		case p.Assumed && !p.Amount.IsZero():
			notes = append(notes, p.Name+" is taken to displace no water: no density in the tank is entered.")
		case p.Displaces == 0:
		case part.Product.Form.Weighed():
			w.Add("room of "+p.Name, working.Of(p.Name, p.Amount.Dry, u.Mass).Over(working.Of("density in the tank", part.Product.InTank, u.Density)), p.Displaces, u.Mix, "")
			e = e.Minus(working.Of("room of "+p.Name, p.Displaces, u.Mix))
		default:
			e = e.Minus(working.Of(p.Name, p.Displaces, u.Liquid))
		}
	}
	if g.Water > 0 {
		w.Add("water", e, g.Water, u.Mix, s.Volume(g.Water), notes...)
	}
	w.Say("water to begin with", "to the mark "+s.Volume(g.Marks[0].Gauge),
		"Half of the final reading, agitation on, before the first product; less where the products need the room.",
		"Up to "+s.Volume(g.MostStart)+", three quarters, is usual too; the marks after it then lie as much higher.")
}

// Stop is one lawn of a day: its name and its net turf.
type Stop struct {
	Name string
	Area unit.Area
}

// StopShare is what one stop takes of a mix: the volume as planned and printed, and the product in it.
type StopShare struct {
	Recipe   Recipe
	Stop     Stop
	Mix      unit.Volume // printed area x carrier rate, in whole steps
	Products []Share
}

// Share is a product in a volume of mix; nothing is measured out of it, so it is not rounded.
type Share struct {
	Name   string
	Amount label.Amount
}

// Stops works out what each stop takes. A stop's mix is its printed area times the carrier rate, rounded as the gauge is
// read; its product is what that mix holds, so that stops add up to the fillings. An area that is no area is an error.
func (r Recipe) Stops(stops []Stop, s unit.System, where string) ([]StopShare, problem.List) {
	var ps problem.List
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	for i, st := range stops {
		sized(&ps, float64(st.Area), "area-zero", where, "Give the net turf of the stop with its unit, such as 5,230 sq ft.", "stop %d (%s) has %s of turf", i+1, st.Name, s.Area(st.Area))
	}
	if ps.HasErrors() {
		return nil, ps
	}
	var out []StopShare
	for i, st := range stops {
		sh := StopShare{Recipe: r, Stop: st, Mix: s.RoundVolume(r.Carrier.Over(s.RoundArea(st.Area)))}
		if sh.Mix == 0 {
			ps.Errorf("volume-zero", where, "Leave the stop out, or treat it with a smaller tank.", "stop %d (%s) takes less mix than the gauge shows", i+1, st.Name)
			continue
		}
		sh.Products = r.held(sh.Mix)
		out = append(out, sh)
	}
	if ps.HasErrors() {
		return nil, ps
	}
	return out, ps
}

// held is what v of the mix holds of each product, in the order of adding.
func (r Recipe) held(v unit.Volume) (shares []Share) {
	for _, p := range r.Ordered() {
		shares = append(shares, Share{p.Product.Name, p.Rate.Over(v.At(r.Carrier))})
	}
	return shares
}

// Facts are the stop's mix and what is in it.
func (h StopShare) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact(h.Stop.Name, s.Area(h.Stop.Area)), fact("mix", s.Volume(h.Mix))}
	for _, p := range h.Products {
		fs = append(fs, fact(p.Name, p.Amount.Text(s)))
	}
	return fs
}

// Working shows the stop's mix and the product in it.
func (h StopShare) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	area := s.RoundArea(h.Stop.Area)
	w.Add("mix for "+h.Stop.Name, working.Of("turf", area, u.Area).Times(working.Of("carrier rate", h.Recipe.Carrier, u.Carrier)), h.Recipe.Carrier.Over(area), u.Mix, s.Volume(h.Mix))
	h.Recipe.heldSteps(&w, "mix", h.Mix, s)
	return w
}

// heldSteps show what a volume of the mix holds of each product.
func (r Recipe) heldSteps(w *working.Working, name string, v unit.Volume, s unit.System) {
	u := working.UnitsOf(s)
	for _, p := range r.Ordered() {
		amount := p.Rate.Over(v.At(r.Carrier))
		e := working.Of(name, v, u.Mix).Over(working.Of("carrier rate", r.Carrier, u.Carrier)).Times(ofRate("product rate", p.Rate, p.Product.Form, s))
		addAmount(w, p.Product.Name, e, amount, p.Product.Form, s, amount.Text(s))
	}
}
