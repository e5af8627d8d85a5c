// Package mbtiles reads pictures of the ground cut into tiles, out of one file (MBTiles 1.3).
//
// It knows sets of PNG, JPEG and WebP. It leaves out vector tiles, grids, and writing.
package mbtiles

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"

	_ "modernc.org/sqlite" // the driver "sqlite"
)

// Set is a file of tiles. It is safe for concurrent use.
type Set struct {
	name, kind string
	deepest    int
	db         *sql.DB
}

// mostZoom is deeper than any map: a tile is 4 cm.
const mostZoom = 30

var kinds = map[string]string{"png": "image/png", "jpg": "image/jpeg", "jpeg": "image/jpeg", "webp": "image/webp"}

// Open opens a file to be read. The error says what it lacks.
func Open(ctx context.Context, path string) (*Set, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	u := url.URL{Scheme: "file", Opaque: url.PathEscape(filepath.ToSlash(abs)), RawQuery: "mode=ro&_pragma=query_only(1)&_pragma=busy_timeout(2000)"}
	db, err := sql.Open("sqlite", u.String())
	if err != nil {
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	s := &Set{db: db, name: strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))}
	if err := s.read(ctx); err != nil {
		_ = db.Close()
		return nil, fmt.Errorf("open %s: %w", path, err)
	}
	return s, nil
}

// read reads what the file says of itself.
func (s *Set) read(ctx context.Context) error {
	rows, err := s.db.QueryContext(ctx, `SELECT name, value FROM metadata`)
	if err != nil {
		return fmt.Errorf("it is no file of map tiles (MBTiles): %w", err)
	}
	defer rows.Close()
	said := map[string]string{}
	for rows.Next() {
		var k, v sql.NullString
		if err := rows.Scan(&k, &v); err != nil {
			return err
		}
		said[k.String] = v.String
	}
	if err := rows.Err(); err != nil {
		return err
	}
	format := strings.ToLower(strings.TrimSpace(said["format"]))
	if s.kind = kinds[format]; s.kind == "" {
		return fmt.Errorf("its tiles are %q, and png, jpg and webp are shown; save it as one of these", format)
	}
	if name := strings.TrimSpace(said["name"]); name != "" {
		s.name = name
	}
	var one []byte
	err = s.db.QueryRowContext(ctx, `SELECT tile_data FROM tiles LIMIT 1`).Scan(&one)
	switch {
	case errors.Is(err, sql.ErrNoRows):
		return errors.New("it has no tiles")
	case err != nil:
		return fmt.Errorf("its tiles cannot be read: %w", err)
	}
	if n, err := strconv.Atoi(strings.TrimSpace(said["maxzoom"])); err == nil && n >= 0 && n <= mostZoom {
		s.deepest = n
		return nil
	}
	return s.db.QueryRowContext(ctx, `SELECT max(zoom_level) FROM tiles`).Scan(&s.deepest)
}

// Name is what people call the set.
func (s *Set) Name() string { return s.name }

// Type is the media type of the tiles.
func (s *Set) Type() string { return s.kind }

// Deepest is the last zoom that there are tiles of.
func (s *Set) Deepest() int { return s.deepest }

// Tile is a tile, x from the west and y from the north; nil where there is none. In the file rows count from the south.
func (s *Set) Tile(ctx context.Context, z, x, y int) ([]byte, error) {
	if z < 0 || z > mostZoom || x < 0 || y < 0 || x >= 1<<z || y >= 1<<z {
		return nil, nil
	}
	var data []byte
	err := s.db.QueryRowContext(ctx, `SELECT tile_data FROM tiles WHERE zoom_level = ? AND tile_column = ? AND tile_row = ?`, z, x, 1<<z-1-y).Scan(&data)
	if errors.Is(err, sql.ErrNoRows) {
		return nil, nil
	}
	return data, err
}

// Close closes the file.
func (s *Set) Close() error { return s.db.Close() }
