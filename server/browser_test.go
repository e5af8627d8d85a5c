package server_test

import (
	"context"
	"encoding/json"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/chromedp"

	"tankful/calc/unit"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/server"
)

// browser starts Chromium; the test is skipped where there is none. Whatever a page's script throws, and whatever the policy of the page forbids, fails the test.
func browser(t *testing.T, width, height int64) context.Context {
	t.Helper()
	name := ""
	for _, n := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(n); err == nil {
			name = p
			break
		}
	}
	if name == "" {
		t.Skip("there is no chromium to try the pages with")
	}
	opts := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(name), chromedp.NoSandbox, chromedp.WindowSize(int(width), int(height)), chromedp.Flag("disable-dev-shm-usage", true))
	alloc, stop := chromedp.NewExecAllocator(context.Background(), opts...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(alloc)
	t.Cleanup(cancel)
	ctx, cancel2 := context.WithTimeout(ctx, 2*time.Minute)
	t.Cleanup(cancel2)
	chromedp.ListenTarget(ctx, func(ev any) {
		switch e := ev.(type) {
		case *runtime.EventExceptionThrown:
			t.Errorf("a script failed: %s", e.ExceptionDetails.Error())
		case *log.EventEntryAdded:
			if e.Entry.Source == log.SourceSecurity || strings.Contains(e.Entry.Text, "Content Security Policy") {
				t.Errorf("forbidden: %s", e.Entry.Text)
			}
		case *runtime.EventConsoleAPICalled:
			for _, a := range e.Args {
				if e.Type == runtime.APITypeError {
					t.Errorf("console: %s", a.Value)
				}
			}
		}
	})
	run(t, ctx, emulation.SetDeviceMetricsOverride(width, height, 1, width < 500))
	return ctx
}

func run(t *testing.T, ctx context.Context, actions ...chromedp.Action) {
	t.Helper()
	if err := chromedp.Run(ctx, actions...); err != nil {
		var page string
		_ = chromedp.Run(ctx, chromedp.Text("body", &page, chromedp.ByQuery))
		t.Fatalf("%v; the page: %.800s", err, page)
	}
}

