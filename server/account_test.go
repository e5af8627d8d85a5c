package server_test

import (
	"net/url"
	"strings"
	"testing"
)

// What an account says of hours and set-up is what a day is planned with; what no day could read is refused at once, all of it.
func TestAccount(t *testing.T) {
	o := newOffice(t)
	f := url.Values{"version": {"1"}, "name": {"4 Gull Row, front"}, "mixes": {"Feed and wetter"}, "set_up": {"five"}, "due": {"soon"}, "from": {"12:00"}, "until": {"09:00"}}
	text := o.owner.form("/properties/gull-row-4", f, 422)
	for _, want := range []string{"account.set_up", "account.due", "account.window", "12:00 until 09:00"} {
		if !strings.Contains(text, want) {
			t.Errorf("no %q in %.2000s", want, text)
		}
	}
	f.Set("set_up", "12 min")
	f.Set("due", "2026-05-01")
	f.Set("from", "09:30")
	f.Set("until", "")
	if text := o.owner.form("/properties/gull-row-4", f, 200); !strings.Contains(text, `value="09:30"`) || !strings.Contains(text, `value="12 min"`) {
		t.Errorf("kept: %.300s", text)
	}
	fp := o.owner.planned("/api/plans", stops("gull-row-4"))
	var p struct {
		Stops []struct {
			Begin float64 `json:"begin_s"`
		}
	}
	o.owner.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	if len(p.Stops) != 1 || p.Stops[0].Begin < 9.5*3600 {
		t.Errorf("begun at %v s, not before 09:30 is usual", p.Stops)
	}
}
