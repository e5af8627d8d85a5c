package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"tankful/server"
)

// saved is the answer kept under a key: which versions were made, or which entry.
type saved struct {
	Kind    server.Kind `json:"k,omitempty"`
	ID      string      `json:"i,omitempty"`
	Version int64       `json:"v,omitempty"`
	Seq     int64       `json:"s,omitempty"`
}

// errUsed ends a transaction whose key was used before.
var errUsed = errors.New("the key was used")

// once claims a key within a transaction; another that claims the same one waits for this to end.
func once(ctx context.Context, tx *sql.Tx, key string, at time.Time) (before []saved, err error) {
	if key == "" {
		return nil, nil
	}
	done, err := tx.ExecContext(ctx, `INSERT INTO used (key, answer, at) VALUES ($1, '', $2) ON CONFLICT (key) DO NOTHING`, key, micro(at))
	if err != nil {
		return nil, fmt.Errorf("claim a key: %w", err)
	}
	if n, err := done.RowsAffected(); err != nil || n > 0 {
		return nil, err
	}
	var answer string
	if err := tx.QueryRowContext(ctx, `SELECT answer FROM used WHERE key = $1`, key).Scan(&answer); err != nil {
		return nil, fmt.Errorf("read the answer to a key: %w", err)
	}
	if err := json.Unmarshal([]byte(answer), &before); err != nil {
		return nil, fmt.Errorf("read the answer to a key: %w", err)
	}
	return before, errUsed
}

// answered keeps the answer under a key.
func answered(ctx context.Context, tx *sql.Tx, key string, answer []saved) error {
	if key == "" {
		return nil
	}
	text, err := json.Marshal(answer)
	if err == nil {
		_, err = tx.ExecContext(ctx, `UPDATE used SET answer = $1 WHERE key = $2`, string(text), key)
	}
	return err
}

// Save makes all changes or none.
func (s *Store) Save(ctx context.Context, key string, changes ...server.Change) ([]server.Item, error) {
	if len(changes) == 0 {
		return []server.Item{}, nil
	}
	var out []server.Item
	var lost *server.Change
	var before []saved
	err := s.change(ctx, func(tx *sql.Tx) error {
		out, lost = make([]server.Item, 0, len(changes)), nil
		var err error
		if before, err = once(ctx, tx, key, changes[0].At); err != nil {
			return err
		}
		made := make([]saved, 0, len(changes))
		for i := range changes {
			it, err := s.save(ctx, tx, changes[i])
			if errors.Is(err, errLost) {
				lost = &changes[i]
			}
			if err != nil {
				return err
			}
			out, made = append(out, it), append(made, saved{Kind: it.Kind, ID: it.ID, Version: it.Version})
		}
		if err := s.enterAll(ctx, tx, changes, out); err != nil {
			return err
		}
		return answered(ctx, tx, key, made)
	})
	switch {
	case errors.Is(err, errUsed):
		return s.again(ctx, before)
	case errors.Is(err, errLost):
		newest, err := s.Item(ctx, lost.Kind, lost.ID)
		if errors.Is(err, server.ErrNone) {
			newest, err = server.Item{Kind: lost.Kind, ID: lost.ID}, nil
		}
		if err != nil {
			return nil, err
		}
		return nil, &server.ConflictError{Was: lost.Was, Newest: newest}
	case err != nil:
		return nil, err
	}
	return out, nil
}

// errLost is a change of a version that is not the newest.
var errLost = errors.New("another version is there")

// again reads what was saved under a key.
func (s *Store) again(ctx context.Context, before []saved) ([]server.Item, error) {
	out := make([]server.Item, 0, len(before))
	for _, b := range before {
		it, err := s.Version(ctx, b.Kind, b.ID, b.Version)
		if err != nil {
			return nil, err
		}
		out = append(out, it)
	}
	return out, nil
}

func (s *Store) save(ctx context.Context, tx *sql.Tx, c server.Change) (server.Item, error) {
	it := c.Item
	it.Version = c.Was + 1
	v := values(&it)
	var num int64
	var err error
	if c.Was == 0 {
		err = tx.QueryRowContext(ctx, `INSERT INTO items (kind, id, version, name, words, state, due, facts, west, south, east, north, author, at, gone)
			VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15) ON CONFLICT (kind, id) DO NOTHING RETURNING num`, append([]any{it.Kind, it.ID}, v...)...).Scan(&num)
	} else {
		err = tx.QueryRowContext(ctx, `UPDATE items SET version = $3, name = $4, words = $5, state = $6, due = $7, facts = $8, west = $9, south = $10, east = $11, north = $12, author = $13, at = $14, gone = $15
			WHERE kind = $1 AND id = $2 AND version = $16 RETURNING num`, append(append([]any{it.Kind, it.ID}, v...), c.Was)...).Scan(&num)
	}
	if errors.Is(err, sql.ErrNoRows) {
		return it, errLost
	}
	if err != nil {
		return it, fmt.Errorf("save %s %q: %w", it.Kind, it.ID, err)
	}
	if _, err := tx.ExecContext(ctx, `INSERT INTO versions (kind, id, version, name, words, state, due, facts, west, south, east, north, author, at, gone, body)
		VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14, $15, $16)`, append(append([]any{it.Kind, it.ID}, v...), string(it.Body))...); err != nil {
		return it, fmt.Errorf("save %s %q: %w", it.Kind, it.ID, err)
	}
	if err := putWords(ctx, tx, num, &it, c.Was > 0); err != nil {
		return it, fmt.Errorf("save the words of %s %q: %w", it.Kind, it.ID, err)
	}
	if err := s.places.put(ctx, tx, num, &it); err != nil {
		return it, fmt.Errorf("save the place of %s %q: %w", it.Kind, it.ID, err)
	}
	return it, nil
}

// putWords keeps the words that an item is found by.
func putWords(ctx context.Context, tx *sql.Tx, num int64, it *server.Item, had bool) error {
	if had {
		if _, err := tx.ExecContext(ctx, `DELETE FROM words WHERE num = $1`, num); err != nil {
			return err
		}
	}
	words := wordsOf(it)
	if it.Gone || len(words) == 0 {
		return nil
	}
	var rows strings.Builder
	args := []any{it.Kind, num}
	for _, w := range words {
		args = append(args, w)
		fmt.Fprintf(&rows, ", ($1, $%d, $2)", len(args))
	}
	_, err := tx.ExecContext(ctx, `INSERT INTO words (kind, word, num) VALUES `+rows.String()[2:], args...)
	return err
}

// enterAll puts changes into the audit log.
func (s *Store) enterAll(ctx context.Context, tx *sql.Tx, changes []server.Change, made []server.Item) error {
	if err := s.lockEntries(ctx, tx); err != nil {
		return err
	}
	for i := range made {
		did := "changed"
		switch {
		case made[i].Gone:
			did = "taken away"
		case changes[i].Was == 0:
			did = "made"
		}
		body, err := json.Marshal(map[string]any{"did": did, "version": made[i].Version})
		if err != nil {
			return err
		}
		if _, err := enter(ctx, tx, server.Entry{Log: server.Audit, About: string(made[i].Kind) + "/" + made[i].ID, Body: body, By: made[i].By, At: made[i].At}); err != nil {
			return err
		}
	}
	return nil
}