// shot keeps a picture of the page in the folder that TANKFUL_SHOTS names, to be looked at.
func shot(t *testing.T, ctx context.Context, name string) {
	t.Helper()
	dir := os.Getenv("TANKFUL_SHOTS")
	if dir == "" {
		return
	}
	var b []byte
	run(t, ctx, chromedp.Sleep(300*time.Millisecond), chromedp.FullScreenshot(&b, 100))
	if err := os.WriteFile(filepath.Join(dir, name+".png"), b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// enter signs in.
func enter(t *testing.T, ctx context.Context, o *office, id string) {
	t.Helper()
	run(t, ctx, chromedp.Navigate(o.http.URL+"/sign-in"), chromedp.SendKeys(`input[name=id]`, id, chromedp.ByQuery), chromedp.SendKeys(`input[name=password]`, "a long password", chromedp.ByQuery), chromedp.Click(`button.main`, chromedp.ByQuery), chromedp.WaitVisible(`header nav`, chromedp.ByQuery))
}

// A crew lead works a day on a phone: without signal for two stops, and the record has every entry once.
func TestCrewInBrowser(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t)
	o.with("crew lead")
	fp := o.owner.planned("/api/plans", stops("gull-row-4", "gull-row-6", "kelp-circle-8", "kelp-circle-3"))
	ctx := browser(t, 390, 844)
	enter(t, ctx, o, "crew-lead")
	shot(t, ctx, "start-390")
	truck := o.http.URL + "/plan/" + fp + "/truck/1"
	run(t, ctx, chromedp.Navigate(truck), chromedp.WaitVisible(`#kept:not(:empty)`, chromedp.ByQuery))
	var kept string
	run(t, ctx, chromedp.Text(`#kept`, &kept, chromedp.ByQuery))
	if !strings.Contains(kept, "works without signal") {
		t.Errorf("the phone says %q", kept)
	}
	shot(t, ctx, "truck-390")
	do := func(stop, did string) {
		run(t, ctx, chromedp.Navigate(truck+"/stop/"+stop), chromedp.Click(`button[data-did=`+did+`]`, chromedp.ByQuery), chromedp.Sleep(700*time.Millisecond))
	}
	do("1", "started")
	do("1", "finished")
	shot(t, ctx, "stop-390")
	o.away.Store(true)
	do("2", "started")
	do("2", "finished")
	do("3", "started")
	run(t, ctx, chromedp.Click(`details summary`, chromedp.ByQuery), chromedp.SendKeys(`input[name=reads]`, "42", chromedp.ByQuery), chromedp.Click(`form[data-did=gauge] button`, chromedp.ByQuery), chromedp.Sleep(300*time.Millisecond))
	do("3", "finished")
	var signal string
	run(t, ctx, chromedp.Text(`#signal`, &signal, chromedp.ByQuery))
	if !strings.Contains(signal, "5 entries wait") {
		t.Errorf("without signal the page says %q", signal)
	}
	shot(t, ctx, "stop-offline-390")
	var list struct {
		Entries []struct{ Entry struct{ Did string } }
	}
	o.away.Store(false)
	o.owner.json("GET", "/api/plans/"+fp+"/entries", nil, nil, 200, &list)
	if len(list.Entries) != 2 {
		t.Errorf("%d entries came before there was signal", len(list.Entries))
	}
	run(t, ctx, chromedp.Navigate(truck+"/stop/4"), chromedp.Sleep(1500*time.Millisecond))
	do("4", "started")
	o.owner.json("GET", "/api/plans/"+fp+"/entries", nil, nil, 200, &list)
	did := map[string]int{}
	for _, e := range list.Entries {
		did[e.Entry.Did]++
	}
	if len(list.Entries) != 8 || did["started"] != 4 || did["finished"] != 3 || did["gauge"] != 1 {
		t.Errorf("the server has %d entries: %v", len(list.Entries), did)
	}
	run(t, ctx, chromedp.Text(`#signal`, &signal, chromedp.ByQuery))
	if signal != "" {
		t.Errorf("with signal the page says %q", signal)
	}
}

// Sales quote a lawn and send it: page and PDF say the same area and price.
func TestSalesInBrowser(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t)
	sales := o.with("sales")
	ctx := browser(t, 1440, 900)
	enter(t, ctx, o, "sales")
	run(t, ctx, chromedp.Navigate(o.http.URL+"/quotes?words=kelp+circle+8"), chromedp.WaitVisible(`input[name=property]`, chromedp.ByQuery))
	shot(t, ctx, "quotes-1440")
	run(t, ctx, chromedp.Click(`input[name=with]`, chromedp.ByQuery), chromedp.Click(`form[method=post] button.main`, chromedp.ByQuery), chromedp.WaitVisible(`a[href$="quote.pdf"]`, chromedp.ByQuery))
	shot(t, ctx, "quote-1440")
	var text, at string
	run(t, ctx, chromedp.Text(`main`, &text, chromedp.ByQuery), chromedp.Location(&at))
	for _, want := range []string{"7,575", "333.03", "166.63"} {
		if !strings.Contains(text, want) {
			t.Errorf("the page has no %s", want)
		}
	}
	_, file := sales.do("GET", strings.TrimPrefix(at, o.http.URL)+"/quote.pdf", nil, nil, 200)
	if words := pdfText(t, file); words != "" {
		for _, want := range []string{"7,575", "333.03", "166.63"} {
			if !strings.Contains(words, want) {
				t.Errorf("the PDF has no %s", want)
			}
		}
	}
	// Sending: a phone is given the PDF; a browser that sends no files keeps it and begins a letter.
	var given struct {
		Name, Type string
		Size       int
	}
	run(t, ctx, chromedp.Evaluate(`(() => { navigator.canShare = w => w.files.length === 1; navigator.share = async w => { const f = w.files[0]; window.given = { Name: f.name, Type: f.type, Size: f.size }; }; })()`, nil), chromedp.Click(`[data-send]`, chromedp.ByQuery), chromedp.WaitVisible(`.sent:not(:empty)`, chromedp.ByQuery), chromedp.Evaluate(`window.given`, &given))
	if given.Name != "quote-kelp-circle-8.pdf" || given.Type != "application/pdf" || given.Size < len(file)*9/10 {
		t.Errorf("the phone is given %+v, and the PDF has %d bytes", given, len(file))
	}
	var letter string
	run(t, ctx, chromedp.Evaluate(`(() => { navigator.canShare = undefined; document.querySelector(".sent").textContent = ""; })()`, nil), chromedp.Click(`[data-send]`, chromedp.ByQuery), chromedp.WaitVisible(`.sent a`, chromedp.ByQuery), chromedp.Evaluate(`document.querySelector(".sent a").href`, &letter))
	if !strings.HasPrefix(letter, "mailto:?subject=Quote%20for%208%20Kelp%20Circle") {
		t.Errorf("the letter begins %s", letter)
	}
	run(t, ctx, chromedp.Click(`button[value=sent]`, chromedp.ByQuery), chromedp.WaitVisible(`.said`, chromedp.ByQuery), chromedp.Click(`button[value=accepted]`, chromedp.ByQuery), chromedp.WaitVisible(`.said`, chromedp.ByQuery), chromedp.Sleep(500*time.Millisecond), chromedp.Text(`main`, &text, chromedp.ByQuery))
	if !strings.Contains(text, "accepted: Basic") {
		t.Errorf("accepted: %.300s", text)
	}
}

