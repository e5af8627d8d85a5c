// Package table reads outlines from tables in text: values set apart by commas, semicolons or tabs.
//
// It knows two kinds, told apart by the header and the first rows. Either one column holds each outline as
// well-known text and the others say what it is; or each row is a corner, with two columns for where it
// lies, and columns that say which outline it belongs to, in which order, and whether of a hole. It leaves out
// spreadsheets in formats of their own, and degrees with minutes and seconds.
package table

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
	"tankful/geo/intake/wkt"
)

// MaxWide is the largest file in UTF-16, which is held in memory; other files are read as they stand.
const MaxWide = 128 << 20

// samples is how many rows are looked at to tell the kinds apart.
const samples = 20

const exampleFix = "Begin the file with a line that names the columns, such as \"outline,lon,lat\" for corners or \"name,surface,wkt\" for well-known text."

// Open reads the header, and the corners when the rows are corners.
func Open(in raw.Input) (raw.Source, problem.List) {
	t := &table{in: in, data: in.Data, size: in.Size}
	if !t.open() {
		return nil, t.found
	}
	first, ok := t.firstRows()
	if !ok {
		return nil, t.found
	}
	at, cs := t.geometryColumn(first), t.cornerColumns(first)
	if at < 0 && !cs.complete() {
		at = t.named("wkt", "geometry", "geom", "the_geom", "wkt_geom")
	}
	switch {
	case at >= 0:
		return &texts{table: t, column: at, id: t.named("id")}, nil
	case cs.complete():
		return t.readCorners(cs)
	}
	t.found.Errorf("no-coordinates", in.Name, exampleFix, "no column holds well-known text, and there are no two columns such as lon and lat; the columns are %s", t.columnList())
	return nil, t.found
}

// table is a file whose header has been read.
type table struct {
	in     raw.Input
	data   io.ReaderAt
	size   int64
	sep    byte
	header []string
	lower  []string // the header in lower case
	start  int64    // where the rows after the header begin
	line   int      // the line of start
	found  problem.List
}

// open finds the encoding, the separator and the header.
func (t *table) open() bool {
	mark := make([]byte, min(3, max(0, t.size)))
	if n, err := t.data.ReadAt(mark, 0); n < len(mark) {
		t.unreadable(err)
		return false
	}
	start := int64(0)
	switch {
	case raw.IsUTF16(mark):
		if !t.narrow() {
			return false
		}
	case string(mark) == "\xef\xbb\xbf":
		start = 3
	}
	rs := newRows(t.data, t.size, start, 1, ',')
	for {
		r, err := rs.next()
		if errors.Is(err, io.EOF) {
			t.found.Errorf("empty-file", t.in.Name, exampleFix, "the file is empty")
			return false
		}
		if err != nil {
			t.cut(r, err)
			return false
		}
		if given, ok := saidSeparator(r.text); ok {
			t.sep = given
			continue
		}
		if strings.TrimSpace(r.text) != "" {
			return t.readHeader(r)
		}
	}
}

// narrow takes a file in UTF-16 into memory as UTF-8.
func (t *table) narrow() bool {
	if t.size > MaxWide {
		t.found.Errorf("file-too-large", t.in.Name, "Save the file in UTF-8.", "the file is in UTF-16 and has %d MB; at most %d MB of that are read", t.size>>20, MaxWide>>20)
		return false
	}
	wide := make([]byte, t.size)
	if n, err := t.data.ReadAt(wide, 0); n < len(wide) {
		t.unreadable(err)
		return false
	}
	text := raw.UTF8(wide)
	t.data, t.size = bytes.NewReader(text), int64(len(text))
	return true
}

// saidSeparator reads a first line "sep=;", by which spreadsheets say their separator.
func saidSeparator(text string) (byte, bool) {
	s, ok := strings.CutPrefix(strings.ToLower(text), "sep=")
	if !ok || len(s) != 1 || strings.IndexByte(",;\t", s[0]) < 0 {
		return 0, false
	}
	return s[0], true
}

func (t *table) readHeader(r row) bool {
	if t.sep == 0 {
		t.sep = separator(r.text)
	}
	// Cut the row once more: where a record ends depends on the separator.
	rs := newRows(t.data, t.size, r.offset, r.line, t.sep)
	r, err := rs.next()
	if err != nil {
		t.cut(r, err)
		return false
	}
	var ok bool
	if t.header, ok = fields(r.text, t.sep); !ok {
		t.tooWide(r)
		return false
	}
	numbers, texts := 0, 0
	for _, f := range t.header {
		t.lower = append(t.lower, strings.ToLower(f))
		if _, _, ok := t.number(f); ok {
			numbers++
		}
		if wkt.Begins(f) && strings.Contains(f, "(") {
			texts++
		}
	}
	if texts > 0 || numbers >= 2 {
		t.found.Errorf("no-header", t.where(r.line), exampleFix, "the first line is %q and names no columns", raw.Clip(r.text))
		return false
	}
	t.start, t.line = rs.offset, rs.line
	t.reportRepeated()
	return true
}

