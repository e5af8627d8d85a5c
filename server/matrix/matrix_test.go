package matrix_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
	"tankful/server/matrix"
)

// server answers as both forms of service do: a drive takes 1,000 s for each degree between places, and is 2 km long for each.
func server(t *testing.T, before func(w http.ResponseWriter, r *http.Request) bool) *httptest.Server {
	t.Helper()
	s := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if before != nil && before(w, r) {
			return
		}
		if r.Method == http.MethodPost {
			valhalla(w, r)
		} else {
			osrm(w, r)
		}
	}))
	t.Cleanup(s.Close)
	return s
}

func apart(a, b [2]float64) float64 { return math.Abs(a[0]-b[0]) + math.Abs(a[1]-b[1]) }

// osrm answers GET /table/v1/{profile}/{lon,lat;...}?sources=..&destinations=.. with "durations" and "distances" by sources and destinations (osrm-backend, docs/http.md, "Table service").
func osrm(w http.ResponseWriter, r *http.Request) {
	parts := strings.Split(r.URL.Path, "/")
	var at [][2]float64
	for _, p := range strings.Split(parts[4], ";") {
		var q [2]float64
		lon, lat, _ := strings.Cut(p, ",")
		q[0], _ = strconv.ParseFloat(lon, 64)
		q[1], _ = strconv.ParseFloat(lat, 64)
		at = append(at, q)
	}
	// Both lists are divided by semicolons, which url.ParseQuery does not take.
	list := func(key string) (out [][2]float64) {
		for pair := range strings.SplitSeq(r.URL.RawQuery, "&") {
			if text, ok := strings.CutPrefix(pair, key+"="); ok {
				for i := range strings.SplitSeq(text, ";") {
					n, _ := strconv.Atoi(i)
					out = append(out, at[n])
				}
			}
		}
		return out
	}
	var d, x [][]float64
	for _, a := range list("sources") {
		var row, long []float64
		for _, b := range list("destinations") {
			row, long = append(row, 1000*apart(a, b)), append(long, 2000*apart(a, b))
		}
		d, x = append(d, row), append(x, long)
	}
	_ = json.NewEncoder(w).Encode(map[string]any{"code": "Ok", "durations": d, "distances": x, "sources": []any{}})
}

// valhalla answers POST /sources_to_targets with rows of {"distance": km, "time": s, "from_index", "to_index"} (valhalla.github.io, "Matrix service API reference").
func valhalla(w http.ResponseWriter, r *http.Request) {
	var in struct {
		Sources, Targets []struct{ Lat, Lon float64 }
	}
	_ = json.NewDecoder(r.Body).Decode(&in)
	var rows [][]map[string]any
	for i, a := range in.Sources {
		var row []map[string]any
		for j, b := range in.Targets {
			k := apart([2]float64{a.Lon, a.Lat}, [2]float64{b.Lon, b.Lat})
			row = append(row, map[string]any{"distance": 2 * k, "time": 1000 * k, "from_index": i, "to_index": j})
		}
		rows = append(rows, row)
	}
	_ = json.NewEncoder(w).Encode(map[string]any{"sources_to_targets": rows, "units": "kilometers"})
}

var places = []orb.Point{{-41.2, 38.5}, {-41.19, 38.5}, {-41.19, 38.52}, {-41.25, 38.51}, {-41.2000004, 38.5}}

// Both forms, in blocks of one, two or all places, give the drives from and to the right places.
func TestAsk(t *testing.T) {
	for _, style := range []matrix.Style{matrix.OSRM, matrix.Valhalla} {
		for _, most := range []int{1, 2, 0} {
			s := server(t, nil)
			got, err := matrix.Service{URL: s.URL + "/", Style: style, Most: most}.Ask(context.Background(), places)
			if err != nil {
				t.Fatal(err)
			}
			for i := range places {
				for j := range places {
					want := apart([2]float64{math.Round(places[i][0]*1e6) / 1e6, places[i][1]}, [2]float64{math.Round(places[j][0]*1e6) / 1e6, places[j][1]})
					if d := got[i][j]; !d.OK || math.Abs(float64(d.Time)-1000*want) > 1e-6 || math.Abs(float64(d.Road)-2000*want) > 1e-6 {
						t.Errorf("%s, %d at once: %d to %d is %+v, want %v s", style, most, i, j, d, 1000*want)
					}
				}
			}
		}
	}
}

