package pass_test

import (
	"errors"
	"math"
	"slices"
	"testing"

	"github.com/twpayne/go-geom"
	"pgregory.net/rapid"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/overlay"
	"tankful/plan/pass"
	"tankful/plan/pass/passtest"
)

// firm are the checks that no plan of any lawn may fail; what else depends on how ragged the lawn is. Wanted are passtest.Bounds
// and passtest.Figures too: about one lawn in a hundred has a pass less than its bound, and on lawns no larger than a few swaths
// the figures count a disc where a short line hardly bends.
var firm = []string{passtest.Areas, passtest.Numbers, passtest.Lengths, passtest.Overlaps, passtest.Walls, passtest.OffTurf, passtest.GunOff}

func drawSetup(t *rapid.T) pass.Setup {
	s := pass.Setup{
		Swath:    unit.Length(rapid.Float64Range(1, 4).Draw(t, "swath")),
		Trims:    rapid.Bool().Draw(t, "trims"),
		SideStep: unit.Length(rapid.SampledFrom([]float64{0, 1, 1.8}).Draw(t, "side step")),
		Laps:     rapid.IntRange(0, 2).Draw(t, "laps"),
		Even:     rapid.Bool().Draw(t, "even"),
		GunOff:   unit.Length(rapid.SampledFrom([]float64{0, 6}).Draw(t, "gun off")),
		TurnCost: unit.Length(rapid.SampledFrom([]float64{0, 8, 1000}).Draw(t, "turn cost")),
	}
	if rapid.Bool().Draw(t, "given") {
		b := rapid.Float64Range(0, 359).Draw(t, "bearing")
		s.Bearing = &b
	}
	return s
}

func rectangle(t *rapid.T, what string, most, least, size float64) *geom.MultiPolygon {
	draw := func(name string, lo, hi float64) float64 {
		return math.Round(rapid.Float64Range(lo, hi).Draw(t, what+" "+name)*10) / 10
	}
	x, y := draw("x", 0, most), draw("y", 0, most)
	w, h := draw("width", least, size), draw("height", least, size)
	return geom.NewMultiPolygonFlat(geom.XY, []float64{x, y, x + w, y, x + w, y + h, x, y + h, x, y}, [][]int{{10}})
}

// star is a ring round the origin, its corners at drawn distances.
func star(t *rapid.T) *geom.MultiPolygon {
	n := rapid.IntRange(3, 14).Draw(t, "corners")
	var flat []float64
	for i := range n {
		r := rapid.Float64Range(6, 25).Draw(t, "distance")
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		flat = append(flat, 15+r*c, 15+r*s)
	}
	flat = append(flat, flat[0], flat[1])
	return geom.NewMultiPolygonFlat(geom.XY, flat, [][]int{{len(flat)}})
}

// leaveOut takes a few rectangles from the turf: beds, drives and houses.
func leaveOut(t *rapid.T, gross *geom.MultiPolygon) pass.Lawn {
	l := pass.Lawn{Net: gross, NoWalk: geom.NewMultiPolygon(geom.XY), LeftOut: map[geo.Surface]*geom.MultiPolygon{}}
	for range rapid.IntRange(0, 4).Draw(t, "left out") {
		k := rapid.SampledFrom([]geo.Surface{geo.Bed, geo.Hardscape, geo.Building}).Draw(t, "surface")
		r := rectangle(t, string(k), 28, 0.5, 9)
		l.Net = must(overlay.Difference(l.Net, r))
		if l.LeftOut[k] == nil {
			l.LeftOut[k] = geom.NewMultiPolygon(geom.XY)
		}
		l.LeftOut[k] = must(overlay.Union(l.LeftOut[k], r))
		if k == geo.Building {
			l.NoWalk = l.LeftOut[k]
		}
	}
	return l
}

func must(mp *geom.MultiPolygon, err error) *geom.MultiPolygon {
	if err != nil {
		panic(err)
	}
	return mp
}

func checkLaws(t *rapid.T, l pass.Lawn) {
	s := drawSetup(t)
	p, err := pass.Lay(l, s)
	if errors.Is(err, pass.ErrNoTurf) {
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	lim := passtest.Wanted()
	lim.Points = 0
	lim.Ground = 6 * unit.Centimetre // a drawn line cuts a bend by up to 5 cm
	for _, f := range passtest.Check(passtest.Of(l, p), lim).Faults {
		if slices.Contains(firm, f.Check) {
			t.Errorf("%+v: %v", s, f)
		}
	}
	lim.Slack = 5 * unit.Millimetre // strips may exceed the swath by 1 cm in all
	if r := passtest.Check(passtest.Of(l, p), lim); r.Covered < leastCovered {
		t.Errorf("%+v: %.4f covered", s, r.Covered)
	}
}

// leastCovered holds for lawns more ragged than any that is sprayed.
const leastCovered = 0.97

func TestLawsOfRectilinearLawns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		net := geom.NewMultiPolygon(geom.XY)
		for range rapid.IntRange(1, 5).Draw(t, "turf") {
			net = must(overlay.Union(net, rectangle(t, "turf", 20, 2, 25)))
		}
		checkLaws(t, leaveOut(t, net))
	})
}

func TestLawsOfRaggedLawns(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) { checkLaws(t, leaveOut(t, star(t))) })
}
