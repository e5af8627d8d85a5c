package server

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"

	"github.com/gorilla/mux"

	"tankful/plan/sheet"
	"tankful/plan/sheet/draw"
)

type quoteLine struct {
	shownItem
	Facts quoteFacts
}

func quoteLines(items []Item) ([]quoteLine, error) {
	out := []quoteLine{}
	for _, it := range items {
		l := quoteLine{shownItem: shown(it)}
		if err := json.Unmarshal(it.Facts, &l.Facts); err != nil {
			return nil, err
		}
		out = append(out, l)
	}
	return out, nil
}

func (s *Server) routesQuotes() {
	s.page("GET", "/quotes", s.quotesPage)
	s.page("POST", "/quotes", func(w http.ResponseWriter, r *http.Request) error {
		items, _, err := s.quote(r.Context(), &askedQuote{Properties: r.PostForm["property"], Programs: r.PostForm["program"], With: r.PostForm["with"]}, r.PostForm.Get("key"), person(r.Context()).ID)
		if err != nil {
			return err
		}
		if len(items) == 1 {
			return s.then(w, r, "", "/quotes/"+items[0].ID)
		}
		return s.then(w, r, count(len(items), "quote")+" made.", "/quotes")
	})
	s.page("GET", "/quotes/street.csv", func(w http.ResponseWriter, r *http.Request) error {
		page, err := s.Store.Items(r.Context(), Query{Kind: Quotes, Search: r.URL.Query().Get("search"), State: r.URL.Query().Get("state"), Limit: 1000})
		if err != nil {
			return err
		}
		data, err := streetCSV(page.Items)
		if err != nil {
			return err
		}
		return attach(w, "quotes.csv", "text/csv; charset=utf-8", data)
	})
	s.page("GET", "/quotes/{id}", s.quotePage)
	s.page("POST", "/quotes/{id}", func(w http.ResponseWriter, r *http.Request) error {
		id := mux.Vars(r)["id"]
		was, err := strconv.ParseInt(r.PostForm.Get("version"), 10, 64)
		if err != nil {
			return &refusal{Status: http.StatusBadRequest, Title: "the form is not whole", Detail: "Open the page again."}
		}
		it, err := s.setQuoteState(r.Context(), id, r.PostForm.Get("state"), r.PostForm.Get("program"), was, person(r.Context()).ID)
		if err != nil {
			return err
		}
		return s.then(w, r, "The quote is "+it.State+".", "/quotes/"+id)
	})
	s.page("GET", "/quotes/{id}/quote.pdf", s.quotePDF)
}

func (s *Server) quotesPage(w http.ResponseWriter, r *http.Request) error {
	v := r.URL.Query()
	page, err := s.Store.Items(r.Context(), Query{Kind: Quotes, Search: v.Get("search"), State: v.Get("state"), Limit: 200})
	if err != nil {
		return err
	}
	list, err := quoteLines(page.Items)
	if err != nil {
		return err
	}
	data := map[string]any{"Quotes": list, "Search": v.Get("search"), "State": v.Get("state"), "States": quoteStates, "Words": v.Get("words"), "Key": randomText(12), "More": page.More}
	found, err := s.Store.Items(r.Context(), Query{Kind: Properties, Search: v.Get("words"), Limit: 60})
	if err != nil {
		return err
	}
	known := slices.DeleteFunc(found.Items, func(it Item) bool { return it.State == stateMend })
	if data["Lots"], err = lots(known); err != nil {
		return err
	}
	b, _, err := s.book(r.Context())
	var x *refusal
	switch {
	case errors.As(err, &x):
		data["NoBook"] = x.Error()
	case err != nil:
		data["NoBook"] = s.refused(err).Error()
	default:
		data["Book"] = b
	}
	return s.show(w, r, http.StatusOK, "quotes", "Quotes", data)
}

func (s *Server) quotePage(w http.ResponseWriter, r *http.Request) error {
	q, k, it, err := s.keptQuotes(r.Context(), mux.Vars(r)["id"])
	if err != nil {
		return err
	}
	doc, err := sheet.Quote(q, q.Quotes[0].Property, sheet.Options{})
	if err != nil {
		return err
	}
	blocks, err := s.fragments(r, "quote "+q.Fingerprint, doc)
	if err != nil {
		return err
	}
	newest, err := s.Store.Item(r.Context(), Properties, q.Quotes[0].Property)
	if err != nil && !errors.Is(err, ErrNone) {
		return err
	}
	return s.show(w, r, http.StatusOK, "quote", "Quote, "+q.Quotes[0].Name, map[string]any{"Item": shown(it), "Quote": q.Quotes[0], "Kept": k, "Blocks": blocks, "Newest": newest.Version, "Until": q.ValidUntil})
}

func (s *Server) quotePDF(w http.ResponseWriter, r *http.Request) error {
	q, _, _, err := s.keptQuotes(r.Context(), mux.Vars(r)["id"])
	if err != nil {
		return err
	}
	doc, err := sheet.Quote(q, q.Quotes[0].Property, sheet.Options{})
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := draw.PDF(&b, doc); err != nil {
		return err
	}
	w.Header().Set("Content-Type", "application/pdf")
	w.Header().Set("Content-Disposition", fmt.Sprintf("inline; filename=%q", "quote-"+q.Quotes[0].Property+".pdf"))
	_, _ = w.Write(b.Bytes())
	return nil
}
