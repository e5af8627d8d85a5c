package osm

import (
	"encoding/xml"
	"slices"

	"tankful/geo/intake/markup"
	"tankful/geo/intake/raw"
)

// aside are keys that say where data comes from, not what is there.
var aside = []string{"created_by", "source", "odbl", "attribution", "note", "fixme", "FIXME", "import_uuid"}

func addTag(tags *markup.Members, e xml.StartElement) {
	if k := markup.Attr(e, "k"); e.Name.Local == "tag" && !slices.Contains(aside, k) {
		tags.Add(k, markup.Attr(e, "v"))
	}
}

// groundKeys are the keys that make a closed way an area, with values that do not (OpenStreetMap wiki, Key:area and
// Overpass turbo/Polygon Features, 2016 to 2023; leisure=track and golf=path by the wiki's pages on them, from memory).
// A running track is left as a line: its ring encloses the infield, which is no track.
var groundKeys = map[string][]string{
	"building": nil, "landuse": nil, "landcover": nil, "amenity": nil, "water": nil, "area:highway": nil,
	"leisure":  {"track", "slipway"},
	"natural":  {"coastline", "cliff", "ridge", "arete", "tree_row", "valley", "gully", "earth_bank"},
	"golf":     {"cartpath", "path", "hole"},
	"man_made": {"cutline", "embankment", "pipeline", "breakwater", "groyne", "dyke"},
}

// groundWaterways are the only waterways that are areas.
var groundWaterways = []string{"riverbank", "dock", "boatyard", "dam"}

// ground is what tags say of the ground.
func ground(tags raw.Members) (out raw.Members) {
	for _, t := range tags {
		lines, ok := groundKeys[t.Key]
		if t.Value == "no" || slices.Contains(lines, t.Value) {
			continue
		}
		if ok || t.Key == "waterway" && slices.Contains(groundWaterways, t.Value) {
			out = append(out, t)
		}
	}
	return out
}

// isArea reports whether tags make a closed way an area. A highway or a barrier is a line, unless area=yes or unless
// another tag says that there is ground inside, such as a fenced meadow.
func isArea(tags raw.Members) bool {
	switch tags.Text("area") {
	case "yes":
		return true
	case "no":
		return false
	}
	return len(ground(tags)) > 0
}

// onlyGround are keys whose values in ground never stand on a line.
var onlyGround = []string{"building", "landuse", "landcover", "leisure", "natural", "golf", "water"}

// mustClose reports whether an open way with these tags is an outline that lacks a side, and by which tag.
func mustClose(tags raw.Members) (by raw.Member, must bool) {
	area := tags.Text("area")
	if area == "no" {
		return by, false
	}
	for _, t := range ground(tags) {
		if slices.Contains(onlyGround, t.Key) {
			return t, true
		}
	}
	return raw.Member{Key: "area", Value: area}, area == "yes"
}

// agree reports whether two lists of tags are the same, in whatever order.
func agree(a, b raw.Members) bool {
	return len(a) == len(b) && !slices.ContainsFunc(a, func(t raw.Member) bool { return !slices.Contains(b, t) })
}
