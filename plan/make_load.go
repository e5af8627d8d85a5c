package plan

import (
	"tankful/calc/unit"
	"tankful/plan/route"
)

// load adds one filling with its products and stops.
func (td *truckDay) load(leg *route.Leg, r *route.Load) {
	units := td.maker.day.Units
	for i := range leg.Visits { // visits are numbered as they come, loads name them
		td.number(leg.Visits[i].Stop)
	}
	mp, c, tank := &td.plan.Mixes[r.Mix], td.carried[r.Mix], &td.tanks[r.Tank]
	heel, before := int(td.shift.Tanks[r.Tank].Heel), 0
	if tank.wet {
		before = heel + int(tank.left)
	}
	gauge := before + int(r.Put)
	l := Load{N: len(td.plan.Loads) + 1, Truck: td.truck.Name, Tank: td.truck.Tanks[r.Tank].Name, Mix: mp.Name,
		Volume: fromTicks(int(r.Volume), units), Fill: fromTicks(int(r.Put), units), Gauge: fromTicks(gauge, units), Extra: fromTicks(int(r.Extra), units),
		Before: fromTicks(before, units), Products: []LoadProduct{}, Held: r.Put == 0}
	if r.Put > 0 {
		l.FillPoint = td.maker.day.FillPoints[leg.Fill].Name
		td.products(&l, c.recipe, r.Tank)
	} else {
		l.Covers = l.Volume.At(c.recipe.Carrier)
		l.Working = workingOf(nil)
	}
	left := gauge
	for _, p := range r.Parts {
		s, w := &td.plan.Stops[p.Stop], &td.work[p.Stop]
		left -= int(p.Volume)
		ls := LoadStop{Stop: td.number(p.Stop), Property: s.Property, Name: s.Name, Volume: fromTicks(int(p.Volume), units), FromPass: max(p.From, s.DonePasses) + 1,
			ToPass: p.To + 1, Whole: p.Whole, Gauge: fromTicks(left, units)}
		if p.Within {
			ls.DryAt = w.dryAt(p.To, float64(p.IntoLast)/float64(w.ticks[p.To]))
		}
		if !p.Whole {
			ls.Dry = w.dry(p.To, ls.DryAt)
		}
		l.Stops = append(l.Stops, ls)
	}
	tank.used, tank.wet, tank.left = true, true, route.Ticks(left-heel)-r.Extra
	td.plan.Loads = append(td.plan.Loads, l)
}

// dryAt is how far into a pass the given share of its mix is gone.
func (w *work) dryAt(pass int, share float64) unit.Length {
	q := &w.passes.Passes[pass]
	return w.passes.SprayedAt(q.N, unit.Area(share*float64(q.Sprayed)))
}

// dry is the place that far into a pass, its end for 0.
func (w *work) dry(pass int, into unit.Length) *Point {
	q := &w.passes.Passes[pass]
	at := q.Line[len(q.Line)-1]
	if into > 0 {
		at = q.At(into)
	}
	p := w.stop.Site.Frame.Inverse(at)
	return &Point{Lon: p[0], Lat: p[1]}
}
