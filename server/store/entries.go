package store

import (
	"context"
	"database/sql"
	"errors"
	"fmt"

	"tankful/server"
)

// lockEntries makes other writers of entries wait for the end of tx.
func (s *Store) lockEntries(ctx context.Context, tx *sql.Tx) error {
	if s.entryLock == "" {
		return nil
	}
	_, err := tx.ExecContext(ctx, s.entryLock)
	return err
}

func enter(ctx context.Context, tx *sql.Tx, e server.Entry) (seq int64, err error) {
	err = tx.QueryRowContext(ctx, `INSERT INTO entries (log, about, refers, body, author, at) VALUES ($1, $2, $3, $4, $5, $6) RETURNING seq`, e.Log, e.About, e.Refers, string(e.Body), e.By, micro(e.At)).Scan(&seq)
	if err != nil {
		return 0, fmt.Errorf("add to the log %q: %w", e.Log, err)
	}
	return seq, nil
}

// Append adds an entry. One that refers to an entry which is not there, in the same log and about the same, is refused with ErrNone.
func (s *Store) Append(ctx context.Context, key string, e server.Entry) (server.Entry, error) {
	var before []saved
	err := s.change(ctx, func(tx *sql.Tx) error {
		var err error
		if before, err = once(ctx, tx, key, e.At); err != nil {
			return err
		}
		if e.Refers != 0 {
			var seq int64
			if err := tx.QueryRowContext(ctx, `SELECT seq FROM entries WHERE seq = $1 AND log = $2 AND about = $3`, e.Refers, e.Log, e.About).Scan(&seq); err != nil {
				return none(err, "entry %d of the log %q", e.Refers, e.Log)
			}
		}
		if err := s.lockEntries(ctx, tx); err != nil {
			return err
		}
		if e.Seq, err = enter(ctx, tx, e); err != nil {
			return err
		}
		return answered(ctx, tx, key, []saved{{Seq: e.Seq}})
	})
	if errors.Is(err, errUsed) && len(before) == 1 {
		e, err := scanEntry(s.read.QueryRowContext(ctx, `SELECT seq, log, about, refers, body, author, at FROM entries WHERE seq = $1`, before[0].Seq))
		if err != nil {
			return server.Entry{}, none(err, "entry %d", before[0].Seq)
		}
		return e, nil
	}
	if err != nil {
		return server.Entry{}, err
	}
	return e, nil
}

func scanEntry(row scanner) (e server.Entry, err error) {
	var body string
	var at int64
	err = row.Scan(&e.Seq, &e.Log, &e.About, &e.Refers, &body, &e.By, &at)
	e.Body, e.At = raw(body), fromMicro(at)
	return e, err
}

// Entries are those that a query asks for.
func (s *Store) Entries(ctx context.Context, q server.EntryQuery) ([]server.Entry, error) {
	query, args := `SELECT seq, log, about, refers, body, author, at FROM entries WHERE log = $1 AND seq > $2`, []any{q.Log, q.After}
	if q.About != "" {
		query, args = query+` AND about = $3`, append(args, q.About)
	}
	rows, err := s.read.QueryContext(ctx, query+fmt.Sprintf(` ORDER BY seq LIMIT %d`, min(max(q.Limit, 1), 10_000)), args...)
	if err != nil {
		return nil, fmt.Errorf("read the log %q: %w", q.Log, err)
	}
	defer rows.Close()
	out := []server.Entry{}
	for rows.Next() {
		e, err := scanEntry(rows)
		if err != nil {
			return nil, fmt.Errorf("read the log %q: %w", q.Log, err)
		}
		out = append(out, e)
	}
	return out, rows.Err()
}
