package shape

import (
	"encoding/binary"
	"fmt"
	"io"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/crs"
	"tankful/geo/intake/raw"
)

// maxRecord is the longest record that is read, bytes: four million corners.
const maxRecord = 64 << 20

// bundle is a .shp with what lies beside it.
type bundle struct {
	// where is how the user knows it; name is its own name without ending.
	where, name string
	shp         io.ReaderAt
	size        int64
	beside      func(ending string) ([]byte, error)
}

// layer is one shapefile.
type layer struct {
	bundle
	// declared is the length by the header, at most size.
	declared int64
	// areas says that its shapes are areas, by the header.
	areas bool
	// table is nil without a .dbf, crs nil for lon/lat degrees.
	table *table
	crs   *crs.CRS
}

// record is the place of one record: its index from 0, and the offset of its header.
type record struct {
	index  int
	offset int64
}

// window reads short pieces of a file in rising order without a system call for each.
type window struct {
	data  io.ReaderAt
	start int64
	buf   []byte
	back  [64 << 10]byte
}

// at is n bytes from pos on, fewer at the end of the file.
func (w *window) at(pos int64, n int) ([]byte, error) {
	if pos < w.start || pos+int64(n) > w.start+int64(len(w.buf)) {
		k, err := w.data.ReadAt(w.back[:], pos)
		if err != nil && err != io.EOF {
			return nil, err
		}
		w.start, w.buf = pos, w.back[:k]
	}
	rest := w.buf[pos-w.start:]
	return rest[:min(n, len(rest))], nil
}

// tally is what a scan notices of the file as a whole.
type tally struct {
	records, misnumbered int
	deleted              []string
	deletedCount         int
}

// scan walks from record header to record header. It returns false when visit did.
func (l *layer) scan(ps *problem.List, visit func(record) bool) bool {
	w := &window{data: l.shp}
	var t tally
	first := int64(0)
	for pos := int64(headerSize); pos < l.size; t.records++ {
		head, err := w.at(pos, 8)
		if err != nil {
			ps.Errorf("file-unreadable", l.where, "Copy the file again.", "the file can not be read at byte %d: %v", pos, err)
			return true
		}
		number, content, ok := recordHead(head, l.size-pos)
		if t.records == 0 {
			first = number
		}
		if pos >= l.declared && (!ok || number != first+int64(t.records)) {
			ps.Notef("bytes-after-end", l.where, "Nothing needs doing.", "%d bytes follow the last record; they are no records", l.size-pos)
			break
		}
		if !ok {
			ps.Errorf("file-cut-short", l.where, "Copy or export the shapefile again.",
				"record %d at byte %d says that it has %d bytes, and the file has %d more", t.records+1, pos, content, max(0, l.size-pos-8))
			return true
		}
		if number != first+int64(t.records) {
			t.misnumbered++
		}
		r := record{t.records, pos}
		pos += 8 + content
		if l.table != nil && l.table.deleted(r.index) {
			t.delete(r.index)
		} else if !visit(r) {
			return false
		}
	}
	l.report(&t, ps)
	return true
}

// recordHead reads a record's header: its number and the bytes of its content, of which left are there with the header.
func recordHead(head []byte, left int64) (number, content int64, ok bool) {
	if len(head) < 8 {
		return 0, 0, false
	}
	number = int64(int32(binary.BigEndian.Uint32(head)))
	content = 2 * int64(int32(binary.BigEndian.Uint32(head[4:])))
	return number, content, content >= 0 && 8+content <= left
}

func (t *tally) delete(index int) {
	if t.deletedCount++; t.deletedCount <= 10 {
		t.deleted = append(t.deleted, fmt.Sprint(index+1))
	} else if t.deletedCount == 11 {
		t.deleted = append(t.deleted, "...")
	}
}

func (l *layer) report(t *tally, ps *problem.List) {
	if t.deletedCount > 0 {
		ps.Notef("record-deleted", l.where, "Nothing needs doing.", "%d records are marked deleted in the table and left out: %s", t.deletedCount, strings.Join(t.deleted, ", "))
	}
	if t.misnumbered > 0 {
		ps.Warnf("records-misnumbered", l.where, "Compare some outlines with their names, or export the shapefile again.",
			"%d of %d records have a number that is out of order; the table is read in the order of the records", t.misnumbered, t.records)
	}
	if l.table == nil {
		return
	}
	if n := l.table.rows; n < t.records {
		ps.Errorf("rows-missing", l.where, "Copy or export the shapefile again, with its .dbf.", "the table (.dbf) has %d rows for %d records", n, t.records)
	} else if n > t.records {
		ps.Warnf("rows-left-over", l.where, "Compare some outlines with their names, or export the shapefile again.",
			"the table (.dbf) has %d rows for %d records; they are read in order", n, t.records)
	}
}

// load reads a record with its shape.
func (l *layer) load(r record) *raw.Feature {
	f := l.feature(r)
	data, err := l.content(r)
	if err == nil {
		c := &raw.Corners{CRS: l.crs}
		if err = readShape(data, c, f); err == nil {
			c.Finish(f)
		}
	}
	if err != nil {
		f.Break(err)
	} else if !f.HasShapes() {
		f.Problems.Warnf("no-geometry", f.Where, "Draw it or remove it.", "the record has no shape and counts for nothing")
	}
	return f
}

// content is what follows the record's header.
func (l *layer) content(r record) ([]byte, error) {
	const fix = "Copy or export the shapefile again."
	head := make([]byte, 8)
	if n, err := l.shp.ReadAt(head, r.offset); n < len(head) {
		return nil, raw.Faultf("file-unreadable", fix, "the record can not be read: %v", err)
	}
	_, n, ok := recordHead(head, l.size-r.offset)
	if !ok {
		return nil, raw.Faultf("file-cut-short", fix, "the record says that it has %d bytes, more than the file", n)
	}
	if n > maxRecord {
		return nil, raw.Faultf("shape-too-long", "Split the shape.", "the record has %d bytes; at most %d are read", n, maxRecord)
	}
	data := make([]byte, n)
	if k, err := l.shp.ReadAt(data, r.offset+8); k < len(data) {
		return nil, raw.Faultf("file-unreadable", fix, "the record can not be read: %v", err)
	}
	return data, nil
}
