package gpkg

import "tankful/geo/intake/raw"

// Shape is a feature of one geometry, as Load makes it.
func Shape(blob []byte) *raw.Feature {
	f := &raw.Feature{Where: "blob"}
	c := &raw.Corners{}
	if err := readBlob(blob, c, f); err != nil {
		f.Break(err)
		return f
	}
	c.Finish(f)
	return f
}
