package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/plan/pass/ground"
)

const (
	// leave is the walk in metres that is worth as much as staying in a section until it is done (common practice, no source).
	leave = 4.0
	// apart is what going where no way leads costs in metres, so that a yard is done in one go.
	apart = 100.0
	// neighbours is how many of the nearest ends are tried as the next.
	neighbours = 10
	// mostKnown is how many ways are kept at most: 1 MB.
	mostKnown = 1 << 16
)

// passEnds are where the passes begin and end, and what it costs to go from one to another: 2i is where pass i
// begins as it is laid, 2i+1 where it ends.
type passEnds struct {
	at      []geom.Coord
	section []int
	near    [][]int32 // the nearest ends of other passes, nearest first
	g       *ground.Ground
	truck   *ground.Field // nil when no truck is known
	hull    [][2]float64  // round all ends, when no truck is known
	from    []*ground.Field
	start   []float64 // the ways from the truck or from outside, -1 where not yet found
	known   []known   // the last ways that were found, by their ends; a power of two
}

// known is a way that was found between two ends.
type known struct {
	a, b   int32
	length float64
}

func newPassEnds(ps []Pass, g *ground.Ground, trucks []geom.Coord) *passEnds {
	size := 64
	for size < min(128*len(ps), mostKnown) {
		size *= 2
	}
	e := &passEnds{g: g, known: make([]known, size), from: make([]*ground.Field, 2*len(ps))}
	for i := range ps {
		e.at = append(e.at, ps[i].Line[0], ps[i].end())
		e.section = append(e.section, ps[i].Section)
		e.start = append(e.start, -1, -1)
	}
	if len(trucks) > 0 {
		e.truck = g.From(trucks[0])
	} else {
		var all region
		for _, c := range e.at {
			all.edges = append(all.edges, edge{ax: c[0], ay: c[1]})
		}
		e.hull = all.hull()
	}
	e.findNear()
	return e
}

// cost is the walk from one end to another, and what leaving a section is worth.
func (e *passEnds) cost(a, b int32) float64 {
	return e.way(a, b) + e.change(a, b)
}

// least is what cost is at least, for the price of a straight line.
func (e *passEnds) least(a, b int32) float64 { return e.straight(a, b) + e.change(a, b) }

func (e *passEnds) straight(a, b int32) float64 {
	dx, dy := e.at[a][0]-e.at[b][0], e.at[a][1]-e.at[b][1]
	return math.Sqrt(dx*dx + dy*dy) // a third of the time of math.Hypot
}

func (e *passEnds) change(a, b int32) float64 {
	if e.section[a>>1] != e.section[b>>1] {
		return leave
	}
	return 0
}

func (e *passEnds) way(a, b int32) float64 {
	if a > b { // the same both ways
		a, b = b, a
	}
	k := &e.known[(uint64(a)*0x9e3779b97f4a7c15+uint64(b)*0xc2b2ae3d27d4eb4f)>>40&uint64(len(e.known)-1)]
	if k.a == a && k.b == b { // a and b differ, so that an empty one is none
		return k.length
	}
	l := e.straight(a, b)
	if !e.g.Clear(e.at[a], e.at[b]) {
		if e.from[a] == nil {
			e.from[a] = e.g.From(e.at[a])
		}
		if round := e.from[a].Length(e.at[b]); math.IsInf(round, 1) {
			l += apart
		} else {
			l = max(l, round)
		}
	}
	*k = known{a, b, l}
	return l
}

// approach is the walk from the truck to an end; when none is known, the way in from outside to it, straight. It weighs a little less
// than one between passes: of two orders with as much to walk, the one that walks before it begins has the neater numbers.
func (e *passEnds) approach(a int32) float64 {
	if e.start[a] >= 0 {
		return e.start[a]
	}
	in := math.Inf(1)
	if e.truck != nil {
		in = e.truck.Length(e.at[a])
	} else {
		if len(e.hull) == 0 { // all ends are one
			in = 0
		}
		for i, p := range e.hull {
			q := e.hull[(i+1)%len(e.hull)]
			in = min(in, distance(e.at[a], (&edge{p[0], p[1], q[0], q[1]}).nearest(e.at[a])))
		}
	}
	if e.start[a] = 0.99 * in; math.IsInf(in, 1) {
		e.start[a] = apart
	}
	return e.start[a]
}

// findNear lists the nearest ends of other passes for every end: those in squares of a grid, ring by ring.
func (e *passEnds) findNear() {
	lo, hi := slices.Clone(e.at[0]), slices.Clone(e.at[0])
	for _, c := range e.at {
		lo = geom.Coord{min(lo[0], c[0]), min(lo[1], c[1])}
		hi = geom.Coord{max(hi[0], c[0]), max(hi[1], c[1])}
	}
	// A few ends in each square, but no more squares along a side than there are ends.
	w, h, n := hi[0]-lo[0], hi[1]-lo[1], float64(len(e.at))
	size := max(math.Sqrt(2*w*h/n), max(w, h)/n, 1e-3)
	nx, ny := int(w/size)+1, int(h/size)+1
	squares := make([][]int32, nx*ny)
	square := func(c geom.Coord) (x, y int) { return int((c[0] - lo[0]) / size), int((c[1] - lo[1]) / size) }
	for i, c := range e.at {
		x, y := square(c)
		squares[y*nx+x] = append(squares[y*nx+x], int32(i))
	}
	e.near = make([][]int32, len(e.at))
	var found []int32
	for i, c := range e.at {
		x, y := square(c)
		found = found[:0]
		for ring, last := 0, max(nx, ny); ring <= last; ring++ {
			for v := max(y-ring, 0); v <= min(y+ring, ny-1); v++ {
				step := 1
				if v != y-ring && v != y+ring {
					step = max(2*ring, 1) // only the rim of the ring
				}
				for u := x - ring; u <= x+ring; u += step {
					if u >= 0 && u < nx {
						found = append(found, squares[v*nx+u]...)
					}
				}
			}
			if len(found) >= neighbours+2 { // those in the next ring may be nearer yet
				last = min(last, ring+1)
			}
		}
		e.near[i] = e.nearest(c, int32(i), found)
	}
}

// nearest is the nearest of the ends found, in order; ends that are equally near to a millimetre by number.
func (e *passEnds) nearest(c geom.Coord, own int32, found []int32) []int32 {
	type near struct {
		end  int32
		dist float64
	}
	var all []near
	for _, k := range found {
		if k>>1 != own>>1 {
			all = append(all, near{k, math.Round(1000 * distance(c, e.at[k]))})
		}
	}
	slices.SortFunc(all, func(a, b near) int { return cmp.Or(cmp.Compare(a.dist, b.dist), cmp.Compare(a.end, b.end)) })
	var out []int32
	for _, k := range all[:min(len(all), neighbours)] {
		out = append(out, k.end)
	}
	return out
}
