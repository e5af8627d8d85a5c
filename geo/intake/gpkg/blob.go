package gpkg

import (
	"encoding/binary"
	"math"

	"github.com/paulmach/orb"

	"tankful/geo/intake/raw"
)

// envelopes are the lengths of the box in the head of a geometry by its code (GeoPackage Encoding Standard, table 7).
var envelopes = [...]int{0, 32, 48, 48, 64}

// wkbOf is the well-known binary behind the head of a geometry (GeoPackage Encoding Standard, section 2.1.3).
func wkbOf(blob []byte) ([]byte, error) {
	const size = 8
	switch {
	case len(blob) < size || blob[0] != 'G' || blob[1] != 'P':
		return nil, raw.Faultf("not-a-geometry", again, "the geometry does not begin like one of a GeoPackage")
	case blob[3]&0x20 != 0:
		return nil, raw.Faultf("not-a-geometry", "Export the outline as a polygon.", "the geometry is of a kind that only one program knows")
	}
	code := int(blob[3] >> 1 & 7)
	if code >= len(envelopes) || len(blob) < size+envelopes[code] {
		return nil, raw.Faultf("not-a-geometry", again, "the geometry is cut short or its head is damaged")
	}
	return blob[size+envelopes[code]:], nil
}

// isGround reports whether a geometry is an area by the first bytes of it, or else by what its layer says.
func isGround(blob []byte, areas bool) bool {
	w, err := wkbOf(blob)
	if err != nil || len(w) < 5 {
		return areas && len(blob) > 0
	}
	kind, _, _, ok := kindOf(w)
	return ok && kind != point && kind != lineString && kind != multiPoint && kind != multiLineString && (kind != collection || areas)
}

// The kinds of geometries (OGC 06-103r4, Simple Feature Access, part 1, section 8.2.8); others are curves and solids.
const (
	point           = 1
	lineString      = 2
	polygon         = 3
	multiPoint      = 4
	multiLineString = 5
	multiPolygon    = 6
	collection      = 7
)

// kindOf reads the head of a geometry, of ISO's numbers or of those with flags that some databases write.
func kindOf(b []byte) (kind uint32, order binary.ByteOrder, dimensions int, ok bool) {
	if len(b) < 5 || b[0] > 1 {
		return 0, nil, 0, false
	}
	order = binary.BigEndian
	if b[0] == 1 {
		order = binary.LittleEndian
	}
	t := order.Uint32(b[1:])
	dimensions = 2
	if t&0x80000000 != 0 {
		dimensions++
	}
	if t&0x40000000 != 0 {
		dimensions++
	}
	kind = t & 0x1fffffff
	switch kind / 1000 {
	case 1, 2:
		dimensions++
	case 3:
		dimensions += 2
	}
	return kind % 1000, order, dimensions, true
}

// deepest is how far collections may be nested.
const deepest = 8

// reader takes well-known binary apart.
type reader struct {
	b       []byte
	corners *raw.Corners
	f       *raw.Feature
}

// readBlob reads a geometry into f. Nothing is allocated that is not there: counts are held against the bytes that follow.
func readBlob(blob []byte, c *raw.Corners, f *raw.Feature) error {
	w, err := wkbOf(blob)
	if err != nil {
		return err
	}
	r := &reader{w, c, f}
	return r.geometry(0)
}

var errShort = raw.Faultf("not-a-geometry", again, "the geometry is cut short")

// body is the rest of one geometry.
type body struct {
	*reader
	order      binary.ByteOrder
	dimensions int
	hasZ       bool
}

func (r *reader) geometry(depth int) error {
	if depth > deepest {
		return raw.Faultf("nested-too-deep", "Export the layer without nested collections.", "collections are nested more than %d deep", deepest)
	}
	kind, order, dimensions, ok := kindOf(r.b)
	if !ok {
		return errShort
	}
	t := order.Uint32(r.b[1:])
	iso := t & 0x1fffffff / 1000
	g := body{r, order, dimensions, t&0x80000000 != 0 || iso == 1 || iso == 3}
	skip := 5
	if t&0x20000000 != 0 { // a reference system of its own
		skip += 4
	}
	if len(r.b) < skip {
		return errShort
	}
	r.b = r.b[skip:]
	switch kind {
	case point:
		return g.point()
	case lineString:
		l, err := g.line()
		r.f.Lines = append(r.f.Lines, orb.LineString(l))
		return err
	case polygon:
		return g.polygon()
	case multiPoint, multiLineString, multiPolygon, collection:
		n, err := g.count(5)
		for range n {
			if err == nil {
				err = r.geometry(depth + 1)
			}
		}
		return err
	}
	return raw.Faultf("not-a-geometry", "Export the outline as a polygon with straight edges.", "the geometry is of kind %d, a curve or a solid", kind)
}

// count reads how many things follow that have so many bytes each at least.
func (g body) count(least int) (int, error) {
	if len(g.b) < 4 {
		return 0, errShort
	}
	n := g.order.Uint32(g.b)
	g.reader.b = g.b[4:]
	if int64(n)*int64(least) > int64(len(g.b)) {
		return 0, errShort
	}
	return int(n), nil
}

// corner reads one corner; empty is true for a point of no numbers, which is how an empty one is written.
func (g body) corner() (p orb.Point, empty bool, err error) {
	size := 8 * g.dimensions
	if len(g.b) < size {
		return p, false, errShort
	}
	number := func(i int) float64 { return math.Float64frombits(g.order.Uint64(g.b[8*i:])) }
	x, y := number(0), number(1)
	if g.hasZ {
		g.corners.Height(number(2))
	}
	g.reader.b = g.b[size:]
	if math.IsNaN(x) && math.IsNaN(y) {
		return p, true, nil
	}
	p, err = g.corners.At(x, y)
	return p, false, err
}

func (g body) point() error {
	p, empty, err := g.corner()
	if err == nil && !empty {
		g.f.Points = append(g.f.Points, p)
	}
	return err
}

func (g body) line() ([]orb.Point, error) {
	n, err := g.count(8 * g.dimensions)
	if err != nil {
		return nil, err
	}
	out := make([]orb.Point, n)
	for i := range out {
		var empty bool
		if out[i], empty, err = g.corner(); err != nil {
			return nil, err
		} else if empty {
			return nil, raw.Faultf("coordinate-not-a-number", "Correct that corner.", "a corner has no numbers")
		}
	}
	return out, nil
}

func (g body) polygon() error {
	n, err := g.count(4)
	if err != nil {
		return err
	}
	p := make(orb.Polygon, n)
	for i := range p {
		ring, err := g.line()
		if err != nil {
			return err
		}
		p[i] = ring
	}
	if n > 0 {
		g.f.Areas = append(g.f.Areas, p)
	}
	return nil
}
