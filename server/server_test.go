package server_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log/slog"
	"net/http"
	"net/http/cookiejar"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"tankful/server"
	"tankful/server/store"
	"tankful/testdata/demo"
)

const word = "set-up word"

// office is a server with the demo outfit, and its owner signed in.
type office struct {
	t        *testing.T
	s        *server.Server
	http     *httptest.Server
	log      *bytes.Buffer
	owner    *visitor
	away     atomic.Bool // there is no signal: every connection is cut
	contract *contract
}

// visitor is a browser.
type visitor struct {
	t        *testing.T
	at       string
	http     *http.Client
	log      *bytes.Buffer
	contract *contract
}

// clock is the demo's day, in the morning.
func clock() time.Time { return time.Date(2026, 4, 14, 6, 30, 0, 0, time.UTC) }

func newOffice(t *testing.T, set ...func(*server.Config)) *office {
	t.Helper()
	o := bare(t, set...)
	o.owner = o.visitor()
	o.owner.form("/first", url.Values{"word": {word}, "id": {"olive"}, "name": {"Olive Owner"}, "password": {"a long password"}}, 200)
	_, text := o.owner.do("GET", "/api/openapi.json", nil, nil, 200)
	var err error
	if o.contract, err = newContract(text); err != nil {
		t.Fatal(err)
	}
	o.owner.contract = o.contract
	if err := o.s.TakeOver(context.Background(), demo.DayFile, demo.Files, "olive"); err != nil {
		t.Fatal(err)
	}
	if err := o.s.TakeOverPrices(context.Background(), "prices.yaml", demo.Files, "olive"); err != nil {
		t.Fatal(err)
	}
	return o
}

// bare is a server with nothing in it.
func bare(t *testing.T, set ...func(*server.Config)) *office {
	t.Helper()
	db, err := store.Folder(context.Background(), t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	o := &office{t: t, log: &bytes.Buffer{}}
	cfg := server.Config{Store: db, Log: slog.New(slog.NewJSONHandler(o.log, nil)), Now: clock, Engine: "test", SetUpWord: word}
	for _, f := range set {
		f(&cfg)
	}
	if o.s, err = server.New(cfg); err != nil {
		t.Fatal(err)
	}
	o.http = httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if o.away.Load() {
			panic(http.ErrAbortHandler) // the connection is cut
		}
		o.s.ServeHTTP(w, r)
	}))
	t.Cleanup(func() {
		o.http.Close()
		_ = db.Close()
	})
	return o
}

func (o *office) visitor() *visitor {
	jar, err := cookiejar.New(nil)
	if err != nil {
		o.t.Fatal(err)
	}
	return &visitor{o.t, o.http.URL, &http.Client{Jar: jar}, o.log, o.contract}
}

// with invites somebody with a role, who joins.
func (o *office) with(role server.Role) *visitor {
	o.t.Helper()
	var in struct{ Path string }
	o.owner.json("POST", "/api/invitations", nil, map[string]any{"role": role}, 201, &in)
	v := o.visitor()
	v.form(in.Path, url.Values{"id": {strings.ReplaceAll(string(role), " ", "-")}, "name": {string(role)}, "password": {"a long password"}}, 200)
	return v
}

// do sends a request as a browser on this site would.
func (v *visitor) do(method, path string, head map[string]string, body io.Reader, want int) (*http.Response, []byte) {
	v.t.Helper()
	r, err := http.NewRequest(method, v.at+path, body)
	if err != nil {
		v.t.Fatal(err)
	}
	for k, x := range head {
		r.Header.Set(k, x)
	}
	answer, err := v.http.Do(r)
	if err != nil {
		v.t.Fatal(err)
	}
	defer answer.Body.Close()
	text, err := io.ReadAll(answer.Body)
	if err != nil {
		v.t.Fatal(err)
	}
	if v.contract != nil && strings.HasPrefix(r.URL.Path, "/api/") {
		v.contract.check(v.t, r, answer, text)
	}
	if want != 0 && answer.StatusCode != want {
		if answer.StatusCode == 500 && v.log != nil {
			v.t.Log(v.log)
		}
		v.t.Fatalf("%s %s: %d, want %d: %.2000s", method, path, answer.StatusCode, want, text)
	}
	return answer, text
}

func (v *visitor) get(path string, want int) string {
	v.t.Helper()
	_, text := v.do("GET", path, map[string]string{"Accept": "text/html"}, nil, want)
	return string(text)
}

