package server

import (
	"context"
	"encoding/json"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"github.com/gorilla/mux"

	"tankful/plan"
)

// lot is a property in a list.
type lot struct {
	shownItem
	Facts  propertyFacts
	Middle string // longitude and latitude, "" for none
}

func lots(items []Item) ([]lot, error) {
	out := []lot{}
	for _, it := range items {
		l := lot{shownItem: shown(it)}
		if err := json.Unmarshal(it.Facts, &l.Facts); err != nil {
			return nil, err
		}
		if it.Bounds != nil {
			c := it.Bounds.Center()
			l.Middle = strconv.FormatFloat(c.Lon(), 'f', 6, 64) + "," + strconv.FormatFloat(c.Lat(), 'f', 6, 64)
		}
		out = append(out, l)
	}
	return out, nil
}

func (s *Server) routesProperties() {
	s.page("GET", "/", s.startPage)
	s.page("GET", "/properties", s.propertiesPage)
	s.page("POST", "/properties", func(w http.ResponseWriter, r *http.Request) error {
		name := strings.TrimSpace(r.PostForm.Get("name"))
		id := slug(name)
		if id == "" {
			return &refusal{Status: http.StatusUnprocessableEntity, Title: "the property needs a name", Detail: "Write how you call it, for example its street and number."}
		}
		body := mustJSON(map[string]any{"type": "FeatureCollection", "account": account{Name: name}, "features": []any{}})
		if _, _, err := s.saveProperty(r.Context(), id, body, 0, "", person(r.Context()).ID); err != nil {
			return err
		}
		return s.then(w, r, "", "/properties/"+id)
	})
	s.page("GET", "/properties/{id}", s.propertyPage)
	s.page("POST", "/properties/{id}", s.accountForm)
	s.page("POST", "/properties/{id}/tape", s.tapeForm)
	s.page("POST", "/properties/{id}/away", func(w http.ResponseWriter, r *http.Request) error {
		id := mux.Vars(r)["id"]
		was, err := strconv.ParseInt(r.PostForm.Get("version"), 10, 64)
		if err != nil {
			return &refusal{Status: http.StatusBadRequest, Title: "the form is not whole", Detail: "Open the page again."}
		}
		if err := s.dropProperty(r.Context(), id, was, "", person(r.Context()).ID); err != nil {
			return err
		}
		return s.then(w, r, id+" is taken out.", "/properties")
	})
}

func (s *Server) startPage(w http.ResponseWriter, r *http.Request) error {
	today := s.Now().Format("2006-01-02")
	plans, err := s.planList(r, 8)
	if err != nil {
		return err
	}
	due, err := s.Store.Items(r.Context(), Query{Kind: Properties, DueUntil: today, Limit: 1000})
	if err != nil {
		return err
	}
	mend, err := s.Store.Items(r.Context(), Query{Kind: Properties, State: stateMend, Limit: 20})
	if err != nil {
		return err
	}
	open, err := s.Store.Items(r.Context(), Query{Kind: Quotes, State: quoteSent, Limit: 20})
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "start", "Today", map[string]any{"Today": today, "Plans": plans, "Due": len(due.Items), "DueMore": due.More, "Mend": mend.Items, "Sent": open.Items})
}

func (s *Server) propertiesPage(w http.ResponseWriter, r *http.Request) error {
	v := r.URL.Query()
	page, err := s.Store.Items(r.Context(), Query{Kind: Properties, Search: v.Get("search"), After: v.Get("after"), DueUntil: v.Get("due"), Limit: 50})
	if err != nil {
		return err
	}
	list, err := lots(page.Items)
	if err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "properties", "Properties", map[string]any{"Lots": list, "Search": v.Get("search"), "Due": v.Get("due"), "Next": page.Next, "More": page.More})
}

