package crs

import (
	"fmt"
	"slices"
	"strings"
)

// Units of length in metres. The survey foot is 1200/3937 m exactly (Federal Register 24 FR 5348, 1959), 2 parts in a million longer than the foot of
// 0.3048 m. Swapping the two moves a point with an easting of 2,000,000 ft by 4 ft.
const (
	metre      = 1.0
	foot       = 0.3048
	surveyFoot = 1200.0 / 3937
)

// method is how a zone of the tables is projected.
type method int

const (
	tm   method = iota // a is the scale factor
	lcc1               // one standard parallel, lat0; a is the scale factor
	lcc2               // two standard parallels, a and b
)

// codes are the EPSG codes of a zone by datum, 0 for none.
type codes [csrs7 + 1]int

// zone is one row of the tables: a map projection and the codes under which it is published. Angles are degrees, fe and
// fn are in the zone's unit.
type zone struct {
	name         string
	unit         float64
	method       method
	lat0, lon0   float64
	a, b, fe, fn float64
	codes        codes
}

// tables are all zones by code: see zones_*.go.
var tables = [][]zone{utmZones, stateZones, localZones, canadaZones}

// crs builds the system of a zone on a datum.
func (z *zone) crs(d datum, code int) (*CRS, error) {
	name := fmt.Sprintf("%s / %s (EPSG:%d)", datumFacts[d].name, z.name, code)
	p, err := z.projection(datumFacts[d].el)
	if err != nil {
		return nil, refuse("%s: %v", name, err)
	}
	c := &CRS{name: name, unit: z.unit, proj: p, far: z.fe != 0 || z.fn != 0 || z.lat0 == 0}
	c.note(d.note())
	return c, nil
}

func (z *zone) projection(el ellipsoid) (projection, error) {
	fe, fn := z.fe*z.unit, z.fn*z.unit
	switch z.method {
	case tm:
		return newTransverse(el, z.lat0, z.lon0, z.a, fe, fn)
	case lcc1:
		return newConic(el, z.lat0, z.lon0, z.lat0, z.lat0, z.a, fe, fn)
	}
	return newConic(el, z.lat0, z.lon0, z.a, z.b, 1, fe, fn)
}

func (c *CRS) note(s string) {
	if s != "" && !slices.Contains(c.notes, s) {
		c.notes = append(c.notes, s)
	}
}

// utmSeries are runs of codes that count UTM zones: code = base + zone (EPSG Dataset v10.076).
var utmSeries = []struct {
	base, first, last int
	south             bool
	d                 datum
	name              string
}{
	{32600, 1, 60, false, worldDatum, "UTM zone %dN"},
	{32700, 1, 60, true, worldDatum, "UTM zone %dS"},
	{25800, 28, 38, false, etrs89, "UTM zone %dN"},
	{28300, 48, 58, true, gda94, "MGA zone %d"},
	{7800, 46, 59, true, gda2020, "MGA zone %d"},
}

// utm is a UTM zone: 6 degrees wide, zone 1 beginning at 180 W (DMA TM 8358.2, The Universal Grids, 1989).
func utm(name string, number int, south bool) *zone {
	z := &zone{name: name, unit: metre, method: tm, lon0: float64(6*number - 183), a: 0.9996, fe: 500000}
	if south {
		z.fn = 10000000
	}
	return z
}

// byCode builds the system of an EPSG code; nil without an error when the code is in no table.
func byCode(code int) (*CRS, error) {
	switch code {
	case 3857, 900913, 102100, 102113, 3785: // the last four are older codes for the same
		return &CRS{name: "WGS 84 / Pseudo-Mercator (EPSG:3857)", unit: metre, proj: webMercator{}, far: true}, nil
	case 0:
		return nil, nil
	}
	for d := range datumFacts {
		if slices.Contains(datumFacts[d].codes[:], code) {
			return geographicCRS(datum(d), fmt.Sprintf("%s (EPSG:%d)", datumFacts[d].name, code)), nil
		}
	}
	for _, u := range utmSeries {
		if n := code - u.base; n >= u.first && n <= u.last {
			return utm(fmt.Sprintf(u.name, n), n, u.south).crs(u.d, code)
		}
	}
	for _, t := range tables {
		for i := range t {
			if d := slices.Index(t[i].codes[:], code); d >= 0 {
				return t[i].crs(datum(d), code)
			}
		}
	}
	return nil, nil
}

func geographicCRS(d datum, name string) *CRS {
	c := &CRS{name: name}
	c.note(d.note())
	return c
}

// Codes lists the systems that Parse knows by code, as Name writes them, sorted by name.
func Codes() []string {
	list := []string{"WGS 84 / Pseudo-Mercator (EPSG:3857)"}
	for _, f := range datumFacts {
		for _, code := range f.codes {
			if code != 0 {
				list = append(list, fmt.Sprintf("%s (EPSG:%d)", f.name, code))
			}
		}
	}
	for _, u := range utmSeries {
		for n := u.first; n <= u.last; n++ {
			list = append(list, fmt.Sprintf("%s / %s (EPSG:%d)", datumFacts[u.d].name, fmt.Sprintf(u.name, n), u.base+n))
		}
	}
	for _, t := range tables {
		for _, z := range t {
			for d, code := range z.codes {
				if code != 0 {
					list = append(list, fmt.Sprintf("%s / %s (EPSG:%d)", datumFacts[d].name, z.name, code))
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b string) int { return strings.Compare(strings.ToLower(a), strings.ToLower(b)) })
	return list
}
