package crs

import (
	"errors"
	"fmt"
	"math"
	"strings"
)

// unit is a unit of length or angle as a text gives it: metres or radians.
type unit struct {
	name   string
	factor float64
}

// exact replaces a factor that was rounded in the text by the one that is meant. The two feet are 2e-6 apart, so that 1e-7 can
// not take one for the other; degrees are written with 6 digits or more.
func (u unit) exact() unit {
	for _, f := range []float64{metre, foot, surveyFoot} {
		if math.Abs(u.factor/f-1) < 1e-7 {
			u.factor = f
		}
	}
	if math.Abs(u.factor/degree-1) < 1e-6 {
		u.factor = degree
	}
	return u
}

// note warns of a foot whose name and length disagree.
func (u unit) note() string {
	s := squeeze(u.name)
	survey := strings.Contains(s, "footus") || strings.Contains(s, "usfoot") || strings.Contains(s, "ussurvey") || strings.Contains(s, "ftus") || strings.Contains(s, "usft")
	if survey && u.factor == foot {
		return fmt.Sprintf("the unit is called %q but is given as 0.3048 m, the international foot, which is used; outlines lie about 2 parts in a million of their coordinates off if the name is right", clip(u.name))
	}
	return ""
}

// unitOf finds the unit of a system: its own node, or that of its axes, which must agree.
func unitOf(n *node, keys []string, axis string) (unit, error) {
	var found []*node
	for _, k := range n.kids {
		if k.is(keys...) {
			found = append(found, k)
		}
		if k.key == axis && !strings.EqualFold(k.text(1), "up") {
			if u := k.child(keys...); u != nil {
				found = append(found, u)
			}
		}
	}
	if len(found) == 0 {
		return unit{}, errors.New("it does not say in which unit its coordinates are")
	}
	var got unit
	for i, k := range found {
		u, err := readUnit(k)
		if err != nil {
			return unit{}, err
		}
		if i > 0 && u.factor != got.factor {
			return unit{}, fmt.Errorf("it gives two units, %q and %q", clip(got.name), clip(u.name))
		}
		if i == 0 {
			got = u
		}
	}
	return got, nil
}

func readUnit(k *node) (unit, error) {
	f, ok := k.number(1)
	if !ok || !(f > 0) {
		return unit{}, fmt.Errorf("its unit %q has no factor", clip(k.text(0)))
	}
	return unit{k.text(0), f}.exact(), nil
}

// kind is a projection that is read.
type kind int

const (
	tmKind     kind = iota
	conicKind       // with one or two standard parallels, as the parameters say
	conic1Kind      // by its name with one
	conic2Kind      // by its name with two
	webKind
)

// methods are projections by their squeezed names in version 1 (OGC 01-009, ESRI) and 2 (EPSG).
var methods = map[string]kind{
	"transversemercator": tmKind, "transversemercatorcomplex": tmKind, "gausskruger": tmKind, "gausskrueger": tmKind,
	"lambertconformalconic": conicKind, "lambertconicconformal": conicKind, "lambertconformalconic2sp": conic2Kind, "lambertconicconformal2sp": conic2Kind,
	"lambertconformalconic1sp": conic1Kind, "lambertconicconformal1sp": conic1Kind,
	"mercatorauxiliarysphere": webKind, "popularvisualisationpseudomercator": webKind,
}

// slots of parameters.
const (
	slotLat0 = iota
	slotLon0
	slotScale
	slotLat1
	slotLat2
	slotEast
	slotNorth
	slots
)

var slotNames = [slots]string{"a latitude of origin", "a central meridian", "a scale factor", "a first standard parallel", "a second standard parallel", "a false easting", "a false northing"}

// parameters are slots by the squeezed names of OGC 01-009, ESRI and EPSG.
var parameters = map[string]int{
	"latitudeoforigin": slotLat0, "latitudeofcenter": slotLat0, "latitudeofcentre": slotLat0, "centralparallel": slotLat0,
	"latitudeofnaturalorigin": slotLat0, "latitudeoffalseorigin": slotLat0,
	"centralmeridian": slotLon0, "longitudeofcenter": slotLon0, "longitudeofcentre": slotLon0, "longitudeoforigin": slotLon0,
	"longitudeofnaturalorigin": slotLon0, "longitudeoffalseorigin": slotLon0,
	"scalefactor": slotScale, "scalefactoratnaturalorigin": slotScale,
	"standardparallel1": slotLat1, "latitudeof1ststandardparallel": slotLat1,
	"standardparallel2": slotLat2, "latitudeof2ndstandardparallel": slotLat2,
	"falseeasting": slotEast, "eastingatfalseorigin": slotEast,
	"falsenorthing": slotNorth, "northingatfalseorigin": slotNorth,
}

// quantities are the parameters of one projection: degrees and metres.
type quantities struct {
	kind kind
	v    [slots]float64
	has  [slots]bool
}

