package sheettest

import (
	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/unit"
	"tankful/plan"
)

// fill gives a load its marks and its working.
func fill(l *plan.Load, m plan.MixPlan, u unit.System) {
	r := mix.Recipe{Carrier: m.Carrier}
	for _, p := range m.Products {
		r.Parts = append(r.Parts, mix.Part{Product: label.Product{Name: p.Name, Form: p.Form, Class: p.Class, InTank: 1.5 * unit.KilogramPerLitre,
			Label: label.Label{Most: p.Most}}, Rate: p.Rate})
	}
	g, problems := r.Filling(mix.Fill{Volume: l.Volume, Fill: l.Fill, Gauge: l.Gauge}, u, "sheettest")
	if err := problems.Err(); err != nil {
		panic(err)
	}
	l.Before = u.RoundVolume(l.Gauge - l.Fill)
	l.Water, l.StartGauge, l.Working = g.Water, g.Marks[0].Gauge, g.Working(u)
	for i := range l.Products {
		l.Products[i].Gauge = g.Marks[i+1].Gauge
	}
}

// carry is what both loads take: 550.2 + 175.6 fl oz and 68.78 + 21.95 lb.
func carry() []plan.Carry {
	return []plan.Carry{
		{Product: "Example granule 75 WG", Registration: "INV-75", Amount: label.Amount{Dry: 90.73 * unit.Pound}, Back: label.Amount{Dry: 9.27 * unit.Pound},
			Containers: []plan.Container{{Name: "bag", Holds: label.Amount{Dry: 50 * unit.Pound}, Count: 2}}, Loads: []int{1, 2}},
		{Product: "Example weed control L", Registration: "INV-6", Amount: label.Amount{Liquid: 725.8 * unit.FluidOunce}, Containers: []plan.Container{}, Loads: []int{1, 2}},
	}
}

// In turns a plan to other units: its figures stay, its working is written anew.
func In(p *plan.Plan, u unit.System) {
	p.Units = u
	for i := range p.Loads {
		fill(&p.Loads[i], p.Mixes[0], u)
	}
}
