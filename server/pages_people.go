package server

import (
	"encoding/json"
	"net/http"
	"strings"
	"time"

	"github.com/gorilla/mux"
)

// joining is the form of who is new: Path is where it goes.
type joining struct {
	Again      bool // it is for a new password of who is there
	Path, Word string
	Role       Role
	ID, Name   string
}

func (s *Server) routesPeople() {
	s.page("GET", "/sign-in", func(w http.ResponseWriter, r *http.Request) error {
		needs, err := s.NeedsOwner(r.Context())
		if err != nil {
			return err
		}
		if needs {
			return s.then(w, r, "", "/first")
		}
		return s.show(w, r, http.StatusOK, "sign-in", "Sign in", map[string]string{"To": here(r.URL.Query().Get("to"))})
	})
	s.page("POST", "/sign-in", func(w http.ResponseWriter, r *http.Request) error {
		id := strings.ToLower(strings.TrimSpace(r.PostForm.Get("id")))
		to := here(r.PostForm.Get("to"))
		err := s.guess(r, id)
		if err == nil {
			var p *Person
			if p, err = s.check(r.Context(), id, r.PostForm.Get("password")); err == nil {
				if err := s.enterAs(r.Context(), p); err != nil {
					return err
				}
				return s.then(w, r, "", to)
			}
		}
		x := s.refused(err)
		if x.Status == http.StatusTooManyRequests {
			w.Header().Set("Retry-After", "60")
		}
		return s.showRefused(w, r, x.Status, "sign-in", "Sign in", map[string]string{"To": to, "ID": id}, x)
	})
	s.page("POST", "/sign-out", func(w http.ResponseWriter, r *http.Request) error {
		if err := s.sessions.Destroy(r.Context()); err != nil {
			return err
		}
		w.Header().Set("Clear-Site-Data", `"cache"`)
		return s.then(w, r, "", "/sign-in")
	})
	s.page("GET", "/first", func(w http.ResponseWriter, r *http.Request) error {
		needs, err := s.NeedsOwner(r.Context())
		if err != nil {
			return err
		}
		if !needs {
			return s.then(w, r, "", "/sign-in")
		}
		return s.show(w, r, http.StatusOK, "join", "Set up the owner", joining{Path: "/first", Role: Owner, Word: r.URL.Query().Get("word")})
	})
	s.page("POST", "/first", func(w http.ResponseWriter, r *http.Request) error {
		f := joining{Path: "/first", Role: Owner, Word: r.PostForm.Get("word"), ID: r.PostForm.Get("id"), Name: r.PostForm.Get("name")}
		err := s.guess(r, "the owner")
		if err == nil {
			err = s.setUpOwner(r.Context(), Person{ID: f.ID, Name: f.Name}, r.PostForm.Get("password"), f.Word)
		}
		return s.joined(w, r, f, err)
	})
	s.page("GET", "/join/{token}", func(w http.ResponseWriter, r *http.Request) error {
		role, again, err := s.invited(r.Context(), mux.Vars(r)["token"])
		if err != nil {
			return err
		}
		if again != "" {
			return s.show(w, r, http.StatusOK, "join", "A new password", joining{Path: r.URL.Path, ID: again, Again: true})
		}
		return s.show(w, r, http.StatusOK, "join", "Join as "+string(role), joining{Path: r.URL.Path, Role: role})
	})
	s.page("POST", "/join/{token}", func(w http.ResponseWriter, r *http.Request) error {
		f := joining{Path: r.URL.Path, ID: r.PostForm.Get("id"), Name: r.PostForm.Get("name")}
		err := s.guess(r, "an invitation")
		if _, again, e := s.invited(r.Context(), mux.Vars(r)["token"]); e == nil && again != "" {
			f.ID, f.Again = again, true
		}
		if err == nil {
			err = s.join(r.Context(), mux.Vars(r)["token"], Person{ID: f.ID, Name: f.Name}, r.PostForm.Get("password"))
		}
		return s.joined(w, r, f, err)
	})
	s.page("GET", "/people", s.peoplePage)
	s.page("POST", "/people", s.peopleForm)
}

// here keeps a way back on this server.
func here(to string) string {
	if !strings.HasPrefix(to, "/") || strings.HasPrefix(to, "//") || strings.ContainsAny(to, "\\\r\n") {
		return "/"
	}
	return to
}

// joined signs in who has just been made, or shows the form again.
func (s *Server) joined(w http.ResponseWriter, r *http.Request, f joining, err error) error {
	if err != nil {
		x := s.refused(err)
		title := "Join"
		switch {
		case f.Path == "/first":
			title = "Set up the owner"
		case f.Again:
			title = "A new password"
		}
		return s.showRefused(w, r, x.Status, "join", title, f, x)
	}
	p, err := s.personNamed(r.Context(), strings.ToLower(strings.TrimSpace(f.ID)))
	if err != nil {
		return err
	}
	if err := s.enterAs(r.Context(), p); err != nil {
		return err
	}
	return s.then(w, r, "Welcome, "+p.Name+".", "/")
}

func (s *Server) peoplePage(w http.ResponseWriter, r *http.Request) error {
	list, err := s.Store.Bodies(r.Context(), People)
	if err != nil {
		return err
	}
	people := []Person{}
	for _, it := range list {
		var p Person
		if err := json.Unmarshal(it.Body, &p); err != nil {
			return err
		}
		people = append(people, p)
	}
	open, err := s.Store.Secrets(r.Context(), secretInvitation, "", s.Now())
	if err != nil {
		return err
	}
	type invitation struct{ Role, Until string }
	invitations := []invitation{}
	for _, x := range open {
		what := string(x.Body)
		if id, ok := strings.CutPrefix(what, renews); ok {
			what = "a new password of " + id
		}
		invitations = append(invitations, invitation{what, x.Until.Format(time.DateOnly)})
	}
	return s.show(w, r, http.StatusOK, "people", "People", map[string]any{"People": people, "Roles": Roles, "Invitations": invitations})
}

// peopleForm invites, changes a role, or ends what somebody may do.
func (s *Server) peopleForm(w http.ResponseWriter, r *http.Request) error {
	who := person(r.Context())
	id, role := r.PostForm.Get("id"), Role(r.PostForm.Get("role"))
	switch r.PostForm.Get("do") {
	case "invite":
		token, err := s.invite(r.Context(), role, who.ID)
		if err != nil {
			return err
		}
		return s.then(w, r, "Send this link, once, to the new "+string(role)+": "+s.base(r)+"/join/"+token, "/people")
	case "password":
		token, err := s.renew(r.Context(), id, who.ID)
		if err != nil {
			return err
		}
		return s.then(w, r, "Send this link, once, to "+id+", for a new password within a day: "+s.base(r)+"/join/"+token, "/people")
	case "role":
		if err := s.changePerson(r.Context(), id, role, false, who); err != nil {
			return err
		}
		return s.then(w, r, id+" is "+string(role)+" now.", "/people")
	case "end":
		if err := s.changePerson(r.Context(), id, role, true, who); err != nil {
			return err
		}
		return s.then(w, r, id+" cannot sign in any more.", "/people")
	}
	return &refusal{Status: http.StatusBadRequest, Title: "nothing was chosen"}
}
