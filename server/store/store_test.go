package store_test

import (
	"context"
	"testing"

	"tankful/server"
	"tankful/server/store"
	"tankful/server/storetest"
)

func TestSQLite(t *testing.T) {
	storetest.Test(t, func(t *testing.T) server.Store { return folder(t, t.TempDir()) })
}

func folder(t testing.TB, dir string) *store.Store {
	t.Helper()
	s, err := store.Folder(context.Background(), dir)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { _ = s.Close() })
	return s
}

func TestPostgres(t *testing.T) {
	storetest.Test(t, func(t *testing.T) server.Store {
		s, err := store.Postgres(context.Background(), storetest.Schema(t))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = s.Close() })
		return s
	})
}

// Words that many items have are looked up in another way, which must find the same.
func TestCommonWords(t *testing.T) {
	defer store.Common(1)()
	t.Run("SQLite", TestSQLite)
	t.Run("Postgres", TestPostgres)
}
