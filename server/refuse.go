package server

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"

	"tankful/calc/problem"
)

// refusal is why something is not done, as RFC 9457 has it, with our own list of problems. It is an error.
type refusal struct {
	Type       string       `json:"type,omitempty"`
	Title      string       `json:"title"`
	Status     int          `json:"status"`
	Detail     string       `json:"detail,omitempty"`
	Problems   problem.List `json:"problems,omitempty"`
	Newest     any          `json:"newest,omitempty"` // what is there instead, at a conflict
	Yours      any          `json:"yours,omitempty"`
	RetryAfter int          `json:"-"`
}

// Error is the title and what it says of the details.
func (e *refusal) Error() string { return strings.TrimSpace(e.Title + ". " + e.Detail) }

// GetStatus is for huma.
func (e *refusal) GetStatus() int { return e.Status }

// ContentType is for huma.
func (e *refusal) ContentType(string) string { return "application/problem+json" }

// refused is the one table of what becomes of an error: problems of what was sent are 422, a lost race 412, nothing there 404. What is none of these is our own
// fault or the machine's: it goes to the log, and nothing of it to who asked.
func (s *Server) refused(err error) *refusal {
	var r *refusal
	var failed *problem.Failed
	var conflict *ConflictError
	var large *http.MaxBytesError
	switch {
	case errors.As(err, &r):
		return r
	case errors.As(err, &failed):
		return &refusal{Status: http.StatusUnprocessableEntity, Title: "what was sent needs mending", Detail: count(len(failed.Problems), "problem"), Problems: failed.Problems}
	case errors.As(err, &conflict) && conflict.Was == 0:
		return &refusal{Status: http.StatusPreconditionFailed, Title: "there is one of that name already", Detail: fmt.Sprintf("It is at version %d, by %s. Open it, or take another name.", conflict.Newest.Version, orWord(conflict.Newest.By, "nobody")), Newest: shown(conflict.Newest)}
	case errors.As(err, &conflict):
		return &refusal{Status: http.StatusPreconditionFailed, Title: "somebody else has changed it meanwhile", Detail: fmt.Sprintf("You changed version %d, and the newest is %d, by %s.", conflict.Was, conflict.Newest.Version, orWord(conflict.Newest.By, "nobody")), Newest: shown(conflict.Newest)}
	case errors.Is(err, ErrNone):
		return &refusal{Status: http.StatusNotFound, Title: "there is nothing here", Detail: "Look for it in the list."}
	case errors.Is(err, ErrPage):
		return &refusal{Status: http.StatusBadRequest, Title: "the list does not go on from there", Detail: "Begin it again."}
	case errors.As(err, &large):
		return &refusal{Status: http.StatusRequestEntityTooLarge, Title: "too much was sent", Detail: fmt.Sprintf("At most %d MB are taken at once.", large.Limit>>20)}
	case errors.Is(err, context.Canceled):
		return &refusal{Status: 499, Title: "the request was given up"}
	case errors.Is(err, context.DeadlineExceeded):
		return &refusal{Status: http.StatusServiceUnavailable, Title: "it took too long", Detail: "Try again, or ask for less at once.", RetryAfter: 30}
	}
	s.Log.Error("request failed", "error", err)
	return &refusal{Status: http.StatusInternalServerError, Title: "the server failed", Detail: "The log of the server says why."}
}

// refuse answers a request with a refusal: as a page for people, else as JSON.
func (s *Server) refuse(w http.ResponseWriter, r *http.Request, err error) {
	x := s.refused(err)
	if x.RetryAfter > 0 {
		w.Header().Set("Retry-After", strconv.Itoa(x.RetryAfter))
	}
	if s.pages != nil && wantsPage(r) {
		s.refusalPage(w, r, x)
		return
	}
	w.Header().Set("Content-Type", "application/problem+json")
	w.WriteHeader(x.Status)
	_ = json.NewEncoder(w).Encode(x)
}

func wantsPage(r *http.Request) bool {
	return !strings.HasPrefix(r.URL.Path, "/api/") && !strings.HasPrefix(r.URL.Path, "/features") && strings.Contains(r.Header.Get("Accept"), "text/html")
}

// shownItem is an item as it is shown to people and machines.
type shownItem struct {
	ID      string          `json:"id"`
	Version int64           `json:"version"`
	Name    string          `json:"name"`
	State   string          `json:"state,omitempty"`
	Due     string          `json:"due,omitempty"`
	By      string          `json:"by"`
	At      string          `json:"at"`
	Gone    bool            `json:"gone,omitempty"`
	Facts   json.RawMessage `json:"facts,omitempty"`
	Body    json.RawMessage `json:"body,omitempty"`
}

func shown(it Item) shownItem {
	return shownItem{ID: it.ID, Version: it.Version, Name: it.Name, State: it.State, Due: it.Due, By: it.By, At: it.At.Format("2006-01-02T15:04:05Z07:00"), Gone: it.Gone, Facts: it.Facts, Body: it.Body}
}

func count(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return strconv.Itoa(n) + " " + what + "s"
}

func orWord(text, other string) string {
	if text == "" {
		return other
	}
	return text
}
