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
	if !(best.Away <= within) {
		return best, ErrFar
	}
	// At the end of a segment the place is at the junction, to which all its roads lead, not only this one.
	switch s := &g.segs[best.seg]; best.part {
	case 0:
		best.node = s.a
	case 1:
		best.node = s.b
	}
	if best.node >= 0 {
		best.At = g.nodes[best.node].orb()
	}
	return best, nil
}

// SnapJunction finds the nearest junction that one gets to and away from; the error is ErrFar where there is none.
func (g *Graph) SnapJunction(p orb.Point) (Spot, error) {
	best, found := -1, math.Inf(1)
	f := planeAt(p)
	for i := range g.nodes {
		if x, y := f.of(g.nodes[i]); g.part[i] >= 0 && x*x+y*y < found {
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
