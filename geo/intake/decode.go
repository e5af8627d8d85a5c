package intake

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"unicode/utf8"
)

// members are a feature's properties.
type members map[string]json.RawMessage

// text is a member as text: a string, a number as written, true or false; "" when it is
// absent, null or has a structure.
func (m members) text(key string) string {
	raw, ok := m[key]
	if !ok {
		return ""
	}
	return scalar(raw)
}

func scalar(raw json.RawMessage) string {
	raw = bytes.TrimSpace(raw)
	if len(raw) == 0 {
		return ""
	}
	switch raw[0] {
	case '"':
		var s string
		if json.Unmarshal(raw, &s) != nil {
			return ""
		}
		return strings.TrimSpace(s)
	case '{', '[', 'n':
		return ""
	}
	return string(raw)
}

// decode takes the file apart into features. Problems of the whole file leave none.
func (r *reader) decode(data []byte) []*feature {
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	if !r.looksLikeJSON(data) {
		return nil
	}
	var root members
	if err := json.Unmarshal(data, &root); err != nil {
		r.notJSON(data, err)
		return nil
	}
	r.warnRepeated(data, r.name)
	if !r.knownCRS(root["crs"]) {
		return nil
	}
	switch kind := typeOf(root); {
	case kind == "FeatureCollection":
		return r.collection(root)
	case kind == "Feature":
		if f := r.feature(root, r.name); f != nil {
			return []*feature{f}
		}
	case slices.Contains(geometryTypes, kind):
		return []*feature{{raw: data, where: r.name}}
	default:
		r.problems.Errorf("not-geojson", r.name, "Export the outlines as a GeoJSON FeatureCollection.",
			"the file's type is %s, not FeatureCollection, Feature or a geometry", quoteType(root["type"]))
	}
	return nil
}

var geometryTypes = []string{"Point", "MultiPoint", "LineString", "MultiLineString", "Polygon", "MultiPolygon", "GeometryCollection"}

func typeOf(m members) string {
	var s string
	_ = json.Unmarshal(m["type"], &s) // anything but text is no type
	return s
}

func quoteType(raw json.RawMessage) string {
	if len(raw) == 0 {
		return "missing"
	}
	return clip(string(raw))
}

// clip shortens a text from a file for a message.
func clip(s string) string {
	s = strings.ToValidUTF8(s, "?")
	if len(s) <= 40 {
		return s
	}
	n := 40
	for !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n] + "..."
}

// looksLikeJSON tells the files apart that are something else altogether.
func (r *reader) looksLikeJSON(data []byte) bool {
	const fix = "Export the outlines as GeoJSON in UTF-8."
	trimmed := bytes.TrimSpace(data)
	switch {
	case len(trimmed) == 0:
		r.problems.Errorf("empty-file", r.name, fix, "the file is empty")
	case trimmed[0] == '<':
		r.problems.Errorf("not-json", r.name, fix, "the file is XML, such as KML or GPX, not GeoJSON")
	case bytes.HasPrefix(trimmed, []byte("PK\x03\x04")):
		r.problems.Errorf("not-json", r.name, fix, "the file is a zip archive, such as KMZ or a zipped shapefile, not GeoJSON")
	case bytes.HasPrefix(data, []byte("\xff\xfe")) || bytes.HasPrefix(data, []byte("\xfe\xff")):
		r.problems.Errorf("not-json", r.name, fix, "the file is in UTF-16")
	default:
		return true
	}
	return false
}

// notJSON says where the text stops being JSON.
func (r *reader) notJSON(data []byte, err error) {
	var wrongType *json.UnmarshalTypeError
	if errors.As(err, &wrongType) {
		r.problems.Errorf("not-geojson", r.name, "Export the outlines as a GeoJSON FeatureCollection.",
			"the file holds a JSON %s, not an object", wrongType.Value)
		return
	}
	offset := len(data)
	var syntax *json.SyntaxError
	if errors.As(err, &syntax) {
		offset = min(max(int(syntax.Offset)-1, 0), len(data))
	}
	line := 1 + bytes.Count(data[:offset], []byte("\n"))
	column := offset - bytes.LastIndexByte(data[:offset], '\n')
	what, fix := err.Error(), "Export the file again; it is damaged or cut short at that place."
	for _, word := range []string{"NaN", "Infinity", "-Infinity"} {
		if bytes.HasPrefix(data[max(0, offset-1):], []byte(word)) || bytes.HasPrefix(data[offset:], []byte(word)) {
			what, fix = word+" is written where a number belongs", "Correct that coordinate."
		}
	}
	if errors.Is(err, io.ErrUnexpectedEOF) || strings.Contains(what, "unexpected end") {
		what = "the file ends in the middle"
	}
	r.problems.Errorf("not-json", fmt.Sprintf("%s:%d:%d", r.name, line, column), fix, "not JSON: %s", what)
}

