package server

import (
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
	"github.com/gorilla/mux"
)

// shelf is a kind of the outfit on its page.
type shelf struct {
	Kind  Kind
	Title string
	Items []shownItem
}

var shelfTitles = map[Kind]string{Outfit: "Outfit and yard", FillPoints: "Fill points", Products: "Products and their labels", Limits: "Limits of the place", Applicators: "Applicators", Operators: "Operators and catch tests", Mixes: "Mixes", Trucks: "Trucks and tanks", PriceBooks: "Price book"}

// entryPage is the form of one entry: its text as in a day file.
type entryPage struct {
	Kind    Kind
	Title   string
	ID      string
	Version int64
	Text    string
	Fresh   bool
	Example string
}

func (s *Server) routesOutfit() {
	s.page("GET", "/outfit", func(w http.ResponseWriter, r *http.Request) error {
		kinds := OutfitKinds
		if person(r.Context()).Role.may(prices) {
			kinds = append(kinds[:len(kinds):len(kinds)], PriceBooks)
		}
		shelves := []shelf{}
		for _, kind := range kinds {
			list, err := s.Store.Bodies(r.Context(), kind)
			if err != nil {
				return err
			}
			x := shelf{Kind: kind, Title: shelfTitles[kind]}
			for _, it := range list {
				x.Items = append(x.Items, shown(it))
			}
			shelves = append(shelves, x)
		}
		p, err := s.parts(r.Context())
		if err != nil {
			return err
		}
		t, version, err := s.tiles(r.Context())
		if err != nil {
			return err
		}
		return s.show(w, r, http.StatusOK, "outfit", "Outfit", map[string]any{"Shelves": shelves, "Problems": p.check(), "Tiles": t, "TilesVersion": version, "Under": s.Under})
	})
	s.page("GET", "/outfit/{kind}/{id}", func(w http.ResponseWriter, r *http.Request) error {
		x, err := s.entryPage(r)
		if err != nil {
			return err
		}
		return s.show(w, r, http.StatusOK, "entry", x.Title, x)
	})
	s.page("POST", "/outfit/{kind}/{id}", s.entryForm)
}

func (s *Server) entryPage(r *http.Request) (*entryPage, error) {
	v := mux.Vars(r)
	x := &entryPage{Kind: Kind(v["kind"]), ID: v["id"]}
	x.Title, x.Example = shelfTitles[x.Kind], examples[x.Kind]
	if x.Title == "" || x.Kind == PriceBooks && !person(r.Context()).Role.may(prices) {
		return nil, ErrNone
	}
	if x.ID == "new" {
		x.Fresh, x.ID = true, ""
		return x, nil
	}
	it, err := s.Store.Item(r.Context(), x.Kind, x.ID)
	if errors.Is(err, ErrNone) && (x.Kind == Outfit || x.Kind == PriceBooks) {
		return x, nil
	}
	if err != nil {
		return nil, err
	}
	text, err := yaml.JSONToYAML(it.Body)
	x.Version, x.Text = it.Version, string(text)
	return x, err
}

// entryForm keeps an entry; what cannot be taken is shown again as it was written.
func (s *Server) entryForm(w http.ResponseWriter, r *http.Request) error {
	v := mux.Vars(r)
	f := r.PostForm
	x := &entryPage{Kind: Kind(v["kind"]), ID: strings.TrimSpace(f.Get("id")), Text: f.Get("text"), Fresh: v["id"] == "new"}
	x.Title, x.Example = shelfTitles[x.Kind], examples[x.Kind]
	if x.Title == "" {
		return ErrNone
	}
	if !x.Fresh {
		x.ID = v["id"]
	}
	x.Version, _ = strconv.ParseInt(f.Get("version"), 10, 64) // 0 for what is new
	who := person(r.Context())
	var err error
	switch {
	case x.Kind == PriceBooks && !who.Role.may(owning):
		return &refusal{Status: http.StatusForbidden, Title: "your role may not do this", Detail: "Ask the owner."}
	case x.Kind == PriceBooks:
		_, err = s.saveBook(r.Context(), []byte(x.Text), x.Version, who.ID)
	default:
		if x.Fresh && x.ID == "" {
			entry, _ := entryJSON(string(x.Kind), []byte(x.Text))
			x.ID = slug(nameOf(x.Kind, "", entry))
		}
		_, _, err = s.saveEntry(r.Context(), x.Kind, x.ID, []byte(x.Text), x.Version, f.Get("do") == "drop", "", who.ID)
	}
	if err != nil {
		refused := s.refused(err)
		return s.showRefused(w, r, refused.Status, "entry", x.Title, x, refused)
	}
	return s.then(w, r, "Saved.", "/outfit")
}