func (s *Server) propertyPage(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	it, err := s.Store.Item(r.Context(), Properties, id)
	if err == nil && it.Gone {
		err = ErrNone
	}
	if err != nil {
		return err
	}
	var g ground
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return err
	}
	versions, err := s.Store.Versions(r.Context(), Properties, id)
	if err != nil {
		return err
	}
	history, err := lots(versions)
	if err != nil {
		return err
	}
	p, err := s.parts(r.Context())
	if err != nil {
		return err
	}
	data := map[string]any{"ID": id, "Version": it.Version, "Account": g.Account, "History": history, "Mixes": p.items[Mixes], "Center": p.centre(), "Units": string(p.units())}
	if data["Hours"], err = g.Account.window(); err != nil {
		return err
	}
	if g.Account.Tape != "" {
		t, ps := taped(g.Account.Tape, g.Account.TapeAccuracy, p.units())
		data["Taped"] = tapeSumOf(t, ps, p.units())
	}
	if was, err := strconv.ParseInt(r.URL.Query().Get("was"), 10, 64); err == nil {
		c, err := s.difference(r.Context(), id, was, it.Version)
		if err != nil {
			return err
		}
		d := plan.ChangeOf(c)
		u := p.units()
		lines := []liveFigure{}
		if d.Old != nil && d.New != nil {
			lines = []liveFigure{{Label: "Net turf then", Value: u.Area(*d.Old)}, {Label: "gained", Value: u.Area(d.Gained)}, {Label: "lost", Value: u.Area(d.Lost)}, {Label: "Net turf now", Value: u.Area(*d.New), Note: "+- " + u.Area(d.PlusMinus)}}
		}
		data["Was"], data["Difference"] = was, lines
	}
	data["Shapes"] = tapeShapes[p.units()]
	if data["Map"], err = s.underMap(w, r, id); err != nil {
		return err
	}
	if data["Pictures"], err = s.pictures(r.Context(), id); err != nil {
		return err
	}
	return s.show(w, r, http.StatusOK, "property", it.Name, data)
}

// centre is where a map begins on which nothing is drawn: at the yard.
func (p *parts) centre() string {
	if at := p.yard(); at != "" {
		return at + ",17"
	}
	return ""
}

// yard is its longitude and latitude, "" when it is not entered.
func (p *parts) yard() string {
	var y struct {
		At struct{ Lon, Lat float64 } `json:"at"`
	}
	if json.Unmarshal(p.head["yard"], &y) != nil || y.At.Lon == 0 && y.At.Lat == 0 {
		return ""
	}
	return strconv.FormatFloat(y.At.Lon, 'f', -1, 64) + "," + strconv.FormatFloat(y.At.Lat, 'f', -1, 64)
}

// accountForm changes what is known of a property besides its ground.
func (s *Server) accountForm(w http.ResponseWriter, r *http.Request) error {
	id := mux.Vars(r)["id"]
	was, err := strconv.ParseInt(r.PostForm.Get("version"), 10, 64)
	if err != nil {
		return &refusal{Status: http.StatusBadRequest, Title: "the form is not whole", Detail: "Open the page again."}
	}
	err = s.changeAccount(r.Context(), id, was, func(a *account) error { return a.fill(r.PostForm) })
	if err != nil {
		return err
	}
	return s.then(w, r, "Saved.", "/properties/"+id)
}

// changeAccount keeps a property with its account changed by f.
func (s *Server) changeAccount(ctx context.Context, id string, was int64, f func(*account) error) error {
	it, err := s.Store.Version(ctx, Properties, id, was)
	if err != nil {
		return err
	}
	var whole map[string]json.RawMessage
	var g ground
	if err := json.Unmarshal(it.Body, &whole); err != nil {
		return err
	}
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return err
	}
	if err := f(&g.Account); err != nil {
		return err
	}
	whole["account"] = mustJSON(g.Account)
	_, _, err = s.saveProperty(ctx, id, mustJSON(whole), was, "", person(ctx).ID)
	return err
}

// fill takes an account's form.
func (a *account) fill(f url.Values) (err error) {
	a.Name, a.Notes, a.SetUp, a.Due, a.Words = strings.TrimSpace(f.Get("name")), strings.TrimSpace(f.Get("notes")), strings.TrimSpace(f.Get("set_up")), f.Get("due"), strings.TrimSpace(f.Get("words"))
	a.Mixes = f["mixes"]
	a.Window = nil
	if w := (usualHours{f.Get("from"), f.Get("until")}); w != (usualHours{}) {
		a.Window = mustJSON(w)
	}
	a.EveryDays = 0
	if e := strings.TrimSpace(f.Get("every_days")); e != "" {
		if a.EveryDays, err = strconv.Atoi(e); err != nil {
			return &refusal{Status: http.StatusUnprocessableEntity, Title: "the interval is no number of days", Detail: "Write days, for example 28."}
		}
	}
	return nil
}
