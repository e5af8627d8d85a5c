package osm

import "errors"

// What is held of each element, in bytes, with the maps that find it (sizes of the types, maps half full); featureCost is
// for what becomes a feature.
const (
	nodeCost, faultCost, wayCost, relationCost = 100, 250, 400, 300
	refCost, memberCost, tagCost, featureCost  = 16, 80, 100, 400
)

// errHeld ends the reading of a file that MaxHeld forbids.
var errHeld = errors.New("more than MaxHeld")

// hold takes n bytes from what is left of MaxHeld.
func (r *reader) hold(n int) error {
	if r.free -= n; r.free < 0 {
		return errHeld
	}
	return nil
}
