package mix

import (
	"fmt"

	"tankful/calc/unit"
	"tankful/calc/working"
)

// Facts are the fillings one after the other, what goes on the ground from what was in the tank, and what is left.
func (run Run) Facts(s unit.System) []working.Fact {
	fs := []working.Fact{fact("mix on turf", s.Volume(run.onTurf()))}
	if run.Held.Volume > 0 {
		fs = append(fs, fact("in the tank before", s.Volume(run.Held.Volume)+" of "+run.Held.name()))
	}
	for i, g := range run.Fillings {
		fs = append(fs, fact(fmt.Sprintf("tankful %d", i+1), fmt.Sprintf("fill %s, to the mark %s, for %s on %s", s.Volume(g.Fill.Fill), s.Volume(g.Fill.Gauge), s.Volume(g.Fill.Volume), s.Area(g.Covers))))
		for _, p := range g.Portions {
			fs = append(fs, fact(fmt.Sprintf("tankful %d, %s", i+1, p.Name), p.text(s)))
		}
		for _, x := range run.Ground[i] {
			if x.Foreign {
				fs = append(fs, fact(fmt.Sprintf("tankful %d, %s from before", i+1, x.Product.Name), fmt.Sprintf("%s on the ground, at %s", x.Amount.Text(s), x.Rate.Text(s))))
			}
		}
		fs = append(fs, fact(fmt.Sprintf("tankful %d, water", i+1), s.Volume(g.Water)))
	}
	fs = append(fs, fact("left in the tank", s.Volume(run.Ends)))
	for _, b := range run.Balance {
		fs = append(fs, fact(b.Product.Name+" in all", fmt.Sprintf("%s on the ground, %s left in the tank", b.OnGround.Text(s), b.Left.Text(s))))
	}
	return fs
}

func (run Run) onTurf() (v unit.Volume) {
	for _, g := range run.Fillings {
		v += g.Fill.Volume
	}
	return v
}

// Working shows each filling and the balance of every product.
func (run Run) Working(s unit.System) (w working.Working) {
	u := working.UnitsOf(s)
	if run.Held.Volume > 0 {
		run.heldSteps(&w, s)
	}
	for i, g := range run.Fillings {
		if i == 0 {
			run.firstSteps(&w, s)
		}
		for _, step := range g.Working(s) {
			step.Name = fmt.Sprintf("tankful %d, %s", i+1, step.Name)
			w = append(w, step)
		}
	}
	last := run.Fillings[len(run.Fillings)-1].Fill
	if run.Ends > 0 {
		w.Add("left in the tank", working.Of("gauge reading", last.Gauge, u.Mix).Minus(working.Of("on turf", last.Volume, u.Mix)), run.Ends, u.Mix, s.Volume(run.Ends),
			"The pump does not draw it, or it was mixed to a mark. It is product: it goes on labelled ground, never into a drain.")
	}
	for _, b := range run.Balance {
		f := b.Product.Form
		if figure(b.OnGround, f) == 0 {
			continue
		}
		total, note := b.OnGround.Plus(b.Left), "All that was measured out."
		if figure(b.Had, f) > 0 {
			note = "All that was in the tank before, " + b.Had.Text(s) + ", and all that was measured out, " + b.In.Text(s) + "."
		}
		addAmount(&w, b.Product.Name+", where it is", ofAmount("on the ground", b.OnGround, f, s).Plus(ofAmount("left in the tank", b.Left, f, s)), total, f, s, total.Text(s), note)
	}
	return w.WithoutRepeats()
}

// heldSteps show what stands in the tank before.
func (run Run) heldSteps(w *working.Working, s unit.System) {
	w.Say("in the tank before", s.Volume(run.Held.Volume)+" of "+run.Held.name())
	run.Held.Mix.heldSteps(w, "in the tank", run.Held.Volume, s)
}

// firstSteps show the first filling's volume and what it is short or over by what was held.
func (run Run) firstSteps(w *working.Working, s unit.System) {
	u := working.UnitsOf(s)
	first := run.Fillings[0]
	heel := first.Fill.Gauge - first.Fill.Volume
	w.Add("gauge reading of the first filling", working.Of("on turf", first.Fill.Volume, u.Mix).Plus(working.Of("stays in the tank", heel, u.Mix)), first.Fill.Volume+heel, u.Mix, s.Volume(first.Fill.Gauge),
		"What the pump leaves is mixed once, at full strength.")
	if run.Held.Volume == 0 {
		return
	}
	had := run.Held.products()
	for i, p := range run.Recipe.Ordered() {
		f, name := p.Product.Form, p.Product.Name
		exact := first.Portions[i].Exact // portions stand in the order of adding
		wanted := p.Rate.Over(first.Fill.Gauge.At(run.Recipe.Carrier))
		e := working.Of("gauge reading", first.Fill.Gauge, u.Mix).Over(working.Of("carrier rate", run.Recipe.Carrier, u.Carrier)).Times(ofRate("product rate", p.Rate, f, s))
		addAmount(w, name+" wanted in the first filling", e, wanted, f, s, "")
		switch {
		case figure(had[name].amount, f) == 0:
			w.Say(name+" to add", exact.Text(s), "What is in the tank has none of it.")
		case figure(exact, f) < 1e-6*figure(wanted, f): // the noise of a difference is not shown
			w.Say(name+" to add", "none", "What is in the tank brings as much or more.")
		default:
			addAmount(w, name+" to add", ofAmount("wanted", wanted, f, s).Minus(ofAmount("in the tank", had[name].amount, f, s)), exact, f, s, exact.Text(s))
		}
	}
	for _, g := range run.Ground[0] {
		if g.Foreign && figure(g.Amount, g.Product.Form) > 0 {
			f := g.Product.Form
			share := working.Of("on turf", first.Fill.Volume, u.Mix).Over(working.Of("gauge reading", first.Fill.Gauge, u.Mix))
			addAmount(w, g.Product.Name+" from before, onto the first turf", ofAmount("held", had[g.Product.Name].amount, f, s).Times(share), g.Amount, f, s, g.Amount.Text(s))
			e := ofAmount("onto the first turf", g.Amount, f, s).Over(working.Of("covered", first.Covers, u.Area))
			addRate(w, g.Product.Name+" from before, on the first turf", e, g.Rate, f, s, g.Rate.Text(s), "It must be allowed on that ground.")
		}
	}
}
