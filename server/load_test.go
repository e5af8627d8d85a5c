package server_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net/http"
	"os"
	goruntime "runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"tankful/server"
)

// Fifty people read lists, maps, plans and pages at once. TANKFUL_LOAD is for how many seconds, 2 without it (with fewer properties and plans), at 300 requests a second in all. No request may fail; how long they took is told, and
// held against nothing: machines differ.
func TestLoad(t *testing.T) {
	seconds, lots, plans := 2, 60, 10
	if v, err := strconv.Atoi(os.Getenv("TANKFUL_LOAD")); err == nil {
		seconds, lots, plans = v, 1000, 200
	}
	o := newOffice(t)
	ctx := context.Background()
	o.fill(lots, plans)
	fp := o.owner.planned("/api/plans", stops("gull-row-4", "kelp-circle-8"))
	var tokens []string
	for i := range 50 {
		var out struct{ Token string }
		o.owner.json("POST", "/api/tokens", nil, map[string]any{"name": fmt.Sprint("user ", i)}, 201, &out)
		tokens = append(tokens, out.Token)
	}
	paths := []string{"/api/properties?limit=50", "/api/properties?search=gull", "/api/properties?bbox=-41.21,38.48,-41.15,38.52&limit=200", "/properties?search=kelp", "/api/properties/mirror-pond", "/features/collections/properties/items?limit=10", "/api/plans?limit=20", "/", "/plan/" + fp + "/truck/1/stop/1", "/quotes", "/api/plans/" + fp + "/entries"}
	const users, rate = 50, 300
	var mu sync.Mutex
	took := map[string][]time.Duration{}
	failed := 0
	client := &http.Client{Transport: &http.Transport{MaxIdleConnsPerHost: users}}
	end := time.Now().Add(time.Duration(seconds) * time.Second)
	var wait sync.WaitGroup
	for u := range users {
		wait.Go(func() {
			time.Sleep(time.Second / rate * time.Duration(u)) // people do not move in step
			tick := time.NewTicker(time.Second * users / rate)
			defer tick.Stop()
			for n := u; time.Now().Before(end); n++ {
				<-tick.C
				path := paths[n%len(paths)]
				r, _ := http.NewRequestWithContext(ctx, "GET", o.http.URL+path, nil)
				r.Header.Set("Authorization", "Bearer "+tokens[u])
				r.Header.Set("Accept", "text/html")
				began := time.Now()
				answer, err := client.Do(r)
				if err == nil {
					_, err = io.Copy(io.Discard, answer.Body)
					answer.Body.Close()
				}
				d := time.Since(began)
				mu.Lock()
				took[path] = append(took[path], d)
				if err != nil || answer.StatusCode != 200 {
					failed++
				}
				mu.Unlock()
			}
		})
	}
	wait.Wait()
	all := 0
	for _, path := range paths {
		d := took[path]
		slices.Sort(d)
		all += len(d)
		if len(d) > 0 {
			t.Logf("%-62s %5d, median %7v, 99 of 100 %7v, slowest %7v", strings.ReplaceAll(path, fp, "PLAN"), len(d), d[len(d)/2].Round(100*time.Microsecond), d[len(d)*99/100].Round(100*time.Microsecond), d[len(d)-1].Round(100*time.Microsecond))
		}
	}
	var m goruntime.MemStats
	goruntime.ReadMemStats(&m)
	t.Logf("%d requests in %d s, %d failed; %d MB from the system (with the clients and the filling)", all, seconds, failed, m.Sys>>20)
	if failed > 0 || all < users {
		t.Errorf("%d of %d requests failed", failed, all)
	}
}

// fill keeps copies of the demo's properties elsewhere on the map, and plans.
func (o *office) fill(lots, plans int) {
	o.t.Helper()
	_, body := o.owner.do("GET", "/api/properties/kelp-circle-8", nil, nil, 200)
	fp := o.owner.planned("/api/plans", stops("kelp-circle-3"))
	_, p := o.owner.do("GET", "/api/plans/"+fp, nil, nil, 200)
	var changes []server.Change
	for i := range lots {
		var whole map[string]json.RawMessage
		if err := json.Unmarshal(body, &whole); err != nil {
			o.t.Fatal(err)
		}
		name := fmt.Sprintf("%d Gull Row", i+100)
		whole["account"] = json.RawMessage(`{"name":"` + name + `"}`)
		text, err := json.Marshal(whole)
		if err != nil {
			o.t.Fatal(err)
		}
		o.owner.do("POST", fmt.Sprintf("/api/properties?id=copy-%d", i), map[string]string{"Content-Type": "application/geo+json"}, bytes.NewReader(text), 201)
	}
	kept, err := json.Marshal(map[string]any{"plan": json.RawMessage(p)})
	if err != nil {
		o.t.Fatal(err)
	}
	for i := range plans {
		changes = append(changes, server.Change{Item: server.Item{Kind: server.Plans, ID: fmt.Sprintf("copy%d", i), Name: fmt.Sprintf("2026-03-%02d copy%d", i%28+1, i), Body: kept, Facts: json.RawMessage(`{"date":"2026-03-01","trucks":["Truck 1"],"stops":1,"loads":1,"length_s":1200,"volume":"10 gal"}`)}})
	}
	if _, err := o.s.Store.Save(context.Background(), "", changes...); err != nil {
		o.t.Fatal(err)
	}
}
