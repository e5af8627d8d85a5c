package mix

import (
	"fmt"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/calc/working"
)

// Federal thresholds as they were read; law changes, so they are warnings to look it up, and never say what is legal.
const (
	// mixMaterials: 49 CFR 173.6(a)(1)(iii), materials of trade: a diluted mixture of at most 2 % of a Class 9
	// material, up to 400 gal.
	mixMaterials = 400 * unit.Gallon
	// tankEach and tankTogether: 49 CFR 383.5, tank vehicle: tanks over 119 gal each and 1,000 gal or more together.
	tankEach     = 119 * unit.Gallon
	tankTogether = 1000 * unit.Gallon
)

// Truck is what a truck may carry. Rated is the gross weight rating on its door label, Empty its weight without tanks'
// contents and without what Other names: people, gear, fuel when not in Empty. Clean is rinse water carried apart.
type Truck struct {
	Rated, Empty unit.Mass
	Other        []Item
	Clean        unit.Volume
}

// Item is something else on the truck.
type Item struct {
	Name string
	Mass unit.Mass
}

// Aboard is one tank at its fullest. Capacity is what it holds; Fullest the highest gauge reading of the day.
type Aboard struct {
	Name              string
	Recipe            Recipe
	Capacity, Fullest unit.Volume
}

// Aboard is the tank of a run at its fullest.
func (run Run) Aboard(name string) Aboard {
	a := Aboard{Name: name, Recipe: run.Recipe, Capacity: run.Tank.Capacity}
	for _, g := range run.Fillings {
		a.Fullest = max(a.Fullest, g.Fill.Gauge)
	}
	return a
}

// Load is one line of the weight.
type Load struct {
	Name string
	// Volume by Density is Mass, where it was worked out so; Volume is 0 for what was weighed.
	Volume  unit.Volume
	Density unit.Density
	Mass    unit.Mass
	// Assumed says that the density of water stands for one that was not entered.
	Assumed bool
}

// Weight is what the truck carries, tanks at their fullest and all product of the day aboard in whole containers.
type Weight struct {
	Truck Truck
	Loads []Load
	Total unit.Mass
	// Payload is Rated - Empty, Margin what is left of it; both are 0 when Known is false.
	Known           bool
	Payload, Margin unit.Mass
}

// Weigh adds up the truck's load. The water of a tank is its fullest reading less the room of its products; the
// products are counted once, as the containers taken. Containers themselves are not counted unless they are in Other.
// Over the payload is an error, and the Weight is given with it, so that it can be shown. It never says that a load
// is legal.
func (t Truck) Weigh(tanks []Aboard, totals []Total, s unit.System, where string) (Weight, problem.List) {
	ps := t.entries(tanks, s, where)
	if ps.HasErrors() {
		return Weight{}, ps
	}
	w := Weight{Truck: t}
	for _, a := range tanks {
		w.add(Load{Name: "water in " + a.Name, Volume: a.Recipe.Water(a.Fullest, a.Recipe.Portions(a.Fullest, s)), Density: unit.Water})
	}
	if t.Clean > 0 {
		w.add(Load{Name: "clean water", Volume: t.Clean, Density: unit.Water})
	}
	for _, p := range totals {
		l := Load{Name: p.Product.Name, Mass: p.Aboard.Dry}
		if !p.Product.Form.Weighed() {
			l.Volume, l.Density = p.Aboard.Liquid, p.Product.Density
			if l.Density == 0 {
				l.Density, l.Assumed = unit.Water, true
				ps.Warnf("density-missing", where, "Enter the product's density from its label, such as 10.65 lb/gal.", "no density is entered for %s, so that it is weighed as water", p.Product.Name)
			}
		}
		w.add(l)
	}
	for _, o := range t.Other {
		w.add(Load{Name: o.Name, Mass: o.Mass})
	}
	ps = append(ps, w.payload(s, where)...)
	return w, append(ps, thresholds(tanks, s, where)...)
}

func (w *Weight) add(l Load) {
	if l.Volume > 0 {
		l.Mass = l.Density.Of(l.Volume)
	}
	w.Loads, w.Total = append(w.Loads, l), w.Total+l.Mass
}

func (w *Weight) payload(s unit.System, where string) (ps problem.List) {
	t := w.Truck
	if t.Rated == 0 || t.Empty == 0 {
		ps.Warnf("payload-unknown", where, "Enter the gross weight rating from the door label and the empty weight from a scale.", "the load is %s and the truck's payload is not known", s.TruckWeight(w.Total))
		return ps
	}
	w.Known, w.Payload = true, t.Rated-t.Empty
	w.Margin = w.Payload - w.Total
	if unit.Exceeds(w.Total, w.Payload) {
		ps.Errorf("over-payload", where, "Fill less at a time, or take the product in two trips.", "the load of %s is %s over the payload of %s", s.TruckWeight(w.Total), s.TruckWeight(-w.Margin), s.TruckWeight(w.Payload))
	}
	return ps
}

