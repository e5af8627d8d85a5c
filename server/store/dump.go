package store

import (
	"compress/gzip"
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"strings"
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
