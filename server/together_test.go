package server_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"log/slog"
	"net/http"
	"net/http/httptest"
	"net/url"
	"sync"
	"testing"

	_ "github.com/jackc/pgx/v5/stdlib"

	"tankful/server"
	"tankful/server/store"
	"tankful/server/storetest"
)

// Two servers on one PostgreSQL, and people on both who change the same property at once: whoever is told that a change is kept has it among the versions, and there are no others.
func TestTwoServers(t *testing.T) {
	dsn := storetest.Schema(t)
	var offices []*office
	for range 2 {
		s, err := store.Postgres(context.Background(), dsn)
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		o := &office{t: t, log: &bytes.Buffer{}}
		if o.s, err = server.New(server.Config{Store: s, Log: slog.New(slog.DiscardHandler), Now: clock, Engine: "test", SetUpWord: word}); err != nil {
			t.Fatal(err)
		}
		o.http = httptest.NewServer(o.s)
		defer o.http.Close()
		offices = append(offices, o)
	}
	owner := offices[0].visitor()
	owner.form("/first", url.Values{"word": {word}, "id": {"olive"}, "name": {"Olive"}, "password": {"a long password"}}, 200)
	var out struct{ Token string }
	owner.json("POST", "/api/tokens", nil, map[string]any{"name": "both"}, 201, &out)
	owner.json("POST", "/api/properties?id=lot", map[string]string{"Content-Type": "application/geo+json"}, `{"type":"FeatureCollection","account":{"name":"lot"},"features":[]}`, 201, nil)
	kept := map[string]bool{}
	var mu sync.Mutex
	var wait sync.WaitGroup
	for w := range 12 {
		at := offices[w%2].http.URL + "/api/properties/lot"
		wait.Go(func() {
			for n := 0; n < 5; {
				r, _ := http.NewRequest("GET", at, nil)
				r.Header.Set("Authorization", "Bearer "+out.Token)
				answer, err := http.DefaultClient.Do(r)
				if err != nil {
					t.Error(err)
					return
				}
				answer.Body.Close()
				mine := fmt.Sprintf("writer %d, change %d", w, n)
				r, _ = http.NewRequest("PUT", at, bytes.NewReader([]byte(`{"type":"FeatureCollection","account":{"name":"`+mine+`"},"features":[]}`)))
				r.Header.Set("Authorization", "Bearer "+out.Token)
				r.Header.Set("Content-Type", "application/geo+json")
				r.Header.Set("If-Match", answer.Header.Get("ETag"))
				answer, err = http.DefaultClient.Do(r)
				if err != nil {
					t.Error(err)
					return
				}
				answer.Body.Close()
				switch answer.StatusCode {
				case http.StatusOK:
					n++
					mu.Lock()
					kept[mine] = true
					mu.Unlock()
				case http.StatusPreconditionFailed:
				default:
					t.Errorf("status %d", answer.StatusCode)
					return
				}
			}
		})
	}
	wait.Wait()
	var versions []struct{ Name string }
	offices[1].visitor().json("GET", "/api/properties/lot/versions", map[string]string{"Authorization": "Bearer " + out.Token}, nil, 200, &versions)
	if len(kept) != 60 || len(versions) != 61 {
		t.Errorf("%d changes were acknowledged, and there are %d versions", len(kept), len(versions))
	}
	for _, v := range versions[:len(versions)-1] {
		if !kept[v.Name] {
			t.Errorf("a version by %q, which nobody was told is kept", v.Name)
		}
	}
	var entries []json.RawMessage
	owner.json("GET", "/api/audit?about=property/lot", nil, nil, 200, &entries)
	if len(entries) != 61 {
		t.Errorf("%d lines in the audit log", len(entries))
	}
}
