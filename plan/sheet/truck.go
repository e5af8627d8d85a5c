package sheet

import (
	"fmt"

	"tankful/calc/unit"
	"tankful/plan"
)

// writer holds a plan and what of it belongs to one truck.
type writer struct {
	p     *plan.Plan
	u     unit.System
	day   *plan.TruckDay
	stops []*plan.StopPlan
	loads []*plan.Load
	mixes map[string]*plan.MixPlan
	opt   Options
}

// Truck is the document for one truck of a plan: the load page, a page for each stop in visit
// order, and the working, or what of it the options ask for. It fails when the plan has no such truck or does not hold together, and when
// nothing of what is asked for is there.
func Truck(p *plan.Plan, truck string, opt Options) (*Document, error) {
	w, err := newWriter(p, truck)
	if err != nil {
		return nil, err
	}
	w.opt = opt
	d, err := w.document(fmt.Sprintf("%s, %s, %s", orDash(p.Outfit), named("truck", truck), p.Date))
	if err != nil {
		return nil, err
	}
	if opt.wants(Loads) {
		d.Pages = append(d.Pages, w.loadPage())
	}
	for _, s := range w.stops {
		if opt.wants(Stops) && (opt.Property == "" || s.Property == opt.Property) {
			d.Pages = append(d.Pages, w.stopPage(s))
		}
	}
	if opt.wants(Working) {
		if pg, ok := w.appendix(); ok {
			d.Pages = append(d.Pages, pg)
		}
	}
	if len(d.Pages) == 0 {
		return nil, fmt.Errorf("sheet: %s has nothing of what is asked for", named("truck", truck))
	}
	return d, nil
}

// document is one of the plan's without its pages.
func (w *writer) document(title string) (*Document, error) {
	paper, err := w.opt.paper(w.u)
	if err != nil {
		return nil, err
	}
	return &Document{Title: title, Date: w.p.Date, Fingerprint: w.p.Fingerprint, Paper: paper, Invented: w.p.Invented}, nil
}

func newWriter(p *plan.Plan, truck string) (*writer, error) {
	if p == nil {
		return nil, fmt.Errorf("sheet: no plan")
	}
	if p.Units != unit.US && p.Units != unit.Metric {
		return nil, fmt.Errorf("sheet: the plan's units are %q, not us or metric", p.Units)
	}
	w := &writer{p: p, u: p.Units, mixes: map[string]*plan.MixPlan{}}
	for i := range p.Mixes {
		w.mixes[p.Mixes[i].Name] = &p.Mixes[i]
	}
	for i := range p.Trucks {
		if p.Trucks[i].Truck == truck {
			w.day = &p.Trucks[i]
		}
	}
	if w.day == nil {
		return nil, fmt.Errorf("sheet: the plan has no truck %q", truck)
	}
	for i := range p.Stops {
		if s := &p.Stops[i]; s.Truck == truck {
			if w.mixes[s.Mix] == nil {
				return nil, fmt.Errorf("sheet: stop %s uses the mix %q, which the plan does not have", s.Property, s.Mix)
			}
			w.stops = append(w.stops, s)
		}
	}
	for i := range p.Loads {
		if l := &p.Loads[i]; l.Truck == truck {
			if w.mixes[l.Mix] == nil {
				return nil, fmt.Errorf("sheet: load %d uses the mix %q, which the plan does not have", l.N, l.Mix)
			}
			w.loads = append(w.loads, l)
		}
	}
	return w, nil
}

// part is what one load does at one stop.
type part struct {
	load   *plan.Load
	stop   *plan.LoadStop
	before unit.Volume // gauge reading on arrival
	last   bool        // of this load
}

// parts lists what the truck's loads do at a stop, in order.
func (w *writer) parts(s *plan.StopPlan) []part {
	var list []part
	for _, l := range w.loads {
		gauge := l.Gauge
		for i := range l.Stops {
			if ls := &l.Stops[i]; ls.Stop == s.N {
				list = append(list, part{load: l, stop: ls, before: gauge, last: i == len(l.Stops)-1})
			}
			gauge = l.Stops[i].Gauge
		}
	}
	return list
}

// stop is the truck's n-th visit; nil when it has none.
func (w *writer) stop(n int) *plan.StopPlan {
	for _, s := range w.stops {
		if s.N == n {
			return s
		}
	}
	return nil
}

func (w *writer) product(m *plan.MixPlan, name string) *plan.ProductPlan {
	for i := range m.Products {
		if m.Products[i].Name == name {
			return &m.Products[i]
		}
	}
	return nil
}
