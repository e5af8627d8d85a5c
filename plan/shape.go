package plan

import (
	"encoding/json"

	"github.com/twpayne/go-geom"
)

// Shape is polygons in metres of a property's frame; in JSON, nested arrays of [east, north]
// as in a GeoJSON MultiPolygon's coordinates, but metres. The zero value is empty.
type Shape struct{ *geom.MultiPolygon }

// MarshalJSON writes the coordinates.
func (s Shape) MarshalJSON() ([]byte, error) {
	if s.MultiPolygon == nil {
		return []byte("[]"), nil
	}
	return json.Marshal(s.Coords())
}

// UnmarshalJSON reads what MarshalJSON writes.
func (s *Shape) UnmarshalJSON(b []byte) error {
	var c [][][]geom.Coord
	if err := json.Unmarshal(b, &c); err != nil {
		return err
	}
	mp, err := geom.NewMultiPolygon(geom.XY).SetCoords(c)
	if err != nil {
		return err
	}
	s.MultiPolygon = mp
	return nil
}
