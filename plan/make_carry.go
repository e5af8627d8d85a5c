package plan

import (
	"fmt"
	"slices"

	"tankful/calc/mix"
)

// products works out what goes into a load, with the gauge after each product.
func (td *truckDay) products(l *Load, r mix.Recipe, tank int) {
	l.Covers = l.Volume.At(r.Carrier)
	l.Working = workingOf(nil)
	g, found := r.Filling(mix.Fill{Volume: l.Volume, Fill: l.Fill, Gauge: l.Gauge}, td.maker.day.Units, td.truck.Where)
	for _, p := range found {
		if p.Code != "displacement-unknown" { // said once a product, see recipe
			td.problems = append(td.problems, p)
		}
	}
	if found.HasErrors() {
		return
	}
	td.fillings = append(td.fillings, g)
	td.fullest[tank] = max(td.fullest[tank], l.Gauge)
	td.recipes[tank] = r
	l.Water, l.StartGauge = g.Water, g.Marks[0].Gauge
	for i, p := range g.Portions {
		l.Products = append(l.Products, LoadProduct{Name: p.Name, Amount: p.Amount, Gauge: g.Marks[i+1].Gauge, Effect: p.Effect})
	}
	l.Working = workingOf(g.Working(td.maker.day.Units))
}

// carry is what to put on the truck in whole containers, and what it weighs against the payload.
func (td *truckDay) carry() {
	units := td.maker.day.Units
	totals := mix.Totals(append(slices.Clone(td.fillings), td.granules()...)...)
	td.out.Carry = []Carry{}
	for _, t := range totals {
		c := Carry{Product: t.Product.Name, Registration: t.Product.Label.Registration, Amount: t.Amount, Back: t.Back, Containers: []Container{}, Loads: []int{}}
		for _, k := range t.Take {
			c.Containers = append(c.Containers, Container{Name: k.Container.Name, Holds: k.Container.Holds, Count: k.Count})
		}
		for _, l := range td.plan.Loads {
			if l.Truck == td.truck.Name && has(l.Products, c.Product) {
				c.Loads = append(c.Loads, l.N)
			}
		}
		c.Stops = td.spreadStops(c.Product)
		td.out.Carry = append(td.out.Carry, c)
	}
	if td.truck.Rated == 0 && td.truck.Empty == 0 {
		return
	}
	var tanks []mix.Aboard
	for i, t := range td.truck.Tanks {
		if td.fullest[i] > 0 {
			tanks = append(tanks, mix.Aboard{Name: t.Name, Recipe: td.recipes[i], Capacity: t.Capacity, Fullest: td.fullest[i]})
		}
	}
	w, found := mix.Truck{Rated: td.truck.Rated, Empty: td.truck.Empty}.Weigh(tanks, totals, units, td.truck.Where)
	if len(td.spread) > 0 {
		w, found = td.heaviest(totals)
	}
	td.problems = append(td.problems, found...)
	td.out.Weight = &Weight{Load: w.Total, Payload: w.Payload, Margin: w.Margin, Working: workingOf(w.Working(units))}
	for _, l := range w.Loads {
		td.out.Weight.Items = append(td.out.Weight.Items, WeightItem{Name: l.Name, Mass: l.Mass})
	}
}

func has(products []LoadProduct, name string) bool {
	return byName(products, name, func(p *LoadProduct) string { return p.Name }) != nil
}

// containers prints "3 jugs"; it is here so that sheet and summary say the same.
func (c Container) String() string {
	if c.Count == 1 {
		return "1 " + c.Name
	}
	return fmt.Sprintf("%d %ss", c.Count, c.Name)
}
