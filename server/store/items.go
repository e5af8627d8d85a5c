package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"

	"github.com/paulmach/orb"

	"tankful/server"
)

const (
	headColumns = `kind, id, version, name, words, state, due, facts, west, south, east, north, author, at, gone`
	bodyColumns = headColumns + `, body`
)

// scanner is a row.
type scanner interface{ Scan(dest ...any) error }

// scan reads the columns above; what is in more comes after them.
func scan(row scanner, more ...any) (server.Item, error) {
	var it server.Item
	var facts string
	var west, south, east, north sql.NullFloat64
	var at, gone int64
	dest := append([]any{&it.Kind, &it.ID, &it.Version, &it.Name, &it.Words, &it.State, &it.Due, &facts, &west, &south, &east, &north, &it.By, &at, &gone}, more...)
	if err := row.Scan(dest...); err != nil {
		return server.Item{}, err
	}
	if west.Valid {
		it.Bounds = &orb.Bound{Min: orb.Point{west.Float64, south.Float64}, Max: orb.Point{east.Float64, north.Float64}}
	}
	it.Facts, it.At, it.Gone = raw(facts), fromMicro(at), gone != 0
	return it, nil
}

func scanBody(row scanner) (server.Item, error) {
	var body string
	it, err := scan(row, &body)
	it.Body = raw(body)
	return it, err
}

func raw(text string) json.RawMessage {
	if text == "" {
		return nil
	}
	return json.RawMessage(text)
}

// values are the columns' values, from version on.
func values(it *server.Item) []any {
	v := []any{it.Version, it.Name, it.Words, it.State, it.Due, string(it.Facts), nil, nil, nil, nil, it.By, micro(it.At), flag(it.Gone)}
	if b := it.Bounds; b != nil {
		v[6], v[7], v[8], v[9] = b.Min[0], b.Min[1], b.Max[0], b.Max[1]
	}
	return v
}

func flag(b bool) int64 {
	if b {
		return 1
	}
	return 0
}

// none turns the database's "no row" into ErrNone.
func none(err error, format string, args ...any) error {
	what := fmt.Sprintf(format, args...)
	if errors.Is(err, sql.ErrNoRows) {
		return fmt.Errorf("%s: %w", what, server.ErrNone)
	}
	return fmt.Errorf("read %s: %w", what, err)
}

// Item is the newest version of an item.
func (s *Store) Item(ctx context.Context, kind server.Kind, id string) (server.Item, error) {
	it, err := scanBody(s.row(ctx, `SELECT `+bodyColumns+` FROM versions WHERE kind = $1 AND id = $2 ORDER BY version DESC LIMIT 1`, kind, id))
	if err != nil {
		return server.Item{}, none(err, "%s %q", kind, id)
	}
	return it, nil
}

// Version is one version of an item.
func (s *Store) Version(ctx context.Context, kind server.Kind, id string, version int64) (server.Item, error) {
	it, err := scanBody(s.row(ctx, `SELECT `+bodyColumns+` FROM versions WHERE kind = $1 AND id = $2 AND version = $3`, kind, id, version))
	if err != nil {
		return server.Item{}, none(err, "%s %q, version %d", kind, id, version)
	}
	return it, nil
}

// Versions are the heads of all versions of an item, the newest first.
func (s *Store) Versions(ctx context.Context, kind server.Kind, id string) ([]server.Item, error) {
	return s.items(ctx, scanHead, `SELECT `+headColumns+` FROM versions WHERE kind = $1 AND id = $2 ORDER BY version DESC`, kind, id)
}

// Bodies are all items of a kind with their bodies.
func (s *Store) Bodies(ctx context.Context, kind server.Kind) ([]server.Item, error) {
	return s.items(ctx, scanBody, `SELECT v.kind, v.id, v.version, v.name, v.words, v.state, v.due, v.facts, v.west, v.south, v.east, v.north, v.author, v.at, v.gone, v.body
		FROM items i JOIN versions v ON v.kind = i.kind AND v.id = i.id AND v.version = i.version WHERE i.kind = $1 AND i.gone = 0 ORDER BY i.name, i.id`, kind)
}

func scanHead(row scanner) (server.Item, error) { return scan(row) }

// items runs a prepared query for items; never nil.
func (s *Store) items(ctx context.Context, read func(scanner) (server.Item, error), query string, args ...any) ([]server.Item, error) {
	p, err := s.prepared(ctx, query)
	if err != nil {
		return nil, fmt.Errorf("read items: %w", err)
	}
	rows, err := p.QueryContext(ctx, args...)
	if err != nil {
		return nil, fmt.Errorf("read items: %w", err)
	}
	return readItems(rows, read)
}

// readItems reads all rows; never nil.
func readItems(rows *sql.Rows, read func(scanner) (server.Item, error)) ([]server.Item, error) {
	defer rows.Close()
	out := []server.Item{}
	for rows.Next() {
		it, err := read(rows)
		if err != nil {
			return nil, fmt.Errorf("read items: %w", err)
		}
		out = append(out, it)
	}
	return out, rows.Err()
}
