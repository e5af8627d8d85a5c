package pass

import (
	"math"

	"github.com/twpayne/go-geom"
	"github.com/twpayne/go-geom/xy"
)

const (
	sharp      = 30 * math.Pi / 180  // a bend over this is a corner: the gun is shut and the next leg begins
	steep      = 60 * math.Pi / 180  // from here on one leg takes the whole corner: less is walked than by two that share it
	mostMitre  = 100 * math.Pi / 180 // a line goes round the tip of a bed in turns of at most this
	arcChord   = 0.3                 // chords of the engine's arcs are shorter, as a share of the offset,
	arcOff     = 0.003               // and end this close to it, metres
	nearlyFlat = 0.001               // places this close are one, metres
	bowed      = 0.003               // a knot this close to the line without it is none, metres; at 8 mm narrow islands are no longer covered to 99.9 %
)

// knot is a corner of a lap's line. hub is the corner of the turf that the line goes round there, nil where it does not.
type knot struct {
	at  [2]float64
	hub *[2]float64
}

// lapLine is the knots of a ring that lies half a swath inside of the turf whose corners are given. The engine goes
// round a corner of a bed or house in an arc; a lap walks on and turns square.
func lapLine(ring, corners [][2]float64, half float64) []knot {
	n := len(ring)
	hubs, start := make([]*[2]float64, n), 0 // what the edge after each corner of the ring is an arc about
	for i := range ring {
		hubs[i] = hubOf(ring[i], ring[(i+1)%n], corners, half)
	}
	for i := range ring {
		if hubs[i] != hubs[(i+n-1)%n] {
			start = i
			break
		}
	}
	var out []knot
	for k := 0; k < n; {
		i := (start + k) % n
		out = append(out, knot{at: ring[i]})
		hub, j := hubs[i], k+1
		for ; hub != nil && j < n && hubs[(start+j)%n] == hub; j++ {
		}
		if hub != nil {
			if m := mitre(ring[i], ring[(start+j)%n], hub, half); len(m) > 0 {
				out = append(out, m...)
			} else {
				for q := k + 1; q < j; q++ {
					out = append(out, knot{at: ring[(start+q)%n]})
				}
			}
		}
		k = j
	}
	return straighten(out)
}

// hubOf is the corner about which the line from p to q is a chord of an arc, nil when there is none.
func hubOf(p, q [2]float64, corners [][2]float64, half float64) (hub *[2]float64) {
	if math.Hypot(q[0]-p[0], q[1]-p[1]) > arcChord*half {
		return nil
	}
	best := arcOff
	for i := range corners {
		c := &corners[i]
		off := max(math.Abs(math.Hypot(p[0]-c[0], p[1]-c[1])-half), math.Abs(math.Hypot(q[0]-c[0], q[1]-c[1])-half))
		if off < best {
			best, hub = off, c
		}
	}
	return hub
}

// mitre is the corners of the line that touches the arc from p to q about the hub, clockwise; none for a gentle bend.
func mitre(p, q [2]float64, hub *[2]float64, half float64) []knot {
	from := math.Atan2(p[1]-hub[1], p[0]-hub[0])
	turn := math.Mod(from-math.Atan2(q[1]-hub[1], q[0]-hub[0])+4*math.Pi, 2*math.Pi)
	if turn <= sharp || turn > 1.5*math.Pi { // a chord that goes the other way is no arc
		return nil
	}
	n := int(math.Ceil(turn/mostMitre - 1e-6))
	each := turn / float64(n)
	var out []knot
	for i := range n {
		s, c := math.Sincos(from - each*(float64(i)+0.5))
		r := half / math.Cos(each/2)
		out = append(out, knot{[2]float64{hub[0] + r*c, hub[1] + r*s}, hub})
	}
	return out
}

// straighten leaves out knots that hardly bend the line. Corners stay, and the sharpest knot where there are none, so that it
// does not matter where the ring began.
func straighten(ks []knot) []knot {
	n, first, most := len(ks), 0, -1.0
	turns := make([]float64, n)
	for i := range ks {
		turns[i] = math.Abs(turnAt(ks[(i+n-1)%n].at, ks[i].at, ks[(i+1)%n].at))
		if turns[i] > most+1e-9 {
			first, most = i, turns[i]
		}
	}
	var out []knot
	flat, from := []float64{ks[first].at[0], ks[first].at[1]}, first
	for k := 1; k <= n; k++ {
		i := (first + k) % n
		flat = append(flat, ks[i].at[0], ks[i].at[1])
		if k < n && turns[i] < sharp {
			continue
		}
		kept := xy.SimplifyFlatCoords(flat, bowed, 2)
		for _, j := range kept[:len(kept)-1] { // the last begins the next run
			q := ks[(from+j)%n]
			if len(out) == 0 || dist2(out[len(out)-1].at, q.at) > nearlyFlat {
				out = append(out, q)
			}
		}
		flat, from = flat[len(flat)-2:len(flat):len(flat)], first+k
	}
	return out
}

// turnAt is the turn at q on the way from p to r, radians, to the left positive.
func turnAt(p, q, r [2]float64) float64 {
	return math.Remainder(math.Atan2(r[1]-q[1], r[0]-q[0])-math.Atan2(q[1]-p[1], q[0]-p[0]), 2*math.Pi)
}

// polygon is rings as one polygon, the first its shell.
func polygon(rings [][][2]float64) *geom.MultiPolygon {
	mp := geom.NewMultiPolygon(geom.XY)
	var flat []float64
	var ends []int
	for _, ring := range rings {
		for k := range len(ring) + 1 {
			p := ring[k%len(ring)]
			flat = append(flat, p[0], p[1])
		}
		ends = append(ends, len(flat))
	}
	if err := mp.Push(geom.NewPolygonFlat(geom.XY, flat, ends)); err != nil {
		panic(err) // both are XY
	}
	return mp
}
