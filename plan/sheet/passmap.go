package sheet

import (
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
	"tankful/plan/pass"
)

// PassMap is the map of one property's passes: its turf and what is left out, the walk, the truck, and where the passes begin.
func PassMap(ground *plan.Map, p *plan.PassPlan, units unit.System) Map {
	mp := Map{Units: units, Turf: ground.Turf.MultiPolygon, Swath: p.Swath, Scales: scalesUS}
	if units == unit.Metric {
		mp.Scales = scalesMetric
	}
	for _, sf := range geo.LeftOut {
		if sh, ok := ground.LeftOut[sf]; ok && sh.MultiPolygon != nil && sh.NumPolygons() > 0 {
			mp.LeftOut = append(mp.LeftOut, Ground{Surface: sf, Label: surfaceWords[sf], Shape: sh.MultiPolygon})
		}
	}
	for _, l := range p.List {
		if len(l.Line) >= 2 {
			q := MapPass{N: l.N, TouchUp: l.Kind == string(pass.TouchUp), Lap: l.Kind == string(pass.Lap), Line: l.Line, Off: l.Off}
			if l.WalkTo > asideSteps*p.Swath {
				q.Way = l.Way
			}
			mp.Passes = append(mp.Passes, q)
		}
	}
	mp.Marks = trucks(ground)
	if len(mp.Passes) > 0 {
		mp.Marks = append(mp.Marks, Mark{Kind: AtStart, At: mp.Passes[0].Line[0], Text: mp.Passes[0].Label() + " START"})
	}
	return mp
}
