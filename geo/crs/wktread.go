package crs

import (
	"fmt"
	"math"
	"strings"
)

// Keywords of version 1 and 2 for the same thing.
var (
	projectedKeys  = []string{"PROJCS", "PROJCRS", "PROJECTEDCRS"}
	geographicKeys = []string{"GEOGCS", "GEOGCRS", "GEOGRAPHICCRS", "GEODCRS", "GEODETICCRS"}
	baseKeys       = []string{"GEOGCS", "BASEGEOGCRS", "BASEGEODCRS"}
	compoundKeys   = []string{"COMPD_CS", "COMPOUNDCRS"}
	datumKeys      = []string{"DATUM", "GEODETICDATUM", "TRF", "ENSEMBLE"}
	lengthKeys     = []string{"UNIT", "LENGTHUNIT"}
	angleKeys      = []string{"UNIT", "ANGLEUNIT"}
)

// fromWKT reads well-known text.
func fromWKT(s string) (*CRS, error) {
	roots, err := parseWKT(s)
	if err != nil {
		return nil, refuse("%v", err)
	}
	n, compound := roots[0], len(roots) > 1
	for range maxDepth {
		switch {
		case n.is(compoundKeys...):
			compound = true
			n = n.child(append(append([]string{"BOUNDCRS"}, projectedKeys...), geographicKeys...)...)
		case n.is("BOUNDCRS"):
			if n = n.child("SOURCECRS"); n != nil && len(n.kids) > 0 {
				n = n.kids[0]
			}
		}
		if n == nil {
			return nil, refuse("%q has no horizontal part", clip(roots[0].text(0)))
		}
	}
	var c *CRS
	switch {
	case n.is(projectedKeys...):
		c, err = projectedWKT(n)
	case n.is(geographicKeys...):
		c, err = geographicWKT(n)
	default:
		return nil, refuse("%q is a %s, neither a projected nor a geographic system; %s", clip(n.text(0)), clip(n.key), accepted)
	}
	if err != nil {
		return nil, refuse("%s: %v", titleOf(n), err)
	}
	if compound {
		c.note(fmt.Sprintf("only the horizontal part of %q is used, heights stay as they are", clip(roots[0].text(0))))
	}
	return c, nil
}

// titleOf is the name of a system and its EPSG code, when the text has one.
func titleOf(n *node) string {
	name := clip(n.text(0))
	if name == "" {
		name = "unnamed system"
	}
	if id := n.child("AUTHORITY", "ID"); id != nil && strings.EqualFold(id.text(0), "EPSG") {
		if code, ok := id.number(1); ok && code == math.Trunc(code) && code > 0 && code < 1e9 {
			return fmt.Sprintf("%s (EPSG:%.0f)", name, code)
		}
	}
	return name
}

func geographicWKT(n *node) (*CRS, error) {
	cs := n.child("CS")
	if n.is("GEODCRS", "GEODETICCRS") && cs != nil && !strings.EqualFold(cs.text(0), "ellipsoidal") {
		return nil, fmt.Errorf("it is geocentric (X, Y, Z), which is not read; export the file in degrees")
	}
	d, _, err := datumOf(n, false)
	if err != nil {
		return nil, err
	}
	u, err := unitOf(n, angleKeys, "AXIS")
	if err != nil {
		return nil, err
	}
	if math.Abs(u.factor/degree-1) > 1e-6 {
		return nil, fmt.Errorf("its unit is %q (%v radians), and only degrees are read", clip(u.name), u.factor)
	}
	if err := checkAxes(n); err != nil {
		return nil, err
	}
	return geographicCRS(d, titleOf(n)), nil
}

func projectedWKT(n *node) (*CRS, error) {
	base := n.child(baseKeys...)
	if base == nil {
		return nil, fmt.Errorf("it does not say on which geographic system it is based")
	}
	u, err := unitOf(n, lengthKeys, "AXIS")
	if err != nil {
		return nil, err
	}
	if !(u.factor >= 1e-4 && u.factor <= 1e5) {
		return nil, fmt.Errorf("its unit %q of %v m is not a unit of length for a map", clip(u.name), u.factor)
	}
	if err := checkAxes(n); err != nil {
		return nil, err
	}
	q, err := readParameters(n, base, u.factor)
	if err != nil {
		return nil, err
	}
	d, el, err := datumOf(base, q.kind == webKind)
	if err != nil {
		return nil, err
	}
	p, err := q.projection(el)
	if err != nil {
		return nil, err
	}
	c := &CRS{name: titleOf(n), unit: u.factor, proj: p}
	c.note(d.note())
	c.note(u.note())
	return c, nil
}

