package plan

import (
	"encoding/json"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
)

// measureJSON is Measure in JSON: a nil figure is null. Keys and their order are those of Measure.
type measureJSON struct {
	ID           string                    `json:"id"`
	Name         string                    `json:"name"`
	Turf         *unit.Area                `json:"turf_m2"`
	ExcludedSum  *unit.Area                `json:"excluded_m2"`
	Net          *unit.Area                `json:"net_m2"`
	Perimeter    *unit.Length              `json:"perimeter_m"`
	PlusMinus    *unit.Area                `json:"plus_minus_m2"`
	Accuracy     unit.Length               `json:"accuracy_m"`
	AccuracyFrom string                    `json:"accuracy_from"`
	Pieces       *int                      `json:"pieces"`
	Excluded     map[geo.Surface]unit.Area `json:"excluded"`
	Problems     problem.List              `json:"problems"`
}

// MarshalJSON writes null for every figure of a property that could not be measured, so that
// no reader takes its zeros for an area.
func (m Measure) MarshalJSON() ([]byte, error) {
	out := measureJSON{ID: m.ID, Name: m.Name, Accuracy: m.Accuracy, AccuracyFrom: m.AccuracyFrom, Problems: m.Problems}
	if !m.Problems.HasErrors() {
		out.Turf, out.ExcludedSum, out.Net, out.Perimeter = &m.Turf, &m.ExcludedSum, &m.Net, &m.Perimeter
		out.PlusMinus, out.Pieces, out.Excluded = &m.PlusMinus, &m.Pieces, m.Excluded
	}
	return json.Marshal(out)
}
