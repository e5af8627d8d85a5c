package intake_test

import (
	"slices"
	"testing"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/geo/intake"
)

// 258 awkward files from seven projects (their origins and licences are in MANIFEST.csv):
// nothing panics, and what cannot be used is told.
func TestMessyFiles(t *testing.T) {
	bad := 0
	for _, row := range geotest.Table(t, "data", "messy", "MANIFEST.csv") {
		file := row["file"]
		props, list := intake.Read(file, geotest.File(t, "data", "messy", file), intake.Options{})
		for _, p := range props {
			list = append(list, geo.Measure(p, geo.MeasureOptions{}).Problems...)
		}
		checkProblems(t, file, list)
		told := slices.ContainsFunc(list, func(p problem.Problem) bool { return p.Code != "all-taken-as-turf" })
		if row["expect"] == "bad" {
			if bad++; !told {
				t.Errorf("%s is bad (%s) and nothing is told but %v", file, row["why"], list)
			}
		}
		if row["expect"] == "good" && row["polygons"] != "0" && len(props) == 0 {
			t.Errorf("%s is good and gives no property: %v", file, list)
		}
	}
	t.Logf("%d bad files", bad)
}

func checkProblems(t *testing.T, file string, list problem.List) {
	t.Helper()
	for _, p := range list {
		if p.Code == "" || p.Severity == "" || p.Where == "" || p.What == "" || p.Fix == "" {
			t.Errorf("%s: incomplete problem %+v", file, p)
		}
	}
}
