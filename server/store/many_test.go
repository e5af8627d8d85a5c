package store_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"tankful/server"
	"tankful/server/storetest"
)

// TANKFUL_MANY is how many properties are kept for this test, 3,000 without it; what searches and windows take is told, and held against nothing: machines differ.
func TestMany(t *testing.T) {
	n := 3000
	if v, err := strconv.Atoi(os.Getenv("TANKFUL_MANY")); err == nil {
		n = v
	}
	copied := filepath.Join(t.TempDir(), "copy")
	t.Run("SQLite", func(t *testing.T) {
		s := folder(t, t.TempDir())
		fill(t, s, n)
		began := time.Now()
		f, err := os.Create(copied)
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(s.Dump(context.Background(), f), f.Close()); err != nil {
			t.Fatal(err)
		}
		t.Logf("copied in %v", time.Since(began).Round(time.Millisecond))
		ask(t, s, n)
	})
	t.Run("Postgres", func(t *testing.T) {
		s, err := open(context.Background(), storetest.Schema(t))
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		if f, err := os.Open(copied); err != nil {
			fill(t, s, n)
		} else {
			began := time.Now()
			if err := errors.Join(s.Load(context.Background(), f), f.Close()); err != nil {
				t.Fatal(err)
			}
			t.Logf("the copy of %d properties read in %v", n, time.Since(began).Round(time.Millisecond))
		}
		ask(t, s, n)
	})
}

func fill(t *testing.T, s server.Store, n int) {
	ctx := context.Background()
	streets := []string{"Gull Row", "Kelp Circle", "Spray Street", "Tern Way", "Shoal Lane", "Drift Lane", "Long Quay", "Sandpiper Court"}
	r := rand.New(rand.NewPCG(1, 2))
	began := time.Now()
	for from := 0; from < n; from += 1000 {
		var changes []server.Change
		for i := from; i < min(from+1000, n); i++ {
			words := ""
			if i == n-5 { // a Tern Way, among the last
				words = "behind the kelp"
			}
			x, y := -42+2*r.Float64(), 38+r.Float64()
			changes = append(changes, server.Change{Item: server.Item{Kind: server.Properties, Words: words, ID: fmt.Sprintf("lot-%d", i), Name: fmt.Sprintf("%d %s", i/len(streets)+1, streets[i%len(streets)]), State: "measured", Facts: json.RawMessage(`{"net":"5,000 sq ft"}`), Body: json.RawMessage(`{}`),
				Bounds: &orb.Bound{Min: orb.Point{x, y}, Max: orb.Point{x + 3e-4, y + 3e-4}}}})
		}
		if _, err := s.Save(ctx, "", changes...); err != nil {
			t.Fatal(err)
		}
	}
	t.Logf("%d properties kept in %v", n, time.Since(began).Round(time.Millisecond))
}

func ask(t *testing.T, s server.Store, n int) {
	ctx := context.Background()
	box := func(x, y, size float64) *orb.Bound {
		return &orb.Bound{Min: orb.Point{x, y}, Max: orb.Point{x + size, y + size}}
	}
	for _, c := range []struct {
		what string
		q    server.Query
		some bool
	}{
		{"one number and street", server.Query{Search: fmt.Sprintf("%d tern way", n/16)}, true}, {"a street", server.Query{Search: "gull"}, true}, {"two common words", server.Query{Search: "lane drift"}, true}, {"the head of a number", server.Query{Search: "12"}, true},
		{"words that never meet", server.Query{Search: "gull kelp"}, false}, {"and one that has both", server.Query{Search: "tern kelp"}, true}, {"three words, one rare", server.Query{Search: fmt.Sprintf("lane long %d", n/16)}, false}, {"many common words", server.Query{Search: "l s lo long quay la lane"}, false}, {"a common word, no such state", server.Query{Search: "gull", State: "mend"}, false},
		{"a rare word on the whole map", server.Query{Search: fmt.Sprintf("%d", n/16), Within: box(-180, -90, 360)}, true}, {"never meet, on the map", server.Query{Search: "gull kelp", Within: box(-180, -90, 360)}, false}, {"nothing", server.Query{Search: "zebra"}, false}, {"one letter", server.Query{Search: "s"}, true},
		{"a window of a street", server.Query{Within: box(-41.5, 38.5, .005)}, n > 100_000}, {"a window of a town", server.Query{Within: box(-41.5, 38.5, .1)}, true}, {"the whole map", server.Query{Within: box(-180, -90, 180)}, true}, {"a word in a town", server.Query{Search: "gull", Within: box(-41.5, 38.5, .1)}, true}, {"a word on the whole map", server.Query{Search: "gull", Within: box(-180, -90, 180)}, true},
		{"the first page", server.Query{}, true},
	} {
		c.q.Kind, c.q.Limit = server.Properties, 50
		var took []time.Duration
		var p server.Page
		for range 15 {
			began := time.Now()
			var err error
			p, err = s.Items(ctx, c.q)
			took = append(took, time.Since(began))
			if err != nil || (len(p.Items) > 0) != c.some {
				t.Fatalf("%s: %d items, %v", c.what, len(p.Items), err)
			}
		}
		slices.Sort(took)
		t.Logf("%-28s %2d found, more %-5v median %8v, slowest of 15 %8v", c.what, len(p.Items), p.More, took[7].Round(10*time.Microsecond), took[14].Round(10*time.Microsecond))
	}
}
