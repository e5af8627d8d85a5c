package gpkg_test

import (
	"bytes"
	"database/sql"
	"encoding/binary"
	"fmt"
	"io"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/twpayne/go-geom"
	"github.com/twpayne/go-geom/encoding/wkb"
	"github.com/twpayne/go-geom/encoding/wkbcommon"

	"tankful/calc/problem"
	"tankful/geo/intake/gpkg"
	"tankful/geo/intake/raw"
)

// tables are those that every GeoPackage has (GeoPackage Encoding Standard, OGC 12-128, annex C), as far as a reader asks for them.
const tables = `
CREATE TABLE gpkg_spatial_ref_sys (srs_name TEXT NOT NULL, srs_id INTEGER NOT NULL PRIMARY KEY, organization TEXT NOT NULL,
	organization_coordsys_id INTEGER NOT NULL, definition TEXT NOT NULL, description TEXT);
CREATE TABLE gpkg_contents (table_name TEXT NOT NULL PRIMARY KEY, data_type TEXT NOT NULL, identifier TEXT UNIQUE, description TEXT DEFAULT '',
	last_change DATETIME NOT NULL DEFAULT (strftime('%Y-%m-%dT%H:%M:%fZ','now')), min_x DOUBLE, min_y DOUBLE, max_x DOUBLE, max_y DOUBLE, srs_id INTEGER);
CREATE TABLE gpkg_geometry_columns (table_name TEXT NOT NULL, column_name TEXT NOT NULL, geometry_type_name TEXT NOT NULL, srs_id INTEGER NOT NULL,
	z TINYINT NOT NULL, m TINYINT NOT NULL);
INSERT INTO gpkg_spatial_ref_sys VALUES ('WGS 84', 4326, 'EPSG', 4326, 'GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]]', ''),
	('UTM 24N', 32624, 'EPSG', 32624, 'undefined', ''), ('no code', 900001, 'NONE', 1,
	'PROJCS["x",GEOGCS["WGS 84",DATUM["WGS_1984",SPHEROID["WGS 84",6378137,298.257223563]],PRIMEM["Greenwich",0],UNIT["degree",0.0174532925199433]],PROJECTION["Transverse_Mercator"],PARAMETER["latitude_of_origin",0],PARAMETER["central_meridian",-39],PARAMETER["scale_factor",0.9996],PARAMETER["false_easting",500000],PARAMETER["false_northing",0],UNIT["metre",1]]', ''),
	('undefined', -1, 'NONE', -1, 'undefined', ''), ('odd', 31370, 'EPSG', 31370, 'undefined', '');
`

// layer is the SQL of one layer.
func layer(table, kind string, srs int) string {
	return fmt.Sprintf(`CREATE TABLE "%[4]s" (fid INTEGER PRIMARY KEY AUTOINCREMENT, geom BLOB, "Surface" TEXT, name TEXT, n REAL, photo BLOB);
INSERT INTO gpkg_contents (table_name, data_type, srs_id, min_x, min_y, max_x, max_y) VALUES ('%[1]s', 'features', %[3]d, -42, 38, -41, 39);
INSERT INTO gpkg_geometry_columns VALUES ('%[1]s', 'geom', '%[2]s', %[3]d, 0, 0);`, table, kind, srs, strings.ReplaceAll(table, `"`, `""`))
}

// blob is a geometry with the head of a GeoPackage, little endian, without a box.
func blob(t testing.TB, g geom.T) []byte {
	t.Helper()
	b, err := wkb.Marshal(g, binary.LittleEndian, wkbcommon.WKBOptionEmptyPointHandling(wkbcommon.EmptyPointHandlingNaN))
	if err != nil {
		t.Fatal(err)
	}
	return append([]byte{'G', 'P', 0, 1, 0xe6, 0x10, 0, 0}, b...)
}

func square(x, y, size float64) *geom.Polygon {
	return geom.NewPolygonFlat(geom.XY, []float64{x, y, x + size, y, x + size, y + size, x, y + size, x, y}, []int{10})
}