func (v *visitor) form(path string, f url.Values, want int) string {
	v.t.Helper()
	_, text := v.do("POST", path, map[string]string{"Content-Type": "application/x-www-form-urlencoded", "Accept": "text/html"}, strings.NewReader(f.Encode()), want)
	return string(text)
}

func (v *visitor) json(method, path string, head map[string]string, body any, want int, into any) *http.Response {
	v.t.Helper()
	var in io.Reader
	h := map[string]string{"Content-Type": "application/json"}
	switch b := body.(type) {
	case nil:
	case string:
		in = strings.NewReader(b)
	default:
		text, err := json.Marshal(b)
		if err != nil {
			v.t.Fatal(err)
		}
		in = bytes.NewReader(text)
	}
	for k, x := range head {
		h[k] = x
	}
	answer, text := v.do(method, path, h, in, want)
	if into != nil {
		if err := json.Unmarshal(text, into); err != nil {
			v.t.Fatalf("%s %s: %v: %.500s", method, path, err, text)
		}
	}
	return answer
}

// planned plans a day of some properties and gives the plan's fingerprint.
func (v *visitor) planned(path string, body any) string {
	v.t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		v.t.Fatal(err)
	}
	_, out := v.do("POST", path, map[string]string{"Content-Type": "application/json"}, bytes.NewReader(text), 200)
	var last struct {
		Text, Plan string
		Refused    any
	}
	for line := range strings.Lines(string(out)) {
		if data, ok := strings.CutPrefix(line, "data: "); ok {
			if err := json.Unmarshal([]byte(data), &last); err != nil {
				v.t.Fatal(err)
			}
		}
	}
	if last.Plan == "" {
		v.t.Fatalf("not planned: %s", out)
	}
	return last.Plan
}

func stops(ids ...string) map[string]any {
	list := []any{}
	for _, id := range ids {
		list = append(list, map[string]any{"property": id})
	}
	return map[string]any{"date": "2026-04-14", "stops": list}
}

// Every page that the owner has opens, on the demo with a plan, entries and a quote; and says what it should.
func TestPagesOpen(t *testing.T) {
	o := newOffice(t)
	fp := o.owner.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8"))
	o.owner.form("/quotes", url.Values{"property": {"kelp-circle-8"}, "program": {"Basic", "Full season"}, "with": {"Prepaid"}}, 200)
	var quotes struct{ Items []struct{ ID string } }
	o.owner.json("GET", "/api/quotes", nil, nil, 200, &quotes)
	if len(quotes.Items) != 1 {
		t.Fatalf("%d quotes", len(quotes.Items))
	}
	q := "/quotes/" + quotes.Items[0].ID
	for path, want := range map[string]string{
		"/": "Plan a day", "/properties": "Mirror Pond", "/properties?search=gull+row": "4 Gull Row, front", "/properties/mirror-pond": "Net turf", "/days": "Harbour Office", "/plan/" + fp: "No plan can be under",
		"/plan/" + fp + "/truck/1": "Next: stop 1", "/plan/" + fp + "/truck/1/stop/2": "Gauge reading", "/plan/" + fp + "/truck/1/map/1.svg": "<svg", "/quotes": "Full season", q: "333.03", "/outfit": "Feed 18-0-4", "/outfit/mix/feed-and-wetter": "operator: Operator One",
		"/outfit/product/new": "Keep", "/record": "Nothing is recorded yet", "/record.csv": "registration", "/people": "Olive Owner", "/quotes/street.csv": "kelp-circle-8", "/metrics": "tankful_requests_total", "/healthz": "ok", "/api/openapi.json": "openapi",
	} {
		if text := o.owner.get(path, 200); !strings.Contains(text, want) {
			t.Errorf("%s has no %q: %.600s", path, want, text)
		}
	}
	for _, path := range []string{"/plan/" + fp + "/truck/1/sheets.pdf", q + "/quote.pdf"} {
		if text := o.owner.get(path, 200); !strings.HasPrefix(text, "%PDF") {
			t.Errorf("%s is no PDF", path)
		}
	}
	for _, path := range []string{"/plan/none", "/plan/" + fp + "/truck/9", "/plan/" + fp + "/truck/1/stop/99", "/properties/none", "/quotes/none", "/outfit/mix/none", "/outfit/none/x", "/nothing", "/web/../server.go", "/web/%2e%2e/templates/layout.html"} {
		o.owner.get(path, 404)
	}
	if strings.Contains(o.log.String(), `"ERROR"`) {
		t.Errorf("the log has an error: %s", o.log)
	}
}