// thresholds warns where a federal rule as read begins to matter.
func thresholds(tanks []Aboard, s unit.System, where string) (ps problem.List) {
	var mix, large unit.Volume
	for _, a := range tanks {
		mix += a.Fullest
		if a.Capacity > tankEach {
			large += a.Capacity
		}
	}
	if unit.Exceeds(mix, mixMaterials) {
		ps.Warnf("over-400-gal", where, "Look up the rule as it stands, and ask who holds the licence.", "%s of mix is carried; 49 CFR 173.6(a)(1)(iii), as read, lets dilute mixtures go as materials of trade up to %s", s.Volume(mix), s.Volume(mixMaterials))
	}
	if large >= tankTogether*(1-1e-9) {
		ps.Warnf("tank-vehicle", where, "Look up the rule as it stands, and ask who holds the licence.", "tanks of over %s each hold %s together; 49 CFR 383.5, as read, speaks of a tank vehicle from %s", s.Volume(tankEach), s.Volume(large), s.Volume(tankTogether))
	}
	return ps
}

// entries finds what is wrong with the truck and what is said to be on it.
func (t Truck) entries(tanks []Aboard, s unit.System, where string) (ps problem.List) {
	for _, e := range []struct {
		name string
		mass unit.Mass
	}{{"the gross weight rating", t.Rated}, {"the empty weight", t.Empty}} {
		if e.mass != 0 && !unit.Positive(e.mass) {
			ps.Errorf("weight-negative", where, "Enter a weight over zero with its unit, or leave it out.", "%s is %s", e.name, s.TruckWeight(e.mass))
		}
	}
	if len(ps) == 0 && t.Rated != 0 && t.Empty != 0 && t.Empty >= t.Rated {
		ps.Errorf("empty-over-rated", where, "Enter the gross weight rating from the door label and the empty weight from a scale.", "the empty weight, %s, is no less than the rating, %s", s.TruckWeight(t.Empty), s.TruckWeight(t.Rated))
	}
	for _, o := range t.Other {
		sized(&ps, float64(o.Mass), "weight-negative", where, "Enter a weight over zero with its unit, or leave it out.", "%s weighs %s", o.Name, s.TruckWeight(o.Mass))
	}
	if t.Clean != 0 && !unit.Positive(t.Clean) {
		ps.Errorf("volume-negative", where, "Enter the rinse water with its unit, or leave it out.", "the clean water is %s", s.Volume(t.Clean))
	}
	for _, a := range tanks {
		sized(&ps, float64(a.Fullest), "volume-zero", where, "Give the tank's fullest reading, or leave the tank out.", "%s holds %s at its fullest", a.Name, s.Volume(a.Fullest))
		if a.Fullest > 0 && !unit.Positive(a.Recipe.Carrier) {
			ps.Errorf("carrier-zero", where, "Give the carrier rate, from a catch test.", "the carrier rate of the mix in %s is %s", a.Name, unit.US.CarrierRate(a.Recipe.Carrier))
		}
	}
	return ps
}

// Facts are the weights and the margin.
func (w Weight) Facts(s unit.System) []working.Fact {
	var fs []working.Fact
	for _, l := range w.Loads {
		text := s.TruckWeight(l.Mass)
		if l.Volume > 0 {
			text = fmt.Sprintf("%s, %s", s.Volume(l.Volume), text)
		}
		if l.Assumed {
			text += " (weighed as water: no density is entered)"
		}
		fs = append(fs, fact(l.Name, text))
	}
	fs = append(fs, fact("load", s.TruckWeight(w.Total)))
	if w.Known {
		fs = append(fs, fact("payload", s.TruckWeight(w.Payload)), fact("margin", s.TruckWeight(w.Margin)))
	}
	return append(fs, fact("note", "Arithmetic from entered weights, containers not weighed. It does not say that the load is legal: weigh the truck full."))
}

// Working shows each weight and the sum.
func (w Weight) Working(s unit.System) (out working.Working) {
	u := working.UnitsOf(s)
	var es []working.Expr
	for _, l := range w.Loads {
		if l.Volume > 0 {
			density := working.Of("density", l.Density, u.Density)
			switch {
			case l.Assumed:
				density = density.From("that of water, because none is entered")
			case l.Density == unit.Water:
				density = density.From("water, 8.34 lb/gal, University of Nebraska-Lincoln, 2016")
			}
			out.Add(l.Name, working.Of("volume", l.Volume, u.Mix).Times(density), l.Mass, u.Mass, s.TruckWeight(l.Mass))
		}
		es = append(es, working.Of(l.Name, l.Mass, u.Mass))
	}
	if w.Total > 0 {
		out.Add("load", working.Sum(es...), w.Total, u.Mass, s.TruckWeight(w.Total), "Tanks at their fullest and the day's product aboard in whole containers.")
	}
	if w.Known {
		out.Add("payload", working.Of("gross weight rating", w.Truck.Rated, u.Mass).Minus(working.Of("empty weight", w.Truck.Empty, u.Mass)), w.Payload, u.Mass, s.TruckWeight(w.Payload))
		if w.Margin != 0 {
			out.Add("margin", working.Of("payload", w.Payload, u.Mass).Minus(working.Of("load", w.Total, u.Mass)), w.Margin, u.Mass, s.TruckWeight(w.Margin), "It says nothing about the law: weigh the truck full.")
		}
	}
	return out
}
