package mix

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Whole is a filling that uses a product in whole containers: the volume of mix follows from the product.
type Whole struct {
	Recipe    Recipe
	Name      string
	Container label.Container
	Count     int
	// Exact is the volume in which so many containers are just the rate; Fill is the same in whole steps of the gauge.
	Exact, Fill unit.Volume
	// Covers is what Fill treats.
	Covers unit.Area
	// Portions are all products of Fill in the order of adding, the named one at exactly Count containers.
	Portions []Portion
	Water    unit.Volume
	// Effect is what rounding the fill does to the named product's rate.
	Effect float64
}

// WholeContainers is the largest filling of up to room that uses the named product in whole containers. Of several kinds
// of container that one is taken which makes the larger filling. Where the nearest step of the gauge would
// take the rate over the label's most, the filling goes up a step, which is more water, never more product.
func (r Recipe) WholeContainers(name string, room unit.Volume, s unit.System, where string) (Whole, problem.List) {
	var ps problem.List
	sized(&ps, float64(r.Carrier), "carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix is %s", unit.US.CarrierRate(r.Carrier))
	sized(&ps, float64(room), "volume-zero", where, "Give the largest filling that may be made.", "the tank has room for %s", s.Volume(room))
	i := r.index(name)
	if i < 0 {
		ps.Errorf("product-unknown", where, "Name a product of this mix.", "%q is not in the mix", name)
	}
	if ps.HasErrors() {
		return Whole{}, ps
	}
	p := r.Parts[i]
	var best Whole
	smallest := math.Inf(1)
	for _, c := range p.Product.Containers {
		holds := figure(c.Holds, p.Product.Form)
		if !unit.Positive(holds) || !unit.Positive(rateFigure(p.Rate, p.Product.Form)) {
			continue
		}
		makes := figure(p.Rate.Over(room.At(r.Carrier)), p.Product.Form) / holds // containers in the whole room
		smallest = min(smallest, float64(room)/makes)
		for n := math.Floor(makes + 1e-9); n >= 1; n-- {
			w := Whole{Recipe: r, Name: name, Container: c, Count: int(n)}
			if w.size(p, room, s) {
				if w.Fill > best.Fill {
					best = w
				}
				break
			}
		}
	}
	switch {
	case math.IsInf(smallest, 1):
		ps.Errorf("container-missing", where, "Enter what the product comes in, such as a 2.5 gal jug or a 50 lb bag.", "no container is entered for %s", name)
		return Whole{}, ps
	case best.Count == 0:
		ps.Errorf("container-too-large", where, "Measure the product out for this filling, or plan a larger one.",
			"one container of %s makes %s of mix and there is room for %s", name, s.Volume(unit.Volume(smallest)), s.Volume(room))
		return Whole{}, ps
	}
	ps = append(ps, best.complete(s, where)...)
	if ps.HasErrors() {
		return Whole{}, ps
	}
	return best, ps
}

// size finds the filling for Count containers; not ok where it does not fit into room within the label.
func (w *Whole) size(p Part, room unit.Volume, s unit.System) bool {
	amount := scale(w.Container.Holds, float64(w.Count))
	w.Exact = unit.Volume(ratio(amount, p.Rate.Over(unit.SquareMetre))) * w.Recipe.Carrier.Over(unit.SquareMetre)
	w.Fill = s.RoundVolume(w.Exact)
	if w.Fill <= 0 || over(amount, w.Recipe.most(p.Product, w.Fill)) {
		w.Fill = s.RoundVolume(w.Fill + s.VolumeStep())
	}
	return !unit.Exceeds(w.Fill, room) && !over(amount, w.Recipe.most(p.Product, w.Fill))
}

// complete fills in what follows from the volume, and checks it.
func (w *Whole) complete(s unit.System, where string) problem.List {
	r := w.Recipe
	w.Covers = w.Fill.At(r.Carrier)
	w.Portions = r.Portions(w.Fill, s)
	for k := range w.Portions {
		q := &w.Portions[k]
		if q.Name != w.Name {
			continue
		}
		q.Amount, q.Marks, q.Measure, q.Lowered = scale(w.Container.Holds, float64(w.Count)), 0, label.Amount{}, false
		q.Effect = effect(q.Amount, q.Exact)
		q.Displaces, q.Assumed = displaced(r.Parts[r.index(q.Name)].Product, q.Amount)
		w.Effect = q.Effect
	}
	w.Water = r.Water(w.Fill, w.Portions)
	return r.CheckRounded(w.Portions, w.Fill, where)
}

// Facts are the filling and what goes in.
func (w Whole) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{
		fact("whole containers", fmt.Sprintf("%s of %s, %s each", count(w.Count, w.Container.Name), w.Name, w.Container.Holds.Text(s))),
		fact("fill", s.Volume(w.Fill)),
		fact("covers", s.Area(w.Covers)),
	}
	for _, p := range w.Portions {
		fs = append(fs, fact(p.Name, p.text(s)))
	}
	return append(fs, fact("water", s.Volume(w.Water)))
}

