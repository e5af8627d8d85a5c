package main

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"strconv"
	"strings"

	"github.com/paulmach/orb"
	"github.com/rogpeppe/go-internal/testscript"

	"tankful/geo/road/roadtest"
)

// streets writes an extract with a grid of streets, 100 m apart and more, round the places of testdata/base.
func streets(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 1, "streets FILE")
	const n = 9
	var at []orb.Point
	for i := range n {
		for j := range n {
			at = append(at, orb.Point{-41.2048 + 0.0012*float64(i), 38.4958 + 0.001*float64(j)})
		}
	}
	var ways []roadtest.Way
	for i := range int64(n) {
		var north, east []int64
		for j := range int64(n) {
			north, east = append(north, 1+i*n+j), append(east, 1+j*n+i)
		}
		ways = append(ways, roadtest.Way{Points: north, Tags: []string{"highway", "residential"}}, roadtest.Way{Points: east, Tags: []string{"highway", "tertiary"}})
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), roadtest.Extract(at, ways), 0o600))
}

// service starts a routing service that has 300 s and 2 km for every drive, and sets the variable to its address. With a second word it answers that status instead.
func service(ts *testscript.TestScript, neg bool, args []string) {
	need(ts, neg, len(args) == 1 || len(args) == 2, "service VARIABLE [STATUS]")
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if len(args) == 2 {
			status, _ := strconv.Atoi(args[1])
			w.WriteHeader(status)
			return
		}
		_, from, _ := strings.Cut(r.URL.RawQuery, "sources=")
		from, to, _ := strings.Cut(from, "&destinations=")
		row := func(x string) string {
			return "[" + strings.TrimSuffix(strings.Repeat(x+",", 1+strings.Count(to, ";")), ",") + "]"
		}
		rows := func(x string) string {
			return "[" + strings.TrimSuffix(strings.Repeat(row(x)+",", 1+strings.Count(from, ";")), ",") + "]"
		}
		fmt.Fprintf(w, `{"code":"Ok","durations":%s,"distances":%s}`, rows("300"), rows("2000"))
	}))
	ts.Defer(s.Close)
	ts.Setenv(args[0], s.URL)
}
