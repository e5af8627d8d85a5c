package server_test

import (
	"encoding/json"
	"fmt"
	"os"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"
)

// Every page is held against the rules of WCAG 2.2 A and AA that a program can look at, by axe-core (https://github.com/dequelabs/axe-core): contrast, labels, names of
// buttons, headings, languages, the size of what is tapped. By day and by night, on a phone and on a desk. TANKFUL_AXE is its script, axe.min.js.
func TestPagesByWCAG(t *testing.T) {
	if slow {
		return
	}
	name := os.Getenv("TANKFUL_AXE")
	if name == "" {
		t.Skip("TANKFUL_AXE is not set: npm ci in server/web/bundle brings node_modules/axe-core/axe.min.js")
	}
	script, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	o := newOffice(t)
	data, world := plot(t)
	o.owner.upload("/properties/gull-row-4/pictures", map[string][2]string{"picture": {"lot.png", string(data)}, "world": {"lot.pgw", world}}, nil, 200)
	fp := o.owner.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-3"))
	_, ids := o.owner.order(fp)
	ids[0], ids[1] = ids[1], ids[0]
	by := o.owner.planned("/api/plans/"+fp+"/order", map[string]any{"orders": []any{map[string]any{"truck": "Truck 1", "stops": ids}}})
	for i, e := range []map[string]any{{"did": "finished", "stop": 1}, {"did": "gauge", "stop": 1, "tank": "front tank", "reads": "17.2 gal"}, {"did": "weather", "stop": 1, "wind": "6 mph", "wind_from": "NW", "temperature": "61 F"}, {"did": "skipped", "stop": 2, "why": "Gate locked"}} {
		e["truck"], e["at"] = "Truck 1", fmt.Sprintf("08:%02d", 10+i)
		o.owner.json("POST", "/api/plans/"+fp+"/entries", map[string]string{"Idempotency-Key": fmt.Sprint(i)}, e, 201, nil)
	}
	rest := o.owner.planned("/api/plans/"+fp+"/rest", map[string]any{})
	o.owner.json("POST", "/api/plans/"+fp+"/record", nil, nil, 200, nil)
	var quotes []struct{ ID string }
	o.owner.json("POST", "/api/quotes", nil, map[string]any{"properties": []string{"gull-row-4"}}, 201, &quotes)
	ctx := browser(t, 390, 844)
	paths := []string{"/sign-in", "/nowhere"}
	look := func(at string) {
		run(t, ctx, chromedp.Navigate(o.http.URL+at), chromedp.Sleep(250*time.Millisecond), chromedp.Evaluate(string(script)+";0", nil))
		run(t, ctx, chromedp.Evaluate(`document.querySelectorAll("details").forEach(d => { d.open = true; }), 0`, nil))
		var text string
		run(t, ctx, chromedp.Evaluate(`axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"] }).then(r => JSON.stringify({ passes: r.passes.length, violations: r.violations.map(v => ({ id: v.id, help: v.help, nodes: v.nodes.slice(0, 4).map(n => n.html.slice(0, 160) + " | " + n.any.concat(n.all, n.none).map(c => c.message).join("; ")) })) }))`, &text, func(p *runtime.EvaluateParams) *runtime.EvaluateParams { return p.WithAwaitPromise(true) }))
		var r struct {
			Passes     int
			Violations []struct {
				ID, Help string
				Nodes    []string
			}
		}
		if err := json.Unmarshal([]byte(text), &r); err != nil || r.Passes < 5 {
			t.Fatalf("%s: %v, %.300s", at, err, text)
		}
		for _, v := range r.Violations {
			t.Errorf("%s: %s, %s:\n\t%s", at, v.ID, v.Help, strings.Join(v.Nodes, "\n\t"))
		}
	}
	for _, at := range paths {
		look(at)
	}
	enter(t, ctx, o, "olive")
	paths = []string{"/", "/properties", "/properties/gull-row-4", "/properties/pond?was=1", "/days?date=2026-04-14", "/plan/" + fp, "/plan/" + by, "/plan/" + rest, "/plan/" + fp + "/against/" + by, "/plan/" + fp + "/truck/1", "/plan/" + fp + "/truck/1/stop/1",
		"/quotes", "/quotes/" + quotes[0].ID, "/record", "/record/1", "/outfit", "/outfit/operator/operator-one", "/outfit/product/new", "/catch", "/people", "/nowhere"}
	for _, night := range []string{"light", "dark"} {
		for _, width := range []int64{390, 1440} {
			run(t, ctx, emulation.SetDeviceMetricsOverride(width, 900, 1, width < 500), emulation.SetEmulatedMedia().WithFeatures([]*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: night}}))
			for _, at := range paths {
				if width == 1440 && night == "dark" && at != "/properties/gull-row-4" && at != "/days?date=2026-04-14" {
					continue // colours are those of the phone
				}
				look(at)
			}
		}
	}
}
