// Package ground knows where one walks and where a hose lies: everywhere but over obstacles, such as
// buildings, water and beds. It finds the shortest way between two points, which is how a taut hose lies.
//
// It works in metres of one plane. Ground that no outline covers counts as free: it knows
// neither fences nor the neighbour. It leaves out whose lawn it is, and everything about passes.
package ground

import (
	"math"

	"github.com/twpayne/go-geom"

	"tankful/geo/overlay"
)

const (
	// clearance is how far ways keep off obstacles, in metres. It keeps rounding from making a corner an obstacle of
	// its own, and makes a way at most a few millimetres a corner longer than taut.
	clearance = 0.001
	// spike is the most clearances that a way keeps off a sharp corner.
	spike = 10
	// skew is the sine of the angle by which a line may seem to cut a corner that it touches: the
	// clearance turns short lines a little.
	skew = 0.02
	// short is the length in metres below which a line's direction says nothing about corners.
	short = 0.2
)

// xy is a point in metres.
type xy struct{ x, y float64 }

func of(c geom.Coord) xy               { return xy{c[0], c[1]} }
func (a xy) coord() geom.Coord         { return geom.Coord{a.x, a.y} }
func (a xy) plus(b xy) xy              { return xy{a.x + b.x, a.y + b.y} }
func (a xy) less(b xy) xy              { return xy{a.x - b.x, a.y - b.y} }
func (a xy) times(f float64) xy        { return xy{a.x * f, a.y * f} }
func (a xy) length() float64           { return math.Sqrt(a.x*a.x + a.y*a.y) } // a third of the time of math.Hypot
func cross(a, b xy) float64            { return a.x*b.y - a.y*b.x }
func dot(a, b xy) float64              { return a.x*b.x + a.y*b.y }
func (w *wall) direction() xy          { return w.b.less(w.a) }
func (w *wall) cuts(v *view) bool      { return v.left(w.a) != v.left(w.b) && w.left(v.a) != w.left(v.b) }
func (w *wall) left(p xy) bool         { return cross(w.b.less(w.a), p.less(w.a)) >= 0 }
func (w *wall) nearest(p xy) (foot xy) { return w.a.plus(w.direction().times(w.share(p))) }
func (w *wall) share(p xy) float64 {
	d := w.direction()
	return min(max(dot(p.less(w.a), d)/dot(d, d), 0), 1)
}

// wall is a stretch of an obstacle's edge, the obstacle on its left.
type wall struct{ a, b xy }

// view is a straight line between two points.
type view = wall

// post is a corner round which a taut hose can bend.
type post struct {
	at           xy
	before, next xy // directions from the corner along its two walls
	seen         []link
	looked       bool // seen is complete
}

// link is a straight way to another post.
type link struct {
	to     int
	length float64
}

// Ground is a plane with obstacles. What it has found out it keeps, so that one Ground is for one goroutine.
type Ground struct {
	walls []wall
	cells cells
	posts []post
}

// New is the ground with these obstacles, in metres. They may overlap, touch and repeat each other, and may be nil;
// their winding does not matter.
func New(obstacles ...*geom.MultiPolygon) *Ground {
	var given []*geom.MultiPolygon
	for _, o := range obstacles {
		if o != nil && o.NumPolygons() > 0 {
			given = append(given, o)
		}
	}
	// Ways are the same whether or not overlapping obstacles are one, and only slower to find when the overlay
	// refuses them: nothing that follows asks for it.
	if one, err := overlay.Union(given...); err == nil {
		given = []*geom.MultiPolygon{one}
	}
	g := &Ground{}
	var corners []post
	for _, o := range given {
		for i := range o.NumPolygons() {
			p := o.Polygon(i)
			for k := range p.NumLinearRings() {
				corners = append(corners, g.ring(p.LinearRing(k), k == 0)...)
			}
		}
	}
	g.cells = newCells(g.walls)
	for i := range corners {
		if !g.blocked(corners[i].at) {
			g.posts = append(g.posts, corners[i])
		}
	}
	return g
}