// pdfText is what pdftotext (Poppler) reads, "" where it is not installed.
func pdfText(t *testing.T, file []byte) string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "x.pdf")
	if err := os.WriteFile(name, file, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
	if err != nil {
		t.Logf("no pdftotext: %v", err)
		return ""
	}
	return string(out)
}

// The planner chooses stops and plans the day; the plan opens by itself. Every page is looked at in three widths.
func TestPlannerInBrowser(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t)
	ctx := browser(t, 768, 1024)
	enter(t, ctx, o, "olive")
	run(t, ctx, chromedp.Navigate(o.http.URL+"/days?date=2026-04-14"), chromedp.WaitVisible(`#stops-map canvas`, chromedp.ByQuery), chromedp.Sleep(500*time.Millisecond))
	// On the map: a tap chooses a stop and leaves it out again, a box chooses what lies in it; the list follows.
	spot := func(id string) (x, y float64) {
		var p [2]float64
		run(t, ctx, chromedp.Evaluate(`(() => { const m = tankfulStops.map, f = tankfulStops.source.getFeatures().find(f => f.get("input")?.value === "`+id+`"), e = m.getTargetElement(); e.scrollIntoView(); const b = e.getBoundingClientRect(), p = m.getPixelFromCoordinate(f.getGeometry().getCoordinates()); return [b.x + p[0], b.y + p[1]]; })()`, &p))
		return p[0], p[1]
	}
	chosen := func() (n int) {
		run(t, ctx, chromedp.Sleep(400*time.Millisecond), chromedp.Evaluate(`document.querySelectorAll("input[name=stop]:checked").length`, &n))
		return n
	}
	for want := range 2 {
		x, y := spot("mirror-pond")
		run(t, ctx, chromedp.MouseClickXY(x, y))
		if n := chosen(); n != 1-want {
			t.Fatalf("after tap %d on the map %d stops are chosen", want+1, n)
		}
	}
	run(t, ctx, chromedp.Evaluate(`(() => { const m = tankfulStops.map, b = m.getTargetElement().getBoundingClientRect(); document.querySelector("#stops-map .bar button").click(); const at = (t, x, y) => m.getTargetElement().querySelector(".ol-viewport").dispatchEvent(new PointerEvent(t, { clientX: x, clientY: y, button: 0, buttons: t === "pointerup" ? 0 : 1, pointerId: 1, isPrimary: true, pointerType: "mouse", bubbles: true })); at("pointerdown", b.x + 2, b.y + 2); at("pointermove", b.right - 40, b.bottom - 40); at("pointermove", b.right - 2, b.bottom - 2); at("pointerup", b.right - 2, b.bottom - 2); return true; })()`, nil))
	if n := chosen(); n != 16 {
		t.Errorf("a box over the whole map chooses %d of 16 stops", n)
	}
	shot(t, ctx, "stops-768")
	// One stop otherwise than usual: another mix, and not after a time.
	run(t, ctx, chromedp.Navigate(o.http.URL+"/days?date=2026-04-14&words=kelp"), chromedp.Click(`[data-all=stop]`, chromedp.ByQuery), chromedp.Click(`#otherwise summary`, chromedp.ByQuery),
		chromedp.SetValue(`.exception[data-stop=kelp-circle-8] [name=mix]`, "Weed and iron", chromedp.ByQuery), chromedp.SetValue(`.exception[data-stop=kelp-circle-8] [name=until]`, "07:30", chromedp.ByQuery), chromedp.SetValue(`#plan-day [name=start]`, "07:10", chromedp.ByQuery),
		chromedp.SetValue(`input[name=date]`, "2026-04-16", chromedp.ByQuery)) // the day that stands there counts, shown anew or not
	shot(t, ctx, "otherwise-768")
	run(t, ctx, chromedp.Click(`#plan-day button.main`, chromedp.ByQuery), chromedp.WaitVisible(`a[href$="sheets.pdf"]`, chromedp.ByQuery))
	var own string
	run(t, ctx, chromedp.Location(&own))
	var kept struct {
		Trucks []struct {
			Start float64 `json:"start_s"`
		}
		Date  string
		Stops []struct{ Property, Mix string }
	}
	_, text := o.owner.do("GET", strings.Replace(strings.TrimPrefix(own, o.http.URL), "/plan/", "/api/plans/", 1), nil, nil, 200)
	if err := json.Unmarshal(text, &kept); err != nil {
		t.Fatal(err)
	}
	if kept.Date != "2026-04-16" {
		t.Errorf("planned for %s", kept.Date)
	}
	for _, s := range kept.Stops {
		if s.Property == "kelp-circle-8" && s.Mix != "Weed and iron" {
			t.Errorf("8 Kelp Circle gets %s", s.Mix)
		}
	}
	if page := o.owner.get(strings.TrimPrefix(own, o.http.URL), 200); !strings.Contains(page, "Truck 1: 07:10 to") && !strings.Contains(page, "Truck 1: 7:10") {
		t.Errorf("the truck does not go out at 07:10: %.1500s", page[strings.Index(page, "<main"):])
	}
	run(t, ctx, chromedp.Navigate(o.http.URL+"/days?date=2026-04-14&words=row"), chromedp.Click(`[data-all=stop]`, chromedp.ByQuery), chromedp.Click(`#plan-day button.main`, chromedp.ByQuery), chromedp.WaitVisible(`a[href$="sheets.pdf"]`, chromedp.ByQuery))
	shot(t, ctx, "plan-768")
	// The last stop first, by hand: the new plan says what that costs.
	var names []string
	order := `Array.from(document.querySelectorAll("#plan-order li"), l => l.dataset.stop)`
	run(t, ctx, chromedp.Evaluate(order, &names))
	for range len(names) - 1 {
		run(t, ctx, chromedp.Evaluate(`document.querySelector("#plan-order li[data-stop=" + CSS.escape("`+names[len(names)-1]+`") + "] [data-step='-1']").click()`, nil))
	}
	run(t, ctx, chromedp.Click(`#plan-order button.main`, chromedp.ByQuery), chromedp.WaitVisible(`#by-hand`, chromedp.ByQuery))
	var price string
	var now []string
	run(t, ctx, chromedp.Text(`#by-hand`, &price, chromedp.ByQuery), chromedp.Evaluate(order, &now))
	if !strings.Contains(price, "fixed by hand") || len(now) < 2 || now[0] != names[len(names)-1] || now[1] != names[0] {
		t.Errorf("%v became %v: %s", names, now, price)
	}
	run(t, ctx, chromedp.Evaluate(`document.querySelectorAll("main details").forEach(d => { d.open = true; })`, nil))
	shot(t, ctx, "plan-by-hand-768")
	run(t, ctx, chromedp.Click(`#order-free`, chromedp.ByQuery), chromedp.WaitNotPresent(`#by-hand`, chromedp.ByQuery))
	var at string
	run(t, ctx, chromedp.Location(&at))
	if os.Getenv("TANKFUL_SHOTS") == "" {
		return
	}
	for _, width := range []int64{390, 768, 1440} {
		run(t, ctx, emulation.SetDeviceMetricsOverride(width, 900, 1, width < 500))
		for name, path := range map[string]string{"properties": "/properties", "days": "/days", "outfit": "/outfit", "entry": "/outfit/operator/operator-one", "people": "/people", "record": "/record", "start": "/", "plan": strings.TrimPrefix(at, o.http.URL), "quotes": "/quotes", "property": "/properties/mirror-pond", "catch": "/catch", "truck": strings.TrimPrefix(at, o.http.URL) + "/truck/1", "stop": strings.TrimPrefix(at, o.http.URL) + "/truck/1/stop/1"} {
			run(t, ctx, chromedp.Navigate(o.http.URL+path), chromedp.Sleep(300*time.Millisecond))
			shot(t, ctx, name+"-"+map[int64]string{390: "390", 768: "768", 1440: "1440"}[width])
		}
	}
}

