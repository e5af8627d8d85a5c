package overlay

import (
	"fmt"
	"math"
)

// checkOffset holds the ground out, d outside (or inside) of from, against what is known of
// any such ground.
//
// Area: growing gives at most A + P d + pi d2 for each part (the area of a strip along the
// outline with a full turn of round corners), and at least (sqrt(A) + sqrt(pi) d)^2 (the
// inequality of Brunn and Minkowski, equal for a disc); shrinking leaves at most (sqrt(A) - sqrt(pi) d)^2 by
// the same, and at least A - P d - pi d2 for each hole. Place: the smaller ground lies in the
// larger, and every corner of the result is d from the outline of from.
func (g grid) checkOffset(from, out []shape, d float64) error {
	a, p, holes := areaOf(from), lengthOf(from), 0
	for _, f := range from {
		holes += len(f.rings) - 1
	}
	got, e := areaOf(out), math.Abs(d)
	// Chords lie 1.2e-3 d inside arcs, edges may be moved by simplified d, corners snap by a cell.
	slack := (2e-3*e + 1/float64(g)) * (p + lengthOf(out) + 2*math.Pi*e)
	var low, high float64
	inner, outer := from, out
	if d > 0 {
		low = math.Pow(math.Sqrt(a)+math.Sqrt(math.Pi)*e, 2)
		high = a + p*e + math.Pi*e*e*float64(len(from))
	} else {
		inner, outer = out, from
		low = a - p*e - math.Pi*e*e*float64(holes)
		high = math.Pow(max(0, math.Sqrt(a)-math.Sqrt(math.Pi)*e), 2)
	}
	if !(got >= low-slack && got <= high+slack) {
		return fmt.Errorf("%w: an offset of %.4g m gives %.6g m2, not between %.6g and %.6g", ErrUnsure, d, got, low, high)
	}
	if off, x, y := furthestOff(ringsOf(out), ringsOf(from), e); off > 5e-3*e+3/float64(g) {
		return fmt.Errorf("%w: an offset of %.4g m is %.3g m off at %.3f, %.3f m", ErrUnsure, d, off, x, y)
	}
	return g.within(inner, outer)
}

// within checks that inner lies in outer.
func (g grid) within(inner, outer []shape) error {
	if len(inner) == 0 {
		return nil
	}
	m := g.meet(inner, outer)
	beyond, err := m.difference()
	if err != nil {
		return err
	}
	if a := areaOf(beyond); a > lengthOf(inner)/float64(g) {
		return fmt.Errorf("%w: %.6g m2 of an offset lie on the wrong side of the outline", ErrUnsure, a)
	}
	return nil
}

// furthestOff is the corner of out whose distance from the outline is furthest from want.
func furthestOff(out, outline [][]float64, want float64) (off, x, y float64) {
	for _, r := range out {
		for i := 0; i+1 < len(r); i += 2 {
			if d := math.Abs(fromRings(outline, r[i], r[i+1]) - want); d > off {
				off, x, y = d, r[i], r[i+1]
			}
		}
	}
	return off, x, y
}

// fromRings is the distance of a point from the nearest edge.
func fromRings(rings [][]float64, x, y float64) float64 {
	nearest := math.Inf(1)
	for _, r := range rings {
		for i := 0; i+3 < len(r); i += 2 {
			nearest = min(nearest, distanceFromOrigin(r[i]-x, r[i+1]-y, r[i+2]-x, r[i+3]-y))
		}
	}
	return nearest
}

func ringsOf(polys []shape) (out [][]float64) {
	for _, p := range polys {
		out = append(out, p.rings...)
	}
	return out
}
