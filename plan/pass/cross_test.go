package pass

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
)

// withDrives is a lawn of the parts with surfaces left out between them.
func withDrives(parts, drives [][]geom.Coord, surface geo.Surface) Lawn {
	each := func(rings [][]geom.Coord) *geom.MultiPolygon {
		var polys [][][]geom.Coord
		for _, r := range rings {
			polys = append(polys, [][]geom.Coord{r})
		}
		return lawn(polys...).Net
	}
	return Lawn{Net: each(parts), LeftOut: map[geo.Surface]*geom.MultiPolygon{surface: each(drives)}}
}

// By hand: a verge of 13 ft, 60 + 50 + 70 ft long with drives of 12 ft between, is two lanes in each of three parts: six passes.
// With the gun off over the drives it is two, each 180 ft with the gun on and 24 ft without.
func TestVergeOverDrives(t *testing.T) {
	parts := [][]geom.Coord{rect(0, 0, 60, 13), rect(72, 0, 50, 13), rect(134, 0, 70, 13)}
	drives := [][]geom.Coord{rect(60, -5, 12, 30), rect(122, -5, 12, 30)}
	for _, tt := range []struct {
		name    string
		gunOff  unit.Length
		surface geo.Surface
		passes  int
		off     float64 // feet, of all passes
	}{
		{"drives", 12 * unit.Foot, geo.Hardscape, 2, 48},
		{"drives too wide", 11 * unit.Foot, geo.Hardscape, 6, 0},
		{"no crossing asked for", 0, geo.Hardscape, 6, 0},
		{"beds", 12 * unit.Foot, geo.Bed, 6, 0},
		{"water", 12 * unit.Foot, geo.Water, 6, 0},
	} {
		for k := range 4 {
			l := withDrives(parts, drives, tt.surface)
			turn := float64(k) * 0.8
			l = Lawn{Net: turnedLawn(l, turn).Net, LeftOut: map[geo.Surface]*geom.MultiPolygon{tt.surface: turnedLawn(Lawn{Net: l.LeftOut[tt.surface]}, turn).Net}}
			s := gun(7 * unit.Foot)
			s.GunOff = tt.gunOff
			p, err := Lay(l, s)
			if err != nil {
				t.Fatal(err)
			}
			check(t, tt.name, l, p)
			off := unit.Length(0)
			for _, q := range p.Passes {
				for _, o := range q.Off {
					off += o.To - o.From
				}
			}
			if got := off.In(unit.Foot); len(p.Passes) != tt.passes || math.Abs(got-tt.off) > 0.1 {
				t.Errorf("%s, turned by %.1f: %d passes, gun off for %.2f ft; want %d, %v", tt.name, turn, len(p.Passes), got, tt.passes, tt.off)
			}
			if got := p.SprayedLength.In(unit.Foot); math.Abs(got-360) > 0.1 {
				t.Errorf("%s, turned by %.1f: sprayed over %.2f ft, want 360", tt.name, turn, got)
			}
			if p.DeadWalk < off {
				t.Errorf("%s: dead walk of %v is less than the %v with the gun off", tt.name, p.DeadWalk, off)
			}
		}
	}
}

// Four lawns of 28 x 40 ft in a row, 10 ft of drive between. By hand: each by itself is 4 passes of 40 ft, 16 in all. In one direction over
// the drives they are ceil(40 / 7) = 6 passes of 112 ft.
func TestRowOfLawnsIsWalkedThrough(t *testing.T) {
	var parts, drives [][]geom.Coord
	for i := range 4 {
		parts = append(parts, rect(float64(i)*38, 0, 28, 40))
		if i < 3 {
			drives = append(drives, rect(float64(i)*38+28, 0, 10, 40))
		}
	}
	l := withDrives(parts, drives, geo.Hardscape)
	s := gun(7 * unit.Foot)
	s.GunOff = 10 * unit.Foot
	p, err := Lay(l, s)
	if err != nil {
		t.Fatal(err)
	}
	check(t, "row", l, p)
	if got := p.SprayedLength.In(unit.Foot); len(p.Passes) != 6 || math.Abs(got-672) > 0.1 || len(p.Sections) != 1 {
		t.Errorf("got %d passes of %.1f ft together in %d sections, want 6, 672 ft, 1", len(p.Passes), got, len(p.Sections))
	}
	// A third of a pass is treated in the second lawn: 7 x 28 sq ft and 7 x 5, after 28 + 10 + 5 ft.
	if got := p.Passes[0].Along(unit.Area(7 * 33 * float64(unit.SquareFoot))).In(unit.Foot); math.Abs(got-43) > 0.1 {
		t.Errorf("231 sq ft are treated after %.2f ft, want 43", got)
	}
}

// Only hardscape is crossed: not a bed drawn on the drive, nor ground of which nothing is known beside it.
func TestOnlyHardscapeIsCrossed(t *testing.T) {
	parts := [][]geom.Coord{rect(0, 0, 60, 7), rect(72, 0, 60, 7)}
	for _, tt := range []struct {
		name   string
		drive  []geom.Coord
		bed    []geom.Coord
		passes int
	}{
		{"drive", rect(60, -5, 12, 30), rect(60, 40, 12, 5), 1},
		{"a bed on the drive", rect(60, -5, 12, 30), rect(64, -5, 3, 30), 2},
		{"a path with unknown ground beside it", rect(64, -5, 4, 30), rect(60, 40, 12, 5), 2},
	} {
		l := withDrives(parts, [][]geom.Coord{tt.drive}, geo.Hardscape)
		l.LeftOut[geo.Bed] = lawn([][]geom.Coord{tt.bed}).Net
		s := gun(7 * unit.Foot)
		s.GunOff = 12 * unit.Foot
		p, err := Lay(l, s)
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Passes) != tt.passes {
			t.Errorf("%s: %d passes, want %d", tt.name, len(p.Passes), tt.passes)
		}
	}
}
