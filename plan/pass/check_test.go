package pass

import (
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// What no equipment has and what is no place is refused, and nothing is laid.
func TestLayRefuses(t *testing.T) {
	inf, nan := math.Inf(1), math.NaN()
	over, under := 360.0, -1.0
	for _, tt := range []struct {
		name, want string
		change     func(*Lawn, *Setup)
	}{
		{"no swath", "swath", func(_ *Lawn, s *Setup) { s.Swath = 0 }},
		{"swath that is none", "swath", func(_ *Lawn, s *Setup) { s.Swath = unit.Length(nan) }},
		{"swath below zero", "swath", func(_ *Lawn, s *Setup) { s.Swath = -1 }},
		{"turns below zero", "turn cost", func(_ *Lawn, s *Setup) { s.TurnCost = -1 }},
		{"bearing that is none", "bearing", func(_ *Lawn, s *Setup) { s.Bearing = &nan }},
		{"endless swath", "swath", func(_ *Lawn, s *Setup) { s.Swath = unit.Length(inf) }},
		{"side step below zero", "side step", func(_ *Lawn, s *Setup) { s.SideStep = -1 }},
		{"endless side step", "side step", func(_ *Lawn, s *Setup) { s.SideStep = unit.Length(inf) }},
		{"crossing that is none", "gun-off", func(_ *Lawn, s *Setup) { s.GunOff = unit.Length(nan) }},
		{"hose below zero", "hose", func(_ *Lawn, s *Setup) { s.Hose = -1 }},
		{"endless turns", "turn cost", func(_ *Lawn, s *Setup) { s.TurnCost = unit.Length(inf) }},
		{"three laps", "3 edge laps", func(_ *Lawn, s *Setup) { s.Laps = 3 }},
		{"bearing of 360", "bearing", func(_ *Lawn, s *Setup) { s.Bearing = &over }},
		{"bearing below zero", "bearing", func(_ *Lawn, s *Setup) { s.Bearing = &under }},
		{"corner that is none", "corner", func(l *Lawn, _ *Setup) { l.Net.FlatCoords()[2] = nan }},
		{"building at no place", "corner", func(l *Lawn, _ *Setup) {
			l.NoWalk = lawn([][]geom.Coord{{{1, 1}, {2, 1}, {inf, 2}}}).Net
		}},
		{"truck nowhere", "truck", func(l *Lawn, _ *Setup) { l.Trucks = []geom.Coord{{0, nan}} }},
		{"swath in the wrong unit", "swaths", func(_ *Lawn, s *Setup) { s.Swath = unit.Millimetre }},
	} {
		l, s := lawn([][]geom.Coord{rect(0, 0, 100, 49)}), gun(7*unit.Foot)
		tt.change(&l, &s)
		if _, err := Lay(l, s); err == nil || !strings.Contains(err.Error(), tt.want) {
			t.Errorf("%s: %v, want an error that says %q", tt.name, err, tt.want)
		}
	}
}

// A swath wider than the lawn is one pass along its shorter side; bearings half a turn apart are the same passes.
func TestLayEdgesOfTheRange(t *testing.T) {
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49)})
	p, err := Lay(l, gun(500*unit.Foot))
	if err != nil || len(p.Passes) != 1 || math.Abs(p.Passes[0].Length.In(unit.Foot)-49) > 1e-6 {
		t.Fatalf("%v, %v: want one pass of 49 ft", p, err)
	}
	for _, b := range []float64{0, 30, 90, 179.5} {
		opposite := b + 180
		s, o := gun(7*unit.Foot), gun(7*unit.Foot)
		s.Bearing, o.Bearing = &b, &opposite
		p, err := Lay(l, s)
		q, err2 := Lay(l, o)
		if err != nil || err2 != nil {
			t.Fatal(err, err2)
		}
		if len(p.Passes) != len(q.Passes) || math.Abs(float64(p.SprayedLength-q.SprayedLength)) > 1e-6 || math.Abs(p.Bearing-q.Bearing) > 1e-9 {
			t.Errorf("bearing %v: %d passes of %v at %v, the opposite %d of %v at %v", b, len(p.Passes), p.SprayedLength, p.Bearing, len(q.Passes), q.SprayedLength, q.Bearing)
		}
	}
}

// Rings that say nothing change nothing: shells without corners, corners given twice, a ring closed twice.
func TestLayEmptyRings(t *testing.T) {
	l := lawn([][]geom.Coord{{{0, 0}, {0, 0}, {100, 0}, {100, 49}, {100, 49}, {0, 49}, {0, 0}}},
		[][]geom.Coord{{{300, 0}, {300, 0}, {300, 0}}}, [][]geom.Coord{{{400, 0}, {410, 0}, {420, 0}}})
	if err := l.Net.Push(geom.NewPolygon(geom.XY)); err != nil {
		t.Fatal(err)
	}
	p, err := Lay(l, gun(7*unit.Foot))
	if err != nil || len(p.Passes) != 7 || math.Abs(p.SprayedLength.In(unit.Foot)-700) > 1e-6 {
		t.Fatalf("%v: want 7 passes, 700 ft", err)
	}
	for name, l := range map[string]Lawn{
		"nil":   {},
		"empty": {Net: geom.NewMultiPolygon(geom.XY)},
		"speck": lawn([][]geom.Coord{rect(0, 0, 0.3, 0.3)}),
	} {
		if _, err := Lay(l, gun(7*unit.Foot)); !errors.Is(err, ErrNoTurf) {
			t.Errorf("%s: got %v, want %v", name, err, ErrNoTurf)
		}
	}
}

// The truck may stand in a building or on the turf: hoses leave it where that is nearest.
func TestLayTruckAnywhere(t *testing.T) {
	house := lawn([][]geom.Coord{rect(40, 20, 10, 10)}).Net
	l := lawn([][]geom.Coord{rect(0, 0, 100, 49), rect(40, 20, 10, 10)})
	l.NoWalk, l.Trucks = house, []geom.Coord{{45 * 0.3048, 25 * 0.3048}}
	p, err := Lay(l, gun(7*unit.Foot))
	if err != nil || p.Reach == nil || math.IsNaN(float64(p.Reach.Most)) || math.IsInf(float64(p.Reach.Most), 0) {
		t.Fatalf("%v, %+v", err, p.Reach)
	}
	// By hand: to a far corner 55 and 25 ft off at most, and out of the house and round it less than 15 ft more.
	if most := p.Reach.Most.In(unit.Foot); most < 45 || most > math.Hypot(55, 25)+15 {
		t.Errorf("the longest hose is %.1f ft", most)
	}
}
