package passtest

import (
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass"
)

// lines checks where a pass walks: not over walls, not off the turf for long with the gun on, with it off on hardscape.
func (r *run) lines() {
	step := float64(r.Plan.Setup.SideStep)
	for i := range r.Plan.Passes {
		q := &r.Plan.Passes[i]
		for _, s := range r.walls.stays(walkOf(q.Line), true, 0, 0.001) {
			r.report.Deepest = max(r.report.Deepest, unit.Length(s.deep))
			if s.deep > float64(r.lim.Deep) {
				r.fault(Walls, "pass %d goes %.3f m into a building or water, over %.2f m, at %.2f, %.2f", q.N, s.deep, s.to-s.from, s.where.x, s.where.y)
			}
		}
		for _, walk := range sprayed(q) {
			for _, s := range r.net.stays(walk, false, step+0.02, float64(r.lim.Ground)) {
				r.fault(OffTurf, "pass %d is off the turf for %.2f m, %.3f m deep, at %.2f, %.2f", q.N, s.to-s.from, s.deep, s.where.x, s.where.y)
			}
		}
		for _, o := range q.Off {
			r.crossing(q, stretch(walkOf(q.Line), float64(o.From), float64(o.To)))
		}
	}
}

// crossing checks one stretch with the gun off: what of it is not turf is hardscape, and no longer than allowed. At
// the corner of a lap the walker may step over anything, as with the gun on.
func (r *run) crossing(q *pass.Pass, walk []pt) {
	n, hard := q.N, r.leftOut(geo.Hardscape)
	for _, s := range r.net.stays(walk, false, 0, float64(r.lim.Ground)) {
		l := s.to - s.from
		if q.Kind == pass.Lap && l <= float64(r.Plan.Setup.SideStep)+0.02 {
			continue
		}
		if l > float64(r.Plan.Setup.GunOff)+0.02 {
			r.fault(GunOff, "pass %d crosses %.2f m with the gun off, at %.2f, %.2f", n, l, s.where.x, s.where.y)
		}
		if hard == nil || !hard.has(s.where) {
			r.fault(GunOff, "pass %d crosses what is not hardscape at %.2f, %.2f", n, s.where.x, s.where.y)
			continue
		}
		for _, k := range []geo.Surface{geo.Building, geo.Water, geo.Bed, geo.KeepOff} {
			g := r.leftOut(k)
			if g == nil {
				continue
			}
			for _, in := range g.stays(stretch(walk, s.from, s.to), true, 0, 0.05) {
				r.fault(GunOff, "pass %d crosses %s with the gun off at %.2f, %.2f", n, k, in.where.x, in.where.y)
			}
		}
	}
}

// ways checks the dead walks.
func (r *run) ways() {
	for i := range r.Plan.Passes {
		q := &r.Plan.Passes[i]
		for _, s := range r.walls.stays(walkOf(q.Way), true, 0, 0.001) {
			r.report.WayDeepest = max(r.report.WayDeepest, unit.Length(s.deep))
			if s.deep > float64(r.lim.Way) {
				r.fault(Ways, "the way to pass %d goes %.3f m into a building or water, over %.2f m, at %.2f, %.2f", q.N, s.deep, s.to-s.from, s.where.x, s.where.y)
			}
		}
	}
}
