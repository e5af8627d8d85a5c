package server

import (
	"encoding/json"
	"net/http"
	"slices"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/working"
	"tankful/plan"
)

// catchTest is the form of a catch test, as typed.
type catchTest struct {
	Operator, Applicator, Date, Course, Spacing, Caught, CaughtIn, Pressure, Nozzle string
	Runs                                                                            []string
}

const leastRuns = 3

func (s *Server) routesCatch() {
	s.page("GET", "/catch", func(w http.ResponseWriter, r *http.Request) error {
		t := &catchTest{Operator: r.URL.Query().Get("operator"), Date: s.Now().Format("2006-01-02"), Runs: make([]string, leastRuns)}
		return s.catchPage(w, r, http.StatusOK, t, nil, nil)
	})
	s.page("POST", "/catch", s.catchForm)
}

func (s *Server) catchPage(w http.ResponseWriter, r *http.Request, status int, t *catchTest, facts []working.Fact, x *refusal) error {
	p, err := s.parts(r.Context())
	if err != nil {
		return err
	}
	return s.showRefused(w, r, status, "catch", "Catch test", map[string]any{"Test": t, "Operators": p.items[Operators], "Applicators": p.items[Applicators], "Facts": facts}, x)
}

// catchForm works a catch test out; when asked it is kept as the operator's test with that applicator, in place of the one before, which stays among the versions.
func (s *Server) catchForm(w http.ResponseWriter, r *http.Request) error {
	f := r.PostForm
	get := func(key string) string { return strings.TrimSpace(f.Get(key)) }
	t := &catchTest{Operator: get("operator"), Applicator: get("applicator"), Date: get("date"), Course: get("course"), Spacing: get("spacing"), Caught: get("caught"), CaughtIn: get("caught_in"), Pressure: get("pressure"), Nozzle: get("nozzle"), Runs: f["run"]}
	facts, op, err := s.workOut(r, t)
	if err == nil && get("do") == "keep" {
		if _, _, err = s.saveEntry(r.Context(), Operators, op.ID, op.Body, op.Version, false, "", person(r.Context()).ID); err == nil {
			return s.then(w, r, "The test of "+t.Operator+" with "+t.Applicator+" is kept. Plan the days again that were planned with the one before.", "/outfit/operator/"+op.ID)
		}
	}
	for len(t.Runs) < leastRuns {
		t.Runs = append(t.Runs, "")
	}
	if err != nil {
		x := s.refused(err)
		return s.catchPage(w, r, x.Status, t, nil, x)
	}
	return s.catchPage(w, r, http.StatusOK, t, facts, nil)
}

// workOut puts a test in its operator's entry and reads it as a day file would.
func (s *Server) workOut(r *http.Request, t *catchTest) ([]working.Fact, *Item, error) {
	p, err := s.parts(r.Context())
	if err != nil {
		return nil, nil, err
	}
	i := slices.IndexFunc(p.items[Operators], func(it Item) bool { return it.Name == t.Operator })
	if i < 0 {
		return nil, nil, &refusal{Status: http.StatusUnprocessableEntity, Title: "whose test is it?", Detail: "Choose an operator of the outfit."}
	}
	op := p.items[Operators][i]
	var whole map[string]json.RawMessage
	var tests []map[string]json.RawMessage
	if err := json.Unmarshal(op.Body, &whole); err != nil {
		return nil, nil, err
	}
	if whole["catch_tests"] != nil {
		if err := json.Unmarshal(whole["catch_tests"], &tests); err != nil {
			return nil, nil, err
		}
	}
	tests = slices.DeleteFunc(tests, func(x map[string]json.RawMessage) bool {
		return string(x["applicator"]) == string(mustJSON(t.Applicator))
	})
	tests = append(tests, t.entry())
	whole["catch_tests"] = mustJSON(tests)
	before := p.check()
	op.Body = mustJSON(whole)
	p.put(op)
	data, err := p.dayFile(map[string]any{"date": "2000-01-01", "stops": []any{}})
	if err != nil {
		return nil, nil, err
	}
	d, _ := parse(data, nil)
	if err := newErrors(before, p.check()).Err(); err != nil {
		return nil, nil, err
	}
	for _, o := range d.Operators {
		for k := range o.Tests {
			if o.Name == t.Operator && o.Tests[k].Applicator == t.Applicator {
				facts, err := factsOfTest(&o.Tests[k], d)
				return facts, &op, err
			}
		}
	}
	return nil, nil, &refusal{Status: http.StatusUnprocessableEntity, Title: "the test cannot be read", Detail: "Choose an applicator of the outfit, and give course, spacing, runs and what was caught."}
}

func factsOfTest(t *plan.Test, d *plan.Day) ([]working.Fact, error) {
	result, found := t.Catch.Outcome("catch test")
	if found.HasErrors() {
		return nil, found.Err()
	}
	facts := result.Facts(d.Units)
	for _, x := range found {
		if x.Severity == problem.Warning {
			facts = append(facts, working.Fact{Name: "to know", Text: x.What + ". " + x.Fix})
		}
	}
	return facts, nil
}

// entry is the test as a day file has it.
func (t *catchTest) entry() map[string]json.RawMessage {
	x := map[string]json.RawMessage{}
	for key, v := range map[string]string{"applicator": t.Applicator, "date": t.Date, "course": t.Course, "spacing": t.Spacing, "caught": t.Caught, "caught_in": t.CaughtIn, "pressure": t.Pressure, "nozzle": t.Nozzle} {
		if v != "" {
			x[key] = mustJSON(v)
		}
	}
	runs := []string{}
	for _, run := range t.Runs {
		if run = strings.TrimSpace(run); run != "" {
			runs = append(runs, run)
		}
	}
	x["runs"] = mustJSON(runs)
	return x
}
