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
		Accuracy: 0.5, AccuracyFrom: "assumed", Pieces: 2, Excluded: map[geo.Surface]unit.Area{geo.Bed: 20.5}, LeftOutOrder: geo.LeftOut,
		PlusMinusBias: 4.4, Bias: 0.1, BiasFrom: "as given", Ground: 102, Zones: []plan.ZoneMeasure{{Zone: "front", Net: 100, Perimeter: 44, Pieces: 2}},
		Parts: []plan.PartMeasure{{Net: 90, Perimeter: 38}, {Net: 10, Perimeter: 6}}, Edges: "lon-lat", Strips: map[geo.Surface]unit.Length{geo.Water: 3}, Problems: problem.List{}}
	const order, edges = `"left_out_order":["building","water","hardscape","bed","keep-off"],`, `"edges":"lon-lat","strips_m":{"water":3},`
	const figures = order + `"plus_minus_bias_m2":4.4,"bias_m":0.1,"bias_from":"as given","ground_m2":102,"zones":[{"zone":"front","net_m2":100,"perimeter_m":44,"pieces":2}],` +
		`"parts":[{"net_m2":90,"perimeter_m":38},{"net_m2":10,"perimeter_m":6}],` + edges
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
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":2,"excluded":{"bed":20.5},` + figures + `"problems":[]}`},
		{"refused", refused, head + `"turf_m2":null,"excluded_m2":null,"net_m2":null,"perimeter_m":null,"plus_minus_m2":null,` +
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":null,"excluded":null,` + order + `"plus_minus_bias_m2":null,"bias_m":0.1,"bias_from":"as given","ground_m2":null,"zones":null,"parts":null,` + edges + `"problems":[{"code":"no-turf","severity":"error",` +
			`"where":"lots.geojson","what":"no turf","fix":"Add turf."}]}`},
		{"warned", warned, head + `"turf_m2":120.5,"excluded_m2":20.5,"net_m2":100,"perimeter_m":44,"plus_minus_m2":3,` +
			`"accuracy_m":0.5,"accuracy_from":"assumed","pieces":2,"excluded":{"bed":20.5},` + figures + `"problems":[{"code":"coarse-coordinates",` +
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
