package storetest

import (
	"database/sql"
	"fmt"
	"net/url"
	"os"
	"sync/atomic"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib" // the driver "pgx"
)

var schemas atomic.Int64

// Schema is the URL of an empty schema of the PostgreSQL database that TANKFUL_POSTGRES names, in which tests may make and drop schemas; it is dropped with the test. Without the variable the test is skipped.
func Schema(t testing.TB) string {
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