// datumOf finds the datum of a geographic system and its ellipsoid. A sphere is let through for the web map only.
func datumOf(n *node, web bool) (datum, ellipsoid, error) {
	if pm := n.child("PRIMEM", "PRIMEMERIDIAN"); pm != nil {
		if x, ok := pm.number(1); !ok || x != 0 {
			return 0, ellipsoid{}, fmt.Errorf("its prime meridian is %q, and only Greenwich is read", clip(pm.text(0)))
		}
	}
	dn := n.child(datumKeys...)
	if dn == nil {
		return 0, ellipsoid{}, fmt.Errorf("it names no datum")
	}
	name := dn.text(0)
	d, known := datumNamed(name)
	el, err := ellipsoidOf(dn, name)
	if err != nil {
		return 0, el, err
	}
	if web && el.a == wgs84.a && el.f == 0 {
		return worldDatum, wgs84, nil
	}
	near := math.Abs(el.a-wgs84.a) < 0.01 && math.Abs(1/el.f-1/wgs84.f) < 1e-3
	switch {
	case known && near:
		return d, el, nil
	case known:
		return 0, el, fmt.Errorf("its datum %q comes with an ellipsoid of %v m and 1/%v, which is not the one of that datum", clip(name), el.a, 1/el.f)
	}
	for _, w := range []string{"unknown", "unspecified", "notspecified", "unnamed"} {
		if near && strings.HasPrefix(strings.TrimPrefix(squeeze(name), "d"), w) {
			return 0, el, fmt.Errorf("it does not say which datum it is on (%q); if it is WGS 84 or NAD83, name the system by its code", clip(name))
		}
	}
	if squeeze(name) == "dnorthamerican1927" || squeeze(name) == "northamericandatum1927" {
		return 0, el, fmt.Errorf("NAD27 %s", farDatum)
	}
	return 0, el, fmt.Errorf("its datum %q is not one of those within a few metres of WGS 84 (WGS 84, NAD83 and its realizations, ETRS89, GDA94, GDA2020 and the like), and shifts between datums, often tens or hundreds of metres, are not made; export the file in WGS 84 or NAD83", clip(name))
}

func ellipsoidOf(dn *node, name string) (ellipsoid, error) {
	e := dn.child("SPHEROID", "ELLIPSOID")
	a, ok1 := e.number(1)
	inv, ok2 := e.number(2)
	if !ok1 || !ok2 {
		return ellipsoid{}, fmt.Errorf("its datum %q gives no ellipsoid", clip(name))
	}
	if u := e.child(lengthKeys...); u != nil {
		f, ok := u.number(1)
		if !ok {
			return ellipsoid{}, fmt.Errorf("the unit of its ellipsoid has no factor")
		}
		a *= f
	}
	if !(a > 6e6 && a < 7e6) || inv != 0 && !(inv > 100 && inv < 1000) {
		return ellipsoid{}, fmt.Errorf("its ellipsoid of %v m and 1/%v is not the Earth's", a, inv)
	}
	el := ellipsoid{a: a}
	if inv != 0 {
		el.f = 1 / inv
	}
	return el, nil
}

// checkAxes refuses axes that do not point east and north; their order does not count, GIS files have x and y.
func checkAxes(n *node) error {
	seen := map[string]int{}
	for _, k := range n.kids {
		if k.key != "AXIS" {
			continue
		}
		dir := strings.ToUpper(k.text(1))
		switch dir {
		case "EAST", "NORTH", "UP":
			seen[dir]++
		case "":
			return fmt.Errorf("its axis %q does not say where it points", clip(k.text(0)))
		default:
			return fmt.Errorf("its axis %q points %s, and only axes to the east and north are read", clip(k.text(0)), clip(strings.ToLower(dir)))
		}
	}
	if len(seen) > 0 && (seen["EAST"] != 1 || seen["NORTH"] != 1) {
		return fmt.Errorf("its axes are not one to the east and one to the north")
	}
	return nil
}
