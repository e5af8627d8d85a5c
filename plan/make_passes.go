package plan

import (
	"errors"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/overlay"
	"tankful/plan/pass"
)

// Laying is what the laying of passes takes besides the ground and the applicator.
type Laying struct {
	// Bearing fixes the direction of the passes, in degrees clockwise from north, 0 to under 360; nil is the best directions.
	Bearing *float64
	// Pace is the calibrated pace of whoever walks them, 0 when it is not known.
	Pace unit.Speed
}

// What one more pass costs in walking, in the choice of directions.
const (
	usualTurn = 8 * unit.Metre // about 6 s at 3 mph, where the pace is not known (an assumption; time it in the field)
	dearTurn  = unit.Kilometre // more than any lawn saves by another pass
)

// LayPasses lays the passes of an applicator over a measured property. The errors are those of pass.Lay.
func LayPasses(site *geo.Site, a *Applicator, how Laying) (*pass.Plan, error) {
	l := pass.Lawn{Net: site.Net, LeftOut: site.Exclusions}
	var walls []*geom.MultiPolygon
	for _, s := range []geo.Surface{geo.Building, geo.Water} {
		if mp := site.Exclusions[s]; mp != nil {
			walls = append(walls, mp)
		}
	}
	if len(walls) > 0 {
		noWalk, err := overlay.Union(walls...)
		if err != nil {
			return nil, err
		}
		l.NoWalk = noWalk
	}
	for _, t := range site.Property.Trucks {
		l.Trucks = append(l.Trucks, site.Frame.Forward(t))
	}
	return pass.Lay(l, pass.Setup{Swath: a.Swath, Trims: a.Kind.Trims(), SideStep: a.SideStep, GunOff: a.GunOff, Laps: a.EdgeLaps(), Even: a.Even,
		Bearing: how.Bearing, TurnCost: a.turnCost(how.Pace), FarFirst: a.FarFirst, Hose: a.Hose})
}

// turnCost is the walking that one more pass is worth.
func (a *Applicator) turnCost(pace unit.Speed) unit.Length {
	switch {
	case a.Objective == FewestPasses:
		return dearTurn
	case a.Objective == LeastSpray:
		return 0
	case pace > 0:
		return pace.For(a.TurnTime)
	}
	return usualTurn
}

// PassProblem puts an error of LayPasses in the user's words.
func PassProblem(err error, where string) problem.Problem {
	p := problem.Problem{Code: "passes-refused", Severity: problem.Error, Where: where, What: err.Error(), Fix: "Check the outline and the applicator."}
	switch {
	case errors.Is(err, pass.ErrNoTurf):
		p.Code, p.Fix = "no-turf", "Leave the stop out, or mend its outline."
	case errors.Is(err, pass.ErrLaps):
		p.Fix = "Lay this property without edge laps."
	}
	return p
}

// sprayedArea is what the mix is reckoned for: the net turf for an applicator that trims, and what the passes put out, as an
// area at the carrier rate, where they are of a fixed width or closer together than the swath.
func sprayedArea(site *geo.Site, laid *pass.Plan) unit.Area {
	if laid.Setup.Trims && !laid.Setup.Even {
		return site.NetArea
	}
	a := unit.Area(0)
	for i := range laid.Passes {
		a += laid.Passes[i].Sprayed
	}
	return a
}

// PassesOf is the passes over a property as every command prints them; SoFar and Walk are left at zero.
func PassesOf(s *geo.Site, p *pass.Plan) PassPlan {
	out := PassPlan{ID: s.Property.ID, Net: s.NetArea, Swath: p.Setup.Swath, Count: len(p.Passes), EdgeLaps: p.Laps, SprayedLength: p.SprayedLength,
		Turns: p.Turns, DeadWalk: p.DeadWalk, Bearing: p.Bearing, Coverage: float64(p.Covered / p.Net), Double: p.Double,
		Overspray: p.Overspray, Onto: map[geo.Surface]unit.Area{}, BoundPasses: p.BoundPasses, BoundOneWay: p.BoundOneWay, BoundLength: p.BoundLength,
		Sections: []PassSection{}, Reach: reachOf(s, p)}
	if spacing, saved, ok := p.Stretch(); ok {
		out.Stretch = &PassStretch{Spacing: spacing, Saves: saved}
	}
	for k, a := range p.Onto {
		if k == "" {
			k = Elsewhere
		}
		out.Onto[k] = a
	}
	for _, x := range p.Sections {
		out.Sections = append(out.Sections, PassSection{Kind: string(x.Kind), Bearing: x.Bearing, Spacing: x.Spacing, Passes: x.Passes, Area: x.Area})
	}
	for i := range p.Passes {
		q := &p.Passes[i]
		l := PassLine{N: q.N, Kind: string(q.Kind), Section: q.Section, Length: q.Length, Area: q.Area, Sprayed: q.Sprayed, Bearing: heading(q.Line),
			WalkTo: q.WalkTo, Way: q.Way, Hose: q.Hose, Truck: q.Truck, Line: q.Line}
		for _, o := range q.Off {
			l.Off = append(l.Off, [2]unit.Length{o.From, o.To})
		}
		out.List = append(out.List, l)
	}
	out.Zones = zonesOf(s, out.List)
	return out
}

// heading is where the last stretch of a walk goes, degrees clockwise from north, in [0, 360).
func heading(line []geom.Coord) float64 {
	for i := len(line) - 1; i > 0; i-- {
		if east, north := line[i][0]-line[i-1][0], line[i][1]-line[i-1][1]; east != 0 || north != 0 {
			h := math.Mod(math.Atan2(east, north)*180/math.Pi+360, 360)
			return h
		}
	}
	return 0
}

// reachOf is what the hose has to do, nil when no truck is known.
func reachOf(s *geo.Site, p *pass.Plan) *HoseReach {
	if p.Reach == nil {
		return nil
	}
	at := func(c geom.Coord) Point {
		q := s.Frame.Inverse(c)
		return Point{Lon: q[0], Lat: q[1]}
	}
	r := HoseReach{Hose: p.Setup.Hose, Most: p.Reach.Most, Out: append([]int{}, p.Reach.Out...), OnWet: p.Reach.OnWet, Bends: []Point{}}
	if p.Reach.Second != nil {
		second := at(*p.Reach.Second)
		r.Second = &second
	}
	for _, b := range p.Reach.Bends {
		r.Bends = append(r.Bends, at(b))
	}
	return &r
}

// PutOut fills in the mix that passes put out at a rate, SoFar by SoFar, as PassesOf gave them.
func (p *PassPlan) PutOut(rate unit.VolumePerArea) {
	sum := unit.Area(0)
	for i := range p.List {
		sum += p.List[i].Sprayed
		p.List[i].SoFar = rate.Over(sum)
	}
}

// DryPlaces are where tankfuls run dry within the passes at a rate, in walking order: onBoard is in the tank at the first pass, and tank
// what each later filling puts out; see pass.Plan.DryPoints.
func DryPlaces(s *geo.Site, laid *pass.Plan, rate unit.VolumePerArea, onBoard, tank unit.Volume) []DryPlace {
	out := []DryPlace{}
	for _, d := range laid.DryPoints(onBoard.At(rate), tank.At(rate)) {
		at := s.Frame.Inverse(d.At)
		out = append(out, DryPlace{Load: d.Load, Pass: d.Pass, Into: d.Into, Lon: at[0], Lat: at[1], At: d.At})
	}
	return out
}
