package pass

import (
	"cmp"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
	"github.com/twpayne/go-geom/xy"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/overlay"
	"tankful/plan/pass/ground"
)

// walkOrder numbers the passes so that little is walked between them, along ways round buildings, water and beds: a section is finished
// before the next where that costs little, edge laps come before the strips of their part. With a truck the way to the first pass
// counts too. Where Setup.FarFirst asks for it, passes over which the hose lies on its way to others come after those.
func (w *work) walkOrder() {
	g := w.lawn.ground()
	w.lineUp()
	h := w.hoses(g) // of the passes as they are now
	t := newTour(newPassEnds(w.passes, g, w.lawn.Trucks))
	if slices.ContainsFunc(w.passes, func(p Pass) bool { return p.Kind == Lap }) {
		t.laps = lapsOf(w.passes, w.lawn.Net)
	}
	if w.setup.FarFirst && h != nil {
		t.under = h.under
		t.farFirst(h.most)
	} else {
		t.nearFirst()
	}
	t.improve()
	if h == nil {
		t.fromOutside()
	}
	t.startLaps(w.passes, w.setup)
	w.plan.Passes = t.passes(w.passes, g)
	w.plan.Reach = h.reach(w, t)
}

// mostCorners is how many corners of buildings, water and beds are gone round: the ways between them go with its square. Of 860
// real sites none has more than 540. A walk round a bed that is left out is longer by 0.6 of its breadth at most.
const mostCorners = 2000

// ground is where the lawn is walked over and where hoses lie. Where there are too many corners the smallest beds are left out, and
// buildings and water last.
func (l *Lawn) ground() *ground.Ground {
	out, left := geom.NewMultiPolygon(geom.XY), mostCorners
	for _, kind := range [][]*geom.MultiPolygon{{l.NoWalk, l.LeftOut[geo.Building], l.LeftOut[geo.Water], l.unknown()}, {l.LeftOut[geo.Bed]}} {
		var all []*geom.Polygon
		for _, mp := range kind {
			for i := 0; mp != nil && i < mp.NumPolygons(); i++ {
				all = append(all, mp.Polygon(i))
			}
		}
		size := func(p *geom.Polygon) float64 { return math.Round(100 * math.Abs(p.Area())) }
		slices.SortStableFunc(all, func(a, b *geom.Polygon) int { return cmp.Compare(size(b), size(a)) })
		for _, p := range all {
			if left -= p.NumCoords(); left < 0 {
				break
			}
			_ = out.Push(p) // all layouts are XY
		}
	}
	return ground.New(out)
}

// unknown is the holes of the turf that no outline says anything of: a pond or a fountain that nobody drew, for all one knows.
func (l *Lawn) unknown() *geom.MultiPolygon {
	out := geom.NewMultiPolygon(geom.XY)
	var outlines []boxed
	for _, s := range geo.LeftOut {
		outlines = append(outlines, boxesOf(l.LeftOut[s]))
	}
	for i := 0; l.Net != nil && i < l.Net.NumPolygons(); i++ {
		turf := l.Net.Polygon(i)
		for k := 1; k < turf.NumLinearRings(); k++ {
			flat := turf.LinearRing(k).FlatCoords()
			hole := geom.NewPolygonFlat(geom.XY, flat, []int{len(flat)})
			known := slices.ContainsFunc(outlines, func(s boxed) bool {
				near := s.meeting(hole.Bounds())
				return near.NumPolygons() > 0 && overlay.Meet(overlay.Alone(hole), near)
			})
			for j := range l.Net.NumPolygons() { // turf in the hole is walked to
				known = known || j != i && xy.IsPointInRing(geom.XY, l.Net.Polygon(j).LinearRing(0).Coord(0), flat)
			}
			if !known {
				_ = out.Push(hole) // all layouts are XY
			}
		}
	}
	return out
}

// boxed is polygons with their boxes, so that few of them are looked at for a place.
type boxed struct {
	polygons []*geom.Polygon
	boxes    []*geom.Bounds
}

func boxesOf(mp *geom.MultiPolygon) (b boxed) {
	for i := 0; mp != nil && i < mp.NumPolygons(); i++ {
		p := mp.Polygon(i)
		b.polygons, b.boxes = append(b.polygons, p), append(b.boxes, p.Bounds())
	}
	return b
}

// meeting is the polygons whose boxes meet a box.
func (b boxed) meeting(box *geom.Bounds) *geom.MultiPolygon {
	out := geom.NewMultiPolygon(geom.XY)
	for i, p := range b.polygons {
		if b.boxes[i].Overlaps(geom.XY, box) {
			_ = out.Push(p) // all layouts are XY
		}
	}
	return out
}