// An estimator puts a picture with its world file under a lawn: it is drawn under the outlines, where the world file says. One that is turned hides nothing of it beside
// its own edge.
func TestPictureInBrowser(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t, func(c *server.Config) { c.Under = []server.Tiles{town{}} })
	o.with("estimator")
	ctx := browser(t, 1440, 1000)
	enter(t, ctx, o, "estimator")
	data, world := plot(t)
	dir := t.TempDir()
	for name, text := range map[string]string{"lot.png": string(data), "lot.pgw": world, "turned.png": string(data), "turned.pgw": "0.000001\n0.0000008\n0.000001\n-0.0000008\n-41.1902\n38.509\n"} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	run(t, ctx, chromedp.Navigate(o.http.URL+"/properties/gull-row-4"), chromedp.WaitVisible(`#ground .map canvas`, chromedp.ByQuery), chromedp.Click(`#pictures summary`, chromedp.ByQuery),
		chromedp.SetUploadFiles(`input[name=picture]`, []string{filepath.Join(dir, "lot.png")}, chromedp.ByQuery), chromedp.SetUploadFiles(`input[name=world]`, []string{filepath.Join(dir, "lot.pgw")}, chromedp.ByQuery),
		chromedp.Click(`#pictures form button.main`, chromedp.ByQuery), chromedp.WaitVisible(`.said`, chromedp.ByQuery), chromedp.WaitVisible(`.underlays`, chromedp.ByQuery), chromedp.Sleep(800*time.Millisecond))
	var rows string
	var loaded string
	run(t, ctx, chromedp.Text(`.underlays`, &rows, chromedp.ByQuery), chromedp.Evaluate(`tankfulMap.map.getLayers().getArray().filter(l => l.getSource().getImageExtent).map(l => l.getVisible() + " " + l.getSource().getState() + " " + l.getSource().image?.getState?.()).join()`, &loaded))
	if !strings.Contains(rows, "lot.png") || !strings.Contains(rows, "Town from the air") || !strings.HasPrefix(loaded, "true ready") {
		t.Errorf("under the map: %q, the picture is %q", rows, loaded)
	}
	run(t, ctx, chromedp.Click(`#pictures summary`, chromedp.ByQuery),
		chromedp.SetUploadFiles(`input[name=picture]`, []string{filepath.Join(dir, "turned.png")}, chromedp.ByQuery), chromedp.SetUploadFiles(`input[name=world]`, []string{filepath.Join(dir, "turned.pgw")}, chromedp.ByQuery),
		chromedp.Click(`#pictures form button.main`, chromedp.ByQuery), chromedp.WaitVisible(`//a[text()="turned.png"]`), chromedp.WaitVisible(`.underlays`, chromedp.ByQuery), chromedp.Sleep(800*time.Millisecond))
	// Both are green; the plain ground and the white beside a photograph are not.
	for what, at := range map[string]struct {
		lon, lat float64
		green    bool
	}{"the picture": {-41.18962, 38.5092, true}, "the turned one": {-41.19002, 38.509016, true}, "the picture in the corner of the turned one": {-41.18986, 38.50915, true}, "the ground in the other corner": {-41.19018, 38.50915, false}} {
		var px [4]int
		run(t, ctx, chromedp.Evaluate(fmt.Sprintf(`(() => { const m = tankfulMap.map; const c = document.querySelector("#ground .map canvas"), b = m.getPixelFromCoordinate([%g * 20037508.342789244 / 180, Math.log(Math.tan(Math.PI / 4 + %g * Math.PI / 360)) * 6378137]), k = c.width / m.getSize()[0]; return Array.from(c.getContext("2d").getImageData(b[0] * k, b[1] * k, 1, 1).data); })()`, at.lon, at.lat), &px))
		if green := px[3] == 255 && px[1]-px[2] > 20; green != at.green {
			t.Errorf("where %s lies a pixel of the map is %v", what, px)
		}
	}
	// Tiles from where the owner says (here it is the same server), and the credit as it was written.
	o.owner.form("/outfit-tiles", url.Values{"version": {"0"}, "address": {o.http.URL + "/under/1/{z}/{x}/{y}"}, "credit": {"Map <b>data</b> & more"}}, 200)
	var credit string
	run(t, ctx, chromedp.Reload(), chromedp.WaitVisible(`.underlays`, chromedp.ByQuery), chromedp.Sleep(500*time.Millisecond), chromedp.Evaluate(`document.querySelector(".ol-attribution")?.textContent ?? ""`, &credit))
	if !strings.Contains(credit, "Map <b>data</b> & more") {
		t.Errorf("the credit is %q", credit)
	}
	shot(t, ctx, "picture-1440")
}

