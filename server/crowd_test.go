package server_test

import (
	"io"
	"net/http"
	"strings"
	"sync"
	"testing"
	"time"
)

// A program that sends without end is told to wait; somebody else is answered meanwhile, and so is it once it has let go.
func TestOnePersonDoesNotTakeAll(t *testing.T) {
	o := newOffice(t)
	est, other := o.with("estimator"), o.with("sales")
	var writers []*io.PipeWriter
	var all sync.WaitGroup
	defer func() {
		for _, w := range writers {
			_ = w.Close()
		}
		all.Wait()
	}()
	send := func() { // a body that does not end
		in, out := io.Pipe()
		writers = append(writers, out)
		r, err := http.NewRequest("POST", est.at+"/api/measure", in)
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/geo+json")
		all.Go(func() {
			if answer, err := est.http.Do(r); err == nil {
				_ = answer.Body.Close()
			}
		})
		_, _ = out.Write([]byte("{"))
	}
	for range 24 { // some are refused
		send()
	}
	small := func(v *visitor) int {
		answer, _ := v.do("POST", "/api/tape", map[string]string{"Content-Type": "application/json"}, strings.NewReader(`{"text":"square 9 ft"}`), 0)
		return answer.StatusCode
	}
	full := 0
	for range 1000 { // until all have come in
		if full = small(est); full == 429 {
			break
		}
		time.Sleep(10 * time.Millisecond)
	}
	if full != 429 {
		t.Errorf("beside 16 requests another is answered %d", full)
	}
	if got := small(other); got != 200 {
		t.Errorf("somebody else is answered %d", got)
	}
	est.get("/properties", 200)
	for _, w := range writers {
		_ = w.Close()
	}
	all.Wait()
	if got := small(est); got != 200 {
		t.Errorf("afterwards it is answered %d", got)
	}
}
