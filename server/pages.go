package server

import (
	"bytes"
	"context"
	"embed"
	"encoding/json"
	"errors"
	"fmt"
	"html/template"
	"io/fs"
	"mime"
	"net/http"
	"path"
	"strconv"
	"strings"

	"github.com/gorilla/mux"
)

//go:embed web/templates web/static all:web/dist
var web embed.FS

// pages are the templates, one for each page, all within one layout.
type pages struct {
	byName map[string]*template.Template
	build  string // of the assets: their addresses change with it
}

func newPages() (*pages, error) {
	p := &pages{byName: map[string]*template.Template{}}
	sum := ""
	err := fs.WalkDir(web, "web", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := web.ReadFile(name)
		sum += string(hashed(string(data)))
		return err
	})
	if err != nil {
		return nil, err
	}
	p.build = shortHash(sum)
	names, err := fs.Glob(web, "web/templates/*.html")
	if err != nil {
		return nil, err
	}
	for _, name := range names {
		base := strings.TrimSuffix(path.Base(name), ".html")
		if base == "layout" {
			continue
		}
		t, err := template.New("layout.html").Funcs(template.FuncMap{"asset": func(file string) string { return "/web/" + file + "?v=" + p.build }, "count": count, "build": func() string { return p.build }}).ParseFS(web, "web/templates/layout.html", name)
		if err != nil {
			return nil, fmt.Errorf("read page %s: %w", base, err)
		}
		p.byName[base] = t
	}
	return p, nil
}

// view is what every page has.
type view struct {
	Title    string
	Who      *Person
	Invented bool
	Said     string // what was just done
	Refused  *refusal
	Data     any
}

// May is for templates: what the reader may do decides what is shown.
func (v view) May(m string) bool { return v.Who != nil && v.Who.Role.may(may(m)) }

// show writes a page.
func (s *Server) show(w http.ResponseWriter, r *http.Request, status int, name, title string, data any) error {
	return s.showRefused(w, r, status, name, title, data, nil)
}

func (s *Server) showRefused(w http.ResponseWriter, r *http.Request, status int, name, title string, data any, x *refusal) error {
	t := s.pages.byName[name]
	if t == nil {
		return fmt.Errorf("there is no page %q", name)
	}
	v := view{Title: title, Who: person(r.Context()), Data: data, Refused: x}
	if v.Who != nil {
		v.Said = s.sessions.PopString(r.Context(), "said")
		var err error
		if v.Invented, err = s.invented(r.Context()); err != nil {
			return err
		}
	}
	var b bytes.Buffer
	if err := t.Execute(&b, v); err != nil {
		return fmt.Errorf("write page %s: %w", name, err)
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = w.Write(b.Bytes())
	return nil
}

// invented reports whether the outfit is made up, which every page then says.
func (s *Server) invented(ctx context.Context) (bool, error) {
	it, err := s.Store.Item(ctx, Outfit, theOutfit)
	if errors.Is(err, ErrNone) {
		return false, nil
	}
	var head struct {
		Invented bool `json:"invented"`
	}
	if err == nil {
		err = json.Unmarshal(it.Body, &head)
	}
	return head.Invented, err
}

// refusalPage is a refusal for people.
func (s *Server) refusalPage(w http.ResponseWriter, r *http.Request, x *refusal) {
	status := x.Status
	if err := s.showRefused(w, r, status, "refused", x.Title, nil, x); err != nil {
		s.Log.Error("write a refusal", "error", err)
		http.Error(w, x.Title, status)
	}
}

// page registers a page; what f cannot do is answered as a page.
func (s *Server) page(method, pattern string, f func(w http.ResponseWriter, r *http.Request) error) {
	methods := []string{method}
	if method == http.MethodGet {
		methods = append(methods, http.MethodHead)
	}
	s.router.Methods(methods...).Path(pattern).HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if method == http.MethodPost {
			r.Body = http.MaxBytesReader(w, r.Body, mostSmall)
			if err := r.ParseForm(); err != nil {
				var large *http.MaxBytesError
				if !errors.As(err, &large) {
					err = &refusal{Status: http.StatusBadRequest, Title: "the form cannot be read", Detail: "Go back and send it again."}
				}
				s.refuse(w, r, err)
				return
			}
		}
		ctx, cancel := context.WithTimeout(r.Context(), planTime)
		defer cancel()
		r = r.WithContext(ctx)
		if err := f(w, r); err != nil {
			s.refuse(w, r, err)
		}
	})
}

// then goes on to a page, which says what was done.
func (s *Server) then(w http.ResponseWriter, r *http.Request, said, to string) error {
	if said != "" {
		s.sessions.Put(r.Context(), "said", said)
	}
	http.Redirect(w, r, to, http.StatusSeeOther)
	return nil
}

// asset serves a file of the pages.
func (s *Server) asset(w http.ResponseWriter, r *http.Request) error {
	name := path.Clean("/" + mux.Vars(r)["file"])
	for _, dir := range []string{"web/static", "web/dist"} {
		data, err := web.ReadFile(dir + name)
		if err != nil {
			continue
		}
		if r.URL.Query().Get("v") == s.pages.build {
			w.Header().Set("Cache-Control", "public, max-age=31536000, immutable")
		} else {
			w.Header().Set("Cache-Control", "no-cache")
		}
		w.Header().Set("Content-Type", orWord(mime.TypeByExtension(path.Ext(name)), "application/octet-stream"))
		w.Header().Set("Content-Length", strconv.Itoa(len(data)))
		_, _ = w.Write(data)
		return nil
	}
	return ErrNone
}

// offline serves the service worker from the root, so that it may keep every page.
func (s *Server) offline(w http.ResponseWriter, _ *http.Request) error {
	data, err := web.ReadFile("web/static/offline.js")
	if err != nil {
		return err
	}
	w.Header().Set("Content-Type", "text/javascript; charset=utf-8")
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(bytes.ReplaceAll(data, []byte("BUILD"), []byte(s.pages.build)))
	return nil
}

// routes registers everything.
func (s *Server) routes() {
	s.router.Use(named, s.allow)
	s.router.NotFoundHandler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { s.refuse(w, r, ErrNone) })
	s.router.MethodNotAllowedHandler = http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.refuse(w, r, &refusal{Status: http.StatusMethodNotAllowed, Title: "that cannot be done here"})
	})
	s.page("GET", "/healthz", func(w http.ResponseWriter, r *http.Request) error {
		if err := s.Store.Ping(r.Context()); err != nil {
			s.Log.Error("the database does not answer", "error", err)
			return &refusal{Status: http.StatusServiceUnavailable, Title: "the database does not answer"}
		}
		writeJSON(w, "application/json", map[string]string{"status": "ok", "version": orWord(s.Engine, "dev")})
		return nil
	})
	s.router.Methods("GET").Path("/metrics").Handler(s.metricsPage())
	s.page("GET", "/web/{file:.+}", s.asset)
	s.page("GET", "/offline.js", s.offline)
	s.routesAPI()
	s.routesFeatures()
	s.routesPeople()
	s.routesProperties()
	s.routesDays()
	s.routesQuotes()
	s.routesOutfit()
	s.routesCatch()
	s.routesPictures()
	s.routesRecord()
}
