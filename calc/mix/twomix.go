package mix

import (
	"fmt"
	"slices"

	"tankful/calc/label"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// TankMix is one tank with its mix on a visit.
type TankMix struct {
	Name   string
	Recipe Recipe
	Tank   Tank
	Held   Held
}

// Visit is several mixes, each from its own tank, on the same stops: feed from one and weed liquid from another.
type Visit struct {
	Mixes []TankMix
	Stops []Stop
}

// Sum is one product over all mixes of a visit, on the same ground.
type Sum struct {
	Product label.Product
	// From names the mixes, Rates are their rates in that order, Rate is the sum.
	From  []string
	Rates []label.Rate
	Rate  label.Rate
}

// VisitPlan is what each tank takes, what each stop gets from each, and what comes together on the ground.
type VisitPlan struct {
	Visit Visit
	Runs  []Run         // one a mix
	Stops [][]StopShare // one list a mix, in the order of the stops
	Sums  []Sum         // products in more than one mix
	// Totals are the products of all tanks together.
	Totals []Total
	// OnGround is the water and product that all mixes bring together per area.
	OnGround unit.VolumePerArea
}

// Plan works every tank out and holds what they put on the same ground together against the labels: a product in two mixes is
// one application at the sum of its rates. With errors in the list the plan is zero.
func (v Visit) Plan(s unit.System, where string) (VisitPlan, problem.List) {
	out := VisitPlan{Visit: v}
	var ps problem.List
	if len(v.Mixes) == 0 {
		ps.Errorf("visit-without-mix", where, "Give at least one tank with its mix.", "the visit has no mix")
	}
	if len(v.Stops) == 0 {
		ps.Errorf("visit-without-stops", where, "Give the stops with their net turf.", "the visit has no stops")
	}
	for i, m := range v.Mixes {
		at := where + ", " + m.Name
		if where == "" {
			at = m.Name
		}
		if slices.IndexFunc(v.Mixes, func(o TankMix) bool { return o.Name == m.Name }) < i {
			ps.Errorf("mix-twice", at, "Give each tank of the visit a name of its own.", "two mixes are called %q", m.Name)
		}
		found := m.Recipe.Validate(at)
		shares, more := m.Recipe.Stops(v.Stops, s, at)
		if ps = append(append(ps, found...), more...); found.HasErrors() || more.HasErrors() || len(shares) == 0 {
			continue
		}
		var need unit.Volume
		for _, sh := range shares {
			need += sh.Mix
		}
		run, found := m.Recipe.Run(s.RoundVolume(need), m.Tank, m.Held, s, at)
		ps = append(ps, found...)
		out.Runs, out.Stops = append(out.Runs, run), append(out.Stops, shares)
		out.OnGround += m.Recipe.Carrier
	}
	out.Sums = v.sums()
	for _, x := range out.Sums {
		most := x.Product.Label.Most
		if m := rateFigure(most, x.Product.Form); m > 0 && unit.Exceeds(rateFigure(x.Rate, x.Product.Form), m) {
			ps.Errorf("rate-over-label", where, "Lower its rate in one of the mixes, so that the sum is within the label's most.",
				"%s comes from %d mixes to %s on the same ground, over the label's most, %s", x.Product.Name, len(x.From), x.Rate.Text(s), most.Text(s))
		}
	}
	if ps.HasErrors() {
		return VisitPlan{}, ps
	}
	var fillings []Filling
	for _, r := range out.Runs {
		fillings = append(fillings, r.Fillings...)
	}
	out.Totals = Totals(fillings...)
	return out, ps
}

// sums finds the products that come from more than one mix.
func (v Visit) sums() (sums []Sum) {
	var all []Sum
	for _, m := range v.Mixes {
		for _, p := range m.Recipe.Ordered() {
			i := slices.IndexFunc(all, func(x Sum) bool { return x.Product.Name == p.Product.Name })
			if i < 0 {
				i = len(all)
				all = append(all, Sum{Product: p.Product})
			}
			x := &all[i]
			x.From, x.Rates, x.Rate = append(x.From, m.Name), append(x.Rates, p.Rate), x.Rate.Plus(p.Rate)
			x.Product.Label.Most = lesser(x.Product.Label.Most, p.Product.Label.Most, p.Product.Form)
		}
	}
	for _, x := range all {
		if len(x.From) > 1 {
			sums = append(sums, x)
		}
	}
	return sums
}

// lesser is the smaller of two limits; one that is not entered does not count.
func lesser(a, b label.Rate, f label.Form) label.Rate {
	x, y := rateFigure(a, f), rateFigure(b, f)
	if y > 0 && (x == 0 || y < x) {
		return b
	}
	return a
}

// Facts are each tank's lines, the stops, and the sums on the ground.
func (v VisitPlan) Facts(s unit.System) (fs []working.Fact) {
	for i, r := range v.Runs {
		name := v.Visit.Mixes[i].Name
		for _, f := range r.Facts(s) {
			fs = append(fs, fact(name+": "+f.Name, f.Text))
		}
	}
	for i, st := range v.Visit.Stops {
		for k, m := range v.Visit.Mixes {
			fs = append(fs, fact(st.Name+": "+m.Name, s.Volume(v.Stops[k][i].Mix)))
		}
	}
	for _, x := range v.Sums {
		fs = append(fs, fact(fmt.Sprintf("%s from %d mixes", x.Product.Name, len(x.From)), x.Rate.Text(s)+" together"))
	}
	for _, t := range v.Totals {
		for _, f := range t.Facts(s) {
			fs = append(fs, fact("truck: "+f.Name, f.Text))
		}
	}
	return fs
}

// Working shows each tank's working under its name, and the sums.
func (v VisitPlan) Working(s unit.System) (w working.Working) {
	for i, r := range v.Runs {
		name := v.Visit.Mixes[i].Name
		var steps working.Working
		for _, sh := range v.Stops[i] {
			steps.Append(sh.Working(s))
		}
		steps.Append(r.Working(s))
		for _, step := range steps {
			step.Name = name + ": " + step.Name
			w = append(w, step)
		}
	}
	for _, x := range v.Sums {
		var es []working.Expr
		for i, r := range x.Rates {
			es = append(es, ofRate("from "+x.From[i], r, x.Product.Form, s))
		}
		addRate(&w, x.Product.Name+" on the same ground", working.Sum(es...), x.Rate, x.Product.Form, s, x.Rate.Text(s), "One visit is one application: the label's most holds for the sum.")
	}
	for _, t := range v.Totals {
		w.Append(t.Working(s))
	}
	return w.WithoutRepeats()
}
