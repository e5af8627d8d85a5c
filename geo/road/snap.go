package road

import (
	"errors"
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
)

// Spot is a place on the roads.
type Spot struct {
	// At is the point on the road, Away how far the place is from it.
	At   orb.Point
	Away unit.Length

	node int32 // a junction, or -1
	seg  int32
	part float64 // of the segment's length, from its a end
}

// ErrFar says that there is no road within the distance.
var ErrFar = errors.New("no road that near")

// Snap finds the nearest point of a road that one gets to and away from, no farther than within. The error is ErrFar.
func (g *Graph) Snap(p orb.Point, within unit.Length) (Spot, error) {
	best := Spot{node: -1, Away: unit.Length(math.Inf(1))}
	if !onEarth(p) {
		return best, ErrFar
	}
	f := planeAt(p)
	found := math.Inf(1)
	g.grid.around(p, f, float64(within), func(seg int32, reach float64) bool {
		if seg < 0 {
			return found > reach
		}
		if part, at, d := g.nearest(seg, f); d < found {
			found = d
			best.seg, best.part, best.At = seg, part, at
		}
		return true
	})
	if math.IsInf(found, 1) {
		return best, ErrFar
	}
	best.Away = geodesic.Distance(p, best.At)
	if best.Away > within {
		return best, ErrFar
	}
	return best, nil
}

// SnapJunction finds the nearest junction that one gets to and away from; the error is ErrFar where there is none.
func (g *Graph) SnapJunction(p orb.Point) (Spot, error) {
	best, found := -1, math.Inf(1)
	f := planeAt(p)
	for i := range g.nodes {
		if x, y := f.of(g.nodes[i]); g.home[i] && x*x+y*y < found {
			best, found = i, x*x+y*y
		}
	}
	if best < 0 {
		return Spot{node: -1}, ErrFar
	}
	at := g.nodes[best].orb()
	return Spot{At: at, Away: geodesic.Distance(p, at), node: int32(best)}, nil
}

// plane is metres east and north of a place, good to some kilometres around it: for what is nearer, not for lengths.
type plane struct {
	lon, lat float64
	kx, ky   float64 // metres a degree
}

// planeAt takes metres a degree from the radii of curvature of WGS 84 (a = 6,378,137 m, 1/f = 298.257223563: NGA.STND.0036, 2014).
func planeAt(p orb.Point) plane {
	const a, e2 = 6378137.0, 0.0066943799901413165
	s, c := math.Sincos(p[1] * math.Pi / 180)
	w := math.Sqrt(1 - e2*s*s)
	return plane{p[0], p[1], math.Pi / 180 * a * max(c, 1e-6) / w, math.Pi / 180 * a * (1 - e2) / (w * w * w)}
}

func (f *plane) of(p point) (x, y float64) {
	lon := float64(p.lon)/1e7 - f.lon
	if lon > 180 {
		lon -= 360
	} else if lon < -180 {
		lon += 360
	}
	return lon * f.kx, (float64(p.lat)/1e7 - f.lat) * f.ky
}

// nearest is the point of a segment that is nearest to the plane's origin, its part of the segment's length, and its distance.
func (g *Graph) nearest(seg int32, f plane) (part float64, at orb.Point, away float64) {
	line := g.line(seg)
	total, along, best := 0.0, 0.0, math.Inf(1)
	for i := range len(line) - 1 {
		ax, ay := f.of(line[i])
		bx, by := f.of(line[i+1])
		dx, dy := bx-ax, by-ay
		long := math.Hypot(dx, dy)
		k := 0.0
		if long > 0 {
			k = min(1, max(0, -(ax*dx+ay*dy)/(long*long)))
		}
		if d := math.Hypot(ax+k*dx, ay+k*dy); d < best {
			best, along = d, total+k*long
			at = orb.Point{f.lon + (ax+k*dx)/f.kx, f.lat + (ay+k*dy)/f.ky}
		}
		total += long
	}
	if at[0] > 180 {
		at[0] -= 360
	} else if at[0] < -180 {
		at[0] += 360
	}
	if total > 0 {
		part = min(1, along/total)
	}
	return part, at, best
}

