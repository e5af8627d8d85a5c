package server_test

import (
	"bytes"
	"flag"
	"fmt"
	"net/http"
	"net/url"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"tankful/server"
)

var update = flag.Bool("update", false, "write the golden files anew")

// Every route of the router is in the table of access, and every line of the table is a route.
func TestAccessTableIsWhole(t *testing.T) {
	o := bare(t)
	router, table := o.s.Routes()
	slices.Sort(router)
	slices.Sort(table)
	router = slices.Compact(router)
	if len(router) < 60 {
		t.Errorf("%d routes are seen, want 60 at least", len(router))
	}
	extra := []string{"GET /api/openapi.yaml", "GET /api/openapi-3.0.json", "GET /api/openapi-3.0.yaml"} // huma's own, which nobody may ask
	router = slices.DeleteFunc(router, func(r string) bool { return slices.Contains(extra, r) })
	if d := cmp.Diff(table, router); d != "" {
		t.Errorf("table (-) and router (+):\n%s", d)
	}
}

// The document of the API has just the operations that there are, with a summary each, and asks for a token.
func TestOpenAPI(t *testing.T) {
	o := newOffice(t)
	var doc struct {
		OpenAPI  string
		Security []any
		Paths    map[string]map[string]struct {
			Summary   string
			Responses map[string]any
		}
	}
	o.owner.json("GET", "/api/openapi.json", nil, nil, 200, &doc)
	if !strings.HasPrefix(doc.OpenAPI, "3.1") || len(doc.Security) != 1 {
		t.Errorf("OpenAPI %s, security %v", doc.OpenAPI, doc.Security)
	}
	var told, there []string
	for path, operations := range doc.Paths {
		for method, op := range operations {
			told = append(told, strings.ToUpper(method)+" "+path)
			if op.Summary == "" || len(op.Responses) == 0 {
				t.Errorf("%s %s has no summary or no answers", method, path)
			}
		}
	}
	_, table := o.s.Routes()
	for _, route := range table {
		if strings.Contains(route, " /api/") && route != "GET /api/openapi.json" {
			there = append(there, route)
		}
	}
	slices.Sort(told)
	slices.Sort(there)
	if d := cmp.Diff(there, told); d != "" {
		t.Errorf("routes (-) and document (+):\n%s", d)
	}
}

var variable = regexp.MustCompile(`\{([a-z]+)[^}]*\}`)

// sample is a path of a route: what it names is not there.
func sample(route string) string {
	return variable.ReplaceAllStringFunc(route, func(v string) string {
		switch name := variable.FindStringSubmatch(v)[1]; name {
		case "kind":
			return "mix"
		case "truck", "stop", "version", "seq":
			return "1"
		case "collection":
			return "properties"
		default:
			return "no-such-" + name
		}
	})
}