// What is sent: coordinates to a millionth of a degree, and no more.
func TestOnlyCoordinatesLeave(t *testing.T) {
	var sent []string
	s := server(t, func(w http.ResponseWriter, r *http.Request) bool {
		b, _ := io.ReadAll(r.Body)
		r.Body = io.NopCloser(strings.NewReader(string(b)))
		sent = append(sent, r.URL.String()+" "+string(b))
		return false
	})
	for _, style := range []matrix.Style{matrix.OSRM, matrix.Valhalla} {
		if _, err := (matrix.Service{URL: s.URL, Style: style}).Ask(context.Background(), []orb.Point{{-41.20000049, 38.5}, {-41.19, 38.5}}); err != nil {
			t.Fatal(err)
		}
	}
	want := []string{
		"/table/v1/driving/-41.2,38.5;-41.19,38.5;-41.2,38.5;-41.19,38.5?annotations=duration,distance&sources=0;1&destinations=2;3 ",
		`/sources_to_targets {"sources":[{"lat":38.5,"lon":-41.2},{"lat":38.5,"lon":-41.19}],"targets":[{"lat":38.5,"lon":-41.2},{"lat":38.5,"lon":-41.19}],"costing":"truck","units":"kilometers"}`,
	}
	if len(sent) != 2 || sent[0] != want[0] || sent[1] != want[1] {
		t.Errorf("sent %q\nwant %q", sent, want)
	}
}

// A service that is busy is asked three times, one that refuses once, and one that does not answer until the time is up.
func TestTriesAgain(t *testing.T) {
	for _, tt := range []struct {
		name  string
		times int // how often it fails
		how   func(w http.ResponseWriter, r *http.Request)
		asked int
		err   error
	}{
		{"busy twice", 2, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusServiceUnavailable) }, 3, nil},
		{"busy", 9, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusTooManyRequests) }, 3, matrix.ErrBusy},
		{"refuses", 9, func(w http.ResponseWriter, _ *http.Request) { w.WriteHeader(http.StatusBadRequest) }, 1, matrix.ErrRefused},
		{"says no", 9, func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, `{"code":"TooBig","message":"too many"}`) }, 1, matrix.ErrRefused},
		{"no JSON", 9, func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, "<html>") }, 1, matrix.ErrAnswer},
		{"too few rows", 9, func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, `{"code":"Ok","durations":[[0,1]]}`) }, 1, matrix.ErrAnswer},
		{"too few cells", 9, func(w http.ResponseWriter, _ *http.Request) { fmt.Fprint(w, `{"code":"Ok","durations":[[0],[0]]}`) }, 1, matrix.ErrAnswer},
		{"below zero", 9, func(w http.ResponseWriter, _ *http.Request) {
			fmt.Fprint(w, `{"code":"Ok","durations":[[0,-1],[1,0]]}`)
		}, 1, matrix.ErrAnswer},
		{"a month", 9, func(w http.ResponseWriter, _ *http.Request) {
			fmt.Fprint(w, `{"code":"Ok","durations":[[0,2592000],[1,0]]}`)
		}, 1, matrix.ErrAnswer},
		{"silent", 9, func(_ http.ResponseWriter, r *http.Request) { <-r.Context().Done() }, 3, matrix.ErrBusy},
	} {
		var asked atomic.Int64
		s := server(t, func(w http.ResponseWriter, r *http.Request) bool {
			n := asked.Add(1)
			if int(n) <= tt.times {
				tt.how(w, r)
				return true
			}
			return false
		})
		got, err := matrix.Service{URL: s.URL, Style: matrix.OSRM, Pause: time.Millisecond, Timeout: 200 * time.Millisecond}.Ask(context.Background(), places[:2])
		if !errors.Is(err, tt.err) || int(asked.Load()) != tt.asked {
			t.Errorf("%s: asked %d times, %v; want %d times, %v", tt.name, asked.Load(), err, tt.asked, tt.err)
		}
		if len(got) != 2 || got[0][1].OK != (tt.err == nil) {
			t.Errorf("%s: %+v", tt.name, got)
		}
	}
}

