package table

import (
	"bufio"
	"errors"
	"io"
	"strings"

	"tankful/geo/intake/raw"
)

// Bounds on one row.
const (
	// MaxRow is the longest row that is read, in bytes.
	MaxRow = 32 << 20
	// maxColumns is the widest.
	maxColumns = 4096
)

var (
	errLong = errors.New("the row is too long")
	errOpen = errors.New("a quote is not closed")
)

// state is where in a field a reader stands, by RFC 4180: a quote opens only at the beginning of a field.
type state int

const (
	atStart state = iota
	bare
	quoted
	closed // after a quote inside quotes: the end of the field, or the first of two that stand for one
)

func (s state) after(c, sep byte) state {
	switch {
	case s == quoted && c == '"':
		return closed
	case s == quoted, s == closed && c == '"', s == atStart && c == '"':
		return quoted
	case c == sep && sep != 0, s == atStart && c == ' ':
		return atStart
	case s == closed && c == ' ':
		return closed
	}
	return bare
}

// row is one record as it stands in the file.
type row struct {
	offset int64 // of its first byte
	line   int   // of its first line, counted from 1
	text   string
}

// rows cuts a file into records. Lines end with LF, CR LF or CR.
type rows struct {
	r      *bufio.Reader
	sep    byte // 0 when each row is one field
	offset int64
	line   int
	buf    []byte
}

func newRows(data io.ReaderAt, size, offset int64, line int, sep byte) *rows {
	r := bufio.NewReaderSize(io.NewSectionReader(data, offset, max(0, size-offset)), 1<<13)
	return &rows{r: r, sep: sep, offset: offset, line: line}
}

// next reads a record, io.EOF after the last. After errLong and errOpen there is none: what follows can not
// be told apart.
func (rs *rows) next() (row, error) {
	out := row{offset: rs.offset, line: rs.line}
	rs.buf = rs.buf[:0]
	for s := atStart; ; {
		c, err := rs.r.ReadByte()
		switch {
		case err == io.EOF && s == quoted:
			return out, errOpen
		case err == io.EOF && rs.offset > out.offset:
			out.text = string(rs.buf)
			return out, nil
		case err != nil:
			return out, err
		case len(rs.buf) == MaxRow:
			return out, errLong
		}
		rs.offset++
		end := c == '\n'
		if c == '\r' {
			b, err := rs.r.Peek(1)
			end = err != nil || b[0] != '\n'
		}
		if end {
			rs.line++
		}
		if end && s != quoted {
			out.text = strings.TrimSuffix(string(rs.buf), "\r")
			return out, nil
		}
		rs.buf = append(rs.buf, c)
		if s == quoted || c != '\r' {
			s = s.after(c, rs.sep)
		}
	}
}

// fields takes a record apart; ok is false when it has too many.
func fields(text string, sep byte) (out []string, ok bool) {
	for s, from, i := atStart, 0, 0; ; i++ {
		if i == len(text) || s != quoted && sep != 0 && text[i] == sep {
			if len(out) == maxColumns {
				return out, false
			}
			out = append(out, field(text[from:i]))
			if i == len(text) {
				return out, true
			}
			s, from = atStart, i+1
			continue
		}
		s = s.after(text[i], sep)
	}
}

// field is one field without its quotes and the blanks round it.
func field(t string) string {
	t = strings.TrimSpace(t)
	if strings.HasPrefix(t, `"`) {
		t = strings.TrimSuffix(t[1:], `"`)
		t = strings.TrimSpace(strings.ReplaceAll(t, `""`, `"`))
	}
	return raw.Text(t)
}

// separator finds what stands between the fields of a header: the most frequent of comma, semicolon
// and tab outside of quotes, 0 when there is none.
func separator(header string) byte {
	best, most := byte(0), 0
	for _, sep := range []byte{',', ';', '\t'} {
		if f, _ := fields(header, sep); len(f)-1 > most {
			best, most = sep, len(f)-1
		}
	}
	return best
}

func blank(fs []string) bool {
	for _, f := range fs {
		if f != "" {
			return false
		}
	}
	return true
}
