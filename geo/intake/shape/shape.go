// Package shape reads ESRI shapefiles: a bare .shp with its companions beside it, or a zip archive
// with one or several of them.
//
// It knows the layout of the main file (Esri, "ESRI Shapefile Technical Description", white paper, July 1998),
// the table of dBASE III and IV, code pages, and how a flat list of rings becomes polygons with holes. A bare
// .shp of any size is read record by record; archives are expanded in memory up to a bound. The table beside
// a bare .shp is held whole. It leaves out MultiPatch (refused record by record), memo files, measures (M) and
// the indices (.shx, .sbn): records are taken in the order of the main file.
package shape

import (
	"encoding/binary"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// headerSize is the length of the main file's header, bytes (white paper, page 3).
const headerSize = 100

// largest is the length up to which handles can address records, bytes: the header counts in 16-bit words, 32 bits of them.
const largest = 1 << 33

// source is one or several shapefiles, opened.
type source struct {
	layers []*layer
	zipped bool
}

// Open reads the headers, tables and coordinate systems. Features whose row is marked deleted in the
// table are skipped with a note: programs that edit shapefiles delete so, and do not show such rows again.
func Open(in raw.Input) (raw.Source, problem.List) {
	var ps problem.List
	s := &source{}
	var bundles []bundle
	start := make([]byte, 4)
	if n, _ := in.Data.ReadAt(start, 0); n == 4 && string(start[:2]) == "PK" {
		s.zipped = true
		bundles = unzip(in, &ps)
	} else {
		bundles = []bundle{bare(in)}
	}
	said := map[string]bool{}
	for _, b := range bundles {
		if l := openLayer(b, in.CRS, said, &ps); l != nil {
			s.layers = append(s.layers, l)
		}
	}
	if ps.HasErrors() {
		return nil, ps
	}
	return s, ps
}

// bare is a .shp that was brought by itself; its companions may be spelled in capitals.
func bare(in raw.Input) bundle {
	name := path.Base(strings.ReplaceAll(in.Name, `\`, "/"))
	return bundle{
		where: in.Name, name: strings.TrimSuffix(name, path.Ext(name)), shp: in.Data, size: in.Size,
		beside: func(ending string) ([]byte, error) {
			if in.Beside == nil {
				return nil, fs.ErrNotExist
			}
			data, err := in.Beside(ending)
			if errors.Is(err, fs.ErrNotExist) {
				data, err = in.Beside(strings.ToUpper(ending))
			}
			return data, err
		},
	}
}

// openLayer reads everything of one shapefile but its records; nil when it can not be used.
func openLayer(b bundle, user *crs.CRS, said map[string]bool, ps *problem.List) *layer {
	l := &layer{bundle: b}
	head := make([]byte, headerSize)
	n, _ := b.shp.ReadAt(head, 0) // a failure shows as a header that is not there
	if n < headerSize || binary.BigEndian.Uint32(head) != 9994 {
		ps.Errorf("not-a-shapefile", b.where, "Export the shapefile again.", "the file does not begin like the main file (.shp) of a shapefile")
		return nil
	}
	if b.size > largest {
		ps.Errorf("file-too-long", b.where, "Split the shapefile.", "the file has %d bytes; a shapefile can have at most %d", b.size, int64(largest))
		return nil
	}
	l.declared = 2 * int64(binary.BigEndian.Uint32(head[24:]))
	if l.declared < headerSize { // some writers never fill it in
		l.declared = b.size
	}
	if l.declared > b.size {
		ps.Errorf("file-cut-short", b.where, "Copy or export the shapefile again.", "the file has %d bytes and its header says %d", b.size, l.declared)
		return nil
	}
	switch kind := binary.LittleEndian.Uint32(head[32:]); {
	case kind%10 == typePolygon && kind < typeMultiPatch, kind == typeMultiPatch:
		l.areas = true
	}
	var box [4]float64
	for i := range box {
		box[i] = math.Float64frombits(binary.LittleEndian.Uint64(head[36+8*i:]))
	}
	ok := l.place(user, box, said, ps)
	defer func() { l.beside = nil }()
	data, err := companion(b, ".dbf", ps)
	if err != nil {
		return nil
	}
	if data == nil {
		ps.Warnf("no-dbf", b.where, "Bring the .dbf file along.", "there is no table (.dbf), so nothing is known of the features but their shapes")
		return keep(l, ok)
	}
	cpg, err := companion(b, ".cpg", ps)
	if err != nil {
		return nil
	}
	l.table = readTable(data, cpg, strings.TrimSuffix(b.where, path.Ext(b.where))+".dbf", ps)
	return keep(l, ok && l.table != nil)
}

func keep(l *layer, ok bool) *layer {
	if !ok {
		return nil
	}
	return l
}

// companion is a file beside the .shp, nil when there is none.
func companion(b bundle, ending string, ps *problem.List) ([]byte, error) {
	data, err := b.beside(ending)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		report(err, strings.TrimSuffix(b.where, path.Ext(b.where))+ending, ps)
	}
	return data, err
}

// report adds a fault, or a failure to read, that keeps a whole file from use.
func report(err error, where string, ps *problem.List) {
	var bad *raw.Fault
	if errors.As(err, &bad) {
		ps.Errorf(bad.Code, where, bad.Fix, "%s", bad.What)
		return
	}
	ps.Errorf("file-unreadable", where, "Make the file readable.", "the file can not be read: %v", err)
}

// place finds the coordinate reference system.
func (l *layer) place(user *crs.CRS, box [4]float64, said map[string]bool, ps *problem.List) bool {
	l.crs = user
	if user == nil {
		data, err := companion(l.bundle, ".prj", ps)
		if err != nil {
			return false
		}
		text := strings.Trim(string(raw.UTF8(data)), " \t\r\n\x00")
		if text == "" {
			return l.placeWithout(box, ps)
		}
		if l.crs, err = crs.Parse(text); err != nil {
			ps.Errorf("other-crs", l.where, "Name the system with --crs, or export the outlines in longitude and latitude, WGS 84 (EPSG:4326).",
				"the coordinate system of its .prj file can not be used: %v (%s)", err, raw.Clip(text))
			return false
		}
	}
	if note := l.crs.Note(); note != "" && !said[note] {
		said[note] = true
		ps.Notef("datum-note", l.where, "Nothing needs doing.", "%s", note)
	}
	return true
}

// placeWithout takes a shapefile without a .prj.
func (l *layer) placeWithout(box [4]float64, ps *problem.List) bool {
	if box != [4]float64{} { // a header that was never filled in has no box
		if err := raw.WithoutCRS(box); err != nil {
			report(err, l.where, ps)
			return false
		}
	}
	ps.Warnf("no-prj", l.where, "Bring the .prj file along, or name the system with --crs.",
		"there is no .prj file; the coordinates are taken as longitude and latitude, WGS 84")
	return true
}

// Scan visits the features, without shapes, shapefile by shapefile. Rows marked deleted are left out.
func (s *source) Scan(visit func(handle int64, f *raw.Feature) bool) problem.List {
	var ps problem.List
	for i, l := range s.layers {
		if !l.scan(&ps, func(r record) bool { return visit(s.pack(i, r), l.feature(r)) }) {
			break
		}
	}
	return ps
}

// Load reads one record.
func (s *source) Load(handle int64) *raw.Feature {
	i, r := s.unpack(handle)
	return s.layers[i].load(r)
}

// A handle holds the place of a record, so that nothing need be kept of them: of a bare file the offset in words (32 bits)
// and the number (31 bits: a record has at least 8 bytes); of an archive, which is bounded by maxExpanded, offset (28), number (26), shapefile (9).
func (s *source) pack(layer int, r record) int64 {
	if s.zipped {
		return int64(layer)<<54 | int64(r.index)<<28 | r.offset/2
	}
	return int64(r.index)<<32 | r.offset/2
}

func (s *source) unpack(handle int64) (layer int, r record) {
	if s.zipped {
		return int(handle >> 54), record{index: int(handle >> 28 & (1<<26 - 1)), offset: 2 * (handle & (1<<28 - 1))}
	}
	return 0, record{index: int(handle >> 32), offset: 2 * (handle & (1<<32 - 1))}
}

// feature is a record without its shape.
func (l *layer) feature(r record) *raw.Feature {
	f := &raw.Feature{Where: fmt.Sprintf("%s: record %d", l.where, r.index+1), Ground: l.areas}
	if l.table != nil {
		f.Members = l.table.row(r.index)
	}
	for _, m := range f.Members {
		if strings.EqualFold(m.Key, "name") && m.Value != "" {
			f.Where += " (" + raw.Clip(m.Value) + ")"
			break
		}
	}
	f.Members = append(f.Members, raw.Member{Key: "layer", Value: l.name})
	return f
}
