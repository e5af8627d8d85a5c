package overlay

import (
	"errors"
	"fmt"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

// thinnest is the least width of a corridor, in metres.
const thinnest = 0.01

var (
	errWidth    = errors.New("the width of a path must be a number between 10 mm and 1 km")
	errNoLength = errors.New("a line has no length")
)

// Corridor is a path of a width along lines: for each stretch the rectangle over it, for each bend
// the sector of a disc on its outside, overlaps counted once. Ends are flat; a line that ends
// where it began has none. Lines are corners in metres; one without length, or a
// width outside 10 mm to 1 km, is an error.
//
// The pieces are joined by their winding numbers and not by the engine's buffer, which loses
// ground beside a last stretch shorter than half the width.
func Corridor(lines [][]geom.Coord, width unit.Length) (*geom.MultiPolygon, error) {
	w := float64(width)
	if !(w >= thinnest && w <= widest) {
		return nil, errWidth
	}
	return onGrids(func(g grid) ([]shape, error) {
		var all []shape
		for _, l := range lines {
			line, err := g.line(l)
			if err != nil {
				return nil, err
			}
			path, err := g.corridor(line, w/2)
			if err != nil {
				return nil, err
			}
			all = append(all, path...)
		}
		return g.unionAll(all)
	})
}

// line snaps a line and leaves out corners within ten cells of the one before: over shorter
// stretches a rectangle could turn inside out by snapping.
func (g grid) line(coords []geom.Coord) ([]point, error) {
	var line []point
	for _, c := range coords {
		if len(c) < 2 {
			return nil, errFar
		}
		p, err := g.snap(c.X(), c.Y())
		if err != nil {
			return nil, err
		}
		if n := len(line); n == 0 || distance(line[n-1], p) > 10 {
			line = append(line, p)
		}
	}
	if len(line) < 2 {
		return nil, errNoLength
	}
	return line, nil
}

func distance(p, q point) float64 { return math.Hypot(float64(p.x-q.x), float64(p.y-q.y)) }

func (g grid) corridor(line []point, half float64) ([]shape, error) {
	pieces, err := g.pieces(line, half)
	if err != nil {
		return nil, err
	}
	out, err := g.join(pieces)
	if err != nil {
		return nil, err
	}
	return out, g.checkCorridor(line, out, half)
}

// mostJoined is how many pieces are joined at once: on the winding track of a receiver each
// crosses dozens of others.
const mostJoined = 128

// join makes one set of rings that overlap. All wind counter-clockwise, so that ground is
// where their winding number is not zero. Many are joined half by half.
func (g grid) join(rings [][]point) ([]shape, error) {
	if len(rings) <= mostJoined {
		var segs []segment
		for _, r := range rings {
			for i, p := range r {
				segs = append(segs, segment{p, r[(i+1)%len(r)], 0})
			}
		}
		segs, _, err := node(segs)
		if err != nil {
			return nil, err
		}
		a := newArrangement(segs, 1)
		a.windAll()
		return g.assemble(a.boundaries()), nil
	}
	first, err := g.join(rings[:len(rings)/2])
	if err != nil {
		return nil, err
	}
	second, err := g.join(rings[len(rings)/2:])
	if err != nil {
		return nil, err
	}
	return g.unite(first, second)
}

// pieces are the rectangles and sectors. A rectangle has the ends of its stretch for corners
// too: without them a sector would meet it with a gap of a cell.
func (g grid) pieces(line []point, half float64) (out [][]point, err error) {
	add := func(xy ...float64) {
		r, e := g.ring(xy)
		if err = errors.Join(err, e); len(r) > 2 && doubleArea(r) > 0 {
			out = append(out, r)
		}
	}
	closed := line[0] == line[len(line)-1]
	for i := 0; i+1 < len(line); i++ {
		a, b := g.metres(line[i]), g.metres(line[i+1])
		turn := math.Atan2(b.Y-a.Y, b.X-a.X)
		nx, ny := -half*math.Sin(turn), half*math.Cos(turn) // to the left
		add(a.X+nx, a.Y+ny, a.X, a.Y, a.X-nx, a.Y-ny, b.X-nx, b.Y-ny, b.X, b.Y, b.X+nx, b.Y+ny)
		next := i + 2
		if next == len(line) {
			if !closed {
				break
			}
			next = 1
		}
		c := g.metres(line[next])
		add(sector(b, turn, math.Atan2(c.Y-b.Y, c.X-b.X), half)...)
	}
	return out, err
}

func (g grid) metres(p point) spot {
	return spot{X: float64(p.x) / float64(g), Y: float64(p.y) / float64(g)}
}

// sector fills the outside of a bend at b from one direction to another, counter-clockwise.
func sector(b spot, from, to, half float64) []float64 {
	bend := math.Remainder(to-from, 2*math.Pi)
	start := from - math.Pi/2 // a left bend has its outside on the right
	if bend < 0 {
		start, bend = to+math.Pi/2, -bend
	}
	n := max(1, int(math.Ceil(bend/(math.Pi/2)*quadSegments)))
	flat := []float64{b.X, b.Y}
	for k := range n + 1 {
		s, c := math.Sincos(start + bend*float64(k)/float64(n))
		flat = append(flat, b.X+half*c, b.Y+half*s)
	}
	return flat
}

// checkCorridor: the path is no larger than its pieces, none of its corners is further than
// half from the line, and it holds points on either side of every stretch.
func (g grid) checkCorridor(line []point, out []shape, half float64) error {
	flat := g.flat(line)
	flat = flat[:len(flat)-2]
	in := groundOf(out)
	var length, bends, before float64
	for i := 0; i+3 < len(flat); i += 2 {
		dx, dy := flat[i+2]-flat[i], flat[i+3]-flat[i+1]
		l, turn := math.Hypot(dx, dy), math.Atan2(dy, dx)
		length += l
		if i > 0 {
			bends += math.Abs(math.Remainder(turn-before, 2*math.Pi))
		}
		before = turn
		for _, u := range []float64{-0.9, 0, 0.9} {
			xy := spot{X: flat[i] + dx/2 - u*half*dy/l, Y: flat[i+1] + dy/2 + u*half*dx/l}
			if !g.deepInside(xy, in) {
				return fmt.Errorf("%w: a path misses ground beside its line at %.3f, %.3f m", ErrUnsure, xy.X, xy.Y)
			}
		}
	}
	bends += math.Pi // where a closed line ends
	got, slack := areaOf(out), 2/float64(g)*(2*length+lengthOf(out)+half)
	if high := 2*half*length + half*half/2*bends; !(got <= high+slack) {
		return fmt.Errorf("%w: a path of %.6g m2 is more than %.6g", ErrUnsure, got, high)
	}
	for _, r := range ringsOf(out) {
		for i := 0; i+1 < len(r); i += 2 {
			if off := fromRings([][]float64{flat}, r[i], r[i+1]) - half; off > 3/float64(g) {
				return fmt.Errorf("%w: a path is %.3g m too wide at %.3f, %.3f m", ErrUnsure, off, r[i], r[i+1])
			}
		}
	}
	return nil
}
