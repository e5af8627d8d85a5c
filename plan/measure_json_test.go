package plan_test

import (
	"encoding/json"
	"reflect"
	"testing"

	"tankful/calc/problem"
	"tankful/calc/unit"
	"tankful/geo"
	"tankful/plan"
)

func TestMeasureJSON(t *testing.T) {
	good := plan.Measure{ID: "lot", Name: "Lot 1", Turf: 120.5, ExcludedSum: 20.5, Net: 100, Perimeter: 44, PlusMinus: 3,
		Accuracy: 0.5, AccuracyFrom: "assumed", Pieces: 2, Excluded: map[geo.Surface]unit.Area{geo.Bed: 20.5}, Problems: problem.List{}}
	const head = `{"id":"lot","name":"Lot 1",`
	refused := good
	refused.Problems.Errorf("no-turf", "lots.geojson", "Add turf.", "no turf")
	warned := good
	warned.Problems.Warnf("coarse-coordinates", "lots.geojson", "Export again.", "coarse")
	for _, c := range []struct {
		name string
		in   plan.Measure
		want string
	}{
		{"measured", good, head + `"turf_m2":120.5,"excluded_m2":20.5,"net_m2":100,"perimeter_m":44,"plus_minus_m2":3,` +
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":2,"excluded":{"bed":20.5},"problems":[]}`},
		{"refused", refused, head + `"turf_m2":null,"excluded_m2":null,"net_m2":null,"perimeter_m":null,"plus_minus_m2":null,` +
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":null,"excluded":null,"problems":[{"code":"no-turf","severity":"error",` +
			`"where":"lots.geojson","what":"no turf","fix":"Add turf."}]}`},
		{"warned", warned, head + `"turf_m2":120.5,"excluded_m2":20.5,"net_m2":100,"perimeter_m":44,"plus_minus_m2":3,` +
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":2,"excluded":{"bed":20.5},"problems":[{"code":"coarse-coordinates",` +
			`"severity":"warning","where":"lots.geojson","what":"coarse","fix":"Export again."}]}`},
	} {
		b, err := json.Marshal(c.in)
		if err != nil || string(b) != c.want {
			t.Errorf("%s: got %s, %v\nwant %s", c.name, b, err, c.want)
		}
	}
	b, err := json.Marshal(good)
	if err != nil {
		t.Fatal(err)
	}
	var back plan.Measure
	if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, good) {
		t.Errorf("read back as %+v, %v; want %+v", back, err, good)
	}
}
