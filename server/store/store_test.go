package store_test

import (
	"context"
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"sync/atomic"
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

// TANKFUL_POSTGRES is the URL of a PostgreSQL database in which the tests may make and drop schemas.
func TestPostgres(t *testing.T) {
	storetest.Test(t, func(t *testing.T) server.Store {
		s, err := store.Postgres(context.Background(), schema(t))
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { _ = s.Close() })
		return s
	})
}

var schemas atomic.Int64

// schema is the URL of an empty schema, which is dropped with the test.
func schema(t testing.TB) string {
	t.Helper()
	dsn := os.Getenv("TANKFUL_POSTGRES")
	if dsn == "" {
		t.Skip("TANKFUL_POSTGRES is not set: no PostgreSQL to try")
	}
	db, err := sql.Open("pgx", dsn)
	if err != nil {
		t.Fatal(err)
	}
	name := fmt.Sprintf("tankful_%d_%d", os.Getpid(), schemas.Add(1))
	if _, err := db.Exec(`CREATE SCHEMA ` + name); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		_, _ = db.Exec(`DROP SCHEMA ` + name + ` CASCADE`)
		_ = db.Close()
	})
	u, err := url.Parse(dsn)
	if err != nil {
		t.Fatal(err)
	}
	q := u.Query()
	q.Set("search_path", name)
	u.RawQuery = q.Encode()
	return u.String()
}
