package plan

import (
	"bytes"
	"encoding/json"
	"errors"

	"tankful/calc/problem"
	"tankful/calc/unit"
)

// Read takes a plan from its JSON, as "tankful day" writes it. name stands for the file in every place. A file that is no
// plan, one that was cut short, and one whose figures are not those that its fingerprint was made from are refused: sheets are
// never drawn from a plan that somebody changed by hand. The Plan is nil beside an error.
func Read(name string, data []byte) (*Plan, problem.List) {
	var ps problem.List
	refuse := func(code, fix, format string, args ...any) (*Plan, problem.List) {
		ps.Errorf(code, name, fix, format, args...)
		return nil, ps
	}
	const again = "Plan the day again with tankful day, and take the plan.json that it writes."
	var p Plan
	if err := json.Unmarshal(bytes.TrimPrefix(data, []byte("\uFEFF")), &p); err != nil {
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			return refuse("plan-json", again, "the file is no whole JSON text: %v, at byte %d of %d", err, syntax.Offset, len(data))
		}
		return refuse("not-a-plan", again, "the file is JSON, but no plan: %v", err)
	}
	switch {
	case p.Fingerprint == "" || p.Date == "" || len(p.Trucks) == 0:
		return refuse("not-a-plan", again, "the file holds no plan: it has no %s", missing(&p))
	case p.Units != unit.US && p.Units != unit.Metric:
		return refuse("not-a-plan", again, "its units are %q, not us or metric", p.Units)
	case p.fingerprint() != p.Fingerprint:
		return refuse("plan-changed", again, "the plan says that it is %s, but its figures are those of another: it was changed after it was made, or another version of the program made it", clip(p.Fingerprint))
	}
	return &p, nil
}

// missing names what a JSON text lacks that every plan has.
func missing(p *Plan) string {
	switch {
	case p.Fingerprint == "":
		return "fingerprint"
	case p.Date == "":
		return "date"
	}
	return "trucks"
}

// clip shortens what a user wrote for a message.
func clip(s string) string {
	const most = 40
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "..."
	}
	return s
}

// Applied is what really went on at one property, entered after the work. What is zero or "" was not entered.
type Applied struct {
	Property string `json:"property"`
	Date     string `json:"date"` // ISO 8601
	// Began and Finished are after midnight.
	Began      unit.Time `json:"began_s,omitempty"`
	Finished   unit.Time `json:"finished_s,omitempty"`
	Applicator string    `json:"applicator,omitempty"`
	Licence    string    `json:"licence,omitempty"`
	// Products are what was used, one by one, in the order entered.
	Products []LoadProduct `json:"products,omitempty"`
	// Weather as it was noted: wind speed, where it came from, air temperature.
	Wind        unit.Speed `json:"wind_m_per_s,omitempty"`
	WindFrom    string     `json:"wind_from,omitempty"`
	Temperature string     `json:"temperature,omitempty"`
	Remarks     string     `json:"remarks,omitempty"`
	Where       string     `json:"-"`
}

// StopsAt are the stops of a property in the order of the day.
func (p *Plan) StopsAt(property string) []*StopPlan {
	var out []*StopPlan
	for i := range p.Stops {
		if p.Stops[i].Property == property {
			out = append(out, &p.Stops[i])
		}
	}
	return out
}
