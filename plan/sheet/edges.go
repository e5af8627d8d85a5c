package sheet

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// Edge is a straight stretch of the turf's edge with its length, for finding one's way: From and To as in Map. Out is the way off the turf, of length 1.
type Edge struct {
	From, To, Out geom.Coord
	Text          string
}

// A stretch of an edge is straight while it turns by less than this, and told when it is at least so long a part of the longest.
const (
	straightTo = 8 * math.Pi / 180
	edgeShare  = 0.2
	mostEdges  = 12
)

// mainEdges are the longest straight stretches of the turf's outer edges, the longest first.
func mainEdges(turf *geom.MultiPolygon, u unit.System) []Edge {
	if turf == nil {
		return nil
	}
	type run struct {
		from, to geom.Coord
		long     float64
		out      geom.Coord
	}
	var runs []run
	for i := range turf.NumPolygons() {
		ring := turf.Polygon(i).LinearRing(0).Coords()
		turn := 1.0 // the outside is to the right of a counter-clockwise ring
		if signedArea(ring) < 0 {
			turn = -1
		}
		for _, s := range straights(ring) {
			dx, dy := s[1][0]-s[0][0], s[1][1]-s[0][1]
			if n := math.Hypot(dx, dy); n > 0 {
				runs = append(runs, run{s[0], s[1], n, geom.Coord{turn * dy / n, -turn * dx / n}})
			}
		}
	}
	slices.SortStableFunc(runs, func(a, b run) int { return cmp.Compare(b.long, a.long) })
	var out []Edge
	for _, r := range runs {
		if len(out) == mostEdges || r.long < edgeShare*runs[0].long {
			break
		}
		out = append(out, Edge{r.from, r.to, r.out, u.Length(unit.Length(r.long) * unit.Metre)})
	}
	return out
}

// straights are the straight stretches of a closed ring, each from its first to its last corner; the ring is begun at a corner where it turns.
func straights(ring []geom.Coord) (out [][2]geom.Coord) {
	n := len(ring) - 1
	if n < 3 {
		return nil
	}
	dir := func(i int) float64 {
		a, b := ring[i%n], ring[(i+1)%n]
		return math.Atan2(b[1]-a[1], b[0]-a[0])
	}
	bends := func(a, b float64) bool { return math.Abs(math.Remainder(b-a, 2*math.Pi)) >= straightTo }
	start := 0
	for start < n && !bends(dir(start+n-1), dir(start)) {
		start++
	}
	if start == n {
		return nil // round: it bends nowhere enough
	}
	for i := start; i < start+n; {
		j := i + 1
		for j < start+n && !bends(dir(i), dir(j)) {
			j++
		}
		out = append(out, [2]geom.Coord{ring[i%n], ring[j%n]})
		i = j
	}
	return out
}

// signedArea is twice a ring's area, positive when it runs counter-clockwise.
func signedArea(ring []geom.Coord) float64 {
	s := 0.0
	for i := 1; i < len(ring); i++ {
		s += (ring[i-1][0]-ring[0][0])*(ring[i][1]-ring[0][1]) - (ring[i][0]-ring[0][0])*(ring[i-1][1]-ring[0][1])
	}
	return s
}