// ring adds the walls of a ring, and gives its corners that stick out of the obstacle.
func (g *Ground) ring(r *geom.LinearRing, shell bool) []post {
	var pts []xy
	for i := range r.NumCoords() {
		if p := of(r.Coord(i)); len(pts) == 0 || p != pts[len(pts)-1] {
			pts = append(pts, p)
		}
	}
	for len(pts) > 1 && pts[0] == pts[len(pts)-1] {
		pts = pts[:len(pts)-1]
	}
	if len(pts) < 3 {
		return nil
	}
	twice := 0.0
	for i, p := range pts { // from the first corner, so that far coordinates cost no digits
		twice += cross(p.less(pts[0]), pts[(i+1)%len(pts)].less(pts[0]))
	}
	n := len(pts)
	if (twice > 0) != shell {
		for i := range n / 2 {
			pts[i], pts[n-1-i] = pts[n-1-i], pts[i]
		}
	}
	var out []post
	for i, p := range pts {
		next, before := pts[(i+1)%n], pts[(i+n-1)%n]
		g.walls = append(g.walls, wall{p, next})
		if c, ok := corner(before, p, next); ok {
			out = append(out, c)
		}
	}
	return out
}

// corner is the corner at p, a clearance off both of its walls; false where it is none, or points into the obstacle.
func corner(before, p, next xy) (post, bool) {
	in, out := p.less(before), next.less(p)
	in, out = in.times(1/in.length()), out.times(1/out.length())
	turn := cross(in, out)
	if turn < 1e-9 {
		return post{}, false
	}
	// The mitre: both walls' outward normals added, as long as puts the corner a clearance off each.
	away := xy{in.y + out.y, -in.x - out.x}
	if away.length() < 1e-6 { // a spike: straight ahead
		away = in
	} else {
		away = away.times(1 / away.length())
	}
	off := clearance / max(dot(away, xy{in.y, -in.x}), 1.0/spike)
	return post{at: p.plus(away.times(off)), before: in.times(-1), next: out}, true
}

// touches reports whether a line in direction d through the corner leaves both of its walls on one side: only such
// lines are part of a taut way that bends at it.
func (p *post) touches(d xy) bool {
	l := d.length()
	if l < short {
		return true
	}
	a, b, slack := cross(d, p.before), cross(d, p.next), skew*l
	return a >= -slack && b >= -slack || a <= slack && b <= slack
}

// free is the point of free ground that is nearest to p: p itself, unless it is in an obstacle or on its edge.
func (g *Ground) free(p xy) xy {
	for range 20 { // a step out may end beside another wall, above all in a nook
		if !g.blocked(p) {
			return p
		}
		near, best := -1, math.Inf(1)
		for i := range g.walls {
			if d := g.walls[i].nearest(p).less(p).length(); d < best-1e-12 {
				near, best = i, d
			}
		}
		w := &g.walls[near]
		foot, d := w.nearest(p), w.direction()
		out := xy{d.y, -d.x}
		if s := w.share(p); (s == 0 || s == 1) && best > 1e-9 { // round a corner
			if out = foot.less(p); !g.inside(p) {
				out = out.times(-1)
			}
		}
		p = foot.plus(out.times(clearance / out.length()))
	}
	return p
}

// blocked reports whether p is in an obstacle, or closer to it than half the clearance.
func (g *Ground) blocked(p xy) bool {
	for _, i := range g.cells.at(p) {
		if g.walls[i].nearest(p).less(p).length() < clearance/2 {
			return true
		}
	}
	return g.inside(p)
}

// visible reports whether no wall lies between two points of free ground.
func (g *Ground) visible(a, b xy) bool {
	v := view{a, b}
	return !g.cells.along(a, b, 0, func(cell int) bool {
		for _, i := range g.cells.walls[cell] {
			if g.walls[i].cuts(&v) {
				return true
			}
		}
		return false
	})
}

// Clear reports whether one can go from a to b in a straight line; an end may lie on an obstacle's edge,
// up to a millimetre inside.
func (g *Ground) Clear(a, b geom.Coord) bool {
	p, q := g.free(of(a)), g.free(of(b))
	return p.less(of(a)).length() < 2*clearance && q.less(of(b)).length() < 2*clearance && g.visible(p, q)
}

// links is what can be seen from a post and touches both ends.
func (g *Ground) links(i int) []link {
	p := &g.posts[i]
	if p.looked {
		return p.seen
	}
	p.looked = true
	for k := range g.posts {
		q := &g.posts[k]
		if d := q.at.less(p.at); k != i && p.touches(d) && q.touches(d) && g.visible(p.at, q.at) {
			p.seen = append(p.seen, link{k, d.length()})
		}
	}
	return p.seen
}
