package gpx

import (
	"math"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/geo/geodesic"
	"tankful/geo/intake/raw"
)

// A walk counts as closed when its ends lie no further apart than the larger of these: what a phone is off by (from
// memory: 5 m to 10 m under open sky), and a share of the way.
const (
	closedWithin = 10 * unit.Metre
	closedShare  = 0.15
)

// loopShare is the gap that a stretch may have, as a share of its length, to be a loop by itself when a track has several:
// less strict than closedShare only for small loops, where the phone's error weighs more.
const loopShare = 0.25

// keep makes an area of a track or route.
func (r *reader) keep(d *draft) {
	f := r.begin(d)
	if f == nil {
		return
	}
	f.Ground, f.Walked = true, true
	if d.corners.Failed() {
		f.Broken = true
		return
	}
	var segments []segment
	points := 0
	for _, s := range d.segments {
		if len(s) > 0 {
			segments = append(segments, s)
			points += len(s)
		}
	}
	if points < 3 {
		f.Broken = true
		f.Problems.Errorf("walk-too-short", f.Where, "Walk it again, or remove it.",
			"the %s has %d different positions; an area needs 3", words[d.kind], points)
		return
	}
	rings := r.rings(f, segments)
	mp, ok := r.polygons(f, rings)
	if !ok {
		f.Broken = true
		f.Problems.Errorf("too-many-rings", f.Where, "Split the track.", "the track has more loops (%d) than can be sorted", len(rings))
		return
	}
	f.Areas = mp
}

// rings joins what was one walk with pauses and keeps loops apart.
func (r *reader) rings(f *raw.Feature, segments []segment) []orb.Ring {
	var loops []orb.Ring
	var walk []segment
	for _, s := range segments {
		if len(segments) > 1 && isLoop(s) {
			loops = append(loops, orb.Ring(s))
		} else {
			walk = append(walk, s)
		}
	}
	if len(loops) > 0 {
		f.Problems.Notef("loops-apart", f.Where, "Nothing needs doing.",
			"%d of %d stretches of the track end where they start; each is taken as an outline of its own", len(loops), len(segments))
	}
	if len(walk) == 0 {
		return loops
	}
	ring, length := join(f, walk)
	if len(ring) < 3 && len(loops) > 0 {
		f.Problems.Warnf("walk-too-short", f.Where, "Check that nothing is missing.",
			"a stretch of %d positions beside the loops is too short for an area and counts for nothing", len(ring))
		return loops
	}
	warnOpen(f, ring, length)
	return append([]orb.Ring{ring}, loops...)
}

// join strings the stretches of one walk together. Its length is what was walked, without pauses.
func join(f *raw.Feature, walk []segment) (ring orb.Ring, length unit.Length) {
	var widest unit.Length
	for _, s := range walk {
		if !plausible(orb.Ring(s)) {
			continue
		}
		length += along(s)
	}
	for _, s := range walk {
		if n := len(ring); n > 0 {
			if plausible(orb.Ring{ring[n-1], s[0]}) {
				widest = max(widest, geodesic.Distance(ring[n-1], s[0]))
			}
			if ring[n-1] == s[0] {
				s = s[1:]
			}
		}
		ring = append(ring, s...)
	}
	if widest > max(closedWithin, closedShare*length) {
		f.Problems.Warnf("walk-interrupted", f.Where, "Check the straight edge across the pause, or walk it again.",
			"%s were not recorded between two of the %d stretches of the walk; a straight edge joins them", both(widest), len(walk))
	}
	return ring, length
}

// isLoop reports whether a stretch is an outline by itself.
func isLoop(s segment) bool {
	if len(s) < 4 || !plausible(orb.Ring(s)) {
		return false
	}
	gap, length := geodesic.Distance(s[0], s[len(s)-1]), along(s)
	return gap <= max(closedWithin, closedShare*length) && gap <= loopShare*length && spread(s)
}

// spread tells a walk from standing still: its loop is wider than what a phone is off by, or it ends exactly where it
// started, which no walk does but a drawn outline.
func spread(s segment) bool {
	if s[0] == s[len(s)-1] {
		return true
	}
	b := orb.Ring(s).Bound()
	return geodesic.Distance(b.Min, b.Max) > closedWithin
}

// along is the length of a stretch that is plausible.
func along(s segment) unit.Length {
	if len(s) < 2 {
		return 0
	}
	_, round := geodesic.Area(orb.Ring(s))
	return max(0, round-geodesic.Distance(s[0], s[len(s)-1]))
}

// plausible reports whether positions are degrees, so that distances mean something.
func plausible(r orb.Ring) bool {
	for _, p := range r {
		if !(math.Abs(p.Lon()) <= 360 && math.Abs(p.Lat()) <= 90) {
			return false
		}
	}
	return true
}

func both(l unit.Length) string { return unit.US.Length(l) + " (" + unit.Metric.Length(l) + ")" }

// warnOpen says when the straight edge that closes a walk is long.
func warnOpen(f *raw.Feature, ring orb.Ring, length unit.Length) {
	if !plausible(ring) {
		return
	}
	if gap := geodesic.Distance(ring[0], ring[len(ring)-1]); gap > max(closedWithin, closedShare*length) {
		f.Problems.Warnf("walk-not-closed", f.Where, "Walk on to where you started, or check the straight edge that closes it.",
			"the walk ends %s from where it started, after %s; a straight edge closes it", both(gap), both(length))
	}
}

// polygons makes each ring a polygon. A smaller one that was walked wholly inside another is a hole: walking it would
// add nothing to ground that counts already. One nearly as large is the same ground walked again.
func (r *reader) polygons(f *raw.Feature, rings []orb.Ring) (orb.MultiPolygon, bool) {
	if len(rings) == 1 {
		return orb.MultiPolygon{{rings[0]}}, true
	}
	depth, parent, ok := r.sorter.Depths(rings)
	if !ok {
		return nil, false
	}
	holes, again := 0, 0
	hole := make([]bool, len(rings))
	at := make([]int, len(rings))
	var mp orb.MultiPolygon
	for i, ring := range rings {
		if depth[i] == 1 && r.sorter.Inside(ring, rings[parent[i]]) {
			if hole[i] = smaller(ring, rings[parent[i]]); hole[i] {
				holes++
				continue
			}
			again++
		}
		at[i] = len(mp)
		mp = append(mp, orb.Polygon{ring})
	}
	for i, ring := range rings {
		if hole[i] {
			k := at[parent[i]]
			mp[k] = append(mp[k], ring)
		}
	}
	if holes > 0 {
		f.Problems.Warnf("loop-inside", f.Where, "Walk it as a track of its own if it is not to be left out.",
			"%d loops lie inside another loop of the same track and are left out of it as holes", holes)
	}
	if again > 0 {
		f.Problems.Warnf("loop-again", f.Where, "Remove one of them.",
			"%d loops lie inside another loop of the same track and have more than half of its area; they are taken as the same ground walked again", again)
	}
	return mp, r.sorter.Steps >= 0
}

// smaller reports whether ring a has less than half of the area of b.
func smaller(a, b orb.Ring) bool {
	if !plausible(a) || !plausible(b) {
		return true
	}
	inner, _ := geodesic.Area(a)
	outer, _ := geodesic.Area(b)
	return inner < outer/2
}