// cell is the side of a cell of the grid, in 1e-7 degrees: about 200 m north.
const cell = 20_000

// grid finds segments by place.
type grid struct {
	w, s       int32 // of the corner, in cells
	cols, rows int32
	first      []int32 // by cell
	segs       []int32
}

// newGrid enters every segment that may be snapped to into all cells that its line's parts have in their bounds. Where the roads are spread so widely that there would be more cells than four a segment, the grid
// would be empty mostly; it is made all the same as long as cells are fewer than mostCells, else cells are wider.
func (g *Graph) newGrid() grid {
	lo, hi := point{math.MaxInt32, math.MaxInt32}, point{math.MinInt32, math.MinInt32}
	widen := func(p point) {
		lo.lon, lo.lat, hi.lon, hi.lat = min(lo.lon, p.lon), min(lo.lat, p.lat), max(hi.lon, p.lon), max(hi.lat, p.lat)
	}
	for _, p := range g.nodes {
		widen(p)
	}
	for _, p := range g.shape {
		widen(p)
	}
	k := grid{w: floor(lo.lon), s: floor(lo.lat)}
	k.cols, k.rows = floor(hi.lon)-k.w+1, floor(hi.lat)-k.s+1
	if int64(k.cols)*int64(k.rows) > mostCells {
		return grid{}
	}
	k.first = make([]int32, k.cols*k.rows+1)
	each := func(f func(cell int32, seg int32)) {
		for i := range g.segs {
			if s := &g.segs[i]; !g.home[s.a] || !g.home[s.b] {
				continue
			}
			line := g.line(int32(i))
			for j := range len(line) - 1 {
				a, b := line[j], line[j+1]
				for y := floor(min(a.lat, b.lat)); y <= floor(max(a.lat, b.lat)); y++ {
					for x := floor(min(a.lon, b.lon)); x <= floor(max(a.lon, b.lon)); x++ {
						f((y-k.s)*k.cols+x-k.w, int32(i))
					}
				}
			}
		}
	}
	each(func(c, _ int32) { k.first[c+1]++ })
	for i := range k.cols * k.rows {
		k.first[i+1] += k.first[i]
	}
	k.segs = make([]int32, k.first[len(k.first)-1])
	next := append([]int32(nil), k.first...)
	each(func(c, s int32) {
		k.segs[next[c]] = s
		next[c]++
	})
	return k
}

// mostCells bounds the grid: a map of 6 by 6 degrees has that many. A wider one has none, and places on it are looked for among all segments.
const mostCells = 9_000_000

func floor(x int32) int32 {
	if x < 0 {
		return -((-x + cell - 1) / cell)
	}
	return x / cell
}

// around gives the segments of the cells around a place, ring by ring. After each ring it asks with seg -1 whether to go on, where nothing nearer than reach metres is left.
func (k *grid) around(p orb.Point, f plane, within float64, found func(seg int32, reach float64) bool) {
	at := pointOf(p)
	cx, cy := floor(at.lon)-k.w, floor(at.lat)-k.s
	side := min(f.kx, f.ky) * cell / 1e7
	for ring := int32(0); ; ring++ {
		for y := cy - ring; y <= cy+ring; y++ {
			if y < 0 || y >= k.rows {
				continue
			}
			step := int32(1)
			if y != cy-ring && y != cy+ring {
				step = max(1, 2*ring)
			}
			for x := cx - ring; x <= cx+ring; x += step {
				if x < 0 || x >= k.cols {
					continue
				}
				c := y*k.cols + x
				for _, s := range k.segs[k.first[c]:k.first[c+1]] {
					found(s, 0)
				}
			}
		}
		reach := float64(ring) * side
		if reach > within || ring > max(k.cols, k.rows)+max(abs(cx), abs(cy)) || !found(-1, reach) {
			return
		}
	}
}

func abs(x int32) int32 { return max(x, -x) }