// A crew's day: entries come once however often they are sent, contradictions are told, the rest is planned, the record has each line once.
func TestCrewDay(t *testing.T) {
	o := newOffice(t)
	crew := o.with(server.CrewLead)
	fp := crew.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8", "kelp-circle-3"))
	if again := crew.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8", "kelp-circle-3")); again != fp {
		t.Errorf("the same day makes plan %s and %s", fp, again)
	}
	var p struct {
		Stops []struct {
			N               int
			Truck, Property string
			Products        []any
		}
	}
	crew.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	truck := p.Stops[0].Truck
	enter := func(key string, e map[string]any, want int) (out struct{ Seq int64 }) {
		e["truck"] = truck
		crew.json("POST", "/api/plans/"+fp+"/entries", map[string]string{"Idempotency-Key": key}, e, want, &out)
		return out
	}
	for range 3 {
		enter("1", map[string]any{"did": "started", "stop": 1, "at": "07:20"}, 201)
		enter("2", map[string]any{"did": "weather", "stop": 1, "at": "07:21", "wind": "6 mph", "wind_from": "NW", "temperature": "61 F"}, 201)
		enter("3", map[string]any{"did": "finished", "stop": 1, "at": "07:58"}, 201)
	}
	enter("4", map[string]any{"did": "skipped", "stop": 2, "at": "08:10", "why": "Gate locked"}, 201)
	wrong := enter("5", map[string]any{"did": "skipped", "stop": 1, "at": "08:11", "why": "Rain"}, 201)
	for _, bad := range []map[string]any{{"did": "finished", "stop": 9, "at": "08:00"}, {"did": "finished", "stop": 1, "at": "8 am"}, {"did": "gauge", "tank": "front tank", "reads": "62", "at": "08:00"}, {"did": "gauge", "tank": "front tank", "reads": "900 gal", "at": "08:00"}, {"did": "danced", "at": "08:00"}, {"did": "skipped", "stop": 1, "at": "08:00"}, {"did": "weather", "wind": "strong", "at": "08:00"}} {
		enter("bad", bad, 422)
	}
	var list struct {
		Entries []any
		Twice   []string
	}
	crew.json("GET", "/api/plans/"+fp+"/entries", nil, nil, 200, &list)
	if len(list.Entries) != 5 || len(list.Twice) != 1 || !strings.Contains(list.Twice[0], "finished at 07:58 and skipped (Rain)") {
		t.Errorf("%d entries, told twice: %v", len(list.Entries), list.Twice)
	}
	enter("6", map[string]any{"did": "taken back", "entry": wrong.Seq, "stop": 1, "at": "08:12"}, 201)
	crew.json("GET", "/api/plans/"+fp+"/entries", nil, nil, 200, &list)
	if len(list.Entries) != 6 || len(list.Twice) != 0 {
		t.Errorf("%d entries, told twice: %v", len(list.Entries), list.Twice)
	}
	if text := crew.get("/plan/"+fp+"/truck/1", 200); !strings.Contains(text, "Next: stop 3") {
		t.Error("stop 3 is not the next")
	}
	if text := crew.get("/plan/"+fp+"/against/"+crew.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8")), 200); !strings.Contains(text, "3 Kelp Circle") {
		t.Error("two plans of which one has a stop more: the page does not name it")
	}
	rest := crew.planned("/api/plans/"+fp+"/rest", map[string]any{})
	var r struct {
		Stops []struct{ Property string }
		Rest  any
	}
	crew.json("GET", "/api/plans/"+rest, nil, nil, 200, &r)
	if len(r.Stops) != 2 || r.Rest == nil {
		t.Errorf("the rest has %d stops", len(r.Stops))
	}
	for range 2 {
		var lines []struct{ Applied map[string]string }
		crew.json("POST", "/api/plans/"+fp+"/record", nil, nil, 200, &lines)
		if len(lines) != len(p.Stops[0].Products) || lines[0].Applied["wind"] != "6 mph" || lines[0].Applied["property"] != p.Stops[0].Property {
			t.Errorf("recorded %v", lines)
		}
	}
	var all []struct{ Seq int64 }
	crew.json("GET", "/api/records", nil, nil, 200, &all)
	if len(all) != len(p.Stops[0].Products) {
		t.Fatalf("%d lines in the record, want %d", len(all), len(p.Stops[0].Products))
	}
	path := fmt.Sprintf("/api/records/%d/correction", all[0].Seq)
	crew.json("POST", path, nil, map[string]any{"date": "2026-04-14", "property": "x", "name": "x", "product": "Feed 18-0-4", "rate": "", "amount": "100 fl oz", "area": "6000 sq ft", "mix": "", "operator": "", "equipment": "", "plan": fp}, 422, nil)
	fixed := map[string]any{"date": "2026-04-14", "property": "x", "name": "x", "product": "Feed 18-0-4", "rate": "", "amount": "100 fl oz", "area": "6000 sq ft", "mix": "", "operator": "", "equipment": "", "plan": fp, "remarks": "spilled some"}
	crew.json("POST", path, nil, fixed, 200, nil)
	crew.json("POST", path, nil, fixed, 409, nil)
	if text := crew.get("/record.csv", 200); !strings.Contains(text, "spilled some") || strings.Count(text, "\n") != len(all)+2 {
		t.Errorf("the record: %s", text)
	}
	// On the page: what no later day could read is refused, and what was written stays; else the entry gets one in its place, once however often it is sent.
	last := all[len(all)-1].Seq
	page := fmt.Sprintf("/record/%d", last)
	form := url.Values{"key": {"k1"}, "date": {"2026-04-14"}, "amount": {"a cupful"}, "area": {"some"}, "remarks": {"part of the lawn was wet"}, "do": {"correct"}}
	if text := crew.form(page, form, 422); !strings.Contains(text, "a cupful") || !strings.Contains(text, "part of the lawn was wet") {
		t.Errorf("an amount that is none: %.1500s", text)
	}
	form.Set("amount", "1 lb")
	if text := crew.form(page, form, 422); !strings.Contains(text, "amount") && !strings.Contains(text, "area") {
		t.Errorf("an area that is none: %.1500s", text)
	}
	if text := crew.get(page, 200); !strings.Contains(text, "Put it in its place") {
		t.Errorf("the page of an entry: %.800s", text)
	}
	crew.get("/record/999999", 404)
	o.with("estimator").get(page, 403)
	form.Set("do", "void")
	crew.form(page, form, 200)
	if text := crew.get("/record", 200); !strings.Contains(text, fmt.Sprintf("for %d", last)) || !strings.Contains(text, "void") {
		t.Errorf("the record after it: %.3000s", text)
	}
	// What is recorded counts in the next plan: three weeks have not gone by.
	_, text := crew.do("POST", "/api/plans", map[string]string{"Content-Type": "application/json"}, strings.NewReader(`{"date":"2026-04-20","stops":[{"property":"`+p.Stops[0].Property+`"}]}`), 200)
	if !strings.Contains(string(text), "refused") || !strings.Contains(string(text), "21 days") && !strings.Contains(string(text), "28 days") {
		t.Errorf("a visit six days later: %s", text)
	}
}

