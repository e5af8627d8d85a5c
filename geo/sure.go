package geo

import (
	"fmt"
	"math"
	"slices"

	"github.com/paulmach/orb"
	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
)

const (
	// What is assumed of outlines when nobody says better: the standard deviation of a corner in each
	// direction, and how far an edge may lie too far out or in all along. Assumptions, no source; AccuracyFrom and BiasFrom say so.
	tracedAccuracy = 0.5 * unit.Metre
	tracedBias     = 10 * unit.Centimetre
	walkedAccuracy = 2 * unit.Metre
	walkedBias     = 30 * unit.Centimetre
	// fineEnough is a rounding of coordinates that is no matter: 6 decimals of a degree are 0.11 m.
	fineEnough = 12 * unit.Centimetre
	// straight is how far, in metres, a corner may lie from the line of its neighbours and not
	// count as a corner: cuts of long edges and crossing points carry no error of their own.
	straight = 0.01
)

// accuracy takes the figures given or guesses them, and warns of coarse coordinates.
func (m *measuring) accuracy() {
	s := m.site
	step, as := m.rounding()
	rounding := step / unit.Length(math.Sqrt(12)) // the standard deviation of a rounding
	if step > fineEnough && !slices.ContainsFunc(m.property.Outlines, func(o Outline) bool { return isEmpty(&o) }) {
		s.Problems.Warnf("coarse-coordinates", m.property.Where, "Export the outlines with more decimals: 6 for degrees, 2 for metres.",
			"the coordinates have %s, steps of %s (%s) on the ground", as, unit.US.Length(step), unit.Metric.Length(step))
	}
	assumed, bias, how := tracedAccuracy, tracedBias, "assumed: an outline traced on an aerial image"
	if m.property.Walked {
		assumed, bias, how = walkedAccuracy, walkedBias, "assumed: an outline walked with a phone"
	}
	switch given := m.given("accuracy", m.opt.Accuracy); {
	case given > 0:
		s.Accuracy, s.AccuracyFrom = given, "as given"
	case rounding > assumed:
		s.Accuracy, s.AccuracyFrom = rounding, "the rounding of coordinates to "+as
	default:
		s.Accuracy, s.AccuracyFrom = assumed, how
	}
	s.Bias, s.BiasFrom = bias, how
	if given := m.given("bias", m.opt.Bias); given > 0 {
		s.Bias, s.BiasFrom = given, "as given"
	}
}

// given is a length that the caller gave, 0 for none.
func (m *measuring) given(what string, l unit.Length) unit.Length {
	if x := float64(l); !(x >= 0) || math.IsInf(x, 0) {
		m.site.Problems.Errorf(what+"-not-positive", m.property.Where, fmt.Sprintf("Give the %s of an outline as a length, for example 0.5 m.", what),
			"%s of %g m is not a length", what, x)
		return 0
	}
	return l
}

// rounding is the step on the ground of the finest coordinates among the outlines, 0 when it is not known.
func (m *measuring) rounding() (step unit.Length, as string) {
	for _, o := range m.property.Outlines {
		this, words := o.Step, "a step of "+unit.Metric.Length(o.Step)
		if o.Decimals > 0 {
			// A degree of latitude is 111 km (111,132 m on average; from memory).
			this = 111_132 * unit.Metre * unit.Length(math.Pow10(-o.Decimals))
			words = count(o.Decimals, "decimal")
		}
		if this > 0 && (step == 0 || this < step) {
			step, as = this, words
		}
	}
	return step, as
}

// biasOf is the area of a strip of the bias's width along an edge: P b + pi b2.
func biasOf(perimeter, bias unit.Length) unit.Area {
	if perimeter == 0 {
		return 0
	}
	return unit.Area(float64(perimeter)*float64(bias) + math.Pi*float64(bias)*float64(bias))
}

