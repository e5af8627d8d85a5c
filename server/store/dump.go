package store

import (
	"bufio"
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"hash"
	"io"
	"strings"

	"tankful/server"
)

// A dump is gzip over lines of JSON: a head, the rows of each table in turn, and a last line with their number and the SHA-256 of all lines before it. It is the same for
// both databases, so that a folder can move to PostgreSQL and back.

type table struct {
	name    string
	columns []string
	bytes   string // the column that holds bytes
}

var tables = []table{
	{name: "items", columns: split("num kind id version name words state due facts west south east north author at gone")},
	{name: "versions", columns: split("kind id version name words state due body facts west south east north author at gone")},
	{name: "entries", columns: split("seq log about refers body author at")},
	{name: "used", columns: split("key answer at")},
	{name: "secrets", columns: split("kind hash id owner body until"), bytes: "body"},
}

func split(s string) []string { return strings.Fields(s) }

const dumpLayout = 1

type dumpHead struct {
	Layout int `json:"tankful_store"`
}

type dumpRow struct {
	Table string `json:"t"`
	Row   []any  `json:"r"`
}

type dumpEnd struct {
	Rows int64  `json:"rows"`
	Sum  string `json:"sha256"`
}

// Dump writes everything as it is at one moment.
func (s *Store) Dump(ctx context.Context, w io.Writer) error {
	tx, err := s.read.BeginTx(ctx, &sql.TxOptions{ReadOnly: true, Isolation: s.snapshot()})
	if err != nil {
		return fmt.Errorf("begin the copy: %w", err)
	}
	defer func() { _ = tx.Rollback() }()
	z := gzip.NewWriter(w)
	sum := sha256.New()
	out := json.NewEncoder(io.MultiWriter(z, sum))
	if err := out.Encode(dumpHead{dumpLayout}); err != nil {
		return err
	}
	var n int64
	for _, t := range tables {
		rows, err := dumpTable(ctx, tx, t, out)
		if err != nil {
			return fmt.Errorf("copy %s: %w", t.name, err)
		}
		n += rows
	}
	if err := json.NewEncoder(z).Encode(dumpEnd{n, hex.EncodeToString(sum.Sum(nil))}); err != nil {
		return err
	}
	return z.Close()
}

// snapshot is the isolation in which all queries see one moment.
func (s *Store) snapshot() sql.IsolationLevel {
	if s.read == s.write {
		return sql.LevelRepeatableRead
	}
	return sql.LevelDefault
}