// readParameters reads the projection of a projected system. length is its unit in metres: parameters without a unit of
// their own are in the units of the system.
func readParameters(n, base *node, length float64) (*quantities, error) {
	from := n
	if cv := n.child("CONVERSION"); cv != nil {
		from = cv
	}
	method := from.child("PROJECTION", "METHOD")
	if method == nil {
		return nil, errors.New("it names no projection")
	}
	k, ok := methodOf(n, method)
	if !ok {
		return nil, fmt.Errorf("it "+otherProjection, fmt.Sprintf("%q", clip(method.text(0))))
	}
	angle := degree
	if own := base.child(angleKeys...); own != nil { // version 2 leaves it out, and gives each parameter its own
		u, err := readUnit(own)
		if err != nil {
			return nil, err
		}
		angle = u.factor
	}
	q := &quantities{kind: k}
	for _, p := range from.kids {
		if p.key != "PARAMETER" {
			continue
		}
		if err := q.add(p, length, angle); err != nil {
			return nil, err
		}
	}
	return q, nil
}

// methodOf is the kind of a projection. The web map is also written as a Mercator with a hint: its code, its name, or a
// PROJ string of a sphere in an EXTENSION.
func methodOf(n, method *node) (kind, bool) {
	name := squeeze(method.text(0))
	if k, ok := methods[name]; ok {
		return k, true
	}
	if name != "mercator" && name != "mercator1sp" {
		return 0, false
	}
	title := titleOf(n)
	for _, hint := range []string{"EPSG:3857)", "EPSG:900913)", "EPSG:3785)", "Pseudo-Mercator", "Pseudo_Mercator", "Google", "Popular Visualisation"} {
		if strings.Contains(title, hint) {
			return webKind, true
		}
	}
	if x := n.child("EXTENSION"); x != nil && strings.Contains(x.text(1), "+a=6378137 ") && strings.Contains(x.text(1), "+b=6378137 ") {
		return webKind, true
	}
	return 0, false
}

// add reads one parameter.
func (q *quantities) add(p *node, length, angle float64) error {
	x, ok := p.number(1)
	if !ok {
		return fmt.Errorf("its parameter %q has no number", clip(p.text(0)))
	}
	slot, ok := parameters[squeeze(p.text(0))]
	if !ok {
		if x == 0 {
			return nil // such as an auxiliary sphere type of 0
		}
		return fmt.Errorf("its parameter %q (%v) is not one of its projection", clip(p.text(0)), x)
	}
	factor := 1.0
	own := p.child("UNIT", "LENGTHUNIT", "ANGLEUNIT", "SCALEUNIT")
	switch slot {
	case slotScale:
	case slotEast, slotNorth:
		factor = length
	default:
		factor = angle
	}
	if own != nil {
		u, err := readUnit(own)
		if err != nil {
			return err
		}
		factor = u.factor
	}
	if slot < slotEast && slot != slotScale {
		if factor == degree {
			factor = 1
		} else {
			factor /= degree
		}
	}
	x *= factor
	if q.has[slot] && q.v[slot] != x {
		return fmt.Errorf("it gives %s twice, %v and %v", slotNames[slot], q.v[slot], x)
	}
	q.v[slot], q.has[slot] = x, true
	return nil
}

// projection builds what the parameters say; one that is missing is an error, but for false origins, which are 0 then.
func (q *quantities) projection(el ellipsoid) (projection, error) {
	need := func(ss ...int) error {
		for _, s := range ss {
			if !q.has[s] {
				return fmt.Errorf("it does not give %s", slotNames[s])
			}
		}
		return nil
	}
	v := q.v
	switch q.kind {
	case webKind:
		for s, x := range v {
			if x != 0 && !(s == slotScale && x == 1) {
				return nil, fmt.Errorf("it gives %s of %v, which the web map does not have", slotNames[s], x)
			}
		}
		return webMercator{}, nil
	case tmKind:
		if err := need(slotLat0, slotLon0, slotScale); err != nil {
			return nil, err
		}
		if q.has[slotLat1] || q.has[slotLat2] {
			return nil, errors.New("it gives standard parallels, which its projection does not have")
		}
		return newTransverse(el, v[slotLat0], v[slotLon0], v[slotScale], v[slotEast], v[slotNorth])
	}
	return q.conic(el, need)
}

// conic builds a Lambert conformal conic. With one standard parallel it is either named or the latitude of origin.
func (q *quantities) conic(el ellipsoid, need func(...int) error) (projection, error) {
	v := q.v
	err := need(slotLat0, slotLon0)
	switch {
	case err != nil:
	case q.kind == conic2Kind, q.has[slotLat2]:
		if err = need(slotLat1, slotLat2); err == nil && !q.has[slotScale] {
			v[slotScale] = 1
		}
	case q.kind == conicKind && !q.has[slotLat1]:
		err = need(slotLat1)
	default:
		err = need(slotScale)
		if !q.has[slotLat1] {
			v[slotLat1] = v[slotLat0]
		}
		v[slotLat2] = v[slotLat1]
	}
	if err != nil {
		return nil, err
	}
	return newConic(el, v[slotLat0], v[slotLon0], v[slotLat1], v[slotLat2], v[slotScale], v[slotEast], v[slotNorth])
}
