package sheet

import (
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/plan"
)

func ringOf(corners ...geom.Coord) *geom.MultiPolygon {
	return geom.NewMultiPolygon(geom.XY).MustSetCoords([][][]geom.Coord{{append(corners, corners[0])}})
}

// A lawn of 30 m x 20 m whose long edge is drawn with a corner in its middle, 0.5 m out: 2 x 15.008 m bend by 3.8 degrees, which is one edge.
func TestMainEdges(t *testing.T) {
	turf := ringOf(geom.Coord{0, 0}, geom.Coord{15, -0.5}, geom.Coord{30, 0}, geom.Coord{30, 20}, geom.Coord{0, 20})
	got := mainEdges(turf, unit.Metric)
	if len(got) != 4 {
		t.Fatalf("%d edges, want 4: %+v", len(got), got)
	}
	for i, want := range []string{"30.0 m", "30.0 m", "20.0 m", "20.0 m"} {
		if got[i].Text != want {
			t.Errorf("edge %d is %s, want %s", i, got[i].Text, want)
		}
	}
	for _, e := range got { // out is away from the middle
		if (e.From[0]+e.To[0]-30)*e.Out[0]+(e.From[1]+e.To[1]-20)*e.Out[1] <= 0 {
			t.Errorf("the way out of %+v leads in", e)
		}
	}
	flat := turf.Polygon(0).LinearRing(0).Coords()
	for i, j := 0, len(flat)-1; i < j; i, j = i+1, j-1 {
		flat[i], flat[j] = flat[j], flat[i]
	}
	turned := mainEdges(geom.NewMultiPolygon(geom.XY).MustSetCoords([][][]geom.Coord{{flat}}), unit.Metric)
	for _, e := range turned {
		if (e.From[0]+e.To[0]-30)*e.Out[0]+(e.From[1]+e.To[1]-20)*e.Out[1] <= 0 {
			t.Errorf("drawn the other way round, the way out of %+v leads in", e)
		}
	}
	if len(turned) != 4 || mainEdges(nil, unit.US) != nil {
		t.Errorf("%d edges drawn the other way round, want 4", len(turned))
	}
}

// What the hose reaches straight needs no line; a pass beyond it is marked.
func TestHoseOnTheMap(t *testing.T) {
	ground := plan.Map{Turf: plan.Shape{MultiPolygon: ringOf(geom.Coord{0, 0}, geom.Coord{30, 0}, geom.Coord{30, 40}, geom.Coord{0, 40})}, Trucks: []geom.Coord{{0, 0}}}
	line := []geom.Coord{{0, 1}, {30, 1}}
	for hose, want := range map[unit.Length]unit.Length{51 * unit.Metre: 0, 49 * unit.Metre: 49 * unit.Metre, 0: 0} { // the far corner is 50 m away
		m := PassMap(&ground, &plan.PassPlan{Swath: 2, Reach: &plan.HoseReach{Hose: hose, Out: []int{2}}, List: []plan.PassLine{{N: 1, Line: line}, {N: 2, Line: line}}}, unit.US)
		if m.Hose != want || m.Passes[0].Label() != "1" || m.Passes[1].Label() != "2!" {
			t.Errorf("a hose of %v m: drawn %v m, passes %s and %s", hose, m.Hose, m.Passes[0].Label(), m.Passes[1].Label())
		}
	}
}
