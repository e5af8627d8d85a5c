// Package gpkg reads the feature layers of a GeoPackage (OGC 12-128r19, GeoPackage Encoding Standard 1.4, 2024;
// versions 1.2 and 1.3 read the same).
//
// It knows the tables that say what a file holds, coordinate systems, the head of a geometry and well-known
// binary. It leaves out tiles, extensions, views and curves: what of them could be ground is told. The file is
// read page by page through the bytes that the caller hands over; no path is opened, nothing is written.
package gpkg

import (
	"database/sql"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"slices"
	"strconv"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"
	"modernc.org/sqlite/vfs"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// Bounds on what is read.
const (
	// mostLayers is how many feature layers are read.
	mostLayers = 500
	// mostText is how much of one column's text is kept, bytes.
	mostText = 1 << 14
	// mostColumns is how many columns of a layer are read.
	mostColumns = 500
)

// headerSize is the length of the head of an SQLite file (SQLite, Database File Format, section 1.3).
const headerSize = 100

const again = "Copy or export the GeoPackage again."

// source is an opened file. It keeps 8 bytes a feature.
type source struct {
	name   string
	size   int64
	db     *sql.DB
	vfs    *vfs.FS
	layers []*layer
}

// layer is one table of features.
type layer struct {
	table, geometry string
	columns         []string // the others that are read
	where           string
	crs             *crs.CRS // nil for lon/lat degrees
	areas           bool     // its geometries are areas, as the file says
	rows            []int64
	load            *sql.Stmt
}

// Open finds the layers.
func Open(in raw.Input) (raw.Source, problem.List) {
	var list problem.List
	head := make([]byte, headerSize)
	if n, _ := in.Data.ReadAt(head, 0); n < headerSize || string(head[:16]) != "SQLite format 3\x00" {
		list.Errorf("not-a-geopackage", in.Name, again, "the file does not begin like a GeoPackage")
		return nil, list
	}
	if pages := int64(binary.BigEndian.Uint32(head[28:])) * pageSize(head); pages > in.Size {
		list.Errorf("file-cut-short", in.Name, again, "the file has %d bytes and its head says %d", in.Size, pages)
		return nil, list
	}
	if pending(in) {
		list.Errorf("file-in-use", in.Name, "Close the program that has it open and try again.", "changes to the GeoPackage are still in a file of their own (-wal)")
		return nil, list
	}
	if head[18] == 2 || head[19] == 2 { // write-ahead log (SQLite, Database File Format, section 1.3.3)
		list.Warnf("changes-may-lack", in.Name, "Close the program that made it before copying it.",
			"the GeoPackage keeps its last changes in a file of their own (-wal), which is not here; what lacks can not be told")
	}
	s := &source{name: in.Name, size: in.Size}
	id, files, err := vfs.New(&oneFile{in})
	if err == nil {
		s.vfs = files
		s.db, err = sql.Open("sqlite", "file:"+fileName+"?vfs="+id+"&immutable=1&mode=ro&_pragma=trusted_schema(0)&_pragma=query_only(1)&_pragma=cell_size_check(1)&_pragma=mmap_size(0)")
	}
	if err == nil {
		err = s.findLayers(in.CRS, &list)
	}
	if err != nil {
		list.Errorf("not-a-geopackage", in.Name, again, "the tables can not be read: %v", err)
	}
	if list.HasErrors() {
		_ = s.Close()
		return nil, list
	}
	return s, list
}

func pageSize(head []byte) int64 {
	if n := int64(binary.BigEndian.Uint16(head[16:])); n != 1 {
		return n
	}
	return 1 << 16
}

// pending reports whether a log of changes lies beside the file.
func pending(in raw.Input) bool {
	if in.Beside == nil {
		return false
	}
	data, err := in.Beside(path.Ext(in.Name) + "-wal")
	return err == nil && len(data) > 0
}

// Close ends the use of the file.
func (s *source) Close() error {
	var errs []error
	for _, l := range s.layers {
		if l.load != nil {
			errs = append(errs, l.load.Close())
		}
	}
	if s.db != nil {
		errs = append(errs, s.db.Close())
	}
	if s.vfs != nil {
		errs = append(errs, s.vfs.Close())
	}
	return errors.Join(errs...)
}

// fileName is what the database is called inside its own file system.
const fileName = "outlines"

// oneFile is a file system with the caller's bytes as its one file.
type oneFile struct{ in raw.Input }

func (o *oneFile) Open(name string) (fs.File, error) {
	if path.Base(name) != fileName {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &openFile{io.NewSectionReader(o.in.Data, 0, o.in.Size), o.in.Size}, nil
}

type openFile struct {
	*io.SectionReader
	size int64
}

func (f *openFile) Close() error               { return nil }
func (f *openFile) Stat() (fs.FileInfo, error) { return fileInfo{size: f.size}, nil }

// findLayers reads the tables that say what the file holds.
func (s *source) findLayers(user *crs.CRS, list *problem.List) error {
	if err := s.checkTables(); err != nil {
		return err
	}
	rows, err := s.db.Query(`SELECT c.table_name, g.column_name, g.geometry_type_name, c.srs_id, r.organization, r.organization_coordsys_id, r.definition,
		coalesce((SELECT type FROM sqlite_master WHERE name = c.table_name COLLATE NOCASE AND type IN ('table','view')), ''),
		coalesce((SELECT sql FROM sqlite_master WHERE name = c.table_name COLLATE NOCASE AND type IN ('table','view')), ''),
		c.min_x, c.min_y, c.max_x, c.max_y
		FROM gpkg_contents c LEFT JOIN gpkg_geometry_columns g ON g.table_name = c.table_name COLLATE NOCASE
		LEFT JOIN gpkg_spatial_ref_sys r ON r.srs_id = c.srs_id
		WHERE c.data_type = 'features' ORDER BY c.rowid`)
	if err != nil {
		return err
	}
	defer rows.Close()
	said := map[string]bool{}
	for rows.Next() {
		var l layer
		var geometry, kind, org, definition, stored, made sql.NullString
		var srs, code sql.NullInt64
		var box [4]sql.NullFloat64
		if err := rows.Scan(&l.table, &geometry, &kind, &srs, &org, &code, &definition, &stored, &made, &box[0], &box[1], &box[2], &box[3]); err != nil {
			return err
		}
		l.where = fmt.Sprintf("%s: layer %s", s.name, raw.Clip(l.table))
		switch {
		case len(s.layers) >= mostLayers:
			list.Errorf("too-many-layers", s.name, "Export the layers that matter.", "the file has more than %d layers", mostLayers)
			return nil
		case stored.String != "table" || strings.Contains(strings.ToUpper(made.String[:min(len(made.String), 40)]), "VIRTUAL"):
			list.Errorf("layer-unreadable", l.where, "Export the layer as a table of its own.", "the layer is no table of the file but a view, made by a program, or missing")
			continue
		}
		if l.geometry = geometry.String; !geometry.Valid {
			list.Errorf("layer-unreadable", l.where, again, "the layer is listed as one of features, and the file does not say which column has its geometries")
			continue
		}
		name := strings.ToUpper(kind.String)
		l.areas = strings.Contains(name, "POLYGON") || strings.Contains(name, "SURFACE")
		if !l.place(user, srs, org, code, definition, box, said, list) {
			continue
		}
		s.layers = append(s.layers, &l)
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if len(s.layers) == 0 && !list.HasErrors() {
		list.Errorf("no-layers", s.name, "Export the outlines as a layer of features.", "the GeoPackage holds no layer of features")
	}
	for _, l := range s.layers {
		if err := s.columnsOf(l); err != nil {
			list.Errorf("layer-unreadable", l.where, again, "the layer can not be read: %v", err)
		}
	}
	return nil
}

// checkTables holds the tables that are read first against what they could be instead: a view or a table made by a program
// can go on for ever.
func (s *source) checkTables() error {
	rows, err := s.db.Query(`SELECT name, type = 'table' AND substr(upper(sql), 1, 40) NOT LIKE '%VIRTUAL%' FROM sqlite_master
		WHERE lower(name) IN ('gpkg_contents', 'gpkg_geometry_columns', 'gpkg_spatial_ref_sys')`)
	if err != nil {
		return err
	}
	defer rows.Close()
	for rows.Next() {
		var name string
		var plain bool
		if err := rows.Scan(&name, &plain); err != nil {
			return err
		}
		if !plain {
			return fmt.Errorf("%s is no table of the file", name)
		}
	}
	return rows.Err()
}

// columnsOf finds the columns that are stored, but for pictures and the like.
func (s *source) columnsOf(l *layer) error {
	rows, err := s.db.Query(`SELECT name, type, hidden FROM pragma_table_xinfo(?)`, l.table)
	if err != nil {
		return err
	}
	defer rows.Close()
	found := false
	for rows.Next() {
		var name, kind string
		var hidden int
		if err := rows.Scan(&name, &kind, &hidden); err != nil {
			return err
		}
		switch {
		case strings.EqualFold(name, l.geometry):
			found = hidden == 0 // else it is computed
		case hidden == 0 && !strings.Contains(strings.ToUpper(kind), "BLOB") && len(l.columns) < mostColumns:
			l.columns = append(l.columns, name)
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if !found {
		return fmt.Errorf("it has no column %q for its geometries", l.geometry)
	}
	l.load, err = s.db.Prepare(`SELECT ` + l.selected(quoted(l.geometry)) + ` FROM ` + quoted(l.table) + ` WHERE rowid = ?`)
	return err
}

// selected is the geometry and the columns, text cut to what is kept.
func (l *layer) selected(geometry string) string {
	parts := []string{geometry}
	for _, c := range l.columns {
		q := quoted(c)
		parts = append(parts, fmt.Sprintf("CASE typeof(%s) WHEN 'text' THEN substr(%s, 1, %d) WHEN 'blob' THEN NULL ELSE %s END", q, q, mostText, q))
	}
	return strings.Join(parts, ", ")
}

// stored is how many bytes the geometry and the texts take in the file; asking does not read them.
func (l *layer) stored() string {
	parts := []string{`coalesce(octet_length(` + quoted(l.geometry) + `), 0)`}
	for _, c := range l.columns {
		q := quoted(c)
		parts = append(parts, fmt.Sprintf("CASE WHEN typeof(%s) IN ('text', 'blob') THEN octet_length(%s) ELSE 0 END", q, q))
	}
	return strings.Join(parts, " + ")
}

// quoted is a name as SQL writes it.
func quoted(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

// place finds a layer's coordinate reference system.
func (l *layer) place(user *crs.CRS, srs sql.NullInt64, org sql.NullString, code sql.NullInt64, definition sql.NullString, box [4]sql.NullFloat64, said map[string]bool, list *problem.List) bool {
	system := user
	if system == nil {
		switch srs.Int64 { // undefined, by the standard: degrees, or any plane
		case 0:
			return l.placeWithout(box, list)
		case -1:
			list.Errorf("no-prj", l.where, "Name the system with --crs.", "the layer's coordinates are of a plane that the file does not name")
			return false
		}
		var err error
		if system, err = crs.Parse(fmt.Sprintf("%s:%d", strings.ToUpper(org.String), code.Int64)); err != nil {
			var second error
			if system, second = crs.Parse(definition.String); second != nil {
				list.Errorf("other-crs", l.where, "Name the system with --crs, or export the outlines in longitude and latitude, WGS 84 (EPSG:4326).",
					"its coordinate system is %s:%d: %v", raw.Clip(org.String), code.Int64, err)
				return false
			}
		}
	}
	if l.crs = system; system.Geographic() {
		l.crs = nil
	}
	if note := system.Note(); note != "" && !said[note] {
		said[note] = true
		list.Notef("datum-note", l.where, "Nothing needs doing for areas.", "%s", note)
	}
	return true
}

func (l *layer) placeWithout(box [4]sql.NullFloat64, list *problem.List) bool {
	var b [4]float64
	for i, v := range box {
		if !v.Valid {
			list.Errorf("no-prj", l.where, "Name the system with --crs.", "the layer names no coordinate system and does not say where it lies")
			return false
		}
		b[i] = v.Float64
	}
	if err := raw.WithoutCRS(b); err != nil {
		list.Errorf("no-prj", l.where, "Name the system with --crs.", "the layer names no coordinate system: %v", err)
		return false
	}
	list.Warnf("no-prj", l.where, "Name the system with --crs.", "the layer names no coordinate system; its coordinates are taken as longitude and latitude, WGS 84")
	return true
}

// layerBits is how far up in a handle the layer stands; below it is the number of the feature in its layer.
const layerBits = 40

// Scan visits the features of every layer in the order of their ids.
func (s *source) Scan(visit func(handle int64, f *raw.Feature) bool) problem.List {
	var list problem.List
	for i, l := range s.layers {
		more, err := s.scanLayer(i, visit)
		if err != nil {
			list.Errorf("layer-unreadable", l.where, again, "the layer can not be read to its end: %v", err)
		}
		if !more {
			break
		}
	}
	return list
}

func (s *source) scanLayer(i int, visit func(handle int64, f *raw.Feature) bool) (more bool, err error) {
	l := s.layers[i]
	l.rows = l.rows[:0]
	rows, err := s.db.Query(`SELECT ` + l.selected(`substr(`+quoted(l.geometry)+`, 1, 96)`) + `, ` + l.stored() + `, rowid FROM ` + quoted(l.table) + ` ORDER BY rowid`)
	if err != nil {
		return true, err
	}
	defer rows.Close()
	left := s.size
	for rows.Next() {
		var row, length int64
		blob, values, err := l.values(func(to ...any) error { return rows.Scan(append(to, &length, &row)...) })
		if err != nil {
			return true, err
		}
		// Pages that several others point to bring the same features over and over, or more bytes than there are.
		if n := len(l.rows); n > 0 && row <= l.rows[n-1] {
			return true, fmt.Errorf("feature %d follows feature %d; its pages are mixed up", row, l.rows[n-1])
		}
		if left -= length; left < 0 {
			return true, fmt.Errorf("its features up to %d have more bytes than the file; its pages are mixed up", row)
		}
		l.rows = append(l.rows, row)
		f := l.feature(row, values)
		f.Ground = isGround(blob, l.areas)
		if !visit(int64(i)<<layerBits|int64(len(l.rows)-1), f) {
			return false, nil
		}
	}
	return true, rows.Err()
}

// values reads a row: the geometry and the columns as text.
func (l *layer) values(scan func(to ...any) error) (blob []byte, values []string, err error) {
	cells := make([]any, 1+len(l.columns))
	to := make([]any, len(cells))
	for i := range cells {
		to[i] = &cells[i]
	}
	if err := scan(to...); err != nil {
		return nil, nil, err
	}
	values = make([]string, len(l.columns))
	for i, v := range cells[1:] {
		switch x := v.(type) {
		case nil:
		case string:
			values[i] = strings.ToValidUTF8(x, "\ufffd")
		case []byte:
			values[i] = strings.ToValidUTF8(string(x), "\ufffd")
		case float64:
			values[i] = strconv.FormatFloat(x, 'f', -1, 64)
		default:
			values[i] = fmt.Sprint(x)
		}
	}
	switch x := cells[0].(type) {
	case []byte:
		blob = x
	case string:
		blob = []byte(x)
	}
	return blob, values, nil
}

// feature is a row without its shape.
func (l *layer) feature(row int64, values []string) *raw.Feature {
	f := &raw.Feature{ID: strconv.FormatInt(row, 10), Where: fmt.Sprintf("%s, feature %d", l.where, row)}
	for i, c := range l.columns {
		f.Members = append(f.Members, raw.Member{Key: c, Value: values[i]})
	}
	if k := slices.IndexFunc(f.Members, func(m raw.Member) bool { return strings.EqualFold(m.Key, "name") && m.Value != "" }); k >= 0 {
		f.Where += " (" + raw.Clip(f.Members[k].Value) + ")"
	}
	f.Members = append(f.Members, raw.Member{Key: "layer", Value: l.table})
	return f
}

// Load reads one feature.
func (s *source) Load(handle int64) *raw.Feature {
	l := s.layers[handle>>layerBits]
	row := l.rows[handle&(1<<layerBits-1)]
	blob, values, err := l.values(func(to ...any) error { return l.load.QueryRow(row).Scan(to...) })
	if err != nil {
		f := &raw.Feature{Where: fmt.Sprintf("%s, feature %d", l.where, row), Ground: true}
		f.Break(raw.Faultf("layer-unreadable", again, "the feature can not be read: %v", err))
		return f
	}
	f := l.feature(row, values)
	f.Ground = isGround(blob, l.areas)
	if len(blob) == 0 {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the feature has no geometry and counts for nothing")
		return f
	}
	c := &raw.Corners{CRS: l.crs}
	if err := readBlob(blob, c, f); err != nil {
		f.Break(err)
		return f
	}
	if c.Finish(f); !f.HasShapes() {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the feature's geometry is empty and counts for nothing")
	}
	return f
}