// Ways that there are none of, and those that the service has only estimated, are not known; others are.
func TestUnknownDrives(t *testing.T) {
	for style, text := range map[matrix.Style]string{
		matrix.OSRM:     `{"code":"Ok","durations":[[0,null,7],[5,0,6],[7,8,0]],"distances":[[0,null,9],[9,0,9],[9,9,0]],"fallback_speed_cells":[[2,0]]}`,
		matrix.Valhalla: `{"sources_to_targets":[[{"time":0,"distance":0},{"time":null,"distance":null},{"time":7,"distance":0.009}],[{"time":5,"distance":1},{"time":0},{"time":6}],[{"time":null},{"time":8},{"time":0}]],"units":"kilometers"}`,
	} {
		s := server(t, func(w http.ResponseWriter, _ *http.Request) bool {
			fmt.Fprint(w, text)
			return true
		})
		got, err := matrix.Service{URL: s.URL, Style: style}.Ask(context.Background(), places[:3])
		if err != nil || got[0][1].OK || got[2][0].OK || got[0][2] != (matrix.Drive{Time: 7, Road: 9, OK: true}) || !got[1][0].OK || got[2][1].Time != 8*unit.Second {
			t.Errorf("%s: %+v, %v", style, got, err)
		}
	}
}

// Answers are kept by what was asked: the second time nobody is asked, another profile is asked for, and a damaged file is as none.
func TestKept(t *testing.T) {
	var asked atomic.Int64
	s := server(t, func(http.ResponseWriter, *http.Request) bool { asked.Add(1); return false })
	of := matrix.Service{URL: s.URL, Style: matrix.OSRM, Folder: filepath.Join(t.TempDir(), "kept"), Most: 3}
	first, err := of.Ask(context.Background(), places)
	if err != nil || int(asked.Load()) != 4 {
		t.Fatal(err, asked.Load())
	}
	again, err := of.Ask(context.Background(), places)
	if err != nil || asked.Load() != 4 || fmt.Sprint(again) != fmt.Sprint(first) {
		t.Errorf("asked %d times, %v: %v", asked.Load(), err, again)
	}
	other := of
	other.Profile = "truck"
	if _, err := other.Ask(context.Background(), places); err != nil || int(asked.Load()) != 8 {
		t.Errorf("another profile: asked %d times, %v", asked.Load(), err)
	}
	files, _ := filepath.Glob(filepath.Join(of.Folder, "*"))
	if len(files) != 8 {
		t.Fatalf("%d files", len(files))
	}
	for _, f := range files {
		if err := os.WriteFile(f, []byte(`{"drives":[[]]}`), 0o600); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := of.Ask(context.Background(), places); err != nil || int(asked.Load()) != 12 {
		t.Errorf("damaged: asked %d times, %v", asked.Load(), err)
	}
}

// A folder that cannot be written to costs no answer.
func TestNotKept(t *testing.T) {
	file := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(file, nil, 0o600); err != nil {
		t.Fatal(err)
	}
	s := server(t, nil)
	got, err := matrix.Service{URL: s.URL, Style: matrix.OSRM, Folder: file, Most: 2}.Ask(context.Background(), places)
	if !errors.Is(err, matrix.ErrKeep) {
		t.Errorf("got %v, want %v", err, matrix.ErrKeep)
	}
	for i := range places {
		for j := range places {
			if !got[i][j].OK {
				t.Errorf("%d to %d is not known", i, j)
			}
		}
	}
}

func TestNoService(t *testing.T) {
	for _, s := range []matrix.Service{{}, {URL: "localhost:5000", Style: matrix.OSRM}, {URL: "ftp://x", Style: matrix.OSRM}, {URL: "http://x", Style: "other"}} {
		if _, err := s.Ask(context.Background(), places); !errors.Is(err, matrix.ErrService) {
			t.Errorf("%+v: %v", s, err)
		}
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := (matrix.Service{URL: "http://127.0.0.1:1", Style: matrix.OSRM}).Ask(ctx, places); err == nil {
		t.Error("cancelled, and no error")
	}
}

func FuzzAnswers(f *testing.F) {
	f.Add(`{"code":"Ok","durations":[[0,1],[1,0]],"fallback_speed_cells":[[5,-1]]}`, true)
	f.Add(`{"sources_to_targets":[[{"time":1}]],"units":"leagues"}`, false)
	f.Fuzz(func(t *testing.T, text string, osrm bool) {
		style := matrix.Valhalla
		if osrm {
			style = matrix.OSRM
		}
		got, err := matrix.Service{URL: "http://x", Style: style, Client: &http.Client{Transport: says(text)}}.Ask(context.Background(), places[:2])
		if err == nil && (!(got[0][1].Time >= 0) || !(got[0][1].Road >= 0)) {
			t.Errorf("%+v", got)
		}
	})
}

// says answers every request with one text.
type says string

func (s says) RoundTrip(*http.Request) (*http.Response, error) {
	return &http.Response{StatusCode: http.StatusOK, Status: "200 OK", Body: io.NopCloser(strings.NewReader(string(s)))}, nil
}
