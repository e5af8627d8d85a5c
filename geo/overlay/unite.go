package overlay

import (
	"cmp"
	"slices"
)

// unionAll merges valid polygons pair by pair, neighbours first, so that every step is
// small and is checked.
func (g grid) unionAll(polys []shape) ([]shape, error) {
	slices.SortStableFunc(polys, func(a, b shape) int { return cmp.Compare(a.box.minX, b.box.minX) })
	return g.unionRange(polys)
}

func (g grid) unionRange(polys []shape) ([]shape, error) {
	if len(polys) < 2 {
		return polys, nil
	}
	a, err := g.unionRange(polys[:len(polys)/2])
	if err != nil {
		return nil, err
	}
	b, err := g.unionRange(polys[len(polys)/2:])
	if err != nil {
		return nil, err
	}
	return g.unite(a, b)
}

// unite merges two valid sets.
func (g grid) unite(a, b []shape) ([]shape, error) {
	ma, apartA := meetingParts(a, b)
	mb, apartB := meetingParts(b, ma)
	out := slices.Concat(apartA, apartB)
	if len(ma) == 0 {
		return out, nil
	}
	u, err := g.apply(&union, ma, mb)
	return append(out, u...), err
}

// meetingParts divides a into the polygons whose box meets the box of some polygon of b
// and those that lie apart.
func meetingParts(a, b []shape) (meet, apart []shape) {
	for _, p := range a {
		if slices.ContainsFunc(b, func(q shape) bool { return p.box.meets(q.box) }) {
			meet = append(meet, p)
		} else {
			apart = append(apart, p)
		}
	}
	return meet, apart
}
