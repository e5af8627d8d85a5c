package server

import (
	"net/http"

	"github.com/gorilla/mux"
)

// Routes are the routes that the router has and those that the table of access has, for tests.
func (s *Server) Routes() (router, table []string) {
	_ = s.router.Walk(func(r *mux.Route, _ *mux.Router, _ []*mux.Route) error {
		path, err := r.GetPathTemplate()
		methods, err2 := r.GetMethods()
		if err != nil || err2 != nil {
			router = append(router, "ANY "+path)
			return nil
		}
		for _, m := range methods {
			if m != http.MethodHead {
				router = append(router, m+" "+path)
			}
		}
		return nil
	})
	for key := range access {
		table = append(table, key)
	}
	return router, table
}

// UnderWay puts so many things under way for somebody; the function that it gives ends them.
func (s *Server) UnderWay(id string, n int) (end func()) {
	for range n {
		s.crowd.enter(id)
	}
	return func() {
		for range n {
			s.crowd.leave(id)
		}
	}
}