// lineUp puts the passes and their ends in an order that turning and moving the lawn leaves as it is: by their distance from
// the truck, or from the middle of all ends when none is known.
func (w *work) lineUp() {
	from := geom.Coord{0, 0}
	if len(w.lawn.Trucks) > 0 {
		from = w.lawn.Trucks[0]
	} else {
		for i := range w.passes {
			for _, c := range []geom.Coord{w.passes[i].Line[0], w.passes[i].end()} {
				from = geom.Coord{from[0] + c[0]/float64(2*len(w.passes)), from[1] + c[1]/float64(2*len(w.passes))}
			}
		}
	}
	away := func(c geom.Coord) float64 { return math.Round(100 * distance(from, c)) } // centimetres
	for i := range w.passes {
		p := &w.passes[i]
		if p.closed {
			nearest := p.lapCorners()[0]
			for _, c := range p.lapCorners()[1:] {
				if away(c.start) < away(nearest.start) {
					nearest = c
				}
			}
			p.beginAt(nearest.leg, w.setup)
		}
		if away(p.Line[0]) > away(p.end()) {
			p.reverse()
		}
	}
	slices.SortStableFunc(w.passes, func(a, b Pass) int {
		return cmp.Or(cmp.Compare(away(a.Line[0]), away(b.Line[0])), cmp.Compare(away(a.end()), away(b.end())),
			cmp.Compare(math.Round(100*float64(a.Length)), math.Round(100*float64(b.Length))))
	})
}

// passes is the passes in the order of the tour, with the walks between them.
func (t *tour) passes(ps []Pass, g *ground.Ground) []Pass {
	out := make([]Pass, len(t.seq))
	for i, end := range t.seq {
		p := ps[end>>1]
		if end&1 == 1 {
			p.reverse()
		}
		p.N = i + 1
		if i > 0 {
			p.Way, p.WalkTo = wayBetween(g, out[i-1].end(), p.Line[0])
		}
		out[i] = p
	}
	return out
}

// wayBetween is the shortest way from a to b; the straight line where none leads there, such as into a yard.
func wayBetween(g *ground.Ground, a, b geom.Coord) ([]geom.Coord, unit.Length) {
	if !g.Clear(a, b) {
		if way, l, ok := g.From(a).To(b); ok {
			return way, unit.Length(l)
		}
	}
	return []geom.Coord{a, b}, unit.Length(distance(a, b))
}

func (p *Pass) end() geom.Coord { return p.Line[len(p.Line)-1] }

// reverse turns the walk round.
func (p *Pass) reverse() {
	slices.Reverse(p.Line)
	slices.Reverse(p.legs)
	old := slices.Clone(p.legs)
	for i := range p.legs {
		before := &old[(i+1)%len(old)] // what lay before a leg lies behind it now; before the first lay the way round from the last
		p.legs[i].off, p.legs[i].way = i+1 < len(old) && before.off, slices.Clone(before.way)
		slices.Reverse(p.legs[i].way)
		l := slices.Clone(p.legs[i].line) // drafts may share it
		slices.Reverse(l)
		p.legs[i].line = l
	}
	whole := lengthOf(p.Line)
	slices.Reverse(p.Off)
	for i, o := range p.Off {
		p.Off[i] = Stretch{whole - o.To, whole - o.From}
	}
}

// fromOutside turns a tour that may begin at either end so that it begins at the one nearer the edge, else further from the middle, else
// further south-west.
func (t *tour) fromOutside() {
	first, last := t.seq[0], t.seq[len(t.seq)-1]^1
	middle := geom.Coord{0, 0}
	for _, c := range t.e.at {
		middle[0], middle[1] = middle[0]+c[0]/float64(len(t.e.at)), middle[1]+c[1]/float64(len(t.e.at))
	}
	a, b := t.e.at[first], t.e.at[last]
	const same = 0.1 // metres
	switch in, out := t.e.approach(last)-t.e.approach(first), distance(middle, a)-distance(middle, b); {
	case in < -same:
	case in > same, out > same:
		return
	case out > -same && a[0]+a[1] < b[0]+b[1]: // alike: the one further south-west
		return
	}
	before, n := t.penalty(), len(t.seq)-1
	if t.flip(0, n); t.penalty() > before {
		t.flip(0, n)
	}
}

// laps says which passes are edge laps, and in which part of the turf each pass is.
type laps struct {
	lap   []bool
	part  []int
	parts int
}

func lapsOf(ps []Pass, net *geom.MultiPolygon) *laps {
	rs := regions(net)
	l := &laps{lap: make([]bool, len(ps)), part: make([]int, len(ps)), parts: len(rs)}
	for i := range ps {
		l.lap[i] = ps[i].Kind == Lap
		if len(rs) == 1 {
			continue
		}
		c, best := ps[i].At(lengthOf(ps[i].Line)/2), math.Inf(-1) // it may lie on a bed, near its part
		for k := range rs {
			if d := rs[k].clearance(c[0], c[1]); d > best {
				best, l.part[i] = d, k
			}
		}
	}
	return l
}
