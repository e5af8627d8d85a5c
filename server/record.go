package server

import (
	"bytes"
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"time"

	"tankful/calc/date"
	"tankful/plan"
	"tankful/plan/dayfile"
)

// applied is an entry of the record: one product on one property on one day, with the fields that records commonly have. What is "" was not entered.
type applied struct {
	Date         string `json:"date"`
	Began        string `json:"began,omitempty"`
	Finished     string `json:"finished,omitempty"`
	Property     string `json:"property"`
	Name         string `json:"name"`
	Product      string `json:"product"`
	Registration string `json:"registration,omitempty"`
	Rate         string `json:"rate"`
	Amount       string `json:"amount"`
	Area         string `json:"area"`
	Mix          string `json:"mix"`
	Volume       string `json:"volume,omitempty"`
	Operator     string `json:"operator"`
	Licence      string `json:"licence,omitempty"`
	Equipment    string `json:"equipment"`
	Wind         string `json:"wind,omitempty"`
	WindFrom     string `json:"wind_from,omitempty"`
	Temperature  string `json:"temperature,omitempty"`
	Remarks      string `json:"remarks,omitempty"`
	Plan         string `json:"plan"`
	// Void says that the entry that this one corrects does not hold, and nothing stands in its place.
	Void bool `json:"void,omitempty"`
}

// recorded is an entry with its number; CorrectedBy is the newest entry that stands in its place.
type recorded struct {
	Seq         int64   `json:"seq"`
	Corrects    int64   `json:"corrects,omitempty"`
	CorrectedBy int64   `json:"corrected_by,omitempty"`
	By          string  `json:"by"`
	At          string  `json:"entered"`
	Applied     applied `json:"applied"`
}

const mostRecords = 10_000

// records reads the record, of one property or all (""), in the order entered.
func (s *Server) records(ctx context.Context, property string) ([]recorded, error) {
	out := []recorded{}
	at := map[int64]int{}
	for after := int64(0); ; {
		batch, err := s.Store.Entries(ctx, EntryQuery{Log: Applied, About: property, After: after, Limit: mostRecords})
		if err != nil {
			return nil, err
		}
		for _, e := range batch {
			x := recorded{Seq: e.Seq, Corrects: e.Refers, By: e.By, At: e.At.Format(time.RFC3339)}
			if err := json.Unmarshal(e.Body, &x.Applied); err != nil {
				return nil, fmt.Errorf("read entry %d of the record: %w", e.Seq, err)
			}
			at[e.Seq] = len(out)
			if i, ok := at[e.Refers]; ok && e.Refers > 0 {
				out[i].CorrectedBy = e.Seq
			}
			out = append(out, x)
			after = e.Seq
		}
		if len(batch) < mostRecords {
			return out, nil
		}
	}
}

// holding are the entries that stand: neither corrected nor void.
func holding(all []recorded) (out []recorded) {
	for _, x := range all {
		if x.CorrectedBy == 0 && !x.Applied.Void {
			out = append(out, x)
		}
	}
	return out
}

// recordBefore is the record as a day file's CSV, "" when nothing has gone on yet.
func (s *Server) recordBefore(ctx context.Context) (string, error) {
	all, err := s.records(ctx, "")
	if err != nil {
		return "", err
	}
	kept := holding(all)
	if len(kept) == 0 {
		return "", nil
	}
	return recordLines(kept)
}

// recordLines are entries as a day file reads them.
func recordLines(kept []recorded) (string, error) {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.Write([]string{"date", "property", "product", "amount", "area"})
	for _, x := range kept {
		_ = w.Write([]string{x.Applied.Date, x.Applied.Property, x.Applied.Product, x.Applied.Amount, x.Applied.Area})
	}
	w.Flush()
	return b.String(), w.Error()
}

var recordHead = []string{"entry", "corrects", "corrected_by", "void", "date", "began", "finished", "property", "name", "product", "registration", "rate", "amount", "area", "mix", "volume", "operator", "licence", "equipment", "wind", "wind_from", "temperature", "remarks", "plan", "entered_by", "entered"}

