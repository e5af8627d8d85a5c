// Package road finds the fastest ways between places over a map of roads.
//
// It knows a graph of road segments with one-way streets, driving times and shapes, how to read it from an OpenStreetMap extract, how to keep it in a compact
// file, where on it a place lies, and fastest ways. It leaves out traffic, turn restrictions, gates and bollards, the time that
// turns and lights take, the heights and weights that a truck may have, and the way from the road to a place.
package road

import (
	"errors"
	"fmt"
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// Credit is what the licence of OpenStreetMap data asks to be said where it is used (Open Database License 1.0, 4.3).
const Credit = "Roads: (c) OpenStreetMap contributors, ODbL 1.0"

// Segment is a stretch of road between two junctions.
type Segment struct {
	// From and To are indices into the junctions, and Shape the points between them.
	From, To int
	Shape    []orb.Point
	// Length is along the road; 0 has it measured on the ellipsoid.
	Length unit.Length
	// Speed is the speed that it is driven at, Back that in the other direction: 0 where that is forbidden.
	Speed, Back unit.Speed
}

// Graph is a map of roads. It does not change, and may be used by several goroutines.
type Graph struct {
	nodes []point
	segs  []segment
	shape []point // of all segments, one after the other
	// first is by node where its arcs begin.
	first []int32
	arcs  []arc
	// part is by node the number of the part in which one gets from everywhere to everywhere, -1 for none worth going to.
	part   []int32
	grid   grid
	credit string
}

// point is a place in 1e-7 degrees.
type point struct{ lon, lat int32 }

func (p point) orb() orb.Point { return orb.Point{float64(p.lon) / 1e7, float64(p.lat) / 1e7} }

func pointOf(p orb.Point) point {
	return point{int32(math.Round(p[0] * 1e7)), int32(math.Round(p[1] * 1e7))}
}

// segment is one Segment: metres, and seconds there and back, +Inf where it is forbidden.
type segment struct {
	a, b        int32
	from, to    int32 // into shape
	length      float64
	there, back float64
}

// arc is one direction of a segment.
type arc struct {
	to  int32
	seg int32
	// there says that the arc goes from a to b.
	there bool
	time  float64
}

// most bounds nodes, segments and shape points of a graph.
const most = 50_000_000

// ErrEmpty says that there are no roads.
var ErrEmpty = errors.New("no road that can be driven")

// New makes a graph of junctions, in degrees, and the segments between them. credit is what the data's licence asks to be said. The error tells the first segment that is
// none: with an end that is no junction, a place that is none, a length or a speed that is no number or below 0, or closed in both directions; or ErrEmpty.
func New(junctions []orb.Point, segments []Segment, credit string) (*Graph, error) {
	if len(segments) == 0 {
		return nil, ErrEmpty
	}
	if len(junctions) > most || len(segments) > most {
		return nil, fmt.Errorf("%d junctions and %d segments are over %d", len(junctions), len(segments), most)
	}
	g := &Graph{credit: credit}
	for i, p := range junctions {
		if !onEarth(p) {
			return nil, fmt.Errorf("junction %d is at %v", i, p)
		}
		g.nodes = append(g.nodes, pointOf(p))
	}
	for i := range segments {
		if err := g.add(&segments[i]); err != nil {
			return nil, fmt.Errorf("segment %d: %w", i, err)
		}
	}
	g.link()
	return g, nil
}

func onEarth(p orb.Point) bool { return p[0] >= -180 && p[0] <= 180 && p[1] >= -90 && p[1] <= 90 }

func (g *Graph) add(s *Segment) error {
	n := len(g.nodes)
	switch {
	case s.From < 0 || s.From >= n || s.To < 0 || s.To >= n:
		return fmt.Errorf("from %d to %d of %d junctions", s.From, s.To, n)
	case !(s.Length >= 0) || math.IsInf(float64(s.Length), 0):
		return fmt.Errorf("%v m long", float64(s.Length))
	case !(s.Speed >= 0) || !(s.Back >= 0) || s.Speed == 0 && s.Back == 0 || math.IsInf(float64(s.Speed+s.Back), 0):
		return fmt.Errorf("%v m/s and %v m/s back", float64(s.Speed), float64(s.Back))
	}
	q := segment{a: int32(s.From), b: int32(s.To), from: int32(len(g.shape)), length: float64(s.Length)}
	at := g.nodes[s.From].orb()
	measured := 0.0
	for _, p := range s.Shape {
		if !onEarth(p) {
			return fmt.Errorf("a point at %v", p)
		}
		measured += float64(geodesic.Distance(at, p))
		at = p
		g.shape = append(g.shape, pointOf(p))
	}
	if s.Length == 0 {
		q.length = measured + float64(geodesic.Distance(at, g.nodes[s.To].orb()))
	}
	q.to = int32(len(g.shape))
	q.there, q.back = q.length/float64(s.Speed), q.length/float64(s.Back)
	if s.Speed == 0 {
		q.there = math.Inf(1)
	}
	if s.Back == 0 {
		q.back = math.Inf(1)
	}
	g.segs = append(g.segs, q)
	return nil
}

// link lists the arcs of each node, and finds where one gets to and away.
func (g *Graph) link() {
	g.first = make([]int32, len(g.nodes)+1)
	each := func(f func(from int32, a arc)) {
		for i := range g.segs {
			s := &g.segs[i]
			if !math.IsInf(s.there, 1) {
				f(s.a, arc{s.b, int32(i), true, s.there})
			}
			if !math.IsInf(s.back, 1) {
				f(s.b, arc{s.a, int32(i), false, s.back})
			}
		}
	}
	each(func(from int32, _ arc) { g.first[from+1]++ })
	for i := range g.nodes {
		g.first[i+1] += g.first[i]
	}
	g.arcs = make([]arc, g.first[len(g.nodes)])
	next := append([]int32(nil), g.first...)
	each(func(from int32, a arc) {
		g.arcs[next[from]] = a
		next[from]++
	})
	g.part = g.returning()
	g.grid = g.newGrid()
}

// Size is how many junctions and segments the graph has.
func (g *Graph) Size() (junctions, segments int) { return len(g.nodes), len(g.segs) }

// Credit is what the data's licence asks to be said.
func (g *Graph) Credit() string { return g.credit }

// line is a segment's line from end to end.
func (g *Graph) line(seg int32) []point {
	s := &g.segs[seg]
	out := append(make([]point, 0, 2+s.to-s.from), g.nodes[s.a])
	return append(append(out, g.shape[s.from:s.to]...), g.nodes[s.b])
}