// An estimator draws a lawn with two beds with the mouse, moves on by undo, keeps it, and the page has the area that measuring the exported outlines gives.
func TestEstimatorInBrowser(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t)
	est := o.with("estimator")
	ctx := browser(t, 1440, 1000)
	enter(t, ctx, o, "estimator")
	run(t, ctx, chromedp.Navigate(o.http.URL+"/properties"), chromedp.SendKeys(`input[name=name]`, "9 Tern Way", chromedp.ByQuery), chromedp.Click(`button.main`, chromedp.ByQuery), chromedp.WaitVisible(`#ground .map canvas`, chromedp.ByQuery),
		chromedp.Evaluate(`tankfulMap.map.getView().setZoom(19.5), true`, nil), chromedp.Sleep(500*time.Millisecond))
	var box struct{ X, Y, W, H float64 }
	pane := func() {
		run(t, ctx, chromedp.Evaluate(`(() => { const m = document.querySelector("#ground .map"); m.scrollIntoView(); const b = m.getBoundingClientRect(); return {X: b.x, Y: b.y, W: b.width, H: b.height}; })()`, &box))
	}
	ring := func(surface string, points ...[2]float64) {
		pane()
		run(t, ctx, chromedp.Evaluate(`document.querySelector("[data-surface=`+surface+`]").click()`, nil))
		for _, p := range append(points, points[0]) {
			run(t, ctx, chromedp.MouseClickXY(box.X+p[0]*box.W, box.Y+p[1]*box.H), chromedp.Sleep(350*time.Millisecond))
		}
	}
	ring("turf", [2]float64{.2, .2}, [2]float64{.8, .15}, [2]float64{.85, .8}, [2]float64{.5, .9}, [2]float64{.15, .75})
	ring("bed", [2]float64{.3, .3}, [2]float64{.4, .3}, [2]float64{.4, .45}, [2]float64{.3, .45})
	ring("bed", [2]float64{.6, .5}, [2]float64{.72, .5}, [2]float64{.66, .65})
	ring("building", [2]float64{.45, .7}, [2]float64{.5, .7}, [2]float64{.5, .75})
	var count int
	run(t, ctx, chromedp.Evaluate(`tankfulMap.source.getFeatures().length`, &count))
	if count != 4 {
		t.Fatalf("%d outlines are drawn", count)
	}
	run(t, ctx, chromedp.Click(`[data-act=undo]`, chromedp.ByQuery), chromedp.Sleep(800*time.Millisecond), chromedp.Click(`[data-act=save]`, chromedp.ByQuery), chromedp.Sleep(800*time.Millisecond))
	shot(t, ctx, "map-1440")
	var said, net string
	run(t, ctx, chromedp.Text(`#ground .said-here`, &said, chromedp.ByQuery), chromedp.Text(`#figures dd`, &net, chromedp.ByQuery))
	if said != "Saved as measuring 2" {
		t.Errorf("after keeping the page says %q", said)
	}
	var rows int
	run(t, ctx, chromedp.Evaluate(`document.querySelectorAll("#measurings tbody tr").length`, &rows))
	if rows != 2 {
		t.Errorf("after the second measuring the list has %d", rows)
	}
	// By tape: a shape is put in, and the server adds it up beside the outlines.
	var taped string
	run(t, ctx, chromedp.Click(`#tape summary`, chromedp.ByQuery), chromedp.Click(`#tape [data-line^=front]`, chromedp.ByQuery), chromedp.WaitVisible(`#tape [data-summed] dd`, chromedp.ByQuery), chromedp.Text(`#tape [data-summed] dd`, &taped, chromedp.ByQuery))
	if taped != "4,500 sq ft" {
		t.Errorf("90 ft x 50 ft by tape: %s", taped)
	}
	shot(t, ctx, "tape-1440")
	_, body := est.do("GET", "/api/properties/9-tern-way", nil, nil, 200)
	list, found := intake.Read("9-tern-way.geojson", body, intake.Options{})
	if found.HasErrors() || len(list) != 1 || len(list[0].Outlines) != 3 {
		t.Fatalf("exported: %v, %s", found, body)
	}
	site := geo.Measure(list[0], geo.MeasureOptions{})
	if want := unit.US.Area(site.NetArea); want != net || site.NetArea < 500 {
		t.Errorf("the page says %s, measuring the exported outlines %s", net, want)
	}
	// By keyboard alone: a corner is moved in the list, and the figures follow.
	before := net
	run(t, ctx, chromedp.Evaluate(`tankfulMap.select(1), true`, nil), chromedp.Evaluate(`(() => { const i = document.querySelector(".corners input"); i.value = i.value.replace(/-?\d+\.\d+/, x => (Number(x) + 0.0001).toFixed(8)); i.dispatchEvent(new Event("change")); })()`, nil), chromedp.Sleep(1200*time.Millisecond), chromedp.Text(`#figures dd`, &net, chromedp.ByQuery))
	if net == before {
		t.Error("a corner is moved and the area stays")
	}
	// Somebody else keeps a measuring meanwhile: the page shows it and asks.
	est.do("PUT", "/api/properties/9-tern-way", map[string]string{"If-Match": `"2"`, "Content-Type": "application/geo+json"}, strings.NewReader(string(body)), 200)
	run(t, ctx, chromedp.Click(`[data-act=save]`, chromedp.ByQuery), chromedp.WaitVisible(`dialog`, chromedp.ByQuery))
	shot(t, ctx, "map-conflict-1440")
	run(t, ctx, chromedp.Click(`dialog button[value=mine]`, chromedp.ByQuery), chromedp.Sleep(700*time.Millisecond), chromedp.Text(`#ground .said-here`, &said, chromedp.ByQuery))
	if said != "Saved as measuring 4" {
		t.Errorf("after the conflict the page says %q", said)
	}
	run(t, ctx, emulation.SetDeviceMetricsOverride(390, 844, 1, true), chromedp.Sleep(300*time.Millisecond))
	shot(t, ctx, "map-390")
}
