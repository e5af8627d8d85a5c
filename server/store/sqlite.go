package store

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"runtime"

	"github.com/pressly/goose/v3"
	_ "modernc.org/sqlite" // the driver "sqlite"

	"tankful/server"
)

// File is the name of the database in its folder.
const File = "tankful.db"

// Folder opens the SQLite database in a folder, which is made when it is not there. Several processes of one machine may have it open.
func Folder(ctx context.Context, dir string) (*Store, error) {
	if err := os.MkdirAll(dir, 0o700); err != nil {
		return nil, fmt.Errorf("make the data folder: %w", err)
	}
	name := filepath.Join(dir, File)
	// synchronous(FULL): what is acknowledged outlives a loss of power, in WAL mode too.
	open := func(more string) (*sql.DB, error) {
		u := url.URL{Scheme: "file", Opaque: url.PathEscape(filepath.ToSlash(name)), RawQuery: "_pragma=busy_timeout(10000)&_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)&_pragma=foreign_keys(1)&_pragma=cache_size(-16000)" + more}
		return sql.Open("sqlite", u.String())
	}
	write, err := open("&_txlock=immediate")
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", name, err)
	}
	write.SetMaxOpenConns(1)
	s := &Store{read: write, write: write, places: rtree{}}
	if err := s.migrate(ctx, goose.DialectSQLite3, "sqlite"); err != nil {
		_ = write.Close()
		return nil, fmt.Errorf("open %s: %w", name, err)
	}
	if s.read, err = open("&_pragma=query_only(1)"); err != nil {
		_ = write.Close()
		return nil, fmt.Errorf("open %s: %w", name, err)
	}
	n := max(4, runtime.GOMAXPROCS(0))
	s.read.SetMaxOpenConns(n)
	s.read.SetMaxIdleConns(n)
	return s, nil
}

// rtree is SQLite's index of boxes.
type rtree struct{}

func (rtree) put(ctx context.Context, tx *sql.Tx, num int64, it *server.Item) error {
	if it.Bounds == nil || it.Gone {
		_, err := tx.ExecContext(ctx, `DELETE FROM places WHERE num = $1`, num)
		return err
	}
	_, err := tx.ExecContext(ctx, `INSERT OR REPLACE INTO places (num, west, east, south, north) VALUES ($1, $2, $3, $4, $5)`, num, it.Bounds.Min[0], it.Bounds.Max[0], it.Bounds.Min[1], it.Bounds.Max[1])
	return err
}

func (rtree) within(first int) string {
	return fmt.Sprintf(`SELECT num FROM places WHERE east >= $%d AND north >= $%d AND west <= $%d AND south <= $%d`, first, first+1, first+2, first+3)
}

func (rtree) rebuild(ctx context.Context, tx *sql.Tx) error {
	_, err := tx.ExecContext(ctx, `INSERT INTO places (num, west, east, south, north) SELECT num, west, east, south, north FROM items WHERE west IS NOT NULL AND gone = 0`)
	return err
}
