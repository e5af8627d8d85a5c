package server

import (
	"encoding/json"
	"errors"
	"net/http"
	"strconv"
	"strings"

	"github.com/gorilla/mux"
)

// correctable are the members of an entry that a page lets change, with their labels.
var correctable = []struct{ Key, Label string }{
	{"date", "Date"}, {"began", "Began"}, {"finished", "Finished"}, {"amount", "Amount, with its unit"}, {"area", "Area"}, {"rate", "Rate"}, {"volume", "Mix put on"},
	{"operator", "Operator"}, {"licence", "Licence"}, {"equipment", "Equipment"}, {"wind", "Wind"}, {"wind_from", "Wind from"}, {"temperature", "Temperature"}, {"remarks", "Remarks"},
}

// correctField is a field of the page on which an entry of the record is corrected.
type correctField struct{ Key, Label, Value string }

func (s *Server) routesRecord() {
	s.page("GET", "/record", func(w http.ResponseWriter, r *http.Request) error {
		list, err := s.records(r.Context(), r.URL.Query().Get("property"))
		if err != nil {
			return err
		}
		return s.show(w, r, http.StatusOK, "record", "Record", list)
	})
	s.page("GET", "/record.csv", func(w http.ResponseWriter, r *http.Request) error {
		list, err := s.records(r.Context(), "")
		if err != nil {
			return err
		}
		data, err := recordCSV(list)
		if err != nil {
			return err
		}
		return attach(w, "record.csv", "text/csv; charset=utf-8", data)
	})
	s.page("GET", "/record/{seq:[0-9]+}", func(w http.ResponseWriter, r *http.Request) error {
		x, err := s.recordedAt(r)
		if err != nil {
			return err
		}
		return s.correctPage(w, r, http.StatusOK, x, nil)
	})
	s.page("POST", "/record/{seq:[0-9]+}", s.correctForm)
}

// recordedAt is the entry that a page is about.
func (s *Server) recordedAt(r *http.Request) (*recorded, error) {
	seq, err := strconv.ParseInt(mux.Vars(r)["seq"], 10, 64)
	if err != nil {
		return nil, ErrNone
	}
	list, err := s.Store.Entries(r.Context(), EntryQuery{Log: Applied, After: seq - 1, Limit: 1})
	if err != nil {
		return nil, err
	}
	if len(list) == 0 || list[0].Seq != seq {
		return nil, ErrNone
	}
	x := &recorded{Seq: seq, By: list[0].By, At: list[0].At.Format("2006-01-02 15:04")}
	return x, json.Unmarshal(list[0].Body, &x.Applied)
}

func (s *Server) correctPage(w http.ResponseWriter, r *http.Request, status int, x *recorded, refused *refusal) error {
	var members map[string]any
	if err := json.Unmarshal(mustJSON(x.Applied), &members); err != nil {
		return err
	}
	fields := []correctField{}
	for _, c := range correctable {
		text, _ := members[c.Key].(string)
		fields = append(fields, correctField{c.Key, c.Label, text})
	}
	return s.showRefused(w, r, status, "correct", "Entry "+strconv.FormatInt(x.Seq, 10)+", "+x.Applied.Name, map[string]any{"Entry": x, "Fields": fields, "Key": randomText(12)}, refused)
}

// correctForm puts an entry in the place of another, which stays.
func (s *Server) correctForm(w http.ResponseWriter, r *http.Request) error {
	x, err := s.recordedAt(r)
	if err != nil {
		return err
	}
	members := map[string]any{}
	if err := json.Unmarshal(mustJSON(x.Applied), &members); err != nil {
		return err
	}
	for _, c := range correctable {
		if v := strings.TrimSpace(r.PostForm.Get(c.Key)); v != "" {
			members[c.Key] = v
		} else {
			delete(members, c.Key)
		}
	}
	var a applied
	if err := json.Unmarshal(mustJSON(members), &a); err != nil {
		return err
	}
	a.Void = r.PostForm.Get("do") == "void"
	done, err := s.correct(r.Context(), x.Seq, a, r.PostForm.Get("key"), person(r.Context()).ID)
	if err != nil {
		refused := s.refused(err)
		if errors.Is(err, ErrNone) || refused.Status >= 500 {
			return err
		}
		x.Applied = a
		return s.correctPage(w, r, refused.Status, x, refused)
	}
	return s.then(w, r, "Entry "+strconv.FormatInt(done.Seq, 10)+" stands in the place of "+strconv.FormatInt(x.Seq, 10)+", which stays to be read.", "/record")
}
