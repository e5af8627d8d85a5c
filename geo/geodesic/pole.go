package geodesic

import (
	"math"

	"github.com/paulmach/orb"
)

// HoldsPole says that a ring goes round a pole, through one, or has an edge half way round
// the Earth, which could pass either side of it. Such a ring is no outline in longitude and
// latitude: along its edges the longitude does not come back to where it began, so
// Densify and a plane give nonsense, and the caller refuses it. Area alone gives the
// smaller of the two sides.
func HoldsPole(r orb.Ring) bool {
	turned := 0.0 // degrees eastwards
	for i, p := range r {
		q := r[(i+1)%len(r)]
		d := wrap(q.Lon() - p.Lon())
		if math.Abs(p.Lat()) >= 90 || math.Abs(d) == 180 {
			return true
		}
		turned += d
	}
	// Whole turns only, but for rounding.
	return math.Abs(turned) > 180
}
