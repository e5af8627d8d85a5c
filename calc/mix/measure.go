package mix

import (
	"math"
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Portion is what one product adds to a filling.
type Portion struct {
	Name  string
	Class label.Class
	// Exact is fill / carrier rate x product rate; Amount is what is measured out.
	Exact, Amount label.Amount
	// Effect is what measuring does to the rate: Amount / Exact - 1.
	Effect float64
	// Marks is Amount in steps of Measure, the smallest mark of the product's jug or scale; 0 where the printed step is used.
	Marks   int
	Measure label.Amount
	// Displaces is the room that the amount takes up. Assumed says that it is taken as none, because no density in the
	// tank is entered for a dry product.
	Displaces unit.Volume
	Assumed   bool
	// Lowered says that the amount was rounded down, because nearest would pass the label's most.
	Lowered bool
}

// Portions is what a filling of volume fill is made of, in the order of adding. Each amount
// is rounded to the product's Measure, or as s prints it where none is entered; where that would take the rate or the
// strength over the label's most, it is rounded down. The recipe must have passed Validate, else there are no portions.
func (r Recipe) Portions(fill unit.Volume, s unit.System) []Portion {
	return r.portions(fill, nil, s)
}

// portions is Portions less what is in the tank already: more of a product by name, as a correction to its exact amount.
func (r Recipe) portions(fill unit.Volume, more map[string]label.Amount, s unit.System) []Portion {
	if !unit.Positive(r.Carrier) || !unit.Positive(fill) {
		return nil
	}
	var portions []Portion
	for _, p := range r.Ordered() {
		extra := more[p.Product.Name]
		exact := notUnder(p.Rate.Over(fill.At(r.Carrier)).Plus(extra))
		most := r.most(p.Product, fill)
		if !most.IsZero() {
			most = notUnder(most.Plus(extra))
		}
		q := Portion{Name: p.Product.Name, Class: p.Product.Class, Exact: exact}
		q.Amount, q.Marks, q.Lowered = measured(exact, most, p.Product, s)
		if q.Marks > 0 {
			q.Measure = p.Product.Measure
		}
		q.Effect = effect(q.Amount, exact)
		q.Displaces, q.Assumed = displaced(p.Product, q.Amount)
		portions = append(portions, q)
	}
	return portions
}

// most is the most of a product that its label allows in a volume of this mix, by area or by strength, whichever is
// less; zero when the label has neither.
func (r Recipe) most(p label.Product, fill unit.Volume) label.Amount {
	byArea, byMix := p.Label.Most.Over(fill.At(r.Carrier)), p.Label.MostInMix.In(fill)
	a, b := figure(byArea, p.Form), figure(byMix, p.Form)
	switch {
	case a > 0 && b > 0:
		return amountOf(min(a, b), p.Form)
	default:
		return amountOf(max(a, b), p.Form)
	}
}

// measured rounds exact to the product's measure or the printed step, down where nearest would be over most.
func measured(exact, most label.Amount, p label.Product, s unit.System) (amount label.Amount, marks int, lowered bool) {
	step := figure(p.Measure, p.Form)
	if !unit.Positive(step) {
		amount = exact.Round(s)
		if over(amount, most) {
			return exact.RoundDown(s), 0, true
		}
		return amount, 0, false
	}
	n := unit.Round(figure(exact, p.Form)/step, 1)
	if amount = amountOf(n*step, p.Form); over(amount, most) {
		n, lowered = math.Floor(figure(exact, p.Form)/step+1e-9), true
		amount = amountOf(n*step, p.Form)
	}
	return amount, int(n), lowered
}

// displaced is the room that an amount takes up in the tank: a liquid its volume, a dry product its weight by its
// density in the tank. Where that is not entered it is taken as none, and assumed is true.
func displaced(p label.Product, a label.Amount) (v unit.Volume, assumed bool) {
	switch {
	case !p.Form.Weighed():
		return a.Liquid, false
	case unit.Positive(p.InTank):
		return p.InTank.VolumeOf(a.Dry), false
	}
	return 0, true
}

// Water is what is left of a filling for water: liquid products take up their own volume, a dry product what its
// density in the tank says, none where that is not entered. It is never below zero.
func (r Recipe) Water(fill unit.Volume, portions []Portion) unit.Volume {
	for _, q := range portions {
		taken := q.Amount.Liquid
		if i := r.index(q.Name); i >= 0 {
			taken, _ = displaced(r.Parts[i].Product, q.Amount)
		}
		fill -= taken
	}
	return max(fill, 0)
}

// index is the part's place in the recipe by the product's name, -1 when it is not there.
func (r Recipe) index(name string) int {
	return slices.IndexFunc(r.Parts, func(p Part) bool { return p.Product.Name == name })
}

// MostEffect is how far measuring may move a rate before it is worth a warning: the 5 %
// within which a calibration is accepted (Spray Gun calibration page, Pesticide
// Environmental Stewardship, NC State, n.d.).
const MostEffect = 0.05

// CheckRounded holds the portions of a filling, as measured out, against the labels. An amount
// over the label's most (per area or in the mix) is an error, and so is one that rounds to nothing; a rate moved by
// more than MostEffect is a warning. Portions of products that the recipe lacks are errors.
func (r Recipe) CheckRounded(portions []Portion, fill unit.Volume, where string) (ps problem.List) {
	if !unit.Positive(r.Carrier) || !unit.Positive(fill) {
		ps.Errorf("fill-zero", where, "Give the carrier rate and the volume of the filling.",
			"%s of mix at %s cannot be portioned", unit.US.Volume(fill), unit.US.CarrierRate(r.Carrier))
		return ps
	}
	return r.checkRounded(portions, fill, nil, where)
}

func (r Recipe) checkRounded(portions []Portion, fill unit.Volume, more map[string]label.Amount, where string) (ps problem.List) {
	const finer = "Mix more at a time, or measure this product by a finer measure."
	area := fill.At(r.Carrier)
	for _, q := range portions {
		i := r.index(q.Name)
		if i < 0 {
			ps.Errorf("product-unknown", where, "Portion the products of this mix only.", "%s is not in the mix", q.Name)
			continue
		}
		p := r.Parts[i]
		exact := notUnder(p.Rate.Over(area).Plus(more[q.Name]))
		limit := r.most(p.Product, fill)
		if !limit.IsZero() {
			limit = limit.Plus(more[q.Name])
		}
		switch e := effect(q.Amount, exact); {
		case over(q.Amount, limit):
			ps.Errorf("amount-over-label", where, "Measure out no more than the label allows for this filling.",
				"%s of %s in %s of mix is over the label's most for the %s that it covers, %s", q.Amount.Text(unit.US), q.Name,
				unit.US.Volume(fill), unit.US.Area(area), limit.RoundDown(unit.US).Text(unit.US))
		case q.Amount.IsZero() && !exact.IsZero():
			ps.Errorf("amount-too-small", where, finer, "%s in %s of mix is less than can be measured out", q.Name, unit.US.Volume(fill))
		case math.Abs(e) > MostEffect:
			ps.Warnf("amount-coarse", where, finer, "measuring %s as %s moves its rate by %s", q.Name, q.Amount.Text(unit.US), unit.Percent(e, 1))
		}
	}
	return ps
}
