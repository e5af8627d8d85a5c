// Package matrix asks a routing service for the driving times between places.
//
// It knows two forms of service, where the answers are kept, and when to ask again. It leaves out which service is asked: that is the user's to say, there is none
// by default. Nothing but coordinates leaves the machine, rounded to a millionth of a degree (0.1 m): no names, no addresses.
package matrix

import (
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"net/http"
	"net/url"
	"strings"
	"time"

	"github.com/paulmach/orb"

	"tankful/calc/unit"
)

// Style is the form of a service.
type Style string

// The forms.
const (
	// OSRM is the table service of OSRM's HTTP API, version 1 (osrm-backend, docs/http.md).
	OSRM Style = "osrm"
	// Valhalla is the time-distance matrix of Valhalla (valhalla.github.io, Matrix service API reference).
	Valhalla Style = "valhalla"
)

// Service is a service and how it is asked.
type Service struct {
	URL   string
	Style Style
	// Profile is how to drive: OSRM's profile, usual is "driving", or Valhalla's costing, usual is "truck"; "" is the usual.
	Profile string
	// Timeout is for each request, 0 for 10 s. Tries is how often one is tried, 0 for 3 times; Pause is the wait before the second, which doubles, 0 for 0.5 s.
	Timeout time.Duration
	Tries   int
	Pause   time.Duration
	// Most is how many places are asked for at once on each side, 0 for 50.
	Most int
	// Folder keeps answers, "" for nowhere.
	Folder string
	// Client is for tests; nil is the usual one.
	Client *http.Client
}

// Drive is one drive. OK is false where the service knows none.
type Drive struct {
	Time unit.Time
	Road unit.Length
	OK   bool
}

// Table is the drives between places, by from and to.
type Table [][]Drive

// Errors of Ask.
var (
	// ErrService is a service whose URL or style is none.
	ErrService = errors.New("no such service")
	// ErrAnswer is an answer that is not what the service's form has.
	ErrAnswer = errors.New("the answer is not a table of drives")
	// ErrRefused is a request that the service refuses, and will refuse again.
	ErrRefused = errors.New("the service refuses")
	// ErrBusy is a service that does not answer, or says that it cannot now.
	ErrBusy = errors.New("the service does not answer")
	// ErrKeep is an answer that could not be kept; it is in the table all the same.
	ErrKeep = errors.New("the answers are not kept")
)

// mostBytes bounds an answer.
const mostBytes = 64 << 20

// Ask gives the drives between all places. Beside an error the table has what is known all the same: answers that came, or were kept. The error is that of the first request that failed, after
// which the service is not asked again unless it was ErrKeep.
func (s Service) Ask(ctx context.Context, places []orb.Point) (Table, error) {
	t := make(Table, len(places))
	for i := range t {
		t[i] = make([]Drive, len(places))
		t[i][i].OK = true
	}
	if err := s.check(); err != nil {
		return t, err
	}
	at := make([]orb.Point, len(places))
	for i, p := range places {
		at[i] = orb.Point{math.Round(p[0]*1e6) / 1e6, math.Round(p[1]*1e6) / 1e6}
	}
	most := orDefault(s.Most, 50)
	var failed error
	for from := 0; from < len(at); from += most {
		for to := 0; to < len(at); to += most {
			b := block{at[from:min(from+most, len(at))], at[to:min(to+most, len(at))]}
			rows, err := s.block(ctx, b, failed == nil || errors.Is(failed, ErrKeep))
			if err != nil && (failed == nil || errors.Is(failed, ErrKeep)) {
				failed = err
			}
			for i, row := range rows {
				for j, d := range row {
					if from+i != to+j {
						t[from+i][to+j] = d
					}
				}
			}
		}
	}
	return t, failed
}

func (s Service) check() error {
	u, err := url.Parse(s.URL)
	if err != nil || u.Scheme != "http" && u.Scheme != "https" || u.Host == "" {
		return fmt.Errorf("%w: the address %q is not http://host or https://host", ErrService, s.URL)
	}
	if s.Style != OSRM && s.Style != Valhalla {
		return fmt.Errorf("%w: the style %q is neither %s nor %s", ErrService, s.Style, OSRM, Valhalla)
	}
	return nil
}

func orDefault[T comparable](x, usual T) T {
	var zero T
	if x == zero {
		return usual
	}
	return x
}

// block is one request: from some places to some.
type block struct{ from, to []orb.Point }

// block gives the drives of a block: kept ones, or what the service answers, unless it is not to be asked.
func (s Service) block(ctx context.Context, b block, ask bool) (Table, error) {
	if t, ok := s.kept(b); ok {
		return t, nil
	}
	if !ask {
		return nil, nil
	}
	pause := orDefault(s.Pause, 500*time.Millisecond)
	for try := 1; ; try++ {
		t, err := s.request(ctx, b)
		if err == nil {
			return t, s.keep(b, t)
		}
		if !errors.Is(err, ErrBusy) || try == orDefault(s.Tries, 3) || ctx.Err() != nil {
			return nil, err
		}
		wait := time.NewTimer(pause)
		select {
		case <-ctx.Done():
			wait.Stop()
			return nil, err
		case <-wait.C:
		}
		pause *= 2
	}
}

// request sends one request and reads its answer.
func (s Service) request(ctx context.Context, b block) (Table, error) {
	ctx, cancel := context.WithTimeout(ctx, orDefault(s.Timeout, 10*time.Second))
	defer cancel()
	build, read := s.osrmRequest, readOSRM
	if s.Style == Valhalla {
		build, read = s.valhallaRequest, readValhalla
	}
	req, err := build(ctx, b)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrService, err)
	}
	res, err := orDefault(s.Client, http.DefaultClient).Do(req)
	if err != nil {
		return nil, fmt.Errorf("%w: %w", ErrBusy, err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(io.LimitReader(res.Body, mostBytes+1))
	switch {
	case err != nil:
		return nil, fmt.Errorf("%w: %w", ErrBusy, err)
	case len(body) > mostBytes:
		return nil, fmt.Errorf("%w: it is over 64 MiB", ErrAnswer)
	case res.StatusCode >= 500 || res.StatusCode == http.StatusTooManyRequests:
		return nil, fmt.Errorf("%w: %s", ErrBusy, res.Status)
	case res.StatusCode != http.StatusOK:
		return nil, fmt.Errorf("%w: %s: %s", ErrRefused, res.Status, start(body))
	}
	t, err := read(body)
	if err != nil {
		return nil, err
	}
	return t, t.check(len(b.from), len(b.to))
}

// start is the beginning of an answer, on one line.
func start(b []byte) string {
	return strings.Join(strings.Fields(string(b[:min(len(b), 200)])), " ")
}

// mostTime is the longest drive that is taken for one.
const mostTime = 24 * unit.Hour

// check holds a table against what was asked for.
func (t Table) check(rows, cols int) error {
	if len(t) != rows {
		return fmt.Errorf("%w: %d rows for %d places", ErrAnswer, len(t), rows)
	}
	for i := range t {
		if len(t[i]) != cols {
			return fmt.Errorf("%w: %d cells in row %d for %d places", ErrAnswer, len(t[i]), i+1, cols)
		}
		for j, d := range t[i] {
			if d.OK && (!(d.Time >= 0) || d.Time > mostTime || !(d.Road >= 0) || math.IsInf(float64(d.Road), 0)) {
				return fmt.Errorf("%w: row %d, column %d is %v s over %v m", ErrAnswer, i+1, j+1, float64(d.Time), float64(d.Road))
			}
		}
	}
	return nil
}
