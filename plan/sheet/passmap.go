package sheet

import (
	"math"

	"github.com/twpayne/go-geom"

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
	mp.Edges = mainEdges(mp.Turf, units)
	for _, z := range ground.Zones {
		mp.Zones = append(mp.Zones, ZoneGround{plan.ZoneName(z.Zone), z.Shape.MultiPolygon})
	}
	beyond := map[int]bool{}
	if p.Reach != nil {
		if p.Reach.Hose > 0 && goesBeyond(mp.Turf, ground.Trucks, p.Reach.Hose) {
			mp.Hose = p.Reach.Hose
		}
		for _, n := range p.Reach.Out {
			beyond[n] = true
		}
	}
	for _, l := range p.List {
		if len(l.Line) >= 2 {
			q := MapPass{N: l.N, TouchUp: l.Kind == string(pass.TouchUp), Lap: l.Kind == string(pass.Lap), Line: l.Line, Off: l.Off, Beyond: beyond[l.N]}
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

// goesBeyond reports whether turf lies further from each of the truck's places than the hose is long.
func goesBeyond(turf *geom.MultiPolygon, trucks []geom.Coord, hose unit.Length) bool {
	if turf == nil || len(trucks) == 0 {
		return false
	}
	flat := turf.FlatCoords()
	for i := 0; i+1 < len(flat); i += 2 {
		near := math.Inf(1)
		for _, t := range trucks {
			near = min(near, math.Hypot(flat[i]-t[0], flat[i+1]-t[1]))
		}
		if near > hose.In(unit.Metre) {
			return true
		}
	}
	return false
}
