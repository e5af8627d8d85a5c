package passtest

import "testing"

// A triangle of a few hundredths of a micrometre has no edge that cuts: it has nothing in common with what it lies in, and takes nothing from it. Such
// a speck was once told to overlap all of its neighbour.
func TestSpecks(t *testing.T) {
	big := poly{{0, 0}, {3, 0}, {3, 2}, {0, 2}}
	small := poly{{1, 1}, {1 + 3e-8, 1}, {1, 1 + 2e-8}}
	if got := big.common(small); got.area() != 0 {
		t.Errorf("a speck has %v m2 in common with what it lies in", got.area())
	}
	if got := small.common(big); got.area() > speck {
		t.Errorf("the speck in the rectangle is %v m2", got.area())
	}
	if out, within := big.less(small, nil); len(out) != 1 || out[0].area() != 6 || within != nil {
		t.Errorf("a speck leaves %v and takes %v", out, within)
	}
	if got := big.common(poly{{1, 1}, {5, 1}, {5, 5}, {1, 5}}); got.area() != 2 { // 2 m x 1 m
		t.Errorf("got %v m2 in common, want 2", got.area())
	}
}
