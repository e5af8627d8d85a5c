package overlay

import (
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// ChangeKind is what a repair did.
type ChangeKind string

const (
	// Uncrossed is a ring that crosses, touches or retraces itself: every loop counts as
	// ground, ground walked round twice counts once, and a spike has none.
	Uncrossed ChangeKind = "ring-crosses-itself"
	// HolesMended are holes that overlap, touch along an edge or leave their shell.
	HolesMended ChangeKind = "holes-overlap"
	// NoArea is a polygon whose outer ring encloses nothing on the grid of 0.1 mm.
	NoArea ChangeKind = "ring-without-area"
	// PartsOverlap are polygons of one outline that overlap: shared ground counts once.
	PartsOverlap ChangeKind = "parts-overlap"
)

// Change is one thing that Repair did.
type Change struct {
	Kind ChangeKind
	// Part is the number of the polygon, from 0; -1 when the change is of all of them.
	Part int
	// Before is the plain sum of the rings as drawn (the absolute shoelace of the shell less
	// that of the holes), After what the repaired polygon has.
	Before, After unit.Area
	// At is the first place where edges cross, nil when there is no one place.
	At geom.Coord
}

// Repair makes polygons valid and joins them: each polygon is its shell by the non-zero
// rule, so that both loops of a bow-tie count, less its holes by the same rule, as GEOS
// MakeValid (structure) has it, except that a hole outside its shell takes and adds
// nothing. Unclosed rings, repeated points and wrong winding are put right without a
// Change: no area hangs on them. The error is that of Union.
func Repair(mp *geom.MultiPolygon) (*geom.MultiPolygon, []Change, error) {
	var changes []Change
	out, err := onGrids(func(g grid) ([]shape, error) {
		changes = nil
		var all []shape
		for i := range mp.NumPolygons() {
			polys, what, err := g.polygon(mp.Polygon(i))
			if err != nil {
				return nil, err
			}
			if c, changed := what.change(); changed {
				c.Part, c.Before, c.After = i, drawnArea(mp.Polygon(i)), unit.Area(areaOf(polys))
				changes = append(changes, c)
			}
			all = append(all, polys...)
		}
		before := areaOf(all)
		joined, err := g.unionAll(all)
		if err != nil {
			return nil, err
		}
		// Slivers of rounding between parts that share an edge are not worth a word.
		if after := areaOf(joined); math.Abs(before-after) > 1e-6*before+0.001 {
			changes = append(changes, Change{Kind: PartsOverlap, Part: -1, Before: unit.Area(before), After: unit.Area(after)})
		}
		return joined, nil
	})
	return out, changes, err
}

func (f found) change() (Change, bool) {
	switch {
	case f.noArea:
		return Change{Kind: NoArea}, true
	case f.crossing:
		return Change{Kind: Uncrossed, At: f.at}, true
	case f.invalid:
		return Change{Kind: HolesMended, At: f.at}, true
	}
	return Change{}, false
}

func drawnArea(p *geom.Polygon) unit.Area {
	var sum float64
	for i := range p.NumLinearRings() {
		a := math.Abs(shoelace(p.LinearRing(i).FlatCoords()))
		if i > 0 {
			a = -a
		}
		sum += a
	}
	return unit.Area(sum)
}