// reportRepeated warns of columns with the same name.
func (t *table) reportRepeated() {
	for i, h := range t.header {
		if j := slices.Index(t.header, h); h != "" && j < i {
			t.found.Warnf("member-repeated", t.in.Name, "Give each column a name of its own.", "columns %d and %d are both called %q; the first counts", j+1, i+1, raw.Clip(h))
			return
		}
	}
}

// firstRows reads a few rows; ok is false when there are none.
func (t *table) firstRows() (out [][]string, ok bool) {
	rs := newRows(t.data, t.size, t.start, t.line, t.sep)
	for len(out) < samples {
		r, err := rs.next()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			t.cut(r, err)
			return nil, false
		}
		if fs, ok := fields(r.text, t.sep); ok && !blank(fs) {
			out = append(out, fs)
		}
		if rs.offset-t.start > MaxRow {
			return out, true
		}
	}
	if len(out) == 0 {
		t.found.Errorf("no-outlines", t.in.Name, "Add a row for each outline or corner.", "the file has a header and no rows")
		return nil, false
	}
	return out, true
}

// geometryColumn is the column whose first value is well-known text, one of the usual names before others; -1 for none.
func (t *table) geometryColumn(first [][]string) int {
	holds := func(column int) bool {
		for _, fs := range first {
			if column < len(fs) && fs[column] != "" {
				return wkt.Begins(fs[column])
			}
		}
		return false
	}
	for _, name := range []string{"wkt", "geometry", "geom", "the_geom", "wkt_geom", "shape"} {
		if i := t.named(name); i >= 0 && holds(i) {
			return i
		}
	}
	for i := range t.header {
		if holds(i) {
			return i
		}
	}
	return -1
}

// named is the first column of one of these names, the names in order; -1 for none.
func (t *table) named(names ...string) int {
	for _, n := range names {
		if i := slices.Index(t.lower, n); i >= 0 {
			return i
		}
	}
	return -1
}

// number reads a number of the table: with a decimal comma where semicolons stand between the fields.
func (t *table) number(s string) (x float64, decimals int, ok bool) {
	if t.sep == ';' && strings.Count(s, ",") == 1 && !strings.Contains(s, ".") {
		s = strings.Replace(s, ",", ".", 1)
	}
	x, decimals, err := wkt.Number(s)
	return x, decimals, err == nil
}

func (t *table) where(line int) string { return fmt.Sprintf("%s: line %d", t.in.Name, line) }

func (t *table) unreadable(err error) {
	t.found.Errorf("unreadable", t.in.Name, "Check the file.", "the file can not be read: %v", err)
}

// cut reports that the rows from r on can not be told apart.
func (t *table) cut(r row, err error) {
	switch {
	case errors.Is(err, errOpen):
		t.found.Errorf("quote-not-closed", t.where(r.line), "Close the quote, or double it if it is part of the text.", "a quote is opened in this row and not closed by the end of the file")
	case errors.Is(err, errLong):
		t.found.Errorf("row-too-long", t.where(r.line), "Check the quotes of this row, or split the outline.", "the row is longer than %d MB", MaxRow>>20)
	default:
		t.unreadable(err)
	}
}

func (t *table) tooWide(r row) {
	t.found.Errorf("row-too-long", t.where(r.line), "Check what stands between the columns.", "the row has more than %d columns", maxColumns)
}

// columnList names the columns for a message.
func (t *table) columnList() string {
	names := make([]string, 0, len(t.header))
	for _, h := range t.header {
		names = append(names, raw.Clip(h))
	}
	if len(names) > 12 {
		names = append(names[:12], "...")
	}
	return strings.Join(names, ", ")
}

// members are what a row says, by the header; skip lists columns that are something else.
func (t *table) members(fs []string, skip ...int) (out raw.Members) {
	for i, h := range t.header {
		if h == "" || i >= len(fs) || slices.Contains(skip, i) {
			continue
		}
		out = append(out, raw.Member{Key: h, Value: fs[i]})
	}
	return out
}

// labelled is the place of a row with what it is called.
func (t *table) labelled(line int, fs []string) string {
	for _, n := range []string{"name", "id"} {
		if i := t.named(n); i >= 0 && i < len(fs) && fs[i] != "" {
			return t.where(line) + " (" + raw.Clip(fs[i]) + ")"
		}
	}
	return t.where(line)
}