// recordCSV is the whole record for other programs: what was corrected is there too, with what stands in its place.
func recordCSV(all []recorded) ([]byte, error) {
	var b bytes.Buffer
	b.WriteString("\uFEFF") // so that spreadsheets read it as UTF-8
	w := csv.NewWriter(&b)
	_ = w.Write(recordHead)
	for _, x := range all {
		a := x.Applied
		row := []string{strconv.FormatInt(x.Seq, 10), orBlank(x.Corrects), orBlank(x.CorrectedBy), "", a.Date, a.Began, a.Finished, a.Property, a.Name, a.Product, a.Registration, a.Rate, a.Amount, a.Area, a.Mix, a.Volume, a.Operator, a.Licence, a.Equipment, a.Wind, a.WindFrom, a.Temperature, a.Remarks, a.Plan, x.By, x.At}
		if a.Void {
			row[3] = "void"
		}
		for i := range row {
			row[i] = noFormula(row[i])
		}
		_ = w.Write(row)
	}
	w.Flush()
	return b.Bytes(), w.Error()
}

func orBlank(n int64) string {
	if n == 0 {
		return ""
	}
	return strconv.FormatInt(n, 10)
}

// noFormula keeps a spreadsheet from running what somebody typed.
func noFormula(text string) string {
	if text != "" && (text[0] == '=' || text[0] == '+' || text[0] == '-' || text[0] == '@' || text[0] == '\t' || text[0] == '\r') {
		return "'" + text
	}
	return text
}

// record puts the finished stops of a plan into the record, each product once however often it is asked: amounts are the plan's for what was done.
func (s *Server) record(ctx context.Context, fingerprint, by string) ([]recorded, error) {
	p, _, _, err := s.plan(ctx, fingerprint)
	if err != nil {
		return nil, err
	}
	w, err := s.worked(ctx, p)
	if err != nil {
		return nil, err
	}
	out := []recorded{}
	for i := range p.Stops {
		st := &p.Stops[i]
		done := w.stops[stopKey{st.Truck, st.N}]
		passes, part := 0, ""
		switch {
		case done == nil:
			continue
		case done.Finished != "":
			passes = st.Passes.Count
		case done.Skipped != "" && done.Passes > st.DonePasses: // what went on before it was broken off
			passes, part = done.Passes, fmt.Sprintf(" to pass %d", done.Passes)
		default:
			continue
		}
		for k := range st.Products {
			a := appliedAt(p, st, k, passes, done)
			e, err := s.Store.Append(ctx, fmt.Sprintf("record %s %s %d %d%s", fingerprint, st.Truck, st.N, k, part), Entry{Log: Applied, About: st.Property, Body: mustJSON(a), By: by, At: s.Now()})
			if err != nil {
				return nil, err
			}
			out = append(out, recorded{Seq: e.Seq, By: e.By, At: e.At.Format(time.RFC3339), Applied: a})
		}
		if part != "" {
			continue // it is due as before
		}
		if err := s.dueAgain(ctx, st.Property, p.Date, by); err != nil {
			return nil, err
		}
	}
	return out, nil
}

// appliedAt is what a stop got of one product by the end of a pass, as the plan has it.
func appliedAt(p *plan.Plan, st *plan.StopPlan, k, passes int, done *doneStop) applied {
	got := p.DoneTo(st, passes)
	lp := got.Products[k]
	a := applied{Date: p.Date, Began: done.Started, Finished: done.Finished, Property: st.Property, Name: st.Name, Product: lp.Name, Amount: lp.Amount.Text(p.Units), Area: p.Units.Area(got.Area), Mix: st.Mix,
		Wind: done.Wind, WindFrom: done.WindFrom, Temperature: done.Temperature, Remarks: done.Remarks, Plan: p.Fingerprint}
	if got.Volume > 0 {
		a.Volume = p.Units.Volume(got.Volume)
	}
	if passes < st.Passes.Count {
		a.Remarks = strings.TrimSpace(fmt.Sprintf("broken off after %d of %d passes: %s. %s", passes, st.Passes.Count, done.Skipped, done.Remarks))
	}
	for i := range p.Mixes {
		if m := &p.Mixes[i]; m.Name == st.Mix {
			a.Operator, a.Licence, a.Equipment = m.Operator, m.Licence, m.Applicator
			for j := range m.Products {
				if m.Products[j].Name == lp.Name {
					a.Registration, a.Rate = m.Products[j].Registration, m.Products[j].Rate.Text(p.Units)
				}
			}
		}
	}
	return a
}

