package storetest

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"sync"
	"testing"

	"tankful/server"
)

// Twenty writers change one item, each from what it has read: every change that was acknowledged is there, and none was lost.
func manyWriters(t *testing.T, s server.Store) {
	ctx := context.Background()
	save(t, s, 0, lawn("a", "0"))
	const writers, each = 20, 5
	var wait sync.WaitGroup
	for w := range writers {
		wait.Go(func() {
			for n := 0; n < each; {
				it, err := s.Item(ctx, server.Properties, "a")
				if err != nil {
					t.Error(err)
					return
				}
				var count int
				_ = json.Unmarshal(it.Facts, &count)
				next := lawn("a", "A")
				next.Facts, next.By = json.RawMessage(fmt.Sprint(count+1)), fmt.Sprint("writer ", w)
				_, err = s.Save(ctx, "", server.Change{Item: next, Was: it.Version})
				var c *server.ConflictError
				switch {
				case err == nil:
					n++
				case !errors.As(err, &c):
					t.Error(err)
					return
				}
			}
		})
	}
	wait.Wait()
	it := must[server.Item](t)(s.Item(ctx, server.Properties, "a"))
	if it.Version != writers*each+1 || string(it.Facts) == "" || len(must[[]server.Item](t)(s.Versions(ctx, server.Properties, "a"))) != writers*each+1 {
		t.Errorf("version %d, want %d", it.Version, writers*each+1)
	}
}

// One phone sends the same entry ten times at once: it is there once, and every answer is the same.
func sameKeyAtOnce(t *testing.T, s server.Store) {
	ctx := context.Background()
	var wait sync.WaitGroup
	seqs := make([]int64, 10)
	for i := range seqs {
		wait.Go(func() {
			e, err := s.Append(ctx, "one key", server.Entry{Log: server.Worked, About: "plan", Body: json.RawMessage(`{}`), At: at})
			if err != nil {
				t.Error(err)
			}
			seqs[i] = e.Seq
		})
	}
	wait.Wait()
	all := must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Worked, Limit: 100}))
	if len(all) != 1 {
		t.Fatalf("%d entries", len(all))
	}
	for _, q := range seqs {
		if q != all[0].Seq {
			t.Errorf("an answer says entry %d, not %d", q, all[0].Seq)
		}
	}
}

// A reader that goes on from the last entry it has seen misses none, however many write.
func entriesInOrder(t *testing.T, s server.Store) {
	ctx := context.Background()
	const writers, each = 8, 10
	done := make(chan struct{})
	var wait sync.WaitGroup
	for range writers {
		wait.Go(func() {
			for range each {
				if _, err := s.Append(ctx, "", server.Entry{Log: server.Worked, About: "plan", Body: json.RawMessage(`{}`), At: at}); err != nil {
					t.Error(err)
				}
			}
		})
	}
	go func() { wait.Wait(); close(done) }()
	seen, after := 0, int64(0)
	for last := false; ; {
		batch := must[[]server.Entry](t)(s.Entries(ctx, server.EntryQuery{Log: server.Worked, After: after, Limit: 1000}))
		for _, e := range batch {
			seen, after = seen+1, e.Seq
		}
		if last {
			break
		}
		select {
		case <-done:
			last = true
		default:
		}
	}
	if seen != writers*each {
		t.Errorf("%d of %d entries seen", seen, writers*each)
	}
}
