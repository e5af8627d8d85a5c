package mix

import (
	"fmt"
	"maps"
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Held is what is in a tank before its first filling: nothing, water, the same mix, or another. It is product too.
type Held struct {
	Volume unit.Volume
	// Name is what the user calls the mix; Mix is its recipe. A mix without parts is water.
	Name string
	Mix  Recipe
}

// Ground is what a filling puts on the turf that it covers.
type Ground struct {
	Product label.Product
	// Amount is what goes on, of the filling and of what was in the tank before it; Rate is that on the turf covered.
	Amount label.Amount
	Rate   label.Rate
	// Foreign says that the recipe does not have the product: it comes from the mix that was held.
	Foreign bool
}

// Balance is one product over a run: Had + In = OnGround + Left.
type Balance struct {
	Product  label.Product
	Had      label.Amount // in the tank before the first filling
	In       label.Amount // measured out into all fillings
	OnGround label.Amount
	Left     label.Amount // in the heel, and in what was mixed too much
}

// Run is the fillings of one tank with one mix from first to last.
type Run struct {
	Recipe   Recipe
	Tank     Tank
	Held     Held
	Need     unit.Volume
	Fillings []Filling
	// Ground is what each filling puts on its turf, the recipe's products in the order of adding, then foreign ones by name.
	Ground [][]Ground
	// Ends is what is in the tank after the last filling: the heel, and Extra, what was mixed too much.
	Ends, Extra unit.Volume
	Balance     []Balance
}

// Run plans the fillings that put need on turf from a tank in which held stands. The first filling brings the heel too, and
// a later one comes on top of it. A tank with Marks is filled to its marks.
//
// What is held counts: of the recipe's products the first filling takes so much less (or more, after water), and
// other products go onto the first turf. Those are a warning with their amounts; an error where a label keeps them
// apart or its most is passed. With errors the Run is zero.
func (r Recipe) Run(need unit.Volume, t Tank, held Held, s unit.System, where string) (Run, problem.List) {
	run := Run{Recipe: r, Tank: t, Held: held, Need: need}
	ps := held.validate(s, where)
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	var fills []Fill
	var found problem.List
	if t.Marks != 0 {
		fills, run.Extra, found = AtMarks(need, t, s)
	} else {
		fills, found = Tankfuls(need, t, s)
	}
	if ps = append(ps, found...); ps.HasErrors() {
		return Run{}, ps
	}
	ps = append(ps, run.begin(fills, s, where)...)
	if ps.HasErrors() {
		return Run{}, ps
	}
	had := run.Held.products() // as the gauge is read
	var more map[string]label.Amount
	if held.Volume > 0 {
		more = r.short(run.Held.Volume, had)
	}
	for i, f := range fills {
		at := fmt.Sprintf("%s, tankful %d", where, i+1)
		if where == "" {
			at = fmt.Sprintf("tankful %d", i+1)
		}
		g, found := r.filling(f, more, s, at)
		for _, p := range found {
			if i == 0 || p.Code != "displacement-unknown" { // once is enough
				ps = append(ps, p)
			}
		}
		run.Fillings, more = append(run.Fillings, g), nil
	}
	if ps.HasErrors() {
		return Run{}, ps
	}
	run.trace(had)
	ps = append(ps, run.check(s, where)...)
	if ps.HasErrors() {
		return Run{}, ps
	}
	return run, ps
}

// validate finds what is wrong with what is held.
func (h Held) validate(s unit.System, where string) (ps problem.List) {
	if h.Volume != 0 && !unit.Positive(h.Volume) {
		ps.Errorf("held-negative", where, "Enter what is in the tank with its unit, such as 2 gal, or leave it out when the tank is empty.", "%s is in the tank before the first filling", s.Volume(h.Volume))
	}
	if len(h.Mix.Parts) > 0 && !unit.Positive(h.Mix.Carrier) {
		ps.Errorf("carrier-zero", where, "Give the carrier rate that the mix in the tank was made for.", "the carrier rate of %s is %s", h.name(), unit.US.CarrierRate(h.Mix.Carrier))
	}
	for _, p := range h.Mix.Parts {
		if x := rateFigure(p.Rate, p.Product.Form); !unit.Positive(x) {
			ps.Errorf("rate-zero", where, "Enter the rate that the mix in the tank was made at.", "the rate of %s in %s is %s", p.Product.Name, h.name(), p.Rate.Text(s))
		}
	}
	return ps
}

func (h Held) name() string {
	if h.Name != "" {
		return h.Name
	}
	if len(h.Mix.Parts) == 0 {
		return "water"
	}
	return "unnamed mix"
}

// begin takes what is held off the first filling, in whole steps of the gauge.
func (run *Run) begin(fills []Fill, s unit.System, where string) (ps problem.List) {
	h := &run.Held
	if h.Volume == 0 {
		return nil
	}
	if v := s.RoundVolume(h.Volume); unit.Exceeds(v, h.Volume) || unit.Exceeds(h.Volume, v) {
		ps.Notef("volume-rounded", where, "Read the gauge to its step.", "%s in the tank is taken as %s", mixText(h.Volume, s), s.Volume(v))
		h.Volume = v
	}
	first := &fills[0]
	if float64(h.Volume) >= float64(first.Gauge)*(1-1e-9) {
		ps.Errorf("tank-holds-enough", where, "Spray what is in the tank on ground that its label allows, rinse, and then plan this mix.",
			"%s of %s is in the tank, and the first filling comes to %s in all", s.Volume(h.Volume), h.name(), s.Volume(first.Gauge))
		return ps
	}
	first.Fill = s.RoundVolume(first.Gauge - h.Volume)
	return ps
}

// products is what is held of each product.
func (h Held) products() map[string]held {
	out := map[string]held{}
	if h.Volume > 0 {
		for _, p := range h.Mix.Parts {
			out[p.Product.Name] = held{p.Product, p.Rate.Over(h.Volume.At(h.Mix.Carrier))}
		}
	}
	return out
}

type held struct {
	product label.Product
	amount  label.Amount
}

// short is by how much what is held is short of the recipe's strength, by product: nothing for the same mix, all of it for
// water, less than nothing where a stronger mix stands in the tank.
func (r Recipe) short(v unit.Volume, had map[string]held) map[string]label.Amount {
	out := map[string]label.Amount{}
	for _, p := range r.Parts {
		out[p.Product.Name] = minus(p.Rate.Over(v.At(r.Carrier)), had[p.Product.Name].amount)
	}
	return out
}

// trace follows every product through the fillings. A tank is mixed evenly, so that what is sprayed takes its share of
// all that is in it.
func (run *Run) trace(had map[string]held) {
	in := maps.Clone(had)
	balance := map[string]*Balance{}
	var names []string
	for _, p := range run.Recipe.Ordered() {
		names = append(names, p.Product.Name)
		balance[p.Product.Name] = &Balance{Product: p.Product, Had: had[p.Product.Name].amount}
		in[p.Product.Name] = held{p.Product, had[p.Product.Name].amount}
	}
	for _, n := range slices.Sorted(maps.Keys(had)) {
		if balance[n] == nil {
			names = append(names, n)
			balance[n] = &Balance{Product: had[n].product, Had: had[n].amount}
		}
	}
	for _, g := range run.Fillings {
		sprayed := float64(g.Fill.Volume / g.Fill.Gauge)
		for _, q := range g.Portions {
			balance[q.Name].In = balance[q.Name].In.Plus(q.Amount)
			in[q.Name] = held{in[q.Name].product, in[q.Name].amount.Plus(q.Amount)}
		}
		var ground []Ground
		for _, n := range names {
			b, x := balance[n], scale(in[n].amount, sprayed)
			in[n] = held{b.Product, minus(in[n].amount, x)}
			b.OnGround = b.OnGround.Plus(x)
			ground = append(ground, Ground{Product: b.Product, Amount: x, Rate: x.Per(g.Covers), Foreign: run.Recipe.index(n) < 0})
		}
		run.Ground = append(run.Ground, ground)
		run.Ends = g.Fill.Gauge - g.Fill.Volume
	}
	for _, n := range names {
		balance[n].Left = in[n].amount
		run.Balance = append(run.Balance, *balance[n])
	}
}

// check holds what really goes on the ground against the labels, and says what a mix left in the tank adds.
func (run *Run) check(s unit.System, where string) (ps problem.List) {
	for _, p := range run.Held.Mix.Parts {
		for _, q := range run.Recipe.Parts {
			if p.Product.Name != q.Product.Name && run.Held.Volume > 0 {
				ps = append(ps, apart(q.Product, p.Product, "in the tank from before", where)...)
			}
		}
	}
	for i, grounds := range run.Ground {
		for _, g := range grounds {
			most := g.Product.Label.Most
			if x := rateFigure(most, g.Product.Form); x > 0 && unit.Exceeds(rateFigure(g.Rate, g.Product.Form), x) {
				ps.Errorf("rate-over-label", where, "Start with the tank rinsed, or make the first filling larger.",
					"with what was in the tank, %s goes on at %s in tankful %d, over the label's most, %s", g.Product.Name, g.Rate.Text(s), i+1, most.Text(s))
			}
			if x := g.Product.Label.MostInMix.In(run.Fillings[i].Fill.Volume); over(g.Amount, x) {
				ps.Errorf("strength-over-label", where, "Start with the tank rinsed, or make the first filling larger.",
					"with what was in the tank, the mix of tankful %d has %s of %s in %s, over the label's most, %s", i+1, g.Amount.Text(s), g.Product.Name,
					s.Volume(run.Fillings[i].Fill.Volume), strengthText(g.Product.Label.MostInMix, s))
			}
			if i == 0 && g.Foreign {
				ps.Warnf("heel-of-another-mix", where, "Rinse the tank, or make sure that the label allows "+g.Product.Name+" on all of that ground.",
					"%s of %s in the tank brings %s of %s to the first %s, at %s", s.Volume(run.Held.Volume), run.Held.name(), g.Amount.Text(s), g.Product.Name,
					s.Area(run.Fillings[0].Covers), g.Rate.Text(s))
			}
		}
	}
	if run.Extra > 0 {
		ps.Warnf("mixed-too-much", where, "Plan where it goes, or fill the last tankful by a pail.", "filling to the marks makes %s of mix more than the ground takes", s.Volume(run.Extra))
	}
	return ps
}
