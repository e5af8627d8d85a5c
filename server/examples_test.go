package server_test

import (
	"net/url"
	"strings"
	"testing"

	"tankful/server"
)

// An owner who begins with nothing and writes what the pages show as examples has a whole outfit, and plans a first day with it.
func TestExamplesMakeAnOutfit(t *testing.T) {
	o := bare(t)
	o.owner = o.visitor()
	o.owner.form("/first", url.Values{"word": {word}, "id": {"olive"}, "name": {"Olive Owner"}, "password": {"a long password"}}, 200)
	for _, kind := range server.OutfitKinds {
		path := "/outfit/" + string(kind) + "/new"
		if kind == server.Outfit {
			path = "/outfit/outfit/outfit"
		}
		page := o.owner.get(path, 200)
		_, text, found := strings.Cut(page, `<pre class="code" tabindex="0">`)
		text, _, _ = strings.Cut(text, "</pre>")
		if !found || strings.Contains(page, "required>name:") {
			t.Fatalf("%s shows no example, or has it in the form", path)
		}
		text = strings.NewReplacer("&#34;", `"`, "&#39;", "'", "&amp;", "&", "&lt;", "<", "&gt;", ">").Replace(text)
		o.owner.form(path, url.Values{"text": {text}, "version": {"0"}}, 200)
	}
	if page := o.owner.get("/outfit", 200); strings.Contains(page, "To mend") {
		t.Errorf("the outfit is not whole: %.3000s", page[strings.Index(page, "<main"):])
	}
	lawn := `{"type":"FeatureCollection","account":{"name":"First lawn","mixes":["Feed"]},"features":[{"type":"Feature","properties":{"surface":"turf"},"geometry":{"type":"Polygon","coordinates":[[[-41.199,38.501],[-41.1988,38.501],[-41.1988,38.5012],[-41.199,38.5012],[-41.199,38.501]]]}}]}`
	o.owner.do("PUT", "/api/properties/first", map[string]string{"If-None-Match": "*", "Content-Type": "application/geo+json"}, strings.NewReader(lawn), 0)
	fp := o.owner.planned("/api/plans", map[string]any{"date": "2026-05-04", "stops": []any{map[string]any{"property": "first"}}})
	if page := o.owner.get("/plan/"+fp, 200); !strings.Contains(page, "First lawn") || strings.Contains(page, "INVENTED DATA") {
		t.Errorf("the first day: %.1500s", page)
	}
}