// Every route is asked by every role, by nobody, by who has ended and with a made-up token. Who got in stands in testdata/access.txt, to be read by people.
func TestWhoGetsIn(t *testing.T) {
	o := newOffice(t)
	tokens := map[server.Role]string{}
	for _, role := range server.Roles {
		v := o.owner
		if role != server.Owner {
			v = o.with(role)
		}
		var out struct{ Token string }
		v.json("POST", "/api/tokens", nil, map[string]any{"name": "test"}, 201, &out)
		tokens[role] = out.Token
	}
	_, table := o.s.Routes()
	slices.Sort(table)
	stranger := &http.Client{CheckRedirect: func(*http.Request, []*http.Request) error { return http.ErrUseLastResponse }}
	ask := func(route, token string) int {
		method, path, _ := strings.Cut(route, " ")
		r, err := http.NewRequest(method, o.http.URL+sample(path), strings.NewReader("{}"))
		if err != nil {
			t.Fatal(err)
		}
		r.Header.Set("Content-Type", "application/json")
		r.Header.Set("Accept", "text/html")
		if token != "" {
			r.Header.Set("Authorization", "Bearer "+token)
		}
		answer, err := stranger.Do(r)
		if err != nil {
			t.Fatal(err)
		}
		answer.Body.Close()
		if answer.StatusCode == http.StatusSeeOther && strings.HasPrefix(answer.Header.Get("Location"), "/sign-in?") {
			return http.StatusUnauthorized
		}
		if answer.StatusCode >= 500 {
			t.Errorf("%s: %d", route, answer.StatusCode)
		}
		return answer.StatusCode
	}
	var out bytes.Buffer
	for _, route := range table {
		var who []string
		switch got := ask(route, ""); got {
		case http.StatusUnauthorized:
		case http.StatusForbidden:
			if route != "POST /first" {
				t.Errorf("%s: nobody gets %d", route, got)
			}
			who = append(who, "anybody")
		default:
			who = append(who, "anybody")
		}
		for _, role := range server.Roles {
			if got := ask(route, tokens[role]); got != http.StatusUnauthorized && got != http.StatusForbidden && len(who) == 0 || got != 401 && got != 403 && who[0] != "anybody" {
				who = append(who, string(role))
			}
		}
		if got := ask(route, "tankful_made-up"); got != http.StatusUnauthorized && route != "GET /healthz" && route != "GET /web/{file:.+}" {
			t.Errorf("%s: a made-up token gets %d", route, got)
		}
		fmt.Fprintf(&out, "%s: %s\n", route, strings.Join(who, ", "))
	}
	const golden = "testdata/access.txt"
	if *update {
		if err := os.WriteFile(golden, out.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(golden)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(string(want), out.String()); d != "" {
		t.Errorf("who gets in (want -, got +):\n%s", d)
	}
	// Whose account has ended gets nowhere, by token or by session.
	o.owner.json("PUT", "/api/people/sales", nil, map[string]any{"role": "sales", "gone": true}, 204, nil)
	for _, route := range table {
		if got := ask(route, tokens[server.Sales]); got != http.StatusUnauthorized && route != "GET /healthz" && route != "GET /web/{file:.+}" {
			t.Errorf("%s: who has ended gets %d", route, got)
		}
	}
}

// A form or a call from another site is refused, whatever cookies the browser sends.
func TestOtherSites(t *testing.T) {
	o := newOffice(t)
	for _, head := range []map[string]string{{"Sec-Fetch-Site": "cross-site"}, {"Sec-Fetch-Site": "same-site"}, {"Origin": "https://elsewhere.example"}} {
		head["Content-Type"] = "application/x-www-form-urlencoded"
		for _, path := range []string{"/properties", "/people", "/sign-out", "/sign-in", "/api/tokens"} {
			o.owner.do("POST", path, head, strings.NewReader("name=x"), 403)
		}
	}
	o.owner.do("POST", "/properties", map[string]string{"Sec-Fetch-Site": "same-origin", "Content-Type": "application/x-www-form-urlencoded"}, strings.NewReader("name=New+lawn"), 200)
}

// Passwords are tried slowly, names that are not there look like those that are, and nothing secret gets into log or answers.
func TestSignIn(t *testing.T) {
	o := newOffice(t)
	v := o.visitor()
	if text := v.form("/sign-in", url.Values{"id": {"olive"}, "password": {"wrong password"}}, 401); !strings.Contains(text, "name or password is wrong") {
		t.Error("a wrong password")
	}
	if text := v.form("/sign-in", url.Values{"id": {"nobody"}, "password": {"wrong password"}}, 401); !strings.Contains(text, "name or password is wrong") {
		t.Error("a wrong name")
	}
	v.form("/sign-in", url.Values{"id": {"OLIVE "}, "password": {"a long password"}, "to": {"//elsewhere.example"}}, 200)
	v.get("/people", 200)
	v.form("/sign-out", nil, 200)
	if text := v.get("/people", 200); !strings.Contains(text, "Sign in") {
		t.Error("signed out, and in still")
	}
	blocked := false
	for range 20 {
		answer, _ := o.visitor().do("POST", "/sign-in", map[string]string{"Content-Type": "application/x-www-form-urlencoded"}, strings.NewReader("id=olive&password=guess-guess-guess"), 0)
		blocked = blocked || answer.StatusCode == http.StatusTooManyRequests && answer.Header.Get("Retry-After") != ""
	}
	if !blocked {
		t.Error("twenty guesses are answered")
	}
	for _, secret := range []string{"a long password", "guess-guess", word, "wrong password"} {
		if strings.Contains(o.log.String(), secret) {
			t.Errorf("the log has %q", secret)
		}
	}
	_, text := o.owner.do("GET", "/api/people", nil, nil, 200)
	if bytes.Contains(text, []byte("assword")) {
		t.Errorf("people: %s", text)
	}
}

// An invitation is good once, and its token is in no log.
func TestInvitation(t *testing.T) {
	o := newOffice(t)
	var in struct{ Path string }
	o.owner.json("POST", "/api/invitations", nil, map[string]any{"role": "sales"}, 201, &in)
	o.owner.json("POST", "/api/invitations", nil, map[string]any{"role": "king"}, 422, nil)
	f := url.Values{"id": {"sam"}, "name": {"Sam"}, "password": {"short"}}
	o.visitor().form(in.Path, f, 422)
	f.Set("password", "long enough")
	o.visitor().form(in.Path, f, 200)
	o.visitor().form(in.Path, f, 404)
	o.visitor().get("/join/"+strings.Repeat("x", 32), 404)
	o.visitor().form("/first", url.Values{"word": {word}, "id": {"second"}, "name": {"Second"}, "password": {"long enough"}}, 403)
	if strings.Contains(o.log.String(), strings.TrimPrefix(in.Path, "/join/")) {
		t.Error("the log has the invitation")
	}
}

// What people type comes back as text, in every field that pages show.
func TestNoHTMLFromText(t *testing.T) {
	o := newOffice(t)
	const evil = `<script>alert(1)</script>"'><img src=x onerror=alert(2)>`
	o.owner.form("/properties", url.Values{"name": {evil}}, 200)
	var list struct{ Items []struct{ ID string } }
	o.owner.json("GET", "/api/properties?search=script", nil, nil, 200, &list)
	if len(list.Items) != 1 {
		t.Fatalf("%d properties", len(list.Items))
	}
	id := list.Items[0].ID
	o.owner.form("/properties/"+id, url.Values{"version": {"1"}, "name": {evil}, "notes": {evil}, "words": {evil}, "mixes": {evil}}, 200)
	o.owner.form("/outfit/mix/new", url.Values{"id": {"evil"}, "text": {"name: '" + strings.ReplaceAll(evil, "'", "''") + "'"}}, 422)
	for _, path := range []string{"/properties", "/properties/" + id, "/properties?search=" + url.QueryEscape(evil), "/days?words=" + url.QueryEscape(evil), "/quotes?words=" + url.QueryEscape(evil), "/sign-in?to=" + url.QueryEscape(evil), "/"} {
		if text := o.owner.get(path, 200); strings.Contains(text, "<script>alert") || strings.Contains(text, "<img src=x") {
			t.Errorf("%s gives it back as HTML", path)
		}
	}
}

// Bodies that are too large or make no sense are refused with words; none is a failure of the server.
func TestMalformed(t *testing.T) {
	o := newOffice(t)
	geo := map[string]string{"Content-Type": "application/geo+json", "If-Match": `"1"`}
	o.owner.do("PUT", "/api/properties/mirror-pond", geo, strings.NewReader(`{"type":"FeatureCollection","features":[`+strings.Repeat(" ", 17<<20)+`]}`), 413)
	deep := strings.Repeat("[", 200_000)
	for _, body := range []string{"", "null", "[]", "{}", `"x"`, `{"type":"FeatureCollection","features":[null]}`, `{"type":"FeatureCollection","features":[{"geometry":5}]}`, `{"type":"FeatureCollection","features":[1,2]}`, "\xff\xfe\x00", deep, `{"type":"FeatureCollection","account":[]}`, `{"type":"FeatureCollection","account":{"due":"soon"},"features":[]}`} {
		answer, text := o.owner.do("PUT", "/api/properties/mirror-pond", geo, strings.NewReader(body), 0)
		if answer.StatusCode != 200 && (answer.StatusCode < 400 || answer.StatusCode >= 500) || answer.StatusCode == 200 && !strings.Contains(string(text), "problems") {
			t.Errorf("%.40q: %d %.200s", body, answer.StatusCode, text)
		}
		if answer.StatusCode == 200 {
			geo["If-Match"] = answer.Header.Get("ETag")
		}
		for _, path := range []string{"/api/measure", "/api/read?name=x.geojson", "/api/plans", "/api/quotes", "/api/tokens"} {
			h := map[string]string{"Content-Type": "application/json"}
			if answer, text := o.owner.do("POST", path, h, strings.NewReader(body), 0); answer.StatusCode >= 500 {
				t.Errorf("%s %.40q: %d %.200s", path, body, answer.StatusCode, text)
			}
		}
	}
	for _, path := range []string{"/api/properties?limit=0", "/api/properties?limit=x", "/api/properties?bbox=1,2,3", "/api/properties?bbox=NaN,0,1,1", "/api/properties?after=x", "/features/collections/properties/items?bbox=9,9,1,1", "/features/collections/properties/items?limit=-1", "/features/collections/properties/items?odd=1", "/properties?after=x", "/api/properties/..%2f..%2fetc/versions/1", "/web/..%2f..%2fserver.go", "/api/outfit/person/olive", "/api/outfit/secrets/x"} {
		if answer, text := o.owner.do("GET", path, nil, nil, 0); answer.StatusCode < 400 || answer.StatusCode >= 500 {
			t.Errorf("%s: %d %.200s", path, answer.StatusCode, text)
		}
	}
	if strings.Contains(o.log.String(), `"panic"`) {
		t.Errorf("a panic: %s", o.log)
	}
}

// GeoJSON goes out and comes in; a GIS pages through all properties and finds those of a window.
func TestFeatures(t *testing.T) {
	o := newOffice(t)
	var page struct {
		Type           string
		NumberReturned int
		Features       []struct {
			ID         string
			Geometry   struct{ Type string }
			Properties map[string]any
		}
		Links []struct{ Href, Rel string }
	}
	seen := map[string]bool{}
	for next := "/features/collections/properties/items?limit=7"; next != ""; {
		o.owner.json("GET", next, nil, nil, 200, &page)
		next = ""
		for _, l := range page.Links {
			if l.Rel == "next" {
				next = strings.TrimPrefix(l.Href, o.http.URL)
			}
		}
		for _, f := range page.Features {
			seen[f.ID] = true
			if f.Geometry.Type != "GeometryCollection" || !(f.Properties["net_m2"].(float64) > 0) {
				t.Errorf("%+v", f)
			}
		}
		page.Links = nil
	}
	if len(seen) != 16 {
		t.Errorf("%d properties, want the demo's 16", len(seen))
	}
	o.owner.json("GET", "/features/collections/properties/items?bbox=-41.1815,38.4845,-41.1805,38.4856", nil, nil, 200, &page)
	if page.NumberReturned != 1 || page.Features[0].ID != "harbour-office" {
		t.Errorf("the window has %d", page.NumberReturned)
	}
	var c struct{ ConformsTo []string }
	o.owner.json("GET", "/features/conformance", nil, nil, 200, &c)
	if len(c.ConformsTo) != 2 {
		t.Errorf("conforms to %v", c.ConformsTo)
	}
	for _, path := range []string{"/features", "/features/collections", "/features/collections/properties", "/features/collections/properties/items/mirror-pond"} {
		o.owner.get(path, 200)
	}
	o.owner.get("/features/collections/others", 404)
}