// dueAgain sets when a property is due next, where its account has an interval. Somebody else may change it meanwhile: then it is tried on what they made.
func (s *Server) dueAgain(ctx context.Context, property, on, by string) error {
	for range 5 {
		it, err := s.Store.Item(ctx, Properties, property)
		if errors.Is(err, ErrNone) || it.Gone {
			return nil // the plan is older than what is kept
		}
		if err != nil {
			return err
		}
		var whole map[string]json.RawMessage
		var g ground
		if json.Unmarshal(it.Body, &whole) != nil || json.Unmarshal(it.Body, &g) != nil || g.Account.EveryDays == 0 {
			return nil
		}
		last, err := date.Parse(on)
		if err != nil {
			return nil
		}
		next := (last + date.Date(g.Account.EveryDays)).String()
		if g.Account.Due >= next {
			return nil
		}
		g.Account.Due = next
		whole["account"] = mustJSON(g.Account)
		change := it
		change.Body, change.Due, change.By, change.At = mustJSON(whole), next, by, s.Now()
		if _, err = s.Store.Save(ctx, "", Change{Item: change, Was: it.Version}); err == nil {
			return nil
		}
		if !isConflict(err) {
			return err
		}
	}
	return nil
}

// checkApplied refuses an entry that days to come could not read.
func (s *Server) checkApplied(ctx context.Context, a *applied) error {
	p, err := s.parts(ctx)
	if err != nil {
		return err
	}
	line, err := recordLines([]recorded{{Applied: *a}})
	if err != nil {
		return err
	}
	data, err := p.dayFile(map[string]any{"date": "2000-01-01", "stops": []any{}})
	if err != nil {
		return err
	}
	d, _ := parse(data, nil)
	_, found := dayfile.Record("entry", []byte(line), d.Products)
	for i := range found {
		found[i].Where = "entry" // its line in a file that nobody sees
	}
	return found.Err()
}

// correct adds an entry that stands in the place of another.
func (s *Server) correct(ctx context.Context, seq int64, a applied, key, by string) (recorded, error) {
	all, err := s.records(ctx, "")
	if err != nil {
		return recorded{}, err
	}
	var old *recorded
	for i := range all {
		if all[i].Seq == seq {
			old = &all[i]
		}
	}
	if old == nil {
		return recorded{}, ErrNone
	}
	if old.CorrectedBy > 0 {
		return recorded{}, &refusal{Status: 409, Title: "the entry was corrected already", Detail: fmt.Sprintf("Correct entry %d, which stands in its place.", old.CorrectedBy)}
	}
	if a.Remarks == "" {
		return recorded{}, &refusal{Status: 422, Title: "a correction needs a reason", Detail: "Write into the remarks why the entry is corrected."}
	}
	a.Property, a.Product = old.Applied.Property, old.Applied.Product
	if !a.Void {
		if err := s.checkApplied(ctx, &a); err != nil {
			return recorded{}, err
		}
	}
	e, err := s.Store.Append(ctx, key, Entry{Log: Applied, About: old.Applied.Property, Refers: seq, Body: mustJSON(a), By: by, At: s.Now()})
	if err != nil {
		return recorded{}, err
	}
	return recorded{Seq: e.Seq, Corrects: seq, By: e.By, At: e.At.Format(time.RFC3339), Applied: a}, nil
}
