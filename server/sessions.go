package server

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"sync"
	"time"

	"github.com/alexedwards/scs/v2"
	"golang.org/x/time/rate"
)

const sessionTime = 14 * 24 * time.Hour

func (s *Server) newSessions() *scs.SessionManager {
	m := scs.New()
	m.Store = sessionStore{s}
	m.HashTokenInStore = false // sessionStore hashes
	m.Lifetime = sessionTime
	m.Cookie.Name = "tankful"
	m.Cookie.HttpOnly = true
	m.Cookie.Secure = s.Secure
	m.Cookie.SameSite = http.SameSiteLaxMode
	m.ErrorFunc = func(w http.ResponseWriter, r *http.Request, err error) { s.refuse(w, r, err) }
	return m
}

// sessionStore keeps sessions among the store's secrets. scs asks with a context by the methods that end in Ctx; the others are never called.
type sessionStore struct{ s *Server }

var errNoContext = errors.New("a session is asked for without its context")

func (sessionStore) Delete(string) error                    { return errNoContext }
func (sessionStore) Find(string) ([]byte, bool, error)      { return nil, false, errNoContext }
func (sessionStore) Commit(string, []byte, time.Time) error { return errNoContext }

// DeleteCtx ends a session.
func (x sessionStore) DeleteCtx(ctx context.Context, token string) error {
	_, err := x.s.Store.DropSecret(ctx, secretSession, hashed(token))
	return err
}

// FindCtx is a session's data.
func (x sessionStore) FindCtx(ctx context.Context, token string) ([]byte, bool, error) {
	kept, err := x.s.Store.Secret(ctx, secretSession, hashed(token), x.s.Now())
	if errors.Is(err, ErrNone) {
		return nil, false, nil
	}
	return kept.Body, err == nil, err
}

// CommitCtx keeps a session. Whose it is, is read from its data: the manager holds a lock and cannot be asked.
func (x sessionStore) CommitCtx(ctx context.Context, token string, b []byte, expiry time.Time) error {
	_, values, err := x.s.sessions.Codec.Decode(b)
	if err != nil {
		return fmt.Errorf("read a session: %w", err)
	}
	owner, _ := values["person"].(string)
	return x.s.Store.SetSecret(ctx, hashed(token), Secret{Kind: secretSession, ID: shortHash(token), Owner: owner, Body: b, Until: expiry})
}

// tries slows down who guesses passwords: a few at once, then one in ten seconds, by address and by name.
type tries struct {
	now  func() time.Time
	mu   sync.Mutex
	seen map[string]*tried
}

type tried struct {
	limit *rate.Limiter
	last  time.Time
}

const (
	triesAtOnce = 8
	triesEvery  = 10 * time.Second
	triesKept   = 10_000
)

func newTries(now func() time.Time) *tries { return &tries{now: now, seen: map[string]*tried{}} }

// allow reports whether another try is allowed under each of the keys.
func (t *tries) allow(keys ...string) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	now := t.now()
	if len(t.seen) > triesKept {
		for k, x := range t.seen {
			if now.Sub(x.last) > triesAtOnce*triesEvery {
				delete(t.seen, k)
			}
		}
	}
	ok := true
	for _, k := range keys {
		x := t.seen[k]
		if x == nil {
			x = &tried{limit: rate.NewLimiter(rate.Every(triesEvery), triesAtOnce)}
			t.seen[k] = x
		}
		x.last = now
		ok = x.limit.AllowN(now, 1) && ok
	}
	return ok
}

// from is the address that a request comes from, without its port.
func from(r *http.Request) string {
	host, _, err := net.SplitHostPort(r.RemoteAddr)
	if err != nil {
		return r.RemoteAddr
	}
	return host
}

// guess answers with 429 when there were too many tries.
func (s *Server) guess(r *http.Request, name string) error {
	if s.tries.allow("from "+from(r), "name "+name) {
		return nil
	}
	return &refusal{Status: http.StatusTooManyRequests, Title: "too many tries", Detail: "Wait a minute and try again.", RetryAfter: 60}
}

// enterAs begins a session.
func (s *Server) enterAs(ctx context.Context, p *Person) error {
	if err := s.sessions.RenewToken(ctx); err != nil {
		return err
	}
	s.sessions.Put(ctx, "person", p.ID)
	_, err := s.Store.Append(ctx, "", Entry{Log: Audit, About: "person/" + p.ID, Body: []byte(`{"did":"signed in"}`), By: p.ID, At: s.Now()})
	return err
}
