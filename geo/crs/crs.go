// Package crs takes coordinates of a coordinate reference system to lon/lat degrees and back.
//
// It knows the systems that North American property maps come in: transverse Mercator (UTM, state plane), Lambert conformal
// conic (state plane), web Mercator, and plain degrees; by EPSG code, by name, or by the well-known text of a .prj file.
// x is east and y is north, as GIS files have them, whatever order an authority lists the axes in.
//
// It leaves out shifts between datums: a datum that lies within a few metres of WGS 84 is read as WGS 84, which Note says, and one
// that lies tens of metres off is refused. It leaves out heights and every other projection; Parse names what it refuses.
package crs

import (
	"errors"
	"fmt"
	"math"
	"strings"

	"github.com/paulmach/orb"
)

// ErrUnknown is wrapped by Parse for a system that is not known or can not be used.
var ErrUnknown = errors.New("unknown coordinate reference system")

// maxText is the longest text that Parse reads, bytes; a long .prj file has 2,000.
const maxText = 1 << 20

// CRS is a coordinate reference system. The zero value is lon/lat degrees of WGS 84 without a name.
type CRS struct {
	name  string
	notes []string
	unit  float64    // metres of one unit of x and y; 0 for degrees
	proj  projection // nil for degrees
	// far says of a published system, by code or name, that no turf lies at its 0, 0, which is on the equator or far outside its zone.
	far bool
}

// projection takes lon/lat degrees to a plane in metres and back; ok is false beyond its reach and for NaN.
type projection interface {
	forward(lon, lat float64) (x, y float64, ok bool)
	inverse(x, y float64) (lon, lat float64, ok bool)
}

// Parse reads what a file or a user says: "EPSG:26915", "urn:ogc:def:crs:EPSG::26915",
// "http://www.opengis.net/def/crs/EPSG/0/26915", "OGC:CRS84", "UTM 15N", a name as Codes lists it, or the well-known text (version 1 or 2)
// of a .prj file. Its errors wrap ErrUnknown and say what was found and what would do.
func Parse(s string) (*CRS, error) {
	if len(s) > maxText {
		return nil, refuse("the text has %d bytes, and a description of a system has at most %d", len(s), maxText)
	}
	s = strings.TrimPrefix(s, "\ufeff")
	s = strings.Trim(s, " \t\r\n\x00")
	if s == "" {
		return nil, refuse("it says nothing; name the system, for instance EPSG:26915 or UTM 15N")
	}
	if isWKT(s) {
		return fromWKT(s)
	}
	return fromName(s)
}

// refuse is an error that wraps ErrUnknown.
func refuse(format string, args ...any) error {
	return fmt.Errorf("%w: %s", ErrUnknown, fmt.Sprintf(format, args...))
}

// Name is what people call it: "NAD83 / UTM zone 15N (EPSG:26915)".
func (c *CRS) Name() string { return c.name }

// String is Name.
func (c *CRS) String() string { return c.name }

// Geographic reports whether coordinates are lon/lat degrees already.
func (c *CRS) Geographic() bool { return c.proj == nil }

// Note is what a user must know about the system, sentences without a full stop joined by "; ", "" for none.
func (c *CRS) Note() string { return strings.Join(c.notes, "; ") }

// UnitMetres is one unit of the coordinates in metres, 0 for degrees: 1, 0.3048 (foot), 1200/3937 (US survey foot), or what the text says.
func (c *CRS) UnitMetres() float64 { return c.unit }

// ToDegrees takes x (easting, or longitude) and y (northing, or latitude) to degrees, longitudes in -180...180; ok is false where
// the system does not reach: farther than 30 degrees of longitude from the central meridian of a transverse
// Mercator, 90 degrees (and 50 of latitude) for a conic, off the web map, and for what is not finite. Coordinates of a
// geographic system pass unchanged when they are finite, even off the Earth: the caller judges those. Coordinates that
// read like degrees, within 180 and 90 of 0, are out of reach of a projected system named by code: somebody named the wrong one.
// (Not of the few whose 0, 0 is on land in or beside their own zone, such as EPSG:3968, nor of one given as a text.)
func (c *CRS) ToDegrees(x, y float64) (p orb.Point, ok bool) {
	if !finite(x, y) {
		return orb.Point{}, false
	}
	if c.proj == nil {
		return orb.Point{x, y}, true
	}
	if c.far && math.Abs(x) <= 180 && math.Abs(y) <= 90 {
		return orb.Point{}, false
	}
	lon, lat, ok := c.proj.inverse(x*c.unit, y*c.unit)
	if !ok || !finite(lon, lat) {
		return orb.Point{}, false
	}
	return orb.Point{lon, lat}, true
}

// FromDegrees takes degrees to x and y; ok is false where the system does not reach, as for ToDegrees.
func (c *CRS) FromDegrees(p orb.Point) (x, y float64, ok bool) {
	if !finite(p[0], p[1]) {
		return 0, 0, false
	}
	if c.proj == nil {
		return p[0], p[1], true
	}
	x, y, ok = c.proj.forward(p[0], p[1])
	if !ok || !finite(x, y) {
		return 0, 0, false
	}
	return x / c.unit, y / c.unit, true
}
