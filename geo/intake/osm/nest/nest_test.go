package nest

import (
	"math"
	"testing"

	"github.com/paulmach/orb"
	"pgregory.net/rapid"
)

// square is a ring around x, y, half a wide each way.
func square(x, y, a float64) orb.Ring {
	return orb.Ring{{x - a, y - a}, {x + a, y - a}, {x + a, y + a}, {x - a, y + a}, {x - a, y - a}}
}

func area(mp orb.MultiPolygon) (sum float64) {
	for _, p := range mp {
		for i, r := range p {
			a := math.Abs(doubleArea(r)) / 2
			if i > 0 {
				a = -a
			}
			sum += a
		}
	}
	return sum
}

func TestPolygons(t *testing.T) {
	for _, c := range []struct {
		name     string
		rings    []orb.Ring
		polygons int
		area     float64 // by hand
	}{
		{"none", nil, 0, 0},
		{"apart", []orb.Ring{square(0, 0, 1), square(5, 0, 1)}, 2, 8},
		{"a hole, first", []orb.Ring{square(0, 0, 1), square(0, 0, 3)}, 1, 32},
		{"an island in a hole", []orb.Ring{square(0, 0, 3), square(0, 0, 2), square(0, 0, 1)}, 2, 36 - 16 + 4},
		{"a hole that touches the shell", []orb.Ring{square(0, 0, 2), square(1, 0, 1)}, 1, 12},
		{"beside each other on an edge", []orb.Ring{square(0, 0, 1), square(2, 0, 1)}, 2, 8},
		{"over the 180th meridian", []orb.Ring{{{179, 0}, {-179, 0}, {-179, 2}, {179, 2}}, {{179.5, 0.5}, {-179.5, 0.5}, {-179.5, 1}, {179.5, 1}}}, 1, 0},
	} {
		s := Sorter{Steps: Budget}
		mp, ok := s.Polygons(c.rings)
		if !ok || len(mp) != c.polygons || c.area != 0 && math.Abs(area(mp)-c.area) > 1e-12 {
			t.Errorf("%s: got %v (area %g)", c.name, mp, area(mp))
		}
	}
}

func TestBudget(t *testing.T) {
	var rings []orb.Ring
	for i := range 2000 {
		rings = append(rings, square(0, 0, float64(i+1)/100))
	}
	s := Sorter{Steps: 10_000}
	if _, ok := s.Polygons(rings); ok {
		t.Error("2,000 rings were sorted in 10,000 steps")
	}
	s.Steps = Budget
	if mp, ok := s.Polygons(rings); !ok || len(mp) != 1000 {
		t.Errorf("got %d polygons", len(mp))
	}
}

// The order of the rings, and where each begins and which way it is wound, do not matter.
func TestOrderDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var rings []orb.Ring
		for cell := range rapid.IntRange(1, 4).Draw(t, "cells") {
			for k := range rapid.IntRange(1, 4).Draw(t, "deep") {
				rings = append(rings, square(float64(cell)*10, 0, 4-float64(k)))
			}
		}
		s := Sorter{Steps: Budget}
		want, _ := s.Polygons(rings)
		mixed := rapid.Permutation(rings).Draw(t, "order")
		for i, r := range mixed {
			k := rapid.IntRange(0, 3).Draw(t, "start")
			open := append(append(orb.Ring{}, r[k:4]...), r[:k]...)
			if rapid.Bool().Draw(t, "reverse") {
				open.Reverse()
			}
			mixed[i] = open
		}
		got, ok := s.Polygons(mixed)
		if !ok || len(got) != len(want) || math.Abs(area(got)-area(want)) > 1e-9 {
			t.Fatalf("got %v, want %v", got, want)
		}
	})
}
