package sheet

import (
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan"
	"tankful/plan/sheet/sheettest"
)

// Each bearing is named by the nearest eighth of a turn: 22 and 158 degrees are north-south, 23 is not.
func TestWaysInWords(t *testing.T) {
	w := writer{u: unit.US}
	straight := func(bearing float64, n int) plan.PassSection {
		return plan.PassSection{Kind: "straight", Bearing: bearing, Passes: n}
	}
	for want, sections := range map[string][]plan.PassSection{
		"9 north-south, 5 east-west, 1 lap":          {{Kind: "edge lap", Passes: 1}, straight(90, 5), straight(179, 5), straight(22, 4)},
		"2 northeast-southwest, 1 north-south":       {straight(23, 2), straight(158, 1)},
		"3 northwest-southeast, 2 along narrow turf": {straight(135, 3), {Kind: "follow", Bearing: 10, Passes: 2}},
		"": nil,
	} {
		if got := w.ways(plan.PassPlan{Sections: sections}); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}

func TestHoseInWords(t *testing.T) {
	ps := plan.PassPlan{Count: 14, Reach: &plan.HoseReach{Most: 142 * unit.Foot}, List: []plan.PassLine{{N: 8, Hose: 100 * unit.Foot}, {N: 9, Hose: 142 * unit.Foot}, {N: 10, Hose: 90 * unit.Foot}}}
	w := writer{u: unit.US}
	check := func(want string) {
		t.Helper()
		if got := w.hose(ps); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	check("142 ft for pass 9")
	ps.Reach.Bends = make([]plan.Point, 2)
	check("142 ft for pass 9, in all round 2 corners")
	ps.Reach.OnWet, ps.Reach.Out, ps.Reach.Hose = 3, []int{9}, 120*unit.Foot
	check("142 ft for pass 9, in all round 2 corners, on wet turf in 3 of 14 passes; 1 pass out of reach of 120 ft")
}

// A stop with a lap, a crossing with the gun shut, a walk worth drawing and a second place for the truck.
func TestWhatTheMapShows(t *testing.T) {
	p := sheettest.Plan()
	s := &p.Stops[0]
	list := s.Passes.List
	list[0].Kind, list[2].Kind = "edge lap", "follow"
	list[1].Off = [][2]unit.Length{{1, 2}}
	list[1].WalkTo, list[1].Way = 1*unit.Foot, []geom.Coord{{0, 0}, {0, 1}}
	list[2].WalkTo, list[2].Way = 90*unit.Foot, []geom.Coord{{0, 0}, {0, 27}}
	s.Map.Trucks, s.Map.Second = []geom.Coord{s.Map.Truck, {1, 2}}, geom.Coord{3, 4}
	s.Passes.Sections = []plan.PassSection{{Kind: "edge lap", Passes: 1}, {Kind: "straight", Bearing: 90, Passes: s.Passes.Count - 1, Spacing: 9.5 * unit.Foot}}
	p.Mixes[0].EdgeLaps, p.Mixes[0].EdgeLapsUsual, p.Mixes[0].Kind = 1, true, plan.Boom
	d := document(t, p)
	var m Map
	for _, b := range d.Pages[1].Blocks {
		if x, ok := b.(Map); ok {
			m = x
		}
	}
	if !m.Passes[0].Lap || m.Passes[0].Label() != "LAP 1" || m.Passes[2].Lap || m.Passes[2].TouchUp || len(m.Passes[1].Off) != 1 {
		t.Errorf("passes: %+v", m.Passes[:3])
	}
	if m.Passes[1].Way != nil || len(m.Passes[2].Way) != 2 { // swaths are 10 ft: a step aside, and a walk
		t.Errorf("ways: %v and %v, want none and one", m.Passes[1].Way, m.Passes[2].Way)
	}
	text := (&Document{Pages: []Page{d.Pages[1]}}).Text()
	for _, want := range []string{"TRUCK at", "TRUCK 2 at 1.0 2.0 m", "TRUCK FOR THE REST at 3.0 4.0 m", "LAP 1 START", "east-west, 1 lap", "9.5 ft to 10.0 ft apart",
		"1 walk along each edge first, as is usual for a boom.", "L: edge lap."} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is missing from\n%s", want, text)
		}
	}
}
