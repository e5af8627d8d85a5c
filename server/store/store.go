// Package store keeps a server's items, entries and secrets in a database: SQLite in a folder of one machine, or PostgreSQL for several servers.
//
// It knows SQL, what differs between the two, and how words and windows of the map are found among a million items. It leaves out what the items hold and who
// may see them: that is the server's. Both databases pass server/storetest.
package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"sync"
	"time"

	"github.com/pressly/goose/v3"

	"tankful/server"
)

//go:embed migrations
var migrations embed.FS

// Store is a server.Store on a database. Writing goes through write, reading through read; they may be the same.
type Store struct {
	read, write *sql.DB
	places      places
	// entryLock is what makes entries of PostgreSQL become visible in their order: a number that is taken but not committed would be passed over by a
	// reader. "" where one writer at a time writes anyway.
	entryLock string
	// statements are queries that were prepared, by their text: reading one anew costs as much as many of them take.
	statements sync.Map
}

// prepared is a query that is asked again and again. Its text is one of a few, never made of what people type.
func (s *Store) prepared(ctx context.Context, query string) (*sql.Stmt, error) {
	if p, ok := s.statements.Load(query); ok {
		return p.(*sql.Stmt), nil
	}
	p, err := s.read.PrepareContext(ctx, query)
	if err != nil {
		return nil, err
	}
	if other, was := s.statements.LoadOrStore(query, p); was {
		_ = p.Close()
		return other.(*sql.Stmt), nil
	}
	return p, nil
}

// row is the row of a prepared query; what fails is told when it is scanned.
func (s *Store) row(ctx context.Context, query string, args ...any) scanner {
	p, err := s.prepared(ctx, query)
	if err != nil {
		return failed{err}
	}
	return p.QueryRowContext(ctx, args...)
}

type failed struct{ err error }

func (f failed) Scan(...any) error { return f.err }

var _ server.Store = (*Store)(nil)

// places finds what lies in a window of the map; the two databases have an index of their own for it.
type places interface {
	put(ctx context.Context, tx *sql.Tx, num int64, it *server.Item) error
	// within is SQL for numbers of items in the window west, south, east, north, which are its last four arguments from first on.
	within(first int) string
	// rebuild fills the index from the items.
	rebuild(ctx context.Context, tx *sql.Tx) error
}

func (s *Store) migrate(ctx context.Context, dialect goose.Dialect, folder string, opts ...goose.ProviderOption) error {
	files, err := fs.Sub(migrations, "migrations/"+folder)
	if err != nil {
		return err
	}
	p, err := goose.NewProvider(dialect, s.write, files, opts...)
	if err != nil {
		return fmt.Errorf("read the migrations: %w", err)
	}
	if _, err := p.Up(ctx); err != nil {
		return fmt.Errorf("bring the database up to date: %w", err)
	}
	newest, err := p.GetDBVersion(ctx)
	if err != nil {
		return fmt.Errorf("read the database's version: %w", err)
	}
	if sources := p.ListSources(); newest > sources[len(sources)-1].Version {
		return fmt.Errorf("the database is of a newer program: it is at version %d, this one knows %d", newest, sources[len(sources)-1].Version)
	}
	return nil
}

// Ping reports whether the database answers.
func (s *Store) Ping(ctx context.Context) error { return s.read.PingContext(ctx) }

// Close ends the use of the database.
func (s *Store) Close() error {
	s.statements.Range(func(_, p any) bool {
		_ = p.(*sql.Stmt).Close()
		return true
	})
	err := s.read.Close()
	if s.write != s.read {
		err = errors.Join(err, s.write.Close())
	}
	return err
}

// change runs f in a transaction, which is on disk when it returns nil.
func (s *Store) change(ctx context.Context, f func(tx *sql.Tx) error) error {
	tx, err := s.write.BeginTx(ctx, nil)
	if err != nil {
		return fmt.Errorf("begin a change: %w", err)
	}
	defer func() { _ = tx.Rollback() }() // does nothing after Commit
	if err := f(tx); err != nil {
		return err
	}
	if err := tx.Commit(); err != nil {
		return fmt.Errorf("keep a change: %w", err)
	}
	return nil
}

// Times are kept in microseconds since 1970, UTC; the zero time as 0.

func micro(t time.Time) int64 {
	if t.IsZero() {
		return 0
	}
	return t.UnixMicro()
}

func fromMicro(n int64) time.Time {
	if n == 0 {
		return time.Time{}
	}
	return time.UnixMicro(n).UTC()
}
