package intake_test

import (
	"testing"

	"tankful/calc/problem"
	"tankful/geo"
	"tankful/geo/geotest"
	"tankful/geo/intake"
)

// readable names the files that the manifest calls bad for a rule of style or for a member
// that has no part in the figures, and that a tolerant reader accepts without a word.
var readable = map[string]string{}

// 258 awkward files from seven projects (their origins and licences are in MANIFEST.csv):
// nothing panics, and what cannot be used is told.
func TestMessyFiles(t *testing.T) {
	bad, silent := 0, 0
	for _, row := range geotest.Table(t, "data", "messy", "MANIFEST.csv") {
		file := row["file"]
		props, list := intake.Read(file, geotest.File(t, "data", "messy", file), intake.Options{})
		for _, p := range props {
			list = append(list, geo.Measure(p, geo.MeasureOptions{}).Problems...)
		}
		checkProblems(t, file, list)
		if row["expect"] == "bad" {
			bad++
			told := false
			for _, p := range list {
				told = told || p.Code != "all-taken-as-turf"
			}
			if why, ok := readable[file]; told == ok {
				t.Errorf("%s is bad (%s): told %v, listed as readable %q: %v", file, row["why"], told, why, list)
			} else if ok {
				silent++
			}
		}
		if row["expect"] == "good" && row["polygons"] != "0" && len(props) == 0 {
			t.Errorf("%s is good and gives no property: %v", file, list)
		}
	}
	t.Logf("%d bad files, %d of them read without a word for a reason", bad, silent)
}

func checkProblems(t *testing.T, file string, list problem.List) {
	t.Helper()
	for _, p := range list {
		if p.Code == "" || p.Severity == "" || p.Where == "" || p.What == "" || p.Fix == "" {
			t.Errorf("%s: incomplete problem %+v", file, p)
		}
	}
}
