package store

import (
	"bufio"
	"cmp"
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
	"slices"
	"strings"

	"tankful/server"
)

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
		l := loader{tx: tx, sum: sha256.New(), words: batch{table: "words", columns: split("kind word num")}}
		if err := l.lines(ctx, bufio.NewReaderSize(z, 1<<20)); err != nil {
			return err
		}
		return s.places.rebuild(ctx, tx)
	})
}

type loader struct {
	tx          *sql.Tx
	sum         hash.Hash
	rows        int64
	into, words batch
}

// batch is rows of one table that go to the database together: one by one, most of the time is the way there.
type batch struct {
	table   string
	columns []string
	args    []any
	bytes   int
}

const (
	batchRows  = 200
	batchBytes = 4 << 20
)

func (b *batch) add(ctx context.Context, tx *sql.Tx, row ...any) error {
	b.args = append(b.args, row...)
	for _, v := range row {
		switch v := v.(type) {
		case string:
			b.bytes += len(v)
		case []byte:
			b.bytes += len(v)
		}
	}
	if len(b.args) < batchRows*len(b.columns) && b.bytes < batchBytes {
		return nil
	}
	return b.flush(ctx, tx)
}

func (b *batch) flush(ctx context.Context, tx *sql.Tx) error {
	if len(b.args) == 0 {
		return nil
	}
	var q strings.Builder
	q.WriteString(`INSERT INTO ` + b.table + ` (` + strings.Join(b.columns, ", ") + `) VALUES `)
	for i := range b.args {
		switch {
		case i == 0:
			q.WriteByte('(')
		case i%len(b.columns) == 0:
			q.WriteString("), (")
		default:
			q.WriteString(", ")
		}
		fmt.Fprintf(&q, "$%d", i+1)
	}
	q.WriteByte(')')
	_, err := tx.ExecContext(ctx, q.String(), b.args...)
	b.args, b.bytes = b.args[:0], 0
	return err
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
			if err := cmp.Or(l.into.flush(ctx, l.tx), l.words.flush(ctx, l.tx)); err != nil {
				return fmt.Errorf("%w: line %d: %w", ErrDump, n, err)
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
		for i, v := range x.Row {
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
		if l.into.table != t.name {
			if err := l.into.flush(ctx, l.tx); err != nil {
				return err
			}
			l.into = batch{table: t.name, columns: t.columns}
		}
		if err := l.into.add(ctx, l.tx, x.Row...); err != nil {
			return err
		}
		if t.name == "items" {
			return l.putWords(ctx, t, x.Row)
		}
		return nil
	}
	return fmt.Errorf("a table %q is not known", x.Table)
}

// putWords makes the words of an item anew.
func (l *loader) putWords(ctx context.Context, t table, row []any) error {
	text := func(column string) string {
		s, _ := row[slices.Index(t.columns, column)].(string)
		return s
	}
	num, _ := row[0].(int64)
	if gone, _ := row[len(row)-1].(int64); gone != 0 {
		return nil
	}
	for _, w := range wordsOf(&server.Item{ID: text("id"), Name: text("name"), Words: text("words")}) {
		if err := l.words.add(ctx, l.tx, text("kind"), w, num); err != nil {
			return err
		}
	}
	return nil
}
