// Package server puts Tankful before people and machines over HTTP: one set of properties, calibrations, days, plans, quotes and records for everybody of an outfit.
//
// It knows who may do what, what is kept and in which versions, and how what is kept becomes a day file, a price book and a record for the packages below, which do all
// reckoning and say what is wrong. It leaves out arithmetic, databases (server/store behind Store) and listening (cmd).
package server

import (
	"context"
	"crypto/rand"
	"encoding/base32"
	"encoding/base64"
	"errors"
	"fmt"
	"html/template"
	"log/slog"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"github.com/gorilla/mux"
	"github.com/prometheus/client_golang/prometheus"

	"tankful/plan/offer"
)

// Config is what a Server is made from. Store and Log must be set.
type Config struct {
	Store Store
	Log   *slog.Logger
	// Now is the clock; nil is the machine's. Engine names the program's version, kept with what it reckons.
	Now    func() time.Time
	Engine string
	// Secure says that people come by HTTPS: cookies are sent by it alone.
	Secure bool
	// Address is how others reach the server, "https://office.example", for the links on sheets; "" for none.
	Address string
	// SetUpWord is asked of whoever sets up the owner; "" makes one.
	SetUpWord string
	// Under are pictures cut into tiles that every map may have under it.
	Under []Tiles
	// Planners is how many plans are made at once, 0 for one a core.
	Planners int
}

// Limits of one request.
const (
	mostBody    = 16 << 20 // bytes of a file or of outlines
	mostSmall   = 1 << 20  // bytes of anything else
	mostWaiting = 20       // plans that wait for their turn
	planTime    = 5 * time.Minute
	otherTime   = 30 * time.Second
	bodyTime    = time.Minute     // for a body to come in
	pictureTime = 5 * time.Minute // for a picture to: 48 MB at 1.3 Mbit/s
)

// Server answers requests. It is safe for concurrent use.
type Server struct {
	Config
	router   *mux.Router
	handler  http.Handler
	sessions *scs.SessionManager
	tries    *tries
	hashing  chan struct{} // one for each password that is being checked
	planning chan struct{}
	waiting  chan struct{}
	crowd    crowd
	placing  chan struct{} // one for each picture that is put on the map
	metrics  *metrics
	registry *prometheus.Registry
	pages    *pages
	plans    *kept[string, *readPlan]       // by fingerprint
	sheets   *kept[string, []template.HTML] // of plans and quotes, by page
	books    *kept[string, *offer.Book]     // by what they were read from; nobody changes them
}

// What is kept of plans: some megabytes each, and some hundred kilobytes each.
const (
	keptPlans  = 16
	keptSheets = 300
)

// New makes a server on a store.
func New(cfg Config) (*Server, error) {
	if cfg.Store == nil || cfg.Log == nil {
		return nil, errors.New("server: a store and a log must be given")
	}
	if cfg.Now == nil {
		cfg.Now = time.Now
	}
	if cfg.Planners <= 0 {
		cfg.Planners = runtime.GOMAXPROCS(0)
	}
	if cfg.SetUpWord == "" {
		cfg.SetUpWord = strings.ToLower(base32.StdEncoding.EncodeToString([]byte(randomText(9))[:10]))
	}
	s := &Server{Config: cfg, router: mux.NewRouter(), tries: newTries(cfg.Now), hashing: make(chan struct{}, 2), planning: make(chan struct{}, cfg.Planners), waiting: make(chan struct{}, mostWaiting), placing: make(chan struct{}, 1), plans: newKept[string, *readPlan](keptPlans), sheets: newKept[string, []template.HTML](keptSheets), books: newKept[string, *offer.Book](4)}
	s.registry, s.metrics = newMetrics()
	s.sessions = s.newSessions()
	var err error
	if s.pages, err = newPages(); err != nil {
		return nil, err
	}
	s.routes()
	protect := http.NewCrossOriginProtection()
	protect.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, &refusal{Status: http.StatusForbidden, Title: "the request comes from another site", Detail: "Open the page of this server and try again there."})
	}))
	s.handler = s.watch(s.heads(protect.Handler(s.identify(s.router))))
	return s, nil
}

// ServeHTTP answers a request.
func (s *Server) ServeHTTP(w http.ResponseWriter, r *http.Request) { s.handler.ServeHTTP(w, r) }

// NeedsOwner reports whether nobody may sign in yet, so that the owner is to be set up with the word.
func (s *Server) NeedsOwner(ctx context.Context) (bool, error) {
	p, err := s.Store.Items(ctx, Query{Kind: People, Limit: 1})
	return len(p.Items) == 0, err
}

// Sweep takes away sessions and invitations whose time is over, and keys that were used more than a month ago. It is to be called now and then.
func (s *Server) Sweep(ctx context.Context) error {
	now := s.Now()
	return s.Store.Sweep(ctx, now, now.AddDate(0, -1, 0))
}

// randomText is n random bytes as text.
func randomText(n int) string {
	b := make([]byte, n)
	_, _ = rand.Read(b) // never fails
	return base64.RawURLEncoding.EncodeToString(b)
}

// heads sets what every answer bears, and how long it may take.
func (s *Server) heads(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy(""))
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Permissions-Policy", "camera=(), microphone=(), geolocation=(self)")
		h.Set("Cache-Control", "no-store")
		if s.Secure {
			h.Set("Strict-Transport-Security", "max-age=31536000")
		}
		if r.Body != nil {
			most := int64(mostBody)
			if r.Method == http.MethodPost && strings.HasSuffix(r.URL.Path, "/pictures") {
				most = mostPicture
			}
			r.Body = http.MaxBytesReader(w, r.Body, most)
		}
		next.ServeHTTP(w, r)
	})
}

// policy is the Content-Security-Policy; images may come from one more place, the tiles that the owner has set.
func policy(images string) string {
	return "default-src 'none'; script-src 'self'; style-src 'self'; font-src 'self'; img-src 'self' data: blob: " + images + "; connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
}

// turn waits for one of the places for planning; full is told at once.
func (s *Server) turn(ctx context.Context) (done func(), err error) {
	select {
	case s.waiting <- struct{}{}:
	default:
		return nil, &refusal{Status: http.StatusServiceUnavailable, Title: "too many plans are being made", Detail: "Try again in a minute.", RetryAfter: 60}
	}
	defer func() { <-s.waiting }()
	select {
	case s.planning <- struct{}{}:
		return sync.OnceFunc(func() { <-s.planning }), nil
	case <-ctx.Done():
		return nil, fmt.Errorf("wait for a turn: %w", ctx.Err())
	}
}
