package server

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/intake"
	"tankful/plan/dayfile"
	"tankful/plan/offer"
)

// theBook is the ID of the price book that quotes are made by.
const theBook = "prices"

// States of a quote.
const (
	quoteOpen     = "open"
	quoteSent     = "sent"
	quoteAccepted = "accepted"
	quoteDeclined = "declined"
)

var quoteStates = []string{quoteOpen, quoteSent, quoteAccepted, quoteDeclined}

// askedQuote is what is to be quoted.
type askedQuote struct {
	Properties []string `json:"properties"`
	Programs   []string `json:"programs,omitempty"`
	With       []string `json:"with,omitempty"`
	Date       string   `json:"date,omitempty"`
}

// quoteFacts is a quote in a list, without costs.
type quoteFacts struct {
	Property string       `json:"property"`
	Name     string       `json:"name"`
	Net      string       `json:"net"`
	Billed   string       `json:"billed"`
	Date     string       `json:"date"`
	Until    string       `json:"valid_until"`
	Options  []quotePrice `json:"options"`
}

type quotePrice struct {
	Program string `json:"program"`
	Pay     string `json:"pay"`
}

// keptQuote is a quote with the version of the outlines that it was measured from.
type keptQuote struct {
	Quotes  json.RawMessage `json:"quotes"` // of one property, as tankful quote writes them, with costs
	Measure int64           `json:"measuring"`
	Program string          `json:"program,omitempty"` // that was accepted
	Engine  string          `json:"engine"`
}

// book reads the price book with the outfit.
func (s *Server) book(ctx context.Context) (*offer.Book, *parts, error) {
	it, err := s.Store.Item(ctx, PriceBooks, theBook)
	if errors.Is(err, ErrNone) || err == nil && it.Gone {
		return nil, nil, &refusal{Status: 422, Title: "there is no price book yet", Detail: "The owner brings one, as tankful quote reads it."}
	}
	if err != nil {
		return nil, nil, err
	}
	p, err := s.parts(ctx)
	if err != nil {
		return nil, nil, err
	}
	day, err := p.dayFile(nil)
	if err != nil {
		return nil, nil, err
	}
	b, err := s.books.get(string(hashed(string(it.Body)+string(day))), func() (*offer.Book, error) {
		b, found := p.readBook(it.Body)
		return b, p.named(found).Err()
	})
	return b, p, err
}

// readBook reads a price book; the outfit that it names is the one that is kept.
func (p *parts) readBook(body []byte) (*offer.Book, problem.List) {
	var whole map[string]json.RawMessage
	if err := json.Unmarshal(body, &whole); err != nil {
		var ps problem.List
		ps.Errorf("entry-invalid", "price book", "Write it as tankful quote reads it.", "it cannot be read: %v", err)
		return nil, ps
	}
	const name = "outfit.yaml"
	f := files{}
	if len(p.head) > 0 {
		day, err := p.dayFile(nil)
		if err == nil {
			f[name] = day
			whole["outfit"] = mustJSON(name)
		}
	} else {
		delete(whole, "outfit")
	}
	return dayfile.ParsePrices("prices.yaml", mustJSON(whole), f.read, intake.Options{})
}

// saveBook keeps a price book, YAML or JSON.
func (s *Server) saveBook(ctx context.Context, text []byte, was int64, by string) (Item, error) {
	entry, ps := entryJSON("prices.yaml", text)
	if err := ps.Err(); err != nil {
		return Item{}, err
	}
	p, err := s.parts(ctx)
	if err != nil {
		return Item{}, err
	}
	body := mustJSON(entry)
	if _, found := p.readBook(body); found.HasErrors() {
		return Item{}, p.named(found).Err()
	}
	out, err := s.Store.Save(ctx, "", Change{Item: Item{Kind: PriceBooks, ID: theBook, Name: "Price book", Body: body, By: by, At: s.Now()}, Was: was})
	if err != nil {
		return Item{}, err
	}
	return out[0], nil
}

// quote makes quotes of properties and keeps each as one of its own.
func (s *Server) quote(ctx context.Context, a *askedQuote, key, by string) ([]Item, problem.List, error) {
	b, p, err := s.book(ctx)
	if err != nil {
		return nil, nil, err
	}
	if len(a.Properties) == 0 || len(a.Properties) > mostRead {
		return nil, nil, &refusal{Status: 422, Title: "choose what to quote", Detail: fmt.Sprintf("1 to %d properties at once.", mostRead)}
	}
	asked := offer.Asked{Date: orWord(a.Date, s.Now().Format("2006-01-02")), Programs: a.Programs, With: a.With}
	var list []offer.Property
	versions := map[string]int64{}
	for _, id := range a.Properties {
		it, err := s.Store.Item(ctx, Properties, id)
		if err != nil {
			return nil, nil, err
		}
		versions[id] = it.Version
		if it.State == stateTaped {
			x, err := quotedByTape(&it, p)
			if err != nil {
				return nil, nil, err
			}
			list = append(list, x)
			continue
		}
		site, found := s.measured(id, it.Body, p.accuracy())
		if site == nil || found.HasErrors() {
			return nil, nil, notMeasured(it.Name, found)
		}
		list = append(list, offer.Property{ID: id, Name: it.Name, Net: site.NetArea, Site: site, Where: it.Name})
	}
	q, found := b.Make(list, asked)
	if q == nil || len(q.Quotes) == 0 {
		return nil, nil, orFailed(p.named(found))
	}
	changes := []Change{}
	for i := range q.Quotes {
		one := q.Only(q.Quotes[i].Property)
		id := strings.ToLower(one.Fingerprint + "-" + randomLetters())
		changes = append(changes, Change{Item: Item{Kind: Quotes, ID: id, Name: q.Quotes[i].Name, Words: q.Quotes[i].Property, State: quoteOpen, By: by, At: s.Now(),
			Body: mustJSON(keptQuote{Quotes: mustJSON(one), Measure: versions[q.Quotes[i].Property], Engine: s.Engine}), Facts: mustJSON(factsOf(one))}})
	}
	out, err := s.Store.Save(ctx, key, changes...)
	return out, found, err
}

