package shape

import (
	"bytes"
	"encoding/binary"
	"strings"

	"tankful/calc/problem"
	"tankful/geo/intake/raw"
)

// table is a dBASE III or IV table (from memory: header of 32 bytes, 32 more a field, rows of one length,
// the first byte of a row "*" when it is deleted).
type table struct {
	body   []byte // from the first row on
	rows   int
	width  int
	fields []field
	decode func([]byte) string
}

// field is one column: its kind (C, N, F, L, D) and the bytes of a row that it takes.
type field struct {
	key      string
	kind     byte
	from, to int
}

// readTable reads the table's header; nil when it is no table.
func readTable(data, cpg []byte, where string, ps *problem.List) *table {
	bad := func(format string, args ...any) *table {
		ps.Errorf("not-a-table", where, "Export the shapefile again, with its .dbf.", format, args...)
		return nil
	}
	if len(data) < 33 {
		return bad("the table has %d bytes, too few for a header", len(data))
	}
	if data[0]&7 == 4 {
		return bad("the table is of dBASE level 7, which shapefiles do not use")
	}
	header, width := int(binary.LittleEndian.Uint16(data[8:])), int(binary.LittleEndian.Uint16(data[10:]))
	if header < 33 || header > len(data) || width < 1 {
		return bad("the table's header says that it has %d bytes of %d, and rows of %d", header, len(data), width)
	}
	t := &table{body: data[header:], width: width, decode: decoder(cpg, data[29], where, ps)}
	t.rows = len(t.body) / width
	if said := int64(binary.LittleEndian.Uint32(data[4:])); said > 0 && said < int64(t.rows) { // 0 was never filled in
		t.rows = int(said)
	}
	at := t.readFields(data[32:header], where, ps)
	if at > width {
		return bad("the table's columns take %d bytes, its rows %d", at, width)
	}
	t.warnRepeated(where, ps)
	return t
}

// readFields reads the columns; it returns how many bytes of a row they take.
func (t *table) readFields(data []byte, where string, ps *problem.List) int {
	at := 1
	var left []string
	wide := wideText(data, t.width)
	for ; len(data) >= 32 && data[0] != '\r'; data = data[32:] {
		name, _, _ := bytes.Cut(data[:11], []byte{0})
		f := field{key: strings.TrimSpace(t.decode(name)), kind: data[11], from: at}
		at += int(data[16])
		if wide && f.kind == 'C' {
			at += int(data[17]) << 8
		}
		f.to = at
		switch f.kind {
		case 'C', 'N', 'F', 'L', 'D':
			t.fields = append(t.fields, f)
		default:
			left = append(left, raw.Clip(f.key))
		}
	}
	if len(left) > 0 {
		ps.Warnf("column-not-read", where, "Export those columns as text.",
			"%d columns are of a kind that is not read, such as a memo: %s", len(left), raw.Clip(strings.Join(left, ", ")))
	}
	return at
}

// wideText reports whether texts longer than 255 have the upper byte of their length where other columns have their
// decimals, as some programs write them: when only so the columns fill the row.
func wideText(data []byte, width int) bool {
	plain, wide := 1, 1
	for ; len(data) >= 32 && data[0] != '\r'; data = data[32:] {
		plain += int(data[16])
		wide += int(data[16])
		if data[11] == 'C' {
			wide += int(data[17]) << 8
		}
	}
	return plain != width && wide == width
}

func (t *table) warnRepeated(where string, ps *problem.List) {
	seen := map[string]bool{}
	for _, f := range t.fields {
		if seen[f.key] {
			ps.Warnf("member-repeated", where, "Rename one of them.", "the column %q is there more than once; the first counts", raw.Clip(f.key))
		}
		seen[f.key] = true
	}
}

// deleted reports whether a row is marked deleted.
func (t *table) deleted(i int) bool { return i < t.rows && t.body[i*t.width] == '*' }

// row is a row's members, nil when there is none.
func (t *table) row(i int) raw.Members {
	if i >= t.rows {
		return nil
	}
	row := t.body[i*t.width : (i+1)*t.width]
	out := make(raw.Members, 0, len(t.fields)+1)
	for _, f := range t.fields {
		out = append(out, raw.Member{Key: f.key, Value: t.value(f.kind, row[f.from:f.to])})
	}
	return out
}

// value is a cell as text, "" when it is empty.
func (t *table) value(kind byte, cell []byte) string {
	cell, _, _ = bytes.Cut(cell, []byte{0}) // what stands behind a zero byte is whatever was there before
	text := strings.TrimSpace(t.decode(cell))
	switch kind {
	case 'N', 'F':
		if strings.Trim(text, "*") == "" { // asterisks are a number that did not fit
			return ""
		}
	case 'L':
		switch text {
		case "T", "t", "Y", "y":
			return "true"
		case "F", "f", "N", "n":
			return "false"
		}
		return ""
	case 'D':
		if len(text) != 8 || strings.Trim(text, "0123456789") != "" {
			return text
		}
		if text == "00000000" {
			return ""
		}
		return text[:4] + "-" + text[4:6] + "-" + text[6:]
	}
	return text
}
