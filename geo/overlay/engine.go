package overlay

import (
	"fmt"

	sf "github.com/peterstace/simplefeatures/geom"
)

// run calls the engine. A panic inside it is a failed check like any other: the caller
// tries the next grid.
func run(op func(a, b sf.Geometry) (sf.Geometry, error), a, b []shape) (polys []shape, err error) {
	defer func() {
		if r := recover(); r != nil {
			polys, err = nil, fmt.Errorf("%w: %v", ErrUnsure, r)
		}
	}()
	g, err := op(toEngine(a).AsGeometry(), toEngine(b).AsGeometry())
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrUnsure, err)
	}
	return fromEngine(g), nil
}

// interiorPoint is a point inside p; slivers that have no room for one are let off.
func interiorPoint(p shape) (spot, bool) {
	xy, ok := p.toEngine().PointOnSurface().XY()
	return spot{xy.X, xy.Y}, ok
}
