package dayfile

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"tankful/calc/problem"
)

// csvTable is a table with a head line of known columns; what is wrong with it is told under one code.
type csvTable struct {
	name, code string
	columns    []string // those that it may have
	must       []string // those that it must have
	tell       string   // what a head line should be
}

// read gives each line that has no more cells than the head, with its place and its cells by column, and returns every problem of the table itself. Without
// a column that must be there no line is read.
func (t csvTable) read(data []byte, line func(where string, cell func(column string) string)) (ps problem.List) {
	r := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(data, []byte("\uFEFF"))))
	r.FieldsPerRecord, r.TrimLeadingSpace = -1, true
	head, err := r.Read()
	if err != nil {
		ps.Errorf(t.code, t.name, t.tell, "the table has no head line%s", csvError(err))
		return ps
	}
	at, whole := t.head(head, &ps)
	for lines := 0; whole; lines++ {
		fields, err := r.Read()
		if errors.Is(err, io.EOF) {
			if lines == 0 && !ps.HasErrors() {
				ps.Errorf(t.code, t.name, "Write a line for each property.", "the table has no line below its head")
			}
			break
		}
		where := fmt.Sprintf("%s:%d", t.name, csvLine(r, err))
		switch {
		case err != nil:
			ps.Errorf(t.code, where, "Check the quotes on this line.", "the line is no line of a table%s", csvError(err))
			return ps
		case len(fields) > len(head):
			ps.Errorf(t.code, where, `Put quotes round a text that has commas in it, such as "12,300 sq ft".`, "the line has %d cells and the head %d", len(fields), len(head))
			continue
		}
		line(where, func(column string) string {
			if i, ok := at[column]; ok && i < len(fields) {
				return strings.TrimSpace(fields[i])
			}
			return ""
		})
	}
	return ps
}

// head finds where the columns stand; whole says that none is missing.
func (t csvTable) head(head []string, ps *problem.List) (at map[string]int, whole bool) {
	at, whole = map[string]int{}, true
	for i, h := range head {
		h = strings.ToLower(strings.TrimSpace(h))
		switch _, twice := at[h]; {
		case !slices.Contains(t.columns, h):
			ps.Errorf("unknown-key", t.name+":1", suggest(h, t.columns), "%q is not a column here", clip(h))
		case twice:
			ps.Errorf("duplicate-key", t.name+":1", "Keep one of the two.", "the column %s stands there twice", h)
		}
		at[h] = i
	}
	for _, column := range t.must {
		if _, ok := at[column]; !ok {
			ps.Errorf("missing-key", t.name+":1", "Add the column "+column+".", "the column %s is missing", column)
			whole = false
		}
	}
	return at, whole
}
