package mbtiles_test

import (
	"context"
	"database/sql"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"tankful/server/mbtiles"
)

// file makes a set of tiles as the specification has it (MBTiles 1.3, "Database"): tables metadata and tiles, rows from the south.
func file(t *testing.T, metadata map[string]string, tiles map[[3]int]string) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "a picture #1.mbtiles")
	db, err := sql.Open("sqlite", "file:"+strings.ReplaceAll(strings.ReplaceAll(name, "#", "%23"), " ", "%20"))
	if err != nil {
		t.Fatal(err)
	}
	defer db.Close()
	run := func(q string, args ...any) {
		if _, err := db.Exec(q, args...); err != nil {
			t.Fatal(err)
		}
	}
	run(`CREATE TABLE metadata (name text, value text)`)
	run(`CREATE TABLE tiles (zoom_level integer, tile_column integer, tile_row integer, tile_data blob)`)
	for k, v := range metadata {
		run(`INSERT INTO metadata VALUES (?, ?)`, k, v)
	}
	for at, data := range tiles {
		run(`INSERT INTO tiles VALUES (?, ?, ?, ?)`, at[0], at[1], at[2], []byte(data))
	}
	return name
}

// At zoom 2 the row 3 of the file, the northernmost, is row 0 of the web.
func TestTiles(t *testing.T) {
	ctx := context.Background()
	s, err := mbtiles.Open(ctx, file(t, map[string]string{"name": "Town from the air", "format": "png"}, map[[3]int]string{{2, 1, 3}: "north", {2, 1, 0}: "south", {0, 0, 0}: "all"}))
	if err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	if s.Name() != "Town from the air" || s.Type() != "image/png" || s.Deepest() != 2 {
		t.Errorf("%q %q %d", s.Name(), s.Type(), s.Deepest())
	}
	for at, want := range map[[3]int]string{{2, 1, 0}: "north", {2, 1, 3}: "south", {0, 0, 0}: "all", {2, 2, 2}: "", {2, 4, 0}: "", {-1, 0, 0}: "", {99, 0, 0}: "", {2, 1, -1}: ""} {
		if got, err := s.Tile(ctx, at[0], at[1], at[2]); err != nil || string(got) != want {
			t.Errorf("%v: %q, %v, want %q", at, got, err, want)
		}
	}
}

func TestNoTiles(t *testing.T) {
	ctx := context.Background()
	text := filepath.Join(t.TempDir(), "a.mbtiles")
	if err := os.WriteFile(text, []byte("not a database, but long enough to be looked at as if it were one"), 0o600); err != nil {
		t.Fatal(err)
	}
	half := file(t, map[string]string{"format": "png", "maxzoom": "18"}, nil)
	db, err := sql.Open("sqlite", "file:"+strings.ReplaceAll(strings.ReplaceAll(half, "#", "%23"), " ", "%20"))
	if err == nil {
		_, err = db.Exec(`DROP TABLE tiles`)
	}
	if err != nil {
		t.Fatal(err)
	}
	db.Close()
	for name, c := range map[string]struct{ path, says string }{
		"no file":      {filepath.Join(t.TempDir(), "b.mbtiles"), "b.mbtiles"},
		"another file": {text, "no file of map tiles"},
		"vectors":      {file(t, map[string]string{"format": "pbf"}, nil), `"pbf"`},
		"no format":    {file(t, map[string]string{"name": "x"}, nil), `""`},
		"no tiles":     {file(t, map[string]string{"format": "png", "maxzoom": "18"}, nil), "no tiles"},
		"no table":     {half, "cannot be read"},
		"empty":        {file(t, map[string]string{"format": "jpg"}, nil), "no tiles"},
	} {
		if _, err := mbtiles.Open(ctx, c.path); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v, want %q", name, err, c.says)
		}
	}
	if _, err := os.Stat(filepath.Join(filepath.Dir(text), "b.mbtiles")); err == nil {
		t.Error("a file that is not there is made")
	}
}
