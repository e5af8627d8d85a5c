package plan

import (
	"encoding/json"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
)

// measureJSON is Measure in JSON: a nil figure is null. Keys and their order are those of Measure.
type measureJSON struct {
	ID            string                      `json:"id"`
	Name          string                      `json:"name"`
	Turf          *unit.Area                  `json:"turf_m2"`
	ExcludedSum   *unit.Area                  `json:"excluded_m2"`
	Net           *unit.Area                  `json:"net_m2"`
	Perimeter     *unit.Length                `json:"perimeter_m"`
	PlusMinus     *unit.Area                  `json:"plus_minus_m2"`
	Accuracy      unit.Length                 `json:"accuracy_m"`
	AccuracyFrom  string                      `json:"accuracy_from"`
	Pieces        *int                        `json:"pieces"`
	Excluded      map[geo.Surface]unit.Area   `json:"excluded"`
	LeftOutOrder  []geo.Surface               `json:"left_out_order"`
	PlusMinusBias *unit.Area                  `json:"plus_minus_bias_m2"`
	Bias          unit.Length                 `json:"bias_m"`
	BiasFrom      string                      `json:"bias_from"`
	Ground        *unit.Area                  `json:"ground_m2"`
	Zones         []ZoneMeasure               `json:"zones"`
	Parts         []PartMeasure               `json:"parts"`
	Edges         string                      `json:"edges"`
	Strips        map[geo.Surface]unit.Length `json:"strips_m"`
	Problems      problem.List                `json:"problems"`
}

// MarshalJSON writes null for every figure of a property that could not be measured, so that
// no reader takes its zeros for an area.
func (m Measure) MarshalJSON() ([]byte, error) {
	out := measureJSON{ID: m.ID, Name: m.Name, Accuracy: m.Accuracy, AccuracyFrom: m.AccuracyFrom, LeftOutOrder: m.LeftOutOrder,
		Bias: m.Bias, BiasFrom: m.BiasFrom, Edges: m.Edges, Strips: m.Strips, Problems: m.Problems}
	if !m.Problems.HasErrors() {
		out.Turf, out.ExcludedSum, out.Net, out.Perimeter = &m.Turf, &m.ExcludedSum, &m.Net, &m.Perimeter
		out.PlusMinus, out.Pieces, out.Excluded = &m.PlusMinus, &m.Pieces, m.Excluded
		out.PlusMinusBias, out.Ground, out.Zones, out.Parts = &m.PlusMinusBias, &m.Ground, m.Zones, m.Parts
	}
	return json.Marshal(out)
}

// MeasureOf is a measured property as every command prints it.
func MeasureOf(s *geo.Site) Measure {
	m := Measure{ID: s.Property.ID, Name: s.Property.Name, Turf: s.Gross, ExcludedSum: s.Gross - s.NetArea, Net: s.NetArea, Perimeter: s.Perimeter,
		PlusMinus: s.PlusMinus, Accuracy: s.Accuracy, AccuracyFrom: s.AccuracyFrom, Pieces: s.Pieces,
		Excluded: map[geo.Surface]unit.Area{}, LeftOutOrder: geo.LeftOut,
		PlusMinusBias: s.PlusMinusBias, Bias: s.Bias, BiasFrom: s.BiasFrom, Ground: s.Ground,
		Zones: make([]ZoneMeasure, len(s.Zones)), Parts: make([]PartMeasure, len(s.Parts)),
		Edges: string(s.Edges), Strips: map[geo.Surface]unit.Length{}, Problems: append(problem.List{}, s.Problems...)}
	for k, a := range s.Excluded {
		m.Excluded[k] = a
	}
	for k, w := range s.Strips {
		m.Strips[k] = w
	}
	for i, z := range s.Zones {
		m.Zones[i] = ZoneMeasure{z.Name, z.Net, z.Perimeter, z.Pieces}
	}
	for i, p := range s.Parts {
		m.Parts[i] = PartMeasure{p.Area, p.Perimeter}
	}
	return m
}
