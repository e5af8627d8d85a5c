package intake

import (
	"bytes"

	"tankful/geo/intake/geojson"
	"tankful/geo/intake/raw"
)

// format is a kind of file: by its first bytes when they are enough to tell, else by its name.
type format struct {
	name string
	// endings are those of file names; a folder is searched for the first ones, which hold nothing but outlines.
	endings, others []string
	starts          func(head []byte) bool
	open            opener
}

var formats = []format{
	{"GeoJSON", []string{".geojson", ".geojsonl", ".geojsons"}, []string{".json", ".ndjson", ".jsonl"}, startsWith("{", "[", "\x1e"), geojson.Open},
}

// startsWith looks for a beginning, blanks and a byte order mark left out.
func startsWith(begins ...string) func([]byte) bool {
	return func(head []byte) bool {
		t := bytes.TrimLeft(raw.UTF8(head), " \t\r\n")
		for _, b := range begins {
			if len(t) >= len(b) && bytes.EqualFold(t[:len(b)], []byte(b)) {
				return true
			}
		}
		return false
	}
}
