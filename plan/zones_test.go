package plan_test

import (
	"testing"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

// zoned is two lawns of one property, 20 m x 9.9 m in front and 30 m x 19.9 m behind, 30 m apart.
func zoned() *geo.Property {
	p := rectangle("Z", 0, 0, 20, 9.9, false)
	p.Outlines[0].Zone = "front"
	back := rectangle("Z", 0, 40, 30, 19.9, false).Outlines[0]
	back.Zone, back.Where = "back", "test: back"
	p.Outlines = append(p.Outlines, back)
	return p
}

// By hand: strips of 2 m along the longer side, 9.9 / 2 = 5 in front and 19.9 / 2 = 10 behind.
func TestPassesOfZones(t *testing.T) {
	s := measured(zoned())
	laid, err := plan.LayPasses(s, &plan.Applicator{Name: "gun", Kind: plan.Gun, Swath: 2 * unit.Metre, Laps: new(int)}, plan.Laying{})
	if err != nil {
		t.Fatal(err)
	}
	got := plan.PassesOf(s, laid)
	if len(got.Zones) != 2 || got.Zones[0] != (plan.PassZone{Zone: "front", Passes: 5}) || got.Zones[1] != (plan.PassZone{Zone: "back", Passes: 10}) {
		t.Errorf("got %+v of %d passes, want 5 in front and 10 behind", got.Zones, got.Count)
	}
	if m := plan.MapOf(s); len(m.Zones) != 2 || m.Zones[1].Zone != "back" || m.Zones[1].Shape.NumPolygons() != 1 {
		t.Errorf("the map's zones are %+v", m.Zones)
	}
}

// Turf that says no zone has none; turf of which a part says one is counted under both.
func TestZonesAddUp(t *testing.T) {
	lay := func(p *geo.Property) plan.PassPlan {
		s := measured(p)
		laid, err := plan.LayPasses(s, &plan.Applicator{Name: "gun", Kind: plan.Gun, Swath: 2 * unit.Metre}, plan.Laying{})
		if err != nil {
			t.Fatal(err)
		}
		return plan.PassesOf(s, laid)
	}
	if got := lay(rectangle("Z", 0, 0, 20, 10, true)); got.Zones != nil {
		t.Errorf("turf without zones has %+v", got.Zones)
	}
	p := rectangle("Z", 0, 0, 50, 40, true)
	half := orb.MultiPolygon{{{metresAway(0, 0), metresAway(21, 0), metresAway(21, 40), metresAway(0, 40), metresAway(0, 0)}}}
	p.Outlines = append([]geo.Outline{{Surface: geo.Turf, Zone: "west", Polygon: half, Where: "test: west"}}, p.Outlines...)
	got, sum := lay(p), 0
	for _, z := range got.Zones {
		sum += z.Passes
	}
	if len(got.Zones) != 2 || sum != got.Count || plan.ZoneName(got.Zones[1].Zone) != "no zone" {
		t.Errorf("zones %+v come to %d of %d passes", got.Zones, sum, got.Count)
	}
}