// Working shows how the volume follows from the containers, and what rounding it does.
func (w Whole) Working(s unit.System) (out working.Working) {
	u := working.UnitsOf(s)
	p := w.Recipe.Parts[w.Recipe.index(w.Name)]
	f := p.Product.Form
	amount := scale(w.Container.Holds, float64(w.Count))
	addAmount(&out, w.Name+" in whole containers", working.Number("containers", float64(w.Count)).Times(ofAmount("each holds", w.Container.Holds, f, s)), amount, f, s, amount.Text(s))
	out.Add("fill", ofAmount("product", amount, f, s).Over(ofRate("product rate", p.Rate, f, s)).Times(working.Of("carrier rate", w.Recipe.Carrier, u.Carrier)),
		w.Exact, u.Mix, s.Volume(w.Fill), "To a step of the gauge; up where the nearest would take the rate over the label's most.")
	out.AddPercent("wanted volume of the fill", working.Of("exact", w.Exact, u.Mix).Over(working.Of("fill", w.Fill, u.Mix)), float64(w.Exact/w.Fill),
		percentText(w.Effect)+" on the rate of "+w.Name)
	g := Filling{Recipe: w.Recipe, Fill: Fill{Volume: w.Fill, Fill: w.Fill, Gauge: w.Fill}}
	for _, q := range w.Portions {
		if q.Name != w.Name {
			g.portionSteps(&out, q, s)
		}
	}
	return out
}

// Taken is how many of one container are taken.
type Taken struct {
	Container label.Container
	Count     int
}

// Total is one product of a day: what is measured out in all, and the whole containers to put on the truck.
type Total struct {
	Product label.Product
	// Parts are the amounts as measured, one a filling; Amount is their sum.
	Parts  []label.Amount
	Amount label.Amount
	// Take is the containers, the larger first; Aboard what they hold and Back what comes back in them. Where the product
	// has no containers entered, Take is empty, Aboard is Amount and Back is nothing.
	Take         []Taken
	Aboard, Back label.Amount
}

// Totals adds up what fillings take, product by product in the order in which they first occur. Amounts are the
// ones measured out, so that the total is what is poured.
func Totals(fillings ...Filling) []Total {
	var totals []Total
	for _, g := range fillings {
		for _, q := range g.Portions {
			i := slices.IndexFunc(totals, func(t Total) bool { return t.Product.Name == q.Name })
			if i < 0 {
				i = len(totals)
				totals = append(totals, Total{Product: g.Recipe.Parts[g.Recipe.index(q.Name)].Product})
			}
			totals[i].Parts = append(totals[i].Parts, q.Amount)
			totals[i].Amount = totals[i].Amount.Plus(q.Amount)
		}
	}
	for i := range totals {
		totals[i].take()
	}
	return totals
}

// take fills whole containers: as many of the larger as are emptied, and of the smallest what the rest needs. Where
// one larger one holds that rest with no more coming back, it is taken instead.
func (t *Total) take() {
	f := t.Product.Form
	var kinds []label.Container
	for _, c := range t.Product.Containers {
		if unit.Positive(figure(c.Holds, f)) {
			kinds = append(kinds, c)
		}
	}
	t.Aboard, t.Back = t.Amount, label.Amount{}
	if len(kinds) == 0 || t.Amount.IsZero() {
		return
	}
	slices.SortStableFunc(kinds, func(a, b label.Container) int { return cmp.Compare(figure(b.Holds, f), figure(a.Holds, f)) })
	left, aboard := figure(t.Amount, f), 0.0
	for i, c := range kinds {
		holds := figure(c.Holds, f)
		n := math.Floor(left/holds + 1e-9)
		if i == len(kinds)-1 {
			n = math.Ceil(left/holds - 1e-9)
		} else if smallest := figure(kinds[len(kinds)-1].Holds, f); left-n*holds > 0 && math.Ceil((left-n*holds)/smallest-1e-9)*smallest >= holds*(1-1e-9) {
			n++ // the small ones for the rest hold as much as one more of these
		}
		left, aboard = max(left-n*holds, 0), aboard+n*holds
		if n > 0 {
			t.Take = append(t.Take, Taken{c, int(n)})
		}
	}
	t.Aboard = amountOf(aboard, f)
	t.Back = notUnder(minus(t.Aboard, t.Amount))
}

// Facts are the amount, the containers and what comes back.
func (t Total) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact(t.Product.Name, t.Amount.Text(s))}
	if len(t.Take) == 0 {
		return fs
	}
	return append(fs, fact("take", t.takeText(s)), fact("comes back", t.Back.Text(s)))
}

func (t Total) takeText(s unit.System) string {
	text := ""
	for i, k := range t.Take {
		if i > 0 {
			text += " and "
		}
		text += count(k.Count, k.Container.Name) + " of " + k.Container.Holds.Text(s)
	}
	return text
}

// Working shows the sum over the fillings and the containers.
func (t Total) Working(s unit.System) (w working.Working) {
	f := t.Product.Form
	if t.Amount.IsZero() {
		return w
	}
	var es []working.Expr
	for i, p := range t.Parts {
		es = append(es, ofAmount(fmt.Sprintf("filling %d", i+1), p, f, s))
	}
	addAmount(&w, t.Product.Name, working.Sum(es...), t.Amount, f, s, t.Amount.Text(s), "The amounts as measured out.")
	if len(t.Take) == 1 {
		k := t.Take[0]
		addAmount(&w, "aboard", working.Number("containers", float64(k.Count)).Times(ofAmount("each holds", k.Container.Holds, f, s)), t.Aboard, f, s, t.Aboard.Text(s),
			"Whole containers: rounded up from "+working.Figures(ratio(t.Amount, k.Container.Holds))+".")
	} else if len(t.Take) > 1 {
		w.Say("aboard", t.Aboard.Text(s), t.takeText(s))
	}
	if len(t.Take) > 0 && !t.Back.IsZero() {
		addAmount(&w, "comes back", ofAmount("aboard", t.Aboard, f, s).Minus(ofAmount("used", t.Amount, f, s)), t.Back, f, s, t.Back.Text(s))
	}
	return w
}
