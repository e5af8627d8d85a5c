package overlay

import (
	sf "github.com/peterstace/simplefeatures/geom"
	"github.com/twpayne/go-geom"
)

// Unsnapped is the engine's difference of one polygon and another as they are: its area, and what the
// checks say to it. Only the test of the checks takes it.
func Unsnapped(a, b *geom.MultiPolygon) (area float64, err error) {
	as := []shape{newShape(a.Polygon(0).FlatCoords())}
	bs := []shape{newShape(b.Polygon(0).FlatCoords())}
	raw, err := run(sf.Difference, as, bs)
	if err != nil {
		return 0, err
	}
	_, err = (&meeting{grid: grid(grids[0]), a: as, b: bs}).difference()
	return areaOf(raw), err
}
