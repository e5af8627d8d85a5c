package intake_test

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"fmt"
	"math"
	"strings"
	"testing"
	"unicode/utf16"

	"tankful/geo"
	"tankful/geo/intake"
)

// lawn and hole are a square of 0.001 degrees and a triangle in it, as text of corners.
var (
	lawn = [][2]float64{{-93, 45}, {-92.999, 45}, {-92.999, 45.001}, {-93, 45.001}, {-93, 45}}
	bed  = [][2]float64{{-92.9998, 45.0002}, {-92.9996, 45.0002}, {-92.9996, 45.0004}, {-92.9998, 45.0002}}
)

func corners(ring [][2]float64, format, between string) string {
	var out []string
	for _, c := range ring {
		out = append(out, fmt.Sprintf(format, c[0], c[1]))
	}
	return strings.Join(out, between)
}

// shapefile is a .shp and a .dbf of two polygons with a column SURFACE (Esri, ESRI Shapefile Technical Description, July 1998).
func shapefile() (shp, dbf []byte) {
	var records bytes.Buffer
	for i, ring := range [][][2]float64{lawn, bed} {
		var body bytes.Buffer
		put := func(v any) { _ = binary.Write(&body, binary.LittleEndian, v) } // a buffer takes everything
		put(int32(5))
		put([4]float64{-93, 45, -92.999, 45.001})
		put([]int32{1, int32(len(ring)), 0})
		for k := range ring { // outer rings run clockwise
			put(ring[len(ring)-1-k])
		}
		_ = binary.Write(&records, binary.BigEndian, []int32{int32(i + 1), int32(body.Len() / 2)})
		records.Write(body.Bytes())
	}
	head := make([]byte, 100)
	binary.BigEndian.PutUint32(head, 9994)
	binary.BigEndian.PutUint32(head[24:], uint32(50+records.Len()/2))
	binary.LittleEndian.PutUint32(head[28:], 1000)
	binary.LittleEndian.PutUint32(head[32:], 5)
	for i, v := range []float64{-93, 45, -92.999, 45.001} {
		binary.LittleEndian.PutUint64(head[36+8*i:], math.Float64bits(v))
	}
	table := make([]byte, 32, 200)
	table[0], table[8], table[10] = 3, 32+32+1, 1+8
	table[4] = 2
	column := make([]byte, 32)
	copy(column, "SURFACE")
	column[11], column[16] = 'C', 8
	table = append(append(table, column...), '\r')
	table = append(table, " turf     bed     \x1a"...)
	return append(head, records.Bytes()...), table
}

func zipped(t *testing.T, files map[string][]byte, order ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, name := range order {
		w, err := z.Create(name)
		if err == nil {
			_, err = w.Write(files[name])
		}
		if err != nil {
			t.Fatal(err)
		}
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The same two outlines in every format, told by what is in the file, whatever it is called, measure the same.
func TestFormatsAgree(t *testing.T) {
	want := geo.Measure(first(collection(polygon(`{"surface":"turf"}`, square), polygon(`{"surface":"bed"}`, inside))), geo.MeasureOptions{})
	kml := `<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>` +
		`<Placemark><name>Lawn</name><Polygon><outerBoundaryIs><LinearRing><coordinates>` + corners(lawn, "%v,%v", " ") + `</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark>` +
		`<Placemark><name>Bed</name><Polygon><outerBoundaryIs><LinearRing><coordinates>` + corners(bed, "%v,%v", " ") + `</coordinates></LinearRing></outerBoundaryIs></Polygon></Placemark></Document></kml>`
	gpx := `<?xml version="1.0"?><gpx version="1.1">` +
		`<trk><type>turf</type><trkseg>` + corners(lawn, `<trkpt lon="%v" lat="%v"/>`, "") + `</trkseg></trk>` +
		`<trk><type>bed</type><trkseg>` + corners(bed, `<trkpt lon="%v" lat="%v"/>`, "") + `</trkseg></trk></gpx>`
	csv := "surface,wkt\nturf,\"POLYGON((" + corners(lawn, "%v %v", ",") + "))\"\nbed,\"POLYGON((" + corners(bed, "%v %v", ",") + "))\"\n"
	var osm strings.Builder
	osm.WriteString(`<osm version="0.6">`)
	for i, c := range append(lawn[:4:4], bed[:3]...) {
		fmt.Fprintf(&osm, `<node id="%d" lon="%v" lat="%v"/>`, i+1, c[0], c[1])
	}
	osm.WriteString(`<way id="1"><nd ref="1"/><nd ref="2"/><nd ref="3"/><nd ref="4"/><nd ref="1"/><tag k="landuse" v="grass"/></way>` +
		`<way id="2"><nd ref="5"/><nd ref="6"/><nd ref="7"/><nd ref="5"/><tag k="landuse" v="flowerbed"/></way></osm>`)
	shp, dbf := shapefile()
	wgs := []byte(`GEOGCS["GCS_WGS_1984",DATUM["D_WGS_1984",SPHEROID["WGS_1984",6378137.0,298.257223563]],PRIMEM["Greenwich",0.0],UNIT["Degree",0.0174532925199433]]`)
	files := map[string][]byte{"lots/Lots.SHP": shp, "lots/Lots.dbf": dbf, "lots/Lots.prj": wgs, "doc.kml": []byte(kml)}
	var wide []byte
	for _, u := range utf16.Encode([]rune("\ufeff" + kml)) {
		wide = append(wide, byte(u), byte(u>>8))
	}
	for _, c := range []struct {
		name string
		data []byte
	}{
		{"lots.kml", []byte(kml)}, {"lots", []byte(kml)}, {"lots.txt", []byte("\ufeff \n" + kml)}, {"lots.kml", wide},
		{"lots.gpx", []byte(gpx)}, {"track", []byte(gpx)}, {"lots.osm", []byte(osm.String())}, {"map.xml", []byte(osm.String())},
		{"lots.csv", []byte(csv)}, {"lots.tsv", []byte(strings.ReplaceAll(strings.ReplaceAll(csv, "surface,", "surface\t"), ",\"", "\t\""))},
		{"lots.zip", zipped(t, files, "lots/Lots.SHP", "lots/Lots.dbf", "lots/Lots.prj")},
		{"lots.kmz", zipped(t, files, "doc.kml")}, {"lots.zip", zipped(t, files, "doc.kml")},
	} {
		props, list := intake.Read(c.name, c.data, intake.Options{})
		if len(props) != 1 || list.HasErrors() {
			t.Errorf("%s: %d properties: %v", c.name, len(props), list)
			continue
		}
		s := geo.Measure(props[0], geo.MeasureOptions{})
		if d := float64(s.NetArea - want.NetArea); math.Abs(d) > 1e-6 || s.Problems.HasErrors() {
			t.Errorf("%s: %.6f m2, want %.6f: %v", c.name, s.NetArea, want.NetArea, s.Problems)
		}
	}
}