// Gauges that read low after a stop: the rest is planned with what really goes out, and the page says so, with the 5 % rule.
func TestDrift(t *testing.T) {
	o := newOffice(t)
	fp := o.owner.planned("/api/plans", stops("gull-row-9", "kelp-circle-8", "kelp-circle-3"))
	var p struct {
		Loads []struct {
			Tank  string
			Stops []struct {
				Stop  int
				Gauge float64 `json:"gauge_after_l"`
			}
		}
		Stops []struct{ Truck string }
	}
	o.owner.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	first := p.Loads[0].Stops[0]
	reads := fmt.Sprintf("%.1f L", first.Gauge-6)
	for _, e := range []map[string]any{{"did": "finished", "stop": first.Stop, "at": "07:40"}, {"did": "gauge", "stop": first.Stop, "at": "07:41", "tank": p.Loads[0].Tank, "reads": reads}} {
		e["truck"] = p.Stops[0].Truck
		o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, e, 201, nil)
	}
	told := "" // the crew is told at once, in the words of the rest's plan
	for _, at := range []string{"", "/truck/1", fmt.Sprintf("/truck/1/stop/%d", first.Stop)} {
		text := o.owner.get("/plan/"+fp+at, 200)
		_, line, _ := strings.Cut(text, "<p class=\"refused\">")
		if line, _, _ = strings.Cut(line, "</p>"); !strings.Contains(line, "OVER 5 %") || told != "" && line != told {
			t.Errorf("/plan/%s%s says of the gauge: %q", fp, at, line)
		}
		told = line
	}
	rest := o.owner.planned("/api/plans/"+fp+"/rest", map[string]any{})
	if text := o.owner.get("/plan/"+rest, 200); !strings.Contains(text, told) {
		t.Errorf("the plan of the rest has other words than %q", told)
	}
	if text := o.owner.get("/plan/"+rest, 200); !strings.Contains(text, "OVER 5 %") || !strings.Contains(text, "morning&#39;s plan") && !strings.Contains(text, "morning's plan") {
		t.Errorf("the page of the rest says nothing of the drift: %.3000s", text)
	}
}

