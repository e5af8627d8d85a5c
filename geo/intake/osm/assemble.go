package osm

import (
	"math"
	"slices"

	"github.com/paulmach/orb"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/intake/markup"
	"tankful/geo/intake/osm/nest"
)

// assemble puts the ways of a relation together into polygons. Roles sort the ways before they are joined; which
// ring is a hole is then decided by which lies in which, as roles are often wrong or missing.
func (r *reader) assemble(l *relation, where string, c *markup.Corners) (orb.MultiPolygon, problem.List) {
	var ps problem.List
	ways, missing := r.waysOf(l)
	if r.corners < 0 {
		return nil, ps
	}
	if missing > 0 {
		ps.Errorf("outline-cut", where, cutFix, "%d of the %d ways of the relation are not in the file", missing, missing+len(ways[0])+len(ways[1])+len(ways[2]))
		return nil, ps
	}
	if l.inner > 0 {
		ps.Errorf("relation-in-relation", where, "Name the ways themselves as members of the relation.", "%d members of the relation are relations, which can not be outlines", l.inner)
		return nil, ps
	}
	outer, open := join(ways[0])
	inner, open2 := join(ways[1])
	open = append(open, open2...)
	known := len(ways[2]) == 0 && len(open) == 0
	if !known { // roles are missing, or the rings do not close by them
		outer, open = join(slices.Concat(ways[0], ways[1], ways[2]))
		inner = nil
	}
	if len(open) > 0 {
		r.sayOpen(&ps, where, open, c)
		return nil, ps
	}
	if len(outer)+len(inner) == 0 {
		ps.Warnf("no-geometry", where, "Draw it or remove it.", "the relation has no ways and counts for nothing")
		return nil, ps
	}
	rings := make([]orb.Ring, 0, len(outer)+len(inner))
	for _, refs := range slices.Concat(outer, inner) {
		pts, lost := r.line(c, refs)
		if lost > 0 {
			ps.Errorf("outline-cut", where, cutFix, "%d nodes of the outline are not in the file", lost)
			return nil, ps
		}
		rings = append(rings, orb.Ring(pts))
	}
	if c.Failed() || r.corners < 0 {
		return nil, ps
	}
	return r.sort(&ps, where, rings, len(outer), known)
}

// sort makes polygons of rings, and says when their roles say something else.
func (r *reader) sort(ps *problem.List, where string, rings []orb.Ring, outers int, known bool) (orb.MultiPolygon, problem.List) {
	depth, parent, ok := r.sorter.Depths(rings)
	if !ok {
		ps.Errorf("too-many-rings", where, "Split the relation.", "the relation has more rings (%d) than can be sorted", len(rings))
		return nil, *ps
	}
	wrong := 0
	for i, d := range depth {
		if known && (d%2 == 0) != (i < outers) {
			wrong++
		}
	}
	if wrong > 0 {
		ps.Warnf("roles-wrong", where, "Check which parts are holes.",
			"%d of %d rings have a role that does not fit where they lie; holes are the rings that lie inside others", wrong, len(rings))
	}
	return nest.Build(rings, depth, parent), *ps
}

// waysOf is the ways of a relation with the role outer, inner, and any other, and how many the file does not have.
func (r *reader) waysOf(l *relation) (ways [3][]*way, missing int) {
	seen := map[int64]bool{}
	for _, m := range l.members {
		if seen[m.way] {
			continue
		}
		seen[m.way] = true
		w := r.wayOf(m.way)
		if w == nil {
			missing++
			continue
		}
		if r.corners -= len(w.refs); r.corners < 0 {
			return ways, missing
		}
		k := 2
		switch m.role {
		case "outer":
			k = 0
		case "inner":
			k = 1
		}
		ways[k] = append(ways[k], w)
	}
	return ways, missing
}

// sayOpen names the gap of an outline that does not close.
func (r *reader) sayOpen(ps *problem.List, where string, open [][]int64, c *markup.Corners) {
	var ends []int64
	lost := 0
	for _, o := range open {
		_, n := r.line(c, o)
		lost += n
		ends = append(ends, o[0], o[len(o)-1])
	}
	if lost > 0 {
		ps.Errorf("outline-cut", where, cutFix, "%d nodes of the outline are not in the file", lost)
		return
	}
	last := ends[1]
	p, ok := r.corner(c, last)
	nearest, gap := int64(none), ""
	best := unit.Length(math.Inf(1))
	for i, id := range ends {
		q, ok2 := r.corner(c, id)
		if i == 1 || !ok || !ok2 || !degrees(p) || !degrees(q) {
			continue
		}
		if d := geodesic.Distance(p, q); d < best {
			best, nearest, gap = d, id, apart(p, q)
		}
	}
	if gap == "" {
		ps.Errorf("outline-not-closed", where, "Close the outline, or export a larger area.", "the ways of the relation do not close into rings: the gap is at node/%d", last)
		return
	}
	ps.Errorf("outline-not-closed", where, "Close the outline, or export a larger area.",
		"the ways of the relation do not close into rings: a gap of %s is between node/%d and node/%d", gap, last, nearest)
}

func degrees(p orb.Point) bool {
	return p.Lon() >= -360 && p.Lon() <= 360 && p.Lat() >= -90 && p.Lat() <= 90
}

// apart is a distance in feet and metres, "" between positions that are not degrees.
func apart(p, q orb.Point) string {
	if !degrees(p) || !degrees(q) {
		return ""
	}
	d := geodesic.Distance(p, q)
	return unit.US.Length(d) + " (" + unit.Metric.Length(d) + ")"
}
