package intake

import (
	"bytes"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/geojson"
	"tankful/geo/intake/gpkg"
	"tankful/geo/intake/gpx"
	"tankful/geo/intake/kml"
	"tankful/geo/intake/osm"
	"tankful/geo/intake/raw"
	"tankful/geo/intake/shape"
	"tankful/geo/intake/table"
	"tankful/geo/intake/wkt"
)

// format is a kind of file: by its first bytes when they are enough to tell, else by its name.
type format struct {
	// endings are those of file names that hold nothing but outlines: a folder is searched for them. others may hold anything.
	endings, others []string
	starts          func(head []byte) bool
	open            opener
}

var formats = []format{
	{[]string{".geojson", ".geojsonl", ".geojsons"}, []string{".json", ".ndjson", ".jsonl"}, text("{", "[", "\x1e"), geojson.Open},
	{[]string{".gpx"}, nil, root("gpx"), gpx.Open},
	{[]string{".kml", ".kmz"}, nil, func(head []byte) bool { return root("kml")(head) || archiveOf(head, ".kml") }, kml.Open},
	{[]string{".osm"}, nil, root("osm"), osm.Open},
	{nil, []string{".xml"}, text("<"), unknownXML},
	{[]string{".shp"}, nil, bytesOf("\x00\x00\x27\x0a"), shape.Open},
	{nil, []string{".zip"}, bytesOf("PK\x03\x04"), shape.Open},
	{[]string{".gpkg"}, nil, bytesOf("SQLite format 3\x00"), gpkg.Open},
	{[]string{".wkt"}, nil, wellKnownText, wkt.Open},
	{nil, []string{".csv", ".tsv", ".txt"}, nil, table.Open},
}

// bytesOf looks for the first bytes as they are.
func bytesOf(begin string) func([]byte) bool {
	return func(head []byte) bool { return bytes.HasPrefix(head, []byte(begin)) }
}

// text looks for the beginning of a text, blanks and a byte order mark left out.
func text(begins ...string) func([]byte) bool {
	return func(head []byte) bool {
		t := bytes.TrimLeft(raw.UTF8(head), " \t\r\n")
		for _, b := range begins {
			if bytes.HasPrefix(t, []byte(b)) {
				return true
			}
		}
		return false
	}
}

// wellKnownText looks for the name of a geometry with a bracket behind it: a table may begin with a column "surface".
func wellKnownText(head []byte) bool {
	t := string(raw.UTF8(head))
	bracket := strings.IndexByte(t, '(')
	return bracket > 0 && !strings.ContainsAny(t[:bracket], ",\t") && wkt.Begins(t)
}

// root looks for the first element of XML.
func root(name string) func([]byte) bool {
	return func(head []byte) bool {
		t := bytes.TrimLeft(raw.UTF8(head), " \t\r\n")
		if !bytes.HasPrefix(t, []byte("<")) {
			return false
		}
		i := bytes.Index(t, []byte("<"+name))
		if i < 0 || i+1+len(name) >= len(t) {
			return false
		}
		after := t[i+1+len(name)]
		return after <= ' ' || after == '>' || after == '/'
	}
}

// archiveOf reports whether the first entry of a zip archive has that ending (PKWARE, .ZIP File Format Specification, section 4.3.7).
func archiveOf(head []byte, ending string) bool {
	const nameAt, lengthAt = 30, 26
	if len(head) < nameAt || !bytes.HasPrefix(head, []byte("PK\x03\x04")) {
		return false
	}
	name := head[nameAt:min(len(head), (int(head[lengthAt])|int(head[lengthAt+1])<<8)+nameAt)]
	return bytes.HasSuffix(bytes.ToLower(name), []byte(ending))
}

func unknownFile(in raw.Input) (raw.Source, problem.List) {
	var list problem.List
	list.Errorf("unknown-format", in.Name, "Export the outlines as GeoJSON, KML, GPX, a shapefile or a GeoPackage.", "the file is no text and no format of outlines: a picture or a document, perhaps")
	return nil, list
}

func unknownXML(in raw.Input) (raw.Source, problem.List) {
	var list problem.List
	list.Errorf("unknown-format", in.Name, "Export the outlines as GeoJSON, KML, GPX, a shapefile or a GeoPackage.", "the file is XML, but neither GPX, KML nor an OpenStreetMap extract")
	return nil, list
}
