package kml

import (
	"encoding/xml"
	"slices"
	"strings"

	"github.com/paulmach/orb"

	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

// deepest is how far a MultiGeometry may be nested.
const deepest = 8

// draft is the ground of one placemark being read.
type draft struct {
	x       *markup.Reader
	corners markup.Corners
	left    *int // of MaxCorners
	areas   orb.MultiPolygon
	lines   orb.MultiLineString
	points  []orb.Point
	heights raw.Heights
	// area is true when a polygon stood there, readable or not; shapes counts shapes of any kind.
	area   bool
	shapes int
	blanks bool // blanks stood beside commas
	empty  bool // a polygon without coordinates
	models int  // buildings and trees in three dimensions
}

var shapes = []string{"Point", "LineString", "LinearRing", "Polygon", "MultiGeometry", "Track", "MultiTrack"}

func isShape(name string) bool { return slices.Contains(shapes, name) }

// shape reads one geometry.
func (d *draft) shape(e xml.StartElement, depth int) error {
	if name := e.Name.Local; name == "MultiGeometry" || name == "MultiTrack" {
		if depth == deepest {
			d.corners.Fail("wrong-nesting", "a MultiGeometry stands inside others, more than 8 deep")
			d.area = true
			return nil
		}
		return d.x.Children(func(e xml.StartElement) error {
			switch name := e.Name.Local; {
			case isShape(name):
				return d.shape(e, depth+1)
			case name == "Model":
				d.models++
				return nil
			}
			return d.astray(e, nil)
		})
	}
	d.shapes++
	switch e.Name.Local {
	case "Polygon":
		return d.polygon()
	case "Track":
		return d.track()
	}
	h := heights{}
	if e.Name.Local == "LinearRing" {
		d.area = true
	}
	s, err := d.linear(&h)
	if err != nil {
		return err
	}
	pts := d.positions(s, &h)
	h.into(&d.heights)
	switch e.Name.Local {
	case "LinearRing":
		d.ring(pts)
	case "LineString":
		if len(pts) > 0 {
			d.lines = append(d.lines, orb.LineString(pts))
		}
	case "Point":
		d.points = append(d.points, pts...)
	}
	return nil
}

// ring takes in a LinearRing that stands by itself.
func (d *draft) ring(pts []orb.Point) {
	if len(pts) == 0 {
		d.empty = true
		return
	}
	d.areas = append(d.areas, orb.Polygon{orb.Ring(pts)})
}

// linear finds the coordinates and the altitude mode of a Point, LineString or LinearRing.
func (d *draft) linear(h *heights) (coordinates string, err error) {
	var b strings.Builder
	err = d.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "coordinates":
			s, err := d.x.Text()
			if b.Len() > 0 {
				b.WriteByte(' ')
			}
			b.WriteString(s)
			return err
		case "altitudeMode":
			s, err := d.x.Text()
			h.mode = strings.TrimSpace(s)
			return err
		}
		return d.astray(e, nil)
	})
	return b.String(), err
}

// astray reads an element that is no shape and gives its leaves to say, when that is not nil. Coordinates in it are ground
// all the same, which can not be read: what shape they have is not known. A coord by itself may be a field of an old schema.
func (d *draft) astray(e xml.StartElement, say func(name, text string)) error {
	return d.x.Leaves(e, func(name, text string) {
		switch {
		case (name == "coordinates" || name == "coord" && name != e.Name.Local) && strings.TrimSpace(text) != "":
			d.area = true
			d.corners.Fail("wrong-nesting", raw.Clip(e.Name.Local)+" with coordinates stands where no shape belongs")
		case say != nil:
			say(name, text)
		}
	})
}

// polygon reads outer and inner boundaries, which may stand in any order.
func (d *draft) polygon() error {
	d.area = true
	var outer, inner []orb.Ring
	h, corners := heights{}, 0
	boundary := func(to *[]orb.Ring) error {
		return d.x.Children(func(e xml.StartElement) error {
			if e.Name.Local != "LinearRing" {
				return d.astray(e, nil)
			}
			s, err := d.linear(&heights{})
			if err != nil {
				return err
			}
			pts := d.positions(s, &h)
			corners += len(pts)
			*to = append(*to, orb.Ring(pts)) // intake judges an empty hole
			return nil
		})
	}
	err := d.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "outerBoundaryIs":
			return boundary(&outer)
		case "innerBoundaryIs":
			return boundary(&inner)
		case "altitudeMode":
			s, err := d.x.Text()
			h.mode = strings.TrimSpace(s)
			return err
		}
		return d.astray(e, nil)
	})
	if err != nil {
		return err
	}
	h.into(&d.heights)
	outer = slices.DeleteFunc(outer, func(r orb.Ring) bool { return len(r) == 0 })
	switch {
	case corners == 0:
		d.empty = true
	case len(outer) != 1:
		d.corners.Fail("wrong-nesting", "a Polygon has no outer boundary, or more than one")
	default:
		d.areas = append(d.areas, append(orb.Polygon(outer), inner...))
	}
	return nil
}

// track reads a Track: coord elements with blanks between the numbers. Missing positions are empty ones.
func (d *draft) track() error {
	h := heights{}
	var line orb.LineString
	err := d.x.Children(func(e xml.StartElement) error {
		switch e.Name.Local {
		case "altitudeMode":
			s, err := d.x.Text()
			h.mode = strings.TrimSpace(s)
			return err
		case "coord":
			s, err := d.x.Text()
			if err != nil {
				return err
			}
			if numbers := strings.Fields(s); len(numbers) > 0 {
				if p, ok := d.position(numbers, &h); ok && *d.left >= 0 {
					line = append(line, p)
				}
			}
		}
		return nil
	})
	if len(line) > 0 {
		d.lines = append(d.lines, line)
	}
	h.into(&d.heights)
	return err
}

// finish hands the ground over to f.
func (d *draft) finish(f *raw.Feature) {
	d.corners.Finish(f)
	f.Areas, f.Lines, f.Points, f.Heights, f.Ground = d.areas, d.lines, d.points, d.heights, d.area
	switch {
	case d.corners.Failed():
		// A fault may be in any of the shapes: none of them is measured when there is ground among them.
		f.Broken = d.area
		f.Areas, f.Lines, f.Points = nil, nil, nil
	case d.shapes == 0 && d.models == 0:
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the placemark has no shape and counts for nothing")
	case d.empty:
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "a polygon has no coordinates and counts for nothing")
	}
	if d.blanks {
		f.Problems.Notef("blanks-in-coordinates", f.Where, "Nothing needs doing.", "blanks stand beside commas in the coordinates; they are read all the same")
	}
}