// What was skipped is in the tank still: a gauge that reads what it must says that all is as calibrated, and the rest is planned so. A reading taken at a stop before it
// is worked is one after the stop before. A reading that cannot be is told, and nothing is planned with it.
func TestGaugeAfterASkip(t *testing.T) {
	o := newOffice(t)
	fp := o.owner.planned("/api/plans", stops("gull-row-9", "kelp-circle-8", "kelp-circle-3", "gull-row-4"))
	var p struct {
		Loads []struct {
			Tank  string
			Gauge float64 `json:"gauge_l"`
			Stops []struct {
				Stop   int
				Volume float64 `json:"volume_l"`
			}
		}
		Stops []struct{ Truck string }
	}
	o.owner.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	l := p.Loads[0]
	if len(l.Stops) != 4 {
		t.Fatalf("the first load is of %d stops", len(l.Stops))
	}
	enter := func(e map[string]any) (seq int64) {
		e["truck"] = p.Stops[0].Truck
		var x struct{ Seq int64 }
		o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, e, 201, &x)
		return x.Seq
	}
	enter(map[string]any{"did": "gauge", "stop": l.Stops[0].Stop, "at": "07:05", "tank": l.Tank, "reads": fmt.Sprintf("%.2f L", l.Gauge)}) // before any work
	enter(map[string]any{"did": "finished", "stop": l.Stops[0].Stop, "at": "07:20"})
	enter(map[string]any{"did": "skipped", "stop": l.Stops[1].Stop, "at": "07:25", "why": "Gate locked"})
	enter(map[string]any{"did": "finished", "stop": l.Stops[2].Stop, "at": "07:40"})
	left := l.Gauge - l.Stops[0].Volume - l.Stops[2].Volume
	enter(map[string]any{"did": "started", "stop": l.Stops[3].Stop, "at": "07:45"})
	right := enter(map[string]any{"did": "gauge", "stop": l.Stops[3].Stop, "at": "07:46", "tank": l.Tank, "reads": fmt.Sprintf("%.2f L", left)}) // at the next stop, before it
	if text := o.owner.get(fmt.Sprintf("/plan/%s/truck/1/stop/%d", fp, l.Stops[2].Stop), 200); !strings.Contains(text, fmt.Sprintf("holds %.1f gal more than each gauge below says", l.Stops[1].Volume/3.785411784)) {
		t.Error("the page of a stop after the skipped one has the morning's gauges and says nothing")
	}
	said := func(want string) {
		t.Helper()
		if text := o.owner.get("/plan/"+fp, 200); !strings.Contains(text, want) {
			_, text, _ = strings.Cut(text, "What the gauges say")
			t.Errorf("no %q in %.400s", want, text)
		}
	}
	said("a factor of 1.000")
	rest := o.owner.planned("/api/plans/"+fp+"/rest", map[string]any{})
	var r struct {
		Stops []struct {
			Volume float64 `json:"volume_l"`
		}
		Rest struct {
			Drifts []struct{ Factor float64 }
		}
	}
	o.owner.json("GET", "/api/plans/"+rest, nil, nil, 200, &r)
	if len(r.Stops) != 1 || r.Stops[0].Volume < l.Stops[3].Volume-0.5 || r.Stops[0].Volume > l.Stops[3].Volume+0.5 || len(r.Rest.Drifts) != 1 || r.Rest.Drifts[0].Factor < 0.98 || r.Rest.Drifts[0].Factor > 1.02 {
		t.Errorf("the rest: %+v, of %.1f L", r, l.Stops[3].Volume)
	}
	enter(map[string]any{"did": "finished", "stop": l.Stops[3].Stop, "at": "08:10"}) // the reading of before stays one of before
	said("a factor of 1.000")
	enter(map[string]any{"did": "taken back", "stop": l.Stops[3].Stop, "at": "08:11", "entry": right})
	enter(map[string]any{"did": "gauge", "stop": l.Stops[3].Stop, "at": "08:12", "tank": l.Tank, "reads": "1 L"})
	said("than calibrated")
	_, text := o.owner.do("POST", "/api/plans/"+fp+"/rest", map[string]string{"Content-Type": "application/json"}, strings.NewReader("{}"), 200)
	if !strings.Contains(string(text), "drift-implausible") && !strings.Contains(string(text), "nothing") {
		t.Errorf("a reading that cannot be: %s", text)
	}
}