// quotedByTape is a property of which only an area is known.
func quotedByTape(it *Item, p *parts) (offer.Property, error) {
	var g ground
	if err := json.Unmarshal(it.Body, &g); err != nil {
		return offer.Property{}, fmt.Errorf("read property %q: %w", it.ID, err)
	}
	t, ps := taped(g.Account.Tape, g.Account.TapeAccuracy, p.units())
	if t == nil {
		return offer.Property{}, orFailed(ps)
	}
	return offer.Property{ID: it.ID, Name: it.Name, Net: t.Net, Where: it.Name}, nil
}

// notMeasured says why a property has no site.
func notMeasured(name string, ps problem.List) error {
	if err := ps.Err(); err != nil {
		return err
	}
	return &refusal{Status: http.StatusUnprocessableEntity, Title: name + " is not measured", Detail: "Nothing is drawn there: draw an outline of turf first."}
}

func orFailed(ps problem.List) error {
	if err := ps.Err(); err != nil {
		return err
	}
	return errors.New("nothing was quoted and no problem says why")
}

func randomLetters() string { return fmt.Sprintf("%x", hashed(randomText(9))[:3]) }

func factsOf(q *offer.Quotes) quoteFacts {
	x := &q.Quotes[0]
	f := quoteFacts{Property: x.Property, Name: x.Name, Net: q.Units.Area(x.Net), Billed: q.Units.Area(x.Billable), Date: q.Date, Until: q.ValidUntil}
	for _, o := range x.Options {
		f.Options = append(f.Options, quotePrice{o.Name, o.Total.Pay.String() + " " + q.Currency})
	}
	return f
}

// keptQuotes reads a quote.
func (s *Server) keptQuotes(ctx context.Context, id string) (*offer.Quotes, *keptQuote, Item, error) {
	it, err := s.Store.Item(ctx, Quotes, id)
	if err != nil {
		return nil, nil, Item{}, err
	}
	var k keptQuote
	if err := json.Unmarshal(it.Body, &k); err != nil {
		return nil, nil, Item{}, fmt.Errorf("read quote %q: %w", id, err)
	}
	q, found := offer.Read("quote "+id, k.Quotes)
	if q == nil {
		return nil, nil, Item{}, found.Err()
	}
	return q, &k, it, nil
}

// setQuoteState says what became of a quote.
func (s *Server) setQuoteState(ctx context.Context, id, state, program string, was int64, by string) (Item, error) {
	q, k, it, err := s.keptQuotes(ctx, id)
	if err != nil {
		return Item{}, err
	}
	if !slices.Contains(quoteStates, state) {
		return Item{}, &refusal{Status: 422, Title: "a quote is not that", Detail: "It is one of: " + strings.Join(quoteStates, ", ") + "."}
	}
	if state == quoteAccepted {
		if !slices.ContainsFunc(q.Quotes[0].Options, func(o offer.Option) bool { return o.Name == program }) {
			return Item{}, &refusal{Status: 422, Title: "which program was accepted?", Detail: "Choose one of the quote's programs."}
		}
		k.Program = program
	} else {
		k.Program = ""
	}
	next := it
	next.State, next.Body, next.By, next.At = state, mustJSON(k), by, s.Now()
	out, err := s.Store.Save(ctx, "", Change{Item: next, Was: was})
	if err != nil {
		return Item{}, err
	}
	return out[0], nil
}

// streetCSV is a list of quotes for a spreadsheet, without costs.
func streetCSV(items []Item) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\uFEFF")
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"quote", "property", "name", "net turf", "billed", "date", "valid until", "state", "program", "to pay"})
	for _, it := range items {
		var f quoteFacts
		if err := json.Unmarshal(it.Facts, &f); err != nil {
			return nil, fmt.Errorf("read quote %q: %w", it.ID, err)
		}
		for _, o := range f.Options {
			row := []string{it.ID, f.Property, f.Name, f.Net, f.Billed, f.Date, f.Until, it.State, o.Program, o.Pay}
			for i := range row {
				row[i] = noFormula(row[i])
			}
			_ = w.Write(row)
		}
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

// TakeOverPrices keeps a price book from a file.
func (s *Server) TakeOverPrices(ctx context.Context, name string, files fs.FS, by string) error {
	data, err := fs.ReadFile(files, name)
	if err != nil {
		return err
	}
	_, err = s.saveBook(ctx, data, 0, by)
	return err
}

// difference is what became of a property's turf between two measurings.
func (s *Server) difference(ctx context.Context, id string, was, is int64) (*geo.Change, error) {
	p, err := s.parts(ctx)
	if err != nil {
		return nil, err
	}
	var sites [2]*geo.Site
	for i, v := range []int64{was, is} {
		it, err := s.Store.Version(ctx, Properties, id, v)
		if err != nil {
			return nil, err
		}
		site, found := s.measured(id, it.Body, p.accuracy())
		if site == nil || found.HasErrors() {
			return nil, notMeasured(it.Name, found)
		}
		sites[i] = site
	}
	return geo.Compare(sites[0], sites[1]), nil
}

func isConflict(err error) bool {
	var c *ConflictError
	return errors.As(err, &c)
}