// made is the bytes of a GeoPackage.
func made(t testing.TB, statements ...any) []byte {
	t.Helper()
	path := filepath.Join(t.TempDir(), "made.gpkg")
	db, err := sql.Open("sqlite", path)
	if err != nil {
		t.Fatal(err)
	}
	for i := 0; i < len(statements); i++ {
		var args []any
		for i+1+len(args) < len(statements) {
			b, ok := statements[i+1+len(args)].([]byte)
			if !ok {
				break
			}
			args = append(args, b)
		}
		if _, err := db.Exec(statements[i].(string), args...); err != nil {
			t.Fatal(err)
		}
		i += len(args)
	}
	if err := db.Close(); err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

func open(data []byte) (raw.Source, problem.List) {
	return gpkg.Open(raw.Input{Name: "lots.gpkg", Data: bytes.NewReader(data), Size: int64(len(data))})
}

// all reads a file whole.
func all(t testing.TB, data []byte) (features []*raw.Feature, list problem.List) {
	t.Helper()
	s, list := open(data)
	if s == nil {
		return nil, list
	}
	defer s.(io.Closer).Close()
	last := int64(-1)
	list = append(list, s.Scan(func(handle int64, f *raw.Feature) bool {
		whole := s.Load(handle)
		if handle <= last || whole.Where != f.Where || whole.Ground != f.Ground {
			t.Errorf("handle %d after %d: %q (ground %v), scanned as %q (%v)", handle, last, whole.Where, whole.Ground, f.Where, f.Ground)
		}
		last = handle
		features = append(features, whole)
		return true
	})...)
	return features, list
}

func TestLayers(t *testing.T) {
	insert := func(table string) string {
		return fmt.Sprintf(`INSERT INTO "%s" (geom, "Surface", name, n, photo) VALUES (?, 'bed', 'Back "bed"', 2.5, x'00ff')`, table)
	}
	withZ := geom.NewPolygonFlat(geom.XYZM, []float64{-41, 38, 10, 1, -40.999, 38, 20, 2, -41, 38.001, 30, 3, -41, 38, 10, 1}, []int{16})
	features, list := all(t, made(t, tables,
		layer(`lawns "and" beds`, "POLYGON", 4326), layer("paths", "LINESTRING", 4326), layer("utm", "MULTIPOLYGON", 32624), layer("coded", "GEOMETRY", 900001),
		insert(`lawns ""and"" beds`), blob(t, square(-41.25, 38.5, 0.125)),
		insert(`lawns ""and"" beds`), blob(t, withZ),
		`INSERT INTO "lawns ""and"" beds" (geom, name) VALUES (NULL, NULL)`,
		insert(`lawns ""and"" beds`), blob(t, geom.NewPolygon(geom.XY)),
		insert("paths"), blob(t, geom.NewLineStringFlat(geom.XY, []float64{-41, 38, -41, 38.001})),
		insert("utm"), blob(t, mustPush(square(500000, 4261000, 100), square(500200, 4261000, 100))),
		insert("coded"), blob(t, square(500000, 4261000, 100)),
		insert("coded"), blob(t, geom.NewPointFlat(geom.XY, []float64{500000, 4261000})),
	))
	if list.HasErrors() || len(features) != 8 {
		t.Fatalf("%d features: %v", len(features), list)
	}
	first := features[0]
	if len(first.Areas) != 1 || len(first.Areas[0][0]) != 5 || first.Decimals != 3 || !first.Ground || first.ID != "1" ||
		first.Members.Text("surface") != "bed" || first.Members.Text("n") != "2.5" || first.Members.Text("layer") != `lawns "and" beds` || first.Members.Text("photo") != "" ||
		first.Where != `lots.gpkg: layer lawns "and" beds, feature 1 (Back "bed")` {
		t.Errorf("first: %+v", first)
	}
	if h := features[1].Heights; h.Count != 4 || h.Sum != 70 {
		t.Errorf("heights %+v, want 4 of 70 m in all", h)
	}
	for _, i := range []int{2, 3} {
		if f := features[i]; len(f.Areas) > 0 || f.Broken || len(f.Problems) != 1 || f.Problems[0].Code != "no-geometry" {
			t.Errorf("feature %d without a shape: %+v", i, f)
		}
	}
	if f := features[4]; len(f.Lines) != 1 || f.Ground {
		t.Errorf("line: %+v", f)
	}
	// The central meridian of UTM zone 24 is 39 W (EPSG Guidance Note 7-2).
	for _, i := range []int{5, 6} {
		if f := features[i]; len(f.Areas) == 0 || math.Abs(f.Areas[0][0][0].Lon()+39) > 1e-9 || math.Abs(f.Areas[0][0][0].Lat()-38.5) > 0.02 || f.Step != 1 || f.Decimals != 0 {
			t.Errorf("projected: %+v", f)
		}
	}
	if f := features[7]; len(f.Points) != 1 || f.Ground {
		t.Errorf("point: %+v", f)
	}
}

func mustPush(parts ...*geom.Polygon) *geom.MultiPolygon {
	mp := geom.NewMultiPolygon(geom.XY)
	for _, p := range parts {
		if err := mp.Push(p); err != nil {
			panic(err)
		}
	}
	return mp
}

// What is wrong is told, and the rest is read.
func TestProblems(t *testing.T) {
	good := made(t, tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, blob(t, square(-41.2, 38.5, 0.001)))
	wal := bytes.Clone(good)
	for _, c := range []struct {
		name string
		data []byte
		want string
	}{
		{"good", good, ""},
		{"empty", nil, "not-a-geopackage"},
		{"text", []byte(strings.Repeat("hello ", 50)), "not-a-geopackage"},
		{"cut short", good[:len(good)-1000], "file-cut-short"},
		{"only a head", good[:100], "file-cut-short"},
		{"another database", made(t, "CREATE TABLE a (b)"), "not-a-geopackage"},
		{"no layer", made(t, tables), "no-layers"},
		{"a view", made(t, tables, layer("lawns", "POLYGON", 4326), "DROP TABLE lawns", "CREATE VIEW lawns AS SELECT 1 AS fid, x'00' AS geom"), "layer-unreadable"},
		{"a table that is not there", made(t, tables, layer("lawns", "POLYGON", 4326), "DROP TABLE lawns"), "layer-unreadable"},
		{"no such column", made(t, tables, layer("lawns", "POLYGON", 4326), "UPDATE gpkg_geometry_columns SET column_name = 'shape'"), "layer-unreadable"},
		{"a layer without a geometry column", made(t, tables, layer("lawns", "POLYGON", 4326), layer("beds", "POLYGON", 4326), "DELETE FROM gpkg_geometry_columns WHERE table_name = 'beds'"), "layer-unreadable"},
		{"names in other letters", made(t, tables, layer("lawns", "POLYGON", 4326), "UPDATE gpkg_geometry_columns SET table_name = 'Lawns'", "UPDATE gpkg_contents SET table_name = 'LAWNS'"), ""},
		{"a geometry that is computed", made(t, tables, `CREATE TABLE lawns (fid INTEGER PRIMARY KEY, n, geom BLOB AS (zeroblob(900000000)))`,
			`INSERT INTO lawns (n) VALUES (1)`, `INSERT INTO gpkg_contents (table_name, data_type, srs_id) VALUES ('lawns', 'features', 4326)`,
			`INSERT INTO gpkg_geometry_columns VALUES ('lawns', 'geom', 'POLYGON', 4326, 0, 0)`), "layer-unreadable"},
		{"a list without end", made(t, tables, layer("lawns", "POLYGON", 4326), "DROP TABLE gpkg_geometry_columns",
			`CREATE VIEW gpkg_geometry_columns AS WITH RECURSIVE x(n) AS (SELECT 1 UNION ALL SELECT n + 1 FROM x)
			SELECT 'no' || n AS table_name, 'geom' AS column_name, 'POLYGON' AS geometry_type_name, 4326 AS srs_id, 0 AS z, 0 AS m FROM x`), "not-a-geopackage"},
		{"the same page again", samePage(t), "layer-unreadable"},
		{"an unknown system", made(t, tables, layer("lawns", "POLYGON", 31370)), "other-crs"},
		{"no system", made(t, tables, layer("lawns", "POLYGON", 0)), "no-prj"},
		{"a plane of its own", made(t, tables, layer("lawns", "POLYGON", -1)), "no-prj"},
		{"a log of changes", made(t, "PRAGMA journal_mode = wal", tables, layer("lawns", "POLYGON", 4326)), "changes-may-lack"},
		{"no system, far away", made(t, tables, layer("lawns", "POLYGON", 0), "UPDATE gpkg_contents SET max_x = 500000"), "no-prj"},
		{"not a geometry", made(t, tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, []byte("rubbish")), "not-a-geometry"},
		{"cut geometry", made(t, tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, blob(t, square(0, 0, 1))[:40]), "not-a-geometry"},
		{"a curve", made(t, tables, layer("lawns", "CURVEPOLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, []byte("GP\x00\x01\xe6\x10\x00\x00\x01\x0a\x00\x00\x00\x00\x00\x00\x00")), "not-a-geometry"},
		{"too many corners", made(t, tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, []byte("GP\x00\x01\xe6\x10\x00\x00\x01\x03\x00\x00\x00\xff\xff\xff\x7f")), "not-a-geometry"},
		{"not a number", made(t, tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, blob(t, square(math.Inf(1), 0, 1))), "coordinate-not-a-number"},
	} {
		features, list := all(t, c.data)
		for _, f := range features {
			if list = append(list, f.Problems...); f.Problems.HasErrors() != f.Broken {
				t.Errorf("%s: broken %v with %v", c.name, f.Broken, f.Problems)
			}
		}
		got := ""
		if len(list) > 0 {
			got = list[0].Code
		}
		if got != c.want {
			t.Errorf("%s: got %q, want %q: %v", c.name, got, c.want, list)
		}
	}
	s, list := gpkg.Open(raw.Input{Name: "lots.gpkg", Data: bytes.NewReader(wal), Size: int64(len(wal)), Beside: func(ending string) ([]byte, error) {
		if ending == ".gpkg-wal" {
			return []byte("changes"), nil
		}
		return nil, fs.ErrNotExist
	}})
	if s != nil || len(list) != 1 || list[0].Code != "file-in-use" {
		t.Errorf("changes outside the file: %v", list)
	}
}

// samePage is a GeoPackage whose branch pages all point to their first child (SQLite, Database File Format, section 1.6: kind 5 at
// byte 0 of a page, the number of cells at 3, the last child at 8, the places of the cells from 12 on; a cell begins with its child).
func samePage(t testing.TB) []byte {
	statements := []any{"PRAGMA page_size = 512", tables, layer("lawns", "POLYGON", 4326)}
	for range 300 {
		statements = append(statements, `INSERT INTO lawns (geom) VALUES (?)`, blob(t, square(-41.2, 38.5, 0.001)))
	}
	data := made(t, statements...)
	for p := 512; p < len(data); p += 512 {
		if data[p] != 5 {
			continue
		}
		cell := func(i int) []byte { return data[p+int(binary.BigEndian.Uint16(data[p+12+2*i:])):] }
		child := binary.BigEndian.Uint32(cell(0))
		for i := range int(binary.BigEndian.Uint16(data[p+3:])) {
			binary.BigEndian.PutUint32(cell(i), child)
		}
		binary.BigEndian.PutUint32(data[p+8:], child)
	}
	return data
}

// Several goroutines read at once.
func TestLoadTogether(t *testing.T) {
	statements := []any{tables, layer("lawns", "POLYGON", 4326)}
	for i := range 200 {
		statements = append(statements, `INSERT INTO lawns (geom) VALUES (?)`, blob(t, square(-41+0.01*float64(i), 38.5, 0.001)))
	}
	s, list := open(made(t, statements...))
	if list.HasErrors() {
		t.Fatal(list)
	}
	defer s.(io.Closer).Close()
	var handles []int64
	s.Scan(func(h int64, _ *raw.Feature) bool { handles = append(handles, h); return true })
	var wg sync.WaitGroup
	for range 4 {
		wg.Go(func() {
			for i, h := range handles {
				if f := s.Load(h); len(f.Areas) != 1 || math.Abs(f.Areas[0][0][0][0]-(-41+0.01*float64(i))) > 1e-12 {
					t.Errorf("feature %d: %+v", i, f)
				}
			}
		})
	}
	wg.Wait()
}

func FuzzBlob(f *testing.F) {
	f.Add(blob(f, square(0, 1, 2))[8:], byte(1))
	f.Add(blob(f, mustPush(square(0, 1, 2), square(5, 1, 2)))[8:], byte(1))
	f.Add([]byte("\x01\x07\x00\x00\x00\x02\x00\x00\x00\x01\x01\x00\x00\x00"), byte(0x11))
	f.Add(bytes.Repeat([]byte("\x01\x07\x00\x00\x00\x01\x00\x00\x00"), 100), byte(3))
	f.Fuzz(func(t *testing.T, data []byte, flags byte) {
		checkShape(t, gpkg.Shape(append([]byte{'G', 'P', 0, flags, 0, 0, 0, 0}, data...)))
	})
}

func FuzzOpen(f *testing.F) {
	good := made(f, "PRAGMA page_size = 512", tables, layer("lawns", "POLYGON", 4326), `INSERT INTO lawns (geom) VALUES (?)`, blob(f, square(-41.2, 38.5, 0.001)))
	f.Add(good, uint32(0), []byte{})
	f.Add(good, uint32(100), []byte{1, 2, 3})
	f.Fuzz(func(t *testing.T, data []byte, at uint32, patch []byte) {
		if len(patch) > 0 && len(data) > 0 { // bytes changed inside a sound file find more than whole new files
			data = bytes.Clone(data)
			copy(data[int(at)%len(data):], patch)
		}
		if len(data) > 1<<20 {
			return
		}
		s, list := open(data)
		if s == nil {
			if !list.HasErrors() {
				t.Error("refused without a word")
			}
			return
		}
		defer s.(io.Closer).Close()
		n := 0
		s.Scan(func(handle int64, _ *raw.Feature) bool {
			checkShape(t, s.Load(handle))
			n++
			return n < 1000
		})
	})
}

func checkShape(t *testing.T, f *raw.Feature) {
	t.Helper()
	if f.Broken && !f.Problems.HasErrors() {
		t.Error("broken without a word")
	}
	for _, p := range f.Areas {
		for _, r := range p {
			for _, c := range r {
				if math.IsNaN(c[0]) || math.IsInf(c[0], 0) || math.IsNaN(c[1]) || math.IsInf(c[1], 0) {
					t.Errorf("corner %v", c)
				}
			}
		}
	}
}
