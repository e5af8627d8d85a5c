package server_test

import (
	"encoding/json"
	"net/url"
	"slices"
	"strings"
	"testing"
)

// keptOrder is what a kept plan says of its order.
type keptOrder struct {
	Stops  []struct{ Property string }
	ByHand *struct {
		Price string
	} `json:"by_hand"`
	LeftOut []any `json:"left_out"`
}

func (v *visitor) order(fp string) (keptOrder, []string) {
	v.t.Helper()
	var p keptOrder
	v.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	var ids []string
	for _, s := range p.Stops {
		ids = append(ids, s.Property)
	}
	return p, ids
}

// A planner turns the order round: the plan keeps it and says its price, its page does, and without orders the plan is the one of before.
func TestOrderByHand(t *testing.T) {
	o := newOffice(t)
	crew := o.with("crew lead")
	fp := crew.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8", "kelp-circle-3"))
	found, ids := crew.order(fp)
	if found.ByHand != nil {
		t.Error("nobody has fixed an order")
	}
	slices.Reverse(ids)
	ids[0], ids[2] = ids[2], ids[0]
	orders := map[string]any{"orders": []any{map[string]any{"truck": "Truck 1", "stops": ids}}}
	by := crew.planned("/api/plans/"+fp+"/order", orders)
	p, got := crew.order(by)
	if !slices.Equal(got, ids) || p.ByHand == nil || !strings.Contains(p.ByHand.Price, "fixed by hand") {
		t.Errorf("asked for %v, planned %v, %+v", ids, got, p.ByHand)
	}
	if text := crew.get("/plan/"+by, 200); !strings.Contains(text, strings.ReplaceAll(p.ByHand.Price, "'", "&#39;")) || !strings.Contains(text, "Let the order free") {
		t.Error("the plan's page does not say what the order costs")
	}
	if again := crew.planned("/api/plans/"+by+"/order", map[string]any{"orders": []any{}}); again != fp {
		t.Errorf("without the order the plan is %s, and was %s", again, fp)
	}
	day := stops("gull-row-4", "gull-row-6", "kelp-circle-8", "kelp-circle-3")
	day["orders"] = orders["orders"]
	if at := crew.planned("/api/plans", day); at != by {
		t.Errorf("asked with the day the plan is %s, afterwards %s", at, by)
	}
	if text := crew.get("/plan/"+by+"/truck/1/map.svg", 200); !strings.Contains(text, "<svg") {
		t.Errorf("the map of the drives: %.80s", text)
	}
	// The rest of the day keeps it.
	crew.json("POST", "/api/plans/"+by+"/entries", map[string]string{"Idempotency-Key": "1"}, map[string]any{"did": "finished", "truck": "Truck 1", "stop": 1, "at": "08:00"}, 201, nil)
	rest := crew.planned("/api/plans/"+by+"/rest", map[string]any{})
	if _, got := crew.order(rest); !slices.Equal(got, ids[1:]) {
		t.Errorf("the rest goes to %v", got)
	}
	for what, ask := range map[string]struct {
		plan   string
		orders any
		says   []string
	}{
		"a rest":      {rest, orders["orders"], []string{"the rest of a day", by}},
		"half of it":  {fp, []any{map[string]any{"truck": "Truck 1", "stops": ids[:2]}}, []string{"order-misses", ids[2]}},
		"not a truck": {fp, []any{map[string]any{"truck": "<b>", "stops": ids}}, []string{"unknown-name", "orders"}},
		"not a stop":  {fp, []any{map[string]any{"truck": "Truck 1", "stops": append(slices.Clone(ids), "nowhere")}}, []string{"unknown-name", "nowhere"}},
	} {
		b, _ := json.Marshal(map[string]any{"orders": ask.orders})
		_, text := crew.do("POST", "/api/plans/"+ask.plan+"/order", map[string]string{"Content-Type": "application/json"}, strings.NewReader(string(b)), 200)
		for _, s := range ask.says {
			if !strings.Contains(string(text), s) {
				t.Errorf("%s: no %q in %s", what, s, text)
			}
		}
	}
}

// A stop that finds no place is told on the plan's page, and stands at the end of the order, to be put elsewhere.
func TestPlanPageWithLeftOut(t *testing.T) {
	o := newOffice(t)
	day := map[string]any{"date": "2026-04-14", "end": "11:00", "stops": []any{map[string]any{"property": "gull-row-4"}, map[string]any{"property": "windward-park", "window": map[string]any{"until": "07:05"}}}}
	fp := o.owner.planned("/api/plans", day)
	text := o.owner.get("/plan/"+fp, 200)
	if !strings.Contains(text, "Left out</h2>") || !strings.Contains(text, "left out now") || !strings.Contains(text, "even alone it would be") {
		t.Errorf("the page does not tell that the park is left out: %.3000s", text)
	}
}

// The list of stops has their places for the map, and may be of a part of it.
func TestStopsOfAPartOfTheMap(t *testing.T) {
	o := newOffice(t)
	all := o.owner.get("/days?date=2026-04-14", 200)
	if n := strings.Count(all, "data-at=\"-41."); n != 16 {
		t.Errorf("%d stops have a place", n)
	}
	near := o.owner.get("/days?"+url.Values{"date": {"2026-04-14"}, "box": {"-41.2006,38.4,-41.19,38.6"}}.Encode(), 200)
	if n := strings.Count(near, "data-at="); n == 0 || n == 16 || !strings.Contains(near, "Only what lies in a part of the map") {
		t.Errorf("%d stops in a part of the map", n)
	}
	o.owner.get("/days?box=a,b,c,d", 400)
}
