package pass_test

import (
	"math"
	"slices"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// What a moved lawn may change and still does: wanted are 0 plans of each.
const (
	openMovedPasses = 0 // another count of passes
	openMovedLength = 2 // a length more than 0.5 % off
	openMovedWalk   = 8 // a dead walk more than 2 % off
)

// movedGround is the shapes turned by an angle and shifted, every second ring reversed, all rings begun elsewhere.
func movedGround(mp *geom.MultiPolygon, angle, dx, dy float64) *geom.MultiPolygon {
	if mp == nil {
		return nil
	}
	sin, cos := math.Sincos(angle)
	out := geom.NewMultiPolygon(geom.XY)
	for i := range mp.NumPolygons() {
		p := geom.NewPolygon(geom.XY)
		for k := range mp.Polygon(i).NumLinearRings() {
			cs := mp.Polygon(i).LinearRing(k).Coords()
			cs = cs[:len(cs)-1]
			ring := make([]geom.Coord, 0, len(cs)+1)
			for j := range cs {
				c := cs[(j+len(cs)/3+1)%len(cs)]
				ring = append(ring, geom.Coord{cos*c[0] - sin*c[1] + dx, sin*c[0] + cos*c[1] + dy})
			}
			if k%2 == 0 {
				slices.Reverse(ring)
			}
			ring = append(ring, ring[0])
			if err := p.Push(geom.NewLinearRing(geom.XY).MustSetCoords(ring)); err != nil {
				panic(err)
			}
		}
		if err := out.Push(p); err != nil {
			panic(err)
		}
	}
	return out
}

func movedLawn(l pass.Lawn, angle, dx, dy float64) pass.Lawn {
	out := pass.Lawn{Net: movedGround(l.Net, angle, dx, dy), NoWalk: movedGround(l.NoWalk, angle, dx, dy), LeftOut: map[geo.Surface]*geom.MultiPolygon{}}
	for k, mp := range l.LeftOut {
		out.LeftOut[k] = movedGround(mp, angle, dx, dy)
	}
	sin, cos := math.Sincos(angle)
	for _, c := range l.Trucks {
		out.Trucks = append(out.Trucks, geom.Coord{cos*c[0] - sin*c[1] + dx, sin*c[0] + cos*c[1] + dy})
	}
	return out
}

// A lawn that is turned, moved and drawn from another corner the other way round gets the same plan.
func TestMovedLawnKeepsItsPlan(t *testing.T) {
	counts, lengths, walks, plans := 0, 0, 0, 0
	angles := []float64{0, 1.234}
	if few() {
		angles = angles[1:2]
	}
	for k, ref := range referenceLawns(t) {
		if few() && k%4 > 0 {
			continue
		}
		for j, s := range []pass.Setup{gun7, boom(7*unit.Foot, 1)()} {
			l := ref.lawn
			if j == 0 {
				l.Trucks = []geom.Coord{l.Net.Polygon(0).LinearRing(0).Coord(0)}
			}
			want, err := pass.Lay(l, s)
			if err != nil {
				t.Fatalf("%s: %v", ref.name, err)
			}
			for i, angle := range angles {
				ml := movedLawn(l, angle, 7.7*float64(i), -3.3)
				got, err := pass.Lay(ml, s)
				if err != nil {
					t.Fatalf("%s: %v", ref.name, err)
				}
				plans++
				length, dead := float64(got.SprayedLength/want.SprayedLength)-1, float64(got.DeadWalk-want.DeadWalk)
				if len(got.Passes) != len(want.Passes) {
					counts++
					t.Logf("%s, %d laps, turned by %v: %d passes, not %d; length %+.2f %%", ref.name, s.Laps, angle, len(got.Passes), len(want.Passes), 100*length)
				}
				if math.Abs(length) > 0.005 {
					lengths++
				}
				if math.Abs(dead) > 0.02*float64(want.DeadWalk)+0.05 {
					walks++
					t.Logf("%s, %d laps, turned by %v: dead walk %.1f m, not %.1f", ref.name, s.Laps, angle, float64(got.DeadWalk), float64(want.DeadWalk))
				}
			}
		}
	}
	t.Logf("%d plans of moved lawns: %d with another count, %d with another length, %d with another dead walk", plans, counts, lengths, walks)
	if counts > openMovedPasses || lengths > openMovedLength || walks > openMovedWalk {
		t.Errorf("at most %d, %d and %d are open", openMovedPasses, openMovedLength, openMovedWalk)
	}
}

// Each count and length follows by hand from the dimensions, in feet with a swath of 7 ft: 49 = 7 x 7; a hole of 14 x 14 on the
// strip lines splits 2 of 10 strips of 70 ft and takes 28 ft; an L of two arms 20 ft wide has 3 strips an arm; 8 ft are 2 strips.
func TestHandCasesPassTheChecks(t *testing.T) {
	for _, c := range []struct {
		name   string
		net    *geom.MultiPolygon
		passes int
		feet   float64 // 0 when not asked
	}{
		{"exact fit", ground(box(0, 0, 100, 49)), 7, 700},
		{"an inch over", ground(box(0, 0, 100, 49+1.0/12)), 8, 800},
		{"hole on the strip lines", ground(box(0, 0, 70, 70), box(28, 28, 14, 14)), 12, 672},
		{"two arms of 20 ft", ground([]geom.Coord{{0, 0}, {110, 0}, {110, 20}, {20, 20}, {20, 110}, {0, 110}}), 6, 0},
		{"verge of 8 ft", ground(box(0, 0, 90, 8)), 2, 180},
	} {
		for angle := range 3 {
			l := pass.Lawn{Net: movedGround(c.net, float64(angle), 3, 4)}
			p, err := pass.Lay(l, gun7)
			if err != nil {
				t.Errorf("%s: %v", c.name, err)
				continue
			}
			if got := p.SprayedLength.In(unit.Foot); len(p.Passes) != c.passes || c.feet > 0 && math.Abs(got-c.feet) > 0.05 {
				t.Errorf("%s, turned by %d: %d passes of %.2f ft together, want %d of %.0f", c.name, angle, len(p.Passes), got, c.passes, c.feet)
			}
			if r := passtest.Check(passtest.Of(l, p), passtest.Wanted()); len(r.Faults) > 0 {
				t.Errorf("%s, turned by %d: %v", c.name, angle, r.Faults)
			}
		}
	}
}
