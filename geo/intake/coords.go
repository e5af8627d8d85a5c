package intake

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"strconv"

	"github.com/paulmach/orb"
)

// fault is what is wrong with a geometry, in the parts of a problem.
type fault struct{ code, fix, what string }

func (f *fault) Error() string { return f.what }

func faultf(code, fix, format string, args ...any) error {
	return &fault{code, fix, fmt.Sprintf(format, args...)}
}

// scanner reads nested arrays of numbers from JSON that is known to be well formed. It is
// our own because it counts decimals as written and can say which coordinate is wrong.
type scanner struct {
	b        []byte
	i        int
	decimals int
}

func (s *scanner) peek() byte {
	for s.i < len(s.b) {
		switch s.b[s.i] {
		case ' ', '\t', '\n', '\r':
			s.i++
		default:
			return s.b[s.i]
		}
	}
	return 0
}

// list reads an array, calling item for each element.
func (s *scanner) list(of string, item func(n int) error) error {
	if c := s.peek(); c != '[' {
		return faultf("wrong-nesting", "Export the file again.", "%s stands where a list of %s belongs", s.excerpt(), of)
	}
	s.i++
	for n := 0; ; n++ {
		switch s.peek() {
		case ']':
			s.i++
			return nil
		case ',':
			s.i++
		case 0:
			return faultf("wrong-nesting", "Export the file again.", "a list of %s does not end", of)
		}
		if err := item(n); err != nil {
			return err
		}
	}
}

// position reads [longitude, latitude, ...]; what follows the two is skipped.
func (s *scanner) position() (p orb.Point, err error) {
	n := 0
	err = s.list("coordinates", func(k int) error {
		x, err := s.number()
		if k < 2 {
			p[k] = x
		}
		n = k + 1
		return err
	})
	if err == nil && n < 2 {
		err = faultf("coordinate-missing", "Give longitude and latitude.", "a position has %d numbers instead of 2", n)
	}
	return p, err
}

func (s *scanner) number() (float64, error) {
	c := s.peek()
	start := s.i
	if c != '-' && (c < '0' || c > '9') {
		return 0, faultf("coordinate-not-a-number", "Write coordinates as plain numbers.", "%s stands where a coordinate belongs", s.excerpt())
	}
	point, exponent := -1, -1
	for ; s.i < len(s.b); s.i++ {
		switch c := s.b[s.i]; {
		case c == '.':
			point = s.i
		case c == 'e' || c == 'E':
			exponent = s.i
		case c != '-' && c != '+' && (c < '0' || c > '9'):
			goto done
		}
	}
done:
	text := string(s.b[start:s.i])
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, faultf("coordinate-out-of-range", "Correct that coordinate.", "the coordinate %s is not on the Earth", clip(text))
	}
	if point >= 0 && exponent < 0 {
		s.decimals = max(s.decimals, s.i-point-1)
	} else if exponent >= 0 {
		s.decimals = max(s.decimals, decimalsOf(x))
	}
	return x, nil
}

// decimalsOf is the number of decimals of a number written with an exponent.
func decimalsOf(x float64) int {
	t := strconv.FormatFloat(x, 'f', -1, 64)
	if i := bytes.IndexByte([]byte(t), '.'); i >= 0 {
		return min(len(t)-i-1, 20)
	}
	return 0
}

func (s *scanner) excerpt() string {
	s.peek()
	if s.i >= len(s.b) {
		return "nothing"
	}
	return clip(string(s.b[s.i:]))
}

func (s *scanner) positions(of string) (r orb.Ring, err error) {
	err = s.list(of, func(int) error {
		p, err := s.position()
		r = append(r, p)
		return err
	})
	return r, err
}

func (s *scanner) polygon() (p orb.Polygon, err error) {
	err = s.list("rings", func(int) error {
		r, err := s.positions("positions")
		p = append(p, r)
		return err
	})
	return p, err
}

// deepest is how far collections may be nested.
const deepest = 8

// geometry is a geometry taken apart.
type geometry struct {
	areas    orb.MultiPolygon
	points   []orb.Point
	lines    int
	hasArea  bool // a polygon was there, readable or not
	decimals int
}

// add reads one geometry into g.
func (g *geometry) add(raw []byte, depth int) error {
	if depth > deepest {
		return faultf("nested-too-deep", "Export the file without nested collections.", "collections are nested more than %d deep", deepest)
	}
	var m members
	if json.Unmarshal(raw, &m) != nil || m == nil {
		return faultf("not-a-geometry", "Export the file again.", "%s stands where a geometry belongs", clip(string(raw)))
	}
	kind := typeOf(m)
	if kind == "GeometryCollection" {
		var parts []json.RawMessage
		if json.Unmarshal(m["geometries"], &parts) != nil {
			return faultf("not-a-geometry", "Export the file again.", "the GeometryCollection has no list of geometries")
		}
		for _, p := range parts {
			if err := g.add(p, depth+1); err != nil {
				return err
			}
		}
		return nil
	}
	s := &scanner{b: m["coordinates"]}
	if len(s.b) == 0 {
		g.hasArea = g.hasArea || kind == "Polygon" || kind == "MultiPolygon"
		return faultf("not-a-geometry", "Export the file again.", "the geometry of type %s has no coordinates", quoteType(m["type"]))
	}
	err := g.coordinates(kind, s)
	g.decimals = max(g.decimals, s.decimals)
	return err
}

func (g *geometry) coordinates(kind string, s *scanner) error {
	switch kind {
	case "Polygon":
		g.hasArea = true
		p, err := s.polygon()
		if len(p) > 0 {
			g.areas = append(g.areas, p)
		}
		return err
	case "MultiPolygon":
		g.hasArea = true
		return s.list("polygons", func(int) error {
			p, err := s.polygon()
			if len(p) > 0 {
				g.areas = append(g.areas, p)
			}
			return err
		})
	case "Point":
		p, err := s.position()
		g.points = append(g.points, p)
		return err
	case "MultiPoint":
		pts, err := s.positions("positions")
		g.points = append(g.points, pts...)
		return err
	case "LineString":
		g.lines++
		_, err := s.positions("positions")
		return err
	case "MultiLineString":
		g.lines++
		_, err := s.polygon()
		return err
	}
	return faultf("not-a-geometry", "Draw it as a Polygon.", "the geometry's type is %q", clip(kind))
}

// wrapLon brings a longitude of up to two turns into [-180, 180].
func wrapLon(lon float64) float64 {
	if lon >= -180 && lon <= 180 {
		return lon
	}
	return math.Remainder(lon, 360)
}