// A stop that is broken off after some passes: what they took is out of the tank. A property that is done with one of its two mixes
// is not taken for done.
func TestBrokenOff(t *testing.T) {
	o := newOffice(t)
	day := map[string]any{"date": "2026-04-14", "stops": []any{map[string]any{"property": "kelp-circle-3"}, map[string]any{"property": "kelp-circle-8"}, map[string]any{"property": "gull-row-9", "mixes": []string{"Feed and wetter", "Weed and iron"}}}}
	type planned struct {
		Loads []struct {
			Tank  string
			Gauge float64 `json:"gauge_l"`
		}
		Stops []struct {
			N                    int
			Truck, Property, Mix string
			Passes               struct {
				List []struct {
					SoFar float64 `json:"so_far_l"`
				}
			}
		}
	}
	inFront := func(fp string) float64 {
		var p planned
		o.owner.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
		for _, l := range p.Loads {
			if l.Tank == "front tank" {
				return l.Gauge
			}
		}
		t.Fatalf("plan %s: no load in the front tank", fp)
		return 0
	}
	fp := o.owner.planned("/api/plans", day)
	var p planned
	o.owner.json("GET", "/api/plans/"+fp, nil, nil, 200, &p)
	st, morning := p.Stops[0], inFront(fp)
	const passes = 5
	var entry struct{ Seq int64 }
	o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, map[string]any{"did": "skipped", "truck": st.Truck, "stop": st.N, "at": "07:30", "why": "Rain", "passes": passes}, 201, &entry)
	took := st.Passes.List[passes-1].SoFar
	if left := inFront(o.owner.planned("/api/plans/"+fp+"/rest", map[string]any{})); took <= 1 || left < morning-took-0.5 || left > morning-took+0.5 {
		t.Errorf("5 passes took %.1f L of %.1f L, and the tank is said to hold %.1f L", took, morning, left)
	}
	// What went on before it was broken off is in the record, with why, once: the law asks for it.
	for range 2 {
		var lines []struct{ Applied map[string]string }
		o.owner.json("POST", "/api/plans/"+fp+"/record", nil, nil, 200, &lines)
		if len(lines) == 0 || !strings.HasPrefix(lines[0].Applied["remarks"], "broken off after 5 of ") || !strings.HasSuffix(lines[0].Applied["remarks"], "passes: Rain.") || lines[0].Applied["volume"] != fmt.Sprintf("%.1f gal", took/3.785411784) {
			t.Errorf("recorded: %v", lines)
		}
		if text := o.owner.get("/record", 200); strings.Count(text, "broken off after") != len(lines) {
			t.Errorf("the record has it %d times", strings.Count(text, "broken off after"))
		}
	}
	o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, map[string]any{"did": "taken back", "truck": st.Truck, "stop": st.N, "at": "07:32", "entry": entry.Seq}, 201, nil)
	for _, st := range p.Stops {
		if st.Property == "gull-row-9" && st.Mix == "Feed and wetter" {
			o.owner.json("POST", "/api/plans/"+fp+"/entries", nil, map[string]any{"did": "finished", "truck": st.Truck, "stop": st.N, "at": "08:30"}, 201, nil)
		}
	}
	_, text := o.owner.do("POST", "/api/plans/"+fp+"/rest", map[string]string{"Content-Type": "application/json"}, strings.NewReader("{}"), 200)
	if !strings.Contains(string(text), "finished with Feed and wetter and not with Weed and iron") {
		t.Errorf("half a property: %s", text)
	}
}