func dumpTable(ctx context.Context, tx *sql.Tx, t table, out *json.Encoder) (n int64, err error) {
	rows, err := tx.QueryContext(ctx, `SELECT `+strings.Join(t.columns, ", ")+` FROM `+t.name)
	if err != nil {
		return 0, err
	}
	defer rows.Close()
	row := make([]any, len(t.columns))
	dest := make([]any, len(row))
	for i := range row {
		dest[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(dest...); err != nil {
			return n, err
		}
		for i, c := range t.columns {
			if b, ok := row[i].([]byte); ok && c == t.bytes {
				row[i] = base64.StdEncoding.EncodeToString(b)
			} else if ok {
				row[i] = string(b)
			}
		}
		if err := out.Encode(dumpRow{t.name, row}); err != nil {
			return n, err
		}
		n++
	}
	return n, rows.Err()
}

// ErrDump is a file that is no whole copy.
var ErrDump = errors.New("the file is no whole copy of a store")

// Load reads a dump into a store that has nothing in it. All of it is read, or none.
func (s *Store) Load(ctx context.Context, r io.Reader) error {
	z, err := gzip.NewReader(r)
	if err != nil {
		return fmt.Errorf("%w: %w", ErrDump, err)
	}
	return s.change(ctx, func(tx *sql.Tx) error {
		for _, t := range tables {
			var n int
			if err := tx.QueryRowContext(ctx, `SELECT count(*) FROM (SELECT 1 AS one FROM `+t.name+` LIMIT 1) AS few`).Scan(&n); err != nil {
				return err
			}
			if n > 0 {
				return server.ErrFull
			}
		}
		l := loader{tx: tx, sum: sha256.New()}
		if err := l.lines(ctx, bufio.NewReaderSize(z, 1<<20)); err != nil {
			return err
		}
		return s.places.rebuild(ctx, tx)
	})
}

type loader struct {
	tx   *sql.Tx
	sum  hash.Hash
	rows int64
}

func (l *loader) lines(ctx context.Context, in *bufio.Reader) error {
	for n := 0; ; n++ {
		line, err := in.ReadBytes('\n')
		if err != nil {
			return fmt.Errorf("%w: it ends in line %d: %w", ErrDump, n+1, err)
		}
		if n == 0 {
			var head dumpHead
			if err := json.Unmarshal(line, &head); err != nil || head.Layout != dumpLayout {
				return fmt.Errorf("%w: its first line does not say \"tankful_store\": %d", ErrDump, dumpLayout)
			}
			l.sum.Write(line)
			continue
		}
		var end dumpEnd
		if err := json.Unmarshal(line, &end); err == nil && end.Sum != "" {
			if got := hex.EncodeToString(l.sum.Sum(nil)); end.Rows != l.rows || end.Sum != got {
				return fmt.Errorf("%w: it has %d rows with the sum %.12s, and should have %d with %.12s", ErrDump, l.rows, got, end.Rows, end.Sum)
			}
			if _, err := in.ReadByte(); err != io.EOF {
				return fmt.Errorf("%w: it does not end after its last line: %w", ErrDump, err)
			}
			return nil
		}
		l.sum.Write(line)
		if err := l.row(ctx, line); err != nil {
			return fmt.Errorf("%w: line %d: %w", ErrDump, n+1, err)
		}
		l.rows++
	}
}

func (l *loader) row(ctx context.Context, line []byte) error {
	var x dumpRow
	d := json.NewDecoder(strings.NewReader(string(line)))
	d.UseNumber()
	if err := d.Decode(&x); err != nil {
		return err
	}
	for _, t := range tables {
		if t.name != x.Table {
			continue
		}
		if len(x.Row) != len(t.columns) {
			return fmt.Errorf("%d values for %d columns", len(x.Row), len(t.columns))
		}
		marks := make([]string, len(x.Row))
		for i, v := range x.Row {
			marks[i] = fmt.Sprintf("$%d", i+1)
			if number, ok := v.(json.Number); ok {
				if n, err := number.Int64(); err == nil {
					x.Row[i] = n
				} else if f, err := number.Float64(); err == nil {
					x.Row[i] = f
				}
			}
			if t.columns[i] == t.bytes {
				text, _ := v.(string)
				b, err := base64.StdEncoding.DecodeString(text)
				if err != nil {
					return err
				}
				x.Row[i] = b
			}
		}
		if _, err := l.tx.ExecContext(ctx, `INSERT INTO `+t.name+` (`+strings.Join(t.columns, ", ")+`) VALUES (`+strings.Join(marks, ", ")+`)`, x.Row...); err != nil {
			return err
		}
		if t.name == "items" {
			return l.words(ctx, t, x.Row)
		}
		return nil
	}
	return fmt.Errorf("a table %q is not known", x.Table)
}

// words makes the words of an item anew.
func (l *loader) words(ctx context.Context, t table, row []any) error {
	text := func(column string) string {
		for i, c := range t.columns {
			if c == column {
				s, _ := row[i].(string)
				return s
			}
		}
		return ""
	}
	num, _ := row[0].(int64)
	gone, _ := row[len(row)-1].(int64)
	return putWords(ctx, l.tx, num, &server.Item{Kind: server.Kind(text("kind")), ID: text("id"), Name: text("name"), Words: text("words"), Gone: gone != 0}, false)
}