// plusMinus is 1.96 standard deviations of the area of mp when each coordinate of each
// corner has an independent standard deviation of s, by propagation through the shoelace
// formula: s2/4 times the sum over corners of the squared distance between the two
// neighbours, plus n s4/2 per ring for what is not linear (Journal of the Japanese Forest
// Society 100(6), 193-200, 2018, for the first term; the second is our derivation, checked
// by drawing errors at random).
func plusMinus(mp *geom.MultiPolygon, degrees orb.MultiPolygon, centre orb.Point, accuracy unit.Length) unit.Area {
	s2 := float64(accuracy) * float64(accuracy)
	var variance float64
	for i := range mp.NumPolygons() {
		p := mp.Polygon(i)
		for j := range p.NumLinearRings() {
			flat := p.LinearRing(j).FlatCoords()
			c := corners(flat, asDrawn(degrees[i][j], centre))
			n := len(c)
			for k := range c {
				a, b := c[(k+n-1)%n], c[(k+1)%n]
				dx, dy := b.X()-a.X(), b.Y()-a.Y()
				variance += s2 / 4 * (dx*dx + dy*dy)
			}
			variance += float64(n) * s2 * s2 / 2
		}
	}
	return unit.Area(1.96 * math.Sqrt(variance))
}

// asDrawn is a ring in longitude and latitude, scaled to metres: there an edge is
// straight as it was drawn, where the frame bends a 3 km edge by half a metre and every cut
// of it would pass for a corner. Lengths are those of a sphere, right to 0.4 %: enough to tell corners by.
func asDrawn(ring orb.Ring, centre orb.Point) []float64 {
	const perDegree = 111_195 // metres: a sphere of 6,371 km
	perLon := perDegree * math.Cos(centre.Lat()*math.Pi/180)
	out := make([]float64, 2*len(ring))
	for i, p := range ring {
		out[2*i] = math.Remainder(p.Lon()-centre.Lon(), 360) * perLon
		out[2*i+1] = (p.Lat() - centre.Lat()) * perDegree
	}
	return out
}

// corners are the points of a closed ring that turn it, as drawn, by more than straight metres
// (Douglas and Peucker's rule from the point furthest from the ring's first, and the one
// furthest from that: both are true corners, which the end of a ragged edge may not be).
func corners(flat, drawn []float64) []geom.Coord {
	n := len(flat)/2 - 1
	if n < 3 {
		return nil
	}
	pts := make([]geom.Coord, n+1)
	first := 0
	turn := func() {
		for i := range pts {
			k := 2 * ((first + i) % n)
			pts[i] = geom.Coord{drawn[k], drawn[k+1]}
		}
	}
	turn()
	first = furthest(pts)
	turn()
	far := furthest(pts)
	keep := make([]bool, n+1)
	keep[0], keep[far] = true, true
	keepCorners(pts, keep, 0, far)
	keepCorners(pts, keep, far, n)
	out := make([]geom.Coord, 0, n)
	for i := range n {
		if keep[i] {
			k := 2 * ((first + i) % n)
			out = append(out, geom.Coord{flat[k], flat[k+1]})
		}
	}
	return out
}

// furthest is the index of the point furthest from the first.
func furthest(pts []geom.Coord) (at int) {
	best := -1.0
	for i, p := range pts {
		if d := math.Hypot(p.X()-pts[0].X(), p.Y()-pts[0].Y()); d > best {
			at, best = i, d
		}
	}
	return at
}

func keepCorners(pts []geom.Coord, keep []bool, from, to int) {
	type span struct{ from, to int }
	stack := []span{{from, to}}
	for len(stack) > 0 {
		s := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		k, most := 0, straight
		for i := s.from + 1; i < s.to; i++ {
			if d := fromSegment(pts[i], pts[s.from], pts[s.to]); d > most {
				k, most = i, d
			}
		}
		if k > 0 {
			keep[k] = true
			stack = append(stack, span{s.from, k}, span{k, s.to})
		}
	}
}

// fromSegment is the distance of p from the segment a-b.
func fromSegment(p, a, b geom.Coord) float64 {
	dx, dy := b.X()-a.X(), b.Y()-a.Y()
	t := 0.0
	if l2 := dx*dx + dy*dy; l2 > 0 {
		t = min(1, max(0, ((p.X()-a.X())*dx+(p.Y()-a.Y())*dy)/l2))
	}
	return math.Hypot(p.X()-a.X()-t*dx, p.Y()-a.Y()-t*dy)
}
