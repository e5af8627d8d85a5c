package server

import (
	"fmt"
	"net/http"
	"slices"
	"sync"

	"github.com/gorilla/mux"
)

// Role is what somebody is for the outfit.
type Role string

// The roles.
const (
	Owner     Role = "owner"
	Estimator Role = "estimator"
	CrewLead  Role = "crew lead"
	Sales     Role = "sales"
)

// Roles are all roles.
var Roles = []Role{Owner, Estimator, CrewLead, Sales}

// may is something that not everybody may do.
type may string

// What routes ask for. anybody is for those who have not signed in, the owner may do everything.
const (
	anybody   may = "anybody"
	see       may = "see"       // properties, the outfit, days and plans
	measuring may = "measuring" // make and change properties
	outfit    may = "outfit"    // change products, mixes, trucks, calibrations
	day       may = "day"       // plan days
	work      may = "work"      // enter what was done, and the record
	offers    may = "offers"    // make and send quotes
	prices    may = "prices"    // see costs and margins
	owning    may = "owning"    // people, price books, the audit trail
)

// grants says which roles may do what.
var grants = map[may][]Role{
	see:       {Owner, Estimator, CrewLead, Sales},
	measuring: {Owner, Estimator},
	outfit:    {Owner, CrewLead},
	day:       {Owner, CrewLead},
	work:      {Owner, CrewLead},
	offers:    {Owner, Sales},
	prices:    {Owner, Sales},
	owning:    {Owner},
}

// May reports whether a role may do something.
func (r Role) may(m may) bool { return m == anybody || slices.Contains(grants[m], r) }

// access says what each route asks for. A route that is not here answers nobody; a test holds the table against the routes.
var access = map[string]may{
	"GET /healthz":       anybody,
	"GET /web/{file:.+}": anybody,
	"GET /offline.js":    anybody,
	"GET /sign-in":       anybody,
	"POST /sign-in":      anybody,
	"GET /first":         anybody,
	"POST /first":        anybody,
	"GET /join/{token}":  anybody,
	"POST /join/{token}": anybody,
	"POST /sign-out":     see,

	"GET /metrics":                                   owning,
	"GET /api/openapi.json":                          see,
	"GET /api/properties":                            see,
	"POST /api/properties":                           measuring,
	"GET /api/properties/{id}":                       see,
	"PUT /api/properties/{id}":                       measuring,
	"DELETE /api/properties/{id}":                    measuring,
	"GET /api/properties/{id}/measure":               see,
	"GET /api/properties/{id}/versions":              see,
	"GET /api/properties/{id}/versions/{version}":    see,
	"GET /api/properties/{id}/difference":            see,
	"GET /api/properties/{id}/pictures":              see,
	"POST /api/properties/{id}/pictures":             measuring,
	"DELETE /api/properties/{id}/pictures/{picture}": measuring,
	"POST /api/measure":                              see,
	"POST /api/tape":                                 see,
	"POST /api/read":                                 measuring,
	"GET /api/outfit/{kind}":                         see,
	"GET /api/outfit/{kind}/{id}":                    see,
	"PUT /api/outfit/{kind}/{id}":                    outfit,
	"DELETE /api/outfit/{kind}/{id}":                 outfit,
	"GET /api/plans":                                 see,
	"POST /api/plans":                                day,
	"GET /api/plans/{plan}":                          see,
	"GET /api/plans/{plan}/day":                      see,
	"POST /api/plans/{plan}/rest":                    day,
	"POST /api/weeks":                                day,
	"POST /api/plans/{plan}/order":                   day,
	"GET /api/plans/{plan}/entries":                  see,
	"POST /api/plans/{plan}/entries":                 work,
	"POST /api/plans/{plan}/record":                  work,
	"GET /api/records":                               see,
	"POST /api/records/{seq}/correction":             work,
	"GET /api/price-books/{id}":                      prices,
	"PUT /api/price-books/{id}":                      owning,
	"GET /api/quotes":                                see,
	"POST /api/quotes":                               offers,
	"GET /api/quotes/{id}":                           offers,
	"PUT /api/quotes/{id}/state":                     offers,
	"GET /api/people":                                owning,
	"PUT /api/people/{id}":                           owning,
	"POST /api/invitations":                          owning,
	"GET /api/tokens":                                see,
	"POST /api/tokens":                               see,
	"DELETE /api/tokens/{id}":                        see,
	"GET /api/audit":                                 owning,

	"GET /features":                                     see,
	"GET /features/conformance":                         see,
	"GET /features/api":                                 see,
	"GET /features/collections":                         see,
	"GET /features/collections/{collection}":            see,
	"GET /features/collections/{collection}/items":      see,
	"GET /features/collections/{collection}/items/{id}": see,

	"GET /":                                                       see,
	"GET /properties":                                             see,
	"POST /properties":                                            measuring,
	"GET /properties/{id}":                                        see,
	"POST /properties/{id}/away":                                  measuring,
	"POST /properties/{id}/tape":                                  measuring,
	"POST /properties/{id}":                                       measuring,
	"GET /properties/{id}/pictures/{picture}":                     see,
	"POST /properties/{id}/pictures/{picture}/away":               measuring,
	"POST /properties/{id}/pictures":                              measuring,
	"GET /under/{set:[0-9]+}/{z:[0-9]+}/{x:[0-9]+}/{y:[0-9]+}":    see,
	"POST /outfit-tiles":                                          owning,
	"GET /days":                                                   see,
	"GET /plan/{plan}/against/{other}":                            see,
	"GET /plan/{plan}":                                            see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}":                       see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}/stop/{stop:[0-9]+}":    see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}/map/{stop:[0-9]+}.svg": see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}/map.svg":               see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}/sheets.pdf":            see,
	"GET /plan/{plan}/truck/{truck:[0-9]+}/phone.html":            see,
	"GET /quotes":                                                 offers,
	"POST /quotes":                                                offers,
	"GET /quotes/{id}":                                            offers,
	"POST /quotes/{id}":                                           offers,
	"GET /quotes/{id}/quote.pdf":                                  offers,
	"GET /quotes/street.csv":                                      offers,
	"GET /outfit":                                                 see,
	"GET /outfit/{kind}/{id}":                                     see,
	"POST /outfit/{kind}/{id}":                                    outfit,
	"GET /catch":                                                  outfit,
	"POST /catch":                                                 outfit,
	"GET /record":                                                 see,
	"GET /record.csv":                                             see,
	"GET /record/{seq:[0-9]+}":                                    work,
	"POST /record/{seq:[0-9]+}":                                   work,
	"GET /people":                                                 owning,
	"POST /people":                                                owning,
}

