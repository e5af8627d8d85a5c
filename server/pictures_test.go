package server_test

import (
	"bytes"
	"context"
	"encoding/base64"
	"encoding/json"
	"image"
	"image/color"
	"image/png"
	"io"
	"mime/multipart"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"sync"
	"testing"
	"time"

	"tankful/server"
)

// plot is a PNG of 200 by 160 pixels, light with a dark cross, and its world file: about a tenth of a metre a pixel, over the demo's first lawn.
func plot(t *testing.T) (data []byte, world string) {
	t.Helper()
	img := image.NewNRGBA(image.Rect(0, 0, 200, 160))
	for y := range 160 {
		for x := range 200 {
			c := color.NRGBA{R: 200, G: 220, B: 190, A: 255}
			if x/20%2 == y/20%2 {
				c = color.NRGBA{R: 150, G: 180, B: 140, A: 255}
			}
			img.SetNRGBA(x, y, c)
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, img); err != nil {
		t.Fatal(err)
	}
	return b.Bytes(), "0.0000020\n0\n0\n-0.0000016\n-41.18995\n38.50925\n"
}

// upload sends a form with files.
func (v *visitor) upload(path string, files map[string][2]string, fields map[string]string, want int) string {
	v.t.Helper()
	var b bytes.Buffer
	form := multipart.NewWriter(&b)
	for key, f := range files {
		w, err := form.CreateFormFile(key, f[0])
		if err != nil {
			v.t.Fatal(err)
		}
		_, _ = w.Write([]byte(f[1]))
	}
	for k, x := range fields {
		_ = form.WriteField(k, x)
	}
	_ = form.Close()
	_, text := v.do("POST", path, map[string]string{"Content-Type": form.FormDataContentType(), "Accept": "text/html"}, &b, want)
	return string(text)
}

type listedPicture struct {
	ID, Name, URL string
	Facts         struct {
		Box   [4]float64
		Pixel string
	}
}

// A picture is put under a property's outlines, seen by everybody of the outfit at its own address alone, and taken away.
func TestPictures(t *testing.T) {
	o := newOffice(t)
	est, sales := o.with("estimator"), o.with("sales")
	data, world := plot(t)
	text := est.upload("/properties/gull-row-4/pictures", map[string][2]string{"picture": {`<b>"lot".png`, string(data)}, "world": {"lot.pgw", world}}, map[string]string{"coordinates": ""}, 200)
	if !strings.Contains(text, "lies under the outlines; a pixel is about 6.") || strings.Contains(text, `<b>"lot"`) {
		t.Errorf("after the upload: %.2000s", text)
	}
	var list []listedPicture
	sales.json("GET", "/api/properties/gull-row-4/pictures", nil, nil, 200, &list)
	if len(list) != 1 || list[0].Facts.Box[0] > -41.1899 || list[0].Facts.Box[3] < 38.509 {
		t.Fatalf("%+v", list)
	}
	answer, got := sales.do("GET", list[0].URL, nil, nil, 200)
	if answer.Header.Get("Content-Type") != "image/jpeg" || answer.Header.Get("X-Content-Type-Options") != "nosniff" || answer.Header.Get("Cache-Control") != "private, max-age=31536000, immutable" || !strings.Contains(answer.Header.Get("Content-Security-Policy"), "default-src 'none'") {
		t.Errorf("heads %v", answer.Header)
	}
	if _, kind, err := image.DecodeConfig(bytes.NewReader(got)); err != nil || kind != "jpeg" {
		t.Errorf("%s, %v", kind, err)
	}
	page := sales.get("/properties/gull-row-4", 200)
	if !strings.Contains(page, "data-underlay=\"[{&#34;name&#34;:") || !strings.Contains(page, list[0].ID) || strings.Contains(page, "Put a picture under") {
		t.Error("the map of who may look is not given the picture, or is given the form")
	}
	sales.upload("/properties/gull-row-4/pictures", map[string][2]string{"picture": {"a.png", string(data)}, "world": {"a.pgw", world}}, nil, 403)
	sales.form(list[0].URL+"/away", url.Values{}, 403)
	o.visitor().get(list[0].URL, 200) // to the sign-in
	for _, path := range []string{strings.Replace(list[0].URL, "gull-row-4", "gull-row-6", 1), "/properties/gull-row-4/pictures/..%2f..%2fdata", "/under/1/0/0/0"} {
		sales.get(path, 404)
	}
	// The API takes the same; a world file in a system needs its name.
	var p listedPicture
	est.json("POST", "/api/properties/gull-row-6/pictures", map[string]string{"Idempotency-Key": "a"}, map[string]any{"name": "a.png", "data": base64.StdEncoding.EncodeToString(data), "world": world}, 201, &p)
	var twice listedPicture
	est.json("POST", "/api/properties/gull-row-6/pictures", map[string]string{"Idempotency-Key": "a"}, map[string]any{"name": "a.png", "data": base64.StdEncoding.EncodeToString(data), "world": world}, 201, &twice)
	if p.ID == "" || twice.ID != p.ID {
		t.Errorf("sent twice: %q, %q", p.ID, twice.ID)
	}
	for what, c := range map[string]struct {
		files map[string][2]string
		says  string
		code  int
	}{
		"no world file": {map[string][2]string{"picture": {"a.png", string(data)}}, "world file", 422},
		"metres":        {map[string][2]string{"picture": {"a.png", string(data)}, "world": {"w", "0.1\n0\n0\n-0.1\n481000\n4980000"}}, "projected system", 422},
		"a script":      {map[string][2]string{"picture": {"a.svg", "<svg onload=alert(1)>"}}, "none of the pictures", 422},
		"nothing":       {nil, "no picture", 422},
	} {
		if got := est.upload("/properties/gull-row-4/pictures", c.files, nil, c.code); !strings.Contains(got, c.says) {
			t.Errorf("%s: no %q in %.1500s", what, c.says, got)
		}
	}
	est.upload("/properties/nowhere/pictures", map[string][2]string{"picture": {"a.png", string(data)}, "world": {"a.pgw", world}}, nil, 404)
	est.upload("/properties/gull-row-4/pictures", map[string][2]string{"picture": {"a.png", strings.Repeat("x", 49<<20)}}, nil, 413)
	est.form(list[0].URL+"/away", url.Values{}, 200)
	est.get(list[0].URL, 404)
	est.json("DELETE", "/api/properties/gull-row-6/pictures/"+p.ID, nil, nil, 204, nil)
	est.json("DELETE", "/api/properties/gull-row-6/pictures/"+p.ID, nil, nil, 404, nil)
	// With the property go its pictures.
	est.json("POST", "/api/properties/kelp-circle-3/pictures", nil, map[string]any{"name": "a.png", "data": base64.StdEncoding.EncodeToString(data), "world": world}, 201, &p)
	est.get(p.URL, 200)
	est.do("DELETE", "/api/properties/kelp-circle-3", map[string]string{"If-Match": "\"1\""}, nil, 204)
	est.get(p.URL, 404)
}

// A picture over a slow line is waited for, by the form and by the API, though the server gives up others that send too slowly.
func TestSlowLine(t *testing.T) {
	if slow {
		return
	}
	o := newOffice(t)
	est := o.with("estimator")
	quick := httptest.NewUnstartedServer(o.s)
	quick.Config.ReadTimeout = time.Second
	quick.Start()
	defer quick.Close()
	var key struct{ Token string }
	est.json("POST", "/api/tokens", nil, map[string]any{"name": "slow"}, 201, &key)
	data, world := plot(t)
	var form bytes.Buffer
	m := multipart.NewWriter(&form)
	for key, text := range map[string]string{"picture": string(data), "world": world} {
		w, err := m.CreateFormFile(key, key)
		if err != nil {
			t.Fatal(err)
		}
		_, _ = io.WriteString(w, text)
	}
	_ = m.Close()
	asJSON, err := json.Marshal(map[string]any{"name": "a.png", "data": data, "world": world})
	if err != nil {
		t.Fatal(err)
	}
	var both sync.WaitGroup
	for path, c := range map[string]struct {
		kind  string
		body  []byte
		pause time.Duration // 5 s is what the API's library waits unless it is told
		want  int
	}{
		"/properties/gull-row-4/pictures":     {m.FormDataContentType(), form.Bytes(), 1500 * time.Millisecond, 303},
		"/api/properties/gull-row-4/pictures": {"application/json", asJSON, 5500 * time.Millisecond, 201},
	} {
		both.Go(func() {
			out, in := io.Pipe()
			go func() {
				_, _ = in.Write(c.body[:100])
				time.Sleep(c.pause)
				_, _ = in.Write(c.body[100:])
				in.Close()
			}()
			r, err := http.NewRequest("POST", quick.URL+path, out)
			if err != nil {
				t.Error(err)
				return
			}
			r.Header.Set("Content-Type", c.kind)
			r.Header.Set("Authorization", "Bearer "+key.Token)
			answer, err := http.DefaultTransport.RoundTrip(r)
			if err != nil {
				t.Error(path, err)
				return
			}
			answer.Body.Close()
			if answer.StatusCode != c.want {
				t.Errorf("%s: %d, want %d", path, answer.StatusCode, c.want)
			}
		})
	}
	both.Wait()
}

// Browsers are let to no other server until the owner says so, and then to that one, on pages with a map alone.
func TestTileAddress(t *testing.T) {
	o := newOffice(t)
	est := o.with("estimator")
	allowed := func(path string) string {
		answer, _ := o.owner.do("GET", path, nil, nil, 200)
		_, images, _ := strings.Cut(answer.Header.Get("Content-Security-Policy"), "img-src ")
		images, _, _ = strings.Cut(images, ";")
		return strings.TrimSpace(images)
	}
	const own = "'self' data: blob:"
	if got := allowed("/properties/gull-row-4"); got != own {
		t.Errorf("pictures may come from %s", got)
	}
	est.form("/outfit-tiles", url.Values{"version": {"0"}, "address": {"https://tiles.example/{z}/{x}/{y}.png"}}, 403)
	for _, bad := range []string{"tiles.example/{z}/{x}/{y}", "javascript:alert({z}{x}{y})", "https://tiles.example/{z}/{x}", "https://tiles.example; script-src */{z}/{x}/{y}", "https://u:p@tiles.example/{z}/{x}/{y}", "https://*.example/{z}/{x}/{y}", "https://[::1%25%3Bscript-src-elem%20data:]/{z}/{x}/{y}", "https://t\u00efles.example/{z}/{x}/{y}", "https://t%C3%AFles.example/{z}/{x}/{y}", "https://tiles.example:/{z}/{x}/{y}"} {
		if got := o.owner.form("/outfit-tiles", url.Values{"version": {"0"}, "address": {bad}}, 422); !strings.Contains(got, "https://tiles.example/{z}/{x}/{y}.png") {
			t.Errorf("%s: %.500s", bad, got)
		}
	}
	o.owner.form("/outfit-tiles", url.Values{"version": {"0"}, "address": {"https://tiles.example/a/{z}/{x}/{y}.png"}, "credit": {"Map <i>data</i>"}, "deepest": {"18"}}, 200)
	for path, want := range map[string]string{"/properties/gull-row-4": own + " https://tiles.example", "/days": own + " https://tiles.example", "/outfit": own, "/": own} {
		if got := allowed(path); got != want {
			t.Errorf("%s: pictures may come from %s, want %s", path, got, want)
		}
	}
	if page := est.get("/properties/gull-row-4", 200); !strings.Contains(page, `data-tiles="https://tiles.example/a/{z}/{x}/{y}.png" data-credit="Map &lt;i&gt;data&lt;/i&gt;" data-deepest="18"`) {
		t.Errorf("the map is given %.600s", page[strings.Index(page, `id="ground"`):])
	}
	// The address is an item beside the pictures: the routes of pictures do not reach it.
	est.get("/properties/*tiles/pictures/tiles", 404)
	est.form("/properties/*tiles/pictures/tiles/away", url.Values{}, 404)
	est.json("GET", "/api/properties/*tiles/pictures", nil, nil, 404, nil)
	est.json("DELETE", "/api/properties/*tiles/pictures/tiles", nil, nil, 404, nil)
	est.json("GET", "/api/properties/nowhere/pictures", nil, nil, 404, nil)
	if got := allowed("/properties/gull-row-4"); got != own+" https://tiles.example" {
		t.Errorf("an estimator has changed what the owner has set: %s", got)
	}
	o.owner.form("/outfit-tiles", url.Values{"version": {"1"}, "address": {""}}, 200)
	if got := allowed("/properties/gull-row-4"); got != own {
		t.Errorf("taken away, and pictures may come from %s", got)
	}
}

// town is a set of tiles with one tile.
type town struct{}

func (town) Name() string { return "Town from the air" }
func (town) Type() string { return "image/png" }
func (town) Deepest() int { return 17 }
func (town) Tile(_ context.Context, z, x, y int) ([]byte, error) {
	if z == 3 && x == 2 && y == 1 {
		return []byte("a tile"), nil
	}
	return nil, nil
}

func TestTilesOfTheServer(t *testing.T) {
	o := newOffice(t, func(c *server.Config) { c.Under = []server.Tiles{town{}} })
	est := o.with("estimator")
	answer, got := est.do("GET", "/under/1/3/2/1", nil, nil, 200)
	if string(got) != "a tile" || answer.Header.Get("Content-Type") != "image/png" {
		t.Errorf("%q, %v", got, answer.Header)
	}
	est.get("/under/1/3/2/2", 204)
	est.get("/under/2/3/2/1", 404)
	est.get("/under/1/99999999999999999999/0/0", 404)
	var under []map[string]any
	page := o.owner.get("/days", 200)
	_, text, _ := strings.Cut(page, `data-underlay="`)
	text, _, _ = strings.Cut(text, `"`)
	if err := json.Unmarshal([]byte(strings.ReplaceAll(text, "&#34;", `"`)), &under); err != nil || len(under) != 1 || under[0]["tiles"] != "/under/1/{z}/{x}/{y}" || under[0]["deepest"] != 17.0 {
		t.Errorf("the map is given %s, %v", text, err)
	}
}
