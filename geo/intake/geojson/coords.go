package geojson

import (
	"bytes"
	"errors"
	"math"
	"strconv"

	"github.com/paulmach/orb"

	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// scanner reads nested arrays of numbers from JSON that is known to be well formed. It is
// our own because it counts decimals as written and can say which coordinate is wrong.
type scanner struct {
	b        []byte
	i        int
	decimals int
	heights  raw.Heights
	to       *crs.CRS // nil: degrees
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
		return raw.Faultf("wrong-nesting", "Export the file again.", "%s stands where a list of %s belongs", s.excerpt(), of)
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
			return raw.Faultf("wrong-nesting", "Export the file again.", "a list of %s does not end", of)
		}
		if err := item(n); err != nil {
			return err
		}
	}
}

// position reads [longitude, latitude, height, ...], or easting and northing; what follows is skipped.
func (s *scanner) position() (p orb.Point, err error) {
	n := 0
	if c := s.peek(); c != '[' {
		return p, raw.Faultf("wrong-nesting", "Export the file again.", "%s stands where a list of coordinates belongs", s.excerpt())
	}
	for s.i++; ; n++ {
		c := s.peek()
		if c == ',' {
			s.i++
		} else if c == ']' {
			break
		}
		digits := s.decimals
		x, err := s.number()
		if err != nil {
			return p, err
		}
		if n < 2 {
			p[n] = x
			continue
		}
		if s.decimals = digits; n == 2 { // heights are rounded otherwise
			s.heights.Add(x)
		}
	}
	s.i++
	if n < 2 {
		return p, raw.Faultf("coordinate-missing", "Give longitude and latitude.", "a position has %d numbers instead of 2", n)
	}
	if s.to != nil {
		q, ok := s.to.ToDegrees(p[0], p[1])
		if !ok {
			return p, raw.Faultf("coordinate-out-of-range", "Correct that coordinate, or name another system with --crs.",
				"the coordinate %g, %g lies outside of what %s reaches", p[0], p[1], s.to.Name())
		}
		p = q
	}
	return p, nil
}

// tens are the powers of ten that a float64 holds exactly.
var tens = [...]float64{1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22}

func (s *scanner) number() (float64, error) {
	c := s.peek()
	start := s.i
	if c != '-' && (c < '0' || c > '9') {
		return 0, raw.Faultf("coordinate-not-a-number", "Write coordinates as plain numbers.", "%s stands where a coordinate belongs", s.excerpt())
	}
	point, exponent := -1, -1
	mantissa, digits := uint64(0), 0
scan:
	for ; s.i < len(s.b); s.i++ {
		switch c := s.b[s.i]; {
		case c >= '0' && c <= '9':
			if mantissa, digits = 10*mantissa+uint64(c-'0'), digits+1; mantissa == 0 {
				digits = 0
			}
		case c == '.':
			point = s.i
		case c == 'e' || c == 'E':
			exponent = s.i
		case c != '-' && c != '+':
			break scan
		}
	}
	decimals := 0
	if point >= 0 && exponent < 0 {
		decimals = s.i - point - 1
	}
	s.decimals = max(s.decimals, decimals)
	// A quotient of two numbers that are exact in a float64 is rounded once, hence right.
	if exponent < 0 && digits <= 15 && decimals < len(tens) {
		x := float64(mantissa) / tens[decimals]
		if c == '-' {
			x = -x
		}
		return x, nil
	}
	text := string(s.b[start:s.i])
	x, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, raw.Faultf("coordinate-out-of-range", "Correct that coordinate.", "the coordinate %s is not on the Earth", raw.Clip(text))
	}
	if exponent >= 0 {
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
	return raw.Clip(string(s.b[s.i:]))
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

// geometry is a geometry being read into a feature.
type geometry struct {
	*raw.Feature
	to      *crs.CRS
	hasArea bool // a polygon was there, readable or not
}

// readGeometry reads a feature's geometry.
func (s *source) readGeometry(b []byte, f *raw.Feature) {
	g := &geometry{Feature: f, to: s.to}
	err := g.add(b, 0)
	f.Ground = g.hasArea
	if s.to != nil && s.to.UnitMetres() > 0 {
		f.Step, f.Decimals = s.to.UnitMetres()*math.Pow10(-f.Decimals), 0
	}
	var bad *raw.Fault
	if errors.As(err, &bad) {
		f.Broken = g.hasArea || len(f.Points) == 0 && len(f.Lines) == 0
		f.Ground = f.Broken
		f.Areas, f.Lines, f.Points = nil, nil, nil
		f.Problems.Errorf(bad.Code, f.Where, bad.Fix, "%s", bad.What)
		return
	}
	if g.hasArea && len(f.Areas) == 0 {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the polygon has no coordinates and counts for nothing")
	}
}

// add reads one geometry into g.
func (g *geometry) add(b []byte, depth int) error {
	if depth > deepest {
		return raw.Faultf("nested-too-deep", "Export the file without nested collections.", "collections are nested more than %d deep", deepest)
	}
	o := objectOf(b)
	if !o.is {
		return raw.Faultf("not-a-geometry", "Export the file again.", "%s stands where a geometry belongs", raw.Clip(string(b)))
	}
	warnRepeated(&g.Problems, o.repeated, g.Where)
	kind := o.typeOf()
	if kind == "GeometryCollection" {
		var err error
		isList := eachElement(o.geometries, func(_ int, part []byte) {
			if err == nil {
				err = g.add(part, depth+1)
			}
		})
		if !isList {
			return raw.Faultf("not-a-geometry", "Export the file again.", "the GeometryCollection has no list of geometries")
		}
		return err
	}
	g.hasArea = g.hasArea || kind == "Polygon" || kind == "MultiPolygon"
	if len(o.coordinates) == 0 {
		return raw.Faultf("not-a-geometry", "Export the file again.", "the geometry of type %s has no coordinates", quoteType(o.kind))
	}
	s := &scanner{b: o.coordinates, to: g.to}
	err := g.coordinates(kind, s)
	g.Decimals = max(g.Decimals, s.decimals)
	g.Heights.Sum, g.Heights.Count = g.Heights.Sum+s.heights.Sum, g.Heights.Count+s.heights.Count
	return err
}

func (g *geometry) coordinates(kind string, s *scanner) error {
	polygon := func(int) error {
		p, err := s.polygon()
		if len(p) > 0 {
			g.Areas = append(g.Areas, p)
		}
		return err
	}
	line := func(int) error {
		r, err := s.positions("positions")
		g.Lines = append(g.Lines, orb.LineString(r))
		return err
	}
	switch kind {
	case "Polygon":
		return polygon(0)
	case "MultiPolygon":
		return s.list("polygons", polygon)
	case "Point":
		p, err := s.position()
		g.Points = append(g.Points, p)
		return err
	case "MultiPoint":
		pts, err := s.positions("positions")
		g.Points = append(g.Points, pts...)
		return err
	case "LineString":
		return line(0)
	case "MultiLineString":
		return s.list("lines", line)
	}
	return raw.Faultf("not-a-geometry", "Draw it as a Polygon.", "the geometry's type is %q", raw.Clip(kind))
}