// collection reads the features one by one; a bad one does not stop the others.
func (r *reader) collection(root members) []*feature {
	var raws []json.RawMessage
	if raw, ok := root["features"]; !ok || json.Unmarshal(raw, &raws) != nil || raws == nil {
		r.problems.Errorf("not-geojson", r.name, "Export the outlines as a GeoJSON FeatureCollection.",
			"the FeatureCollection has no list of features")
		return nil
	}
	var out []*feature
	for i, raw := range raws {
		where := fmt.Sprintf("%s: feature %d", r.name, i+1)
		var m members
		if err := json.Unmarshal(raw, &m); err != nil || m == nil {
			r.problems.Errorf("not-a-feature", where, "Remove it or replace it by a Feature.", "%s stands where a feature belongs", clip(string(raw)))
			continue
		}
		if kind := typeOf(m); slices.Contains(geometryTypes, kind) {
			r.problems.Notef("bare-geometry", where, "Nothing needs doing.", "a %s stands where a Feature belongs; it is read as a feature without members", kind)
			out = append(out, &feature{raw: raw, where: where})
			continue
		} else if kind != "Feature" {
			r.problems.Errorf("not-a-feature", where, `Give it the type "Feature".`, "the type is %s, not \"Feature\"", quoteType(m["type"]))
			continue
		}
		r.warnRepeated(raw, where)
		if f := r.feature(m, where); f != nil {
			out = append(out, f)
		}
	}
	return out
}

// feature reads a Feature but for its geometry.
func (r *reader) feature(m members, where string) *feature {
	f := &feature{id: scalar(m["id"]), where: where}
	r.warnRepeated(m["properties"], where)
	r.warnRepeated(m["geometry"], where)
	if raw := m["properties"]; len(raw) > 0 && json.Unmarshal(raw, &f.members) != nil {
		r.problems.Warnf("members-not-an-object", where, "Write the feature's properties as an object.",
			"the properties are %s and can not be used", clip(string(raw)))
	}
	if label := cmp.Or(f.members.text("name"), f.id); label != "" && where != r.name {
		f.where += " (" + clip(label) + ")"
	}
	raw := bytes.TrimSpace(m["geometry"])
	if len(raw) == 0 || string(raw) == "null" {
		r.problems.Warnf("no-geometry", f.where, "Draw it or remove it.", "the feature has no geometry and counts for nothing")
		return nil
	}
	f.raw = raw
	return f
}

// knownCRS reads the crs member of files older than RFC 7946 (2016): longitude and latitude
// on WGS 84 by any of its names is accepted, anything else refused.
func (r *reader) knownCRS(raw json.RawMessage) bool {
	if len(raw) == 0 {
		return true
	}
	var crs struct {
		Properties struct {
			Name string `json:"name"`
		} `json:"properties"`
	}
	if json.Unmarshal(raw, &crs) != nil || crs.Properties.Name == "" {
		if string(bytes.TrimSpace(raw)) != "null" {
			r.problems.Warnf("unnamed-crs", r.name, "Check that the coordinates are longitude and latitude on WGS 84.",
				"the crs member names no coordinate system; longitude and latitude are taken")
		}
		return true
	}
	name := strings.ToUpper(crs.Properties.Name)
	last := name[strings.LastIndexAny(name, ":/")+1:]
	if slices.Contains([]string{"CRS84", "4326", "WGS84", "WGS 84"}, last) {
		r.problems.Notef("old-crs-member", r.name, "Nothing needs doing.", "the crs member says %s, which is what GeoJSON is anyway", clip(crs.Properties.Name))
		return true
	}
	r.problems.Errorf("other-crs", r.name, "Export the outlines again in longitude and latitude, WGS 84 (EPSG:4326).",
		"the coordinates are in %s", clip(crs.Properties.Name))
	return false
}
