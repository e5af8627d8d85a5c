package server

import (
	"fmt"
	"log/slog"
	"net/http"
	"runtime/debug"
	"strconv"
	"time"

	"github.com/gorilla/mux"
	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/collectors"
	"github.com/prometheus/client_golang/prometheus/promhttp"
)

// metrics are what is counted of the server's work.
type metrics struct {
	requests *prometheus.CounterVec
	seconds  *prometheus.HistogramVec
	plans    *prometheus.HistogramVec
}

func newMetrics() (*prometheus.Registry, *metrics) {
	r := prometheus.NewRegistry()
	m := &metrics{
		requests: prometheus.NewCounterVec(prometheus.CounterOpts{Name: "tankful_requests_total", Help: "Requests answered, by route, method and status."}, []string{"route", "method", "status"}),
		seconds:  prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "tankful_request_seconds", Help: "How long answers took, by route.", Buckets: []float64{.005, .01, .025, .05, .1, .25, .5, 1, 2.5, 10, 60}}, []string{"route"}),
		plans:    prometheus.NewHistogramVec(prometheus.HistogramOpts{Name: "tankful_plan_seconds", Help: "How long planning took.", Buckets: []float64{.1, .5, 1, 2.5, 5, 10, 30, 60}}, []string{"made"}),
	}
	r.MustRegister(m.requests, m.seconds, m.plans, collectors.NewGoCollector(), collectors.NewProcessCollector(collectors.ProcessCollectorOpts{}))
	return r, m
}

func (s *Server) metricsPage() http.Handler {
	return promhttp.HandlerFor(s.registry, promhttp.HandlerOpts{})
}

// answer remembers what was answered.
type answer struct {
	http.ResponseWriter
	status int
	route  string
}

func (a *answer) WriteHeader(status int) {
	if a.status == 0 {
		a.status = status
	}
	a.ResponseWriter.WriteHeader(status)
}

func (a *answer) Write(b []byte) (int, error) {
	if a.status == 0 {
		a.status = http.StatusOK
	}
	return a.ResponseWriter.Write(b)
}

// Unwrap is for http.ResponseController.
func (a *answer) Unwrap() http.ResponseWriter { return a.ResponseWriter }

// Flush is for server-sent events.
func (a *answer) Flush() { _ = http.NewResponseController(a.ResponseWriter).Flush() }

// watch logs and counts requests, and turns a panic, which is our fault, into a 500. Neither queries nor bodies nor heads are logged: they may hold secrets. A
// path is logged as its route has it, since a token may stand in it.
func (s *Server) watch(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		began := time.Now()
		a := &answer{ResponseWriter: w, route: "none"}
		defer func() {
			if fault := recover(); fault != nil {
				s.Log.Error("panic", "route", a.route, "fault", fmt.Sprint(fault), "stack", string(debug.Stack()))
				if a.status == 0 {
					s.refuse(a, r, &refusal{Status: http.StatusInternalServerError, Title: "the server failed", Detail: "The log of the server says why."})
				}
			}
			took := time.Since(began)
			s.metrics.requests.WithLabelValues(a.route, r.Method, strconv.Itoa(a.status)).Inc()
			s.metrics.seconds.WithLabelValues(a.route).Observe(took.Seconds())
			level := slog.LevelInfo
			if a.status >= 500 {
				level = slog.LevelError
			}
			s.Log.Log(r.Context(), level, "request", "method", r.Method, "route", a.route, "status", a.status, "ms", took.Milliseconds(), "from", from(r))
		}()
		next.ServeHTTP(a, r)
	})
}

// named tells watch which route was matched.
func named(next http.Handler) http.Handler {
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if path, err := mux.CurrentRoute(r).GetPathTemplate(); err == nil {
			for x := w; x != nil; {
				if a, ok := x.(*answer); ok {
					a.route = path
					break
				}
				u, ok := x.(interface{ Unwrap() http.ResponseWriter })
				if !ok {
					break
				}
				x = u.Unwrap()
			}
		}
		next.ServeHTTP(w, r)
	})
}
