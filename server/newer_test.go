package server_test

import (
	"net/url"
	"strings"
	"testing"
)

// Once the rest of a day is planned, every page of the morning's plan says so and leads there; the rest can be planned again from its own page.
func TestNewerPlanIsTold(t *testing.T) {
	o := newOffice(t)
	fp := o.owner.planned("/api/plans", stops("gull-row-9", "kelp-circle-8"))
	pages := []string{"/plan/" + fp, "/plan/" + fp + "/truck/1", "/plan/" + fp + "/truck/1/stop/1"}
	for _, at := range pages {
		if text := o.owner.get(at, 200); strings.Contains(text, "planned anew") {
			t.Errorf("%s tells of a plan that nobody has made", at)
		}
	}
	o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, map[string]any{"did": "finished", "truck": "Truck 1", "stop": 1, "at": "08:00"}, 201, nil)
	rest := o.owner.planned("/api/plans/"+fp+"/rest", map[string]any{})
	for _, at := range pages {
		if text := o.owner.get(at, 200); !strings.Contains(text, `planned anew. Work from <a href="/plan/`+rest) {
			t.Errorf("%s does not tell of plan %s", at, rest)
		}
	}
	if text := o.owner.get("/plan/"+rest, 200); strings.Contains(text, "planned anew") || !strings.Contains(text, `id="plan-rest" data-plan="`+fp) {
		t.Error("the rest's page does not plan again from the morning's plan")
	}
	if text := o.owner.get(pages[1], 200); !strings.Contains(text, "Next: stop 2, ") {
		t.Errorf("the next stop has no name: %.900s", text[strings.Index(text, "<main"):])
	}
}

// A problem names the stop that it is of, not a line of a file that nobody has seen; on the plan that is kept too.
func TestProblemsNameStops(t *testing.T) {
	o := newOffice(t)
	_, text := o.owner.do("POST", "/api/plans", map[string]string{"Content-Type": "application/json"}, strings.NewReader(`{"date":"2026-04-14","stops":[{"property":"gull-row-9"},{"property":"kelp-circle-8","window":{"from":"12:00","until":"09:00"}}]}`), 200)
	if !strings.Contains(string(text), `"where":"8 Kelp Circle: window"`) {
		t.Errorf("refused: %s", text)
	}
	fp := o.owner.planned("/api/plans", stops("tern-chapel", "gull-row-4"))
	page := o.owner.get("/plan/"+fp, 200)
	if !strings.Contains(page, "<b>Tern Chapel</b>") || strings.Contains(page, "day.yaml") {
		t.Errorf("the plan's problems: %.3000s", page[strings.Index(page, "<main"):])
	}
}

// A property is taken out on its page: it is in no list any more, and its record stays.
func TestPropertyTakenOut(t *testing.T) {
	o := newOffice(t)
	est, sales := o.with("estimator"), o.with("sales")
	sales.form("/properties/kelp-circle-3/away", url.Values{"version": {"1"}}, 403)
	est.form("/properties/kelp-circle-3/away", url.Values{"version": {"7"}}, 412)
	if text := est.form("/properties/kelp-circle-3/away", url.Values{"version": {"1"}}, 200); strings.Contains(text, ">3 Kelp Circle<") {
		t.Error("it is in the list still")
	}
	est.get("/properties/kelp-circle-3", 404)
	est.get("/api/properties/kelp-circle-3/versions/1", 200)
}
