package pass_test

import (
	"slices"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// ground gives rings in feet as one polygon, the first its shell.
func ground(rings ...[]geom.Coord) *geom.MultiPolygon {
	p := geom.NewPolygon(geom.XY)
	for _, ring := range rings {
		var cs []geom.Coord
		for _, c := range append(ring[:len(ring):len(ring)], ring[0]) {
			cs = append(cs, geom.Coord{c[0] * 0.3048, c[1] * 0.3048})
		}
		if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(cs)); err != nil {
			panic(err)
		}
	}
	mp := geom.NewMultiPolygon(geom.XY)
	if err := mp.Push(p); err != nil {
		panic(err)
	}
	return mp
}

func box(x, y, w, h float64) []geom.Coord {
	return []geom.Coord{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

// plot is a lawn of 100 x 49 ft with a bed of 5 x 5 ft, a house beyond its northern edge and a drive beyond its eastern one.
func plot() pass.Lawn {
	bed := box(40, 22, 5, 5)
	house := ground(box(30, 49, 40, 20))
	return pass.Lawn{Net: ground(box(0, 0, 100, 49), bed), NoWalk: house,
		LeftOut: map[geo.Surface]*geom.MultiPolygon{geo.Bed: ground(bed), geo.Building: house, geo.Hardscape: ground(box(100, 0, 10, 49))},
		Trucks:  []geom.Coord{{33, 0}}}
}

// wedge is a right triangle: every strip has one end aslant.
func wedge() pass.Lawn { return pass.Lawn{Net: ground([]geom.Coord{{0, 0}, {70, 0}, {0, 70}})} }

// planted is a subject with a plan of its own to break.
func planted(t *testing.T, l pass.Lawn, s pass.Setup) passtest.Subject {
	t.Helper()
	east := 90.0
	s.Bearing = &east
	p, err := pass.Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	for i := range p.Passes {
		p.Passes[i].Line = slices.Clone(p.Passes[i].Line)
		for k, c := range p.Passes[i].Line {
			p.Passes[i].Line[k] = slices.Clone(c)
		}
	}
	return passtest.Of(l, p)
}

// shift moves a pass's line.
func shift(p *pass.Pass, dx, dy float64) {
	for _, c := range p.Line {
		c[0], c[1] = c[0]+dx, c[1]+dy
	}
}

// drop takes a pass out and closes the ranks, so that nothing but what it did is missing.
func drop(s passtest.Subject, i int) {
	p := s.Plan
	q := p.Passes[i]
	p.Passes = slices.Delete(slices.Clone(p.Passes), i, i+1)
	p.SprayedLength -= q.Length
	p.Sections[q.Section].Passes--
	for k := range p.Passes {
		p.Passes[k].N = k + 1
	}
	p.Turns--
}

// north is the northernmost pass of the plot, next to the house.
func north(p *pass.Plan) *pass.Pass {
	best := &p.Passes[0]
	for i := range p.Passes {
		if p.Passes[i].Line[0][1] > best.Line[0][1] {
			best = &p.Passes[i]
		}
	}
	return best
}

// plantings are faults, each with the check that must cry out.
var plantings = []struct {
	name  string
	lawn  func() pass.Lawn
	fixed bool
	check string
	plant func(*passtest.Subject)
}{
	{"a pass is dropped: area", plot, false, passtest.Areas, func(s *passtest.Subject) { drop(*s, 3) }},
	{"a pass is dropped: coverage", plot, false, passtest.Coverage, func(s *passtest.Subject) { drop(*s, 3) }},
	{"a pass is dropped: points", plot, false, passtest.Points, func(s *passtest.Subject) { drop(*s, 3) }},
	{"the smallest pass is dropped, its area given away", wedge, false, passtest.Coverage, func(s *passtest.Subject) {
		least := 0
		for i, q := range s.Plan.Passes {
			if q.Area < s.Plan.Passes[least].Area {
				least = i
			}
		}
		a := s.Plan.Passes[least].Area
		drop(*s, least)
		s.Plan.Passes[0].Area += a
		s.Plan.Passes[0].Sprayed += a
	}},
	{"a line lies 10 cm off", plot, false, passtest.Coverage, func(s *passtest.Subject) { shift(&s.Plan.Passes[2], 0, 0.1) }},
	{"a line lies 10 cm off its own strip", plot, false, passtest.Treated, func(s *passtest.Subject) { shift(&s.Plan.Passes[2], 0, 0.1) }},
	{"a line runs through the house", plot, false, passtest.Walls, func(s *passtest.Subject) { shift(north(s.Plan), 0, 2) }},
	{"a line comes 3 cm into the house", plot, false, passtest.Walls, func(s *passtest.Subject) { shift(north(s.Plan), 0, 3.5*0.3048+0.03) }},
	{"a line leaves the turf for 3 m", plot, false, passtest.OffTurf, func(s *passtest.Subject) {
		q := north(s.Plan)
		shift(q, 3, 0)
	}},
	{"areas of two passes are swapped", wedge, false, passtest.Treated, func(s *passtest.Subject) {
		a, b := &s.Plan.Passes[1], &s.Plan.Passes[5]
		a.Area, b.Area = b.Area, a.Area
		a.Sprayed, b.Sprayed = a.Area, b.Area
	}},
	{"a strip is laid twice: area", plot, false, passtest.Areas, func(s *passtest.Subject) { s.Plan.Passes = append(s.Plan.Passes, s.Plan.Passes[1]) }},
	{"a strip is laid twice: overlap", plot, false, passtest.Overlaps, func(s *passtest.Subject) { s.Plan.Passes = append(s.Plan.Passes, s.Plan.Passes[1]) }},
	{"two lines are swapped", plot, false, passtest.Treated, func(s *passtest.Subject) {
		a, b := &s.Plan.Passes[0], &s.Plan.Passes[6]
		a.Line, b.Line = b.Line, a.Line
	}},
	{"the gun is off over a bed", plot, false, passtest.GunOff, func(s *passtest.Subject) {
		for i := range s.Plan.Passes {
			if q := &s.Plan.Passes[i]; q.Line[0][1] > 6.5 && q.Line[0][1] < 8.5 {
				q.Line = []geom.Coord{{0, 24.5 * 0.3048}, {100 * 0.3048, 24.5 * 0.3048}}
				q.Off = []pass.Stretch{{From: 39 * unit.Foot, To: 46 * unit.Foot}}
			}
		}
		s.Plan.Setup.GunOff = 10 * unit.Foot
	}},
	{"the gun is off over a drive, for too long", plot, false, passtest.GunOff, func(s *passtest.Subject) {
		q := north(s.Plan)
		q.Line = []geom.Coord{{0, q.Line[0][1]}, {108 * 0.3048, q.Line[0][1]}}
		q.Off = []pass.Stretch{{From: 99 * unit.Foot, To: 108 * unit.Foot}}
		s.Plan.Setup.GunOff = 5 * unit.Foot
	}},
	{"off stretches are upside down", plot, false, passtest.Lengths, func(s *passtest.Subject) {
		s.Plan.Passes[0].Off = []pass.Stretch{{From: 9, To: 8}}
	}},
	{"the way goes through the house", plot, false, passtest.Ways, func(s *passtest.Subject) {
		q := &s.Plan.Passes[4]
		q.Way = []geom.Coord{q.Way[0], {15, 16}, q.Way[len(q.Way)-1]}
		q.WalkTo = unit.Length(geom.NewLineString(geom.XY).MustSetCoords(q.Way).Length())
	}},
	{"the way is given shorter", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.Passes[4].WalkTo *= 0.99 }},
	{"the way ends beside the next pass", plot, false, passtest.Numbers, func(s *passtest.Subject) {
		q := &s.Plan.Passes[4]
		q.Way = append(slices.Clone(q.Way[:len(q.Way)-1]), geom.Coord{q.Line[0][0], q.Line[0][1] + 0.1})
	}},
	{"a number comes twice", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.Passes[3].N = 3 }},
	{"a length is 0.1 % off", plot, false, passtest.Lengths, func(s *passtest.Subject) { s.Plan.Passes[3].Length *= 1.001 }},
	{"the sum of lengths is 0.1 % off", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.SprayedLength *= 1.001 }},
	{"the dead walk is 0.1 % off", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.DeadWalk *= 1.001 }},
	{"a turn is missing", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.Turns-- }},
	{"a section has a pass less", plot, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.Sections[0].Passes-- }},
	{"a section's bearing is 10 degrees off", wedge, false, passtest.Numbers, func(s *passtest.Subject) { s.Plan.Sections[0].Bearing = 100 }},
	{"an area is a millionth off", plot, false, passtest.Areas, func(s *passtest.Subject) {
		s.Plan.Passes[3].Area *= 1.000001
		s.Plan.Passes[3].Sprayed = s.Plan.Passes[3].Area
	}},
	{"the net turf is a millionth off", plot, false, passtest.Areas, func(s *passtest.Subject) { s.Plan.Net *= 1.000001 }},
	{"a line ends half a metre early", plot, false, passtest.Coverage, func(s *passtest.Subject) {
		q := north(s.Plan)
		last := q.Line[len(q.Line)-1]
		last[0] += (q.Line[0][0] - last[0]) * 0.5 / float64(q.Length)
	}},
	{"the treated point is a share of the length", wedge, false, passtest.Along, func(s *passtest.Subject) {
		s.Along = func(p *pass.Pass, a unit.Area) unit.Length {
			return unit.Length(float64(a/p.Area) * geom.NewLineString(geom.XY).MustSetCoords(p.Line).Length())
		}
	}},
	{"the treated point is from the wrong end", wedge, false, passtest.Along, func(s *passtest.Subject) {
		s.Along = func(p *pass.Pass, a unit.Area) unit.Length { return p.Along(p.Area) - p.Along(p.Area-a) }
	}},
	{"a trapezoid lies beside the turf", plot, false, passtest.Treated, func(s *passtest.Subject) {
		s.Treated = func(p *pass.Pass) *geom.MultiPolygon {
			out := p.Swath()
			if p.N == 2 {
				for i := 0; i < len(out.FlatCoords()); i += 2 {
					out.FlatCoords()[i] += 0.3
				}
			}
			return out
		}
	}},
	{"trapezoids reach into the next strip", plot, false, passtest.Overlaps, func(s *passtest.Subject) {
		s.Treated = func(p *pass.Pass) *geom.MultiPolygon {
			out := p.Swath()
			for i := 1; p.N == 2 && i < len(out.FlatCoords()); i += 2 {
				out.FlatCoords()[i] += 0.2
			}
			return out
		}
	}},
	{"the bound is above the plan", plot, false, passtest.Bounds, func(s *passtest.Subject) { s.Plan.BoundPasses = len(s.Plan.Passes) + 1 }},
	{"the bound on length is 0.1 % off", plot, false, passtest.Bounds, func(s *passtest.Subject) { s.Plan.BoundLength *= 1.001 }},
	{"covered is given 1 % too high", plot, false, passtest.Figures, func(s *passtest.Subject) { s.Plan.Covered *= 1.01 }},
	{"double is left out", func() pass.Lawn { return pass.Lawn{Net: ground(box(0, 0, 100, 51))} }, false, passtest.Figures, func(s *passtest.Subject) { s.Plan.Double = 0 }},
	{"overspray is left out", wedge, true, passtest.Figures, func(s *passtest.Subject) { s.Plan.Overspray, s.Plan.Onto = 0, nil }},
	{"a boom is charged for turf alone", wedge, true, passtest.Lengths, func(s *passtest.Subject) { s.Plan.Passes[2].Sprayed = s.Plan.Passes[2].Area }},
	{"a hose is shorter than the straight line", plot, false, passtest.Reach, func(s *passtest.Subject) {
		s.Plan.Passes[5].Hose = 1
		s.Plan.Reach = &pass.Reach{Most: 1}
	}},
}

// Good plans have no faults; each planted fault is found by the check that is there for it.
func TestPlantedFaultsAreFound(t *testing.T) {
	for _, f := range plantings {
		s := gun7
		s.Trims = !f.fixed
		subject := planted(t, f.lawn(), s)
		if r := passtest.Check(subject, passtest.Wanted()); len(r.Faults) > 0 {
			t.Errorf("%s: the plan has faults before it is broken: %v", f.name, r.Faults)
			continue
		}
		f.plant(&subject)
		if r := passtest.Check(subject, passtest.Wanted()); !r.Found(f.check) {
			t.Errorf("%s: %q is silent; found %v", f.name, f.check, r.Faults)
		}
	}
	t.Logf("%d faults planted", len(plantings))
}
