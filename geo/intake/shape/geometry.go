package shape

import (
	"encoding/binary"
	"math"

	"github.com/paulmach/orb"

	"tankful/geo/intake/raw"
)

// Shape types without a third coordinate (white paper, page 4); 10 more has Z and M, 20 more M.
const (
	typeNull       = 0
	typePoint      = 1
	typePolyLine   = 3
	typePolygon    = 5
	typeMultiPoint = 8
	typeMultiPatch = 31
)

// again is what to do with a record that is not laid out as it must be.
const again = "Export the shapefile again; the record is damaged."

// corner is a corner as the file has it, degrees or metres or feet.
type corner struct{ x, y float64 }

// readShape reads the content of a record into f. What lies beyond the last coordinate is not looked at.
func readShape(data []byte, c *raw.Corners, f *raw.Feature) error {
	if len(data) < 4 {
		return raw.Faultf("not-a-geometry", again, "the record has %d bytes, too few for a shape", len(data))
	}
	kind := binary.LittleEndian.Uint32(data)
	if kind == typeNull {
		return nil
	}
	if kind == typeMultiPatch {
		return raw.Faultf("not-a-geometry", "Export the outline as a polygon.", "the shape is a MultiPatch, the faces of a solid")
	}
	hasZ := kind >= 11 && kind < 20
	plain := kind % 10
	if kind > 28 {
		plain = kind
	}
	switch plain {
	case typePoint:
		return readPoint(data[4:], hasZ, c, f)
	case typeMultiPoint:
		return readMultiPoint(data[4:], hasZ, c, f)
	case typePolyLine, typePolygon:
		return readParts(data[4:], plain, hasZ, c, f)
	}
	return raw.Faultf("not-a-geometry", again, "the shape's type is %d, which means nothing", kind)
}

func number(data []byte, at int) float64 {
	return math.Float64frombits(binary.LittleEndian.Uint64(data[at:]))
}

// readPoint reads x, y and the height (white paper, tables 4, 10 and 14).
func readPoint(data []byte, hasZ bool, c *raw.Corners, f *raw.Feature) error {
	if len(data) < 16 {
		return raw.Faultf("not-a-geometry", again, "the point has %d bytes instead of 16", len(data))
	}
	p, err := c.At(number(data, 0), number(data, 8))
	if err != nil {
		return err
	}
	f.Points = append(f.Points, p)
	if hasZ {
		readHeights(data[16:], 0, 1, c, f)
	}
	return nil
}

// readMultiPoint reads box, number of points, points (white paper, tables 5, 11 and 15).
func readMultiPoint(data []byte, hasZ bool, c *raw.Corners, f *raw.Feature) error {
	if len(data) < 36 {
		return raw.Faultf("not-a-geometry", again, "the shape has %d bytes, too few for its beginning", len(data))
	}
	n := int64(binary.LittleEndian.Uint32(data[32:]))
	if 36+16*n > int64(len(data)) {
		return raw.Faultf("not-a-geometry", again, "the shape says that it has %d points, and there is room for %d", n, (len(data)-36)/16)
	}
	corners := readCorners(data[36:], int(n))
	pts, err := place(corners, c)
	if err != nil {
		return err
	}
	f.Points = append(f.Points, pts...)
	if hasZ {
		readHeights(data[36+16*n:], 16, int(n), c, f)
	}
	return nil
}

// readParts reads lines or rings: box, numbers of parts and points, where each part begins, points (white paper,
// tables 6, 7, 12, 13, 16 and 17).
func readParts(data []byte, kind uint32, hasZ bool, c *raw.Corners, f *raw.Feature) error {
	if len(data) < 40 {
		return raw.Faultf("not-a-geometry", again, "the shape has %d bytes, too few for its beginning", len(data))
	}
	parts, n := int64(binary.LittleEndian.Uint32(data[32:])), int64(binary.LittleEndian.Uint32(data[36:]))
	at := 40 + 4*parts
	if at+16*n > int64(len(data)) {
		return raw.Faultf("not-a-geometry", again, "the shape says that it has %d parts and %d points, more than its %d bytes hold", parts, n, len(data))
	}
	pieces, err := cut(data[40:at], readCorners(data[at:], int(n)))
	if err != nil {
		return err
	}
	placed := make([][]orb.Point, len(pieces))
	for i, p := range pieces {
		if placed[i], err = place(p, c); err != nil {
			return err
		}
	}
	if hasZ {
		readHeights(data[at+16*n:], 16, int(n), c, f)
	}
	if kind == typePolyLine {
		for _, p := range placed {
			f.Lines = append(f.Lines, p)
		}
		return nil
	}
	return readPolygons(pieces, placed, f)
}

// cut divides the corners into parts; starts are the numbers of each part's first corner. Parts without corners are left out.
func cut(starts []byte, corners []corner) ([][]corner, error) {
	var out [][]corner
	n := len(starts) / 4
	start := func(i int) int64 {
		if i == n {
			return int64(len(corners))
		}
		return int64(binary.LittleEndian.Uint32(starts[4*i:]))
	}
	if len(corners) > 0 && (n == 0 || start(0) != 0) {
		return nil, raw.Faultf("not-a-geometry", again, "the shape has %d points, and its first part does not begin with the first", len(corners))
	}
	for i := range n {
		from, to := start(i), start(i+1)
		if from > to || to > int64(len(corners)) {
			return nil, raw.Faultf("not-a-geometry", again, "part %d of the shape goes from point %d to %d of %d", i+1, from, to, len(corners))
		}
		if from < to {
			out = append(out, corners[from:to])
		}
	}
	return out, nil
}

func readCorners(data []byte, n int) []corner {
	out := make([]corner, n)
	for i := range out {
		out[i] = corner{number(data, 16*i), number(data, 16*i+8)}
	}
	return out
}

func place(corners []corner, c *raw.Corners) ([]orb.Point, error) {
	out := make([]orb.Point, len(corners))
	for i, k := range corners {
		p, err := c.At(k.x, k.y)
		if err != nil {
			return nil, err
		}
		out[i] = p
	}
	return out, nil
}

// readHeights reads the third coordinates that stand skip bytes (their range) into data.
func readHeights(data []byte, skip, n int, c *raw.Corners, f *raw.Feature) {
	if len(data) < skip+8*n {
		f.Problems.Warnf("heights-missing", f.Where, "Export the shapefile again if heights matter.", "the shape's heights are cut short and not used")
		return
	}
	for i := range n {
		c.Height(number(data, skip+8*i))
	}
}

// readPolygons groups the rings.
func readPolygons(rings [][]corner, placed [][]orb.Point, f *raw.Feature) error {
	shells, consistent, err := nest(rings)
	if err != nil {
		return err
	}
	holes := 0
	for _, s := range shells {
		p := orb.Polygon{placed[s.outer]}
		for _, h := range s.holes {
			p = append(p, placed[h])
		}
		holes += len(s.holes)
		f.Areas = append(f.Areas, p)
	}
	if !consistent {
		f.Problems.Warnf("rings-by-nesting", f.Where, "Check that the holes are as they should be.",
			"outlines and holes among its %d rings are not told apart by their direction; %d are taken as holes because they lie inside another ring", len(rings), holes)
	}
	return nil
}
