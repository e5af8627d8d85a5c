package crs

import (
	"errors"
	"fmt"
	"math"
)

// tmReach is how far from the central meridian a transverse Mercator is used, degrees of longitude. The series is good
// for more (a few nanometres within 35 degrees), but no published zone is 60 degrees wide: what lies farther out was
// written in another zone.
const tmReach = 30

// transverse is the transverse Mercator projection by the series of Krueger to the sixth order of the third flattening,
// in the form of Karney (2011), formulas 10 to 18 and 35 to 36. Tests hold it to 1e-8 m of PROJ 9.1.1.
type transverse struct {
	ecc, lon0, fe, fn float64
	scale, m0         float64 // k0 times the rectifying radius; distance of lat0 from the equator, unscaled, over that radius
	alpha, beta       [7]float64
}

func newTransverse(el ellipsoid, lat0, lon0, k0, fe, fn float64) (*transverse, error) {
	if err := check(lat0, lon0, k0, fe, fn); err != nil {
		return nil, err
	}
	n := el.f / (2 - el.f)
	n2 := n * n
	n3, n4, n5, n6 := n2*n, n2*n2, n2*n2*n, n2*n2*n2
	p := &transverse{ecc: el.ecc(), lon0: lon0, fe: fe, fn: fn}
	p.scale = k0 * el.a / (1 + n) * (1 + n2/4 + n4/64 + n6/256)
	p.alpha = [7]float64{0,
		n/2 - 2*n2/3 + 5*n3/16 + 41*n4/180 - 127*n5/288 + 7891*n6/37800,
		13*n2/48 - 3*n3/5 + 557*n4/1440 + 281*n5/630 - 1983433*n6/1935360,
		61*n3/240 - 103*n4/140 + 15061*n5/26880 + 167603*n6/181440,
		49561*n4/161280 - 179*n5/168 + 6601661*n6/7257600,
		34729*n5/80640 - 3418889*n6/1995840,
		212378941 * n6 / 319334400}
	p.beta = [7]float64{0,
		n/2 - 2*n2/3 + 37*n3/96 - n4/360 - 81*n5/512 + 96199*n6/604800,
		n2/48 + n3/15 - 437*n4/1440 + 46*n5/105 - 1118711*n6/3870720,
		17*n3/480 - 37*n4/840 - 209*n5/4480 + 5569*n6/90720,
		4397*n4/161280 - 11*n5/504 - 830251*n6/7257600,
		4583*n5/161280 - 108847*n6/3991680,
		20648693 * n6 / 638668800}
	p.m0, _ = p.plane(lat0, 0)
	return p, nil
}

// plane takes a latitude and a longitude from the central meridian, degrees, to the plane, in units of p.scale.
func (p *transverse) plane(lat, dlon float64) (xi, eta float64) {
	taup := conformal(math.Tan(lat*degree), p.ecc)
	sin, cos := math.Sincos(dlon * degree)
	xi = math.Atan2(taup, cos)
	eta = math.Asinh(sin / math.Hypot(taup, cos))
	dx, de := series(&p.alpha, xi, eta)
	return xi + dx, eta + de
}

// series is the sum of c[j] sin(2j(xi + i eta)), real and imaginary part, by Clenshaw's recurrence.
func series(c *[7]float64, xi, eta float64) (re, im float64) {
	s, co := math.Sincos(2 * xi)
	sh, ch := math.Sinh(2*eta), math.Cosh(2*eta)
	y := complex(2*co*ch, -2*s*sh)
	var b1, b2 complex128
	for j := 6; j >= 1; j-- {
		b1, b2 = complex(c[j], 0)+y*b1-b2, b1
	}
	b1 *= complex(s*ch, co*sh)
	return real(b1), imag(b1)
}

func (p *transverse) forward(lon, lat float64) (x, y float64, ok bool) {
	d := turn(lon - p.lon0)
	if !(math.Abs(d) <= tmReach && math.Abs(lat) <= 90) {
		return 0, 0, false
	}
	xi, eta := p.plane(lat, d)
	return p.fe + p.scale*eta, p.fn + p.scale*(xi-p.m0), true
}

func (p *transverse) inverse(x, y float64) (lon, lat float64, ok bool) {
	xi, eta := (y-p.fn)/p.scale+p.m0, (x-p.fe)/p.scale
	// 30 degrees from the central meridian are eta = 0.55 at the equator; over the pole xi passes a quarter turn.
	if !(math.Abs(xi) <= math.Pi/2+1e-9 && math.Abs(eta) <= 0.6) {
		return 0, 0, false
	}
	dx, de := series(&p.beta, xi, eta)
	xi, eta = xi-dx, eta-de
	s, c := math.Sincos(xi)
	sh := math.Sinh(eta)
	d := math.Atan2(sh, c) / degree
	if math.Abs(d) > tmReach {
		return 0, 0, false
	}
	lat = math.Atan(geographic(s/math.Hypot(sh, c), p.ecc)) / degree
	return turn(p.lon0 + d), lat, true
}

// webMercator is the Popular Visualisation Pseudo-Mercator of EPSG:3857: the formulas of the sphere of WGS 84's
// semi-major axis, put in with ellipsoidal latitudes (IOGP Publication 373-7-2, method 1024). Its metres are stretched
// by 1/cos(latitude): nothing may be measured in its plane.
type webMercator struct{}

// webEdge is where the map ends, metres: half the circumference of the sphere.
const webEdge = math.Pi * 6378137

func (webMercator) forward(lon, lat float64) (x, y float64, ok bool) {
	if !(math.Abs(lon) <= 360 && math.Abs(lat) < 90) {
		return 0, 0, false
	}
	x = turn(lon) * degree * 6378137
	y = math.Asinh(math.Tan(lat*degree)) * 6378137
	return x, y, math.Abs(y) <= webEdge
}

func (webMercator) inverse(x, y float64) (lon, lat float64, ok bool) {
	const slack = 0.001 // exports round the edge to the millimetre at best
	if !(math.Abs(x) <= webEdge+slack && math.Abs(y) <= webEdge+slack) {
		return 0, 0, false
	}
	lon = x / 6378137 / degree
	return max(-180, min(180, lon)), math.Atan(math.Sinh(y/6378137)) / degree, true
}

// check refuses parameters that no map has: all are finite, a latitude lies short of a pole, a scale factor is near 1,
// and false origins lie within 100,000 km.
func check(lat0, lon0, k0, fe, fn float64) error {
	switch {
	case !finite(lat0, lon0, k0, fe, fn):
		return errors.New("a parameter of the projection is not a finite number")
	case math.Abs(lat0) >= 90:
		return fmt.Errorf("latitude of origin %v is not between -90 and 90 degrees", lat0)
	case math.Abs(lon0) > 360:
		return fmt.Errorf("central meridian %v is not between -360 and 360 degrees", lon0)
	case k0 < 0.5 || k0 > 2:
		return fmt.Errorf("scale factor %v is not between 0.5 and 2", k0)
	case math.Abs(fe) > 1e8 || math.Abs(fn) > 1e8:
		return fmt.Errorf("false easting %v m or false northing %v m is beyond 100,000 km", fe, fn)
	}
	return nil
}
