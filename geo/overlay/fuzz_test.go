package overlay_test

import (
	"math"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/geo/overlay"
)

// latticeShape reads rings of a polygon from bytes: corners on a lattice of 16 by 16 metres, so that they
// meet, cross and retrace each other; 0xff ends a ring, 0xfe a polygon.
func latticeShape(data []byte) *geom.MultiPolygon {
	var polys [][][]float64
	rings, ring := [][]float64{}, []float64{}
	endRing := func() {
		if len(ring) >= 2 {
			rings = append(rings, ring)
		}
		ring = nil
	}
	endPolygon := func() {
		endRing()
		if len(rings) > 0 {
			polys = append(polys, rings)
		}
		rings = nil
	}
	for _, b := range data[:min(len(data), 60)] {
		switch b {
		case 0xff:
			endRing()
		case 0xfe:
			endPolygon()
		default:
			ring = append(ring, float64(b>>4), float64(b&15))
		}
	}
	endPolygon()
	return parts(polys...)
}

// slack allows for crossing points rounded to cells along the edges of a small lattice.
const slack = 0.05

func area(t *testing.T, what string, mp *geom.MultiPolygon, err error) float64 {
	t.Helper()
	if err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	checkWinding(t, what, mp)
	return float64(overlay.Area(mp))
}

func seeds(f *testing.F) {
	square, bed, cross := []byte{0x11, 0x91, 0x99, 0x19}, []byte{0x33, 0x53, 0x55, 0x35}, []byte{0x00, 0xbb, 0xb0, 0x0b}
	strip, edge := []byte{0x40, 0x60, 0x6d, 0x4d}, []byte{0x14, 0x34, 0x36, 0x16}
	holed := append(append(append([]byte{}, square...), 0xff), bed...)
	twice := append(append(append([]byte{}, strip...), 0xfe), edge...)
	for _, a := range [][]byte{square, bed, cross, holed, twice} {
		for _, b := range [][]byte{bed, strip, edge, cross, holed, twice} {
			f.Add(a, b)
		}
	}
}

// The laws of sets, on outlines that are as awkward as bytes can make them.
func FuzzDifference(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, da, db []byte) {
		a, b := latticeShape(da), latticeShape(db)
		ua, err := overlay.Union(a)
		inA := area(t, "a", ua, err)
		ub, err := overlay.Union(b)
		inB := area(t, "b", ub, err)
		u, err := overlay.Union(a, b)
		either := area(t, "union", u, err)
		c, err := overlay.Intersection(a, b)
		both := area(t, "intersection", c, err)
		d, err := overlay.Difference(a, b)
		left := area(t, "difference", d, err)
		if math.Abs(either+both-inA-inB) > slack || math.Abs(left+both-inA) > slack {
			t.Errorf("a %.4f, b %.4f: union %.4f, intersection %.4f, difference %.4f", inA, inB, either, both, left)
		}
		again, err := overlay.Intersection(d, b)
		if x := area(t, "what is left, in b", again, err); x > slack {
			t.Errorf("%.4f m2 of b are left", x)
		}
		if overlay.Meet(a, b) != (both > 0) && both > slack {
			t.Errorf("Meet says %v, they share %.4f m2", overlay.Meet(a, b), both)
		}
	})
}

// Repair gives a sound polygon, with the area of the non-zero rule.
func FuzzRepair(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, da, db []byte) {
		mp := latticeShape(append(append(da[:min(len(da), 30):min(len(da), 30)], 0xff), db...))
		got, _, err := overlay.Repair(mp)
		x := area(t, "repair", got, err)
		again, changes, err := overlay.Repair(got)
		if y := area(t, "repair again", again, err); math.Abs(x-y) > 1e-6*x+1e-3 || len(changes) > 0 {
			t.Errorf("repaired %v to %.6f m2, then to %.6f: %v", mp.Coords(), x, y, changes)
		}
		const n = 64 // points of a lattice off the corners' one
		count := 0
		for i := range n {
			for j := range n {
				if inNonZero(mp, (float64(i)+0.31)*16/n, (float64(j)+0.43)*16/n) {
					count++
				}
			}
		}
		if want := float64(count) * 256 / n / n; math.Abs(want-x) > 12 {
			t.Errorf("repaired %v to %.3f m2, a count of points gives %.3f", mp.Coords(), x, want)
		}
	})
}

// inNonZero is the rule of Repair for a point: in some shell and in none of its holes.
func inNonZero(mp *geom.MultiPolygon, x, y float64) bool {
	for i := range mp.NumPolygons() {
		in := false
		for j := range mp.Polygon(i).NumLinearRings() {
			r := mp.Polygon(i).LinearRing(j).FlatCoords()
			if w := winding(r[:len(r)-2], x, y); j == 0 {
				in = w != 0
			} else {
				in = in && w == 0
			}
		}
		if in {
			return true
		}
	}
	return false
}
