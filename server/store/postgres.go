package store

import (
	"context"
	"database/sql"
	"fmt"
	"time"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"
	"github.com/pressly/goose/v3"
	"github.com/pressly/goose/v3/lock"

	"tankful/server"
)

// Postgres opens a PostgreSQL database by its URL, "postgres://user@host/name". Several servers may use it at once.
func Postgres(ctx context.Context, dsn string) (*Store, error) {
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		return nil, fmt.Errorf("open PostgreSQL: %w", err)
	}
	db.SetMaxOpenConns(16)
	db.SetMaxIdleConns(16)
	db.SetConnMaxIdleTime(5 * time.Minute)
	s := &Store{read: db, write: db, places: boxes{}, entryLock: `SELECT pg_advisory_xact_lock(7446110)`}
	locker, err := lock.NewPostgresSessionLocker() // servers that start together bring it up to date one after the other
	if err == nil {
		err = s.migrate(ctx, goose.DialectPostgres, "postgres", goose.WithSessionLocker(locker))
	}
	if err != nil {
		_ = db.Close()
		return nil, fmt.Errorf("open PostgreSQL: %w", err)
	}
	return s, nil
}

// boxes is PostgreSQL's own index of boxes over the items, which needs no extension.
type boxes struct{}

func (boxes) put(context.Context, *sql.Tx, int64, *server.Item) error { return nil }

func (boxes) within(first int) string {
	return fmt.Sprintf(`SELECT num FROM items WHERE west IS NOT NULL AND gone = 0 AND box(point(west, south), point(east, north)) && box(point($%d, $%d), point($%d, $%d))`, first, first+1, first+2, first+3)
}

func (boxes) rebuild(ctx context.Context, tx *sql.Tx) error {
	for _, c := range [][2]string{{"items", "num"}, {"entries", "seq"}} {
		if _, err := tx.ExecContext(ctx, fmt.Sprintf(`SELECT setval(pg_get_serial_sequence('%[1]s', '%[2]s'), (SELECT coalesce(max(%[2]s), 0) + 1 FROM %[1]s), false)`, c[0], c[1])); err != nil {
			return err
		}
	}
	return nil
}