// A catch test on the page is worked out as the demo's own is, and takes its place; one that does not go with the passes is refused.
func TestCatchPage(t *testing.T) {
	o := newOffice(t)
	f := url.Values{"operator": {"Operator One"}, "applicator": {"Gun A"}, "date": {"2026-04-14"}, "course": {"143 ft"}, "spacing": {"7 ft"}, "run": {"38.4 s", "39.6 s", "39 s", ""}, "caught": {"2.04 gal"}, "caught_in": {"39 s"}, "do": {"try"}}
	if text := o.owner.form("/catch", f, 200); !strings.Contains(text, "2.04 gal/1000 sq ft") || !strings.Contains(text, "Keep it for Operator One") {
		t.Errorf("the test: %.2000s", text)
	}
	f.Set("spacing", "14 ft")
	if text := o.owner.form("/catch", f, 422); !strings.Contains(text, "143 ft") || !strings.Contains(text, "class=\"error\"") {
		t.Errorf("twice the spacing is not refused, or what was typed is lost: %.1500s", text)
	}
	f.Set("spacing", "7 ft")
	f.Set("caught", "2.10 gal")
	f.Set("do", "keep")
	if text := o.owner.form("/catch", f, 200); !strings.Contains(text, "2.10 gal") || strings.Count(text, "Gun A") != 2 {
		t.Errorf("kept: %.2500s", text)
	}
	if text := o.with(server.CrewLead).get("/outfit/operator/operator-one", 200); !strings.Contains(text, "143 ft") || strings.Contains(text, "2.04 gal") {
		t.Error("the test before is there still")
	}
	o.owner.form("/catch", url.Values{"operator": {"Nobody"}}, 422)
}

// A spreader is weighed: 100 ft x 8 ft are 800 sq ft, and 4 lb of pellets on that are 5.00 lb/1000 sq ft. Its test is one of a product, beside that of another.
func TestCatchPageOfASpreader(t *testing.T) {
	o := newOffice(t)
	for path, entry := range map[string]string{
		"product/pellets":     `{"name":"Pellets","form":"granule","class":"soluble","analysis":"none","containers":[{"name":"bag","holds":"50 lb"}],"label":{"most":"6 lb/1000 sq ft","citation":"invented label, 2026"}}`,
		"applicator/spreader": `{"name":"Spreader","kind":"spreader","throws":"rotary","swath":"8 ft","side_step":"8 ft","turn_time":"2 s"}`,
	} {
		_, text := o.owner.do("PUT", "/api/outfit/"+path, map[string]string{"Content-Type": "application/json", "If-None-Match": "*"}, strings.NewReader(entry), 0)
		if !strings.Contains(string(text), "\"version\":1") {
			t.Fatalf("%s: %s", path, text)
		}
	}
	f := url.Values{"operator": {"Operator One"}, "applicator": {"Spreader"}, "date": {"2026-04-14"}, "course": {"100 ft"}, "spacing": {"8 ft"}, "run": {"25 s", "24 s", "26 s"}, "product": {"Pellets"}, "lost": {"3.9 lb", "4.1 lb", "4.0 lb"}, "setting": {"12.5"}, "caught": {""}, "do": {"try"}}
	if text := o.owner.form("/catch", f, 200); !strings.Contains(text, "5.00 lb/1000 sq ft") && !strings.Contains(text, "5.0 lb/1000 sq ft") {
		t.Errorf("the test: %.3000s", text[strings.Index(text, "<main"):])
	}
	f.Set("do", "keep")
	if text := o.owner.form("/catch", f, 200); !strings.Contains(text, "Pellets") || !strings.Contains(text, "4.1 lb") || !strings.Contains(text, "Gun A") {
		t.Errorf("kept: %.2500s", text)
	}
	// The pellets are planned beside a spraying, and every page of the day opens.
	_, text := o.owner.do("PUT", "/api/outfit/mix/pellets", map[string]string{"If-None-Match": "*"}, strings.NewReader("name: Pellets spread\noperator: Operator One\napplicator: Spreader\nproducts: [{product: Pellets, rate: 5 lb/1000 sq ft}]\n"), 0)
	if !strings.Contains(string(text), "\"version\":1") {
		t.Fatalf("the mix: %s", text)
	}
	fp := o.owner.planned("/api/plans", map[string]any{"date": "2026-04-20", "stops": []any{map[string]any{"property": "gull-row-4", "mixes": []string{"Feed and wetter", "Pellets spread"}}}})
	for _, at := range []string{"", "/truck/1", "/truck/1/stop/1", "/truck/1/stop/2", "/truck/1/sheets.pdf", "/truck/1/phone.html", "/truck/1/map.svg"} {
		if text := o.owner.get("/plan/"+fp+at, 200); at == "" && !strings.Contains(text, " lb") {
			t.Errorf("the plan says no pounds: %.2000s", text)
		}
	}
	f["lost"] = []string{"a lot"}
	if text := o.owner.form("/catch", f, 422); !strings.Contains(text, "lost") {
		t.Errorf("a weight that is none: %.1500s", text)
	}
}

