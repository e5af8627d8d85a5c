package sheet

import (
	"fmt"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// PassMap is the map of one property's passes, without a day: with its truck and where its passes begin.
func PassMap(m *plan.Map, p *plan.PassPlan, units unit.System) Map {
	mp := Map{Units: units, Turf: m.Turf.MultiPolygon, Swath: p.Swath, Scales: scalesUS}
	if units == unit.Metric {
		mp.Scales = scalesMetric
	}
	for _, sf := range geo.LeftOut {
		if sh, ok := m.LeftOut[sf]; ok && sh.MultiPolygon != nil && sh.NumPolygons() > 0 {
			mp.LeftOut = append(mp.LeftOut, Ground{Surface: sf, Label: surfaceWords[sf], Shape: sh.MultiPolygon})
		}
	}
	for _, l := range p.List {
		if len(l.Line) >= 2 {
			mp.Passes = append(mp.Passes, MapPass{N: l.N, TouchUp: touchUp(l), Line: l.Line})
		}
	}
	if len(m.Truck) >= 2 {
		mp.Marks = append(mp.Marks, Mark{Kind: AtTruck, At: m.Truck, Text: "TRUCK"})
	}
	if len(mp.Passes) > 0 {
		mp.Marks = append(mp.Marks, Mark{Kind: AtStart, At: mp.Passes[0].Line[0], Text: fmt.Sprintf("%d START", mp.Passes[0].N)})
	}
	return mp
}