// allow asks the table before a route's handler runs.
func (s *Server) allow(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		need, known := access[routeKey(r)]
		who := person(r.Context())
		switch {
		case !known:
			s.refuse(w, r, &refusal{Status: http.StatusForbidden, Title: "this is open to nobody"})
		case need == anybody:
			next.ServeHTTP(w, r)
		case who == nil && wantsPage(r) && r.Method == http.MethodGet:
			http.Redirect(w, r, "/sign-in?to="+r.URL.EscapedPath(), http.StatusSeeOther)
		case who == nil:
			s.refuse(w, r, &refusal{Status: http.StatusUnauthorized, Title: "sign in first", Detail: "Sign in, or send an access token."})
		case !who.Role.may(need):
			s.refuse(w, r, &refusal{Status: http.StatusForbidden, Title: "your role may not do this", Detail: "Ask the owner: you are " + string(who.Role) + "."})
		case r.Method != http.MethodGet && r.Method != http.MethodHead && !s.crowd.enter(who.ID):
			s.refuse(w, r, &refusal{Status: http.StatusTooManyRequests, Title: "you have too much under way", Detail: fmt.Sprintf("At most %d things are done for one person at once: wait for some to end.", mostAtOnce), RetryAfter: 5})
		default:
			if r.Method != http.MethodGet && r.Method != http.MethodHead {
				defer s.crowd.leave(who.ID)
			}
			next.ServeHTTP(w, r)
		}
	})
}

// mostAtOnce is how many changes, measurings, uploads and plans may be under way for one person: a program gone wrong does not take the server from the others.
const mostAtOnce = 16

// crowd counts what is under way for each person.
type crowd struct {
	mu sync.Mutex
	of map[string]int
}

func (c *crowd) enter(id string) bool {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of == nil {
		c.of = map[string]int{}
	}
	if c.of[id] >= mostAtOnce {
		return false
	}
	c.of[id]++
	return true
}

func (c *crowd) leave(id string) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.of[id]--; c.of[id] <= 0 {
		delete(c.of, id)
	}
}

// routeKey is the table's key of the route that a request has matched.
func routeKey(r *http.Request) string {
	route := mux.CurrentRoute(r)
	if route == nil {
		return ""
	}
	path, err := route.GetPathTemplate()
	if err != nil {
		return ""
	}
	method := r.Method
	if method == http.MethodHead {
		method = http.MethodGet
	}
	return method + " " + path
}
