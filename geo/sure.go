package geo

import (
	"fmt"
	"math"

	"github.com/twpayne/go-geom"

	"tankful/calc/unit"
	"tankful/geo/local"
)

const (
	// tracedAccuracy is the standard deviation of a corner traced on an aerial image in each
	// direction. It is an assumption, no source; AccuracyFrom says so.
	tracedAccuracy = 0.5 * unit.Metre
	// enoughDecimals of a degree are 0.11 m on the ground.
	enoughDecimals = 6
	// straight is how far, in metres, a corner may lie from the line of its neighbours and not
	// count as a corner: cuts of long edges and crossing points carry no error of their own.
	straight = 0.01
)

// accuracy takes the figure given or guesses one, and warns of coarse coordinates.
func (m *measuring) accuracy(opt MeasureOptions) {
	s, decimals := m.site, 0
	for _, o := range m.property.Outlines {
		decimals = max(decimals, o.Decimals)
	}
	// A coordinate rounded to a step has a standard deviation of step/sqrt(12); a degree of
	// latitude is 111 km (111,132 m on average; from memory).
	step := 111_132 * unit.Metre * unit.Length(math.Pow10(-decimals))
	rounding := step / unit.Length(math.Sqrt(12))
	if decimals > 0 && decimals < enoughDecimals {
		s.Problems.Warnf("coarse-coordinates", m.property.Where, "Export the outlines with at least 6 decimals.",
			"the coordinates have %d decimals, steps of %s (%s) on the ground", decimals, unit.US.Length(step), unit.Metric.Length(step))
	}
	if a := float64(opt.Accuracy); !(a >= 0) || math.IsInf(a, 0) {
		s.Problems.Errorf("accuracy-not-positive", m.property.Where, "Give the accuracy of a corner as a length, for example 0.5 m.",
			"an accuracy of %g m is not a length", a)
	}
	switch {
	case opt.Accuracy > 0 && !math.IsInf(float64(opt.Accuracy), 0):
		s.Accuracy, s.AccuracyFrom = opt.Accuracy, "as given"
	case decimals > 0 && rounding > tracedAccuracy:
		s.Accuracy, s.AccuracyFrom = rounding, fmt.Sprintf("the rounding of coordinates to %d decimals", decimals)
	default:
		s.Accuracy, s.AccuracyFrom = tracedAccuracy, "assumed: an outline traced on an aerial image"
	}
}

// plusMinus is 1.96 standard deviations of the area of mp when each coordinate of each
// corner has an independent standard deviation of s, by propagation through the shoelace
// formula: s2/4 times the sum over corners of the squared distance between the two
// neighbours, plus n s4/2 per ring for what is not linear (Journal of the Japanese Forest
// Society 100(6), 193-200, 2018, for the first term; the second is our derivation, checked
// by drawing errors at random).
func plusMinus(mp *geom.MultiPolygon, frame *local.Frame, accuracy unit.Length) unit.Area {
	s2 := float64(accuracy) * float64(accuracy)
	var variance float64
	for i := range mp.NumPolygons() {
		p := mp.Polygon(i)
		for j := range p.NumLinearRings() {
			flat := p.LinearRing(j).FlatCoords()
			c := corners(flat, asDrawn(flat, frame))
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

// asDrawn takes a ring from the frame to longitude and latitude, scaled to metres: there an edge is
// straight as it was drawn, where the frame bends a 3 km edge by half a metre and every cut
// of it would pass for a corner. Lengths are those of a sphere, right to 0.4 %: enough to tell corners by.
func asDrawn(flat []float64, frame *local.Frame) []float64 {
	centre := frame.Centre()
	const perDegree = 111_195 // metres: a sphere of 6,371 km
	perLon := perDegree * math.Cos(centre.Lat()*math.Pi/180)
	out := make([]float64, len(flat))
	for i := 0; i+1 < len(flat); i += 2 {
		p := frame.Inverse(flat[i : i+2])
		out[i] = math.Remainder(p.Lon()-centre.Lon(), 360) * perLon
		out[i+1] = (p.Lat() - centre.Lat()) * perDegree
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
