package overlay_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/twpayne/go-geom"

	"tankful/geo/overlay"
)

// plainArea is the shoelace of shells less that of holes as they were drawn.
func plainArea(rings ...[]float64) float64 {
	sum := 0.0
	for i, r := range rings {
		var a float64
		for k := 0; k < len(r); k += 2 {
			n := (k + 2) % len(r)
			a += (r[k]-r[0])*(r[n+1]-r[1]) - (r[n]-r[0])*(r[k+1]-r[1])
		}
		if i == 0 {
			sum += math.Abs(a) / 2
		} else {
			sum -= math.Abs(a) / 2
		}
	}
	return sum
}

// star is a ring round x, y whose corners lie between inner and outer from there.
func star(rnd *rand.Rand, x, y, inner, outer float64) []float64 {
	var out []float64
	n := 4 + rnd.IntN(20)
	turn := rnd.Float64()
	for i := range n {
		s, c := math.Sincos(2*math.Pi*float64(i)/float64(n) + turn)
		r := inner + (outer-inner)*rnd.Float64()
		out = append(out, x+r*c, y+r*s)
	}
	return out
}

// Small lawns with beds inside: snapped, their areas are off by up to 1e-5; restored they are right.
func TestCornersRestore(t *testing.T) {
	rnd := rand.New(rand.NewPCG(11, 12))
	snapped, restored := 0.0, 0.0
	for range 500 {
		x, y := 2000*rnd.Float64()-1000, 2000*rnd.Float64()-1000
		lawn, bed, well := star(rnd, x, y, 8, 14), star(rnd, x-2, y, 0.5, 1.5), star(rnd, x+2, y+1, 0.5, 1.5)
		want := plainArea(lawn, bed, well)
		corners := overlay.NewCorners()
		turf, out := polygon(lawn), parts([][]float64{bed}, [][]float64{well})
		corners.Add(turf)
		corners.Add(out)
		mended, _, err := overlay.Repair(turf)
		if err != nil {
			t.Fatal(err)
		}
		net, err := overlay.Difference(mended, out)
		if err != nil {
			t.Fatal(err)
		}
		before := float64(overlay.Area(net))
		back := corners.Restore(net)
		snapped = max(snapped, math.Abs(before/want-1))
		restored = max(restored, math.Abs(float64(overlay.Area(back))/want-1))
		if float64(overlay.Area(net)) != before {
			t.Fatal("Restore changed its input")
		}
		checkWinding(t, "restored", back)
	}
	t.Logf("areas off by %.1e snapped, %.1e restored", snapped, restored)
	if restored > 1e-10 || snapped < 1e-7 { // the second: else this test shows nothing
		t.Errorf("areas off by %.1e snapped, %.1e restored; want 1e-10", snapped, restored)
	}
}

func TestCornersLeaveCrossings(t *testing.T) {
	lawn := polygon([]float64{0.00003, 0, 10, 0.00004, 10, 10, 0, 10})
	bed := polygon([]float64{5.00002, -1, 6, -1, 6.5, 3, 5, 3})
	corners := overlay.NewCorners()
	corners.Add(nil)
	corners.Add(lawn)
	corners.Add(polygon([]float64{0.00004, 0, 10, 0.00003, 10, 10, 0, 10})) // the first wins
	corners.Add(bed)
	corners.Add(polygon([]float64{math.NaN(), 0, 1e9, 5, 5, 5}))
	net, err := overlay.Difference(lawn, bed)
	if err != nil {
		t.Fatal(err)
	}
	drawn := map[[2]float64]bool{}
	for _, mp := range []*geom.MultiPolygon{lawn, bed} {
		for i := 0; i < len(mp.FlatCoords()); i += 2 {
			drawn[[2]float64(mp.FlatCoords()[i:i+2])] = true
		}
	}
	back, was := corners.Restore(net).FlatCoords(), net.FlatCoords()
	crossings, moved := 0, 0
	for i := 0; i+3 < len(back); i += 2 {
		at := [2]float64(back[i : i+2])
		switch {
		case drawn[at] && at != [2]float64(was[i:i+2]):
			moved++
		case !drawn[at] && at == [2]float64(was[i:i+2]):
			crossings++
		case !drawn[at]:
			t.Errorf("%v came from nowhere, it was %v", at, was[i:i+2])
		}
	}
	if crossings != 2 || moved < 1 {
		t.Errorf("%d crossings stay, want 2; %d corners went back", crossings, moved)
	}
}

// A ring whose corner was put back across an edge a hair away is not valid; one with room is.
func TestValid(t *testing.T) {
	for _, c := range []struct {
		name string
		mp   *geom.MultiPolygon
		want bool
	}{
		{"square", polygon(box(0, 0, 10, 10)), true},
		{"with a hole", polygon(box(0, 0, 10, 10), box(2, 2, 3, 3)), true},
		{"a neck of a millimetre", polygon([]float64{0, 0, 10, 0, 5, 5, 10, 10, 0, 10, 4.999, 5}), true},
		{"a neck of a hair", polygon([]float64{0, 0, 10, 0, 5, 5, 10, 10, 0, 10, 4.9999, 5}), true},
		{"a neck turned over by a hair", polygon([]float64{0, 0, 10, 0, 5, 5, 10, 10, 0, 10, 5.00003, 5}), false},
		{"a spike", polygon([]float64{0, 0, 10, 0, 10, 5, 20, 5, 10, 5.000001, 10, 10, 0, 10}), true},
		{"two that overlap by a hair", parts([][]float64{box(0, 0, 10, 10)}, [][]float64{box(9.99996, 0, 10, 10)}), false},
	} {
		if got := overlay.Valid(c.mp); got != c.want {
			t.Errorf("%s: got %v", c.name, got)
		}
	}
}