// What is kept as text is taken as JSON and as YAML, whatever a program calls it.
func TestBodiesOfPrograms(t *testing.T) {
	o := newOffice(t)
	_, book := o.owner.do("GET", "/api/price-books/prices", nil, nil, 200)
	_, gun := o.owner.do("GET", "/api/outfit/applicator/gun-a", nil, nil, 200)
	_, lawn := o.owner.do("GET", "/api/properties/gull-row-4", nil, nil, 200)
	version := 1
	for _, kind := range []string{"application/json", "application/yaml", "text/plain", "application/geo+json", ""} {
		head := map[string]string{"If-Match": fmt.Sprintf("\"%d\"", version)}
		if kind != "" {
			head["Content-Type"] = kind
		}
		version++
		o.owner.do("PUT", "/api/price-books/prices", head, bytes.NewReader(book), 200)
		o.owner.do("PUT", "/api/outfit/applicator/gun-a", head, bytes.NewReader(gun), 200)
		o.owner.do("PUT", "/api/properties/gull-row-4", head, bytes.NewReader(lawn), 200)
		delete(head, "If-Match")
		o.owner.do("POST", "/api/measure", head, bytes.NewReader(lawn), 200)
		o.owner.do("POST", "/api/read?name=a.geojson", head, bytes.NewReader(lawn), 200)
	}
	o.owner.do("PUT", "/api/outfit/fill-point/well", map[string]string{"Content-Type": "application/yaml", "If-None-Match": "*"}, strings.NewReader("name: Well\nat: {lon: -41.2, lat: 38.5}\nflow: 20 gal/min\nhook_up: 3 min\n"), 0)
	if text := o.owner.get("/outfit", 200); !strings.Contains(text, "Well") {
		t.Error("an entry in YAML is not kept")
	}
}

// Two who change the same property: the second is told, with both versions; nothing is lost.
func TestConflict(t *testing.T) {
	o := newOffice(t)
	_, body := o.owner.do("GET", "/api/properties/mirror-pond", nil, nil, 200)
	head := map[string]string{"If-Match": `"1"`, "Content-Type": "application/geo+json"}
	o.owner.do("PUT", "/api/properties/mirror-pond", head, bytes.NewReader(body), 200)
	answer, text := o.owner.do("PUT", "/api/properties/mirror-pond", head, bytes.NewReader(body), 412)
	var x struct {
		Newest struct{ Version int64 }
		Yours  map[string]any
	}
	if err := json.Unmarshal(text, &x); err != nil || x.Newest.Version != 2 || x.Yours["type"] != "FeatureCollection" || answer.Header.Get("Content-Type") != "application/problem+json" {
		t.Errorf("%v %.300s", err, text)
	}
	o.owner.do("PUT", "/api/properties/mirror-pond", map[string]string{"Content-Type": "application/geo+json"}, bytes.NewReader(body), 428)
	o.owner.do("PUT", "/api/properties/mirror-pond", map[string]string{"If-Match": "three", "Content-Type": "application/geo+json"}, bytes.NewReader(body), 400)
	o.owner.do("PUT", "/api/properties/mirror-pond", map[string]string{"If-Match": `"2"`, "Content-Type": "application/geo+json"}, strings.NewReader(`{"type":"Feature"}`), 422)
	var versions []struct{ Version int64 }
	o.owner.json("GET", "/api/properties/mirror-pond/versions", nil, nil, 200, &versions)
	if len(versions) != 2 {
		t.Errorf("%d versions", len(versions))
	}
	var d struct {
		Gained float64 `json:"gained_m2"`
		Old    float64 `json:"old_net_m2"`
	}
	o.owner.json("GET", "/api/properties/mirror-pond/difference?was=1&is=2", nil, nil, 200, &d)
	if d.Gained != 0 || d.Old < 1000 {
		t.Errorf("the same outlines differ: %+v", d)
	}
}
