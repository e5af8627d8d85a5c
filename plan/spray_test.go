package plan

import (
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/label"
	"tankful/calc/mix"
	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/local"
	"tankful/plan/pass"
)

// told is what a stop with such passes is warned of, its mix 5 fl oz/1000 sq ft of Feed with a most of 6.
func told(laid *pass.Plan) problem.List {
	feed := label.Product{Name: "Feed", Form: label.Liquid, Label: label.Label{Most: label.Rate{Liquid: 6 * unit.FluidOuncePerThousand}, Citation: "made-up label"}}
	f := local.NewFrame([2]float64{-41.2, 38.5})
	m := maker{day: &Day{Units: unit.US}, plan: &Plan{Mixes: []MixPlan{{Name: "Spring", Applicator: "Gun A"}}},
		carried: []carried{{recipe: mix.Recipe{Parts: []mix.Part{{Product: feed, Rate: label.Rate{Liquid: 5 * unit.FluidOuncePerThousand}}}}}}}
	m.sprayed(&work{stop: &Stop{Where: "stop A", Site: &geo.Site{Frame: f, Property: &geo.Property{Name: "Lawn A"}}}, passes: laid})
	return m.problems
}

func checkTold(t *testing.T, l problem.List, code string, says ...string) {
	t.Helper()
	if code == "" {
		if len(l) != 0 {
			t.Errorf("got %v, want nothing told", l)
		}
		return
	}
	severity := problem.Warning
	if code == "even-over-label" { // over the label all over a section
		severity = problem.Error
	}
	if len(l) != 1 || l[0].Code != code || l[0].Severity != severity || l[0].Where != "stop A" {
		t.Fatalf("got %v, want the %s %s", l, severity, code)
	}
	for _, s := range says {
		if !strings.Contains(l[0].What+" "+l[0].Fix, s) {
			t.Errorf("%s does not say %q: %s %s", code, s, l[0].What, l[0].Fix)
		}
	}
}

// Passes 6 ft apart instead of 7 put on 7/6 of 5, 5.83 fl oz/1000 sq ft, within the label's 6; 5.5 ft apart 6.36. A bent section and
// what is left at the swath do not count; a fixed width is told of by what lies twice.
func TestEvenOverLabel(t *testing.T) {
	even := func(trims bool, spacing unit.Length) *pass.Plan {
		return &pass.Plan{Setup: pass.Setup{Swath: 7 * unit.Foot, Trims: trims, Even: true}, Sections: []pass.Section{
			{Kind: pass.Straight, Spacing: 7 * unit.Foot}, {Kind: pass.Straight, Spacing: spacing}}}
	}
	checkTold(t, told(even(true, 6*unit.Foot)), "")
	checkTold(t, told(even(true, 5.5*unit.Foot)), "even-over-label", "6.364 fl oz/1000 sq ft", "6.00 fl oz/1000 sq ft", "Lawn A", "Feed", "[made-up label]")
	checkTold(t, told(even(false, 5.5*unit.Foot)), "")
}

// 200 ft of hose: passes 3, 4 and 6 of six need more, the farthest 240 ft. A second place is named by where it is.
func TestOutOfHose(t *testing.T) {
	laid := &pass.Plan{Setup: pass.Setup{Swath: 7 * unit.Foot, Trims: true, Hose: 200 * unit.Foot}, Reach: &pass.Reach{Out: []int{6, 3, 4}}}
	for n := range 6 {
		laid.Passes = append(laid.Passes, pass.Pass{N: n + 1, Hose: unit.Length(180+12*n) * unit.Foot})
	}
	checkTold(t, told(laid), "out-of-hose", "Lawn A", "all of passes 3-4, 6", "hose of 200 ft", "up to 240 ft", "Carry more hose")
	laid.Reach.Second = &geom.Coord{0, 0}
	checkTold(t, told(laid), "out-of-hose", "latitude 38.500000, longitude -41.200000")
	laid.Reach.Out = []int{1} // 180 ft would do: it is shut in
	checkTold(t, told(laid), "out-of-hose", "no way leads", "to all of pass 1", "lift the hose")
	laid.Reach.Out = nil
	checkTold(t, told(laid), "")
}

// 5 sq ft of water are told of, 4 are below what is measured; with an edge lap another one is no help.
func TestOntoIsTold(t *testing.T) {
	onto := func(a unit.Area, laps int) *pass.Plan {
		return &pass.Plan{Setup: pass.Setup{Swath: 7 * unit.Foot, Laps: laps}, Net: 100, Onto: map[geo.Surface]unit.Area{geo.Water: a, "": 50}}
	}
	checkTold(t, told(onto(4*unit.SquareFoot, 0)), "")
	checkTold(t, told(onto(30*unit.SquareFoot, 0)), "onto-water", "about 30 sq ft of water", "Walk an edge lap first")
	checkTold(t, told(onto(30*unit.SquareFoot, 1)), "onto-water", "Shut off before")
}

func TestNumbered(t *testing.T) {
	for want, ns := range map[string][]int{"pass 4": {4}, "passes 4, 7-9, 12": {9, 4, 8, 7, 12}, "passes 1-2": {1, 2}} {
		if got := numbered(ns); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
}
