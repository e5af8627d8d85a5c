package matrix

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"

	"github.com/paulmach/orb"
)

// answer is what is kept of an answer, with the question that it is to.
type answer struct {
	Question Question `json:"question"`
	Table    Table    `json:"drives"`
}

// Question is what an answer hangs on.
type Question struct {
	URL     string      `json:"url"`
	Style   Style       `json:"style"`
	Profile string      `json:"profile"`
	From    []orb.Point `json:"from"`
	To      []orb.Point `json:"to"`
}

func (s Service) question(b block) (Question, string) {
	q := Question{s.URL, s.Style, s.Profile, b.from, b.to}
	text, err := json.Marshal(q)
	if err != nil { // a place that is no number
		return q, ""
	}
	sum := sha256.Sum256(text)
	return q, hex.EncodeToString(sum[:12]) + ".json"
}

// kept is the answer that is kept to the same question; one that is damaged, or to another question, is as none.
func (s Service) kept(b block) (Table, bool) {
	_, name := s.question(b)
	if s.Folder == "" || name == "" {
		return nil, false
	}
	data, err := os.ReadFile(filepath.Join(s.Folder, name))
	if err != nil {
		return nil, false
	}
	var a answer
	if json.Unmarshal(data, &a) != nil || a.Table.check(len(b.from), len(b.to)) != nil {
		return nil, false
	}
	if _, of := (Service{URL: a.Question.URL, Style: a.Question.Style, Profile: a.Question.Profile}).question(block{a.Question.From, a.Question.To}); of != name {
		return nil, false
	}
	return a.Table, true
}

// keep writes an answer; what was asked for stays known when it cannot.
func (s Service) keep(b block, t Table) error {
	q, name := s.question(b)
	if s.Folder == "" || name == "" {
		return nil
	}
	data, err := json.Marshal(answer{q, t})
	if err != nil {
		return err
	}
	if err := os.MkdirAll(s.Folder, 0o755); err != nil {
		return fmt.Errorf("%w in %s: %w", ErrKeep, s.Folder, err)
	}
	new := filepath.Join(s.Folder, name+".new")
	err = os.WriteFile(new, data, 0o644)
	if err == nil {
		err = os.Rename(new, filepath.Join(s.Folder, name))
	}
	if err != nil {
		return fmt.Errorf("%w in %s: %w", ErrKeep, s.Folder, err)
	}
	return nil
}
