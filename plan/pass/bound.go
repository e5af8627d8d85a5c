package pass

import (
	"container/heap"
	"math"
)

// boundPasses is what no plan of passes within strips of width w can go below on this part:
//
//   - strips that cover a disc have widths that sum to its diameter at least (Bang's solution
//     of Tarski's plank problem, 1951), so there are 2r/w of them for any disc in the turf;
//   - the turf in one strip is at most w x the part's longest chord, so there are area/(w x chord).
func (r *region) boundPasses(w float64) int {
	if r.area < sliver {
		return 0
	}
	plank := math.Ceil((2*r.inscribed() - fitSlack) / w)
	chord := 0.0
	h := r.hull()
	for i := range h {
		for j := range h[:i] {
			chord = max(chord, math.Hypot(h[i][0]-h[j][0], h[i][1]-h[j][1]))
		}
	}
	// fitSlack widens a strip by that much at most; allow for it.
	area := math.Ceil(r.area/((w+fitSlack)*chord) - 1e-9)
	return int(max(plank, area, 1))
}

// inscribed is the radius of a disc within the region, near the largest (within 1 %): squares
// are searched in the order of the largest disc they could hold.
func (r *region) inscribed() float64 {
	x0, y0, x1, y1 := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, e := range r.edges {
		x0, x1 = min(x0, e.ax), max(x1, e.ax)
		y0, y1 = min(y0, e.ay), max(y1, e.ay)
	}
	half := min(x1-x0, y1-y0) / 2
	if half <= 0 {
		return 0
	}
	q := &squares{}
	for x := x0; x < x1; x += 2 * half {
		for y := y0; y < y1; y += 2 * half {
			heap.Push(q, r.square(x+half, y+half, half))
		}
	}
	best := 0.0
	for tries := 0; q.Len() > 0 && tries < 4000; tries++ {
		s := heap.Pop(q).(square)
		if s.most <= best*1.01 {
			break
		}
		best = max(best, s.here)
		for _, d := range [][2]float64{{-1, -1}, {-1, 1}, {1, -1}, {1, 1}} {
			if t := r.square(s.x+d[0]*s.half/2, s.y+d[1]*s.half/2, s.half/2); t.most > best*1.01 {
				heap.Push(q, t)
			}
		}
	}
	return best
}

// square is a square with the disc round its centre and the largest any point of it could have.
type square struct{ x, y, half, here, most float64 }

func (r *region) square(x, y, half float64) square {
	d := r.clearance(x, y)
	return square{x, y, half, d, d + half*math.Sqrt2}
}

// clearance is the distance from a point to the edge of the turf, negative outside.
func (r *region) clearance(x, y float64) float64 {
	near, in := math.Inf(1), false
	for i := range r.edges {
		e := &r.edges[i]
		if (e.ay > y) != (e.by > y) && x < e.ax+(y-e.ay)/(e.by-e.ay)*(e.bx-e.ax) {
			in = !in
		}
		dx, dy := e.bx-e.ax, e.by-e.ay
		t := ((x-e.ax)*dx + (y-e.ay)*dy) / (dx*dx + dy*dy)
		t = min(max(t, 0), 1)
		near = min(near, math.Hypot(x-e.ax-t*dx, y-e.ay-t*dy))
	}
	if !in {
		return -near
	}
	return near
}

// squares is a heap, the most promising square first; ties by place, so that the search is repeatable.
type squares []square

func (s squares) Len() int { return len(s) }
func (s squares) Less(i, j int) bool {
	if s[i].most != s[j].most {
		return s[i].most > s[j].most
	}
	return s[i].x < s[j].x || s[i].x == s[j].x && s[i].y < s[j].y
}
func (s squares) Swap(i, j int) { s[i], s[j] = s[j], s[i] }
func (s *squares) Push(x any)   { *s = append(*s, x.(square)) }
func (s *squares) Pop() any {
	o := *s
	x := o[len(o)-1]
	*s = o[:len(o)-1]
	return x
}

// bound fills the bounds on passes from the parts of the turf.
func (p *Plan) bound(parts []region) {
	for i := range parts {
		p.BoundPasses += parts[i].boundPasses(float64(p.Setup.Swath))
	}
	p.BoundOneWay = p.BoundPasses
}
