package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan/pass/ground"
)

const (
	// oneBend is how far apart in metres corners are that the hose drags round as round one.
	oneBend = 2.0
	// places is the distance in metres between places that are tried for the truck, mostPlaces how many of them there are along one line.
	places, mostPlaces = 3.0, 200
	// nearEnough is by how much in metres a hose may seem too short.
	nearEnough = 0.001
)

// reach is what the hose has to do for the passes as they are ordered; nil when no truck is known.
func (h *hoses) reach(w *work, t *tour) *Reach {
	if h == nil {
		return nil
	}
	r := &Reach{OnWet: t.onWet(h.under)}
	var out []int32
	for i, end := range t.seq {
		p := end >> 1
		r.Most = max(r.Most, unit.Length(h.most[p]))
		if w.setup.Hose > 0 && (h.lost[p] || h.most[p] > float64(w.setup.Hose)+nearEnough) {
			r.Out = append(r.Out, i+1)
			out = append(out, p)
		}
		if !h.lost[p] {
			r.bend(h.fields[w.passes[p].Truck], append([]geom.Coord{h.far[p]}, w.passes[p].Line...))
		}
	}
	if len(out) > 0 {
		r.Second = w.secondPlace(h.g, out)
	}
	return r
}

// bend notes the corners that the hose drags round on its way to some points.
func (r *Reach) bend(f *ground.Field, to []geom.Coord) {
	for _, c := range to {
		way, _, ok := f.To(c)
		for i := 1; ok && i < len(way)-1; i++ {
			if !slices.ContainsFunc(r.Bends, func(b geom.Coord) bool { return distance(b, way[i]) < oneBend }) {
				r.Bends = append(r.Bends, way[i])
			}
		}
	}
}

// secondPlace is the place for the truck from which the longest hose to the passes is shortest: along the street, which is taken to run
// by where the truck stands as the lawn's edge does there, and round hardscape. It is nil when the hose is too short from all.
func (w *work) secondPlace(g *ground.Ground, passes []int32) *geom.Coord {
	type place struct {
		at    geom.Coord
		least float64 // what the hose needs at least, as the crow flies
	}
	turf := regions(w.lawn.Net)
	var all []place
	for _, c := range append(w.street(turf), drives(w.lawn.LeftOut[geo.Hardscape])...) {
		q := place{at: c}
		for _, p := range passes {
			for _, c := range w.passes[p].Line {
				q.least = max(q.least, distance(q.at, c))
			}
		}
		if q.least <= float64(w.setup.Hose)+nearEnough && !slices.ContainsFunc(turf, func(r region) bool { return r.clearance(c[0], c[1]) > 0.01 }) && g.Clear(c, c) {
			all = append(all, q)
		}
	}
	truck := w.lawn.Trucks[0]
	slices.SortStableFunc(all, func(a, b place) int {
		return cmp.Or(cmp.Compare(math.Round(100*a.least), math.Round(100*b.least)), cmp.Compare(distance(a.at, truck), distance(b.at, truck)))
	})
	best, at := float64(w.setup.Hose)+2*nearEnough, (*geom.Coord)(nil)
	for i := range all {
		if all[i].least >= best-nearEnough {
			break
		}
		f, most := g.From(all[i].at), 0.0
		for _, p := range passes {
			l, _ := longest(f, w.passes[p].Line, best-nearEnough)
			if most = max(most, l); most >= best-nearEnough {
				break
			}
		}
		if most < best-nearEnough {
			best, at = most, &all[i].at
		}
	}
	return at
}

// street is places along a line through where the truck stands, which runs as the nearest edge of the turf does that is long
// enough to have a direction, as far as the turf goes.
func (w *work) street(turf []region) (out []geom.Coord) {
	const long = 5.0
	truck := w.lawn.Trucks[0]
	var dir geom.Coord
	near := math.Inf(1)
	for i := range turf {
		for _, e := range turf[i].edges {
			a, b := geom.Coord{e.ax, e.ay}, geom.Coord{e.bx, e.by}
			if l := distance(a, b); l >= long {
				if d := distance(truck, e.nearest(truck)); d < near-1e-3 {
					near, dir = d, geom.Coord{(b[0] - a[0]) / l, (b[1] - a[1]) / l}
				}
			}
		}
	}
	if dir == nil {
		return nil
	}
	lo, hi := 0.0, 0.0
	for i := range turf {
		for _, e := range turf[i].edges {
			s := (e.ax-truck[0])*dir[0] + (e.ay-truck[1])*dir[1]
			lo, hi = min(lo, s), max(hi, s)
		}
	}
	step := max(places, (hi-lo)/mostPlaces)
	for k := math.Ceil(lo / step); k <= math.Floor(hi/step); k++ {
		out = append(out, geom.Coord{truck[0] + k*step*dir[0], truck[1] + k*step*dir[1]})
	}
	return out
}

// drives is places round hardscape.
func drives(hard *geom.MultiPolygon) (out []geom.Coord) {
	if hard == nil {
		return nil
	}
	for i := range hard.NumPolygons() {
		ring := hard.Polygon(i).LinearRing(0)
		step := max(places, ring.Length()/mostPlaces)
		for k := 1; k < ring.NumCoords(); k++ {
			a, b := ring.Coord(k-1), ring.Coord(k)
			n := math.Ceil(distance(a, b) / step)
			for s := 0.0; s < n; s++ {
				out = append(out, geom.Coord{a[0] + s/n*(b[0]-a[0]), a[1] + s/n*(b[1]-a[1])})
			}
		}
	}
	return out
}
