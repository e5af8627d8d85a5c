package ground

import "math"

// cells is a grid of squares that says which walls are near a place.
type cells struct {
	from   xy // its south-west corner
	size   float64
	nx, ny int
	walls  [][]int32
}

// newCells sorts walls into about as many cells as there are walls.
func newCells(walls []wall) cells {
	if len(walls) == 0 {
		return cells{}
	}
	lo, hi := walls[0].a, walls[0].a
	for _, w := range walls {
		lo = xy{min(lo.x, w.a.x), min(lo.y, w.a.y)}
		hi = xy{max(hi.x, w.a.x), max(hi.y, w.a.y)}
	}
	const edge = 4 * clearance
	lo, hi = xy{lo.x - edge, lo.y - edge}, xy{hi.x + edge, hi.y + edge}
	w, h := hi.x-lo.x, hi.y-lo.y
	c := cells{from: lo, size: max(math.Sqrt(w*h/float64(len(walls))), max(w, h)/float64(len(walls)), edge)}
	c.nx, c.ny = int(w/c.size)+1, int(h/c.size)+1
	c.walls = make([][]int32, c.nx*c.ny)
	for i := range walls {
		c.along(walls[i].a, walls[i].b, 2*clearance, func(cell int) bool {
			c.walls[cell] = append(c.walls[cell], int32(i))
			return false
		})
	}
	return c
}

func (c *cells) row(y float64) int { return min(max(int((y-c.from.y)/c.size), 0), c.ny-1) }
func (c *cells) col(x float64) int { return min(max(int((x-c.from.x)/c.size), 0), c.nx-1) }

// at is the walls near p, none outside the grid.
func (c *cells) at(p xy) []int32 {
	if !c.holds(p) {
		return nil
	}
	return c.walls[c.row(p.y)*c.nx+c.col(p.x)]
}

func (c *cells) holds(p xy) bool {
	d := p.less(c.from)
	return d.x >= 0 && d.y >= 0 && d.x < float64(c.nx)*c.size && d.y < float64(c.ny)*c.size
}

// along calls f for the cells within pad of the line from a to b, until f says to stop, and reports whether it did. Some
// cells that the line only passes may be among them.
func (c *cells) along(a, b xy, pad float64, f func(cell int) bool) bool {
	if len(c.walls) == 0 {
		return false
	}
	if a.y > b.y {
		a, b = b, a
	}
	first, last := c.row(a.y-pad), c.row(b.y+pad)
	for r := first; r <= last; r++ {
		// The stretch of the line within this row of cells; rows at the rim reach to where the line ends.
		from, to := a.x, b.x
		if d := b.y - a.y; d > 0 {
			if y := c.from.y + float64(r)*c.size - pad; r > first && y > a.y {
				from = a.x + (b.x-a.x)*min((y-a.y)/d, 1)
			}
			if y := c.from.y + float64(r+1)*c.size + pad; r < last && y < b.y {
				to = a.x + (b.x-a.x)*max((y-a.y)/d, 0)
			}
		}
		if from > to {
			from, to = to, from
		}
		for k := c.col(from - pad); k <= c.col(to+pad); k++ {
			if f(r*c.nx + k) {
				return true
			}
		}
	}
	return false
}

// inside reports whether p lies in an obstacle: obstacles may overlap, so the walls to its east are counted by
// direction (winding number).
func (g *Ground) inside(p xy) bool {
	c := &g.cells
	if !c.holds(p) {
		return false
	}
	r, winding := c.row(p.y), 0
	for k := c.col(p.x); k < c.nx; k++ {
		for _, i := range c.walls[r*c.nx+k] {
			w := &g.walls[i]
			if (w.a.y > p.y) == (w.b.y > p.y) {
				continue
			}
			x := w.a.x + (w.b.x-w.a.x)*(p.y-w.a.y)/(w.b.y-w.a.y)
			if x <= p.x || c.col(x) != k { // a wall in several cells counts where it crosses
				continue
			}
			if w.a.y < w.b.y { // upward: the obstacle lies to the west of it
				winding++
			} else {
				winding--
			}
		}
	}
	return winding > 0
}
