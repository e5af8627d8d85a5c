package crs

import (
	"fmt"
	"math"
)

// conicReach bounds the use of a conic, degrees: of longitude from the central meridian, and of latitude from the middle
// of its standard parallels. Published systems stay well within; beyond, coordinates belong to another system.
const (
	conicReachLon = 90
	conicReachLat = 50
)

// conic is the Lambert conformal conic with two standard parallels; both the same is the one with one standard parallel
// (IOGP Publication 373-7-2, methods 9802 and 9801). Distances from the origin are taken through expm1 and log1p, not as the
// difference of two radii of thousands of kilometres. Tests hold it to 1e-8 m of PROJ 9.1.1.
type conic struct {
	ecc, lon0, fe, fn float64
	n, r0             float64 // constant of the cone and radius of the origin's parallel, metres; both negative in the south
	psi0, mid         float64 // isometric latitude of the origin; middle of the parallels, degrees
}

func newConic(el ellipsoid, lat0, lon0, lat1, lat2, k0, fe, fn float64) (*conic, error) {
	if err := check(lat0, lon0, k0, fe, fn); err != nil {
		return nil, err
	}
	for _, l := range []float64{lat1, lat2} {
		if !(math.Abs(l) < 90) {
			return nil, fmt.Errorf("standard parallel %v is not between -90 and 90 degrees", l)
		}
	}
	if math.Abs(lat1+lat2) < 0.1 { // the cone opens to a cylinder, and n to 0
		return nil, fmt.Errorf("standard parallels %v and %v lie opposite each other", lat1, lat2)
	}
	p := &conic{ecc: el.ecc(), lon0: lon0, fe: fe, fn: fn, mid: (lat1 + lat2) / 2}
	psi1, psi2 := p.isometric(lat1), p.isometric(lat2)
	p.psi0 = p.isometric(lat0)
	m1 := p.parallel(lat1)
	p.n = math.Sin(lat1 * degree)
	if math.Abs(lat1-lat2) > 1e-6 { // closer, the quotient would be noise and the two are one
		p.n = math.Log(m1/p.parallel(lat2)) / (psi2 - psi1)
	}
	p.r0 = el.a * k0 * m1 / p.n * math.Exp(-p.n*(p.psi0-psi1))
	if !finite(p.r0, p.n) || p.n == 0 || math.Abs(p.r0) < 1000 || math.Abs(p.r0) > 1e10 {
		return nil, fmt.Errorf("origin %v and standard parallels %v and %v make no usable cone", lat0, lat1, lat2)
	}
	return p, nil
}

// isometric is the isometric latitude of a latitude in degrees.
func (p *conic) isometric(lat float64) float64 {
	return math.Asinh(conformal(math.Tan(lat*degree), p.ecc))
}

// parallel is the radius of a parallel over the semi-major axis.
func (p *conic) parallel(lat float64) float64 {
	s, c := math.Sincos(lat * degree)
	return c / math.Sqrt(1-p.ecc*p.ecc*s*s)
}

func (p *conic) reaches(dlon, lat float64) bool {
	return math.Abs(dlon) <= conicReachLon && math.Abs(lat-p.mid) <= conicReachLat && math.Abs(lat) < 90
}

func (p *conic) forward(lon, lat float64) (x, y float64, ok bool) {
	d := turn(lon - p.lon0)
	if !p.reaches(d, lat) {
		return 0, 0, false
	}
	q := math.Expm1(-p.n * (p.isometric(lat) - p.psi0)) // radius over r0, less 1
	r := p.r0 * (1 + q)
	s, c := math.Sincos(p.n * d * degree / 2)
	return p.fe + r*2*s*c, p.fn - p.r0*q + r*2*s*s, true
}

func (p *conic) inverse(x, y float64) (lon, lat float64, ok bool) {
	u, v := (x-p.fe)/p.r0, (y-p.fn)/p.r0
	if !(math.Abs(u) < 1e3 && math.Abs(v) < 1e3) {
		return 0, 0, false
	}
	q := u*u + v*v - 2*v // radius over r0, squared, less 1
	if !(q > -1) {
		return 0, 0, false
	}
	psi := p.psi0 - math.Log1p(q)/2/p.n
	d := math.Atan2(u, 1-v) / p.n / degree
	lat = math.Atan(geographic(math.Sinh(psi), p.ecc)) / degree
	if !p.reaches(d, lat) { // false for NaN
		return 0, 0, false
	}
	return turn(p.lon0 + d), lat, true
}
