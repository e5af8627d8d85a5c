package server

import (
	"encoding/json"
	"net/http"
	"slices"
	"strconv"
	"strings"

	"tankful/calc/problem"
	"tankful/calc/working"
	"tankful/plan"
)

// catchTest is the form of a catch test, as typed.
type catchTest struct {
	Operator, Applicator, Date, Course, Spacing, CaughtIn, Pressure, Nozzle string
	Runs, Caught                                                            []string
	// Of a spreader: its product, what it is lighter by after each walk, and where it is set.
	Product, Setting string
	Lost             []string
}

// ofSpreader reports whether the test is of a spreader: the applicator says so.
func (t *catchTest) ofSpreader(p *parts) bool {
	for _, it := range p.items[Applicators] {
		var a struct {
			Kind string `json:"kind"`
		}
		if it.Name == t.Applicator && json.Unmarshal(it.Body, &a) == nil {
			return a.Kind == string(plan.Spreader)
		}
	}
	return false
}

// applicatorLine is an applicator to choose.
type applicatorLine struct {
	Name   string
	Spread bool
}

const leastRuns = 3

func (s *Server) routesCatch() {
	s.page("GET", "/catch", func(w http.ResponseWriter, r *http.Request) error {
		t := &catchTest{Operator: r.URL.Query().Get("operator"), Date: s.Now().Format("2006-01-02")}
		return s.catchPage(w, r, http.StatusOK, t, nil, nil)
	})
	s.page("POST", "/catch", s.catchForm)
}

func (s *Server) catchPage(w http.ResponseWriter, r *http.Request, status int, t *catchTest, facts []working.Fact, x *refusal) error {
	p, err := s.parts(r.Context())
	if err != nil {
		return err
	}
	for _, list := range []*[]string{&t.Runs, &t.Caught, &t.Lost} {
		least := leastRuns
		if list == &t.Caught {
			least = 1
		}
		for len(*list) < least {
			*list = append(*list, "")
		}
	}
	var lines []applicatorLine
	for _, it := range p.items[Applicators] {
		lines = append(lines, applicatorLine{it.Name, (&catchTest{Applicator: it.Name}).ofSpreader(p)})
	}
	return s.showRefused(w, r, status, "catch", "Catch test", map[string]any{"Test": t, "Operators": p.items[Operators], "Applicators": lines, "Products": p.items[Products], "Facts": facts}, x)
}

// catchForm works a catch test out; when asked it is kept as the operator's test with that applicator, in place of the one before, which stays among the versions.
func (s *Server) catchForm(w http.ResponseWriter, r *http.Request) error {
	f := r.PostForm
	get := func(key string) string { return strings.TrimSpace(f.Get(key)) }
	t := &catchTest{Operator: get("operator"), Applicator: get("applicator"), Date: get("date"), Course: get("course"), Spacing: get("spacing"), Caught: f["caught"], CaughtIn: get("caught_in"), Pressure: get("pressure"), Nozzle: get("nozzle"), Runs: f["run"], Product: get("product"), Setting: get("setting"), Lost: f["lost"]}
	facts, op, err := s.workOut(r, t)
	if err == nil && get("do") == "keep" {
		if _, _, err = s.saveEntry(r.Context(), Operators, op.ID, op.Body, op.Version, false, "", person(r.Context()).ID); err == nil {
			return s.then(w, r, "The test of "+t.Operator+" with "+t.Applicator+" is kept. Plan the days again that were planned with the one before.", "/outfit/operator/"+op.ID)
		}
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
	spread := t.ofSpreader(p)
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
		return string(x["applicator"]) == string(mustJSON(t.Applicator)) && (!spread || string(x["product"]) == string(mustJSON(t.Product)))
	})
	tests = append(tests, t.entry(spread))
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
			if o.Name == t.Operator && o.Tests[k].Applicator == t.Applicator && (!spread || o.Tests[k].Spreader != nil && o.Tests[k].Spreader.Setup.Product == t.Product) {
				facts, err := factsOfTest(&o.Tests[k], d)
				return facts, &op, err
			}
		}
	}
	return nil, nil, &refusal{Status: http.StatusUnprocessableEntity, Title: "the test cannot be read", Detail: "Choose an applicator of the outfit, and give course, spacing, runs and what was caught."}
}

func factsOfTest(t *plan.Test, d *plan.Day) ([]working.Fact, error) {
	var facts []working.Fact
	var found problem.List
	if t.Spreader != nil {
		result, told := t.Spreader.Result("catch test")
		facts, found = result.Facts(d.Units), told
	} else {
		result, told := t.Catch.Outcome("catch test")
		facts, found = result.Facts(d.Units), told
	}
	if found.HasErrors() {
		return nil, found.Err()
	}
	for _, x := range found {
		if x.Severity == problem.Warning {
			facts = append(facts, working.Fact{Name: "to know", Text: x.What + ". " + x.Fix})
		}
	}
	return facts, nil
}

// entry is the test as a day file has it.
func (t *catchTest) entry(spread bool) map[string]json.RawMessage {
	x := map[string]json.RawMessage{}
	texts := map[string]string{"applicator": t.Applicator, "date": t.Date, "course": t.Course, "spacing": t.Spacing}
	lists := map[string][]string{"runs": t.Runs}
	if spread {
		texts["product"], lists["lost"] = t.Product, t.Lost
		if t.Setting != "" {
			x["setting"] = mustJSON(t.Setting)
			if _, err := strconv.ParseFloat(t.Setting, 64); err == nil && json.Valid([]byte(t.Setting)) {
				x["setting"] = json.RawMessage(t.Setting)
			}
		}
	} else {
		texts["caught_in"], texts["pressure"], texts["nozzle"] = t.CaughtIn, t.Pressure, t.Nozzle
		lists["caught"] = t.Caught
	}
	for key, v := range texts {
		if v != "" {
			x[key] = mustJSON(v)
		}
	}
	for key, list := range lists {
		given := []string{}
		for _, v := range list {
			if v = strings.TrimSpace(v); v != "" {
				given = append(given, v)
			}
		}
		switch {
		case len(given) == 1 && key == "caught":
			x[key] = mustJSON(given[0])
		case len(given) > 0 || key == "runs":
			x[key] = mustJSON(given)
		}
	}
	return x
}
