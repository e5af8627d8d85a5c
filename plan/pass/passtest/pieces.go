package passtest

import "math"

// pieces is ground as convex polygons that do not overlap, found by bands of equal height: quick where most of what is taken
// lies along x.
type pieces struct {
	polys []poly // nil when it was taken
	boxes []box
	y0    float64 // of the first band
	band  float64 // height
	at    [][]int
	seen  []int // the last taking that looked at a polygon
	turn  int
}

// newPieces is no ground; all of it will lie between the heights, and what is taken is about as high as a band.
func newPieces(y0, y1, band float64) *pieces {
	const most = 4000
	band = max(band, (y1-y0)/most)
	return &pieces{y0: y0, band: band, at: make([][]int, int((y1-y0)/band)+1)}
}

func (s *pieces) bands(b box) (first, last int) {
	first = int(math.Floor((b.y0 - s.y0) / s.band))
	last = int(math.Floor((b.y1 - s.y0) / s.band))
	return min(max(first, 0), len(s.at)-1), min(max(last, 0), len(s.at)-1)
}

func (s *pieces) add(ps ...poly) {
	for _, p := range ps {
		b := p.box()
		n := len(s.polys)
		s.polys, s.boxes, s.seen = append(s.polys, p), append(s.boxes, b), append(s.seen, 0)
		first, last := s.bands(b)
		for k := first; k <= last; k++ {
			s.at[k] = append(s.at[k], n)
		}
	}
}

func (s *pieces) area() float64 { return areaOf(s.polys) }

func areaOf(ps []poly) float64 {
	sum := 0.0
	for _, p := range ps {
		sum += p.area()
	}
	return sum
}

// some is a corner of what is left.
func (s *pieces) some() pt {
	for _, p := range s.polys {
		if p != nil {
			return p[0]
		}
	}
	return pt{}
}

// take removes what lies in c and gives it.
func (s *pieces) take(c poly) (taken []poly) {
	b := c.box()
	s.turn++
	var cut []poly
	first, last := s.bands(b)
	for k := first; k <= last; k++ {
		ids, kept := s.at[k], 0
		for _, i := range ids {
			if s.polys[i] == nil {
				continue
			}
			ids[kept] = i
			kept++
			if s.seen[i] == s.turn || !s.boxes[i].meets(b) {
				continue
			}
			s.seen[i] = s.turn
			before := len(cut)
			var both poly
			if cut, both = s.polys[i].less(c, cut); both == nil {
				cut = cut[:before]
				continue
			}
			taken = append(taken, both)
			s.polys[i] = nil
		}
		s.at[k] = ids[:kept]
	}
	s.add(cut...)
	return taken
}
