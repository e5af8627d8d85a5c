package ground

import (
	"container/heap"
	"math"
	"slices"

	"github.com/twpayne/go-geom"
)

// Field is the shortest ways from one point. It grows as far as it is asked.
type Field struct {
	g        *Ground
	from, at xy // as given, and on free ground
	dist     []float64
	via      []int // the post before, -1 for the point itself
	done     []int // the posts whose way is known, nearest first
	settled  []bool
	open     queue
}

// From is the ways from p. A point in an obstacle leaves it where that is nearest.
func (g *Ground) From(p geom.Coord) *Field {
	return &Field{g: g, from: of(p), at: g.free(of(p))}
}

// start looks from the point itself.
func (f *Field) start() {
	n := len(f.g.posts)
	f.dist, f.via, f.settled = make([]float64, n), make([]int, n), make([]bool, n)
	for i := range f.g.posts {
		p := &f.g.posts[i]
		f.dist[i] = math.Inf(1)
		if d := p.at.less(f.at); p.touches(d) && f.g.visible(f.at, p.at) {
			f.reach(i, -1, d.length())
		}
	}
}

// reach notes a way to a post.
func (f *Field) reach(i, via int, d float64) {
	if d < f.dist[i] {
		f.dist[i], f.via[i] = d, via
		heap.Push(&f.open, stop{i, d})
	}
}

// post is the k-th nearest post, false when there are fewer that can be reached.
func (f *Field) post(k int) (int, bool) {
	if f.dist == nil {
		f.start()
	}
	for len(f.done) <= k {
		if len(f.open) == 0 {
			return 0, false
		}
		s := heap.Pop(&f.open).(stop)
		if f.settled[s.post] {
			continue
		}
		f.settled[s.post] = true
		f.done = append(f.done, s.post)
		for _, l := range f.g.links(s.post) {
			f.reach(l.to, s.post, s.dist+l.length)
		}
	}
	return f.done[k], true
}

// nobend is the last bend of a straight way.
const nobend = -1

// last is the last bend of the shortest way to a point of free ground, and how long that is; infinite when there is none.
func (f *Field) last(q xy) (bend int, length float64) {
	if f.g.visible(f.at, q) {
		return nobend, q.less(f.at).length()
	}
	bend, length = nobend, math.Inf(1)
	for k := 0; ; k++ {
		i, ok := f.post(k)
		if !ok || f.dist[i] >= length {
			return bend, length
		}
		p := &f.g.posts[i]
		d := q.less(p.at)
		if l := f.dist[i] + d.length(); l < length && p.touches(d) && f.g.visible(p.at, q) {
			bend, length = i, l
		}
	}
}

// To is the shortest way to q and its length: from the field's point to q, bends between; ok is false when none leads
// there, such as into a yard within a building. A way from or into an obstacle crosses its edge where that is nearest.
func (f *Field) To(q geom.Coord) (way []geom.Coord, length float64, ok bool) {
	to := of(q)
	end := f.g.free(to)
	bend, length := f.last(end)
	if math.IsInf(length, 1) {
		return nil, 0, false
	}
	way = append(way, to.coord())
	if end.less(to).length() > 2*clearance {
		way = append(way, end.coord())
	}
	for i := bend; i != nobend; i = f.via[i] {
		way = append(way, f.g.posts[i].at.coord())
	}
	if f.at.less(f.from).length() > 2*clearance {
		way = append(way, f.at.coord())
	}
	way = append(way, f.from.coord())
	slices.Reverse(way)
	length = 0
	for i := 1; i < len(way); i++ {
		length += of(way[i]).less(of(way[i-1])).length()
	}
	return way, length, true
}

// Length is the length of the shortest way to q within 2 mm, infinite when none leads there.
func (f *Field) Length(q geom.Coord) float64 {
	to := of(q)
	end := f.g.free(to)
	_, l := f.last(end)
	return l + out(f.from, f.at) + out(to, end)
}

// out is the way out of an obstacle.
func out(p, free xy) float64 { return p.less(free).length() }

// Most is the longest of the ways to the points between a and b, within a centimetre, and the point that it leads to. It is longer
// than the ways to both ends where the ways either side of an obstacle are equal. Points that no way
// leads to do not count; it is 0 when none does.
func (f *Field) Most(a, b geom.Coord) (length float64, at geom.Coord) {
	length, at = 0, a
	note := func(p xy) sight {
		s := f.sight(p)
		if !math.IsInf(s.length, 1) && s.length > length {
			length, at = s.length, p.coord()
		}
		return s
	}
	var search func(s, t sight)
	search = func(s, t sight) {
		if math.IsInf(s.length, 1) && math.IsInf(t.length, 1) {
			return
		}
		l := t.p.less(s.p).length()
		most := (s.length + t.length + l) / 2 // a way grows by at most what one goes along
		if l < 0.01 || most <= length+0.01 || f.convex(s, t) {
			return
		}
		m := note(s.p.plus(t.p).times(0.5))
		search(s, m)
		search(m, t)
	}
	search(note(of(a)), note(of(b)))
	return length, at
}

// sight is a point and how the way to it ends.
type sight struct {
	p      xy
	bend   int
	length float64
}

func (f *Field) sight(p xy) sight {
	end := f.g.free(p)
	bend, l := f.last(end)
	return sight{p, bend, l + out(f.from, f.at) + out(p, end)}
}

// convex reports whether the ways to two points come from one bend, with no corner between them: the ways to the points between
// are then no longer than the longer of the two.
func (f *Field) convex(s, t sight) bool {
	if s.bend != t.bend {
		return false
	}
	o := f.at
	if s.bend != nobend {
		o = f.g.posts[s.bend].at
	}
	for i := range f.g.posts {
		p := f.g.posts[i].at
		x, y, z := cross(s.p.less(o), p.less(o)), cross(t.p.less(s.p), p.less(s.p)), cross(o.less(t.p), p.less(t.p))
		if i != s.bend && (x >= 0 && y >= 0 && z >= 0 || x <= 0 && y <= 0 && z <= 0) {
			return false
		}
	}
	return true
}

// stop is a post on the way out, at a distance that may yet be bettered.
type stop struct {
	post int
	dist float64
}

type queue []stop

func (q queue) Len() int { return len(q) }
func (q queue) Less(i, j int) bool {
	return q[i].dist < q[j].dist || q[i].dist == q[j].dist && q[i].post < q[j].post
}
func (q queue) Swap(i, j int) { q[i], q[j] = q[j], q[i] }
func (q *queue) Push(x any)   { *q = append(*q, x.(stop)) }
func (q *queue) Pop() any {
	s := (*q)[len(*q)-1]
	*q = (*q)[:len(*q)-1]
	return s
}
