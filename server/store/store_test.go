package store_test

import (
	"context"
	"fmt"
	"testing"

	"github.com/paulmach/orb"

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

// Where more would have to be looked at than may be, what is found is right and it is said that there may be more.
func TestLookedAt(t *testing.T) {
	defer store.Look(20)()
	ctx := context.Background()
	s := folder(t, t.TempDir())
	var changes []server.Change
	for i := range 400 {
		changes = append(changes, server.Change{Item: server.Item{Kind: server.Properties, ID: fmt.Sprintf("p%03d", i), Name: []string{"Gull Row", "Kelp Row"}[i%2], Bounds: &orb.Bound{Min: orb.Point{float64(i), 1}, Max: orb.Point{float64(i), 1}}}})
	}
	changes[399].Words = "gulls"
	if _, err := s.Save(ctx, "", changes...); err != nil {
		t.Fatal(err)
	}
	world := &orb.Bound{Min: orb.Point{-180, -90}, Max: orb.Point{400, 90}}
	for _, c := range []struct {
		q    server.Query
		want int // at the least
		more bool
	}{
		{server.Query{Search: "gull"}, 10, true}, {server.Query{Search: "gull row"}, 10, true}, {server.Query{Within: world}, 10, true}, {server.Query{Search: "gull", Within: world}, 10, true},
		{server.Query{Search: "gull kelp"}, 0, true}, {server.Query{Search: "kelp row", State: "mend"}, 0, true}, {server.Query{Search: "gull", Within: &orb.Bound{Min: orb.Point{398, 0}, Max: orb.Point{398, 2}}}, 1, false},
		{server.Query{Search: "gulls kelp"}, 1, false}, {server.Query{Search: "p01 row"}, 10, false}, {server.Query{Search: "zebra row"}, 0, false},
	} {
		c.q.Kind, c.q.Limit = server.Properties, 10
		p, err := s.Items(ctx, c.q)
		if err != nil || len(p.Items) < c.want || p.More != c.more {
			t.Errorf("%q in %v: %d items, more %v, %v", c.q.Search, c.q.Within, len(p.Items), p.More, err)
		}
	}
}
